"""The engine and the checker, against enumeration and against each other."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from tests.week.cases import at, job, kitchen, random_jobs
from tests.week.tiny import best_by_enumeration, tiny

from tierwright.week import (
    Outcome,
    Pin,
    Problem,
    Schedule,
    Settings,
    Wishes,
    check,
    cost_of,
    plan_jobs,
    search,
    to_json,
)
from tierwright.week.plan import clock_for
from tierwright.week.tasks import problem_of
from tierwright.week.unlimited import unlimited

QUICK = Settings(effort=0.3, rounds=1, polish=0.1)


@pytest.mark.parametrize("block", range(11))
def test_agrees_with_enumeration(block: int) -> None:
    for seed in range(block * 20, block * 20 + 20):
        problem = tiny(seed)
        best = best_by_enumeration(problem)
        found = search(problem, Settings(polish=5.0))
        if best is None:
            assert found.outcome is Outcome.IMPOSSIBLE, seed
        else:
            assert found.plan is not None, seed
            assert found.outcome is Outcome.OPTIMAL, seed
            assert (found.plan.overtime, found.plan.cost) == best, seed


def _week(seed: int, count: int = 3, **more: object) -> Problem:
    owned = kitchen(hands=2, fridge=(600, 500, 2000), freezer=(600, 500, 1500))
    jobs = random_jobs(count, seed)
    return problem_of(jobs, owned, clock_for(jobs, owned), Wishes(**more))  # type: ignore[arg-type]


def _broken(plan: Schedule, problem: Problem, random: Random) -> Schedule:
    """Break a plan at one place: the end, the start, the picks or the presence of one task, or a choice."""
    number = random.randrange(len(plan.placed))
    item = plan.placed[number]
    way = random.randrange(6)
    others = [other for n, other in enumerate(plan.placed) if n != number]
    task = problem.task[item.task]
    if way == 0:  # out of the week
        begin = random.choice((-1 - random.randrange(50), problem.horizon + random.randrange(50)))
        others.append(replace(item, start=begin, end=begin + task.steps))
    elif way == 1:
        others.append(replace(item, end=item.end + random.choice((-1, 1, 2))))
    elif way == 2:  # left out
        pass
    elif way == 3:  # twice
        others += [item, item]
    elif way == 4:
        others.append(replace(item, picks=(*item.picks, "nobody")))
    else:  # at night, where no hands are, or where it has to be after itself
        owners = [other for other in plan.placed if any(pick.startswith("crew") for pick in other.picks)]
        item = random.choice(owners)
        others = [other for other in plan.placed if other is not item]
        rest = problem.resource[item.picks[0]].rests[random.randrange(1, 5)]
        begin = rest.start + random.randrange(max(1, rest.end - rest.start - 1))
        others.append(replace(item, start=begin, end=begin + problem.task[item.task].steps))
    return replace(plan, placed=tuple(others))


def test_the_checker_refuses_500_broken_plans() -> None:
    problem = _week(4)
    found = search(problem, QUICK)
    assert found.plan is not None
    assert not check(problem, found.plan)
    random = Random(7)
    for _ in range(500):
        assert check(problem, _broken(found.plan, problem, random))


def test_the_checker_and_the_model_agree_on_moved_tasks() -> None:
    # Every decision fixed, one task moved a little: the solver and the checker must say the same.
    problem = _week(11, count=2)
    found = search(problem, QUICK)
    assert found.plan is not None
    random = Random(3)
    verdicts = []
    for _ in range(40):
        number = random.randrange(len(found.plan.placed))
        item = found.plan.placed[number]
        by = random.choice((-24, -6, -2, -1, 1, 2, 6, 24))
        moved = replace(item, start=item.start + by, end=item.end + by)
        placed = (*found.plan.placed[:number], moved, *found.plan.placed[number + 1 :])
        plan = replace(found.plan, placed=placed)
        breaches = check(problem, plan)
        pins = [Pin(task=p.task, start=p.start, picks=p.picks) for p in placed]
        fixed = replace(
            problem,
            choices=tuple(replace(c, allowed=c.key in found.plan.chosen) for c in problem.choices),
            tasks=tuple(replace(t, earliest=max(0, t.earliest)) for t in problem.tasks),
        )
        if moved.start < 0 or any(b.rule == "window" for b in breaches):
            continue  # a pin overrides a window, so there is nothing to compare
        from tierwright.week.engine import Engine

        again = Engine(fixed, QUICK, pins).feasible(None, None, 2.0)
        # The engine may choose not to freeze where the plan does, but then tasks are missing; choices here are equal.
        assert (again.plan is not None) == (not breaches), (item.task, by, breaches)
        verdicts.append(bool(breaches))
    assert any(verdicts)
    assert not all(verdicts)


@pytest.mark.parametrize("seed", range(1, 26))
def test_random_weeks_pass_the_checker(seed: int) -> None:
    problem = _week(seed, count=1 + seed % 5 // 3)
    found = search(problem, Settings(seed=seed, effort=0.1, rounds=seed % 2, polish=0.02))
    if found.plan is None:
        assert found.outcome is not Outcome.FOUND
        return
    assert not check(problem, found.plan)
    assert found.plan.cost == cost_of(problem, found.plan)
    assert found.plan.bound is None or found.plan.bound <= found.plan.cost


def test_the_week_without_queues_bounds_the_week() -> None:
    # A week is done no better than with enough of everything: of tiny problems the optimum is known by enumeration.
    for seed in range(40):
        problem = tiny(seed)
        best = best_by_enumeration(problem)
        if best is None:
            continue
        eased = search(unlimited(problem), Settings(polish=5.0))
        assert eased.plan is not None, seed
        assert eased.plan.cost <= best[1], seed


def test_a_large_week_follows_the_one_without_queues_and_keeps_its_bound() -> None:
    problem = _week(6, count=5)
    rough = search(problem, Settings(effort=0.3, rounds=0, polish=0.0))
    followed = search(problem, Settings(effort=0.3, rounds=1, polish=0.0))
    assert rough.plan is not None
    assert followed.plan is not None
    assert followed.plan.cost < 0.8 * rough.plan.cost
    assert followed.plan.bound is not None
    assert 0 < followed.plan.bound <= followed.plan.cost
    assert not check(problem, followed.plan)


def test_more_of_everything_never_costs_more() -> None:
    # At equal proof: both optimal.
    jobs = (job("a", at(5, 15), widths=(200.0,)), job("b", at(5, 12), widths=(150.0,), collected=True))
    costs = []
    for hands, shelves in ((1, 1), (2, 1), (2, 2)):
        owned = kitchen(hands=hands, shelves=shelves)
        found = search(problem_of(jobs, owned, clock_for(jobs, owned)), Settings(polish=20.0))
        assert found.plan is not None
        assert found.outcome is Outcome.OPTIMAL
        costs.append(found.plan.cost)
    assert costs == sorted(costs, reverse=True)


def test_same_input_and_seed_give_the_same_plan() -> None:
    jobs = random_jobs(3, 4)
    owned = kitchen(hands=2, fridge=(600, 500, 2000), freezer=(600, 500, 1500))
    first = plan_jobs(jobs, owned, settings=QUICK)
    second = plan_jobs(jobs, owned, settings=QUICK)
    assert to_json(first) == to_json(second)


def test_a_pinned_task_stays() -> None:
    problem = _week(4)
    found = search(problem, QUICK)
    assert found.plan is not None
    item = next(p for p in found.plan.placed if "/supports" in p.task or "/box" in p.task)
    pin = Pin(task=item.task, start=item.start)
    again = search(problem, replace(QUICK, seed=5), pins=[pin])
    assert again.plan is not None
    assert again.plan.starts()[item.task] == item.start
    assert not check(problem, again.plan, [pin])
    assert check(problem, again.plan, [Pin(task=item.task, start=item.start + 1)])


def test_a_search_can_be_stopped_and_answers_with_its_best() -> None:
    problem = _week(4)
    seen = []

    def stop(progress: object) -> bool:
        seen.append(progress)
        return True

    found = search(problem, Settings(), report=stop)
    assert found.plan is not None
    assert not check(problem, found.plan)
    assert len(seen) == 1
