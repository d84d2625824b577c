"""Temperatures inside sentences, in the maker's own degrees."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from tierwright.units import Display
from tierwright.working import Notes

if TYPE_CHECKING:
    from tierwright.keeping.answer import Keeping, TierClock

_NUMBER: Final = r"(-?\d+(?:\.\d+)?)"
_SPAN: Final = re.compile(rf"{_NUMBER} (to|and) {_NUMBER} C\b")
_ONE: Final = re.compile(rf"{_NUMBER} C\b")

PLAIN: Final = Display()
"""As the tables of the room are written."""


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
        A number before ``C`` is a temperature, as in every table of the room; everything else stands. [C] or [F]

    Examples
    --------
    >>> from tierwright.units import Display, TemperatureUnit
    >>> in_degrees("cooked food from 57 to 21 C", Display(temperature=TemperatureUnit.F))
    'cooked food from 135 °F to 70 °F'
    """

    def show(number: str) -> str:
        return display.show_temperature(float(number))

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


def keeping_in_degrees(keeping: Keeping, display: Display) -> Keeping:
    """Return an answer with every sentence of it in the maker's degrees."""

    def say(text: str) -> str:
        return in_degrees(text, display)

    def told(clocks: tuple[TierClock, ...]) -> tuple[TierClock, ...]:
        return tuple(
            replace(one, readings=tuple(replace(each, title=say(each.title)) for each in one.readings))
            for one in clocks
        )

    return replace(
        keeping,
        clocks=told(keeping.clocks),
        aside=tuple(replace(one, clocks=told(one.clocks)) for one in keeping.aside),
        cooling=tuple(
            replace(one, reading=replace(one.reading, title=say(one.reading.title))) for one in keeping.cooling
        ),
        moments=tuple(replace(one, why=say(one.why)) for one in keeping.moments),
        notes=notes_in_degrees(keeping.notes, display),
    )
