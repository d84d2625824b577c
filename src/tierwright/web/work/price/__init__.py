"""Price: what it costs, what to ask, and what each wish adds. Closed to those who may not see prices."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.sheets.papers import price_page
from tierwright.web.frame.desk import Desk
from tierwright.web.sheet import Field, Part, Sheet, before_handover

MONEY = Part(
    key="budget",
    title=_("Budget"),
    hint=_("What the client would like to stay under. The price does not follow it; the open questions do."),
    items=(Field(path="budget", label=_("Budget of the client"), hint=_("such as 1200.00; empty: not said")),),
    prices=True,
)


def show(desk: Desk) -> dict[str, Any]:
    """Return the maker's own price sheet, as it is printed."""
    return {"money": price_page(desk.dossier.price).data}


SHEET = Sheet(
    key="price",
    title=_("Price"),
    settles=_("What it costs, what to ask, and what each wish adds."),
    hangs=before_handover(days=40),
    show=show,
    template="work/price/sheet.html",
    parts=lambda _brief: (MONEY,),
    prices=True,
)
