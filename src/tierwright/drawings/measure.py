"""Scale, scale bars and dimension lines, as on a maker's drawing board."""

from __future__ import annotations

from typing import Final

from tierwright.errors import require_range
from tierwright.svg import Ink, element, group, line, number, rect, width_of, words
from tierwright.units import INCH_MM, Display, LengthUnit

SCALES: Final = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0)
LETTERING_MM: Final = 3.0


def choose_scale(true_width_mm: float, true_height_mm: float, room_width_mm: float, room_height_mm: float) -> float:
    """
    Return the largest drawing scale, from a fixed list, at which something fits a space on paper.

    Parameters
    ----------
    true_width_mm, true_height_mm
        True size. [mm], above 0
    room_width_mm, room_height_mm
        Space on paper. [mm], above 0

    Returns
    -------
    scale
        Millimetres of cake to one on paper. [-], 1 to 25

    Raises
    ------
    OutOfRange
        It would not fit at 1 : 25.
    """
    needed = max(true_width_mm / room_width_mm, true_height_mm / room_height_mm)
    require_range("reduction of the drawing", needed, 0.0, SCALES[-1], "", "drawing")
    return next(scale for scale in SCALES if scale >= needed)


def scale_words(scale: float) -> str:
    """Return a scale as it is written on a drawing, such as ``1 : 4``."""
    return f"1 : {number(scale)}"


def across(x1: float, x2: float, y: float, true_mm: float, label: str, *, ink: Ink, from_y: float | None = None) -> str:
    """
    Return a level dimension line with its words above it.

    Parameters
    ----------
    x1, x2, y
        Ends and height on paper. [mm]
    true_mm
        The dimension itself, kept in the drawing for whatever reads it. [mm]
    label
        The words.
    ink
        What it is drawn with.
    from_y
        Where the extension lines start, or None for none. [mm]
    """
    parts = [_tick(x1, y), _tick(x2, y), line(x1, y, x2, y)]
    if from_y is not None:
        reach = 1.2 if y > from_y else -1.2
        parts += [line(x, from_y, x, y + reach, stroke_width=0.12, stroke_opacity=ink.faint) for x in (x1, x2)]
    parts.append(words((x1 + x2) / 2, y - 1.0, label, size=LETTERING_MM, anchor="middle"))
    return group(*parts, stroke_width=0.18, data_mm=f"{true_mm:.3f}")


def upright(
    x: float, y1: float, y2: float, true_mm: float, label: str, *, ink: Ink, from_x: tuple[float, float] | None = None
) -> str:
    """Return an upright dimension line with its words, level, on its left; ``from_x`` starts the extension lines."""
    parts = [_tick(x, y1), _tick(x, y2), line(x, y1, x, y2)]
    if from_x is not None:
        for start, y in zip(from_x, (y1, y2), strict=True):
            parts.append(line(start, y, x - 1.2, y, stroke_width=0.12, stroke_opacity=ink.faint))
    parts.append(words(x - 1.6, (y1 + y2) / 2 + LETTERING_MM * 0.33, label, size=LETTERING_MM, anchor="end"))
    return group(*parts, stroke_width=0.18, data_mm=f"{true_mm:.3f}")


def _tick(x: float, y: float) -> str:
    return line(x - 0.9, y + 0.9, x + 0.9, y - 0.9, stroke_width=0.35)


def scale_bar(x: float, y: float, scale: float, display: Display, *, room_mm: float = 45.0) -> str:
    """
    Return a scale bar with its words under it.

    Parameters
    ----------
    x, y
        Left end of the bar's upper edge. [mm]
    scale
        Millimetres of cake to one on paper. [-]
    display
        The maker's units.
    room_mm
        Widest bar on paper. [mm]
    """
    inches = display.length is LengthUnit.INCH
    unit_mm = INCH_MM if inches else 10.0
    # The longest round length that fits, cut into equal parts: 8 in, 20 cm and so on.
    choices = (1, 2, 4, 8, 12) if inches else (1, 2, 4, 5, 10, 20, 40)
    units = max((c for c in choices if c * unit_mm / scale <= room_mm), default=choices[0])
    parts_count = 5 if units % 5 == 0 else 4 if units % 4 == 0 else max(units, 1)
    step = units * unit_mm / scale / parts_count
    boxes = [
        rect(x + i * step, y, step, 1.6, fill="none" if i % 2 else None, stroke_width=0.2) for i in range(parts_count)
    ]
    end = x + units * unit_mm / scale
    unit = "in" if inches else ("mm" if display.length is LengthUnit.MM else "cm")
    shown = units * 10 if unit == "mm" else units
    caption = [
        words(x, y + 4.6, "0", size=2.6, anchor="middle"),
        words(end, y + 4.6, f"{shown} {unit}", size=2.6, anchor="middle"),
    ]
    return group(*boxes, *caption, data_mm=f"{units * unit_mm:.3f}")


def fitted(text: str, room_mm: float, size: float) -> str:
    """Return text, shortened with an ellipsis where it would not fit. ``room_mm``, ``size`` [mm]"""
    if width_of(text, size) <= room_mm:
        return text
    return text[: max(1, int(room_mm / width_of("x", size)) - 1)].rstrip() + "…"


def swatch(x: float, y: float, fill: str) -> str:
    """Return one swatch of a legend, 8 by 4.5 mm, its upper left corner at ``x``, ``y``. [mm]"""
    return rect(x, y, 8.0, 4.5, fill=fill, stroke_width=0.2)


def legend(x: float, y: float, entries: list[tuple[str, str]], *, room_mm: float, columns: int) -> tuple[str, float]:
    """
    Return a legend and its height.

    Parameters
    ----------
    x, y
        Upper left corner. [mm]
    entries
        Fill and words of each material.
    room_mm
        Width to fill. [mm]
    columns
        Number of columns, filled row by row.
    """
    column_mm = room_mm / columns
    parts = []
    for i, (fill, text) in enumerate(entries):
        left, top = x + (i % columns) * column_mm, y + (i // columns) * 6.4
        parts.append(swatch(left, top, fill))
        parts.append(words(left + 10, top + 3.3, fitted(text, column_mm - 12, LETTERING_MM), size=LETTERING_MM))
    rows = -(-len(entries) // columns)
    return element("g", "".join(parts) or "", data_part="legend"), rows * 6.4
