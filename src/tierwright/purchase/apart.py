"""Wholes that are taken apart, an egg into yolk and white: how many, against buying the parts. Exact."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import product
from math import prod
from typing import Final

from tierwright.purchase.cover import Pack, TooLong, cover

MOST_WAYS: Final = 4000
"""Ways to take wholes apart that are looked at before the search is handed to the general programme. [-]"""
MOST_STEPS: Final = 20_000
PRICE_SHARE: Final = Decimal("0.001")
"""What a coin of price counts against a coin's worth of leftovers: it decides between equal leftovers only. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """
    One item of the group, bought on one day for all its uses.

    Attributes
    ----------
    packs
        What may be bought.
    worth
        Cheapest price by weight: what a leftover is counted by. [ten-thousandths/tenth]
    """

    packs: tuple[Pack, ...]
    worth: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """
    A whole that may be taken apart for some uses.

    Attributes
    ----------
    whole
        Number of the shelf of the whole.
    piece
        Amount of the whole in one piece. [tenths]
    parts
        For each use that it serves, its number, and what one piece gives. [tenths]
    most
        Pieces beyond which no more is needed. [pieces]
    """

    whole: int
    piece: int
    parts: tuple[tuple[int, int], ...]
    most: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """Pieces of each opening, packs of each shelf, and the least cost of all ways. [ten-thousandths]"""

    pieces: tuple[int, ...]
    times: tuple[tuple[int, ...], ...]
    least: int


def take_apart(
    shelves: Sequence[Shelf],
    needs: Sequence[tuple[int, int]],
    openings: Sequence[Opening],
    near_equal: float,
    *,
    lean: bool,
) -> Opened | None:
    """
    Choose how many wholes are taken apart, and the packs of everything.

    Parameters
    ----------
    shelves
        Items.
    needs
        For each use, its shelf and its need. [-], [tenths]
    openings
        What may be taken apart.
    near_equal, lean
        See ``cover``.

    Returns
    -------
    opened
        None if nothing covers the needs.

    Raises
    ------
    TooLong
        There are too many ways to look at each.
    """
    if prod(opening.most + 1 for opening in openings) > MOST_WAYS:
        raise TooLong
    known: dict[tuple[int, int], tuple[tuple[int, ...], int] | None] = {}

    def cheapest(shelf: int, need: int) -> tuple[tuple[int, ...], int] | None:
        key = (shelf, need)
        if key not in known:
            packs = shelves[shelf].packs
            empty = ((0,) * len(packs), 0)
            known[key] = empty if need <= 0 else cover(need, packs, 0.0) if packs else None
        return known[key]

    ways: list[tuple[int, tuple[int, ...], tuple[int, ...]]] = []
    for pieces in product(*(range(opening.most + 1) for opening in openings)):
        wanted = _wanted(shelves, needs, openings, pieces)
        answers = [cheapest(shelf, need) for shelf, need in enumerate(wanted)]
        if all(answer is not None for answer in answers):
            ways.append((sum(answer[1] for answer in answers if answer is not None), pieces, wanted))
    if not ways:
        return None
    least = min(cost for cost, _pieces, _wanted in ways)
    if not lean:
        _cost, pieces, wanted = min(ways)
        chosen = [cheapest(shelf, need) for shelf, need in enumerate(wanted)]
        return Opened(pieces=pieces, times=tuple(one[0] for one in chosen if one is not None), least=least)
    limit = least + int(least * near_equal)
    best: tuple[Decimal, int, tuple[int, ...], tuple[tuple[int, ...], ...]] | None = None
    for cost, pieces, wanted in sorted(ways):
        if cost > limit:
            break
        choices = [list(_baskets(need, shelf.packs, limit)) for shelf, need in zip(shelves, wanted, strict=True)]
        for basket in product(*choices):
            paid = sum(one[1] for one in basket)
            if paid > limit:
                continue
            spare = sum((shelf.worth * one[0] for shelf, one in zip(shelves, basket, strict=True)), Decimal(0))
            found = (spare + PRICE_SHARE * paid, paid, pieces, tuple(one[2] for one in basket))
            if best is None or found < best:
                best = found
    assert best is not None
    return Opened(pieces=best[2], times=best[3], least=least)


def _wanted(
    shelves: Sequence[Shelf], needs: Sequence[tuple[int, int]], openings: Sequence[Opening], pieces: Sequence[int]
) -> tuple[int, ...]:
    """Return what has to be bought of each shelf where some wholes are taken apart. [tenths]"""
    rest = [need for _shelf, need in needs]
    total = [0] * len(shelves)
    for opening, number in zip(openings, pieces, strict=True):
        total[opening.whole] += number * opening.piece
        for use, gives in opening.parts:
            rest[use] -= number * gives
    for (shelf, _need), left in zip(needs, rest, strict=True):
        total[shelf] += max(0, left)
    return tuple(total)


def _baskets(need: int, packs: Sequence[Pack], limit: int) -> Iterator[tuple[int, int, tuple[int, ...]]]:
    """Yield every basket within a limit that no other beats in amount and in price: amount, price, packs."""
    if need <= 0:
        yield 0, 0, (0,) * len(packs)
        return
    order = sorted(range(len(packs)), key=lambda n: (packs[n].price / packs[n].amount, n))
    found: list[tuple[int, int, tuple[int, ...]]] = []
    stack: list[tuple[int, int, int, tuple[int, ...]]] = [(0, 0, 0, ())]
    steps = 0
    while stack:
        at, amount, price, taken = stack.pop()
        steps += 1
        if steps > MOST_STEPS:
            raise TooLong
        if amount >= need or at == len(order):
            if amount >= need:
                times = [0] * len(packs)
                for number, count in zip(order, taken, strict=False):
                    times[number] = count
                found.append((amount, price, tuple(times)))
            continue
        pack = packs[order[at]]
        for count in range(min(pack.most, -(-(need - amount) // pack.amount)) + 1):
            paid, held = price + count * pack.price, amount + count * pack.amount
            if paid + max(0, need - held) * pack.price // pack.amount > limit:
                break
            stack.append((at + 1, held, paid, (*taken, count)))
    cheapest: int | None = None
    for amount, price, taken in sorted(found):
        if cheapest is None or price < cheapest:
            cheapest = price
            yield amount, price, taken
