"""From an order to its labels: every tier, every component, the whole cake, and what is still to be asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tierwright.errors import BadInput, Problem
from tierwright.label.asking import blocks_of, notes_of
from tierwright.label.card import card_text
from tierwright.label.declaring import Larder, declare, in_french, prepare, used_in
from tierwright.label.fields import fields_of, net_quantity
from tierwright.label.model import Labels, PrintForm, Trace, UnitLabel
from tierwright.label.nutrition import Content, amounts, content, fill_assumptions, parts_of
from tierwright.label.order import Component, LabelOrder, PartOf, Unit
from tierwright.label.panel import Helping, panel
from tierwright.label.rules import allergen_list
from tierwright.label.serving import cake_class, reference_amount
from tierwright.label.sulphites import sulphite_assumptions, sulphite_mark
from tierwright.label.tracing import WHOLE, by_ingredient, know, marks, trace_unit, worst
from tierwright.larder import Allergen, Answer, Group, ingredients

_FRUITY = frozenset({Group.FRUIT, Group.DRIED_FRUIT, Group.NUT, Group.VEGETABLE})


def label_cake(order: LabelOrder) -> Labels:
    """
    Return the labels of a cake: what must be said of it on paper, by the law of the place.

    Nothing is ever declared free from anything. What only a packet can tell blocks the label, and is asked.

    Parameters
    ----------
    order
        What is made, of what, and how it is sold.

    Returns
    -------
    labels
        One for each cake and component and one for the whole, with the ways of every allergen.

    Raises
    ------
    BadInput
        A component or ingredient that nobody has described, with every such name.
    OutOfRange
        A mass of nought, or more steam than there is water.
    """
    _check(order)
    lots = by_ingredient(order.lots)
    keys = dict.fromkeys(used.ingredient for component in order.components for used in component.used)
    facts = {key: know(key, lots, order.english) for key in keys}
    larder = prepare(order, facts, lots)
    contents = {component.key: content(component, lots) for component in order.components}
    whole = _whole(order)
    traces: list[Trace] = []
    labelled: list[UnitLabel] = []
    for unit in (*order.units, whole):
        ways = trace_unit(unit, larder.components, facts, order.cross_contact, order.unnamed)
        labelled.append(_label(larder, unit, ways, contents))
        traces += ways
    parts = [_component_label(larder, component, contents, order) for component in order.components]
    units, complete = tuple(labelled[:-1]), labelled[-1]
    return Labels(
        jurisdiction=order.jurisdiction,
        english=order.english,
        units=units,
        whole=complete,
        components=tuple(part for part in parts if part is not None),
        traces=tuple(traces),
        card=card_text(units, traces, order.jurisdiction),
        notes=notes_of(order, units, complete, (*fill_assumptions(contents), *sulphite_assumptions(larder))),
        form=PrintForm(panel=order.panel, stickers=order.stickers, surface_cm2=order.surface_cm2),
    )


def _check(order: LabelOrder) -> None:
    problems: list[Problem] = []
    known = {component.key for component in order.components}
    for unit in order.units:
        if not unit.parts:
            problems.append(Problem(place=f"label.{unit.key}", found="no parts", expected="something to eat"))
        problems += [
            Problem(place=f"label.{unit.key}", found=part.component, expected="a component of the order")
            for part in unit.parts
            if part.component not in known
        ]
    table = ingredients()
    problems += [
        Problem(place=f"label.{component.key}", found=used.ingredient, expected="an ingredient of the larder")
        for component in order.components
        for used in component.used
        if used.ingredient not in table
    ]
    problems += [
        Problem(place=f"label.lots.{lot.lot}", found=lot.ingredient, expected="an ingredient of the larder")
        for lot in order.lots
        if lot.ingredient not in table
    ]
    if not order.units:
        problems.append(Problem(place="label", found="no cakes", expected="at least one tier or kitchen cake"))
    if problems:
        raise BadInput(problems)


def _whole(order: LabelOrder) -> Unit:
    """Return the whole cake as one unit."""
    masses: dict[str, float] = {}
    for unit in order.units:
        for part in unit.parts:
            masses[part.component] = masses.get(part.component, 0.0) + part.grams * unit.count
    diets = {unit.diet for unit in order.units}
    names = dict.fromkeys(unit.food_name for unit in order.units if unit.food_name)
    french = dict.fromkeys(unit.food_name_french for unit in order.units)
    return Unit(
        key=WHOLE,
        name="whole cake",
        food_name=", ".join(names),
        parts=tuple(PartOf(component=key, grams=grams) for key, grams in masses.items()),
        portions=sum(unit.portions * unit.count for unit in order.units),
        diet=diets.pop() if len(diets) == 1 else "",
        food_name_french="" if "" in french else ", ".join(french),
    )


def _component_label(
    larder: Larder, component: Component, contents: Mapping[str, Content], order: LabelOrder
) -> UnitLabel | None:
    grams = sum(
        part.grams * unit.count for unit in order.units for part in unit.parts if part.component == component.key
    )
    if grams <= 0:
        return None
    unit = Unit(
        key=f"component.{component.key}",
        name=component.name,
        food_name=component.name,
        parts=(PartOf(component=component.key, grams=grams),),
    )
    concerned = {
        user.key for user in order.units for part in user.parts if part.component == component.key and part.grams > 0
    }
    met = [
        replace(entry, units=())
        for entry in order.cross_contact
        if not entry.units or concerned.intersection(entry.units)
    ]
    return _label(larder, unit, trace_unit(unit, larder.components, larder.facts, met), contents)


def _label(larder: Larder, unit: Unit, ways: Sequence[Trace], contents: Mapping[str, Content]) -> UnitLabel:
    order = larder.order
    place = order.jurisdiction
    known = marks(ways)
    known[Allergen.SULPHITES] = sulphite_mark(larder, unit, ways, known[Allergen.SULPHITES])
    declaration = declare(larder, unit, known)
    found = amounts(parts_of(unit, contents), place)
    mass_g = sum(part.grams for part in unit.parts)
    reference_g = reference_amount(_class_of(larder, unit, mass_g))
    quantity = net_quantity(mass_g, place)
    answers = [larder.facts[key].vegan for key in used_in(larder, unit)]
    return UnitLabel(
        key=unit.key,
        name=unit.name,
        food_name=unit.food_name,
        mass_g=mass_g,
        declaration=declaration,
        nutrients=found,
        panel=panel(
            place,
            found,
            Helping(mass_g=mass_g, portions=unit.portions, reference_g=reference_g),
            french=order.french,
        ),
        net_quantity=quantity,
        fields=fields_of(order, unit.food_name, quantity),
        marks=tuple((allergen, known[allergen]) for allergen in allergen_list(place)),
        vegan=worst(answers) if answers else Answer.ASK,
        diet=unit.diet,
        blocks=blocks_of(larder, unit, ways, known),
        french=declare(in_french(larder), unit, known) if order.french else None,
        food_name_french=unit.food_name_french if order.french else "",
    )


def _class_of(larder: Larder, unit: Unit, mass_g: float) -> str:
    leavened = any(larder.components[part.component].leavened for part in unit.parts)
    baked = [part for part in unit.parts if larder.components[part.component].leavened is not None]
    fruit_g = 0.0
    for part in unit.parts:
        component = larder.components[part.component]
        batch = sum(used.grams for used in component.used) * (1.0 - component.loss_share)
        fruity = sum(used.grams for used in component.used if ingredients()[used.ingredient].group in _FRUITY)
        fruit_g += min(fruity / batch, 1.0) * part.grams
    return cake_class(
        leavened=leavened,
        coated=len(baked) < len(unit.parts),
        fruit_share=min(fruit_g / mass_g, 1.0),
        g_per_ml=unit.g_per_ml,
    )
