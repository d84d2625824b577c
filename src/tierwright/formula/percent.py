"""Baker's percentages, and the composition of everything in the bowl."""

from __future__ import annotations

from typing import Final

from tierwright.formula.model import Formula, Line, Percent
from tierwright.larder import Composition, Group, blend, ingredient
from tierwright.working import NOTHING, Estimate

FLOURS: Final = (Group.FLOUR, Group.STARCH)
SUGARS: Final = (Group.SUGAR, Group.SYRUP)
FATS: Final = (Group.BUTTER, Group.FAT)
LIQUIDS: Final = (Group.DAIRY, Group.DRINK, Group.PLANT)
FATTY_DAIRY: Final = 15.0  # above this share of fat a dairy or plant food is no liquid of the balance [%]
SPREAD_FAT: Final = 50.0  # a plant substitute with this much fat stands in for butter [%]
WATERY: Final = 60.0  # a liquid of the balance holds at least this much water [%]

ROLES: Final = {
    "flour": "flour and starch",
    "sugar": "sugar",
    "fat": "fat",
    "egg": "eggs",
    "liquid": "liquid",
    "cocoa": "cocoa",
}


def role_of(key: str) -> str:
    """Return the part that an ingredient plays in a batter's balance: a key of ``ROLES``, or an empty string."""
    found = ingredient(key)
    if found.group in FLOURS:
        return "flour"
    if found.group in SUGARS:
        return "sugar"
    if found.group in FATS or (found.group is Group.PLANT and found.composition.fat_g >= SPREAD_FAT):
        return "fat"
    if found.group is Group.EGG:
        return "egg"
    if found.group is Group.COCOA:
        return "cocoa"
    wet = found.composition.water_g >= WATERY and found.composition.fat_g <= FATTY_DAIRY
    if wet and (found.group in LIQUIDS or found.liquid):
        return "liquid"
    return ""


def masses(formula: Formula) -> dict[str, Estimate]:
    """Return the mass of each role in a formula, and of ``moist``: eggs and liquid together. [g]"""
    sums = dict.fromkeys((*ROLES, "moist"), NOTHING)
    for line in formula.parts:
        role = role_of(line.ingredient)
        if role:
            sums[role] = sums[role] + line.grams
        if role in ("egg", "liquid"):
            sums["moist"] = sums["moist"] + line.grams
    return sums


def percents(formula: Formula) -> tuple[Percent, ...]:
    """
    Return each ingredient over the flour (starch included) of a formula. [% of flour]

    A line's range moves its own percentage alone; the flour is held at its middle. Empty where there is no flour.

    Examples
    --------
    >>> from tierwright.formula import FormulaText, Kind, read_formula
    >>> lines = ("250 g cake flour", "125 g unsalted butter")
    >>> text = FormulaText(key="a", name="A", kind=Kind.CREAMED, lines=lines)
    >>> [row.percent.value for row in percents(read_formula(text))]
    [100.0, 50.0]
    """
    flour_g = masses(formula)["flour"].value
    if flour_g <= 0:
        return ()
    return tuple(
        Percent(name=line.ingredient, label=line.label, percent=line.grams * (100 / flour_g)) for line in formula.parts
    )


def role_percents(formula: Formula) -> tuple[Percent, ...]:
    """Return each role over the flour of a formula; empty where there is no flour. [% of flour]"""
    sums = masses(formula)
    flour_g = sums["flour"].value
    if flour_g <= 0:
        return ()
    return tuple(
        Percent(name=role, label=label, percent=sums[role] * (100 / flour_g))
        for role, label in ROLES.items()
        if sums[role].value > 0
    )


def composition_of(parts: tuple[Line, ...]) -> Composition | None:
    """Return the composition of 100 g of everything in the bowl, or None for an empty bowl."""
    weighed = [(ingredient(line.ingredient).composition, line.grams.value) for line in parts]
    return blend(weighed) if sum(mass for _, mass in weighed) > 0 else None
