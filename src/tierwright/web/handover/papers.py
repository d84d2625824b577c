"""What is printed for the venue, to go along, and of what happened there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import translation
from django.utils.text import slugify

from tierwright.dossier import Dossier
from tierwright.drawings import still
from tierwright.sheets import Page, book_of, words_of
from tierwright.sheets.handover import MARK_LENGTH, PICTURE_MM, PICTURE_SAID, loading_page, signing_page, venue_pages
from tierwright.sheets.naming import moment
from tierwright.sheets.set_up_log import Line, log_page
from tierwright.web.frame.desk import dossier_of
from tierwright.web.handover.entries import PAD, Did, said
from tierwright.web.handover.models import SetUpEntry
from tierwright.web.look.making import picture_for
from tierwright.web.models import Kitchen, Version
from tierwright.web.prints.papers import ToPrint


def _version(kitchen: Kitchen, asked: Mapping[str, Any]) -> Version:
    return Version.objects.select_related("commission").get(commission__kitchen=kitchen, pk=asked["version"])


def _paper(version: Version, dossier: Dossier, pages: Sequence[Page], name: str) -> ToPrint:
    title = slugify(version.commission.title) or "cake"
    return ToPrint(pages=tuple(pages), book=book_of(dossier), name=f"{title}-{name}")


def venue(kitchen: Kitchen, asked: Mapping[str, Any]) -> ToPrint:
    """Write the two pages for the venue, with the picture of this very look where one has been made."""
    version = _version(kitchen, asked)
    dossier = dossier_of(version)
    made = picture_for(version.commission, dossier)
    seen = None
    if made is not None:
        wide, high = PICTURE_MM
        seen = still(
            bytes(made.jpeg), size_px=(made.width, made.height), width_mm=wide, height_mm=high, said=PICTURE_SAID
        )
    return _paper(version, dossier, venue_pages(dossier, words_of(dossier), seen), "venue")


def along(kitchen: Kitchen, asked: Mapping[str, Any]) -> ToPrint:
    """Write the loading list with the repair kit, and the paper to sign."""
    version = _version(kitchen, asked)
    dossier = dossier_of(version)
    words = words_of(dossier)
    return _paper(version, dossier, (loading_page(dossier, words), signing_page(dossier, words)), "going-along")


def record(kitchen: Kitchen, asked: Mapping[str, Any]) -> ToPrint:
    """Write the set-up log on one page, as it stands."""
    version = _version(kitchen, asked)
    dossier = dossier_of(version)
    brief = dossier.commission
    zone = ZoneInfo(brief.day.timezone)
    pieces = dossier.handover.pieces_out
    found = SetUpEntry.objects.filter(commission=version.commission).select_related("photograph")
    # Printed sheets are in English, whatever language the pages have.
    with translation.override("en"):
        lines = tuple(_line(entry, zone, pieces) for entry in found)
        facts = (("commission", brief.title), ("planned handover", moment(brief.handover_at)))
    title = "Release on collection" if brief.travel.collected_by_client else "Set-up record"
    return _paper(version, dossier, (log_page(title, lines, facts=facts),), "record")


def _line(entry: SetUpEntry, zone: ZoneInfo, pieces: int) -> Line:
    shown = entry.photograph if entry.what == Did.PHOTOGRAPH else None
    return Line(
        at=moment(entry.done_at.astimezone(zone)),
        text=said(entry, pieces),
        version=entry.version,
        mark=entry.mark[:MARK_LENGTH],
        photograph=b"" if shown is None else bytes(shown.jpeg),
        size_px=(0, 0) if shown is None else (shown.width, shown.height),
        path=entry.value.get("path", ""),
        pad=PAD,
        says=tuple(entry.value.get("says", ())),
    )
