"""What can be said of a week without searching: contradictions among pauses, windows, and what no resource holds."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tierwright.week.model import STEP_MIN, Problem, Resource, ResourceKind, Task

User = tuple[int, int, int, int, Task]
"""Earliest and latest start, length [step], amount, and the task."""

STRETCHES = 60
"""How many begins, and how many ends, of stretches are looked at for what must fall into them. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """Why a week cannot work: which rule, which commission, which resource, when, and the sentence a person reads."""

    rule: str
    job: str
    resource: str
    at: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Windows:
    """Earliest and latest start of every task that is always done, by its pauses and windows alone. [step]"""

    earliest: dict[str, int]
    latest: dict[str, int]
    contradiction: tuple[str, ...] = ()


def windows(problem: Problem) -> Windows:
    """
    Work out the earliest and latest start of every task by longest paths (Bellman 1958).

    Only what always binds is used: tasks and pauses under a choice are left out, so no window is too narrow.
    """
    tasks = {task.key: task for task in problem.tasks if not task.when}
    arcs: list[tuple[str, str, int]] = []
    for lag in problem.lags:
        if lag.when or lag.before not in tasks or lag.after not in tasks:
            continue
        base = 0 if lag.from_start else tasks[lag.before].steps
        arcs.append((lag.before, lag.after, base + lag.least))
        if lag.most is not None:
            arcs.append((lag.after, lag.before, -(base + lag.most)))
    early = {key: max(0, task.earliest) for key, task in tasks.items()}
    late = {
        key: (problem.horizon if task.latest is None else min(task.latest, problem.horizon)) - task.steps
        for key, task in tasks.items()
    }
    changed = ""
    for _ in range(len(tasks) + 1):
        changed = ""
        for before, after, length in arcs:
            if early[before] + length > early[after]:
                early[after] = early[before] + length
                changed = after
            if late[after] - length < late[before]:
                late[before] = late[after] - length
                changed = before
        if not changed or any(early[key] > late[key] for key in early):
            break
    clash = sorted((key for key in early if early[key] > late[key]), key=lambda key: late[key] - early[key])
    if not clash and changed:
        clash = [changed]  # pauses that chase one another round a ring
    return Windows(earliest=early, latest=late, contradiction=tuple(clash[:3]))


def due(problem: Problem, job: str) -> int:
    """Return when a commission has to be done: the latest end that any of its tasks has. [step]"""
    ends = [task.latest for task in problem.tasks if task.job == job and task.latest is not None]
    return min(ends) if ends else problem.horizon


def causes(problem: Problem) -> tuple[Cause, ...]:
    """
    Find what makes a week impossible without a search.

    Returns
    -------
    causes
        Proofs, each enough by itself; empty where nothing can be said this way.
    """
    found: list[Cause] = []
    for task in problem.tasks:
        found += _demand(problem, task)
    if found:
        return tuple(found)
    times = windows(problem)
    if times.contradiction:
        task = problem.task[times.contradiction[0]]
        short = times.earliest[task.key] - times.latest[task.key]
        found.append(
            Cause(
                rule="pauses", job=task.job, resource="", at=max(0, times.latest[task.key]),
                text=f"{task.label} for {problem.label_of(task.job)} cannot begin early enough for what follows it "
                f"and late enough for what goes before; {max(1, short) * 5} min are missing.",
            )
        )  # fmt: skip
        return tuple(found)
    found += _no_opening(problem, times)
    found += _crowded(problem, times)
    return tuple(found)


def _demand(problem: Problem, task: Task) -> list[Cause]:
    if task.when:
        return []
    found = []
    for need in task.needs:
        able = [name for name, amount in need.options if amount <= problem.resource[name].capacity]
        if not able:
            names = ", ".join(problem.resource[name].label for name, _ in need.options) or "nothing"
            found.append(
                Cause(
                    rule="size", job=task.job, resource=need.options[0][0] if need.options else "", at=task.earliest,
                    text=f"{task.label} for {problem.label_of(task.job)} needs more than there is of {names}.",
                )
            )  # fmt: skip
    return found


def openings_of(resource: Resource, horizon: int, units: int) -> list[tuple[int, int]]:
    """Stretches in which ``units`` of a resource are there, reaching into rests as far as those allow."""
    closed = sorted((r.start + r.late, max(r.start + r.late + r.least, r.end - r.early)) for r in resource.rests)
    at, found = 0, []
    for begin, end in closed:
        if begin > at:
            found.append((at, begin))
        at = max(at, end)
    if at < horizon:
        found.append((at, horizon))
    return found if units <= resource.capacity else []


