"""Choose whole packs by integer programming, so that every use is covered at least cost, then with least left over."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from itertools import pairwise
from math import ceil
from typing import Final

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from tierwright.errors import Infeasible
from tierwright.purchase.apart import Opening, Shelf, take_apart
from tierwright.purchase.cover import Pack, TooLong, cover
from tierwright.purchase.days import Trip, over_days
from tierwright.purchase.model import Offer, Shop, Split, Use
from tierwright.purchase.orders import Answer as OrderAnswer
from tierwright.purchase.orders import Order, Undecided, place_orders
from tierwright.purchase.orders import Part as OrderPart
from tierwright.purchase.sharing import GRAIN, share_out

TIME_LIMIT_S: Final = 20.0
"""Search time for one group of items that hang together; far beyond what a season of commissions takes. [s]"""
OPTIMAL: Final = 0
PRICE_STEPS: Final = 10_000
"""Steps of a price in one unit of money: prices are kept to four decimals. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One offer on one trip, with the uses (by position) that it may serve."""

    offer: Offer
    trip: date
    serves: frozenset[int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A whole that may be taken apart for one commission on one day: the use of the whole, and of each part."""

    split: Split
    whole: int
    parts: tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """
    Items that have to be bought together, because a shop's minimum, a charge or a split ties them.

    Attributes
    ----------
    uses
        What has to be covered. [g or pieces]
    columns
        What may be bought when.
    cuts
        What may be taken apart.
    shops
        Shops by key.
    near_equal
        Extra cost accepted for less leftover. [-]
    lean
        Whether leftovers count at all; without them only the cost is sought.
    """

    uses: tuple[Use, ...]
    columns: tuple[Column, ...]
    cuts: tuple[Cut, ...]
    shops: Mapping[str, Shop]
    near_equal: float
    lean: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """
    What is bought.

    Attributes
    ----------
    times
        How often each column is taken. [-]
    pieces
        Pieces of each cut. [pieces]
    given
        For each column, what it gives to which use. [g or pieces]
    cost
        Price of all, with charges.
    bound
        Cost below which nothing can be had.
    proven
        Whether the search closed.
    """

    times: tuple[int, ...]
    pieces: tuple[int, ...]
    given: tuple[tuple[tuple[int, float], ...], ...]
    cost: Decimal
    bound: Decimal
    proven: bool


class _Rows:
    """Rows of a sparse programme while they are being written."""

    def __init__(self) -> None:
        self.values: list[float] = []
        self.rows: list[int] = []
        self.columns: list[int] = []
        self.low: list[float] = []
        self.high: list[float] = []

    def add(self, entries: Mapping[int, float], low: float, high: float) -> None:
        for column, value in entries.items():
            self.rows.append(len(self.low))
            self.columns.append(column)
            self.values.append(value)
        self.low.append(low)
        self.high.append(high)

    def constraint(self, width: int) -> LinearConstraint:
        matrix = csr_array((self.values, (self.rows, self.columns)), shape=(len(self.low), width))
        return LinearConstraint(matrix, np.asarray(self.low), np.asarray(self.high))


def choose(problem: Problem) -> Chosen:
    """
    Choose packs for one group of items.

    Parameters
    ----------
    problem
        What is needed and what there is.

    Returns
    -------
    chosen
        Checked outside the solver: whole numbers of packs are shared out anew in whole tenths of a gram, and every
        use is covered.

    Raises
    ------
    Infeasible
        No choice of packs covers the uses, such as where an offer is limited or a shop's minimum cannot be reached.

    Notes
    -----
    Whole numbers x (packs of each offer and trip), s (pieces taken apart) and v (whether an order goes to a shop),
    amounts y from each column to each use:

    minimise sum(price x) + sum(fee v), with for each use sum(y) + yield s >= need (for a whole: - piece s), for each
    column sum(y) <= content x, x <= M v and sum(price x) >= minimum v. A second search keeps the cost within the
    near-equal share and makes what is left over cheapest, each item at its cheapest price by weight. Solved by
    branch and bound with a gap of zero [1]_; what nothing ties together is solved by itself, and where a charge or a
    minimum ties much together, the least cost of each part alone (with and without an order) bounds the whole.

    References
    ----------
    .. [1] Huangfu and Hall, Parallelizing the dual revised simplex method, Mathematical Programming Computation 10
       (2018) 119, the solver HiGHS, as SciPy calls it.
    """
    parts = components(problem, tied=True)
    if len(parts) > 1:
        return _joined(problem, [(part, choose(_part_of(problem, part))) for part in parts])
    simple = _simple(problem) or _several_days(problem) or _apart(problem)
    if simple is not None:
        return simple
    ordered = _by_orders(problem)
    if ordered is not None:
        return _leaner(problem, ordered)
    extra = [0] * len(problem.uses)
    for _ in range(4):
        chosen, short = _solve(problem, extra)
        if not any(short):
            return _leaner(problem, chosen)
        # The solver's own tolerance let a use fall short by less than a millionth of a pack: ask for that much more.
        extra = [more + lack for more, lack in zip(extra, short, strict=True)]
    raise Infeasible("whole packs for every use", "the search cannot be closed exactly", "round the amounts")


