"""What a helper's sheets leave out: money, and what guests react to. Hazards stay on every sheet."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from tierwright.dossier import Dossier
from tierwright.working import Notes, Question

MONEY_KEYS: Final = ("price.", "cost.", "buying.total", "buying.left_over", "buying.near_equal")
MONEY_SHEET: Final = "price"
HEALTH_KEYS: Final = ("allergy.", "diet.", "buying.label.")


def discreet(dossier: Dossier, *, prices: bool, health: bool) -> Dossier:
    """
    Return a dossier with notes that a person may read.

    Parameters
    ----------
    dossier
        The commission, worked through.
    prices
        Whether prices and wages may be read.
    health
        Whether guests' allergies and diets may be read.

    Notes
    -----
    Figures, questions and assumptions are left out by their keys and sheets; nothing is worked anew. A caution is left
    out for nobody.
    """
    notes, commission = dossier.notes, dossier.commission
    if not prices:
        notes = Notes(
            figures=tuple(one for one in notes.figures if not _of_money(one.key, one.sheet)),
            questions=tuple(one for one in notes.questions if not _of_money(one.key, one.sheet)),
            cautions=notes.cautions,
            assumptions=tuple(one for one in notes.assumptions if not _of_money(one.key)),
        )
        commission = commission.model_copy(update={"budget": None})
    if not health:
        named = tuple(allergy.allergen.casefold() for allergy in commission.allergies)
        notes = replace(
            notes,
            questions=tuple(one for one in notes.questions if not _of_health(one, named)),
            assumptions=tuple(one for one in notes.assumptions if not _names(f"{one.text} {one.value}", named)),
        )
        commission = commission.model_copy(update={"allergies": (), "diets": ()})
    return replace(dossier, notes=notes, commission=commission)


def _of_money(key: str, sheet: str = "") -> bool:
    return sheet == MONEY_SHEET or key.startswith(MONEY_KEYS)


def _of_health(question: Question, named: tuple[str, ...]) -> bool:
    said = f"{question.text} {question.reason} {question.figure} {question.change}"
    return question.key.startswith(HEALTH_KEYS) or _names(said, named)


def _names(said: str, named: tuple[str, ...]) -> bool:
    return any(name in said.casefold() for name in named)
