"""Clocks of time out of control, and cooling rules, read off a temperature curve."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tierwright.keeping.tables import Clock, CoolingRule
from tierwright.working import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockReading:
    """
    One clock on one curve.

    Attributes
    ----------
    key, title
        Which clock.
    starts_h
        When time begins to count. [h] of the line; None if it never does
    expires_h
        From here on the food is thrown away by this clock. [h]; None if the line ends first
    used_h
        Time counted by the line's end. [h]
    holds
        Whether the clock may be relied on: cold at the start where it asks for it.
    broken_h
        When the food got warmer than the clock allows. [h]; None if it never did
    source
        The rule.
    """

    key: str
    title: str
    starts_h: float | None
    expires_h: float | None
    used_h: float
    holds: bool
    broken_h: float | None
    source: Source


def spans_above(
    hours: Sequence[float], celsius: Sequence[float], limit_c: float, from_h: float = 0.0
) -> Iterator[tuple[float, float]]:
    """
    Yield the stretches in which a curve is above a limit, from a time on.

    Parameters
    ----------
    hours, celsius
        The curve, straight between its points. [h], [C]
    limit_c
        At the limit itself nothing counts. [C]
    from_h
        Where to begin. [h]
    """
    first = bisect_right(hours, from_h)
    if first >= len(hours):
        return
    at = max(first - 1, 0)
    before_h, before = hours[at], celsius[at]
    if before_h < from_h:
        # What lies before the span begins is cut off straight.
        before += (celsius[at + 1] - before) * (from_h - before_h) / (hours[at + 1] - before_h)
        before_h = from_h
    begun = before_h if before > limit_c else None
    for i in range(at + 1, len(hours)):
        now_h, now = hours[i], celsius[i]
        if (now > limit_c) != (before > limit_c):
            crosses = before_h + (now_h - before_h) * (limit_c - before) / (now - before)
            if begun is None:
                begun = crosses
            else:
                if crosses > begun:
                    yield begun, crosses
                begun = None
        before_h, before = now_h, now
    if begun is not None and before_h > begun:
        yield begun, before_h


def first_above(hours: Sequence[float], celsius: Sequence[float], limit_c: float, from_h: float = 0.0) -> float | None:
    """Return when a curve first passes above a limit, from a time on. [h]"""
    return next((begins for begins, _ in spans_above(hours, celsius, limit_c, from_h)), None)


def first_below(hours: Sequence[float], celsius: Sequence[float], limit_c: float, from_h: float = 0.0) -> float | None:
    """Return when a curve is first at or below a limit, from a time on. [h]"""
    return first_above(hours, [-value for value in celsius], -limit_c - 1e-9, from_h)


def read_clock(clock: Clock, hours: Sequence[float], celsius: Sequence[float], from_h: float = 0.0) -> ClockReading:
    """
    Read one clock off the warmest curve of a food.

    Parameters
    ----------
    clock
        The rule.
    hours, celsius
        Warmest place of the food over time. [h], [C]
    from_h
        When it last came out of the making, under control. [h]

    Returns
    -------
    reading
        Time above the limit adds up over every stretch and never runs back when the food is chilled again.

    Notes
    -----
    A clock of a single period ends where a second period would begin. A clock with a highest temperature ends where
    that is passed.
    """
    spans = list(spans_above(hours, celsius, clock.above_c, from_h))
    starts = spans[0][0] if spans else None
    used = sum(end - begin for begin, end in spans)
    expires: float | None = None
    if clock.single and spans:
        begin, end = spans[0]
        if end - begin >= clock.hours:
            expires = begin + clock.hours
        elif len(spans) > 1:
            expires = spans[1][0]
    else:
        left = clock.hours
        for begin, end in spans:
            if end - begin >= left:
                expires = begin + left
                break
            left -= end - begin
    broken = None if clock.highest_c is None else first_above(hours, celsius, clock.highest_c, from_h)
    if broken is not None:
        expires = broken if expires is None else min(expires, broken)
    holds = not (clock.needs_cold_start and starts is not None and starts <= from_h)
    return ClockReading(
        key=clock.key,
        title=clock.title,
        starts_h=starts,
        expires_h=expires,
        used_h=used,
        holds=holds,
        broken_h=broken,
        source=clock.source,
    )


def discard_h(readings: Sequence[ClockReading]) -> float | None:
    """
    When a food is thrown away: the latest end of the clocks that hold, or the earliest where none does. [h]

    None if a clock that holds outlasts the line.
    """
    held = [reading for reading in readings if reading.holds]
    if not held:
        ends = [reading.expires_h for reading in readings if reading.expires_h is not None]
        return min(ends) if ends else None
    if any(reading.expires_h is None for reading in held):
        return None
    return max(reading.expires_h for reading in held if reading.expires_h is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingReading:
    """
    One cooling rule on one curve.

    Attributes
    ----------
    key, title
        Which rule.
    allowed_h, took_h
        Time allowed, and time taken [h]; None where the curve never gets there.
    meets
        Whether it is met.
    source
        The rule.
    """

    key: str
    title: str
    allowed_h: float
    took_h: float | None
    meets: bool
    source: Source


def read_cooling(
    rule: CoolingRule, hours: Sequence[float], celsius: Sequence[float], from_h: float = 0.0
) -> CoolingReading | None:
    """
    Read one cooling rule off the warmest curve of a food; None where the food is never as warm as the rule begins.

    Parameters
    ----------
    rule
        From what to what within how long.
    hours, celsius
        Warmest place of the food. [h], [C]
    from_h
        When the food was made. [h]
    """
    begins: float | None
    warmest = max((t for h, t in zip(hours, celsius, strict=True) if h >= from_h), default=-99.0)
    if rule.applies_to == "cooked":
        if warmest <= rule.from_c:
            return None
        hot = first_above(hours, celsius, rule.from_c - 1e-9, from_h)
        begins = first_below(hours, celsius, rule.from_c, from_h if hot is None else hot)
    else:
        begins = from_h
    ends = None if begins is None else first_below(hours, celsius, rule.to_c, begins)
    took = None if begins is None or ends is None else ends - begins
    return CoolingReading(
        key=rule.key,
        title=rule.title,
        allowed_h=rule.hours,
        took_h=took,
        meets=took is not None and took <= rule.hours,
        source=rule.source,
    )