def _leaner(problem: Problem, chosen: Chosen) -> Chosen:
    """
    Buy with less left over while the orders stand as chosen, part by part, each within the near-equal share.

    Only what still meets every minimum order is taken; else the cheapest basket stands.
    """
    orders = {
        (column.offer.shop, column.trip)
        for column, times in zip(problem.columns, chosen.times, strict=True)
        if times and _tied(problem.shops[column.offer.shop])
    }
    if not orders or problem.cuts or not problem.lean:
        return chosen
    kept = [
        c
        for c, column in enumerate(problem.columns)
        if not _tied(problem.shops[column.offer.shop]) or (column.offer.shop, column.trip) in orders
    ]
    free = replace(
        problem,
        columns=tuple(problem.columns[c] for c in kept),
        shops={key: replace(shop, minimum=Decimal(0), fee=Decimal(0)) for key, shop in problem.shops.items()},
    )
    lean = choose(free)
    spent = dict.fromkeys(orders, Decimal(0))
    for column, times in zip(free.columns, lean.times, strict=True):
        if (column.offer.shop, column.trip) in spent:
            spent[(column.offer.shop, column.trip)] += column.offer.price * times
    if any(paid < problem.shops[shop].minimum for (shop, _), paid in spent.items()):
        return chosen
    cost = lean.cost + sum((problem.shops[shop].fee for shop, _ in sorted(orders)), Decimal(0))
    if cost > chosen.cost * (1 + Decimal(repr(problem.near_equal))):
        return chosen
    times_of = [0] * len(problem.columns)
    given_of: list[tuple[tuple[int, float], ...]] = [()] * len(problem.columns)
    for place, c in enumerate(kept):
        times_of[c], given_of[c] = lean.times[place], lean.given[place]
    proven = chosen.proven and lean.proven
    return replace(chosen, times=tuple(times_of), given=tuple(given_of), cost=cost, proven=proven)


def components(problem: Problem, *, tied: bool) -> list[tuple[int, ...]]:
    """
    Part the uses into groups that can be bought apart from one another.

    Parameters
    ----------
    problem
        All of them.
    tied
        Whether a shop's minimum or charge ties what is bought in one order together.
    """
    above = list(range(len(problem.uses)))

    def root(use: int) -> int:
        while above[use] != use:
            use = above[use]
        return use

    bonds: dict[tuple[str, ...] | str, int] = {}

    def tie(uses: Iterable[int], bond: tuple[str, ...] | str | None = None) -> None:
        group = list(uses)
        if bond is not None and group:
            group.append(bonds.setdefault(bond, group[0]))
        for use in group[1:]:
            above[root(use)] = root(group[0])

    for column in problem.columns:
        tie(column.serves)
        if column.offer.most is not None:
            tie(column.serves, column.offer.key)
        if tied and _tied(problem.shops[column.offer.shop]):
            tie(column.serves, (column.offer.shop, column.trip.isoformat()))
    for cut in problem.cuts:
        tie((cut.whole, *(use for use, _ in cut.parts)))
    groups: dict[int, list[int]] = {}
    for use in range(len(problem.uses)):
        groups.setdefault(root(use), []).append(use)
    return [tuple(group) for group in groups.values()]


def _part_of(problem: Problem, part: Sequence[int]) -> Problem:
    place = {old: new for new, old in enumerate(part)}
    return replace(
        problem,
        uses=tuple(problem.uses[old] for old in part),
        columns=tuple(
            replace(column, serves=frozenset(place[use] for use in column.serves))
            for column in problem.columns
            if column.serves <= place.keys()
        ),
        cuts=tuple(
            replace(cut, whole=place[cut.whole], parts=tuple((place[use], grams) for use, grams in cut.parts))
            for cut in problem.cuts
            if cut.whole in place
        ),
    )


