"""What the week says to a maker: can I take this, why not, what now, how safe."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from tests.week.cases import at, four_orders, job, kitchen, random_jobs

from tierwright.brief import Kitchen
from tierwright.errors import Infeasible
from tierwright.week import (
    AheadWork,
    Answer,
    Away,
    Failed,
    JobWork,
    Pin,
    Settings,
    TaskKind,
    Wishes,
    admit,
    carry_over,
    check,
    explain,
    plan_jobs,
    replan,
    search,
    simulate,
)
from tierwright.week.model import Rest
from tierwright.week.people import name_hands
from tierwright.week.plan import clock_for
from tierwright.week.tasks import problem_of, reserve_of

QUICK = Settings(effort=0.3, rounds=0, polish=0.1)
ROOMY = kitchen(hands=2, fridge=(600, 500, 2500), freezer=(600, 500, 2000))


def _causes(jobs: tuple[JobWork, ...], owned: Kitchen, wishes: Wishes | None = None) -> tuple[set[str], set[str]]:
    """Return the resources and rules that are named for a week that must be impossible."""
    problem = problem_of(jobs, owned, clock_for(jobs, owned), wishes)
    assert search(problem, QUICK).plan is None
    causes = explain(problem, Settings(effort=0.5))
    kinds = {problem.resource[c.resource].kind.value for c in causes if c.resource}
    assert all(c.text for c in causes)
    return kinds, {c.rule for c in causes}


@pytest.mark.parametrize("n", range(6))
def test_two_deliveries_at_one_time_want_two_vehicles(n: int) -> None:
    time = at(5, 11 + n)
    jobs = tuple(
        job(k, time, opens=time - timedelta(minutes=50), widths=(150.0 + 10 * n,), travel=40.0 + 5 * n) for k in "ab"
    )
    kinds, _ = _causes(jobs, ROOMY)
    assert "vehicle" in kinds
    problem = problem_of(jobs, ROOMY, clock_for(jobs, ROOMY), Wishes(vans=2))
    assert search(problem, QUICK).plan is not None


@pytest.mark.parametrize("n", range(6))
def test_a_fridge_too_small_for_the_boxes_is_named(n: int) -> None:
    owned = kitchen(hands=2, fridge=(300, 300, 250 + 20 * n))
    kinds, _ = _causes((job("a", at(5, 14), widths=(250.0, 200.0)),), owned)
    assert kinds == {"fridge"}


@pytest.mark.parametrize("n", range(6))
def test_hands_that_are_not_there_are_named(n: int) -> None:
    owned = kitchen(hours=("10:00", f"{12 + n % 2}:00"), days=("Thu", "Fri", "Sat"))
    jobs = tuple(job(k, at(5, 12), opens=at(5, 10), collected=True, widths=(250.0, 200.0)) for k in "abcd"[: 3 + n % 2])
    jobs = tuple(replace(one, wishes=1 + n // 2) for one in jobs)
    kinds, _ = _causes(jobs, owned)
    assert kinds == {"hands"}


@pytest.mark.parametrize("n", range(6))
def test_a_pan_that_wants_more_shelves_than_there_are_is_named(n: int) -> None:
    one = job("a", at(5, 11 + n), widths=(200.0,), shelves=2)
    kinds, rules = _causes((one,), kitchen(shelves=1))
    assert kinds == {"oven"}
    assert rules == {"size"}


@pytest.mark.parametrize("n", range(6))
def test_a_handover_while_nobody_works_is_named(n: int) -> None:
    # Collected in the middle of the night, when nobody is there to hand it over.
    one = job("a", at(5, 2 + n // 2), opens=at(5, 1 + n // 2), collected=True, widths=(200.0 + 10 * n,))
    kinds, rules = _causes((one,), ROOMY)
    assert kinds == {"hands"}
    assert rules <= {"opening", "crowded"}


def test_no_plan_raises_with_its_cause() -> None:
    one = job("a", at(5, 3), opens=at(5, 2), collected=True)
    with pytest.raises(Infeasible, match="finds nobody at work"):
        plan_jobs((one,), ROOMY, settings=QUICK)


def test_four_orders_round_one_small_oven_are_taken_with_changes() -> None:
    jobs, owned = four_orders()
    answer = admit((), jobs, owned, settings=Settings(effort=0.1, rounds=0, polish=0.0))
    assert answer.answer is Answer.CHANGES
    # A skilled maker gives the two collected cakes fillings that keep, and holds them in the cool room.
    offered = {change.key for change in (*answer.changes, *answer.others)}
    assert {"stable:B", "stable:C"} & offered
    assert any("Fridge" in cause.text for cause in answer.causes)
    assert answer.plan is not None
    assert not check(answer.plan.problem, answer.plan.schedule)
    # Nothing without nuts is worked on from when the nuts come out until the clean-down is over.
    starts = answer.plan.schedule.starts()
    ends = {item.task: item.end for item in answer.plan.schedule.placed}
    opened = min(starts[k] for k in starts if k in ("C/make.filling", "C/fill.t0", "C/coat.t0"))
    cleaned = ends["C/clean-down.finishing.0"]
    for key, start in starts.items():
        if key.split("/")[0] in "ABD" and any(w in key for w in ("fill.", "coat.", "box.", "mix.", "decorate")):
            assert ends[key] <= opened or start >= cleaned, key


def test_what_nobody_says_is_absent_is_kept_from_a_guest_who_reacts_to_it() -> None:
    unsure = replace(job("a", at(5, 15), widths=(200.0,)), perhaps=(("coat", ("soya",)),))
    careless = job("b", at(5, 12), widths=(200.0,), collected=True)
    careful = replace(careless, avoids=("soya",))
    assert not problem_of((unsure, careless), ROOMY, clock_for((unsure, careless), ROOMY)).blocks
    (block,) = problem_of((unsure, careful), ROOMY, clock_for((unsure, careful), ROOMY)).blocks
    assert block.what == "soya"
    assert "a/make.coat" in block.inside
    assert "b/coat.t0" in block.outside


def test_a_light_week_takes_another_commission_as_it_is() -> None:
    jobs = random_jobs(2, 4)
    answer = admit(jobs[:1], jobs[1], ROOMY, settings=QUICK)
    assert answer.answer is Answer.YES
    assert answer.changes == ()


def test_a_commission_that_cannot_work_is_refused_with_the_reason() -> None:
    one = job("a", at(5, 12), widths=(200.0,), shelves=3)
    answer = admit((), one, kitchen(shelves=1), settings=QUICK)
    assert answer.answer is Answer.NO
    assert answer.causes[0].resource.startswith("oven")


@pytest.mark.parametrize("seed", [4, 9])
def test_a_lost_bake_moves_little(seed: int) -> None:
    jobs = random_jobs(2, seed)
    week = plan_jobs(jobs, ROOMY, settings=QUICK)
    bakes = sorted((p for p in week.schedule.placed if "/bake." in p.task), key=lambda p: p.start)
    lost = bakes[0]
    now = lost.end + 4
    after = replan(week.problem, week.schedule, now, failed=[Failed(task=lost.task)])
    placed = {item.task: item for item in after.schedule.placed}
    assert placed[lost.task].start >= now
    assert f"{lost.task}#again" in placed
    again = {m.task for m in after.moved}
    for item in week.schedule.placed:  # what had begun and was not lost stays
        if item.start < now and item.task not in again:
            assert placed[item.task].start == item.start
    # Of all that was not lost, only what waits for the lost bake has moved, and hardly any of it.
    own = {task for task in placed if task.split("/")[0] == lost.task.split("/")[0]}
    assert again <= own
    assert after.kept_share > 0.95


def test_what_is_held_is_done_and_takes_its_choice_with_it() -> None:
    # Freezing is made dear, so nothing is frozen of itself; a thawing that has begun is not undone by a new plan.
    jobs = (job("a", at(5, 15), widths=(200.0,), collected=True),)
    clock = clock_for(jobs, ROOMY)
    problem = problem_of(jobs, ROOMY, clock)
    problem = replace(problem, choices=tuple(replace(choice, cost=100_000) for choice in problem.choices))
    fresh = search(problem, QUICK).plan
    thaw = Pin(task="a/thaw.t0", start=clock.step(at(4, 9)))
    frozen = search(problem, QUICK, pins=[thaw]).plan
    assert fresh is not None
    assert frozen is not None
    assert (fresh.chosen, frozen.chosen) == ((), ("a/freeze",))
    assert frozen.starts()["a/thaw.t0"] == thaw.start


def test_an_ill_hand_gets_no_work() -> None:
    jobs = random_jobs(2, 4)
    week = plan_jobs(jobs, ROOMY, settings=QUICK)
    clock = week.clock
    ill = Away(hand="Hand 1", begin=at(3, 0), end=at(4, 0))
    changed = problem_of(jobs, ROOMY, clock, Wishes(away=(ill,)))
    renewed = search(changed, QUICK)
    assert renewed.plan is not None
    alone = next(r.key for r in changed.resources if r.names == ("Hand 1",))
    for item in renewed.plan.placed:
        if alone in item.picks:
            assert item.end <= clock.step(ill.begin) or item.start >= clock.step(ill.end)


def test_an_ill_hand_s_work_goes_to_another_and_little_else_moves() -> None:
    jobs = random_jobs(2, 4)
    staffed = kitchen(hands=3, fridge=(600, 500, 2500), freezer=(600, 500, 2000))
    week = plan_jobs(jobs, staffed, settings=QUICK)
    worked = [sum("Hand 1" in b.hands and b.begin.date() == at(d, 0).date() for b in week.bars) for d in range(7)]
    day = min((d for d in range(7) if worked[d]), key=lambda d: worked[d])
    ill = Away(hand="Hand 1", begin=at(day, 0), end=at(day + 1, 0))
    changed = problem_of(jobs, staffed, week.clock, Wishes(away=(ill,)))
    problem, old = carry_over(week.problem, week.schedule, changed)
    # The crews are others now, yet who was named for a task still is.
    before, after = name_hands(week.problem, week.schedule), name_hands(problem, old)
    assert all(("Hand 1" in after[key]) == ("Hand 1" in names) for key, names in before.items() if key in after)
    done = replan(problem, old, week.clock.step(ill.begin), settings=Settings(effort=1.0))
    assert not check(done.problem, done.schedule)
    alone = next(r.key for r in changed.resources if r.names == ("Hand 1",))
    begin, end = week.clock.step(ill.begin), week.clock.step(ill.end)
    assert all(i.end <= begin or i.start >= end for i in done.schedule.placed if alone in i.picks)
    assert done.kept_share > 0.5


def test_a_rest_of_the_week_that_cannot_work_names_what_there_is_not_enough_of() -> None:
    # The oven breaks down for good after the first load; nothing that is still to be baked finds another.
    jobs = (job("a", at(5, 15), widths=(200.0, 150.0)),)
    week = plan_jobs(jobs, ROOMY, settings=QUICK)
    first = min((p for p in week.schedule.placed if "/bake." in p.task), key=lambda p: p.start)
    now = first.end + 4
    oven = week.problem.resource[next(pick for pick in first.picks if pick.startswith("oven"))]
    broken = replace(oven, rests=(*oven.rests, Rest(start=now, end=week.problem.horizon)))
    problem = replace(week.problem, resources=tuple(broken if r.key == oven.key else r for r in week.problem.resources))
    with pytest.raises(Infeasible, match=f"in the way: .* nothing free in {oven.label}"):
        replan(problem, week.schedule, now, failed=[Failed(task=first.task)])


def test_a_bake_may_be_lost_twice() -> None:
    long = kitchen(hands=2, hours=("05:00", "23:00"), fridge=(600, 500, 2500), freezer=(600, 500, 2000))
    jobs = (job("a", at(5, 15), widths=(200.0,)),)
    clock = clock_for(jobs, long)
    early = Pin(task="a/bake.1", start=clock.step(at(3, 8)))
    week = plan_jobs(jobs, long, settings=QUICK, pins=[early])
    lost = min((p for p in week.schedule.placed if "/bake." in p.task), key=lambda p: p.start)
    soon = Pin(task=lost.task, start=lost.end + 24)  # baked again the same morning
    first = replan(week.problem, week.schedule, lost.end + 4, failed=[Failed(task=lost.task)], pins=[soon])
    again = next(p for p in first.schedule.placed if p.task == lost.task)
    second = replan(first.problem, first.schedule, again.end + 4, failed=[Failed(task=lost.task)])
    records = [p.task for p in second.schedule.placed if p.task.startswith(f"{lost.task}#again")]
    assert len(records) == 2


def test_slack_and_chances() -> None:
    week = plan_jobs(random_jobs(2, 4), ROOMY, settings=QUICK)
    first = simulate(week.problem, week.schedule, runs=300, seed=3)
    assert first == simulate(week.problem, week.schedule, runs=300, seed=3)
    for margin in first.margins:
        assert margin.slack >= 0
        assert margin.restart <= margin.latest
    assert 0.0 <= first.any_late <= 1.0
    # Without spread a plan that keeps its limits is never late.
    sure = replace(
        week.problem,
        tasks=tuple(replace(t, low_steps=float(t.steps), high_steps=float(t.steps)) for t in week.problem.tasks),
    )
    assert simulate(sure, week.schedule, runs=50).any_late == 0.0
    # Twice the spread is never safer.
    wide = replace(
        week.problem,
        tasks=tuple(replace(t, high_steps=t.steps + 2 * (t.high_steps - t.steps)) for t in week.problem.tasks),
    )
    assert simulate(wide, week.schedule, runs=300, seed=3).any_late >= first.any_late


def test_slipping_a_task_by_its_slack_is_still_in_time() -> None:
    week = plan_jobs(random_jobs(2, 4), ROOMY, settings=QUICK)
    margins = {m.task: m for m in simulate(week.problem, week.schedule, runs=10).margins}
    load = next(m for key, m in margins.items() if "/load" in key or "/hand-over" in key)
    task = week.problem.task[load.task]
    assert load.latest + task.steps <= (task.latest or week.problem.horizon)


def test_what_follows_without_a_pause_is_over_in_time_but_for_the_share() -> None:
    # Against drawing: two hundred thousand trips of load, drive and set-up, each a two-piece normal round its median.
    random = np.random.default_rng(3)
    week = problem_of((job("a", at(5, 15)),), ROOMY, clock_for((job("a", at(5, 15)),), ROOMY))
    trip = [task for task in week.tasks if task.kind in (TaskKind.LOAD, TaskKind.DRIVE, TaskKind.SET_UP)]
    assert len(trip) == 3
    total = np.zeros(200_000)
    for task in trip:
        draw = random.standard_normal(total.size)
        up, down = (task.high_steps - task.steps) / 1.28155, (task.steps - task.low_steps) / 1.28155
        total += np.where(draw > 0, draw * up, draw * down)
    for share in (0.2, 0.1, 0.05):
        reserve = reserve_of(trip, share)
        # Up to a step of rounding and the long right tail that a normal sum does not have.
        assert (total > reserve).mean() < 1.3 * share
        assert (total > reserve - 2).mean() > 0.7 * share
    assert reserve_of([], 0.02) == 0


def test_a_plan_is_in_time_by_default() -> None:
    jobs = random_jobs(2, 4)
    jobs = with_wide_windows(jobs)
    careless = plan_jobs(jobs, ROOMY, wishes=Wishes(in_time=0.0, pauses=0.0), settings=QUICK)
    careful = plan_jobs(jobs, ROOMY, settings=QUICK)
    assert simulate(careless.problem, careless.schedule).any_late > 0.4
    assert simulate(careful.problem, careful.schedule).any_late < 0.06
    assert careful.advice == ()


def with_wide_windows(jobs: tuple[JobWork, ...]) -> tuple[JobWork, ...]:
    """Give every delivery a window of three hours."""
    return tuple(one if one.collected else replace(one, opens=one.closes - timedelta(hours=3)) for one in jobs)


def test_a_window_that_is_too_short_to_be_safe_is_named() -> None:
    one = job("a", at(5, 15), opens=at(5, 14), widths=(200.0, 150.0))
    week = plan_jobs((one,), ROOMY, settings=QUICK)
    (said,) = week.advice
    assert "have the room opened" in said


def test_what_is_pressed_for_weeks_is_said_with_its_day() -> None:
    pressed = AheadWork(key="press.1", label="Press violas", hands_min=20.0, dry_min=14 * 1440.0, most_min=30 * 1440.0)
    one = replace(job("a", at(5, 15), widths=(150.0,), collected=True), long_ahead=(pressed,))
    week = plan_jobs((one,), ROOMY, settings=QUICK)
    begin = min(bar.begin for bar in week.bars if bar.kind is TaskKind.DECORATE)
    by = begin - timedelta(days=14, minutes=20)
    assert any("Press violas" in text and f"{by.day} {by:%B %Y}" in text for text in week.advice)


def test_layers_cool_freeze_and_thaw_as_long_as_they_were_worked_out_to() -> None:
    one = job("a", at(5, 15), widths=(200.0,))
    tier = replace(one.tiers[0], to_fill_min=200.0, to_freeze_min=600.0, to_thaw_min=130.0)
    problem = problem_of((replace(one, tiers=(tier,)),), ROOMY, clock_for((one,), ROOMY))
    assert problem.task["a/thaw.t0"].steps == 26
    lags = {(lag.before, lag.after): lag.least for lag in problem.lags if lag.least}
    assert lags["a/bake.1", "a/trim.t0"] == 40
    assert lags["a/trim.t0", "a/thaw.t0"] == 120


def test_within_a_commission_what_must_stay_free_is_made_first_or_after_a_clean_down() -> None:
    one = replace(
        job("a", at(5, 15), widths=(200.0,)), order=("batter", "filling", "coat"),
        free=(("filling", ("milk",)), ("coat", ("wheat",))),
    )  # fmt: skip
    week = plan_jobs((one,), ROOMY, settings=QUICK)
    starts = week.schedule.starts()
    ends = {item.task: item.end for item in week.schedule.placed}
    assert ends["a/make.filling"] <= starts["a/make.coat"]  # the coat has milk in it
    cleaned = ends["a/clean-down.batters"]
    opened = starts["a/weigh.batter"]
    for cream in ("a/make.filling", "a/make.coat"):
        assert ends[cream] <= opened or starts[cream] >= cleaned
    dirty = replace(one, order=("coat", "filling"), free=(("filling", ("milk",)),))
    cleaned_between = plan_jobs((dirty,), ROOMY, settings=QUICK).schedule
    ends = {item.task: item.end for item in cleaned_between.placed}
    assert ends["a/make.coat"] < ends["a/clean-down.before.filling"] <= cleaned_between.starts()["a/make.filling"]
