"""Pots of syrup: laws, kitchen sense and refusals."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import Infeasible, MissingData, OutOfRange, UnknownName
from tierwright.sugar import (
    Burner,
    CrystalRisk,
    Flow,
    Line,
    Mix,
    Pan,
    Thermometer,
    boil_down,
    boiling_c,
    crystal_risk,
    find_target,
    glucose_syrup,
    joined,
    mix_of,
    plan_syrup,
    reading_at,
    solids_at,
    stage_near,
    stages,
    sugar_and_water,
    sugar_kinds,
    syrup_state,
    syrup_use,
    syrup_uses,
    water_activity,
)
from tierwright.sugar.boiling import highest_share
from tierwright.water import SEA_LEVEL_PA, air_pressure_pa, boiling_point_c, saturation_pressure_pa

pressures = st.floats(min_value=50_000.0, max_value=108_000.0)
shares = st.floats(min_value=0.05, max_value=0.96)


def pot(sugar: float = 300, water: float = 100, **more: float) -> Mix:
    lines = [Line(ingredient="sugar", grams=sugar), Line(ingredient="water", grams=water)]
    return mix_of(lines + [Line(ingredient=key.replace("_", "-"), grams=grams) for key, grams in more.items()])


@given(share=shares, pressure=pressures, syrup=st.floats(min_value=0, max_value=150), honey=st.floats(0, 60))
@settings(max_examples=60, deadline=None)
def test_the_inverse_gives_back_the_solids(share: float, pressure: float, syrup: float, honey: float) -> None:
    mix = pot(300, 100, glucose_syrup=syrup, honey=honey).at_share(share)
    assert solids_at(mix, boiling_c(mix, pressure), pressure) == pytest.approx(share, abs=1e-6)


@given(share=shares, pressure=pressures, syrup=st.floats(0, 150), salt=st.floats(0, 5))
@settings(max_examples=60, deadline=None)
def test_a_boiling_pot_balances_the_air(share: float, pressure: float, syrup: float, salt: float) -> None:
    # The definition, with the scalar IAPWS line in place of the spline that whole arrays go through.
    mix = pot(300, 100, glucose_syrup=syrup, salt=salt).at_share(share)
    celsius = boiling_c(mix, pressure)
    pairs = [(part.solute, part.grams) for part in mix.dissolved]
    over_the_pot = float(water_activity(pairs, mix.water_g, celsius, mix.salt_g)) * saturation_pressure_pa(celsius)
    assert over_the_pot == pytest.approx(pressure, rel=1e-8)


@given(low=shares, high=shares, pressure=pressures)
@settings(max_examples=60, deadline=None)
def test_stronger_pots_never_boil_cooler_and_thinner_air_never_hotter(low: float, high: float, pressure: float) -> None:
    low, high = sorted((low, high))
    mix = pot()
    assert boiling_c(mix.at_share(low), pressure) <= boiling_c(mix.at_share(high), pressure) + 1e-9
    assert boiling_c(mix.at_share(high), pressure * 0.95) < boiling_c(mix.at_share(high), pressure)


@given(
    sugar=st.floats(min_value=50, max_value=5000),
    wetness=st.floats(min_value=0.25, max_value=2.0),
    share=st.floats(min_value=0.82, max_value=0.96),
    altitude=st.floats(min_value=-400, max_value=4000),
    cream=st.floats(min_value=0, max_value=500),
)
@settings(max_examples=40, deadline=None)
def test_heat_and_mass_are_conserved(sugar: float, wetness: float, share: float, altitude: float, cream: float) -> None:
    mix = pot(sugar, sugar * wetness, cream=cream)
    cook = boil_down(mix, share, air_pressure_pa(altitude), pan=Pan(), burner=Burner(power_w=2000))
    account = cook.account
    spent = account.syrup_j + account.steam_j + account.pan_j + account.room_j
    assert account.supplied_j == pytest.approx(spent, rel=1e-9)
    assert cook.yield_g + cook.water_off_g == pytest.approx(mix.total_g, rel=1e-12)
    assert cook.total_min.low <= cook.total_min.value <= cook.total_min.high


@given(share=st.floats(min_value=0.0, max_value=1.0))
@settings(max_examples=30, deadline=None)
def test_inversion_conserves_mass_and_lowers_no_boiling_point(share: float) -> None:
    mix = pot(300, 100)
    split = mix.inverted(share)
    assert split.total_g == pytest.approx(mix.total_g, rel=1e-12)
    assert boiling_c(split, SEA_LEVEL_PA) >= boiling_c(mix, SEA_LEVEL_PA) - 1e-9


def test_inversion_gain_is_the_arithmetic_of_the_molecules() -> None:
    # 2 x 180.16 / 342.30 = 1.0526 g of invert from a gram of sucrose.
    mix = pot(100, 100).inverted(1.0)
    assert mix.grams_of("glucose") + mix.grams_of("fructose") == pytest.approx(99.95 * 1.0526, abs=0.01)


def test_the_latent_heat_dominates_a_long_boil() -> None:
    # Steam tables: a kilogram of water at the boil takes 2256 kJ; boiling off 500 g takes 1.13 MJ and a little more.
    cook = boil_down(pot(300, 700), 0.60, SEA_LEVEL_PA, pan=Pan(), burner=Burner())
    assert cook.water_off_g == pytest.approx(500, abs=1)
    assert cook.account.steam_j == pytest.approx(cook.water_off_g * (2256.5 + 419), rel=0.005)


def test_a_kettle_check_of_the_heating_time() -> None:
    # 1 kg of nearly plain water from 20 to 100 C takes 334 kJ; with a steel pan of 1.2 kg, 48 kJ more, at 1050 W net,
    # of which the pan's side loses 3 % on the way.
    cook = boil_down(pot(2, 998), 0.0021, SEA_LEVEL_PA, pan=Pan(), burner=Burner(power_w=1500))
    assert cook.heating_min.value == pytest.approx((334 + 48) / 1.05 / 0.97 / 60, rel=0.01)


def test_the_thermometers_offset_moves_the_target() -> None:
    # Denver's mile boils water at 94.6 C; a thermometer that shows 96.6 there reads about 2 C high at 112 C.
    pressure = air_pressure_pa(1609.3)
    reading = reading_at(112.0, Thermometer(boiling_reading_c=96.62), pressure)
    assert reading.value == pytest.approx(114.0, abs=0.02)
    assert reading.low <= reading.value < reading.high
    # With the proportional error it would show 112 + 2 x 92 / 74.6.
    assert reading.high == pytest.approx(112 + 2 * 92 / 74.62 + 0.5, abs=0.02)


def test_two_points_fix_slope_and_offset() -> None:
    # Reads 1 in ice and 103 in boiling water at 100: 112 C shows as 1 + 112 x 102/100.
    pressure = 101_418.0  # IAPWS: water boils at 100.000 C
    reading = reading_at(112.0, Thermometer(boiling_reading_c=103.0, ice_reading_c=1.0), pressure)
    assert reading.value == pytest.approx(1 + 112 * 1.02, abs=0.01)


def test_a_thermometer_that_is_ten_degrees_off_is_refused() -> None:
    with pytest.raises(OutOfRange, match="reading in boiling water"):
        reading_at(112.0, Thermometer(boiling_reading_c=111.0), SEA_LEVEL_PA)


def test_glucose_syrup_makes_graining_less_likely() -> None:
    plain = crystal_risk(pot(300, 100).at_share(0.87))
    doctored = crystal_risk(pot(200, 100, glucose_syrup=150).at_share(0.87))
    thin = crystal_risk(pot(100, 100))
    acid = crystal_risk(pot(300, 100, glucose_syrup=30).at_share(0.87), acid=True)
    assert (plain.risk, doctored.risk, thin.risk) == (CrystalRisk.HIGH, CrystalRisk.LOW, CrystalRisk.NONE)
    assert acid.risk is CrystalRisk.MODERATE
    # Charles: 66.6 % at 20 C for pure sucrose.
    assert plain.clear_up_to_share == pytest.approx(0.666, abs=0.001)


def test_soaking_syrups_are_thin_and_keep_clear() -> None:
    state = syrup_state(sugar_and_water(100, 100))
    assert state.solids_share == pytest.approx(0.50, abs=0.001)
    assert state.flow is Flow.THIN
    assert state.crystals.risk is CrystalRisk.NONE
    # NBS Circular 440: 1.22957 g/ml at 50 %.
    assert state.density_g_ml == pytest.approx(1.2296, abs=5e-4)


def test_a_glucose_syrup_of_low_de_boils_cooler_than_one_of_high_de() -> None:
    # Fewer, larger molecules: 26 DE raises the boil less than 63 DE at the same solids.
    def boils(de: float) -> float:
        return boiling_c(joined(glucose_syrup(100, de=de, solids_share=0.8), pot(1, 1)).at_share(0.8), SEA_LEVEL_PA)

    assert boils(26) < boils(42) < boils(63)


@pytest.mark.parametrize("altitude_m", [0.0, 1420.0, 3000.0])
def test_boiling_stages_come_down_with_height_and_heat_stages_do_not(altitude_m: float) -> None:
    for row in stages().values():
        mix = mix_of(
            [
                Line(ingredient="isomalt" if row.key == "isomalt" else "sugar", grams=300),
                Line(ingredient="water", grams=90),
            ]
        )
        target = find_target(mix, altitude_m=altitude_m, stage_key=row.key)
        if not row.boils:
            assert target.true_c.value == (row.low_c + row.high_c) / 2
            assert target.solids_share is None
            continue
        fall = boiling_point_c(SEA_LEVEL_PA) - boiling_point_c(air_pressure_pa(altitude_m))
        # Clausius and Clapeyron: at a hotter boil the same fall of pressure is worth more degrees, as the square of the
        # absolute temperature; a tenth more for the falling latent heat and the drop's own curvature.
        hotter = ((target.sea_level_c + 273.15) / (boiling_point_c(SEA_LEVEL_PA) + 273.15)) ** 2
        drop = target.sea_level_c - target.true_c.value
        assert fall - 1e-6 <= drop <= 1.1 * fall * hotter + 1e-6
        assert target.stage_low_c < target.true_c.value < target.stage_high_c
        # The same water is left, wherever it is boiled.
        sea = find_target(mix, altitude_m=0.0, stage_key=row.key)
        assert target.solids_share == pytest.approx(sea.solids_share, abs=1e-9)


def test_plan_of_a_meringue_syrup_in_the_boathouse_kitchen() -> None:
    plan = plan_syrup(
        [Line(ingredient="sugar", grams=400), Line(ingredient="water", grams=120)],
        altitude_m=1420.0,
        sea_level_c=(242 - 32) / 1.8,
        thermometer=Thermometer(boiling_reading_c=95.25),
    )
    assert plan.cook is not None
    assert plan.target.true_c.value == pytest.approx(111.6, abs=0.3)
    assert plan.cook.yield_g + plan.cook.water_off_g == pytest.approx(520)
    assert {caution.step for caution in plan.notes.cautions} == {"pot"}
    assert {figure.key for figure in plan.notes.figures} >= {"syrup.syrup.target_c", "syrup.syrup.reading_c"}
    assert not [question for question in plan.notes.questions if question.key.endswith("thermometer")]


@pytest.mark.parametrize("altitude_m", [0.0, 1420.0])
@pytest.mark.parametrize("key", sorted(syrup_uses()))
def test_every_usual_pot_can_be_planned(key: str, altitude_m: float) -> None:
    use = syrup_use(key)
    lines = use.lines_for(500.0)
    assert sum(line.grams for line in lines) == pytest.approx(500.0)
    if not use.is_boiled_down:
        state = syrup_state(mix_of(lines))
        assert 0.4 < state.solids_share < 0.7
        return
    plan = plan_syrup(
        lines,
        altitude_m=altitude_m,
        stage_key=use.stage_key,
        sea_level_c=use.sea_level_c,
        solids_share=use.solids_share,
    )
    assert plan.cook is None or plan.cook.water_off_g + plan.cook.yield_g == pytest.approx(500.0)
    assert plan.notes.cautions


def test_caramel_counts_off_the_water_before_it_colours() -> None:
    plan = plan_syrup(
        [Line(ingredient="sugar", grams=300), Line(ingredient="water", grams=90)], altitude_m=0.0, stage_key="caramel"
    )
    assert plan.target.solids_share is None
    assert plan.cook is not None
    # At 150 C about 2.9 % of water is left beside the sugar: 300 / 0.971 = 309 g in the pot.
    assert plan.cook.yield_g == pytest.approx(309, abs=2)
    assert any(caution.key.endswith("caramel") for caution in plan.notes.cautions)


def test_an_unchecked_thermometer_is_asked_about_and_honey_is_kept_from_babies() -> None:
    plan = plan_syrup(
        [Line(ingredient="honey", grams=100), Line(ingredient="sugar", grams=300), Line(ingredient="water", grams=100)],
        altitude_m=0.0,
        stage_key="hard-ball",
    )
    assert any(question.key.endswith("thermometer") for question in plan.notes.questions)
    assert any("babies" in caution.text for caution in plan.notes.cautions)


def test_every_sugar_and_every_stage_names_its_source() -> None:
    assert all(row.source for row in sugar_kinds().values())
    assert all(row.source.text for row in stages().values())
    for row in sugar_kinds().values():
        total = row.water + sum(share for _, share in row.shares) + row.polymer + row.salt + row.inert
        # Shares of a natural product add up to its mass within the minor parts that no row names.
        assert total == pytest.approx(1.0, abs=0.006), row.key


def test_temperatures_between_stages_are_named_so() -> None:
    assert stage_near(117.0) == "between soft ball and firm ball"
    assert stage_near(114.0) == "soft ball"
    assert stage_near(103.0) == "thinner than thread"
    assert stage_near(185.0) == "past caramel"


class TestRefusals:
    def test_unknown_sugar(self) -> None:
        with pytest.raises(UnknownName, match="no sugar is called 'suger'") as caught:
            mix_of([Line(ingredient="suger", grams=100)])
        assert "sugar" in caught.value.nearest

    def test_negative_water(self) -> None:
        with pytest.raises(OutOfRange, match="water is -5 g"):
            sugar_and_water(100, -5)

    @pytest.mark.parametrize("grams", [float("nan"), float("inf")])
    def test_numbers_that_are_none(self, grams: float) -> None:
        with pytest.raises(OutOfRange):
            sugar_and_water(grams, 50)

    def test_no_sugar_at_all(self) -> None:
        with pytest.raises(MissingData):
            mix_of([Line(ingredient="water", grams=100)])

    @pytest.mark.parametrize("altitude_m", [-501.0, 6001.0])
    def test_height_outside_the_span(self, altitude_m: float) -> None:
        with pytest.raises(OutOfRange, match="altitude"):
            find_target(pot(), altitude_m=altitude_m, stage_key="soft-ball")

    def test_above_the_breakdown_of_sugar(self) -> None:
        with pytest.raises(OutOfRange, match="breakdown"):
            find_target(pot(), altitude_m=0.0, sea_level_c=200.0)

    def test_honey_does_not_become_caramel(self) -> None:
        with pytest.raises(OutOfRange, match="breakdown"):
            find_target(pot(300, 100, honey=50), altitude_m=0.0, stage_key="caramel")

    def test_colder_than_boiling_water(self) -> None:
        with pytest.raises(OutOfRange):
            find_target(pot(), altitude_m=0.0, sea_level_c=95.0)

    def test_solids_beyond_the_source(self) -> None:
        with pytest.raises(OutOfRange, match="solids"):
            find_target(pot(), altitude_m=0.0, solids_share=0.99)

    def test_a_pot_that_already_holds_more(self) -> None:
        with pytest.raises(OutOfRange, match="add water"):
            plan_syrup(
                [Line(ingredient="sugar", grams=900), Line(ingredient="water", grams=60)],
                altitude_m=0.0,
                stage_key="soft-ball",
            )

    def test_two_wishes_at_once_or_none(self) -> None:
        with pytest.raises(MissingData):
            find_target(pot(), altitude_m=0.0, stage_key="soft-ball", solids_share=0.85)
        with pytest.raises(MissingData):
            find_target(pot(), altitude_m=0.0)

    def test_unknown_stage_and_burner(self) -> None:
        with pytest.raises(UnknownName, match="nearest: soft-ball"):
            find_target(pot(), altitude_m=0.0, stage_key="softball")
        with pytest.raises(UnknownName):
            boil_down(pot(), 0.85, SEA_LEVEL_PA, pan=Pan(), burner=Burner(kind="campfire"))

    def test_a_burner_that_cannot_outrun_the_loss(self) -> None:
        with pytest.raises(Infeasible, match="stronger burner"):
            boil_down(pot(), 0.85, SEA_LEVEL_PA, pan=Pan(diameter_mm=500, height_mm=400), burner=Burner(power_w=200))


@given(salt=st.floats(1.0, 200.0), sugar=st.floats(10.0, 500.0))
def test_a_salted_pot_is_computed_no_further_than_its_water_holds_the_salt(salt: float, sugar: float) -> None:
    # 6.15 mol of 58.443 g in a kilogram of water is a solution saturated at 25 C (Robinson and Stokes).
    mix = replace(sugar_and_water(sugar, 100.0), salt_g=salt)
    strongest = mix.at_share(highest_share(mix))
    molal = salt / 58.443 / (strongest.water_g / 1000.0)
    assert molal <= 6.15
    assert strongest.solids_share <= 0.98 * (1 + 1e-12)
    assert molal == pytest.approx(6.15, rel=1e-6) or strongest.solids_share == pytest.approx(0.98, rel=1e-6)
