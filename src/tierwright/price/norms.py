"""The book of norms: how long a task takes, from common practice until the maker's own times say better."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from math import exp, log
from statistics import fmean, median, stdev
from typing import Final

from tierwright.errors import UnknownName, require_range
from tierwright.price.model import Norm, Stage
from tierwright.working import Basis, Estimate, Source

KEPT: Final = 40
"""Times of a task that are kept: older ones are how the maker used to work. [-]"""
PRIOR_WEIGHT: Final = 2.0
"""How many own times the norm of common practice counts for. [-]"""
LIKELY: Final = 1.2816
"""Half-width of the span that holds four of five values of a normal law, in standard deviations. [-]"""
CLIP: Final = 1.5
CLIP_SPREAD: Final = 1.134
MAD: Final = 1.483


@cache
def norms() -> Mapping[str, Norm]:
    """Return every norm by its task."""
    text = (files("tierwright.price") / "data" / "norms.csv").read_text(encoding="utf-8")
    return {
        row["task"]: Norm(
            task=row["task"],
            label=row["label"],
            per=row["per"],
            minutes=Estimate(
                value=float(row["minutes"]), low=float(row["minutes_low"]), high=float(row["minutes_high"])
            ),
            stage=Stage(row["stage"]),
            kitchen=row["kitchen"] == "yes",
            source=Source(basis=Basis(row["basis"]), text=row["source"]),
        )
        for row in csv.DictReader(text.splitlines())
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTimes:
    """
    What the maker has timed of one task.

    Attributes
    ----------
    task
        Key of the norm.
    minutes
        Minutes for one, the latest last. [min]
    """

    task: str
    minutes: tuple[float, ...] = ()

    def add(self, minutes: float, count: float = 1.0) -> OwnTimes:
        """Return the book with one more time: minutes for a count of the task. [min], [-]"""
        require_range("minutes", minutes, 0.1, 60 * 24 * 7, "min", self.task)
        require_range("count", count, 1e-3, 1e5, "times", self.task)
        return replace(self, minutes=(*self.minutes, minutes / count)[-KEPT:])


def norm(task: str, book: Mapping[str, OwnTimes] | None = None) -> Norm:
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
    Times are positive and skewed, so they are worked as logarithms. Their robust mean and spread (``robust``) are
    blended with the norm of common practice, which counts as ``PRIOR_WEIGHT`` times: the norm moves at once, and one
    afternoon with the telephone ringing does not carry it off.
    """
    known = norms()
    if task not in known:
        raise UnknownName("task", task, list(known))
    usual = known[task]
    own = (book or {}).get(task)
    if own is None or not own.minutes:
        return usual
    logs = [log(minutes) for minutes in own.minutes]
    centre, spread = robust(logs)
    prior = log(usual.minutes.value)
    prior_spread = max(log(usual.minutes.high / usual.minutes.low) / (2 * LIKELY), 0.05)
    weight = len(logs)
    value = (centre * weight + prior * PRIOR_WEIGHT) / (weight + PRIOR_WEIGHT)
    # One or two times say nothing of their own spread: until there are more, the usual spread is kept.
    own_variance = spread**2 if weight > 2 else prior_spread**2
    variance = (own_variance * weight + prior_spread**2 * PRIOR_WEIGHT) / (weight + PRIOR_WEIGHT)
    half = LIKELY * variance**0.5
    return replace(
        usual,
        minutes=Estimate(value=exp(value), low=exp(value - half), high=exp(value + half)),
        times=weight,
        source=Source(
            basis=Basis.MAKER_RECORD,
            text=f"{weight} own time{'s' if weight > 1 else ''}, robust mean; "
            f"the usual norm of {usual.minutes.value:g} min counts as {PRIOR_WEIGHT:g}",
        ),
    )


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
