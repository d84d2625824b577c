"""Papers that no version holds, such as day sheets or the ledger; each is known by everything that is on it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, Final

from django.core.exceptions import ObjectDoesNotExist
from django.db import transaction
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.translation import gettext as _

from tierwright import __version__
from tierwright.sheets.page import Book, Page, render_pdf
from tierwright.web.access import zone_of
from tierwright.web.jobs.running import Work
from tierwright.web.models import Kitchen
from tierwright.web.prints.models import PrintedPaper

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

KEPT: Final = 16
"""Papers that a kitchen keeps; most are 20 to 200 kB, and setting one anew takes a second unless a book is long."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToPrint:
    """
    Something to print.

    Attributes
    ----------
    pages, book
        What is on it.
    name
        Its file's name, without the ending.
    """

    pages: tuple[Page, ...]
    book: Book
    name: str

    @property
    def mark(self) -> str:
        """What stands for everything on the paper, whoever asked for it."""
        pages = [[page.template, page.sheet, page.data] for page in self.pages]
        text = json.dumps([pages, asdict(self.book), __version__], sort_keys=True, default=str)
        return hashlib.sha256(text.encode()).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperKind:
    """
    One kind of paper.

    Attributes
    ----------
    key
        Its stable name.
    words
        What a person calls it.
    write
        Where the function is that writes its pages: takes the kitchen and what is asked, as plain JSON; read when it is
        first needed, not whenever Django starts.
    owner_only
        Whether helpers may neither have it nor see that it is printed.
    """

    key: str
    words: str | _StrPromise
    write: str
    owner_only: bool = False


_KINDS: dict[str, PaperKind] = {}


def offer_paper_kind(kind: PaperKind) -> None:
    """Make a kind of paper known; the same key again replaces it."""
    _KINDS[kind.key] = kind


def paper_kind(key: str) -> PaperKind:
    """Return a kind of paper by its key; KeyError for one that this program does not know."""
    return _KINDS[key]


def written(kitchen: Kitchen, key: str, asked: Mapping[str, Any]) -> ToPrint:
    """
    Write the pages of a paper as things stand now, by the kitchen's own clock.

    Raises
    ------
    django.core.exceptions.ObjectDoesNotExist
        What it tells of is not there, or is another kitchen's.
    """
    write: Callable[[Kitchen, Mapping[str, Any]], ToPrint] = import_string(paper_kind(key).write)
    with timezone.override(zone_of(kitchen)):
        return write(kitchen, asked)


def kept(kitchen: Kitchen, mark: str) -> PrintedPaper | None:
    """Return a paper where it is kept, without its bytes until they are asked for."""
    return PrintedPaper.objects.filter(kitchen=kitchen, mark=mark).defer("pdf").first()


def set_and_keep(kitchen: Kitchen, key: str, asked: Mapping[str, Any], paper: ToPrint) -> bytes:
    """Set a paper and keep it in the place of the oldest, unless what it tells has changed while it was set."""
    pdf = render_pdf(paper.pages, paper.book)
    with transaction.atomic():
        PrintedPaper.objects.update_or_create(
            kitchen=kitchen, mark=paper.mark, defaults={"pdf": pdf, "size": len(pdf), "name": paper.name}
        )
        ours = PrintedPaper.objects.filter(kitchen=kitchen)
        ours.filter(pk__in=list(ours.values_list("pk", flat=True)[KEPT:])).delete()
    # A person may have been erased meanwhile. Whoever erases after this line finds the paper and takes it along.
    if not _stands(kitchen.pk, key, asked, paper.mark):
        PrintedPaper.objects.filter(kitchen=kitchen, mark=paper.mark).delete()
    return pdf


def _stands(kitchen: int, key: str, asked: Mapping[str, Any], mark: str) -> bool:
    try:
        return written(Kitchen.objects.get(pk=kitchen), key, asked).mark == mark
    except ObjectDoesNotExist:
        return False


def print_paper(work: Work) -> dict[str, Any]:
    """Set a paper as long work; stopped, nothing is kept."""
    key, asked, kitchen = work.asked["paper"], work.asked["of"], work.job.kitchen
    if work.report(done=0, of=2, words=_("The pages are being written."), at_once=True):
        return {}
    paper = written(kitchen, key, asked)
    if work.report(done=1, of=2, words=_("The pages are written and are being set."), at_once=True):
        return {}
    set_and_keep(kitchen, key, asked, paper)
    return {"mark": paper.mark}
