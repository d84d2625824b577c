"""Type on a label: how wide a line is, where it breaks, how tall its letters stand."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

from tierwright.brief.commission import Jurisdiction
from tierwright.label.model import Run
from tierwright.label.rules import limit, rows, rule
from tierwright.svg import FONT, clean, number


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """
    A typeface of labels.

    Attributes
    ----------
    family
        Its name, and what takes its place where it is not there.
    x_height, o_height, figure_height
        Height of a lower-case x and o, and of the lowest figure or capital, over the font size. [-]
    context
        What letters beside one another take over what they take alone, at most. [-]
    table
        Its table of advances.
    """

    family: str
    x_height: float
    o_height: float
    figure_height: float
    context: float
    table: str


SERIF: Final = Face(
    family=FONT, x_height=0.429, o_height=0.438, figure_height=0.608, context=1.003, table="advances.csv"
)
"""Libertinus Serif, measured from the font; an o without all of its overshoot, so that a floor is never missed."""
SANS: Final = Face(
    family="Label Sans, DejaVu Sans Condensed, Arial Narrow, Helvetica, sans-serif",
    x_height=0.5469,
    o_height=0.5469,
    figure_height=0.729,
    context=1.0,
    table="advances_sans.csv",
)
"""Label Sans, measured from the font: for places that ask for letters without serifs."""
X_HEIGHT: Final = SERIF.x_height
O_HEIGHT: Final = SERIF.o_height
MM_PER_POINT: Final = 25.4 / 72.0
"""A point of type. [mm]"""
_USUAL_ADVANCE: Final = 0.56
"""Advance of a sign that the table does not hold, over the font size: wider than most, so that nothing is clipped."""


_UNIT: Final = re.compile(r"(?<=\d) (?=%|k?g\b|OZ\b|LB\b|kJ\b|kcal\b)")


@cache
def _advances(table: str) -> tuple[dict[str, float], dict[str, float]]:
    regular: dict[str, float] = {}
    bold: dict[str, float] = {}
    for row in rows(table):
        sign = chr(int(row["sign"][2:], 16))
        regular[sign] = float(row["regular"]) / 1000.0
        bold[sign] = float(row["bold"]) / 1000.0
    return regular, bold


def face_of(place: Jurisdiction) -> Face:
    """Return the typeface in which a place's labels are set."""
    return SERIF if rule("sans_serif", place) is None else SANS


def width_mm(text: str, size_mm: float, *, strong: bool = False, face: Face = SERIF) -> float:
    """
    Return the width of a line. [mm]

    Kerning and ligatures draw letters closer; the forms that an f takes beside tall letters are a little wider than the
    letter alone, which the last three in a thousand cover.
    """
    table = _advances(face.table)[1 if strong else 0]
    return size_mm * face.context * sum(table.get(sign, _USUAL_ADVANCE) for sign in text)


def size_for(place: Jurisdiction, surface_cm2: float) -> float:
    """
    Return the smallest font size that a place lets stand on a package. [mm]

    Parameters
    ----------
    place
        Whose rule on the height of letters.
    surface_cm2
        Largest surface, or the surface that can be printed on, as the place reckons. [cm2]
    """
    small, low = limit("small_surface", place), limit("x_height_small", place)
    height = limit("x_height", place)
    assert height is not None
    if small is not None and low is not None and surface_cm2 < small:
        height = low
    by_o = place in (Jurisdiction.US, Jurisdiction.CANADA)
    face = face_of(place)
    return height / (face.o_height if by_o else face.x_height)


FIGURE_HEIGHT: Final = SERIF.figure_height


def net_size(place: Jurisdiction, mass_g: float, surface_cm2: float) -> float:
    """
    Return the smallest font size of a net quantity. [mm]

    Parameters
    ----------
    place
        Whose rule: by the mass in Europe, by the surface elsewhere.
    mass_g
        Net quantity. [g]
    surface_cm2
        The panel on which it stands. [cm2]
    """
    values = {"mass_g": mass_g, "surface_cm2": surface_cm2}
    for by, upto, height in _net_heights(place):
        if upto is None or values[by] <= upto:
            return height / face_of(place).figure_height
    raise AssertionError("the last band is open")


