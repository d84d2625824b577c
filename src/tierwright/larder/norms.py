"""The book of norms: how long work takes, from common practice until the maker's own times say better."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from importlib.resources import files
from math import exp, log
from statistics import fmean, median, stdev
from typing import Final

from tierwright.errors import UnknownName, require_range
from tierwright.words import CoatStyle
from tierwright.working import Basis, Estimate, Source

KEPT: Final = 40
"""Times of a task that are kept: older ones are how the maker used to work. [-]"""
PRIOR_WEIGHT: Final = 2.0
"""How many own times the norm of common practice counts for. [-]"""
LIKELY: Final = 1.2816
"""Half-width of the span that holds four of five values of a normal law, in standard deviations. [-]"""
LEAST_SPREAD: Final = 0.05
CLIP: Final = 1.5
CLIP_SPREAD: Final = 1.134
MAD: Final = 1.483

FINISH_FACTORS: Final[Mapping[CoatStyle, float]] = {
    CoatStyle.FULL: 1.0,
    CoatStyle.SEMI_NAKED: 0.6,
    CoatStyle.NAKED: 0.2,
    CoatStyle.ROLLED: 1.2,
    CoatStyle.GANACHE: 1.3,
}
"""Time of coating with a finish over that of a plain coat. [-] Common practice."""


class Stage(StrEnum):
    """When work is done, for what has been spent by a date."""

    BOOKING = "booking"
    SHOPPING = "shopping"
    AHEAD = "ahead"  # flowers, toppers: weeks before
    KITCHEN = "kitchen"
    DELIVERY = "delivery"
    AFTER = "after"


@dataclass(frozen=True, slots=True, kw_only=True)
class Norm:
    """
    How long a task takes: so much each time that it is begun, and so much for each unit.

    Attributes
    ----------
    task, label
        Key and words.
    unit
        What it is counted by: ingredient, pan, layer, tier, kilogram, minute on the way ...
    base_min, each_min
        For beginning it, and for one unit. [min]
    low_share, high_share
        Likely span, as shares of the value. [-]
    stage
        When it is done.
    kitchen
        Whether it dirties the kitchen, so that cleaning follows it.
    times
        How often the maker has timed it; 0 for a norm that is nobody's own. [-]
    source
        Where it comes from.
    """

    task: str
    label: str
    unit: str
    base_min: float
    each_min: float
    low_share: float
    high_share: float
    stage: Stage
    kitchen: bool
    times: int = 0
    source: Source

    def minutes(self, count: float, factor: float = 1.0, *, jobs: float = 1.0) -> Estimate:
        """
        Return how long work takes.

        Parameters
        ----------
        count
            Units of it. [-]
        factor
            A pace over the norm's, such as that of a finish that takes longer. [-]
        jobs
            How often it is begun; part of one where several share it. [-]

        Returns
        -------
        minutes
            With its likely span. [min]
        """
        value = (self.base_min * jobs + self.each_min * count) * factor
        return Estimate(value=value, low=value * self.low_share, high=value * self.high_share)


@cache
def norms() -> Mapping[str, Norm]:
    """Return every norm of common practice by its task."""
    text = (files("tierwright.larder") / "data" / "norms.csv").read_text(encoding="utf-8")
    return {
        row["task"]: Norm(
            task=row["task"],
            label=row["label"],
            unit=row["unit"],
            base_min=float(row["base_min"]),
            each_min=float(row["each_min"]),
            low_share=float(row["low_share"]),
            high_share=float(row["high_share"]),
            stage=Stage(row["stage"]),
            kitchen=row["kitchen"] == "yes",
            source=Source(basis=Basis(row["basis"]), text=row["source"]),
        )
        for row in csv.DictReader(text.splitlines())
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTimes:
    """
    What the maker has timed of one task, each time as a share of what the norm of common practice says.

    Attributes
    ----------
    task
        Key of the norm.
    paces
        Minutes it took over minutes of the norm, the latest last. [-]
    """

    task: str
    paces: tuple[float, ...] = ()

    def add(self, minutes: float, usual_min: float) -> OwnTimes:
        """
        Return the book with one more time.

        Parameters
        ----------
        minutes
            What it took. [min]
        usual_min
            What the norm of common practice says of the same work. [min]

        Raises
        ------
        OutOfRange
            A time that no clock shows, or fifty times more or less than the norm's: a slip of the pen.
        """
        require_range("minutes", minutes, 0.1, 60 * 24 * 7, "min", self.task)
        require_range("minutes of the norm", usual_min, 0.01, 60 * 24 * 7, "min", self.task)
        pace = minutes / usual_min
        require_range("pace over the norm", pace, 0.02, 50.0, "times", self.task)
        return replace(self, paces=(*self.paces, pace)[-KEPT:])


Book = Mapping[str, OwnTimes]
"""The maker's own times by task."""


