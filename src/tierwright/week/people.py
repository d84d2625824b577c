"""Who does what: names shared out within crews after the plan stands."""

from __future__ import annotations

from tierwright.week.model import Problem, ResourceKind, Schedule


def name_hands(problem: Problem, plan: Schedule) -> dict[str, tuple[str, ...]]:
    """
    Give every task the people who do it.

    Parameters
    ----------
    problem, plan
        A week and a plan that keeps its limits.

    Returns
    -------
    names
        By task. Somebody who has been on the same commission goes on with it where that is possible.

    Notes
    -----
    Taking intervals by their starts and giving each to anybody free never needs more people than overlap at one time.
    """
    found: dict[str, tuple[str, ...]] = {}
    for crew in problem.resources:
        if crew.kind is not ResourceKind.HANDS:
            continue
        spells: list[tuple[int, int, str]] = []
        for item in plan.placed:
            spells += [(item.start, item.end, item.task) for pick in item.picks if pick == crew.key]
        spells += [(rest.start, rest.end, "") for rest in plan.rests if rest.resource == crew.key]
        free_at = [0] * crew.capacity
        last_job = [""] * crew.capacity
        names = crew.names or tuple(f"{crew.label} {n + 1}" for n in range(crew.capacity))
        for start, end, key in sorted(spells):
            job = problem.task[key].job if key else ""
            able = [unit for unit in range(crew.capacity) if free_at[unit] <= start]
            if not able:
                raise ValueError(f"{crew.label} has too much to do at step {start}")
            unit = next((u for u in able if job and last_job[u] == job), able[0])
            free_at[unit] = end
            if key:
                last_job[unit] = job
                found[key] = (*found.get(key, ()), names[unit])
    return found
