"""Words in an open font, at true size: along a line, round a board's edge, closed round a circle; as outlines to trace.

Places are millimetres, x to the right and y away from the reader, as on a top or an unrolled side. Write
``Written.path`` into an SVG whose unit is a millimetre: it is turned over there, y running down.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import atan2, cos, degrees, pi, radians, sin
from typing import Final

from tierwright.errors import Infeasible, require_range
from tierwright.finish.lettering_faces import Face, FaceStyle, Glyph, face
from tierwright.shapes import Point

MOST_REPEATS: Final = 100


class Reads(StrEnum):
    """Which way letters stand on an arc."""

    OUTWARD = "outward"  # feet to the middle: read from outside, over the top of a board
    INWARD = "inward"  # heads to the middle: read along the near edge of a board


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedLetter:
    """
    One letter where it stands.

    Attributes
    ----------
    letter
        The character.
    at_mm
        Left end of its foot, on the line it stands on. [mm]
    turn_deg
        How far it is turned against the clock. [deg]
    advance_mm
        How much of the line it takes, its share of the spacing left out. [mm]
    """

    letter: str
    at_mm: Point
    turn_deg: float
    advance_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """
    Words, laid out.

    Attributes
    ----------
    text, style
        As written.
    size_mm
        Size of type. [mm]
    capital_mm
        Height of a capital. [mm]
    spacing_mm
        Added between every two letters. [mm]
    letters
        One by one.
    length_mm
        Length that they take on their line. [mm]
    bounds_mm
        Left, near, right and far end of the outlines. [mm]
    path
        All outlines as one SVG path, y running down. [mm]
    ink_mm2
        Area inside the outlines. [mm2]
    thinnest_mm, narrowest_mm
        Breadth of the thinnest stroke, and of the narrowest gap that must stay open. [mm]
    is_mirrored
        Whether it is a template to be laid face down.
    stroke_mm
        Length of all strokes, drawn as one line each. [mm]
    """

    text: str
    style: FaceStyle
    size_mm: float
    capital_mm: float
    spacing_mm: float
    letters: tuple[PlacedLetter, ...]
    length_mm: float
    bounds_mm: tuple[float, float, float, float]
    path: str
    ink_mm2: float
    thinnest_mm: float
    narrowest_mm: float
    is_mirrored: bool
    stroke_mm: float = 0.0

    def takes(self, tip_mm: float) -> bool:
        """Whether a line as broad as the tip's opening keeps every stroke and every gap. [mm]"""
        return self.narrowest_mm >= tip_mm


# --- sizes -----------------------------------------------------------------------------------------------------------


def size_for_capital(height_mm: float, style: FaceStyle = FaceStyle.UPRIGHT) -> float:
    """Return the size of type whose capitals are so high. [mm], 2 to 300"""
    require_range("height of a capital", height_mm, 2.0, 300.0, "mm")
    return height_mm / face(style).capital


def smallest_size(text: str, tip_mm: float, style: FaceStyle = FaceStyle.UPRIGHT) -> float:
    """
    Return the smallest size of type that a tip can write: no gap closes, and no stroke is thinner than its line.

    Parameters
    ----------
    text
        What is written.
    tip_mm
        Opening of the tip. [mm], 0.3 to 10
    style
        The cut of the letters.

    Returns
    -------
    size
        [mm]; for letters traced in one line only the gaps count, see ``Written.takes``.
    """
    require_range("opening of the tip", tip_mm, 0.3, 10.0, "mm")
    glyphs = [glyph for glyph in face(style).glyphs(text) if glyph.has_ink]
    return tip_mm / min(min(glyph.thinnest, glyph.narrowest) for glyph in glyphs) if glyphs else 0.0


def _advances(found: Face, glyphs: Sequence[Glyph]) -> tuple[float, ...]:
    """Return what each glyph takes of the line, kerning to the next included, by the size of type."""
    return tuple(
        glyph.advance + (found.kerning(glyph, glyphs[i + 1]) if i + 1 < len(glyphs) else 0.0)
        for i, glyph in enumerate(glyphs)
    )


def natural_width(text: str, size_mm: float, style: FaceStyle = FaceStyle.UPRIGHT) -> float:
    """Return the length that words take on a line, kerned, with nothing added. [mm]"""
    require_range("size of type", size_mm, 1.0, 500.0, "mm")
    found = face(style)
    return sum(_advances(found, found.glyphs(text))) * size_mm


# --- laying out ------------------------------------------------------------------------------------------------------


