"""Table and cutting: where it stands, how it is cut, what comes out of it."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.drawings import AS_THE_PAGE, Drawing, cutting_guide, order_of_cutting
from tierwright.shapes import Outline
from tierwright.sheets.cutting import inedibles
from tierwright.sizing import Cutting
from tierwright.units import Display
from tierwright.web.frame.desk import Desk
from tierwright.web.sheet import Sheet
from tierwright.web.work.table.forms import parts


@lru_cache(maxsize=256)
def _guide(cutting: Cutting, outline: Outline, display: Display, prefix: str, title: str) -> Drawing:
    """Draw a cutting guide; the same cake is not drawn again."""
    return cutting_guide(
        cutting, outline, display=display, ink=AS_THE_PAGE, prefix=prefix, title=title, width_mm=90.0, height_mm=90.0
    )


_steps = lru_cache(maxsize=256)(order_of_cutting)


def show(desk: Desk) -> dict[str, Any]:
    """Return a cutting guide for every tier and kitchen cake, top tier first, and what has to come out."""
    stack, display = desk.dossier.sizing.stack, desk.words.display
    cakes: list[tuple[str, str, Any]] = [
        (f"tier-{tier.number}", desk.words.uses[f"tier.{tier.number}"], tier) for tier in reversed(stack.tiers)
    ]
    cakes += [
        (f"kitchen-{number}", desk.words.uses[f"kitchen.{number}"], cake)
        for number, cake in enumerate(stack.kitchen_cakes, start=1)
    ]
    return {
        "cuts": [
            {
                "name": name.capitalize(),
                "portions": cake.cutting.portions,
                "drawing": _guide(cake.cutting, cake.outline, display, f"cut-{key}", name.capitalize()),
                "steps": _steps(cake.cutting, cake.outline, display),
            }
            for key, name, cake in cakes
            if cake.cutting is not None
        ],
        "inedibles": inedibles(desk.dossier),
        "venue": desk.brief.venue,
    }


SHEET = Sheet(
    key="table",
    title=_("Table and cutting"),
    settles=_("Where it stands, how it is cut, and what comes out of it first."),
    hangs=lambda moments: moments.cutting,
    show=show,
    template="work/table/sheet.html",
    parts=parts,
)
