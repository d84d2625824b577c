"""Outlines against exact geometry, and against the same shapes put together by Shapely from discs and boxes."""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt
from typing import Literal

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from tierwright.errors import OutOfRange
from tierwright.shapes import LARGEST_MM, SMALLEST_MM, Outline, Shape

IN = 25.4
widths = st.floats(min_value=60.0, max_value=900.0)


def outline(shape: Shape, width: float) -> Outline:
    return Outline(shape=shape, width_mm=width, length_mm=0.7 * width if shape is Shape.RECTANGLE else 0.0)


def disc(x: float, y: float, radius: float) -> shapely.Polygon:
    return shapely.Point(x, y).buffer(radius, quad_segs=2000)


def whole(geometry: object) -> shapely.Polygon:
    assert isinstance(geometry, shapely.Polygon)
    return geometry


def put_together(shape: Shape, w: float) -> shapely.Polygon:
    """The shape as a tinsmith would lay it out, from its definition alone."""
    match shape:
        case Shape.ROUND:
            return disc(0, 0, w / 2)
        case Shape.SQUARE:
            return shapely.box(-w / 2, -w / 2, w / 2, w / 2)
        case Shape.RECTANGLE:
            return shapely.box(-w / 2, -0.35 * w, w / 2, 0.35 * w)
        case Shape.HEXAGON:
            bar = shapely.box(-w / 2, -w, w / 2, w)
            return whole(shapely.intersection_all([affinity.rotate(bar, turn, origin=(0, 0)) for turn in (0, 60, 120)]))
        case Shape.PETAL:
            side = w / (1 + sqrt(3))
            hexagon = put_together(Shape.HEXAGON, side * sqrt(3))
            middles = [
                (side * sqrt(3) / 2 * cos(radians(a)), side * sqrt(3) / 2 * sin(radians(a))) for a in range(0, 360, 60)
            ]
            return whole(shapely.union_all([hexagon, *(disc(x, y, side / 2) for x, y in middles)]))
        case Shape.HEART:
            side = w / (1 + 1 / sqrt(2))
            square = affinity.rotate(shapely.box(-side / 2, -side / 2, side / 2, side / 2), 45, origin=(0, 0))
            off = side * sqrt(2) / 4
            return whole(shapely.union_all([square, disc(off, off, side / 2), disc(-off, off, side / 2)]))


@pytest.mark.parametrize("shape", Shape)
@pytest.mark.parametrize("width", [101.6, 203.2, 300.0])
def test_measures_match_the_shape_put_together(shape: Shape, width: float) -> None:
    made, mine = put_together(shape, width), outline(shape, width)
    # A 8000-sided disc misses its area by 1e-7 of itself, and joins of discs and box by about as much.
    assert mine.area_mm2 == pytest.approx(made.area, rel=1e-6)
    assert mine.perimeter_mm == pytest.approx(made.length, rel=1e-5)
    left, low, right, high = made.bounds
    assert mine.extent_mm == pytest.approx((right - left, high - low), rel=1e-6)
    assert mine.largest_mm == max(mine.extent_mm)


@pytest.mark.parametrize("shape", Shape)
def test_polygon_covers_the_shape_put_together(shape: Shape) -> None:
    made = put_together(shape, 254.0)
    left, low, right, high = made.bounds
    centred = affinity.translate(made, -(left + right) / 2, -(low + high) / 2)
    drawn = shapely.Polygon(outline(shape, 254.0).polygon())
    # Chords of 2.5 degrees lie within a quarter of a thousandth of the radius on either side of the curve.
    assert centred.symmetric_difference(drawn).area < 5e-4 * made.area


@given(shape=st.sampled_from(Shape), width=widths)
@settings(max_examples=60, deadline=None)
def test_polygon_has_exactly_the_area(shape: Shape, width: float) -> None:
    mine = outline(shape, width)
    drawn = shapely.Polygon(mine.polygon())
    assert drawn.is_valid
    assert shapely.is_ccw(drawn.exterior)
    assert drawn.area == pytest.approx(mine.area_mm2, rel=1e-12)
    # The middle of the bounding box is the origin; corners of curves lie a hair (under 0.05 %) outside.
    left, low, right, high = drawn.bounds
    assert (left + right, low + high) == pytest.approx((0, 0), abs=1e-3 * width)
    assert (right - left, high - low) == pytest.approx(mine.extent_mm, rel=1e-3)


@given(shape=st.sampled_from(Shape), width=widths, factor=st.floats(min_value=1.0, max_value=1.1))
@settings(max_examples=40, deadline=None)
def test_area_goes_with_the_square_and_edge_with_the_width(shape: Shape, width: float, factor: float) -> None:
    small, large = outline(shape, width), outline(shape, width * factor)
    assert large.area_mm2 == pytest.approx(small.area_mm2 * factor**2, rel=1e-12)
    assert large.perimeter_mm == pytest.approx(small.perimeter_mm * factor, rel=1e-12)


# Arithmetic that any maker can repeat: pi d^2 / 4 for an 8 in round, 9 x 13 in.
def test_matches_the_maker_s_own_arithmetic() -> None:
    assert Outline.round(8 * IN).area_mm2 / IN**2 == pytest.approx(50.27, abs=0.005)
    sheet = Outline(shape=Shape.RECTANGLE, width_mm=13 * IN, length_mm=9 * IN)
    assert sheet.area_mm2 / IN**2 == pytest.approx(117.0)
    assert sheet.perimeter_mm / IN == pytest.approx(44.0)
    # Euclid: a regular hexagon is 3 sqrt(3) / 2 times the square of its side, which is its half diagonal.
    hexagon = Outline(shape=Shape.HEXAGON, width_mm=100 * sqrt(3))
    assert hexagon.area_mm2 == pytest.approx(3 * sqrt(3) / 2 * 100**2)
    assert hexagon.perimeter_mm == pytest.approx(600)
    assert Outline.round(100).perimeter_mm == pytest.approx(100 * pi)


@pytest.mark.parametrize("shape", [Shape.ROUND, Shape.SQUARE, Shape.RECTANGLE, Shape.HEXAGON])
@pytest.mark.parametrize("by", [-20.0, 12.5, 40.0])
def test_growing_a_convex_outline_is_a_true_offset(shape: Shape, by: float) -> None:
    mine = outline(shape, 250.0)
    join: Literal["round", "mitre"] = "round" if shape is Shape.ROUND else "mitre"
    offset = put_together(shape, 250.0).buffer(by, join_style=join, quad_segs=2000)
    # A disc of chords is offset a little less than the circle.
    assert mine.grown(by).area_mm2 == pytest.approx(offset.area, rel=5e-6)


@pytest.mark.parametrize("bad", [SMALLEST_MM - 0.1, LARGEST_MM + 0.1, float("nan"), float("inf"), -5.0])
def test_refuses_sizes_nobody_bakes(bad: float) -> None:
    with pytest.raises(OutOfRange):
        Outline.round(bad)
    with pytest.raises(OutOfRange):
        Outline(shape=Shape.RECTANGLE, width_mm=300, length_mm=bad)


def test_says_what_it_is() -> None:
    assert Outline.round(8 * IN).describe() == "round 203 mm"
    assert Outline(shape=Shape.RECTANGLE, width_mm=330, length_mm=229).describe() == "rectangle 330 x 229 mm"
