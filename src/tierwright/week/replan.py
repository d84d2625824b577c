"""Plan again from now: what is done stays, what runs finishes, what is pinned holds, and little else moves."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from tierwright.errors import Infeasible, UnknownName
from tierwright.week.check import check
from tierwright.week.engine import Engine, Outcome, Report
from tierwright.week.explain import explain
from tierwright.week.model import STEP_MIN, Pin, Placed, Problem, Schedule, Settings, Task, TaskKind
from tierwright.week.people import name_hands
from tierwright.week.precheck import due
from tierwright.week.tasks import with_anchors

MOVE_COST = 600
"""What moving one task costs against freshness: two days of age of one tier. Common practice. [step]"""
AGAIN = "#again"
SOON = 6 * 60 // STEP_MIN
"""How long after a breach of a resource its users count as hit. [step]"""
DAY = 24 * 60 // STEP_MIN
"""How far ahead tasks are freed that use what the lost ones need. [step]"""
SHORT, LONG = 0.5, 6.0
"""Shares of the effort for a look at whole commissions, and for the last one at all of them. [-]"""
CAUSE = Settings(effort=0.25, rounds=0, polish=0.0, wall_s=5.0)
"""How long each limit is looked at when nothing was found."""
TIGHTER = 3
"""How often a plan that had to be loosened much is tightened. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Failed:
    """A task whose outcome is lost, such as a load that burnt: it is done again, with the mixes that went into it."""

    task: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """One task that is no longer where it was. [step]"""

    task: str
    before: int | None
    after: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Replan:
    """
    A plan from now on.

    Attributes
    ----------
    problem, schedule
        The week as it is now, and the plan for it, past included.
    moved
        Tasks that are elsewhere than they were, and new ones.
    kept_share
        Share of the tasks still to be done that stay where they were, 0 to 1.
    dropped
        Pauses that can no longer be kept whatever is done, in words: they want a look.
    """

    problem: Problem
    schedule: Schedule
    moved: tuple[Moved, ...]
    kept_share: float
    dropped: tuple[str, ...]


def replan(
    problem: Problem,
    old: Schedule,
    now: int,
    *,
    failed: Sequence[Failed] = (),
    pins: Iterable[Pin] = (),
    settings: Settings | None = None,
    report: Report | None = None,
) -> Replan:
    """
    Plan the rest of a week.

    Parameters
    ----------
    problem
        The week as it stands now; another than ``old`` was made for, where somebody is ill or a time has moved.
    old
        The plan so far.
    now
        This moment. [step]
    failed
        What was lost.
    pins
        Tasks that must stay where they are.
    settings, report
        As for planning.

    Raises
    ------
    Infeasible
        Nothing can be found for the rest of the week; with what stands in the way, where that can be told.
    UnknownName
        Something failed that is no task of the plan.
    """
    settings = settings or Settings(effort=0.6, rounds=0, polish=0.0, wall_s=30.0)
    pins = tuple(pins)
    failed = tuple(failed)
    # What was made ahead may be too old by the time it can be used; a maker then makes it afresh, weighing first.
    stale = _made_ahead(problem, old, now, failed)
    following = _following(problem, _repeat(problem, old, failed)[2])
    own = [key for key, users in stale.items() if users & following]
    weighed = [key for key in own if problem.task[key].kind is TaskKind.WEIGH]
    ways = [(*failed, *(Failed(task=key) for key in keys)) for keys in ((), weighed, own, list(stale))]
    for wide, lost in dict.fromkeys([(False, way) for way in ways[:3]] + [(True, way) for way in ways]):
        done = _replan(problem, old, now, lost, pins, settings, report, wide=wide)
        if done is not None:
            return done
    reason = "nothing was found that keeps every limit"
    in_the_way = _in_the_way(problem, old, now, failed, pins)
    if in_the_way:
        reason = f"{reason}; in the way: {'; '.join(in_the_way)}"
    raise Infeasible("the rest of this week", reason, "see what can be changed")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Standing:
    """A week as it stands now: what was lost is on the list again, and what has begun and what is pinned is held."""

    problem: Problem
    old: Schedule
    repeated: frozenset[str]
    begun: dict[str, Placed]
    held: dict[str, Pin]
    dropped: tuple[str, ...]


