"""Calendar files: read back by two readers, right across changes of the clock in several zones."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar, Event

from tierwright.handover import Dated, write_calendar
from tierwright.handover.calendar import changes_of

STAMP = datetime(2027, 1, 2, 3, 4, 5, tzinfo=UTC)
ZONES = (
    "America/Denver",
    "Europe/London",
    "Australia/Lord_Howe",
    "Europe/Dublin",
    "Asia/Kathmandu",
    "Africa/Casablanca",
)


def moment(at: datetime, zone: str, *, until: datetime | None = None, end_zone: str = "", key: str = "one") -> Dated:
    return Dated(
        key=key, title="Set-up: a supper, and; more", begins=at, ends=until, begin_zone=zone, end_zone=end_zone,
        where="Boathouse", note="First line\nsecond, with comma", busy=True,
    )  # fmt: skip


def written(*dates: Dated, revision: int = 0) -> bytes:
    return write_calendar(dates, owner="kitchen", name="Supper", stamp=STAMP, revision=revision)


def events(content: bytes) -> list[Event]:
    return [part for part in Calendar.from_ical(content).walk("VEVENT") if isinstance(part, Event)]


def read_by_its_own_rules(content: bytes) -> list[tuple[datetime, datetime | None]]:
    """
    Read moments by a second reader that knows no zone by name.

    Every zone is renamed before it is read, so that nothing but the rules in the file can say what its clocks do.
    """
    text = content.decode().replace("\r\n ", "")
    for zone in ZONES:
        text = text.replace(f"TZID:{zone}\r", f"TZID:{zone} of {NUMBERS[content]}\r")
        text = text.replace(f"TZID={zone}:", f'TZID="{zone} of {NUMBERS[content]}":')
    # The reader takes a zone whose clocks stood at UTC in the year 2000 for UTC itself, and would forget the rest.
    for rules in getattr(vobject.readOne(text, transform=False), "vtimezone_list", []):
        name = rules.tzid.value
        vobject.icalendar.registerTzid(name, rules.transformToNative().gettzinfo())
    found = vobject.readOne(text)
    return [
        (event.dtstart.value, event.dtend.value if hasattr(event, "dtend") else None) for event in found.vevent_list
    ]


class _Numbers(dict[bytes, int]):
    """A number for each file, so that no zone's rules are taken for those of another file."""

    def __missing__(self, content: bytes) -> int:
        self[content] = len(self)
        return self[content]


NUMBERS = _Numbers()


# Changes of the clock that are public record: US 14 March and 7 November 2027 at 02:00 local (15 U.S.C. 260a), EU and
# UK 28 March and 31 October 2027 at 01:00 UTC (Directive 2000/84/EC), Lord Howe by half an hour on 4 April and 3
# October 2027 at 02:00 local (tz database).
CHANGES = [
    ("America/Denver", datetime(2027, 3, 14, 9, tzinfo=UTC), timedelta(hours=1)),
    ("America/Denver", datetime(2027, 11, 7, 8, tzinfo=UTC), timedelta(hours=-1)),
    ("Europe/London", datetime(2027, 3, 28, 1, tzinfo=UTC), timedelta(hours=1)),
    ("Europe/London", datetime(2027, 10, 31, 1, tzinfo=UTC), timedelta(hours=-1)),
    ("Australia/Lord_Howe", datetime(2027, 4, 3, 15, tzinfo=UTC), timedelta(minutes=-30)),
    ("Australia/Lord_Howe", datetime(2027, 10, 2, 15, 30, tzinfo=UTC), timedelta(minutes=30)),
]


@pytest.mark.parametrize(("zone", "change", "by"), CHANGES)
def test_the_changes_are_those_of_the_law(zone: str, change: datetime, by: timedelta) -> None:
    (found,) = changes_of(zone, change - timedelta(days=20), change + timedelta(days=20))
    assert found == change
    rules = ZoneInfo(zone)
    before, after = (change - timedelta(seconds=1)).astimezone(rules), change.astimezone(rules)
    assert after.utcoffset() - before.utcoffset() == by  # type: ignore[operator]


@pytest.mark.parametrize(("zone", "change", "by"), CHANGES)
def test_both_readers_get_every_moment_round_a_change_right(zone: str, change: datetime, by: timedelta) -> None:
    rules = ZoneInfo(zone)
    # Every quarter of an hour for six hours round the change; an ambiguous wall time is left to the next test.
    instants = [change + timedelta(minutes=15 * step) for step in range(-12, 13)]
    plain = [at for at in instants if not _is_twice(at.astimezone(rules))]
    dates = [
        moment(at, zone, until=at + timedelta(hours=8), end_zone="America/Denver", key=str(n))
        for n, at in enumerate(plain)
    ]
    content = written(*dates)
    for event, at in zip(events(content), plain, strict=True):
        assert event.decoded("dtstart") == at
        assert event.decoded("dtstart").utcoffset() == at.astimezone(rules).utcoffset()
        assert event.decoded("dtend") == at + timedelta(hours=8)
    for (begins, ends), at in zip(read_by_its_own_rules(content), plain, strict=True):
        assert begins.astimezone(UTC) == at
        assert begins.replace(tzinfo=None) == at.astimezone(rules).replace(tzinfo=None)
        assert ends is not None
        assert ends.astimezone(UTC) == at + timedelta(hours=8)