def _no_opening(problem: Problem, times: Windows) -> list[Cause]:
    """Tasks for which no resource that would do is there at any time at which they could be done."""
    found = []
    for key, early in times.earliest.items():
        task = problem.task[key]
        for need in task.needs:
            if not task.steps:
                continue
            late = times.latest[key] + task.steps
            fits = False
            for name, amount in need.options:
                for begin, end in openings_of(problem.resource[name], problem.horizon, amount):
                    if min(end, late) - max(begin, early) >= task.steps:
                        fits = True
            if not fits:
                resource = problem.resource[need.options[0][0]]
                found.append(
                    Cause(
                        rule="opening", job=task.job, resource=resource.key, at=early,
                        text=f"{task.label} for {problem.label_of(task.job)} finds nobody at work or nothing free in "
                        f"{resource.label} at the only times at which it could be done.",
                    )
                )  # fmt: skip
    return found


def _inside(users: list[User], begins: list[int], ends: list[int]) -> NDArray[np.int64]:
    """Least part of every task that falls into every stretch, by first stretch begin, then end, then task. [step]"""
    a, b = np.array(begins)[:, None, None], np.array(ends)[None, :, None]
    early, late, steps = (np.array([user[place] for user in users]) for place in range(3))
    sticking_in = np.minimum(np.maximum(0, early + steps - a), np.maximum(0, b - late))
    found: NDArray[np.int64] = np.maximum(0, np.minimum(sticking_in, np.minimum(steps, b - a)))
    return found


def _open(openings: list[tuple[int, int, int]], begins: list[int], ends: list[int]) -> NDArray[np.int64]:
    """What is open of a resource in every stretch. [step]"""
    a, b = np.array(begins)[:, None], np.array(ends)[None, :]
    return sum(
        (np.maximum(0, np.minimum(b, end) - np.maximum(a, begin)) * capacity for begin, end, capacity in openings),
        np.zeros((len(begins), len(ends)), dtype=np.int64),
    )


def _crowded(problem: Problem, times: Windows) -> list[Cause]:
    """
    Stretches into which more work must fall than the resource can do (energetic reasoning over task windows).

    Erschler, Lopez and Thuriot 1991: in [a, b) every task must spend at least the least of its length, of what
    sticks in from its earliest place, and of what sticks in from its latest.
    """
    found = []
    work: dict[tuple[str, ...], list[User]] = defaultdict(list)
    for key, early in times.earliest.items():
        task = problem.task[key]
        for need in task.needs:
            names = tuple(sorted(name for name, _ in need.options))
            least = min(amount for _, amount in need.options)
            if task.steps and least:
                work[names].append((early, times.latest[key], task.steps, least, task))
    for names in sorted(work):
        # Everybody whose choices lie within these resources competes for them.
        users = [user for others, list_ in work.items() if set(others) <= set(names) for user in list_]
        openings = [
            (begin, end, problem.resource[name].capacity)
            for name in names
            for begin, end in openings_of(problem.resource[name], problem.horizon, 1)
        ]
        begins = sorted({early for early, _, _, _, _ in users} | {late for _, late, _, _, _ in users})[:STRETCHES]
        ends = sorted({late + steps for _, late, steps, _, _ in users})[-STRETCHES:]
        inside = _inside(users, begins, ends)
        have = _open(openings, begins, ends)
        amounts = np.array([amount for _, _, _, amount, _ in users])
        over = np.where(np.subtract.outer(ends, begins).T > 0, inside @ amounts - have, 0)
        row, column = np.unravel_index(np.argmax(over), over.shape)
        most = int(over[row, column])
        if most > 0:
            a = begins[row]
            whose = [user[-1] for user, part in zip(users, inside[row, column], strict=True) if part > 0]
            resource = problem.resource[names[0]]
            jobs = sorted({problem.label_of(task.job) for task in whose if task.job})
            unit = (
                f"{most * STEP_MIN} min of work"
                if resource.kind in (ResourceKind.HANDS, ResourceKind.VAN)
                else f"{most} too many"
            )
            found.append(
                Cause(
                    rule="crowded", job=whose[0].job, resource=resource.key, at=a,
                    text=f"{' and '.join(problem.resource[name].label for name in names)}: {unit} at one time; "
                    f"it is wanted by {', '.join(jobs)}.",
                )
            )  # fmt: skip
    return found
