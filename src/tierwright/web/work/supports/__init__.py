"""Boards and supports: what carries each tier, where it stands, and how surely."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.dossier import Dossier
from tierwright.drawings import AS_THE_PAGE, Drawing
from tierwright.sheets import supports as printed
from tierwright.web.frame.desk import Desk
from tierwright.web.sheet import Sheet, before_handover
from tierwright.web.work.pictures import all_on_page
from tierwright.web.work.supports.forms import parts


def show(desk: Desk) -> dict[str, Any]:
    """Return plans, cut list, steps and checks as the printed sheet has them, without its templates at full size."""
    work = desk.dossier.support
    if work is None:
        return {"standing": None}
    page = printed.page(
        work,
        display=desk.words.display,
        paper=desk.words.paper,
        cautions=desk.cautions,
        ink=AS_THE_PAGE,
        templates=False,
    )
    data: dict[str, Any] = dict(page.data)
    by_hand = {layout.tier for layout in desk.brief.cake.supports}
    data["levels"] = [
        shown
        | {
            "drawings": all_on_page(shown["drawings"]),
            "tier": level.tier,
            "count": level.count,
            "by_hand": level.tier in by_hand,
            "places": [
                (number, f"{x:+.0f}".replace("-", "\N{MINUS SIGN}"), f"{y:+.0f}".replace("-", "\N{MINUS SIGN}"))
                for number, (x, y) in enumerate(level.positions, start=1)
            ],
        }
        for shown, level in zip(data["levels"], work.found.levels, strict=True)
    ]
    return {"standing": data}


def redrawn(dossier: Dossier, prefix: str) -> Drawing | None:
    """Draw the plan of the supports set by hand, else of the lowest ones; None where nothing carries."""
    work = dossier.support
    levels = [level for level in work.found.levels if level.count] if work else []
    if work is None or not levels:
        return None
    level = next((one for one in levels if one.by_hand), levels[0])
    tiers = {tier.number: tier for tier in work.ask.tiers}
    display = dossier.kitchen.units.display()
    return printed.plan_of(level, tiers[level.tier], tiers[level.carries], display, AS_THE_PAGE, prefix)


SHEET = Sheet(
    key="supports",
    title=_("Boards and supports"),
    settles=_("What carries each tier, where it stands, and how surely."),
    hangs=before_handover(hours=20),
    show=show,
    template="work/supports/sheet.html",
    parts=parts,
    redrawn=redrawn,
)
