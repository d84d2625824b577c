"""
Films of air on a body's surfaces: still air, moving air.

What takes plain numbers and checks nothing is also read by the compiler, for the many pieces of a temperature line.
"""

from __future__ import annotations

from enum import StrEnum
from math import sqrt
from typing import Final, NamedTuple

from tierwright.errors import require_range
from tierwright.water import SEA_LEVEL_PA

GRAVITY: Final = 9.80665


class Face(StrEnum):
    """Which way a face looks, and whether the body is warmer than the air."""

    SIDE = "side"
    OPEN_UP = "warm face up or cold face down"  # the air rises freely off it
    SHUT_IN = "warm face down or cold face up"  # the air stays beneath or upon it


class Air(NamedTuple):
    """
    Dry air.

    Attributes
    ----------
    conductivity_w_mk
        [W/(m K)]
    viscosity_m2_s
        Kinematic viscosity. [m2/s]
    diffusivity_m2_s
        Thermal diffusivity. [m2/s]
    """

    conductivity_w_mk: float
    viscosity_m2_s: float
    diffusivity_m2_s: float

    @property
    def prandtl(self) -> float:
        """Prandtl number. [-]"""
        return self.viscosity_m2_s / self.diffusivity_m2_s


def air(temperature_c: float, pressure_pa: float = SEA_LEVEL_PA) -> Air:
    """
    Properties of dry air.

    Parameters
    ----------
    temperature_c
        Mean of surface and air. [degC], -40 to 300
    pressure_pa
        [Pa]

    Returns
    -------
    air
        Conductivity, viscosity, diffusivity.

    Raises
    ------
    OutOfRange
        Outside -40 to 300 degC.

    References
    ----------
    .. [1] Sutherland's formulas with the constants of White F M (2006), Viscous Fluid Flow, tables 1-2 and 1-3.
    """
    require_range("air temperature", temperature_c, -40.0, 300.0, "degC")
    return Air(*air_numbers(temperature_c, pressure_pa))


def air_numbers(temperature_c: float, pressure_pa: float) -> tuple[float, float, float]:
    """Return conductivity, kinematic viscosity and thermal diffusivity as ``air`` does, unchecked. [W/(m K)], [m2/s]"""
    kelvin = temperature_c + 273.15
    ratio = kelvin / 273.0
    viscosity = 1.716e-5 * ratio**1.5 * (273.0 + 111.0) / (kelvin + 111.0)
    conductivity = 0.0241 * ratio**1.5 * (273.0 + 194.0) / (kelvin + 194.0)
    density = pressure_pa / (287.05 * kelvin)
    return conductivity, viscosity / density, conductivity / (density * 1007.0)


def still_air_film(
    face: Face, size_mm: float, surface_c: float, air_c: float, pressure_pa: float = SEA_LEVEL_PA
) -> float:
    """
    Film coefficient of free convection.

    Parameters
    ----------
    face
        Which way it looks.
    size_mm
        Height of a side; diameter of a top or bottom. [mm], 10 to 2000
    surface_c, air_c
        Temperatures of the face and of the air. [degC]
    pressure_pa
        Of the air. [Pa]

    Returns
    -------
    h
        Film coefficient. [W/(m2 K)]

    Raises
    ------
    OutOfRange
        A size or a temperature outside its span.

    References
    ----------
    .. [1] Churchill S W, Chu H H S (1975), Int J Heat Mass Transfer 18:1323: sides.
    .. [2] McAdams W H (1954), Heat Transmission, 3rd ed., ch. 7; Goldstein, Sparrow and Jones 1973 (area over
       perimeter as the length): tops and bottoms.
    """
    require_range("size", size_mm, 10.0, 2000.0, "mm", face.value)
    film = air((surface_c + air_c) / 2.0, pressure_pa)
    return still(face is Face.SIDE, face is Face.OPEN_UP, size_mm, surface_c, air_c, film)


