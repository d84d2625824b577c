"""Tiers to decorate, for the tests of the room."""

from __future__ import annotations

from hypothesis import strategies as st

from tierwright.finish import Rim, Stuff, Surface
from tierwright.shapes import Outline, Shape
from tierwright.working import Estimate

BUTTERCREAM = Stuff(
    key="buttercream",
    name="Swiss-meringue buttercream",
    kind="swiss_buttercream",
    density_g_per_ml=Estimate(value=0.8, low=0.7, high=0.9),
    colour="#f5ecd2",
)
GANACHE = Stuff(
    key="ganache",
    name="Dark ganache",
    kind="dark_ganache",
    density_g_per_ml=Estimate.within(1.2, 0.05),
    colour="#3a2418",
)

shapes = st.sampled_from(list(Shape))
widths = st.floats(min_value=90.0, max_value=450.0)
coats = st.floats(min_value=0.0, max_value=12.0)
heights = st.floats(min_value=40.0, max_value=240.0)
scales = st.floats(min_value=0.35, max_value=1.0)


def outline(shape: Shape, width_mm: float) -> Outline:
    return Outline(shape=shape, width_mm=width_mm, length_mm=0.7 * width_mm if shape is Shape.RECTANGLE else 0.0)


def surface(
    shape: Shape = Shape.ROUND,
    width_mm: float = 200.0,
    *,
    coat_mm: float = 6.0,
    height_mm: float = 110.0,
    top_scale: float = 1.0,
    ground: Rim | None = None,
    above: Rim | None = None,
) -> Surface:
    return Surface(
        tier=1,
        name="bottom",
        foot=Rim(outline=outline(shape, width_mm), by_mm=coat_mm),
        top_scale=top_scale,
        foot_mm=0.0,
        top_mm=height_mm,
        ground=ground,
        above=above,
        coat="buttercream",
        colour="#f5ecd2",
    )
