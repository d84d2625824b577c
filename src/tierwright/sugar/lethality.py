"""How much Salmonella a warming kills in egg, and how that stands beside what regulators publish."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import pairwise
from math import log10
from typing import Final

from tierwright.errors import UnknownName, require_range
from tierwright.working import Estimate

History = Sequence[tuple[float, float]]
"""Points of time [s] and temperature [C], in order of time."""

COLDEST_COUNTED_C: Final = 54.0
"""Below the coolest measured D value nothing is counted. [C]"""

Z_WHITE: Final = Estimate(value=4.3, low=3.54, high=5.3)
"""z of Salmonella in egg: 3.54 to 4.33 (Schuman and Sheldon 1997), 4.2 to 5.3 (Garibaldi 1969). [K]"""

# Garibaldi 1969: 10 % of sugar makes D 2.2 times as long in white, 2.2 in whole egg, 10 in yolk. A meringue holds 40 to
# 65 % sugar, which nobody measured; the middle takes the white's factor, the cautious end the yolk's.
SUGAR_FACTOR: Final = Estimate(value=2.2, low=2.2, high=10.0)
SUGAR_FROM_SHARE: Final = 0.05

TARGET_LOGS: Final = 5.0

HOLD_C: Final = 60.0
"""Where whites over a water bath are usually held: there the papers' rows are compared. [C]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class DValue:
    """
    One published decimal reduction time.

    Attributes
    ----------
    key
        Short name.
    medium
        What was heated.
    ph
        Its pH; None where it was not given. [-]
    sugar_percent
        Sugar added. [%]
    temperature_c
        Temperature. [C]
    d_min
        Time that kills nine in ten. [min]
    source
        Author, year, journal.
    """

    key: str
    medium: str
    ph: float | None
    sugar_percent: float
    temperature_c: float
    d_min: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EggLimit:
    """
    One time and temperature that a regulator publishes for egg.

    Attributes
    ----------
    key, what
        Short name, and what it is for.
    temperature_c, hold_s
        At least this hot for at least this long; 0 s is an instant reading. [C], [s]
    covers_sugared_white
        Whether it may be held against white with sugar; the pasteuriser's tables may not.
    jurisdiction, section, edition, source
        Where it stands.
    """

    key: str
    what: str
    temperature_c: float
    hold_s: float
    covers_sugared_white: bool
    jurisdiction: str
    section: str
    edition: str
    source: str


@cache
def d_values() -> dict[str, DValue]:
    """Return the published decimal reduction times by key."""
    return {
        row["key"]: DValue(
            key=row["key"],
            medium=row["medium"],
            ph=float(row["ph"]) if row["ph"] else None,
            sugar_percent=float(row["sugar_percent"]),
            temperature_c=float(row["temperature_c"]),
            d_min=float(row["d_min"]),
            source=row["source"],
        )
        for row in _rows("lethality.csv")
    }


@cache
def egg_limits() -> dict[str, EggLimit]:
    """Return the published times and temperatures for egg by key."""
    return {
        row["key"]: EggLimit(
            key=row["key"],
            what=row["what"],
            temperature_c=float(row["temperature_c"]),
            hold_s=float(row["hold_s"]),
            covers_sugared_white=row["covers_sugared_white"] == "yes",
            jurisdiction=row["jurisdiction"],
            section=row["section"],
            edition=row["edition"],
            source=row["source"],
        )
        for row in _rows("egg_limits.csv")
    }


def d_value(key: str) -> DValue:
    """Return one published decimal reduction time; ``UnknownName`` if there is none of that name."""
    table = d_values()
    if key not in table:
        raise UnknownName("D value", key, tuple(table))
    return table[key]


def z_between(cooler: DValue, hotter: DValue) -> float:
    """
    Degrees that shorten D tenfold, from two D values.

    Parameters
    ----------
    cooler, hotter
        Two D values of the same medium.

    Returns
    -------
    z
        [K]
    """
    return (hotter.temperature_c - cooler.temperature_c) / log10(cooler.d_min / hotter.d_min)


def d_at(celsius: float, *, d_ref_min: float, ref_c: float, z_k: float) -> float:
    """
    Decimal reduction time at another temperature.

    Parameters
    ----------
    celsius
        Temperature. [C]
    d_ref_min
        D at the reference. [min]
    ref_c
        The reference temperature. [C]
    z_k
        Degrees for a factor of ten. [K]

    Returns
    -------
    d_min
        [min]
    """
    return float(d_ref_min * 10.0 ** ((ref_c - celsius) / z_k))