def norm(task: str, book: Book | None = None) -> Norm:
    """
    Return the norm of a task, the maker's own where there are times.

    Parameters
    ----------
    task
        Key of the table.
    book
        The maker's own times by task.

    Raises
    ------
    UnknownName
        No norm is called so.

    Notes
    -----
    Times are positive and skewed, so they are worked as logarithms of their pace over the norm of common practice.
    Their robust mean and spread (``robust``) are blended with that norm, which counts as ``PRIOR_WEIGHT`` times: the
    norm moves at once, and one afternoon with the telephone ringing does not carry it off. A pace moves base and units
    alike.
    """
    known = norms()
    if task not in known:
        raise UnknownName("task", task, list(known))
    usual = known[task]
    own = (book or {}).get(task)
    if own is None or not own.paces:
        return usual
    logs = [log(pace) for pace in own.paces]
    centre, spread = robust(logs)
    prior_spread = max(log(usual.high_share / usual.low_share) / (2 * LIKELY), LEAST_SPREAD)
    weight = len(logs)
    # The norm's own pace is 1, so its logarithm is nought.
    value = centre * weight / (weight + PRIOR_WEIGHT)
    # One or two times say nothing of their own spread: until there are more, the usual spread is kept.
    own_variance = spread**2 if weight > 2 else prior_spread**2
    variance = (own_variance * weight + prior_spread**2 * PRIOR_WEIGHT) / (weight + PRIOR_WEIGHT)
    half = LIKELY * variance**0.5
    pace = exp(value)
    return replace(
        usual,
        base_min=usual.base_min * pace,
        each_min=usual.each_min * pace,
        low_share=exp(-half),
        high_share=exp(half),
        times=weight,
        source=Source(
            basis=Basis.MAKER_RECORD,
            text=f"{weight} own time{'s' if weight > 1 else ''}, {pace:.2f} of the usual by their robust mean; "
            f"the usual norm counts as {PRIOR_WEIGHT:g} of them",
        ),
    )


def pace_of(task: str, book: Book | None = None) -> float:
    """Return the maker's own pace of a task over the norm of common practice; 1 where nothing was timed. [-]"""
    usual, own = norms()[task], norm(task, book)
    return own.each_min / usual.each_min if usual.each_min else own.base_min / usual.base_min


def robust(values: list[float]) -> tuple[float, float]:
    """
    Return the mean and spread of values in a way that a few wild ones cannot spoil.

    Parameters
    ----------
    values
        At least one.

    Notes
    -----
    Huber's proposal with clipping at 1.5 spreads (H15): start at the median and 1.483 × the median absolute
    deviation; pull values beyond ±1.5 spreads in to there; take their mean, and 1.134 × their standard deviation;
    repeat until it stands [1]_.

    References
    ----------
    .. [1] Analytical Methods Committee, Robust statistics: a method of coping with outliers, AMC Technical Brief 6,
       Royal Society of Chemistry (2001); AMC, Analyst 114 (1989) 1693.
    """
    centre = median(values)
    spread = MAD * median(abs(value - centre) for value in values)
    for _ in range(200):
        if spread == 0:
            break
        pulled = [min(max(value, centre - CLIP * spread), centre + CLIP * spread) for value in values]
        last = centre, spread
        centre, spread = fmean(pulled), CLIP_SPREAD * stdev(pulled)
        if abs(centre - last[0]) + abs(spread - last[1]) < 1e-10:
            break
    return centre, spread
