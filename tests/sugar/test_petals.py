"""Sugared petals."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import Infeasible, OutOfRange
from tierwright.sugar.petals import PetalBody, PetalCoat, drying_hours, petal_sugars, plan_petals


def test_a_thin_petal_dries_overnight_to_a_day_and_a_half_in_usual_air() -> None:
    # Common practice.
    hours = drying_hours(PetalBody.THIN, humidity_share=0.5, room_c=20.0)
    assert (hours.low, hours.value, hours.high) == (12.0, 24.0, 36.0)


def test_drying_follows_the_drop_of_vapour_pressure() -> None:
    # Steam tables: 2339 Pa at 20 C, 4247 Pa at 30 C. At 30 C and 40 %: (0.35 x 2339) / (0.45 x 4247) of the time.
    hours = drying_hours(PetalBody.THIN, humidity_share=0.4, room_c=30.0)
    assert hours.value == pytest.approx(24 * 0.35 * 2339 / (0.45 * 4247), rel=1e-3)


@given(low=st.floats(0.05, 0.74), high=st.floats(0.05, 0.74), room=st.floats(10, 40))
@settings(max_examples=30, deadline=None)
def test_damper_air_never_dries_faster(low: float, high: float, room: float) -> None:
    low, high = sorted((low, high))
    for body in PetalBody:
        dry, damp = (drying_hours(body, humidity_share=rh, room_c=room) for rh in (low, high))
        assert dry.value <= damp.value


def test_thin_petals_take_fine_sugar_and_the_sizes_rise_with_the_petal() -> None:
    sizes = [petal_sugars()[body].size_mm.value for body in (PetalBody.THIN, PetalBody.MEDIUM, PetalBody.THICK)]
    assert sizes == sorted(sizes)
    assert sizes[0] < 0.35


def test_numbers_and_raw_egg() -> None:
    plan = plan_petals(100, body=PetalBody.MEDIUM, coat=PetalCoat.RAW_WHITE, humidity_share=0.45)
    assert (plan.make, plan.spares) == (115, 15)
    # 115 petals of 6 cm2, two sides: 0.138 m2; 300 g/m2 sticks, three times as much in the bowl.
    assert plan.sugar_g == pytest.approx(0.138 * 900)
    assert any("pasteurised" in caution.text for caution in plan.notes.cautions)
    gum = plan_petals(100, body=PetalBody.MEDIUM, coat=PetalCoat.GUM_ARABIC, humidity_share=0.45)
    assert not any("egg" in caution.text for caution in gum.notes.cautions)
    assert gum.keeps_days.value > plan.keeps_days.value


def test_wet_air_is_refused_with_a_way_out() -> None:
    with pytest.raises(Infeasible, match="drying agent"):
        drying_hours(PetalBody.THIN, humidity_share=0.75)
    assert drying_hours(PetalBody.THIN, humidity_share=0.74).value > 72


def test_no_petals_at_all_are_refused() -> None:
    with pytest.raises(OutOfRange):
        plan_petals(0, body=PetalBody.THIN, coat=PetalCoat.GUM_ARABIC, humidity_share=0.5)
