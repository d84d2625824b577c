"""Syrups and foams: sugar, eggs and cream by temperature, in this kitchen."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.drawings import AS_THE_PAGE
from tierwright.sheets import syrups as printed
from tierwright.web.frame.desk import Desk
from tierwright.web.sheet import Sheet, before_handover
from tierwright.web.work.pictures import on_page


def show(desk: Desk) -> dict[str, Any]:
    """Return every pot and bowl as the printed sheets have them."""
    worked = [work for work in desk.dossier.sugar if work.syrup or work.meringue or work.cream]
    pots: list[dict[str, Any]] = []
    for work, page in zip(worked, printed.of(desk.dossier, desk.words, ink=AS_THE_PAGE), strict=True):
        data: dict[str, Any] = dict(page.data)
        if data["plot"]:
            data["plot"] = on_page(data["plot"])
        pots.append(data | {"key": work.formula, "name": desk.words.formulas[work.formula], "mixed": bool(work.cream)})
    return {"pots": pots}


SHEET = Sheet(
    key="syrups",
    title=_("Syrups and foams"),
    settles=_("Sugar, eggs and cream by temperature, as this kitchen and its thermometer have them."),
    hangs=before_handover(days=3),
    show=show,
    template="work/syrups/sheet.html",
)
