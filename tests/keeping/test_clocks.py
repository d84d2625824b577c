"""Clocks one step either side of every limit, and cooling."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tierwright.errors import UnknownName
from tierwright.keeping.clocks import discard_h, first_above, first_below, read_clock, read_cooling, spans_above
from tierwright.keeping.tables import Clock, clocks, cold_holding, cooling_rules

US4, US6 = clocks("US")
(UK4,) = clocks("UK")
STEP = 1 / 3600.0  # one second


def test_the_rules_are_those_of_the_codes() -> None:
    # FDA Food Code 2022, 3-501.19(B) and (C); England's regulations of 2013, schedule 4.
    assert (US4.above_c, US4.hours, US4.highest_c) == (5, 4, None)
    assert (US6.above_c, US6.hours, US6.highest_c) == (5, 6, 21)
    assert (UK4.above_c, UK4.hours, UK4.single) == (8, 4, True)
    assert cold_holding("US")[0] == 5
    assert cold_holding("UK")[0] == 8
    assert cold_holding("AU-NZ")[0] == 5
    with pytest.raises(UnknownName):
        clocks("XX")


@pytest.mark.parametrize("clock", [US4, UK4], ids=["US", "UK"])
@pytest.mark.parametrize(("out_h", "gone"), [(4.0 - STEP, False), (4.0, True), (4.0 + STEP, True)])
def test_four_hours_to_the_second(out_h: float, gone: bool, clock: Clock) -> None:
    read = read_clock(clock, (0.0, out_h), (20.0, 20.0))
    assert (read.expires_h is not None) is gone
    assert read.used_h == out_h


def test_at_five_degrees_nothing_counts_and_just_above_everything_does() -> None:
    assert read_clock(US4, (0.0, 10.0), (5.0, 5.0)).used_h == 0.0
    assert read_clock(US4, (0.0, 10.0), (5.001, 5.001)).expires_h == pytest.approx(4.0)
    assert read_clock(UK4, (0.0, 10.0), (8.0, 8.0)).used_h == 0.0
    assert read_clock(UK4, (0.0, 10.0), (8.001, 8.001)).expires_h == pytest.approx(4.0)


@pytest.mark.parametrize(("warmest", "ends"), [(20.999, 7.0), (21.0, 7.0), (21.001, 2.0)])
def test_six_hours_only_if_never_above_twenty_one(warmest: float, ends: float) -> None:
    hours = (0.0, 1.0, 1.0 + 1e-9, 2.0 - 1e-9, 2.0, 9.0)
    celsius = (4.0, 4.0, 18.0, 18.0, warmest, warmest)
    read = read_clock(US6, hours, celsius)
    assert read.expires_h == pytest.approx(ends, abs=1e-6)
    assert (read.broken_h is not None) is (warmest > 21.0)


def test_chilling_again_does_not_turn_an_american_clock_back() -> None:
    hours = (0.0, 0.001, 2.0, 2.001, 10.0, 10.001, 20.0)
    celsius = (4.0, 15.0, 15.0, 4.0, 4.0, 15.0, 15.0)
    # Two hours were used up before, so two are left.
    assert read_clock(US4, hours, celsius).expires_h == pytest.approx(12.0, abs=0.01)
    # In England a second period is not there at all.
    assert read_clock(UK4, hours, celsius).expires_h == pytest.approx(10.0, abs=0.01)


def test_a_warm_start_does_not_hold() -> None:
    read = read_clock(US4, (0.0, 10.0), (12.0, 12.0))
    assert not read.holds
    assert discard_h([read]) == pytest.approx(4.0)


def test_the_better_of_two_clocks_that_hold_decides() -> None:
    hours, celsius = (0.0, 1.0, 1.0001, 12.0), (4.0, 4.0, 15.0, 15.0)
    readings = [read_clock(one, hours, celsius) for one in (US4, US6)]
    assert discard_h(readings) == pytest.approx(7.0, abs=0.01)
    hot = [read_clock(one, hours, (4.0, 4.0, 24.0, 24.0)) for one in (US4, US6)]
    assert discard_h(hot) == pytest.approx(5.0, abs=0.01)
    assert discard_h([read_clock(US4, (0.0, 2.0), (4.0, 4.0))]) is None


def test_a_crossing_between_two_records_is_found_where_it_is() -> None:
    assert list(spans_above((0.0, 2.0, 4.0), (0.0, 10.0, 0.0), 5.0)) == [(1.0, 3.0)]
    assert first_above((0.0, 2.0), (0.0, 10.0), 5.0) == 1.0
    assert first_below((0.0, 2.0), (10.0, 0.0), 5.0) == pytest.approx(1.0)
    assert first_above((0.0, 2.0), (0.0, 4.0), 5.0) is None


@given(st.lists(st.floats(0, 40), min_size=3, max_size=12), st.floats(0, 10))
def test_warmer_all_along_never_ends_later(temperatures: list[float], more: float) -> None:
    hours = [float(i) for i in range(len(temperatures))]
    warmer = [t + more for t in temperatures]
    for clock in (US4, US6):
        cool, warm = read_clock(clock, hours, temperatures).expires_h, read_clock(clock, hours, warmer).expires_h
        if cool is not None:
            assert warm is not None
            assert warm <= cool + 1e-9


COOK1, COOK2, AMBIENT = cooling_rules("US")


@pytest.mark.parametrize(("hours", "meets"), [(2.0 - STEP, True), (2.0 + STEP, False)])
def test_fifty_seven_to_twenty_one_in_two_hours(hours: float, meets: bool) -> None:
    # FDA Food Code 2022, 3-501.14(A)(1).
    read = read_cooling(COOK1, (0.0, 1.0, 1.0 + hours), (90.0, 57.0, 21.0))
    assert read is not None
    assert read.took_h == pytest.approx(hours, abs=1e-6)
    assert read.meets is meets


@pytest.mark.parametrize(("last_h", "meets"), [(5.99, True), (6.01, False)])
def test_six_hours_in_all_to_five(last_h: float, meets: bool) -> None:
    read = read_cooling(COOK2, (0.0, 2.0, last_h), (57.001, 21.0, 4.999))
    assert read is not None
    assert read.meets is meets


def test_food_that_was_never_hot_has_no_cooking_rule_and_a_warm_fridge_never_meets_one() -> None:
    assert read_cooling(COOK1, (0.0, 1.0), (22.0, 5.0)) is None
    never = read_cooling(AMBIENT, (0.0, 12.0), (21.0, 6.0))
    assert never is not None
    assert never.took_h is None
    assert not never.meets
    quick = read_cooling(AMBIENT, (0.0, 3.9), (21.0, 5.0))
    assert quick is not None
    assert quick.meets
