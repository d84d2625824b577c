"""The repair kit: spares that match this very cake, and the tools that its way of being made calls for."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from math import ceil
from types import MappingProxyType
from typing import Final

from tierwright.handover.model import CoatToMend, FlowerToSpare, HandoverAsk, Kit, Spare, StockToSpare, Tool
from tierwright.working import Basis, Source

PATCH_CM2: Final = 100.0
"""A dent to be mended: about the size of a hand's back, one for each tier that wears the coat. [cm2] Chosen by us."""
WORKED_TWICE: Final = 2.0
"""A patch is filled and then skimmed: twice the mass that lies there. [-] Common practice."""
BAG_G: Final = 30.0
"""What sticks in a small bag and to the blade. [g] Common practice."""
STEP_G: Final = 10.0
SPARE_EVERY: Final = 4
"""One spare support for every so many, at least one of each kind. [-] Common practice."""
FLOWERS_SPARE: Final = 0.1
"""Share of the flowers that is taken as spares where none were counted in. [-] Common practice."""
SUPPORT_G: Final = 15.0
FLOWER_G: Final = 3.0
"""Weight of a spare support and of a spare flower in its tray. [g] From memory."""


@cache
def rows() -> tuple[Mapping[str, str], ...]:
    """Return the rows of the table of tools, as text."""
    text = files("tierwright.handover").joinpath("data/kit.csv").read_text(encoding="utf-8")
    return tuple(MappingProxyType(row) for row in csv.DictReader(text.splitlines()))


def spare_coat_g(coat: CoatToMend) -> float:
    """
    Mass of one coat to take along for mending. [g]

    Notes
    -----
    ``m = tiers × patch × mass per area × 2 + bag``, rounded up to 10 g.

    Examples
    --------
    Three tiers with 0.6 g on a square centimetre:

    >>> from tierwright.handover.model import CoatToMend
    >>> spare_coat_g(CoatToMend(key="c", name="coat", kind="buttercream", g_per_cm2=0.6, tiers=3))
    390.0
    """
    grams = coat.tiers * PATCH_CM2 * coat.g_per_cm2 * WORKED_TWICE + BAG_G
    return STEP_G * ceil(grams / STEP_G - 1e-9)


def pack_kit(ask: HandoverAsk) -> Kit:
    """
    Return the repair kit of a cake.

    Parameters
    ----------
    ask
        What the cake is made of, and the words that say how.
    """
    spares = [
        *(_coat(coat) for coat in ask.coats),
        *(_support(stock) for stock in ask.supports),
        *(_flower(flower) for flower in ask.flowers),
    ]
    if ask.bond is not None and ask.levels and "on_site" in ask.facts:
        name, grams = ask.bond
        spares.append(Spare(what=name, why=f"sticks {ask.levels} boards down on site", grams=grams * ask.levels))
    tools = tuple(
        Tool(
            key=row["key"],
            what=row["what"],
            why=row["why"],
            grams=float(row["grams"]),
            source=Source(basis=Basis(row["basis"]), text=row["source"]),
        )
        for row in rows()
        if _called_for(row["when"], ask.facts)
    )
    mass = sum(tool.grams for tool in tools) + sum(spare.grams for spare in spares)
    mass += SUPPORT_G * sum(_support(stock).pieces for stock in ask.supports)
    mass += FLOWER_G * sum(_flower(flower).pieces for flower in ask.flowers)
    return Kit(spares=tuple(spares), tools=tools, mass_g=mass)


def _called_for(when: str, facts: frozenset[str]) -> bool:
    """Say whether a row's condition holds: alternatives are parted by bars, what must hold together by plus signs."""
    return when == "always" or any(
        all(word in facts for word in alternative.split("+")) for alternative in when.split("|")
    )


def _coat(coat: CoatToMend) -> Spare:
    colour = f", {coat.colour}" if coat.colour else ""
    forms = {"rolled": "in a closed bag", "ganache": "in a tub, to be warmed"}
    return Spare(
        what=f"{coat.name}{colour}, {forms.get(coat.kind, 'in a bag')}",
        why=f"a hand-sized patch on each of {coat.tiers} tiers" if coat.tiers > 1 else "a hand-sized patch",
        grams=spare_coat_g(coat),
    )


def _support(stock: StockToSpare) -> Spare:
    pieces = max(1, ceil(stock.count / SPARE_EVERY))
    return Spare(
        what=f"{stock.name}, uncut or at least {stock.longest_mm:.0f} mm",
        why=f"{stock.count} are in the cake",
        pieces=pieces,
    )


def _flower(flower: FlowerToSpare) -> Spare:
    pieces = flower.spares or max(1, ceil(flower.count * FLOWERS_SPARE))
    return Spare(what=f"{flower.name}, in a lidded tray", why=f"{flower.count} are on the cake", pieces=pieces)
