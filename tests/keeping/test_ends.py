"""What ends a display, piece by piece: the joint of one stuff, what a touch marks, the last set-up under weather."""

from __future__ import annotations

from datetime import datetime, timedelta
from types import SimpleNamespace
from typing import Any

import pytest
from tests.keeping.cakes import BUTTERCREAM, CURD, hour, stay

from tierwright.coating import sliding_share, yield_stress_pa
from tierwright.keeping import Place, Yielding
from tierwright.keeping.display import _search
from tierwright.keeping.softness import FAT_CURVES, LEAN, _coat_c, _joint_c, kind_of, limit_c
from tierwright.shapes import Outline
from tierwright.sugar import spread_window


def test_a_joint_of_one_stuff_is_as_strong_as_that_stuff() -> None:
    stuff, round_cake, load_g = kind_of(BUTTERCREAM), Outline.round(200.0), 3000.0
    pressure = load_g / 1000.0 * 9.80665 / (round_cake.area_mm2 * 1e-6)
    by_hand = limit_c(lambda t, end: sliding_share(float(getattr(yield_stress_pa(stuff, t), end)), pressure) >= LEAN)
    for coat in (None, stuff):
        _bulge, slide, _road = _joint_c(stuff, coat, round_cake, load_g, 8.0)
        assert slide == by_hand


def test_a_soft_filling_stands_with_the_ring_of_coat_round_it() -> None:
    # Twelve millimetres round a filling of 100 mm radius are 1 - 0.88² of its area.
    curd, coat, ring = kind_of(CURD), kind_of(BUTTERCREAM), 1.0 - 0.88**2
    assert curd.needs_dam
    pressure = 1.0 * 9.80665 / (Outline.round(200.0).area_mm2 * 1e-6)

    def strength(t: float, end: str) -> float:
        inside, outside = (float(getattr(yield_stress_pa(stuff, t), end)) for stuff in (curd, coat))
        return (1.0 - ring) * inside + ring * outside

    by_hand = limit_c(lambda t, end: sliding_share(strength(t, end), pressure) >= LEAN)
    assert by_hand is not None
    _bulge, slide, _road = _joint_c(curd, coat, Outline.round(200.0), 1000.0, 8.0)
    assert slide is not None
    assert slide.low == pytest.approx(by_hand.low, abs=1e-9)
    assert slide.value == pytest.approx(by_hand.value, abs=1e-9)


def test_a_touch_marks_a_coat_above_where_its_fat_works() -> None:
    curve = FAT_CURVES[kind_of(BUTTERCREAM).fat]
    window = spread_window({curve: BUTTERCREAM.composition.fat_g / 100.0})
    assert window is not None
    assert window.works_to_c is not None
    assert _coat_c(BUTTERCREAM, 8.0)[1] == window.works_to_c.value


@pytest.mark.parametrize(("holds_min", "found"), [(5.0, False), (30.0, True), (33.0, True)])
def test_under_weather_the_last_set_up_is_a_quarter_of_an_hour_before_the_cutting(
    holds_min: float, found: bool
) -> None:
    cutting = hour(6.0)

    def show(stays: Any) -> list[Any]:
        gives_way = hours(stays[1].begins) + holds_min / 60.0
        limit = SimpleNamespace(what=Yielding.SLUMP, could_h=gives_way)
        return [SimpleNamespace(softness=SimpleNamespace(name="top", limits=(limit,)), clocks=())]

    def hours(at: datetime) -> float:
        return (at - hour(0.0)) / timedelta(hours=1)

    stage: Any = SimpleNamespace(show=show, hour=hours)
    travel, venue = stay(Place.VAN, 1.0, 2.0, 24.0), stay(Place.VENUE, 2.0, 7.0, 30.0)
    at = _search(stage, travel, venue, cutting, hour(2.0), {})
    assert (at is not None) == found
    if at is not None:
        # Halved until five minutes are left, then rounded up to five.
        assert timedelta(minutes=holds_min - 10.0) <= cutting - at <= timedelta(minutes=holds_min)