def _standing(
    problem: Problem, old: Schedule, now: int, failed: tuple[Failed, ...], pins: tuple[Pin, ...]
) -> _Standing:
    problem, old, repeated = _repeat(problem, old, failed)
    begun = {item.task: item for item in old.placed if item.start < now and item.task not in repeated}
    problem, dropped = _from_now(problem, begun, now)
    held = {pin.task: pin for pin in pins}
    held |= {key: Pin(task=key, start=item.start, picks=item.picks) for key, item in begun.items()}
    for key in held:
        if key not in problem.task:
            raise UnknownName("task", key, list(problem.task))
    return _Standing(problem=problem, old=old, repeated=repeated, begun=begun, held=held, dropped=dropped)


def _in_the_way(
    problem: Problem, old: Schedule, now: int, failed: tuple[Failed, ...], pins: tuple[Pin, ...]
) -> list[str]:
    """Say what makes the rest of the week impossible, or which limits, each taken away by itself, let it."""
    week = _standing(problem, old, now, failed, pins)
    tasks = tuple(
        replace(task, earliest=week.held[task.key].start, latest=week.held[task.key].start + task.steps)
        if task.key in week.held
        else task
        for task in week.problem.tasks
    )
    found = explain(replace(week.problem, tasks=tasks), CAUSE, week.held.values())
    return list(dict.fromkeys(cause.text.rstrip(".") for cause in found))[:3]


def _made_ahead(problem: Problem, old: Schedule, now: int, failed: Sequence[Failed]) -> dict[str, set[str]]:
    """List what is weighed or cooked already and keeps for a time only, with what has still to be done with it."""
    when = {item.task: item for item in old.placed}
    _problem, _old, repeated = _repeat(problem, old, failed)
    found: dict[str, set[str]] = {}
    for lag in problem.lags:
        begun = lag.before in when and when[lag.before].start < now and lag.before not in repeated
        ahead = lag.after in when and (when[lag.after].start >= now or lag.after in repeated)
        perishes = lag.most is not None and problem.task[lag.before].kind in (TaskKind.WEIGH, TaskKind.COOK)
        if begun and ahead and perishes:
            found.setdefault(lag.before, set()).add(lag.after)
    return {key: found[key] for key in sorted(found)}


def _replan(
    problem: Problem, old: Schedule, now: int, failed: tuple[Failed, ...], pins: tuple[Pin, ...], settings: Settings,
    report: Report | None, *, wide: bool,
) -> Replan | None:  # fmt: skip
    """Plan the rest of a week, or return None where nothing is found; ``wide`` frees whole commissions."""
    week = _standing(problem, old, now, failed, pins)
    old, repeated, begun, held_pins, dropped = week.old, week.repeated, week.begun, week.held, week.dropped
    problem = with_anchors(
        week.problem, {item.task: item.start for item in old.placed if item.task not in repeated}, MOVE_COST
    )
    usable = replace(
        old, placed=tuple(item for item in old.placed if item.task in problem.task and item.task not in repeated)
    )
    hit = _hit(problem, usable, repeated, now, held_pins.values())
    engine = Engine(problem, settings, held_pins.values(), report)
    schedule = (_widely if wide else _nearby)(engine, problem, usable, hit, now, settings.effort)
    if schedule is None:
        return None
    broken = check(problem, schedule, held_pins.values())
    if broken:  # as for a first plan: nothing is handed out that cannot be followed
        raise AssertionError(f"the plan found breaks {broken[0]}")
    before, after = usable.starts(), schedule.starts()
    moved = tuple(
        Moved(task=task.key, before=before.get(task.key), after=after.get(task.key))
        for task in problem.tasks
        if before.get(task.key) != after.get(task.key)
    )
    ahead = [key for key in before if key not in begun]
    stay = sum(before[key] == after.get(key) for key in ahead)
    return Replan(
        problem=problem, schedule=schedule, moved=moved, kept_share=stay / len(ahead) if ahead else 1.0, dropped=dropped
    )


