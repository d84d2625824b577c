"""Calendar files (RFC 5545): moments by the clock of their own zone, with that zone's rules beside them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from tierwright.handover.model import Dated

if TYPE_CHECKING:
    from icalendar import Event, Timezone

MARGIN: timedelta = timedelta(days=400)
"""A zone's rules are written for the dates in the file and a year on either side."""


def write_calendar(
    dates: Iterable[Dated], *, owner: str, name: str, stamp: datetime, product: str = "Commission", revision: int = 0
) -> bytes:
    """
    Write dates as a calendar file.

    Parameters
    ----------
    dates
        What is written, one event each; moments and whole days.
    owner
        Whose dates they are: with an event's key it makes the name that the event keeps through every version.
    name
        What the calendar is called.
    stamp
        When it was made, zone-aware; the same stamp gives the same bytes.
    product
        Which part of the program wrote it.
    revision
        Number of the version, so that a reader replaces what it had.

    Returns
    -------
    calendar
        Moments stand as wall time with their zone, and each zone's changes of clock stand in the file, so that a
        reader that knows no zones gets every moment right too.

    References
    ----------
    .. [1] RFC 5545, 3.6.1 (events), 3.6.5 (time zones), 3.3.4 and 3.3.5 (dates and moments), 3.8.7.4 (sequence).
    """
    from icalendar import Calendar  # slow to load, and seldom needed

    wanted = list(dates)
    calendar = Calendar()
    calendar.add("prodid", f"-//Tierwright//{product}//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", name)
    for zone in _zones(wanted):
        calendar.add_component(zone)
    for one in wanted:
        calendar.add_component(_event(one, owner, stamp, revision))
    return bytes(calendar.to_ical())


def _event(one: Dated, owner: str, stamp: datetime, revision: int) -> Event:
    from icalendar import Event

    event = Event()
    event.add("uid", f"{sha256(f'{owner}|{one.key}'.encode()).hexdigest()[:24]}@tierwright.invalid")
    event.add("dtstamp", stamp.astimezone(UTC))
    event.add("sequence", revision)
    event.add("summary", one.title)
    if one.begins is not None:
        event.add("dtstart", one.begins.astimezone(ZoneInfo(one.begin_zone)))
        if one.ends is not None and one.ends > one.begins:
            event.add("dtend", one.ends.astimezone(ZoneInfo(one.end_zone or one.begin_zone)))
    elif one.first_day is not None:
        event.add("dtstart", one.first_day)
        # The end of whole days is the day after the last one (RFC 5545, 3.6.1).
        event.add("dtend", (one.last_day or one.first_day) + timedelta(days=1))
    else:
        raise ValueError(f"{one.key}: a date needs a moment or a day")
    if one.where:
        event.add("location", one.where)
    if one.note:
        event.add("description", one.note)
    event.add("transp", "OPAQUE" if one.busy else "TRANSPARENT")
    return event


def _zones(dates: list[Dated]) -> list[Timezone]:
    """Return the rules of every zone that is named, over the days on which it is used."""
    used: dict[str, list[datetime]] = {}
    for one in dates:
        for moment, zone in ((one.begins, one.begin_zone), (one.ends, one.end_zone or one.begin_zone)):
            if moment is not None and zone not in ("", "UTC"):
                used.setdefault(zone, []).append(moment)
    return [_zone(zone, min(moments) - MARGIN, max(moments) + MARGIN) for zone, moments in sorted(used.items())]


def _zone(name: str, first: datetime, last: datetime) -> Timezone:
    """
    Return the rules of one zone between two moments, each change of its clock written out.

    The library's own writer gives the start of summer time by the new clock; the standard wants the old one (RFC 5545,
    3.6.5: a change's moment is local time by the offset before it), and readers that keep to it would be an hour off.
    """
    from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

    zone = Timezone()
    zone.add("tzid", name)
    begin = first.astimezone(UTC).replace(microsecond=0)
    for at in (begin, *changes_of(name, begin, last.astimezone(UTC))):
        after = at.astimezone(ZoneInfo(name))
        before = after if at == begin else (at - timedelta(seconds=1)).astimezone(ZoneInfo(name))
        spell = TimezoneDaylight() if after.dst() else TimezoneStandard()
        offset = before.utcoffset()
        assert offset is not None
        spell.add("dtstart", (at + offset).replace(tzinfo=None))
        spell.add("tzoffsetfrom", offset)
        spell.add("tzoffsetto", after.utcoffset())
        spell.add("tzname", after.tzname())
        zone.add_component(spell)
    return zone


def changes_of(zone: str, first: datetime, last: datetime) -> tuple[datetime, ...]:
    """
    Return the moments between two others at which a zone's clocks change, in UTC.

    Parameters
    ----------
    zone
        Name in the IANA database.
    first, last
        Zone-aware moments.

    Notes
    -----
    Offsets are compared a day apart and each difference is halved down to the second: two changes within one day
    would be missed, and no zone has had them.
    """
    rules = ZoneInfo(zone)

    def state(at: datetime) -> tuple[timedelta | None, str | None]:
        local = at.astimezone(rules)
        return local.utcoffset(), local.tzname()

    found: list[datetime] = []
    at = first.astimezone(UTC)
    while at < last:
        after = min(at + timedelta(days=1), last.astimezone(UTC))
        if state(at) != state(after):
            low, high = at, after
            while high - low > timedelta(seconds=1):
                middle = low + timedelta(seconds=int((high - low).total_seconds()) // 2)
                low, high = (middle, high) if state(middle) == state(at) else (low, middle)
            found.append(high)
        at = after
    return tuple(found)
