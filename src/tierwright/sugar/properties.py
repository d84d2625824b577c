"""Density, viscosity, heat and solubility of sugar solutions."""

from __future__ import annotations

from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tierwright.errors import require_range

Floats = NDArray[np.float64]

# Volume that a gram of dissolved sucrose takes up at 20 C: least squares through the NBS Circular 440 densities
# between 10 and 80 %, by mass share; worst row 0.0001 g/ml.
_SUGAR_VOLUME: Final = (0.616374, 0.005970, 0.021561)
_WATER_20C: Final = 0.998203  # g/ml
# Thermal expansion of 60 to 70 % syrups from 20 to 80 C, from memory of sugar-house tables; 2.5 to 5 hold all of them.
EXPANSION_PER_K: Final = 4.3e-4
CP_UNCERTAINTY: Final = 0.08
HIGHEST_SHARE: Final = 0.98


def density_g_ml(solids_share: ArrayLike, temperature_c: ArrayLike = 20.0) -> Floats:
    """
    Density of a sucrose solution.

    The volumes of water and of dissolved sugar add up; the sugar's own rises a little with its share. Other sugars at
    the same solids differ by less than 1 %.

    Parameters
    ----------
    solids_share
        Dissolved solids as a share of the solution. [1], 0 to 0.98 (measured to 0.8)
    temperature_c
        Temperature. [C], 0 to 160 (within 1 % above 80)

    Returns
    -------
    density
        [g/ml]

    Raises
    ------
    OutOfRange
        Outside those spans.

    References
    ----------
    .. [1] Bates 1942, Polarimetry, saccharimetry and the sugars, NBS Circular 440, table 114; Asadi 2006, Beet-Sugar
       Handbook, table A.1.
    """
    w, celsius = _spans(solids_share, temperature_c)
    a, b, c = _SUGAR_VOLUME
    cold = 1.0 / ((1.0 - w) / _WATER_20C + w * (a + b * w + c * w * w))
    return np.asarray(cold * (1.0 - EXPANSION_PER_K * (celsius - 20.0)), dtype=np.float64)


def specific_heat(solids_share: ArrayLike, temperature_c: ArrayLike) -> Floats:
    """
    Specific heat of a sucrose solution.

    Parameters
    ----------
    solids_share
        Dissolved solids as a share of the solution. [1], 0 to 0.98
    temperature_c
        Temperature. [C], 0 to 160; the source ends near 100 and is held there, so allow 8 % either way above

    Returns
    -------
    specific_heat
        [J/(g K)]

    References
    ----------
    .. [1] Bubnik, Kadlec, Urban and Bruhns 1995, Sugar Technologists Manual, equation for pure solutions, after
       Lyle 1957 (from memory).
    """
    w, celsius = _spans(solids_share, temperature_c)
    return np.asarray(4.1868 - 2.51 * w + 0.0075 * w * np.minimum(celsius, 100.0), dtype=np.float64)


def enthalpy(solids_share: ArrayLike, temperature_c: ArrayLike) -> Floats:
    """
    Heat content of a sucrose solution above 0 C: the integral of ``specific_heat``.

    Parameters
    ----------
    solids_share
        Dissolved solids as a share of the solution. [1], 0 to 0.98
    temperature_c
        Temperature. [C], 0 to 160

    Returns
    -------
    enthalpy
        [J/g]
    """
    w, celsius = _spans(solids_share, temperature_c)
    below = np.minimum(celsius, 100.0)
    heat = (4.1868 - 2.51 * w) * celsius + 0.0075 * w * (below * below / 2.0 + 100.0 * (celsius - below))
    return np.asarray(heat, dtype=np.float64)


