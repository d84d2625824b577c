"""The forms of keeping: when and where the cake is set up, and what was measured of what is in it."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.web.sheet import Box, Field, Part, Words

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
            label=_("Sunlight"),
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


def measured(number: int, name: str) -> Part:
    """Return the form of what was measured of one formula, by its place in the brief."""
    path = f"formulas[{number}].measured"
    return Part(
        key=f"measured-{number}",
        title=_("Measured: %(name)s") % {"name": name},
        listed=False,
        hint=_(
            "Only what a meter or a laboratory has measured of this formula as you make it. An estimate, a strip of "
            "paper or another kitchen's value never turns a caution off."
        ),
        items=(
            *_record(f"{path}.water_activity", _("Water activity"), _("between 0 and 1, such as 0.84")),
            *_record(f"{path}.ph", _("pH"), _("between 0 and 14, such as 3.6")),
        ),
    )


def _record(path: str, what: Words, example: Words) -> tuple[Field, ...]:
    return (
        Field(path=f"{path}.value", label=what, hint=example),
        Field(path=f"{path}.method", label=_("Measured with"), hint=_("meter and how it was checked, or laboratory")),
        Field(path=f"{path}.on", label=_("Measured on"), box=Box.DATE),
        Field(path=f"{path}.by", label=_("Measured by")),
    )


def parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return the forms of the sheet: the set-up, and what was measured of each formula."""
    formulas = brief.get("formulas", [])
    return (
        STANDING,
        *(
            measured(number, str(entry.get("name", number)) if isinstance(entry, dict) else str(number))
            for number, entry in enumerate(formulas, start=1)
        ),
    )
