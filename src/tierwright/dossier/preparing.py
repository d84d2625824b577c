"""The order of the stages, which nothing else knows."""

from __future__ import annotations

from tierwright.brief import Commission, Kitchen
from tierwright.dossier.bake_stage import bake_layers, bake_losses
from tierwright.dossier.brief_stage import note_allergies, note_brief, note_diets
from tierwright.dossier.coating_stage import coat_tiers, loss_assumed
from tierwright.dossier.finish_stage import finish_tiers, wares_needed, worn_by
from tierwright.dossier.formula_stage import weigh_formulas
from tierwright.dossier.handover_stage import hand_over_stage
from tierwright.dossier.keeping_stage import keep_tiers
from tierwright.dossier.label_stage import label_stage, lots_of
from tierwright.dossier.model import FORMAT, Dossier
from tierwright.dossier.money_stage import price_stage, purchase_stage
from tierwright.dossier.settling import settled
from tierwright.dossier.sizing_stage import pan_choices, size_tiers
from tierwright.dossier.sugar_stage import work_sugar
from tierwright.dossier.support_stage import stand_tiers, supports_needed
from tierwright.measures import notes_in_measures
from tierwright.sizing import Sizing
from tierwright.working import Notes


def prepare(commission: Commission, kitchen: Kitchen) -> Dossier:
    """
    Work one commission through, from the brief to the dossier that is kept and compared.

    Returns
    -------
    dossier
        ``look_through``'s, cut to the digits that every machine agrees on: the same for the same input, on any machine.

    Raises
    ------
    BadInput, Infeasible, OutOfRange
        As ``look_through`` does.
    """
    return settled(look_through(commission, kitchen))


def look_through(commission: Commission, kitchen: Kitchen) -> Dossier:
    """
    Work one commission through, to look at what it comes to and perhaps to let it be.

    Parameters
    ----------
    commission, kitchen
        What the client wants; what the maker has.

    Returns
    -------
    dossier
        To all the digits that this machine gives; ``settled`` before it is kept.

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
    choices = pan_choices(commission, kitchen)
    # Batters first: how they bake says what the layers weigh, and so what the coats carry.
    batters = weigh_formulas(commission, kitchen, sizing, choices, needs=())
    bakes, bake_notes = bake_layers(commission, kitchen, batters.works, choices, _job_names(sizing))
    losses = bake_losses(bakes)
    plain = coat_tiers(commission, kitchen, sizing, losses)
    # What is piped, dripped and spread over the coats is weighed, carried, declared and priced with them.
    finish, coating, finish_notes = finish_tiers(commission, kitchen, sizing, plain)
    formulas = weigh_formulas(commission, kitchen, sizing, choices, coating.needs)
    sugar, sugar_notes = work_sugar(commission, kitchen, formulas.works)
    support, support_notes = stand_tiers(commission, kitchen, sizing, coating, finish)
    keeping, keeping_notes = keep_tiers(commission, kitchen, sizing, formulas, coating, losses=losses, sugar=sugar)
    labels = label_stage(
        commission,
        kitchen,
        sizing,
        formulas,
        coating,
        keeping=keeping,
        finish=finish,
        losses={key: loss.value for key, loss in losses.items()},
    )
    purchase = purchase_stage(
        commission,
        kitchen,
        formulas,
        coating,
        sizing,
        supports=supports_needed(support),
        wares=wares_needed(finish),
    )
    loads = bakes.loads
    price = price_stage(
        commission,
        kitchen,
        sizing,
        formulas,
        coating,
        purchase,
        oven_kwh=None if loads is None else loads.energy_kwh,
        bakes=None if loads is None else len(loads.loads),
        finish=finish,
    )
    handover = hand_over_stage(
        commission,
        kitchen,
        sizing,
        formulas,
        coating,
        bakes=bakes,
        support=support,
        keeping=keeping,
        purchase=purchase,
        finish=finish,
    )
    notes = (
        # An allergen that is certainly inside comes before everything else.
        note_allergies(commission, labels)
        + note_diets(
            commission, formulas, lots_of(kitchen, commission.labelling.lots), worn_by(commission, sizing, coating)
        )
        + note_brief(commission, kitchen)
        + sizing.notes
        + formulas.notes
        + bake_notes
        + sugar_notes
        + coating.notes
        + finish_notes
        + support_notes
        + keeping_notes
        + labels.notes
        + purchase.notes
        + price.notes
        + handover.notes
        + Notes(
            assumptions=loss_assumed(flavour.cake for flavour in commission.cake.flavours if flavour.cake not in losses)
        )
    )
    notes = notes_in_measures(notes, kitchen.units.display())
    return Dossier(
        format=FORMAT,
        commission=commission,
        kitchen=kitchen,
        sizing=sizing,
        formulas=formulas,
        coating=coating,
        finish=finish,
        bakes=bakes,
        sugar=sugar,
        support=support,
        keeping=keeping,
        labels=labels,
        purchase=purchase,
        price=price,
        handover=handover,
        notes=Notes(
            figures=notes.figures,
            # Sorting keeps the order of the stages among questions of one severity.
            questions=tuple(sorted(notes.questions, key=lambda question: -question.severity)),
            cautions=notes.cautions,
            assumptions=notes.assumptions,
        ),
    )


def _job_names(sizing: Sizing) -> dict[str, str]:
    """Name each pan job as a maker does."""
    names = {f"tier.{tier.number}": f"{tier.name} tier" for tier in sizing.stack.tiers}
    return names | {f"kitchen.{n}": f"kitchen cake {n}" for n in range(1, len(sizing.stack.kitchen_cakes) + 1)}
