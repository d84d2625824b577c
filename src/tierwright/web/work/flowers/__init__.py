"""Flowers and finish: what the finished cake wears, how much of it, and how it is laid out."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.dossier import Dossier
from tierwright.drawings import AS_THE_PAGE, Drawing
from tierwright.sheets import finish as printed
from tierwright.sheets.finish_drawing import unrolled_side
from tierwright.web.frame.desk import Desk
from tierwright.web.sheet import Sheet, before_handover
from tierwright.web.work.flowers.forms import parts
from tierwright.web.work.pictures import all_on_page, on_page


def show(desk: Desk) -> dict[str, Any]:
    """Return what each tier wears as the printed sheet has it, without its templates at full size."""
    finish = desk.dossier.finish
    if finish is None or desk.brief.decor.is_plain:
        return {"finish": None}
    page = printed.page(
        finish,
        formulas=desk.words.formulas,
        display=desk.words.display,
        paper=desk.words.paper,
        cautions=desk.cautions,
        ink=AS_THE_PAGE,
        templates=False,
    )
    data: dict[str, Any] = dict(page.data)
    data["ready"] = _cells(data["ready"])
    data["tiers"] = [
        tier
        | {"drawing": on_page(tier["drawing"])}
        | {name: _cells(tier[name]) for name in ("piping", "bands", "others")}
        for tier in data["tiers"]
    ]
    data["more"] = [
        one | {"drawings": all_on_page(one["drawings"]), "rows": _cells(one["rows"])} for one in data["more"]
    ]
    return {
        "finish": data,
        "has_templates": bool(printed.sheets_of(finish, desk.words.paper)),
        "ready_heads": (_("what"), _("how much"), _("for")),
        "piping_heads": (
            _("piped"), _("where"), _("tip"), _("how many"), _("apart"), _("of"), _("in the bag"),
        ),
        "band_heads": (_("band"), _("from the foot"), _("high"), _("once round"), _("repeats"), _("takes")),
        "other_heads": (_("also"), _("how"), _("takes")),
    }  # fmt: skip


def _cells(rows: list[Any]) -> list[list[tuple[str, str]]]:
    """Return rows of a printed table as words and their likely range."""
    return [[(cell[0], cell[1]) if isinstance(cell, list) else (cell, "") for cell in row] for row in rows]


def redrawn(dossier: Dossier, prefix: str) -> Drawing | None:
    """Draw the side of the lowest tier that wears something on it, laid flat; None where none does."""
    finish = dossier.finish
    if finish is None:
        return None
    display = dossier.kitchen.units.display()
    worn = [surface for surface in finish.surfaces if printed.wears(surface, finish)]
    return unrolled_side(worn[0], finish, display=display, ink=AS_THE_PAGE, prefix=prefix) if worn else None


SHEET = Sheet(
    key="flowers",
    title=_("Flowers and finish"),
    settles=_("What the finished cake wears, how much of it, and where it sits."),
    hangs=before_handover(hours=8),
    show=show,
    template="work/flowers/sheet.html",
    parts=parts,
    redrawn=redrawn,
)
