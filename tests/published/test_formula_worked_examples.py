"""Published values for formulas: percentages, stoichiometry, gas, altitude and pan tables, specific gravity, areas."""

from __future__ import annotations

import pytest

from tierwright.formula import (
    FormulaText,
    Kind,
    Measures,
    PanJob,
    Verdict,
    altitude_steps,
    balance,
    formula_class,
    make_batch,
    percents,
    read_formula,
    read_line,
    specific_gravity,
    wide_pan_factor,
)
from tierwright.formula.leavening import (
    CO2_G_MOL,
    GDL_G_MOL,
    REFERENCE_POWDER,
    SODA_G_MOL,
    TARTAR_G_MOL,
    gas_ml,
    neutralising_value,
    parts_acid_per_soda,
)
from tierwright.formula.spoken_units import volume_ml
from tierwright.shapes import Outline, Shape
from tierwright.water import air_pressure_pa

# --- Units: NIST SP 811 and Handbook 44, appendix C; AS 1325; BS 1348
HOUSEHOLD_ML = [("cup", 236.5882365), ("fl oz", 29.5735296), ("tbsp", 14.7867648), ("tsp", 4.9289216)]


@pytest.mark.parametrize(("unit", "published"), HOUSEHOLD_ML)
def test_us_household_measures(unit: str, published: float) -> None:
    assert volume_ml(unit, Measures.US) == pytest.approx(published, abs=5e-8)


def test_whole_number_identities() -> None:
    # NIST, Metric Household (SP 430): 1 cup = 16 tbsp = 48 tsp = 8 fl oz = 1/2 pint.
    cup = volume_ml("cup", Measures.US)
    for unit, times in (("tbsp", 16), ("tsp", 48), ("fl oz", 8), ("pint", 0.5)):
        assert cup / volume_ml(unit, Measures.US) == pytest.approx(times)


def test_ounce_and_pound() -> None:
    # International yard and pound, 1959: exact.
    assert read_line("1 lb unsalted butter").grams.value == 453.59237
    assert read_line("16 oz unsalted butter").grams.value == pytest.approx(453.59237, rel=1e-12)


# --- Pound cake: equal weights of flour, sugar, fat and egg
def test_pound_cake_is_a_hundred_of_each() -> None:
    lines = ("1 lb cake flour", "1 lb granulated sugar", "1 lb unsalted butter", "1 lb whole egg")
    formula = read_formula(FormulaText(key="p", name="Pound", kind=Kind.POUND, lines=lines))
    assert [row.percent.value for row in percents(formula)] == pytest.approx([100.0] * 4)
    assert all(check.verdict is Verdict.WITHIN for check in balance(formula).checks)


# --- Leavening acids: Food Additives Data Book (parts of acid for one of soda), printed to three figures
def test_cream_of_tartar() -> None:
    assert parts_acid_per_soda(TARTAR_G_MOL, 1) == pytest.approx(2.24, abs=0.005)
    assert parts_acid_per_soda(TARTAR_G_MOL, 1) == pytest.approx(2.2400, abs=5e-5)


def test_glucono_delta_lactone() -> None:
    assert parts_acid_per_soda(GDL_G_MOL, 1) == pytest.approx(2.12, abs=0.005)


# (parts acid printed, neutralising value by its definition, 100 / parts)
NEUTRALISING = [(2.24, 44.6), (1.32, 75.8), (1.39, 71.9), (1.25, 80.0), (2.12, 47.2)]


@pytest.mark.parametrize(("parts", "value"), NEUTRALISING)
def test_neutralising_values(parts: float, value: float) -> None:
    assert neutralising_value(parts) == pytest.approx(value, abs=0.05)


def test_cream_of_tartar_is_called_forty_five() -> None:
    assert round(neutralising_value(parts_acid_per_soda(TARTAR_G_MOL, 1))) == 45


# --- Gas of baking powder: 12 % carbon dioxide (bakers' dictionary), ideal gas
def test_soda_gives_about_half_its_weight_of_gas() -> None:
    assert pytest.approx(0.5239, abs=5e-5) == CO2_G_MOL / SODA_G_MOL


def test_a_twelve_per_cent_powder_needs_twenty_three_of_soda() -> None:
    assert pytest.approx(0.229, abs=5e-4) == REFERENCE_POWDER / (CO2_G_MOL / SODA_G_MOL)


# (C, Pa, ml from 1 g of powder); worked from pV = nRT with R of CODATA 2018
GAS = [(25.0, 101_325.0, 66.7), (100.0, 101_325.0, 83.5), (100.0, 83_432.0, 101.4)]


