"""How hard the air presses and how water boils under it: the ground on which ovens and syrup pans stand."""

from __future__ import annotations

from math import exp, log, sqrt
from typing import Final

from tierwright.errors import require_range

ABSOLUTE_ZERO_C: Final = -273.15
"""Zero of the thermodynamic scale. [degC]"""

SEA_LEVEL_PA: Final = 101325.0
"""Standard air pressure at sea level, ISO 2533 and U.S. Standard Atmosphere 1976. [Pa]"""

LOWEST_ALTITUDE_M: Final = -500.0
HIGHEST_ALTITUDE_M: Final = 6000.0
"""No kitchen of the house stands lower or higher. [m]"""

_EARTH_RADIUS_M: Final = 6_356_766.0  # U.S. Standard Atmosphere 1976, table 1: for geopotential altitude
_SEA_LEVEL_K: Final = 288.15
_LAPSE_K_M: Final = 0.0065
_GRAVITY: Final = 9.80665
_GAS_CONSTANT: Final = 8314.32 / 28.9644  # the standard's own R* and molar mass, J/(kg K)

SATURATION_COEFFICIENTS: Final = (
    0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2,
    0.12020824702470e5, -0.32325550322333e7, 0.14915108613530e2,
    -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849,
    0.65017534844798e3,
)  # fmt: skip
"""n1..n10 of the saturation line, IAPWS R7-97(2012), Table 34. [-]"""

CRITICAL_K: Final = 647.096
CRITICAL_DENSITY: Final = 322.0  # kg/m3
_LIQUID_DENSITY: Final = (
    (1.99274064, 1 / 3), (1.09965342, 2 / 3), (-0.510839303, 5 / 3),
    (-1.75493479, 16 / 3), (-45.5170352, 43 / 3), (-6.74694450e5, 110 / 3),
)  # fmt: skip
_VAPOUR_DENSITY: Final = (
    (-2.03150240, 2 / 6), (-2.68302940, 4 / 6), (-5.38626492, 8 / 6),
    (-17.2991605, 18 / 6), (-44.7586581, 37 / 6), (-63.9201063, 71 / 6),
)  # fmt: skip
_SUBLIMATION: Final = (
    (-0.212144006e2, 0.333333333e-2),
    (0.273203819e2, 0.120666667e1),
    (-0.610598130e1, 0.170333333e1),
)
_TRIPLE_K: Final = 273.16
_TRIPLE_PA: Final = 611.657


def air_pressure_pa(altitude_m: float) -> float:
    """
    Air pressure of a standard day at an altitude above the sea.

    Parameters
    ----------
    altitude_m
        Height above mean sea level as a map gives it. [m], -500 to 6000

    Returns
    -------
    pressure_pa
        Absolute pressure. [Pa]

    Raises
    ------
    OutOfRange
        Below -500 m or above 6000 m.

    Notes
    -----
    Weather moves it by about 3 % either way, which is what 250 m of height do.

    References
    ----------
    .. [1] U.S. Standard Atmosphere 1976, eqs. 18 and 33a (the same layer as ISO 2533:1975).

    Examples
    --------
    >>> round(air_pressure_pa(1609.3))
    83432
    """
    require_range("altitude", altitude_m, LOWEST_ALTITUDE_M, HIGHEST_ALTITUDE_M, "m")
    geopotential = _EARTH_RADIUS_M * altitude_m / (_EARTH_RADIUS_M + altitude_m)
    ratio: float = _SEA_LEVEL_K / (_SEA_LEVEL_K - _LAPSE_K_M * geopotential)
    pressure: float = SEA_LEVEL_PA * ratio ** (-_GRAVITY / (_GAS_CONSTANT * _LAPSE_K_M))
    return pressure


def saturation_pressure_pa(temperature_c: float) -> float:
    """
    Pressure of water vapour over pure liquid water, or over ice below the triple point.

    Parameters
    ----------
    temperature_c
        Temperature of the water. [degC], -100 to 373.9

    Returns
    -------
    pressure_pa
        Saturation pressure. [Pa]

    Raises
    ------
    OutOfRange
        Below -100 degC or above the critical point.

    References
    ----------
    .. [1] IAPWS R7-97(2012), Industrial Formulation 1997 for Water and Steam, eq. 30.
    .. [2] IAPWS R14-08(2011), Pressure along the Melting and Sublimation Curves of Ordinary Water, eq. 6.

    Examples
    --------
    >>> round(saturation_pressure_pa(60.0))
    19946
    """
    require_range("temperature of water", temperature_c, -100.0, CRITICAL_K + ABSOLUTE_ZERO_C, "degC")
    return saturation_unchecked_pa(temperature_c)


