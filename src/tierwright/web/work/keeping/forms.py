"""The form of the keeping sheet: when it is set up, and in what shade and heat it stands."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.web.sheet import Box, Field, Part

STANDING = Part(
    key="standing",
    title=_("Set-up time, shade and heat"),
    hint=_("Move the handover or the shade, and watch the limits move with it."),
    items=(
        Field(path="day.handover", label=_("Handover"), box=Box.CLOCK, hint=_("set up by then")),
        Field(path="day.cutting", label=_("Cutting"), box=Box.CLOCK),
        Field(path="day.last_slice", label=_("Last slice"), box=Box.CLOCK),
        Field(
            path="venue.sun",
            label=_("Sun"),
            box=Box.CHOICE,
            choices=(
                ("", "\N{EN DASH}"),
                ("none", _("none")),
                ("shade", _("shade")),
                ("full", _("full sun")),
            ),
        ),
        Field(path="venue.outdoors", label=_("It stands outdoors"), box=Box.TICK),
        Field(path="venue.temperature", label=_("How warm it is where the cake stands"), hint=_("such as 26 to 31 C")),
        Field(path="venue.humidity", label=_("How damp the air is"), hint=_("such as 20 to 35 %")),
        Field(path="travel.cabin", label=_("How warm it is in the car"), hint=_("such as 21 to 25 C")),
    ),
)


def parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return the form of the sheet."""
    return (STANDING,)
