"""Tiers and orders that the tests of this room share."""

from __future__ import annotations

from typing import Any

from tierwright.coating import CoatStyle, Spread, TierToCoat
from tierwright.shapes import Outline, Shape
from tierwright.sizing.model import CutPattern, Cutting, KitchenCake, RingMeasure, Tier, TierKind
from tierwright.working import Estimate

SPONGE = Estimate(value=0.45, low=0.40, high=0.50)
BUTTERCREAM = Spread(kind="swiss_buttercream", formula="buttercream")
CURD = Spread(kind="curd", formula="curd")
JAM = Spread(kind="jam", formula="jam")
SYRUP = Spread(kind="syrup", formula="syrup")
PASTE = Spread(kind="rolled_fondant", formula="paste")
GANACHE = Spread(kind="dark_ganache", formula="ganache")

OUTLINES = [
    Outline.round(203.2),
    Outline(shape=Shape.SQUARE, width_mm=180.0),
    Outline(shape=Shape.RECTANGLE, width_mm=320.0, length_mm=220.0),
    Outline(shape=Shape.HEXAGON, width_mm=230.0),
    Outline(shape=Shape.PETAL, width_mm=260.0),
    Outline(shape=Shape.HEART, width_mm=240.0),
]


def tier(
    outline: Outline | float = 200.0,
    *,
    number: int = 1,
    layers: int = 3,
    layer_mm: float = 35.0,
    filling_mm: float = 8.0,
    kind: TierKind = TierKind.CAKE,
) -> Tier:
    """A plain tier; a number stands for a round of that diameter."""
    return Tier(
        number=number,
        name={1: "bottom", 2: "middle", 3: "top"}.get(number, str(number)),
        kind=kind,
        outline=Outline.round(outline) if isinstance(outline, float) else outline,
        pan="",
        layers=layers,
        layer_height_mm=layer_mm,
        filling_mm=filling_mm,
        height_mm=layers * layer_mm + (layers - 1) * filling_mm,
        keepsake=False,
        flavour=0,
        cutting=None,
    )


def order(cake: Tier | KitchenCake | None = None, **changes: Any) -> TierToCoat:
    """A full smooth buttercream tier filled with buttercream, changed as asked."""
    given: dict[str, Any] = {
        "cake": cake or tier(),
        "style": CoatStyle.FULL,
        "sponge_formula": "vanilla",
        "sponge_g_per_ml": SPONGE,
        "filling": BUTTERCREAM,
        "coat": BUTTERCREAM,
    }
    return TierToCoat(**(given | changes))


def kitchen_cake(count: int) -> KitchenCake:
    """Like cakes cut out of sight."""
    return KitchenCake(
        outline=Outline.round(200.0),
        pan="",
        count=count,
        layers=2,
        layer_height_mm=35.0,
        filling_mm=8.0,
        height_mm=78.0,
        flavour=0,
        cutting=Cutting(
            pattern=CutPattern.GRID,
            measure=RingMeasure.AREA,
            portion_width_mm=25.0,
            portion_depth_mm=50.0,
            slices=(),
            portions=0,
            rule="",
        ),
    )
