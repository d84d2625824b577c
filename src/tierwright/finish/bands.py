"""Bands and stencils round a side: repeats that close, their template laid flat, and what they take."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor
from typing import Final

from tierwright.brief.decor import Band, BandKind
from tierwright.errors import OutOfRange
from tierwright.finish.closing import Closed, close
from tierwright.finish.model import DecorMass, Inedible, Labour, Surface, Ware
from tierwright.finish.stuff import Stuff
from tierwright.finish.tables import amount, time_of
from tierwright.finish.unrolling import Unrolled, unrolled
from tierwright.ranges import times, with_losses
from tierwright.shapes import Point
from tierwright.working import NOTHING, Estimate

MM3_PER_ML: Final = 1000.0
MM2_PER_CM2: Final = 100.0
RIBBON_STEP_MM: Final = 100.0
"""Ribbon is bought by the tenth of a metre. [mm]"""
MADE_OF_FORMULA: Final = frozenset({BandKind.STENCIL, BandKind.PASTE})


@dataclass(frozen=True, slots=True, kw_only=True)
class Template:
    """
    A band laid flat, as it is cut: outer face up, to the right along the foot of the tier.

    Attributes
    ----------
    edge
        Its outline, first corner not repeated. [mm]
    repeats
        Lines between repeats, and the seams at both ends. [mm]
    folds
        Lines that lie on corners or notches of the tier. [mm]
    tab
        The part that laps over the other end, or nothing. [mm]
    width_mm, height_mm
        Of the box round it. [mm]
    lines
        Thin lines to lay it by. [mm]
    letters, letters_mm
        Outlines as one SVG path, y running down, and where its origin lies. [mm]
    """

    edge: tuple[Point, ...]
    repeats: tuple[tuple[Point, Point], ...]
    folds: tuple[tuple[Point, Point], ...]
    tab: tuple[Point, ...]
    width_mm: float
    height_mm: float
    lines: tuple[tuple[Point, Point], ...] = ()
    letters: str = ""
    letters_mm: Point = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedBand:
    """
    One band or stencil.

    Attributes
    ----------
    tier, kind, motif
        Which tier, what it is, and its pattern in words.
    formula
        What it is made of; empty where it is bought.
    foot_mm, height_mm
        Where it begins over the tier's foot, and its height, measured upright. [mm]
    foot_length_mm, top_length_mm
        Length once round at its lower and upper edge. [mm]
    round_mm
        Length once round at which repeats are measured: halfway up the band. [mm]
    repeats
        How they part the band halfway up; None for a plain band.
    scale
        Length that the maker measured round the tier over the one worked out; 1 where none was measured. [-]
    overlap_mm
        How far its ends lap. [mm]
    area_mm2
        Area of the band. [mm2]
    mass, ware, inedible
        What it takes: of a formula, bought, and to be taken off before the cake is cut.
    labour
        Hands' time.
    template
        It laid flat.
    colour
        Its colour, ``#rrggbb``.
    """

    tier: int
    kind: BandKind
    motif: str
    formula: str
    foot_mm: float
    height_mm: float
    foot_length_mm: float
    top_length_mm: float
    round_mm: float
    repeats: Closed | None
    scale: float
    overlap_mm: float
    area_mm2: float
    mass: DecorMass | None
    ware: Ware | None
    inedible: Inedible | None
    labour: tuple[Labour, ...]
    template: Template
    colour: str


def work_band(band: Band, surface: Surface, stuff: Stuff | None, colour: str = "") -> WorkedBand:
    """
    Work one band.

    Parameters
    ----------
    band
        What is asked for.
    surface
        The tier that it goes round.
    stuff
        What it is spread or rolled of; None for what is bought, or where nobody has said.
    colour
        Colour that is wished for, ``#rrggbb``; empty for what it is made of.

    Raises
    ------
    OutOfRange
        A band that reaches over the tier, or a measured length that is not this tier's.
    """
    place = f"a band on the {surface.name} tier"
    top = band.foot + band.height
    if top > surface.height_mm + 1e-9:
        raise OutOfRange("upper edge of the band over the foot", top, 0.0, surface.height_mm, "mm", place)
    side = surface.side
    middle = side.length_at(band.foot + band.height / 2)
    scale = 1.0
    if band.measured is not None:
        if not 0.9 * middle <= band.measured <= 1.1 * middle:
            raise OutOfRange("measured length once round", band.measured, 0.9 * middle, 1.1 * middle, "mm", place)
        scale = band.measured / middle
        side = unrolled(surface.foot.path.scaled(scale), surface.height_mm, surface.top_scale)
        middle = band.measured
    spans = tuple(span * middle / side.foot.length_mm for span in side.foot.spans_mm)
    repeats = None if band.repeat is None else close(spans, band.repeat)
    template = band_template(side, band.foot, band.height, repeats, band.overlap)
    area = middle * band.height * side.slant_mm / side.height_mm
    mass, ware, inedible = _made_of(band, surface, stuff, area, middle)
    return WorkedBand(
        tier=surface.tier,
        kind=band.kind,
        motif=band.motif or "",
        formula="" if stuff is None or band.kind not in MADE_OF_FORMULA else stuff.key,
        foot_mm=band.foot,
        height_mm=band.height,
        foot_length_mm=side.length_at(band.foot),
        top_length_mm=side.length_at(top),
        round_mm=middle,
        repeats=repeats,
        scale=scale,
        overlap_mm=band.overlap,
        area_mm2=area,
        mass=mass,
        ware=ware,
        inedible=inedible,
        labour=_labour(band.kind, surface, 1 if repeats is None else repeats.count),
        template=template,
        colour=colour or (surface.colour if stuff is None else stuff.colour),
    )


def band_template(
    side: Unrolled, foot_mm: float, height_mm: float, repeats: Closed | None, overlap_mm: float
) -> Template:
    """
    Lay a band flat.

    Parameters
    ----------
    side
        The side that it goes round, laid flat.
    foot_mm, height_mm
        Where it begins, and its height, measured upright. [mm]
    repeats
        How it is parted, or None.
    overlap_mm
        How far its right end laps over the left one. [mm]
    Returns
    -------
    template
        Its lower edge is as long as the tier is round at that height.
    """
    top_mm = foot_mm + height_mm
    whole = side.foot.length_mm
    lower, upper = side.level(foot_mm), side.level(top_mm)
    edge = [*lower, *reversed(upper)]
    stops = () if repeats is None else tuple(stop / repeats.length_mm * whole for stop in repeats.stops_mm)
    across = [(side.flat(s, foot_mm), side.flat(s, top_mm)) for s in (*(stops or (0.0,)), whole)]
    folds = [(side.flat(s, foot_mm), side.flat(s, top_mm)) for s in side.foot.folds_mm]
    tab = _tab(across[-1], overlap_mm) if overlap_mm > 0 else ()
    points = [*edge, *tab]
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    low, high = min(y for _, y in points), max(y for _, y in points)

    def put(point: Point) -> Point:
        return (point[0] - left, point[1] - low)

    return Template(
        edge=tuple(put(point) for point in edge),
        repeats=tuple((put(a), put(b)) for a, b in across),
        folds=tuple((put(a), put(b)) for a, b in folds),
        tab=tuple(put(point) for point in tab),
        width_mm=right - left,
        height_mm=high - low,
    )


def _tab(seam: tuple[Point, Point], overlap_mm: float) -> tuple[Point, ...]:
    """Return the lap beyond the right-hand seam, square to it. [mm]"""
    (x1, y1), (x2, y2) = seam
    length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
    dx, dy = (y2 - y1) / length * overlap_mm, -(x2 - x1) / length * overlap_mm
    return ((x1, y1), (x1 + dx, y1 + dy), (x2 + dx, y2 + dy), (x2, y2))


def _made_of(
    band: Band, surface: Surface, stuff: Stuff | None, area_mm2: float, round_mm: float
) -> tuple[DecorMass | None, Ware | None, Inedible | None]:
    match band.kind:
        case BandKind.STENCIL:
            share = amount("stencil_open").value if band.open_share is None else Estimate.exact(band.open_share)
            thick = _thickness(band, "stencil_mm")
            mass = _mass(surface, stuff, times(share, thick) * area_mm2, thick, amount("stencil_loss").value)
            return mass, None, None
        case BandKind.PASTE:
            thick = _thickness(band, "paste_mm")
            lapped = area_mm2 * (1 + band.overlap / round_mm)
            return _mass(surface, stuff, thick * lapped, thick, amount("paste_loss").value), None, None
        case BandKind.PRINTED:
            long, wide = amount("printed_long_mm").value.low, amount("printed_wide_mm").value.low
            strips = max(1, floor(wide / band.height))
            pieces = ceil((round_mm + band.overlap) / long)
            ware = Ware(
                key="printed_sheet", name="edible printed sheet", count=ceil(pieces / strips), tier=surface.tier,
                grams=amount("printed_g_per_cm2").value * (area_mm2 / MM2_PER_CM2), is_food=True, days_before=2,
            )  # fmt: skip
            return None, ware, None
        case BandKind.RIBBON:
            count = ceil((round_mm + band.overlap) / RIBBON_STEP_MM)
            ware = Ware(
                key="ribbon_100_mm", name=f"ribbon, {band.height:g} mm wide, by 10 cm", count=count, grams=NOTHING,
                tier=surface.tier, is_food=False, days_before=2,
            )  # fmt: skip
            return None, ware, Inedible(tier=surface.tier, what="ribbon", count=1, where="round the side")


def _thickness(band: Band, usual: str) -> Estimate:
    return amount(usual).value if band.thickness is None else Estimate.within(band.thickness, 0.15)


def _mass(
    surface: Surface, stuff: Stuff | None, volume_mm3: Estimate, thick: Estimate, loss: Estimate
) -> DecorMass | None:
    if stuff is None:
        return None
    volume = volume_mm3 * (1 / MM3_PER_ML)
    on_cake = times(volume, stuff.density_g_per_ml)
    return DecorMass(
        tier=surface.tier, part="band", formula=stuff.key, volume_ml=volume, on_cake_g=on_cake,
        to_make_g=with_losses(on_cake, loss, amount("bowl_loss").value), thickness_mm=thick,
    )  # fmt: skip


def _labour(kind: BandKind, surface: Surface, repeats: int) -> tuple[Labour, ...]:
    task = "stencilling" if kind is BandKind.STENCIL else f"{kind.value}_band"
    time = time_of(task)
    count = float(repeats) if time.per == "repeat" else 1.0
    return (
        Labour(
            task=task, label=time.label, tier=surface.tier, count=count, per=time.per, minutes_each=time.minutes
        ),
    )  # fmt: skip
