"""How safe is the plan: the chance of lateness, how much each task may slip, and until when it can be begun again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from tierwright.week.model import Z80, Placed, Problem, ResourceKind, Schedule, TaskKind

CHAINED = (ResourceKind.HANDS, ResourceKind.OVEN, ResourceKind.MIXER, ResourceKind.VAN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Margin:
    """
    What one task can bear.

    Attributes
    ----------
    task
        Its key.
    slack
        How far it may slip, with everything after it kept in order, before a commission is late. [step]
    latest
        Its latest start. [step]
    restart
        Last moment at which it can be begun again from the weighed-out ingredients. [step]
    late_share
        Share of simulated weeks in which a late commission had this task late, 0 to 1.
    """

    task: str
    slack: int
    latest: int
    restart: int
    late_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Robustness:
    """
    How safe a plan is.

    Attributes
    ----------
    late
        Chance of being late, by commission. [-], 0 to 1
    any_late
        Chance that anything is late. [-], 0 to 1
    standard_error
        Of ``any_late``. [-]
    margins
        Every task that is done, in the order of starting.
    protect
        Keys of the tasks that deserve a margin most: least slack for their spread.
    runs, seed
        Simulated weeks, and the seed.
    """

    late: tuple[tuple[str, float], ...]
    any_late: float
    standard_error: float
    margins: tuple[Margin, ...]
    protect: tuple[str, ...]
    runs: int
    seed: int


def _order(problem: Problem, plan: Schedule) -> tuple[list[Placed], dict[str, list[tuple[str, int, bool]]]]:
    """
    Put tasks in the order of the plan, and list what each has to wait for: ``(before, pause, counted from its start)``.

    Pauses of the network bind; and on hands, ovens, bowls and vehicles a task waits for those before it that
    it cannot share with. Ordinary cleaning gives way: whoever is late leaves it until after; a clean-down stays.
    """
    placed = sorted(plan.placed, key=lambda item: (item.start, item.end, item.task))
    when = {item.task: item for item in placed}
    waits: dict[str, list[tuple[str, int, bool]]] = defaultdict(list)
    for lag in problem.lags:
        # A pause whose order the plan reverses is one of the greatest kind, and no reason to wait.
        if lag.before in when and lag.after in when and when[lag.before].start <= when[lag.after].start:
            taken = not lag.when or (lag.when.lstrip("!") in plan.chosen) != lag.when.startswith("!")
            if taken and lag.least >= 0:
                waits[lag.after].append((lag.before, lag.least, lag.from_start))
    users: dict[str, list[tuple[Placed, int]]] = defaultdict(list)
    for item in placed:
        for pick, need in zip(item.picks, problem.task[item.task].needs, strict=True):
            if problem.resource[pick].kind in CHAINED:
                users[pick].append((item, dict(need.options)[pick]))
    for name, items in users.items():
        capacity = problem.resource[name].capacity
        for number, (item, amount) in enumerate(items):
            for other, amount2 in items[:number]:
                if problem.task[other.task].kind is TaskKind.CLEAN:
                    continue
                if (other.end <= item.start and amount + amount2 > capacity) or (
                    other.end <= item.start and capacity > 1 and item.start - other.end <= 12
                ):
                    waits[item.task].append((other.task, 0, False))
    return placed, waits


def simulate(problem: Problem, plan: Schedule, *, runs: int = 400, seed: int = 1) -> Robustness:
    """
    Run the week many times with durations drawn from their likely spans.

    Parameters
    ----------
    problem, plan
        A week and a plan for it.
    runs
        Simulated weeks, 1 to 100,000.
    seed
        The same seed gives the same answer.

    Returns
    -------
    robustness
        Chances of lateness, slack and last restart of every task, and what to protect.

    Notes
    -----
    The hands follow the plan: nothing begins before its planned time, the order on each resource stays, and a task
    begins late only if what it waits for is late. A duration is a two-piece normal whose middle four fifths are the
    task's likely span (Wallis 2014, Statistical Science 29:106).
    """
    placed, waits = _order(problem, plan)
    random = np.random.default_rng(seed)
    begins: dict[str, np.ndarray] = {}
    ends: dict[str, np.ndarray] = {}
    late_jobs: dict[str, np.ndarray] = {job: np.zeros(runs, dtype=bool) for job in problem.jobs}
    for item in placed:
        task = problem.task[item.task]
        begin = np.full(runs, float(item.start))
        for before, pause, from_start in waits[item.task]:
            if before in ends:
                begin = np.maximum(begin, (begins if from_start else ends)[before] + pause)
        draw = random.standard_normal(runs)
        high = max(0.0, task.high_steps - task.steps) if task.high_steps else 0.0
        low = max(0.0, task.steps - task.low_steps) if task.high_steps else 0.0
        length = np.maximum(0.0, task.steps + np.where(draw > 0, draw * high, draw * low) / Z80)
        begins[item.task], ends[item.task] = begin, begin + length
        if task.latest is not None and task.job in late_jobs:
            # Half a step, because a duration is rounded up to whole steps anyway.
            late_jobs[task.job] |= ends[item.task] > task.latest + 0.5
    anything = np.zeros(runs, dtype=bool)
    for late in late_jobs.values():
        anything |= late
    chance = float(anything.mean())
    latest = latest_starts(problem, plan)
    margins = []
    for item in placed:
        slipped = begins[item.task] > item.start + 0.5
        share = float((slipped & anything).sum() / anything.sum()) if anything.any() else 0.0
        margins.append(
            Margin(
                task=item.task, slack=latest[item.task] - item.start, latest=latest[item.task],
                restart=_restart(problem, item.task, latest), late_share=share,
            )
        )  # fmt: skip
    spread = {t.key: max(0.5, t.high_steps - t.steps) for t in problem.tasks}
    weak = sorted(
        (m for m in margins if problem.task[m.task].kind not in (TaskKind.BREAK, TaskKind.RETURN, TaskKind.CLEAN)),
        key=lambda m: (m.slack / spread[m.task], m.task),
    )
    return Robustness(
        late=tuple((job, float(late.mean())) for job, late in late_jobs.items()),
        any_late=chance,
        standard_error=float(np.sqrt(max(chance * (1 - chance), 1e-12) / runs)),
        margins=tuple(margins),
        protect=tuple(m.task for m in weak[:5]),
        runs=runs,
        seed=seed,
    )


def latest_starts(problem: Problem, plan: Schedule) -> dict[str, int]:
    """
    Work out the latest start of every task that still lets every commission be in time, in the plan's order. [step]

    A backward pass over pauses and over the order on hands, ovens, bowls and vehicles; work that needs hands is kept
    within their working hours.
    """
    placed, waits = _order(problem, plan)
    followers: dict[str, list[tuple[str, int, bool]]] = defaultdict(list)
    for after, items in waits.items():
        for before, pause, from_start in items:
            followers[before].append((after, pause, from_start))
    latest: dict[str, int] = {}
    for item in reversed(placed):
        task = problem.task[item.task]
        start = (problem.horizon if task.latest is None else task.latest) - task.steps
        for after, pause, from_start in followers[item.task]:
            if after in latest:
                start = min(start, latest[after] - pause - (0 if from_start else task.steps))
        latest[item.task] = max(item.start, _within_hours(problem, plan, item, start))
    return latest


def _within_hours(problem: Problem, plan: Schedule, item: Placed, start: int) -> int:
    """Move a start back until the hands that do it are at work."""
    steps = problem.task[item.task].steps
    for pick in item.picks:
        resource = problem.resource[pick]
        if resource.kind is not ResourceKind.HANDS:
            continue
        taken = {(r.number): (r.start, r.end) for r in plan.rests if r.resource == pick}
        for number in range(len(resource.rests) - 1, -1, -1):
            begin, end = taken.get(number, (resource.rests[number].start, resource.rests[number].end))
            if start < end and start + steps > begin:
                start = begin - steps
    return start


def _restart(problem: Problem, key: str, latest: dict[str, int]) -> int:
    """Latest start of the earliest of the tasks that have to be done again: a lost bake is mixed anew."""
    kind = problem.task[key].kind
    if kind not in (TaskKind.BAKE, TaskKind.TURN_OUT, TaskKind.HEAT):
        return latest[key]
    chain: set[str] = {key}
    for _ in range(3):
        chain |= {
            lag.before for lag in problem.lags
            if lag.after in chain and lag.most is not None and lag.before in latest
            and problem.task[lag.before].kind in (TaskKind.BAKE, TaskKind.MIX, TaskKind.HEAT)
        }  # fmt: skip
    return min(latest[item] for item in chain)


def slack_of(margins: Iterable[Margin]) -> dict[str, int]:
    """Return the slack of every task. [step]"""
    return {margin.task: margin.slack for margin in margins}
