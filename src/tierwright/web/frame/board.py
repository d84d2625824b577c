"""The board: every commission of a kitchen as the same line, stacked by date."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from math import log
from typing import Any, Final
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.db import connection
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.html import escape
from django.utils.safestring import mark_safe
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from tierwright.web.access import Door, member, owner
from tierwright.web.asked import rows
from tierwright.web.dates import day_words
from tierwright.web.models import Commission, Draft
from tierwright.web.sheet import Moments, sheets
from tierwright.web.templatetags.board import severity_mark, severity_words
from tierwright.web.whole import whole

ROWS: Final = 20
WIDTH: Final = 400.0
HORIZON: Final = timedelta(days=365)
KNEE: Final = timedelta(days=7)
SHOWN: Final = ("coming", "past", "put-away")


def across(ahead: timedelta) -> float:
    """
    Return how far across the board a moment stands that is some time ahead, 0 now and 1 in a year.

    The scale is logarithmic: the coming week has as much room as the months after it.
    """
    share = log(1 + max(timedelta(0), ahead) / KNEE) / log(1 + HORIZON / KNEE)
    return min(1.0, share)


@lru_cache(maxsize=8)
def axis(language: str) -> tuple[tuple[str, str], ...]:
    """Return the marks of the board's axis, in a language: how far across, as written in a drawing, and the words."""
    marks = ((0, _("now")), (7, _("a week")), (30, _("a month")), (91, _("3 months")), (182, _("6 months")))
    return tuple((f"{WIDTH * across(timedelta(days=days)):.0f}", words) for days, words in marks)


def row_drawing(moments: Moments, now: datetime) -> str:
    """
    Draw one commission's line on the board: its days of work as ticks, handover and last slice as a filled mark.

    The drawing repeats what the row says in words, so it is hidden from those who read by ear.
    """
    end = round(WIDTH * across(moments.last_slice - now))
    marks = {round(WIDTH * across(sheet.hangs(moments) - now)) for sheet in sheets().values()}
    ticks = "".join(f"M{x} 6V14" for x in sorted(marks) if 0 < x < end)
    return (
        f'<svg class="rowline" viewBox="-6 0 {WIDTH + 12:.0f} 20" aria-hidden="true" stroke="currentColor" fill="none">'
        f'<path d="M0 10H{end}{ticks}"/>'
        f'<path d="M{end - 5} 10L{end} 4L{end + 5} 10L{end} 16Z" fill="currentColor"/></svg>'
    )


COLUMNS: Final = (
    "id", "title", "portions", "questions", "gravest", "timezone", "enquired_at", "handover_at", "cutting_at",
    "last_slice_at",
)  # fmt: skip
SELECTED: Final = 'SELECT "{}" FROM "{}" WHERE kitchen_id = %s AND'.format(
    '", "'.join(COLUMNS), Commission._meta.db_table
)
LISTED: Final = {
    "coming": "put_away_at IS NULL AND last_slice_at >= %s ORDER BY last_slice_at, id",
    "past": "put_away_at IS NULL AND last_slice_at < %s ORDER BY last_slice_at DESC, id DESC",
    "put-away": "put_away_at IS NOT NULL ORDER BY put_away_at DESC, id DESC",
}
"""Which commissions of a kitchen are shown at a moment, and in which order."""
HALF_WRITTEN: Final = (
    f'SELECT 1 FROM "{Draft._meta.db_table}" '
    "WHERE kitchen_id = %s AND user_id = %s AND commission_id IS NULL AND part = 'enquiry' LIMIT 1"
)


def _aware(moment: datetime) -> datetime:
    """Return a moment as Django has it: SQLite keeps those of UTC without saying so."""
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


@lru_cache(maxsize=4096)
def _day(day: date, language: str) -> str:
    return day_words(day, "D j M Y")


