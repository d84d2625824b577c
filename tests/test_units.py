"""Quantities as people write them, and as the house prints them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tierwright.units import (
    TEASPOON_ML,
    Display,
    Kind,
    LengthUnit,
    MassUnit,
    Measures,
    TemperatureUnit,
    celsius_to_fahrenheit,
    fahrenheit_to_celsius,
    parse_estimate,
    parse_number,
    parse_quantity,
    show_household,
    show_minutes,
    vulgar,
)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("9 in", Kind.LENGTH, 228.6),
        ('9"', Kind.LENGTH, 228.6),
        ("1 1/2 in", Kind.LENGTH, 38.1),
        ("1½in", Kind.LENGTH, 38.1),
        ("23 cm", Kind.LENGTH, 230.0),
        ("350 F", Kind.TEMPERATURE, 176.667),
        ("177 °C", Kind.TEMPERATURE, 177.0),
        ("-18 C", Kind.TEMPERATURE, -18.0),
        ("1 h 20 min", Kind.TIME, 80.0),
        ("90 s", Kind.TIME, 1.5),
        ("85 %", Kind.SHARE, 0.85),
        ("0.85", Kind.SHARE, 0.85),
        ("4.8 l", Kind.VOLUME, 4800.0),
        ("5 fl oz", Kind.VOLUME, 147.868),
        ("4660 ft", Kind.ALTITUDE, 1420.368),
        ("25 mi", Kind.DISTANCE, 40.234),
        ("2 lb", Kind.MASS, 907.185),
        ("2.4 kW", Kind.POWER, 2400.0),
    ],
)
def test_reads_what_people_write(text: str, kind: Kind, value: float) -> None:
    assert parse_quantity(text, kind) == pytest.approx(value, rel=1e-5)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("9", Kind.LENGTH),
        ("1,420 m", Kind.ALTITUDE),  # a thousand and more in one country, not much over one metre in another
        ("nine in", Kind.LENGTH),
        ("9 in 3 in", Kind.LENGTH),
        ("9 g", Kind.LENGTH),
        ("350", Kind.TEMPERATURE),
        ("nan C", Kind.TEMPERATURE),
        ("inf mm", Kind.LENGTH),
        ("1e5 mm", Kind.LENGTH),
        ("1/0 in", Kind.LENGTH),
        ("", Kind.MASS),
        ("9 in" * 40, Kind.LENGTH),
    ],
)
def test_refuses_what_could_be_misread(text: str, kind: Kind) -> None:
    with pytest.raises(ValueError, match=r"a quantity|divides"):
        parse_quantity(text, kind)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [("24 to 29 C", 24, 29), ("24-29 C", 24, 29), ("24 C – 29 C", 24, 29), ("-3 to 4 C", -3, 4), ("29 C", 29, 29)],
)
def test_reads_ranges(text: str, low: float, high: float) -> None:
    estimate = parse_estimate(text, Kind.TEMPERATURE)
    assert (estimate.low, estimate.high) == (low, high)


def test_refuses_a_range_that_runs_downward() -> None:
    with pytest.raises(ValueError, match="upward"):
        parse_estimate("29 to 24 C", Kind.TEMPERATURE)


@given(st.integers(0, 500), st.integers(0, 15))
def test_vulgar_fractions_round_trip(whole: int, sixteenths: int) -> None:
    value = Fraction(whole) + Fraction(sixteenths, 16)
    assert parse_number(vulgar(float(value), 16)) == value


@given(st.floats(-200, 1000))
def test_temperatures_round_trip(celsius: float) -> None:
    assert fahrenheit_to_celsius(celsius_to_fahrenheit(celsius)) == pytest.approx(celsius, abs=1e-9)


@given(st.floats(0, 5000))
def test_spoons_and_cups_stay_close_to_the_volume(ml: float) -> None:
    """What is printed in spoons, measured again, is what was asked, to the step that was printed."""
    teaspoon = TEASPOON_ML[Measures.US]
    sizes = {"cup": 48, "cups": 48, "Tbsp": 3, "tsp": 1}
    printed = sum(
        float(parse_number(part.rsplit(" ", 1)[0])) * sizes[part.rsplit(" ", 1)[1]]
        for part in show_household(ml).split(" + ")
    )
    step = 1 / 16 if ml < 48 * teaspoon else 0.5 if ml < 4 * 48 * teaspoon else 6
    assert abs(printed - ml / teaspoon) <= step + 1e-9


def test_five_teaspoons_are_a_tablespoon_and_two() -> None:
    # Common practice.
    assert show_household(5 * TEASPOON_ML[Measures.US]) == "1 Tbsp + 2 tsp"


def test_prints_in_the_makers_units() -> None:
    us = Display(mass=MassUnit.US, length=LengthUnit.INCH, temperature=TemperatureUnit.F)
    both = Display(mass=MassUnit.BOTH, temperature=TemperatureUnit.BOTH)
    assert us.show_mass(454) == "1 lb"
    assert us.show_mass(700) == "1 lb 8 3/4 oz"
    assert us.show_length(228.6) == "9 in"
    assert us.show_length(101.6 + 3.2) == "4 1/8 in"
    assert us.show_temperature(177) == "351 °F"
    assert both.show_mass(1000) == "1000 g (2 lb 3 1/4 oz)"
    assert both.show_temperature(100) == "100 °C (212 °F)"
    assert Display().show(2.5, "kg m") == "2.50 kg m"


def test_times_in_words_people_use() -> None:
    assert [show_minutes(m) for m in (0.5, 45, 80, 120, 3000)] == ["30 s", "45 min", "1 h 20 min", "2 h", "2 days 2 h"]
