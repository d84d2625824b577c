"""A small builder of SVG text: elements as strings, every word escaped, presentation attributes only.

Drawings carry no ``style`` attribute, no style sheet and no script, so that they may be put into a page under the
strictest content security policy and into a printed sheet alike. One user unit is one millimetre on paper.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from typing import Final

FONT: Final = "Libertinus Serif, Georgia, serif"
# Average advance of a character over the font size, measured on English text set in Libertinus Serif; used only to
# keep labels apart, never to place geometry.
ADVANCE: Final = 0.5
# XML 1.0, section 2.2: characters that no document may hold, even escaped.
_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """
    What a drawing is drawn with.

    Attributes
    ----------
    ink
        Colour of lines, hatches and words; ``currentColor`` takes the colour of the page around it.
    paper
        Colour of what lies behind: ``none`` lets the page show through.
    faint
        Share of the ink in construction lines, 0 to 1.
    """

    ink: str = "#161412"
    paper: str = "#ffffff"
    faint: float = 0.55


INK_ON_PAPER: Final = Ink()
AS_THE_PAGE: Final = Ink(ink="currentColor", paper="none")


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """
    A finished drawing.

    Attributes
    ----------
    svg
        The whole ``<svg>`` element.
    width_mm, height_mm
        Size on paper. [mm]
    title
        What it is, in a few words.
    alt
        What it shows, for those who do not see it.
    scale
        Millimetres of cake to one millimetre on paper; 0 where a chart has no scale. [-]
    """

    svg: str
    width_mm: float
    height_mm: float
    title: str
    alt: str
    scale: float = 0.0


def clean(text: str) -> str:
    """Return text fit for XML: escaped, and without characters that XML forbids."""
    return escape(_FORBIDDEN.sub("\ufffd", text), quote=True)


def number(value: float) -> str:
    """Print a coordinate to a hundredth of a millimetre, without trailing zeros or a negative nought."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def element(name: str, *children: str, **attributes: str | float | None) -> str:
    """
    Return one element.

    Parameters
    ----------
    name
        Tag name.
    children
        Finished markup inside it.
    attributes
        Attributes; an underscore in a name stands for a hyphen, a trailing one is dropped, None leaves it out.
    """
    parts = [name]
    for key, value in attributes.items():
        if value is None:
            continue
        shown = clean(value) if isinstance(value, str) else number(value)
        parts.append(f'{key.rstrip("_").replace("_", "-")}="{shown}"')
    opening = " ".join(parts)
    return f"<{opening}>{''.join(children)}</{name}>" if children else f"<{opening}/>"


def group(*children: str, **attributes: str | float | None) -> str:
    """Return a ``<g>`` round finished markup."""
    return element("g", *(children or ("",)), **attributes)


def words(
    x: float,
    y: float,
    text: str,
    *,
    size: float = 3.2,
    anchor: str = "start",
    weight: str | None = None,
    italic: bool = False,
    turned: bool = False,
    fill: str | None = None,
    halo: str | None = None,
) -> str:
    """
    Return a line of text on its baseline.

    Parameters
    ----------
    x, y
        Anchor point. [mm]
    text
        The words, escaped here.
    size
        Font size. [mm]
    anchor
        ``start``, ``middle`` or ``end``.
    weight, italic
        Cut of the type.
    turned
        Read from the right-hand side of the sheet (a quarter turn against the clock).
    fill
        Colour, where it is not the drawing's.
    halo
        Colour of a thin edge that keeps the words readable over a hatch.
    """
    common: dict[str, str | float | None] = {
        "x": x,
        "y": y,
        "font_size": size,
        "text_anchor": anchor if anchor != "start" else None,
        "font_weight": weight,
        "font_style": "italic" if italic else None,
        "transform": f"rotate(-90 {number(x)} {number(y)})" if turned else None,
    }
    face = element("text", clean(text), **common, fill=fill, stroke="none")
    if halo is None or halo == "none":
        return face
    edge = element(
        "text", clean(text), **common, fill=halo, stroke=halo, stroke_width=size * 0.3, stroke_linejoin="round",
        aria_hidden="true",
    )  # fmt: skip
    return edge + face


def width_of(text: str, size: float) -> float:
    """Estimate the width of a line of text. [mm]"""
    return len(text) * size * ADVANCE


def line(x1: float, y1: float, x2: float, y2: float, **attributes: str | float | None) -> str:
    """Return a straight line."""
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, **attributes)


def rect(x: float, y: float, width: float, height: float, **attributes: str | float | None) -> str:
    """Return a rectangle."""
    return element("rect", x=x, y=y, width=width, height=height, **attributes)


def polygon(points: Iterable[tuple[float, float]], **attributes: str | float | None) -> str:
    """Return a closed polygon."""
    return element("polygon", points=" ".join(f"{number(x)},{number(y)}" for x, y in points), **attributes)


def document(
    *,
    prefix: str,
    title: str,
    desc: str,
    width_mm: float,
    height_mm: float,
    ink: Ink,
    definitions: str,
    body: str,
    scale: float = 0.0,
    font: str = FONT,
) -> Drawing:
    """
    Wrap finished markup into a whole drawing with its title, description and paper.

    Parameters
    ----------
    prefix
        Start of every id in the drawing, so that two drawings on one page keep apart.
    title, desc
        For those who do not see it.
    width_mm, height_mm
        Size on paper. [mm]
    ink
        What it is drawn with.
    definitions, body
        Finished markup.
    scale
        Millimetres of cake to one on paper. [-]
    font
        Families of its letters, the first that is there.
    """
    require_name(prefix)
    head = element("title", clean(title), id=f"{prefix}-title") + element("desc", clean(desc), id=f"{prefix}-desc")
    paper = rect(0, 0, width_mm, height_mm, fill=ink.paper) if ink.paper != "none" else ""
    defs = element("defs", definitions) if definitions else ""
    drawn = group(body, fill=ink.ink, stroke=ink.ink, stroke_width=0.25, font_family=font)
    # xmlns is written by hand: its name holds no hyphen but must come first for readers that sniff.
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width_mm)}mm" height="{number(height_mm)}mm" '
        f'viewBox="0 0 {number(width_mm)} {number(height_mm)}" role="img" '
        f'aria-labelledby="{prefix}-title {prefix}-desc">{head}{defs}{paper}{drawn}</svg>'
    )
    return Drawing(svg=svg, width_mm=width_mm, height_mm=height_mm, title=title, alt=desc, scale=scale)


def require_name(prefix: str) -> None:
    """Raise ValueError unless a prefix may start an id: a letter, then letters, digits and hyphens."""
    if not re.fullmatch(r"[A-Za-z][A-Za-z0-9-]*", prefix):
        raise ValueError(f"{prefix!r} cannot start an id")
