"""What a label must not be used without: packets to read, fields to fill, law to look up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, Protocol

from tierwright.brief.commission import Jurisdiction
from tierwright.label.declaring import Larder, used_in
from tierwright.label.model import Block, Presence, Trace, UnitLabel
from tierwright.label.order import LabelOrder, Sale, Unit
from tierwright.label.rules import CHECKED_ON, EDITIONS, allergen_list, exemption, home_sentence, rule
from tierwright.label.tracing import name_of
from tierwright.label.wording import marked_in
from tierwright.larder import Allergen, ingredient
from tierwright.working import (
    ARITHMETIC,
    COMMON_PRACTICE,
    Assumption,
    Basis,
    Caution,
    Figure,
    Given,
    Notes,
    Question,
    Severity,
    Source,
)


class _Ask(Protocol):
    def __call__(
        self, key: str, severity: Severity, text: str, reason: str, figure: str = "", change: str = ""
    ) -> None: ...


_SAID: Final = (
    ("contains", "Declared as inside", (Presence.PRESENT,)),
    ("may_contain", "Declared as possible in", (Presence.MAY,)),
    ("not_known", "Not known of", (Presence.SUSPECTED, Presence.UNREAD)),
)
"""What is told of a cake's allergens as figures, so that an allergen that turns is among the consequences."""
_SPECIES: Final = (Allergen.FISH, Allergen.CRUSTACEAN, Allergen.MOLLUSC)


def blocks_of(
    larder: Larder, unit: Unit, ways: Sequence[Trace], known: Mapping[Allergen, Presence]
) -> tuple[Block, ...]:
    """Return what keeps a label from being used: one block for each packet that has to be read or asked about."""
    place = larder.order.jurisdiction
    listed = allergen_list(place)
    suspects: dict[str, list[Allergen]] = {}
    reasons: dict[str, str] = {}
    for way in ways:
        if not way.presence.is_unknown:
            continue
        name = way.path[2]
        found = suspects.setdefault(name, [])
        if way.allergen in listed and way.allergen is not None and way.allergen not in found:
            found.append(way.allergen)
        reasons.setdefault(name, way.reason)
    blocks: list[Block] = []
    for name, allergens in suspects.items():
        words = ", ".join(listed[allergen].word for allergen in allergens)
        excepted = [exemption(place, allergen)[0] for allergen in allergens]
        spared = "; ".join(dict.fromkeys(text for text in excepted if text))
        asked = f"above all about {words}" if words else "about every allergen of the list"
        blocks.append(
            Block(
                key=f"label.{unit.key}.{name.replace(' ', '_')}",
                packet=name,
                text=f"What is in {name} is not settled: {reasons[name] or 'its packet has not been read'}.",
                ask=f"Read the packet's list and its 'may contain', and ask its maker {asked}"
                + (f" ({spared})" if spared else "")
                + ".",
            )
        )
    for key in used_in(larder, unit):
        blocks += [
            Block(
                key=f"label.{unit.key}.forbidden.{key}",
                packet=words,
                text=f"{entry.text} ({entry.source.text}); it is in {name_of(ingredient(key), larder.order.english)}.",
                ask="Use another, or read on the packet that this one is made without it.",
                is_forbidden=True,
            )
            for entry, words in marked_in(larder.names[key], place)
            if entry.is_forbidden
        ]
    blocks += _french_blocks(larder, unit)
    for allergen in _SPECIES:
        if allergen not in listed or "species" not in listed[allergen].note or known[allergen] is not Presence.PRESENT:
            continue
        named = [lot for lots in larder.lots.values() for lot in lots if allergen in lot.contains and lot.species]
        if not named:
            blocks.append(
                Block(
                    key=f"label.{unit.key}.species.{allergen.value}",
                    packet=listed[allergen].word,
                    text=f"{listed[allergen].word.capitalize()} has to be named by its species.",
                    ask="Read the species on the packet and record it.",
                )
            )
    return tuple(blocks)


def _french_blocks(larder: Larder, unit: Unit) -> list[Block]:
    """Return a block for each packet whose list was recorded in English alone, where the label says it in French."""
    if not larder.order.french:
        return []
    return [
        Block(
            key=f"label.{unit.key}.french.{key}",
            packet=name_of(ingredient(key), larder.order.english),
            text=f"What the packet of {name_of(ingredient(key), larder.order.english)} says in French is not recorded.",
            ask="Copy the packet's French list word for word.",
        )
        for key in used_in(larder, unit)
        if any(lot.declaration and not lot.declaration_french for lot in larder.lots.get(key, ()))
    ]


