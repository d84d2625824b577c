"""The order of the stages, which nothing else knows."""

from __future__ import annotations

from tierwright.brief import Commission, Kitchen
from tierwright.dossier.brief_stage import note_allergies, note_brief, note_diets
from tierwright.dossier.coating_stage import coat_tiers
from tierwright.dossier.formula_stage import weigh_formulas
from tierwright.dossier.model import FORMAT, Dossier
from tierwright.dossier.sizing_stage import pan_choices, size_tiers
from tierwright.dossier.sugar_stage import work_sugar
from tierwright.working import Notes


def prepare(commission: Commission, kitchen: Kitchen) -> Dossier:
    """
    Work one commission through, from the brief to the dossier.

    Parameters
    ----------
    commission, kitchen
        What the client wants; what the maker has.

    Returns
    -------
    dossier
        The same for the same input, to the last digit.

    Raises
    ------
    BadInput
        Something in the formulas cannot be made into a cake; with all of it.
    Infeasible
        Nothing the maker has meets the brief; with the cheapest change that would.
    OutOfRange
        A measure beyond what can be computed.
    """
    sizing = size_tiers(commission, kitchen)
    coating, assumed = coat_tiers(commission, kitchen, sizing)
    choices = pan_choices(commission, kitchen)
    formulas = weigh_formulas(commission, kitchen, sizing, choices, coating.needs)
    sugar, sugar_notes = work_sugar(commission, kitchen, formulas.works)
    notes = (
        note_brief(commission, kitchen)
        + sizing.notes
        + formulas.notes
        + sugar_notes
        + coating.notes
        + Notes(assumptions=assumed)
        + note_allergies(commission, formulas)
        + note_diets(commission, formulas)
    )
    return Dossier(
        format=FORMAT,
        commission=commission,
        kitchen=kitchen,
        sizing=sizing,
        formulas=formulas,
        coating=coating,
        sugar=sugar,
        notes=Notes(
            figures=notes.figures,
            # Sorting keeps the order of the stages among questions of one severity.
            questions=tuple(sorted(notes.questions, key=lambda question: -question.severity)),
            cautions=notes.cautions,
            assumptions=notes.assumptions,
        ),
    )
