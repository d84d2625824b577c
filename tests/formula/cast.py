"""Formulas and pans that several tests share; all of them invented."""

from __future__ import annotations

from tierwright.formula import FormulaText, Kind, Measures, PanJob
from tierwright.shapes import Outline

LEMON = FormulaText(
    key="lemon",
    name="Lemon and poppy seed",
    kind=Kind.HIGH_RATIO,
    lines=(
        "2 3/4 cups spooned cake flour",
        "1 2/3 cups granulated sugar",
        "1 tbsp baking powder",
        "3/4 tsp table salt",
        "1 1/2 sticks unsalted butter, soft",
        "4 large eggs",
        "1 cup whole milk",
        "zest of 2 lemons",
    ),
    made_for="three 8 in round pans at sea level",
)
COCOA = FormulaText(
    key="cocoa",
    name="Cocoa without egg",
    kind=Kind.OIL,
    lines=(
        "300 g plain flour",
        "300 g caster sugar",
        "60 g natural cocoa powder",
        "6 g baking soda",
        "320 g soy milk",
        "20 g cider vinegar",
        "120 g sunflower oil",
    ),
    measures=Measures.METRIC,
)
WHITES = FormulaText(
    key="whites",
    name="Swiss buttercream",
    kind=Kind.SWISS_BUTTERCREAM,
    lines=("6 large egg whites", "400 g caster sugar", "600 g unsalted butter, soft"),
)
CURD = FormulaText(
    key="curd",
    name="Lemon curd",
    kind=Kind.CURD,
    lines=("6 large egg yolks", "150 g caster sugar", "100 g lemon juice", "100 g unsalted butter"),
)


def job(inches: float, *, count: int = 2, levelled_mm: float = 38.0, depth_mm: float = 76.2, key: str = "") -> PanJob:
    return PanJob(
        key=key or f"tier.{inches:g}",
        pan=f"round_{inches:g}",
        outline=Outline.round(inches * 25.4),
        depth_mm=depth_mm,
        count=count,
        levelled_mm=levelled_mm,
    )
