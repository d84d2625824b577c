"""From formulas and coated tiers to what labels need."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from tierwright.brief import Commission, Kitchen
from tierwright.brief.kitchen import Licence
from tierwright.coating import CoatedTier, Coating, Part
from tierwright.dossier.coating_stage import BAKE_LOSS, BAKE_LOSS_SOURCE
from tierwright.formula import Formulas, FormulaWork
from tierwright.label import (
    BrandLot,
    Component,
    CrossContact,
    Durability,
    LabelOrder,
    Labels,
    Maker,
    PartOf,
    Sale,
    Unit,
    Used,
    label_cake,
)
from tierwright.larder import Group, ingredient, ingredients
from tierwright.sizing import Sizing, TierKind
from tierwright.units import English
from tierwright.words import FormulaKind

_INEDIBLE: Final = (Part.BOARD, Part.FOAM)
_NOUNS: Final = {
    Part.SPONGE: "cake",
    Part.FILLING: "filling",
    Part.SOAK: "syrup",
    Part.DAM: "filling",
    Part.CRUMB_COAT: "icing",
    Part.COAT: "icing",
    Part.ROLLED: "rolled icing",
    Part.MARZIPAN: "marzipan",
}


def label_stage(
    commission: Commission,
    kitchen: Kitchen,
    sizing: Sizing,
    formulas: Formulas,
    coating: Coating,
    *,
    lots: Sequence[BrandLot] = (),
    cross_contact: Sequence[CrossContact] = (),
    maker: Maker | None = None,
    durability: Durability | None = None,
    batch: str = "",
    losses: dict[str, float] | None = None,
) -> Labels:
    """
    Run the label stage.

    Parameters
    ----------
    commission, kitchen, sizing, formulas, coating
        The brief and the answers of the stages before.
    lots, cross_contact, maker, durability, batch
        What the kitchen has recorded; what is missing is asked for.
    losses
        Share of each batter that leaves as steam, by formula, where the bake stage knows it. [-]
    """
    return _labelled(
        label_order(
            commission,
            kitchen,
            sizing,
            formulas,
            coating,
            lots=lots,
            cross_contact=cross_contact,
            maker=maker,
            durability=durability,
            batch=batch,
            losses=losses,
        )
    )


@lru_cache(maxsize=256)
def _labelled(order: LabelOrder) -> Labels:
    """Label one order; another version of a commission made of the same is not labelled again."""
    return label_cake(order)


def label_order(
    commission: Commission,
    kitchen: Kitchen,
    sizing: Sizing,
    formulas: Formulas,
    coating: Coating,
    *,
    lots: Sequence[BrandLot] = (),
    cross_contact: Sequence[CrossContact] = (),
    maker: Maker | None = None,
    durability: Durability | None = None,
    batch: str = "",
    losses: dict[str, float] | None = None,
) -> LabelOrder:
    """Translate a commission that has been worked through; see ``label_stage``."""
    english = kitchen.units.english
    units = _units(commission, sizing, coating)
    nouns: dict[str, str] = {}
    for tier in (*coating.tiers, *coating.kitchen_cakes):
        for part in tier.parts:
            if part.part not in _INEDIBLE:
                nouns.setdefault(part.formula, _NOUNS[part.part])
    works = {work.formula.text.key: work for work in formulas.works}
    used = dict.fromkeys(part.component for unit in units for part in unit.parts)
    return LabelOrder(
        jurisdiction=commission.jurisdiction,
        english=english,
        components=tuple(
            component_of(works[key], nouns[key], (losses or {}).get(key))
            if key in works
            else bought(key, nouns[key], english)
            for key in used
        ),
        units=units,
        lots=tuple(lots),
        cross_contact=tuple(cross_contact),
        maker=maker or Maker(),
        durability=durability,
        batch=batch,
        sale=Sale.TO_ORDER,
        remote=not commission.travel.collected_by_client,
        home_kitchen=kitchen.licence is Licence.HOME,
    )


def component_of(work: FormulaWork, noun: str, loss: float | None = None) -> Component:
    """
    Translate a formula, changed by what is made of it, into a component of a label.

    Parameters
    ----------
    work
        The formula worked through.
    noun
        What it is on the label.
    loss
        Share that leaves as steam; None takes the usual one for what is baked, none for what is not. [-]
    """
    text = work.formula.text
    parts = work.formula.parts
    baked = text.kind.is_batter
    share = loss if loss is not None else BAKE_LOSS.value if baked else 0.0
    leaveners = any(ingredient(line.ingredient).group is Group.LEAVENER for line in parts)
    return Component(
        key=text.key,
        name=text.name,
        noun=noun,
        used=tuple(Used(ingredient=line.ingredient, grams=line.grams.value) for line in parts),
        loss_share=share,
        loss_source=BAKE_LOSS_SOURCE.text if share else "",
        leavened=leaveners if baked else None,
    )


def bought(key: str, noun: str, english: English) -> Component:
    """Translate a bought coat or filling, or one that no formula names, into a component of a label."""
    found = ingredients().get(key)
    name = key if found is None else found.name_uk if english is English.UK else found.name_us
    return Component(key=key, name=name, noun=noun, used=(Used(ingredient=key, grams=100.0),))


def noun_for(kind: FormulaKind) -> str:
    """Return what a formula by itself is called on a label."""
    return "cake" if kind.is_batter else "icing" if "buttercream" in kind.value else kind.value


def _units(commission: Commission, sizing: Sizing, coating: Coating) -> tuple[Unit, ...]:
    stack = sizing.stack
    flavours = commission.cake.flavours
    units: list[Unit] = []
    for tier, coated in zip(stack.tiers, coating.tiers, strict=True):
        if tier.kind is not TierKind.CAKE:
            continue
        flavour = flavours[tier.flavour]
        units.append(
            Unit(
                key=f"tier.{tier.number}",
                name=f"{tier.name} tier",
                food_name=flavour.name,
                parts=_parts(coated),
                portions=0 if tier.cutting is None else tier.cutting.portions,
                diet=flavour.diet or "",
            )
        )
    for number, (cake, coated) in enumerate(zip(stack.kitchen_cakes, coating.kitchen_cakes, strict=True), start=1):
        flavour = flavours[cake.flavour]
        units.append(
            Unit(
                key=f"kitchen.{number}",
                name="kitchen cake" if len(stack.kitchen_cakes) == 1 else f"kitchen cake {number}",
                food_name=flavour.name,
                parts=_parts(coated),
                portions=cake.cutting.portions,
                diet=flavour.diet or "",
                count=cake.count,
            )
        )
    return tuple(units)


def _parts(coated: CoatedTier) -> tuple[PartOf, ...]:
    """Gather what is on a cake by formula, in the order of the coating; boards and foam are not food."""
    masses: dict[str, float] = {}
    for part in coated.parts:
        if part.part not in _INEDIBLE and part.on_cake_g.value > 0:
            masses[part.formula] = masses.get(part.formula, 0.0) + part.on_cake_g.value
    return tuple(PartOf(component=key, grams=grams) for key, grams in masses.items())
