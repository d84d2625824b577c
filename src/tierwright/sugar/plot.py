"""Temperature against solids, with the target marked, as a drawing that any browser or printer takes."""

from __future__ import annotations

from html import escape
from math import ceil, floor
from typing import Final

import numpy as np

from tierwright.errors import OutOfRange, require_range
from tierwright.sugar.activity import HOTTEST_C
from tierwright.sugar.boiling import boiling_c, boiling_temperatures, highest_share, solids_at
from tierwright.sugar.mix import Mix
from tierwright.sugar.stages import stages
from tierwright.sugar.syrup_model import Target
from tierwright.svg import INK_ON_PAPER, Ink
from tierwright.water import SEA_LEVEL_PA

INK: Final = "#1d1d1b"
FAINT: Final = "#8a8a86"
MARK: Final = "#9b1c31"
_LEFT, _RIGHT, _TOP, _BOTTOM = 58.0, 118.0, 26.0, 46.0
_STEPS: Final = 90


def plot_target(
    mix: Mix,
    target: Target,
    pressure_pa: float,
    *,
    width: float = 640.0,
    height: float = 400.0,
    fahrenheit: bool = False,
    ink: Ink = INK_ON_PAPER,
) -> str:
    """
    Draw the boiling temperature of these sugars against their solids.

    The full line is this kitchen, the broken one the sea; stages stand on the right where they lie in this kitchen; the
    target is marked with its temperature and solids in words, so that nothing hangs on colour.

    Parameters
    ----------
    mix
        The sugars in the pot.
    target
        What ``find_target`` found for them. Past the boil (no solids) only its temperature is drawn.
    pressure_pa
        Air pressure in the kitchen. [Pa]
    width, height
        Size of the drawing in CSS pixels. [px], 240 to 2000
    fahrenheit
        Whether the temperature axis is in Fahrenheit.
    ink
        What it is drawn with; the colour of a page takes everything, so that it reads on a dark one.

    Returns
    -------
    svg
        One ``svg`` element with a title; presentation attributes only.

    Raises
    ------
    OutOfRange
        A size outside that span.
    """
    require_range("width of the drawing", width, 240.0, 2000.0, "px")
    require_range("height of the drawing", height, 200.0, 2000.0, "px")
    frame = _Frame(mix, target, width, height, fahrenheit)
    here = frame.curve(mix, pressure_pa)
    sea = frame.curve(mix, SEA_LEVEL_PA)
    parts = [*frame.axes(), frame.path(sea, FAINT, "5 4"), frame.path(here, INK, "")]
    parts += [frame.name_line(here, "here", 1)]
    if abs(pressure_pa - SEA_LEVEL_PA) > 1500:
        parts += [frame.name_line(sea, "by the sea", -1)]
    parts += frame.stage_marks(mix, pressure_pa)
    parts += frame.target_mark(target)
    drawn = "".join(parts)
    if ink is not INK_ON_PAPER:
        for own in (INK, FAINT, MARK):
            drawn = drawn.replace(own, ink.ink)
    title = f"Boiling temperature against solids; target {_degrees(target.true_c.value, fahrenheit)}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 {width:g} {height:g}" width="{width:g}" '
        f'height="{height:g}" font-family="sans-serif" font-size="11"><title>{escape(title)}</title>' + drawn + "</svg>"
    )


def _degrees(celsius: float, fahrenheit: bool) -> str:
    return f"{celsius * 1.8 + 32:.0f} °F" if fahrenheit else f"{celsius:.1f} °C"


