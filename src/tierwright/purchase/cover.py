"""The common case by itself: one item, one day, and which of its packs to take. Exact, in whole numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

MOST_STEPS: Final = 200_000
"""Baskets that are tried before the search is handed to the general programme. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """One kind of pack: what it holds [tenths], what it costs [ten-thousandths], how many there may be [-]."""

    amount: int
    price: int
    most: int


class TooLong(Exception):
    """More baskets than are tried here."""


def cover(need: int, packs: Sequence[Pack], near_equal: float) -> tuple[tuple[int, ...], int] | None:
    """
    Choose packs of one item that hold at least what is needed.

    Parameters
    ----------
    need
        What is needed. [tenths]
    packs
        What may be bought.
    near_equal
        Extra cost accepted for less left over. [-]

    Returns
    -------
    times, least
        How often each pack is taken, and the least cost of all baskets [ten-thousandths]; None if nothing holds
        enough.

    Raises
    ------
    TooLong
        More than ``MOST_STEPS`` baskets would have to be looked at.

    Notes
    -----
    Depth first through the packs, cheapest by weight first; a branch is left when even its remaining need at the best
    price by weight costs too much.
    """
    order = sorted(range(len(packs)), key=lambda n: (packs[n].price / packs[n].amount, -packs[n].amount, n))
    ranked = [packs[n] for n in order]
    search = _Search(need, ranked)
    search.cheapest(0, need, 0)
    if search.least is None:
        return None
    search.limit = search.least + int(search.least * near_equal)
    search.leanest(0, need, 0, 0)
    times = [0] * len(packs)
    for place, number in zip(order, search.best, strict=True):
        times[place] = number
    return tuple(times), search.least


class _Search:
    """The two searches over one ranking of packs."""

    def __init__(self, need: int, packs: Sequence[Pack]) -> None:
        self.packs = packs
        self.least: int | None = None
        self.limit = 0
        self.best: list[int] = [0] * len(packs)
        self.score: tuple[int, int] | None = None
        self.steps = 0
        self.now = [0] * len(packs)
        self.holds = [0] * (len(packs) + 1)
        for n in range(len(packs) - 1, -1, -1):
            self.holds[n] = self.holds[n + 1] + packs[n].amount * min(packs[n].most, -(-need // packs[n].amount))

    def _step(self) -> None:
        self.steps += 1
        if self.steps > MOST_STEPS:
            raise TooLong

    def _at_least(self, place: int, rest: int) -> int:
        pack = self.packs[place]
        return -(-rest * pack.price // pack.amount)

    def cheapest(self, place: int, rest: int, cost: int) -> None:
        self._step()
        if rest <= 0:
            if self.least is None or cost < self.least:
                self.least = cost
            return
        if place == len(self.packs) or self.holds[place] < rest:
            return
        if self.least is not None and cost + self._at_least(place, rest) >= self.least:
            return
        pack = self.packs[place]
        for number in range(min(pack.most, -(-rest // pack.amount)), -1, -1):
            self.cheapest(place + 1, rest - number * pack.amount, cost + number * pack.price)

    def leanest(self, place: int, rest: int, cost: int, bought: int) -> None:
        self._step()
        if rest <= 0:
            if cost <= self.limit and (self.score is None or (bought, cost) < self.score):
                self.score = (bought, cost)
                self.best = [*self.now[:place], *[0] * (len(self.packs) - place)]
            return
        if place == len(self.packs) or self.holds[place] < rest:
            return
        if cost + self._at_least(place, rest) > self.limit:
            return
        pack = self.packs[place]
        for number in range(min(pack.most, -(-rest // pack.amount)), -1, -1):
            self.now[place] = number
            self.leanest(
                place + 1, rest - number * pack.amount, cost + number * pack.price, bought + number * pack.amount
            )
        self.now[place] = 0
