"""Every sentence of a dossier speaks the kitchen's units, whichever room says it."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.dossier.scenes import dossier

from tierwright.brief.kitchen import UnitChoice
from tierwright.dossier import prepare
from tierwright.measures import in_degrees, in_lengths
from tierwright.units import Display, LengthUnit, TemperatureUnit
from tierwright.working import Notes

F = Display(temperature=TemperatureUnit.F)
CELSIUS = re.compile(r"\d ?°?C\b(?! \()")


def sentences(notes: Notes) -> list[str]:
    said = [text for one in notes.questions for text in (one.text, one.reason, one.figure, one.change)]
    said += [text for one in notes.cautions for text in (one.text, one.reason)]
    return said + [text for one in notes.assumptions for text in (one.text, one.value)]


def test_no_sentence_is_left_in_degrees_that_the_kitchen_does_not_use() -> None:
    said = sentences(dossier().notes)
    assert dossier().kitchen.units.display().temperature is TemperatureUnit.F
    assert sum("°F" in text for text in said) > 20
    assert not [text for text in said if CELSIUS.search(text)]


def test_a_range_behind_a_temperature_is_one_too_and_what_is_said_both_ways_stands() -> None:
    assert in_degrees("6 C (2 to 10)", F) == "43 °F (36 °F to 50 °F)"
    assert in_degrees("cool to 21 C", F) == "cool to 70 °F"
    both = "Let the glaze cool to 30 to 40 C (86 to 104 F) by a thermometer."
    assert in_degrees(both, F) == both


INCH = Display(length=LengthUnit.INCH)
PUBLISHED = ("15 to 25 °F; one published account", "0.84 at 12 in and 0.75 at 14 in")
MILLIMETRES = re.compile(r"(\d+(?:\.\d+)?) mm\b")


def test_no_sentence_says_an_inch_or_more_in_millimetres_to_a_kitchen_of_inches() -> None:
    said = sentences(dossier().notes)
    assert dossier().kitchen.units.display().length is LengthUnit.INCH
    assert [text for text in said if "round 9 in" in text]
    assert [text for text in said if MILLIMETRES.search(text)], "thin things stay as they are"
    assert not [text for text in said for number in MILLIMETRES.findall(text) if float(number) >= 25]


def test_a_metric_kitchen_is_told_no_fahrenheit_and_no_inches() -> None:
    metric = dossier().kitchen.model_copy(update={"units": UnitChoice()})
    said = sentences(prepare(dossier().commission, metric).notes)
    assert "177 °C; 163 °C for pans over 30.5 cm wide, or 7.6 cm deep and more" in said
    # What is said both ways has the other in brackets, or cites it; pans and boards of inches go by them as by a name.
    plain = [re.sub(r"\(.*?\)|\d+ in pan|(card|drum), \d+ in", "", text) for text in said]
    plain = [text for text in plain if not text.startswith(PUBLISHED)]
    assert not [text for text in plain if re.search(r"\d ?°?F\b|\d in\b|\boz\b|\blb\b", text)]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("rectangle 406 x 305 mm", "rectangle 16 x 12 in"),
        ("gaps of 25, 25, 40 mm", "gaps of 1, 1, 1 5/8 in"),
        ("102 mm (95 to 110)", "4 in (3 3/4 to 4 3/8)"),
        ("wood dowel 6 mm and cut card 3 mm", "wood dowel 6 mm and cut card 3 mm"),
        ("at most 18 mm stay up (8 to 42)", "at most 18 mm stay up (8 to 42)"),
        ("an area of 900 mm2 at 12.300 mm", "an area of 900 mm2 at 12.300 mm"),
    ],
)
def test_lengths_that_stand_together_are_said_in_one_unit(text: str, told: str) -> None:
    assert in_lengths(text, INCH) == told


@given(st.integers(25, 2000))
def test_a_length_said_in_another_unit_is_as_long_to_the_nearest_mark(mm: int) -> None:
    text = f"a board of {mm} mm"
    assert in_lengths(text, Display(length=LengthUnit.MM)) == text
    assert in_lengths(text, Display(length=LengthUnit.CM)) == f"a board of {mm / 10:.1f} cm"
    said = in_lengths(text, INCH).removeprefix("a board of ").removesuffix(" in")
    assert abs(float(sum(map(Fraction, said.split()))) * 25.4 - mm) <= 25.4 / 16 + 1e-9
