"""Outlines of tiers, pans and boards: exact areas and perimeters, and polygons to draw and cut.

Every outline is given by its measures and lies centred on the middle of its bounding box, x to the right
and y away from the maker, in millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from math import cos, pi, radians, sin, sqrt

from tierwright.errors import require_range

Point = tuple[float, float]

SMALLEST_MM = 20.0
LARGEST_MM = 1000.0
ARC_STEP_DEGREES = 2.5
PETALS = 6


class Shape(StrEnum):
    """Shapes that pans, boards and tiers come in."""

    ROUND = "round"
    SQUARE = "square"
    RECTANGLE = "rectangle"
    HEXAGON = "hexagon"
    PETAL = "petal"
    HEART = "heart"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """
    A shape with its measures.

    Attributes
    ----------
    shape
        The kind of outline.
    width_mm
        Diameter of a round; side of a square; longer side of a rectangle; distance across the flats of a hexagon;
        widest distance across two opposite lobes of a petal; greatest width of a heart. [mm], 20 to 1000
    length_mm
        Shorter side of a rectangle. [mm]; 0 for all others.

    Raises
    ------
    OutOfRange
        A measure outside 20 to 1000 mm.
    """

    shape: Shape
    width_mm: float
    length_mm: float = 0.0

    def __post_init__(self) -> None:
        require_range("width", self.width_mm, SMALLEST_MM, LARGEST_MM, "mm", f"{self.shape.value} outline")
        if self.shape is Shape.RECTANGLE:
            require_range("length", self.length_mm, SMALLEST_MM, LARGEST_MM, "mm", "rectangle outline")

    @classmethod
    def round(cls, diameter_mm: float) -> Outline:
        """Return a round outline of this diameter. [mm]"""
        return cls(shape=Shape.ROUND, width_mm=diameter_mm)

    @property
    def area_mm2(self) -> float:
        """Exact area. [mm2]"""
        w = self.width_mm
        match self.shape:
            case Shape.ROUND:
                return pi * w * w / 4
            case Shape.SQUARE:
                return w * w
            case Shape.RECTANGLE:
                return w * self.length_mm
            case Shape.HEXAGON:
                return sqrt(3) / 2 * w * w
            case Shape.PETAL:
                side = _petal_side(w)
                return PETALS * side * side * (sqrt(3) / 4 + pi / 8)
            case Shape.HEART:
                side = _heart_side(w)
                return side * side * (1 + pi / 4)

    @property
    def perimeter_mm(self) -> float:
        """Exact length round the outside. [mm]"""
        w = self.width_mm
        match self.shape:
            case Shape.ROUND:
                return pi * w
            case Shape.SQUARE:
                return 4 * w
            case Shape.RECTANGLE:
                return 2 * (w + self.length_mm)
            case Shape.HEXAGON:
                return 2 * sqrt(3) * w
            case Shape.PETAL:
                return PETALS * pi * _petal_side(w) / 2
            case Shape.HEART:
                return _heart_side(w) * (2 + pi)

    @property
    def extent_mm(self) -> tuple[float, float]:
        """Width and depth of the bounding box. [mm]"""
        w = self.width_mm
        match self.shape:
            case Shape.ROUND | Shape.SQUARE:
                return (w, w)
            case Shape.RECTANGLE:
                return (w, self.length_mm)
            case Shape.HEXAGON:
                return (w, 2 * w / sqrt(3))
            case Shape.PETAL:
                # Lobes lie on the left and right; across the other axis the highest lobes sit at 60 degrees.
                side = _petal_side(w)
                return (w, 2 * (side * sqrt(3) / 2 * sin(radians(60)) + side / 2))
            case Shape.HEART:
                side = _heart_side(w)
                return (w, side * (1 / sqrt(2) + sqrt(2) / 4 + 0.5))

    @property
    def largest_mm(self) -> float:
        """Longest side of the bounding box. [mm]"""
        return max(self.extent_mm)

    def grown(self, by_mm: float) -> Outline:
        """Return the same shape with ``by_mm`` more on every side (less, if negative). [mm]"""
        length = self.length_mm + 2 * by_mm if self.shape is Shape.RECTANGLE else 0.0
        return Outline(shape=self.shape, width_mm=self.width_mm + 2 * by_mm, length_mm=length)

    def polygon(self) -> tuple[Point, ...]:
        """
        Corners of the outline, counter-clockwise, first corner not repeated. [mm]

        Curves are drawn as chords whose corners lie a hair outside the curve, so that the polygon has exactly the
        outline's area.
        """
        return _polygon(self)

    def describe(self) -> str:
        """Return the outline in words and millimetres, such as ``round 203 mm``."""
        if self.shape is Shape.RECTANGLE:
            return f"rectangle {self.width_mm:.0f} x {self.length_mm:.0f} mm"
        return f"{self.shape.value} {self.width_mm:.0f} mm"


def _petal_side(width_mm: float) -> float:
    """Side of the hexagon on whose sides the six half-round lobes stand. [mm]"""
    return width_mm / (1 + sqrt(3))


def _heart_side(width_mm: float) -> float:
    """Side of the square, set on its corner, on whose upper sides the two half rounds stand. [mm]"""
    return width_mm / (1 + 1 / sqrt(2))


@lru_cache(maxsize=512)
def _polygon(outline: Outline) -> tuple[Point, ...]:
    w = outline.width_mm
    match outline.shape:
        case Shape.ROUND:
            steps = round(360 / ARC_STEP_DEGREES)
            step = 2 * pi / steps
            radius = w / 2 * sqrt(step / sin(step))
            return tuple((radius * cos(i * step), radius * sin(i * step)) for i in range(steps))
        case Shape.SQUARE:
            return _box(w, w)
        case Shape.RECTANGLE:
            return _box(w, outline.length_mm)
        case Shape.HEXAGON:
            corner = w / sqrt(3)
            return tuple((corner * sin(radians(60 * i)), -corner * cos(radians(60 * i))) for i in range(6))
        case Shape.PETAL:
            side = _petal_side(w)
            points: list[Point] = []
            for lobe in range(PETALS):
                towards = radians(60 * lobe)
                middle = side * sqrt(3) / 2
                centre = (middle * cos(towards), middle * sin(towards))
                points += _half_round(centre, side / 2, towards)[:-1]
            return tuple(points)
        case Shape.HEART:
            side = _heart_side(w)
            lift = outline.extent_mm[1] / 2 - side * (sqrt(2) / 4 + 0.5)
            offset = side * sqrt(2) / 4
            right = _half_round((offset, offset + lift), side / 2, radians(45))
            left = _half_round((-offset, offset + lift), side / 2, radians(135))
            tip = (0.0, -side / sqrt(2) + lift)
            return (tip, *right, *left[1:])


def _box(width: float, depth: float) -> tuple[Point, ...]:
    x, y = width / 2, depth / 2
    return ((-x, -y), (x, -y), (x, y), (-x, y))


def _half_round(centre: Point, radius: float, towards: float) -> list[Point]:
    """
    Corners of a half circle that bulges towards an angle, ends included.

    The ends stay on the circle so that neighbours meet; the corners between are set out far enough that the fan
    of triangles has the half circle's exact area.
    """
    steps = round(180 / ARC_STEP_DEGREES)
    step = pi / steps
    # sin(step)/2 * ((steps - 2) q^2 + 2 q) = pi/2, q being the outer radius over the true one.
    a, b, c = float(steps - 2), 2.0, -pi / sin(step)
    outer = radius * (-b + sqrt(b * b - 4 * a * c)) / (2 * a)
    points: list[Point] = []
    for i in range(steps + 1):
        r = radius if i in (0, steps) else outer
        angle = towards - pi / 2 + i * step
        points.append((centre[0] + r * cos(angle), centre[1] + r * sin(angle)))
    return points
