"""Columns, tipping, sliding, lifting and shut-in air against handbooks, closed forms and public guidance."""

from __future__ import annotations

from math import atan, cos, pi, sin, tan

import numpy as np
import pytest

from tierwright.support.air import air_growth
from tierwright.support.column import (
    EFFECTIVE_LENGTH,
    Ends,
    Section,
    bearing_pressure_mpa,
    buckling_load_n,
    wrinkling_load_n,
)
from tierwright.support.hands import FILTER_KG, plan_lift, recommended_weight_kg
from tierwright.support.plate import spread_radius_mm
from tierwright.support.stack import cornering_g, rod_sway_mm, slides_at_g, tips_at_g, tips_at_slope_rad
from tierwright.support.tables import drives, friction, materials

PSI = 0.006894757293168361  # MPa


def test_euler_for_a_slender_support() -> None:
    # Euler: pi^2 E I / L^2 with I = pi d^4 / 64; yellow birch, 6.35 mm, 300 mm.
    inertia = pi * 6.35**4 / 64
    found = buckling_load_n(Section(outer_mm=6.35), length_mm=300.0, modulus_mpa=13900.0, crush_mpa=56.3)
    assert found == pytest.approx(pi**2 * 13900.0 * inertia / 300.0**2, rel=1e-12)


def test_johnson_for_a_stocky_column() -> None:
    # Steel bar 1 in round, 20 in long, pinned: E 30e6 psi, Sy 40e3 psi. k = 0.25 in, L / k = 80 < sqrt(2 pi^2 E / Sy)
    # = 121.7, so P = A (Sy - (Sy L / (2 pi k))^2 / E) = 0.7854 (40000 - (40000 80 / 2 pi)^2 / 30e6) = 24,625 lbf.
    by_hand = pi / 4 * (40e3 - (40e3 * 80 / (2 * pi)) ** 2 / 30e6) * 4.4482216152605
    found = buckling_load_n(Section(outer_mm=25.4), length_mm=508.0, modulus_mpa=30e6 * PSI, crush_mpa=40e3 * PSI)
    assert by_hand == pytest.approx(24_625 * 4.4482216152605, rel=1e-3)
    assert found == pytest.approx(by_hand, rel=1e-9)


def test_euler_and_johnson_meet_at_half_the_crushing_strength() -> None:
    section = Section(outer_mm=6.0)
    modulus, crush = 11000.0, 40.0
    slenderness = (2 * pi**2 * modulus / crush) ** 0.5
    at = slenderness * section.gyration_mm
    for length in (at * (1 - 1e-9), at * (1 + 1e-9)):
        load = buckling_load_n(section, length_mm=length, modulus_mpa=modulus, crush_mpa=crush)
        assert load / section.area_mm2 == pytest.approx(crush / 2, rel=1e-6)


def test_swaying_top_has_a_quarter_of_the_load() -> None:
    # Fixed-free effective length 2 L (any column table): a quarter of Euler's load.
    assert EFFECTIVE_LENGTH == {Ends.HELD: 1.0, Ends.SWAY: 2.0}
    loads = [
        buckling_load_n(Section(outer_mm=4.0), length_mm=250.0, modulus_mpa=9000.0, crush_mpa=40.0, ends=ends)
        for ends in (Ends.HELD, Ends.SWAY)
    ]
    assert loads[1] == pytest.approx(loads[0] / 4, rel=1e-12)


def test_common_6_mm_wood_carries_tens_of_kilograms() -> None:
    # A 6 mm wooden support 125 mm long, span of dowel woods: well over ten kilograms even for the weakest.
    wood = materials()["wood"]
    loads_kg = [
        buckling_load_n(Section(outer_mm=6.0), length_mm=125.0, modulus_mpa=e, crush_mpa=c) / 9.80665
        for e, c in (
            (wood.modulus_mpa.low, wood.crush_mpa.low),
            (wood.modulus_mpa.value, wood.crush_mpa.value),
            (wood.modulus_mpa.high, wood.crush_mpa.high),
        )
    ]
    assert 25 < loads_kg[0] < loads_kg[1] < loads_kg[2] < 100


# USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), Table 5-3a (metric), 12 % moisture rows: modulus
# of rupture kPa, modulus of elasticity MPa, compression parallel and perpendicular to the grain kPa; as printed.
# Beside them Table 5-3b (inch-pound), which is rounded by itself: modulus in million psi, crushing in psi.
@pytest.mark.parametrize(
    ("key", "rupture", "elastic", "parallel", "across", "elastic_psi", "parallel_psi"),
    [
        ("yellow-birch", 114_000, 13_900, 56_300, 6_700, 2.01, 8170),
        ("paper-birch", 85_000, 11_000, 39_200, 4_100, 1.59, 5690),
        ("beech", 103_000, 11_900, 50_300, 7_000, 1.72, 7300),
        ("sugar-maple", 109_000, 12_600, 54_000, 10_100, 1.83, 7830),
        ("basswood", 60_000, 10_100, 32_600, 2_600, 1.46, 4730),
        ("yellow-poplar", 70_000, 10_900, 38_200, 3_400, 1.58, 5540),
    ],
)
def test_woods_of_the_wood_handbook(
    key: str, rupture: float, elastic: float, parallel: float, across: float, elastic_psi: float, parallel_psi: float
) -> None:
    wood = materials()[key]
    assert wood.bend_mpa.value == rupture / 1000
    assert wood.modulus_mpa.value == elastic
    assert wood.crush_mpa.value == parallel / 1000
    assert wood.bearing_mpa.value == across / 1000
    assert wood.modulus_mpa.value == pytest.approx(elastic_psi * 1e6 * PSI, rel=1e-2)
    assert wood.crush_mpa.value == pytest.approx(parallel_psi * PSI, rel=1e-2)
    # Spread: 1.28 standard deviations of the handbook's usual coefficients of variation (22 and 18 %).
    assert wood.modulus_mpa.low == pytest.approx(elastic * (1 - 1.2816 * 0.22), rel=5e-3)
    assert wood.crush_mpa.high == pytest.approx(parallel / 1000 * (1 + 1.2816 * 0.18), rel=5e-3)


def test_thin_tubes_wrinkle_by_the_shell_formula() -> None:
    # NASA SP-8007: R / t = 100 gives a knock-down of 1 - 0.901 (1 - exp(-10 / 16)) = 0.581 ...
    section = Section(outer_mm=20.1, wall_mm=0.1)
    knocked = 1 - 0.901 * (1 - np.exp(-10 / 16))
    found = wrinkling_load_n(section, modulus_mpa=1500.0)
    assert found == pytest.approx(0.6 * knocked * 1500.0 * 0.01 * section.area_mm2, rel=1e-9)
    assert wrinkling_load_n(Section(outer_mm=6.0), modulus_mpa=1500.0) == float("inf")


def test_bearing_of_a_tube_counts_only_its_wall() -> None:
    tube = bearing_pressure_mpa(Section(outer_mm=12.0, wall_mm=1.0), force_n=10.0)
    assert tube == pytest.approx(10.0 / (pi / 4 * (144 - 100)), rel=1e-12)
    spread = bearing_pressure_mpa(Section(outer_mm=12.0, wall_mm=1.0), force_n=10.0, spread_mm=5.0)
    assert spread == pytest.approx(10.0 / (pi / 4 * 22.0**2), rel=1e-12)


def test_equivalent_radius_of_a_force_on_a_plate() -> None:
    # Roark, 8th ed., section 11.1: 0.325 t for a point, the radius itself from half a thickness on.
    assert spread_radius_mm(0.0, 10.0) == pytest.approx(3.25, rel=1e-12)
    assert spread_radius_mm(5.0, 10.0) == 5.0


def test_block_on_a_ramp_tips_at_the_geometric_angle() -> None:
    # The centre of gravity stands over the edge: tan(angle) = b / h, exactly.
    for half, height in ((100.0, 200.0), (125.0, 150.0), (30.0, 10.0)):
        angle = tips_at_slope_rad(half, height)
        assert tan(angle) == pytest.approx(half / height, rel=1e-15)
        # Moments about the lower edge are in balance at that angle.
        assert height * sin(angle) - half * cos(angle) == pytest.approx(0.0, abs=1e-12)
        assert angle == atan(tips_at_g(half, height))


