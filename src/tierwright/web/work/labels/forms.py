"""The form of the labels sheet: whose law applies."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.brief.commission import Jurisdiction
from tierwright.web.sheet import Box, Field, Part, Words
from tierwright.web.work.tiers.forms import DIETS

LAWS: tuple[tuple[str, Words], ...] = (
    (Jurisdiction.US.value, _("United States")),
    (Jurisdiction.EU.value, _("European Union")),
    (Jurisdiction.UK.value, _("United Kingdom")),
    (Jurisdiction.CANADA.value, _("Canada")),
    (Jurisdiction.AUSTRALIA_NEW_ZEALAND.value, _("Australia and New Zealand")),
)
LAW = Part(
    key="law",
    title=_("Whose law"),
    hint=_("Which allergens must be named, and how a panel looks, depends on where the cake is sold."),
    items=(Field(path="jurisdiction", label=_("Label and food law of"), box=Box.CHOICE, choices=LAWS),),
)


def parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return the forms of the sheet."""
    return (LAW, DIETS)
