"""The set-up log on a tablet, and the papers and dates of a handover."""

from __future__ import annotations

from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import get_object_or_404, render
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from tierwright.handover import write_calendar
from tierwright.sheets.handover import MARK_LENGTH
from tierwright.units import TemperatureUnit
from tierwright.web.access import Door, member
from tierwright.web.arriving import entries_in, told, too_many
from tierwright.web.dates import day_words
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.handover.entries import MOST_AT_ONCE, PAD, Did, mark_of_version, said, take
from tierwright.web.handover.models import Photograph, SetUpEntry
from tierwright.web.prints.views import hand_out


def log_of(desk: Desk) -> list[dict[str, Any]]:
    """Return the log as a page shows it: moment, words, photograph, signature, and which version it was."""
    zone = ZoneInfo(desk.brief.day.timezone)
    pieces = desk.dossier.handover.pieces_out
    return [
        {
            "key": str(entry.key),
            "at": day_words(entry.done_at.astimezone(zone), "D j M, H:i"),
            "text": said(entry, pieces),
            "photograph": desk.url("set-up-photograph", entry=entry.key) if entry.what == Did.PHOTOGRAPH else "",
            "path": entry.value.get("path", "") if entry.what == Did.SIGNED else "",
            "version": entry.version,
            "mark": entry.mark[:MARK_LENGTH],
        }
        for entry in SetUpEntry.objects.filter(commission=desk.commission)
    ]


@require_safe
@member
def set_up(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Show the set-up log and the means to add to it."""
    desk = lay_out(door, commission)
    found, brief = desk.dossier.handover, desk.brief
    collected = brief.travel.collected_by_client
    context = {
        "desk": desk,
        "door": door,
        "log": log_of(desk),
        "found": found,
        "collected": collected,
        "receiver": brief.handing_over.collector if collected else brief.venue.file.receiver,
        "unit": "F" if desk.words.display.temperature is TemperatureUnit.F else "C",
        "mark": mark_of_version(desk.version)[:MARK_LENGTH],
        "pad": PAD,
        "said": {
            "arrived": _("Arrived at the venue"),
            "set-up": _("Set up"),
        },
    }
    return render(request, "handover/set_up.html", context)


@require_safe
@never_cache
@member
def set_up_state(request: HttpRequest, door: Door, commission: int) -> JsonResponse:
    """Say what the log holds, and hand out a fresh token for sending."""
    desk = lay_out(door, commission)
    return JsonResponse({"token": get_token(request), "version": desk.commission.head, "log": log_of(desk)})


@require_POST
@never_cache
@member
def set_up_entries(request: HttpRequest, door: Door, commission: int) -> JsonResponse:
    """Take entries from a tablet; each is answered with what became of it."""
    found = door.commission(commission)
    entries = entries_in(request.body, MOST_AT_ONCE)
    if entries is None:
        return too_many(MOST_AT_ONCE)
    outcomes = take(door, found, entries)
    return JsonResponse({"outcomes": told(outcomes), "version": found.head})


@require_safe
@member
def set_up_photograph(request: HttpRequest, door: Door, commission: int, entry: UUID) -> HttpResponse:
    """Hand out a photograph of the log."""
    found = get_object_or_404(Photograph, entry__commission=door.commission(commission), entry_id=entry)
    answer = HttpResponse(bytes(found.jpeg), content_type="image/jpeg")
    answer["Cache-Control"] = "private, max-age=31536000, immutable"
    return answer


@require_safe
@never_cache
@member
def set_up_pdf(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Hand out the set-up log on one page, as it stands."""
    return _hand_out(request, lay_out(door, commission), "handover.record", "set-up")


@require_safe
@member
def venue_papers(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Hand out the two pages for the venue, with the picture of this very look where one has been made."""
    return _hand_out(request, lay_out(door, commission), "handover.venue", "sheet", sheet="handover")


@require_safe
@member
def going_along(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Hand out the loading list with the repair kit, and the paper to sign."""
    return _hand_out(request, lay_out(door, commission), "handover.along", "sheet", sheet="handover")


def _hand_out(request: HttpRequest, desk: Desk, key: str, back: str, **named: str) -> HttpResponse:
    return hand_out(request, desk.door, key, {"version": desk.version.pk}, back=desk.url(back, **named))


@require_safe
@member
def dates(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Hand out every date of a commission as a calendar file; a later version's moves what an earlier one's wrote."""
    desk = lay_out(door, commission)
    content = write_calendar(
        desk.dossier.handover.dates,
        owner=f"kitchen {door.kitchen.pk} commission {desk.commission.pk}",
        name=desk.commission.title,
        stamp=desk.version.made_at.replace(microsecond=0),
        revision=desk.version.number,
    )
    answer = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{slugify(desk.commission.title) or "cake"}.ics"'
    return answer
