"""Areas and volumes of coats from true geometry."""

from __future__ import annotations

from functools import lru_cache
from math import pi
from typing import Final

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from tierwright.errors import require_range
from tierwright.shapes import Outline, Shape

CONVEX: Final = frozenset({Shape.ROUND, Shape.SQUARE, Shape.RECTANGLE, Shape.HEXAGON})
THICKEST_MM: Final = 60.0
ARC_SEGMENTS: Final = 64
MM2_PER_CM2: Final = 100.0
MM3_PER_ML: Final = 1000.0


@lru_cache(maxsize=256)
def _shape(outline: Outline) -> Polygon:
    return Polygon(outline.polygon())


@lru_cache(maxsize=2048)
def offset_area_mm2(outline: Outline, by_mm: float) -> float:
    """
    Area inside the line that runs ``by_mm`` outside an outline everywhere (inside it, if negative).

    Parameters
    ----------
    outline
        The cake's outline.
    by_mm
        Distance, measured square to the outline. [mm], -60 to 60

    Returns
    -------
    area
        Zero where an inner line vanishes. [mm2]

    Raises
    ------
    OutOfRange
        A distance beyond 60 mm.

    Notes
    -----
    For a convex outline of area A and perimeter P the outer parallel has area ``A + P t + pi t**2`` exactly (Steiner);
    a square's corners come out rounded, as a scraper leaves them. Inner parallels of round, square, rectangle and
    hexagon are exact too. Petal and heart are not convex: their polygon is buffered.

    References
    ----------
    .. [1] J. Steiner, 1840; for example Schneider, Convex Bodies: The Brunn-Minkowski Theory, 2nd ed. 2014, sec. 4.1.
    """
    require_range("distance from the outline", by_mm, -THICKEST_MM, THICKEST_MM, "mm", outline.describe())
    if outline.shape in CONVEX:
        if by_mm >= 0:
            return outline.area_mm2 + outline.perimeter_mm * by_mm + pi * by_mm * by_mm
        return _inner_area_mm2(outline, -by_mm)
    if by_mm == 0:
        return outline.area_mm2
    return float(_shape(outline).buffer(by_mm, quad_segs=ARC_SEGMENTS).area)


def _inner_area_mm2(outline: Outline, depth_mm: float) -> float:
    w, length = outline.width_mm, outline.length_mm
    if outline.shape is Shape.RECTANGLE:
        return max(0.0, w - 2 * depth_mm) * max(0.0, length - 2 * depth_mm)
    # Round, square and hexagon all touch one inscribed circle of diameter w, so an inner parallel is the same shape.
    return outline.area_mm2 * max(0.0, 1 - 2 * depth_mm / w) ** 2


@lru_cache(maxsize=2048)
def offset_perimeter_mm(outline: Outline, by_mm: float) -> float:
    """
    Length of the line ``by_mm`` outside an outline. [mm], 0 to 60

    For a convex outline ``P + 2 pi t`` exactly; petal and heart by their polygon.

    Raises
    ------
    OutOfRange
        A distance below zero or beyond 60 mm.
    """
    require_range("distance from the outline", by_mm, 0.0, THICKEST_MM, "mm", outline.describe())
    if outline.shape in CONVEX:
        return outline.perimeter_mm + 2 * pi * by_mm
    if by_mm == 0:
        return outline.perimeter_mm
    return float(_shape(outline).buffer(by_mm, quad_segs=ARC_SEGMENTS).length)


def covered_area_mm2(top: Outline, *standing: Outline) -> float:
    """
    Area of a top that is hidden under what stands on its middle.

    Parameters
    ----------
    top
        Outline of the top.
    standing
        Outlines of what stands there: a tier with its coat, its board. The hidden area is that of all of them together.

    Returns
    -------
    area
        Never more than the top's own area; exact where one outline holds all the others. [mm2]
    """
    if not standing:
        return 0.0
    widest = max(standing, key=lambda outline: outline.area_mm2)
    if fits_on(top, widest) and all(fits_on(widest, outline) for outline in standing):
        return widest.area_mm2
    shape: BaseGeometry = _shape(standing[0])
    for outline in standing[1:]:
        shape = shape.union(_shape(outline))
    return min(top.area_mm2, float(_shape(top).intersection(shape).area))


