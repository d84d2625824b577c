"""Every slice traced: tier by tier, what lies in it, down to the last sub-ingredient of the tables."""

from __future__ import annotations

from dataclasses import dataclass

from tierwright.coating import CoatedTier, Part
from tierwright.dossier.model import Dossier
from tierwright.keeping import Trace, trace
from tierwright.units import English

NOT_FOOD = frozenset({Part.BOARD, Part.FOAM})


@dataclass(frozen=True, slots=True, kw_only=True)
class SlicePart:
    """
    One material in a slice.

    Attributes
    ----------
    what
        What it is for: sponge, filling, coat, ... one after another where it is several.
    name
        The formula, or the bought thing.
    traces
        Every ingredient of it and every part of a compound one, in the order in which they hang together.
    """

    what: tuple[str, ...]
    name: str
    traces: tuple[Trace, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SliceTrace:
    """What is in a slice of some tiers that are made alike; bottom up as on the cake."""

    tiers: tuple[str, ...]
    parts: tuple[SlicePart, ...]


def slices_of(dossier: Dossier) -> tuple[SliceTrace, ...]:
    """
    Trace a slice of every tier and of every cake that is cut out of sight.

    Parameters
    ----------
    dossier
        The commission, worked through.

    Returns
    -------
    slices
        One for each make-up, with all the tiers that have it; dummies have none. What the larder's tables know goes
        before no label: a packet's own list is the last word.
    """
    stack, coating = dossier.sizing.stack, dossier.coating
    cakes = [(f"{tier.name} tier", coated) for tier, coated in zip(stack.tiers, coating.tiers, strict=True)]
    many = len(coating.kitchen_cakes) > 1
    cakes += [
        (f"kitchen cake {number}" if many else "kitchen cake", coated)
        for number, coated in enumerate(coating.kitchen_cakes, start=1)
    ]
    found: dict[tuple[SlicePart, ...], list[str]] = {}
    for name, coated in cakes:
        parts = _parts(dossier, coated)
        # A dummy's coat is on show and is served to nobody.
        if parts and any(Part.SPONGE.value in part.what for part in parts):
            found.setdefault(parts, []).append(name)
    return tuple(SliceTrace(tiers=tuple(names), parts=parts) for parts, names in found.items())


def _parts(dossier: Dossier, coated: CoatedTier) -> tuple[SlicePart, ...]:
    uses: dict[str, dict[str, None]] = {}
    for one in coated.parts:
        if one.part not in NOT_FOOD and one.formula:
            uses.setdefault(one.formula, {})[one.part.value] = None
    works = {work.formula.text.key: work for work in dossier.formulas.works}
    english = dossier.kitchen.units.english is English.UK
    parts: list[SlicePart] = []
    for key, what in uses.items():
        work = works.get(key)
        names = [key] if work is None else [line.ingredient for line in work.formula.parts]
        title = key.replace("_", " ").replace("-", " ") if work is None else work.formula.text.name
        parts.append(
            SlicePart(what=tuple(what), name=title, traces=trace(title, tuple(dict.fromkeys(names)), uk=english))
        )
    return tuple(parts)
