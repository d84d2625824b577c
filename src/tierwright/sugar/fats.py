"""How much of a fat is solid at a temperature, and what that means for a coat under the knife."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Final

import numpy as np
from scipy.optimize import brentq

from tierwright.errors import UnknownName, require_range
from tierwright.working import Estimate

COLDEST_C: Final = 5.0
HOTTEST_C: Final = 50.0

# Milk fat and cocoa butter disturb each other's crystals: mixtures are softer than their mean, most at half and half.
EUTECTIC_POINTS: Final = Estimate(value=12.0, low=6.0, high=20.0)

# Solid fat in 100 g of the whole coat at which the hand feels the change; set so that a meringue buttercream of a third
# fat works from about 15 to 25 C (common practice).
FIRM_G: Final = 12.0
WORKS_G: Final = 4.0
RUNS_G: Final = 2.0
BEST_LOW_G: Final = 4.6
BEST_HIGH_G: Final = 7.0

FAT_CP: Final = 2.0  # J/(g K), liquid and solid alike, Choi and Okos 1986 near 20 C: 2.01
FAT_LATENT: Final[dict[str, float]] = {
    "butterfat": 85.0,
    "cocoa-butter": 150.0,
    "milk-chocolate-fat": 120.0,
    "shortening": 95.0,
    "coconut": 110.0,
}
"""Heat of melting of the whole fat, from memory of calorimetry; 10 to 15 % either way. [J/g]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpreadWindow:
    """
    Temperatures at which a coat works.

    Attributes
    ----------
    firm_below_c
        Colder than this it tears the crumb. [C]; None if it is never that firm above 5 C
    works_to_c
        Warmer than this it will not hold a line. [C]; None if it is too soft at 5 C already
    runs_above_c
        Warmer than this it runs. [C]; None likewise
    best_low_c, best_high_c
        Where to beat and spread it. [C]; None where it never stands there
    solid_g_at_20_c
        Solid fat in 100 g of it at 20 C. [g/100 g]
    """

    firm_below_c: float | None
    works_to_c: Estimate | None
    runs_above_c: float | None
    best_low_c: float | None
    best_high_c: float | None
    solid_g_at_20_c: Estimate


@cache
def _curves() -> dict[str, tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]]:
    text = files("tierwright.sugar").joinpath("data/solid_fat.csv").read_text(encoding="utf-8")
    rows: dict[str, list[tuple[float, float, float, float]]] = {}
    for row in csv.DictReader(text.splitlines()):
        values = (float(row["temperature_c"]), float(row["solid_percent"]), float(row["low"]), float(row["high"]))
        rows.setdefault(row["fat"], []).append(values)
    return {fat: tuple(np.array(column) for column in zip(*sorted(table), strict=True)) for fat, table in rows.items()}  # type: ignore[misc]


def fat_kinds() -> tuple[str, ...]:
    """Return the names of the fats whose curves are known."""
    return tuple(_curves())


def solid_percent(fat: str, celsius: float) -> Estimate:
    """
    Share of one fat that is solid.

    Parameters
    ----------
    fat
        Name of the fat, such as ``butterfat``.
    celsius
        Temperature, after standing long enough to settle. [C], 5 to 50

    Returns
    -------
    solid
        [%]

    Raises
    ------
    UnknownName
        No curve of that name.
    OutOfRange
        Outside 5 to 50 C.

    Notes
    -----
    Read straight between the rows of ``solid_fat.csv``. A fat that was just melted sets late: for an hour or more it
    is softer than this.
    """
    require_range("temperature of the fat", celsius, COLDEST_C, HOTTEST_C, "C")
    if fat not in _curves():
        raise UnknownName("fat", fat, fat_kinds())
    at, middle, low, high = _curves()[fat]
    return Estimate(
        value=float(np.interp(celsius, at, middle)),
        low=float(np.interp(celsius, at, low)),
        high=float(np.interp(celsius, at, high)),
    )


def solid_in_whole(fats: Mapping[str, float], celsius: float) -> Estimate:
    """
    Solid fat in a coat.

    Parameters
    ----------
    fats
        Each fat as a share of the whole coat [1]; liquid oils are left out.
    celsius
        Temperature. [C], 5 to 50

    Returns
    -------
    solid_g
        [g/100 g]
    """
    total = sum(fats.values())
    if total <= 0:
        return Estimate.exact(0.0)
    parts = [(share, solid_percent(fat, celsius)) for fat, share in fats.items()]
    value, low, high = (
        sum(share * part for share, part in column)
        for column in (
            [(s, p.value) for s, p in parts],
            [(s, p.low) for s, p in parts],
            [(s, p.high) for s, p in parts],
        )
    )
    milk, cocoa = fats.get("butterfat", 0.0) / total, fats.get("cocoa-butter", 0.0) / total
    clash = 4.0 * milk * cocoa * total
    # A mixture can be no softer than its softest part.
    floor = total * min(part.low for _, part in parts)
    value = max(value - clash * EUTECTIC_POINTS.value, min(value, floor))
    low = max(low - clash * EUTECTIC_POINTS.high, min(low, floor))
    high = max(high - clash * EUTECTIC_POINTS.low, value)
    return Estimate(value=value, low=min(low, value), high=high)


def spread_window(fats: Mapping[str, float]) -> SpreadWindow | None:
    """
    Temperatures between which a coat works, from its solid fat.

    Parameters
    ----------
    fats
        Each fat as a share of the whole coat. [1]

    Returns
    -------
    window
        None for a coat without fat that sets.
    """
    if sum(fats.values()) <= 0:
        return None
    works = _temperature_at(fats, WORKS_G, "value")
    window: Estimate | None = None
    if works is not None:
        low = _temperature_at(fats, WORKS_G, "low")
        high = _temperature_at(fats, WORKS_G, "high")
        window = Estimate(
            value=works, low=min(works, low if low is not None else COLDEST_C), high=max(works, high or works)
        )
    return SpreadWindow(
        firm_below_c=_temperature_at(fats, FIRM_G, "value"),
        works_to_c=window,
        runs_above_c=_temperature_at(fats, RUNS_G, "value"),
        best_low_c=_temperature_at(fats, BEST_HIGH_G, "value"),
        best_high_c=_temperature_at(fats, BEST_LOW_G, "value"),
        solid_g_at_20_c=solid_in_whole(fats, 20.0),
    )


def _temperature_at(fats: Mapping[str, float], solid_g: float, end: str) -> float | None:
    """Temperature at which the solid fat has fallen to so much; None if it stands below at 5 C already."""

    def miss(celsius: float) -> float:
        return float(getattr(solid_in_whole(fats, celsius), end)) - solid_g

    if miss(COLDEST_C) <= 0:
        return None
    return float(brentq(miss, COLDEST_C, HOTTEST_C, xtol=1e-6))


def fat_heat(fat: str, celsius: float) -> float:
    """
    Heat content of a fat, counted from solid at 0 C.

    Parameters
    ----------
    fat
        Name of the fat; an empty name is a liquid oil.
    celsius
        Temperature. [C], 5 to 50; beyond, fully solid or fully liquid is assumed

    Returns
    -------
    heat
        [J/g]
    """
    if not fat:
        return FAT_CP * celsius
    within = min(max(celsius, COLDEST_C), HOTTEST_C)
    melted = 1.0 - solid_percent(fat, within).value / 100.0
    return FAT_CP * celsius + FAT_LATENT[fat] * melted
