"""The ingredient list of a cake by the rules of a place."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from tierwright.brief.commission import Jurisdiction
from tierwright.label.french import french_name, french_packet, french_statement, french_word
from tierwright.label.model import Declaration, Entry, Presence, Run
from tierwright.label.order import Component, LabelOrder, Style, Unit
from tierwright.label.rules import allergen_list, half_up, limit, rows, rule
from tierwright.label.tracing import Known, Lots
from tierwright.label.wording import has_brackets, listed_name, marked_in, packet_name, stress, without_brackets
from tierwright.larder import Allergen, Group, ingredient
from tierwright.units import English

WATERS: Final = frozenset({"water", "sparkling_water"})
_FLAVOUR_GROUPS: Final = frozenset({Group.SPICE, Group.FLAVOURING, Group.COLOUR, Group.LEAVENER, Group.ADDITIVE})
_ALLERGENS: Final = tuple(Allergen)
_LEGAL_GROUPS: Final = frozenset({Group.CHOCOLATE, Group.PRESERVE})
"""Compounds whose make-up European law lays down (Directives 2000/36/EC on chocolate and 2001/113/EC on jams)."""
_PLAIN_WORDS: Final = frozenset(row["word"] for row in rows("plain_words.csv"))
"""Words of an ingredient's name that do not by themselves tie it to the name of a cake."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Larder:
    """What lists are made from: components and what is known of each ingredient."""

    order: LabelOrder
    components: Mapping[str, Component]
    facts: Mapping[str, Known]
    lots: Lots
    names: Mapping[str, str]
    present: Mapping[str, tuple[Allergen, ...]]
    french: bool = False

    @property
    def in_list(self) -> bool:
        """Whether allergens are told in the list itself, with no statement after it."""
        return self.order.allergens == "in-list"


def in_french(larder: Larder) -> Larder:
    """Return the same larder with every ingredient named in French."""
    names: dict[str, str] = {}
    for key in larder.names:
        read = [lot.declaration_french for lot in larder.lots.get(key, ()) if lot.declaration_french]
        said = [french_packet(key, words) for words in read] or [french_name(key)]
        names[key] = " ou ".join(dict.fromkeys(reversed(said)))
    return replace(larder, names=names, french=True)


def prepare(order: LabelOrder, facts: Mapping[str, Known], lots: Lots) -> Larder:
    """Return what lists are made from, each ingredient named once."""
    names: dict[str, str] = {}
    present: dict[str, tuple[Allergen, ...]] = {}
    for key, known in facts.items():
        read = lots.get(key, ())
        # Two packets with different lists are both said, the newest first.
        said = [packet_name(key, lot.product, lot.declaration, order.jurisdiction, order.english) for lot in read]
        names[key] = " or ".join(dict.fromkeys(reversed(said))) or listed_name(key, order.jurisdiction, order.english)
        held = {trace.allergen for trace in known.traces if trace.presence is Presence.PRESENT}
        present[key] = tuple(allergen for allergen in Allergen if allergen in held)
        species = [name for lot in read for name in lot.species if name.casefold() not in names[key].casefold()]
        if species:
            names[key] = f"{names[key]} ({', '.join(dict.fromkeys(species))})"
    return Larder(
        order=order,
        components={component.key: component for component in order.components},
        facts=facts,
        lots=lots,
        names=names,
        present=present,
    )


