"""What the finish lays on a cake beside its piping and drips, as the label has to declare it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from tierwright.brief import Commission
from tierwright.brief.decor import FlowerState, PaintWay
from tierwright.coating import CoatedTier, Coating, Part
from tierwright.dossier.finish_stage import FinishWork
from tierwright.finish import LaidGroup, WorkedTint
from tierwright.label import Component, PartOf, Unnamed, Used
from tierwright.larder import find, ingredient
from tierwright.units import English
from tierwright.words import listed
from tierwright.working import COMMON_PRACTICE, Assumption, Notes, Question, Severity

COLOUR_SHARE: Final = 0.005
"""Gel colour in a coat that is coloured, over the coat's mass. [-] Common practice: a few grams in a kilogram."""
COLOUR_G_PER_ML: Final = 1.0
"""Density of colour thinned for the brush. [g/ml] Common practice: mostly water or spirit."""
PETAL_MM: Final = 4.0
"""Mean thickness of a sugar-made flower over the circle that it fills. [mm] Common practice: 50 mm weigh about 11 g."""
PASTE_G_PER_ML: Final = 1.4
"""Density of dry flower paste. [g/ml] Common practice."""
SUGARED_MM: Final = 0.5
"""Mean thickness of egg white and sugar on a sugared flower. [mm] Common practice."""
SUGARED: Final = (("caster_sugar", 80.0), ("egg_white", 20.0))
"""What sugared flowers are brushed and dusted with. [g] Common practice."""
WARES: Final = {"gold_leaf": "gold_leaf", "silver_leaf": "silver_leaf", "printed_sheet": "wafer_paper"}
"""Ingredient behind a thing that the finish buys by the piece, by the start of its key."""
PAINTS: Final = {
    PaintWay.BRUSHED: "liquid_colour",
    PaintWay.AIRBRUSHED: "liquid_colour",
    PaintWay.DUSTED: "lustre_dust",
}
"""What is laid on where the brief names no product that the table knows."""

Laid = tuple[tuple[int, str, str, float], ...]
"""Tier number, ingredient, what it is called, and its mass. [g]"""


def laid_on(
    commission: Commission, coating: Coating, finish: FinishWork | None, english: English
) -> tuple[dict[int, tuple[PartOf, ...]], dict[str, Component], tuple[Unnamed, ...]]:
    """
    Return what lies on each tier beside its coats and piping.

    Parameters
    ----------
    commission, coating, finish
        What was asked for, the coated tiers, and what the finish comes to.
    english
        Whose words the components are called by.

    Returns
    -------
    parts
        By tier number. [g]
    components
        By key.
    unnamed
        Food that the table has no row for: it stays unknown until it has.
    """
    masses: dict[int, dict[str, float]] = {}
    unnamed: list[Unnamed] = []
    flowers = () if finish is None else finish.flowers.groups
    for number, key, grams in (*_coloured(commission, coating, finish), *_flowers(flowers)):
        masses.setdefault(number, {}).setdefault(key, 0.0)
        masses[number][key] += grams
    if finish is not None:
        for paint in finish.work.painted:
            found = find(paint.product).ingredient if paint.product else None
            key = PAINTS[paint.way] if found is None else found.key
            by_key = masses.setdefault(paint.tier, {})
            by_key[key] = by_key.get(key, 0.0) + paint.colour_ml.value * COLOUR_G_PER_ML
        for ware in finish.wares:
            if not ware.is_food or ware.grams.value <= 0:
                continue
            named = next((key for start, key in WARES.items() if ware.key.startswith(start)), None)
            if named is None:
                known = find(ware.name).ingredient
                named = None if known is None else known.key
            if named is None:
                unnamed.append(Unnamed(name=ware.name, units=(f"tier.{ware.tier}",)))
                continue
            by_key = masses.setdefault(ware.tier, {})
            by_key[named] = by_key.get(named, 0.0) + ware.grams.value
    keys = dict.fromkeys(key for by_key in masses.values() for key in by_key)
    return (
        {
            number: tuple(PartOf(component=f"decor.{key}", grams=grams) for key, grams in by_key.items() if grams > 0)
            for number, by_key in masses.items()
        },
        {f"decor.{key}": _component(key, english) for key in keys},
        tuple(unnamed),
    )


