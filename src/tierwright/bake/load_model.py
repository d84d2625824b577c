"""The shapes that oven loads take and give, and how long a batter may wait."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from tierwright.bake.model import Leavening
from tierwright.larder import Allergen
from tierwright.shapes import Outline
from tierwright.working import Estimate, Notes


@dataclass(frozen=True, slots=True, kw_only=True)
class PanToBake:
    """
    One filled pan that wants an oven.

    Attributes
    ----------
    key
        Its name; one for each pan.
    outline
        Outside outline. [mm]
    height_mm
        Of the pan, or of the cake in it once it has risen, whichever is more. [mm]
    set_point_c
        What it bakes at. [degC]
    done_min
        When it is done, alone in the oven. [min]
    heat_kj
        Heat that it takes up. [kJ]
    leavening
        What lifts it; it says how long the batter may wait.
    mix
        Which batter it is filled from; pans of one mix are filled at the same time.
    contains, unknown
        Allergens in its batter, and those that may be in it.
    keep_free_of
        Allergens that must not get into it: because of a guest, or a wish such as vegan.
    """

    key: str
    outline: Outline
    height_mm: float
    set_point_c: float
    done_min: Estimate
    heat_kj: float
    leavening: Leavening
    mix: str = ""
    contains: frozenset[Allergen] = frozenset()
    unknown: frozenset[Allergen] = frozenset()
    keep_free_of: frozenset[Allergen] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPan:
    """
    A pan on a shelf.

    Attributes
    ----------
    key
        Of the pan.
    x_mm, y_mm
        Its centre from the left front corner of the inside of the oven. [mm]
    turned
        Turned by a quarter.
    out_min
        When it comes out, door openings for the others counted. [min]
    """

    key: str
    x_mm: float
    y_mm: float
    turned: bool
    out_min: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """One rack in use: its position counted from the bottom, its height over the floor, and the pans on it. [mm]"""

    rack: int
    height_mm: float
    pans: tuple[PlacedPan, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """
    Pans that go in together.

    Attributes
    ----------
    number
        In the order of baking, from 1.
    set_point_c
        True temperature that they bake at. [degC]
    shelves
        Racks in use, lowest first.
    oven_min
        How long they keep the oven, the last pan's and all door openings counted. [min]
    starts_min
        When it goes in, counted from the first load. [min]
    before_min
        Warming up or cooling down, and changing over, before it. [min]
    door_openings
        To take out pans before the last.
    energy_kwh
        Standing losses, heat into pans and cakes, and warming up. [kWh]
    mixes
        Batters in it.
    mix_again
        Batters that cannot wait for it and have to be mixed for this load.
    keep_out
        Allergens that must stay out of it and that another load of the plan brings.
    brings
        Allergens that it brings, or may bring, and that must stay out of another load of the plan.
    """

    number: int
    set_point_c: float
    shelves: tuple[Shelf, ...]
    oven_min: Estimate
    starts_min: float
    before_min: float
    door_openings: int
    energy_kwh: float
    mixes: tuple[str, ...]
    mix_again: tuple[str, ...]
    keep_out: tuple[Allergen, ...] = ()
    brings: tuple[Allergen, ...] = ()

    @property
    def pans(self) -> tuple[str, ...]:
        """Keys of all pans in it."""
        return tuple(pan.key for shelf in self.shelves for pan in shelf.pans)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadPlan:
    """
    All loads of an oven.

    Attributes
    ----------
    oven
        Key of the oven.
    loads
        In the order of baking.
    oven_minutes
        From the first pan in to the last pan out, changes included. [min]
    energy_kwh
        Altogether. [kWh]
    by_minutes
        Numbers of the loads, the longest in the oven first.
    one_by_one_minutes
        What the same pans would take one at a time. [min]
    notes
        Figures, questions, cautions, assumptions.
    """

    oven: str
    loads: tuple[Load, ...]
    oven_minutes: float
    energy_kwh: float
    by_minutes: tuple[int, ...]
    one_by_one_minutes: float
    notes: Notes


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitLimit:
    """How long a batter may wait at room temperature, why, and on what ground. [min]"""

    minutes: float
    reason: str
    source: str


@cache
def wait_limits() -> dict[Leavening, WaitLimit]:
    """Return the waiting limit of every leavening."""
    text = files("tierwright.bake").joinpath("data/batter_wait.csv").read_text(encoding="utf-8")
    return {
        Leavening(row["leavening"]): WaitLimit(
            minutes=float(row["room_min"]), reason=row["reason"], source=row["source"]
        )
        for row in csv.DictReader(text.splitlines())
    }
