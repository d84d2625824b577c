"""A support under load: crushing, buckling, thin walls, and the board under its end."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import exp, pi, sqrt
from typing import Final

from tierwright.errors import require_range


class Ends(StrEnum):
    """How the ends of a support are held."""

    HELD = "both ends in place, free to turn"
    SWAY = "foot held flat, top free to sway"


EFFECTIVE_LENGTH: Final = {Ends.HELD: 1.0, Ends.SWAY: 2.0}
"""Effective length over length: Euler's first and fundamental cases. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A round solid (``wall_mm`` 0) or tube: outer diameter 1 to 60, wall up to half of it. [mm]"""

    outer_mm: float
    wall_mm: float = 0.0

    def __post_init__(self) -> None:
        require_range("outer diameter", self.outer_mm, 1.0, 60.0, "mm")
        require_range("wall", self.wall_mm, 0.0, self.outer_mm / 2, "mm")

    @property
    def inner_mm(self) -> float:
        """Bore; 0 for a solid. [mm]"""
        return self.outer_mm - 2 * self.wall_mm if self.wall_mm else 0.0

    @property
    def area_mm2(self) -> float:
        """Area of material. [mm2]"""
        return pi / 4 * (self.outer_mm**2 - self.inner_mm**2)

    @property
    def inertia_mm4(self) -> float:
        """Second moment of area. [mm4]"""
        return pi / 64 * (self.outer_mm**4 - self.inner_mm**4)

    @property
    def gyration_mm(self) -> float:
        """Radius of gyration. [mm]"""
        return sqrt(self.inertia_mm4 / self.area_mm2)


def buckling_load_n(
    section: Section, *, length_mm: float, modulus_mpa: float, crush_mpa: float, ends: Ends = Ends.HELD
) -> float:
    """
    Load at which a straight support gives way, by Euler when slender and by Johnson's parabola when stocky.

    Parameters
    ----------
    section
        Its cross-section. [mm]
    length_mm
        Cut length. [mm], 1 to 2000
    modulus_mpa
        Young's modulus. [MPa]
    crush_mpa
        Crushing strength. [MPa]
    ends
        How its ends are held.

    Returns
    -------
    load_n
        Critical load; never above crushing. [N]

    Raises
    ------
    OutOfRange
        A measure outside its span.

    Notes
    -----
    Euler's hyperbola and Johnson's parabola meet at half the crushing strength, at the slenderness
    ``sqrt(2 pi^2 E / f_c)``. Johnson's curve was drawn for ductile metals; for wood it lies below the fourth-power
    curve of the Wood Handbook (chapter 9), on the safe side.

    References
    ----------
    .. [1] Shigley, Mechanical Engineering Design, sections on long columns with central loading and on
       intermediate-length columns.

    Examples
    --------
    A quarter-inch birch support 100 mm long stands about a hundred kilograms of load:

    >>> round(buckling_load_n(Section(outer_mm=6.35), length_mm=100, modulus_mpa=13900, crush_mpa=56.3))
    1057
    """
    require_range("length", length_mm, 1.0, 2000.0, "mm")
    require_range("modulus", modulus_mpa, 0.1, 1e6, "MPa")
    require_range("crushing strength", crush_mpa, 1e-3, 1e4, "MPa")
    slenderness = EFFECTIVE_LENGTH[ends] * length_mm / section.gyration_mm
    if slenderness > sqrt(2 * pi**2 * modulus_mpa / crush_mpa):
        stress = pi**2 * modulus_mpa / slenderness**2
    else:
        stress = crush_mpa * (1 - crush_mpa * slenderness**2 / (4 * pi**2 * modulus_mpa))
    return stress * section.area_mm2


def wrinkling_load_n(section: Section, *, modulus_mpa: float) -> float:
    """
    Load at which the wall of a thin tube wrinkles; without limit for a solid.

    Parameters
    ----------
    section
        Its cross-section. [mm]
    modulus_mpa
        Young's modulus. [MPa]

    Returns
    -------
    load_n
        Wrinkling load with the knock-down for real tubes. [N]

    References
    ----------
    .. [1] NASA SP-8007, Buckling of Thin-Walled Circular Cylinders, 1968: ``0.6 g E t / R`` with
       ``g = 1 - 0.901 (1 - exp(-sqrt(R / t) / 16))``.
    """
    require_range("modulus", modulus_mpa, 0.1, 1e6, "MPa")
    if not section.wall_mm:
        return float("inf")
    radius = (section.outer_mm - section.wall_mm) / 2
    knocked = 1 - 0.901 * (1 - exp(-sqrt(radius / section.wall_mm) / 16))
    return 0.6 * knocked * modulus_mpa * section.wall_mm / radius * section.area_mm2


def shortening_mm_per_n(section: Section, *, length_mm: float, modulus_mpa: float) -> float:
    """Return how much a support shortens under one newton: ``L / (E A)``. [mm/N]"""
    require_range("length", length_mm, 1.0, 2000.0, "mm")
    require_range("modulus", modulus_mpa, 0.1, 1e6, "MPa")
    return length_mm / (modulus_mpa * section.area_mm2)


def bearing_pressure_mpa(section: Section, *, force_n: float, spread_mm: float = 0.0) -> float:
    """
    Pressure of a support's end on a board.

    Parameters
    ----------
    section
        Its cross-section. [mm]
    force_n
        Force on it. [N], not negative
    spread_mm
        How far the board's stiff face spreads the force on every side. [mm]

    Returns
    -------
    pressure_mpa
        Force over the end's area, spread into and out of a tube's bore. [MPa]
    """
    require_range("force", force_n, 0.0, 1e5, "N")
    require_range("spread", spread_mm, 0.0, 50.0, "mm")
    outer = section.outer_mm + 2 * spread_mm
    inner = max(0.0, section.inner_mm - 2 * spread_mm)
    return force_n / (pi / 4 * (outer**2 - inner**2))
