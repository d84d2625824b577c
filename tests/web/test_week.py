"""The week in the browser: planned behind the page, moved by hand, planned again, and who may do what."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta
from functools import lru_cache

import pytest
from django.test import Client
from icalendar import Calendar
from tests.web.conftest import Cast
from tests.week.cases import at, job, kitchen

from tierwright.web.jobs.models import Job, State
from tierwright.web.jobs.running import run
from tierwright.web.plans import views, weeks
from tierwright.web.plans.models import AwayDay, HeldTask, KeptWeek
from tierwright.web.plans.planning import safety, said
from tierwright.web.plans.weeks import Asked
from tierwright.week import Progress, Schedule, Settings, TaskKind, WeekPlan, check, from_json, plan_jobs

MONDAY = "2027-06-21"
READ = ("", "day-sheets.pdf", "week.ics", "week.json", "week.csv", "week.svg")
OWNERS = ("plan/", "rest/", "hold/", "let-go/")


@lru_cache(maxsize=1)
def small() -> WeekPlan:
    """One small commission in a kitchen with two pairs of hands."""
    jobs = (job("c1", at(5, 15), widths=(200.0,), title="Supper & <dance>"),)
    owned = kitchen(hands=2, fridge=(600, 500, 2500), freezer=(600, 500, 2000))
    return plan_jobs(jobs, owned, settings=Settings(effort=0.5, rounds=0, polish=0.3))


@pytest.fixture
def kept(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> KeptWeek:
    """A kept plan; the long work behind the page reads its small commission instead of a dossier."""
    owned = kitchen(hands=2, fridge=(600, 500, 2500), freezer=(600, 500, 2000))
    for module in (views, weeks):
        monkeypatch.setattr(module, "owned_of", lambda _kitchen: owned)
    from tierwright.web.plans import planning

    monkeypatch.setattr(planning, "owned_of", lambda _kitchen: owned)
    monkeypatch.setattr(planning, "works_of", lambda _kitchen, _whose: small().jobs)
    return KeptWeek.objects.create(
        kitchen=cast.kitchen, monday=MONDAY, whose=[[cast.commission.pk, 1]], plan=KeptWeek.packed(small()),
        wishes={"monday": MONDAY, "whose": [], "overtime_min": 0, "effort": 0.3}, safe=safety(small()), words="planned",
    )  # fmt: skip


def url(cast: Cast, rest: str = "") -> str:
    return f"/k/{cast.kitchen.pk}/week/{MONDAY}/{rest}"


def texts(answer: object) -> str:
    content: bytes = answer.content  # type: ignore[attr-defined]
    return content.decode()


def roles(cast: Cast) -> Iterator[tuple[str, Client]]:
    yield "nobody", cast.client(None)
    yield "stranger", cast.client(cast.cleo)
    yield "helper", cast.client(cast.ben)
    yield "owner", cast.client(cast.ada)


def test_who_may_read_and_who_may_plan(cast: Cast, kept: KeptWeek) -> None:
    for who, browser in roles(cast):
        reading = {"nobody": 302, "stranger": 404, "helper": 200, "owner": 200}[who]
        for rest in READ:
            assert browser.get(url(cast, rest)).status_code == reading, (who, rest)
        for rest in OWNERS:
            code = browser.post(url(cast, rest), {"overtime": "7"}).status_code
            assert code in {"nobody": (302,), "stranger": (404,), "helper": (403,), "owner": (302, 404)}[who], (
                who,
                rest,
            )
        code = browser.post(url(cast, "happened/"), {"what": "nothing"}).status_code
        assert code == (302 if who == "nobody" else 404)
        take = browser.get(cast.url("take/")).status_code
        assert take == {"nobody": 302, "stranger": 404, "helper": 403, "owner": 200}[who]
    theirs = f"/k/{cast.kitchen.pk}/c/{cast.others_commission.pk}/take/"
    assert cast.client(cast.ada).get(theirs).status_code == 404
    assert KeptWeek.objects.count() == 1
    assert cast.client(cast.ada).get(f"/k/{cast.kitchen.pk}/week/2027-06-22/").status_code == 404, "no Monday"
    assert cast.client(cast.ada).get(f"/k/{cast.kitchen.pk}/week/")["Location"].endswith(f"/week/{MONDAY}/")


def test_the_page_shows_every_task_and_holds_nothing_that_the_policy_forbids(cast: Cast, kept: KeptWeek) -> None:
    page = texts(cast.client(cast.ada).get(url(cast)))
    for bar in small().bars:
        if bar.job:
            # What only lies in a cold place is drawn as the level of that place, and held from the list of the day.
            drawn = bar.hands or bar.kind is not TaskKind.THAW
            assert (f'data-task="{bar.task}"' in page) == bool(drawn), bar.task
            assert f'data-line="{bar.task}"' in page
    assert "Supper &amp; &lt;dance&gt;" in page
    assert "<dance>" not in page
    assert ' style="' not in page
    assert "<script>" not in page
    helper = texts(cast.client(cast.ben).get(url(cast)))
    assert "It failed: plan it again" in helper
    assert 'id="hold"' not in helper


def test_files_hold_the_plan(cast: Cast, kept: KeptWeek) -> None:
    browser = cast.client(cast.ben)
    assert browser.get(url(cast, "day-sheets.pdf")).content.startswith(b"%PDF")
    assert from_json(browser.get(url(cast, "week.json")).content).bars == small().bars
    events = [e for e in Calendar.from_ical(browser.get(url(cast, "week.ics")).content).walk() if e.name == "VEVENT"]
    assert len(events) == sum(bool(bar.hands) for bar in small().bars)


def test_what_counts_how_much_is_asked_and_kept(cast: Cast, kept: KeptWeek) -> None:
    browser = cast.client(cast.ada)
    said = {"overtime": "0", "effort": "0.3", "freshness": "3", "pauses": "0", "late_pct": "10"}
    for wrong in ({"freshness": "11"}, {"pauses": "much"}, {"late_pct": "0"}):
        browser.post(url(cast, "plan/"), said | wrong)
    assert not Job.objects.filter(kind="week.plan").exists()
    browser.post(url(cast, "plan/"), said)
    asked = Asked.read(Job.objects.get(kind="week.plan").asked)
    wishes = asked.wishes(cast.kitchen, small().clock)
    assert (wishes.freshness, wishes.pauses, wishes.late_share) == (3.0, 0.0, 0.1)
    kept.wishes = asked.plain()
    kept.save()
    page = texts(browser.get(url(cast)))
    assert re.search(r'name="freshness"[^>]*value="3"', page)
    assert re.search(r'name="late_pct"[^>]*value="10"', page)


def test_a_week_is_planned_behind_the_page_and_the_same_question_once(cast: Cast, kept: KeptWeek) -> None:
    browser = cast.client(cast.ada)
    for _ in range(2):
        assert browser.post(url(cast, "plan/"), {"overtime": "60", "effort": "0.3"}).status_code == 302
    (job_row,) = Job.objects.filter(kind="week.plan")
    assert "waiting its turn" in texts(browser.get(url(cast)))
    for _ in range(2):
        run(job_row.pk)
    job_row.refresh_from_db()
    assert (job_row.state, KeptWeek.objects.count()) == (State.DONE, 2)
    newest = KeptWeek.objects.first()
    assert newest is not None
    assert (newest.wishes["freshness"], newest.wishes["pauses"], newest.wishes["late_pct"]) == (1, 2, 2)
    plan = newest.read()
    assert not check(plan.problem, plan.schedule)
    assert "waiting its turn" not in texts(browser.get(url(cast)))


def test_a_move_that_keeps_every_limit_changes_that_task_alone(cast: Cast, kept: KeptWeek) -> None:
    plan = small()
    bar = next(b for b in plan.bars if b.task.endswith("/clean.finish"))
    free = next(
        s for s in range(plan.clock.step(bar.begin) + 1, plan.clock.horizon)
        if not check(plan.problem, _with(plan, bar.task, s))
    )  # fmt: skip
    browser = cast.client(cast.ada)
    browser.post(url(cast, "hold/"), {"task": bar.task, "begins": plan.clock.moment(free).isoformat()})
    newest = KeptWeek.objects.first()
    assert newest is not None
    assert newest.pk != kept.pk
    before, after = plan.schedule.starts(), newest.read().schedule.starts()
    assert {key for key in before if before[key] != after[key]} == {bar.task}
    assert after[bar.task] == free
    assert "nothing else had to move" in texts(browser.get(url(cast)))
    browser.post(url(cast, "let-go/"), {"task": bar.task})
    assert not HeldTask.objects.exists()


def _with(plan: WeekPlan, task: str, start: int) -> Schedule:
    from dataclasses import replace

    steps = plan.problem.task[task].steps
    return replace(
        plan.schedule,
        placed=tuple(replace(i, start=start, end=start + steps) if i.task == task else i for i in plan.schedule.placed),
    )


def test_a_move_that_breaks_a_limit_is_said_and_the_rest_is_planned_round_it(cast: Cast, kept: KeptWeek) -> None:
    plan = small()
    # Within hours, yet too early for what has to go before it or too late for what follows.
    bar, moved = next(
        (b, b.begin + by)
        for b in plan.bars if "/mix." in b.task or "/fill." in b.task
        for by in (timedelta(minutes=-30), timedelta(minutes=30))
        if 9 <= (b.begin + by).hour < 16 and check(plan.problem, _with(plan, b.task, plan.clock.step(b.begin + by)))
    )  # fmt: skip
    browser = cast.client(cast.ada)
    browser.post(url(cast, "hold/"), {"task": bar.task, "begins": moved.isoformat()})
    page = texts(browser.get(url(cast)))
    assert "does not work" in page
    assert KeptWeek.objects.count() == 1, "nothing is kept that cannot be followed"
    browser.post(url(cast, "rest/"))
    run(Job.objects.get(kind="week.again").pk)
    newest = KeptWeek.objects.first()
    assert newest is not None
    placed = {b.task: b for b in newest.read().bars}
    assert placed[bar.task].begin == moved
    assert bar.task in {one["task"] for one in newest.moved}
    assert not check(newest.read().problem, newest.read().schedule)


@pytest.mark.parametrize("begins", ["", "yesterday", "1999-01-01T10:00"])
def test_a_time_that_cannot_be_meant_moves_nothing(cast: Cast, kept: KeptWeek, begins: str) -> None:
    task = small().bars[0].task
    cast.client(cast.ada).post(url(cast, "hold/"), {"task": task, "begins": begins})
    assert not HeldTask.objects.exists()
    assert KeptWeek.objects.count() == 1


def test_a_failed_bake_and_a_sick_day_are_planned_round(cast: Cast, kept: KeptWeek) -> None:
    browser = cast.client(cast.ben)
    bake = next(b for b in small().bars if "/bake." in b.task)
    browser.post(url(cast, "happened/"), {"what": "failed", "task": bake.task})
    job_row = Job.objects.get(kind="week.again")
    job_row.asked |= {"now": (bake.end + timedelta(minutes=20)).isoformat()}
    job_row.save()
    run(job_row.pk)
    newest = KeptWeek.objects.first()
    assert newest is not None
    assert newest.pk != kept.pk, Job.objects.get(pk=job_row.pk).error
    again = {b.task: b for b in newest.read().bars}
    assert again[bake.task].begin >= bake.end
    assert f"{bake.task}#again" in again
    day = small().bars[0].begin.date()
    for what, count in (("away", 1), ("away", 1), ("there", 0)):
        browser.post(url(cast, "happened/"), {"what": what, "hand": "Hand 1", "day": day.isoformat()})
        assert AwayDay.objects.filter(hand="Hand 1").count() == count
    assert (
        browser.post(url(cast, "happened/"), {"what": "away", "hand": "Nobody", "day": "2027-06-21"}).status_code == 404
    )


def test_can_i_take_this_one(cast: Cast, kept: KeptWeek) -> None:
    browser = cast.client(cast.ada)
    assert "Can I take this one?" in texts(browser.get(cast.url("")))
    assert browser.post(cast.url("take/")).status_code == 302
    run(Job.objects.get(kind="week.take").pk)
    page = texts(browser.get(cast.url("take/")))
    assert "Yes." in page, page


def test_progress_says_what_is_proved() -> None:
    half = Progress(stage="placing", placed=1, of=3)
    assert said(half) == "1 of 3 commissions have their place."
    stands = Progress(stage="polishing", placed=3, of=3, overtime=0, cost=200, bound=150)
    assert "more than 25 % better" in said(stands)
    assert "nothing better" in said(Progress(stage="polishing", placed=3, of=3, overtime=0, cost=200, bound=200))
