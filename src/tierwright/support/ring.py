"""Where supports stand: rings that follow the outline of the board they carry."""

from __future__ import annotations

from functools import lru_cache
from math import atan2, cos, inf, pi, sin, sqrt
from typing import Final

import numpy as np
import numpy.typing as npt
import shapely

from tierwright.errors import require_range
from tierwright.shapes import Outline, Point, Shape

FIRST_ANGLE: Final = {Shape.SQUARE: pi / 4, Shape.HEART: -pi / 2, Shape.HEXAGON: pi / 6}
"""Direction of the first support where a shape has corners or a tip worth standing under. [rad]"""


def ring_centre(outline: Outline) -> Point:
    """Point round which a ring is laid: the middle, but the middle of a heart's square. [mm]"""
    if outline.shape is not Shape.HEART:
        return (0.0, 0.0)
    side = outline.width_mm / (1 + 1 / sqrt(2))
    return (0.0, outline.extent_mm[1] / 2 - side * (sqrt(2) / 4 + 0.5))


def rim_distance_mm(outline: Outline, angle: float) -> float:
    """Distance from the ring's centre to the rim in one direction. [rad, mm]"""
    if outline.shape is Shape.ROUND:
        return outline.width_mm / 2
    cx, cy = ring_centre(outline)
    ux, uy = cos(angle), sin(angle)
    corners = outline.polygon()
    nearest = inf
    for (x1, y1), (x2, y2) in zip(corners, (*corners[1:], corners[0]), strict=True):
        ax, ay, ex, ey = x1 - cx, y1 - cy, x2 - x1, y2 - y1
        across = ux * ey - uy * ex
        if abs(across) < 1e-12:
            continue
        out = (ax * ey - ay * ex) / across
        along = (ax * uy - ay * ux) / across
        if out > 0 and -1e-9 <= along <= 1 + 1e-9:
            nearest = min(nearest, out)
    return nearest


@lru_cache(maxsize=512)
def ring_positions(outline: Outline, *, count: int, share: float) -> tuple[Point, ...]:
    """
    Middles of supports on a ring that is the board's outline drawn smaller.

    Parameters
    ----------
    outline
        Outline of the board carried. [mm]
    count
        Number of supports, 3 to 24.
    share
        Size of the ring over the outline. [-], 0.05 to 1

    Returns
    -------
    positions
        Equal angles round the ring's centre, first one in a corner where there are corners. [mm]

    Raises
    ------
    OutOfRange
        A number outside its span.
    """
    require_range("number of supports", count, 3, 24, "")
    require_range("ring share", share, 0.05, 1.0, "")
    cx, cy = ring_centre(outline)
    first = FIRST_ANGLE.get(outline.shape, pi / 2)
    if outline.shape is Shape.RECTANGLE:
        # Four stand under the corners of the smaller rectangle, not on even angles.
        first = atan2(outline.length_mm, outline.width_mm) if count == 4 else 0.0
    places = []
    for i in range(count):
        angle = first + 2 * pi * i / count
        if outline.shape is Shape.RECTANGLE and count == 4:
            angle = first if i == 0 else pi - first if i == 1 else pi + first if i == 2 else -first
        r = share * rim_distance_mm(outline, angle)
        places.append((cx + r * cos(angle), cy + r * sin(angle)))
    return tuple(places)


@lru_cache(maxsize=128)
def _shrunk(outline: Outline, margin_mm: float) -> shapely.Polygon:
    whole = shapely.Polygon(outline.polygon())
    # A narrow waist may part when it shrinks: keep the larger part.
    parts = shapely.get_parts(whole.buffer(-margin_mm)) if margin_mm else [whole]
    polygon: shapely.Polygon = max(parts, key=lambda part: part.area)
    shapely.prepare(polygon)
    return polygon


@lru_cache(maxsize=512)
def stands_inside(outline: Outline, point: Point, margin_mm: float) -> bool:
    """Return whether a point lies inside an outline by at least a margin. [mm]"""
    return bool(_shrunk(outline, margin_mm).covers(shapely.Point(point)))


def rim_gap_mm(outline: Outline, point: Point) -> float:
    """Return the distance from a point inside an outline to its rim. [mm]"""
    return float(_shrunk(outline, 0.0).exterior.distance(shapely.Point(point)))


@lru_cache(maxsize=512)
def free_span_mm(outline: Outline, positions: tuple[Point, ...]) -> float:
    """
    Span over which a board on points can sag: twice the way from its loneliest place to the nearest support.

    Twice, because an overhang of some length sags as a span of twice that length. [mm]
    """
    gaps = ((_places(outline)[:, None, :] - np.array(positions)[None, :, :]) ** 2).sum(axis=2)
    return float(2 * np.sqrt(gaps.min(axis=1).max()))


@lru_cache(maxsize=128)
def _places(outline: Outline) -> npt.NDArray[np.float64]:
    """Places all over an outline, and its corners. [mm]"""
    polygon = _shrunk(outline, 0.0)
    x0, y0, x1, y1 = polygon.bounds
    steps = 24
    xs = [x0 + (x1 - x0) * i / steps for i in range(steps + 1)]
    ys = [y0 + (y1 - y0) * i / steps for i in range(steps + 1)]
    grid = np.array([(x, y) for x in xs for y in ys])
    inside = grid[shapely.covers(polygon, shapely.points(grid))]
    return np.concatenate([inside, np.array(outline.polygon())])


@lru_cache(maxsize=256)
def tipping_arm_mm(positions: tuple[Point, ...], at: Point = (0.0, 0.0)) -> float:
    """
    Shortest way from a point to the edge of the figure that supports span; negative outside it. [mm]

    Raises
    ------
    ValueError
        Fewer than three positions, or all in one line.
    """
    hull = shapely.convex_hull(shapely.MultiPoint(positions))
    if not isinstance(hull, shapely.Polygon):
        raise ValueError("supports in one line hold nothing up")
    spot = shapely.Point(at)
    distance = float(hull.exterior.distance(spot))
    return distance if hull.covers(spot) else -distance


@lru_cache(maxsize=128)
def least_width_mm(outline: Outline) -> float:
    """Shortest way from the middle of an outline to its rim, doubled: what it stands on when it tips. [mm]"""
    if outline.shape is Shape.ROUND:
        return outline.width_mm
    return 2 * float(_shrunk(outline, 0.0).exterior.distance(shapely.Point(*centre_of_area(outline))))


@lru_cache(maxsize=128)
def centre_of_area(outline: Outline) -> Point:
    """Centre of area from the middle of the bounding box; off it only for a heart. [mm]"""
    if outline.shape is not Shape.HEART:
        return (0.0, 0.0)
    middle = _shrunk(outline, 0.0).centroid
    return (float(middle.x), float(middle.y))


def shrunk_to_fit(inner: Outline, outer: Outline) -> Outline:
    """
    Return the inner outline, made smaller until it lies wholly within the outer one (both on one middle).

    Raises
    ------
    OutOfRange
        It would have to be smaller than outlines may be.
    """
    room = shapely.Polygon(outer.polygon()).buffer(1e-3 * outer.largest_mm)
    fitted = inner
    while not room.covers(shapely.Polygon(fitted.polygon())):
        fitted = fitted.grown(-max(1.0, 0.01 * inner.largest_mm))
    return fitted
