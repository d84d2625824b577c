"""A tier taken apart into rings and a core, before they are cut across."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt

import shapely

from tierwright.shapes import Outline, Point, Shape
from tierwright.sizing.rails import facing_rails, seen_round

# A hundredth of a thousandth: keeps 8 in / 1 in from falling to 7 through rounding.
SLACK = 1e-5


@dataclass(frozen=True, slots=True)
class Part:
    """A ring, or the core, before it is cut across."""

    outer: Sequence[Point]
    inner: Sequence[Point]
    area_mm2: float
    edge_mm: float
    middle_mm: float
    pointed: bool
    core: bool
    box: tuple[float, float] | None = None  # a rectangle's core is cut straight


def whole_tier(outline: Outline) -> Part:
    """Return a tier as one part that is cut from its middle."""
    centre = _centre(outline)
    corners = outline.polygon()
    return Part(
        outer=corners,
        inner=[centre] * len(corners),
        area_mm2=outline.area_mm2,
        edge_mm=outline.perimeter_mm,
        middle_mm=outline.perimeter_mm / 2,
        pointed=True,
        core=False,
    )


def _centre(outline: Outline) -> Point:
    """Return the middle from which an outline is cut: that of the largest circle that fits in it."""
    if outline.shape is not Shape.HEART:
        return (0.0, 0.0)
    # On the axis, as far from the two straight lower sides as from the notch.
    side = outline.width_mm / (1 + 1 / sqrt(2))
    square_middle = outline.extent_mm[1] / 2 - side * (sqrt(2) / 4 + 0.5)
    return (0.0, square_middle + side * (1 / sqrt(2) - 0.5) / (1 + 1 / sqrt(2)))


@lru_cache(maxsize=128)
def rings_and_core(outline: Outline, depth: float) -> tuple[Part, ...]:
    """Return the rings of a tier from the outside in, one portion depth [mm] each, and its core if one is left."""
    match outline.shape:
        case Shape.ROUND | Shape.SQUARE | Shape.HEXAGON:
            return _regular_parts(outline, depth)
        case Shape.RECTANGLE:
            return _rectangle_parts(outline, depth)
        case Shape.PETAL | Shape.HEART:
            return _lobed_parts(outline, depth)


def _regular_parts(outline: Outline, depth: float) -> tuple[Part, ...]:
    """Insets of a round or regular polygon are smaller copies of it."""
    half = outline.width_mm / 2
    corners, area, edge = outline.polygon(), outline.area_mm2, outline.perimeter_mm

    def line(at: float) -> list[Point]:
        size = at / half
        return [(x * size, y * size) for x, y in corners]

    parts: list[Part] = []
    at = half
    while at > SLACK:
        core = at < depth - SLACK
        end = 0.0 if core or at - depth <= SLACK else at - depth
        parts.append(
            Part(
                outer=line(at),
                inner=line(end),
                area_mm2=area * (at * at - end * end) / (half * half),
                edge_mm=edge * at / half,
                middle_mm=edge * (at + end) / 2 / half,
                pointed=end == 0.0,
                core=core,
            )
        )
        at = end
    return tuple(parts)


def _rectangle_parts(outline: Outline, depth: float) -> tuple[Part, ...]:
    width, length = outline.width_mm, outline.length_mm

    def line(w: float, h: float) -> list[Point]:
        return [(-w / 2, -h / 2), (w / 2, -h / 2), (w / 2, h / 2), (-w / 2, h / 2)]

    parts: list[Part] = []
    while min(width, length) > 2 * depth + SLACK:
        inner_width, inner_length = width - 2 * depth, length - 2 * depth
        parts.append(
            Part(
                outer=line(width, length),
                inner=line(inner_width, inner_length),
                area_mm2=width * length - inner_width * inner_length,
                edge_mm=2 * (width + length),
                middle_mm=2 * (width + length - 2 * depth),
                pointed=False,
                core=False,
            )
        )
        width, length = inner_width, inner_length
    parts.append(
        Part(
            outer=line(width, length),
            inner=(),
            area_mm2=width * length,
            edge_mm=2 * (width + length),
            middle_mm=0.0,
            pointed=False,
            core=True,
            box=(width, length),
        )
    )
    return tuple(parts)


def _lobed_parts(outline: Outline, depth: float) -> tuple[Part, ...]:
    """Take true insets of a petal or heart while all of the next line can be seen from the middle."""
    centre = _centre(outline)
    here = shapely.Polygon(outline.polygon())
    seen = seen_round(outline.polygon(), centre)
    assert seen is not None  # petals and hearts are seen whole from their middle
    parts: list[Part] = []
    while True:
        inset = here.buffer(-depth, quad_segs=16)
        whole = isinstance(inset, shapely.Polygon) and not inset.is_empty and inset.contains(shapely.Point(centre))
        ahead = seen_round(_corners(inset), centre) if whole else None
        if ahead is None:
            break
        outer, inner = facing_rails(seen, ahead, centre)
        middle = here.buffer(-depth / 2, quad_segs=16)
        parts.append(
            Part(
                outer=outer,
                inner=inner,
                area_mm2=here.area - inset.area,
                edge_mm=here.length if parts else outline.perimeter_mm,
                middle_mm=middle.length,
                pointed=False,
                core=False,
            )
        )
        here, seen = inset, ahead
    corners = [point for _, point in seen]
    parts.append(
        Part(
            outer=corners,
            inner=[centre] * len(corners),
            area_mm2=here.area,
            edge_mm=here.length,
            middle_mm=here.length / 2,
            pointed=True,
            core=True,
        )
    )
    return tuple(parts)


def _corners(polygon: shapely.Geometry) -> list[Point]:
    ring = shapely.get_exterior_ring(shapely.orient_polygons(polygon))
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(ring)[:-1]]
