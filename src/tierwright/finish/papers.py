"""Templates at full size over several sheets of paper: SVG in millimetres, with marks to match and rules to check by.

One user unit is one millimetre. The sheets lie on their side; each carries its own rules of 100 mm and of 4 in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import pairwise, product
from math import ceil
from typing import Final

from tierwright import fullsize
from tierwright.errors import require_range
from tierwright.finish.bands import Template
from tierwright.fullsize import BAR_MM, EDGE_MM, HEAD_MM, cross, line, number, room_mm, scale_bar, sheets_for, words
from tierwright.shapes import Point

PAPER_MM: Final = {"a4": (297.0, 210.0), "letter": (279.4, 215.9)}
"""Paper on its side: ISO 216 A4 and ANSI A (US letter). [mm]"""
OVERLAP_MM: Final = 12.0
RULE_MM: Final = BAR_MM
RULE_IN: Final = 4
INCH_MM: Final = 25.4
MARK_STEP_MM: Final = 40.0
LONGEST_MM: Final = 6000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplateSheet:
    """
    One sheet of paper of a template.

    Attributes
    ----------
    key
        Name in files, such as ``band-1-sheet-2``.
    row, column, rows, columns
        Its place among the sheets of the template, from the top left, counted from 1.
    width_mm, height_mm
        The paper. [mm]
    svg
        The drawing.
    alt
        What it shows, in words.
    """

    key: str
    row: int
    column: int
    rows: int
    columns: int
    width_mm: float
    height_mm: float
    svg: str
    alt: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Window:
    """The part of a template on one sheet: its lower left corner on the template, and its place on the paper. [mm]"""

    left: float
    low: float
    wide: float
    tall: float

    @property
    def top(self) -> float:
        """Distance from the upper edge of the paper. [mm]"""
        return EDGE_MM + HEAD_MM

    def put(self, point: Point) -> Point:
        """Return where a point of the template lies on the paper; y runs down on paper. [mm]"""
        return (EDGE_MM + point[0] - self.left, self.top + self.tall - (point[1] - self.low))


def template_sheets(
    template: Template, *, key: str, title: str, alt: str, paper: str = "a4"
) -> tuple[TemplateSheet, ...]:
    """
    Draw a template at full size.

    Parameters
    ----------
    template
        The band, laid flat.
    key, title, alt
        Name in files, a line of words for the head, and what it shows.
    paper
        ``a4`` or ``letter``.

    Returns
    -------
    sheets
        Left to right, top to bottom.

    Raises
    ------
    KeyError
        Unknown paper.
    OutOfRange
        A template longer than 6 m.
    """
    require_range("length of the template", template.width_mm, 1.0, LONGEST_MM, "mm")
    paper_w, paper_h = PAPER_MM[paper]
    room_w, room_h = room_mm((paper_w, paper_h))
    columns = sheets_for(template.width_mm, room_w, OVERLAP_MM)
    rows = sheets_for(template.height_mm, room_h, OVERLAP_MM)
    found: list[TemplateSheet] = []
    for row in range(rows):
        for column in range(columns):
            window = _Window(
                left=column * (room_w - OVERLAP_MM),
                low=_low(template.height_mm, room_h, rows, row),
                wide=room_w,
                tall=room_h,
            )
            if not _shows(template, window):
                continue
            name = f"{key}-{row + 1}-{column + 1}"
            found.append(
                TemplateSheet(
                    key=name,
                    row=row + 1,
                    column=column + 1,
                    rows=rows,
                    columns=columns,
                    width_mm=paper_w,
                    height_mm=paper_h,
                    svg=_sheet(template, window, name, title, alt, (row, column, rows, columns), (paper_w, paper_h)),
                    alt=alt,
                )
            )
    return tuple(found)


def _low(height_mm: float, room_h: float, rows: int, row: int) -> float:
    """The sheets of one column together are centred on the template, the first row on top."""
    whole = rows * room_h - (rows - 1) * OVERLAP_MM
    return height_mm / 2 - whole / 2 + (rows - 1 - row) * (room_h - OVERLAP_MM)


def _shows(template: Template, window: _Window) -> bool:
    """Whether any edge of the template runs through a window, or it lies inside."""
    points = [*template.edge, *template.tab]
    inside = any(
        window.left <= x <= window.left + window.wide and window.low <= y <= window.low + window.tall for x, y in points
    )
    return inside or any(_crosses(a, b, window) for a, b in pairwise(points))


def _crosses(a: Point, b: Point, window: _Window) -> bool:
    steps = max(1, ceil(max(abs(b[0] - a[0]), abs(b[1] - a[1])) / 5.0))
    for i in range(steps + 1):
        x, y = a[0] + (b[0] - a[0]) * i / steps, a[1] + (b[1] - a[1]) * i / steps
        if window.left <= x <= window.left + window.wide and window.low <= y <= window.low + window.tall:
            return True
    return False


def _sheet(
    template: Template,
    window: _Window,
    key: str,
    title: str,
    alt: str,
    place: tuple[int, int, int, int],
    paper: Point,
) -> str:
    row, column, rows, columns = place
    many = rows * columns > 1
    body = [
        _outline(template.edge, window.put, 'stroke-width="0.4"', f"edge-{key}"),
        *(line(window.put(a), window.put(b), 'stroke-width="0.2" stroke-dasharray="2 1.5"') for a, b in template.folds),
        *(line(window.put(a), window.put(b), 'stroke-width="0.25"') for a, b in template.repeats),
        *(line(window.put(a), window.put(b), 'stroke-width="0.12"') for a, b in template.lines),
    ]
    if template.letters:
        x, y = window.put(template.letters_mm)
        move = f"translate({number(x)} {number(y)})"
        body.append(
            f'<path id="letters-{key}" d="{template.letters}" transform="{move}" fill="none" stroke-width="0.25"/>'
        )
    if template.tab:
        body.append(_outline(template.tab, window.put, 'stroke-width="0.25" stroke-dasharray="1 1"', f"tab-{key}"))
    for count, (a, b) in enumerate(template.repeats[:-1] if len(template.repeats) > 2 else (), start=1):
        x, y = window.put(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))
        body.append(words(x + 1.5, y, str(count), 3.6))
    if many:
        body.extend(_marks(template, window, columns, rows))
    part = f" Sheet {row * columns + column + 1} of {rows * columns}; lay crosses on crosses." if many else ""
    rule_y = paper[1] - EDGE_MM - 6.0
    outside = [
        words(EDGE_MM, EDGE_MM + 5.0, title, 4.2),
        words(
            EDGE_MM,
            EDGE_MM + 10.5,
            f"Full size, outer face up.{part} Print at 100 % and measure both rules before cutting.",
            3.4,
        ),
        scale_bar(EDGE_MM, rule_y, RULE_MM, 10, "100 mm", f"rule-mm-{key}"),
        scale_bar(EDGE_MM + RULE_MM + 15.0, rule_y, RULE_IN * INCH_MM, 2 * RULE_IN, f"{RULE_IN} in", f"rule-in-{key}"),
    ]
    return fullsize.sheet(paper, key, alt, body, outside)


def _marks(template: Template, window: _Window, columns: int, rows: int) -> Iterable[str]:
    """Crosses in the middle of every overlap, the same on both its sheets."""
    upright = [(column + 1) * (window.wide - OVERLAP_MM) + OVERLAP_MM / 2 for column in range(columns - 1)]
    lowest = _low(template.height_mm, window.tall, rows, rows - 1)
    level = [lowest + (row + 1) * (window.tall - OVERLAP_MM) + OVERLAP_MM / 2 for row in range(rows - 1)]
    up = [lowest + i * MARK_STEP_MM for i in range(ceil(rows * window.tall / MARK_STEP_MM) + 1)]
    along = [i * MARK_STEP_MM for i in range(ceil(columns * window.wide / MARK_STEP_MM) + 1)]
    for x, y in (*product(upright, up), *product(along, level)):
        if window.left <= x <= window.left + window.wide and window.low <= y <= window.low + window.tall:
            yield cross(window.put((x, y)), 2.0)


def _outline(points: tuple[Point, ...], put: Callable[[Point], Point], attributes: str, key: str) -> str:
    corners = " ".join(f"{number(x)},{number(y)}" for x, y in map(put, points))
    return f'<polygon id="{key}" points="{corners}" fill="none" {attributes}/>'
