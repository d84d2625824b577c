"""The temperature line drawn: one panel a tier, oven to last slice left to right, with the limits that matter on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from tierwright.keeping.answer import Keeping
from tierwright.keeping.layers import LayerLine
from tierwright.keeping.model import TierLine
from tierwright.keeping.softness import Softness, Yielding
from tierwright.keeping.wording import PLAIN
from tierwright.svg import INK_ON_PAPER, Drawing, Ink, document, element, group, line, number, rect, width_of, words
from tierwright.units import Display, TemperatureUnit

LEFT, RIGHT_GAP, TOP, PANEL_GAP, FOOT = 13.0, 3.0, 17.0, 5.0, 13.0
COLDEST_C, HOTTEST_C = 0.0, 40.0
COLD_LIMIT_C, WARM_LIMIT_C = 5.0, 21.0
MADE_MM, MADE_MOST = 17.0, 0.42
"""Breadth of one stay before the way, and the most of the drawing that they take together. [mm], [-]"""


class _Time:
    """
    Where an hour stands: every stay of the making equally broad, and from the way on true to the clock.

    The making lasts days and the display hours; on one even scale the hours that matter would not be seen.
    """

    def __init__(self, keeping: Keeping, from_at: datetime | None, width_mm: float) -> None:
        leaves, self.right = keeping.stays[-2].begins, width_mm - RIGHT_GAP
        even = leaves - timedelta(hours=2) if from_at is None else from_at
        self.stays = () if from_at is not None else tuple(
            one for one in (*keeping.made, *keeping.stays[:-2]) if one.begins < even
        )  # fmt: skip
        self.last = keeping.stays[-1].ends
        bounds = [*(one.begins for one in self.stays), even]
        hours = [(at - keeping.begins) / timedelta(hours=1) for at in (*bounds, self.last)]
        made = min(MADE_MM * len(self.stays), MADE_MOST * (self.right - LEFT))
        places = [LEFT + made * i / max(len(self.stays), 1) for i in range(len(bounds))]
        self.hours, self.places = hours, [*places, self.right]
        self.even, self.even_h = even, hours[-2]

    @property
    def span(self) -> tuple[float, float]:
        """First and last hour that is drawn. [h]"""
        return self.hours[0], self.hours[-1]

    def x(self, hour: float) -> float:
        """Return where an hour stands. [mm]"""
        for (h0, x0), (h1, x1) in pairwise(zip(self.hours, self.places, strict=True)):
            if hour <= h1:
                return x0 + (x1 - x0) * (hour - h0) / (h1 - h0)
        return self.right


def plot_line(
    keeping: Keeping,
    *,
    cutting: datetime,
    from_at: datetime | None = None,
    ink: Ink = INK_ON_PAPER,
    width_mm: float = 180.0,
    panel_mm: float = 42.0,
    prefix: str = "line",
    display: Display = PLAIN,
) -> Drawing:
    """
    Draw the temperature line of every tier.

    Parameters
    ----------
    keeping
        The answer.
    cutting
        When the cake is cut.
    from_at
        Begin there, true to the clock; None begins at the oven, its stays before the way drawn equally broad.
    ink
        What it is drawn with.
    width_mm, panel_mm
        Width, and height of one tier's panel. [mm]
    prefix
        Start of every id in the drawing.
    display
        The maker's degrees.

    Returns
    -------
    drawing
        The layer on its rack and in the cold, then coat, filling and centre of each tier over the hours, with the
        places along the top, the temperature at which the coat may slump, the limits of cold and of warmth, the set-up,
        the cutting and the end of the clock.
    """
    time = _Time(keeping, from_at, width_mm)
    top_c = max(HOTTEST_C, 5.0 * (max(max(one.coat_facing.celsius) for one in keeping.lines) // 5.0 + 1.0))
    aside = [(one.line, one.softness, None) for one in keeping.aside]
    height = TOP + (len(keeping.lines) + len(aside)) * (panel_mm + PANEL_GAP) + FOOT
    body = [_places(keeping, time, height - FOOT, display)]
    layers = keeping.layer_lines or (None,) * len(keeping.lines)
    tiers = zip(keeping.lines, keeping.softness, layers, strict=True)
    for i, (one, soft, layer) in enumerate([*tiers, *aside]):
        top = TOP + i * (panel_mm + PANEL_GAP)
        body.append(_panel(one, soft, layer, time, top, panel_mm, top_c, ink, display))
    body.append(_moments(keeping, cutting, time, height))
    body.append(_clock_axis(keeping, time, height - FOOT))
    warm = "; ".join(
        f"{one.name} tier: coat {display.show_temperature(_value(one, cutting, keeping))} at the cutting"
        for one in keeping.lines
    )
    first = time.stays[0].begins if time.stays else time.even
    return document(
        prefix=prefix,
        title="Temperature line",
        desc=f"From {first:%a %H:%M} to {time.last:%a %H:%M}. {warm}. Set up not before "
        f"{'no time that day' if keeping.window.not_before is None else f'{keeping.window.not_before:%H:%M}'}.",
        width_mm=width_mm,
        height_mm=height,
        ink=ink,
        definitions="",
        body="".join(body),
    )


def _titled(one: TierLine) -> str:
    """Return a line's name: a tier is called one, a cake that is cut out of sight has a name of its own."""
    return one.name if one.name.startswith("kitchen cake") else f"{one.name} tier"


