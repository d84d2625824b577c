"""The venue's allergen card: tiers against allergens, in words and in marks that need no colour."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from tierwright.brief.commission import Jurisdiction
from tierwright.label.model import Presence, Trace, UnitLabel
from tierwright.label.rules import allergen_list
from tierwright.larder import Allergen, Answer

MARK_WORDS: Final[Mapping[Presence, str]] = {
    Presence.PRESENT: "contains",
    Presence.MAY: "may contain",
    Presence.SUSPECTED: "not known: ask",
    Presence.UNREAD: "not known: ask",
    Presence.NOT_DECLARED: "not declared",
}
"""What each mark of the card means."""

NOT_A_PROMISE: Final = (
    "'Not declared' means that no packet names it. It is not a promise that it is absent: one kitchen made it all, and "
    "one knife may cut it all."
)
VEGAN_IS_NO_PROMISE: Final = (
    "A tier made vegan is made so for a way of eating. It is no promise to a guest with an allergy to milk or egg."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CardRow:
    """One cake of the card: its name, the mark of each column, and what may be said of its diet."""

    key: str
    name: str
    food_name: str
    marks: tuple[Presence, ...]
    diet: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """
    The matrix of the card.

    Attributes
    ----------
    columns
        Words of the allergens, in the order of the place's list.
    allergens
        The same as keys of the larder.
    rows
        Cakes, in the order of the labels.
    legend, lines
        Marks and their words; sentences below the matrix.
    """

    columns: tuple[str, ...]
    allergens: tuple[Allergen, ...]
    rows: tuple[CardRow, ...]
    legend: tuple[tuple[Presence, str], ...]
    lines: tuple[str, ...]


def card_of(labels: Sequence[UnitLabel], place: Jurisdiction) -> Card:
    """
    Return the allergen card of some cakes.

    Every allergen of the place's list has its column, held or not, so that a blank is never read as a no.
    """
    listed = allergen_list(place)
    rows = tuple(
        CardRow(
            key=label.key,
            name=label.name,
            food_name=label.food_name,
            marks=tuple(label.mark(allergen) for allergen in listed),
            diet=diet_words(label),
        )
        for label in labels
    )
    lines = [NOT_A_PROMISE]
    if any("vegan" in label.diet.casefold() for label in labels):
        lines.append(VEGAN_IS_NO_PROMISE)
    return Card(
        columns=tuple(entry.word for entry in listed.values()),
        allergens=tuple(listed),
        rows=rows,
        legend=(
            (Presence.PRESENT, MARK_WORDS[Presence.PRESENT]),
            (Presence.MAY, MARK_WORDS[Presence.MAY]),
            (Presence.UNREAD, MARK_WORDS[Presence.UNREAD]),
            (Presence.NOT_DECLARED, MARK_WORDS[Presence.NOT_DECLARED]),
        ),
        lines=tuple(lines),
    )


def diet_words(label: UnitLabel) -> str:
    """Return what may be said of a cake's diet: by its ingredients, never about allergies."""
    if not label.diet:
        return ""
    if "vegan" not in label.diet.casefold():
        return f"made {label.diet}"
    return {
        Answer.YES: "made vegan; no promise for milk or egg allergy",
        Answer.NO: "NOT vegan as it stands; no promise for milk or egg allergy",
        Answer.ASK: "vegan not settled: packets to read; no promise for milk or egg allergy",
    }[label.vegan]


def card_text(labels: Sequence[UnitLabel], traces: Sequence[Trace], place: Jurisdiction, title: str = "") -> str:
    """Return the allergen card as plain text: a line for each cake and what is known of it."""
    listed = allergen_list(place)
    lines = [title or "Allergens of this cake"]
    for label in labels:
        said = [f"{label.name} ({label.food_name})" if label.food_name else label.name]
        marks = dict(label.marks)
        for presence, words in ((Presence.PRESENT, "contains"), (Presence.MAY, "may contain")):
            names = [listed[a].word for a in listed if marks[a] is presence]
            if names:
                said.append(f"{words}: {', '.join(dict.fromkeys(names))}")
        unknown = [listed[a].word for a in listed if marks[a].is_unknown]
        if unknown:
            unread = unread_packets(traces, label.name)
            everything = all(mark.is_unknown or mark is Presence.PRESENT for mark in marks.values())
            what = "all others" if everything else ", ".join(dict.fromkeys(unknown))
            said.append(f"not known: {what}" + (f" (packets to read: {', '.join(unread)})" if unread else ""))
        if diet_words(label):
            said.append(diet_words(label))
        lines.append(". ".join(said) + ".")
    lines.append(NOT_A_PROMISE)
    return "\n".join(lines)


def unread_packets(traces: Sequence[Trace], unit_name: str) -> list[str]:
    """Return the ingredients of a cake whose packets settle what is not known, by name."""
    names = [trace.path[2] for trace in traces if trace.path[0] == unit_name and trace.presence.is_unknown]
    return list(dict.fromkeys(names))