def notes_of(order: LabelOrder, units: Sequence[UnitLabel], whole: UnitLabel, filled: Sequence[Assumption]) -> Notes:
    """Return the figures, questions, cautions and assumptions of the labels."""
    return Notes(
        figures=tuple(_figures(order, (*units, whole))),
        questions=tuple(_questions(order, units, whole)),
        cautions=tuple(_cautions(units)),
        assumptions=(*_assumptions(order), *filled),
    )


def _figures(order: LabelOrder, labels: Sequence[UnitLabel]) -> list[Figure]:
    figures: list[Figure] = []
    metric = order.jurisdiction not in (Jurisdiction.US, Jurisdiction.CANADA)
    listed = allergen_list(order.jurisdiction)
    law = Source(basis=Basis.PUBLISHED, text=f"{EDITIONS[order.jurisdiction]}, list of allergens")
    for label in labels:
        for key, what, marks in _SAID:
            names = dict.fromkeys(listed[a].word for a, mark in label.marks if mark in marks)
            figures.append(
                Figure(
                    key=f"label.{label.key}.{key}",
                    label=f"{what} the {label.name}",
                    value=", ".join(names) or "none of the list",
                    equation="the strongest that is known by any way from a packet to the cake",
                    source=law,
                    sheet="labels",
                )
            )
        by_name = {amount.nutrient: amount for amount in label.nutrients}
        energy = by_name["energy_kj" if metric else "energy_kcal"]
        figures.append(
            Figure(
                key=f"label.{label.key}.mass_g",
                label=f"Net quantity of the {label.name}",
                value=label.mass_g,
                unit="g",
                equation="sum of the components on it, ready to eat",
                source=ARITHMETIC,
                sheet="labels",
            )
        )
        figures.append(
            Figure(
                key=f"label.{label.key}.energy",
                label=f"Energy in 100 g of the {label.name}",
                value=energy.low,
                unit="kJ" if metric else "kcal",
                equation="sum over protein, fat, carbohydrate, fibre and alcohol of grams x energy of a gram",
                inputs=(
                    Given(name="fat", value=by_name["fat_g"].low, unit="g"),
                    Given(name="carbohydrate", value=by_name["carbohydrate_g"].low, unit="g"),
                    Given(name="fibre", value=by_name["fibre_g"].low, unit="g"),
                    Given(name="protein", value=by_name["protein_g"].low, unit="g"),
                    Given(name="alcohol", value=by_name["alcohol_g"].low, unit="g"),
                ),
                source=Source(basis=Basis.PUBLISHED, text=f"{EDITIONS[order.jurisdiction]}, energy factors"),
                sheet="labels",
            )
        )
    return figures


