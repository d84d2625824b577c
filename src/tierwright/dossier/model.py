"""What a dossier is: everything worked out for one commission, frozen, with its working."""

from __future__ import annotations

from dataclasses import dataclass

from tierwright.brief import Commission, Kitchen
from tierwright.coating import Coating
from tierwright.dossier.bake_stage import Bakes
from tierwright.dossier.finish_stage import FinishWork
from tierwright.dossier.sugar_stage import SugarWork
from tierwright.dossier.support_stage import SupportWork
from tierwright.formula import Formulas
from tierwright.handover import Handover
from tierwright.keeping import Keeping
from tierwright.label import Labels
from tierwright.price import Priced
from tierwright.purchase import PurchasePlan
from tierwright.sizing import Sizing
from tierwright.working import Notes

FORMAT = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Dossier:
    """
    One commission, worked through.

    Attributes
    ----------
    format
        Layout of this record; a later program reads older ones.
    commission, kitchen
        What it was worked from, whole.
    sizing, formulas, coating
        The answers of the stages.
    finish
        What the finished cake wears, and the surfaces that it lies on; None where a tier cannot be carved as asked.
    bakes
        How each kind of layer bakes, and in which loads.
    sugar
        What the sugar room says of each formula that is boiled, beaten or mixed.
    support
        Supports, boards, how to carry it, and what was asked for that; None where nothing owned carries the tiers.
    keeping
        From oven to last slice: the temperature line of every tier and what it means; None where it cannot be computed.
    labels
        What has to be said of it by the law of the place: ingredients, allergens, nutrition.
    purchase
        What to buy.
    price
        What it costs, and what is asked.
    handover
        What goes along with the cake, what has to come out of it, and every date.
    notes
        Every figure, caution and assumption in the order of the stages, and the open questions, most serious first.
    """

    format: int
    commission: Commission
    kitchen: Kitchen
    sizing: Sizing
    formulas: Formulas
    coating: Coating
    finish: FinishWork | None = None
    bakes: Bakes
    sugar: tuple[SugarWork, ...]
    support: SupportWork | None
    keeping: Keeping | None
    labels: Labels
    purchase: PurchasePlan
    price: Priced
    handover: Handover
    notes: Notes
