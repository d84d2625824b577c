"""The cutting guide: every piece of a tier as it is cut, numbered, drawn from the very polygons that were counted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt
from typing import Final

from shapely import LinearRing
from shapely import Point as Spot
from shapely import Polygon as Area

from tierwright.drawings.hatch import OFFCUT, Hatches
from tierwright.drawings.measure import LETTERING_MM, across, choose_scale, scale_bar, scale_words
from tierwright.shapes import Outline, Point
from tierwright.sizing.model import CutPattern, Cutting, Slice
from tierwright.svg import INK_ON_PAPER, Drawing, Ink, document, group, polygon, width_of, words
from tierwright.units import Display

SMALLEST_NUMBER_MM: Final = 1.7
"""Numbers below this size cannot be read at arm's length and are left out, except the first and last of a row. [mm]"""

SHORTEST_BAR_MM: Final = 6.0
"""A scale bar with less room than this would run into the words beside it, and is left out. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """
    Pieces that are cut together: one ring, or one row of a grid.

    Attributes
    ----------
    first, last
        Numbers of its first and last portion; 0 where it has none.
    pieces
        Number of portions in it.
    offcuts
        Number of pieces in it that do not count.
    """

    first: int
    last: int
    pieces: int
    offcuts: int


def cutting_guide(
    cutting: Cutting,
    outline: Outline,
    *,
    display: Display | None = None,
    ink: Ink = INK_ON_PAPER,
    width_mm: float = 84.0,
    height_mm: float = 96.0,
    prefix: str = "cutting",
    title: str = "Cutting guide",
) -> Drawing:
    """
    Draw how one tier is cut.

    Parameters
    ----------
    cutting
        The pieces, in the order in which they are cut.
    outline
        The outline that they tile.
    display
        The maker's units.
    ink
        What it is drawn with.
    width_mm, height_mm
        Space on paper. [mm]
    prefix
        Start of every id in the drawing.
    title
        What the drawing is called.

    Returns
    -------
    drawing
        Portions are numbered from 1 in their order; offcuts are hatched and have no number.

    Raises
    ------
    OutOfRange
        It does not fit the paper at 1 : 25.
    """
    display = display or Display()
    wide, deep = outline.extent_mm
    scale = choose_scale(wide, deep, width_mm - 6.0, height_mm - 24.0)
    middle = (width_mm / 2, 2.5 + deep / scale / 2)

    def at(point: Point) -> Point:
        return (middle[0] + point[0] / scale, middle[1] - point[1] / scale)

    hatches = Hatches(prefix, ink)
    parts = []
    count = 0
    for i, piece in enumerate(cutting.slices):
        shape = [at(corner) for corner in piece.corners]
        if piece.counts:
            count += 1
            drawn = polygon(shape, fill=ink.paper, stroke_width=0.25, stroke_linejoin="round")
            drawn += _numeral(tuple(shape), count)
            parts.append(group(drawn, id=f"{prefix}-piece-{i + 1}", data_portion=str(count)))
        else:
            drawn = polygon(shape, fill=hatches.fill(OFFCUT), stroke_width=0.25, stroke_linejoin="round")
            parts.append(group(drawn, id=f"{prefix}-piece-{i + 1}", data_offcut="yes"))
    parts.append(polygon([at(p) for p in outline.polygon()], fill="none", stroke_width=0.5, stroke_linejoin="round"))
    floor = at((0.0, -deep / 2))[1]
    parts.append(
        across(
            at((-wide / 2, 0.0))[0],
            at((wide / 2, 0.0))[0],
            floor + 6.5,
            wide,
            display.show_length(wide),
            ink=ink,
            from_y=floor + 1.0,
        )
    )
    y = floor + 12.5
    left = 2.0
    parts.append(words(left, y, f"scale {scale_words(scale)}", size=LETTERING_MM))
    offcuts = len(cutting.slices) - count
    room_mm = width_mm - left - 29 - (26 if offcuts else 0)
    if room_mm >= SHORTEST_BAR_MM:
        parts.append(scale_bar(left + 23, y - 2.1, scale, display, room_mm=room_mm))
    if offcuts:
        key = hatches.fill(OFFCUT)
        x = width_mm - 25
        parts.append(polygon([(x, y - 3.4), (x + 6, y - 3.4), (x + 6, y + 0.4), (x, y + 0.4)], fill=key))
        parts.append(words(x + 7.5, y, "offcut", size=LETTERING_MM))
    size = f"{display.show_length(cutting.portion_width_mm)} by {display.show_length(cutting.portion_depth_mm)}"
    return document(
        prefix=prefix,
        title=title,
        desc=(
            f"{title}, seen from above at a scale of {scale_words(scale)}: {count} numbered portions of about {size}"
            f" and {offcuts} offcut{'' if offcuts == 1 else 's'} without a number. {cutting.rule}"
        ),
        width_mm=width_mm,
        height_mm=y + 4.5,
        ink=ink,
        definitions=hatches.definitions(),
        body="".join(parts),
        scale=scale,
    )


@lru_cache(maxsize=4096)
def _numeral(shape: tuple[Point, ...], count: int) -> str:
    """Return a piece's number at a point well inside it, or nothing where it would be too small to read."""
    area = Area(shape)
    spot = area.centroid if area.contains(area.centroid) else area.representative_point()
    clear = LinearRing(shape).distance(Spot(spot.x, spot.y))
    text = str(count)
    # The number lies in a circle of that clearance: half its width and half its height meet the rim at the corner.
    size = min(3.2, 2 * clear / sqrt((width_of(text, 1.0) * 1.05) ** 2 + 0.66**2))
    if size < SMALLEST_NUMBER_MM:
        return ""
    return words(spot.x, spot.y + size * 0.33, text, size=size, anchor="middle")


