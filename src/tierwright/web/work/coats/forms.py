"""The forms of the coats sheet: flavours with their fillings and coats, and the finish."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.web.sheet import Box, Field, Part, Rows, Words
from tierwright.words import BATTERS, CoatStyle, Finish

STYLES: tuple[tuple[str, Words], ...] = (
    (CoatStyle.FULL, _("a whole coat")),
    (CoatStyle.SEMI_NAKED, _("scraped back until the cake shows")),
    (CoatStyle.NAKED, _("no coat")),
    (CoatStyle.ROLLED, _("rolled over a thin undercoat")),
    (CoatStyle.GANACHE, _("a whole coat of ganache")),
)
FINISHES: tuple[tuple[str, Words], ...] = (
    (Finish.SMOOTH, _("smooth")),
    (Finish.COMBED, _("combed")),
    (Finish.TEXTURED, _("textured")),
    (Finish.STRIPED, _("striped")),
)
UNSAID: tuple[str, Words] = ("", "\N{EN DASH}")
OUTSIDE = Part(
    key="outside",
    title=_("Coat and finish"),
    items=(
        Field(path="cake.coating", label=_("Coat"), box=Box.CHOICE, choices=(UNSAID, *STYLES)),
        Field(path="cake.finish", label=_("Finish"), box=Box.CHOICE, choices=(UNSAID, *FINISHES)),
        Field(path="cake.coat_thickness", label=_("Thickness of the coat"), hint=_("such as 5 mm; empty: the usual")),
        Field(path="cake.filling_depth", label=_("Depth of each filling"), hint=_("such as 8 mm")),
    ),
)


def flavours(brief: dict[str, Any]) -> Part:
    """Return the form of the flavours, its choices being the commission's own formulas."""
    batters = {kind.value for kind in BATTERS}
    entries = [entry for entry in brief.get("formulas", []) if isinstance(entry, dict)]
    named = [(str(e.get("key", "")), str(e.get("name", "")), e.get("kind") in batters) for e in entries]
    cakes = (UNSAID, *((key, name) for key, name, batter in named if batter))
    known = {key for key, _name, _batter in named}
    # A filling may also be a bought ingredient by its name; what is there already stays to be chosen.
    bought = {
        str(flavour[part])
        for flavour in brief.get("cake", {}).get("flavours", [])
        for part in ("filling", "coat", "soak", "rolled")
        if flavour.get(part) and flavour[part] not in known
    }
    others = (
        UNSAID,
        *((key, name) for key, name, batter in named if not batter),
        *((name, name) for name in sorted(bought)),
    )
    choice = Box.CHOICE
    return Part(
        key="flavours",
        title=_("Flavours"),
        hint=_("Bottom tier first."),
        items=(
            Rows(
                path="cake.flavours",
                label=_("Flavours"),
                row=_("Flavour"),
                most=8,
                fields=(
                    Field(path="name", label=_("Called")),
                    Field(path="cake", label=_("Cake"), box=choice, choices=cakes),
                    Field(path="filling", label=_("Filling"), box=choice, choices=others),
                    Field(path="coat", label=_("Coat"), box=choice, choices=others),
                    Field(path="soak", label=_("Syrup on the layers"), box=choice, choices=others),
                    Field(path="rolled", label=_("Rolled over it"), box=choice, choices=others),
                    Field(path="coating", label=_("Style"), box=choice, choices=(UNSAID, *STYLES)),
                    Field(path="finish", label=_("Finish"), box=choice, choices=(UNSAID, *FINISHES)),
                    Field(path="diet", label=_("Made for a diet"), hint=_("such as vegan")),
                ),
            ),
        ),
    )


def parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return the forms of the sheet."""
    return (flavours(brief), OUTSIDE)
