"""A small cast of pans, ovens and briefs for the sizing tests."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tierwright.shapes import Outline, Shape
from tierwright.sizing import FixedTier, OvenSpace, PanChoice, PortionWish, SizingBrief, Stack, TierKind
from tierwright.words import Cutter, OtherDessert
from tierwright.working import Estimate

IN = 25.4
EVENT = PortionWish(width_mm=IN, depth_mm=2 * IN, height_mm=4 * IN)
ONE_OVEN = (OvenSpace(key="small oven", width_mm=460, depth_mm=400, shelves=1),)


def cm(diameter: float, owned: int = 2, price: float | None = None, depth_mm: float = 50.0) -> PanChoice:
    return PanChoice(
        key=f"round-{diameter:g}cm",
        outline=Outline.round(10 * diameter),
        depth_mm=depth_mm,
        owned=owned,
        price=price,
    )


METRIC = tuple(cm(d) for d in (15, 18, 20, 23, 25, 28, 30))

SHEET = PanChoice(
    key="sheet-13x9",
    outline=Outline(shape=Shape.RECTANGLE, width_mm=13 * IN, length_mm=9 * IN),
    depth_mm=2 * IN,
    owned=1,
)


def brief(people: float | Estimate | None = 100, **changes: Any) -> SizingBrief:
    attending = Estimate.exact(float(people)) if isinstance(people, int | float) else people
    base = SizingBrief(
        attending=attending,
        invited=None,
        take_up=Estimate(value=0.825, low=0.8, high=0.85),
        other_dessert=OtherDessert.NONE,
        portion=EVENT,
        cut_by=Cutter.CATERER,
        keepsake=False,
        risk=0.1,
        tiers=3,
        shape=Shape.ROUND,
        flavours=1,
        layers=3,
        filling_mm=8.0,
        tier_height_mm=None,
    )
    return replace(base, **changes)


def fixed_cm(*diameters: float) -> tuple[FixedTier, ...]:
    """Fix round tiers, bottom first."""
    return tuple(FixedTier(number=i, outline=Outline.round(10 * d)) for i, d in enumerate(diameters, start=1))


def widths_cm(stack: Stack) -> tuple[int, ...]:
    return tuple(round(tier.outline.width_mm / 10) for tier in stack.tiers)


def all_cake(stack: Stack) -> bool:
    return all(tier.kind is TierKind.CAKE for tier in stack.tiers)