def _joined(problem: Problem, solved: Sequence[tuple[tuple[int, ...], Chosen]]) -> Chosen:
    """Put the answers of the parts back into the order of the whole."""
    of_use = {use: number for number, (part, _) in enumerate(solved) for use in part}
    at = [0] * len(solved)
    cut_at = [0] * len(solved)
    times: list[int] = []
    given: list[tuple[tuple[int, float], ...]] = []
    for column in problem.columns:
        number = of_use[next(iter(column.serves))]
        part, chosen = solved[number]
        times.append(chosen.times[at[number]])
        given.append(tuple((part[use], amount) for use, amount in chosen.given[at[number]]))
        at[number] += 1
    pieces: list[int] = []
    for cut in problem.cuts:
        number = of_use[cut.whole]
        pieces.append(solved[number][1].pieces[cut_at[number]])
        cut_at[number] += 1
    return Chosen(
        times=tuple(times),
        pieces=tuple(pieces),
        given=tuple(given),
        cost=sum((chosen.cost for _, chosen in solved), Decimal(0)),
        bound=sum((chosen.bound for _, chosen in solved), Decimal(0)),
        proven=all(chosen.proven for _, chosen in solved),
    )


def _floors(
    problem: Problem, orders: Sequence[tuple[str, date]], first_v: int
) -> Iterable[tuple[dict[int, float], float]]:
    """
    Yield rows that hold for every basket and that the search would take long to find by itself.

    Whatever is bought for a part of the uses that nothing but orders ties to the rest costs at least what it would
    cost alone; and without one of the orders at least what it would cost without its offers.
    """
    if not orders or problem.cuts:
        return
    number_of = {order: number for number, order in enumerate(orders, start=first_v)}
    free = replace(
        problem,
        near_equal=0.0,
        lean=False,
        shops={key: replace(shop, minimum=Decimal(0), fee=Decimal(0)) for key, shop in problem.shops.items()},
    )
    for part in components(problem, tied=False):
        inside = set(part)
        mine = [c for c, column in enumerate(problem.columns) if column.serves <= inside]
        alone = _part_of(free, part)
        least = choose(alone).bound
        spent = {c: float(problem.columns[c].offer.price) for c in mine if problem.columns[c].offer.price}
        yield spent, float(least)
        if any(column.serves != frozenset(range(len(part))) for column in alone.columns):
            # Several days at once: each order's worth would take a search of its own, and the sum closes without.
            continue
        for order in sorted({(problem.columns[c].offer.shop, problem.columns[c].trip) for c in mine}):
            if order not in number_of:
                continue
            closed = tuple(c for c in alone.columns if (c.offer.shop, c.trip) != order)
            if frozenset(range(len(part))) - frozenset().union(*(c.serves for c in closed)):
                yield {number_of[order]: 1.0}, 1.0
                continue
            try:
                without = choose(replace(alone, columns=closed)).bound
            except Infeasible:
                yield {number_of[order]: 1.0}, 1.0
                continue
            if without > least:
                yield {**spent, number_of[order]: float(without - least)}, float(without)


def _simple(problem: Problem) -> Chosen | None:
    """Choose packs where one item is bought on one day for all its uses; None where it takes the programme."""
    columns = problem.columns
    everything = frozenset(range(len(problem.uses)))
    plain = not problem.cuts and all(column.serves == everything for column in columns)
    if not plain or len({(c.offer.item, c.trip) for c in columns}) != 1:
        return None
    if any(_tied(problem.shops[column.offer.shop]) for column in columns):
        return None
    wanted = [grains(use.amount) for use in problem.uses]
    choices = [
        Pack(
            amount=content_grains(c.offer.amount),
            price=int(c.offer.price * PRICE_STEPS),
            most=c.offer.most if c.offer.most is not None else sum(wanted),
        )
        for c in columns
    ]
    if any(Decimal(pack.price) != c.offer.price * PRICE_STEPS for pack, c in zip(choices, columns, strict=True)):
        return None
    try:
        found = cover(sum(wanted), choices, problem.near_equal)
    except TooLong:
        return None
    if found is None:
        raise _nothing_covers()
    times, least = found
    given, short = share_out([(pack.amount * n, everything) for pack, n in zip(choices, times, strict=True)], wanted)
    if any(short):
        raise AssertionError("a basket that was found to cover does not")
    return Chosen(
        times=times,
        pieces=(),
        given=tuple(tuple((use, amount / GRAIN) for use, amount in one) for one in given),
        cost=sum((c.offer.price * n for c, n in zip(columns, times, strict=True)), Decimal(0)),
        bound=Decimal(least) / PRICE_STEPS,
        proven=True,
    )


