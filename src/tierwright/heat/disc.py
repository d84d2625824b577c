"""The disc that heats through like a shape: one radius for every outline."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt
from typing import Final

from tierwright.shapes import Outline, Shape

BESSEL_ZERO: Final = 2.404825557695773
"""First zero of the Bessel function J0. [-]"""

# sqrt(lowest Dirichlet eigenvalue) * width for outlines without a closed form, from quadratic finite elements on
# three meshes of the exact outline (tests/heat/test_disc.py repeats the coarsest). Relative error below 0.001.
EIGEN_WIDTH: Final = {Shape.HEXAGON: 4.6331, Shape.PETAL: 5.626, Shape.HEART: 5.769}


@dataclass(frozen=True, slots=True, kw_only=True)
class Disc:
    """
    The disc that stands for an outline.

    Attributes
    ----------
    radius_mm
        Radius whose lowest lateral eigenvalue is the outline's. [mm]
    time_error
        Largest relative error of a time to reach a temperature, from comparison with exact products of slabs. [-]
    """

    radius_mm: float
    time_error: float


def equivalent_disc(outline: Outline) -> Disc:
    """
    Disc that takes the place of an outline.

    Parameters
    ----------
    outline
        Any outline of the house. [mm]

    Returns
    -------
    disc
        Radius and the error that the exchange brings.

    Notes
    -----
    The slowest mode across a cylinder of any cross-section decays with the lowest Dirichlet eigenvalue of the section.
    A rectangle a x b has ``pi^2 (1/a^2 + 1/b^2)``, a disc ``(2.4048/R)^2``. Against the exact products of three slabs
    the time to heat through is off by 0.05 to 0.5 % for 152 mm squares 40 to 60 mm deep and 229 x 330 mm rectangles;
    corners, which brown first, are lost.

    References
    ----------
    .. [1] Carslaw H S, Jaeger J C (1959), Conduction of Heat in Solids, 2nd ed., secs. 5.6 and 7.6.
    """
    w = outline.width_mm
    match outline.shape:
        case Shape.ROUND:
            return Disc(radius_mm=w / 2.0, time_error=0.0)
        case Shape.SQUARE:
            return Disc(radius_mm=BESSEL_ZERO * w / (pi * sqrt(2.0)), time_error=0.005)
        case Shape.RECTANGLE:
            wave = pi * sqrt(1.0 / w**2 + 1.0 / outline.length_mm**2)
            return Disc(radius_mm=BESSEL_ZERO / wave, time_error=0.005)
        case Shape.HEXAGON | Shape.PETAL | Shape.HEART:
            return Disc(radius_mm=BESSEL_ZERO * w / EIGEN_WIDTH[outline.shape], time_error=0.01)