def _repeat(problem: Problem, old: Schedule, failed: Sequence[Failed]) -> tuple[Problem, Schedule, frozenset[str]]:
    """
    Put what was lost on the list again.

    The task keeps its name and everything that waits for it; what was done in vain stays on record as a task of its
    own, with no claim on anything.
    """
    again: set[str] = set()
    placed = {item.task: item for item in old.placed}
    for failure in failed:
        if failure.task not in problem.task:
            raise UnknownName("task", failure.task, list(problem.task))
        chain = {failure.task}
        if problem.task[failure.task].kind in (TaskKind.BAKE, TaskKind.TURN_OUT):
            for _ in range(2):
                chain |= {
                    lag.before for lag in problem.lags
                    if lag.after in chain
                    and problem.task[lag.before].kind in (TaskKind.MIX, TaskKind.HEAT, TaskKind.BAKE)
                    and lag.most is not None
                }  # fmt: skip
            chain |= {
                lag.after for lag in problem.lags
                if lag.before in chain and problem.task[lag.after].kind is TaskKind.TURN_OUT
                and problem.task[lag.before].kind is TaskKind.BAKE
            }  # fmt: skip
        again |= chain & set(placed)
    if not again:
        return problem, old, frozenset()
    lost = []
    records = []
    for key in sorted(again):
        task = problem.task[key]
        times = sum(other.startswith(f"{key}{AGAIN}") for other in problem.task)
        record = replace(
            task, key=f"{key}{AGAIN}{times or ''}", label=f"{task.label} (lost)", needs=(), earliest=0, latest=None,
            when="",
        )  # fmt: skip
        lost.append(record)
        records.append(Placed(task=record.key, start=placed[key].start, end=placed[key].end))
    return (
        replace(problem, tasks=problem.tasks + tuple(lost)),
        replace(old, placed=old.placed + tuple(records)),
        frozenset(again),
    )


def _from_now(problem: Problem, begun: dict[str, Placed], now: int) -> tuple[Problem, tuple[str, ...]]:
    """Let nothing new begin in the past, and drop what only the past could have kept."""
    tasks: list[Task] = []
    for task in problem.tasks:
        if task.key in begun or AGAIN in task.key:
            tasks.append(replace(task, earliest=0, latest=None))
        elif task.kind is TaskKind.BREAK and task.latest is not None and task.latest - task.steps < now:
            continue  # a break that should have been is made up for by nobody
        else:
            tasks.append(replace(task, earliest=max(now, task.earliest)))
    dropped: list[str] = []
    lags = []
    for lag in problem.lags:
        if lag.after in begun:
            continue  # what is done is done
        if lag.before in begun and lag.most is not None:
            anchor = begun[lag.before].start if lag.from_start else begun[lag.before].end
            if anchor + lag.most < now:
                dropped.append(f"{problem.task[lag.after].label}: {lag.reason}")
                lag = replace(lag, most=None)
        lags.append(lag)
    holds = tuple(hold for hold in problem.holds if hold.after not in begun)
    blocks = tuple(
        replace(block, outside=tuple(key for key in block.outside if key not in begun))
        for block in problem.blocks
        if block.last not in begun or begun[block.last].end > now
    )
    changed = replace(problem, tasks=tuple(tasks), lags=tuple(lags), holds=holds, blocks=blocks)
    return changed, tuple(dict.fromkeys(dropped))


def carry_over(before: Problem, old: Schedule, now: Problem) -> tuple[Problem, Schedule]:
    """
    Put an old plan into the terms of the week as it is now, where somebody's hours or a wish have changed.

    Parameters
    ----------
    before, old
        The week as it was, and its plan.
    now
        The week as it is.

    Returns
    -------
    problem, plan
        The week with what was lost so far on record, and the plan by the crews of today: who was named for a task
        stays named for it. Tasks that are no longer done are gone from it.
    """
    crew_of = {name: crew.key for crew in now.resources for name in crew.names}
    named = name_hands(before, old)
    crews = {crew.key for crew in before.resources if crew.names}
    lost = tuple(task for task in before.tasks if AGAIN in task.key)
    problem = replace(now, tasks=now.tasks + lost)
    placed = []
    for item in old.placed:
        task = problem.task.get(item.task)
        if task is None or len(task.needs) != len(item.picks):
            continue
        names = iter(named.get(item.task, ()))
        picks = tuple(crew_of.get(next(names, ""), pick) if pick in crews else pick for pick in item.picks)
        if all(pick in dict(need.options) for pick, need in zip(picks, task.needs, strict=True)):
            placed.append(replace(item, picks=picks))
    chosen = tuple(key for key in old.chosen if key in {choice.key for choice in problem.choices})
    return problem, replace(old, placed=tuple(placed), rests=(), chosen=chosen)


def _hit(problem: Problem, old: Schedule, repeated: frozenset[str], now: int, pins: Iterable[Pin]) -> frozenset[str]:
    """Tasks that what happened touches: lost ones, ones held elsewhere, and ones whose places break a limit now."""
    found = set(repeated)
    there = {item.task for item in old.placed}
    chosen = frozenset(old.chosen)
    for task in problem.tasks:
        wanted = not task.when or (task.when.lstrip("!") in chosen) != task.when.startswith("!")
        if wanted and task.key not in there:
            found.add(task.key)
    for breach in check(problem, old, pins):
        if breach.where in problem.task:
            found.add(breach.where)
        elif breach.where in problem.resource:
            # Whoever uses the resource at that time.
            found |= {
                item.task for item in old.placed
                if breach.where in item.picks and item.end > max(now, breach.at) and item.start <= breach.at + SOON
            }  # fmt: skip
    return frozenset(found)


