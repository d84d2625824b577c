"""Plain cakes for the tests of keeping."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from tierwright.keeping.model import Component, Layer, Place, Stay, TierToKeep
from tierwright.larder import Composition
from tierwright.shapes import Outline

NOON = datetime(2027, 7, 2, 12, tzinfo=UTC)

SPONGE = Component(
    key="vanilla",
    name="vanilla layer",
    kind="sponge",
    composition=Composition(
        water_g=29, protein_g=5.5, fat_g=17, carbohydrate_g=47, sugars_g=27, ash_g=1.5, sodium_mg=280
    ),
    density_g_per_ml=0.48,
)
BUTTERCREAM = Component(
    key="buttercream",
    name="Italian meringue buttercream",
    kind="italian_buttercream",
    composition=Composition(water_g=19, protein_g=2, fat_g=38, carbohydrate_g=40.5, sugars_g=40.5, ash_g=0.5),
    density_g_per_ml=0.78,
    contains_egg=True,
    fat="milk",
)
CURD = Component(
    key="curd",
    name="raspberry curd",
    kind="curd",
    composition=Composition(water_g=42, protein_g=3.5, fat_g=16, carbohydrate_g=38, sugars_g=37, ash_g=0.5),
    density_g_per_ml=1.09,
    contains_egg=True,
)
JAM = Component(
    key="jam",
    name="raspberry jam",
    kind="jam",
    composition=Composition(
        water_g=31, protein_g=0.5, fat_g=0.1, carbohydrate_g=68, sugars_g=65, glucose_g=18, fructose_g=18, ash_g=0.4
    ),
    density_g_per_ml=1.33,
)
ALL = {one.key: one for one in (SPONGE, BUTTERCREAM, CURD, JAM)}


def tier(
    number: int, diameter_mm: float, *, of: int = 3, filling: str = "buttercream", coat_mm: float = 8.0
) -> TierToKeep:
    """A tier of three layers, filled and coated all over."""
    layers: list[Layer] = []
    for i in range(3):
        layers.append(Layer(component="vanilla", thickness_mm=28.0))
        if i < 2:
            layers.append(Layer(component=filling, thickness_mm=8.0))
    layers.append(Layer(component="buttercream", thickness_mm=coat_mm))
    volume_ml = 3.1416 * (diameter_mm / 20.0) ** 2 * 10.0
    return TierToKeep(
        number=number,
        name=("bottom", "second", "third", "fourth")[number - 1] if number < of else "top",
        outline=Outline.round(diameter_mm),
        layers=tuple(layers),
        coat="buttercream",
        coat_mm=coat_mm,
        open_top=1.0 if number == of else 0.5,
        on_tier=number > 1,
        load_g=volume_ml * 0.55 * 0.7,
    )


def hour(h: float) -> datetime:
    return NOON + timedelta(hours=h)


def stay(place: Place, begins_h: float, ends_h: float, air_c: float, humidity: float = 0.5, **more: object) -> Stay:
    return Stay(
        place=place,
        name=place.value,
        begins=hour(begins_h),
        ends=hour(ends_h),
        air_c=air_c,
        humidity=humidity,
        **more,  # type: ignore[arg-type]
    )
