"""The 1:1 template of one tier's supports: SVG in millimetres, to print, lay on the tier and prick through.

A tier wider than the paper is cut into sheets that overlap by a margin with crosses to match.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from html import escape
from math import ceil
from typing import Final

from tierwright.errors import require_range
from tierwright.shapes import Outline, Point
from tierwright.support.model import Level, StackedTier

PAPER_MM: Final = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Paper, upright: ISO 216 A4 and ANSI A (US letter). [mm]"""
EDGE_MM: Final = 12.0
"""Rim that printers leave white. [mm]"""
OVERLAP_MM: Final = 10.0
HEAD_MM: Final = 16.0
"""Room for words above, and for the scale bar below. [mm]"""
BAR_MM: Final = 100.0


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
    room_w = paper_w - 2 * EDGE_MM
    room_h = paper_h - 2 * EDGE_MM - 2 * HEAD_MM
    columns = _sheets(drawn_w, room_w)
    rows = _sheets(drawn_h, room_h)
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


def _sheets(drawn: float, room: float) -> int:
    return 1 if drawn <= room else ceil((drawn - OVERLAP_MM) / (room - OVERLAP_MM))


def _number(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


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
    left, top, wide, tall = window
    row, column, rows, columns = place
    key = f"t{lower.number}-{row}-{column}"
    dx, dy = upper.offset_mm

    def at(point: Point) -> Point:
        return (cx + point[0], cy - point[1])

    def outline(shape: Outline, shift: Point, attributes: str) -> str:
        points = " ".join(
            f"{_number(x)},{_number(y)}" for x, y in (at((px + shift[0], py + shift[1])) for px, py in shape.polygon())
        )
        return f'<polygon points="{points}" fill="none" {attributes}/>'

    body = [
        outline(lower.outline, (0.0, 0.0), 'stroke-width="0.4"'),
        outline(upper.outline, (dx, dy), 'stroke-width="0.3" stroke-dasharray="3 2"'),
        outline(upper.board_outline, (dx, dy), 'stroke-width="0.15" stroke-dasharray="1 1.5"'),
        _cross(at((0.0, 0.0)), 8.0),
        _cross(at((dx, dy)), 5.0) if (dx, dy) != (0.0, 0.0) else "",
    ]
    for i, point in enumerate(level.positions, start=1):
        x, y = at(point)
        radius = level.stock.outer_mm / 2
        body.append(
            f'<circle cx="{_number(x)}" cy="{_number(y)}" r="{_number(radius)}" fill="none" stroke-width="0.3"/>'
            f"{_cross((x, y), max(3.0, radius + 1.5))}"
            f"{_words(x + radius + 2.0, y - radius - 1.0, str(i), 4.0)}"
        )
    if rows * columns > 1:
        # Crosses in the overlaps, on the tier's own grid, so that neighbours show the same ones.
        body.append(_match_marks(lower.outline, at, window))
    head = f"Supports in {lower.name}: {level.count} of {level.stock.name}, cut {level.cut_mm:.1f} mm"
    part = f", sheet {column} of {columns} across, {row} of {rows} down" if rows * columns > 1 else ""
    words = [
        _words(EDGE_MM, EDGE_MM + 5.0, head, 4.2),
        _words(
            EDGE_MM,
            EDGE_MM + 10.5,
            f"Full size{part}. Measure the bar before use; all supports equal within {level.tolerance_mm:.1f} mm.",
            3.4,
        ),
    ]
    bar_y = paper[1] - EDGE_MM - 6.0
    words.append(scale_bar(EDGE_MM, bar_y, BAR_MM, 10, "100 mm", f"bar-mm-{key}"))
    if inches and paper[0] - 2 * EDGE_MM >= BAR_MM + 12 + 3 * 25.4 - 12:
        words.append(scale_bar(EDGE_MM + BAR_MM + 8.0, bar_y, 3 * 25.4, 3, "3 in", f"bar-in-{key}"))
    clip = (
        f'<defs><clipPath id="clip-{key}"><rect x="{_number(left)}" y="{_number(top)}" '
        f'width="{_number(wide)}" height="{_number(tall)}"/></clipPath></defs>'
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_number(paper[0])}mm" height="{_number(paper[1])}mm" '
        f'viewBox="0 0 {_number(paper[0])} {_number(paper[1])}" role="img" aria-labelledby="title-{key}">'
        f'<title id="title-{key}">{escape(alt)}</title>{clip}'
        f'<g clip-path="url(#clip-{key})" stroke="#161412" fill="#161412">{"".join(body)}</g>'
        f'<g stroke="#161412" fill="#161412">{"".join(words)}</g></svg>'
    )


def scale_bar(x: float, y: float, length_mm: float, steps: int, label: str, key: str) -> str:
    """Return a scale bar whose line is exactly ``length_mm`` user units long, ticked in equal steps."""
    ticks = "".join(
        f'<line x1="{_number(x + length_mm * i / steps)}" y1="{_number(y)}" '
        f'x2="{_number(x + length_mm * i / steps)}" y2="{_number(y - (4.0 if i in (0, steps) else 2.0))}" '
        'stroke-width="0.25"/>'
        for i in range(steps + 1)
    )
    return (
        f'<line id="{key}" x1="{_number(x)}" y1="{_number(y)}" x2="{_number(x + length_mm)}" y2="{_number(y)}" '
        f'stroke-width="0.4"/>{ticks}{_words(x, y + 4.5, label, 3.4)}'
    )


def _cross(at: Point, arm: float) -> str:
    x, y = at
    return _line((x - arm, y), (x + arm, y)) + _line((x, y - arm), (x, y + arm))


def _line(start: Point, end: Point) -> str:
    (x1, y1), (x2, y2) = start, end
    return f'<line x1="{_number(x1)}" y1="{_number(y1)}" x2="{_number(x2)}" y2="{_number(y2)}" stroke-width="0.2"/>'


def _words(x: float, y: float, text: str, size: float) -> str:
    return (
        f'<text x="{_number(x)}" y="{_number(y)}" font-size="{_number(size)}" stroke="none" '
        f'font-family="Libertinus Serif, Georgia, serif">{escape(text)}</text>'
    )


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
                marks.append(_cross((x, y), 2.0))
    return "".join(marks)
