"""Pieces tile the tier, whatever its shape, size and way of cutting."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import OutOfRange
from tierwright.shapes import Outline, Shape
from tierwright.sizing import CutPattern, Cutting, RingMeasure, cut, portions_in

IN = 25.4


def outline(shape: Shape, width: float, ratio: float = 0.7) -> Outline:
    return Outline(shape=shape, width_mm=width, length_mm=max(40.0, ratio * width) if shape is Shape.RECTANGLE else 0.0)


def assert_tiles(cutting: Cutting, of: Outline) -> None:
    """Shapely, which did not make the ring slices, measures them: area conserved, no overlaps, nothing outside."""
    pieces = [shapely.Polygon(piece.corners) for piece in cutting.slices]
    drawn = shapely.Polygon(of.polygon())
    assert all(piece.is_valid for piece in pieces)
    assert all(
        piece.area == pytest.approx(s.area_mm2, rel=1e-9) for piece, s in zip(pieces, cutting.slices, strict=True)
    )
    total = sum(piece.area for piece in pieces)
    # 1e-9 of the area is the promise: under a tenth of a square millimetre on the largest tier.
    assert total == pytest.approx(of.area_mm2, rel=1e-9)
    # On a grid of 1e-9 mm: without one, GEOS 3.14 was seen to drop whole rings of pieces that share edges to 1e-14 mm.
    together = shapely.union_all(pieces, grid_size=1e-9)
    assert together.area == pytest.approx(total, rel=1e-9)
    assert together.difference(drawn).area <= 1e-9 * total


@given(
    shape=st.sampled_from(Shape),
    width=st.floats(min_value=70.0, max_value=500.0),
    ratio=st.floats(min_value=0.3, max_value=1.0),
    pattern=st.sampled_from(CutPattern),
    measure=st.sampled_from(RingMeasure),
    slice_width=st.floats(min_value=15.0, max_value=60.0),
    depth=st.floats(min_value=20.0, max_value=90.0),
)
@settings(max_examples=150, deadline=None)
def test_slices_tile_every_tier(
    shape: Shape,
    width: float,
    ratio: float,
    pattern: CutPattern,
    measure: RingMeasure,
    slice_width: float,
    depth: float,
) -> None:
    tier = outline(shape, width, ratio)
    cutting = cut(tier, pattern=pattern, measure=measure, width_mm=slice_width, depth_mm=depth)
    assert_tiles(cutting, tier)
    assert cutting.portions == sum(piece.counts for piece in cutting.slices)
    quick = portions_in(tier, pattern=pattern, measure=measure, width_mm=slice_width, depth_mm=depth)
    assert quick == cutting.portions


@given(
    shape=st.sampled_from(Shape),
    width=st.floats(min_value=70.0, max_value=500.0),
    pattern=st.sampled_from(CutPattern),
    measure=st.sampled_from(RingMeasure),
    share=st.floats(min_value=0.3, max_value=1.0),
)
@settings(max_examples=80, deadline=None)
def test_what_counts_keeps_the_rule(
    shape: Shape, width: float, pattern: CutPattern, measure: RingMeasure, share: float
) -> None:
    tier = outline(shape, width)
    cutting = cut(tier, pattern=pattern, measure=measure, width_mm=IN, depth_mm=2 * IN, least_share=share)
    least = share * IN * 2 * IN
    for piece in cutting.slices:
        assert piece.counts == (piece.area_mm2 >= least * (1 - 2e-5)) or abs(piece.area_mm2 / least - 1) < 2e-5
    # No more portions than the tier has area for at the least share.
    assert cutting.portions <= tier.area_mm2 / least * (1 + 1e-4)


@given(
    shape=st.sampled_from([Shape.ROUND, Shape.SQUARE, Shape.HEXAGON]),
    width=st.floats(min_value=75.0, max_value=500.0),
    more=st.floats(min_value=0.0, max_value=60.0),
    measure=st.sampled_from(RingMeasure),
)
@settings(max_examples=120, deadline=None)
def test_a_wider_tier_never_gives_fewer_portions_in_rings(
    shape: Shape, width: float, more: float, measure: RingMeasure
) -> None:
    def portions(w: float) -> int:
        return portions_in(outline(shape, w), pattern=CutPattern.RINGS, measure=measure, width_mm=IN, depth_mm=2 * IN)

    assert portions(width + more) >= portions(width)


@pytest.mark.parametrize("shape", Shape)
@pytest.mark.parametrize("measure", RingMeasure)
def test_slices_of_one_ring_are_equal(shape: Shape, measure: RingMeasure) -> None:
    # Fairness: within a ring every guest gets the same; a round tier's outer ring comes first in the list.
    cutting = cut(outline(shape, 254.0), pattern=CutPattern.RINGS, measure=measure, width_mm=IN, depth_mm=2 * IN)
    first = cutting.slices[0].area_mm2
    outer = [piece.area_mm2 for piece in cutting.slices[:15]]
    assert outer == pytest.approx([first] * 15, rel=1e-9)


def test_a_kitchen_sheet_is_cut_the_way_that_gives_more() -> None:
    # 13 x 9 in by hand: 13 rows of 1 in by 4 of 2 in are 52; 9 of 1 in by 6 of 2 in are 54.
    sheet = Outline(shape=Shape.RECTANGLE, width_mm=13 * IN, length_mm=9 * IN)
    cutting = cut(sheet, pattern=CutPattern.SHEET, measure=RingMeasure.AREA, width_mm=IN, depth_mm=2 * IN)
    assert cutting.portions == len(cutting.slices) == 54
    assert_tiles(cutting, sheet)


def test_a_rectangle_in_rings_keeps_its_core_straight() -> None:
    # 12 x 8 in in 2 in rings: outer ring 2 (12 + 8 - 4) = 32 in round its middle; core 8 x 4 in, 16 portions.
    tier = Outline(shape=Shape.RECTANGLE, width_mm=12 * IN, length_mm=8 * IN)
    cutting = cut(tier, pattern=CutPattern.RINGS, measure=RingMeasure.MIDDLE, width_mm=IN, depth_mm=2 * IN)
    assert cutting.portions == 32 + 16
    assert all(len(piece.corners) == 4 for piece in cutting.slices[32:])


@pytest.mark.parametrize(
    ("width", "depth", "share"), [(9.0, 50.0, None), (25.0, 201.0, None), (25.0, 50.0, 0.2), (float("nan"), 50.0, None)]
)
def test_refuses_portions_nobody_serves(width: float, depth: float, share: float | None) -> None:
    for pattern in CutPattern:
        with pytest.raises(OutOfRange):
            cut(
                Outline.round(200),
                pattern=pattern,
                measure=RingMeasure.MIDDLE,
                width_mm=width,
                depth_mm=depth,
                least_share=share,
            )


def test_every_rule_says_what_counts() -> None:
    for pattern in CutPattern:
        for measure in RingMeasure:
            cutting = cut(Outline.round(200), pattern=pattern, measure=measure, width_mm=IN, depth_mm=2 * IN)
            assert "counts when it holds at least" in cutting.rule