def _several_days(problem: Problem) -> Chosen | None:
    """Choose packs where one item is bought on several days for uses that keep alike; None where it takes more."""
    columns = problem.columns
    if problem.cuts or len({c.offer.item for c in columns}) != 1:
        return None
    if any(c.offer.most is not None or _tied(problem.shops[c.offer.shop]) for c in columns):
        return None
    days = sorted({c.trip for c in columns})
    serves: dict[date, frozenset[int]] = {}
    for c in columns:
        if serves.setdefault(c.trip, c.serves) != c.serves:
            return None
    first = [min(n for n, day in enumerate(days) if use in serves[day]) for use in range(len(problem.uses))]
    last = [max(n for n, day in enumerate(days) if use in serves[day]) for use in range(len(problem.uses))]
    queue = sorted(range(len(problem.uses)), key=lambda use: (last[use], first[use]))
    whole = all(last[use] - first[use] + 1 == sum(use in group for group in serves.values()) for use in queue)
    if not whole or any(first[a] > first[b] for a, b in pairwise(queue)):
        return None
    if any(Decimal(int(c.offer.price * PRICE_STEPS)) != c.offer.price * PRICE_STEPS for c in columns):
        return None
    wanted = [grains(use.amount) for use in problem.uses]
    places = [[c for c, column in enumerate(columns) if column.trip == day] for day in days]
    trips = [
        Trip(
            packs=tuple(
                Pack(
                    amount=content_grains(columns[c].offer.amount),
                    price=int(columns[c].offer.price * PRICE_STEPS),
                    most=sum(wanted),
                )
                for c in mine
            ),
            must=sum(wanted[use] for use in queue if last[use] <= n),
            may=sum(wanted[use] for use in queue if first[use] <= n),
        )
        for n, mine in enumerate(places)
    ]
    try:
        found = over_days(trips, problem.near_equal, lean=problem.lean)
    except TooLong:
        return None
    if found is None:
        raise _nothing_covers()
    by_trip, least = found
    times = [0] * len(columns)
    for mine, taken in zip(places, by_trip, strict=True):
        for place, n in zip(mine, taken, strict=True):
            times[place] = n
    given, short = share_out(
        [(content_grains(c.offer.amount) * n, c.serves) for c, n in zip(columns, times, strict=True)], wanted
    )
    if any(short):
        raise AssertionError("baskets that were found to cover do not")
    return Chosen(
        times=tuple(times),
        pieces=(),
        given=tuple(tuple((use, amount / GRAIN) for use, amount in one) for one in given),
        cost=sum((c.offer.price * n for c, n in zip(columns, times, strict=True)), Decimal(0)),
        bound=Decimal(least) / PRICE_STEPS,
        proven=True,
    )