def declare(larder: Larder, unit: Unit, marks: Mapping[Allergen, Presence]) -> Declaration:
    """
    Return the ingredient list of a cake.

    Ingredients stand in descending order of their mass as used. Water is reckoned as each place reckons it: in the EU,
    the UK, Australia and New Zealand as what is left of it in the finished cake, in North America as added.

    Parameters
    ----------
    larder
        What lists are made from.
    unit
        The cake.
    marks
        What is known of each allergen in it.
    """
    order = larder.order
    finished = sum(part.grams for part in unit.parts)
    left_out: list[str] = []
    if order.style is Style.BY_COMPONENT and len(unit.parts) > 1:
        entries = _by_component(larder, unit, finished, left_out, marks)
    else:
        masses: dict[str, float] = {}
        for part in unit.parts:
            for key, grams in _ingoing(larder, part.component, part.grams, left_out).items():
                masses[key] = masses.get(key, 0.0) + grams
        entries = _entries(larder, unit, masses, finished, finished, left_out, marks)
    heading = "Ingredients" if order.jurisdiction is not Jurisdiction.US else "INGREDIENTS"
    if larder.french:
        heading = french_word("heading")
    runs = _set(entries, heading, order)
    return Declaration(
        heading=heading,
        entries=tuple(entries),
        runs=tuple(runs),
        contains="" if larder.in_list else contains_statement(order.jurisdiction, marks, french=larder.french),
        may_contain=may_statement(order.jurisdiction, marks, french=larder.french),
        left_out=tuple(dict.fromkeys(left_out)),
        warnings=tuple(dict.fromkeys(_warnings(larder, unit))),
    )


def _warnings(larder: Larder, unit: Unit) -> list[str]:
    return [
        f"{words}: {entry.text[:1].lower()}{entry.text[1:]}."
        for key in used_in(larder, unit)
        for entry, words in marked_in(larder.names[key], larder.order.jurisdiction)
        if not entry.is_forbidden
    ]


def used_in(larder: Larder, unit: Unit) -> tuple[str, ...]:
    """Return the ingredients of a cake, each once."""
    used = (u for part in unit.parts for u in larder.components[part.component].used if u.grams > 0)
    return tuple(dict.fromkeys(u.ingredient for u in used))


def _ingoing(larder: Larder, key: str, grams: float, left_out: list[str]) -> dict[str, float]:
    """Return what went into so much of a finished component. [g]"""
    component = larder.components[key]
    batch = sum(used.grams for used in component.used)
    scale = grams / (batch * (1.0 - component.loss_share))
    masses: dict[str, float] = {}
    for used in component.used:
        if used.grams > 0:
            masses[used.ingredient] = masses.get(used.ingredient, 0.0) + used.grams * scale
    if larder.order.jurisdiction is Jurisdiction.US:
        added = sum(masses.get(water, 0.0) for water in WATERS)
        if 0 < added <= component.loss_share * batch * scale:
            for water in WATERS:
                masses.pop(water, None)
            left_out.append(f"water of {component.name}: all that was added leaves in the oven")
    return masses


def _entries(
    larder: Larder,
    unit: Unit,
    masses: dict[str, float],
    finished: float,
    food_g: float,
    left_out: list[str],
    marks: Mapping[Allergen, Presence],
) -> list[Entry]:
    """Set ingredients in order; ``finished`` is the mass of their mixture, ``food_g`` that of the food sold. [g]"""
    order = larder.order
    share = limit("water_left_out", order.jurisdiction)
    if share is not None and any(water in masses for water in WATERS):
        kind = max(WATERS, key=lambda water: masses.get(water, 0.0))
        added = sum(masses.pop(water, 0.0) for water in WATERS)
        remains = min(max(finished - sum(masses.values()), 0.0), added)
        if remains > share * finished:
            masses[kind] = remains
        else:
            left_out.append(f"water: {remains / finished:.1%} of the finished food, not above {share:.0%}")
    gathered: dict[str, list[str]] = {}
    for key in masses:
        gathered.setdefault(larder.names[key].casefold(), []).append(key)
    entries = [_entry(larder, unit, keys, masses, food_g, left_out, marks) for keys in gathered.values()]
    return sorted(entries, key=lambda entry: (-entry.grams, entry.text))


