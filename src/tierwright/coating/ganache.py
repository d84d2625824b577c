"""Ganache: how much chocolate and how much cream, by kind of chocolate and season."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from importlib.resources import files
from typing import Final

from tierwright.errors import require_range
from tierwright.working import Basis, Estimate, Source

CHOCOLATE_G_PER_ML: Final = 1.30
"""Solid chocolate; Beckett, Industrial Chocolate Manufacture and Use. [g/ml]"""
CREAM_G_PER_ML: Final = 1.006
"""Heavy cream, 238 g a cup; USDA SR28 01053. [g/ml]"""


class Chocolate(StrEnum):
    """Kind of chocolate."""

    DARK = "dark"
    MILK = "milk"
    WHITE = "white"


class Season(StrEnum):
    """Whether the cake has to stand in the warm."""

    COOL = "cool"
    SUMMER = "summer"


@dataclass(frozen=True, slots=True, kw_only=True)
class GanacheSplit:
    """
    Chocolate and cream of a ganache.

    Attributes
    ----------
    chocolate, season
        For which the ratio is.
    ratio
        Chocolate to cream by mass; the range is that of published ratios. [-]
    chocolate_g, cream_g
        Parts of the whole; their ranges run against each other, since the whole is fixed. [g]
    density_g_per_ml
        Of the set ganache, by additive volumes. [g/ml]
    disagreement
        In words, where sources differ.
    source
        Of the ratio.
    """

    chocolate: Chocolate
    season: Season
    ratio: Estimate
    chocolate_g: Estimate
    cream_g: Estimate
    density_g_per_ml: float
    disagreement: str
    source: Source


@lru_cache(maxsize=1)
def _ratios() -> dict[tuple[str, str], tuple[Estimate, Source]]:
    text = files("tierwright.coating").joinpath("data", "ganache.csv").read_text(encoding="utf-8")
    return {
        (row["chocolate"], row["season"]): (
            Estimate(value=float(row["value"]), low=float(row["low"]), high=float(row["high"])),
            Source(basis=Basis(row["basis"]), text=row["source"]),
        )
        for row in csv.DictReader(text.splitlines())
    }


def ganache_density(ratio: float) -> float:
    """
    Density of a set ganache without air.

    Parameters
    ----------
    ratio
        Chocolate to cream by mass. [-], 0.5 to 6

    Returns
    -------
    density
        By additive volumes. [g/ml]

    Raises
    ------
    OutOfRange
        A ratio that makes a drink or a slab, not a ganache.

    Examples
    --------
    Two to one:

    >>> round(ganache_density(2.0), 2)
    1.18
    """
    require_range("chocolate to cream", ratio, 0.5, 6.0, "", "ganache")
    return (ratio + 1) / (ratio / CHOCOLATE_G_PER_ML + 1 / CREAM_G_PER_ML)


def split_ganache(chocolate: Chocolate, season: Season, total_g: float) -> GanacheSplit:
    """
    Split a mass of ganache into chocolate and cream.

    Parameters
    ----------
    chocolate, season
        Which ratio to take.
    total_g
        Ganache to make. [g], 0 and up

    Returns
    -------
    split
        ``chocolate = total r / (1 + r)``, ``cream = total / (1 + r)``, with the spread of published ratios.

    Raises
    ------
    OutOfRange
        A negative mass, or one above a tonne.
    """
    require_range("ganache", total_g, 0.0, 1e6, "g")
    ratio, source = _ratios()[chocolate.value, season.value]
    cream = Estimate(value=total_g / (1 + ratio.value), low=total_g / (1 + ratio.high), high=total_g / (1 + ratio.low))
    disagree = ratio.high > ratio.low
    return GanacheSplit(
        chocolate=chocolate,
        season=season,
        ratio=ratio,
        chocolate_g=Estimate(value=total_g - cream.value, low=total_g - cream.high, high=total_g - cream.low),
        cream_g=cream,
        density_g_per_ml=ganache_density(ratio.value),
        disagreement=f"published ratios run from {ratio.low:g} to {ratio.high:g} parts chocolate" if disagree else "",
        source=source,
    )
