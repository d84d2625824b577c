"""Does this plan keep every limit? Reads the problem and the plan alone; knows nothing of how plans are found."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from tierwright.week.model import Pin, Problem, Resource, Schedule

Times = Mapping[str, tuple[int, int]]
Spell = tuple[int, int, int]
Say = Callable[[str, str, int, float, str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Breach:
    """
    One limit that a plan breaks.

    Attributes
    ----------
    rule
        Which limit.
    where
        The task, resource or block.
    at
        When. [step]
    amount
        By how much, in the limit's own unit.
    text
        In words.
    """

    rule: str
    where: str
    at: int
    amount: float
    text: str


def _holds(literal: str, chosen: frozenset[str]) -> bool:
    if not literal:
        return True
    return literal[1:] not in chosen if literal.startswith("!") else literal in chosen


def check(problem: Problem, plan: Schedule, pins: Iterable[Pin] = ()) -> tuple[Breach, ...]:
    """
    Verify every limit of a week against a plan.

    Parameters
    ----------
    problem
        The week.
    plan
        Any plan for it, wherever it comes from.
    pins
        Tasks that had to stay where they were.

    Returns
    -------
    breaches
        Empty if the plan can be followed.
    """
    found: list[Breach] = []

    def say(rule: str, where: str, at: int, amount: float, text: str) -> None:
        found.append(Breach(rule=rule, where=where, at=at, amount=amount, text=text))

    chosen = frozenset(plan.chosen)
    for stranger in sorted(chosen - {choice.key for choice in problem.choices}):
        say("choice", stranger, 0, 1, f"{stranger} is no choice of this week")
    for choice in problem.choices:
        if choice.key in chosen and not choice.allowed:
            say("choice", choice.key, 0, 1, f"{choice.label}: not allowed")
    when: dict[str, tuple[int, int]] = {}
    picks: dict[str, tuple[str, ...]] = {}
    for item in plan.placed:
        if item.task not in problem.task:
            say("task", item.task, item.start, 1, f"{item.task} is no task of this week")
        elif item.task in when:
            say("task", item.task, item.start, 1, f"{item.task} is placed twice")
        else:
            when[item.task] = (item.start, item.end)
            picks[item.task] = item.picks
    for task in problem.tasks:
        wanted = _holds(task.when, chosen)
        if wanted != (task.key in when):
            say("task", task.key, 0, 1, f"{task.label}: {'missing' if wanted else 'not wanted under these choices'}")
            continue
        if not wanted:
            continue
        start, end = when[task.key]
        if end - start != task.steps:
            say("duration", task.key, start, end - start - task.steps, f"{task.label}: lasts {end - start} steps")
        if start < max(0, task.earliest):
            say("window", task.key, start, task.earliest - start, f"{task.label}: begins too early")
        latest = problem.horizon if task.latest is None else min(task.latest, problem.horizon)
        if end > latest:
            say("window", task.key, end, end - latest, f"{task.label}: is over too late")
        if len(picks[task.key]) != len(task.needs):
            say("need", task.key, start, 1, f"{task.label}: not every need is met")
        for pick, need in zip(picks[task.key], task.needs, strict=False):
            if pick not in dict(need.options):
                say("need", task.key, start, 1, f"{task.label}: {pick} does not do")
    _check_times(problem, chosen, when, say)
    _check_resources(problem, plan, chosen, when, picks, say)
    for pin in pins:
        if pin.task not in when or when[pin.task][0] != pin.start or (pin.picks and picks[pin.task] != pin.picks):
            say("pin", pin.task, pin.start, 1, f"{pin.task}: was pinned and has moved")
    return tuple(found)


def _check_times(problem: Problem, chosen: frozenset[str], when: Times, say: Say) -> None:
    for lag in problem.lags:
        if not _holds(lag.when, chosen) or lag.before not in when or lag.after not in when:
            continue
        anchor = when[lag.before][0 if lag.from_start else 1]
        pause = when[lag.after][0] - anchor
        if pause < lag.least:
            say("least pause", lag.after, when[lag.after][0], lag.least - pause, f"{lag.after}: too soon; {lag.reason}")
        if lag.most is not None and pause > lag.most:
            say("greatest age", lag.after, when[lag.after][0], pause - lag.most, f"{lag.after}: too late; {lag.reason}")
    for block in problem.blocks:
        starts = [when[key][0] for key in block.inside if key in when]
        if not starts or block.last not in when:
            continue
        begin, end = min(starts), when[block.last][1]
        for key in block.outside:
            if key in when and when[key][0] < end and when[key][1] > begin:
                overlap = min(end, when[key][1]) - max(begin, when[key][0])
                say("allergen", key, when[key][0], overlap, f"{key}: {block.what} is open until the clean-down is over")
    for hold in problem.holds:
        if _holds(hold.when, chosen) and hold.before in when and hold.after in when:
            pause = when[hold.after][0] - when[hold.before][1]
            if pause < 0:
                say("order", hold.after, when[hold.after][0], -pause, f"{hold.after}: before {hold.before} is over")


def _check_resources(
    problem: Problem,
    plan: Schedule,
    chosen: frozenset[str],
    when: Times,
    picks: Mapping[str, tuple[str, ...]],
    say: Say,
) -> None:
    use: dict[str, list[Spell]] = defaultdict(list)
    states: dict[str, list[tuple[int, int, int, str]]] = defaultdict(list)
    for key, (start, end) in when.items():
        for pick, need in zip(picks[key], problem.task[key].needs, strict=False):
            amount = dict(need.options).get(pick)
            if amount is None:
                continue
            use[pick].append((start, end, amount))
            if need.state is not None and end > start:
                states[pick].append((start, end, need.state, key))
    for hold in problem.holds:
        if _holds(hold.when, chosen) and hold.before in when and hold.after in when:
            use[hold.resource].append((when[hold.before][1], when[hold.after][0], hold.amount))
    overtime = _check_rests(problem.resources, plan, use, say)
    if overtime != plan.overtime:
        say("overtime", "", 0, overtime - plan.overtime, f"overtime is {overtime} steps, the plan says {plan.overtime}")
    for name, spells in use.items():
        resource = problem.resource.get(name)
        if resource is None:
            say("resource", name, 0, 1, f"there is no {name}")
            continue
        level = 0
        events: list[tuple[int, int]] = []
        for start, end, amount in spells:
            if end > start and amount:
                events += [(start, amount), (end, -amount)]
        worst, worst_at = 0, 0
        for at, change in sorted(events):
            level += change
            if level - resource.capacity > worst:
                worst, worst_at = level - resource.capacity, at
        if worst:
            say("capacity", name, worst_at, worst, f"{resource.label}: {worst} more than there is")
    for name, users in states.items():
        gap = problem.resource[name].gap if name in problem.resource else 0
        users.sort()
        for i, (start, end, state, key) in enumerate(users):
            for start2, end2, state2, key2 in users[i + 1 :]:
                if state != state2 and start2 < end + gap and start < end2 + gap:
                    say("set point", name, start2, end + gap - start2, f"{key} and {key2} want different set points")


def _check_rests(resources: tuple[Resource, ...], plan: Schedule, use: Mapping[str, list[Spell]], say: Say) -> int:
    overtime = 0
    taken = {(r.resource, r.number, r.unit): r for r in plan.rests}
    for resource in resources:
        for number, rest in enumerate(resource.rests):
            for unit in range(resource.capacity):
                have = taken.pop((resource.key, number, unit), None)
                if have is None:
                    use[resource.key].append((rest.start, rest.end, 1))
                    continue
                late, early = have.start - rest.start, rest.end - have.end
                if not (0 <= late <= rest.late and 0 <= early <= rest.early and have.end - have.start >= rest.least):
                    say("rest", resource.key, have.start, 1, f"{resource.label}: rest is cut too short")
                overtime += max(0, late) + max(0, early)
                use[resource.key].append((have.start, have.end, 1))
    for key in taken:
        say("rest", key[0], 0, 1, f"{key[0]} has no such rest")
    return overtime


def cost_of(problem: Problem, plan: Schedule) -> int:
    """Work out what a plan costs by the problem's wishes, from its times alone."""
    chosen = frozenset(plan.chosen)
    when = {item.task: (item.start, item.end) for item in plan.placed}
    total = sum(choice.cost for choice in problem.choices if choice.key in chosen)
    for span in problem.spans:
        if _holds(span.when, chosen) and span.before in when and span.after in when:
            total += span.weight * max(0, when[span.after][0] - when[span.before][0 if span.from_start else 1])
    for buffer in problem.buffers:
        if buffer.before in when and buffer.after in when:
            pause = when[buffer.after][0] - when[buffer.before][1]
            total += buffer.weight * max(0, buffer.wanted - pause)
    for reserve in problem.reserves:
        if reserve.task in when:
            total += reserve.weight * max(0, when[reserve.task][1] - reserve.by)
    for anchor in problem.anchors:
        if anchor.task in when and when[anchor.task][0] != anchor.start:
            total += anchor.weight
    return total
