"""Sugared flowers and petals: which sugar, which coat, how long they dry in this air, how many to make."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.resources import files
from math import ceil
from typing import Final

from tierwright.errors import Infeasible, require_range
from tierwright.sugar.cautions import raw_egg
from tierwright.water import saturation_pressure_pa
from tierwright.working import COMMON_PRACTICE, Basis, Caution, Estimate, Figure, Given, Notes, Source

SHEET: Final = "flowers"
SATURATED_SUGAR_AW: Final = 0.85
"""Air wetter than this over a film of saturated sugar dries nothing (saturated sucrose at 20 to 25 C). [1]"""
DRIES_BELOW: Final = 0.75
# A thin petal at 20 C and half-wet air: overnight to a day and a half, common practice.
REFERENCE_H: Final = Estimate(value=24.0, low=12.0, high=36.0)
REFERENCE_C: Final = 20.0
REFERENCE_RH: Final = 0.50
COAT_G_M2: Final = 80.0  # liquid that a fine brush leaves on one side; common practice
SUGAR_G_M2: Final = 300.0  # sugar that sticks to one side; common practice
SUGAR_SPILL: Final = 3.0  # sugar to have in the bowl for each gram that sticks


class PetalBody(StrEnum):
    """How thick a petal or flower is."""

    THIN = "thin"  # violas, inner rose petals
    MEDIUM = "medium"  # rose petals
    THICK = "thick"  # whole small flowers, mint leaves


class PetalCoat(StrEnum):
    """What makes the sugar stick."""

    RAW_WHITE = "raw egg white"
    PASTEURISED_WHITE = "pasteurised or made-up dried white"
    GUM_ARABIC = "gum arabic in water"


BODY_TIMES: Final[dict[PetalBody, float]] = {PetalBody.THIN: 1.0, PetalBody.MEDIUM: 1.5, PetalBody.THICK: 2.5}
SPARES: Final[dict[PetalBody, float]] = {PetalBody.THIN: 0.20, PetalBody.MEDIUM: 0.15, PetalBody.THICK: 0.10}
KEEPS_DAYS: Final[dict[PetalCoat, Estimate]] = {
    PetalCoat.RAW_WHITE: Estimate(value=2.0, low=1.0, high=3.0),
    PetalCoat.PASTEURISED_WHITE: Estimate(value=14.0, low=3.0, high=30.0),
    PetalCoat.GUM_ARABIC: Estimate(value=60.0, low=14.0, high=180.0),
}
"""In a dry closed box, from memory of practice; the colour goes first. [day]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PetalSugar:
    """One sugar by its crystals: for which petals it is fine enough. [mm]"""

    key: str
    label: str
    size_mm: Estimate
    body: PetalBody
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PetalPlan:
    """
    What sugared petals take.

    Attributes
    ----------
    make
        How many to make, spares included.
    spares
        How many of them are spare.
    sugar
        Which sugar.
    sugar_g
        Sugar to have in the bowl. [g]
    coat_g
        White or gum solution to have. [g]
    drying_h
        Drying in this air, on a rack. [h]
    keeps_days
        In a dry closed box. [day]
    coat_advice
        How to make up the coat.
    notes
        Figures and cautions.
    """

    make: int
    spares: int
    sugar: PetalSugar
    sugar_g: float
    coat_g: float
    drying_h: Estimate
    keeps_days: Estimate
    coat_advice: str
    notes: Notes


