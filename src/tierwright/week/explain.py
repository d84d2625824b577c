"""Why a week cannot work: what, taken away, would let it, said in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from tierwright.week.engine import Engine, Outcome
from tierwright.week.model import Pin, Problem, ResourceKind, Settings
from tierwright.week.precheck import Cause, causes, windows


@dataclass(frozen=True, slots=True, kw_only=True)
class Relaxed:
    """A week with one kind of limit taken away, and how that limit is called."""

    rule: str
    resource: str
    job: str
    text: str
    problem: Problem


def relaxations(problem: Problem) -> Iterator[Relaxed]:
    """Yield the week with each limit taken away in turn: every resource, every kind of pause, every promised time."""
    for resource in problem.resources:
        if not (
            resource.rests
            or any(resource.key in (n for n, _ in need.options) for t in problem.tasks for need in t.needs)
            or any(hold.resource == resource.key for hold in problem.holds)
        ):
            continue  # fmt: skip
        wide = replace(resource, capacity=max(1, resource.capacity) * 1000, rests=())
        if resource.kind is ResourceKind.OVEN:
            wide = replace(resource, capacity=resource.capacity * 1000, gap=0)
        changed = tuple(wide if r.key == resource.key else r for r in problem.resources)
        tasks = problem.tasks
        if resource.kind is ResourceKind.OVEN:  # as if every load had an oven to itself
            tasks = tuple(
                replace(t, needs=tuple(replace(n, state=None) if any(k == resource.key for k, _ in n.options) else n
                                       for n in t.needs))
                for t in tasks
            )  # fmt: skip
        yield Relaxed(
            rule="resource", resource=resource.key, job="", problem=replace(problem, resources=changed, tasks=tasks),
            text=f"{resource.label}: there is not enough of it",
        )  # fmt: skip
    for reason in dict.fromkeys(lag.reason for lag in problem.lags if lag.most is not None):
        loose = tuple(replace(lag, most=None) if lag.reason == reason else lag for lag in problem.lags)
        yield Relaxed(
            rule="age", resource="", job="", text=f"{reason}: that leaves no time", problem=replace(problem, lags=loose)
        )
    if problem.blocks:
        yield Relaxed(
            rule="allergen", resource="", job="", problem=replace(problem, blocks=()),
            text="an allergen is open while cakes without it have to be worked on",
        )  # fmt: skip
    for job in problem.jobs:
        tasks = tuple(replace(t, latest=None) if t.job == job else t for t in problem.tasks)
        yield Relaxed(
            rule="window", resource="", job=job, problem=replace(problem, tasks=tasks),
            text=f"{problem.label_of(job)} is wanted at a time that cannot be kept",
        )  # fmt: skip


def explain(problem: Problem, settings: Settings | None = None, pins: Iterable[Pin] = ()) -> tuple[Cause, ...]:
    """
    Name what makes a week impossible.

    Parameters
    ----------
    problem
        A week for which no plan was found.
    settings
        How long to look at each relaxation.
    pins
        Tasks that stay where they are, whatever is taken away.

    Returns
    -------
    causes
        Proofs that need no search where there are any; else every limit that, taken away by itself, gives a plan.
        Empty where no single limit is to blame.
    """
    known = causes(problem)
    if known:
        return known
    settings = settings or Settings(effort=1.0)
    pins = tuple(pins)
    times = windows(problem)
    found: list[Cause] = []
    for relaxed in relaxations(problem):
        if found and relaxed.rule != "resource":
            break  # a thing that there is too little of is what a maker can act on
        engine = Engine(relaxed.problem, settings, pins)
        if engine.feasible(None, None, settings.effort).outcome is not Outcome.FOUND:
            continue
        at = _when(problem, relaxed, times.earliest)
        found.append(Cause(rule=relaxed.rule, job=relaxed.job, resource=relaxed.resource, at=at, text=relaxed.text))
    order = {"resource": 0, "allergen": 1, "age": 2, "window": 3}
    return tuple(sorted(found, key=lambda cause: order[cause.rule]))


def _when(problem: Problem, relaxed: Relaxed, earliest: dict[str, int]) -> int:
    """Earliest step at which anything wants what is short. [step]"""
    starts = [
        earliest[task.key] for task in problem.tasks if task.key in earliest
        and (task.job == relaxed.job or any(relaxed.resource in dict(need.options) for need in task.needs))
    ]  # fmt: skip
    return min(starts, default=0)


def surely_impossible(problem: Problem, settings: Settings | None = None) -> bool:
    """
    Confirm a refutation: by a proof without search, or by two searches with different seeds that agree.

    One search is not enough to tell a maker no: a solver's presolve can be wrong.
    """
    if causes(problem):
        return True
    settings = settings or Settings(effort=4.0)
    engine = Engine(problem, settings)
    first = engine.feasible(None, None, settings.effort)
    if first.outcome is not Outcome.IMPOSSIBLE:
        return False
    return engine.feasible(None, None, settings.effort, seed=17).outcome is not Outcome.FOUND
