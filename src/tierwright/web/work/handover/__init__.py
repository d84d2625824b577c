"""Handover: what comes out, how it is taken apart, what is loaded, every date, and the record that is signed."""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from django.utils.translation import gettext_lazy as _

from tierwright.handover import Dated
from tierwright.sheets.handover import loading_page, venue_pages
from tierwright.web.dates import day_words
from tierwright.web.frame.desk import MOMENT, Desk
from tierwright.web.handover.entries import Did
from tierwright.web.handover.models import SetUpEntry
from tierwright.web.sheet import Sheet
from tierwright.web.work.handover.forms import parts

DAY = "D j M Y"


def _when(one: Dated) -> str:
    if one.begins is None:
        assert one.first_day is not None
        first = day_words(one.first_day, DAY)
        return (
            first
            if one.last_day in (None, one.first_day)
            else f"{first} – {day_words(one.last_day or one.first_day, DAY)}"
        )
    begins = one.begins.astimezone(ZoneInfo(one.begin_zone))
    if one.ends is None or one.ends <= one.begins:
        return day_words(begins, MOMENT)
    ends = one.ends.astimezone(ZoneInfo(one.end_zone or one.begin_zone))
    same = ends.date() == begins.date()
    return f"{day_words(begins, MOMENT)} – {day_words(ends, 'H:i' if same else MOMENT)}"


def show(desk: Desk) -> dict[str, Any]:
    """Return counts, steps, boxes, kit and dates, as the printed papers have them."""
    dossier, found = desk.dossier, desk.dossier.handover
    keep, cut = venue_pages(dossier, desk.words)
    loading = loading_page(dossier, desk.words)
    title = desk.brief.title
    return {
        "keep": dict(keep.data),
        "cut": dict(cut.data),
        "loading": dict(loading.data),
        "out": found.pieces_out,
        "dates": [(_when(one), one.title.removesuffix(f": {title}"), one.where, one.note) for one in found.dates],
        "collected": desk.brief.travel.collected_by_client,
    }


def signature(desk: Desk) -> tuple[str, str, int] | None:
    """Return who has signed for the cake, when, and for which version; None while nobody has."""
    signed = SetUpEntry.objects.filter(commission=desk.commission, what=Did.SIGNED).last()
    if signed is None:
        return None
    at = signed.done_at.astimezone(ZoneInfo(desk.brief.day.timezone))
    return str(signed.value.get("name", "")), day_words(at, MOMENT), signed.version


SHEET = Sheet(
    key="handover",
    title=_("Handover"),
    settles=_("What comes out of it and how many, how it is taken apart, what goes along, and who signs for it."),
    hangs=lambda moments: moments.handover,
    show=show,
    beside=signature,
    template="work/handover/sheet.html",
    parts=parts,
)