def _entry(
    larder: Larder,
    unit: Unit,
    keys: Sequence[str],
    masses: Mapping[str, float],
    finished: float,
    left_out: list[str],
    marks: Mapping[Allergen, Presence],
) -> Entry:
    place = larder.order.jurisdiction
    text = larder.names[keys[0]]
    grams = sum(masses[key] for key in keys)
    # What a threshold lets out of the whole is not stressed in its part either.
    inside = frozenset[Allergen]().union(*(larder.present[key] for key in keys))
    allergens = tuple(a for a in _ALLERGENS if a in inside and marks[a] is Presence.PRESENT)
    short = limit("compound_short", place)
    if larder.order.short and short is not None and has_brackets(text) and grams < short * finished:
        legal = place is Jurisdiction.AUSTRALIA_NEW_ZEALAND or ingredient(keys[0]).group in _LEGAL_GROUPS
        if legal:
            left_out.append(f"parts of {without_brackets(text)}: under {short:.0%} of the food")
            text = without_brackets(text)
    quantity = ""
    if limit("quid", place) is not None and any(_is_named(key, unit.food_name, larder.order) for key in keys):
        quantity = quantity_words(grams, finished, place)
    runs = stress(text, allergens, place, in_list=larder.in_list, french=larder.french)
    if quantity:
        runs = (*runs, Run(text=f" ({quantity})"))
    return Entry(runs=runs, grams=grams, share=grams / finished, quantity=quantity, ingredients=tuple(keys))


def _by_component(
    larder: Larder, unit: Unit, finished: float, left_out: list[str], marks: Mapping[Allergen, Presence]
) -> list[Entry]:
    """Set each component with its own list in brackets, in descending order of what went into it."""
    masses: dict[str, float] = {}
    for part in unit.parts:
        masses[part.component] = masses.get(part.component, 0.0) + part.grams
    nouns = [larder.components[key].noun for key in masses]
    found: list[Entry] = []
    for key, grams in masses.items():
        component = larder.components[key]
        inside = _entries(larder, unit, _ingoing(larder, key, grams, left_out), grams, finished, left_out, marks)
        noun = component.noun if nouns.count(component.noun) == 1 else component.name
        if larder.french:
            noun = french_word(f"noun.{component.noun}", component.name)
        quantity = ""
        if limit("quid", larder.order.jurisdiction) is not None and names_component(component, unit.food_name):
            quantity = quantity_words(grams, finished, larder.order.jurisdiction)
        runs: list[Run] = [Run(text=f"{noun[:1].upper()}{noun[1:]}{f' {quantity}' if quantity else ''} (")]
        for place, entry in enumerate(inside):
            runs += [Run(text=", ")] * (place > 0) + list(entry.runs)
        runs.append(Run(text=")"))
        ingoing = grams / (1.0 - component.loss_share)
        keys = tuple(dict.fromkeys(k for entry in inside for k in entry.ingredients))
        found.append(
            Entry(runs=tuple(runs), grams=ingoing, share=grams / finished, quantity=quantity, ingredients=keys)
        )
    return sorted(found, key=lambda entry: (-entry.grams, entry.text))


def _set(entries: Sequence[Entry], heading: str, order: LabelOrder) -> list[Run]:
    runs = [Run(text=f"{heading}: ", strong=order.jurisdiction in (Jurisdiction.CANADA,))]
    small_rule = rule("small_share", order.jurisdiction)
    total = sum(entry.grams for entry in entries)
    large = list(entries)
    small: list[Entry] = []
    if small_rule is not None and small_rule.text and order.style is Style.ONE_LIST:
        assert small_rule.value is not None
        small = [entry for entry in entries if entry.grams <= small_rule.value * total]
        large = [entry for entry in entries if entry.grams > small_rule.value * total]
        if len(small) < 2 or not large:
            small, large = [], list(entries)
    for place, entry in enumerate(large):
        runs += [Run(text=", ")] * (place > 0) + list(entry.runs)
    if small and small_rule is not None:
        runs.append(Run(text=f". {small_rule.text}: "))
        for place, entry in enumerate(small):
            runs += [Run(text=", ")] * (place > 0) + list(entry.runs)
    runs.append(Run(text="."))
    return _joined(runs)


