"""Formulas: what goes into each bowl, by weight."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.sheets import mixing
from tierwright.web.frame.desk import Desk
from tierwright.web.sheet import Sheet, before_handover
from tierwright.web.work.formulas.forms import parts


def show(desk: Desk) -> dict[str, Any]:
    """Return each formula as it is weighed out, with what was understood of every line."""
    display = desk.words.display
    pages = {page.sheet: page.data for page in mixing.of(desk.dossier, desk.words)}
    shown = []
    for number, work in enumerate(desk.dossier.formulas.works, start=1):
        text = work.formula.text
        shown.append(
            {
                "key": text.key,
                "part": f"formula-{number}",
                "name": text.name,
                "kind": text.kind.value,
                "mixing": pages.get(f"mixing: {text.name}"),
                "need": f"formula.{text.key}.need_g",
                "make": f"formula.{text.key}.make_g",
                "lines": [
                    {
                        "text": line.text,
                        "label": line.label,
                        "grams": display.show_mass(line.grams.value) if line.grams.value else "",
                        "way": line.way,
                        "reason": line.reason,
                        "choices": line.choices,
                        "remarks": line.remarks,
                        "status": line.status.value,
                    }
                    for line in work.formula.lines
                ],
                "checks": work.balance.checks if work.balance else (),
                "proposals": work.proposals,
            }
        )
    return {"formulas": shown}


SHEET = Sheet(
    key="formulas",
    title=_("Formulas"),
    settles=_("What goes into each bowl, by weight, for these pans."),
    hangs=before_handover(days=14),
    show=show,
    template="work/formulas/sheet.html",
    parts=parts,
)
