"""What a sheet of work is, and how the frame finds it.

A room brings its sheet by one folder under ``work/``: an ``__init__.py`` with a ``SHEET``, and a ``sheet.html``.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from functools import lru_cache
from importlib import import_module
from pkgutil import iter_modules
from typing import TYPE_CHECKING, Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

if TYPE_CHECKING:
    from tierwright.dossier import Dossier
    from tierwright.drawings import Drawing
    from tierwright.web.frame.desk import Desk

Words = str | Promise


class Box(StrEnum):
    """What a field is typed into."""

    LINE = "line"
    AREA = "area"
    LINES = "lines"  # one entry a line
    WHOLE = "whole"
    DATE = "date"
    CLOCK = "clock"
    CHOICE = "choice"
    TICK = "tick"


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """
    One field of a form, by its path in the brief.

    Attributes
    ----------
    path
        Such as ``guests.invited``; within rows, the rest of the path.
    label, hint
        What it is called, and an example or a reason to ask.
    box
        What it is typed into.
    choices
        Values and their words, for a choice.
    suggestions
        Values that are offered beside free text.
    say
        Writes one entry of a list as a line, where the brief may hold it as a table.
    """

    path: str
    label: Words
    box: Box = Box.LINE
    hint: Words = ""
    choices: tuple[tuple[str, Words], ...] = ()
    suggestions: tuple[str, ...] = ()
    say: Callable[[Any], str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """
    Fields that repeat, row by row.

    Attributes
    ----------
    path
        The list in the brief, such as ``cake.flavours``.
    label, hint
        What the list is called, and a reason to ask.
    row
        What one row is called, for "Add a ...".
    fields
        The fields of a row.
    most
        The most rows that the brief takes.
    """

    path: str
    label: Words
    row: Words
    fields: tuple[Field, ...]
    most: int
    hint: Words = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """
    A form: some fields of the brief that are changed together.

    ``script`` helps on its page, which works without. It is ``listed`` at the top of its sheet, or reached from within.
    """

    key: str
    title: Words
    items: tuple[Field | Rows, ...]
    hint: Words = ""
    health: bool = False
    prices: bool = False
    script: str = ""
    listed: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments:
    """The fixed moments of a commission, by which its sheets hang on the line."""

    enquired: datetime
    handover: datetime
    cutting: datetime
    last_slice: datetime


def before_handover(**span: float) -> Callable[[Moments], datetime]:
    """Return the moment some days or hours before the handover, though never before the enquiry."""
    ahead = timedelta(**span)
    return lambda moments: max(moments.enquired, moments.handover - ahead)


def no_parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return no forms: a sheet that only shows."""
    return ()


def nothing_beside(desk: Desk) -> Hashable:
    """Return nothing: a sheet that shows its version alone."""
    return None


def nothing_more(desk: Desk) -> dict[str, Any]:
    """Return nothing beyond what every sheet shows."""
    return {}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """
    A sheet of work.

    Attributes
    ----------
    key
        Its name in addresses, figures and questions: ``tiers``, ``formulas``, ...
    title
        What it is called on the line.
    settles
        One sentence: what it settles.
    hangs
        When its work happens.
    show
        What its own template needs, from the version on the desk alone: the page is not made anew while that stays.
    beside
        What its template shows besides as ``beside``, which is asked anew each time, such as who has signed.
    template
        Its own template, or an empty string for a sheet of figures alone.
    parts
        Its forms, for a brief.
    redrawn
        What is drawn anew beside a change on one of its forms, with a prefix for its ids; None for the cake itself.
    prices, health
        Whether it shows prices or clients' health data, and is closed to a helper who may not see them.
    """

    key: str
    title: Words
    settles: Words
    hangs: Callable[[Moments], datetime]
    show: Callable[[Desk], dict[str, Any]] = nothing_more
    beside: Callable[[Desk], Hashable] = nothing_beside
    template: str = ""
    parts: Callable[[dict[str, Any]], tuple[Part, ...]] = no_parts
    redrawn: Callable[[Dossier, str], Drawing | None] | None = None
    prices: bool = False
    health: bool = False


def _plain(
    key: str,
    title: Words,
    settles: Words,
    hangs: Callable[[Moments], datetime],
    *,
    prices: bool = False,
    health: bool = False,
) -> Sheet:
    return Sheet(key=key, title=title, settles=settles, hangs=hangs, prices=prices, health=health)


PLAIN: tuple[Sheet, ...] = (
    _plain("tiers", _("Tiers"), _("How many portions, and on which tiers."), lambda m: m.enquired),
    _plain("formulas", _("Formulas"), _("What goes into each bowl, by weight."), before_handover(days=14)),
    _plain("bakes", _("Bakes"), _("How long each pan bakes, in this oven."), before_handover(days=2)),
    _plain("syrups", _("Syrups and foams"), _("Sugar, eggs and cream, by temperature."), before_handover(days=3)),
    _plain("coats", _("Coats and fillings"), _("What goes between, round and over."), before_handover(days=1)),
    _plain("supports", _("Boards and supports"), _("What carries it, and how surely."), before_handover(hours=20)),
    _plain("flowers", _("Flowers and finish"), _("What may touch food, and where it sits."), before_handover(hours=8)),
    _plain("keeping", _("Keeping"), _("How warm, how long, from oven to last slice."), before_handover(days=1.5)),
    _plain("labels", _("Labels"), _("What is in it, and who must know."), before_handover(hours=30), health=True),
    _plain("buying", _("Buying"), _("What to buy, and when."), before_handover(days=6)),
    _plain("price", _("Price"), _("What it costs, and what to ask."), before_handover(days=40), prices=True),
    _plain("road", _("Road"), _("How it gets there whole."), before_handover(hours=1.5)),
    _plain("table", _("Table and cutting"), _("Setting up, cutting, and the last slice."), lambda m: m.cutting),
)
"""Every sheet of work by name; one that has no folder of its own yet shows the figures that its room has noted."""


@lru_cache(maxsize=1)
def sheets() -> dict[str, Sheet]:
    """Return every sheet by key: those with a folder under ``work/``, else the plain ones, in the usual order."""
    from tierwright.web import work

    found = {sheet.key: sheet for sheet in PLAIN}
    for module in iter_modules(work.__path__):
        if module.ispkg:
            sheet: Sheet = import_module(f"{work.__name__}.{module.name}").SHEET
            found[sheet.key] = sheet
    return found
