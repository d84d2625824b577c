"""Packing against known optima."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.bake import Piece, clearances, pack, piece_of
from tierwright.shapes import Outline, Shape

# Largest radius of n equal discs in a unit square. n = 2 to 5 by hand; 6 Graham 1963; 7 Schaer; 9 Schaer 1965; 10
# Groot, Peikert and Wuertz 1990; digits as tabulated in Graham and Lubachevsky 1996, Electron J Combin 3:R16
# (radius m/(2(1+m)) from the largest least distance m).
EQUAL_DISCS = {
    2: 1 / (2 + sqrt(2)),
    3: 0.254333,
    4: 0.25,
    5: (sqrt(2) - 1) / 2,
    6: 0.187681,
    7: 1 / (4 + sqrt(3)),
    9: 1 / 6,
    10: 0.148204,
}
SIDE = 400.0


@pytest.mark.parametrize(("count", "radius"), EQUAL_DISCS.items())
def test_equal_discs_in_a_square(count: int, radius: float) -> None:
    small = [Piece(width_mm=2 * radius * 0.995 * SIDE)] * count
    spots = pack(small, SIDE, SIDE)
    assert spots is not None
    assert clearances(small, spots, SIDE, SIDE) >= -0.011
    # No packing can beat the optimum: 0.1 % more must never be found.
    assert pack([Piece(width_mm=2 * radius * 1.001 * SIDE)] * count, SIDE, SIDE) is None


def test_two_unequal_discs_fit_by_their_diagonal() -> None:
    # Radii a and b fit a square of side s just when s = (a + b)(1 + 1/sqrt 2).
    a, b = 80.0, 50.0
    side = (a + b) * (1 + 1 / sqrt(2))
    pieces = [Piece(width_mm=2 * a), Piece(width_mm=2 * b)]
    assert pack(pieces, side + 0.1, side + 0.1) is not None
    assert pack(pieces, side - 0.1, side - 0.1) is None


# Smallest enclosing squares and boxes known exactly: five unit squares need a side of 2 + 1/sqrt 2 only when turned
# by 45 degrees (Goebel 1979), so square-set ones need 3; seven boxes of 1 x 2 and one of 1 x 2 fill 4 x 4.
def test_boxes() -> None:
    assert pack([Piece(width_mm=100.0, depth_mm=100.0)] * 4, 200.0, 200.0) is not None
    assert pack([Piece(width_mm=100.0, depth_mm=100.0)] * 5, 299.0, 299.0) is None
    assert pack([Piece(width_mm=100.0, depth_mm=100.0)] * 5, 300.0, 200.0) is not None
    assert pack([Piece(width_mm=200.0, depth_mm=100.0)] * 8, 400.0, 400.0) is not None
    assert pack([Piece(width_mm=200.0, depth_mm=100.0)] * 8, 400.0, 399.0) is None


def test_pinwheel_needs_turning() -> None:
    # Four boxes of 2 x 1 round an empty middle, and one in it: the 3 x 3 pinwheel, exact.
    wheel = [Piece(width_mm=200.0, depth_mm=100.0)] * 4 + [Piece(width_mm=100.0, depth_mm=100.0)]
    spots = pack(wheel, 300.0, 300.0)
    assert spots is not None
    assert clearances(wheel, spots, 300.0, 300.0) >= -0.011
    assert pack(wheel, 300.0, 298.0) is None


def test_perfect_box_of_nine_squares() -> None:
    # Moron 1925: 33 x 32 from nine different squares. The exact search lays them without a gap.
    sides = (18, 15, 14, 10, 9, 8, 7, 4, 1)
    squares = [Piece(width_mm=10.0 * s, depth_mm=10.0 * s) for s in sides]
    spots = pack(squares, 330.0, 320.0)
    assert spots is not None
    assert clearances(squares, spots, 330.0, 320.0) >= -0.011


def test_discs_beside_a_box() -> None:
    pieces = [Piece(width_mm=300.0, depth_mm=200.0), Piece(width_mm=100.0), Piece(width_mm=100.0)]
    spots = pack(pieces, 400.0, 200.0)
    assert spots is not None
    assert clearances(pieces, spots, 400.0, 200.0) >= -0.011
    assert pack(pieces, 398.0, 200.0) is None


piece = st.one_of(
    st.builds(Piece, width_mm=st.floats(60.0, 300.0)),
    st.builds(Piece, width_mm=st.floats(60.0, 300.0), depth_mm=st.floats(60.0, 300.0)),
)


@settings(max_examples=60, deadline=None)
@given(pieces=st.lists(piece, min_size=1, max_size=5), width=st.floats(300.0, 600.0), depth=st.floats(300.0, 600.0))
def test_what_is_laid_does_not_overlap(pieces: list[Piece], width: float, depth: float) -> None:
    spots = pack(pieces, width, depth)
    if spots is not None:
        assert len(spots) == len(pieces)
        assert clearances(pieces, spots, width, depth) >= -0.011


def test_outlines_take_their_discs_and_boxes() -> None:
    assert piece_of(Outline.round(203.0), 25.0) == Piece(width_mm=228.0)
    hexagon = piece_of(Outline(shape=Shape.HEXAGON, width_mm=200.0))
    assert hexagon.is_disc
    assert hexagon.width_mm == pytest.approx(200.0 * 2 / sqrt(3), rel=1e-3)
    heart = piece_of(Outline(shape=Shape.HEART, width_mm=200.0))
    assert not heart.is_disc
