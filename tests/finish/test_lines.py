"""Lines round a coated tier are exact, and their sides unroll without stretching."""

from __future__ import annotations

from itertools import pairwise
from math import asin, degrees, dist, hypot, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point as Dot
from shapely.geometry import Polygon
from tests.finish.surfaces import coats, heights, outline, scales, shapes, surface, widths

from tierwright.errors import OutOfRange
from tierwright.finish import line_round, unrolled
from tierwright.shapes import Outline, Shape


def run(points: tuple[tuple[float, float], ...]) -> float:
    return sum(dist(a, b) for a, b in pairwise(points))


@settings(max_examples=40, deadline=None)
@given(shape=shapes, width=widths, coat=st.floats(min_value=0.5, max_value=12.0))
def test_a_line_is_as_long_as_the_parallel_line_of_a_geometry_library(shape: Shape, width: float, coat: float) -> None:
    # Shapely 2 (GEOS) buffers the polygon; its polygon of a curve is within 4 parts in 10 000 of the curve.
    path = line_round(outline(shape, width), coat)
    reference = Polygon(outline(shape, width).polygon()).buffer(coat, quad_segs=64)
    assert path.length_mm == pytest.approx(reference.length, rel=4e-4)
    assert path.area_mm2 == pytest.approx(reference.area, rel=4e-4)


@given(shape=st.sampled_from([Shape.ROUND, Shape.SQUARE, Shape.RECTANGLE, Shape.HEXAGON]), width=widths, coat=coats)
def test_convex_lines_keep_steiners_law(shape: Shape, width: float, coat: float) -> None:
    # Steiner 1840: P + 2 pi t and A + P t + pi t2, exactly.
    bare = outline(shape, width)
    path = line_round(bare, coat)
    assert path.length_mm == pytest.approx(bare.perimeter_mm + 2 * pi * coat, rel=1e-9)
    assert path.area_mm2 == pytest.approx(bare.area_mm2 + bare.perimeter_mm * coat + pi * coat**2, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(shape=shapes, width=widths, coat=coats, share=st.floats(min_value=0.0, max_value=1.0))
def test_every_place_lies_on_the_line_and_faces_out(shape: Shape, width: float, coat: float, share: float) -> None:
    path = line_round(outline(shape, width), coat)
    spot = path.spot(share * path.length_mm)
    assert hypot(*spot.out) == pytest.approx(1.0)
    ring = Polygon(path.polygon(0.02))
    assert ring.exterior.distance(Dot(spot.at_mm)) < 0.05
    s = share * path.length_mm
    # Beside a notch the other lobe is in the way.
    if min((abs(s - fold) for fold in (0.0, *path.folds_mm, path.length_mm)), default=9.0) > 2.0:
        outward = (spot.at_mm[0] + 0.5 * spot.out[0], spot.at_mm[1] + 0.5 * spot.out[1])
        assert not ring.contains(Dot(outward))


def test_a_line_begins_at_the_back_and_knows_its_corners() -> None:
    square = line_round(outline(Shape.SQUARE, 200.0), 5.0)
    # Four corners, the first of them the start: sides of 200 mm and quarter arcs of 5 mm between.
    assert len(square.folds_mm) == 3
    assert square.spans_mm == pytest.approx((200.0 + 5.0 * pi / 2,) * 4)
    assert square.spot(0.0).at_mm[1] > 100.0
    assert line_round(outline(Shape.ROUND, 200.0), 5.0).spot(0.0).at_mm == pytest.approx((0.0, 105.0))
    assert len(line_round(outline(Shape.PETAL, 200.0), 5.0).spans_mm) == 6
    assert len(line_round(outline(Shape.HEART, 200.0), 5.0).spans_mm) == 2


def test_a_cone_frustum_unrolls_as_the_handbooks_say() -> None:
    # Development of a frustum, as in any handbook of sheet-metal work: R = D s / (D - d), angle = 180 D / R degrees,
    # s the slant. By hand for D 200, d 160, height 150: s = hypot(20, 150) = 151.327, R = 756.637, angle 47.579 deg.
    side = unrolled(line_round(Outline.round(200.0)), 150.0, 0.8)
    assert side.slant_mm == pytest.approx(151.327, abs=5e-4)
    assert side.generator_mm(0.0) == pytest.approx(756.637, abs=5e-4)
    begin, end = side.flat(0.0, 0.0), side.flat(side.foot.length_mm, 0.0)
    apex = (0.0, side.generator_mm(0.0))
    chord = dist(begin, end)
    angle = 2 * degrees(asin(chord / 2 / dist(apex, begin)))
    assert angle == pytest.approx(47.579, abs=5e-4)
    # Lateral area of a frustum: pi (R + r) s.
    assert side.area_mm2 == pytest.approx(pi * (100.0 + 80.0) * 151.327, rel=1e-5)


def test_a_truncated_pyramid_unrolls_to_four_trapezoids() -> None:
    # Bare square 200 at the foot, 150 at the top, 120 high: faces of 200 and 150 whose slant is hypot(120, 25).
    side = unrolled(line_round(outline(Shape.SQUARE, 200.0)), 120.0, 0.75)
    slant = hypot(120.0, 25.0)
    assert side.area_mm2 == pytest.approx(4 * (200.0 + 150.0) / 2 * slant, rel=1e-9)
    corners = (0.0, *side.foot.folds_mm, side.foot.length_mm)
    for first, second in pairwise(corners):
        low = dist(side.flat(first, 0.0), side.flat(second, 0.0))
        high = dist(side.flat(first, 120.0), side.flat(second, 120.0))
        edge = dist(side.flat(first, 0.0), side.flat(first, 120.0))
        assert (low, high) == pytest.approx((200.0, 150.0), abs=1e-6)
        assert edge == pytest.approx(hypot(slant, 25.0), abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(shape=shapes, width=widths, coat=coats, height=heights, scale=scales, share=st.floats(0.0, 1.0))
def test_a_side_laid_flat_closes_to_a_tenth_of_a_millimetre(
    shape: Shape, width: float, coat: float, height: float, scale: float, share: float
) -> None:
    tier = surface(shape, width, coat_mm=coat, height_mm=height, top_scale=scale)
    side = tier.side
    flat = run(side.level(share * height))
    true = tier.foot.path.scaled(1 - share * (1 - scale)).length_mm
    assert abs(flat - true) < 0.1
    assert side.length_at(share * height) == pytest.approx(true)


@settings(max_examples=40, deadline=None)
@given(
    shape=shapes, width=widths, coat=coats, height=heights, scale=scales, along=st.floats(0.0, 1.0),
    up=st.floats(0.05, 1.0),
)  # fmt: skip
def test_nothing_is_stretched_from_foot_to_edge(
    shape: Shape, width: float, coat: float, height: float, scale: float, along: float, up: float
) -> None:
    tier = surface(shape, width, coat_mm=coat, height_mm=height, top_scale=scale)
    s = along * tier.foot.path.length_mm * 0.999
    low, _ = tier.at(s, 0.0)
    high, out = tier.at(s, up * height)
    assert dist(tier.side.flat(s, 0.0), tier.side.flat(s, up * height)) == pytest.approx(dist(low, high), abs=1e-3)
    assert sum(part * part for part in out) == pytest.approx(1.0)
    assert out[2] >= -1e-12


def test_what_no_cake_is_is_refused() -> None:
    with pytest.raises(OutOfRange, match="width at the top"):
        unrolled(line_round(Outline.round(200.0)), 100.0, 0.1)
    with pytest.raises(OutOfRange, match="distance from the outline"):
        line_round(Outline.round(200.0), -1.0)