class _Frame:
    """Scales of the drawing and the parts drawn on them."""

    def __init__(self, mix: Mix, target: Target, width: float, height: float, fahrenheit: bool) -> None:
        self.width, self.height, self.fahrenheit = width, height, fahrenheit
        self.x_high = min(0.98, highest_share(mix))
        start = min(mix.solids_share, target.solids_share or 1.0, self.x_high - 0.1)
        self.x_low = max(0.0, floor((start - 0.05) * 10) / 10)
        self.y_low = 5.0 * floor(target.water_boils_c / 5) - 10.0  # room for words under the weak end
        self.y_high = max(self.y_low + 50.0, 5.0 * ceil(target.true_c.value / 5) + 10.0)

    def x(self, share: float) -> float:
        """Place of a share of solids from the left. [px]"""
        return _LEFT + (share - self.x_low) / (self.x_high - self.x_low) * (self.width - _LEFT - _RIGHT)

    def y(self, celsius: float) -> float:
        """Place of a temperature from the top. [px]"""
        rise = (celsius - self.y_low) / (self.y_high - self.y_low)
        return self.height - _BOTTOM - rise * (self.height - _TOP - _BOTTOM)

    def curve(self, mix: Mix, pressure_pa: float) -> list[tuple[float, float]]:
        """Points of the boiling curve inside the frame. [px]"""
        shares = np.linspace(max(self.x_low, 0.02), self.x_high, _STEPS)
        water = mix.solids_g * (1.0 - shares) / shares
        pairs = [(part.solute, part.grams) for part in mix.dissolved]
        # The strongest end may lie beyond the source's temperature; the line then ends where the source does.
        while len(water) > 2:
            try:
                celsius = boiling_temperatures(pairs, water, pressure_pa, mix.salt_g)
            except OutOfRange:
                shares, water = shares[:-2], water[:-2]
                continue
            inside = celsius <= min(self.y_high, HOTTEST_C)
            return [(self.x(float(s)), self.y(float(t))) for s, t in zip(shares[inside], celsius[inside], strict=True)]
        return []

    def path(self, points: list[tuple[float, float]], ink: str, dashes: str) -> str:
        """One line of the drawing."""
        if not points:
            return ""
        way = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        broken = f' stroke-dasharray="{dashes}"' if dashes else ""
        return f'<polyline points="{way}" fill="none" stroke="{ink}" stroke-width="1.6"{broken}/>'

    def name_line(self, points: list[tuple[float, float]], words: str, side: int) -> str:
        """The name of a line, near its weak end: ``side`` 1 below it, -1 above it."""
        if not points:
            return ""
        x, y = points[len(points) // 6]
        return _text(x, y + (16 if side > 0 else -14), words, ink=INK if side > 0 else FAINT)

    def axes(self) -> list[str]:
        """Rules, figures and names of both axes."""
        left, bottom = _LEFT, self.height - _BOTTOM
        right = self.width - _RIGHT
        parts = [f'<path d="M{left:g},{_TOP:g} V{bottom:g} H{right:g}" fill="none" stroke="{INK}" stroke-width="1"/>']
        step = 20.0 if self.fahrenheit or self.y_high - self.y_low > 60 else 10.0
        low, high = (c * 1.8 + 32 if self.fahrenheit else c for c in (self.y_low, self.y_high))
        shown = step * ceil(low / step)
        while shown <= high + 1e-9:
            y = self.y((shown - 32) / 1.8 if self.fahrenheit else shown)
            parts.append(f'<path d="M{left - 4:g},{y:.1f} H{left:g}" stroke="{INK}" stroke-width="1"/>')
            parts.append(_text(left - 8, y + 4, f"{shown:.0f}", anchor="end"))
            shown += step
        share = self.x_low
        while share <= self.x_high + 1e-9:
            x = self.x(share)
            parts.append(f'<path d="M{x:.1f},{bottom:g} v4" stroke="{INK}" stroke-width="1"/>')
            parts.append(_text(x, bottom + 17, f"{share * 100:.0f}", anchor="middle"))
            share += 0.1
        parts.append(_text((left + right) / 2, self.height - 10, "solids, % of the syrup", anchor="middle"))
        parts.append(_text(8, 14, "°F" if self.fahrenheit else "°C"))
        return parts

    def stage_marks(self, mix: Mix, pressure_pa: float) -> list[str]:
        """Spans of the boiling stages on the right, where they lie in this kitchen."""
        parts: list[str] = []
        right = self.width - _RIGHT
        for row in stages().values():
            if not row.boils:
                continue
            try:
                low, high = (
                    boiling_c(mix.at_share(solids_at(mix, c, SEA_LEVEL_PA)), pressure_pa)
                    for c in (row.low_c, row.high_c)
                )
            except OutOfRange:
                continue
            if high > self.y_high or low < self.y_low:
                continue
            top, bottom = self.y(high), self.y(low)
            parts.append(
                f'<path d="M{right + 4:g},{top:.1f} h6 V{bottom:.1f} h-6" fill="none" stroke="{FAINT}" '
                'stroke-width="1"/>'
            )
            parts.append(_text(right + 14, (top + bottom) / 2 + 4, row.label))
        return parts

    def target_mark(self, target: Target) -> list[str]:
        """Cross lines, ring and words at the target."""
        y = self.y(target.true_c.value)
        words = _degrees(target.true_c.value, self.fahrenheit)
        if target.solids_share is None:
            return [
                f'<path d="M{_LEFT:g},{y:.1f} H{self.width - _RIGHT:g}" stroke="{MARK}" stroke-width="1.2"/>',
                _text(_LEFT + 8, y - 6, f"{target.label}: {words}", ink=MARK),
            ]
        x = self.x(target.solids_share)
        bottom = self.height - _BOTTOM
        told = f"{words}, {target.solids_share * 100:.1f} %"
        # Right of and below the rising line the paper is free, unless the frame ends there.
        room = x + 110 < self.width - _RIGHT
        mark = _text(x + 10, y + 16, told, ink=MARK) if room else _text(x - 9, y - 8, told, ink=MARK, anchor="end")
        return [
            f'<path d="M{_LEFT:g},{y:.1f} H{x:.1f} V{bottom:g}" fill="none" stroke="{MARK}" stroke-width="1" '
            'stroke-dasharray="2 3"/>',
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="none" stroke="{MARK}" stroke-width="1.8"/>',
            mark,
        ]


def _text(x: float, y: float, words: str, *, ink: str = INK, anchor: str = "start") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" fill="{ink}" text-anchor="{anchor}">{escape(words)}</text>'