def _apart(problem: Problem) -> Chosen | None:
    """Choose wholes to take apart where each item is bought on one day for all its uses; None where it takes more."""
    columns, uses = problem.columns, problem.uses
    if not problem.cuts or any(_tied(problem.shops[c.offer.shop]) for c in columns):
        return None
    items = sorted({use.item for use in uses})
    mine = {key: [c for c, column in enumerate(columns) if column.offer.item == key] for key in items}
    for key in items:
        everything = frozenset(n for n, use in enumerate(uses) if use.item == key)
        if len({columns[c].trip for c in mine[key]}) > 1 or any(columns[c].serves != everything for c in mine[key]):
            return None
    if any(Decimal(int(c.offer.price * PRICE_STEPS)) != c.offer.price * PRICE_STEPS for c in columns):
        return None
    wanted = [grains(use.amount) for use in uses]
    worth = _by_weight(columns)
    shelves = [
        Shelf(
            packs=tuple(
                Pack(
                    amount=content_grains(columns[c].offer.amount),
                    price=int(columns[c].offer.price * PRICE_STEPS),
                    most=10**6 if (most := columns[c].offer.most) is None else most,
                )
                for c in mine[key]
            ),
            worth=worth.get(key, Decimal(0)) * PRICE_STEPS / GRAIN,
        )
        for key in items
    ]
    openings = [
        Opening(
            whole=items.index(cut.split.whole),
            piece=grains(cut.split.piece),
            parts=tuple((use, content_grains(part)) for use, part in cut.parts),
            most=max((ceil(wanted[use] / content_grains(part)) for use, part in cut.parts), default=0),
        )
        for cut in problem.cuts
    ]
    needs = [(items.index(use.item), amount) for use, amount in zip(uses, wanted, strict=True)]
    try:
        found = take_apart(shelves, needs, openings, problem.near_equal, lean=problem.lean)
    except TooLong:
        return None
    if found is None:
        raise _nothing_covers()
    times = [0] * len(columns)
    for key, taken in zip(items, found.times, strict=True):
        for place, n in zip(mine[key], taken, strict=True):
            times[place] = n
    for cut, pieces in zip(problem.cuts, found.pieces, strict=True):
        wanted[cut.whole] += pieces * grains(cut.split.piece)
        for use, part in cut.parts:
            wanted[use] -= pieces * content_grains(part)
    given, short = share_out(
        [(content_grains(c.offer.amount) * n, c.serves) for c, n in zip(columns, times, strict=True)],
        [max(0, amount) for amount in wanted],
    )
    if any(short):
        raise AssertionError("baskets that were found to cover do not")
    return Chosen(
        times=tuple(times),
        pieces=found.pieces,
        given=tuple(tuple((use, amount / GRAIN) for use, amount in one) for one in given),
        cost=sum((c.offer.price * n for c, n in zip(columns, times, strict=True)), Decimal(0)),
        bound=Decimal(found.least) / PRICE_STEPS,
        proven=True,
    )


def _by_orders(problem: Problem) -> Chosen | None:
    """Choose the orders of a basket that charges and least sums tie together; None where it takes the programme."""
    if problem.cuts:
        return None
    tied = {(c.offer.shop, c.trip) for c in problem.columns if _tied(problem.shops[c.offer.shop])}
    if not tied:
        return None
    free = replace(
        problem,
        near_equal=0.0,
        lean=False,
        shops={key: replace(shop, minimum=Decimal(0), fee=Decimal(0)) for key, shop in problem.shops.items()},
    )
    groups = components(problem, tied=False)
    parts = [_order_part(free, group, tied) for group in groups]
    fees = {order: problem.shops[order[0]].fee for order in sorted(tied)}
    minima = {order: problem.shops[order[0]].minimum for order in sorted(tied)}
    try:
        found = place_orders(parts, fees, minima)
    except Undecided:
        return None
    if found is None:
        raise _nothing_covers()
    times = [0] * len(problem.columns)
    for group, answer in zip(groups, found.answers, strict=True):
        inside = set(group)
        mine = [c for c, column in enumerate(problem.columns) if column.serves <= inside]
        for c, n in zip(mine, answer.times, strict=True):
            times[c] = n
    given, short = share_out(
        [(content_grains(c.offer.amount) * n, c.serves) for c, n in zip(problem.columns, times, strict=True)],
        [grains(use.amount) for use in problem.uses],
    )
    if any(short):
        raise AssertionError("baskets that were found to cover do not")
    return Chosen(
        times=tuple(times),
        pieces=(),
        given=tuple(tuple((use, amount / GRAIN) for use, amount in one) for one in given),
        cost=found.cost,
        bound=found.cost,
        proven=True,
    )


def _order_part(free: Problem, group: Sequence[int], tied: set[Order]) -> OrderPart:
    """State what one part of a tied basket costs, for any set of shut orders."""
    alone = _part_of(free, group)
    order_of = [(c.offer.shop, c.trip) for c in alone.columns]
    everything = frozenset(range(len(alone.uses)))

    def answer(shut: frozenset[Order]) -> OrderAnswer | None:
        open_ones = [n for n, order in enumerate(order_of) if order not in shut]
        if everything - frozenset().union(*(alone.columns[n].serves for n in open_ones)):
            return None
        try:
            chosen = choose(replace(alone, columns=tuple(alone.columns[n] for n in open_ones)))
        except Infeasible:
            return None
        if not chosen.proven or chosen.bound != chosen.cost:
            raise Undecided
        times = [0] * len(order_of)
        for n, taken in zip(open_ones, chosen.times, strict=True):
            times[n] = taken
        return OrderAnswer(cost=chosen.cost, times=tuple(times))

    return OrderPart(
        orders=frozenset(order_of) & tied,
        spent=tuple(
            (order if order in tied else None, c.offer.price) for order, c in zip(order_of, alone.columns, strict=True)
        ),
        answer=answer,
    )


