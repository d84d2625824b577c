"""The side of a finished tier, laid flat and to scale: rows, bands with their repeats, drips, grooves and folds."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Any, Final

import numpy as np

from tierwright.brief.decor import BorderKind, BorderPlace, LetterPlace
from tierwright.dossier import FinishWork
from tierwright.drawings import INK_ON_PAPER, Drawing, Ink
from tierwright.drawings.measure import across, choose_scale, scale_words, upright
from tierwright.finish import (
    Path,
    PipedRow,
    Point3,
    Surface,
    Unrolled,
    Work,
    WorkedBand,
    WorkedDrip,
    WorkedTexture,
)
from tierwright.shapes import Point
from tierwright.svg import document, element, group, line, number, polygon, words
from tierwright.units import Display

Put = Callable[[Point], Point]
"""From the side laid flat to the paper. [mm]"""
Place = Callable[[float, float], Point]
"""From a place along the foot and a height over it to the paper. [mm]"""
WIDTH_MM: Final = 172.0
HEAD_MM: Final = 9.0
LEFT_MM: Final = 17.0
FOOT_MM: Final = 7.0
MOST_HIGH_MM: Final = 90.0
SWAG_POINTS: Final = 8


def unrolled_side(
    surface: Surface,
    finish: FinishWork,
    *,
    display: Display,
    ink: Ink = INK_ON_PAPER,
    prefix: str = "side",
    width_mm: float = WIDTH_MM,
) -> Drawing:
    """
    Draw what one tier wears on its side, laid flat, the middle of the front in the middle of the sheet.

    Parameters
    ----------
    surface
        The tier.
    finish
        Everything on the cake; what is on this tier is drawn.
    display
        The maker's units.
    ink
        What it is drawn with.
    prefix
        Start of every id.
    width_mm
        Breadth on paper. [mm]
    """
    side, work = surface.side, finish.work
    corners = [*side.level(0.0), *reversed(side.level(side.height_mm))]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    low, high = min(y for _, y in corners), max(y for _, y in corners)
    scale = choose_scale(right - left, high - low, width_mm - LEFT_MM - 4.0, MOST_HIGH_MM)
    tall = (high - low) / scale
    begin = LEFT_MM + (width_mm - LEFT_MM - 4.0 - (right - left) / scale) / 2

    def at(point: Point) -> Point:
        return (begin + (point[0] - left) / scale, HEAD_MM + (high - point[1]) / scale)

    def place(s_mm: float, up_mm: float) -> Point:
        return at(side.flat(min(max(s_mm, 0.0), side.foot.length_mm), up_mm))

    body: list[str] = []
    for texture in work.textures:
        if texture.tier == surface.tier:
            body += _grooves(texture, side, at, ink)
    for band in work.bands:
        if band.tier == surface.tier:
            body += _band(band, side, at, ink)
    for drip in work.drips:
        if drip.tier == surface.tier:
            body += _drips(drip, surface, place)
    body.append(polygon((at(point) for point in corners), fill="none", stroke_width=0.35))
    body += [_dashed(place(fold, 0.0), place(fold, side.height_mm), ink) for fold in side.foot.folds_mm]
    for row in work.rows:
        if row.tier == surface.tier:
            body += _row(row, surface, place, scale)
    body += [
        _disc(place(_along(surface, one.at_mm), one.at_mm[2] - surface.foot_mm), one.diameter_mm / 2 / scale)
        for one in finish.flowers.on_sides
        if one.tier == surface.tier
    ]
    x1, y1 = at(side.flat(0.0, 0.0))
    x2, _ = at(side.flat(side.foot.length_mm, 0.0))
    bottom = HEAD_MM + tall
    body.append(
        across(
            x1, x2, bottom + FOOT_MM, side.foot.length_mm, f"{display.show_length(side.foot.length_mm)} round the foot",
            ink=ink, from_y=bottom,
        )
    )  # fmt: skip
    _, y2 = at(side.flat(0.0, side.height_mm))
    body.append(
        upright(
            begin - 3.0, y2, y1, side.height_mm, display.show_length(side.height_mm), ink=ink, from_x=(x1, x1),
        )
    )  # fmt: skip
    ends = "back" if side.is_straight else "back, laid flat as a fan"
    body.append(words(begin, HEAD_MM - 3.0, ends, size=2.8, italic=True))
    body.append(
        words(begin + (right - left) / scale / 2, HEAD_MM - 3.0, "front", size=2.8, anchor="middle", italic=True)
    )
    body.append(words(begin + (right - left) / scale, HEAD_MM - 3.0, scale_words(scale), size=2.8, anchor="end"))
    title = f"Side of the {surface.name} tier, laid flat"
    return document(
        prefix=prefix,
        title=title,
        desc=f"{title}: {_alt(surface, work)}",
        width_mm=width_mm,
        height_mm=bottom + FOOT_MM + 4.0,
        ink=ink,
        definitions="",
        body="".join(body),
        scale=scale,
    )


def _along(surface: Surface, at_mm: Point3) -> float:
    """Return how far along the foot a place on the side lies: where the foot's line has its direction. [mm]"""
    share = (at_mm[2] - surface.foot_mm) / surface.height_mm
    scale = 1 - share * (1 - surface.top_scale)
    stops, spots = _stops_along(surface.foot.path)
    nearest = np.hypot(spots[:, 0] - at_mm[0] / scale, spots[:, 1] - at_mm[1] / scale).argmin()
    return stops[int(nearest)]


