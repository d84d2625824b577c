"""How long a pot takes to lose its water: heat in, heat into the syrup, the steam, the pan and the room."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.resources import files
from math import pi
from typing import Final

import numpy as np

from tierwright.errors import Infeasible, OutOfRange, UnknownName, require_range
from tierwright.sugar.boiling import boiling_temperatures
from tierwright.sugar.mix import Mix
from tierwright.sugar.properties import CP_UNCERTAINTY, enthalpy
from tierwright.water import latent_heat_j_kg
from tierwright.working import Estimate

INERT_CP: Final = 2.1  # J/(g K): fat 2.0, protein 2.0 to 2.1, Choi and Okos 1986 near 50 C
STEPS: Final = 160


class PanMaterial(StrEnum):
    """What a pan or a bowl is made of."""

    STEEL = "stainless steel"
    COPPER = "copper"
    ALUMINIUM = "aluminium"
    IRON = "cast or enamelled iron"
    GLASS = "glass"
    CERAMIC = "ceramic"
    PLASTIC = "plastic"


MATERIAL_CP: Final[dict[PanMaterial, float]] = {
    PanMaterial.STEEL: 0.50,
    PanMaterial.COPPER: 0.385,
    PanMaterial.ALUMINIUM: 0.90,
    PanMaterial.IRON: 0.46,
    PanMaterial.GLASS: 0.80,
    PanMaterial.CERAMIC: 0.85,
    PanMaterial.PLASTIC: 1.90,
}
"""Specific heat near room temperature, textbook values. [J/(g K)]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pan:
    """
    The pan on the burner.

    Attributes
    ----------
    material
        What it is made of.
    mass_g
        Its mass, without the lid. [g]
    diameter_mm, height_mm
        Its inside measures; its outside loses heat to the room. [mm]
    """

    material: PanMaterial = PanMaterial.STEEL
    mass_g: float = 1200.0
    diameter_mm: float = 180.0
    height_mm: float = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Burner:
    """
    The burner under it.

    Attributes
    ----------
    kind
        Key in the table of burners: ``gas``, ``electric`` or ``induction``.
    power_w
        Power at the setting that is used. [W]
    """

    kind: str = "electric"
    power_w: float = 1500.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BurnerKind:
    """One row of the table of burners: the share of its power that reaches the pan."""

    key: str
    label: str
    efficiency: Estimate
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatAccount:
    """
    Where the heat of one cook goes.

    Attributes
    ----------
    syrup_j, steam_j, pan_j, room_j
        Into the syrup that stays, into the steam that leaves, into the pan, lost from its outside. [J]
    supplied_j
        What the burner brings into the pan: power times efficiency times time. [J]
    """

    syrup_j: float
    steam_j: float
    pan_j: float
    room_j: float
    supplied_j: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cook:
    """
    A pot boiled down.

    Attributes
    ----------
    water_off_g
        Water that must leave. [g]
    yield_g
        What is left in the pot. [g]
    first_boil_c, end_c
        Where it begins to boil and where it ends. [C]
    heating_min, boiling_min, total_min
        To the first bubble, from there to the end, together. [min]
    account
        Heat of the middle case.
    """

    water_off_g: float
    yield_g: float
    first_boil_c: float
    end_c: float
    heating_min: Estimate
    boiling_min: Estimate
    total_min: Estimate
    account: HeatAccount


