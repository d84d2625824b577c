"""The board: every commission of a kitchen as the same line, stacked by date."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from math import log
from typing import Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from tierwright.web.access import Door, member, owner
from tierwright.web.frame.desk import moments_of
from tierwright.web.models import Commission, Draft
from tierwright.web.sheet import Moments, sheets

ROWS: Final = 20
WIDTH: Final = 400.0
HORIZON: Final = timedelta(days=365)
KNEE: Final = timedelta(days=7)
SHOWN: Final = ("coming", "past", "put-away")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One commission on the board."""

    commission: Commission
    url: str
    day: str
    drawn: SafeString


def across(ahead: timedelta) -> float:
    """
    Return how far across the board a moment stands that is some time ahead, 0 now and 1 in a year.

    The scale is logarithmic: the coming week has as much room as the months after it.
    """
    share = log(1 + max(timedelta(0), ahead) / KNEE) / log(1 + HORIZON / KNEE)
    return min(1.0, share)


@lru_cache(maxsize=8)
def axis(language: str) -> tuple[tuple[float, str], ...]:
    """Return the marks of the board's axis, in a language: how far across, and the words."""
    marks = ((0, _("now")), (7, _("a week")), (30, _("a month")), (91, _("3 months")), (182, _("6 months")))
    return tuple((WIDTH * across(timedelta(days=days)), words) for days, words in marks)


def row_drawing(moments: Moments, now: datetime) -> SafeString:
    """
    Draw one commission's line on the board: its days of work as ticks, handover and last slice as a filled mark.

    The drawing repeats what the row says in words, so it is hidden from those who read by ear.
    """
    end = WIDTH * across(moments.last_slice - now)
    ticks = "".join(
        f'<line x1="{x:.0f}" x2="{x:.0f}" y1="6" y2="14"/>'
        for x in sorted({round(WIDTH * across(s.hangs(moments) - now)) for s in sheets().values()})
        if 0 < x < end
    )
    mark = f'<polygon points="{end - 5:.0f},10 {end:.0f},4 {end + 5:.0f},10 {end:.0f},16" fill="currentColor"/>'
    return mark_safe(
        f'<svg class="rowline" viewBox="-6 0 {WIDTH + 12:.0f} 20" aria-hidden="true" stroke="currentColor" fill="none">'
        f'<line x1="0" x2="{end:.0f}" y1="10" y2="10"/>{ticks}{mark}</svg>'
    )


@require_safe
@member
def board(request: HttpRequest, door: Door) -> HttpResponse:
    """Show the kitchen's commissions, the next to be cut first."""
    now = timezone.now()
    shown = request.GET.get("show", "coming")
    shown = shown if shown in SHOWN else "coming"
    everything = Commission.objects.filter(kitchen=door.kitchen)
    if shown == "coming":
        found = everything.filter(put_away_at=None, last_slice_at__gte=now).order_by("last_slice_at", "pk")
    elif shown == "past":
        found = everything.filter(put_away_at=None, last_slice_at__lt=now).order_by("-last_slice_at", "-pk")
    else:
        found = everything.exclude(put_away_at=None).order_by("-put_away_at", "-pk")
    start = _start(request)
    # One more than is shown says whether there is a next page, without counting them all.
    listed = list(found[start : start + ROWS + 1])
    first = reverse("whole", kwargs={"kitchen": door.kitchen.pk, "commission": 0})
    rows = [_row(commission, first, now) for commission in listed[:ROWS]]
    enquiry = None
    if door.membership.owns:
        enquiry = Draft.objects.filter(kitchen=door.kitchen, user=door.user, commission=None, part="enquiry").first()
    return render(
        request,
        "frame/board.html",
        {
            "door": door,
            "rows": rows,
            "shown": shown,
            "axis": axis(door.kitchen.language),
            "start": start,
            "next": start + ROWS if len(listed) > ROWS else 0,
            "previous": max(0, start - ROWS),
            "enquiry": enquiry,
        },
    )


def _start(request: HttpRequest) -> int:
    text = request.GET.get("from", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 7 else 0


def _row(commission: Commission, first: str, now: datetime) -> Row:
    moments = moments_of(commission)
    return Row(
        commission=commission,
        url=first.replace("/c/0/", f"/c/{commission.pk}/"),
        day=date_format(moments.cutting, "D j M Y"),
        drawn=row_drawing(moments, now),
    )


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
