"""How many portions will be wanted, as a distribution, and how many keep the maker's risk.

Two things are not known beforehand: how many people come, and what share of them eats cake. The number who come is
a bell with a slope of its own on either side; the share is a beta distribution; given both, each person eats or not.
The number of portions is then a mixture of beta-binomials, summed exactly: nothing is sampled.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, floor, sqrt

import numpy as np
import numpy.typing as npt

from tierwright.errors import MissingData, require_range
from tierwright.sizing.model import Demand
from tierwright.words import Cutter, OtherDessert
from tierwright.working import Estimate

LIKELY_Z = 1.2815515655446004
"""Standard deviations on either side of the mean that hold four cases in five of a normal distribution. [-]"""

TAKE_UP = {
    OtherDessert.NONE: Estimate(value=0.85, low=0.79, high=0.91),
    OtherDessert.SOME: Estimate(value=0.80, low=0.73, high=0.87),
    OtherDessert.MAIN: Estimate(value=0.75, low=0.66, high=0.84),
}
"""Share of those attending who eat cake, by what else there is. [-] Common practice: 75 to 85 %."""

REPLY_SHARE = Estimate(value=0.85, low=0.75, high=0.95)
"""Share of those invited who come, before replies are in. [-] Common practice."""

CUT_YIELD = {Cutter.MAKER: 1.0, Cutter.CATERER: 1.0, Cutter.CLIENT: 0.9}
"""Portions really cut over portions planned, by who cuts with the guide in hand. [-] Common practice."""

MOST_PEOPLE = 5000
# Numbers of attending people that are summed one by one; a wider span is summed in as many even steps.
_MOST_STEPS = 96


@dataclass(frozen=True, slots=True, kw_only=True)
class Turnout:
    """The two uncertain inputs as they were used, and whether a default stood in for either."""

    attending: Estimate
    take_up: Estimate
    attending_assumed: bool
    take_up_assumed: bool


def turnout(
    *, attending: Estimate | None, invited: int | None, take_up: Estimate | None, other_dessert: OtherDessert
) -> Turnout:
    """
    Settle how many come and what share eats cake, with the house's defaults where the brief is silent.

    Parameters
    ----------
    attending
        People expected, with their likely span, or None.
    invited
        People invited, or None.
    take_up
        Share who eat cake, 0 to 1, with its likely span, or None. [-]
    other_dessert
        What else there is to eat.

    Raises
    ------
    MissingData
        Neither the number attending nor the number invited is known.
    OutOfRange
        More than 5000 people, or a share outside 0 to 1.
    """
    if attending is None and invited is None:
        raise MissingData("the number attending or invited", "the number of portions", "commission")
    people = attending if attending is not None else REPLY_SHARE * float(invited or 0)
    require_range("people attending", people.low, 0.0, MOST_PEOPLE, "people")
    require_range("people attending", people.high, 0.0, MOST_PEOPLE, "people")
    share = take_up if take_up is not None else TAKE_UP[other_dessert]
    require_range("share who eat cake", share.low, 0.0, 1.0, "of those attending")
    require_range("share who eat cake", share.high, 0.0, 1.0, "of those attending")
    return Turnout(
        attending=people,
        take_up=share,
        attending_assumed=attending is None,
        take_up_assumed=take_up is None,
    )


@lru_cache(maxsize=256)
def demand(
    *, attending: Estimate, take_up: Estimate, risk: float, extra_portions: int = 0, invited: int | None = None
) -> Demand:
    """
    Work the distribution of portions wanted.

    Parameters
    ----------
    attending
        People expected; ``low`` to ``high`` holds about four cases in five. 0 to 5000
    take_up
        Share of them who eat cake, with the same kind of span, 0 to 1. [-]
    risk
        Chance of running short that the maker accepts, 0.001 to 0.5. [-]
    extra_portions
        Portions that are wanted in any case, 0 to 1000.
    invited
        People invited, or None; no more than these (or than ``attending.high``, if that is more) are reckoned with.

    Returns
    -------
    demand
        Mean, deviation, chance of more than each number, and the smallest number that keeps the risk.

    Raises
    ------
    OutOfRange
        An input outside its span.

    References
    ----------
    .. [1] Johnson, Kemp and Kotz, Univariate Discrete Distributions, 3rd ed. 2005, section 6.2.2 (beta-binomial).
    .. [2] Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions, vol. 2, 2nd ed. 1995, chapter 25
       (moments of the beta distribution).
    """
    require_range("accepted risk", risk, 0.001, 0.5, "chance")
    require_range("extra portions", extra_portions, 0, 1000, "portions")
    for end in (attending.low, attending.high):
        require_range("people attending", end, 0.0, MOST_PEOPLE, "people")
    for end in (take_up.low, take_up.high):
        require_range("share who eat cake", end, 0.0, 1.0, "of those attending")
    numbers, weights = _people(attending, invited)
    most = int(numbers[-1])
    chance = np.zeros(most + 1)
    for number, weight in zip(numbers.tolist(), weights.tolist(), strict=True):
        chance[: number + 1] += weight * _eaters(number, take_up)
    counts = np.arange(most + 1)
    mean = float(chance @ counts)
    sd = sqrt(max(0.0, float(chance @ (counts - mean) ** 2)))
    # Summed from the far end, so that the small chances keep their digits.
    more = np.append(np.cumsum(chance[::-1])[::-1][1:], 0.0)
    short = np.concatenate([np.ones(extra_portions), np.clip(more, 0.0, 1.0)])
    wanted = int(np.argmax(short <= risk))
    return Demand(mean=mean + extra_portions, sd=sd, chances=tuple(short.tolist()), wanted=max(1, wanted), risk=risk)


def shortage_risk(wanted: Demand, portions: int) -> float:
    """Return the chance that more than ``portions`` are wanted. [-]"""
    return wanted.chances[portions] if portions < len(wanted.chances) else 0.0


def _people(attending: Estimate, invited: int | None) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.float64]]:
    """Numbers of people who may come, and the chance of each: a normal with its own deviation on either side."""
    below = (attending.value - attending.low) / LIKELY_Z
    above = (attending.high - attending.value) / LIKELY_Z
    first = max(0, floor(attending.value - 4 * below))
    last = min(MOST_PEOPLE, ceil(attending.value + 4 * above))
    if invited is not None:
        last = min(last, max(invited, ceil(attending.high)))
    step = max(1, ceil((last - first) / _MOST_STEPS))
    # The last number is always among them, so that nobody is left out at the top.
    numbers = np.arange(last, first - 1, -step, dtype=np.int64)[::-1]
    off = numbers - attending.value
    spread = np.where(off < 0, max(below, 1e-3), max(above, 1e-3))
    weights = np.exp(-0.5 * (off / spread) ** 2)
    if not weights.sum() > 0 or first == last:
        # Between two whole numbers and sure: the larger, so that nobody is left out.
        weights = (numbers == ceil(attending.value)).astype(np.float64)
    return numbers, np.asarray(weights / weights.sum())


def _eaters(people: int, share: Estimate) -> npt.NDArray[np.float64]:
    """Chance that 0, 1, ... of so many people eat cake."""
    counts = np.arange(people + 1)
    mean = share.value
    sd = (share.high - share.low) / (2 * LIKELY_Z)
    if mean <= 0.0 or mean >= 1.0:
        return np.asarray(counts == (people if mean >= 1.0 else 0), dtype=np.float64)
    # A beta distribution cannot be wider than this; beyond it the share is taken as anything between its ends.
    sd = min(sd, 0.95 * sqrt(mean * (1 - mean)))
    log_choose = _log_factorial(people)[-1] - _log_factorial(people) - _log_factorial(people)[::-1]
    if sd < 1e-6:
        return np.asarray(np.exp(log_choose + counts * np.log(mean) + counts[::-1] * np.log1p(-mean)))
    tightness = mean * (1 - mean) / sd**2 - 1
    a, b = mean * tightness, (1 - mean) * tightness
    log_beta = _log_rising(a, people) + _log_rising(b, people)[::-1] - _log_rising(a + b, people)[-1]
    return np.asarray(np.exp(log_choose + log_beta))


@lru_cache(maxsize=512)
def _log_factorial(people: int) -> npt.NDArray[np.float64]:
    return np.concatenate([[0.0], np.cumsum(np.log(np.arange(1, people + 1)))])


def _log_rising(start: float, people: int) -> npt.NDArray[np.float64]:
    """Logarithm of ``start (start + 1) ... (start + k - 1)`` for k from 0 to the number of people."""
    return np.concatenate([[0.0], np.cumsum(np.log(start + np.arange(people)))])
