"""
Portions of round, square and sheet tiers against counts worked by hand from plane geometry.

There is no standard behind serving counts. The columns below are arithmetic for a nominal portion of 1 x 2 in:
``pi d^2 / 8`` (area over 2 in2), ``floor(2 pi (r - 1))`` for each 2 in ring measured at its middle, one portion for a
core of 1 in radius, ``d^2 / 2`` for squares.
"""

from __future__ import annotations

from math import floor, pi

import pytest

from tierwright.shapes import Outline, Shape
from tierwright.sizing import CutPattern, RingMeasure, cut, portions_in

IN = 25.4
DIAMETERS = (4, 6, 8, 10, 12, 14, 16)


def portions(
    outline: Outline, pattern: CutPattern, measure: RingMeasure, width: float = 1.0, depth: float = 2.0
) -> int:
    return portions_in(outline, pattern=pattern, measure=measure, width_mm=width * IN, depth_mm=depth * IN)


def rings(d: float, measure: RingMeasure) -> int:
    return portions(Outline.round(d * IN), CutPattern.RINGS, measure)


# Diameter, rings at the middle from the outside in, total.
BY_MIDDLE = [
    (4, (6,), 6),
    (6, (12, 1), 13),
    (8, (18, 6), 24),
    (10, (25, 12, 1), 38),
    (12, (31, 18, 6), 55),
    (14, (37, 25, 12, 1), 75),
    (16, (43, 31, 18, 6), 98),
]