def _component(key: str, english: English) -> Component:
    if key == "sugared_flowers":
        used = tuple(Used(ingredient=name, grams=grams) for name, grams in SUGARED)
        return Component(key=f"decor.{key}", name="sugared flowers", noun="decoration", used=used)
    known = ingredient(key)
    name = known.name_uk if english is English.UK else known.name_us
    return Component(key=f"decor.{key}", name=name, noun="decoration", used=(Used(ingredient=key, grams=100.0),))


def _coloured(commission: Commission, coating: Coating, finish: FinishWork | None) -> list[tuple[int, str, float]]:
    """
    Return the colour in coats that are to be coloured, where the coat's own formula holds none.

    What recorded mixes say goes in, on the cake's share of the batch; where none was recorded, the usual share.
    """
    mixed = {tint.tier: _dose(tint) for tint in (() if finish is None else finish.tints)}
    wanted = {wish.tier for wish in commission.decor.colours}
    sheets = {sheet.key: " ".join(sheet.lines).casefold() for sheet in commission.formulas}
    return [
        (tier.number, "gel_colour", grams * mixed.get(tier.number, COLOUR_SHARE))
        for tier in coating.tiers
        if tier.number in wanted and (grams := _coat_g(tier, sheets)) > 0
    ]


def _dose(tint: WorkedTint) -> float:
    """Return the colour of a mixed coat over what it is mixed into. [-]"""
    return sum(portion.g for portion in tint.batch.portions) / tint.batch.base_g


def _coat_g(tier: CoatedTier, sheets: Mapping[str, str]) -> float:
    coats = [part for part in tier.parts if part.part in (Part.COAT, Part.ROLLED)]
    plain = [part for part in coats if not any(word in sheets.get(part.formula, "") for word in ("colour", "color"))]
    return sum(part.on_cake_g.value for part in plain)


def _flowers(groups: Sequence[LaidGroup]) -> list[tuple[int, str, float]]:
    """Return the mass of flowers of paste that are eaten, and of what sugared flowers are coated with."""
    found: list[tuple[int, str, float]] = []
    for group in groups:
        sort = group.sort
        if sort.wired:
            continue
        if sort.state.value == FlowerState.SUGAR_MADE.value:
            found.append((sort.tier, "gum_paste", _mass_g(group, PETAL_MM)))
        elif sort.state.value == FlowerState.SUGARED.value:
            found.append((sort.tier, "sugared_flowers", _mass_g(group, SUGARED_MM)))
    return found


def _mass_g(group: LaidGroup, thick_mm: float) -> float:
    return group.count * group.sort.area_mm2 * thick_mm / 1000.0 * PASTE_G_PER_ML


def note_flowers(finish: FinishWork | None) -> Notes:
    """Ask how flowers that are eaten are named: the table of ingredients holds none."""
    groups = () if finish is None else finish.flowers.groups
    eaten = [one.sort for one in groups if one.sort.is_food and not one.sort.is_removed]
    grown = [one for one in eaten if one.state.value != FlowerState.SUGAR_MADE.value]
    if not grown:
        return Notes()
    names = listed(sorted({f"{one.species} on tier {one.tier}" for one in grown}))
    return Notes(
        questions=(
            Question(
                key="label.flowers",
                severity=Severity.ASK,
                sheet="labels",
                text=f"Are the flowers eaten ({names})? Then they are named in the list.",
                reason="The table of ingredients holds no flowers; their grower's word says that they are food.",
                change="take them off before the cake is cut, or write them into the list by hand",
            ),
        )
    )


def assumed(components: Mapping[str, Component]) -> tuple[Assumption, ...]:
    """Return the usual masses that were taken for what nobody weighs."""
    said = {
        "decor.gel_colour": f"{COLOUR_SHARE:.1%} of the coat's mass where no mix was recorded",
        "decor.gum_paste": f"flowers of paste, {PETAL_MM:g} mm thick in the mean over the circle that they fill",
        "decor.sugared_flowers": f"{SUGARED_MM:g} mm of egg white and sugar on each flower",
    }
    return tuple(
        Assumption(
            key=f"label.{key}",
            text=f"Mass of {components[key].name} on the cake",
            value=value,
            source=COMMON_PRACTICE,
        )
        for key, value in said.items()
        if key in components
    )
