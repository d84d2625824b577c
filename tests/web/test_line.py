"""The line: time runs one way, the last days have room, and the ends are the ends."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from tierwright.web.frame.board import across
from tierwright.web.frame.line import COLUMNS, State, hang, share_along, state_of
from tierwright.web.sheet import Moments, sheets
from tierwright.working import Question, Severity

END = datetime(2027, 6, 27, 4, 30, tzinfo=UTC)
MOMENTS = Moments(
    enquired=END - timedelta(days=210),
    handover=END - timedelta(hours=4),
    cutting=END - timedelta(hours=1.75),
    last_slice=END,
)
hours = st.floats(min_value=0, max_value=210 * 24)


@given(early=hours, late=hours)
def test_time_runs_one_way(early: float, late: float) -> None:
    early, late = sorted((early, late))
    first, second = (share_along(MOMENTS.enquired + timedelta(hours=h), MOMENTS) for h in (early, late))
    assert 0 <= first <= second <= 1


def test_the_ends_stand_at_the_ends_and_so_does_what_lies_beyond() -> None:
    assert share_along(MOMENTS.enquired, MOMENTS) == 0
    assert share_along(MOMENTS.last_slice, MOMENTS) == 1
    assert share_along(MOMENTS.enquired - timedelta(days=9), MOMENTS) == 0
    assert share_along(MOMENTS.last_slice + timedelta(days=9), MOMENTS) == 1


def test_the_last_three_days_have_a_third_of_the_line() -> None:
    # What the scale is for: most of the work falls into them.
    assert share_along(MOMENTS.last_slice - timedelta(days=3), MOMENTS) < 2 / 3


def test_sheets_hang_in_the_order_of_their_work_with_their_gravest_question() -> None:
    question = Question(key="q", severity=Severity.STOP, sheet="coats", text="?", reason="")
    line = hang(MOMENTS, sheets().values(), [question], MOMENTS.enquired + timedelta(days=1), "coats")
    assert [h.when for h in line.hung] == sorted(h.when for h in line.hung)
    assert line.hung[0].sheet.key == "tiers"
    coats = next(h for h in line.hung if h.sheet.key == "coats")
    assert (coats.state, coats.questions, coats.current) == (State.STOP, 1, True)
    assert all(1 <= tick.column <= COLUMNS for tick in (*line.ticks, line.now))
    assert not line.over


def test_a_late_enquiry_never_hangs_work_before_it() -> None:
    late = Moments(enquired=END - timedelta(days=2), handover=MOMENTS.handover, cutting=MOMENTS.cutting, last_slice=END)
    assert all(sheet.hangs(late) >= late.enquired for sheet in sheets().values())


def test_severities_have_one_state_each() -> None:
    assert [state_of(severity) for severity in (0, 1, 2, 3, 4)] == ["clear", "clear", "ask", "stop", "danger"]


@given(days=st.floats(min_value=-30, max_value=800))
def test_the_board_keeps_everything_on_it(days: float) -> None:
    assert 0 <= across(timedelta(days=days)) <= 1
