"""How big is each tier, so that everybody gets a portion?"""

from tierwright.sizing.cutting import cut, portions_in
from tierwright.sizing.demand import demand, shortage_risk, turnout
from tierwright.sizing.model import (
    CutPattern,
    Cutting,
    Demand,
    FixedTier,
    KitchenCake,
    OvenSpace,
    PanChoice,
    PortionWish,
    RingMeasure,
    RoughCosts,
    Sizing,
    SizingBrief,
    Slice,
    Stack,
    Tier,
    TierKind,
)
from tierwright.sizing.oven import oven_loads, pans_per_load
from tierwright.sizing.size import cut_as, size

__all__ = [
    "CutPattern",
    "Cutting",
    "Demand",
    "FixedTier",
    "KitchenCake",
    "OvenSpace",
    "PanChoice",
    "PortionWish",
    "RingMeasure",
    "RoughCosts",
    "Sizing",
    "SizingBrief",
    "Slice",
    "Stack",
    "Tier",
    "TierKind",
    "cut",
    "cut_as",
    "demand",
    "oven_loads",
    "pans_per_load",
    "portions_in",
    "shortage_risk",
    "size",
    "turnout",
]
