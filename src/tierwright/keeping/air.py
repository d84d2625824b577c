"""Moist air: dew point, moisture content, and what a cold face draws out of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from scipy.optimize import brentq

from tierwright.errors import require_range
from tierwright.water import SEA_LEVEL_PA, latent_unchecked_j_kg, saturation_pressure_pa, saturation_unchecked_pa

MOLAR_RATIO: Final = 0.621945
"""Molar mass of water over that of dry air; ASHRAE Handbook Fundamentals 2017, ch. 1, eq. 20. [-]"""
AIR_HEAT_J_KGK: Final = 1006.0
"""Heat capacity of dry air, as above, eq. 28. [J/(kg K)]"""
LEWIS_POWER: Final = 0.90
"""(Sc/Pr)^(2/3) of water vapour in air near 20 C: 0.60/0.71; Incropera and DeWitt, ch. 6. [-]"""
COLDEST_C: Final = -45.0
HOTTEST_C: Final = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MoistAir:
    """
    Air with its water.

    Attributes
    ----------
    temperature_c, humidity
        Dry bulb [C] and relative humidity [-], 0 to 1.
    vapour_pa
        Pressure of its vapour. [Pa]
    ratio_kg_kg
        Water per kilogram of dry air. [kg/kg]
    dew_point_c
        Below this a face gets wet. [C]
    """

    temperature_c: float
    humidity: float
    vapour_pa: float
    ratio_kg_kg: float
    dew_point_c: float


def moist_air(temperature_c: float, humidity: float, pressure_pa: float = SEA_LEVEL_PA) -> MoistAir:
    """
    State of moist air.

    Parameters
    ----------
    temperature_c
        Dry bulb. [C], -45 to 60
    humidity
        Relative humidity. [-], 0 to 1
    pressure_pa
        Of the air. [Pa], 40000 to 110000

    Returns
    -------
    air
        With its vapour pressure, moisture and dew point.

    Raises
    ------
    OutOfRange
        Outside these spans.

    References
    ----------
    .. [1] ASHRAE Handbook Fundamentals 2017, ch. 1, eqs. 20 to 24 and 37; saturation by IAPWS R7-97(2012).

    Examples
    --------
    >>> round(moist_air(25.0, 0.5).dew_point_c, 1)
    13.9
    """
    require_range("air temperature", temperature_c, COLDEST_C, HOTTEST_C, "C")
    require_range("relative humidity", humidity, 0.0, 1.0, "")
    require_range("air pressure", pressure_pa, 40_000.0, 110_000.0, "Pa")
    vapour = humidity * saturation_pressure_pa(temperature_c)
    return MoistAir(
        temperature_c=temperature_c,
        humidity=humidity,
        vapour_pa=vapour,
        ratio_kg_kg=MOLAR_RATIO * vapour / (pressure_pa - vapour),
        dew_point_c=dew_point_c(vapour),
    )


def dew_point_c(vapour_pa: float) -> float:
    """
    Temperature at which air with this much vapour is saturated; below 0 C it is the frost point.

    Parameters
    ----------
    vapour_pa
        Pressure of the vapour. [Pa], 0 to 19946

    Returns
    -------
    dew_point
        [C], not below -90

    References
    ----------
    .. [1] ASHRAE Handbook Fundamentals 2017, ch. 1, sec. Dew point; saturation by IAPWS R7-97 and R14-08.
    """
    require_range("vapour pressure", vapour_pa, 0.0, 19_946.5, "Pa")
    low, high = -90.0, HOTTEST_C + 0.01
    if vapour_pa <= saturation_pressure_pa(low):
        return low
    return float(brentq(lambda t: saturation_pressure_pa(t) - vapour_pa, low, high, xtol=1e-9))


def vapour_flux_kg_m2s(film_w_m2k: float, air_vapour_pa: float, face_c: float, pressure_pa: float) -> float:
    """
    Water that passes from air to a wet face: more than 0 condenses, less than 0 dries; unchecked.

    Parameters
    ----------
    film_w_m2k
        Convective film coefficient. [W/(m2 K)]
    air_vapour_pa
        Vapour in the air. [Pa]
    face_c
        Temperature of the face. [C]
    pressure_pa
        Of the air. [Pa]

    Returns
    -------
    flux
        [kg/(m2 s)]

    References
    ----------
    .. [1] Chilton and Colburn 1934, Ind Eng Chem 26:1183: ``h_m = h / (rho cp Le^(2/3))``.
    """
    drive = MOLAR_RATIO * (air_vapour_pa - saturation_unchecked_pa(face_c)) / pressure_pa
    return film_w_m2k / (AIR_HEAT_J_KGK * LEWIS_POWER) * drive


def condensing_heat_w_m2(flux_kg_m2s: float, face_c: float) -> float:
    """Return the heat that condensing water brings to a face (drying takes it). [W/m2]"""
    return flux_kg_m2s * latent_unchecked_j_kg(max(face_c, 0.0)) if flux_kg_m2s != 0.0 else 0.0
