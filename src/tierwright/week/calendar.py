"""Clocks and steps: local wall time on one side, the planner's grid on the other; converted here and nowhere else."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from tierwright.brief.kitchen import Hand
from tierwright.week.model import STEP_MIN, Rest
from tierwright.week.norms import limits

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
USUAL_HOURS = tuple((day, time(8), time(18)) for day in DAYS[:6])
"""Where a kitchen gives no hours: Monday to Saturday, eight to six."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """
    The planner's clock.

    Attributes
    ----------
    origin
        The instant of step 0, in UTC, so that a change of clocks neither adds nor loses a step.
    timezone
        The kitchen's zone.
    horizon
        Number of steps. [step]
    """

    origin: datetime
    timezone: str
    horizon: int

    def step(self, moment: datetime, *, up: bool = False) -> int:
        """Return the step of an instant, rounded down unless ``up``."""
        seconds = (moment.astimezone(UTC) - self.origin).total_seconds()
        steps, rest = divmod(seconds, STEP_MIN * 60)
        return int(steps) + (1 if up and rest else 0)

    def moment(self, step: int) -> datetime:
        """Return the local time of a step, with its own offset from UTC."""
        return (self.origin + timedelta(minutes=STEP_MIN * step)).astimezone(ZoneInfo(self.timezone))


def grid(first: date, last: date, timezone: str) -> Grid:
    """Return the grid from midnight before ``first`` to midnight after ``last``, by the kitchen's clock."""
    zone = ZoneInfo(timezone)
    origin = datetime.combine(first, time(), tzinfo=zone).astimezone(UTC)
    end = datetime.combine(last + timedelta(days=1), time(), tzinfo=zone).astimezone(UTC)
    return Grid(origin=origin, timezone=timezone, horizon=int((end - origin).total_seconds() // (STEP_MIN * 60)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """A time at which somebody is not there: a day off, another duty, ill."""

    hand: str
    begin: datetime
    end: datetime


def openings(hand: Hand, clock: Grid, away: tuple[Away, ...] = ()) -> tuple[tuple[int, int], ...]:
    """Return the stretches that a person works, in order and without overlap. [step]"""
    hours = tuple((h.day, h.begin, h.end) for h in hand.hours) or USUAL_HOURS
    zone = ZoneInfo(clock.timezone)
    day = clock.moment(0).date()
    last = clock.moment(clock.horizon).date()
    found: list[tuple[int, int]] = []
    while day <= last:
        for name, begin, end in hours:
            if name != DAYS[day.weekday()]:
                continue
            until = day if end > begin else day + timedelta(days=1)  # a shift may pass midnight
            a = clock.step(datetime.combine(day, begin, tzinfo=zone), up=True)
            b = clock.step(datetime.combine(until, end, tzinfo=zone))
            a, b = max(0, a), min(clock.horizon, b)
            if b > a:
                found.append((a, b))
        day += timedelta(days=1)
    for off in away:
        if off.hand == hand.name:
            found = _without(found, clock.step(off.begin), clock.step(off.end, up=True))
    return _joined(found)


def _without(spells: list[tuple[int, int]], begin: int, end: int) -> list[tuple[int, int]]:
    left: list[tuple[int, int]] = []
    for a, b in spells:
        left += [(x, y) for x, y in ((a, min(b, begin)), (max(a, end), b)) if y > x]
    return left


def _joined(spells: list[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    joined: list[tuple[int, int]] = []
    for a, b in sorted(spells):
        if joined and a <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(b, joined[-1][1]))
        else:
            joined.append((a, b))
    return tuple(joined)


def rests(spells: tuple[tuple[int, int], ...], horizon: int, over_min: float) -> tuple[Rest, ...]:
    """
    Turn working stretches into the rests between them.

    Parameters
    ----------
    spells
        Working stretches. [step]
    horizon
        End of the grid. [step]
    over_min
        How long work may run on after its end. [min]
    """
    over = int(over_min // STEP_MIN)
    night = int(limits()["night_rest"].minutes // STEP_MIN)
    edges = [(0, spells[0][0])] if spells else [(0, horizon)]
    edges += [(a[1], b[0]) for a, b in itertools.pairwise(spells)]
    if spells:
        edges.append((spells[-1][1], horizon))
    found = []
    for number, (begin, end) in enumerate(edges):
        if end <= begin:
            continue
        least = min(end - begin, night)
        late = min(over, end - begin - least) if number and end < horizon else min(over, end - begin) if number else 0
        # The last rest runs past the horizon, so that the night after it is whole anyway.
        found.append(Rest(start=begin, end=end, late=max(0, late), least=least if end < horizon and number else 0))
    return tuple(found)
