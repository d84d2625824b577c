"""Tiers: how many portions, and on which tiers."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.drawings import AS_THE_PAGE, shortage_chart
from tierwright.sheets.naming import outline_words
from tierwright.sizing import Stack, TierKind
from tierwright.web.frame.desk import Desk
from tierwright.web.sheet import Sheet
from tierwright.web.work.tiers.forms import parts


def show(desk: Desk) -> dict[str, Any]:
    """Return the tiers, and the stacks that could stand in their place."""
    dossier = desk.dossier
    sizing = dossier.sizing
    return {
        "tiers": [
            {
                "number": tier.number,
                "name": tier.name,
                "flavour": desk.words.drawn.flavour(tier),
                "shape": tier.outline.shape.value,
                "layers": tier.layers,
                "keepsake": tier.keepsake,
                "cake": tier.kind is TierKind.CAKE,
                "width": f"tier.{tier.number}.width_mm",
                "height": f"tier.{tier.number}.height_mm",
                "portions": f"tier.{tier.number}.portions",
            }
            for tier in reversed(sizing.stack.tiers)
        ],
        "kitchen_cakes": [
            {
                "what": outline_words(cake.outline, desk.words.display),
                "count": cake.count,
                "portions": cake.cutting.portions * cake.count,
            }
            for cake in sizing.stack.kitchen_cakes
        ],
        "stacks": [_stack(place, stack, desk) for place, stack in enumerate(sizing.stacks)],
        "settled": bool(desk.raw.get("cake", {}).get("fixed")),
        "chart": shortage_chart(sizing.demand, sizing.stack.portions, ink=AS_THE_PAGE),
    }


def _stack(place: int, stack: Stack, desk: Desk) -> dict[str, Any]:
    display = desk.words.display
    return {
        "place": place,
        "chosen": place == desk.dossier.sizing.chosen,
        "tiers": [
            outline_words(tier.outline, display) + (" (foam)" if tier.kind is TierKind.DUMMY else "")
            for tier in reversed(stack.tiers)
        ],
        "kitchen": [f"{cake.count} × {outline_words(cake.outline, display)}" for cake in stack.kitchen_cakes],
        "portions": stack.portions,
        "risk": f"{stack.shortage_risk:.1%}",
        "loads": stack.oven_loads,
        "remarks": stack.remarks,
    }


SHEET = Sheet(
    key="tiers",
    title=_("Tiers"),
    settles=_("How many portions are wanted, and on which tiers they stand."),
    hangs=lambda moments: moments.enquired,
    show=show,
    template="work/tiers/sheet.html",
    parts=parts,
)
