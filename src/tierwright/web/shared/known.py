"""What is known of allergens, in the words of the card: what is in it, what may be, and what only a packet can tell."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import get_language, pgettext_lazy
from django.utils.translation import gettext_lazy as _

from tierwright.dossier import Dossier
from tierwright.label import NOT_A_PROMISE, Presence, card_of
from tierwright.larder import Allergen

MARKS: dict[Presence, tuple[str, Promise]] = {
    Presence.PRESENT: ("danger", _("contains")),
    Presence.MAY: ("stop", _("may contain")),
    Presence.SUSPECTED: ("ask", _("not settled yet")),
    Presence.UNREAD: ("ask", _("not settled yet")),
    # Never "free from": nothing here could carry such a promise, and the card's own sentence says so below.
    Presence.NOT_DECLARED: ("note", _("not declared")),
}


ALLERGENS: dict[Allergen, Promise] = {
    Allergen.MILK: pgettext_lazy("allergen", "milk"),
    Allergen.EGG: pgettext_lazy("allergen", "egg"),
    Allergen.WHEAT: pgettext_lazy("allergen", "wheat"),
    Allergen.RYE: pgettext_lazy("allergen", "rye"),
    Allergen.BARLEY: pgettext_lazy("allergen", "barley"),
    Allergen.OATS: pgettext_lazy("allergen", "oats"),
    Allergen.PEANUT: pgettext_lazy("allergen", "peanut"),
    Allergen.SOY: pgettext_lazy("allergen", "soy"),
    Allergen.SESAME: pgettext_lazy("allergen", "sesame"),
    Allergen.ALMOND: pgettext_lazy("allergen", "almond"),
    Allergen.HAZELNUT: pgettext_lazy("allergen", "hazelnut"),
    Allergen.WALNUT: pgettext_lazy("allergen", "walnut"),
    Allergen.CASHEW: pgettext_lazy("allergen", "cashew"),
    Allergen.PECAN: pgettext_lazy("allergen", "pecan"),
    Allergen.BRAZIL_NUT: pgettext_lazy("allergen", "brazil nut"),
    Allergen.PISTACHIO: pgettext_lazy("allergen", "pistachio"),
    Allergen.MACADAMIA: pgettext_lazy("allergen", "macadamia"),
    Allergen.PINE_NUT: pgettext_lazy("allergen", "pine nut"),
    Allergen.COCONUT: pgettext_lazy("allergen", "coconut"),
    Allergen.CHESTNUT: pgettext_lazy("allergen", "chestnut"),
    Allergen.FISH: pgettext_lazy("allergen", "fish"),
    Allergen.CRUSTACEAN: pgettext_lazy("allergen", "crustacean"),
    Allergen.MOLLUSC: pgettext_lazy("allergen", "mollusc"),
    Allergen.CELERY: pgettext_lazy("allergen", "celery"),
    Allergen.MUSTARD: pgettext_lazy("allergen", "mustard"),
    Allergen.LUPIN: pgettext_lazy("allergen", "lupin"),
    Allergen.SULPHITES: pgettext_lazy("allergen", "sulphites"),
}
"""Each allergen in the reader's language; in English the place's own word is said instead."""

TIERS: dict[str, Promise] = {
    "single": pgettext_lazy("tier", "single"),
    "bottom": pgettext_lazy("tier", "bottom"),
    "second": pgettext_lazy("tier", "second"),
    "third": pgettext_lazy("tier", "third"),
    "fourth": pgettext_lazy("tier", "fourth"),
    "fifth": pgettext_lazy("tier", "fifth"),
    "sixth": pgettext_lazy("tier", "sixth"),
    "seventh": pgettext_lazy("tier", "seventh"),
    "middle": pgettext_lazy("tier", "middle"),
    "top": pgettext_lazy("tier", "top"),
    "single tier": _("single tier"),
    "bottom tier": _("bottom tier"),
    "second tier": _("second tier"),
    "third tier": _("third tier"),
    "fourth tier": _("fourth tier"),
    "fifth tier": _("fifth tier"),
    "sixth tier": _("sixth tier"),
    "seventh tier": _("seventh tier"),
    "middle tier": _("middle tier"),
    "top tier": _("top tier"),
    "kitchen cake": _("kitchen cake"),
    "whole cake": _("whole cake"),
}
"""What the rooms call a cake, in the reader's language."""

LINES: dict[str, Promise] = {
    NOT_A_PROMISE: _(
        "'Not declared' means that no packet names it. It is not a promise that it is absent: one kitchen made it "
        "all, and one knife may cut it all."
    ),
    "A tier made vegan is made so for a way of eating. It is no promise to a guest with an allergy to milk or egg.": _(
        "A tier made vegan is made so for a way of eating. It is no promise to a guest with an allergy to milk or egg."
    ),
}
"""The sentences that belong below the matrix: none may be left in a language that the client does not read."""


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
    english = (get_language() or "en").startswith("en")
    rows = tuple(
        (word if english else str(ALLERGENS[allergen]), tuple(_known(row.marks[place]) for row in card.rows))
        for place, (allergen, word) in enumerate(zip(card.allergens, card.columns, strict=True))
    )
    return Allergens(
        cakes=tuple(tier_words(row.name) for row in card.rows),
        rows=rows,
        lines=tuple(str(LINES.get(line, line)) for line in card.lines),
    )


def tier_words(name: str) -> str:
    """Return what a cake is called, in the reader's language."""
    return str(TIERS.get(name, name))


def _known(presence: Presence) -> Known:
    mark, words = MARKS[presence]
    return Known(mark=mark, words=words)
