"""The forms of the formulas sheet: one for each formula, and one for a new one."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.units import Measures
from tierwright.web.sheet import Box, Field, Part, Words
from tierwright.words import FormulaKind

KINDS: tuple[tuple[str, Words], ...] = (
    ("", "\N{EN DASH}"),
    (FormulaKind.HIGH_RATIO, _("high-ratio layer cake")),
    (FormulaKind.CREAMED, _("creamed cake")),
    (FormulaKind.POUND, _("pound cake")),
    (FormulaKind.OIL, _("oil cake")),
    (FormulaKind.SPONGE, _("sponge")),
    (FormulaKind.CHIFFON, _("chiffon")),
    (FormulaKind.MERINGUE, _("angel cake")),
    (FormulaKind.SWISS_BUTTERCREAM, _("Swiss meringue buttercream")),
    (FormulaKind.ITALIAN_BUTTERCREAM, _("Italian meringue buttercream")),
    (FormulaKind.FRENCH_BUTTERCREAM, _("French buttercream")),
    (FormulaKind.POWDERED_BUTTERCREAM, _("powdered-sugar buttercream")),
    (FormulaKind.FLOUR_BUTTERCREAM, _("flour-cooked buttercream")),
    (FormulaKind.CREAM_CHEESE, _("cream-cheese frosting")),
    (FormulaKind.GANACHE, _("ganache")),
    (FormulaKind.WHIPPED_CREAM, _("whipped cream")),
    (FormulaKind.CURD, _("curd")),
    (FormulaKind.JAM, _("jam")),
    (FormulaKind.SYRUP, _("syrup")),
    (FormulaKind.ROYAL_ICING, _("royal icing")),
    (FormulaKind.ROLLED_FONDANT, _("rolled fondant")),
    (FormulaKind.MARZIPAN, _("marzipan")),
    (FormulaKind.OTHER_FILLING, _("other filling")),
)
MEASURES: tuple[tuple[str, Words], ...] = (
    ("", "\N{EN DASH}"),
    (Measures.US, _("US cups and spoons")),
    (Measures.METRIC, _("metric cups and spoons")),
    (Measures.IMPERIAL, _("imperial cups, metric spoons")),
    (Measures.AU, _("Australian cups and spoons")),
)


def fields(path: str) -> tuple[Field, ...]:
    """Return the fields of one formula, by its place in the brief."""
    return (
        Field(path=f"{path}.name", label=_("Name")),
        Field(path=f"{path}.kind", label=_("What it makes"), box=Box.CHOICE, choices=KINDS),
        Field(
            path=f"{path}.lines",
            label=_("Ingredient lines"),
            box=Box.LINES,
            hint=_("as written, one a line: 2 3/4 cups spooned cake flour, or 250 g butter"),
        ),
        Field(path=f"{path}.method", label=_("Method"), box=Box.LINES, hint=_("one step a line")),
        Field(
            path=f"{path}.made_for",
            label=_("Written for"),
            hint=_("such as: two 9 in round pans, 2 in deep, near sea level"),
        ),
        Field(path=f"{path}.measures", label=_("Whose cups and spoons"), box=Box.CHOICE, choices=MEASURES),
        Field(
            path=f"{path}.specific_gravity",
            label=_("Measured specific gravity of the batter"),
            hint=_("weight of a cup of batter over that of water, such as 0.86"),
        ),
    )


def parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return a form for each formula."""
    return tuple(
        Part(
            key=f"formula-{number}",
            title=str(entry.get("name", number)) if isinstance(entry, dict) else str(number),
            items=fields(f"formulas[{number}]"),
        )
        for number, entry in enumerate(brief.get("formulas", []), start=1)
    )