def _nothing_covers() -> Infeasible:
    return Infeasible(
        "whole packs for every use",
        "no choice of packs in the price book covers it",
        "add an offer, or lift a limit or a minimum order",
    )


def _solve(problem: Problem, extra: Sequence[int]) -> tuple[Chosen, list[int]]:
    uses, columns, cuts = problem.uses, problem.columns, problem.cuts
    need = [grains(use.amount) + more for use, more in zip(uses, extra, strict=True)]
    orders = sorted({(c.offer.shop, c.trip) for c in columns if _tied(problem.shops[c.offer.shop])})
    # The columns of the programme: x, then s, then v, then y.
    first_s = len(columns)
    first_v = first_s + len(cuts)
    first_y = first_v + len(orders)
    lumps = _lumps(problem)
    lumped = {use for lump in lumps for use in lump}
    flows = [(c, use) for c, column in enumerate(columns) for use in sorted(column.serves) if use not in lumped]
    width = first_y + len(flows)
    whole_need = _most_needed(problem, need)

    rows = _Rows()
    covered: list[dict[int, float]] = [{} for _ in uses]
    handed: list[dict[int, float]] = [{} for _ in columns]
    for place, (c, use) in enumerate(flows, start=first_y):
        covered[use][place] = 1.0
        handed[c][place] = 1.0
    for number, cut in enumerate(cuts, start=first_s):
        covered[cut.whole][number] = -grains(cut.split.piece)
        for use, part in cut.parts:
            covered[use][number] = content_grains(part)
    for lump in lumps:
        inside = {
            c: float(content_grains(column.offer.amount)) for c, column in enumerate(columns) if column.serves == lump
        }
        rows.add(inside, sum(need[use] for use in lump), np.inf)
    for use, entries in enumerate(covered):
        if use not in lumped:
            rows.add(entries, need[use], np.inf)
    for c, entries in enumerate(handed):
        if columns[c].serves & lumped:
            continue
        rows.add({**entries, c: -content_grains(columns[c].offer.amount)}, -np.inf, 0.0)
    upper = np.full(width, np.inf)
    for c, column in enumerate(columns):
        served = sum(whole_need[use] for use in column.serves)
        shop = problem.shops[column.offer.shop]
        limit = ceil(served / content_grains(column.offer.amount))
        if shop.minimum > 0 and column.offer.price > 0:
            limit += ceil(shop.minimum / column.offer.price)
        upper[c] = limit
    for number, cut in enumerate(cuts, start=first_s):
        upper[number] = max((ceil(need[use] / content_grains(part)) for use, part in cut.parts), default=0)
    _limit_offers(rows, columns)
    for number, (shop_key, trip) in enumerate(orders, start=first_v):
        shop = problem.shops[shop_key]
        upper[number] = 1.0
        here = [c for c, column in enumerate(columns) if (column.offer.shop, column.trip) == (shop_key, trip)]
        for c in here:
            rows.add({c: 1.0, number: -upper[c]}, -np.inf, 0.0)
        if shop.minimum > 0:
            rows.add({**{c: float(columns[c].offer.price) for c in here}, number: -float(shop.minimum)}, 0.0, np.inf)

    for entries, low in _floors(problem, orders, first_v):
        rows.add(entries, low, np.inf)
    price = np.zeros(width)
    price[: len(columns)] = [float(column.offer.price) for column in columns]
    price[first_v:first_y] = [float(problem.shops[shop].fee) for shop, _ in orders]
    kinds = np.zeros(width, dtype=np.int64)
    kinds[:first_y] = 1
    bounds = Bounds(np.zeros(width), upper)
    cheapest = milp(
        price, integrality=kinds, bounds=bounds, constraints=rows.constraint(width),
        options={"mip_rel_gap": 0.0, "time_limit": TIME_LIMIT_S},
    )  # fmt: skip
    if cheapest.x is None:
        raise _nothing_covers()
    best = cheapest
    proven = cheapest.status == OPTIMAL
    if not orders and problem.lean:
        # Room for the solver's own rounding, far below the smallest coin.
        most_paid = cheapest.fun * (1 + problem.near_equal) + 1e-6
        rows.add({c: value for c, value in enumerate(price) if value}, -np.inf, most_paid)
        spare = np.zeros(width)
        spare[: len(columns)] = [float(v) for v in _worth(columns)]
        # Among equal leftovers the cheaper choice; a thousandth decides no real difference of leftovers.
        leanest = milp(
            spare + price * 1e-3, integrality=kinds, bounds=bounds, constraints=rows.constraint(width),
            options={"mip_rel_gap": 0.0, "time_limit": TIME_LIMIT_S},
        )  # fmt: skip
        if leanest.x is not None:
            best = leanest
        proven = proven and leanest.status == OPTIMAL
    times = [round(value) for value in best.x[: len(columns)]]
    pieces = [round(value) for value in best.x[first_s:first_v]]
    wanted = [grains(use.amount) for use in uses]
    for number, cut in enumerate(cuts):
        wanted[cut.whole] += pieces[number] * grains(cut.split.piece)
        for use, part in cut.parts:
            wanted[use] -= pieces[number] * content_grains(part)
    given, short = share_out(
        [(content_grains(c.offer.amount) * n, c.serves) for c, n in zip(columns, times, strict=True)],
        [max(0, amount) for amount in wanted],
    )
    used = {(columns[c].offer.shop, columns[c].trip) for c, n in enumerate(times) if n}
    cost = sum((c.offer.price * n for c, n in zip(columns, times, strict=True)), Decimal(0))
    cost += sum((problem.shops[shop].fee for shop, _ in sorted(used)), Decimal(0))
    bound = Decimal(repr(float(cheapest.mip_dual_bound))).quantize(Decimal("0.0001"))
    return (
        Chosen(
            times=tuple(times),
            pieces=tuple(pieces),
            given=tuple(tuple((use, amount / GRAIN) for use, amount in one) for one in given),
            cost=cost,
            bound=bound,
            proven=proven,
        ),
        short,
    )


