"""What a body is made of, in the form that the solver reads: fixed solids, water that may move, boil or freeze."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import exp, log
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tierwright.errors import require_range
from tierwright.heat.choi_okos import COLDEST_C, HOTTEST_C, mass_fractions, part_property
from tierwright.larder import Composition
from tierwright.water import saturation_pressure_pa

Cubic = tuple[float, float, float, float]

FUSION_J_KG: Final = 333_550.0  # latent heat of ice at 0 degC, ASHRAE Handbook Refrigeration 2006, ch. 9
OSWIN_A: Final = 0.10
OSWIN_B: Final = 0.66
"""Water activity of sweet crumb: aw = 1/(1 + (a/X)^(1/b)), Oswin 1946; 0.93 at X = 0.54, 0.5 at X = 0.10."""

BOUND_PER_PROTEIN: Final = 0.4  # kg of water that never freezes per kg of protein, Pham 1987


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """
    One material of a body.

    Attributes
    ----------
    name
        In a maker's words.
    density_kg_m3
        As it is put in: batter with its air, baked sponge, fondant, aluminium. [kg/m3]
    water_dry_basis
        Water per kilogram of solids. [kg/kg]; 0 for metal, board, foam
    solid_heat_j_kgk, solid_volume_m3_kg, solid_conductance
        Cubics in the temperature in degC, per kilogram of solids: heat capacity [J/(kg K)], gas-free volume [m3/kg],
        and the sum of volume times conductivity [m3 W/(kg m K)].
    diffusivity_m2_s
        Moisture diffusivity; 0 where water stays put and the surface gives none off. [m2/s]
    rise
        Final over first volume once it has been heated through; 1 keeps its height. [-]
    freezing_c
        Where ice first forms. [degC]; -1000 for what does not freeze
    free_water
        Water per kilogram of solids that can become ice. [kg/kg]
    """

    name: str
    density_kg_m3: float
    water_dry_basis: float
    solid_heat_j_kgk: Cubic
    solid_volume_m3_kg: Cubic
    solid_conductance: Cubic
    diffusivity_m2_s: float = 0.0
    rise: float = 1.0
    freezing_c: float = -1000.0
    free_water: float = 0.0

    def __post_init__(self) -> None:
        require_range("density", self.density_kg_m3, 5.0, 12_000.0, "kg/m3", self.name)
        require_range("water per solids", self.water_dry_basis, 0.0, 30.0, "kg/kg", self.name)
        require_range("rise", self.rise, 0.8, 4.0, "times", self.name)

    @property
    def dry_density_kg_m3(self) -> float:
        """Mass of solids per volume. [kg/m3]"""
        return self.density_kg_m3 / (1.0 + self.water_dry_basis)


def solid(name: str, *, density_kg_m3: float, heat_capacity_j_kgk: float, conductivity_w_mk: float) -> Material:
    """Return a material without water and with constant properties: metal, glass, board, foam."""
    return Material(
        name=name,
        density_kg_m3=density_kg_m3,
        water_dry_basis=0.0,
        solid_heat_j_kgk=(heat_capacity_j_kgk, 0.0, 0.0, 0.0),
        solid_volume_m3_kg=(1.0 / density_kg_m3, 0.0, 0.0, 0.0),
        solid_conductance=(conductivity_w_mk / density_kg_m3, 0.0, 0.0, 0.0),
    )


def oswin_activity(water_dry_basis: float) -> float:
    """Water activity of sweet crumb at a moisture content. [-]"""
    return float(1.0 / (1.0 + (OSWIN_A / max(water_dry_basis, 1e-6)) ** (1.0 / OSWIN_B)))


def freezing_point_c(activity: float) -> float:
    """
    Where ice first forms in a food of this water activity.

    Parameters
    ----------
    activity
        Water activity. [-], 0.70 to 1

    Returns
    -------
    temperature_c
        Temperature at which ice and the food's water have the same vapour pressure. [degC]

    Raises
    ------
    OutOfRange
        Below 0.70, where ice forms only far below any freezer.

    References
    ----------
    .. [1] Vapour pressure over ice: IAPWS R14-08(2011); over supercooled water: Murphy and Koop 2005, eq. 10.
    """
    require_range("water activity", activity, 0.70, 1.0, "", "freezing point")
    low, high = -40.0, 0.0
    for _ in range(60):
        middle = (low + high) / 2.0
        if saturation_pressure_pa(middle) / _supercooled_pa(middle) > activity:
            high = middle
        else:
            low = middle
    return (low + high) / 2.0


def _supercooled_pa(temperature_c: float) -> float:
    # Murphy D M, Koop T (2005), Q J R Meteorol Soc 131:1539, eq. 10; 123 to 332 K.
    t = temperature_c + 273.15
    bend = np.tanh(0.0415 * (t - 218.8)) * (53.878 - 1331.22 / t - 9.44523 * log(t) + 0.014025 * t)
    return exp(54.842763 - 6763.22 / t - 4.210 * log(t) + 0.000367 * t + float(bend))


@cache
def _over_span(part: str, name: str) -> NDArray[np.float64]:
    """Return a property of a part at even steps over its span; the same for every food."""
    return np.array([part_property(part, name, COLDEST_C + (HOTTEST_C - COLDEST_C) * i / 38) for i in range(39)])


def _cubic(values: NDArray[np.float64]) -> Cubic:
    temperatures = np.linspace(COLDEST_C, HOTTEST_C, len(values))
    c = np.polynomial.polynomial.polyfit(temperatures, values, 3)
    return (float(c[0]), float(c[1]), float(c[2]), float(c[3]))


def food(
    name: str,
    composition: Composition,
    *,
    density_kg_m3: float,
    diffusivity_m2_s: float = 0.0,
    rise: float = 1.0,
    activity: float | None = None,
) -> Material:
    """
    Material of a food from its composition.

    Parameters
    ----------
    name
        In a maker's words.
    composition
        What it is made of, pores left out.
    density_kg_m3
        As it stands, pores included. [kg/m3]
    diffusivity_m2_s
        Moisture diffusivity; 0 keeps the water where it is. [m2/s]
    rise
        Final over first volume when baked. [-]
    activity
        Water activity, for the freezing point; None takes that of sweet crumb at its moisture. [-]

    Returns
    -------
    material
        Ready for a body.

    Raises
    ------
    OutOfRange
        A density above that of the gas-free food by more than 2 %, or a value outside its span.

    Notes
    -----
    The properties of Choi and Okos are gathered into cubics over -40 to 150 degC; the fit is within 0.02 %.
    Ice: Raoult's line, ``ice/free = 1 - T_f/T`` (Schwartzberg 1976), free water being what protein does not bind.
    """
    fractions = mass_fractions(composition)
    water = fractions.pop("water")
    solids = sum(fractions.values())
    require_range("share of solids", solids, 0.03, 1.0, "kg/kg", name)
    moisture = water / solids
    volume = {part: x / solids / _over_span(part, "density") for part, x in fractions.items()}
    volumes = np.asarray(sum(volume.values()))
    conductances = np.asarray(sum(v * _over_span(part, "conductivity") for part, v in volume.items()))
    heats = np.asarray(sum(x / solids * _over_span(part, "heat_capacity") for part, x in fractions.items()))
    gas_free = (1.0 + moisture) / (float(volumes[12]) + moisture / part_property("water", "density", 20.0))
    require_range("density", density_kg_m3, 20.0, gas_free * 1.02, "kg/m3", name)
    a_w = oswin_activity(moisture) if activity is None else activity
    bound = BOUND_PER_PROTEIN * fractions["protein"] / solids
    freezes = a_w >= 0.70 and moisture > bound
    return Material(
        name=name,
        density_kg_m3=density_kg_m3,
        water_dry_basis=moisture,
        solid_heat_j_kgk=_cubic(heats),
        solid_volume_m3_kg=_cubic(volumes),
        solid_conductance=_cubic(conductances),
        diffusivity_m2_s=diffusivity_m2_s,
        rise=rise,
        freezing_c=min(freezing_point_c(a_w), -0.05) if freezes else -1000.0,
        free_water=moisture - bound if freezes else 0.0,
    )