@lru_cache(maxsize=64)
def _stops_along(path: Path) -> tuple[tuple[float, ...], np.ndarray[Any, np.dtype[np.float64]]]:
    """Return places along a foot's line, and where each of them lies. [mm]"""
    stops = tuple(path.stops(0.002))
    return stops, np.array([path.spot(one).at_mm for one in stops])


def _disc(middle: Point, radius: float) -> str:
    return element("circle", cx=middle[0], cy=middle[1], r=max(0.3, radius), fill="none", stroke_width=0.25)


def from_above(
    finish: FinishWork, *, display: Display, ink: Ink = INK_ON_PAPER, prefix: str = "above", width_mm: float = 100.0
) -> Drawing:
    """
    Draw board, tiers, flowers and lettering from above, the front below.

    Parameters
    ----------
    finish
        Everything on the cake.
    display
        The maker's units.
    ink
        What it is drawn with.
    prefix
        Start of every id.
    width_mm
        Breadth on paper. [mm]
    """
    lowest = finish.surfaces[0]
    widest = lowest.ground if lowest.ground is not None else lowest.foot
    wide, deep = widest.outline.extent_mm
    scale = choose_scale(wide, deep, width_mm - 8.0, width_mm - 8.0)
    middle, height = width_mm / 2, deep / scale + 14.0

    def at(point: Point) -> Point:
        return (middle + point[0] / scale, 5.0 + (deep / 2 - point[1]) / scale)

    body = [polygon((at(point) for point in widest.path.polygon(0.2)), fill="none", stroke_width=0.3)]
    body += [
        polygon((at(point) for point in surface.top.path.polygon(0.2)), fill="none", stroke_width=0.35)
        for surface in finish.surfaces
    ]
    for one in finish.flowers.places:
        # What faces outward is seen from its edge.
        flat = abs(one.out[2]) >= 0.9
        body.append(_disc(at((one.at_mm[0], one.at_mm[1])), one.diameter_mm / 2 / scale if flat else 0.5))
    cx, cy = at((0.0, 0.0))
    for words_ in finish.inscriptions:
        if words_.place is not LetterPlace.BAND:
            move = f"translate({number(cx)} {number(cy)}) scale({number(1 / scale)})"
            body.append(element("path", d=words_.written.path, transform=move, stroke="none"))
    body.append(words(middle, height - 3.0, f"front; {scale_words(scale)}", size=2.8, anchor="middle", italic=True))
    flowers = len(finish.flowers.places)
    title = "The cake from above"
    return document(
        prefix=prefix,
        title=title,
        desc=f"{title}, {display.show_length(wide)} across: {flowers} flowers, each a circle, and the words written "
        "flat.",
        width_mm=width_mm,
        height_mm=height,
        ink=ink,
        definitions="",
        body="".join(body),
        scale=scale,
    )


def _pieces(row: PipedRow) -> str:
    if row.kind in (BorderKind.ROPE, BorderKind.LINE):
        return f"a {row.kind.value}"
    return f"{row.pieces.count} {row.kind.value}s"


def _alt(surface: Surface, work: Work) -> str:
    said = [f"{_pieces(row)} at the {row.where.value}" for row in work.rows if row.tier == surface.tier]
    said += [
        f"a {band.kind.value} band" + (f" of {band.repeats.count} repeats" if band.repeats is not None else "")
        for band in work.bands
        if band.tier == surface.tier
    ]
    said += [f"{drip.drips.count} drips" for drip in work.drips if drip.tier == surface.tier]
    said += [f"a {texture.kind.value} coat" for texture in work.textures if texture.tier == surface.tier]
    return ", ".join(said) if said else "a plain coat"


def _dashed(start: Point, end: Point, ink: Ink) -> str:
    return line(*start, *end, stroke_width=0.18, stroke_dasharray="1.2 0.9", stroke_opacity=ink.faint)


