"""The cake from the front, small and to scale: what stands where, and, dashed, the supports that nobody sees."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from tierwright.coating import Coating
from tierwright.drawings.measure import LETTERING_MM, choose_scale, fitted, scale_bar, scale_words
from tierwright.drawings.section import Bar, Base, Names
from tierwright.sizing.model import Stack, Tier
from tierwright.svg import INK_ON_PAPER, Drawing, Ink, document, group, line, rect, words
from tierwright.units import Display

LABEL_MM = 46.0
"""Room for the words beside the cake. [mm]"""
FOOT_MM = 9.0
LINE_MM = 3.9


def front(
    stack: Stack,
    coating: Coating,
    *,
    base: Base | None = None,
    names: Names | None = None,
    bars: Sequence[Bar] = (),
    display: Display | None = None,
    ink: Ink = INK_ON_PAPER,
    width_mm: float = 100.0,
    height_mm: float = 62.0,
    prefix: str = "front",
    title: str = "The cake from the front",
) -> Drawing:
    """
    Draw the stacked cake as it stands on its table.

    Parameters
    ----------
    stack, coating
        The tiers, bottom first, and what is on them.
    base
        The board under everything, where it is known.
    names
        Words for flavours.
    bars
        Supports and rods, drawn dashed.
    display
        The maker's units.
    ink
        What it is drawn with.
    width_mm, height_mm
        Greatest size on paper. [mm]
    prefix
        Start of every id in the drawing.
    title
        What the drawing is called.

    Returns
    -------
    drawing
        One user unit is one millimetre on paper.

    Raises
    ------
    OutOfRange
        The cake does not fit at 1 : 25.
    """
    display, names = display or Display(), names or Names()
    thick = base.thickness_mm if base else 0.0
    seats = [thick]
    for lower in coating.tiers[:-1]:
        seats.append(seats[-1] + (lower.carries_at_mm or lower.finished_height_mm))
    total = seats[-1] + coating.tiers[-1].finished_height_mm
    widths = [coated.finished_outline.extent_mm[0] for coated in coating.tiers]
    widest = max(widths + ([base.outline.extent_mm[0]] if base else []))
    room = width_mm - LABEL_MM
    scale = choose_scale(widest, total, room - 4.0, height_mm - FOOT_MM - 3.0)
    floor, middle = 2.0 + total / scale, 2.0 + widest / scale / 2
    parts: list[str] = []
    if base:
        wide = base.outline.extent_mm[0] / scale
        parts.append(rect(middle - wide / 2, floor - thick / scale, wide, thick / scale, fill=ink.ink))
    places: list[tuple[Tier, float]] = []
    for tier, coated, seat, wide_mm in zip(stack.tiers, coating.tiers, seats, widths, strict=True):
        wide, high = wide_mm / scale, coated.finished_height_mm / scale
        top = floor - seat / scale - high
        body = rect(middle - wide / 2, top, wide, high, fill=ink.paper, stroke_width=0.45)
        parts.append(group(body, id=f"{prefix}-tier-{tier.number}"))
        places.append((tier, top + high / 2))
    for i, bar in enumerate(bars, start=1):
        x, half = middle + bar.x_mm / scale, max(0.3, bar.width_mm / scale / 2)
        edges = [
            line(x + side, floor - bar.bottom_mm / scale, x + side, floor - bar.top_mm / scale)
            for side in (-half, half)
        ]
        parts.append(
            group(*edges, id=f"{prefix}-bar-{i}", stroke_width=0.2, stroke_dasharray="1 0.7", opacity=ink.faint)
        )
    parts.append(line(1.0, floor, middle + widest / scale / 2 + 3.0, floor, stroke_width=0.5))
    parts += _labels(places, coating, names, display, middle, widest / scale, scale, width_mm)
    y = floor + 6.0
    parts.append(words(2.0, y, f"scale {scale_words(scale)}", size=LETTERING_MM))
    parts.append(scale_bar(25.0, y - 2.1, scale, display, room_mm=room - 25.0))
    said = "; ".join(
        f"{tier.name} tier, {display.show_length(wide)} wide, {names.flavour(tier)}"
        for tier, wide in zip(stack.tiers, widths, strict=True)
    )
    return document(
        prefix=prefix,
        title=title,
        desc=f"{title}, at a scale of {scale_words(scale)}, {display.show_length(total)} high over all. From below: "
        f"{said}. Supports inside are dashed.",
        width_mm=width_mm,
        height_mm=floor + FOOT_MM,
        ink=ink,
        definitions="",
        body="".join(parts),
        scale=scale,
    )


def _labels(
    places: Sequence[tuple[Tier, float]],
    coating: Coating,
    names: Names,
    display: Display,
    middle: float,
    wide: float,
    scale: float,
    width_mm: float,
) -> list[str]:
    """Return the words beside each tier with a thin line to it, kept apart where tiers are low."""
    block = 2 * LINE_MM + 1.6
    heights = [y for _, y in places]
    # From the top down: a label never stands higher than the one above it leaves room for.
    order = list(reversed(range(len(places))))
    at = {order[0]: heights[order[0]]}
    for above, below in pairwise(order):
        at[below] = max(heights[below], at[above] + block)
    x = middle + wide / 2 + 6.0
    room = width_mm - x - 1.0
    parts = []
    for i, (tier, y) in enumerate(places):
        edge = middle + coating.tiers[i].finished_outline.extent_mm[0] / scale / 2
        parts.append(line(edge, y, x - 1.0, at[i], stroke_width=0.15))
        kept = ", kept" if tier.keepsake else ""
        size = display.show_length(coating.tiers[i].finished_outline.extent_mm[0])
        head = fitted(f"{tier.name} tier, {size}{kept}", room, LETTERING_MM)
        parts.append(words(x, at[i] - 0.3, head, size=LETTERING_MM, weight="600"))
        parts.append(
            words(x, at[i] + LINE_MM - 0.3, fitted(names.flavour(tier), room, LETTERING_MM), size=LETTERING_MM)
        )
    return parts
