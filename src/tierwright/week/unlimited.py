"""The week as it would be if there were enough of everything: what the commissions themselves ask, and no queues."""

from __future__ import annotations

from dataclasses import replace

from tierwright.week.model import Need, Problem, Task


def unlimited(problem: Problem) -> Problem:
    """
    Take away that things run short; pauses, ages, promised times, working hours and open allergens stay.

    Every plan of the week is one of this too, so what is proved of the least cost here holds for the week. It is far
    quicker to search, and says how the commissions would best lie to one another.
    """

    def free(need: Need) -> Need:
        # What is larger than all there is stays as it is: it can be done in no other way either.
        options = ((name, amount if amount > problem.resource[name].capacity else 0) for name, amount in need.options)
        return Need(options=tuple(options))

    def eased(task: Task) -> Task:
        return replace(task, needs=tuple(free(need) for need in task.needs))

    tasks = tuple(eased(task) for task in problem.tasks if task.job)
    kept = {task.key for task in tasks}
    anchors = tuple(anchor for anchor in problem.anchors if anchor.task in kept)
    return replace(problem, tasks=tasks, holds=(), anchors=anchors)