def _value(one: TierLine, at: datetime, keeping: Keeping) -> float:
    return one.at((at - keeping.begins) / timedelta(hours=1), one.coat_facing)


def _places(keeping: Keeping, time: _Time, floor: float, display: Display) -> str:
    parts: list[str] = []
    for stay in (*keeping.made, *keeping.stays):
        begins, ends = (_hour(keeping, stay.begins), _hour(keeping, stay.ends))
        if ends <= time.span[0]:
            continue
        a, b = time.x(max(begins, time.span[0])), time.x(ends)
        parts.append(line(b, 5.5, b, floor, stroke_width=0.12, stroke_dasharray="0.6 0.9"))
        for label, size in (
            (f"{stay.name}, {display.show_temperature(stay.air_c)}", 2.8), (stay.name, 2.8), (stay.name, 2.3)
        ):  # fmt: skip
            if b - a > width_of(label, size):
                parts.append(words((a + b) / 2, 4.2, label, size=size, anchor="middle"))
                break
    return group(*parts)


def _hour(keeping: Keeping, at: datetime) -> float:
    return (at - keeping.begins) / timedelta(hours=1)


def _ticks(top_c: float, display: Display) -> list[tuple[float, str]]:
    """Return the marks of the temperature axis: round numbers of the maker's degrees."""
    if display.temperature is TemperatureUnit.F:
        return [((f - 32.0) / 1.8, f"{f} °F") for f in range(40, int(top_c * 1.8 + 32.0) + 1, 20)]
    return [(float(c), f"{c} °C") for c in range(0, int(top_c) + 1, 10)]


def _panel(
    one: TierLine,
    soft: Softness,
    layer: LayerLine | None,
    time: _Time,
    top: float,
    height: float,
    top_c: float,
    ink: Ink,
    display: Display,
) -> str:
    floor, right = top + height, time.right

    def y(celsius: float) -> float:
        return floor - height * (min(max(celsius, COLDEST_C), top_c) - COLDEST_C) / (top_c - COLDEST_C)

    def say(celsius: float) -> str:
        return display.show_temperature(celsius)

    def curve(hours: Sequence[float], celsius: Sequence[float], width: float, dash: str | None) -> str:
        shown = list(_within(hours, celsius, time.span))
        path = "".join(f"{'M' if i == 0 else 'L'}{number(time.x(h))} {number(y(t))}" for i, (h, t) in enumerate(shown))
        return element("path", d=path, fill="none", stroke_width=width, stroke_dasharray=dash)

    parts = [
        rect(LEFT, top, right - LEFT, height, fill="none", stroke_width=0.25),
        words(time.x(time.even_h) + 1.2, top + 3.6, _titled(one), size=3.2, weight="bold", halo=ink.paper),
    ]
    for celsius, label in _ticks(top_c, display):
        parts.append(line(LEFT - 1.0, y(celsius), LEFT, y(celsius)))
        parts.append(words(LEFT - 1.6, y(celsius) + 0.9, label, size=2.5, anchor="end"))
    for limit in (COLD_LIMIT_C, WARM_LIMIT_C):
        parts.append(line(LEFT, y(limit), right, y(limit), stroke_width=0.15, stroke_dasharray="1.2 1.2"))
        parts.append(words(right - 1, y(limit) - 0.6, say(limit), size=2.3, anchor="end", halo=ink.paper))
    slump = next((x for x in soft.limits if x.what is Yielding.SLUMP and x.at_c is not None), None)
    if slump is not None and slump.at_c is not None:
        at = y(slump.at_c.low)
        parts.append(line(LEFT, at, right, at, stroke_width=0.3, stroke_dasharray="3 0.8 0.5 0.8"))
        label = f"a soft coat slumps, {say(slump.at_c.low)}"
        parts.append(words(time.x(time.even_h) + 1.2, at - 0.7, label, size=2.5, italic=True, halo=ink.paper))
    if layer is not None and time.span[0] < 0.0:
        parts.append(curve(layer.hours, layer.centre_c, 0.35, "0.5 0.8"))
        hot = f"layer, from {say(layer.centre_c[0])}"
        parts.append(words(LEFT + 3.0, top + 3.2, hot, size=2.3, halo=ink.paper))
    filled = one.filling_warmest.celsius
    for name, values, width, dash, share in (
        ("coat", one.coat_facing.celsius, 0.6, None, 0.52),
        ("filling, warmest", filled, 0.4, "2.2 0.9", 0.66),
        ("centre", one.centre.celsius, 0.35, "0.5 0.8", 0.76),
    ):
        parts.append(curve(one.hours, values, width, dash))
        wanted = time.even_h + share * (time.span[1] - time.even_h)
        hour, value = min(_within(one.hours, values, time.span), key=lambda point: abs(point[0] - wanted))
        above = -1.2 if name == "coat" else 3.2
        parts.append(words(time.x(hour), y(value) + above, name, size=2.5, anchor="middle", halo=ink.paper))
    return group(*parts)


