"""The venue file and the handing over: what the maker has asked the venue and the client, as it is written down."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from tierwright.brief.fields import Clock, Form, Length, LongText, Mass, Minutes, Text, TimeZoneName

Report = Callable[..., None]
Inside = Annotated[Length, Field(ge=200, le=10_000)]
Phone = Annotated[str, Field(max_length=60)]


class CallFor(StrEnum):
    """What somebody is called for."""

    CAKE = "the cake"
    VENUE = "the venue"
    CATERER = "the caterer"
    CLIENT = "the client"


class Contact(Form):
    """Somebody to call on the day: name, what for, and how they are reached."""

    name: Text
    calls: CallFor = CallFor.VENUE
    phone: Phone = ""


class VenueLift(Form):
    """A lift by its cabin, and what it may carry."""

    width: Inside
    depth: Inside
    carries: Mass | None = Field(default=None, ge=10_000, le=20_000_000)


class CakeTable(Form):
    """
    The table that the cake stands on.

    ``width`` and ``depth`` of its top (a round table: twice the same); ``bears`` is what it safely carries; ``level``
    whether somebody has laid a level on it; ``linen`` whether a clean cloth is laid before the maker comes.
    """

    width: Inside | None = None
    depth: Inside | None = None
    height: Annotated[Length, Field(ge=200, le=1500)] | None = None
    bears: Mass | None = Field(default=None, ge=1000, le=2_000_000)
    level: bool | None = None
    linen: bool | None = None


class RoomTurn(Form):
    """When the room is turned from one use to the next, and what becomes of the cake meanwhile."""

    begins: Clock
    ends: Clock
    cake: LongText = ""


class OtherEvent(Form):
    """Another event at the same venue on the same day; ``cake`` is whether a cake is served there too."""

    what: Text
    begins: Clock | None = None
    ends: Clock | None = None
    cake: bool | None = None


class VenueFile(Form):
    """
    What was asked of the venue.

    ``place`` is where the cake stands; ``unload`` where the vehicle stops and the way from there; ``door`` the
    narrowest door on that way; ``cold_store`` whether the venue has room in the cold for the cake; ``shakes`` whether
    the floor moves (a dance floor, a landing stage); ``receiver`` who takes the cake over; ``cutter`` who cuts it.
    """

    place: LongText = ""
    unload: LongText = ""
    door: Annotated[Length, Field(ge=400, le=5000)] | None = None
    lift: VenueLift | None = None
    table: CakeTable = CakeTable()
    cold_store: bool | None = None
    shakes: bool | None = None
    receiver: Annotated[str, Field(max_length=200)] = ""
    cutter: Annotated[str, Field(max_length=200)] = ""
    contacts: tuple[Contact, ...] = Field(default=(), max_length=12)
    room_turn: RoomTurn | None = None
    other_events: tuple[OtherEvent, ...] = Field(default=(), max_length=20)


class Appointment(Form):
    """A date with the client; by the kitchen's clock where no zone is given."""

    day: date = Field(alias="date")
    at: Clock = Field(default=time(12))
    minutes: Minutes = Field(default=60.0, alias="time", ge=5, le=600)
    where: LongText = ""
    timezone: TimeZoneName | None = None


class Hired(Form):
    """
    Something that has to come back: a stand, a knife, a vase.

    ``back_on`` and ``back_by`` are by the venue's clock.
    """

    what: Text
    count: int = Field(default=1, ge=1, le=500)
    back_on: date | None = None
    back_by: Clock | None = None
    back_to: LongText = ""


class HandingOver(Form):
    """
    What was agreed about handing the cake over.

    ``collector`` is who fetches it, and ``vehicle`` with what, where the client collects.
    """

    tasting: Appointment | None = None
    hired: tuple[Hired, ...] = Field(default=(), max_length=40)
    collector: Annotated[str, Field(max_length=200)] = ""
    vehicle: LongText = ""


def check_handing_over(file: VenueFile, handing: HandingOver, report: Report) -> None:
    """Report what contradicts itself in the venue file and in what was agreed about the handing over."""
    for position, one in enumerate(file.other_events, start=1):
        if one.begins is not None and one.begins == one.ends:
            report(
                f"venue.file.other_events[{position}]", f"{one.begins:%H:%M} to {one.ends:%H:%M}", "times that differ"
            )
    turn = file.room_turn
    if turn is not None and turn.begins == turn.ends:
        report("venue.file.room_turn", f"{turn.begins:%H:%M} to {turn.ends:%H:%M}", "times that differ")
    if (file.table.width is None) != (file.table.depth is None):
        report("venue.file.table", "one side of the table", "its width and its depth, or neither")
    for position, hired in enumerate(handing.hired, start=1):
        if hired.back_on is None and hired.back_by is not None:
            where = f"handing_over.hired[{position}].back_on"
            report(where, "nothing", f"the day on which it goes back by {hired.back_by:%H:%M}")
