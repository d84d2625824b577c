"""Everything on the cake as a list of placed things, for whoever draws it."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil
from typing import Final

from tierwright.brief.decor import BorderKind, BorderPlace, LeafMetal
from tierwright.finish.bands import WorkedBand
from tierwright.finish.drips import WorkedDrip
from tierwright.finish.model import Placed, Point3, Surface
from tierwright.finish.painting import WorkedLeaf, WorkedPaint
from tierwright.finish.paths import Path
from tierwright.finish.piping import PipedRow, row_line
from tierwright.finish.textures import WorkedTexture

STEP_MM: Final = 3.0
"""Distance of the points of a line that runs round a tier. [mm]"""
SWAG_POINTS: Final = 12
WET_MM: Final = 0.05
"""How far a painted or gilded area is drawn off the coat. [mm]"""
METALS: Final = {LeafMetal.GOLD: "#d4a93a", LeafMetal.SILVER: "#c4c8cc"}
UP: Final[Point3] = (0.0, 0.0, 1.0)


def piped(row: PipedRow, surface: Surface) -> tuple[Placed, ...]:
    """Return the pieces of a piped row where they stand, or the lines that it is made of."""
    path, _ = row_line(surface, row.where, row.up_mm, row.width_mm.value)
    level = {BorderPlace.BASE: surface.foot_mm, BorderPlace.TOP: surface.top_mm}.get(
        row.where, surface.foot_mm + row.up_mm
    )
    size = (row.length_mm, row.width_mm.value, row.height_mm.value)
    colour = row.colour
    if row.kind in (BorderKind.LINE, BorderKind.ROPE):
        line = _round(path, level)
        return (_along(row.kind.value, surface.tier, line, size, colour, _facing(row, path, surface, 0.0)),)
    stops = row.pieces.stops_mm
    if row.kind is BorderKind.SWAG:
        return tuple(_swags(row, path, surface, level, size, colour))
    found: list[Placed] = []
    for stop, pitch in zip(stops, _pitches(row), strict=True):
        s = stop + pitch / 2
        spot = path.spot(s)
        found.append(
            Placed(
                what=row.kind.value,
                tier=surface.tier,
                at_mm=(spot.at_mm[0], spot.at_mm[1], level),
                out=_facing(row, path, surface, s),
                along=(spot.along[0], spot.along[1], 0.0),
                size_mm=size,
                colour=colour,
            )
        )
    return tuple(found)


def _facing(row: PipedRow, path: Path, surface: Surface, s_mm: float) -> Point3:
    """Rows at the foot and on the top edge stand on a level face; rows on the side face outward."""
    if row.where is not BorderPlace.SIDE:
        return UP
    return surface.at(s_mm / path.length_mm * surface.foot.path.length_mm, row.up_mm)[1]


def _pitches(row: PipedRow) -> list[float]:
    return [pitch for count, pitch in zip(row.pieces.counts, row.pieces.pitches_mm, strict=True) for _ in range(count)]


def _swags(row: PipedRow, path: Path, surface: Surface, level: float, size: Point3, colour: str) -> Iterable[Placed]:
    for stop, pitch in zip(row.pieces.stops_mm, _pitches(row), strict=True):
        line: list[Point3] = []
        for i in range(SWAG_POINTS + 1):
            share = i / SWAG_POINTS
            spot = path.spot(stop + pitch * share)
            hang = row.drop_mm * 4 * share * (1 - share)
            line.append((spot.at_mm[0], spot.at_mm[1], level - hang))
        middle = path.spot(stop + pitch / 2)
        yield _along("swag", surface.tier, line, size, colour, (middle.out[0], middle.out[1], 0.0))


def _round(path: Path, level: float) -> list[Point3]:
    points = ceil(path.length_mm / STEP_MM)
    spots = [path.spot(path.length_mm * i / points) for i in range(points)]
    line = [(spot.at_mm[0], spot.at_mm[1], level) for spot in spots]
    return [*line, line[0]]


def _along(
    what: str, tier: int, line: list[Point3], size: Point3, colour: str, out: Point3, detail: str = ""
) -> Placed:
    middle, after = line[len(line) // 2], line[min(len(line) // 2 + 1, len(line) - 1)]
    run = [b - a for a, b in zip(middle, after, strict=True)]
    length = sum(part * part for part in run) ** 0.5 or 1.0
    return Placed(
        what=what,
        tier=tier,
        at_mm=middle,
        out=out,
        along=(run[0] / length, run[1] / length, run[2] / length),
        size_mm=size,
        colour=colour,
        line_mm=tuple(line),
        detail=detail,
    )


def textured(texture: WorkedTexture, surface: Surface) -> tuple[Placed, ...]:
    """Return grooves (bare ones in the coat's colour, stripes in their own) by the middle line of each."""
    if texture.grooves is None:
        return ()
    what = "stripe" if texture.mass is not None else "groove"
    size, colour = (0.0, texture.groove_mm, texture.depth_mm), texture.colour
    if texture.is_upright:
        found: list[Placed] = []
        for stop in texture.grooves.stops_mm:
            foot, out = surface.at(stop, 0.0)
            top, _ = surface.at(stop, surface.height_mm)
            found.append(_along(what, surface.tier, [foot, top], size, colour, out, texture.kind.value))
        return tuple(found)
    pitch = texture.grooves.length_mm / texture.grooves.count
    rings: list[Placed] = []
    for i in range(texture.grooves.count):
        up = pitch * (i + 0.5)
        path = surface.foot.path.scaled(1 - up / surface.height_mm * (1 - surface.top_scale))
        line = _round(path, surface.foot_mm + up)
        rings.append(_along(what, surface.tier, line, size, colour, surface.at(0.0, up)[1], texture.kind.value))
    return tuple(rings)


def banded(band: WorkedBand, surface: Surface) -> tuple[Placed, ...]:
    """Return a band by its middle line; its size is one repeat along, its height across, its thickness outward."""
    up = band.foot_mm + band.height_mm / 2
    path = surface.foot.path.scaled(1 - up / surface.height_mm * (1 - surface.top_scale))
    repeat = path.length_mm if band.repeats is None else path.length_mm / band.repeats.count
    thick = 0.4 if band.mass is None else band.mass.thickness_mm.value
    line = _round(path, surface.foot_mm + up)
    out = surface.at(0.0, up)[1]
    return (_along("band", surface.tier, line, (repeat, band.height_mm, thick), band.colour, out, band.kind.value),)


def dripped(drip: WorkedDrip, surface: Surface) -> tuple[Placed, ...]:
    """Return drips from the top edge down, and the flooded top as one thing of detail ``flood``."""
    found: list[Placed] = []
    thick, colour = drip.thickness_mm.value, drip.colour
    factor = surface.foot.path.length_mm / surface.top.path.length_mm
    for stop, length in zip(drip.drips.stops_mm, drip.lengths_mm, strict=True):
        start, out = surface.at(stop * factor, surface.height_mm)
        end, _ = surface.at(stop * factor, max(0.0, surface.height_mm - length))
        found.append(
            Placed(
                what="drip", tier=surface.tier, at_mm=start, out=out, along=(0.0, 0.0, -1.0),
                size_mm=(length, drip.width_mm, thick), colour=colour, line_mm=(start, end),
            )
        )  # fmt: skip
    if drip.flood_mm2 > 0:
        line = _round(surface.top.path, surface.top_mm)
        found.append(
            Placed(
                what="drip", tier=surface.tier, at_mm=(0.0, 0.0, surface.top_mm), out=UP, along=(1.0, 0.0, 0.0),
                size_mm=(0.0, 0.0, thick), colour=colour, line_mm=tuple(line), detail="flood",
            )
        )  # fmt: skip
    return tuple(found)


def painted(paint: WorkedPaint, surface: Surface) -> tuple[Placed, ...]:
    """Return a coloured area as one patch on the front of the side, as large as its share of it."""
    whole = surface.side_mm2 + surface.top_mm2
    return (_patch("painted", surface, paint.area_mm2 / whole, paint.colour, paint.way.value),)


def gilded(leaf: WorkedLeaf, surface: Surface) -> tuple[Placed, ...]:
    """Return leaf as one patch on the front of the side, as large as its share of it."""
    share = leaf.area_mm2 / surface.side_mm2
    return (_patch("leaf", surface, share, METALS[leaf.metal], leaf.metal.value),)


def _patch(what: str, surface: Surface, share: float, colour: str, detail: str) -> Placed:
    """Return a patch as wide as it is high where that fits, else as high as the side, about the middle of the front."""
    path = surface.foot.path
    area = share * surface.side_mm2
    high = min(surface.height_mm, area**0.5)
    wide = area / high
    front = path.length_mm / 2
    up = surface.height_mm / 2
    at, out = surface.at(front, up)
    spot = path.spot(front)
    return Placed(
        what=what, tier=surface.tier, at_mm=at, out=out, along=(spot.along[0], spot.along[1], 0.0),
        size_mm=(wide, high, WET_MM), colour=colour, detail=detail,
    )  # fmt: skip
