"""A hand-made stack and its coats for the drawings' tests: the rowing club's centenary cake, simplified."""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt

from tierwright.coating.model import Band, CoatedTier, Coating, CoatStyle, Finish, Part, PartMass
from tierwright.drawings.section import Base, Names
from tierwright.shapes import Outline, Point, Shape
from tierwright.sizing.model import (
    CutPattern,
    Cutting,
    Demand,
    KitchenCake,
    RingMeasure,
    Slice,
    Stack,
    Tier,
    TierKind,
)
from tierwright.working import NOTHING, Estimate, Notes

NO_NOTES = Notes()
BOARD_MM = 3.0
COAT_MM = 6.0
NAMES = Names(
    formulas={
        "vanilla": "vanilla",
        "chocolate": "chocolate, vegan",
        "lemon": "lemon and poppy seed",
        "buttercream": "Swiss-meringue buttercream",
        "curd": "lemon curd",
        "blackcurrant": "blackcurrant jam",
    },
    flavours=("lemon and poppy seed", "chocolate with blackcurrant", "vanilla"),
)
BASE = Base(outline=Outline.round(356.0), thickness_mm=12.0)


def _sector(inner: float, outer: float, start: float, end: float) -> tuple[Point, ...]:
    steps = max(2, round((end - start) / 5))
    angles = [radians(start + (end - start) * i / steps) for i in range(steps + 1)]
    # Chords set out so that the polygon has the sector's own area.
    step = radians((end - start) / steps)
    swell = sqrt(step / sin(step))
    rim = [(outer * swell * cos(a), outer * swell * sin(a)) for a in angles]
    if inner == 0 and end - start > 359:
        return tuple(rim[:-1])
    if inner == 0:
        return ((0.0, 0.0), *rim)
    return (*rim, *[(inner * swell * cos(a), inner * swell * sin(a)) for a in reversed(angles)])


def ring_cut(outline: Outline, width_mm: float = 25.4, depth_mm: float = 50.8) -> Cutting:
    """Cut a round tier in rings of whole slices; the middle, when it is smaller than a portion, is an offcut."""
    slices: list[Slice] = []
    outer = outline.width_mm / 2
    while outer > depth_mm:
        inner = outer - depth_mm
        count = int(pi * (outer**2 - inner**2) / (width_mm * depth_mm))
        slices += [
            Slice(
                corners=_sector(inner, outer, 360 * i / count, 360 * (i + 1) / count),
                area_mm2=pi * (outer**2 - inner**2) / count,
                counts=True,
            )
            for i in range(count)
        ]
        outer = inner
    count = max(1, int(pi * outer**2 / (width_mm * depth_mm)))
    counts = pi * outer**2 / count >= width_mm * depth_mm
    slices += [
        Slice(
            corners=_sector(0, outer, 360 * i / count, 360 * (i + 1) / count),
            area_mm2=pi * outer**2 / count,
            counts=counts,
        )
        for i in range(count)
    ]
    return Cutting(
        pattern=CutPattern.RINGS,
        measure=RingMeasure.AREA,
        portion_width_mm=width_mm,
        portion_depth_mm=depth_mm,
        slices=tuple(slices),
        portions=sum(s.counts for s in slices),
        rule="A piece counts when it is at least as large, seen from above, as 2.5 by 5.1 cm.",
    )


def grid_cut(outline: Outline, width_mm: float = 25.4, depth_mm: float = 50.8) -> Cutting:
    """Cut a square or rectangular cake in a straight grid; the narrow last row is an offcut."""
    wide, deep = outline.extent_mm
    slices: list[Slice] = []
    y = -deep / 2
    while y < deep / 2 - 1e-9:
        y2 = min(y + depth_mm, deep / 2)
        x = -wide / 2
        while x < wide / 2 - 1e-9:
            x2 = min(x + width_mm, wide / 2)
            area = (x2 - x) * (y2 - y)
            slices.append(
                Slice(
                    corners=((x, y), (x2, y), (x2, y2), (x, y2)),
                    area_mm2=area,
                    counts=area > 0.999 * width_mm * depth_mm,
                )
            )
            x = x2
        y = y2
    return Cutting(
        pattern=CutPattern.GRID,
        measure=RingMeasure.AREA,
        portion_width_mm=width_mm,
        portion_depth_mm=depth_mm,
        slices=tuple(slices),
        portions=sum(s.counts for s in slices),
        rule="Only whole pieces of the grid count.",
    )


