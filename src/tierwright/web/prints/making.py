"""Setting the sheets of a version, finding those that have been set, and keeping the last few."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any, Final

from django.db import transaction
from django.utils.translation import gettext as _

from tierwright import __version__
from tierwright.dossier import Dossier
from tierwright.sheets import Page, book_of, render_pdf, sheets_to_print
from tierwright.web.access import Door
from tierwright.web.frame.desk import dossier_of
from tierwright.web.jobs.models import Job
from tierwright.web.jobs.running import Work
from tierwright.web.models import Version
from tierwright.web.prints.models import Part, PrintedSheets

KIND: Final = "prints.sheets"
KEPT: Final = 8
"""Printed files that a kitchen keeps; one is 1 to 2 MB, and printing anew takes seconds."""

Told = Callable[[int, int, str], bool]
"""Takes how far it is, of how far, and words; returns whether to stop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """
    Which file of a version is wanted.

    Attributes
    ----------
    part
        What of it.
    prices, health
        What whoever reads it may see.
    """

    part: Part
    prices: bool
    health: bool


def asked_by(door: Door, part: str) -> Asked:
    """Return the file that a person may have; anything but the working means the sheets to work from."""
    who = door.membership
    wanted = Part.WORKING if part == Part.WORKING else Part.SHEETS
    return Asked(part=wanted, prices=who.may_see_prices, health=who.may_see_health)


def printed(version: Version, asked: Asked) -> PrintedSheets | None:
    """Return the file where it is kept, without its bytes until they are asked for."""
    found = PrintedSheets.objects.filter(version=version, program=__version__, **asdict(asked))
    return found.defer("pdf").first()


def key_of(version: Version, asked: Asked) -> str:
    """Return what tells one printing from another."""
    return f"{version.pk}:{asked.part}:{asked.prices:d}{asked.health:d}:{__version__}"


def job_of(door: Door, version: Version, asked: Asked) -> Job | None:
    """Return the work that prints a file, where it has been asked for."""
    return Job.objects.filter(kitchen=door.kitchen, kind=KIND, key=key_of(version, asked)).first()


def print_now(version: Version, asked: Asked) -> bytes:
    """Set the sheets of a version here and now, and keep them."""
    pdf = _set(dossier_of(version), asked, lambda _done, _of, _words: False)
    assert pdf is not None
    _keep(version, asked, pdf)
    return pdf


def print_sheets(work: Work) -> dict[str, Any]:
    """Set the sheets of a version as long work; stopped, nothing is kept."""
    version = Version.objects.select_related("commission").get(
        commission__kitchen=work.job.kitchen, pk=work.asked["version"]
    )
    asked = Asked(part=Part(work.asked["part"]), prices=work.asked["prices"], health=work.asked["health"])

    def told(done: int, of: int, words: str) -> bool:
        return work.report(done=done, of=of, words=words, at_once=done in (0, of - 1))

    pdf = _set(dossier_of(version), asked, told)
    if pdf is None:
        return {}
    _keep(version, asked, pdf)
    return {"size": len(pdf)}


def _set(dossier: Dossier, asked: Asked, told: Told) -> bytes | None:
    sheets = sheets_to_print(dossier, prices=asked.prices, health=asked.health, record=asked.part == Part.WORKING)
    steps = len(sheets) + 1
    pages: list[Page] = []
    for done, sheet in enumerate(sheets):
        words = _("%(done)s of %(of)s sheets are written.") % {"done": done, "of": len(sheets)}
        if told(done, steps, words):
            return None
        pages += sheet()
    if told(len(sheets), steps, _("Every sheet is written; the pages are being set.")):
        return None
    return render_pdf(pages, book_of(dossier))


def _keep(version: Version, asked: Asked, pdf: bytes) -> None:
    """Keep a file in the place of the oldest, unless a person was erased from the version while it was made."""
    with transaction.atomic():
        now = Version.objects.select_for_update().defer("dossier").filter(pk=version.pk).first()
        if now is None or now.brief != version.brief:
            return
        PrintedSheets.objects.update_or_create(
            version=version, **asdict(asked), defaults={"pdf": pdf, "size": len(pdf), "program": __version__}
        )
        ours = PrintedSheets.objects.filter(version__commission__kitchen=version.commission.kitchen_id)
        PrintedSheets.objects.filter(pk__in=list(ours.values_list("pk", flat=True)[KEPT:])).delete()
