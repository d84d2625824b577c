"""The oven: pans on a shelf to scale, and how the middle of a layer warms."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tierwright.shapes import Outline
from tierwright.svg import INK_ON_PAPER, Drawing, Ink, document, element, group, line, number, polygon, rect, words
from tierwright.units import Display, celsius_to_fahrenheit


@dataclass(frozen=True, slots=True, kw_only=True)
class OnShelf:
    """A pan as it stands: its outline, its centre from the left front corner of the oven, turned or not, its name."""

    outline: Outline
    x_mm: float
    y_mm: float
    turned: bool
    label: str


def oven_shelf(
    pans: Sequence[OnShelf],
    *,
    width_mm: float,
    depth_mm: float,
    display: Display,
    ink: Ink = INK_ON_PAPER,
    paper_mm: float = 78.0,
    prefix: str = "shelf",
    title: str = "Shelf from above",
) -> Drawing:
    """
    Draw one oven shelf from above, to scale, with its pans in place.

    Parameters
    ----------
    pans
        What stands on it.
    width_mm, depth_mm
        Inside of the oven. [mm]
    display
        The maker's units.
    ink
        What it is drawn with.
    paper_mm
        Width on paper. [mm]
    prefix
        Start of every id in the drawing.
    title
        What the drawing is called.

    Returns
    -------
    drawing
        The back of the oven at the top, the door at the bottom.
    """
    margin = 4.0
    scale = (paper_mm - 2 * margin) / width_mm
    bottom = margin + depth_mm * scale
    parts = [rect(margin, margin, width_mm * scale, depth_mm * scale, fill="none", stroke_width=0.5)]
    for bar in range(1, 12):
        x = margin + width_mm * scale * bar / 12
        parts.append(line(x, margin, x, bottom, stroke_width=0.1, stroke_opacity=ink.faint))
    said = []
    for pan in pans:
        cx, cy = margin + pan.x_mm * scale, bottom - pan.y_mm * scale
        corners = [(y, -x) if pan.turned else (x, y) for x, y in pan.outline.polygon()]
        placed = [(cx + x * scale, cy - y * scale) for x, y in corners]
        parts.append(polygon(placed, fill=ink.paper, stroke_width=0.45))
        for place, text in enumerate(pan.label.split("\n")):
            parts.append(words(cx, cy + 3.4 * place, text, size=2.8, anchor="middle", halo=ink.paper))
        said.append(f"{pan.label.replace(chr(10), ', ')}, {display.show_length(pan.x_mm)} from the left")
    parts.append(line(margin, bottom, margin + width_mm * scale, bottom, stroke_width=1.2))
    size = f"{display.show_length(width_mm)} wide, {display.show_length(depth_mm)} deep"
    parts.append(words(paper_mm / 2, bottom + 4.2, f"door; {size}", size=2.8, anchor="middle"))
    return document(
        prefix=prefix,
        title=title,
        desc=f"{title}: {'; '.join(said)}.",
        width_mm=paper_mm,
        height_mm=bottom + 6.0,
        ink=ink,
        definitions="",
        body=group(*parts),
        scale=1 / scale,
    )


def core_chart(
    curves: Mapping[str, Sequence[tuple[float, float]]],
    *,
    target_c: float,
    done: Mapping[str, tuple[float, float, float]],
    display: Display,
    ink: Ink = INK_ON_PAPER,
    width_mm: float = 150.0,
    height_mm: float = 66.0,
    prefix: str = "core",
    title: str = "The middle of each layer",
) -> Drawing:
    """
    Draw the temperature in the middle of layers over the time in the oven.

    Parameters
    ----------
    curves
        By name, pairs of minutes and degrees. [min], [C]
    target_c
        What the middle has to reach. [C]
    done
        By name, when it is done: low, likely, high. [min]
    display
        The maker's units.
    ink
        What it is drawn with.
    width_mm, height_mm
        Size on paper. [mm]
    prefix
        Start of every id in the drawing.
    title
        What the chart is called.

    Returns
    -------
    drawing
        One line a layer, told apart by dashes and by name, with the range of each done-time below the axis.
    """
    fahrenheit = display.temperature.value == "F"
    latest = max([span[2] for span in done.values()] + [curve[-1][0] for curve in curves.values() if curve] + [10.0])
    last = -(-latest // 10) * 10
    left, right, top = 12.0, width_mm - 34.0, 5.0
    floor = height_mm - 10.0 - 3.4 * len(done)

    def x(minutes: float) -> float:
        return left + (right - left) * minutes / last

    def y(celsius: float) -> float:
        return floor - (floor - top) * (celsius - 10.0) / 100.0

    parts = [line(left, floor, right, floor, stroke_width=0.3), line(left, floor, left, top, stroke_width=0.3)]
    ticks = [50, 100, 150, 200] if fahrenheit else [20, 40, 60, 80, 100]
    for tick in ticks:
        celsius = (tick - 32) / 1.8 if fahrenheit else float(tick)
        parts.append(line(left, y(celsius), left - 1.2, y(celsius)))
        parts.append(words(left - 2, y(celsius) + 1, f"{tick} °{'F' if fahrenheit else 'C'}", size=2.6, anchor="end"))
    for minute in range(0, int(last) + 1, 10):
        parts.append(line(x(minute), floor, x(minute), floor + 1.2))
        parts.append(words(x(minute), floor + 4.2, f"{minute}", size=2.6, anchor="middle"))
    parts.append(words(right + 2, floor + 4.2, "min in the oven", size=2.6))
    shown = celsius_to_fahrenheit(target_c) if fahrenheit else target_c
    parts.append(line(left, y(target_c), right, y(target_c), stroke_width=0.25, stroke_dasharray="1.4 1"))
    parts.append(words(right + 2, y(target_c) + 1, f"done: {shown:.0f} °{'F' if fahrenheit else 'C'}", size=2.8))
    dashes = (None, "3 1", "0.6 0.8", "4 1 0.6 1", "1.6 0.6", "6 1.2")
    for place, (name, curve) in enumerate(curves.items()):
        path = "".join(f"{'L' if i else 'M'}{number(x(m))} {number(y(c))}" for i, (m, c) in enumerate(curve))
        dash = dashes[place % len(dashes)]
        parts.append(element("path", d=path, fill="none", stroke_width=0.5, stroke_dasharray=dash))
        row = floor + 8.6 + 3.4 * place
        low, likely, high = done.get(name, (0.0, 0.0, 0.0))
        if high:
            parts.append(line(x(low), row, x(high), row, stroke_width=0.5, stroke_dasharray=dash))
            parts.append(element("circle", cx=x(likely), cy=row, r=0.8, fill=ink.paper, stroke_width=0.4))
        parts.append(words(right + 2, row + 1, name, size=2.6))
    said = "; ".join(
        f"{name} done after {span[1]:.0f} min, likely {span[0]:.0f} to {span[2]:.0f}" for name, span in done.items()
    )
    return document(
        prefix=prefix,
        title=title,
        desc=f"{title} over the time in the oven: {said}.",
        width_mm=width_mm,
        height_mm=height_mm,
        ink=ink,
        definitions="",
        body=group(*parts),
    )
