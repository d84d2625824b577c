"""The whole answer: the outdoor summer commission at altitude, laws, and cautions that cannot be lost."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.keeping.cakes import ALL, BUTTERCREAM, CURD, JAM, NOON, hour, stay, tier

from tierwright.errors import MissingData
from tierwright.keeping import (
    FOAM_KEY,
    Hour,
    Keeping,
    KeepingPlan,
    Layer,
    Measurement,
    Place,
    Standing,
    Start,
    Yielding,
    assess,
    component_kind,
    keep,
    plot_line,
)
from tierwright.keeping.notes import cautions_for
from tierwright.keeping.tables import rows
from tierwright.larder import Allergen
from tierwright.working import Severity

# A summer evening outdoors: kitchen 1,650 m, meadow 2,450 m, 29 C, 25 % humidity, shade from 17:00; cut 20:30, asked
# for on show from 16:30. Italian meringue buttercream, raspberry curd; tiers of 25, 20 and 15 cm.
SET_UP, CUT, LAST = 28.5, 32.5, 33.5
WAY = 1.2


def evening(begins_h: float = SET_UP) -> tuple[Hour, ...]:
    """Sun on the flat until 17:00, shade after."""
    return tuple(
        Hour(at=hour(h), air_c=29.0, humidity=0.25, sun_w_m2=600.0 if h < 29.0 else 90.0, wind_m_s=0.6)
        for h in (begins_h, 28.9, 29.0, 34.0)
    )


def commission(
    filling: str = "curd", *, venue_c: float = 29.0, humidity: float = 0.25, cover: str = "", **more: object
) -> KeepingPlan:
    leaves = SET_UP - WAY
    plan = KeepingPlan(
        jurisdiction="US",
        licence="home",
        tiers=tuple(tier(i + 1, d, filling=filling) for i, d in enumerate((250.0, 200.0, 150.0))),
        components=tuple(ALL[key] for key in dict.fromkeys(("vanilla", filling, "buttercream"))),
        kitchen=(
            stay(Place.BENCH, 0.0, 2.0, 21.0, altitude_m=1650.0),
            stay(Place.FRIDGE, 2.0, leaves, 4.0, 0.8, altitude_m=1650.0),
        ),
        travel=stay(Place.VAN, leaves, SET_UP, 22.0, 0.3, altitude_m=2450.0),
        venue=stay(
            Place.OUTDOORS, SET_UP, LAST, venue_c, humidity, light="shade", altitude_m=2450.0, cover=cover,
            air_speed_m_s=0.6,
        ),
        start=Start(sponge_c=8.0, filling_c=8.0, coat_c=21.0),
        cutting_at=hour(CUT),
        closes_at=hour(CUT - 0.5),
    )  # fmt: skip
    return replace(plan, **more)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def summer() -> Keeping:
    return keep(commission())


def test_the_curd_is_refused_in_a_home_kitchen_until_it_is_measured(summer: Keeping) -> None:
    stop = {q.key: q.severity for q in summer.notes.questions}
    assert stop["keeping.licence.curd"] is Severity.STOP
    jam = keep(commission("jam"))
    assert "keeping.licence.jam" not in {q.key for q in jam.notes.questions}
    measured = replace(CURD, measured_ph=Measurement(value=3.5, method="meter", on="2027-06-01"))
    plan = commission()
    proved = keep(replace(plan, components=(ALL["vanilla"], measured, BUTTERCREAM)))
    assert "keeping.licence.curd" not in {q.key for q in proved.notes.questions}


def test_four_hours_on_show_are_refused_and_an_hour_from_the_cold_is_not(summer: Keeping) -> None:
    assert summer.is_refused
    assert summer.window.longest_h is not None
    # Makers and hand estimates: set up at most 60 to 90 minutes before the cutting. [h]
    assert 0.75 <= summer.window.longest_h <= 1.75
    assert summer.window.not_before is not None
    assert timedelta(minutes=45) <= hour(CUT) - summer.window.not_before <= timedelta(minutes=105)
    best = summer.best_change
    assert best is not None
    assert best.key == "later"
    # A dummy on show and the cake in the cold is among what passes.
    assert next(change for change in summer.changes if change.key == "dummy").passes
    # Its clock says the same by itself: four hours from the cold end before the cutting.
    ends = [clock.discard_at for clock in summer.clocks if clock.discard_at is not None]
    assert min(ends) < hour(CUT)


def test_the_told_course_holds_and_its_clock_ends_after_the_cutting(summer: Keeping) -> None:
    card = summer.card
    assert not card.as_planned
    assert card.set_up_at == summer.window.not_before
    assert card.throw_away_by is not None
    assert hour(CUT) < card.throw_away_by <= card.out_of_cold_at + timedelta(hours=6)


def test_the_smallest_tier_goes_first(summer: Keeping) -> None:
    assert summer.window.governs == "top"
    first = [soft.first_h for soft in summer.softness]
    assert all(at is not None for at in first)
    assert first[2] == min(at for at in first if at is not None)


def test_it_sweats_briefly_at_most(summer: Keeping) -> None:
    for wet in summer.sweat:
        # 29 C at 25 %: dew point about 7 C.
        assert wet.dew_point_c == pytest.approx(7.0, abs=0.3)
        assert wet.begins_h is None or wet.is_brief
    damp = keep(commission(humidity=0.75))
    assert all(wet.begins_h is not None and wet.most_g_m2 > 5.0 for wet in damp.sweat)


def test_weather_by_the_hour_gives_the_same_decision() -> None:
    plan = commission()
    sunny = keep(replace(plan, venue=replace(plan.venue, light="full", weather=evening())))
    assert sunny.is_refused
    assert sunny.window.not_before is not None
    # The sun is gone by the evening: a late set-up is as good as in shade, give or take the wind.
    assert timedelta(minutes=40) <= hour(CUT) - sunny.window.not_before <= timedelta(minutes=120)


@settings(max_examples=6, deadline=None)
@given(venue=st.floats(22, 36), more=st.floats(0.5, 6))
def test_a_hotter_venue_never_allows_longer(venue: float, more: float) -> None:
    cool, hot = (keep(commission("jam", venue_c=air)).window.longest_h for air in (venue, venue + more))
    if cool is not None:
        assert hot is not None
        # Half a fine piece of the line.
        assert hot <= cool + 0.05


@settings(max_examples=4, deadline=None)
@given(venue=st.floats(25, 36))
def test_more_insulation_never_allows_less(venue: float) -> None:
    longest = [
        keep(commission("jam", venue_c=venue, cover=cover)).window.longest_h
        for cover in ("none", "card_box", "lined_box", "foam_box")
    ]
    hours = [99.0 if one is None else one for one in longest]
    assert all(after >= before - 0.05 for before, after in pairwise(hours))


CONTROLLED = [one["kind"] for one in rows("components") if component_kind(one["kind"]).is_chilled]
SPREADS = [kind for kind in CONTROLLED if kind not in ("mirror_glaze",)]


@pytest.mark.parametrize("kind", SPREADS)
def test_no_caution_can_be_lost(kind: str) -> None:
    made = replace(CURD, key="made", name="the filling", kind=kind)
    plan = commission()
    tiers = tuple(
        replace(one, layers=tuple(replace(x, component="made") if x.component == "curd" else x for x in one.layers))
        for one in plan.tiers[2:]
    )
    answer = keep(replace(plan, tiers=tiers, components=(ALL["vanilla"], made, BUTTERCREAM)))
    for one in answer.safety:
        keys = {caution.key: caution.sheet for caution in answer.notes.cautions}
        if one.is_controlled:
            assert keys[f"keeping.cold.{one.component}"] == "keeping"
            assert keys[f"keeping.table.{one.component}"] == "table"
        else:
            assert f"keeping.unproved.{one.component}" in keys or f"keeping.measured.{one.component}" in keys
    assert {one.component for one in answer.safety if one.is_controlled} == {"made", "buttercream"}


def test_raw_egg_and_poisonous_flowers_are_said() -> None:
    plan = commission()
    raw = replace(BUTTERCREAM, egg_is_treated=False)
    answer = keep(
        replace(
            plan,
            components=(ALL["vanilla"], CURD, raw),
            decorations=("a garland of lily of the valley", "copper lustre", "gold leaf"),
        )
    )
    cautions = {caution.key for caution in answer.notes.cautions}
    assert "keeping.egg.buttercream" in cautions
    assert "keeping.flower.lily of the valley" in cautions
    danger = [q.key for q in answer.notes.questions if q.severity is Severity.DANGER]
    assert "keeping.flower.lily of the valley" in danger
    assert "keeping.dust.copper_powder" in danger


def test_a_dummy_softens_and_is_no_food() -> None:
    plan = commission()
    dummy = replace(
        plan.tiers[2],
        layers=(Layer(component=FOAM_KEY, thickness_mm=100.0), Layer(component="buttercream", thickness_mm=8.0)),
        is_dummy=True,
        load_g=0.0,
    )
    answer = keep(replace(plan, tiers=(*plan.tiers[:2], dummy)))
    assert all(clock.tier != dummy.name for clock in answer.clocks)
    assert len(answer.layers) == 2
    slump = answer.softness[2].limits[0]
    assert slump.what is Yielding.SLUMP
    assert slump.could_h is not None


def test_england_has_one_display_at_eight_degrees() -> None:
    answer = keep(replace(commission(), jurisdiction="UK"))
    assert {reading.key for clock in answer.clocks for reading in clock.readings} == {"uk_4h"}
    cold = next(c for c in answer.notes.cautions if c.key == "keeping.cold.curd")
    assert "8 °C" in cold.text


def test_a_plan_that_holds_asks_for_no_change() -> None:
    plan = commission("jam", venue_c=20.0)
    shown = replace(plan, venue=replace(plan.venue, place=Place.VENUE, light="none", air_speed_m_s=0.1))
    at = hour(CUT - 1.0)
    shift = at - shown.venue.begins
    leaves = shown.travel.begins + shift
    moved = replace(
        shown,
        kitchen=(shown.kitchen[0], replace(shown.kitchen[1], ends=leaves)),
        travel=replace(shown.travel, begins=leaves, ends=at),
        venue=replace(shown.venue, begins=at),
    )
    answer = keep(moved)
    assert not answer.is_refused
    assert answer.changes == ()
    assert answer.card.as_planned
    assert answer.card.set_up_at == at


def test_the_same_plan_gives_the_same_answer_and_a_drawing() -> None:
    plan = commission("jam")
    one, two = keep(plan), keep(plan)
    assert one == two
    drawn = plot_line(one, cutting=plan.cutting_at)
    assert drawn.svg == plot_line(two, cutting=plan.cutting_at).svg
    assert drawn.svg.count("tier</text>") >= 3
    assert " style=" not in drawn.svg


def test_refusals() -> None:
    plan = commission()
    with pytest.raises(MissingData):
        keep(replace(plan, components=(ALL["vanilla"], BUTTERCREAM)))
    late = replace(plan.travel, begins=plan.travel.begins + timedelta(minutes=5))
    with pytest.raises(ValueError, match="begins at"):
        keep(replace(plan, travel=late))


def test_measured_components_say_that_the_measurement_binds() -> None:
    dry = replace(JAM, measured_aw=Measurement(value=0.82, method="dew-point meter", on="2027-06-01"))
    assert assess(dry).standing is Standing.PROVED
    answer = keep(replace(commission("jam"), components=(ALL["vanilla"], dry, BUTTERCREAM)))
    assert "keeping.measured.jam" in {caution.key for caution in answer.notes.cautions}


def test_the_line_starts_where_the_tiers_are_put_together(summer: Keeping) -> None:
    assert summer.begins == NOON
    for line in summer.lines:
        assert line.hours[0] == 0.0
        assert list(line.hours) == sorted(line.hours)
        assert len({len(line.hours), len(line.centre.celsius), len(line.water_top_g_m2), len(line.mean.celsius)}) == 1


def test_nothing_is_warmer_than_air_and_sun_allow(summer: Keeping) -> None:
    # 100 W/m2 on a pale coat over a loss of at least 8 W/(m2 K) is less than 5 K.
    for line in summer.lines:
        assert max(line.warmest.celsius) <= 29.0 + 5.0
        assert min(line.coldest.celsius) >= 3.9


def test_vegan_is_no_claim_and_unknown_is_not_absent() -> None:
    from tierwright.keeping import Make, order_of_work

    praline = Make(key="praline", name="praline", contains=frozenset({Allergen.HAZELNUT}))
    plain = Make(
        key="plain", name="plain cake", contains=frozenset({Allergen.WHEAT}),
        unknown=frozenset({Allergen.HAZELNUT}), keep_free_of=frozenset({Allergen.HAZELNUT}),
    )  # fmt: skip
    (first, second) = order_of_work([praline, plain])
    assert first.key == "plain"
    assert first.warns == (Allergen.HAZELNUT,)
    assert second.clean_before == ()


@pytest.mark.parametrize(
    ("humidity", "spoilt"), [(0.55, set()), (0.551, {"sugar_flowers"}), (0.851, {"sugar_flowers", "gold_leaf"})]
)
def test_what_damp_air_spoils_is_said_from_its_limit_on(summer: Keeping, humidity: float, spoilt: set[str]) -> None:
    # Common practice: sugar paste goes limp above 55 % humidity, leaf spots above 85 %.
    plan = commission(humidity=humidity, decorations=("Sugar flowers on wire", "a little gold leaf"))
    damp = {one.key.removeprefix("keeping.damp.") for one in cautions_for(plan, summer) if "damp" in one.key}
    assert damp == spoilt
