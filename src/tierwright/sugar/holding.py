"""What a coating hands on to the question of how long it may stand, and the faults that show at the bowl."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from tierwright.working import Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """
    Facts that decide how a coating may be kept; the limits themselves are not decided here.

    Attributes
    ----------
    water_activity
        Of its water phase at 20 C, computed; not a laboratory value. [1]
    ph
        Likely span. [-]
    sugar_share
        Sugar in the whole. [1]
    contains_egg, egg_heat_treated
        Whether egg is in it, and whether it may be relied on as heat-treated.
    contains_dairy
        Whether milk, cream, cheese or butter is in it.
    fat
        Key of the fat that carries it; empty if none does.
    """

    water_activity: Estimate
    ph: Estimate
    sugar_share: float
    contains_egg: bool
    egg_heat_treated: bool
    contains_dairy: bool
    fat: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """
    Something that goes wrong at the bowl.

    Attributes
    ----------
    key, product
        Short name, and what it befalls.
    sign, cause, rescue
        What the eye sees, why, and what to do now.
    source
        Where it comes from.
    """

    key: str
    product: str
    sign: str
    cause: str
    rescue: str
    source: str


@cache
def _faults() -> tuple[Fault, ...]:
    text = files("tierwright.sugar").joinpath("data/faults.csv").read_text(encoding="utf-8")
    return tuple(Fault(**row) for row in csv.DictReader(text.splitlines()))


def faults_of(*products: str) -> tuple[Fault, ...]:
    """Return the faults of these products, in the order of the table; of all of them if none is named."""
    return tuple(fault for fault in _faults() if not products or fault.product in products)
