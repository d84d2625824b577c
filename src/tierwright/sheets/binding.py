"""Which sheets a dossier is printed as, and in which order."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from tierwright.dossier import Dossier
from tierwright.sheets import (
    buying,
    coats,
    cover,
    cutting,
    finish,
    handover,
    keeping,
    label,
    mixing,
    ovens,
    pans,
    record,
    road,
    supports,
    syrups,
)
from tierwright.sheets.naming import Words, moment, paper_of, words_of
from tierwright.sheets.page import Book, Page, Paper, render_pdf

SHEETS: Final[tuple[Callable[[Dossier, Words], tuple[Page, ...]], ...]] = (
    cover.of,
    buying.of,
    mixing.of,
    syrups.of,
    pans.of,
    ovens.of,
    coats.of,
    finish.of,
    supports.of,
    label.of,
    road.of,
    keeping.of,
    cutting.of,
    label.card,
    handover.of,
    record.of,
)
"""Every sheet in the order of printing; a room adds its own by one module with an ``of`` and one template."""


def pages_of(dossier: Dossier, paper: Paper | None = None) -> tuple[Page, ...]:
    """Return every sheet of a dossier, templates at full size drawn for a paper; see ``book_of``."""
    words = words_of(dossier, paper)
    return tuple(page for sheet in SHEETS for page in sheet(dossier, words))


def book_of(dossier: Dossier, paper: Paper | None = None) -> Book:
    """
    Return what every page of a dossier has in common.

    Parameters
    ----------
    dossier
        The commission, worked through.
    paper
        Paper to print on; None takes US Letter where the law of the labels is American or Canadian, else A4.
    """
    commission = dossier.commission
    return Book(
        title=commission.title,
        cutting=moment(commission.cutting_at),
        dated=commission.day.day,
        paper=paper or paper_of(dossier),
        english=dossier.kitchen.units.english,
    )


def print_dossier(dossier: Dossier, paper: Paper | None = None) -> bytes:
    """
    Return a dossier as one tagged PDF.

    Parameters
    ----------
    dossier
        The commission, worked through.
    paper
        Paper to print on; see ``book_of``.

    Returns
    -------
    pdf
        The same bytes for the same dossier.

    Raises
    ------
    SheetRefused
        A page could not be set as an accessible PDF.
    """
    return render_pdf(pages_of(dossier, paper), book_of(dossier, paper))
