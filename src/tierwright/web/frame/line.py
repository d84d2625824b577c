"""The line: one commission from first enquiry to last slice, with its sheets hung at the time of their work.

Most of the work falls into the last days, so time is drawn on a logarithmic scale that is read backward from the last
slice: a week before it has as much room as the months before that.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from math import log
from typing import Final

from django.utils.translation import gettext as _

from tierwright.web.dates import day_words
from tierwright.web.sheet import Moments, Sheet, Words
from tierwright.working import Question, Severity

COLUMNS: Final = 48
"""The line is this many columns wide; the style sheet has a class for each."""
KNEE_H: Final = 6.0
"""Time before the last slice within which the scale is nearly even. [h] Chosen by eye."""


def share_along(moment: datetime, moments: Moments) -> float:
    """
    Return how far along the line a moment stands, 0 at the first enquiry and 1 at the last slice.

    A moment outside the line stands at its end.
    """
    whole_h = max(1.0, (moments.last_slice - moments.enquired) / timedelta(hours=1))
    left_h = min(whole_h, max(0.0, (moments.last_slice - moment) / timedelta(hours=1)))
    return 1.0 - log(1 + left_h / KNEE_H) / log(1 + whole_h / KNEE_H)


class State(StrEnum):
    """What a sheet needs, said by a word and a shape."""

    DANGER = "danger"
    STOP = "stop"
    ASK = "ask"
    CLEAR = "clear"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """A sheet on the line."""

    sheet: Sheet
    column: int
    when: datetime
    day: str
    current: bool
    past: bool
    state: State
    questions: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A mark on the axis with its words; ``kind`` is fixed, now or day."""

    column: int
    words: Words
    kind: str
    day: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """The whole line: sheets in the order of their work, the marks of the axis, and the present."""

    hung: tuple[Hung, ...]
    ticks: tuple[Tick, ...]
    now: Tick
    over: bool


def hang(
    moments: Moments, sheets: Iterable[Sheet], questions: Iterable[Question], now: datetime, current: str = ""
) -> Line:
    """Hang the sheets of a commission on its line."""
    asked = list(questions)
    hung = sorted((_hung(sheet, moments, asked, now, current) for sheet in sheets), key=lambda h: (h.when, h.column))
    local = now.astimezone(moments.cutting.tzinfo)
    return Line(
        hung=tuple(hung),
        ticks=_ticks(moments),
        now=Tick(column=column_of(now, moments), words=_("now"), kind="now", day=day_words(local, "j M")),
        over=now > moments.last_slice,
    )


def present(moments: Moments, sheets: Iterable[Sheet], now: datetime) -> tuple[Hashable, ...]:
    """Return everything that the present decides about a line: as long as this stays, so does the whole line."""
    past = sum(1 for sheet in sheets if sheet.hangs(moments) < now)
    day = now.astimezone(moments.cutting.tzinfo).date()
    return past, column_of(now, moments), day, now > moments.last_slice


def _hung(sheet: Sheet, moments: Moments, questions: list[Question], now: datetime, current: str) -> Hung:
    when = sheet.hangs(moments)
    mine = [question for question in questions if question.sheet == sheet.key]
    return Hung(
        sheet=sheet,
        column=min(column_of(when, moments), COLUMNS - 6),
        when=when,
        day=day_words(when, "D j M"),
        current=sheet.key == current,
        past=when < now,
        state=state_of(max((question.severity for question in mine), default=Severity.NOTE)),
        questions=sum(1 for question in mine if question.severity >= Severity.ASK),
    )


def state_of(severity: int) -> State:
    """Return the state that the gravest open question leaves."""
    if severity >= Severity.DANGER:
        return State.DANGER
    if severity >= Severity.STOP:
        return State.STOP
    return State.ASK if severity >= Severity.ASK else State.CLEAR


def column_of(moment: datetime, moments: Moments) -> int:
    """Return the column of the line that a moment stands in, from 1. [-]"""
    return 1 + min(COLUMNS - 1, int(share_along(moment, moments) * COLUMNS))


def _ticks(moments: Moments) -> tuple[Tick, ...]:
    fixed = [
        (moments.enquired, _("first enquiry")),
        (moments.handover, _("handover")),
        (moments.last_slice, _("last slice")),
    ]
    ticks = [
        Tick(column=column_of(at, moments), words=words, kind="fixed", day=day_words(at, "j M")) for at, words in fixed
    ]
    taken = {tick.column for tick in ticks}
    for days, words in (
        (91, _("3 months")),
        (28, _("4 weeks")),
        (14, _("2 weeks")),
        (7, _("a week")),
        (3, _("3 days")),
        (1, _("a day")),
    ):
        at = moments.handover - timedelta(days=days)
        column = column_of(at, moments)
        # Marks need room for their words.
        if at > moments.enquired and all(abs(column - other) >= 4 for other in taken):
            taken.add(column)
            ticks.append(Tick(column=column, words=words, kind="day", day=day_words(at, "j M")))
    return tuple(sorted(ticks, key=lambda tick: tick.column))
