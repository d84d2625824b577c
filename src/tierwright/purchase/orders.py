"""Which orders to place, where charges and least orders tie many items together: each item answers for itself."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

Order = tuple[str, date]
"""An order: the shop, and its day."""
MOST_NODES: Final = 4000
"""Sets of orders that are looked at before the search is handed to the general programme. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What one part costs with some orders shut, and how often each of its columns is taken."""

    cost: Decimal
    times: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """
    Items that nothing but orders ties to others.

    Attributes
    ----------
    orders
        The orders that it may be bought in.
    spent
        For each of its columns, the order that it belongs to (None for a shop without charge), and its price.
    answer
        Answers for a set of shut orders; None where nothing covers the need.
    """

    orders: frozenset[Order]
    spent: tuple[tuple[Order | None, Decimal], ...]
    answer: Callable[[frozenset[Order]], Answer | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """The orders that are shut in the best answer, and what each part does then."""

    cost: Decimal
    answers: tuple[Answer, ...]


class Undecided(Exception):
    """A least order binds, or there are too many sets of orders: it takes the general programme."""


def place_orders(parts: Sequence[Part], fees: dict[Order, Decimal], minima: dict[Order, Decimal]) -> Placed | None:
    """
    Choose the orders that make everything cheapest together.

    Parameters
    ----------
    parts
        What is bought.
    fees, minima
        Charge and least sum of each order.

    Returns
    -------
    placed
        None where nothing covers the need.

    Raises
    ------
    Undecided
        A set of orders may be best in which a least order is reached by buying more than is needed.

    Notes
    -----
    Branch and bound over the orders. With the orders in B shut and those in A placed, whatever is bought costs at
    least sum of fees(A) + sum over parts of their own least cost with B shut, since shutting more never makes a part
    cheaper. A node is closed where every order that its parts use is placed and reaches its least sum: then the bound
    is met.
    """
    known: dict[tuple[int, frozenset[Order]], Answer | None] = {}

    def answers(shut: frozenset[Order]) -> list[Answer] | None:
        found: list[Answer] = []
        for number, part in enumerate(parts):
            key = (number, shut & part.orders)
            if key not in known:
                known[key] = part.answer(key[1])
            answer = known[key]
            if answer is None:
                return None
            found.append(answer)
        return found

    best: Placed | None = None
    nodes = 0
    stack: list[tuple[frozenset[Order], frozenset[Order]]] = [(frozenset(), frozenset())]
    while stack:
        placed, shut = stack.pop()
        nodes += 1
        if nodes > MOST_NODES:
            raise Undecided
        found = answers(shut)
        if found is None:
            continue
        goods = sum((one.cost for one in found), Decimal(0))
        if best is not None and goods + sum((fees[order] for order in placed), Decimal(0)) >= best.cost:
            continue
        spent: dict[Order, Decimal] = {}
        for part, one in zip(parts, found, strict=True):
            for (order, price), times in zip(part.spent, one.times, strict=True):
                if order is not None and times:
                    spent[order] = spent.get(order, Decimal(0)) + price * times
        short = [order for order in spent if spent[order] < minima[order]]
        if not short:
            cost = goods + sum((fees[order] for order in spent), Decimal(0))
            if best is None or cost < best.cost:
                best = Placed(cost=cost, answers=tuple(found))
        loose = [order for order in spent if order not in placed and (fees[order] > 0 or order in short)]
        if not loose:
            if short:
                raise Undecided
            continue
        # The order with the least in it is the likeliest to be left out.
        turn = min(loose, key=lambda order: (spent[order] - fees[order], order))
        stack.append((placed, shut | {turn}))
        stack.append((placed | {turn}, shut))
    return best
