"""Clocks, files and the chart."""

from __future__ import annotations

import csv
import io
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar
from tests.week.cases import ZONE, at, job, kitchen

from tierwright.larder import norms
from tierwright.week import (
    Settings,
    WeekPlan,
    day_sheets,
    from_json,
    plan_jobs,
    to_calendar,
    to_csv,
    to_json,
    week_chart,
)
from tierwright.week.calendar import grid, openings
from tierwright.week.norms import ages, limits
from tierwright.words import FORMULA_SIGNS, FormulaKind


@cache
def _week() -> WeekPlan:
    jobs = (
        job("a", at(5, 15), widths=(200.0, 150.0), title="Supper & <dance>"),
        job("b", at(5, 12), collected=True, widths=(150.0,)),
    )
    owned = kitchen(hands=2, fridge=(600, 500, 2000))
    return plan_jobs(jobs, owned, settings=Settings(effort=0.3, rounds=0, polish=0.0))


def test_grid_over_the_change_to_summer_time() -> None:
    # Directive 2000/84/EC: summer time begins on the last Sunday of March at 01:00 UTC; in 2027 that is the 28th.
    clock = grid(date(2027, 3, 27), date(2027, 3, 29), ZONE)
    assert clock.horizon == (3 * 24 - 1) * 12
    before = datetime(2027, 3, 27, 12, tzinfo=ZoneInfo(ZONE))
    after = datetime(2027, 3, 28, 12, tzinfo=ZoneInfo(ZONE))
    assert clock.step(after) - clock.step(before) == 23 * 12
    assert clock.moment(clock.step(after)) == after
    assert clock.moment(clock.step(after)).utcoffset() == timedelta(hours=2)
    assert clock.moment(clock.step(before)).utcoffset() == timedelta(hours=1)


def test_hours_are_wall_time_on_both_sides_of_the_change_to_winter_time() -> None:
    # The last Sunday of October 2027 is the 31st.
    clock = grid(date(2027, 10, 30), date(2027, 11, 1), ZONE)
    hand = kitchen().hands[0]
    spells = openings(hand, clock)
    assert [(clock.moment(a).hour, clock.moment(b).hour) for a, b in spells] == [(8, 18)] * 3
    assert spells[1][0] - spells[0][0] == 25 * 12


def test_every_moment_round_trips() -> None:
    clock = grid(date(2027, 10, 30), date(2027, 11, 1), ZONE)
    assert all(clock.step(clock.moment(step)) == step for step in range(clock.horizon))


def test_calendar_is_read_back_with_the_same_instants() -> None:
    week = _week()
    read = Calendar.from_ical(to_calendar(week))
    events = [part for part in read.walk() if part.name == "VEVENT"]
    worked = [bar for bar in week.bars if bar.hands]
    assert len(events) == len(worked)
    for event, bar in zip(events, worked, strict=True):
        assert event.decoded("dtstart") == bar.begin.astimezone(UTC)
        assert event.decoded("dtend") == bar.end.astimezone(UTC)
    assert len({str(event["uid"]) for event in events}) == len(events)
    one = Calendar.from_ical(to_calendar(week, "Hand 1"))
    assert 0 < len([p for p in one.walk() if p.name == "VEVENT"]) < len(events)


def test_json_and_csv_hold_the_whole_plan() -> None:
    week = _week()
    assert from_json(to_json(week)).bars == week.bars
    assert from_json(to_json(week)).schedule == week.schedule
    rows = list(csv.DictReader(io.StringIO(to_csv(week))))
    assert len(rows) == len(week.bars)
    for row, bar in zip(rows, week.bars, strict=True):
        assert datetime.fromisoformat(row["begin"]) == bar.begin
        assert datetime.fromisoformat(row["end"]) == bar.end


@pytest.mark.parametrize("sign", list(FORMULA_SIGNS))
def test_no_cell_of_the_csv_is_a_formula(sign: str) -> None:
    # OWASP, "CSV injection": a cell that begins with one of these is worked out by a spreadsheet.
    week = _week()
    named = f"{sign}HYPERLINK(1)"
    odd = replace(week.bars[0], commission=named, label=named, part=named, hands=(named,), places=(named,))
    (row,) = csv.DictReader(io.StringIO(to_csv(replace(week, bars=(odd,)))))
    for column in ("commission", "task", "part", "hands", "places"):
        assert row[column] == f"'{named}"
    assert not any(cell.startswith(FORMULA_SIGNS) for cell in row.values())


def test_nobody_is_in_two_places_at_once() -> None:
    week = _week()
    for hand in ("Hand 1", "Hand 2"):
        own = sorted((bar.begin, bar.end) for bar in week.bars if hand in bar.hands)
        assert own
        assert all(a[1] <= b[0] for a, b in pairwise(own))


def test_day_sheets_hold_every_task_of_every_hand() -> None:
    week = _week()
    sheets = day_sheets(week)
    on_sheets = sum(len(sheet.lines) for sheet in sheets)
    working = {(sheet.hand, sheet.day) for sheet in sheets}
    assert on_sheets == sum((h, bar.begin.date()) in working for bar in week.bars for h in bar.hands)
    for sheet in sheets:
        assert sheet.minutes > 0
        assert list(sheet.lines) == sorted(sheet.lines, key=lambda line: line.begin)


def test_chart_is_sound_and_inline_only() -> None:
    drawing = week_chart(_week())
    root = ET.fromstring(drawing.svg)
    text = drawing.svg
    assert "style=" not in text
    assert "<script" not in text
    assert "Supper &amp; &lt;dance&gt;" in text
    ids = [node.get("id") for node in root.iter() if node.get("id")]
    assert len(ids) == len(set(ids))
    for node in root.iter("{http://www.w3.org/2000/svg}rect"):
        assert float(node.get("width", "0")) > 0
        assert float(node.get("x", "0")) + float(node.get("width", "0")) <= drawing.width_mm + 0.01


def test_every_row_of_the_tables_has_a_source_and_a_sane_span() -> None:
    for norm in norms().values():
        assert str(norm.source)
        assert 0 < norm.low_share <= 1 <= norm.high_share
    for age in ages().values():
        assert age.source
        assert 0 <= age.rest_h < age.keep_h
        assert age.kind in norms()
    assert all(limit.source for limit in limits().values())
    # Every kind of formula that is not baked is in the table.
    assert {kind.value for kind in FormulaKind if not kind.is_batter} == set(ages())
