"""How a plot looks: axes, lines for what the program computes, marks for what others have published, words below."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from tierwright.svg import INK_ON_PAPER, Drawing, document, element, group, line, number, rect, words

Points = Sequence[tuple[float, float]]
Axis = tuple[float, float, float]
"""Least and greatest value, and the step of the marks."""
WIDTH, HEIGHT, LEFT, RIGHT, TOP, FLOOR = 130.0, 92.0, 17.0, 4.0, 10.0, 68.0
DASHES: Final = (None, "2.4 1.2", "0.7 0.9", "4 1 0.8 1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """
    What is drawn.

    Attributes
    ----------
    key, title, across, up
        Name of the file; what it shows; what the two axes say.
    x, y
        The two axes.
    lines, marks, spans
        What the program computes; what was published; spans as x, low, high. Each with its words.
    log_across, logarithmic
        Whether the level and the upright axis count powers of ten.
    """

    key: str
    title: str
    across: str
    up: str
    x: Axis
    y: Axis
    lines: tuple[tuple[str, Points], ...] = ()
    marks: tuple[tuple[str, Points], ...] = ()
    spans: tuple[tuple[str, Sequence[tuple[float, float, float]]], ...] = ()
    log_across: bool = False
    logarithmic: bool = False


def over(low: float, high: float, computed: Callable[[float], float], steps: int = 60) -> Points:
    """Return a computed line from one end of an axis to the other."""
    return [(float(x), float(computed(float(x)))) for x in np.linspace(low, high, steps + 1)]


def draw(plot: Plot) -> Drawing:
    """Draw one plot."""

    def x(value: float) -> float:
        return LEFT + _share(value, plot.x, plot.log_across) * (WIDTH - LEFT - RIGHT)

    def y(value: float) -> float:
        return FLOOR - _share(value, plot.y, plot.logarithmic) * (FLOOR - TOP)

    parts = [words(WIDTH / 2, 5.5, plot.title, size=3.6, anchor="middle", weight="bold")]
    for value in _ticks(plot.x, plot.log_across):
        parts += [
            line(x(value), TOP, x(value), FLOOR, stroke_width=0.1, stroke_opacity=0.4),
            words(x(value), FLOOR + 4, _say(value), size=2.8, anchor="middle"),
        ]
    for value in _ticks(plot.y, plot.logarithmic):
        parts += [
            line(LEFT, y(value), WIDTH - RIGHT, y(value), stroke_width=0.1, stroke_opacity=0.4),
            words(LEFT - 1.5, y(value) + 1, _say(value), size=2.8, anchor="end"),
        ]
    parts += [
        rect(LEFT, TOP, WIDTH - LEFT - RIGHT, FLOOR - TOP, fill="none", stroke_width=0.3),
        words((LEFT + WIDTH - RIGHT) / 2, FLOOR + 8.5, plot.across, size=3, anchor="middle"),
        words(4, (TOP + FLOOR) / 2, plot.up, size=3, anchor="middle", turned=True),
    ]
    legend: list[tuple[str, Callable[[float, float], str]]] = []
    for order, (label, points) in enumerate(plot.lines):
        parts.append(_path([(x(a), y(b)) for a, b in points], DASHES[order % 4]))
        legend.append((label, _sample(DASHES[order % 4])))
    for order, (label, spans) in enumerate(plot.spans):
        parts += [line(x(a), y(low), x(a), y(high), stroke_width=1.6, stroke_opacity=0.55) for a, low, high in spans]
        legend.append((label, _bar))
        assert order == 0, "one kind of span a plot"
    for order, (label, points) in enumerate(plot.marks):
        drawn_as = MARKS[order]
        parts += [drawn_as(x(a), y(b)) for a, b in points]
        legend.append((label, drawn_as))
    for place, (label, mark) in enumerate(legend):
        left, base = LEFT + (place % 2) * 56, FLOOR + 14.0 + (place // 2) * 4.4
        parts += [mark(left + 3, base - 1), words(left + 8, base, label, size=2.8)]
    told = "; ".join(label for label, _ in legend)
    return document(
        prefix=plot.key, title=plot.title, desc=f"{plot.up} against {plot.across}: {told}.", width_mm=WIDTH,
        height_mm=HEIGHT, ink=INK_ON_PAPER, definitions="", body="".join(parts),
    )  # fmt: skip


def _share(value: float, axis: Axis, logarithmic: bool) -> float:
    low, high, _step = axis
    if logarithmic:
        return float(np.log(value / low) / np.log(high / low))
    return (value - low) / (high - low)


def _ticks(axis: Axis, logarithmic: bool) -> list[float]:
    low, high, step = axis
    if logarithmic:
        return [10.0**n for n in range(-6, 7) if low <= 10.0**n <= high]
    return [round(low + i * step, 9) for i in range(int((high - low) / step + 1.001))]


def _say(value: float) -> str:
    return f"{value:,.0f}" if float(value).is_integer() else f"{value:g}"


def _path(points: Points, dash: str | None) -> str:
    moves = " ".join(f"{'L' if i else 'M'}{number(a)} {number(b)}" for i, (a, b) in enumerate(points))
    return element("path", d=moves, fill="none", stroke_width=0.5, stroke_dasharray=dash)


def _sample(dash: str | None) -> Callable[[float, float], str]:
    return lambda x, y: line(x - 3, y, x + 3, y, stroke_width=0.5, stroke_dasharray=dash)


def _bar(x: float, y: float) -> str:
    return line(x, y - 1.5, x, y + 1.5, stroke_width=1.6, stroke_opacity=0.55)


def _ring(x: float, y: float) -> str:
    return element("circle", cx=x, cy=y, r=1.0, fill="#ffffff", stroke_width=0.4)


def _cross(x: float, y: float) -> str:
    arms = (line(x - 1, y - 1, x + 1, y + 1), line(x - 1, y + 1, x + 1, y - 1))
    return group(*arms, stroke_width=0.4)


MARKS: Final = (_ring, _cross)
"""One for each kind of published figure in a plot."""