@cache
def slowest_white() -> DValue:
    """Return the plain white in which Salmonella died slowest, all papers' rows carried to one temperature by z."""
    plain = [row for row in d_values().values() if row.medium == "white" and not row.sugar_percent]
    return max(
        plain,
        key=lambda row: d_at(HOLD_C, d_ref_min=row.d_min, ref_c=row.temperature_c, z_k=Z_WHITE.value),
    )


def log_kill(history: History, *, d_ref_min: float, ref_c: float, z_k: float) -> float:
    """
    Decimal reductions over a history of temperature.

    Parameters
    ----------
    history
        Times [s] and temperatures [C]; between two points the temperature runs straight.
    d_ref_min, ref_c, z_k
        As in ``d_at``. [min], [C], [K]

    Returns
    -------
    logs
        Integral of dt / D(T); what is cooler than 54 C counts nothing. [-]

    Notes
    -----
    Each piece is integrated exactly: 10^(T/z) of a straight line is again an exponential.
    """
    total = 0.0
    for (t0, c0), (t1, c1) in pairwise(history):
        if t1 < t0:
            raise ValueError("a history runs forward in time")
        total += _piece(t0, c0, t1, c1, d_ref_min, ref_c, z_k)
    return total


def _piece(t0: float, c0: float, t1: float, c1: float, d_ref_min: float, ref_c: float, z_k: float) -> float:
    """Decimal reductions along one straight piece, clipped at the coldest temperature that counts."""
    if max(c0, c1) <= COLDEST_COUNTED_C or t1 == t0:
        return 0.0
    if min(c0, c1) < COLDEST_COUNTED_C:
        cut = t0 + (COLDEST_COUNTED_C - c0) / (c1 - c0) * (t1 - t0)
        if c0 < c1:
            t0, c0 = cut, COLDEST_COUNTED_C
        else:
            t1, c1 = cut, COLDEST_COUNTED_C
    minutes = (t1 - t0) / 60.0
    rate0 = 1.0 / d_at(c0, d_ref_min=d_ref_min, ref_c=ref_c, z_k=z_k)
    rate1 = 1.0 / d_at(c1, d_ref_min=d_ref_min, ref_c=ref_c, z_k=z_k)
    # The mean of an exponential between its ends; equal ends have the plain mean.
    if abs(c1 - c0) < 1e-6:
        return minutes * (rate0 + rate1) / 2
    return minutes * (rate1 - rate0) / (2.302585092994046 * (c1 - c0) / z_k)


def white_kill(history: History, *, sugar_share: float) -> Estimate:
    """
    Decimal reductions of Salmonella in white with sugar, with the range that the papers leave.

    Parameters
    ----------
    history
        Times [s] and temperatures [C].
    sugar_share
        Sugar as a share of the whole. [1], 0 to 0.8

    Returns
    -------
    logs
        The cautious end is the one to act on. [-]

    Notes
    -----
    Starts from the slowest measured white, that of Palumbo et al. at pH 7.8 (3.60 min at 56.6 C): carried by z, it lies
    at or above every other measured white. From 5 % of sugar on, D is 2.2 times as long in the middle and ten times in
    the cautious case. Above 10 % nobody measured.
    """
    require_range("sugar", sugar_share, 0.0, 0.8, "of the whole")
    base = slowest_white()
    factor = SUGAR_FACTOR if sugar_share >= SUGAR_FROM_SHARE else Estimate.exact(1.0)
    cases = [
        log_kill(history, d_ref_min=base.d_min * f, ref_c=base.temperature_c, z_k=z)
        for f in (factor.low, factor.value, factor.high)
        for z in (Z_WHITE.low, Z_WHITE.value, Z_WHITE.high)
    ]
    middle = log_kill(history, d_ref_min=base.d_min * factor.value, ref_c=base.temperature_c, z_k=Z_WHITE.value)
    return Estimate(value=middle, low=min(cases), high=max(cases))


def time_at_or_above(history: History, celsius: float) -> float:
    """
    Time for which a history stays at a temperature or above it.

    Parameters
    ----------
    history
        Times [s] and temperatures [C].
    celsius
        The temperature. [C]

    Returns
    -------
    seconds
        [s]
    """
    total = 0.0
    for (t0, c0), (t1, c1) in pairwise(history):
        if c0 >= celsius and c1 >= celsius:
            total += t1 - t0
        elif max(c0, c1) > celsius:
            total += (t1 - t0) * (max(c0, c1) - celsius) / abs(c1 - c0)
    return total


def meets(limit: EggLimit, history: History) -> bool:
    """Whether a history satisfies one published time and temperature."""
    if limit.hold_s == 0:
        return max(celsius for _, celsius in history) >= limit.temperature_c
    return time_at_or_above(history, limit.temperature_c) >= limit.hold_s


def _rows(name: str) -> list[dict[str, str]]:
    text = files("tierwright.sugar").joinpath(f"data/{name}").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))