def rows_of(cutting: Cutting, outline: Outline) -> tuple[Row, ...]:
    """
    Return the pieces in the groups that are cut together, in the order of cutting.

    For rings a group is one ring, outermost first; for grids one row, from the maker's side; for wedges all of them.
    """
    groups: dict[int, list[tuple[int, Slice]]] = {}
    count = 0
    rim = LinearRing(outline.polygon())
    low = -outline.extent_mm[1] / 2
    for piece in cutting.slices:
        count += piece.counts
        centre = Area(piece.corners).centroid
        match cutting.pattern:
            case CutPattern.RINGS:
                place = int(rim.distance(centre) / cutting.portion_depth_mm)
            case CutPattern.WEDGES:
                place = 0
            case _:
                place = int((centre.y - low) / cutting.portion_depth_mm)
        groups.setdefault(place, []).append((count if piece.counts else 0, piece))
    rows = []
    for _, members in sorted(groups.items()):
        numbers = [number for number, piece in members if piece.counts]
        rows.append(
            Row(
                first=min(numbers, default=0),
                last=max(numbers, default=0),
                pieces=len(numbers),
                offcuts=len(members) - len(numbers),
            )
        )
    return tuple(rows)


def order_of_cutting(cutting: Cutting, outline: Outline, display: Display) -> tuple[str, ...]:
    """
    Return the steps of cutting, in words, in the order in which a knife makes them.

    Parameters
    ----------
    cutting
        The pieces.
    outline
        The outline that they tile.
    display
        The maker's units.
    """
    rows = rows_of(cutting, outline)
    depth, width = display.show_length(cutting.portion_depth_mm), display.show_length(cutting.portion_width_mm)
    steps = []
    match cutting.pattern:
        case CutPattern.RINGS:
            for i, row in enumerate(rows):
                last = i == len(rows) - 1
                if not last:
                    steps.append(f"Cut a ring {depth} in from the edge, straight down to the board.")
                steps.append(_row_words(row, "middle" if last else "ring", f"about {width} wide"))
        case CutPattern.WEDGES:
            steps += [_row_words(row, "tier", "from the middle outward") for row in rows]
        case _:
            steps.append(f"From the side nearest you, cut straight across every {depth}: {len(rows)} rows.")
            steps += _like_rows(rows, width)
    return tuple(steps)


def _row_words(row: Row, what: str, how: str) -> str:
    left = f"{row.offcuts} offcut{'s' if row.offcuts != 1 else ''}"
    if row.pieces == 0:
        return f"What is left of the {what} is {left}: not counted."
    if row.pieces == 1 and row.offcuts == 0:
        return f"The {what} is 1 portion (number {row.first})."
    pieces = "1 portion" if row.pieces == 1 else f"{row.pieces} portions"
    numbers = f"number {row.first}" if row.first == row.last else f"numbers {row.first} to {row.last}"
    extra = f", and {left} not counted" if row.offcuts else ""
    return f"Cut the {what} into {pieces} {how} ({numbers}){extra}."


def _like_rows(rows: Sequence[Row], width: str) -> list[str]:
    """Return the words for rows of a grid, neighbours that are cut alike said together."""
    steps = []
    i = 0
    while i < len(rows):
        j = i
        while j < len(rows) and (rows[j].pieces, rows[j].offcuts) == (rows[i].pieces, rows[i].offcuts):
            j += 1
        alike = rows[i:j]
        if len(alike) == 1 or alike[0].pieces == 0:
            steps += [_row_words(row, "row", f"{width} wide") for row in alike]
        else:
            each = alike[0]
            left = (
                f", each with {each.offcuts} offcut{'s' if each.offcuts != 1 else ''} not counted"
                if each.offcuts
                else ""
            )
            steps.append(
                f"Cut each of the next {len(alike)} rows into {each.pieces} portions {width} wide "
                f"(numbers {each.first} to {alike[-1].last}){left}."
            )
        i = j
    return steps
