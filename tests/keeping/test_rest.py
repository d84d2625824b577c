"""Weather, layers, softness, flowers, dusts, allergens, keepsakes."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations
from math import isnan
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.keeping.cakes import ALL, BUTTERCREAM, CURD, JAM, NOON, SPONGE, hour, stay, tier

from tierwright.errors import BadInput, OutOfRange, UnknownName
from tierwright.heat import Solver, compiled_available
from tierwright.keeping import (
    Keepable,
    Make,
    Place,
    Start,
    Yielding,
    assess,
    cover,
    damp_limits,
    dust_advice,
    dust_table,
    dusts_in,
    flower_advice,
    flowers_in,
    keepsake,
    layer_times,
    may_follow,
    order_of_work,
    pieces,
    read_weather,
    soften,
    tier_times,
    trace,
    walk,
    warm_up,
)
from tierwright.keeping.display import first_end
from tierwright.keeping.line import Walker
from tierwright.keeping.model import Hour
from tierwright.keeping.weather import hours_since
from tierwright.larder import Allergen, FlowerStatus, flowers

COLD = Start(sponge_c=4.0, filling_c=4.0, coat_c=4.0)


def test_weather_is_read_by_the_hour_and_between() -> None:
    hours = read_weather(
        "time,air_c,humidity,sun_w_m2,wind_m_s\n2027-07-03T16:00,29,25 %,600,1.0\n2027-07-03T18:00,25,0.35,0,0.5\n",
        zone="America/Denver",
    )
    weather = hours_since(hours, hours[0].at)
    assert pieces.weather_then(weather, 3600.0) == pytest.approx((27.0, 0.30, 300.0, 0.75))
    for before, after in ((-18_000.0, 18_000.0), (0.0, 7200.0)):
        assert pieces.weather_then(weather, before) == (29.0, 0.25, 600.0, 1.0)
        assert pieces.weather_then(weather, after) == (25.0, 0.35, 0.0, 0.5)
    # A wind that nobody told is none between two hours either, but what was told of an hour stands.
    calm = hours_since((hours[0], replace(hours[1], wind_m_s=None)), hours[0].at)
    assert pieces.weather_then(calm, 0.0)[3] == 1.0
    assert isnan(pieces.weather_then(calm, 60.0)[3])


def test_bad_weather_is_refused_whole() -> None:
    with pytest.raises(BadInput) as refused:
        read_weather("time,air_c,humidity\nnoon,29,25 %\n2027-07-03T16:00,99,0.2\n2027-07-03T17:00,20,2\n", zone="UTC")
    assert len(refused.value.problems) == 3
    with pytest.raises(BadInput):
        read_weather("hour,temp\n1,2\n", zone="UTC")
    with pytest.raises(BadInput):
        read_weather("time,air_c,humidity\n", zone="UTC")


def test_layers_cool_in_the_time_of_practice() -> None:
    # Common practice: an hour or two on the rack; thawed overnight in the fridge or in some hours.
    times = layer_times(tier(1, 200.0), ALL)
    assert times is not None
    assert times.to_fill_h is not None
    assert 0.75 <= times.to_fill_h <= 2.5
    assert times.to_freeze_h is not None
    assert 2.0 <= times.to_freeze_h <= 10.0
    assert times.to_thaw_h is not None
    assert 1.0 <= times.to_thaw_h <= 12.0
    assert times.warmest_c[0] == pytest.approx(97.0)


def test_a_layer_cools_slower_where_the_air_is_thin() -> None:
    # Free convection goes about as the square root of the pressure: the fourth root of Rayleigh's number.
    low, high = (layer_times(tier(1, 200.0), ALL, altitude_m=at) for at in (0.0, 2500.0))
    assert low is not None
    assert high is not None
    assert low.to_fill_h is not None
    assert high.to_fill_h is not None
    assert 1.02 * low.to_fill_h < high.to_fill_h < 1.3 * low.to_fill_h


def test_a_thicker_layer_takes_longer() -> None:
    thin = tier(1, 200.0)
    thick = replace(thin, layers=tuple(replace(x, thickness_mm=2 * x.thickness_mm) for x in thin.layers))
    first, second = layer_times(thin, ALL), layer_times(thick, ALL)
    assert first is not None
    assert second is not None
    assert first.to_fill_h is not None
    assert second.to_fill_h is not None
    assert second.to_fill_h > 1.5 * first.to_fill_h


def test_a_whole_tier_freezes_in_half_a_day_and_thaws_overnight() -> None:
    times = tier_times(tier(1, 150.0, of=1), ALL)
    assert times.to_freeze_h is not None
    assert times.to_thaw_h is not None
    assert times.to_eat_h is not None
    assert 6.0 <= times.to_freeze_h <= 24.0
    assert 5.0 <= times.to_thaw_h <= 24.0
    # Common practice: out of the fridge about two hours before it is eaten, longer boxed.
    assert 1.0 <= times.to_eat_h <= 6.0


def test_growing_pieces_follow_short_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    # Read every ten minutes of six hours on show, from the cold; the reference walks minute by minute, ten seconds a
    # step, by backward Euler throughout.
    shown = (stay(Place.VENUE, 0.0, 6.0, 31.0, 0.35, light="shade"),)
    one = tier(1, 250.0, of=1)
    quick = walk(one, ALL, shown, COLD)
    monkeypatch.setattr(pieces, "usual_piece_s", lambda _gone_s: 60.0)
    monkeypatch.setattr(pieces, "theta_at", lambda _gone_s: 1.0)
    monkeypatch.setattr(pieces, "STEP_S", 10.0)
    slow = walk(one, ALL, shown, COLD, solver=Solver.PLAIN)
    assert len(quick.hours) < len(slow.hours) / 10
    hours = [i / 6 for i in range(1, 37)]
    for name in ("centre", "coat_side", "coat_top", "filling_warmest", "mean"):
        gaps = [abs(quick.at(h, getattr(quick, name)) - slow.at(h, getattr(slow, name))) for h in hours]
        assert sum(gaps) / len(gaps) < 0.1, name
        assert max(gaps) < 0.6, name


@settings(max_examples=6, deadline=None)
@given(air=st.floats(18, 35), more=st.floats(0, 8))
def test_a_warmer_room_warms_every_part_more(air: float, more: float) -> None:
    cool, warm = (
        walk(tier(1, 150.0, of=1), ALL, (stay(Place.VENUE, 0.0, 3.0, t, 0.3),), COLD) for t in (air, air + more)
    )
    for at_h in (0.25, 0.5, 1.0, 1.5, 2.0, 3.0):
        # A wet coat is walked in shorter pieces than a dry one; their films differ by a few hundredths of a kelvin.
        assert warm.at(at_h, warm.coat_side) >= cool.at(at_h, cool.coat_side) - 0.05


def test_damp_air_warms_a_cold_coat_faster_and_a_sealed_box_keeps_it_dry() -> None:
    one = tier(1, 200.0, of=1)
    dry = walk(one, ALL, (stay(Place.VENUE, 0.0, 1.0, 30.0, 0.1),), COLD)
    damp = walk(one, ALL, (stay(Place.VENUE, 0.0, 1.0, 30.0, 0.8),), COLD)
    assert damp.coat_side.celsius[-1] > dry.coat_side.celsius[-1] + 1.0
    assert max(damp.water_side_g_m2) > 10.0
    assert max(dry.water_side_g_m2) == 0.0
    boxed = walk(one, ALL, (stay(Place.VENUE, 0.0, 1.0, 30.0, 0.8, cover="card_box"),), COLD)
    assert max(boxed.water_side_g_m2) == 0.0
    assert cover("card_box").is_sealed


def test_weather_that_does_not_change_is_a_stay_in_its_air() -> None:
    one = tier(1, 200.0, of=1)
    hours = tuple(Hour(at=hour(h), air_c=30.0, humidity=0.8) for h in (0.0, 2.0))
    under = walk(one, ALL, (stay(Place.VENUE, 0.0, 1.0, 10.0, 0.1, weather=hours),), COLD)
    steady = walk(one, ALL, (stay(Place.VENUE, 0.0, 1.0, 30.0, 0.8),), COLD)
    # Under weather the pieces are no longer than ten minutes; else the two are one.
    assert under.coat_side.celsius[-1] == pytest.approx(steady.coat_side.celsius[-1], abs=0.1)
    assert under.water_side_g_m2[-1] == pytest.approx(steady.water_side_g_m2[-1], rel=0.02)


def test_weather_that_rises_is_taken_at_the_middle_of_each_piece() -> None:
    one = tier(1, 200.0, of=1)
    rising = tuple(Hour(at=hour(h), air_c=10.0 + 10.0 * h, humidity=0.1) for h in (0.0, 2.0))
    under = walk(one, ALL, (stay(Place.VENUE, 0.0, 2.0, 10.0, 0.1, weather=rising),), COLD)
    minutes = tuple(
        stay(Place.VENUE, n / 60.0, (n + 5) / 60.0, 10.0 + 10.0 * (n + 2.5) / 60.0, 0.1) for n in range(0, 120, 5)
    )
    by_hand = walk(one, ALL, minutes, COLD)
    assert under.coat_side.celsius[-1] == pytest.approx(by_hand.coat_side.celsius[-1], abs=0.1)
    assert under.mean.celsius[-1] == pytest.approx(by_hand.mean.celsius[-1], abs=0.1)


def test_every_part_begins_at_its_own_temperature() -> None:
    start = Start(sponge_c=18.0, filling_c=4.0, coat_c=21.0)
    line = walk(tier(1, 200.0, of=1), ALL, (stay(Place.BENCH, 0.0, 0.1, 20.0),), start)
    assert [curve.celsius[0] for curve in line.fillings] == pytest.approx([4.0, 4.0])
    assert line.centre.celsius[0] == pytest.approx(18.0)
    assert (line.coat_side.celsius[0], line.coat_top.celsius[0]) == pytest.approx((21.0, 21.0))


def test_the_road_ends_no_display() -> None:
    def show(*limits: tuple[Yielding, float]) -> Any:
        found = tuple(SimpleNamespace(what=what, could_h=at_h) for what, at_h in limits)
        return SimpleNamespace(softness=SimpleNamespace(name="top", limits=found), clocks=())

    end = first_end([show((Yielding.ROAD, 1.0), (Yielding.SLUMP, 3.0))], {})
    assert end is not None
    assert (end.at_h, end.why) == (3.0, Yielding.SLUMP.value)
    assert first_end([show((Yielding.ROAD, 1.0))], {}) is None


def test_sweat_dries_again_in_the_open() -> None:
    line = walk(tier(1, 150.0, of=1), ALL, (stay(Place.VENUE, 0.0, 6.0, 25.0, 0.55),), COLD)
    water = line.water_side_g_m2
    peak = max(water)
    assert peak > 1.0
    assert water[-1] == 0.0
    assert water.index(peak) < len(water) - 1


def test_sun_on_a_dark_coat_is_worse_than_on_a_pale_one() -> None:
    pale = tier(1, 200.0, of=1)
    dark = replace(BUTTERCREAM, key="dark", kind="dark_ganache")
    parts = ALL | {"dark": dark}
    painted = replace(pale, coat="dark")
    where = (stay(Place.OUTDOORS, 0.0, 1.0, 25.0, 0.3, light="full"),)
    a, b = walk(pale, parts, where, COLD), walk(painted, parts, where, COLD)
    assert b.coat_facing.celsius[-1] > a.coat_facing.celsius[-1] + 5.0


def test_plant_fat_stands_more_warmth_than_butter() -> None:
    one = tier(1, 200.0, of=1)
    line = walk(one, ALL, (stay(Place.VENUE, 0.0, 6.0, 34.0, 0.3),), COLD)
    plant = ALL | {"buttercream": replace(BUTTERCREAM, kind="plant_buttercream", fat="plant")}
    butter_c, plant_c = (
        next(x.at_c for x in soften(one, line, parts, from_h=0.0).limits if x.what is Yielding.SLUMP)
        for parts in (ALL, plant)
    )
    assert butter_c is not None
    assert plant_c is None or plant_c.low > butter_c.low
    # Makers: butter coats no longer hold much above 22 to 27 C.
    assert 22.0 <= butter_c.low <= butter_c.value <= 30.0


def test_a_thicker_coat_slumps_sooner() -> None:
    limits = []
    for coat_mm in (4.0, 8.0, 16.0):
        one = tier(1, 200.0, of=1, coat_mm=coat_mm)
        line = walk(one, ALL, (stay(Place.VENUE, 0.0, 1.0, 30.0, 0.3),), COLD)
        found = next(x.at_c for x in soften(one, line, ALL, from_h=0.0).limits if x.what is Yielding.SLUMP)
        assert found is not None
        limits.append(found.low)
    assert limits[0] > limits[1] > limits[2]


def test_flowers_by_what_the_sources_say() -> None:
    assert len(flowers()) >= 80
    # Colorado State University Extension 7.237 and North Carolina State Extension HIL-8513, by way of the larder.
    assert not flower_advice("lily of the valley").may_be_near
    assert not flower_advice("foxglove").may_be_eaten
    assert flower_advice("viola").may_be_eaten
    assert "grown and sold as food" in flower_advice("rose").rule
    assert not flower_advice("peony").may_be_near
    unknown = flower_advice("moonwort of nowhere")
    assert not unknown.may_be_near
    assert unknown.removal


@pytest.mark.parametrize("key", list(flowers()))
def test_no_flower_is_food_but_the_edible_and_every_other_comes_off(key: str) -> None:
    known = flowers()[key]
    found = flower_advice(known.botanical)
    assert found.may_be_eaten is (known.status is FlowerStatus.EDIBLE)
    if known.status in (FlowerStatus.POISONOUS, FlowerStatus.CONFLICT):
        assert not found.may_be_near
    if not found.may_be_eaten:
        assert found.removal


def test_flowers_and_dusts_are_found_in_a_brief() -> None:
    texts = ("pressed violas round each tier", "a spray of lily of the valley; imitation leaf, gold leaf and glitter")
    assert flowers_in(texts) == ("violas", "lily of the valley")
    assert [one.key for one in dusts_in(texts)] == ["craft_glitter", "gold_leaf", "imitation_leaf"]
    assert [one.key for one in dusts_in(("edible glitter",))] == ["edible_dust"]


def test_dusts_and_metals() -> None:
    assert dust_advice("copper_powder").use == "never"
    assert dust_advice("nontoxic_dust").use == "food contact only"
    assert {one.use for one in dust_table()} <= {"edible", "food contact only", "ask", "never"}
    with pytest.raises(UnknownName):
        dust_advice("moon_dust")


def test_damp_limits_name_their_sources() -> None:
    limits = {one.item: one.limit for one in damp_limits()}
    assert limits["meringue"] < limits["sugar_flowers"] < limits["fondant"] < limits["gold_leaf"]


def test_keepsakes_follow_their_fillings() -> None:
    jam = keepsake("top", (assess(SPONGE), assess(JAM)), None, None)
    assert jam.keepable is Keepable.YES
    curd = keepsake("top", (assess(SPONGE), assess(CURD), assess(BUTTERCREAM)), None, 4.0)
    assert curd.keepable is Keepable.LOSES
    assert curd.into_freezer_h == 4.0
    custard = keepsake("top", (assess(SPONGE), assess(replace(CURD, kind="pastry_cream"))), None, 4.0)
    assert custard.keepable is Keepable.NO
    assert custard.best_within_days == 0
    # A tier keeps as long as what keeps least in it: 60 days for the curd, 90 for the layers, 365 for jam (the table).
    assert (jam.best_within_days, curd.best_within_days) == (90, 60)
    assert jam.because == "everything in it stands freezing"
    assert "thaw in the fridge and stir" in curd.because


def test_chocolate_is_traced_to_its_parts() -> None:
    found = trace("ganache", ["milk_chocolate", "heavy_cream"])
    assert any(len(one.path) >= 3 for one in found)
    assert any(Allergen.MILK in one.contains for one in found)
    assert all(one.path[0] == "ganache" for one in found)


MILK, EGG, HAZEL = Allergen.MILK, Allergen.EGG, Allergen.HAZELNUT


def made(key: str, *contains: Allergen, free: tuple[Allergen, ...] = (), unknown: tuple[Allergen, ...] = ()) -> Make:
    return Make(
        key=key, name=key, contains=frozenset(contains), unknown=frozenset(unknown), keep_free_of=frozenset(free)
    )


def test_free_from_goes_first_and_nuts_last_without_a_clean_down() -> None:
    steps = order_of_work(
        [made("praline", HAZEL), made("vegan", free=(MILK, EGG)), made("vanilla", MILK, EGG, free=(HAZEL,))]
    )
    assert [one.key for one in steps] == ["vegan", "vanilla", "praline"]
    assert all(not one.clean_before for one in steps)
    assert [one.box_before for one in steps] == [False, True, True], "boxed before milk or nuts are opened"
    nobody_minds = order_of_work([made("vanilla", MILK), made("praline", HAZEL)])
    assert not any(one.box_before for one in nobody_minds)


def test_what_is_unknown_dirties_and_does_not_excuse() -> None:
    maybe = made("maybe", unknown=(HAZEL,))
    clean = made("clean", free=(HAZEL,))
    assert not may_follow(maybe, clean)
    assert may_follow(clean, maybe)
    assert [one.key for one in order_of_work([maybe, clean])] == ["clean", "maybe"]


def test_two_that_must_not_meet_need_one_clean_down() -> None:
    steps = order_of_work([made("a", HAZEL, free=(MILK,)), made("b", MILK, free=(HAZEL,))])
    assert sum(bool(one.clean_before) for one in steps) == 1
    with pytest.raises(OutOfRange):
        order_of_work([made(str(i)) for i in range(15)])


def clean_downs(order: tuple[Make, ...]) -> int:
    """Count the clean-downs of an order, stated anew."""
    dirty: frozenset[Allergen] = frozenset()
    count = 0
    for one in order:
        wrong = bool(dirty & one.keep_free_of)
        count += wrong
        dirty = one.contains if wrong else dirty | one.contains
    return count


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(st.sets(st.sampled_from([MILK, EGG, HAZEL])), st.sets(st.sampled_from([MILK, EGG, HAZEL]))),
        min_size=1,
        max_size=5,
    )
)
def test_the_order_is_as_clean_as_the_best_of_all(parts: list[tuple[set[Allergen], set[Allergen]]]) -> None:
    makes = [made(str(i), *has, free=tuple(free)) for i, (has, free) in enumerate(parts)]

    steps = order_of_work(makes)
    assert {one.key for one in steps} == {one.key for one in makes}
    assert sum(bool(one.clean_before) for one in steps) == min(map(clean_downs, permutations(makes)))


def test_stays_are_checked() -> None:
    with pytest.raises(ValueError, match="end after"):
        stay(Place.BENCH, 2.0, 2.0, 20.0)
    with pytest.raises(OutOfRange):
        stay(Place.BENCH, 0.0, 1.0, 80.0)
    assert stay(Place.BENCH, 0.0, 1.5, 20.0).hours == 1.5
    assert hour(0.0) == NOON


@pytest.mark.skipif(not compiled_available(), reason="no numba")
@pytest.mark.parametrize("solver", [Solver.AUTO, Solver.COMPILED])
def test_a_compiled_walk_is_the_walk_as_written(solver: Solver) -> None:
    # On the rack, frozen, thawed in damp air that wets it, in weather with sun and gusts, and in the calm of a box.
    windy = tuple(
        Hour(at=hour(30.0 + h), air_c=22.0 + 3.0 * h, humidity=0.9 - 0.1 * h, sun_w_m2=250.0 * h, wind_m_s=wind)
        for h, wind in enumerate((0.5, 4.0, None, 2.0))
    )
    life = (
        stay(Place.RACK, 0.0, 2.0, 21.0, 0.5),
        stay(Place.FREEZER, 2.0, 20.0, -18.0, 0.8),
        stay(Place.VENUE, 20.0, 30.0, 31.0, 0.9),
        stay(Place.OUTDOORS, 30.0, 32.0, 25.0, 0.5, light="full", weather=windy),
        stay(Place.VENUE, 32.0, 33.0, 25.0, 0.5, cover="card_box"),
    )
    for number in (1, 2):
        one = tier(number, 200.0)
        fast, plain = (walk(one, ALL, life, COLD, solver=which) for which in (solver, Solver.PLAIN))
        assert len(fast.hours) == len(plain.hours)
        assert max(fast.water_side_g_m2) > 10.0
        # What dries in the wind cools its coat towards the wet bulb, not below it.
        assert min(fast.coat_top.celsius[-60:]) > 15.0
        for name in ("centre", "coat_side", "coat_top", "coat_facing", "coldest", "warmest", "filling_warmest", "mean"):
            assert getattr(fast, name).celsius == pytest.approx(getattr(plain, name).celsius, abs=1e-8), name
        assert fast.water_top_g_m2 == pytest.approx(plain.water_top_g_m2, abs=1e-8)


def test_a_walk_that_waits_for_a_temperature_ends_where_the_whole_one_passes_it() -> None:
    one, fridge = tier(1, 200.0, of=1), stay(Place.FRIDGE, 0.0, 12.0, 4.0, 0.8)
    walkers = [Walker(one, ALL) for _ in range(2)]
    for walker in walkers:
        walker.begin(Start(sponge_c=21.0, filling_c=21.0, coat_c=21.0))
    walkers[0].walk(fridge)
    whole = walkers[0].line()
    at_h = walkers[1].walk_until(fridge, pieces.CENTRE, 10.0, 12.0, falls=True)
    assert at_h is not None
    assert whole.at(at_h, whole.centre) == pytest.approx(10.0, abs=1e-9)
    assert walkers[1].line().hours[-1] < whole.hours[-1]
    # It was passed before, and never rises that far.
    assert walkers[1].walk_until(fridge, pieces.CENTRE, 10.0, 12.0, falls=True) == 0.0
    assert walkers[1].walk_until(fridge, pieces.CENTRE, 30.0, 12.0, falls=False) is None


@pytest.mark.skipif(not compiled_available(), reason="no numba")
def test_whole_numbers_are_not_compiled_anew() -> None:
    assert warm_up()
    known = len(pieces.walking(Solver.COMPILED).signatures)  # type: ignore[attr-defined]
    whole = replace(tier(1, 200.0, of=1), open_top=1, coat_mm=5)
    walker = Walker(whole, ALL, solver=Solver.COMPILED)
    walker.begin(Start(sponge_c=20, filling_c=20, coat_c=20))
    walker.walk(stay(Place.VENUE, 0, 1, 30, 0, air_speed_m_s=1))
    walker.walk_until(stay(Place.FRIDGE, 0, 12, 4, 0), pieces.CENTRE, 15, 12, falls=True)
    assert len(pieces.walking(Solver.COMPILED).signatures) == known == 1  # type: ignore[attr-defined]
