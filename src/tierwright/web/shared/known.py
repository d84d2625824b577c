"""What is known of allergens, in the words of the card: what is in it, what may be, and what only a packet can tell."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from tierwright.dossier import Dossier
from tierwright.label import Presence, card_of

MARKS: dict[Presence, tuple[str, Promise]] = {
    Presence.PRESENT: ("danger", _("contains")),
    Presence.MAY: ("stop", _("may contain")),
    Presence.SUSPECTED: ("ask", _("not settled yet")),
    Presence.UNREAD: ("ask", _("not settled yet")),
    # Never "free from": nothing here could carry such a promise, and the card's own sentence says so below.
    Presence.NOT_DECLARED: ("note", _("not declared")),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """One allergen in one cake: a shape and a word."""

    mark: str
    words: Promise


@dataclass(frozen=True, slots=True, kw_only=True)
class Allergens:
    """The matrix: cakes across, allergens down, and the sentences that belong below it."""

    cakes: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Known, ...]], ...]
    lines: tuple[str, ...]


def allergens_of(dossier: Dossier) -> Allergens:
    """Return what a dossier knows of allergens, for the client."""
    card = card_of(dossier.labels.units, dossier.labels.jurisdiction)
    rows = tuple(
        (word, tuple(_known(row.marks[place]) for row in card.rows)) for place, word in enumerate(card.columns)
    )
    return Allergens(cakes=tuple(row.name for row in card.rows), rows=rows, lines=tuple(card.lines))


def _known(presence: Presence) -> Known:
    mark, words = MARKS[presence]
    return Known(mark=mark, words=words)
