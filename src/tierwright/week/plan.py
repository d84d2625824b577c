"""The week's plan in a maker's own time: from dossiers to bars on named hands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from tierwright.brief import Kitchen
from tierwright.dossier import Dossier
from tierwright.errors import Infeasible
from tierwright.week.calendar import Grid, grid
from tierwright.week.engine import Outcome, Report, Search, search
from tierwright.week.explain import explain
from tierwright.week.model import STEP_MIN, Hold, Pin, Problem, Schedule, Settings, TaskKind
from tierwright.week.norms import limits
from tierwright.week.people import name_hands
from tierwright.week.places import Wishes
from tierwright.week.reading import read_jobs
from tierwright.week.tasks import problem_of
from tierwright.week.work import JobWork
from tierwright.working import Assumption, Basis, Figure, Notes, Source

FORMAT = 1
DAYS_BEFORE = 6
SHEET = "week"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """
    One task on the clock.

    Attributes
    ----------
    task, job, commission, kind, label, part
        Its key, the key and title of its commission, what it is, and which part of the cake it is for.
    begin, end
        In the kitchen's own time, with its offset from UTC.
    hands
        Who does it; empty for work that needs nobody.
    places
        Labels of everything else that it takes.
    note
        What the hand should mind.
    """

    task: str
    job: str
    commission: str
    kind: TaskKind
    label: str
    part: str
    begin: datetime
    end: datetime
    hands: tuple[str, ...]
    places: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """Something that waits in a place: what, whose, where, how much of it [l or pieces], and from when to when."""

    what: str
    job: str
    commission: str
    place: str
    amount: float
    begin: datetime
    end: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Age:
    """How old a tier's cake is when it leaves the kitchen. [h]"""

    job: str
    what: str
    hours: float
    frozen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekPlan:
    """
    A kitchen week.

    Attributes
    ----------
    format
        Layout of this record.
    kitchen
        Name of the kitchen.
    clock
        Its grid and time zone.
    bars, waiting
        Every task and every wait, by their beginnings.
    ages
        Of every tier when it leaves.
    overtime_min
        Work beyond hours, over all people. [min]
    chosen
        What is done differently by choice, in words.
    gap
        Share by which the plan may still be above the best, 0 to 1; None where nothing is proved.
    proof
        Whether anything better exists.
    jobs, problem, schedule
        What it was planned from, and the plan on the grid.
    tried
        What had to be moved, in words.
    notes
        Figures and assumptions.
    advice
        What a plan cannot do by itself, in words: work to begin before the week, and windows too short to be safe.
    """

    format: int
    kitchen: str
    clock: Grid
    bars: tuple[Bar, ...]
    waiting: tuple[Waiting, ...]
    ages: tuple[Age, ...]
    overtime_min: float
    chosen: tuple[str, ...]
    gap: float | None
    proof: str
    jobs: tuple[JobWork, ...]
    problem: Problem
    schedule: Schedule
    tried: tuple[str, ...]
    notes: Notes
    advice: tuple[str, ...] = ()


def clock_for(jobs: Sequence[JobWork], kitchen: Kitchen, first_day: date | None = None) -> Grid:
    """Return the grid of a week: from some days before the first handover to the day after the last."""
    opens = [job.opens.date() for job in jobs]
    closes = [job.closes.date() for job in jobs]
    begin = first_day or min(opens) - timedelta(days=DAYS_BEFORE)
    return grid(begin, max(closes) + timedelta(days=1), kitchen.timezone)


