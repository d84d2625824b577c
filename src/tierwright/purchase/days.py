"""One item over several days: how many of which packs on which trip. Exact, in whole numbers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from tierwright.purchase.cover import Pack, TooLong, cover

MOST_STEPS: Final = 150_000
"""Baskets that are looked at before the search is handed to the general programme. [-]"""

Basket = tuple[tuple[int, int], ...]
"""What is taken on one trip: number of the pack in the trip's list, and how often."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trip:
    """
    One day of shopping for the item.

    Attributes
    ----------
    packs
        What may be bought.
    must, may
        Need of all uses that can wait for no later trip, and of all that this trip or an earlier one may serve, the
        earliest first. [tenths]
    """

    packs: tuple[Pack, ...]
    must: int
    may: int


@dataclass(frozen=True, slots=True)
class _Label:
    """Trips so far: need that is covered [tenths], cost [ten-thousandths], amount bought [tenths], and how."""

    covered: int
    cost: int
    bought: int
    last: tuple[_Label, Basket] | None


def over_days(trips: Sequence[Trip], near_equal: float, *, lean: bool) -> tuple[list[list[int]], int] | None:
    """
    Choose packs of one item for several trips.

    Parameters
    ----------
    trips
        In the order of their days.
    near_equal
        Extra cost accepted for less left over. [-]
    lean
        Whether leftovers count at all.

    Returns
    -------
    times, least
        For each trip, how often each of its packs is taken; and the least cost [ten-thousandths]. None if nothing
        covers the need.

    Raises
    ------
    TooLong
        More than ``MOST_STEPS`` baskets would have to be looked at.

    Notes
    -----
    All uses keep equally long, so their windows follow one another, and what is bought first serves the earliest use
    that is open: what a row of trips has covered is a single number F. Trip t takes F to min(F + bought, may) and must
    reach ``must``. States in which another has covered as much for as little are dropped, and so is every state whose
    cost, with the rest at the best price by weight, exceeds the best basket known [1]_.

    References
    ----------
    .. [1] Nemhauser and Ullmann, Discrete dynamic programming and capital allocation, Management Science 15 (1969)
       494: dropping dominated states.
    """
    search = _Search(trips)
    known = search.greedy()
    if known is None:
        return None
    best = search.run(known, by_amount=False)
    assert best is not None
    if lean:
        least = best.cost
        best = search.run(least + int(least * near_equal), by_amount=True) or best
    else:
        least = best.cost
    return search.times(best), least


class _Search:
    """The search over one row of trips."""

    def __init__(self, trips: Sequence[Trip]) -> None:
        self.trips = trips
        self.need = trips[-1].may
        self.steps = 0
        self.ranked = [_by_rate(trip.packs) for trip in trips]
        # The best price by weight from each trip on, as a fraction: price over amount.
        self.rates: list[tuple[int, int]] = []
        best: tuple[int, int] = (0, 0)
        for trip in reversed(trips):
            for pack in trip.packs:
                if best[1] == 0 or pack.price * best[1] < best[0] * pack.amount:
                    best = (pack.price, pack.amount)
            self.rates.append(best)
        self.rates.reverse()

    def _rest(self, place: int, rest: int) -> int:
        """Return the least that the rest can cost from a trip on; nothing that can be bought costs nothing here."""
        if rest <= 0 or place >= len(self.rates):
            return 0
        price, amount = self.rates[place]
        return -(-rest * price // amount) if amount else 0

    def greedy(self) -> int | None:
        """Return what a row of baskets costs that covers what it must, trip by trip, and as late as it can."""
        found: list[int] = []
        for early in (False, True):
            covered, cost = 0, 0
            for trip in self.trips:
                want = (trip.may if early else trip.must) - covered
                if want <= 0:
                    continue
                basket = cover(want, trip.packs, 0.0) if trip.packs else None
                if basket is None:
                    if trip.must > covered:
                        break
                    continue
                cost += basket[1]
                bought = sum(n * pack.amount for n, pack in zip(basket[0], trip.packs, strict=True))
                covered = min(trip.may, covered + bought)
            else:
                if covered >= self.need:
                    found.append(cost)
        return min(found) if found else None

    def run(self, limit: int, *, by_amount: bool) -> _Label | None:
        """Return the cheapest state within a limit of cost, or the one that buys least (``by_amount``)."""
        labels = [_Label(0, 0, 0, None)]
        for place, trip in enumerate(self.trips):
            grown: list[_Label] = []
            for label in labels:
                for basket, cost, amount in self._baskets(place, label, limit):
                    covered = min(label.covered + amount, max(trip.may, label.covered))
                    if covered < trip.must or cost + self._rest(place + 1, self.need - covered) > limit:
                        continue
                    grown.append(_Label(covered, cost, label.bought + amount, (label, basket)))
            labels = _undominated(grown, by_amount=by_amount)
        done = [label for label in labels if label.covered >= self.need]
        order = (lambda one: (one.bought, one.cost)) if by_amount else (lambda one: (one.cost, one.bought))
        return min(done, key=order, default=None)

    def _baskets(self, place: int, label: _Label, limit: int) -> Iterator[tuple[Basket, int, int]]:
        """Yield every basket of a trip that may still be part of an answer: it, the cost so far, its amount."""
        trip, ranked = self.trips[place], self.ranked[place]
        room = trip.may - label.covered
        stack: list[tuple[int, int, int, Basket]] = [(0, label.cost, 0, ())]
        while stack:
            at, cost, amount, basket = stack.pop()
            self.steps += 1
            if self.steps > MOST_STEPS:
                raise TooLong
            if at == len(ranked) or amount >= room:
                yield basket, cost, amount
                continue
            number = ranked[at]
            pack = trip.packs[number]
            most = min(pack.most, -(-(room - amount) // pack.amount))
            stack.append((at + 1, cost, amount, basket))
            for times in range(1, most + 1):
                paid, held = cost + times * pack.price, amount + times * pack.amount
                # Whatever is added costs at least the best price by weight.
                if paid + self._rest(place, self.need - label.covered - held) > limit:
                    break
                stack.append((at + 1, paid, held, (*basket, (number, times))))

    def times(self, label: _Label) -> list[list[int]]:
        """Return how often each pack is taken on each trip."""
        found = [[0] * len(trip.packs) for trip in self.trips]
        at, place = label, len(self.trips) - 1
        while at.last is not None:
            at, basket = at.last
            for number, times in basket:
                found[place][number] = times
            place -= 1
        return found


def _by_rate(packs: Sequence[Pack]) -> list[int]:
    """Return the places of packs, the cheapest by weight first."""
    return sorted(range(len(packs)), key=lambda n: (packs[n].price / packs[n].amount, n))


def _undominated(labels: list[_Label], *, by_amount: bool) -> list[_Label]:
    """Drop every state that another matches or beats in all that counts."""
    labels.sort(key=lambda one: (-one.covered, one.cost, one.bought))
    kept: list[_Label] = []
    least: int | None = None
    for label in labels:
        if by_amount:
            if any(other.cost <= label.cost and other.bought <= label.bought for other in kept):
                continue
        elif least is not None and least <= label.cost:
            continue
        least = label.cost
        kept.append(label)
    return kept