def _following(problem: Problem, keys: frozenset[str]) -> frozenset[str]:
    """Tasks with everything that waits for them, at whatever remove."""
    after: dict[str, list[str]] = defaultdict(list)
    for lag in problem.lags:
        after[lag.before].append(lag.after)
    found, queue = set(keys), sorted(keys)
    while queue:
        for key in after[queue.pop()]:
            if key not in found:
                found.add(key)
                queue.append(key)
    return frozenset(found)


def _rivals(problem: Problem, old: Schedule, keys: frozenset[str], now: int) -> frozenset[str]:
    """Tasks of the next day that use what some tasks need."""
    wanted = {name for key in keys for need in problem.task[key].needs for name, _ in need.options}
    return frozenset(
        item.task for item in old.placed if item.start < now + DAY and item.end > now and wanted & set(item.picks)
    )


def _nearby(
    engine: Engine, problem: Problem, old: Schedule, hit: frozenset[str], now: int, effort: float
) -> Schedule | None:
    """Free what is hit and waits for it, then what collides with it, then its commissions; all else is pinned."""
    for free in _circles(problem, old, hit, now):
        found = _loosened(engine, problem, old, free, effort)
        if found is not None:
            return found
    return None


def _circles(problem: Problem, old: Schedule, hit: frozenset[str], now: int) -> Iterator[frozenset[str]]:
    free = _following(problem, hit)
    yield free
    free |= _rivals(problem, old, hit, now)
    yield free
    jobs = _jobs(problem, hit)
    yield free | {task.key for task in problem.tasks if task.job in jobs}


def _jobs(problem: Problem, hit: frozenset[str]) -> frozenset[str]:
    return frozenset(problem.task[key].job for key in hit) - {""} or frozenset(problem.jobs[:1])


def _widely(
    engine: Engine, problem: Problem, old: Schedule, hit: frozenset[str], now: int, effort: float
) -> Schedule | None:
    """
    Free whole commissions, the nearest first.

    A plan found so is tightened: all that has not moved is pinned, and the rest is brought back as far as it goes.
    """
    jobs = _jobs(problem, hit)
    centre = min((due(problem, job) for job in jobs), default=0)
    others = sorted(
        (job for job in problem.jobs if job not in jobs), key=lambda job: (abs(due(problem, job) - centre), job)
    )
    # A short look at each, since a first plan is soon found or soon refuted; only then a long one at everything.
    shares = {min(count, len(others)): SHORT for count in (2, 5, len(others))}
    for count, share in (*shares.items(), (len(others), LONG)):
        search = engine.improve(jobs | frozenset(others[:count]) | {""}, old, None, effort * share)
        if search.plan is not None and search.outcome is not Outcome.IMPOSSIBLE:
            *_, own = _circles(problem, old, hit, now)
            return _tightened(engine, problem, old, search.plan, own, effort * SHORT)
        if search.outcome is Outcome.IMPOSSIBLE and count == len(others):
            break
    return None


def _loosened(
    engine: Engine, problem: Problem, old: Schedule, free: frozenset[str], effort: float, known: Schedule | None = None
) -> Schedule | None:
    """Plan with some tasks free and every other one pinned where it was."""
    jobs = frozenset(problem.task[key].job for key in free) | {""}
    pins = [
        Pin(task=item.task, start=item.start, picks=item.picks)
        for item in (known or old).placed
        if item.task in problem.task and item.task not in free
    ]
    found = engine.improve(jobs, known or old, known, effort, pins)
    return None if found.outcome is Outcome.IMPOSSIBLE else found.plan


def _tightened(
    engine: Engine, problem: Problem, old: Schedule, plan: Schedule, free: frozenset[str], effort: float
) -> Schedule:
    """Bring back what has moved more than it had to, as long as that finds anything."""
    before = old.starts()
    for _ in range(TIGHTER):
        moved = {item.task for item in plan.placed if before.get(item.task) != item.start}
        better = _loosened(engine, problem, old, free | moved, effort, plan)
        if better is None or better.cost >= plan.cost:
            break
        plan = better
    return plan