def _grooves(texture: WorkedTexture, side: Unrolled, at: Put, ink: Ink) -> Iterable[str]:
    if texture.grooves is None:
        return
    lines: list[str] = []
    if texture.is_upright:
        stops = texture.grooves.stops_mm
        lines += [line(*at(side.flat(s, 0.0)), *at(side.flat(s, side.height_mm))) for s in stops]
    else:
        pitch = texture.grooves.length_mm / texture.grooves.count
        for i in range(texture.grooves.count):
            level = [at(point) for point in side.level(pitch * (i + 0.5))]
            lines.append(_polyline(level))
    yield group(*lines, stroke_width=0.12, stroke_opacity=ink.faint, fill="none")


def _band(band: WorkedBand, side: Unrolled, at: Put, ink: Ink) -> Iterable[str]:
    top = band.foot_mm + band.height_mm
    edge = [*side.level(band.foot_mm), *reversed(side.level(top))]
    # Paper under the band, so that grooves do not run through it; on a page the page itself shows.
    fill = ink.paper if ink.paper != "none" else "none"
    yield polygon((at(point) for point in edge), fill=fill, stroke_width=0.3)
    if band.repeats is None:
        return
    whole = side.foot.length_mm
    stops = [stop / band.repeats.length_mm * whole for stop in band.repeats.stops_mm]
    for i, stop in enumerate(stops):
        after = stops[i + 1] if i + 1 < len(stops) else whole
        yield line(*at(side.flat(stop, band.foot_mm)), *at(side.flat(stop, top)), stroke_width=0.2)
        x, y = at(side.flat((stop + after) / 2, band.foot_mm + band.height_mm / 2))
        yield words(x, y + 1.0, str(i + 1), size=2.6, anchor="middle")


def _drips(drip: WorkedDrip, surface: Surface, place: Place) -> Iterable[str]:
    factor = surface.foot.path.length_mm / surface.top.path.length_mm
    half = drip.width_mm / 2 * factor
    for stop, length in zip(drip.drips.stops_mm, drip.lengths_mm, strict=True):
        s, end = stop * factor, surface.height_mm - min(length, surface.height_mm)
        for shift in (0.0, surface.foot.path.length_mm) if s < half else (0.0,):
            x1, y1 = place(s + shift - half, surface.height_mm)
            x2, _ = place(s + shift + half, surface.height_mm)
            x3, y3 = place(s + shift + half, end)
            x4, _ = place(s + shift - half, end)
            if x2 - x1 < 0.2:
                continue
            radius = max(0.1, abs(x3 - x4) / 2)
            path = (
                f"M{number(x1)} {number(y1)}L{number(x4)} {number(y3 - radius)}"
                f"A{number(radius)} {number(radius)} 0 0 0 {number(x3)} {number(y3 - radius)}L{number(x2)} {number(y1)}"
            )
            yield element("path", d=path, fill="none", stroke_width=0.25)


def _row(row: PipedRow, surface: Surface, place: Place, scale: float) -> Iterable[str]:
    whole = surface.foot.path.length_mm
    factor = whole / row.pieces.length_mm
    up = {BorderPlace.BASE: 0.0, BorderPlace.TOP: surface.height_mm}.get(row.where, row.up_mm)
    high = row.height_mm.value / scale
    stops = [stop * factor for stop in row.pieces.stops_mm]
    drawn: list[str] = []
    for i, stop in enumerate(stops):
        after = stops[i + 1] if i + 1 < len(stops) else whole
        if row.kind is BorderKind.SWAG:
            points = []
            for k in range(SWAG_POINTS + 1):
                share = k / SWAG_POINTS
                points.append(place(stop + (after - stop) * share, up - row.drop_mm * 4 * share * (1 - share)))
            drawn.append(_polyline(points))
            continue
        x1, y1 = place(stop, up)
        x2, y2 = place(after, up)
        if row.kind is BorderKind.LINE:
            drawn.append(line(x1, y1, x2, y2, stroke_width=max(0.3, row.width_mm.value / scale)))
            continue
        rx, ry = abs(x2 - x1) / 2, max(0.3, high)
        # Half an oval that stands on the foot or the edge; a whole one on the side.
        if row.where is BorderPlace.SIDE:
            drawn.append(element("ellipse", cx=(x1 + x2) / 2, cy=(y1 + y2) / 2, rx=rx, ry=rx, fill="none"))
        else:
            arc = f"M{number(x1)} {number(y1)}A{number(rx)} {number(ry)} 0 0 1 {number(x2)} {number(y2)}"
            drawn.append(element("path", d=arc, fill="none"))
    yield group(*drawn, stroke_width=0.22, fill="none")


def _polyline(points: Iterable[Point]) -> str:
    return element("polyline", points=" ".join(f"{number(x)},{number(y)}" for x, y in points), fill="none")