def _is_twice(local: datetime) -> bool:
    return local.replace(fold=0).utcoffset() != local.replace(fold=1).utcoffset()


def test_kitchen_and_venue_by_their_own_clocks() -> None:
    # Leaves Denver at 22:30 on the eve of the American change; arrives in London by its clock the next afternoon.
    leaves = datetime(2027, 3, 13, 22, 30, tzinfo=ZoneInfo("America/Denver"))
    arrives = datetime(2027, 3, 14, 16, 0, tzinfo=ZoneInfo("Europe/London"))
    content = written(moment(leaves, "America/Denver", until=arrives, end_zone="Europe/London"))
    text = content.decode()
    assert "DTSTART;TZID=America/Denver:20270313T223000" in text
    assert "DTEND;TZID=Europe/London:20270314T160000" in text
    assert text.count("BEGIN:VTIMEZONE") == 2
    ((begins, ends),) = read_by_its_own_rules(content)
    assert ends is not None
    # 22:30 MST is 05:30 UTC, 16:00 GMT is 16:00 UTC: ten and a half hours.
    assert ends - begins == timedelta(hours=10, minutes=30)


@settings(max_examples=40, deadline=None)
@given(
    at=st.datetimes(datetime(2024, 1, 1), datetime(2036, 12, 31), timezones=st.just(UTC)),
    zone=st.sampled_from(ZONES),
)
def test_any_moment_in_any_zone_comes_back_by_the_rules_in_the_file(at: datetime, zone: str) -> None:
    whole = at.replace(microsecond=0)
    if _is_twice(whole.astimezone(ZoneInfo(zone))):
        return
    content = written(moment(whole, zone))
    (event,) = events(content)
    assert event.decoded("dtstart") == whole
    ((begins, ends),) = read_by_its_own_rules(content)
    assert begins.astimezone(UTC) == whole
    assert ends is None


def test_rules_are_written_by_the_clock_before_each_change() -> None:
    # RFC 5545, 3.6.5: the onset is local time by TZOFFSETFROM, so New York's spring onset reads 02:00, not 03:00.
    text = written(moment(datetime(2027, 6, 1, 12, tzinfo=ZoneInfo("America/Denver")), "America/Denver")).decode()
    assert "DTSTART:20270314T020000" in text
    assert "DTSTART:20271107T020000" in text


def test_whole_days_end_on_the_day_after() -> None:
    one = Dated(key="freeze", title="Last day for changes", first_day=date(2027, 6, 12))
    more = Dated(key="bake", title="Bake", first_day=date(2027, 6, 24), last_day=date(2027, 6, 25))
    first, second = events(written(one, more))
    assert (first.decoded("dtstart"), first.decoded("dtend")) == (date(2027, 6, 12), date(2027, 6, 13))
    assert (second.decoded("dtstart"), second.decoded("dtend")) == (date(2027, 6, 24), date(2027, 6, 26))


def test_what_is_written_can_be_read_whole() -> None:
    at = datetime(2027, 6, 26, 18, 30, tzinfo=ZoneInfo("America/Denver"))
    (event,) = events(written(moment(at, "America/Denver"), revision=7))
    assert str(event["summary"]) == "Set-up: a supper, and; more"
    assert str(event["description"]) == "First line\nsecond, with comma"
    assert str(event["location"]) == "Boathouse"
    assert str(event["sequence"]) == "7"
    assert event.decoded("dtstamp") == STAMP
    second = vobject.readOne(written(moment(at, "America/Denver")).decode())
    assert second.vevent.summary.value == "Set-up: a supper, and; more"
    assert second.vevent.description.value == "First line\nsecond, with comma"
    assert second.prodid.value == "-//Tierwright//Commission//EN"


def test_the_same_date_keeps_its_name_through_every_version() -> None:
    at = datetime(2027, 6, 26, 18, 30, tzinfo=ZoneInfo("America/Denver"))
    first, moved = (events(written(moment(when, "America/Denver")))[0] for when in (at, at + timedelta(hours=1)))
    assert str(first["uid"]) == str(moved["uid"])
    other = events(write_calendar([moment(at, "America/Denver")], owner="other", name="x", stamp=STAMP))[0]
    assert str(other["uid"]) != str(first["uid"])


def test_same_dates_give_the_same_bytes_and_keep_lines_short() -> None:
    at = datetime(2027, 6, 26, 18, 30, tzinfo=ZoneInfo("America/Denver"))
    long = Dated(key="x", title="Ä very long title " * 20, begins=at, begin_zone="America/Denver")
    assert written(long) == written(long)
    # RFC 5545, 3.1: at most 75 octets a line, CRLF at its end.
    lines = written(long).split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 for line in lines)


def test_a_date_without_a_day_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a moment or a day"):
        written(Dated(key="x", title="Some day"))


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(ZONES), st.integers(1970, 2036), st.integers(1, 3))
def test_changes_are_found_in_order_and_only_where_clocks_change(zone: str, year: int, years: int) -> None:
    first = datetime(year, 1, 1, tzinfo=UTC)
    found = changes_of(zone, first, first.replace(year=year + years))
    assert all(a < b for a, b in pairwise(found))
    rules = ZoneInfo(zone)
    for at in found:
        before, after = (at - timedelta(seconds=1)).astimezone(rules), at.astimezone(rules)
        assert (before.utcoffset(), before.tzname()) != (after.utcoffset(), after.tzname())
