"""Where an allergen comes from: from the packet through every mixture to the cake, with nothing lost on the way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tierwright.label.model import Presence, Trace
from tierwright.label.order import BrandLot, Component, CrossContact, Unit, Unnamed
from tierwright.larder import Allergen, Answer, Ingredient, ingredient
from tierwright.larder import Component as Piece
from tierwright.units import English

WHOLE = "whole"
"""Key of the whole cake."""
Lots = Mapping[str, Sequence[BrandLot]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known of one ingredient, packets read or not: its ways, and whether vegans may eat it."""

    traces: tuple[Trace, ...]
    vegan: Answer


def by_ingredient(lots: Sequence[BrandLot]) -> dict[str, tuple[BrandLot, ...]]:
    """Sort lots by what is in them."""
    sorted_lots: dict[str, tuple[BrandLot, ...]] = {}
    for lot in lots:
        sorted_lots[lot.ingredient] = (*sorted_lots.get(lot.ingredient, ()), lot)
    return sorted_lots


def name_of(known: Ingredient, english: English) -> str:
    """Return what a maker calls an ingredient."""
    return known.name_uk if english is English.UK else known.name_us


def know(key: str, lots: Lots, english: English = English.US) -> Known:
    """
    Return what is known of an ingredient's allergens, its own parts included.

    A packet that was read goes before the table, but what the table is sure of and the packet does not name stays
    suspected until the packet's maker denies it: a word forgotten in the record must not make an allergen vanish.
    """
    known = ingredient(key)
    name = name_of(known, english)
    read = lots.get(key, ())
    if read:
        found = [trace for lot in read for trace in _of_lot(lot, known, name)]
        answers = [lot.vegan if lot.vegan is not None else known.vegan for lot in read]
        return Known(traces=tuple(found), vegan=worst(answers))
    traces = [Trace(allergen=allergen, presence=Presence.PRESENT, path=(name,)) for allergen in known.contains]
    traces += [
        Trace(
            allergen=allergen,
            presence=Presence.SUSPECTED,
            path=(name,),
            reason=known.ask_reason or "foods of this kind often hold it, or touch it",
        )
        for allergen in known.ask_about
        if allergen not in known.contains
    ]
    if known.ask_supplier:
        traces.append(Trace(allergen=None, presence=Presence.UNREAD, path=(name,), reason=known.ask_reason))
    answers = [known.vegan]
    for piece in known.components:
        below, answer = _piece(piece, lots, english, name)
        traces += below
        answers.append(answer)
    return Known(traces=_merged(traces), vegan=worst(answers))


def _piece(piece: Piece, lots: Lots, english: English, name: str) -> tuple[list[Trace], Answer]:
    """Return what a part of a compound brings; of a part that may not be there, nothing is certain."""
    below = know(piece.key, lots, english)
    brought: list[Trace] = []
    for trace in below.traces:
        presence, reason = trace.presence, trace.reason
        if piece.ask and presence is Presence.PRESENT:
            presence, reason = Presence.SUSPECTED, "only the packet tells whether this part is in it"
        brought.append(replace(trace, presence=presence, reason=reason, path=(name, *trace.path)))
    unsure = piece.ask and below.vegan is not Answer.YES
    return brought, Answer.ASK if unsure else below.vegan


def _of_lot(lot: BrandLot, known: Ingredient, name: str) -> list[Trace]:
    traces = [
        Trace(allergen=allergen, presence=Presence.PRESENT, path=(name,), lot=lot.lot) for allergen in lot.contains
    ]
    traces += [
        Trace(
            allergen=allergen,
            presence=Presence.MAY,
            path=(name,),
            lot=lot.lot,
            reason="the packet says that it may contain it",
        )
        for allergen in lot.may_contain
        if allergen not in lot.contains
    ]
    certain = {trace.allergen for trace in know(known.key, {}).traces if trace.presence is Presence.PRESENT}
    traces += [
        Trace(
            allergen=allergen,
            presence=Presence.SUSPECTED,
            path=(name,),
            lot=lot.lot,
            reason="foods of this kind hold it, and the packet as recorded does not name it",
        )
        for allergen in Allergen
        if allergen in certain and allergen not in lot.contains and allergen not in lot.denied
    ]
    return traces


def _merged(traces: Sequence[Trace]) -> tuple[Trace, ...]:
    return tuple(dict.fromkeys(traces))


def worst(answers: Sequence[Answer]) -> Answer:
    """Return no if any says no, else ask if any has to be asked."""
    if Answer.NO in answers:
        return Answer.NO
    return Answer.ASK if Answer.ASK in answers else Answer.YES


def trace_unit(
    unit: Unit,
    components: Mapping[str, Component],
    facts: Mapping[str, Known],
    cross_contact: Sequence[CrossContact],
    unnamed: Sequence[Unnamed] = (),
) -> tuple[Trace, ...]:
    """
    Return every way by which an allergen gets, or may get, into a cake.

    Parameters
    ----------
    unit
        The cake.
    components
        What is made, by key.
    facts
        What is known of each ingredient, by key.
    cross_contact
        Recorded in this kitchen; what concerns one cake concerns the whole one, too.
    unnamed
        Food on it that no row of the larder stands for.
    """
    traces: list[Trace] = []
    for part in unit.parts:
        component = components[part.component]
        for used in component.used:
            if used.grams <= 0:
                continue
            head = (unit.name, component.name)
            traces += [replace(trace, path=(*head, *trace.path)) for trace in facts[used.ingredient].traces]
    traces += [
        Trace(allergen=met.allergen, presence=Presence.MAY, path=(unit.name, "this kitchen"), reason=met.where)
        for met in cross_contact
        if concerns(met.units, unit)
    ]
    traces += [
        Trace(
            allergen=None,
            presence=Presence.UNREAD,
            path=(unit.name, "decoration", thing.name),
            reason="the table has no row for it",
        )
        for thing in unnamed
        if concerns(thing.units, unit)
    ]
    return _merged(traces)


def concerns(units: Sequence[str], unit: Unit) -> bool:
    """Whether what is recorded for some cakes concerns a cake; the whole cake is concerned by every one."""
    return not units or unit.key in units or unit.key == WHOLE


def marks(traces: Sequence[Trace]) -> dict[Allergen, Presence]:
    """Return the strongest that is known of each allergen; an unread packet speaks of all of them."""
    floor = Presence.UNREAD if any(trace.allergen is None for trace in traces) else Presence.NOT_DECLARED
    found = dict.fromkeys(Allergen, floor)
    for trace in traces:
        if trace.allergen is not None:
            found[trace.allergen] = max(found[trace.allergen], trace.presence)
    return found
