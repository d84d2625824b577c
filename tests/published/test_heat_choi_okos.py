"""Properties of food against the handbook that prints them."""

from __future__ import annotations

import pytest

from tierwright.errors import OutOfRange, UnknownName
from tierwright.heat import food, mass_fractions, matrix_properties, part_property
from tierwright.larder import Composition

# ASHRAE Handbook Refrigeration 2006, ch. 9, tables 1 and 2: densities at 20 degC from the printed equations, kg/m3.
DENSITY_20 = {
    "protein": 1319.53,
    "fat": 917.24,
    "carbohydrate": 1592.89,
    "fibre": 1304.18,
    "ash": 2418.19,
    "water": 995.74,
}
BATTER = Composition(water_g=35.0, carbohydrate_g=45.0, fat_g=13.5, protein_g=5.0, ash_g=1.5)


@pytest.mark.parametrize(("part", "density"), DENSITY_20.items())
def test_density_of_parts(part: str, density: float) -> None:
    # Printed to 0.01 kg/m3.
    assert part_property(part, "density", 20.0) == pytest.approx(density, abs=0.006)


@pytest.mark.parametrize(
    ("celsius", "density", "heat_capacity", "conductivity"),
    [(25.0, 1210.271, 2554.262, 0.38325), (80.0, 1187.951, 2608.093, 0.42582)],
)
def test_gas_free_batter(celsius: float, density: float, heat_capacity: float, conductivity: float) -> None:
    # The handbook's equations worked independently in a spreadsheet of its tables, to the digits shown.
    matrix = matrix_properties(BATTER, celsius)
    assert matrix.density_kg_m3 == pytest.approx(density, abs=6e-4)
    assert matrix.heat_capacity_j_kgk == pytest.approx(heat_capacity, abs=6e-4)
    assert matrix.conductivity_w_mk == pytest.approx(conductivity, abs=6e-6)


def test_water_conducts_like_water() -> None:
    # IAPWS R15-11: 0.6065 W/(m K) at 25 degC; the food fit is within 1.5 %.
    assert part_property("water", "conductivity", 25.0) == pytest.approx(0.6065, rel=0.015)


def test_agrees_with_coolprop_on_water() -> None:
    props = pytest.importorskip("CoolProp.CoolProp")
    for celsius in (5.0, 40.0, 80.0):
        kelvin = celsius + 273.15
        # Choi and Okos give water's density within 0.6 % and its heat capacity within 2 %.
        assert part_property("water", "density", celsius) == pytest.approx(
            props.PropsSI("D", "T", kelvin, "P", 101325, "Water"), rel=6e-3
        )
        assert part_property("water", "heat_capacity", celsius) == pytest.approx(
            props.PropsSI("C", "T", kelvin, "P", 101325, "Water"), rel=2e-2
        )


def test_fractions_sum_to_one_and_fibre_leaves_the_carbohydrate() -> None:
    parts = mass_fractions(
        Composition(water_g=30.0, carbohydrate_g=50.0, fibre_g=4.0, fat_g=13.0, protein_g=6.0, ash_g=1.0)
    )
    assert sum(parts.values()) == pytest.approx(1.0, abs=1e-12)
    assert parts["fibre"] == pytest.approx(0.04)
    assert parts["carbohydrate"] == pytest.approx(0.46)


def test_cubics_repeat_the_parts() -> None:
    material = food("batter", BATTER, density_kg_m3=850.0)
    x = material.water_dry_basis
    for celsius in (-20.0, 25.0, 95.0, 140.0):
        c = material.solid_heat_j_kgk
        dry = c[0] + celsius * (c[1] + celsius * (c[2] + celsius * c[3]))
        whole = (dry + x * part_property("water", "heat_capacity", celsius)) / (1 + x)
        # The stated accuracy of the fit.
        assert whole == pytest.approx(matrix_properties(BATTER, celsius).heat_capacity_j_kgk, rel=2e-4)


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="temperature"):
        part_property("fat", "density", 160.0)
    with pytest.raises(UnknownName, match="part and property"):
        part_property("sand", "density", 20.0)
    with pytest.raises(OutOfRange, match="density"):
        food("batter", BATTER, density_kg_m3=1300.0)