@cache
def petal_sugars() -> dict[PetalBody, PetalSugar]:
    """Return the sugar for each thickness of petal."""
    text = files("tierwright.sugar").joinpath("data/petal_sugars.csv").read_text(encoding="utf-8")
    return {
        PetalBody(row["body"]): PetalSugar(
            key=row["key"],
            label=row["label"],
            size_mm=Estimate(
                value=(float(row["size_low_mm"]) + float(row["size_high_mm"])) / 2,
                low=float(row["size_low_mm"]),
                high=float(row["size_high_mm"]),
            ),
            body=PetalBody(row["body"]),
            source=row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def drying_hours(body: PetalBody, *, humidity_share: float, room_c: float = 20.0) -> Estimate:
    """
    Time until a sugared petal is crisp.

    Parameters
    ----------
    body
        How thick it is.
    humidity_share
        Relative humidity of the room. [1], 0.05 to 0.95
    room_c
        Room, or a barely warm oven. [C], 5 to 60

    Returns
    -------
    hours
        [h]

    Raises
    ------
    Infeasible
        Air of 75 % humidity or more, in which sugar stays wet.

    Notes
    -----
    Common practice at 20 C and 50 % (overnight to a day and a half for a thin petal), carried to other air by the drop
    of vapour pressure between a film of saturated sugar (aw 0.85) and the room.
    """
    require_range("humidity", humidity_share, 0.05, 0.95, "of saturation")
    require_range("room temperature", room_c, 5.0, 60.0, "C")
    if humidity_share >= DRIES_BELOW:
        raise Infeasible(
            f"drying petals in air of {humidity_share * 100:.0f} % humidity",
            "sugar takes up water from such air",
            "dry them in a closed box over a drying agent, or in a fan oven that is barely warm",
        )
    usual = (SATURATED_SUGAR_AW - REFERENCE_RH) * saturation_pressure_pa(REFERENCE_C)
    here = (SATURATED_SUGAR_AW - humidity_share) * saturation_pressure_pa(room_c)
    return REFERENCE_H * (BODY_TIMES[body] * usual / here)


def plan_petals(
    wanted: int,
    *,
    body: PetalBody,
    coat: PetalCoat,
    humidity_share: float,
    room_c: float = 20.0,
    petal_cm2: float = 6.0,
    name: str = "petals",
) -> PetalPlan:
    """
    Plan sugared petals or small flowers.

    Parameters
    ----------
    wanted
        How many the cake needs, 1 to 5000.
    body
        How thick they are.
    coat
        What makes the sugar stick.
    humidity_share, room_c
        Air they dry in. [1], [C]
    petal_cm2
        One side of one of them. [cm2], 0.2 to 100
    name
        Short name for the keys of the figures.

    Returns
    -------
    plan
        Numbers, sugar, coat, drying time and cautions.
    """
    require_range("petals wanted", wanted, 1, 5000, "pieces")
    require_range("size of a petal", petal_cm2, 0.2, 100.0, "cm2")
    spares = max(3, ceil(wanted * SPARES[body]))
    make = wanted + spares
    sides_m2 = 2.0 * make * petal_cm2 * 1e-4
    hours = drying_hours(body, humidity_share=humidity_share, room_c=room_c)
    cautions = [
        Caution(
            key="sugar.caution.petals",
            sheet=SHEET,
            step="pick",
            text="Only flowers that are known by their botanical name to be edible and were grown for food; no "
            "florist's stock.",
            reason="Florists' flowers are treated with what may not be eaten, and some flowers are poisonous.",
            source=COMMON_PRACTICE,
        )
    ]
    if coat is PetalCoat.RAW_WHITE:
        cautions.append(raw_egg("coat"))
    return PetalPlan(
        make=make,
        spares=spares,
        sugar=petal_sugars()[body],
        sugar_g=sides_m2 * SUGAR_G_M2 * SUGAR_SPILL,
        coat_g=max(5.0, sides_m2 * COAT_G_M2 * 1.5),
        drying_h=hours,
        keeps_days=KEEPS_DAYS[coat],
        coat_advice=_ADVICE[coat],
        notes=Notes(
            figures=(
                Figure.of(
                    hours,
                    key=f"petals.{name}.drying_h",
                    label="Drying on a rack in this air",
                    unit="h",
                    equation="usual time x drop of vapour pressure at 20 C and 50 % / drop here",
                    source=Source(basis=Basis.COMMON_PRACTICE, text="carried by vapour pressure, IAPWS R7-97"),
                    sheet=SHEET,
                    inputs=(
                        Given(name="humidity", value=humidity_share),
                        Given(name="room", value=room_c, unit="C"),
                    ),
                ),
            ),
            cautions=tuple(cautions),
        ),
    )


_ADVICE: Final = {
    PetalCoat.RAW_WHITE: "Beat the white only until it runs off the brush; better: pasteurised white, or gum arabic.",
    PetalCoat.PASTEURISED_WHITE: "Pasteurised white as it is, or 1 part dried white to 7 of water, stood until clear.",
    PetalCoat.GUM_ARABIC: "1 part gum arabic to 2 of warm water by weight, stood until clear; no egg in it.",
}
