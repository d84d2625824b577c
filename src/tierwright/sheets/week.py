"""Day sheets: for each pair of hands and day what to do, in order, to tick off."""

from __future__ import annotations

from datetime import datetime

from tierwright.sheets.page import Book, Json, Page, Paper, render_pdf
from tierwright.sheets.show import caution_words
from tierwright.week import DayLine, DaySheet, TaskKind, WeekPlan, day_sheets
from tierwright.working import Basis, Caution, Source

SHEET = "week"
CAUTIONS = {
    TaskKind.CLEAN_DOWN: Caution(
        key="week.clean_down",
        text="Until the clean-down is over nothing without that allergen is worked on.",
        reason="The order of work keeps crumbs apart; it makes no cake free from anything.",
        source=Source(basis=Basis.COMMON_PRACTICE),
        sheet=SHEET,
        step="",
    ),
    TaskKind.LOAD: Caution(
        key="week.load",
        text="Weigh up the lift before loading; two people for what one cannot carry close to the body.",
        reason="A tiered cake is heavy and wide, and cannot be put down on the way. The supports sheet has its weight.",
        source=Source(basis=Basis.COMMON_PRACTICE),
        sheet=SHEET,
        step="",
    ),
    TaskKind.DRIVE: Caution(
        key="week.drive",
        text="The time on the road is an estimate: look at roads and weather before leaving.",
        reason="Nobody makes up time with a cake in the back.",
        source=Source(basis=Basis.COMMON_PRACTICE),
        sheet=SHEET,
        step="",
    ),
}
"""What is said on the sheet of whoever does such a task that day."""


def day_pages(plan: WeekPlan) -> tuple[Page, ...]:
    """Return one sheet for each pair of hands and day on which they work."""
    return tuple(_page(plan, sheet) for sheet in day_sheets(plan))


def _page(plan: WeekPlan, sheet: DaySheet) -> Page:
    kinds = {bar.kind for bar in plan.bars if sheet.hand in bar.hands and bar.begin.date() == sheet.day}
    day = f"{sheet.day:%A} {sheet.day.day} {sheet.day:%B}"
    hours, minutes = divmod(round(sheet.minutes), 60)
    data: dict[str, Json] = {
        "title": f"{sheet.hand}, {day}",
        "facts": [
            ["begins", f"{sheet.lines[0].begin:%H:%M}"],
            ["over at", _clock(max(line.end for line in sheet.lines), sheet)],
            ["work", f"{hours} h {minutes:02d} min"],
            ["tasks", str(len(sheet.lines))],
        ],
        "cautions": [caution_words(caution) for kind, caution in CAUTIONS.items() if kind in kinds],
        "lines": [_line(line, sheet) for line in sheet.lines],
        "meanwhile": [_line(line, sheet) for line in sheet.meanwhile],
    }
    return Page(template="days", sheet=f"day sheet of {sheet.hand}, {sheet.day:%a} {sheet.day.day}", data=data)


def _line(line: DayLine, sheet: DaySheet) -> dict[str, Json]:
    part = "" if line.part in (line.commission, "") or line.part in line.what else line.part
    return {
        "begin": _clock(line.begin, sheet),
        "end": _clock(line.end, sheet),
        "what": line.what,
        "part": part,
        "note": line.note,
        "commission": line.commission,
        "with": ", ".join(line.places),
    }


def _clock(moment: datetime, sheet: DaySheet) -> str:
    """Return a time, with its day where that is another than the sheet's."""
    return f"{moment:%H:%M}" if moment.date() == sheet.day else f"{moment:%a %H:%M}"


def print_week(plan: WeekPlan, paper: Paper = Paper.A4) -> bytes:
    """
    Return the day sheets of a week as one tagged PDF.

    Parameters
    ----------
    plan
        The week.
    paper
        Paper to print on.

    Returns
    -------
    pdf
        The same bytes for the same plan.
    """
    return render_pdf(day_pages(plan), week_book(plan, paper))


def week_book(plan: WeekPlan, paper: Paper = Paper.A4) -> Book:
    """Return what the day sheets of a week have in common."""
    first, last = plan.bars[0].begin, max(bar.end for bar in plan.bars)
    span = f"{first:%a} {first.day} {first:%b} to {last:%a} {last.day} {last:%b} {last.year}"
    return Book(
        title=f"Week of {plan.kitchen}", cutting=span, dated=first.date(), paper=paper, names=("kitchen", "days")
    )
