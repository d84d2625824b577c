"""The road: how the cake gets there whole, and what decides it."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.sheets import road as printed
from tierwright.web.frame.desk import Desk
from tierwright.web.sheet import Sheet, before_handover
from tierwright.web.work.table.forms import WAY


def show(desk: Desk) -> dict[str, Any]:
    """Return the answer, the check that decides, pieces, loading and lifting, as the printed sheet has them."""
    work = desk.dossier.support
    pages = printed.of(desk.dossier, desk.words)
    if work is None or not pages:
        return {"going": None}
    carrying = work.found.carrying
    return {"going": dict(pages[0].data), "passes": carrying.governing.passes, "answer": carrying.answer.value}


SHEET = Sheet(
    key="road",
    title=_("Road"),
    settles=_("How it gets there whole: stacked, in pieces, or put together on site, and what decides that."),
    hangs=before_handover(hours=1.5),
    show=show,
    template="work/road/sheet.html",
    parts=lambda _brief: (WAY,),
)
