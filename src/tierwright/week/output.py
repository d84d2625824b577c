"""The week for other programs and for hands: JSON, CSV, a calendar, and day sheets as plain data."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from tierwright.handover import Dated, write_calendar
from tierwright.week.model import TaskKind
from tierwright.week.plan import Bar, WeekPlan
from tierwright.words import as_cell

CSV_HEAD = ("begin", "end", "minutes", "commission", "kind", "task", "part", "hands", "places")


@lru_cache(maxsize=1)
def _adapter() -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter(WeekPlan)


def to_json(week: WeekPlan) -> bytes:
    """Write a plan as JSON; the same plan gives the same bytes."""
    return bytes(_adapter().dump_json(week))


def from_json(text: bytes | str) -> WeekPlan:
    """Read a plan back; ``from_json(to_json(plan)) == plan``."""
    plan: WeekPlan = _adapter().validate_json(text)
    return plan


def to_csv(week: WeekPlan) -> str:
    """Write every task as a line, times with their offset from UTC (RFC 4180, ISO 8601)."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(CSV_HEAD)
    for bar in week.bars:
        writer.writerow(
            (
                bar.begin.isoformat(), bar.end.isoformat(), int((bar.end - bar.begin).total_seconds() // 60),
                as_cell(bar.commission), bar.kind.value, as_cell(bar.label), as_cell(bar.part),
                as_cell(", ".join(bar.hands)),
                as_cell(", ".join(bar.places)),
            )
        )  # fmt: skip
    return out.getvalue()


def to_calendar(week: WeekPlan, hand: str | None = None) -> bytes:
    """
    Write a calendar file (RFC 5545) of the work of all hands or of one.

    Parameters
    ----------
    week
        The plan.
    hand
        Only this person's tasks.

    Returns
    -------
    calendar
        Times stand by the kitchen's clock, its changes beside them, so that none can shift in any reader.
    """
    zone = week.clock.timezone
    dates = (
        Dated(
            key=bar.task,
            title=f"{bar.label}: {bar.commission}" if bar.commission else bar.label,
            begins=bar.begin,
            ends=bar.end,
            begin_zone=zone,
            end_zone=zone,
            note="\n".join(
                line
                for line in (
                    f"Who: {', '.join(bar.hands)}" if bar.hands else "",
                    f"With: {', '.join(bar.places)}" if bar.places else "",
                    bar.part,
                    bar.note,
                )
                if line
            ),
            busy=True,
        )
        for bar in week.bars
        if (bar.hands if hand is None else hand in bar.hands)
    )
    return write_calendar(
        dates, owner=week.kitchen, name=f"Week of {week.kitchen}", stamp=week.clock.origin, product="Week"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLine:
    """One line of a day sheet: from when to when, what, for which commission, with what, and what to mind."""

    begin: datetime
    end: datetime
    what: str
    commission: str
    part: str
    places: tuple[str, ...]
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DaySheet:
    """
    One day of one pair of hands.

    Attributes
    ----------
    hand, day
        Whose, and which day by the kitchen's clock.
    lines
        Work in order.
    minutes
        Work in all, breaks left out. [min]
    meanwhile
        What goes on by itself that day: bakes, thawing.
    """

    hand: str
    day: date
    lines: tuple[DayLine, ...]
    minutes: float
    meanwhile: tuple[DayLine, ...]


def _line(bar: Bar) -> DayLine:
    return DayLine(
        begin=bar.begin, end=bar.end, what=bar.label, commission=bar.commission, part=bar.part, places=bar.places,
        note=bar.note,
    )  # fmt: skip


def day_sheets(week: WeekPlan) -> tuple[DaySheet, ...]:
    """Sort the plan into one sheet for each pair of hands and day; days without work are left out."""
    hands = list(dict.fromkeys(name for crew in week.problem.resources for name in crew.names))
    days = sorted({bar.begin.date() for bar in week.bars})
    found = []
    for day in days:
        alone = tuple(_line(bar) for bar in week.bars if not bar.hands and bar.begin.date() <= day <= bar.end.date())
        for hand in hands:
            own = [bar for bar in week.bars if hand in bar.hands and bar.begin.date() == day]
            work = [bar for bar in own if bar.kind is not TaskKind.BREAK]
            if not work:
                continue
            found.append(
                DaySheet(
                    hand=hand, day=day, lines=tuple(_line(bar) for bar in own), meanwhile=alone,
                    minutes=sum((bar.end - bar.begin).total_seconds() for bar in work) / 60.0,
                )
            )  # fmt: skip
    return tuple(found)