def still(
    upright: bool, rises_freely: bool, size_mm: float, surface_c: float, air_c: float, film: tuple[float, float, float]
) -> float:
    """Return the film of free convection as ``still_air_film`` does, unchecked, in the air of ``air_numbers``."""
    conductivity, viscosity, diffusivity = film
    length = size_mm / 1000.0 if upright else size_mm / 4000.0
    difference = max(abs(surface_c - air_c), 0.1)
    kelvin = (surface_c + air_c) / 2.0 + 273.15
    rayleigh = GRAVITY * difference * length**3 / (kelvin * viscosity * diffusivity)
    if upright:
        bend = (1.0 + (0.492 * diffusivity / viscosity) ** (9.0 / 16.0)) ** (8.0 / 27.0)
        nusselt = (0.825 + 0.387 * rayleigh ** (1.0 / 6.0) / bend) ** 2
    elif not rises_freely:
        nusselt = 0.27 * rayleigh**0.25
    elif rayleigh < 1.0e7:
        nusselt = 0.54 * rayleigh**0.25
    else:
        nusselt = 0.15 * rayleigh ** (1.0 / 3.0)
    return float(nusselt * conductivity / length)


def moving_air_film(
    size_mm: float, speed_m_s: float, surface_c: float, air_c: float, pressure_pa: float = SEA_LEVEL_PA
) -> float:
    """
    Mean film coefficient of air that flows along a face.

    Parameters
    ----------
    size_mm
        Length of the face along the flow. [mm], 10 to 2000
    speed_m_s
        Speed of the air. [m/s], 0.05 to 30
    surface_c, air_c
        Temperatures of the face and of the air. [degC]
    pressure_pa
        Of the air. [Pa]

    Returns
    -------
    h
        Film coefficient. [W/(m2 K)]

    Raises
    ------
    OutOfRange
        A size or speed outside its span.

    References
    ----------
    .. [1] Pohlhausen 1921: laminar flow along a plate, ``Nu = 0.664 Re^1/2 Pr^1/3``; Incropera and DeWitt, eqs. 7.30
       and 7.38 (turbulent beyond Re 5e5).
    """
    require_range("size", size_mm, 10.0, 2000.0, "mm", "face")
    require_range("air speed", speed_m_s, 0.05, 30.0, "m/s", "face")
    return moving(size_mm, speed_m_s, air((surface_c + air_c) / 2.0, pressure_pa))


def moving(size_mm: float, speed_m_s: float, film: tuple[float, float, float]) -> float:
    """Return the film of air along a face as ``moving_air_film`` does, unchecked, in the air of ``air_numbers``."""
    conductivity, viscosity, diffusivity = film
    length = size_mm / 1000.0
    reynolds = speed_m_s * length / viscosity
    third = (viscosity / diffusivity) ** (1.0 / 3.0)
    nusselt = 0.664 * sqrt(reynolds) * third if reynolds <= 5.0e5 else (0.037 * reynolds**0.8 - 871.0) * third
    return float(nusselt * conductivity / length)


def mixed_air_film(
    upright: bool,
    rises_freely: bool,
    size_mm: float,
    speed_m_s: float,
    surface_c: float,
    air_c: float,
    pressure_pa: float,
) -> float:
    """
    Film coefficient of air that rises off a face and is moved along it too: about the greater of the two; unchecked.

    Parameters
    ----------
    upright
        Whether it is a side.
    rises_freely
        Whether the air rises freely off a face that lies.
    size_mm, speed_m_s, surface_c, air_c, pressure_pa
        As for ``still_air_film`` and ``moving_air_film``, and within their spans.

    Returns
    -------
    h
        Film coefficient. [W/(m2 K)]

    References
    ----------
    .. [1] Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, sec. 9.9: the cubes of both add.
    """
    film = air_numbers((surface_c + air_c) / 2.0, pressure_pa)
    free = still(upright, rises_freely, size_mm, surface_c, air_c, film)
    moved = moving(size_mm, speed_m_s, film)
    return float((free**3 + moved**3) ** (1.0 / 3.0))