@pytest.mark.parametrize(("at_c", "pressure_pa", "ml"), GAS)
def test_gas_of_one_gram_of_powder(at_c: float, pressure_pa: float, ml: float) -> None:
    assert gas_ml(REFERENCE_POWDER, at_c, pressure_pa) == pytest.approx(ml, abs=0.05)


# --- Altitude
# University of Wyoming Extension, baking altitude adjusters: per tsp powder, per cup sugar, per cup liquid, oven degF.
EXTENSION = [
    (3000, (0.125, 0.125), (0, 1), (1, 2), (15, 25)),
    (5000, (0.125, 0.25), (0, 2), (2, 4), (15, 25)),
    (7000, (0.25, 0.25), (1, 3), (3, 4), (15, 25)),
]
Span = tuple[float, float]


@pytest.mark.parametrize(("feet", "powder", "sugar", "liquid", "oven"), EXTENSION)
def test_extension_table(feet: float, powder: Span, sugar: Span, liquid: Span, oven: Span) -> None:
    steps = altitude_steps(feet * 0.3048)
    for name, (low, high) in (("powder", powder), ("sugar", sugar), ("liquid", liquid), ("oven", oven)):
        assert (steps[name].low, steps[name].high) == pytest.approx((low, high))


def test_extension_cut_covers_the_ideal_gas() -> None:
    # At 5000 ft the same gas takes 1/0.832 of the room: 17 % less would do; the table says 12.5 to 25 %.
    cut = 1 - air_pressure_pa(1524.0) / 101_325.0
    assert cut == pytest.approx(0.168, abs=0.001)
    steps = altitude_steps(1524.0)
    assert steps["powder"].low < cut < steps["powder"].high


# --- Pans
# Practitioners' factors against a 9 in pan: common practice.
@pytest.mark.parametrize(("inches", "factor"), [(9, 1.0), (12, 0.84), (14, 0.75)])
def test_wide_pan_factors(inches: float, factor: float) -> None:
    assert wide_pan_factor(inches * 25.4) == pytest.approx(factor)


def _need_g(outline: Outline) -> float:
    text = FormulaText(key="a", name="A", kind=Kind.CREAMED, lines=("200 g cake flour", "200 g whole milk"))
    job = PanJob(key="t", pan="p", outline=outline, depth_mm=50.8, count=1, levelled_mm=38.0)
    return make_batch(read_formula(text), jobs=(job,)).need_g.value


def test_eight_to_ten_inches_by_area() -> None:
    assert _need_g(Outline.round(254.0)) / _need_g(Outline.round(203.2)) == pytest.approx(1.5625)


def test_nine_by_thirteen_against_eight_round() -> None:
    # 117 in2 against 50.27 in2.
    sheet = Outline(shape=Shape.RECTANGLE, width_mm=13 * 25.4, length_mm=9 * 25.4)
    assert _need_g(sheet) / _need_g(Outline.round(203.2)) == pytest.approx(117 / 50.2655, rel=1e-5)


# --- Specific gravity: American Society of Baking, specific gravity
def test_specific_gravity_worked_example() -> None:
    # 80 g of batter in the cup that holds 100 g of water; the cup's own weight is taken off both.
    assert specific_gravity(180.0, 100.0, 200.0) == pytest.approx(0.80)


ASB = [(Kind.CREAMED, 0.85), (Kind.POUND, 0.80), (Kind.HIGH_RATIO, 0.70), (Kind.SPONGE, 0.50), (Kind.MERINGUE, 0.30)]


@pytest.mark.parametrize(("kind", "published"), ASB)
def test_class_spans_hold_the_published_gravity(kind: Kind, published: float) -> None:
    density = formula_class(kind).density
    assert density.low <= published <= density.high


# --- Textbook ranges of balance, checked at their very edges
@pytest.mark.parametrize(
    ("sugar", "verdict"),
    [(99, Verdict.BELOW), (100, Verdict.WITHIN), (160, Verdict.WITHIN), (161, Verdict.ABOVE)],
)
def test_high_ratio_sugar(sugar: float, verdict: Verdict) -> None:
    # Professional Baking, cake formula balance: 110 to 160 %, and by definition not under the flour.
    lines = (
        "100 g cake flour",
        f"{sugar} g caster sugar",
        "50 g unsalted butter",
        "60 g whole egg",
        "110 g whole milk",
    )
    formula = read_formula(FormulaText(key="h", name="H", kind=Kind.HIGH_RATIO, lines=lines))
    assert next(check for check in balance(formula).checks if check.key == "sugar_flour").verdict is verdict
