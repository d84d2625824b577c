"""Painted and sprayed areas, and metal leaf: how much of it, and how long it dries."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Final

from tierwright.brief.decor import Leaf, LeafMetal, Painted, PaintWay
from tierwright.errors import OutOfRange
from tierwright.finish.model import Labour, Surface, Ware
from tierwright.finish.tables import amount, time_of
from tierwright.ranges import times
from tierwright.working import Estimate

MM2_PER_M2: Final = 1e6
MM2_PER_DM2: Final = 1e4


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedPaint:
    """
    A coloured area.

    Attributes
    ----------
    tier, way, layers
        Which tier, how the colour is laid on, in how many layers.
    product
        What is used, in the brief's words.
    area_mm2
        The area. [mm2]
    colour_ml
        Colour for all layers. [ml]
    dry_min
        Drying of all layers. [min]
    labour
        Hands' time.
    colour
        Its colour, ``#rrggbb``.
    """

    tier: int
    way: PaintWay
    layers: int
    product: str
    area_mm2: float
    colour_ml: Estimate
    dry_min: Estimate
    labour: tuple[Labour, ...]
    colour: str


def work_paint(painted: Painted, surface: Surface, colour: str = "") -> WorkedPaint:
    """
    Work one coloured area: its share of side and top that show, the colour for its layers, and their drying.

    ``colour`` is the one wished for, ``#rrggbb``; empty for that of the coat.
    """
    area = painted.share * (surface.side_mm2 + surface.top_mm2)
    stem = painted.way.value
    time = time_of(stem)
    return WorkedPaint(
        tier=surface.tier,
        way=painted.way,
        layers=painted.layers,
        product=painted.product or "",
        area_mm2=area,
        colour_ml=amount(f"{stem}_ml_per_m2").value * (painted.layers * area / MM2_PER_M2),
        dry_min=amount(f"{stem}_dry_min").value * painted.layers,
        colour=colour or surface.colour,
        labour=(
            Labour(
                task=stem, label=time.label, tier=surface.tier, count=painted.layers * area / MM2_PER_DM2,
                per=time.per, minutes_each=time.minutes,
            ),
        ),
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedLeaf:
    """
    Metal leaf on a share of a side.

    Attributes
    ----------
    tier, metal
        Which tier, and the metal.
    label
        What the packet says, in the brief's words.
    area_mm2
        The area. [mm2]
    sheet_mm
        Side of one leaf. [mm]
    sheets
        Leaves needed, torn ones included. [-]
    ware
        What to buy.
    labour
        Hands' time.
    """

    tier: int
    metal: LeafMetal
    label: str
    area_mm2: float
    sheet_mm: float
    sheets: Estimate
    ware: Ware
    labour: tuple[Labour, ...]


def work_leaf(leaf: Leaf, surface: Surface) -> WorkedLeaf:
    """
    Work the leaf of one side.

    Parameters
    ----------
    leaf
        What is asked for.
    surface
        The tier.

    Returns
    -------
    worked
        ``ceil(area / (s - o)**2 / (1 - waste))`` leaves of side s that lap by o.

    Raises
    ------
    OutOfRange
        A leaf no wider than its lap.
    """
    area = leaf.share * surface.side_mm2
    lap, waste = amount("leaf_overlap_mm").value, amount("leaf_waste").value
    if leaf.sheet <= 2 * lap.high:
        raise OutOfRange("side of a leaf", leaf.sheet, 2 * lap.high, 200.0, "mm", f"the {surface.name} tier")

    def needed(lap_mm: float, lost: float) -> int:
        return ceil(area / (leaf.sheet - lap_mm) ** 2 / (1 - lost))

    sheets = Estimate(
        value=float(needed(lap.value, waste.value)),
        low=float(needed(lap.low, waste.low)),
        high=float(needed(lap.high, waste.high)),
    )
    time = time_of("leafing")
    return WorkedLeaf(
        tier=surface.tier,
        metal=leaf.metal,
        label=leaf.label or "",
        area_mm2=area,
        sheet_mm=leaf.sheet,
        sheets=sheets,
        ware=Ware(
            key=f"{leaf.metal.value}_leaf_{leaf.sheet:.0f}_mm",
            name=f"{leaf.metal.value} leaf, {leaf.sheet:.0f} mm",
            count=int(sheets.value),
            grams=times(amount("leaf_g_per_m2").value, Estimate.exact(area / MM2_PER_M2)),
            tier=surface.tier,
            is_food=True,
            days_before=2,
        ),
        labour=(
            Labour(
                task="leafing", label=time.label, tier=surface.tier, count=sheets.value, per=time.per,
                minutes_each=time.minutes,
            ),
        ),
    )  # fmt: skip
