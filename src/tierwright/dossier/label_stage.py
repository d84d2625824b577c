"""From formulas and coated tiers to what labels need."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from tierwright.brief import Commission, Kitchen
from tierwright.brief.commission import Jurisdiction
from tierwright.brief.kitchen import Licence
from tierwright.brief.packets import LabelBook, Met, Packet, PacketNutrition
from tierwright.coating import CoatedTier, Coating, Part
from tierwright.dossier.bake_stage import bake_losses
from tierwright.dossier.brief_stage import allergens_named, guests_of
from tierwright.dossier.coating_stage import BAKE_LOSS, BAKE_LOSS_SOURCE
from tierwright.dossier.finish_stage import FinishWork
from tierwright.dossier.label_dates import batch_of, durability_of, made_on, note_dates
from tierwright.dossier.label_decor import assumed, laid_on, note_flowers
from tierwright.formula import Formulas, FormulaWork
from tierwright.keeping import Keeping
from tierwright.label import (
    FORM_KINDS,
    SALT_PER_SODIUM,
    Avoided,
    BrandLot,
    Component,
    CrossContact,
    LabelOrder,
    Labels,
    Maker,
    PartOf,
    Sale,
    Style,
    Unit,
    Used,
    chosen_forms,
    label_cake,
)
from tierwright.larder import Composition, Group, find, ingredient, ingredients
from tierwright.sizing import Sizing, TierKind
from tierwright.units import English
from tierwright.words import FormulaKind, listed
from tierwright.working import Notes, Question, Severity

if TYPE_CHECKING:
    from tierwright.dossier.model import Dossier

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
    Part.PIPING: "icing",
    Part.STRIPES: "icing",
    Part.BAND: "icing",
    Part.DRIP: "glaze",
}
_SALES: Final = {"to-order": Sale.TO_ORDER, "direct": Sale.DIRECT, "prepacked": Sale.PREPACKED}


def label_stage(
    commission: Commission,
    kitchen: Kitchen,
    sizing: Sizing,
    formulas: Formulas,
    coating: Coating,
    *,
    keeping: Keeping | None = None,
    finish: FinishWork | None = None,
    losses: Mapping[str, float] | None = None,
) -> Labels:
    """
    Run the label stage.

    Parameters
    ----------
    commission, kitchen, sizing, formulas, coating
        The brief and the answers of the stages before; what the kitchen has not recorded is asked for.
    keeping
        What is known of how it keeps, for the date mark; None where nothing is.
    finish
        What is laid on beside the coats and what is piped on them; None where nothing is known of it.
    losses
        Share of each batter that leaves as steam, by formula, where the bake stage knows it. [-]

    Raises
    ------
    BadInput
        A form of the label that the law of the place does not let stand.
    """
    order = label_order(commission, kitchen, sizing, formulas, coating, keeping=keeping, finish=finish, losses=losses)
    labels = _labelled(order)
    more = note_dates(commission, order.durability) + _note_lots(commission, kitchen) + note_flowers(finish)
    decor = {component.key: component for component in order.components}
    return replace(labels, notes=labels.notes + more + Notes(assumptions=assumed(decor)))


def relabel(dossier: Dossier, book: LabelBook) -> Labels:
    """Label a dossier anew as if the kitchen had recorded something else; nothing but the labels is worked out."""
    losses = {key: loss.value for key, loss in bake_losses(dossier.bakes).items()}
    return label_stage(
        dossier.commission,
        dossier.kitchen.model_copy(update={"labelling": book}),
        dossier.sizing,
        dossier.formulas,
        dossier.coating,
        keeping=dossier.keeping,
        finish=dossier.finish,
        losses=losses,
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
    keeping: Keeping | None = None,
    finish: FinishWork | None = None,
    losses: Mapping[str, float] | None = None,
) -> LabelOrder:
    """Translate a commission that has been worked through; see ``label_stage``."""
    wish, place = commission.labelling, commission.jurisdiction
    forms = chosen_forms(
        place,
        {kind: getattr(wish, kind) for kind in (*FORM_KINDS, "stickers")},
        wish.surface_cm2,
    )
    english = English(wish.english) if wish.english else kitchen.units.english
    laid, decor, unnamed = laid_on(commission, coating, finish, english)
    units = _units(commission, sizing, coating, laid)
    nouns: dict[str, str] = {}
    for tier in (*coating.tiers, *coating.kitchen_cakes):
        for part in tier.parts:
            if part.part not in _INEDIBLE:
                nouns.setdefault(part.formula, _NOUNS[part.part])
    works = {work.formula.text.key: work for work in formulas.works}
    used = dict.fromkeys(part.component for unit in units for part in unit.parts)
    made = made_on(commission, keeping)
    return LabelOrder(
        jurisdiction=place,
        english=english,
        components=tuple(
            decor[key]
            if key in decor
            else component_of(works[key], nouns[key], (losses or {}).get(key))
            if key in works
            else bought(key, nouns[key], english)
            for key in used
        ),
        units=units,
        lots=lots_of(kitchen, wish.lots),
        cross_contact=tuple(_met(one) for one in (*kitchen.labelling.cross_contact, *wish.cross_contact)),
        maker=maker_of(kitchen.labelling),
        durability=durability_of(commission, keeping),
        batch=batch_of(commission, kitchen, made),
        sale=_SALES[forms["sale"]],
        remote=not commission.travel.collected_by_client,
        home_kitchen=kitchen.licence is Licence.HOME,
        style=Style.BY_COMPONENT if forms["list_style"] == "by-component" else Style.ONE_LIST,
        short=forms["compounds"] == "short",
        stress=tuple(found.key for name in wish.stress if (found := find(name).ingredient) is not None),
        allergens=forms["allergens"],
        french=forms["languages"] == "en+fr",
        panel=forms["panel"],
        stickers=wish.stickers,
        surface_cm2=wish.surface_cm2,
        region=kitchen.labelling.region or "",
        avoided=_avoided(commission),
        unnamed=unnamed,
    )


def order_of_one(
    place: Jurisdiction,
    english: English,
    component: Component,
    unit: Unit,
    book: LabelBook,
    *,
    forms: Mapping[str, str],
    surface_cm2: float = 500.0,
) -> LabelOrder:
    """
    Return what labels one formula without a commission.

    Parameters
    ----------
    place, english
        Whose law, and whose English.
    component, unit
        What is made, and the package of it.
    book
        What the kitchen has recorded.
    forms
        Lawful forms by kind; a kind that is left out takes the usual one.
    surface_cm2
        Surface of the package that can bear labels. [cm2]

    Raises
    ------
    BadInput
        A form that the place does not let stand.
    """
    chosen = chosen_forms(place, forms, surface_cm2, "--form")
    return LabelOrder(
        jurisdiction=place,
        english=english,
        components=(component,),
        units=(unit,),
        lots=tuple(one for one, used_up in _of_book(book) if not used_up),
        cross_contact=tuple(_met(one) for one in book.cross_contact),
        maker=maker_of(book),
        sale=_SALES[chosen["sale"]],
        style=Style.BY_COMPONENT if chosen["list_style"] == "by-component" else Style.ONE_LIST,
        short=chosen["compounds"] == "short",
        allergens=chosen["allergens"],
        french=chosen["languages"] == "en+fr",
        panel=chosen["panel"],
        surface_cm2=surface_cm2,
        region=book.region or "",
    )


def _of_book(book: LabelBook) -> tuple[tuple[BrandLot, bool], ...]:
    """Return the packets of a book, each with whether it is used up."""
    return tuple(
        (lot_of(known.key, one), one.used_up) for one in book.packets if (known := find(one.ingredient).ingredient)
    )


def _of_pantry(kitchen: Kitchen) -> tuple[BrandLot, ...]:
    """Return the lots of the pantry whose label was read."""
    return tuple(
        BrandLot(ingredient=known.key, lot=one.lot, contains=one.contains, may_contain=one.may_contain)
        for one in kitchen.accounts.pantry
        if one.label_read and (known := find(one.ingredient).ingredient)
    )


def lots_of(kitchen: Kitchen, chosen: Sequence[str] = ()) -> tuple[BrandLot, ...]:
    """
    Return the packets that a cake is made from.

    Lots that the commission names go alone for their ingredient; else every packet counts that is not used up. A lot
    of the pantry whose label was read counts where no packet of its name is recorded.
    """
    lots = list(_of_book(kitchen.labelling))
    recorded = {(one.ingredient, one.lot) for one, _ in lots}
    lots += [(one, False) for one in _of_pantry(kitchen) if (one.ingredient, one.lot) not in recorded]
    named = {one.ingredient for one, _ in lots if one.lot in chosen}
    return tuple(one for one, used_up in lots if (one.lot in chosen if one.ingredient in named else not used_up))


def lot_of(key: str, packet: Packet) -> BrandLot:
    """Translate a packet of the brief into a lot of the label room."""
    return BrandLot(
        ingredient=key,
        lot=packet.lot,
        product=packet.product,
        declaration=packet.declaration,
        contains=packet.contains,
        may_contain=packet.may_contain,
        denied=packet.denied,
        species=packet.species,
        sulphites_mg_per_kg=packet.sulphites_mg_per_kg,
        vegan=packet.vegan,
        composition=None if packet.nutrition is None else _composition(ingredient(key).composition, packet.nutrition),
        photo=packet.photo,
        read_on=packet.read_on,
        declaration_french=packet.declaration_french,
    )


def _composition(table: Composition, said: PacketNutrition) -> Composition:
    """Lay what a packet's panel says over the table's composition; what changes is made up with water."""
    fibre = table.fibre_g if said.fibre is None else said.fibre
    carbohydrate = table.carbohydrate_g
    if said.carbohydrate is not None:
        carbohydrate = said.carbohydrate + (0.0 if said.with_fibre else fibre)
    fat = table.fat_g if said.fat is None else said.fat
    protein = table.protein_g if said.protein is None else said.protein
    sodium_g = said.sodium if said.salt is None or said.sodium is not None else said.salt / SALT_PER_SODIUM
    more = fat + protein + carbohydrate - table.fat_g - table.protein_g - table.carbohydrate_g
    other: dict[str, float] = {
        name: value * factor
        for name, value, factor in (
            ("saturated_g", said.saturated, 1.0),
            ("trans_g", said.trans, 1.0),
            ("sugars_g", said.sugars, 1.0),
            ("added_sugars_g", said.added_sugars, 1.0),
            ("sodium_mg", sodium_g, 1000.0),
            ("potassium_mg", said.potassium, 1000.0),
            ("calcium_mg", said.calcium, 1000.0),
            ("iron_mg", said.iron, 1000.0),
            ("cholesterol_mg", said.cholesterol, 1000.0),
        )
        if value is not None
    }
    return replace(
        table,
        fibre_g=fibre,
        carbohydrate_g=carbohydrate,
        fat_g=fat,
        protein_g=protein,
        water_g=max(table.water_g - more, 0.0),
        **other,
    )


def maker_of(book: LabelBook) -> Maker:
    """Return who answers for the food, as the kitchen has recorded it."""
    entry = book.maker
    return Maker(
        name=entry.name,
        address=entry.address,
        phone=entry.phone,
        permit=entry.permit,
        home_sentence=entry.home_sentence,
    )


def _met(entry: Met) -> CrossContact:
    return CrossContact(allergen=entry.allergen, where=entry.where, units=entry.cakes)


def _avoided(commission: Commission) -> tuple[Avoided, ...]:
    found: list[Avoided] = []
    for allergy in commission.allergies:
        guests = guests_of(allergy)
        found += [Avoided(allergen=known, guests=guests) for known in allergens_named(allergy.allergen)]
    return tuple(found)


def _note_lots(commission: Commission, kitchen: Kitchen) -> Notes:
    known = {one.lot for one, _ in _of_book(kitchen.labelling)} | {one.lot for one in _of_pantry(kitchen)}
    lost = [lot for lot in commission.labelling.lots if lot not in known]
    if not lost:
        return Notes()
    return Notes(
        questions=(
            Question(
                key="label.lots",
                severity=Severity.STOP,
                sheet="labels",
                text=f"Which packets are the lots {listed(lost)}?",
                reason="The commission is made from lots that the kitchen has no record of.",
                change="record the packets, or choose the lots anew",
            ),
        )
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


def _units(
    commission: Commission, sizing: Sizing, coating: Coating, laid: Mapping[int, tuple[PartOf, ...]]
) -> tuple[Unit, ...]:
    stack = sizing.stack
    flavours = commission.cake.flavours
    french = dict(enumerate(commission.labelling.names_french))
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
                parts=(*_parts(coated), *laid.get(tier.number, ())),
                portions=0 if tier.cutting is None else tier.cutting.portions,
                diet=flavour.diet or "",
                food_name_french=french.get(tier.flavour, ""),
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
                food_name_french=french.get(cake.flavour, ""),
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
