"""The answer of the room in the maker's own units."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from tierwright.measures import in_measures, notes_in_measures
from tierwright.units import Display

if TYPE_CHECKING:
    from tierwright.keeping.answer import Keeping, TierClock

PLAIN: Final = Display()
"""As the tables of the room are written."""


def keeping_in_measures(keeping: Keeping, display: Display) -> Keeping:
    """Return an answer with every sentence of it in the maker's units."""

    def say(text: str) -> str:
        return in_measures(text, display)

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
        notes=notes_in_measures(keeping.notes, display),
    )
