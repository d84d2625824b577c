"""Temperatures inside sentences, in the maker's own degrees."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from tierwright.units import Display
from tierwright.working import Notes

_NUMBER: Final = r"(-?\d+(?:\.\d+)?)"
_RANGED: Final = re.compile(rf"{_NUMBER} C \({_NUMBER} to {_NUMBER}\)")
_SPAN: Final = re.compile(rf"{_NUMBER} (to|and) {_NUMBER} C\b(?! \()")
_ONE: Final = re.compile(rf"{_NUMBER} C\b(?! \()")


def in_degrees(text: str, display: Display) -> str:
    """
    Return a sentence with its temperatures in the maker's degrees.

    Parameters
    ----------
    text
        With temperatures written as the data do, such as ``57 to 21 C``.
    display
        The maker's units.

    Returns
    -------
    text
        A number before ``C`` is a temperature, as in every table of the rooms; everything else stands, and so does a
        temperature with another behind it in brackets, which is said both ways already. [C] or [F]

    Examples
    --------
    >>> from tierwright.units import Display, TemperatureUnit
    >>> in_degrees("cooked food from 57 to 21 C", Display(temperature=TemperatureUnit.F))
    'cooked food from 135 °F to 70 °F'
    >>> in_degrees("6 C (2 to 10); above 75 C (167 F)", Display(temperature=TemperatureUnit.F))
    '43 °F (36 °F to 50 °F); above 75 C (167 F)'
    """

    def show(number: str) -> str:
        return display.show_temperature(float(number))

    text = _RANGED.sub(lambda found: f"{show(found[1])} ({show(found[2])} to {show(found[3])})", text)
    text = _SPAN.sub(lambda found: f"{show(found[1])} {found[2]} {show(found[3])}", text)
    return _ONE.sub(lambda found: show(found[1]), text)


def notes_in_degrees(notes: Notes, display: Display) -> Notes:
    """Return notes with every sentence in the maker's degrees; figures keep their unit and sources their words."""

    def say(text: str) -> str:
        return in_degrees(text, display)

    return Notes(
        figures=notes.figures,
        questions=tuple(
            replace(one, text=say(one.text), reason=say(one.reason), figure=say(one.figure), change=say(one.change))
            for one in notes.questions
        ),
        cautions=tuple(replace(one, text=say(one.text), reason=say(one.reason)) for one in notes.cautions),
        assumptions=tuple(replace(one, text=say(one.text), value=say(one.value)) for one in notes.assumptions),
    )
