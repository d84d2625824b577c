"""A bar of the week is taken up by key and by hand, and stays where it was put when the rest is planned again."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from playwright.sync_api import expect
from tests.browser.conftest import Opener
from tests.week.cases import at, job, kitchen

from tierwright.web.jobs.models import Job, State
from tierwright.web.jobs.running import run
from tierwright.web.models import Commission
from tierwright.web.plans import planning, views, weeks
from tierwright.web.plans.models import HeldTask, KeptWeek
from tierwright.week import Settings, WeekPlan, plan_jobs

MONDAY = "2027-06-21"
CLEAN = "c1/clean.finish"
SHELVES = "c1/supports"


@pytest.fixture
def kept(commission: Commission, monkeypatch: pytest.MonkeyPatch) -> KeptWeek:
    owned = kitchen(hands=2, fridge=(600, 500, 2500), freezer=(600, 500, 2000))
    plan = plan_jobs(
        (job("c1", at(5, 15), widths=(200.0, 150.0), title="Supper"),), owned,
        settings=Settings(effort=0.3, rounds=0, polish=0.1),
    )  # fmt: skip
    for module in (planning, views, weeks):
        monkeypatch.setattr(module, "owned_of", lambda _kitchen: owned)
    monkeypatch.setattr(planning, "works_of", lambda _kitchen, _whose: plan.jobs)
    return KeptWeek.objects.create(
        kitchen=commission.kitchen, monday=MONDAY, whose=[[commission.pk, 1]], plan=KeptWeek.packed(plan),
        wishes={"monday": MONDAY, "whose": [], "overtime_min": 0, "effort": 0.3}, safe=planning.safety(plan),
        words="planned",
    )  # fmt: skip


def newest() -> WeekPlan:
    kept = KeptWeek.objects.first()
    assert kept is not None
    return kept.read()


def begin_of(plan: WeekPlan, task: str) -> datetime:
    return next(bar.begin for bar in plan.bars if bar.task == task)


def test_a_bar_is_held_by_key_and_by_hand_and_stays(open_page: Opener, kept: KeptWeek) -> None:
    page = open_page()
    page.goto(f"/k/{kept.kitchen_id}/week/{MONDAY}/")
    was = begin_of(newest(), CLEAN)
    bar = page.locator(f'[data-week] [data-task="{CLEAN}"]').first
    bar.focus()
    for key in ("Enter", "ArrowRight", "ArrowRight", "Enter"):
        page.keyboard.press(key)
    expect(page.get_by_role("heading", name="Held where a hand has put it")).to_be_visible()
    (by_key,) = HeldTask.objects.all()
    assert (by_key.task, by_key.begins - was) == (CLEAN, timedelta(minutes=10))

    was = begin_of(newest(), SHELVES)
    bar = page.locator(f'[data-week] [data-task="{SHELVES}"]').first
    bar.scroll_into_view_if_needed()
    box = bar.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 6, y, steps=3)
    page.mouse.up()
    page.wait_for_load_state()
    expect(page.get_by_role("button", name="Let it go")).to_have_count(2)
    by_hand = HeldTask.objects.get(task=SHELVES)
    assert by_hand.begins > was

    page.get_by_role("button", name="Plan the rest round it").click()
    page.wait_for_load_state()
    job_row = Job.objects.get(kind="week.again")
    run(job_row.pk)
    job_row.refresh_from_db()
    assert job_row.state == State.DONE, job_row.error
    after = newest()
    assert begin_of(after, CLEAN) == by_key.begins
    assert begin_of(after, SHELVES) == by_hand.begins
    page.reload()
    expect(page.get_by_text("the plan does not have it there yet")).to_have_count(0)
