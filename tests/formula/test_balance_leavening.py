"""Baker's percentages, balance checks, gas, acid and soda."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.formula.cast import COCOA, LEMON

from tierwright.errors import OutOfRange
from tierwright.formula import (
    FormulaText,
    Kind,
    Verdict,
    balance,
    composition_of,
    leavening,
    percents,
    read_formula,
    specific_gravity,
)
from tierwright.formula.leavening import gas_ml
from tierwright.formula.tables import rows
from tierwright.larder import ingredients
from tierwright.working import Basis


def _formula(kind: Kind, *lines: str) -> FormulaText:
    return FormulaText(key="f", name="F", kind=kind, lines=lines)


def test_sugar_above_flour_is_a_finding_for_a_creamed_cake_only() -> None:
    lines = ("100 g cake flour", "125 g caster sugar", "50 g unsalted butter", "50 g whole egg", "60 g whole milk")
    for kind, verdict in ((Kind.CREAMED, Verdict.ABOVE), (Kind.HIGH_RATIO, Verdict.WITHIN)):
        checks = {check.key: check for check in balance(read_formula(_formula(kind, *lines))).checks}
        assert checks["sugar_flour"].verdict is verdict
        assert checks["sugar_flour"].value == pytest.approx(125)


def test_cocoa_lets_a_high_ratio_layer_carry_more_sugar() -> None:
    plain = ("100 g cake flour", "170 g caster sugar", "60 g whole egg", "50 g unsalted butter", "120 g whole milk")
    without = balance(read_formula(_formula(Kind.HIGH_RATIO, *plain)))
    cocoa = balance(read_formula(_formula(Kind.HIGH_RATIO, *plain, "20 g natural cocoa powder")))
    found = [next(check for check in one.checks if check.key == "sugar_flour") for one in (without, cocoa)]
    assert [check.verdict for check in found] == [Verdict.ABOVE, Verdict.WITHIN]


def test_both_variants_of_the_creamed_rule_are_kept() -> None:
    lines = ("100 g cake flour", "80 g caster sugar", "50 g unsalted butter", "50 g whole egg", "50 g whole milk")
    keys = {check.key for check in balance(read_formula(_formula(Kind.CREAMED, *lines))).checks}
    assert {"moist_flour", "moist_sugar"} <= keys


def test_salted_or_plant_butter_counts_as_fat() -> None:
    lines = ("100 g cake flour", "100 g caster sugar", "50 g vegan block butter", "100 g soy milk")
    formula = read_formula(_formula(Kind.CREAMED, *lines))
    if formula.open_lines:
        formula = read_formula(_formula(Kind.CREAMED, *lines[:2], "50 g margarine", lines[3]))
    groups = {row.name: row.percent.value for row in balance(formula).groups}
    assert groups["fat"] == pytest.approx(50)
    assert groups["liquid"] == pytest.approx(100)


def test_every_range_has_a_source_and_two_real_sides() -> None:
    names = {"flour", "sugar", "fat", "egg", "liquid", "cocoa", "moist", "powder"}
    for row in rows("balance.csv"):
        assert {row["over"], row["under"]} <= names
        assert Kind(row["kind"]).is_batter
        assert row["low"] or row["high"]
        assert row["source"]
        Basis(row["basis"])


def test_every_batter_class_has_checks_and_every_kind_a_class() -> None:
    checked = {row["kind"] for row in rows("balance.csv")}
    assert checked == {kind.value for kind in Kind if kind.is_batter}
    assert {row["kind"] for row in rows("classes.csv")} == {kind.value for kind in Kind}


@pytest.mark.parametrize("table", ["acids.csv", "leaveners.csv"])
def test_tables_name_ingredients_of_the_larder(table: str) -> None:
    for row in rows(table):
        assert row["ingredient"] in ingredients()
        assert row["source"]


def test_soda_meets_the_acid_of_buttermilk() -> None:
    # 84.007/90.08 x 0.9 g lactic acid in 100 g = 0.84 g of soda: half a teaspoon (2.3 g) to a cup (245 g) is common.
    formula = read_formula(_formula(Kind.CREAMED, "200 g cake flour", "245 g buttermilk", "1/2 tsp baking soda"))
    gas = leavening(formula)
    assert gas.acids[0].soda_g.low <= 2.3 <= gas.acids[0].soda_g.high
    assert gas.soda_left_g.low == 0
    assert gas.soda_left_g.value < 0.5


def test_soda_without_acid_gives_half_and_stays() -> None:
    gas = leavening(read_formula(_formula(Kind.OIL, "200 g cake flour", "8.4007 g baking soda", "100 g water")))
    # 2 NaHCO3 -> Na2CO3 + CO2 + H2O: 0.1 mol of soda gives 0.05 mol of gas.
    assert gas.co2_g.value == pytest.approx(0.05 * 44.0095, rel=1e-4)
    assert gas.soda_left_g.value == pytest.approx(8.4007)


def test_cream_of_tartar_just_enough_leaves_nothing() -> None:
    lines = ("200 g cake flour", "10 g baking soda", "22.4 g cream of tartar")
    gas = leavening(read_formula(_formula(Kind.OIL, *lines)))
    assert gas.soda_left_g.value == pytest.approx(0, abs=0.01)
    assert gas.acid_left_g.value == pytest.approx(0, abs=0.01)
    assert gas.co2_g.value == pytest.approx(5.239, rel=1e-3)


def test_natural_cocoa_is_an_acid_and_dutch_is_not() -> None:
    natural = leavening(read_formula(_formula(Kind.OIL, "200 g cake flour", "50 g natural cocoa powder")))
    dutch = leavening(read_formula(_formula(Kind.OIL, "200 g cake flour", "50 g Dutch-process cocoa powder")))
    assert natural.acids
    assert not dutch.acids


@settings(max_examples=40, deadline=None)
@given(factor=st.floats(0.2, 5.0))
def test_percentages_and_strength_do_not_care_for_size(factor: float) -> None:
    lines = [("cake flour", 300.0), ("caster sugar", 280.0), ("baking powder", 12.0), ("whole milk", 200.0)]
    one, other = (
        read_formula(_formula(Kind.CREAMED, *(f"{grams * by:.6f} g {name}" for name, grams in lines)))
        for by in (1.0, factor)
    )
    assert [row.percent.value for row in percents(one)] == pytest.approx(
        [r.percent.value for r in percents(other)], rel=1e-5
    )
    strengths = [leavening(f).powder_equivalent_percent.value for f in (one, other)]
    assert strengths[0] == pytest.approx(strengths[1], rel=1e-5)


def test_composition_matches_its_parts_by_hand() -> None:
    # USDA SR28: granulated sugar 0.02 % water (NDB 19335), water 99.9 % and more (NDB 14429).
    composition = composition_of(read_formula(_formula(Kind.SYRUP, "100 g granulated sugar", "100 g water")).parts)
    assert composition is not None
    assert composition.water_g == pytest.approx(50, abs=0.2)
    assert composition.carbohydrate_g == pytest.approx(50, abs=0.2)


def test_the_lemon_layer_is_in_balance() -> None:
    assert all(check.verdict is Verdict.WITHIN for check in balance(read_formula(LEMON)).checks)


def test_gas_grows_with_heat_and_thin_air() -> None:
    assert gas_ml(1, 100, 101_325) > gas_ml(1, 25, 101_325)
    assert leavening(read_formula(COCOA), pressure_pa=85_000).gas_ml.value == pytest.approx(
        leavening(read_formula(COCOA)).gas_ml.value * 101_325 / 85_000
    )


def test_refusals() -> None:
    with pytest.raises(OutOfRange):
        gas_ml(1.0, 500.0, 101_325)
    with pytest.raises(OutOfRange):
        gas_ml(1.0, 25.0, 0.0)
    with pytest.raises(ValueError, match="empty cup"):
        specific_gravity(40.0, 50.0, 150.0)
    assert percents(read_formula(_formula(Kind.OTHER_FILLING, "100 g caster sugar"))) == ()