@lru_cache(maxsize=1024)
def fits_on(below: Outline, above: Outline) -> bool:
    """Return whether ``above``, centred, lies within ``below``; two equal outlines fit."""
    if below == above:
        return True
    if below.shape is above.shape and below.shape is not Shape.RECTANGLE:
        return above.width_mm <= below.width_mm
    # A hair of slack: curves are polygons whose corners stand a little outside.
    return bool(_shape(below).buffer(1e-3 * below.largest_mm).contains(_shape(above)))


def shell_volume_ml(
    outline: Outline,
    height_mm: float,
    *,
    inner_side_mm: float = 0.0,
    inner_top_mm: float = 0.0,
    side_mm: float,
    top_mm: float,
    covered_mm2: float = 0.0,
    shoulder_mm: float = 0.0,
) -> float:
    """
    Volume of a coat over the side and top of a straight-sided body.

    Parameters
    ----------
    outline, height_mm
        The cake under everything. [mm], height 0 to 1000
    inner_side_mm, inner_top_mm
        Thickness of what lies between cake and this coat. [mm]
    side_mm, top_mm
        Thickness of this coat. [mm], 0 and up, all within 60 mm
    covered_mm2
        Part of the top that gets none of it. [mm2]
    shoulder_mm
        Radius to which the top edge is rounded; 0 for a sharp edge. [mm], 0 to 60

    Returns
    -------
    volume
        Outer body less inner body, less the covered part, less what a rounded edge leaves off. [ml]

    Raises
    ------
    OutOfRange
        A measure outside its range.

    Notes
    -----
    With inner and outer parallel bodies, ``V = A(o) (H + h_o) - A(i) (H + h_i) - C t - (1 - pi/4) r**2 P(o)``, where
    ``A`` and ``P`` are area and perimeter of the parallel line. The rounded edge is reckoned along its length; its
    curve round a corner is left out, an error below ``r/width`` of that small term.
    """
    require_range("height", height_mm, 0.0, 1000.0, "mm", outline.describe())
    require_range("thickness of the top", top_mm, 0.0, THICKEST_MM, "mm", outline.describe())
    require_range("radius of the edge", shoulder_mm, 0.0, THICKEST_MM, "mm", outline.describe())
    if side_mm == 0 and top_mm == 0:
        return 0.0
    outer_mm = inner_side_mm + side_mm
    inner = offset_area_mm2(outline, inner_side_mm) * (height_mm + inner_top_mm)
    outer = offset_area_mm2(outline, outer_mm) * (height_mm + inner_top_mm + top_mm)
    rounded = (1 - pi / 4) * shoulder_mm**2 * offset_perimeter_mm(outline, outer_mm)
    return max(0.0, outer - inner - covered_mm2 * top_mm - rounded) / MM3_PER_ML


def thin_coat_ml(outline: Outline, height_mm: float, thickness_mm: float) -> float:
    """
    Volume of a coat by the kitchen's rule: area of side and top times thickness, corners left out.

    Parameters
    ----------
    outline, height_mm
        The cake. [mm]
    thickness_mm
        Same at side and top. [mm]

    Returns
    -------
    volume
        A little below ``shell_volume_ml``: the two agree as the thickness goes to zero. [ml]
    """
    return (outline.area_mm2 + outline.perimeter_mm * height_mm) * thickness_mm / MM3_PER_ML


def ring_area_mm2(outline: Outline, width_mm: float) -> float:
    """
    Area of a ring of this width along the inside of an outline: where a dam is piped.

    Raises
    ------
    OutOfRange
        A width below zero or beyond 60 mm.
    """
    require_range("width of the dam", width_mm, 0.0, THICKEST_MM, "mm", outline.describe())
    return outline.area_mm2 - offset_area_mm2(outline, -width_mm)


def half_breadth_mm(outline: Outline) -> float:
    """
    Half the breadth that squeezed filling has to cross: twice the area over the perimeter. [mm]

    The radius of a round, half the side of a square; for others, that of the round with the same area to edge.
    """
    return 2 * outline.area_mm2 / outline.perimeter_mm
