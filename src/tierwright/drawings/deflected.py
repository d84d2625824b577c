"""The deflected shape of a board on its supports, its sag stretched so that it shows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from tierwright.drawings.measure import LETTERING_MM
from tierwright.shapes import Point
from tierwright.support.model import Deflected
from tierwright.svg import INK_ON_PAPER, Drawing, Ink, document, element, group, line, number, polygon, words

LEAN: Final = 0.22
"""Share of its way back by which a place moves to the right. [-]"""
RISE: Final = 0.34
"""Share of its way back by which a place moves up. [-]"""
POST_MM: Final = 7.0
"""Length on paper of what stands for a support. [mm]"""


def deflected_board(
    shape: Deflected,
    supports: Sequence[Point],
    *,
    sag_mm: float,
    ink: Ink = INK_ON_PAPER,
    width_mm: float = 84.0,
    prefix: str = "sag",
    title: str = "How the board sags",
) -> Drawing:
    """
    Draw a board that sags, seen slantwise from the front, over its flat shape.

    Parameters
    ----------
    shape
        Rim and middle line with their way down, and by how much that is stretched.
    supports
        Where the board stands, from its middle. [mm]
    sag_mm
        Greatest sag, for the words. [mm]
    ink
        What it is drawn with.
    width_mm
        Width on paper. [mm]
    prefix
        Start of every id in the drawing.
    title
        What the drawing is called.
    """
    half = max((abs(x) + LEAN * abs(y) for x, y, _ in shape.rim), default=1.0)
    scale = 2 * half / (width_mm - 8.0)
    deep = max((y for _, y, _ in shape.rim), default=0.0)
    downs = [down * shape.exaggeration for _, _, down in shape.rim]
    downs += [down * shape.exaggeration for _, down in shape.middle]
    top = 3.0 + (RISE * deep + max(0.0, -min(downs, default=0.0))) / scale
    middle = width_mm / 2

    def at(x: float, y: float, down: float = 0.0) -> Point:
        return (middle + (x + LEAN * y) / scale, top - RISE * y / scale + down * shape.exaggeration / scale)

    flat = polygon([at(x, y) for x, y, _ in shape.rim], fill="none", stroke_width=0.15, stroke_dasharray="1.6 1")
    posts = []
    for x, y in sorted(supports, key=lambda place: -place[1]):
        px, py = at(x, y)
        posts.append(
            element("circle", cx=px, cy=py, r=0.8, stroke_width=0.2)
            + line(px, py, px, py + POST_MM, stroke_width=0.6)
            + line(px - 1.2, py + POST_MM, px + 1.2, py + POST_MM, stroke_width=0.3)
        )
    bent = polygon([at(x, y, down) for x, y, down in shape.rim], fill="none", stroke_width=0.45)
    path = "M" + " L".join(f"{number(x)} {number(y)}" for x, y in (at(x, 0.0, down) for x, down in shape.middle))
    spine = element("path", d=path, fill="none", stroke_width=0.3)
    lowest = max(
        [at(x, y, down)[1] for x, y, down in shape.rim]
        + [at(x, 0.0, down)[1] for x, down in shape.middle]
        + [at(x, y)[1] + POST_MM for x, y in supports]
    )
    said = f"dashed: flat; drawn: after a day, sag {number(shape.exaggeration)} times as deep"
    caption = words(middle, lowest + 5.5, said, size=LETTERING_MM, anchor="middle")
    desc = (
        f"{title}: seen slantwise, the board stands on {len(supports)} supports and moves at most {sag_mm:.2f} mm. "
        f"The movement is drawn {number(shape.exaggeration)} times as deep as it is."
    )
    return document(
        prefix=prefix,
        title=title,
        desc=desc,
        width_mm=width_mm,
        height_mm=lowest + 8.0,
        ink=ink,
        definitions="",
        body=group(flat, *posts, bent, spine, caption, id=f"{prefix}-board", data_sheet="supports"),
    )