def _within(
    hours: Sequence[float], celsius: Sequence[float], span: tuple[float, float]
) -> Iterable[tuple[float, float]]:
    """Yield the points of a curve inside a span, cut off straight at its ends."""
    low, high = span
    for (h0, t0), (h1, t1) in pairwise(zip(hours, celsius, strict=True)):
        if h1 <= low or h0 >= high:
            continue
        if h0 < low or h0 == hours[0]:
            share = (max(low, h0) - h0) / (h1 - h0)
            yield max(low, h0), t0 + (t1 - t0) * share
        elif h0 == low:
            yield h0, t0
        share = (min(high, h1) - h0) / (h1 - h0)
        yield min(high, h1), t0 + (t1 - t0) * share


def _moments(keeping: Keeping, cutting: datetime, time: _Time, height: float) -> str:
    floor = height - FOOT - PANEL_GAP
    marks: list[tuple[str, datetime]] = [("cut", cutting)]
    if keeping.window.not_before is not None:
        marks.append(("set up not before", keeping.window.not_before))
    ends = [clock.discard_at for clock in keeping.clocks if clock.discard_at is not None]
    if ends:
        marks.append(("clock ends", min(ends)))
    parts: list[str] = []
    taken: list[tuple[float, float, int]] = []
    for label, at in sorted(marks, key=lambda mark: mark[1]):
        hour = _hour(keeping, at)
        if not time.span[0] <= hour <= time.span[1]:
            continue
        text = f"{label} {at:%H:%M}"
        half = width_of(text, 2.8) / 2
        middle = min(max(time.x(hour), LEFT + half), time.right - half)
        row = next(r for r in range(len(marks)) if all(r != u or abs(middle - m) > half + h + 2 for m, h, u in taken))
        taken.append((middle, half, row))
        parts.append(line(time.x(hour), TOP - 1.5, time.x(hour), floor, stroke_width=0.45))
        parts.append(words(middle, TOP - 2.5 - 3.2 * row, text, size=2.8, anchor="middle", weight="bold"))
    return group(*parts)


def _clock_axis(keeping: Keeping, time: _Time, floor: float) -> str:
    parts: list[str] = []

    def mark(at: datetime, label: str) -> None:
        place = time.x(_hour(keeping, at))
        parts.append(line(place, floor - PANEL_GAP, place, floor - PANEL_GAP + 1.2))
        parts.append(words(place, floor - PANEL_GAP + 4.4, label, size=2.4, anchor="middle"))

    for stay in time.stays:
        mark(stay.begins, f"{stay.begins:%a %H:%M}")
    span_h = (time.last - time.even) / timedelta(hours=1)
    step = 1 if span_h <= 10 else 2 if span_h <= 16 else 3 if span_h <= 40 else 6
    at = time.even.replace(minute=0, second=0, microsecond=0) + timedelta(hours=1)
    while at <= time.last:
        if at.hour % step == 0:
            mark(at, f"{at:%H:%M}")
        at += timedelta(hours=1)
    if time.stays:
        note = f"{time.even:%A %d %B %Y}; before {time.even:%H:%M} every stay is drawn equally broad"
    else:
        note = f"{time.even:%A %d %B %Y}"
    parts.append(words(LEFT, floor + 4.5, note, size=2.6))
    return group(*parts)