@pytest.mark.parametrize(("d", "in_rings", "total"), BY_MIDDLE)
def test_rings_measured_at_their_middle(d: int, in_rings: tuple[int, ...], total: int) -> None:
    by_hand = [floor(2 * pi * (r - 1)) for r in range(d // 2, 1, -2)] + ([1] if d // 2 % 2 else [])
    assert tuple(by_hand) == in_rings
    assert rings(d, RingMeasure.MIDDLE) == sum(by_hand) == total


@pytest.mark.parametrize(("d", "by_area"), list(zip(DIAMETERS, (6, 14, 25, 39, 57, 77, 101), strict=True)))
def test_measured_by_area(d: int, by_area: int) -> None:
    # pi d^2 / 8 is 6.28, 14.14, 25.13, 39.27, 56.55, 76.97, 100.53: to the nearest whole portion.
    assert round(pi * d * d / 8) == by_area
    assert rings(d, RingMeasure.AREA) == by_area


@pytest.mark.parametrize(("d", "at_edge"), list(zip(DIAMETERS[1:], (19, 33, 50, 70, 93, 120), strict=True)))
def test_measured_at_the_outer_edge(d: int, at_edge: int) -> None:
    # floor(2 pi r) a ring, 8 pieces from a core of 2 in radius, 1 from a core of 1 in: the generous reading.
    by_hand = sum(floor(2 * pi * r) for r in range(d // 2, 2, -2)) + (8 if d // 2 % 2 == 0 else 1)
    assert by_hand == at_edge
    assert rings(d, RingMeasure.OUTER_EDGE) == at_edge


@pytest.mark.parametrize("d", DIAMETERS[1:])
def test_outer_edge_slices_are_smaller_than_they_sound(d: int) -> None:
    # Slices 1 in wide at the edge of a 2 in ring hold 1.4 to 1.9 in2, not 2.
    cutting = cut(
        Outline.round(d * IN),
        pattern=CutPattern.RINGS,
        measure=RingMeasure.OUTER_EDGE,
        width_mm=IN,
        depth_mm=2 * IN,
    )
    areas = [piece.area_mm2 / IN**2 for piece in cutting.slices if piece.area_mm2 < 3 * IN**2]
    assert 1.39 <= min(areas) < 1.7


@pytest.mark.parametrize("d", DIAMETERS)
def test_middle_measure_stays_within_the_area(d: int) -> None:
    assert rings(d, RingMeasure.MIDDLE) <= pi * d * d / 8


# Counts that circulate for rounds of 6 to 16 in as if a portion were 1 x 2 in: all lie above the area of the tier.
TOO_MANY = [(6, 16), (8, 29), (10, 48), (12, 70), (14, 90), (16, 118)]


@pytest.mark.parametrize(("d", "claimed"), TOO_MANY)
def test_no_honest_measure_gives_the_counts_above_the_area(d: int, claimed: int) -> None:
    assert claimed > pi * d * d / 8
    assert rings(d, RingMeasure.MIDDLE) < claimed
    assert rings(d, RingMeasure.AREA) < claimed


# The span of counts that makers use for the same pans (common practice), lowest and highest definition.
SPREAD = [(6, 10, 19), (8, 21, 33), (10, 29, 50), (12, 37, 70), (14, 75, 93), (16, 98, 120)]


@pytest.mark.parametrize(("d", "low", "high"), SPREAD)
@pytest.mark.parametrize("measure", RingMeasure)
def test_every_definition_lies_in_the_span_that_makers_use(d: int, low: int, high: int, measure: RingMeasure) -> None:
    assert low <= rings(d, measure) <= high


@pytest.mark.parametrize("d", DIAMETERS)
@pytest.mark.parametrize("pattern", [CutPattern.RINGS, CutPattern.GRID, CutPattern.SHEET])
def test_squares_give_half_their_square_inches(d: int, pattern: CutPattern) -> None:
    square = Outline(shape=Shape.SQUARE, width_mm=d * IN)
    assert portions(square, pattern, RingMeasure.MIDDLE) == d * d // 2


@pytest.mark.parametrize("d", DIAMETERS)
def test_party_portions_fit_the_area(d: int) -> None:
    # 1.5 x 2 in: pi d^2 / 12.
    outline = Outline.round(d * IN)
    assert portions(outline, CutPattern.RINGS, RingMeasure.AREA, 1.5) == floor(pi * d * d / 12 + 0.5)
    assert portions(outline, CutPattern.RINGS, RingMeasure.MIDDLE, 1.5) <= pi * d * d / 12


@pytest.mark.parametrize(
    ("width", "length", "bars"),
    [
        (13, 9, 54),
        (18, 12, 108),
        # A full sheet is 26 x 18 in outside; its flat inside is about 25 x 17 in, which gives the usual count.
        (25, 17, 204),
    ],
)
def test_sheets_cut_in_bars(width: int, length: int, bars: int) -> None:
    # 1 x 2 in from a filled double layer; the same volume from a single layer is 2 x 2 in, half as many.
    sheet = Outline(shape=Shape.RECTANGLE, width_mm=width * IN, length_mm=length * IN)
    assert portions(sheet, CutPattern.SHEET, RingMeasure.AREA) == bars
    squares = portions(sheet, CutPattern.SHEET, RingMeasure.AREA, 2.0, 2.0)
    assert squares == (width // 2) * (length // 2)
    assert squares <= bars / 2


def test_finger_portions_of_stacked_rounds() -> None:
    """
    8, 6 and 4 in rounds cut in upright fingers of 1 x 1 in: 70 is the count in use among UK makers.

    Whole fingers alone are 32 + 16 + 4 = 52 (lattice squares wholly inside circles of radius 4, 3 and 2); the area
    allows 91. Counting pieces of three quarters or more gives 80, between them and nearer to the count in use, which
    also writes off what crumbles.
    """
    tiers = [Outline.round(d * IN) for d in (8, 6, 4)]
    whole = [
        portions_in(
            tier, pattern=CutPattern.FINGERS, measure=RingMeasure.AREA, width_mm=IN, depth_mm=IN, least_share=1.0
        )
        for tier in tiers
    ]
    assert whole == [32, 16, 4]
    counted = sum(portions(tier, CutPattern.FINGERS, RingMeasure.AREA, 1.0, 1.0) for tier in tiers)
    assert sum(whole) < 70 <= counted <= sum(tier.area_mm2 for tier in tiers) / IN**2


def test_fingers_are_about_twice_the_event_slices() -> None:
    # 1 x 1 in against 1 x 2 in on 12, 10, 8 and 6 in: 210 fingers is the count in use.
    tiers = [Outline.round(d * IN) for d in (12, 10, 8, 6)]
    fingers = sum(portions(tier, CutPattern.FINGERS, RingMeasure.AREA, 1.0, 1.0) for tier in tiers)
    slices = sum(portions(tier, CutPattern.RINGS, RingMeasure.MIDDLE) for tier in tiers)
    assert 210 <= fingers <= 270
    assert fingers / slices == pytest.approx(2.0, abs=0.15)


def test_textbook_slices_of_four_by_two_by_half() -> None:
    # A slice 1/2 in wide and 2 in deep holds half an event slice, so an 8 in square gives 64.
    square = Outline(shape=Shape.SQUARE, width_mm=8 * IN)
    assert portions(square, CutPattern.GRID, RingMeasure.AREA, 0.5, 2.0) == 64
