"""The record: the working of every figure, and everything that was assumed."""

from __future__ import annotations

from collections.abc import Iterable

from tierwright.dossier import Dossier
from tierwright.sheets.naming import Words
from tierwright.sheets.page import Json, Page
from tierwright.sheets.show import SHEET_WORDS, figure_words
from tierwright.units import Display
from tierwright.working import Assumption, Figure


def working(figures: Iterable[Figure], display: Display) -> Page:
    """Return the working: every figure under its sheet of work, in the order in which the rooms gave them."""
    groups: dict[str, list[Figure]] = {sheet: [] for sheet in SHEET_WORDS}
    for figure in figures:
        groups.setdefault(figure.sheet, []).append(figure)
    data: dict[str, Json] = {
        "title": "The working",
        "groups": [
            {
                "title": SHEET_WORDS.get(sheet, sheet),
                "figures": [figure_words(display, figure) for figure in members],
            }
            for sheet, members in groups.items()
            if members
        ],
    }
    return Page(template="working", sheet="the working", data=data)


def assumed(assumptions: Iterable[Assumption]) -> Page:
    """Return the list of every default that was used."""
    data: dict[str, Json] = {
        "title": "What was assumed",
        "rows": [{"text": a.text, "value": a.value, "source": str(a.source)} for a in assumptions],
    }
    return Page(template="assumed", sheet="what was assumed", data=data)


def of(dossier: Dossier, words: Words) -> tuple[Page, ...]:
    """Return the working and the assumptions of a dossier."""
    return (working(dossier.notes.figures, words.display), assumed(dossier.notes.assumptions))