def write_straight(
    text: str,
    *,
    size_mm: float,
    style: FaceStyle = FaceStyle.UPRIGHT,
    fit_mm: float | None = None,
    middle_mm: Point = (0.0, 0.0),
    mirrored: bool = False,
) -> Written:
    """
    Write along a straight line, its middle on a place.

    Parameters
    ----------
    text
        1 to 200 characters, in one line.
    size_mm
        Size of type, or the largest if it is fitted. [mm], 2 to 400
    style
        The cut of the letters.
    fit_mm
        Length to keep to: the type is made smaller if it would be longer; None for no such length. [mm]
    middle_mm
        Where the middle of the line's foot comes. [mm]
    mirrored
        Whether to turn it over, as a template for transfer.

    Returns
    -------
    written
        Letters and outlines.

    Raises
    ------
    UnknownName
        Characters that the font lacks; all are named.
    OutOfRange
        A size outside its range, or words that have to be smaller than 2 mm to fit.
    """
    found, glyphs = _checked(text, size_mm, style)
    advances = _advances(found, glyphs)
    if fit_mm is not None:
        require_range("length to write on", fit_mm, 5.0, 10_000.0, "mm")
        size_mm = min(size_mm, fit_mm / sum(advances))
        require_range("size of type that fits", size_mm, 2.0, 400.0, "mm")
    length = sum(advances) * size_mm
    x = middle_mm[0] - length / 2
    placed = []
    for glyph, advance in zip(glyphs, advances, strict=True):
        placed.append((glyph, (x, middle_mm[1]), 0.0, advance * size_mm))
        x += advance * size_mm
    return _written(text, found, size_mm, 0.0, placed, length, mirrored)


def write_on_arc(
    text: str,
    *,
    size_mm: float,
    radius_mm: float,
    style: FaceStyle = FaceStyle.UPRIGHT,
    reads: Reads = Reads.OUTWARD,
    middle_deg: float | None = None,
    most_deg: float = 340.0,
    mirrored: bool = False,
) -> Written:
    """
    Write along an arc about the origin, such as what shows of a board round the cake.

    Parameters
    ----------
    text, size_mm, style, mirrored
        As for ``write_straight``.
    radius_mm
        Of the line on which the letters stand. [mm], 10 to 1000
    reads
        Which way they stand.
    middle_deg
        Where the middle of the words comes, from the right against the clock; at the far side (90) for words read
        outward and at the near side (270) for words read inward, unless told. [deg]
    most_deg
        Angle to keep to: the type is made smaller if it would take more. [deg], 5 to 360

    Raises
    ------
    UnknownName
        Characters that the font lacks; all are named.
    OutOfRange
        A size or radius outside its range, or words that have to be smaller than 2 mm to fit.

    Notes
    -----
    The middle of each letter's foot lies on the arc and the foot is square to the radius there, so that letters stand
    true. The length of the line is measured on the arc.
    """
    found, glyphs = _checked(text, size_mm, style)
    require_range("radius of the line", radius_mm, 10.0, 1000.0, "mm")
    require_range("angle to write on", most_deg, 5.0, 360.0, "deg")
    advances = _advances(found, glyphs)
    size_mm = min(size_mm, radians(most_deg) * radius_mm / sum(advances))
    require_range("size of type that fits", size_mm, 2.0, 400.0, "mm")
    length = sum(advances) * size_mm
    middle = radians({Reads.OUTWARD: 90.0, Reads.INWARD: 270.0}[reads] if middle_deg is None else middle_deg)
    placed = _round(glyphs, advances, size_mm, radius_mm, middle, -length / 2, 0.0, reads)
    return _written(text, found, size_mm, 0.0, placed, length, mirrored)


def write_along(
    text: str, *, size_mm: float, style: FaceStyle = FaceStyle.UPRIGHT, place: Callable[[float], tuple[Point, float]]
) -> Written:
    """
    Write along any line, the middle of each letter's foot on it.

    Parameters
    ----------
    text, size_mm, style
        As for ``write_straight``.
    place
        Takes how far from the middle of the words a place lies, and returns the place and how far the line is turned
        there against the clock. [mm], [rad]

    Raises
    ------
    UnknownName
        Characters that the font lacks; all are named.
    OutOfRange
        A size outside its range.
    """
    found, glyphs = _checked(text, size_mm, style)
    advances = _advances(found, glyphs)
    length = sum(advances) * size_mm
    along = -length / 2
    placed = []
    for glyph, advance in zip(glyphs, advances, strict=True):
        wide = glyph.advance * size_mm
        (x, y), turn = place(along + wide / 2)
        placed.append((glyph, (x - wide / 2 * cos(turn), y - wide / 2 * sin(turn)), turn, advance * size_mm))
        along += advance * size_mm
    return _written(text, found, size_mm, 0.0, placed, length, False)