def plan(
    dossiers: Sequence[Dossier],
    kitchen: Kitchen,
    *,
    wishes: Wishes | None = None,
    settings: Settings | None = None,
    first_day: date | None = None,
    pins: Sequence[Pin] = (),
    report: Report | None = None,
) -> WeekPlan:
    """
    Plan the week of several commissions.

    Parameters
    ----------
    dossiers
        Commissions in the order of acceptance.
    kitchen
        What there is.
    wishes, settings
        How the maker wants the week, and how long to look.
    first_day
        First day that may be worked; six days before the first handover if left out.
    pins
        Tasks that stay where they are.
    report
        Told of every step of the search; stops it by returning True.

    Returns
    -------
    plan
        Checked against every limit. The same input and seed give the same plan, unless the guard on time is hit.

    Raises
    ------
    Infeasible
        No plan exists, with the cause; or none was found in the time.
    """
    return plan_jobs(
        read_jobs(dossiers), kitchen, wishes=wishes, settings=settings, first_day=first_day, pins=pins, report=report
    )


def plan_jobs(
    jobs: tuple[JobWork, ...],
    kitchen: Kitchen,
    *,
    wishes: Wishes | None = None,
    settings: Settings | None = None,
    first_day: date | None = None,
    pins: Sequence[Pin] = (),
    report: Report | None = None,
) -> WeekPlan:
    """Plan the week of commissions given as plain numbers; see ``plan``."""
    clock = clock_for(jobs, kitchen, first_day)
    problem = problem_of(jobs, kitchen, clock, wishes)
    found = search(problem, settings, pins, report)
    if found.plan is None:
        raise no_plan(problem, found)
    return dress(problem, found.plan, clock, kitchen, jobs, found.tried)


def no_plan(problem: Problem, found: Search) -> Infeasible:
    """Return the refusal of a week, with its cause in words."""
    reasons = explain(problem)
    if found.outcome is Outcome.IMPOSSIBLE:
        text = "; ".join(cause.text.rstrip(".") for cause in reasons[:3]) or "its limits contradict one another"
        return Infeasible("this week", text)
    text = "no plan was found in the time given, which does not prove that there is none"
    hint = reasons[0].text if reasons else ""
    return Infeasible("this week", text, hint)


def dress(
    problem: Problem, schedule: Schedule, clock: Grid, kitchen: Kitchen, jobs: tuple[JobWork, ...],
    tried: tuple[str, ...] = (),
) -> WeekPlan:  # fmt: skip
    """Put a plan on the grid into the kitchen's own time, with names."""
    names = name_hands(problem, schedule)
    when = {item.task: item for item in schedule.placed}
    bars = []
    for item in sorted(schedule.placed, key=lambda p: (p.start, p.end, p.task)):
        task = problem.task[item.task]
        bars.append(
            Bar(
                task=task.key, job=task.job, commission=problem.label_of(task.job), kind=task.kind, label=task.label,
                part=task.part, begin=clock.moment(item.start), end=clock.moment(item.end),
                hands=names.get(task.key, ()), note=task.note,
                places=tuple(problem.resource[p].label for p in item.picks if not problem.resource[p].names),
            )
        )  # fmt: skip
    return WeekPlan(
        format=FORMAT,
        kitchen=kitchen.name,
        clock=clock,
        bars=tuple(bars),
        waiting=_waiting(problem, schedule, clock),
        ages=tuple(
            Age(
                job=problem.task[span.after].job,
                what=span.label,
                hours=(when[span.after].start - when[span.before].end) * STEP_MIN / 60,
                frozen=not span.when.startswith("!"),
            )
            for span in problem.spans
            if span.label.startswith("age of")
            and span.before in when
            and span.after in when
            and _taken(span.when, schedule)
        ),
        overtime_min=float(schedule.overtime * STEP_MIN),
        chosen=tuple(choice.label for choice in problem.choices if choice.key in schedule.chosen),
        gap=schedule.gap,
        proof=schedule.proof.value,
        jobs=jobs,
        problem=problem,
        schedule=schedule,
        tried=tried,
        notes=_notes(schedule, kitchen),
        advice=(*_begin_before(problem, schedule, clock, jobs), *_short_windows(problem, jobs)),
    )


