"""At what temperature a pot boils, and what a boiling pot at a temperature holds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from tierwright.errors import OutOfRange, require_range
from tierwright.sugar.activity import (
    HIGHEST_SALT_MOLAL,
    HOTTEST_C,
    SALT_MOLAR_G,
    Solute,
    check_solution,
    unchecked_activity,
    water_activity,
)
from tierwright.sugar.mix import Mix
from tierwright.water import boiling_point_c, saturation_pressure_pa
from tierwright.working import Estimate

Floats = NDArray[np.float64]

LOWEST_PA: Final = 45_000.0
HIGHEST_PA: Final = 110_000.0
"""Air pressure between which kitchens stand, weather and 6 km of height included. [Pa]"""
HIGHEST_SHARE: Final = 0.98
LOWEST_SHARE: Final = 0.001
# Published boiling tables of sucrose stand between 0.87 (90 %, Claassen) and 1.30 (70 %, Brown) of this model's rise.
RISE_LOW: Final = 0.87
RISE_HIGH: Final = 1.30
_STEPS: Final = 12
_GRID_K: Final = 0.5


@cache
def _log_saturation() -> tuple[CubicSpline[np.float64], CubicSpline[np.float64]]:
    """
    Logarithm of water's saturation pressure, and its slope, as splines that take whole arrays.

    Knots every half kelvin on the IAPWS line; between them the spline keeps to it within 1e-9.
    """
    knots = np.arange(0.5, 200.0 + _GRID_K / 2, _GRID_K)
    line = CubicSpline(knots, np.log([saturation_pressure_pa(float(t)) for t in knots]))
    return line, line.derivative()


def boiling_temperatures(
    dissolved: Mapping[Solute, ArrayLike] | Iterable[tuple[Solute, ArrayLike]],
    water_g: ArrayLike,
    pressure_pa: ArrayLike,
    salt_g: ArrayLike = 0.0,
) -> Floats:
    """
    Boiling temperatures of many solutions at once.

    A solution boils where its water activity times the vapour pressure of pure water equals the pressure of the air.

    Parameters
    ----------
    dissolved
        Mass of each solute. [g]
    water_g
        Mass of water. [g], above 0
    pressure_pa
        Air pressure over the pot. [Pa], 45 000 to 110 000
    salt_g
        Mass of sodium chloride. [g]

    Returns
    -------
    temperature
        Boiling temperatures, solved to better than 1e-9 K. [C]

    Raises
    ------
    OutOfRange
        Outside the span of ``water_activity`` or of the pressures.

    References
    ----------
    .. [1] Starzak and Peacock 1997, Zuckerindustrie 122, 380.
    .. [2] IAPWS R7-97(2012).
    """
    given = list(dissolved.items() if isinstance(dissolved, Mapping) else dissolved)
    pairs = [(kind, np.asarray(grams, dtype=np.float64)) for kind, grams in given]
    water = np.asarray(water_g, dtype=np.float64)
    pressure = np.asarray(pressure_pa, dtype=np.float64)
    salt = np.asarray(salt_g, dtype=np.float64)
    require_range("air pressure", float(np.min(pressure)), LOWEST_PA, HIGHEST_PA, "Pa")
    require_range("air pressure", float(np.max(pressure)), LOWEST_PA, HIGHEST_PA, "Pa")
    check_solution(pairs, water, np.asarray(100.0), salt)
    line, slope = _log_saturation()
    log_pressure = np.log(pressure)
    shape = np.broadcast_shapes(water.shape, pressure.shape, salt.shape, *(grams.shape for _, grams in pairs))
    celsius = np.full(shape, 95.0)
    # The activity hardly moves with temperature, so the slope of the water line alone makes Newton's step; each step
    # then leaves less than a tenth of the miss.
    for _ in range(_STEPS):
        miss = np.log(unchecked_activity(pairs, water, celsius, salt)) + line(celsius) - log_pressure
        move = miss / slope(celsius)
        celsius = np.clip(celsius - move, 40.0, 195.0)
        if float(np.max(np.abs(move))) < 1e-10:
            break
    require_range("boiling temperature", float(np.max(celsius)), 40.0, HOTTEST_C, "C")
    return celsius


def boiling_c(mix: Mix, pressure_pa: float) -> float:
    """
    Boiling temperature of one pot.

    Parameters
    ----------
    mix
        What is in the pot.
    pressure_pa
        Air pressure over it. [Pa], 45 000 to 110 000

    Returns
    -------
    temperature
        [C]
    """
    pairs = [(part.solute, part.grams) for part in mix.dissolved]
    return float(boiling_temperatures(pairs, mix.water_g, pressure_pa, mix.salt_g))


def boiling_range(mix: Mix, pressure_pa: float) -> Estimate:
    """
    Boiling temperature of one pot, with the span in which published tables part.

    Parameters
    ----------
    mix
        What is in the pot.
    pressure_pa
        Air pressure over it. [Pa]

    Returns
    -------
    temperature
        The model's value; its rise above boiling water times 0.87 to 1.30, and 0.10 more on both sides for what is not
        sucrose. [C]
    """
    water_c = boiling_point_c(pressure_pa)
    rise = boiling_c(mix, pressure_pa) - water_c
    doubt = 0.10 * (1.0 - mix.sucrose_purity)
    return Estimate(
        value=water_c + rise, low=water_c + rise * (RISE_LOW - doubt), high=water_c + rise * (RISE_HIGH + doubt)
    )


def highest_share(mix: Mix) -> float:
    """
    Strongest that these solids may be computed, by the spans of their sources.

    Parameters
    ----------
    mix
        The solids; its water does not matter.

    Returns
    -------
    share
        Dissolved solids as a share of the solution. [1], up to 0.98
    """
    share = HIGHEST_SHARE
    for part in mix.dissolved:
        share = min(share, part.solute.highest_share * mix.solids_g / part.grams * (1 - 1e-9))
    least_water = mix.salt_g / SALT_MOLAR_G / HIGHEST_SALT_MOLAL * 1000.0
    return min(share, mix.solids_g / (mix.solids_g + least_water) * (1 - 1e-9))


def solids_at(mix: Mix, temperature_c: float, pressure_pa: float) -> float:
    """
    Solids of a pot of these sugars that boils at a temperature: the inverse of ``boiling_c``.

    Parameters
    ----------
    mix
        The sugars in the pot; its present water does not matter.
    temperature_c
        What a true thermometer reads in the boiling pot. [C]
    pressure_pa
        Air pressure over it. [Pa], 45 000 to 110 000

    Returns
    -------
    share
        Dissolved solids as a share of the solution. [1]

    Raises
    ------
    OutOfRange
        Colder than boiling water, or hotter than these sugars can be computed.
    """
    require_range("air pressure", pressure_pa, LOWEST_PA, HIGHEST_PA, "Pa")
    strongest = highest_share(mix)
    low = boiling_c(mix.at_share(LOWEST_SHARE), pressure_pa)
    require_range("temperature of the boiling pot", temperature_c, low, HOTTEST_C, "C")
    wanted = pressure_pa / saturation_pressure_pa(temperature_c)

    def miss(share: float) -> float:
        pot = mix.at_share(share)
        pairs = [(part.solute, part.grams) for part in pot.dissolved]
        return float(water_activity(pairs, pot.water_g, temperature_c, pot.salt_g)) - wanted

    if miss(LOWEST_SHARE) <= 0:
        return LOWEST_SHARE
    if miss(strongest) > 0:
        high = boiling_c(mix.at_share(strongest), pressure_pa)
        raise OutOfRange("temperature of the boiling pot", temperature_c, low, high, "C")
    return float(brentq(miss, LOWEST_SHARE, strongest, xtol=1e-13, rtol=1e-13))
