"""Sulphites below the threshold of a place are not declared: how much of them is in a cake, by its packets."""

from __future__ import annotations

from collections.abc import Sequence

from tierwright.label.declaring import Larder
from tierwright.label.model import Presence, Trace
from tierwright.label.order import Unit
from tierwright.label.rules import limit
from tierwright.label.tracing import name_of
from tierwright.larder import Allergen, ingredient
from tierwright.working import Assumption, Basis, Source


def sulphite_mark(larder: Larder, unit: Unit, ways: Sequence[Trace], mark: Presence) -> Presence:
    """
    Return the mark of sulphites: below the threshold of the place they are not declared, once every source is known.

    One packet without a figure leaves them declared. Of several packets of an ingredient, the one with most counts.

    Parameters
    ----------
    larder
        What lists are made from, with the packets that may have gone in.
    unit
        The cake.
    ways, mark
        Every way by which an allergen gets into it, and what is known of sulphites by them.
    """
    threshold = limit("sulphites_mg_per_kg", larder.order.jurisdiction)
    if mark is not Presence.PRESENT or threshold is None:
        return mark
    if any(
        (way.presence.is_unknown and way.allergen in (None, Allergen.SULPHITES))
        or (way.allergen is Allergen.SULPHITES and way.presence is Presence.MAY)
        for way in ways
    ):
        return mark
    total_mg, finished_g = 0.0, 0.0
    for part in unit.parts:
        component = larder.components[part.component]
        batch = sum(used.grams for used in component.used) * (1.0 - component.loss_share)
        finished_g += part.grams
        for used in component.used:
            if Allergen.SULPHITES not in larder.present[used.ingredient] or used.grams <= 0:
                continue
            figures = _figures(larder, used.ingredient)
            if not figures:
                return mark
            total_mg += max(figures) * used.grams / 1000.0 * part.grams / batch
    return mark if total_mg / finished_g * 1000.0 >= threshold else Presence.NOT_DECLARED


def sulphite_assumptions(larder: Larder) -> tuple[Assumption, ...]:
    """Return whose sulphites were reckoned with wherever packets of one ingredient differ and either may be in it."""
    used = {one.ingredient for component in larder.order.components for one in component.used if one.grams > 0}
    made: list[Assumption] = []
    for key in sorted(used):
        figures = _figures(larder, key)
        if len(set(figures)) > 1 and Allergen.SULPHITES in larder.present[key]:
            made.append(
                Assumption(
                    key=f"label.sulphites.{key}",
                    text=f"Sulphites of {name_of(ingredient(key), larder.order.english)}",
                    value=f"{max(figures):g} mg/kg, the most of {len(figures)} packets that may have gone in",
                    source=Source(basis=Basis.MAKER_RECORD, text="packets"),
                )
            )
    return tuple(made)


def _figures(larder: Larder, key: str) -> list[float]:
    """Return what each packet of an ingredient that may have gone in tells, in mg/kg; nothing if one does not tell."""
    told = [lot.sulphites_mg_per_kg for lot in larder.lots.get(key, ())]
    return [] if None in told else [figure for figure in told if figure is not None]
