"""Which sheets a dossier is printed as, and in which order."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
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
from tierwright.sheets.discreet import discreet
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

RECORD: Final = frozenset({record.of})
"""Sheets for the desk: every figure's working, and what was assumed. They are printed by themselves."""


OF_HEALTH: Final = frozenset({label.of, label.card, handover.of})
"""Sheets that say what guests react to."""


def pages_of(
    dossier: Dossier, paper: Paper | None = None, *, prices: bool = True, health: bool = True, record: bool = False
) -> tuple[Page, ...]:
    """
    Return the sheets of a dossier, templates at full size drawn for a paper; see ``book_of``.

    Parameters
    ----------
    dossier, paper
        See ``book_of``.
    prices, health
        Whether whoever reads them may see prices and wages, and what guests react to.
    record
        The working of every figure and what was assumed, instead of the sheets to work from.
    """
    sheets = sheets_to_print(dossier, paper, prices=prices, health=health, record=record)
    return tuple(page for sheet in sheets for page in sheet())


def sheets_to_print(
    dossier: Dossier, paper: Paper | None = None, *, prices: bool = True, health: bool = True, record: bool = False
) -> tuple[Callable[[], tuple[Page, ...]], ...]:
    """
    Return the sheets of a dossier, each still to be written by a call, for those who say how far they are.

    Parameters
    ----------
    dossier, paper, prices, health, record
        See ``pages_of``.
    """
    read = dossier if prices and health else discreet(dossier, prices=prices, health=health)
    words = words_of(read, paper)
    sheets = [sheet for sheet in SHEETS if (sheet in RECORD) == record and (health or sheet not in OF_HEALTH)]
    return tuple(partial(sheet, read, words) for sheet in sheets)


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


def print_dossier(
    dossier: Dossier, paper: Paper | None = None, *, prices: bool = True, health: bool = True, record: bool = False
) -> bytes:
    """
    Return a dossier as one tagged PDF.

    Parameters
    ----------
    dossier
        The commission, worked through.
    paper
        Paper to print on; see ``book_of``.
    prices, health, record
        What whoever reads it may see, and which part of it; see ``pages_of``.

    Returns
    -------
    pdf
        The same bytes for the same dossier.

    Raises
    ------
    SheetRefused
        A page could not be set as an accessible PDF.
    """
    pages = pages_of(dossier, paper, prices=prices, health=health, record=record)
    return render_pdf(pages, book_of(dossier, paper))