def _begin_before(problem: Problem, schedule: Schedule, clock: Grid, jobs: tuple[JobWork, ...]) -> tuple[str, ...]:
    """Say until when work that takes weeks has to be begun, by the plan's own time of decorating."""
    found = []
    for job in jobs:
        starts = [
            item.start for item in schedule.placed
            if problem.task[item.task].job == job.key and problem.task[item.task].kind is TaskKind.DECORATE
        ]  # fmt: skip
        for work in job.long_ahead if starts else ():
            by = clock.moment(min(starts)) - timedelta(minutes=work.dry_min + work.hands_min)
            found.append(
                f"{job.title}: {work.label}; {work.hands_min:.0f} min, begun by {by:%A} {by.day} {by:%B %Y}, "
                f"for it takes {work.dry_min / 1440:.0f} days"
            )
    return tuple(found)


def _short_windows(problem: Problem, jobs: tuple[JobWork, ...]) -> tuple[str, ...]:
    """Name windows that end too soon after they open for the work in them to be over in time nearly always."""
    found = []
    for reserve in problem.reserves:
        task = problem.task[reserve.task]
        job = next(job for job in jobs if job.key == task.job)
        wanted = task.earliest + task.steps + reserve.wanted
        if task.latest is not None and task.kind is TaskKind.SET_UP and wanted > task.latest:
            short = (wanted - task.latest) * STEP_MIN
            found.append(
                f"{job.title}: the time for setting up is short; have the room opened {short} min earlier, or take "
                f"somebody along"
            )
    return tuple(found)


def _taken(when: str, schedule: Schedule) -> bool:
    return not when or (when.lstrip("!") in schedule.chosen) != when.startswith("!")


def _waiting(problem: Problem, schedule: Schedule, clock: Grid) -> tuple[Waiting, ...]:
    when = {item.task: item for item in schedule.placed}
    found = []

    def there(hold: Hold) -> bool:
        return (
            _taken(hold.when, schedule) and hold.before in when and hold.after in when
            and when[hold.after].start > when[hold.before].end
        )  # fmt: skip

    for hold in problem.holds:
        if not there(hold):
            continue
        resource = problem.resource[hold.resource]
        amount = hold.amount if resource.kind.value == "cooling racks" else hold.amount / 10.0
        task = problem.task[hold.after]
        found.append(
            Waiting(
                what=hold.what, job=task.job, commission=problem.label_of(task.job), place=resource.label,
                amount=amount, begin=clock.moment(when[hold.before].end), end=clock.moment(when[hold.after].start),
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda w: (w.begin, w.place, w.what)))


def _notes(schedule: Schedule, kitchen: Kitchen) -> Notes:
    figures = [
        Figure(
            key="week.overtime_min",
            label="Work beyond hours",
            value=float(schedule.overtime * STEP_MIN),
            unit="min",
            equation="what the plan takes of the rests, over all people",
            source=Source(basis=Basis.EXACT, text="arithmetic"),
            sheet=SHEET,
        )
    ]
    if schedule.gap is not None:
        figures.append(
            Figure(
                key="week.gap", label="How far the plan may be above the best", value=schedule.gap, unit="",
                equation="(cost - proved bound) / cost",
                source=Source(basis=Basis.EXACT, text="search bound"), sheet=SHEET,
            )
        )  # fmt: skip
    assumptions = [
        Assumption(
            key=f"week.limit.{limit.key}",
            text=limit.key.replace("_", " "),
            value=f"{limit.value:g} {limit.unit}",
            source=_source(limit.source),
        )
        for limit in limits().values()
    ]
    assumptions += [
        Assumption(
            key=f"week.hours.{hand.name}",
            text=f"Hours of {hand.name}",
            value="Mon to Sat, 08:00 to 18:00",
            source=Source(basis=Basis.COMMON_PRACTICE),
        )
        for hand in kitchen.hands
        if not hand.hours
    ]
    return Notes(figures=tuple(figures), assumptions=tuple(assumptions))


def _source(text: str) -> Source:
    for basis in (Basis.COMMON_PRACTICE, Basis.FROM_MEMORY):
        if text.startswith(basis.value):
            return Source(basis=basis, text=text.removeprefix(basis.value).lstrip("; "))
    return Source(basis=Basis.PUBLISHED, text=text)