@lru_cache(maxsize=4096)
def _row(values: tuple[Any, ...], first: str, shown: str, quarter: datetime, language: str) -> tuple[str, str]:
    """
    Return one row's markup before its last cell, and what stands in that: its line, where the commission is coming.

    Written without a template, which a long list would spend four times as long on, and remembered: in a quarter of an
    hour nothing moves by as much as a hair on the line. Every word of a person's is escaped.
    """
    found = dict(zip(COLUMNS, values, strict=True))
    found |= {name: _aware(value) for name, value in found.items() if name.endswith("_at")}
    cutting = found["cutting_at"].astimezone(ZoneInfo(found["timezone"]))
    gravest, questions = found["gravest"], found["questions"]
    along = ""
    if shown == "coming":
        moments = Moments(
            enquired=found["enquired_at"],
            handover=found["handover_at"],
            cutting=found["cutting_at"],
            last_slice=found["last_slice_at"],
        )
        along = row_drawing(moments, quarter)
    open_ones = f" ({questions})" if questions else ""
    return (
        f'<tr><td class="day">{escape(_day(cutting.date(), language))}</td>'
        f'<th scope="row"><a href="{_at(first, found["id"])}">{escape(found["title"])}</a></th>'
        f'<td class="n">{found["portions"]}</td>'
        f'<td><i class="mark {severity_mark(gravest)}"></i> {escape(severity_words(gravest))}{open_ones}</td>'
    ), along


def _at(address: str, commission: int) -> str:
    """Return the address of a commission, from that of one without a number."""
    return address.replace("/c/0/", f"/c/{commission}/")


def _rows(listed: list[tuple[Any, ...]], door: Door, shown: str, now: datetime, request: HttpRequest) -> str:
    """Return the markup of the rows of one answer."""
    nobody = {"kitchen": door.kitchen.pk, "commission": 0}
    first, language = reverse("whole", kwargs=nobody), get_language() or ""
    quarter = now.replace(minute=now.minute // 15 * 15, second=0, microsecond=0)
    back, back_form = reverse("bring-back", kwargs=nobody), ""
    if shown == "put-away" and door.membership.owns:
        token = f'<input type="hidden" name="csrfmiddlewaretoken" value="{get_token(request)}">'
        back_form = f'{token}<button class="link">{escape(_("Bring back"))}</button></form>'
    written = []
    for values in listed:
        row, along = _row(values, first, shown, quarter, language)
        if back_form:
            along = f'<form method="post" action="{_at(back, values[0])}">{back_form}'
        written.append(f'{row}<td class="along">{along}</td></tr>\n')
    return "".join(written)


@require_safe
@member
def board(request: HttpRequest, door: Door) -> HttpResponse:
    """Show the kitchen's commissions, the next to be cut first."""
    now = timezone.now()
    shown = request.GET.get("show", "coming")
    shown = shown if shown in SHOWN else "coming"
    start = _start(request)
    # One more than is shown says whether there is a next page, without counting them all.
    which = LISTED[shown]
    moment = (connection.ops.adapt_datetimefield_value(now),) if "%s" in which else ()
    listed = rows(f"{SELECTED} {which} LIMIT %s OFFSET %s", door.kitchen.pk, *moment, ROWS + 1, start)
    written = mark_safe(_rows(listed[:ROWS], door, shown, now, request))
    enquiry = False
    if door.membership.owns:
        enquiry = bool(rows(HALF_WRITTEN, door.kitchen.pk, door.user.pk))
    return render(
        request,
        "frame/board.html",
        {
            "door": door,
            "rows": written,
            "shown": shown,
            "axis": axis(door.kitchen.language),
            "start": start,
            "next": start + ROWS if len(listed) > ROWS else 0,
            "previous": max(0, start - ROWS),
            "enquiry": enquiry,
        },
    )


def _start(request: HttpRequest) -> int:
    return whole(request.GET.get("from"), 6) or 0


@require_POST
@owner
def put_away(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Take a commission off the board; nothing is deleted, and it can be brought back."""
    found = door.commission(commission)
    found.put_away_at = timezone.now()
    found.save(update_fields=["put_away_at"])
    door.note("put away", found.title, found)
    messages.success(
        request,
        _("%(title)s is put away.") % {"title": found.title},
        extra_tags=f"undo {reverse('bring-back', kwargs={'kitchen': door.kitchen.pk, 'commission': found.pk})}",
    )
    return HttpResponseRedirect(reverse("board", kwargs={"kitchen": door.kitchen.pk}))


@require_POST
@owner
def bring_back(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Bring a commission back to the board."""
    found = door.commission(commission)
    found.put_away_at = None
    found.save(update_fields=["put_away_at"])
    door.note("brought back", found.title, found)
    messages.success(request, _("%(title)s is back on the board.") % {"title": found.title})
    return HttpResponseRedirect(reverse("whole", kwargs={"kitchen": door.kitchen.pk, "commission": found.pk}))