def _joined(runs: Sequence[Run]) -> list[Run]:
    """Join neighbours of one weight."""
    joined: list[Run] = []
    for run in runs:
        if joined and joined[-1].strong == run.strong:
            joined[-1] = replace(joined[-1], text=joined[-1].text + run.text)
        else:
            joined.append(run)
    return joined


def contains_statement(place: Jurisdiction, marks: Mapping[Allergen, Presence], *, french: bool = False) -> str:
    """
    Return the 'Contains' statement of a place; empty in the EU and UK, whose lists stress allergens instead.

    Only what is certainly there is named: what is not known is asked for, never told away.
    """
    return "" if place in (Jurisdiction.EU, Jurisdiction.UK) else list_allergens(place, marks, french=french)


def list_allergens(place: Jurisdiction, marks: Mapping[Allergen, Presence], *, french: bool = False) -> str:
    """Return what a food certainly contains, as a statement; empty where it is nothing of the list."""
    words: list[str] = []
    for allergen, listed in allergen_list(place).items():
        if marks[allergen] is Presence.PRESENT and listed.in_statement:
            words += [french_statement(allergen)] if french else listed.statement.split(", ")
    unique = list(dict.fromkeys(words))
    if "gluten" in unique:
        # Gluten is said once, after every allergen that has a name of its own.
        unique.remove("gluten")
        unique.append("gluten")
    title = french_word("contains") if french else "Contains"
    return f"{title}: {', '.join(unique)}." if unique else ""


def may_statement(place: Jurisdiction, marks: Mapping[Allergen, Presence], *, french: bool = False) -> str:
    """Return the precautionary statement: only what a packet or the kitchen's own record tells of."""
    listed = allergen_list(place)
    names = [a for a, mark in marks.items() if mark is Presence.MAY and a in listed]
    words = list(dict.fromkeys(french_statement(a) if french else listed[a].word for a in names))
    title = french_word("may") if french else "May contain"
    return f"{title}: {', '.join(words)}." if words else ""


def quantity_words(ingoing_g: float, finished_g: float, place: Jurisdiction) -> str:
    """
    Return a quantity of an ingredient as a list declares it.

    Mass that went in over mass of the finished food; where that is above 100 % for what the oven took, grams to make
    100 g of it.

    Examples
    --------
    >>> quantity_words(200.0, 800.0, Jurisdiction.EU)
    '25 %'
    >>> quantity_words(110.0, 100.0, Jurisdiction.EU)
    '110 g per 100 g'
    """
    percent = 100.0 * ingoing_g / finished_g
    if percent > 100.0:
        return f"{half_up(percent, 1.0):.0f} g per 100 g"
    if place is Jurisdiction.AUSTRALIA_NEW_ZEALAND and percent < 5.0:
        return f"{half_up(percent, 0.5):g} %" if percent >= 0.25 else "<0.5 %"
    smallest = limit("minimum_share_printed", place) or 1.0
    if percent < smallest:
        return f"{half_up(percent, 0.1):.1f} %" if percent >= 0.05 else "<0.1 %"
    return f"{half_up(percent, 1.0):.0f} %"


def _words(text: str) -> set[str]:
    return {_stem(word) for word in re.findall(r"[^\W\d_]{3,}", text.casefold())}


def _stem(word: str) -> str:
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


_PLAIN_STEMS: Final = frozenset(_stem(word) for word in _PLAIN_WORDS)


def _is_named(key: str, food_name: str, order: LabelOrder) -> bool:
    """Whether the name of a food, or what stands beside it, names an ingredient."""
    if key in order.stress:
        return True
    known = ingredient(key)
    if known.group in _FLAVOUR_GROUPS:
        return False
    name = known.name_uk if order.english is English.UK else known.name_us
    return bool((_words(name) - _PLAIN_STEMS) & _words(food_name))


def names_component(component: Component, food_name: str) -> bool:
    """Whether the name of a food names a filling or coat as such: every word of it; the cake itself is the food."""
    wanted = _words(component.name)
    return component.leavened is None and bool(wanted) and wanted <= _words(food_name)