def saturation_unchecked_pa(temperature_c: float) -> float:
    """Return ``saturation_pressure_pa``, unchecked: plain numbers alone, which a compiler reads too. [degC], [Pa]"""
    kelvin = temperature_c - ABSOLUTE_ZERO_C
    if kelvin < _TRIPLE_K:
        theta = kelvin / _TRIPLE_K
        power = 0.0
        for factor, exponent in _SUBLIMATION:
            power += factor * theta**exponent
        return _TRIPLE_PA * exp(power / theta)
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = SATURATION_COEFFICIENTS
    v = kelvin + n9 / (kelvin - n10)
    a = v * v + n1 * v + n2
    b = n3 * v * v + n4 * v + n5
    c = n6 * v * v + n7 * v + n8
    pressure: float = (2.0 * c / (-b + sqrt(b * b - 4.0 * a * c))) ** 4 * 1.0e6
    return pressure


def boiling_point_c(pressure_pa: float) -> float:
    """
    Temperature at which pure water boils under a pressure.

    Parameters
    ----------
    pressure_pa
        Absolute pressure over the pan. [Pa], 611.213 to 22.064e6

    Returns
    -------
    temperature_c
        Boiling temperature. [degC]

    Raises
    ------
    OutOfRange
        Outside the span of the source equation.

    Notes
    -----
    A solution of water activity ``a_w`` boils where this function stands at ``pressure_pa / a_w``.

    References
    ----------
    .. [1] IAPWS R7-97(2012), Industrial Formulation 1997 for Water and Steam, eq. 31.

    Examples
    --------
    >>> round(boiling_point_c(air_pressure_pa(1609.3)), 2)
    94.62
    """
    require_range("pressure", pressure_pa, 611.213, 22.064e6, "Pa")
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = SATURATION_COEFFICIENTS
    # beta, e, f, g, d: the source's own letters, so the two can be read together.
    beta: float = (pressure_pa / 1.0e6) ** 0.25
    e = beta * beta + n3 * beta + n6
    f = n1 * beta * beta + n4 * beta + n7
    g = n2 * beta * beta + n5 * beta + n8
    d = 2.0 * g / (-f - sqrt(f * f - 4.0 * e * g))
    kelvin: float = (n10 + d - sqrt((n10 + d) ** 2 - 4.0 * (n9 + n10 * d))) / 2.0
    return kelvin + ABSOLUTE_ZERO_C


def latent_heat_j_kg(temperature_c: float) -> float:
    """
    Heat that turns a kilogram of liquid water into saturated vapour.

    Parameters
    ----------
    temperature_c
        Temperature at which it evaporates. [degC], 0 to 300

    Returns
    -------
    latent_j_kg
        Latent heat of vaporization. [J/kg]

    Raises
    ------
    OutOfRange
        Outside 0 to 300 degC.

    Notes
    -----
    Clapeyron's relation, ``T (dp/dT) (v'' - v')``, with the slope of the saturation line of IAPWS R7-97 and the
    densities of the two phases from the supplementary release.

    References
    ----------
    .. [1] IAPWS SR1-86(1992), Saturation Properties of Ordinary Water Substance, eqs. 2 and 3.

    Examples
    --------
    >>> round(latent_heat_j_kg(100.0) / 1000)
    2257
    """
    require_range("temperature of water", temperature_c, 0.0, 300.0, "degC")
    return latent_unchecked_j_kg(temperature_c)


def latent_unchecked_j_kg(temperature_c: float) -> float:
    """Return ``latent_heat_j_kg``, unchecked: plain numbers alone, which a compiler reads too. [degC], [J/kg]"""
    kelvin = temperature_c - ABSOLUTE_ZERO_C
    tau = 1.0 - kelvin / CRITICAL_K
    liquid, vapour = 1.0, 0.0
    for factor, exponent in _LIQUID_DENSITY:
        liquid += factor * tau**exponent
    for factor, exponent in _VAPOUR_DENSITY:
        vapour += factor * tau**exponent
    step = 0.01
    centre = max(temperature_c, 0.03)  # both ends of the difference stay on the liquid's line
    log_rise = log(saturation_unchecked_pa(centre + step) / saturation_unchecked_pa(centre - step))
    slope = saturation_unchecked_pa(max(temperature_c, 0.01)) * log_rise / (2.0 * step)
    return float(kelvin * slope * (1.0 / exp(vapour) - 1.0 / liquid) / CRITICAL_DENSITY)