def _questions(order: LabelOrder, units: Sequence[UnitLabel], whole: UnitLabel) -> list[Question]:
    questions: list[Question] = []

    def ask(key: str, severity: Severity, text: str, reason: str, figure: str = "", change: str = "") -> None:
        questions.append(
            Question(
                key=f"label.{key}",
                severity=severity,
                sheet="labels",
                text=text,
                reason=reason,
                figure=figure,
                change=change,
            )
        )

    for block in whole.blocks:
        if block.is_forbidden:
            ask(
                f"forbidden.{block.packet.replace(' ', '_')}",
                Severity.STOP,
                f"What takes the place of what holds {block.packet}?",
                block.text,
                change=block.ask,
            )
    packets = [block.packet for block in whole.blocks if not block.is_forbidden]
    if packets:
        first = _first_of_all(order, units, whole)
        ask(
            "packets",
            Severity.DANGER if first else Severity.STOP,
            f"Which allergens do these packets name: {', '.join(packets)}?{first}",
            "What is not known blocks the label: it is never taken for absent.",
            f"{len(packets)} to read",
            "record each packet's list, its 'may contain' and its lot, and ask its maker what it does not say",
        )
    if order.french:
        unnamed = list(dict.fromkeys(unit.food_name for unit in units if not unit.food_name_french))
        if unnamed:
            ask(
                "food_name_french",
                Severity.ASK,
                f"What is {', '.join(unnamed)} called in French?",
                "The label stands in both languages.",
                change="enter the names, or choose English alone where the food is a local one",
            )
    empty = [field for field in whole.fields if not field.value and field.key not in ("permit", "home_sentence")]
    for field in empty:
        ask(
            f"field.{field.key}",
            Severity.ASK,
            f"What stands on the label for '{field.label.casefold()}'?",
            f"It belongs on the label: {field.source.text}.",
        )
    place = order.jurisdiction
    if order.home_kitchen and not order.maker.home_sentence and home_sentence(order.region) is None:
        _by_rule(ask, "home_kitchen", Severity.ASK, place)
    _by_rule(ask, "nutrition_exempt", Severity.ASK, place)
    if not order.french:
        _by_rule(ask, "two_languages", Severity.ASK, place)
    if order.sale is Sale.TO_ORDER:
        _by_rule(ask, "to_order", Severity.NOTE, place)
    if order.sale is Sale.DIRECT:
        _by_rule(ask, "direct", Severity.NOTE, place)
    if order.remote:
        _by_rule(ask, "remote_sale", Severity.NOTE, place)
    missing = [(label.name, label.panel.missing) for label in (*units, whole) if label.panel.missing]
    if missing:
        nutrients = dict.fromkeys(name for _, names in missing for name in names)
        keys = dict.fromkeys(key for amount in whole.nutrients for key in amount.missing)
        ask(
            "nutrition",
            Severity.ASK,
            f"How much {', '.join(nutrients)} do these hold: {', '.join(key.replace('_', ' ') for key in keys)}?",
            "The tables do not say, and the panel is a draft until the packets do.",
            f"{len(nutrients)} lines of the panel open",
            "record the packet's own nutrition values",
        )
    return questions


def _first_of_all(order: LabelOrder, units: Sequence[UnitLabel], whole: UnitLabel) -> str:
    """Say which of the packets' allergens a guest reacts to, and who that is."""
    listed = allergen_list(order.jurisdiction)
    labels = (*units, whole)
    said: dict[str, list[str]] = {}
    for one in order.avoided:
        if one.allergen not in listed:
            said.setdefault(one.guests, []).append(one.allergen.value)
        elif any(label.mark(one.allergen).is_unknown for label in labels):
            said.setdefault(one.guests, []).append(listed[one.allergen].word)
    words = "; ".join(f"{', '.join(dict.fromkeys(names))} ({guests})" for guests, names in said.items())
    return f" First of all {words}." if words else ""


def _by_rule(ask: _Ask, key: str, severity: Severity, place: Jurisdiction) -> None:
    found = rule(key, place)
    if found is not None:
        ask(key, severity, found.text, f"{found.edition}, {found.section}, in force {found.in_force}.")


def _cautions(units: Sequence[UnitLabel]) -> list[Caution]:
    cautions = [
        Caution(
            key=f"label.vegan.{unit.key}",
            sheet="labels",
            step="",
            text=f"The {unit.name} is made vegan, which is a way of eating. Never offer it to a guest with an "
            "allergy to milk or egg as safe.",
            reason="It was made in one kitchen with milk and egg, and is cut with one knife.",
            source=COMMON_PRACTICE,
        )
        for unit in units
        if "vegan" in unit.diet.casefold()
    ]
    cautions.append(
        Caution(
            key="label.nothing_is_free_from",
            sheet="table",
            step="",
            text="A guest with an allergy asks the maker, not the card alone; what is marked as not known is treated "
            "as there.",
            reason="Traces on hands, tools and the knife can be enough.",
            source=COMMON_PRACTICE,
        )
    )
    return cautions


def _assumptions(order: LabelOrder) -> list[Assumption]:
    law = Assumption(
        key="label.rules",
        text="Law that the labels follow",
        value=f"{EDITIONS[order.jurisdiction]}; gone through on {CHECKED_ON.isoformat()}. Rows marked as from "
        "memory are to be held against the text. This is no legal advice",
        source=Source(basis=Basis.PUBLISHED, text=EDITIONS[order.jurisdiction]),
    )
    losses = [
        Assumption(
            key=f"label.loss.{component.key}",
            text=f"Water lost by {component.name} in the oven",
            value=f"{component.loss_share:.1%} of its batter",
            source=Source(basis=Basis.COMMON_PRACTICE, text=component.loss_source),
        )
        for component in order.components
        if component.loss_share > 0
    ]
    return [law, *losses]
