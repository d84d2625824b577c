"""Buying: what to buy, in which shop, and by when."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.dossier.purchase_stage import book_of
from tierwright.sheets import buying as printed
from tierwright.web.frame.desk import Desk
from tierwright.web.sheet import Sheet, before_handover


def show(desk: Desk) -> dict[str, Any]:
    """Return the shopping list by day and shop; with its prices only for those who may see them."""
    dossier = desk.dossier
    page = printed.page(
        dossier.purchase,
        {shop.key: shop for shop in book_of(dossier.kitchen).shops},
        display=desk.words.display,
        cautions=desk.cautions,
        currency=dossier.kitchen.currency if desk.door.membership.may_see_prices else "",
    )
    return {"list": page.data}


SHEET = Sheet(
    key="buying",
    title=_("Buying"),
    settles=_("What to buy, in which shop and by when, and what is on the shelf already."),
    hangs=before_handover(days=6),
    show=show,
    template="work/buying/sheet.html",
)
