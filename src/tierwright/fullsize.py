"""Full-size drawings on paper: SVG in millimetres, cut into sheets that overlap, each with a bar to measure by.

One user unit is one millimetre; y runs down, as on paper.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from math import ceil
from typing import Final

from tierwright.shapes import Point
from tierwright.svg import FONT, INK_ON_PAPER

EDGE_MM: Final = 12.0
"""Rim that printers leave white. [mm]"""
HEAD_MM: Final = 16.0
"""Room for words above, and for the bars below. [mm]"""
BAR_MM: Final = 100.0
INK: Final = INK_ON_PAPER.ink


def room_mm(paper: Point) -> Point:
    """Return the width and height that a sheet of paper has for the drawing itself. [mm]"""
    return paper[0] - 2 * EDGE_MM, paper[1] - 2 * EDGE_MM - 2 * HEAD_MM


def sheets_for(drawn: float, room: float, overlap: float) -> int:
    """Return how many sheets lie side by side so that a length is drawn whole. [-]"""
    return 1 if drawn <= room else ceil((drawn - overlap) / (room - overlap))


def number(value: float) -> str:
    """Return a number of millimetres to a micrometre, without noughts at its end."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def line(start: Point, end: Point, attributes: str = 'stroke-width="0.2"') -> str:
    """Return a straight line."""
    (x1, y1), (x2, y2) = start, end
    return f'<line x1="{number(x1)}" y1="{number(y1)}" x2="{number(x2)}" y2="{number(y2)}" {attributes}/>'


def cross(at: Point, arm: float) -> str:
    """Return two crossed lines, to prick through or to lay on another sheet's."""
    x, y = at
    return line((x - arm, y), (x + arm, y)) + line((x, y - arm), (x, y + arm))


def words(x: float, y: float, text: str, size: float) -> str:
    """Return a line of words that begins at a place."""
    return (
        f'<text x="{number(x)}" y="{number(y)}" font-size="{number(size)}" stroke="none" '
        f'font-family="{FONT}">{escape(text)}</text>'
    )


def scale_bar(x: float, y: float, length_mm: float, steps: int, label: str, key: str) -> str:
    """Return a bar whose line is exactly ``length_mm`` user units long, ticked in equal steps."""
    ticks = "".join(
        line(
            (x + length_mm * i / steps, y),
            (x + length_mm * i / steps, y - (4.0 if i in (0, steps) else 2.0)),
            'stroke-width="0.25"',
        )
        for i in range(steps + 1)
    )
    return (
        f'<line id="{key}" x1="{number(x)}" y1="{number(y)}" x2="{number(x + length_mm)}" y2="{number(y)}" '
        f'stroke-width="0.4"/>{ticks}{words(x, y + 4.5, label, 3.4)}'
    )


def sheet(paper: Point, key: str, alt: str, inside: Iterable[str], outside: Iterable[str]) -> str:
    """
    Return one sheet of paper as a whole drawing.

    Parameters
    ----------
    paper
        Width and height. [mm]
    key
        Tells this sheet's parts from those of others on one page.
    alt
        What it shows, in words.
    inside, outside
        What is cut off at the edge of the drawing's room, and what stands on the paper round it.
    """
    wide, tall = room_mm(paper)
    clip = (
        f'<defs><clipPath id="clip-{key}"><rect x="{number(EDGE_MM)}" y="{number(EDGE_MM + HEAD_MM)}" '
        f'width="{number(wide)}" height="{number(tall)}"/></clipPath></defs>'
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(paper[0])}mm" height="{number(paper[1])}mm" '
        f'viewBox="0 0 {number(paper[0])} {number(paper[1])}" role="img" aria-labelledby="title-{key}">'
        f'<title id="title-{key}">{escape(alt)}</title>{clip}'
        f'<g clip-path="url(#clip-{key})" stroke="{INK}" fill="{INK}">{"".join(inside)}</g>'
        f'<g stroke="{INK}" fill="{INK}">{"".join(outside)}</g></svg>'
    )
