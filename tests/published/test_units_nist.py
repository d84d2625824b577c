"""Units against NIST SP 811 (2008), NIST Handbook 44 appendix C, and the label units of 21 CFR 101.9(b)(5)(viii)."""

from __future__ import annotations

import pytest

from tierwright import units
from tierwright.units import Measures

US = Measures.US


def test_us_measures_follow_from_the_gallon_of_231_cubic_inches() -> None:
    # NIST Handbook 44, appendix C: 1 gallon = 231 cubic inches; 1 inch = 25.4 mm exactly.
    assert pytest.approx(units.CUBIC_INCH_ML, rel=1e-12) == 25.4**3 / 1000
    assert units.CUP_ML[US] == pytest.approx(236.5882365, abs=1e-9)
    assert units.FLUID_OUNCE_ML[US] == pytest.approx(29.5735295625, abs=1e-9)
    assert units.TABLESPOON_ML[US] == pytest.approx(14.78676478125, abs=1e-9)
    assert units.TEASPOON_ML[US] == pytest.approx(4.92892159375, abs=1e-9)


def test_us_measures_are_whole_multiples() -> None:
    # NIST SP 430, Household weights and measures: 1 cup = 16 tablespoons = 48 teaspoons = 8 fluid ounces = 1/2 pint.
    cup = units.CUP_ML[US]
    assert cup == pytest.approx(16 * units.TABLESPOON_ML[US])
    assert cup == pytest.approx(48 * units.TEASPOON_ML[US])
    assert cup == pytest.approx(8 * units.FLUID_OUNCE_ML[US])
    assert cup == pytest.approx(units.PINT_ML[US] / 2)


@pytest.mark.parametrize(
    ("value", "printed", "digits"),
    [
        (units.CUP_ML[US], 237, 0),
        (units.FLUID_OUNCE_ML[US], 30, 0),
        (units.TABLESPOON_ML[US], 15, 0),
        (units.TEASPOON_ML[US], 4.9, 1),
        (units.PINT_ML[US], 473, 0),
    ],
)
def test_agrees_with_the_rounded_household_table(value: float, printed: float, digits: int) -> None:
    # NIST SP 430 prints whole millilitres, the teaspoon to a tenth.
    assert round(value, digits) == printed


def test_masses() -> None:
    # NIST SP 811, appendix B.8: avoirdupois pound 453.59237 g exactly.
    assert pytest.approx(453.59237) == units.POUND_G
    assert pytest.approx(453.59237) == 16 * units.OUNCE_G


def test_imperial_measures() -> None:
    # UK Weights and Measures Act 1985, schedule 1: pint 0.56826125 l, of twenty fluid ounces.
    assert units.PINT_ML[Measures.IMPERIAL] == pytest.approx(20 * units.FLUID_OUNCE_ML[Measures.IMPERIAL])


def test_an_australian_tablespoon_is_four_teaspoons() -> None:
    # AS 1325, from memory.
    assert units.TABLESPOON_ML[Measures.AU] == 4 * units.TEASPOON_ML[Measures.AU]


def test_label_units_stay_apart_from_kitchen_units() -> None:
    # 21 CFR 101.9(b)(5)(viii): cup 240 ml, tablespoon 15 ml, teaspoon 5 ml, fluid ounce 30 ml, ounce 28 g.
    label: list[float] = [
        units.LABEL_CUP_ML,
        units.LABEL_TABLESPOON_ML,
        units.LABEL_TEASPOON_ML,
        units.LABEL_FLUID_OUNCE_ML,
        units.LABEL_OUNCE_G,
    ]
    assert label == [240, 15, 5, 30, 28]
    assert 4 * label[-1] == 112
    assert pytest.approx(113.398, abs=5e-4) == 4 * units.OUNCE_G
