"""How warm is it in there from the oven to the last slice, and what does that allow?"""

from tierwright.keeping.activity import component_activity, sugar_share
from tierwright.keeping.air import MoistAir, dew_point_c, moist_air, vapour_flux_kg_m2s
from tierwright.keeping.allergens import Make, Trace, WorkStep, may_follow, order_of_work, trace
from tierwright.keeping.answer import Aside, Card, Keeping, KeepingPlan, Moment, TierClock, TierCooling, keep
from tierwright.keeping.bodies import FOAM_KEY
from tierwright.keeping.clocks import ClockReading, CoolingReading, discard_h, read_clock, read_cooling
from tierwright.keeping.decorations import (
    DustAdvice,
    FlowerAdvice,
    dust_advice,
    dust_table,
    dusts_in,
    flower_advice,
    flowers_in,
)
from tierwright.keeping.display import Change, Window
from tierwright.keeping.keepsake import Keepable, Keepsake, keepsake
from tierwright.keeping.layers import LayerLine, LayerTimes, TierTimes, layer_line, layer_times, tier_times
from tierwright.keeping.line import Start, walk, warm_up
from tierwright.keeping.model import (
    Component,
    Curve,
    Hour,
    Layer,
    Measurement,
    Place,
    Safety,
    Standing,
    Stay,
    TierLine,
    TierToKeep,
)
from tierwright.keeping.plot import plot_line
from tierwright.keeping.safety import assess
from tierwright.keeping.softness import SoftLimit, Softness, Yielding, soften
from tierwright.keeping.sweat import DampLimit, Sweat, damp_limits, sweat
from tierwright.keeping.tables import clocks, component_kind, cover, threshold
from tierwright.keeping.tcs import Category, Table, category, category_from
from tierwright.keeping.weather import read_weather

__all__ = [
    "FOAM_KEY",
    "Aside",
    "Card",
    "Category",
    "Change",
    "ClockReading",
    "Component",
    "CoolingReading",
    "Curve",
    "DampLimit",
    "DustAdvice",
    "FlowerAdvice",
    "Hour",
    "Keepable",
    "Keeping",
    "KeepingPlan",
    "Keepsake",
    "Layer",
    "LayerLine",
    "LayerTimes",
    "Make",
    "Measurement",
    "MoistAir",
    "Moment",
    "Place",
    "Safety",
    "SoftLimit",
    "Softness",
    "Standing",
    "Start",
    "Stay",
    "Sweat",
    "Table",
    "TierClock",
    "TierCooling",
    "TierLine",
    "TierTimes",
    "TierToKeep",
    "Trace",
    "Window",
    "WorkStep",
    "Yielding",
    "assess",
    "category",
    "category_from",
    "clocks",
    "component_activity",
    "component_kind",
    "cover",
    "damp_limits",
    "dew_point_c",
    "discard_h",
    "dust_advice",
    "dust_table",
    "dusts_in",
    "flower_advice",
    "flowers_in",
    "keep",
    "keepsake",
    "layer_line",
    "layer_times",
    "may_follow",
    "moist_air",
    "order_of_work",
    "plot_line",
    "read_clock",
    "read_cooling",
    "read_weather",
    "soften",
    "sugar_share",
    "sweat",
    "threshold",
    "tier_times",
    "trace",
    "vapour_flux_kg_m2s",
    "walk",
    "warm_up",
]