@cache
def _net_heights(place: Jurisdiction) -> tuple[tuple[str, float | None, float], ...]:
    return tuple(
        (row["by"], float(row["upto"]) if row["upto"] else None, float(row["height_mm"]))
        for row in rows("net_heights.csv")
        if row["jurisdiction"] == place.value
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SetLine:
    """One line of runs, with its width. [mm]"""

    runs: tuple[Run, ...]
    width_mm: float


def break_lines(runs: Sequence[Run], size_mm: float, measure_mm: float, *, face: Face = SERIF) -> tuple[SetLine, ...]:
    """
    Break runs into lines at their spaces; a word wider than the measure is cut where it reaches the end.

    Parameters
    ----------
    runs
        Words and their weight.
    size_mm
        Font size. [mm]
    measure_mm
        Width of the column. [mm]
    face
        Typeface.
    """
    lines: list[SetLine] = []
    line: list[Run] = []
    width = 0.0
    for word in _words(runs):
        for piece in _fitting(word, size_mm, measure_mm, face):
            wide = sum(width_mm(run.text, size_mm, strong=run.strong, face=face) for run in piece)
            trimmed = wide - _trailing(piece, size_mm, face)
            if line and width + trimmed > measure_mm:
                lines.append(_line(line, size_mm, face))
                line, width = [], 0.0
            line += piece
            width += wide
    if line:
        lines.append(_line(line, size_mm, face))
    return tuple(lines)


def _words(runs: Iterable[Run]) -> list[list[Run]]:
    """Split runs into words, each with the space after it; a word may change its weight inside."""
    words: list[list[Run]] = []
    word: list[Run] = []
    for run in runs:
        start = 0
        # A unit never parts from its number.
        text = _UNIT.sub("\u00a0", run.text)
        for place, sign in enumerate(text):
            if sign == " ":
                word.append(Run(text=text[start : place + 1], strong=run.strong))
                words.append(word)
                word, start = [], place + 1
        if start < len(text):
            word.append(Run(text=text[start:], strong=run.strong))
    if word:
        words.append(word)
    return words


def _fitting(word: list[Run], size_mm: float, measure_mm: float, face: Face) -> list[list[Run]]:
    """Cut a word that is wider than the whole measure."""
    pieces: list[list[Run]] = []
    piece: list[Run] = []
    width = 0.0
    for run in word:
        for sign in run.text:
            wide = width_mm(sign, size_mm, strong=run.strong, face=face)
            if piece and sign != " " and width + wide > measure_mm:
                pieces.append(piece)
                piece, width = [], 0.0
            if piece and piece[-1].strong == run.strong:
                piece[-1] = Run(text=piece[-1].text + sign, strong=run.strong)
            else:
                piece.append(Run(text=sign, strong=run.strong))
            width += wide
    if piece:
        pieces.append(piece)
    return pieces


def _trailing(piece: Sequence[Run], size_mm: float, face: Face) -> float:
    last = piece[-1]
    return width_mm(" ", size_mm, strong=last.strong, face=face) if last.text.endswith(" ") else 0.0


def _line(runs: Sequence[Run], size_mm: float, face: Face) -> SetLine:
    joined: list[Run] = []
    for run in runs:
        if joined and joined[-1].strong == run.strong:
            joined[-1] = Run(text=joined[-1].text + run.text, strong=run.strong)
        else:
            joined.append(run)
    joined[-1] = Run(text=joined[-1].text.rstrip(" "), strong=joined[-1].strong)
    kept = tuple(run for run in joined if run.text)
    return SetLine(runs=kept, width_mm=sum(width_mm(run.text, size_mm, strong=run.strong, face=face) for run in kept))


def set_text(
    x_mm: float,
    y_mm: float,
    runs: Sequence[Run] | str,
    size_mm: float,
    *,
    anchor: str = "start",
    strong: bool = False,
) -> str:
    """
    Return a line of text on its baseline as SVG, its strong runs bold.

    Parameters
    ----------
    x_mm, y_mm
        Anchor on the baseline. [mm]
    runs
        Words and their weight, or plain words.
    size_mm
        Font size. [mm]
    anchor
        ``start``, ``middle`` or ``end``.
    strong
        Whether plain words are bold.
    """
    parts = (Run(text=runs, strong=strong),) if isinstance(runs, str) else runs
    inside = "".join(
        f'<tspan font-weight="bold">{clean(run.text)}</tspan>' if run.strong else clean(run.text) for run in parts
    )
    where = "" if anchor == "start" else f' text-anchor="{anchor}"'
    # Spaces between runs must be kept as they are.
    return (
        f'<text x="{number(x_mm)}" y="{number(y_mm)}" font-size="{number(size_mm)}"{where} stroke="none" '
        f'xml:space="preserve">{inside}</text>'
    )
