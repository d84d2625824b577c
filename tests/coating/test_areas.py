"""Parallel outlines and shells against an independent geometry library, and the laws they keep."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon, box
from tests.coating.cakes import OUTLINES

from tierwright.coating import covered_area_mm2, offset_area_mm2, shell_volume_ml, thin_coat_ml
from tierwright.coating.areas import CONVEX, fits_on, half_breadth_mm, offset_perimeter_mm, ring_area_mm2
from tierwright.errors import OutOfRange
from tierwright.shapes import Outline, Shape

thicknesses = st.floats(min_value=0.0, max_value=20.0)
shapes = st.sampled_from(OUTLINES)


def fine(outline: Outline) -> Polygon:
    """The outline built by the library from its own primitives, not from our polygon."""
    w = outline.width_mm
    match outline.shape:
        case Shape.ROUND:
            return Point(0, 0).buffer(w / 2, quad_segs=720)
        case Shape.SQUARE:
            return box(-w / 2, -w / 2, w / 2, w / 2)
        case Shape.RECTANGLE:
            return box(0, 0, w, outline.length_mm)
        case _:
            return Polygon(outline.polygon())


@pytest.mark.parametrize("outline", OUTLINES, ids=lambda outline: outline.shape.value)
@pytest.mark.parametrize("by_mm", [-30.0, -12.0, -3.0, 0.0, 1.5, 6.0, 25.0])
def test_parallel_area_agrees_with_a_buffered_polygon(outline: Outline, by_mm: float) -> None:
    # Join style mitre keeps the corners of inner lines sharp; the chords of the library's arcs leave 1e-4 of the ring.
    numeric = fine(outline).buffer(by_mm, quad_segs=720).area
    assert offset_area_mm2(outline, by_mm) == pytest.approx(numeric, rel=2e-4)


@pytest.mark.parametrize("outline", OUTLINES, ids=lambda outline: outline.shape.value)
def test_parallel_length_agrees_with_a_buffered_polygon(outline: Outline) -> None:
    # Petal and heart are chords whose length falls short of the arcs' by 1e-3.
    assert offset_perimeter_mm(outline, 6.0) == pytest.approx(fine(outline).buffer(6.0, quad_segs=720).length, rel=1e-3)


def test_steiner_by_hand() -> None:
    # A 100 mm square with 10 mm round it: 10 000 + 400 x 10 + pi x 100.
    square = Outline(shape=Shape.SQUARE, width_mm=100.0)
    assert offset_area_mm2(square, 10.0) == pytest.approx(14_000 + 100 * pi, rel=1e-12)
    # A ring 10 mm wide inside a round of 200: pi (100^2 - 90^2).
    assert ring_area_mm2(Outline.round(200.0), 10.0) == pytest.approx(1900 * pi, rel=1e-12)


def test_shell_by_hand() -> None:
    # Round 200 x 100 with 5 mm all over: pi 105^2 x 105 - pi 100^2 x 100 = 157 625 pi mm3.
    shell = shell_volume_ml(Outline.round(200.0), 100.0, side_mm=5.0, top_mm=5.0)
    assert shell == pytest.approx(157.625 * pi, rel=1e-12)


def test_rounded_edge_takes_off_its_corner() -> None:
    outline = Outline.round(200.0)
    sharp = shell_volume_ml(outline, 100.0, side_mm=5.0, top_mm=5.0)
    rounded = shell_volume_ml(outline, 100.0, side_mm=5.0, top_mm=5.0, shoulder_mm=4.0)
    # (1 - pi/4) 16 mm2 along the outer edge of length 210 pi.
    assert sharp - rounded == pytest.approx((1 - pi / 4) * 16 * 210 * pi / 1000, rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(outline=shapes, thin=thicknesses, more=thicknesses)
def test_coats_in_two_goes_are_one_coat(outline: Outline, thin: float, more: float) -> None:
    first = shell_volume_ml(outline, 100.0, side_mm=thin, top_mm=thin)
    then = shell_volume_ml(outline, 100.0, inner_side_mm=thin, inner_top_mm=thin, side_mm=more, top_mm=more)
    whole = shell_volume_ml(outline, 100.0, side_mm=thin + more, top_mm=thin + more)
    assert first + then == pytest.approx(whole, rel=1e-6, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(outline=shapes, one=thicknesses, other=thicknesses)
def test_thicker_is_never_less(outline: Outline, one: float, other: float) -> None:
    low, high = sorted((one, other))
    thin = shell_volume_ml(outline, 80.0, side_mm=low, top_mm=low)
    assert shell_volume_ml(outline, 80.0, side_mm=high, top_mm=high) >= thin - 1e-9


@settings(max_examples=40, deadline=None)
@given(thickness=st.floats(min_value=0.001, max_value=0.05), outline=st.sampled_from(OUTLINES[:4]))
def test_thin_rule_is_the_limit_of_the_shell(thickness: float, outline: Outline) -> None:
    shell = shell_volume_ml(outline, 100.0, side_mm=thickness, top_mm=thickness)
    # The first term left out is of the order of thickness over width.
    assert shell == pytest.approx(thin_coat_ml(outline, 100.0, thickness), rel=1e-3)


@settings(max_examples=60, deadline=None)
@given(width=st.floats(min_value=60.0, max_value=400.0), by_mm=thicknesses)
def test_wider_takes_more(width: float, by_mm: float) -> None:
    small = shell_volume_ml(Outline.round(width), 100.0, side_mm=by_mm, top_mm=by_mm)
    assert shell_volume_ml(Outline.round(width + 10), 100.0, side_mm=by_mm, top_mm=by_mm) >= small


@pytest.mark.parametrize("outline", OUTLINES, ids=lambda outline: outline.shape.value)
def test_covered_area_of_like_shapes_is_the_upper_ones(outline: Outline) -> None:
    upper = outline.grown(-25.0)
    assert covered_area_mm2(outline, upper) == pytest.approx(upper.area_mm2, rel=1e-12)
    assert covered_area_mm2(outline, upper, upper.grown(3.0)) == pytest.approx(upper.grown(3.0).area_mm2, rel=1e-12)
    assert covered_area_mm2(outline) == 0.0


def test_covered_area_of_unlike_shapes() -> None:
    top = Outline(shape=Shape.SQUARE, width_mm=200.0)
    # A round of 250 reaches over the sides of the square but not its corners, by the library's own intersection.
    expected = Point(0, 0).buffer(125.0, quad_segs=720).intersection(box(-100, -100, 100, 100)).area
    assert covered_area_mm2(top, Outline.round(250.0)) == pytest.approx(expected, rel=1e-3)
    assert not fits_on(top, Outline.round(250.0))
    assert fits_on(top, Outline.round(200.0))
    # Two that cross: a rectangle each way makes a plus.
    plus = covered_area_mm2(
        Outline.round(300.0),
        Outline(shape=Shape.RECTANGLE, width_mm=200.0, length_mm=50.0),
        Outline(shape=Shape.SQUARE, width_mm=100.0),
    )
    assert plus == pytest.approx(200 * 50 + 100 * 100 - 100 * 50, rel=1e-9)


def test_inner_line_vanishes() -> None:
    assert offset_area_mm2(Outline.round(60.0), -40.0) == 0.0
    assert offset_area_mm2(Outline(shape=Shape.RECTANGLE, width_mm=200.0, length_mm=50.0), -30.0) == 0.0


def test_half_breadth_is_the_radius_of_a_round_and_half_a_square() -> None:
    assert half_breadth_mm(Outline.round(200.0)) == pytest.approx(100.0)
    assert half_breadth_mm(Outline(shape=Shape.SQUARE, width_mm=200.0)) == pytest.approx(100.0)


def test_every_convex_shape_is_listed() -> None:
    hulls = {outline.shape for outline in OUTLINES if _is_convex(outline)}
    assert hulls == set(CONVEX)


def _is_convex(outline: Outline) -> bool:
    shape = Polygon(outline.polygon())
    return bool(shape.convex_hull.area - shape.area < 1e-6 * shape.area)


@pytest.mark.parametrize(("by_mm"), [-61.0, 61.0, float("nan"), float("inf")])
def test_refuses_wild_distances(by_mm: float) -> None:
    with pytest.raises(OutOfRange):
        offset_area_mm2(OUTLINES[0], by_mm)


def test_refuses_wild_shells() -> None:
    with pytest.raises(OutOfRange):
        shell_volume_ml(OUTLINES[0], 1001.0, side_mm=5.0, top_mm=5.0)
    with pytest.raises(OutOfRange):
        shell_volume_ml(OUTLINES[0], 100.0, side_mm=5.0, top_mm=-1.0)
    with pytest.raises(OutOfRange):
        offset_perimeter_mm(OUTLINES[0], -1.0)
    with pytest.raises(OutOfRange):
        ring_area_mm2(OUTLINES[0], -1.0)