def write_round(
    text: str,
    *,
    size_mm: float,
    radius_mm: float,
    style: FaceStyle = FaceStyle.UPRIGHT,
    reads: Reads = Reads.OUTWARD,
    separator: str = " · ",
    times: int | None = None,
    begin_deg: float = 90.0,
    mirrored: bool = False,
) -> Written:
    """
    Write right round a circle, so that the end meets the beginning exactly.

    Parameters
    ----------
    text, size_mm, style, mirrored
        As for ``write_straight``.
    radius_mm, reads
        As for ``write_on_arc``.
    separator
        Stands after every repeat, the last included.
    times
        Repeats; as many as fit at this size, at least one, unless told.
    begin_deg
        Where the first begins. [deg]

    Returns
    -------
    written
        What is left over, or wanting, is shared out among all the letters as spacing, and the advances add up to the
        circumference.

    Raises
    ------
    Infeasible
        Letters would have to overlap by more than a fifteenth of their size, or stand more than a third apart.
    UnknownName, OutOfRange
        As for ``write_on_arc``.
    """
    require_range("radius of the line", radius_mm, 10.0, 1000.0, "mm")
    found, one = _checked(text + separator, size_mm, style)
    around = 2 * pi * radius_mm
    if times is None:
        times = min(MOST_REPEATS, max(1, round(around / natural_width(text + separator, size_mm, style))))
    require_range("repeats", times, 1, MOST_REPEATS, "repeats")
    glyphs = list(one) * times
    # The last letter is kerned to the first: they are neighbours on a circle.
    advances = _advances(found, [*glyphs, glyphs[0]])[:-1]
    spacing = (around - sum(advances) * size_mm) / len(glyphs)
    if not -size_mm / 15 <= spacing <= size_mm / 3:
        better = size_mm * around / (sum(advances) * size_mm)
        raise Infeasible(
            f"closing {text!r} round a circle of {2 * radius_mm:.0f} mm",
            f"letters of {size_mm:.1f} mm, {times} times, would have to stand {spacing:+.1f} mm from where they should",
            f"type of {better:.1f} mm, or another number of repeats",
        )
    placed = _round(glyphs, advances, size_mm, radius_mm, radians(begin_deg), 0.0, spacing, reads)
    return _written((text + separator) * times, found, size_mm, spacing, placed, around, mirrored)


def _checked(text: str, size_mm: float, style: FaceStyle) -> tuple[Face, tuple[Glyph, ...]]:
    require_range("letters", len(text), 1, 400, "characters")
    require_range("size of type", size_mm, 2.0, 400.0, "mm")
    found = face(style)
    return found, found.glyphs(text)


_Stand = tuple[Glyph, Point, float, float]


def _round(
    glyphs: Sequence[Glyph],
    advances: Sequence[float],
    size_mm: float,
    radius_mm: float,
    start: float,
    along_mm: float,
    spacing_mm: float,
    reads: Reads,
) -> list[_Stand]:
    """Stand letters on a circle: each upright on the radius through the middle of its foot."""
    # Read outward, words run with the clock; read inward, against it.
    way = -1.0 if reads is Reads.OUTWARD else 1.0
    placed = []
    for glyph, advance in zip(glyphs, advances, strict=True):
        wide = glyph.advance * size_mm
        angle = start + way * (along_mm + wide / 2) / radius_mm
        turn = angle - pi / 2 if reads is Reads.OUTWARD else angle + pi / 2
        foot = (radius_mm * cos(angle), radius_mm * sin(angle))
        left = (foot[0] - wide / 2 * cos(turn), foot[1] - wide / 2 * sin(turn))
        placed.append((glyph, left, turn, advance * size_mm))
        along_mm += advance * size_mm + spacing_mm
    return placed


def _written(
    text: str,
    found: Face,
    size_mm: float,
    spacing_mm: float,
    placed: Sequence[_Stand],
    length_mm: float,
    mirrored: bool,
) -> Written:
    flip = -1.0 if mirrored else 1.0
    outlines, boxes, letters = [], [], []
    for glyph, (x, y), turn, advance in placed:
        c, s = size_mm * cos(turn), size_mm * sin(turn)
        # Font units run up; SVG runs down: the second row is turned over.
        outlines.append(glyph.path((flip * c, -s, flip * -s, -c, flip * x, -y)))
        if glyph.has_ink:
            boxes.append(glyph.bounds((flip * c, s, flip * -s, c, flip * x, y)))
        whole = turn if not mirrored else pi - turn
        letters.append(
            PlacedLetter(
                letter=glyph.character,
                at_mm=(flip * x, y),
                turn_deg=degrees(atan2(sin(whole), cos(whole))),
                advance_mm=advance,
            )
        )
    inked = [glyph for glyph, *_ in placed if glyph.has_ink]
    return Written(
        text=text,
        style=found.style,
        size_mm=size_mm,
        capital_mm=found.capital * size_mm,
        spacing_mm=spacing_mm,
        letters=tuple(letters),
        length_mm=length_mm,
        bounds_mm=(
            (
                min(box[0] for box in boxes),
                min(box[1] for box in boxes),
                max(box[2] for box in boxes),
                max(box[3] for box in boxes),
            )
            if boxes
            else (0.0, 0.0, 0.0, 0.0)
        ),
        path="".join(outlines),
        ink_mm2=sum(glyph.area for glyph in inked) * size_mm * size_mm,
        thinnest_mm=min((glyph.thinnest for glyph in inked), default=0.0) * size_mm,
        narrowest_mm=min((glyph.narrowest for glyph in inked), default=0.0) * size_mm,
        is_mirrored=mirrored,
        stroke_mm=sum(glyph.stroke for glyph in inked) * size_mm,
    )