@cache
def burner_kinds() -> dict[str, BurnerKind]:
    """Return the table of burners by key."""
    text = files("tierwright.sugar").joinpath("data/burners.csv").read_text(encoding="utf-8")
    return {
        row["key"]: BurnerKind(
            key=row["key"],
            label=row["label"],
            efficiency=Estimate(value=float(row["efficiency"]), low=float(row["low"]), high=float(row["high"])),
            source=row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def boil_down(
    mix: Mix,
    solids_share: float,
    pressure_pa: float,
    *,
    pan: Pan,
    burner: Burner,
    start_c: float = 20.0,
    room_c: float = 20.0,
) -> Cook:
    """
    Boil a pot down to wanted solids and say how long it takes.

    Parameters
    ----------
    mix
        The pot at the start.
    solids_share
        Wanted solids of the solution. [1], above those of the start
    pressure_pa
        Air pressure. [Pa]
    pan, burner
        What it stands in and on.
    start_c, room_c
        Temperatures of the pot at the start and of the room. [C], 0 to 60

    Returns
    -------
    cook
        Water to boil off, yield, times with their range, and where the heat goes.

    Raises
    ------
    OutOfRange
        More water wanted than there is, or measures that no kitchen has.
    Infeasible
        The burner cannot outrun the pan's loss to the room.

    Notes
    -----
    Water leaves in small steps at the pot's own boiling point. The range runs over the burner's efficiency, 8 to 20
    W/(m2 K) from the pan's side and the uncertainty of the syrup's specific heat; the heat of dissolving sugar
    (about 18 J/g taken up) lies inside it. A wide pan and a rolling boil lose no more than is counted: what leaves as
    steam is counted already.
    """
    require_range("burner power", burner.power_w, 100.0, 20_000.0, "W")
    require_range("pan mass", pan.mass_g, 50.0, 30_000.0, "g")
    require_range("pan diameter", pan.diameter_mm, 50.0, 600.0, "mm")
    require_range("pan height", pan.height_mm, 20.0, 500.0, "mm")
    require_range("start temperature", start_c, 0.0, 60.0, "C")
    require_range("room temperature", room_c, 0.0, 60.0, "C")
    if solids_share < mix.solids_share:
        raise OutOfRange("wanted solids", solids_share, mix.solids_share, 0.98, "of the solution")
    if burner.kind not in burner_kinds():
        raise UnknownName("burner", burner.kind, tuple(burner_kinds()))
    kind = burner_kinds()[burner.kind]
    middle = _run(mix, solids_share, pressure_pa, pan, burner.power_w * kind.efficiency.value, 14.0, start_c, room_c)
    fast = _run(mix, solids_share, pressure_pa, pan, burner.power_w * kind.efficiency.high, 8.0, start_c, room_c)
    slow = _run(mix, solids_share, pressure_pa, pan, burner.power_w * kind.efficiency.low, 20.0, start_c, room_c)
    doubt = CP_UNCERTAINTY
    heating = Estimate(
        value=middle.heating_s / 60, low=fast.heating_s / 60 * (1 - doubt), high=slow.heating_s / 60 * (1 + doubt)
    )
    boiling = Estimate(value=middle.boiling_s / 60, low=fast.boiling_s / 60, high=slow.boiling_s / 60)
    end = mix.at_share(solids_share)
    return Cook(
        water_off_g=mix.water_g - end.water_g,
        yield_g=end.total_g,
        first_boil_c=middle.first_c,
        end_c=middle.end_c,
        heating_min=heating,
        boiling_min=boiling,
        total_min=heating + boiling,
        account=middle.account,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    heating_s: float
    boiling_s: float
    first_c: float
    end_c: float
    account: HeatAccount


def _run(
    mix: Mix, share: float, pressure: float, pan: Pan, net_w: float, loss_w_m2k: float, start_c: float, room_c: float
) -> _Run:
    side_m2 = pi * pan.diameter_mm * pan.height_mm * 1e-6
    pan_j_k = pan.mass_g * MATERIAL_CP[pan.material]
    solids = mix.solids_g
    water = np.linspace(mix.water_g, mix.at_share(share).water_g, STEPS + 1)
    pairs = [(part.solute, np.full_like(water, part.grams)) for part in mix.dissolved]
    celsius = boiling_temperatures(pairs, water, pressure, mix.salt_g)
    content = (solids + water) * enthalpy(solids / (solids + water), celsius) + mix.inert_g * INERT_CP * celsius
    start_content = (solids + mix.water_g) * float(enthalpy(mix.solids_share, start_c))
    start_content += mix.inert_g * INERT_CP * start_c

    first = float(celsius[0])
    spare_w = net_w - loss_w_m2k * side_m2 * (float(celsius[-1]) - room_c)
    if spare_w <= 0:
        raise Infeasible("boiling this pot down", "the pan loses as much as the burner brings", "a stronger burner")
    heat_up = float(content[0]) - start_content + pan_j_k * (first - start_c)
    # The pan is half way between room and boil on average while it heats.
    mean_loss = loss_w_m2k * side_m2 * max((first + start_c) / 2 - room_c, 0.0)
    heating_s = heat_up / (net_w - mean_loss)

    middle_c = (celsius[1:] + celsius[:-1]) / 2
    latent = np.array([latent_heat_j_kg(float(t)) / 1000.0 for t in middle_c])
    steam = (water[:-1] - water[1:]) * (enthalpy(0.0, middle_c) + latent)
    into_syrup = np.diff(content)
    into_pan = pan_j_k * np.diff(celsius)
    loss_w = loss_w_m2k * side_m2 * (middle_c - room_c)
    step_s = (steam + into_syrup + into_pan) / (net_w - loss_w)
    boiling_s = float(np.sum(step_s))
    account = HeatAccount(
        syrup_j=float(content[-1]) - start_content,
        steam_j=float(np.sum(steam)),
        pan_j=pan_j_k * (float(celsius[-1]) - start_c),
        room_j=mean_loss * heating_s + float(np.sum(loss_w * step_s)),
        supplied_j=net_w * (heating_s + boiling_s),
    )
    return _Run(heating_s=heating_s, boiling_s=boiling_s, first_c=first, end_c=float(celsius[-1]), account=account)
