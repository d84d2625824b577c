"""The 1:1 template of one tier's supports: SVG in millimetres, to print, lay on the tier and prick through.

A tier wider than the paper is cut into sheets that overlap by a margin with crosses to match.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from typing import Final

from tierwright import fullsize
from tierwright.errors import require_range
from tierwright.fullsize import BAR_MM, EDGE_MM, HEAD_MM, cross, number, room_mm, scale_bar, sheets_for, words
from tierwright.shapes import Outline, Point
from tierwright.support.model import Level, StackedTier

PAPER_MM: Final = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Paper, upright: ISO 216 A4 and ANSI A (US letter). [mm]"""
OVERLAP_MM: Final = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplateSheet:
    """
    One sheet of paper of a template.

    Attributes
    ----------
    tier
        Tier that it is laid on.
    row, column, rows, columns
        Place of this sheet among the tier's sheets, from the top left, counted from 1.
    width_mm, height_mm
        The paper. [mm]
    svg
        The drawing: width and height in millimetres, one user unit one millimetre.
    alt
        What it shows, in words.
    """

    tier: int
    row: int
    column: int
    rows: int
    columns: int
    width_mm: float
    height_mm: float
    svg: str
    alt: str


def template_sheets(
    level: Level, lower: StackedTier, upper: StackedTier, *, paper: str = "a4", inches: bool = False
) -> tuple[TemplateSheet, ...]:
    """
    Draw the template of one tier's supports at full size.

    Parameters
    ----------
    level
        The supports.
    lower, upper
        The tier that they stand in, and the tier that they carry.
    paper
        ``a4`` or ``letter``.
    inches
        Whether the second scale bar measures inches; one of 100 mm is always there.

    Returns
    -------
    sheets
        Left to right, top to bottom; each with its own scale bar.

    Raises
    ------
    KeyError
        Unknown paper.
    OutOfRange
        A tier too large to draw.
    """
    paper_w, paper_h = PAPER_MM[paper]
    drawn_w, drawn_h = lower.outline.extent_mm
    require_range("tier", max(drawn_w, drawn_h), 20.0, 1000.0, "mm")
    room_w, room_h = room_mm((paper_w, paper_h))
    columns, rows = sheets_for(drawn_w, room_w, OVERLAP_MM), sheets_for(drawn_h, room_h, OVERLAP_MM)
    whole_w = columns * room_w - (columns - 1) * OVERLAP_MM
    whole_h = rows * room_h - (rows - 1) * OVERLAP_MM
    alt = (
        f"Template for {lower.name}, full size: {level.count} supports of {level.stock.outer_mm:g} mm on a ring of "
        f"{level.ring_mm:.0f} mm, its middle marked, {upper.name} above drawn dashed."
    )
    found = []
    for row in range(rows):
        for column in range(columns):
            # The sheets together are centred on the tier; y runs down on paper.
            cx = EDGE_MM + whole_w / 2 - column * (room_w - OVERLAP_MM)
            cy = EDGE_MM + HEAD_MM + whole_h / 2 - row * (room_h - OVERLAP_MM)
            found.append(
                TemplateSheet(
                    tier=lower.number,
                    row=row + 1,
                    column=column + 1,
                    rows=rows,
                    columns=columns,
                    width_mm=paper_w,
                    height_mm=paper_h,
                    svg=_sheet(
                        level,
                        lower,
                        upper,
                        centre=(cx, cy),
                        window=(EDGE_MM, EDGE_MM + HEAD_MM, room_w, room_h),
                        paper=(paper_w, paper_h),
                        place=(row + 1, column + 1, rows, columns),
                        alt=alt,
                        inches=inches,
                    ),
                    alt=alt,
                )
            )
    return tuple(found)


def _sheet(
    level: Level,
    lower: StackedTier,
    upper: StackedTier,
    *,
    centre: Point,
    window: tuple[float, float, float, float],
    paper: tuple[float, float],
    place: tuple[int, int, int, int],
    alt: str,
    inches: bool,
) -> str:
    cx, cy = centre
    row, column, rows, columns = place
    key = f"t{lower.number}-{row}-{column}"
    dx, dy = upper.offset_mm

    def at(point: Point) -> Point:
        return (cx + point[0], cy - point[1])

    def outline(shape: Outline, shift: Point, attributes: str) -> str:
        points = " ".join(
            f"{number(x)},{number(y)}" for x, y in (at((px + shift[0], py + shift[1])) for px, py in shape.polygon())
        )
        return f'<polygon points="{points}" fill="none" {attributes}/>'

    body = [
        outline(lower.outline, (0.0, 0.0), 'stroke-width="0.4"'),
        outline(upper.outline, (dx, dy), 'stroke-width="0.3" stroke-dasharray="3 2"'),
        outline(upper.board_outline, (dx, dy), 'stroke-width="0.15" stroke-dasharray="1 1.5"'),
        cross(at((0.0, 0.0)), 8.0),
        cross(at((dx, dy)), 5.0) if (dx, dy) != (0.0, 0.0) else "",
    ]
    for i, point in enumerate(level.positions, start=1):
        x, y = at(point)
        radius = level.stock.outer_mm / 2
        body.append(
            f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(radius)}" fill="none" stroke-width="0.3"/>'
            f"{cross((x, y), max(3.0, radius + 1.5))}"
            f"{words(x + radius + 2.0, y - radius - 1.0, str(i), 4.0)}"
        )
    if rows * columns > 1:
        # Crosses in the overlaps, on the tier's own grid, so that neighbours show the same ones.
        body.append(_match_marks(lower.outline, at, window))
    head = f"Supports in {lower.name}: {level.count} of {level.stock.name}, cut {level.cut_mm:.1f} mm"
    part = f", sheet {column} of {columns} across, {row} of {rows} down" if rows * columns > 1 else ""
    outside = [
        words(EDGE_MM, EDGE_MM + 5.0, head, 4.2),
        words(
            EDGE_MM,
            EDGE_MM + 10.5,
            f"Full size{part}. Measure the bar before use; all supports equal within {level.tolerance_mm:.1f} mm.",
            3.4,
        ),
    ]
    bar_y = paper[1] - EDGE_MM - 6.0
    outside.append(scale_bar(EDGE_MM, bar_y, BAR_MM, 10, "100 mm", f"bar-mm-{key}"))
    if inches and paper[0] - 2 * EDGE_MM >= BAR_MM + 12 + 3 * 25.4 - 12:
        outside.append(scale_bar(EDGE_MM + BAR_MM + 8.0, bar_y, 3 * 25.4, 3, "3 in", f"bar-in-{key}"))
    return fullsize.sheet(paper, key, alt, body, outside)


def _match_marks(outline: Outline, at: Callable[[Point], Point], window: tuple[float, float, float, float]) -> str:
    half_w, half_h = (extent / 2 for extent in outline.extent_mm)
    left, top, wide, tall = window
    step = 50.0
    marks = []
    for i in range(-ceil(half_w / step), ceil(half_w / step) + 1):
        for j in range(-ceil(half_h / step), ceil(half_h / step) + 1):
            x, y = at((i * step, j * step))
            near_side = min(abs(x - left), abs(x - left - wide)) < 2 * OVERLAP_MM
            near_top = min(abs(y - top), abs(y - top - tall)) < 2 * OVERLAP_MM
            if near_side or near_top:
                marks.append(cross((x, y), 2.0))
    return "".join(marks)
