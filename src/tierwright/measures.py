"""Temperatures and lengths inside sentences, in the maker's own units."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from tierwright.units import Display, LengthUnit
from tierwright.working import Notes

_NUMBER: Final = r"(-?\d+(?:\.\d+)?)"
_RANGED: Final = re.compile(rf"{_NUMBER} C \({_NUMBER} to {_NUMBER}\)")
_SPAN: Final = re.compile(rf"{_NUMBER} (to|and) {_NUMBER} C\b(?! \()")
_ONE: Final = re.compile(rf"{_NUMBER} C\b(?! \()")
_LENGTHS: Final = re.compile(
    rf"(?<![\w.,/-])({_NUMBER}(?:(?: x | by | to | and |, ){_NUMBER})*) mm\b(?: \({_NUMBER} to {_NUMBER}\))?"
)
_EACH: Final = re.compile(_NUMBER)
LEAST_MM: Final = 25.0
"""What is thinner is said in millimetres everywhere: coats, and boards and supports, whose names say it. [mm]"""


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


def in_lengths(text: str, display: Display) -> str:
    """
    Return a sentence with its lengths in the maker's unit.

    Parameters
    ----------
    text
        With lengths written as the data do, such as ``rectangle 400 x 300 mm`` or ``102 mm (95 to 110)``.
    display
        The maker's units.

    Returns
    -------
    text
        Lengths that stand together are said in one unit, once the longest of them has an inch or so; what is thinner
        stays in millimetres. [in], [cm] or [mm]

    Examples
    --------
    >>> from tierwright.units import Display, LengthUnit
    >>> in_lengths("round 229 mm with 6 mm of coat, steps 48 to 82 mm", Display(length=LengthUnit.INCH))
    'round 9 in with 6 mm of coat, steps 1 7/8 to 3 1/4 in'
    """
    if display.length is LengthUnit.MM:
        return text
    unit = f" {display.length.value}"

    def show(number: str) -> str:
        return display.show_length(float(number)).removesuffix(unit)

    def told(found: re.Match[str]) -> str:
        if max(map(float, _EACH.findall(found[1]))) < LEAST_MM:
            return found[0]
        # The last two groups are the ends of a range in brackets.
        low, high = found.groups()[-2:]
        ranged = "" if low is None else f" ({show(low)} to {show(high)})"
        return f"{_EACH.sub(lambda one: show(one[0]), found[1])}{unit}{ranged}"

    return _LENGTHS.sub(told, text)


def in_measures(text: str, display: Display) -> str:
    """Return a sentence with its temperatures and lengths in the maker's units."""
    return in_lengths(in_degrees(text, display), display)


def notes_in_measures(notes: Notes, display: Display) -> Notes:
    """Return notes with every sentence in the maker's units; figures keep their unit and sources their words."""

    def say(text: str) -> str:
        return in_measures(text, display)

    return Notes(
        figures=notes.figures,
        questions=tuple(
            replace(one, text=say(one.text), reason=say(one.reason), figure=say(one.figure), change=say(one.change))
            for one in notes.questions
        ),
        cautions=tuple(replace(one, text=say(one.text), reason=say(one.reason)) for one in notes.cautions),
        assumptions=tuple(replace(one, text=say(one.text), value=say(one.value)) for one in notes.assumptions),
    )
