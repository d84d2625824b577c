"""The engine on layered bodies: balances, sequences, freezing, pans, other solvers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import OutOfRange
from tierwright.heat import (
    Band,
    Body,
    Grid,
    Material,
    Solver,
    Surroundings,
    Wall,
    compiled_available,
    end_state,
    food,
    freezing_point_c,
    oswin_activity,
    part_property,
    simulate,
    solid,
    vapour_from_humidity_pa,
    warm_up_solver,
)
from tierwright.larder import Composition

CRUMB = Composition(water_g=31.0, carbohydrate_g=47.0, fat_g=14.5, protein_g=6.0, ash_g=1.5)
ALUMINIUM = solid("aluminium", density_kg_m3=2700.0, heat_capacity_j_kgk=900.0, conductivity_w_mk=200.0)
BOARD = solid("board", density_kg_m3=700.0, heat_capacity_j_kgk=1400.0, conductivity_w_mk=0.10)
SPONGE = food("sponge", CRUMB, density_kg_m3=450.0, diffusivity_m2_s=5.0e-8)
BUTTERCREAM = food(
    "buttercream",
    Composition(water_g=12.0, carbohydrate_g=45.0, fat_g=42.0, protein_g=0.5, ash_g=0.5),
    density_kg_m3=850.0,
)
needs_numba = pytest.mark.skipif(not compiled_available(), reason="no numba")
solvers = [Solver.PLAIN, pytest.param(Solver.COMPILED, marks=needs_numba)]


def tier() -> Body:
    layer, filling = Band(material=SPONGE, thickness_mm=28.0), Band(material=BUTTERCREAM, thickness_mm=6.0)
    return Body(
        radius_mm=100.0,
        bands=(Band(material=BOARD, thickness_mm=10.0), layer, filling, layer, filling),
        coat=BUTTERCREAM,
        coat_mm=6.0,
        rings=10,
    )


FRIDGE = Surroundings(
    name="fridge", duration_s=4 * 3600.0, air_c=4.0, h_top=6.0, h_side=6.0, h_bottom=3.0, step_s=120.0
)
VAN = Surroundings(
    name="van in a box",
    duration_s=3600.0,
    air_c=24.0,
    h_top=3.0,
    h_side=3.0,
    h_bottom=1.0,
    exchange=0.0,
    cover_top_m2k_w=0.2,
    cover_side_m2k_w=0.2,
    step_s=60.0,
)
TABLE = Surroundings(name="table", duration_s=2 * 3600.0, air_c=26.0, h_top=4.0, h_side=4.0, h_bottom=1.0, step_s=60.0)
FREEZER = replace(FRIDGE, name="freezer", air_c=-18.0, duration_s=10 * 3600.0)


def panful() -> Body:
    batter = food(
        "batter",
        Composition(water_g=35.0, carbohydrate_g=45.0, fat_g=13.5, protein_g=5.0, ash_g=1.5),
        density_kg_m3=850.0,
        diffusivity_m2_s=5.0e-8,
        rise=1.75,
    )
    return Body(
        radius_mm=100.0,
        bands=(Band(material=batter, thickness_mm=20.0, cells=12),),
        wall=Wall(material=ALUMINIUM, thickness_mm=1.0, height_mm=50.0),
        rings=10,
        thin_top=True,
    )


OVEN = Surroundings(
    name="oven",
    duration_s=30 * 60.0,
    air_c=177.0,
    h_top=4.0,
    h_side=8.0,
    h_bottom=8.0,
    vapour_pa=5000.0,
    open_top=True,
    in_pan=True,
)
RACK_IN_PAN = replace(OVEN, name="rack, in its pan", air_c=22.0, vapour_pa=1300.0, duration_s=10 * 60.0)
RACK = replace(RACK_IN_PAN, name="rack, turned out", in_pan=False, duration_s=60 * 60.0, step_s=30.0)
DAY = (OVEN, RACK_IN_PAN, RACK, replace(FRIDGE, in_pan=False), TABLE)


@pytest.mark.parametrize("solver", solvers)
def test_heat_and_water_balance_from_oven_to_table(solver: Solver) -> None:
    heat, water = simulate(panful(), DAY, start=22.0, solver=solver, altitude_m=1420.0).closure()
    # Identities of the discretisation: only rounding is left.
    assert heat < 1e-10
    assert water < 1e-10


@pytest.mark.parametrize("solver", solvers)
def test_heat_balance_through_freezing(solver: Solver) -> None:
    assert simulate(tier(), (FRIDGE, FREEZER, VAN, TABLE), start=21.0, solver=solver).closure()[0] < 1e-10


@needs_numba
@pytest.mark.parametrize(
    ("body", "sequence"), [(panful(), DAY), (tier(), (FRIDGE, FREEZER, VAN, TABLE))], ids=["oven to table", "freezer"]
)
def test_compiled_march_gives_the_same_answers(body: Body, sequence: tuple[Surroundings, ...]) -> None:
    plain = simulate(body, sequence, start=21.0, solver=Solver.PLAIN, altitude_m=800.0)
    fast = simulate(body, sequence, start=21.0, solver=Solver.COMPILED, altitude_m=800.0)
    # The same sums in another order: rounding, grown by the number of steps.
    assert np.abs(plain.celsius - fast.celsius).max() < 1e-7
    assert np.abs(plain.moisture - fast.moisture).max() < 1e-9
    assert plain.balance == pytest.approx(fast.balance, rel=1e-6, abs=1e-9)


def test_without_numba_the_plain_solver_is_chosen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tierwright.heat.run.compiled_available", lambda: False)
    chosen = simulate(panful(), (OVEN,), start=22.0)
    plain = simulate(panful(), (OVEN,), start=22.0, solver=Solver.PLAIN)
    assert np.array_equal(chosen.celsius, plain.celsius)


def test_unsplit_solver_agrees_on_a_bake() -> None:
    split = simulate(panful(), (OVEN,), start=22.0, solver=Solver.PLAIN)
    whole = simulate(panful(), (OVEN,), start=22.0, solver=Solver.UNSPLIT)
    # Splitting at 10 s moves a core curve by less than a kelvin while it is steep.
    assert np.abs(split.core_curve(0.75) - whole.core_curve(0.75)).max() < 0.8


def test_one_run_is_its_parts_end_to_end() -> None:
    body = tier()
    whole = simulate(body, (FRIDGE, VAN), start=21.0, solver=Solver.PLAIN)
    first = simulate(body, (FRIDGE,), start=21.0, solver=Solver.PLAIN)
    second = simulate(body, (VAN,), start=end_state(first), solver=Solver.PLAIN)
    assert np.abs(whole.celsius[-1] - second.celsius[-1]).max() < 1e-9


@pytest.mark.parametrize("solver", solvers)
def test_what_rose_once_stays_risen_in_the_runs_that_follow(solver: Solver) -> None:
    # Out of the oven and through a room twice: in the last run nothing is as hot any more as it was in the others.
    body = panful()
    baked = simulate(body, (OVEN,), start=22.0, solver=solver)
    cooled = simulate(body, (replace(TABLE, in_pan=True),), start=end_state(baked), solver=solver)
    later = simulate(body, (replace(TABLE, in_pan=True),), start=end_state(cooled), solver=solver)
    assert later.celsius.max() < 40.0
    assert later.hottest == pytest.approx(np.maximum(baked.celsius.max(axis=0), cooled.celsius.max(axis=0)))
    assert later.heights_m[-1] == pytest.approx(cooled.heights_m[-1], rel=1e-9)


@pytest.mark.parametrize("solver", solvers)
def test_a_step_too_long_for_a_thin_part_is_halved_until_it_is_not(solver: Solver) -> None:
    # Ten minutes at once into an oven, undamped: metal overshoots the oven itself, and only shorter steps stay within.
    hasty = replace(OVEN, step_s=600.0, theta=0.5)
    seen = simulate(panful(), (hasty,), start=22.0, solver=solver)
    assert np.diff(seen.times_s).max() < 600.0
    assert seen.times_s[-1] == pytest.approx(OVEN.duration_s)
    assert seen.celsius.max() <= OVEN.air_c + 15.0
    assert seen.celsius.min() >= 22.0 - 15.0


@pytest.mark.parametrize("solver", solvers)
@pytest.mark.parametrize("share", [0.0, 0.4, 1.0])
def test_a_run_cut_short_within_its_last_step_still_balances(solver: Solver, share: float) -> None:
    whole = simulate(panful(), (OVEN,), start=22.0, solver=solver)
    before, last = whole.times_s[-2:].tolist()
    cut = whole.until(before + share * (last - before))
    assert cut.times_s[-1] == pytest.approx(before + share * (last - before))
    heat, water = cut.closure()
    assert heat < 1e-9
    assert water < 1e-9
    assert whole.water_kg() - whole.balance[-1, 3:].sum() - 1e-12 <= cut.water_kg() <= whole.water_kg() + 1e-12


def test_bands_start_at_their_own_temperatures() -> None:
    history = simulate(tier(), (FRIDGE,), start=(20.0, 4.0, 18.0, 4.0, 18.0), solver=Solver.PLAIN)
    assert history.band_range(1)[1][0] == pytest.approx(4.0)
    assert history.band_range(2)[2][0] == pytest.approx(18.0)


def test_everything_comes_to_the_temperature_of_the_room() -> None:
    long = replace(TABLE, duration_s=5 * 86400.0, step_s=1800.0)
    history = simulate(tier(), (long,), start=4.0, solver=Solver.PLAIN)
    assert history.celsius[-1] == pytest.approx(np.full(history.grid.shape, 26.0), abs=0.05)


def test_small_body_cools_like_newton_says() -> None:
    # Lumped: rho c V dT/dt = h A (T_air - T); Bi = 0.002, so Newton's law holds within 1 %.
    block = Body(radius_mm=20.0, bands=(Band(material=ALUMINIUM, thickness_mm=20.0, cells=6),), emissivity=0.0, rings=6)
    h = 10.0
    air = Surroundings(name="air", duration_s=1800.0, air_c=20.0, h_top=h, h_side=h, h_bottom=h, step_s=2.0, theta=0.5)
    history = simulate(block, (air,), start=80.0, solver=Solver.PLAIN)
    volume, area = np.pi * 0.02**2 * 0.02, 2 * np.pi * 0.02**2 + 2 * np.pi * 0.02 * 0.02
    rate = h * area / (2700.0 * 900.0 * volume)
    assert history.at(0.0, 0.5)[-1] == pytest.approx(20.0 + 60.0 * np.exp(-rate * 1800.0), abs=0.02)


def test_freezing_takes_the_latent_heat_out() -> None:
    # Heat to take a kilogram of solids with its water from +20 to -18 degC, from the handbook's parts by hand.
    body = Body(radius_mm=40.0, bands=(Band(material=SPONGE, thickness_mm=30.0),), rings=6)
    cold = Surroundings(
        name="blast", duration_s=40 * 3600.0, air_c=-18.0, h_top=20.0, h_side=20.0, h_bottom=20.0, step_s=60.0
    )
    history = simulate(body, (cold,), start=20.0, solver=Solver.PLAIN)
    assert history.celsius[-1].max() == pytest.approx(-18.0, abs=0.05)
    x, free, tf = SPONGE.water_dry_basis, SPONGE.free_water, SPONGE.freezing_c

    def solids(t: float) -> float:
        c = SPONGE.solid_heat_j_kgk
        return c[0] + t * (c[1] + t * (c[2] + t * c[3]))

    ice = free * (1.0 - tf / -18.0)
    warm = (solids(5.0) + x * part_property("water", "heat_capacity", 5.0)) * (20.0 - tf)
    frozen_cp = solids(-15.0) + (x - free) * part_property("water", "heat_capacity", -15.0)
    frozen_cp += free * part_property("ice", "heat_capacity", -15.0)
    expected = warm + frozen_cp * (tf + 18.0) + 333_550.0 * ice
    taken = -history.heat_j() / float(history.grid.dry.sum())
    # The heat capacity of the solids over 20 to -10 degC is taken at 5 degC in the sum by hand.
    assert taken == pytest.approx(expected, rel=0.01)


def test_plank_equation_for_a_frozen_slab() -> None:
    # Plank 1913: t = rho L / (Tf - Ta) (a / (2 h) + a^2 / (8 k)) for a slab whose water freezes at one temperature.
    # A gel near 0 degC is nearly that: 98 % water, latent heat 327 kJ/kg, k of ice about 2.2 W/(m K).
    gel = food(
        "gel",
        Composition(water_g=95.0, carbohydrate_g=5.0, fat_g=0.0, protein_g=0.0),
        density_kg_m3=1010.0,
        activity=0.9985,
    )
    thick = 0.020
    slab = Body(
        radius_mm=300.0, bands=(Band(material=gel, thickness_mm=1000 * thick, cells=20),), rings=4, emissivity=0.0
    )
    h = 50.0
    cold = Surroundings(name="plate", duration_s=4 * 3600.0, air_c=-30.0, h_top=h, h_side=0.0, h_bottom=h, step_s=5.0)
    history = simulate(slab, (cold,), start=gel.freezing_c + 0.01, solver=Solver.PLAIN)
    middle = history.at(0.0, 0.5)
    # Half of its free water is ice where T = 2 Tf, on Raoult's line.
    frozen = float(history.times_s[int(np.argmax(middle < 2.0 * gel.freezing_c))])
    wet_share = gel.free_water / (1 + gel.water_dry_basis)
    plank = 1010.0 * wet_share * 333_550.0 / (30.0 + gel.freezing_c) * (thick / (2 * h) + thick**2 / (8 * 2.15))
    # Plank leaves sensible heat out and freezes at a point: good to 15 % (ASHRAE Refrigeration 2006, ch. 10).
    assert frozen == pytest.approx(plank, rel=0.15)


# ASHRAE Handbook Refrigeration 2006, ch. 9, table 3: initial freezing points; water activity by the same handbook's
# relation is 1 at 0 degC. Values of ice and supercooled water: 0.953 at -5, 0.907 at -10, 0.823 at -20 degC
# (Koop et al. 2000 and Murphy and Koop 2005 agree to 0.002).
@pytest.mark.parametrize(("activity", "celsius"), [(0.953, -5.0), (0.907, -10.0), (0.823, -20.0)])
def test_freezing_point_from_water_activity(activity: float, celsius: float) -> None:
    assert freezing_point_c(activity) == pytest.approx(celsius, abs=0.25)


def test_oswin_at_two_moistures() -> None:
    # By hand: 1/(1+(0.10/0.54)^(1/0.66)) and the half at X = a.
    assert oswin_activity(0.54) == pytest.approx(0.928, abs=1e-3)
    assert oswin_activity(0.10) == pytest.approx(0.5)


def test_box_and_strip_slow_the_warming() -> None:
    bare = replace(VAN, cover_top_m2k_w=0.0, cover_side_m2k_w=0.0)
    boxed, open_ = (simulate(tier(), (one,), start=4.0, solver=Solver.PLAIN) for one in (VAN, bare))
    assert boxed.celsius[-1].mean() < open_.celsius[-1].mean() - 0.5


def test_sun_warms_what_it_shines_on() -> None:
    sunny = replace(TABLE, sun_top_w_m2=150.0)
    lit, shade = (simulate(tier(), (one,), start=4.0, solver=Solver.PLAIN) for one in (sunny, TABLE))
    assert lit.surface_range()[1][-1] > shade.surface_range()[1][-1] + 3.0


def test_profile_replaces_the_steady_air() -> None:
    ramp = replace(TABLE, profile=((0.0, 20.0), (7200.0, 30.0)))
    steady = replace(TABLE, air_c=25.0)
    one, other = (simulate(tier(), (s,), start=4.0, solver=Solver.PLAIN) for s in (ramp, steady))
    # The same mean air, but the warm part last: a body that lags remembers the end best.
    assert other.celsius[-1].mean() < one.celsius[-1].mean() < other.celsius[-1].mean() + 2.0


def test_turned_out_cake_leaves_its_pan_behind() -> None:
    history = simulate(panful(), (OVEN, RACK_IN_PAN, RACK), start=22.0, solver=Solver.PLAIN)
    in_pan = int(np.searchsorted(history.times_s, 40 * 60.0 + 1.0))
    metal = history.celsius[in_pan + 5 :, -1, 5]
    # Once its own differences have evened out, nothing cools it.
    assert np.ptp(metal) < 1e-3
    assert history.at(0.0, 0.5)[-1] < history.at(0.0, 0.5)[in_pan] - 20.0


def test_hot_cake_dries_on_the_rack() -> None:
    history = simulate(panful(), (OVEN, RACK_IN_PAN, RACK), start=22.0, solver=Solver.PLAIN)
    oven_steps = int(np.searchsorted(history.times_s, 1800.0))
    later = history.balance[oven_steps:, 3:].sum()
    assert 0.0 < later < 0.35 * history.balance[:oven_steps, 3:].sum()


@settings(max_examples=15, deadline=None)
@given(air=st.floats(-25.0, 45.0), start=st.floats(-15.0, 30.0), h=st.floats(1.0, 40.0))
def test_no_cell_passes_the_temperatures_around_it(air: float, start: float, h: float) -> None:
    around = Surroundings(name="a", duration_s=2 * 3600.0, air_c=air, h_top=h, h_side=h, h_bottom=h, step_s=60.0)
    field = simulate(tier(), (around,), start=start, solver=Solver.PLAIN).celsius
    assert np.isfinite(field).all()
    # A split step overshoots a little at the corners when it is long for the thinnest cell (3 mm of coat).
    assert field.min() >= min(air, start) - 0.1 - 0.01 * abs(air - start)
    assert field.max() <= max(air, start) + 0.1 + 0.01 * abs(air - start)


def test_grid_keeps_the_mass_of_the_body() -> None:
    grid = Grid(tier())
    volume = np.pi * 0.1**2
    sponge = float(grid.dry[(grid.band == 1) | (grid.band == 3)].sum()) * (1 + SPONGE.water_dry_basis)
    assert sponge == pytest.approx(450.0 * volume * 0.056, rel=1e-12)


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="thickness"):
        Band(material=SPONGE, thickness_mm=500.0)
    with pytest.raises(OutOfRange, match="radius"):
        Body(radius_mm=5.0, bands=(Band(material=SPONGE, thickness_mm=20.0),))
    with pytest.raises(ValueError, match="at least one band"):
        Body(radius_mm=50.0, bands=())
    with pytest.raises(OutOfRange, match="humidity"):
        vapour_from_humidity_pa(20.0, 1.2)
    with pytest.raises(OutOfRange, match="air temperature"):
        replace(TABLE, air_c=500.0)
    with pytest.raises(OutOfRange, match="water activity"):
        freezing_point_c(0.5)


@needs_numba
def test_solver_can_be_warmed_up() -> None:
    assert warm_up_solver()


def test_material_is_a_value() -> None:
    assert isinstance(SPONGE, Material)
    assert SPONGE.dry_density_kg_m3 == pytest.approx(450.0 * 0.69)