def _lumps(problem: Problem) -> list[frozenset[int]]:
    """Find sets of uses that all their columns serve alike: one sum covers them, and nothing need be shared out."""
    if problem.cuts:
        return []
    found: list[frozenset[int]] = []
    for part in components(problem, tied=False):
        inside = frozenset(part)
        if all(column.serves == inside for column in problem.columns if column.serves & inside):
            found.append(inside)
    return found


def grains(amount: float) -> int:
    """Return a need in whole tenths, rounded up."""
    return ceil(round(amount * GRAIN, 6))


def content_grains(amount: float) -> int:
    """Return a content in whole tenths, rounded down."""
    return int(round(amount * GRAIN, 6))


def _tied(shop: Shop) -> bool:
    return shop.minimum > 0 or shop.fee > 0


def _most_needed(problem: Problem, need: Sequence[int]) -> list[int]:
    """Bound what each use can ask for: its own need, and every piece that could be taken apart. [tenths]"""
    most = list(need)
    for cut in problem.cuts:
        pieces = max((ceil(need[use] / content_grains(part)) for use, part in cut.parts), default=0)
        most[cut.whole] += pieces * grains(cut.split.piece)
    return most


def _limit_offers(rows: _Rows, columns: Sequence[Column]) -> None:
    """Keep an offer that is limited within its limit over all trips."""
    limited: dict[str, list[int]] = {}
    for c, column in enumerate(columns):
        if column.offer.most is not None:
            limited.setdefault(column.offer.key, []).append(c)
    for places in limited.values():
        most = columns[places[0]].offer.most
        if most is not None:
            rows.add(dict.fromkeys(places, 1.0), 0.0, most)


def _by_weight(columns: Sequence[Column]) -> dict[str, Decimal]:
    """Return the cheapest price by weight of each item. [money/g or piece]"""
    found: dict[str, Decimal] = {}
    for column in columns:
        each = column.offer.price / Decimal(repr(column.offer.amount))
        found[column.offer.item] = min(each, found.get(column.offer.item, each))
    return found


def _worth(columns: Sequence[Column]) -> list[Decimal]:
    """Price each offer's content at the cheapest price by weight of its item: what leftovers are counted by."""
    by_weight = _by_weight(columns)
    return [by_weight[c.offer.item] * Decimal(repr(c.offer.amount)) for c in columns]
