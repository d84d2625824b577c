"""Keeping: how warm every tier is from the fridge to the last slice, and the limits that it meets on the way."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.dossier import Dossier
from tierwright.dossier.keeping_slices import slices_of
from tierwright.drawings import AS_THE_PAGE, Drawing
from tierwright.keeping import plot_line
from tierwright.sheets import keeping as printed
from tierwright.web.frame.desk import Desk
from tierwright.web.sheet import Sheet, before_handover
from tierwright.web.work.keeping.forms import parts


def redrawn(dossier: Dossier, prefix: str) -> Drawing | None:
    """Draw the temperature line, in the ink of the page; None where it could not be computed."""
    if dossier.keeping is None:
        return None
    cutting = dossier.commission.cutting_at
    display = dossier.kitchen.units.display()
    return plot_line(dossier.keeping, cutting=cutting, ink=AS_THE_PAGE, prefix=prefix, display=display)


def show(desk: Desk) -> dict[str, Any]:
    """Return the temperature line with its limits, the moments of every step, and the card for the venue."""
    keeping = desk.dossier.keeping
    if keeping is None:
        return {"kept": None}
    display = desk.words.display
    line = printed.line_page(keeping, cutting=desk.brief.cutting_at, cautions=desk.cautions, display=display)
    card = printed.card_page(keeping, cautions=desk.cautions, display=display)
    numbers = {sheet.key: number for number, sheet in enumerate(desk.dossier.commission.formulas, start=1)}
    safety = [
        {
            "cells": printed.component_cells(one),
            "reason": one.reason,
            "part": f"measured-{numbers[one.component]}" if one.component in numbers else "",
        }
        for one in keeping.safety
    ]
    return {
        "kept": line.data,
        "card": card.data,
        "safety": safety,
        "slices": printed.slices_page(slices_of(desk.dossier)).data,
        "line_drawing": redrawn(desk.dossier, "line"),
    }


SHEET = Sheet(
    key="keeping",
    title=_("Keeping"),
    settles=_("How warm every tier is from the fridge to the last slice, and when it must be out, cut and gone."),
    hangs=before_handover(days=1.5),
    show=show,
    template="work/keeping/sheet.html",
    parts=parts,
    redrawn=redrawn,
)
