"""The form of the supports sheet: supports that the maker sets by hand."""

from __future__ import annotations

from typing import Any, Final

from django.utils.translation import gettext_lazy as _

from tierwright.larder import supports
from tierwright.web.sheet import Box, Field, Part, Rows

CENTRE_ROD: Final = "centre rod"
UNSAID = ("", "\N{EN DASH}")


def parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return the form of supports set by hand."""
    kinds = tuple((known.key, known.key.replace("_", " ")) for known in supports().values() if known.kind != CENTRE_ROD)
    return (
        Part(
            key="places",
            script="web/js/places.js",
            title=_("Places set by hand"),
            hint=_(
                "A tier without a row here has its supports placed by the program. Move them on the drawing, by hand "
                "or with the arrow keys, or type their places; what they do there is checked at once."
            ),
            items=(
                Rows(
                    path="cake.supports",
                    label=_("Supports set by hand"),
                    row=_("Tier"),
                    most=7,
                    fields=(
                        Field(path="tier", label=_("In tier number, 1 at the bottom"), box=Box.WHOLE),
                        Field(path="support", label=_("Support"), box=Box.CHOICE, choices=(UNSAID, *kinds)),
                        Field(
                            path="places",
                            label=_("Places, one a line"),
                            box=Box.LINES,
                            hint=_("from the middle of the tier, to the right and away from you: 60 mm, -35 mm"),
                        ),
                    ),
                ),
            ),
        ),
    )
