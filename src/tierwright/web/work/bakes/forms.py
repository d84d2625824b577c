"""The forms of the bakes sheet: how hot each batter is baked, and what may share the oven."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from tierwright.web.sheet import Box, Field, Part
from tierwright.words import BATTERS

SHARED = Part(
    key="shared",
    title=gettext_lazy("Oven loads"),
    hint=gettext_lazy("A layer that something must stay out of bakes in a load of its own, first where it can."),
    items=(
        Field(
            path="cake.shared_oven",
            label=gettext_lazy("Bake such layers beside batters that hold it, all the same"),
            box=Box.TICK,
        ),
    ),
)


def parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return the forms of the oven temperatures, one field a batter, and of its loads; none where nothing is baked."""
    batters = {kind.value for kind in BATTERS}
    items = tuple(
        Field(
            path=f"formulas[{number}].bake_at",
            label=_("%(name)s bakes at") % {"name": entry.get("name", number)},
            hint=gettext_lazy("the true heat wanted, such as 325 F or 160 C; empty: common practice"),
        )
        for number, entry in enumerate(brief.get("formulas", []), start=1)
        if isinstance(entry, dict) and entry.get("kind") in batters
    )
    if not items:
        return ()
    hint = gettext_lazy("What the oven has to be, not what its dial says: the dial follows from what is known of it.")
    heat = Part(key="heat", title=gettext_lazy("Oven temperatures"), hint=hint, items=items)
    return (heat, *((SHARED,) if len(items) > 1 else ()))