def tier(number: int, name: str, width_mm: float, flavour: int, *, keepsake: bool = False) -> Tier:
    outline = Outline.round(width_mm)
    return Tier(
        number=number,
        name=name,
        kind=TierKind.CAKE,
        outline=outline,
        pan=f"round-{width_mm:.0f}",
        layers=3,
        layer_height_mm=30.0,
        filling_mm=8.0,
        height_mm=106.0,
        keepsake=keepsake,
        flavour=flavour,
        cutting=ring_cut(outline),
    )


def part(kind: Part, formula: str, grams: float, thickness_mm: float) -> PartMass:
    return PartMass(
        part=kind,
        formula=formula,
        on_cake_g=Estimate.within(grams, 0.1),
        to_make_g=Estimate.within(grams * 1.12, 0.12),
        volume_ml=Estimate.within(grams / 0.8, 0.1),
        thickness_mm=Estimate.within(thickness_mm, 0.2),
    )


def coated(base: Tier, sponge: str, filling: str) -> CoatedTier:
    bands = [Band(material="board", formula="", bottom_mm=0.0, top_mm=BOARD_MM, outline=base.outline)]
    y = BOARD_MM
    for layer in range(base.layers):
        bands.append(Band(material="sponge", formula=sponge, bottom_mm=y, top_mm=y + 30.0, outline=base.outline))
        y += 30.0
        if layer < base.layers - 1:
            bands.append(Band(material="filling", formula=filling, bottom_mm=y, top_mm=y + 8.0, outline=base.outline))
            y += 8.0
    inner, outer = base.outline.grown(1.5), base.outline.grown(COAT_MM)
    bands.append(Band(material="crumb coat", formula="buttercream", bottom_mm=y, top_mm=y + 1.5, outline=inner))
    bands.append(Band(material="coat", formula="buttercream", bottom_mm=y + 1.5, top_mm=y + COAT_MM, outline=outer))
    width = base.outline.width_mm
    side = pi * width * base.height_mm
    return CoatedTier(
        number=base.number,
        style=CoatStyle.FULL,
        finish=Finish.COMBED,
        side_mm2=side,
        top_mm2=base.outline.area_mm2,
        edge_mm=base.outline.perimeter_mm,
        parts=(
            part(Part.SPONGE, sponge, base.outline.area_mm2 * 90 * 0.00045, 30.0),
            part(Part.FILLING, filling, base.outline.area_mm2 * 16 * 0.0011, 8.0),
            part(Part.DAM, "buttercream", 60.0, 8.0),
            part(Part.CRUMB_COAT, "buttercream", side * 1.5 * 0.0008, 1.5),
            part(Part.COAT, "buttercream", side * 5.0 * 0.0008, COAT_MM),
        ),
        bands=tuple(bands),
        sheets=(),
        board=f"card-round-{width:.0f}",
        board_mm=BOARD_MM,
        finished_outline=base.outline.grown(COAT_MM),
        finished_height_mm=BOARD_MM + base.height_mm + COAT_MM,
        mass_g=Estimate.within(base.outline.area_mm2 * 0.07, 0.1),
    )


TIERS = (
    tier(1, "bottom", 254.0, 2),
    tier(2, "middle", 203.2, 1),
    tier(3, "top", 152.4, 0, keepsake=True),
)
KITCHEN_OUTLINE = Outline(shape=Shape.RECTANGLE, width_mm=330.0, length_mm=229.0)
KITCHEN_CAKE = KitchenCake(
    outline=KITCHEN_OUTLINE,
    pan="rectangle-330x229",
    count=1,
    layers=2,
    layer_height_mm=30.0,
    filling_mm=8.0,
    height_mm=68.0,
    flavour=2,
    cutting=grid_cut(KITCHEN_OUTLINE),
)
STACK = Stack(
    tiers=TIERS,
    kitchen_cakes=(KITCHEN_CAKE,),
    portions=106,
    shortage_risk=0.04,
    surplus=9.0,
    oven_loads=4,
    cost=41.0,
    remarks=("Each tier is 51 mm narrower than the one below.",),
    score=1.0,
)
COATING = Coating(
    tiers=(
        coated(TIERS[0], "vanilla", "curd"),
        coated(TIERS[1], "chocolate", "blackcurrant"),
        coated(TIERS[2], "lemon", "curd"),
    ),
    kitchen_cakes=(),
    needs=(),
    base_board="drum-round-356",
    notes=NO_NOTES,
)
_CHANCES = tuple(max(0.0, min(1.0, 1 / (1 + 2.718281828 ** ((i - 92) / 4.0)))) for i in range(131))
DEMAND = Demand(mean=92.0, sd=7.0, chances=_CHANCES, wanted=103, risk=0.05)
EMPTY = NOTHING
