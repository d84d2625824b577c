"""Coats and fillings: what goes between, round and over, and how much to make of it."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.sheets import coats as printed
from tierwright.web.frame.desk import Desk
from tierwright.web.sheet import Sheet, before_handover
from tierwright.web.work.coats.forms import parts


def show(desk: Desk) -> dict[str, Any]:
    """Return what each tier takes of every filling and coat, as the printed sheet has it."""
    (page,) = printed.of(desk.dossier, desk.words)
    return {"coats": page.data}


SHEET = Sheet(
    key="coats",
    title=_("Coats and fillings"),
    settles=_("What goes between, round and over each tier, and how much to make of it."),
    hangs=before_handover(days=1),
    show=show,
    template="work/coats/sheet.html",
    parts=parts,
)
