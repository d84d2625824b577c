"""Paste rolled sheet after sheet, ganache, and sums of uncertain things."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.coating.cakes import OUTLINES

from tierwright.coating import Chocolate, RolledSheet, Season, ganache_density, split_ganache
from tierwright.coating.fillings import filling_volumes, soaked_sides
from tierwright.coating.order import Laying
from tierwright.coating.rolled import paste_needed_g, roll
from tierwright.errors import OutOfRange
from tierwright.ranges import times, with_losses
from tierwright.shapes import Outline
from tierwright.working import NOTHING, Estimate


def sheet(roll_out: float, knead_back: float) -> RolledSheet:
    return RolledSheet(
        use="cover",
        width_mm=1.0,
        length_mm=1.0,
        thickness_mm=3.5,
        roll_out_g=Estimate.exact(roll_out),
        trim_g=Estimate.exact(knead_back),
        knead_back_g=Estimate.exact(knead_back),
    )


def test_paste_by_hand() -> None:
    # 900 rolled, 300 back: 600 used. Then 500 needed: 1100 in all, with 200 + ... never short.
    assert paste_needed_g([sheet(900, 300), sheet(500, 100)]).value == pytest.approx(1100.0)
    # A second sheet small enough to come out of the first one's trim.
    assert paste_needed_g([sheet(900, 300), sheet(200, 50)]).value == pytest.approx(900.0)
    assert paste_needed_g([]) == NOTHING


@settings(max_examples=80, deadline=None)
@given(st.lists(st.tuples(st.floats(min_value=1, max_value=2000), st.floats(min_value=0, max_value=0.6)), min_size=1))
def test_paste_lies_between_the_largest_sheet_and_all_of_them(pairs: list[tuple[float, float]]) -> None:
    sheets = [sheet(mass, mass * share) for mass, share in pairs]
    need = paste_needed_g(sheets).value
    assert max(mass for mass, _ in pairs) - 1e-6 <= need <= sum(mass for mass, _ in pairs) + 1e-6
    # Never less than what stays on the cakes and in the bin.
    assert need >= sum(mass * (1 - share) for mass, share in pairs) - 1e-6


@pytest.mark.parametrize("outline", OUTLINES, ids=lambda outline: outline.shape.value)
def test_thicker_sheets_weigh_more(outline: Outline) -> None:
    masses = [
        roll(
            outline,
            under_side_mm=3.0,
            under_top_mm=3.0,
            height_mm=100.0,
            thickness_mm=Estimate.exact(thick),
            density_g_per_ml=Estimate.exact(1.35),
            on_cake_g=Estimate.exact(100.0),
            laying=Laying.COVER,
        ).roll_out_g.value
        for thick in (3.0, 4.0)
    ]
    assert masses[1] == pytest.approx(masses[0] * 4 / 3)


@pytest.mark.parametrize("chocolate", list(Chocolate))
@pytest.mark.parametrize("season", list(Season))
def test_ganache_parts_add_up(chocolate: Chocolate, season: Season) -> None:
    split = split_ganache(chocolate, season, 1000.0)
    assert split.chocolate_g.low + split.cream_g.high == pytest.approx(1000.0)
    assert split.chocolate_g.high + split.cream_g.low == pytest.approx(1000.0)
    # Summer never takes less chocolate than the cool, and white never less than dark.
    assert split.ratio.value >= split_ganache(chocolate, Season.COOL, 1000.0).ratio.value
    assert split.ratio.value >= split_ganache(Chocolate.DARK, season, 1000.0).ratio.value


def test_ganache_refuses() -> None:
    with pytest.raises(OutOfRange):
        split_ganache(Chocolate.DARK, Season.COOL, -1.0)
    with pytest.raises(OutOfRange):
        ganache_density(0.4)


def test_losses_follow_one_another() -> None:
    # 900 g left after a tenth stays in the bowl: 1000; then a fifth of what is in the bag: 1250.
    tenth, fifth = Estimate.exact(0.1), Estimate.exact(0.2)
    assert with_losses(Estimate.exact(900.0), tenth).value == pytest.approx(1000.0)
    assert with_losses(Estimate.exact(900.0), tenth, fifth).value == pytest.approx(1250.0)
    assert with_losses(NOTHING, tenth) == NOTHING


def test_independent_spreads_add_in_quadrature() -> None:
    # 3 % and 4 % make 5 %.
    product = times(Estimate.within(10.0, 0.03), Estimate.within(2.0, 0.04))
    assert product.value == pytest.approx(20.0)
    assert product.high == pytest.approx(21.0)
    assert product.low == pytest.approx(19.0)


def test_soaked_sides_and_refusals() -> None:
    # Two layers: top and bottom of the upper one, top of the lower one.
    assert soaked_sides(2) == 3
    assert soaked_sides(0) == 0
    with pytest.raises(OutOfRange):
        filling_volumes(OUTLINES[0], -1.0, 2, None)
    with pytest.raises(OutOfRange):
        filling_volumes(OUTLINES[0], 8.0, 21, None)
