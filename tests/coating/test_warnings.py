"""Bulge, slide and slump: kitchen sense, laws, and that the change on offer settles the question."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.coating.cakes import BUTTERCREAM, CURD, JAM, order, tier

from tierwright.coating import Spread, coat, kind, kinds
from tierwright.coating.strength import (
    bearing_depth_mm,
    dam_width_mm,
    sliding_share,
    slump_thickness_mm,
    solid_fat_percent,
    warmest_c,
    yield_stress_pa,
)
from tierwright.coating.warnings import Joint
from tierwright.errors import OutOfRange
from tierwright.shapes import Outline
from tierwright.working import Question, Severity

temperatures = st.floats(min_value=0.0, max_value=40.0)
fillings = st.sampled_from([key for key in kinds() if kind(key).stiffness != "solid"])


def asked(what: str, **changes: Any) -> Question | None:
    surroundings = {name: changes.pop(name) for name in ("expected_c", "road_c", "braking_share") if name in changes}
    result = coat([order(**changes)], **surroundings)
    return next((one for one in result.notes.questions if one.key == f"tier.1.{what}"), None)


def joint(filling: str = "jam", *, dam: str | None = None, depth: float = 8.0, load: float = 1200.0) -> Joint:
    return Joint(
        outline=Outline.round(200.0),
        filling=kind(filling),
        dam=None if dam is None else kind(dam),
        depth_mm=depth,
        dam_mm=0.0 if dam is None else 12.0,
        own_load_g=load,
        above_load_g=4000.0,
        supported=True,
    )


def test_buttercream_at_room_temperature_raises_nothing() -> None:
    assert coat([order()]).notes.questions == ()


def test_loose_fruit_with_no_dam_bulges() -> None:
    found = asked("bulge", filling=Spread(kind="fresh_fruit", formula="fruit"), dam=False)
    assert found is not None
    assert found.severity >= Severity.ASK
    assert "dam" in found.change


def test_offered_dam_settles_the_bulge() -> None:
    fruit = Spread(kind="fresh_fruit", formula="fruit")
    assert asked("bulge", filling=fruit, dam=False) is not None
    settled = asked("bulge", filling=fruit, dam=True)
    assert settled is None or settled.severity is Severity.NOTE


def test_curd_slides_where_jam_hardly_does() -> None:
    # Makers' accounts: curd and cream shift on a tilt; a firm conserve with a dam travels.
    curd, jam = asked("slide", filling=CURD), asked("slide", filling=JAM)
    assert curd is not None
    assert jam is None or jam.severity <= curd.severity
    assert asked("slide", filling=BUTTERCREAM) is None


def test_buttercream_slips_in_a_hot_garden_and_not_in_a_cool_hall() -> None:
    # Makers' accounts: at 32 C icing slid off; limits written for meringue buttercream are 21 to 24 C.
    hot = asked("slump", expected_c=32.0)
    assert hot is not None
    assert hot.severity >= Severity.ASK
    assert asked("slump", expected_c=22.0) is None
    assert asked("slump", expected_c=24.0) is None


def test_offered_temperature_settles_the_slump() -> None:
    warm = asked("slump", expected_c=30.0)
    assert warm is not None
    limit = float(warm.change.split(" C or colder")[0].split()[-1])
    settled = asked("slump", expected_c=limit)
    assert settled is None or settled.severity is Severity.NOTE


def test_unsupported_tiers_press_on_the_filling() -> None:
    lower = order(tier(250.0, number=1), filling=JAM, dam=False, supported=False)
    upper = order(tier(200.0, number=2, layers=4), filling=BUTTERCREAM)
    loaded = coat([lower, upper])
    bulge = next(one for one in loaded.notes.questions if one.key == "tier.1.bulge")
    free = coat([replace(lower, supported=True), upper])
    limits = [
        next(figure.value for figure in one.notes.figures if figure.key == "tier.1.filling_limit_mm")
        for one in (loaded, free)
    ]
    assert isinstance(limits[0], float)
    assert isinstance(limits[1], float)
    assert limits[0] < limits[1]
    assert bulge.change


def test_supports_are_offered_where_they_settle_it() -> None:
    press = replace(joint("jam", depth=12.0), supported=False)
    assert press.bulges(21.0)
    assert not replace(press, supported=True).bulges(21.0)


@settings(max_examples=60, deadline=None)
@given(filling=fillings, one=temperatures, other=temperatures)
def test_warmer_is_never_stronger(filling: str, one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    assert yield_stress_pa(kind(filling), warm).value <= yield_stress_pa(kind(filling), cold).value + 1e-9


@settings(max_examples=60, deadline=None)
@given(
    filling=fillings, depth=st.floats(min_value=2.0, max_value=30.0), load=st.floats(min_value=50.0, max_value=9000.0)
)
def test_deeper_or_heavier_never_holds_better(filling: str, depth: float, load: float) -> None:
    light = joint(filling, depth=depth, load=load)
    if light.bulges(21.0):
        assert replace(light, depth_mm=depth + 1).bulges(21.0)
        assert replace(light, own_load_g=load * 1.1).bulges(21.0)
    assert replace(light, own_load_g=load * 1.1).sliding_share(21.0) <= light.sliding_share(21.0)


@settings(max_examples=60, deadline=None)
@given(filling=fillings, depth=st.floats(min_value=2.0, max_value=30.0))
def test_a_dam_never_hurts(filling: str, depth: float) -> None:
    bare = joint(filling, depth=depth)
    if not bare.bulges(21.0):
        assert not replace(bare, dam=kind("swiss_buttercream"), dam_mm=12.0).bulges(21.0)


def test_yield_stress_by_hand() -> None:
    # Milk fat 20 % solid at 20 C and 11.5 % at 25 C in the table: (11.5/20)^2.5 = 0.2507 of 600 Pa.
    assert yield_stress_pa(kind("swiss_buttercream"), 20.0).value == pytest.approx(600.0)
    assert yield_stress_pa(kind("swiss_buttercream"), 25.0).value == pytest.approx(600 * 0.2507, rel=1e-3)
    assert yield_stress_pa(kind("swiss_buttercream"), 38.0).value == 0.0
    assert yield_stress_pa(kind("jam"), 5.0) == yield_stress_pa(kind("jam"), 35.0)


def test_solid_fat_between_points() -> None:
    # Half way between 35 % at 15 C and 20 % at 20 C.
    assert solid_fat_percent("milk", 17.5) == pytest.approx(27.5)
    assert solid_fat_percent("milk", 0.0) == solid_fat_percent("milk", 5.0)
    # Shortening outlasts butter in the warm (common practice).
    assert solid_fat_percent("plant", 30.0) > solid_fat_percent("milk", 30.0)


def test_dam_by_hand() -> None:
    # 400 Pa on 10 mm of which 5 mm hold: 200 Pa push over 10 mm, against two faces of 100 Pa: 10 mm wide.
    assert dam_width_mm(400.0, 10.0, 5.0, 100.0) == pytest.approx(10.0)
    assert dam_width_mm(400.0, 5.0, 5.0, 100.0) == 0.0
    assert sliding_share(200.0, 400.0) == 0.5


def test_warmest_is_the_last_degree_that_holds() -> None:
    assert warmest_c(lambda at_c: at_c <= 18.0, 29.0) == 18.0
    assert warmest_c(lambda _: False, 29.0) is None


def test_melted_dam_holds_nothing() -> None:
    found = asked("bulge", filling=Spread(kind="fresh_fruit", formula="fruit"), dam=True, expected_c=38.0)
    assert found is not None
    assert found.severity is Severity.STOP


def test_refuses() -> None:
    with pytest.raises(OutOfRange):
        yield_stress_pa(kind("curd"), 46.0)
    with pytest.raises(OutOfRange):
        solid_fat_percent("milk", -6.0)
    with pytest.raises(OutOfRange):
        bearing_depth_mm(100.0, 100.0, 0.0)
    with pytest.raises(OutOfRange):
        dam_width_mm(400.0, 10.0, 5.0, 0.0)
    with pytest.raises(OutOfRange):
        sliding_share(100.0, 0.0)
    with pytest.raises(OutOfRange):
        slump_thickness_mm(100.0, 3.0)
