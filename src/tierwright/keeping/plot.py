"""The temperature line drawn: one panel a tier, time left to right, with the limits that matter on it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from tierwright.keeping.answer import Keeping
from tierwright.keeping.model import Stay, TierLine
from tierwright.keeping.softness import Softness, Yielding
from tierwright.svg import INK_ON_PAPER, Drawing, Ink, document, element, group, line, number, rect, width_of, words

LEFT, RIGHT_GAP, TOP, PANEL_GAP, FOOT = 13.0, 3.0, 17.0, 5.0, 13.0
COLDEST_C, HOTTEST_C = 0.0, 40.0
COLD_LIMIT_C, WARM_LIMIT_C = 5.0, 21.0


def plot_line(
    keeping: Keeping,
    *,
    cutting: datetime,
    from_at: datetime | None = None,
    ink: Ink = INK_ON_PAPER,
    width_mm: float = 180.0,
    panel_mm: float = 42.0,
    prefix: str = "line",
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
        Begin there; None begins two hours before it leaves the cold.
    ink
        What it is drawn with.
    width_mm, panel_mm
        Width, and height of one tier's panel. [mm]
    prefix
        Start of every id in the drawing.

    Returns
    -------
    drawing
        Coat, filling and centre of each tier over the hours, with the places along the top, the temperature at which
        the coat may slump, 5 C and 21 C, the set-up, the cutting and the end of the clock.
    """
    leaves = keeping.stays[-2].begins
    first = leaves - timedelta(hours=2) if from_at is None else from_at
    last = keeping.stays[-1].ends
    hour0 = (first - keeping.begins) / timedelta(hours=1)
    hour1 = (last - keeping.begins) / timedelta(hours=1)
    right = width_mm - RIGHT_GAP

    def x(hour: float) -> float:
        return LEFT + (right - LEFT) * (hour - hour0) / (hour1 - hour0)

    top_c = max(HOTTEST_C, 5.0 * (max(max(one.coat_facing.celsius) for one in keeping.lines) // 5.0 + 1.0))
    height = TOP + len(keeping.lines) * (panel_mm + PANEL_GAP) + FOOT
    body = [_places(keeping, x, hour0, height - FOOT)]
    for i, (one, soft) in enumerate(zip(keeping.lines, keeping.softness, strict=True)):
        top = TOP + i * (panel_mm + PANEL_GAP)
        body.append(_panel(one, soft, x, top, panel_mm, (hour0, hour1), top_c, right, ink))
    body.append(_moments(keeping, cutting, x, hour0, hour1, height))
    body.append(_clock_axis(first, last, keeping.begins, x, height - FOOT))
    warm = "; ".join(
        f"{one.name} tier: coat {_value(one, cutting, keeping):.0f} C at the cutting" for one in keeping.lines
    )
    return document(
        prefix=prefix,
        title="Temperature line",
        desc=f"From {first:%a %H:%M} to {last:%a %H:%M}. {warm}. Set up not before "
        f"{'no time that day' if keeping.window.not_before is None else f'{keeping.window.not_before:%H:%M}'}.",
        width_mm=width_mm,
        height_mm=height,
        ink=ink,
        definitions="",
        body="".join(body),
    )


def _value(one: TierLine, at: datetime, keeping: Keeping) -> float:
    return one.at((at - keeping.begins) / timedelta(hours=1), one.coat_facing)


def _places(keeping: Keeping, x: Callable[[float], float], hour0: float, floor: float) -> str:
    parts: list[str] = []
    for stay in keeping.stays:
        begins, ends = (_hour(keeping, stay.begins), _hour(keeping, stay.ends))
        if ends <= hour0:
            continue
        a, b = x(max(begins, hour0)), x(ends)
        parts.append(line(b, 5.5, b, floor, stroke_width=0.12, stroke_dasharray="0.6 0.9"))
        label = _place_words(stay)
        if b - a > width_of(label, 2.8):
            parts.append(words((a + b) / 2, 4.2, label, size=2.8, anchor="middle"))
    return group(*parts)


def _place_words(stay: Stay) -> str:
    return f"{stay.name}, {stay.air_c:.0f} C"


def _hour(keeping: Keeping, at: datetime) -> float:
    return (at - keeping.begins) / timedelta(hours=1)


def _panel(
    one: TierLine,
    soft: Softness,
    x: Callable[[float], float],
    top: float,
    height: float,
    span: tuple[float, float],
    top_c: float,
    right: float,
    ink: Ink,
) -> str:
    floor = top + height

    def y(celsius: float) -> float:
        return floor - height * (min(max(celsius, COLDEST_C), top_c) - COLDEST_C) / (top_c - COLDEST_C)

    parts = [
        rect(LEFT, top, right - LEFT, height, fill="none", stroke_width=0.25),
        words(LEFT + 1.2, top + 3.6, f"{one.name} tier", size=3.2, weight="bold", halo=ink.paper),
    ]
    for tens in range(0, int(top_c) + 1, 10):
        parts.append(line(LEFT - 1.0, y(tens), LEFT, y(tens)))
        parts.append(words(LEFT - 1.6, y(tens) + 0.9, f"{tens} C", size=2.5, anchor="end"))
    for limit in (COLD_LIMIT_C, WARM_LIMIT_C):
        parts.append(line(LEFT, y(limit), right, y(limit), stroke_width=0.15, stroke_dasharray="1.2 1.2"))
        parts.append(words(right - 1, y(limit) - 0.6, f"{limit:.0f} C", size=2.3, anchor="end", halo=ink.paper))
    slump = next((x for x in soft.limits if x.what is Yielding.SLUMP and x.at_c is not None), None)
    if slump is not None and slump.at_c is not None:
        at = y(slump.at_c.low)
        parts.append(line(LEFT, at, right, at, stroke_width=0.3, stroke_dasharray="3 0.8 0.5 0.8"))
        label = f"a soft coat slumps, {slump.at_c.low:.0f} C"
        parts.append(words(LEFT + 1.2, at - 0.7, label, size=2.5, italic=True, halo=ink.paper))
    filled = one.filling_warmest.celsius
    for name, celsius, width, dash, share in (
        ("coat", one.coat_facing.celsius, 0.6, None, 0.52),
        ("filling, warmest", filled, 0.4, "2.2 0.9", 0.66),
        ("centre", one.centre.celsius, 0.35, "0.5 0.8", 0.76),
    ):
        shown = list(_within(one.hours, celsius, span))
        path = "".join(f"{'M' if i == 0 else 'L'}{number(x(h))} {number(y(t))}" for i, (h, t) in enumerate(shown))
        parts.append(element("path", d=path, fill="none", stroke_width=width, stroke_dasharray=dash))
        hour, value = min(shown, key=lambda point: abs(point[0] - (span[0] + share * (span[1] - span[0]))))
        above = -1.2 if name == "coat" else 3.2
        parts.append(words(x(hour), y(value) + above, name, size=2.5, anchor="middle", halo=ink.paper))
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


def _moments(
    keeping: Keeping, cutting: datetime, x: Callable[[float], float], hour0: float, hour1: float, height: float
) -> str:
    floor = height - FOOT - PANEL_GAP
    marks: list[tuple[str, datetime]] = [("cut", cutting)]
    if keeping.window.not_before is not None:
        marks.append(("set up not before", keeping.window.not_before))
    ends = [clock.discard_at for clock in keeping.clocks if clock.discard_at is not None]
    if ends:
        marks.append(("clock ends", min(ends)))
    parts: list[str] = []
    taken: list[tuple[float, int]] = []
    for label, at in sorted(marks, key=lambda mark: mark[1]):
        hour = _hour(keeping, at)
        if not hour0 <= hour <= hour1:
            continue
        text = f"{label} {at:%H:%M}"
        half = width_of(text, 2.8) / 2
        middle = min(max(x(hour), LEFT + half), x(hour1) - half)
        row = next(r for r in range(len(marks)) if all(r != u or abs(middle - m) > 2 * half + 2 for m, u in taken))
        taken.append((middle, row))
        parts.append(line(x(hour), TOP - 1.5, x(hour), floor, stroke_width=0.45))
        parts.append(words(middle, TOP - 2.5 - 3.2 * row, text, size=2.8, anchor="middle", weight="bold"))
    return group(*parts)


def _clock_axis(first: datetime, last: datetime, begins: datetime, x: Callable[[float], float], floor: float) -> str:
    span_h = (last - first) / timedelta(hours=1)
    step = 1 if span_h <= 14 else 3 if span_h <= 40 else 6
    at = first.replace(minute=0, second=0, microsecond=0) + timedelta(hours=1)
    parts: list[str] = []
    while at <= last:
        if at.hour % step == 0:
            place = x((at - begins) / timedelta(hours=1))
            parts.append(line(place, floor - PANEL_GAP, place, floor - PANEL_GAP + 1.2))
            parts.append(words(place, floor - PANEL_GAP + 4.4, f"{at:%H:%M}", size=2.6, anchor="middle"))
        at += timedelta(hours=1)
    parts.append(words(LEFT, floor + 4.5, f"{first:%A %d %B %Y}", size=2.6))
    return group(*parts)