def viscosity_mpas(solids_share: float, temperature_c: float) -> float:
    """
    Viscosity of a sucrose solution.

    Parameters
    ----------
    solids_share
        Dissolved solids as a share of the solution. [1], 0 to 0.80
    temperature_c
        Temperature. [C], 0 to 100

    Returns
    -------
    viscosity
        [mPa s]

    Raises
    ------
    OutOfRange
        Outside the span of the source.

    References
    ----------
    .. [1] Genotelle 1978, Industries alimentaires et agricoles 95, 747 (from memory; met to 4 % by NBS Circular 440).
    """
    require_range("solids", solids_share, 0.0, 0.80, "of the solution")
    require_range("temperature", temperature_c, 0.0, 100.0, "C")
    brix = solids_share * 100.0
    n = brix / (1900.0 - 18.0 * brix)
    power = 22.46 * n - 0.114 + (30.0 - temperature_c) / (91.0 + temperature_c) * (1.1 + 43.1 * n**1.25)
    return float(10.0**power)


class Flow(StrEnum):
    """How a syrup pours, in a maker's words."""

    WATERY = "thin as milk"  # to 5 mPa s
    THIN = "thin syrup, soaks in at once"  # to 50
    COATING = "coats a spoon"  # to 500
    THICK = "thick, pours in a ribbon"  # to 10 000, honey's upper end
    STIFF = "stiff, hardly pours"  # above, or beyond the viscosity equation


def flow_class(solids_share: float, temperature_c: float) -> Flow:
    """
    How a syrup pours at a temperature.

    Parameters
    ----------
    solids_share
        Dissolved solids as a share of the solution. [1], 0 to 0.98
    temperature_c
        Temperature. [C], 0 to 100; above 0.80 solids the class is the stiffest, since no number can be given

    Returns
    -------
    flow
        The class; its bounds in mPa s are common practice.
    """
    require_range("solids", solids_share, 0.0, HIGHEST_SHARE, "of the solution")
    if solids_share > 0.80:
        return Flow.STIFF
    viscosity = viscosity_mpas(solids_share, temperature_c)
    for bound, flow in ((5.0, Flow.WATERY), (50.0, Flow.THIN), (500.0, Flow.COATING), (10_000.0, Flow.THICK)):
        if viscosity <= bound:
            return flow
    return Flow.STIFF


def sucrose_solubility(temperature_c: float) -> float:
    """
    Share of sucrose in its saturated solution.

    Parameters
    ----------
    temperature_c
        Temperature. [C], 0 to 100

    Returns
    -------
    share
        Sucrose as a share of the solution. [1]

    Raises
    ------
    OutOfRange
        Outside 0 to 100 C.

    References
    ----------
    .. [1] Charles 1960, International Sugar Journal 62, 126 (from memory; within 0.7 points of Mohos 2010, table A2.3).
    """
    require_range("temperature", temperature_c, 0.0, 100.0, "C")
    t = temperature_c
    return (64.397 + 0.07251 * t + 0.0020569 * t**2 - 9.035e-6 * t**3) / 100.0


def supersaturation(sucrose_g: float, water_g: float, temperature_c: float) -> float:
    """
    Sucrose to water, over what would stay dissolved.

    Parameters
    ----------
    sucrose_g, water_g
        Masses in the pot. [g], water above 0
    temperature_c
        Temperature. [C], 0 to 100

    Returns
    -------
    supersaturation
        Above 1, crystals can grow; above about 1.2 they also start by themselves. [1]
    """
    require_range("sucrose", sucrose_g, 0.0, np.inf, "g")
    require_range("water", water_g, np.nextafter(0.0, 1.0), np.inf, "g")
    share = sucrose_solubility(temperature_c)
    return sucrose_g / water_g / (share / (1.0 - share))


def _spans(solids_share: ArrayLike, temperature_c: ArrayLike) -> tuple[Floats, Floats]:
    w = np.asarray(solids_share, dtype=np.float64)
    celsius = np.asarray(temperature_c, dtype=np.float64)
    for quantity, values, high, unit in (
        ("solids", w, HIGHEST_SHARE + 1e-12, "of the solution"),
        ("temperature", celsius, 160.0, "C"),
    ):
        require_range(quantity, float(np.min(values)), 0.0, high, unit)
        require_range(quantity, float(np.max(values)), 0.0, high, unit)
    return w, celsius
