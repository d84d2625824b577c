"""What is left of every task's start before a search, once pauses, windows and opening hours are followed through.

Nothing is lost by it: whatever is taken away could be in no plan.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from tierwright.week.model import Lag, Problem, Task
from tierwright.week.precheck import openings_of

Spells = tuple[tuple[int, int], ...]
Window = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """
    A commission with one of its choices taken one way.

    Attributes
    ----------
    windows
        First and last start of every task that is done then. [step]
    least
        Least time from the start of one task to the start of another, for the pairs that cost by their distance. [step]
    """

    windows: dict[str, Window]
    least: dict[tuple[str, str], int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Narrowed:
    """
    A week's tasks with what is left to choose of them.

    Attributes
    ----------
    starts
        Stretches in which a task may begin, both ends included, in order; none where it cannot be done. [step]
    branches
        By literal of a choice (``choice`` or ``!choice``): the commission under it; None where it leads nowhere.
    """

    starts: dict[str, Spells]
    branches: dict[str, Branch | None]


@dataclass(slots=True)
class _Part:
    """Tasks that pauses tie together, under some literals."""

    tasks: list[Task]
    lags: list[Lag]
    spells: dict[str, Spells]
    horizon: int
    early: dict[str, int] = field(default_factory=dict)
    late: dict[str, int] = field(default_factory=dict)

    def settle(self) -> bool:
        """Push every window through the pauses and the opening hours until nothing moves; False if one is empty."""
        steps = {task.key: task.steps for task in self.tasks}
        for task in self.tasks:
            latest = self.horizon if task.latest is None else min(task.latest, self.horizon)
            self.early[task.key], self.late[task.key] = max(0, task.earliest), latest - task.steps
        arcs: list[tuple[str, str, int]] = []
        for lag in self.lags:
            base = 0 if lag.from_start else steps[lag.before]
            arcs.append((lag.before, lag.after, base + lag.least))
            if lag.most is not None:
                arcs.append((lag.after, lag.before, -(base + lag.most)))
        # A ring of pauses that chase one another creeps on by steps; it is left to the search after so many rounds.
        for _ in range(4 * len(self.tasks) + 8):
            changed = self._open()
            for before, after, length in arcs:
                if self.early[before] + length > self.early[after]:
                    self.early[after] = self.early[before] + length
                    changed = True
                if self.late[after] - length < self.late[before]:
                    self.late[before] = self.late[after] - length
                    changed = True
            if any(self.early[key] > self.late[key] for key in self.early):
                return False
            if not changed:
                break
        return True

    def _open(self) -> bool:
        changed = False
        for key, spells in self.spells.items():
            early = next((max(self.early[key], a) for a, b in spells if b >= self.early[key]), self.horizon + 1)
            late = next((min(self.late[key], b) for a, b in reversed(spells) if a <= self.late[key]), -1)
            if (early, late) != (self.early[key], self.late[key]):
                self.early[key], self.late[key] = early, late
                changed = True
        return changed

    def paths(self, pairs: Iterable[tuple[str, str]]) -> dict[tuple[str, str], int]:
        """Return the least distance between the starts of pairs of tasks: by the windows, or by a path of pauses."""
        after: dict[str, list[tuple[str, int]]] = defaultdict(list)
        for lag in self.lags:
            base = 0 if lag.from_start else next(t.steps for t in self.tasks if t.key == lag.before)
            after[lag.before].append((lag.after, base + lag.least))
        found: dict[tuple[str, str], int] = {}
        for first, last in pairs:
            if first not in self.early or last not in self.early:
                continue
            reach = {first: 0}
            queue = [first]
            for _ in range(40 * len(self.tasks)):
                if not queue:
                    break
                here = queue.pop()
                for there, length in after[here]:
                    if reach[here] + length > reach.get(there, -1):
                        reach[there] = reach[here] + length
                        queue.append(there)
            found[first, last] = max(reach.get(last, 0), self.early[last] - self.late[first])
        return found


def _starts(problem: Problem, task: Task) -> Spells:
    """Stretches in which a task may begin by the opening hours of what it needs."""
    spells: Spells = ((0, problem.horizon - task.steps),)
    if not task.steps:
        return spells
    for need in task.needs:
        own = _joined(
            (begin, end - task.steps)
            for name, amount in need.options
            for begin, end in openings_of(problem.resource[name], problem.horizon, amount)
            if end - begin >= task.steps
        )
        spells = _both(spells, own)
    return spells


def _joined(spells: Iterable[tuple[int, int]]) -> Spells:
    found: list[tuple[int, int]] = []
    for a, b in sorted(spells):
        if found and a <= found[-1][1] + 1:
            found[-1] = (found[-1][0], max(b, found[-1][1]))
        else:
            found.append((a, b))
    return tuple(found)


def _both(one: Spells, other: Spells) -> Spells:
    return tuple((max(a, c), min(b, d)) for a, b in one for c, d in other if max(a, c) <= min(b, d))


def narrow(problem: Problem) -> Narrowed:
    """
    Follow pauses, windows and opening hours through, by commission and for both ways of each choice.

    Parameters
    ----------
    problem
        A week, whether it can be done or not.
    """
    choices = {choice.job: choice.key for choice in problem.choices}
    alone = len(choices) == len(problem.choices)  # one choice a commission; otherwise only what always binds is used
    own = {task.key: _starts(problem, task) for task in problem.tasks}
    pairs = {(span.before, span.after) for span in problem.spans}
    starts: dict[str, Spells] = {}
    branches: dict[str, Branch | None] = {}
    jobs = dict.fromkeys(task.job for task in problem.tasks)
    job_of = {task.key: task.job for task in problem.tasks}
    lags: dict[str, list[Lag]] = defaultdict(list)
    for lag in problem.lags:
        if lag.before in job_of and lag.after in job_of and job_of[lag.before] == job_of[lag.after]:
            lags[job_of[lag.before]].append(lag)
    tasks: dict[str, list[Task]] = defaultdict(list)
    for task in problem.tasks:
        tasks[task.job].append(task)
    for job in jobs:
        choice = choices.get(job) if alone else None
        found: list[Branch] = []
        for literal in (choice, f"!{choice}") if choice else ("",):
            here = {"", literal}
            done = [task for task in tasks[job] if task.when in here]
            names = {task.key for task in done}
            part = _Part(
                tasks=done,
                lags=[lag for lag in lags[job] if lag.when in here and lag.before in names and lag.after in names],
                spells={task.key: own[task.key] for task in done},
                horizon=problem.horizon,
            )
            branch = None
            if part.settle():
                branch = Branch(
                    windows={key: (part.early[key], part.late[key]) for key in names}, least=part.paths(sorted(pairs))
                )
                found.append(branch)
            if literal:
                branches[literal] = branch
        for task in tasks[job]:
            windows = [branch.windows[task.key] for branch in found if task.key in branch.windows]
            if choice is None and task.when:
                windows = [(0, problem.horizon)]  # under a choice that is not followed through
            starts[task.key] = _both(own[task.key], _joined(windows))
    return Narrowed(starts=starts, branches=branches)
