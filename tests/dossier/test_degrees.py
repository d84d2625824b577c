"""Every sentence of a dossier speaks the kitchen's degrees, whichever room says it."""

from __future__ import annotations

import re

from tests.dossier.scenes import dossier

from tierwright.degrees import in_degrees
from tierwright.units import Display, TemperatureUnit

F = Display(temperature=TemperatureUnit.F)
CELSIUS = re.compile(r"\d ?°?C\b(?! \()")


def test_no_sentence_is_left_in_degrees_that_the_kitchen_does_not_use() -> None:
    notes = dossier().notes
    said = [text for one in notes.questions for text in (one.text, one.reason, one.figure, one.change)]
    said += [text for one in notes.cautions for text in (one.text, one.reason)]
    said += [text for one in notes.assumptions for text in (one.text, one.value)]
    assert dossier().kitchen.units.display().temperature is TemperatureUnit.F
    assert sum("°F" in text for text in said) > 20
    assert not [text for text in said if CELSIUS.search(text)]


def test_a_range_behind_a_temperature_is_one_too_and_what_is_said_both_ways_stands() -> None:
    assert in_degrees("6 C (2 to 10)", F) == "43 °F (36 °F to 50 °F)"
    assert in_degrees("cool to 21 C", F) == "cool to 70 °F"
    both = "Let the glaze cool to 30 to 40 C (86 to 104 F) by a thermometer."
    assert in_degrees(both, F) == both