def test_published_rule_for_a_three_tier_stack() -> None:
    # 15, 20 and 25 cm tiers of 12.5 cm each, one density: as one rigid body it tips near 0.85 g.
    tiers = [(250.0, 62.5), (200.0, 187.5), (150.0, 312.5)]
    areas = [pi / 4 * d**2 for d, _ in tiers]
    height = sum(a * z for a, (_, z) in zip(areas, tiers, strict=True)) / sum(areas)
    assert height == pytest.approx(150.0, abs=6.0)
    assert tips_at_g(125.0, height) == pytest.approx(0.85, abs=0.03)
    # ... and slides long before, on a bare board at its friction of 0.3 to 0.4.
    assert slides_at_g(friction()["board-coat"].value.value) < 0.5 * tips_at_g(125.0, height)


def test_cargo_rule_of_the_united_states() -> None:
    # 49 CFR 393.102(a)(1): 0.8 g forward, 0.5 g rearward, 0.5 g lateral.
    rule = drives()["cargo-us"]
    assert (rule.forward_g.value, rule.rear_g, rule.side_g.value) == (0.8, 0.5, 0.5)


def test_bend_of_a_road() -> None:
    # v^2 / (g r): 50 km/h on 65 m, close to the side friction of tight streets.
    assert cornering_g(50.0, 65.0) == pytest.approx((50 / 3.6) ** 2 / (9.80665 * 65.0), rel=1e-12)


def test_cantilever_rod() -> None:
    # F h^3 / (3 E I), textbook cantilever: 1 N on 1 m of 10 mm steel rod bends 3.52 mm.
    found = rod_sway_mm(Section(outer_mm=10.0), force_n=1.0, height_mm=1000.0, modulus_mpa=193000.0)
    assert found == pytest.approx(3.52, abs=0.005)


# Applications Manual for the Revised NIOSH Lifting Equation, section 1.3: each multiplier's own table, metric.
@pytest.mark.parametrize(
    ("change", "multiplier"),
    [
        ({"reach_mm": 280.0}, 0.89),  # Table 1: H 28 cm
        ({"reach_mm": 400.0}, 0.63),  # H 40 cm
        ({"reach_mm": 600.0}, 0.42),  # H 60 cm
        ({"height_mm": 0.0}, 0.78),  # Table 2: V 0 cm
        ({"height_mm": 1500.0}, 0.78),  # V 150 cm
        ({"travel_mm": 400.0}, 0.93),  # Table 3: D 40 cm
        ({"travel_mm": 1000.0}, 0.87),  # D 100 cm
        ({"twist_degrees": 45.0}, 0.86),  # Table 4: A 45 degrees
        ({"twist_degrees": 90.0}, 0.71),
    ],
)
def test_lifting_equation_multipliers(change: dict[str, float], multiplier: float) -> None:
    best: dict[str, float] = {"reach_mm": 250.0, "coupling": 1.0}
    # Tables print two digits.
    assert recommended_weight_kg(**(best | change)) / 23.0 == pytest.approx(multiplier, abs=5.1e-3)


def test_lifting_filter_rises_towards_the_knuckles() -> None:
    # HSE INDG143: 25 kg for men and 16 kg for women close in at knuckle height are the highest of their columns.
    for who, most in (("men", 25.0), ("women", 16.0)):
        column = [FILTER_KG[key] for key in FILTER_KG if key[0] == who]
        assert max(close for close, _ in column) == most
        assert all(far < close for close, far in column)


def test_a_10_and_8_inch_stack_is_near_one_persons_carry() -> None:
    # Common practice calls a 10 and 8 inch stack near one person's carry, and 10 to 12 kg a matter for two.
    assert plan_lift("stack", mass_kg=7.0, width_mm=300.0).people == 1
    assert plan_lift("stack", mass_kg=12.0, width_mm=330.0).people == 2
    assert plan_lift("stack", mass_kg=25.0, width_mm=400.0).people == 3


# Ideal gas with the standard atmosphere, worked by hand from its tables: + 10.5 % from 1,650 m to 2,450 m and + 12 %
# from 300 m to 1,250 m, before any warming.
@pytest.mark.parametrize(("low", "high", "growth"), [(1650.0, 2450.0, 1.105), (300.0, 1250.0, 1.12)])
def test_growth_of_shut_in_air(low: float, high: float, growth: float) -> None:
    assert air_growth(from_m=low, to_m=high, cold_c=20.0, warm_c=20.0) == pytest.approx(growth, abs=2e-3)


def test_warming_alone_grows_air_by_the_ratio_of_temperatures() -> None:
    found = air_growth(from_m=500.0, to_m=500.0, cold_c=4.0, warm_c=29.0)
    assert found == pytest.approx(302.15 / 277.15, rel=1e-12)
