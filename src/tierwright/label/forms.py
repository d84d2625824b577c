"""The forms that a place lets a maker choose between, and the usual one of each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

from tierwright.brief.commission import Jurisdiction
from tierwright.errors import BadInput, Problem
from tierwright.label.rules import EDITIONS, rows, source_of
from tierwright.label.stickers import grids
from tierwright.working import Source

KINDS: Final = ("list_style", "allergens", "compounds", "panel", "languages", "sale")
"""What can be chosen, in the order of the form."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """
    One lawful form.

    Attributes
    ----------
    kind, choice
        What it is a form of, and its name.
    words
        What it looks like.
    is_usual
        Whether it is taken where nothing is chosen.
    most_cm2
        Largest surface to bear labels on which it may stand; None for any. [cm2]
    source
        Section and date.
    """

    kind: str
    choice: str
    words: str
    is_usual: bool
    most_cm2: float | None
    source: Source


@cache
def lawful_forms(place: Jurisdiction, kind: str) -> tuple[Form, ...]:
    """Return the forms of one kind that a place lets a maker choose, the usual one first."""
    limits = {
        (row["key"], row["choice"]): float(row["most_cm2"])
        for row in rows("form_limits.csv")
        if row["jurisdiction"] == place.value
    }
    found = [
        Form(
            kind=kind,
            choice=row["choice"],
            words=row["words"],
            is_usual=row["is_usual"] == "yes",
            most_cm2=limits.get((kind, row["choice"])),
            source=source_of(row, EDITIONS[place]),
        )
        for row in rows("forms.csv")
        if row["jurisdiction"] == place.value and row["key"] == kind
    ]
    return tuple(sorted(found, key=lambda form: not form.is_usual))


def usual_form(place: Jurisdiction, kind: str) -> str:
    """Return the form that is taken where nothing is chosen."""
    return lawful_forms(place, kind)[0].choice


def chosen_forms(
    place: Jurisdiction, wished: Mapping[str, str], surface_cm2: float, where: str = "commission: labelling"
) -> dict[str, str]:
    """
    Return the form of each kind: what was wished where the place lets it stand, else the usual one.

    Parameters
    ----------
    place
        Whose law.
    wished
        Forms by kind, and the key of a sheet of stickers as ``stickers``; an empty one is left to the place.
    surface_cm2
        Surface of the package that can bear labels. [cm2]
    where
        Place of the wish in a report.

    Raises
    ------
    BadInput
        A form that the place does not let stand, with all of them.
    """
    problems: list[Problem] = []
    chosen: dict[str, str] = {}
    for kind in KINDS:
        forms = {form.choice: form for form in lawful_forms(place, kind)}
        wish = wished.get(kind, "") or usual_form(place, kind)
        name = kind.replace("_", " ")
        if wish not in forms:
            expected = f"a {name} that the law of {place.value} lets stand: {', '.join(forms)}"
            problems.append(Problem(place=f"{where}.{kind}", found=wish, expected=expected, nearest=next(iter(forms))))
            continue
        most = forms[wish].most_cm2
        if most is not None and surface_cm2 > most:
            found = f"{wish} on {surface_cm2:g} cm2"
            expected = f"at most {most:.0f} cm2 to bear labels ({forms[wish].source.text})"
            problems.append(Problem(place=f"{where}.{kind}", found=found, expected=expected, nearest=next(iter(forms))))
            continue
        chosen[kind] = wish
    stickers = wished.get("stickers", "")
    if stickers and stickers not in grids():
        expected = "a sheet of stickers of the table: " + ", ".join(grids())
        problems.append(Problem(place=f"{where}.stickers", found=stickers, expected=expected))
    if problems:
        raise BadInput(problems)
    return chosen
