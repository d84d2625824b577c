"""The form of the bakes sheet: how hot each batter is baked."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from tierwright.web.sheet import Field, Part
from tierwright.words import BATTERS


def parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return the form of the oven temperatures, one field a batter; none where nothing is baked."""
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
    return (Part(key="heat", title=gettext_lazy("Oven temperatures"), hint=hint, items=items),)
