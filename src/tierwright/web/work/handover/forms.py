"""The forms of the handover sheet: the venue file, and what was agreed about handing over."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.web.sheet import Box, Field, Part, Rows

UNSAID = ("", "\N{EN DASH}")
ASKED = (UNSAID, ("True", _("yes")), ("False", _("no")))
VENUE_FILE = Part(
    key="venue-file",
    title=_("Venue file"),
    items=(
        Field(path="venue.file.place", label=_("Where the cake stands"), box=Box.AREA),
        Field(path="venue.file.unload", label=_("Where the car stops, and the way from there"), box=Box.AREA),
        Field(path="venue.file.door", label=_("Narrowest door on the way"), hint=_("such as 85 cm or 34 in")),
        Field(path="venue.file.lift.width", label=_("Lift: width of its cabin"), hint=_("such as 90 cm")),
        Field(path="venue.file.lift.depth", label=_("Lift: depth of its cabin")),
        Field(path="venue.file.lift.carries", label=_("Lift: what it carries"), hint=_("such as 300 kg")),
        Field(path="venue.file.table.width", label=_("Table: width"), hint=_("such as 180 cm or 6 ft")),
        Field(path="venue.file.table.depth", label=_("Table: depth")),
        Field(path="venue.file.table.height", label=_("Table: height")),
        Field(path="venue.file.table.bears", label=_("Table: what it safely carries"), hint=_("such as 40 kg")),
        Field(path="venue.file.table.level", label=_("Table: level, by a spirit level"), box=Box.CHOICE, choices=ASKED),
        Field(path="venue.file.table.linen", label=_("Table: a clean cloth is laid"), box=Box.CHOICE, choices=ASKED),
        Field(path="venue.file.cold_store", label=_("Room in the cold"), box=Box.CHOICE, choices=ASKED),
        Field(path="venue.file.shakes", label=_("The floor moves"), box=Box.CHOICE, choices=ASKED),
        Field(path="venue.file.receiver", label=_("Who receives the cake")),
        Field(path="venue.file.cutter", label=_("Who cuts it")),
        Field(path="venue.file.room_turn.begins", label=_("The room is turned from"), box=Box.CLOCK),
        Field(path="venue.file.room_turn.ends", label=_("until"), box=Box.CLOCK),
        Field(path="venue.file.room_turn.cake", label=_("Where the cake is meanwhile")),
        Rows(
            path="venue.file.contacts",
            label=_("Who to call on the day"),
            row=_("contact"),
            most=12,
            fields=(
                Field(path="name", label=_("Name")),
                Field(
                    path="calls",
                    label=_("About"),
                    box=Box.CHOICE,
                    choices=(
                        ("the cake", _("the cake")),
                        ("the venue", _("the venue")),
                        ("the caterer", _("the caterer")),
                        ("the client", _("the client")),
                    ),
                ),
                Field(path="phone", label=_("Number")),
            ),
        ),
        Rows(
            path="venue.file.other_events",
            label=_("Other events there that day"),
            row=_("event"),
            most=20,
            fields=(
                Field(path="what", label=_("What")),
                Field(path="begins", label=_("from"), box=Box.CLOCK),
                Field(path="ends", label=_("until"), box=Box.CLOCK),
                Field(path="cake", label=_("A cake is served there too"), box=Box.CHOICE, choices=ASKED),
            ),
        ),
    ),
)
AGREED = Part(
    key="agreed",
    title=_("Handing over"),
    items=(
        Field(path="handing_over.tasting.date", label=_("Tasting: day"), box=Box.DATE),
        Field(path="handing_over.tasting.at", label=_("Tasting: time"), box=Box.CLOCK),
        Field(path="handing_over.tasting.where", label=_("Tasting: where")),
        Field(path="handing_over.collector", label=_("Who collects the cake"), hint=_("where the client fetches it")),
        Field(path="handing_over.vehicle", label=_("With what car")),
        Rows(
            path="handing_over.hired",
            label=_("Hired, to be given back"),
            row=_("piece"),
            most=40,
            fields=(
                Field(path="what", label=_("What")),
                Field(path="count", label=_("How many"), box=Box.WHOLE),
                Field(path="back_on", label=_("Back on"), box=Box.DATE),
                Field(path="back_by", label=_("by"), box=Box.CLOCK),
                Field(path="back_to", label=_("To whom")),
            ),
        ),
    ),
)


def parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return the forms of the sheet."""
    return (VENUE_FILE, AGREED)
