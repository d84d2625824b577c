"""The forms of the table sheet: the venue and the way there."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.web.sheet import Box, Field, Part

UNSAID = ("", "\N{EN DASH}")
VENUE = Part(
    key="venue",
    title=_("Venue"),
    items=(
        Field(path="venue.name", label=_("Venue")),
        Field(path="venue.altitude", label=_("Height above the sea"), hint=_("such as 1420 m or 4660 ft")),
        Field(path="venue.temperature", label=_("How warm it is where the cake stands"), hint=_("such as 26 to 31 C")),
        Field(path="venue.humidity", label=_("How damp the air is"), hint=_("such as 20 to 35 %")),
        Field(path="venue.outdoors", label=_("It stands outdoors"), box=Box.TICK),
        Field(
            path="venue.sun",
            label=_("Sunlight"),
            box=Box.CHOICE,
            choices=(UNSAID, ("none", _("none")), ("shade", _("shade")), ("full", _("full sun"))),
        ),
        Field(path="venue.table", label=_("The table"), hint=_("level, strong, how high?")),
        Field(path="venue.stairs", label=_("Stairs to climb"), box=Box.WHOLE),
        Field(path="venue.access.opens", label=_("The venue lets the maker in from"), box=Box.CLOCK),
        Field(path="venue.access.closes", label=_("until"), box=Box.CLOCK),
        Field(path="venue.contact", label=_("Whom to ask there")),
    ),
)
WAY = Part(
    key="way",
    title=_("The way there"),
    items=(
        Field(path="travel.time", label=_("Time on the road"), hint=_("such as 50 min")),
        Field(path="travel.distance", label=_("Distance"), hint=_("such as 46 km")),
        Field(path="travel.grade", label=_("Steepest hill"), hint=_("such as 9 %")),
        Field(
            path="travel.surface",
            label=_("Worst surface"),
            box=Box.CHOICE,
            choices=(UNSAID, ("smooth", _("smooth")), ("patched", _("patched")), ("gravel", _("gravel"))),
        ),
        Field(path="travel.cabin", label=_("How warm it is in the car"), hint=_("such as 21 to 25 C")),
        Field(
            path="travel.carry",
            label=_("Carried"),
            box=Box.CHOICE,
            choices=(
                UNSAID,
                ("stacked", _("stacked")),
                ("separate", _("tier by tier")),
                ("undecided", _("not decided")),
            ),
        ),
        Field(path="travel.collected_by_client", label=_("The client collects it"), box=Box.TICK),
    ),
)


def parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return the forms of the sheet."""
    return (VENUE, WAY)
