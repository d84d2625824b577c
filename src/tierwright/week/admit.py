"""Can I take this commission? Yes; yes with these smallest changes; or no, and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum

from tierwright.brief import Kitchen
from tierwright.week.calendar import Grid
from tierwright.week.engine import Engine, Outcome, Search, search
from tierwright.week.explain import explain, surely_impossible
from tierwright.week.model import Problem, Schedule, Settings
from tierwright.week.norms import ages
from tierwright.week.places import FRIDGE, Wishes
from tierwright.week.plan import WeekPlan, clock_for, dress
from tierwright.week.precheck import Cause, causes
from tierwright.week.tasks import problem_of
from tierwright.week.work import JobWork


class Answer(StrEnum):
    """The three answers, and the honest fourth."""

    YES = "yes"
    CHANGES = "yes, with changes"
    NO = "no"
    UNKNOWN = "not settled in the time given"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """
    One thing that the maker could change.

    Attributes
    ----------
    key
        Stable name.
    text
        In the imperative.
    burden
        How much it asks of maker or client; the smaller is tried first. [-]
    """

    key: str
    text: str
    burden: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Admission:
    """
    Whether a commission can be taken.

    Attributes
    ----------
    answer
        Yes, yes with changes, no, or not settled.
    changes
        Smallest set of changes found: with any one of them left out no plan was found.
    others
        Single changes that would do by themselves, cheapest first.
    causes
        For a no, what makes it impossible; for changes, what is in the way as things stand.
    plan
        The week with the commission in it, the changes made.
    tried
        What was looked at, in words.
    """

    answer: Answer
    changes: tuple[Change, ...] = ()
    others: tuple[Change, ...] = ()
    causes: tuple[Cause, ...] = ()
    plan: WeekPlan | None = None
    tried: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """Everything that a change may touch."""

    jobs: tuple[JobWork, ...]
    wishes: Wishes
    first_day: date | None

    def problem(self, kitchen: Kitchen) -> tuple[Problem, Grid]:
        """Put the week together."""
        clock = clock_for(self.jobs, kitchen, self.first_day)
        return problem_of(self.jobs, kitchen, clock, self.wishes), clock


def possible_changes(setting: Setting, kitchen: Kitchen) -> tuple[Change, ...]:
    """List what could be changed about a week, the lightest burden first."""
    found = [Change(key="thaw", text="Thaw the layers wrapped on the cool bench instead of in the fridge", burden=1.0)]
    first = clock_for(setting.jobs, kitchen, setting.first_day).moment(0).date()
    found.append(Change(key="earlier", text=f"Start a day earlier, on {first - timedelta(days=1):%A}", burden=2.0))
    for job in setting.jobs:
        cold = any(ages()[cream.kind].cold for cream in job.creams)
        if cold and job.key not in setting.wishes.stable:
            text = f"Give {job.title} a filling and coat that keep without cold, and hold it in the cool room"
            found.append(Change(key=f"stable:{job.key}", text=text, burden=2.5 + 0.1 * len(job.tiers)))
        what = "collection" if job.collected else "set-up"
        for minutes in (-60, 60, -120, 120):
            way = "earlier" if minutes < 0 else "later"
            found.append(
                Change(
                    key=f"move:{job.key}:{minutes}",
                    burden=3.5 + abs(minutes) / 60.0 + (0.5 if not job.collected else 0.0),
                    text=f"Move the {what} of {job.title} {abs(minutes)} min {way}",
                )
            )  # fmt: skip
    found += [
        Change(
            key=f"over:{minutes}", burden=4.0 + minutes / 60.0, text=f"Work up to {minutes // 60} h beyond your hours"
        )
        for minutes in (60, 120, 240)
    ]  # fmt: skip
    found += [
        Change(key=f"fridge:{litres}", text=f"Borrow {litres} l of fridge", burden=5.0 + litres / 20.0)
        for litres in (20, 60)
    ]
    found.append(Change(key="hands", text="Take on another pair of hands", burden=9.0))
    found.append(Change(key="van", text="Have a second vehicle, or somebody else drive", burden=8.0))
    found.append(Change(key="shelf", text="Bake in a second oven, or add a shelf", burden=8.5))
    return tuple(sorted(found, key=lambda change: (change.burden, change.key)))


def apply(setting: Setting, change: Change, kitchen: Kitchen) -> Setting:
    """Return the week with one change made."""
    kind, _, rest = change.key.partition(":")
    wishes = setting.wishes
    match kind:
        case "thaw":
            return replace(setting, wishes=replace(wishes, thaw_in_room=True))
        case "earlier":
            first = clock_for(setting.jobs, kitchen, setting.first_day).moment(0).date()
            return replace(setting, first_day=first - timedelta(days=1))
        case "stable":
            return replace(setting, wishes=replace(wishes, stable=(*wishes.stable, rest)))
        case "over":
            return replace(setting, wishes=replace(wishes, overtime_min=max(wishes.overtime_min, float(rest))))
        case "fridge":
            return replace(setting, wishes=replace(wishes, fridge_l=wishes.fridge_l + float(rest)))
        case "hands":
            return replace(setting, wishes=replace(wishes, extra_hands=wishes.extra_hands + 1))
        case "van":
            return replace(setting, wishes=replace(wishes, vans=wishes.vans + 1))
        case "shelf":
            return replace(setting, wishes=replace(wishes, extra_shelves=wishes.extra_shelves + 1))
        case "move":
            key, _, minutes = rest.rpartition(":")
            by = timedelta(minutes=float(minutes))
            # The promised window is kept, and the time that is offered beside it is added.
            jobs = tuple(
                replace(job, opens=min(job.opens, job.opens + by), closes=max(job.closes, job.closes + by))
                if job.key == key else job
                for job in setting.jobs
            )  # fmt: skip
            return replace(setting, jobs=jobs)
    raise ValueError(f"{change.key} is no change")


def _look(setting: Setting, kitchen: Kitchen, effort: Settings) -> tuple[Search, Problem, Grid]:
    problem, clock = setting.problem(kitchen)
    if causes(problem):
        return Search(outcome=Outcome.IMPOSSIBLE), problem, clock
    engine = Engine(problem, effort)
    found = engine.feasible(None, None, effort.effort)
    if found.plan is None and found.outcome is Outcome.UNKNOWN and len(setting.jobs) > 4:
        found = search(problem, replace(effort, rounds=0, polish=0.0))
    return found, problem, clock


def admit(
    accepted: Sequence[JobWork],
    asked: JobWork | Sequence[JobWork],
    kitchen: Kitchen,
    *,
    wishes: Wishes | None = None,
    settings: Settings | None = None,
    first_day: date | None = None,
    held: Schedule | None = None,
) -> Admission:
    """
    Say whether a commission can be taken beside those already accepted.

    Parameters
    ----------
    accepted, asked
        Commissions that stand, and the one (or ones) asked about.
    kitchen, wishes, settings, first_day
        As for planning.
    held
        The plan that stands, to be kept as it is where possible.

    Returns
    -------
    admission
        A no only where two searches agree and the cause is named; what is not settled is never called a no.
    """
    new = (asked,) if isinstance(asked, JobWork) else tuple(asked)
    wishes = wishes or Wishes()
    settings = settings or Settings(effort=0.7, rounds=2, polish=1.0)
    setting = Setting(jobs=(*accepted, *new), wishes=wishes, first_day=first_day)
    tried: list[str] = []
    for job in new:
        alone = Setting(jobs=(job,), wishes=wishes, first_day=first_day)
        found, problem, _ = _look(alone, kitchen, settings)
        if found.outcome is Outcome.IMPOSSIBLE:
            tried.append(f"{job.title} does not work even by itself")
            break
    problem, clock = setting.problem(kitchen)
    if not causes(problem):
        found = search(problem, settings, start=held)
        if found.plan is not None:
            week = dress(problem, found.plan, clock, kitchen, setting.jobs, found.tried)
            return Admission(answer=Answer.YES, plan=week, tried=(*tried, *found.tried))
        tried += found.tried
    quick = replace(settings, effort=settings.effort, rounds=0, polish=0.0)
    options = [c for c in possible_changes(setting, kitchen) if not _idle(c, setting)]
    singles: list[Change] = []
    for change in options:
        found, _, _ = _look(apply(setting, change, kitchen), kitchen, quick)
        if found.plan is not None:
            singles.append(change)
            tried.append(f"works: {change.text}")
            if len(singles) == 3:
                break
    chosen = (singles[0],) if singles else _smallest_set(setting, options, kitchen, quick, tried)
    if chosen:
        changed = setting
        for change in chosen:
            changed = apply(changed, change, kitchen)
        problem, clock = changed.problem(kitchen)
        final = search(problem, settings)
        if final.plan is not None:
            week = dress(problem, final.plan, clock, kitchen, changed.jobs, final.tried)
            return Admission(
                answer=Answer.CHANGES, changes=_sharpened(chosen, week), others=tuple(singles[1:]), plan=week,
                causes=explain(setting.problem(kitchen)[0], replace(quick, effort=0.5)), tried=tuple(tried),
            )  # fmt: skip
    problem, _ = setting.problem(kitchen)
    if surely_impossible(problem, quick):
        return Admission(answer=Answer.NO, causes=explain(problem, replace(quick, effort=0.5)), tried=tuple(tried))
    return Admission(answer=Answer.UNKNOWN, tried=tuple(tried))


def _idle(change: Change, setting: Setting) -> bool:
    """Whether a change cannot make a difference, so that it is not worth a search."""
    if change.key == "van":
        return sum(not job.collected for job in setting.jobs) < 2
    return False


def _smallest_set(
    setting: Setting, options: list[Change], kitchen: Kitchen, quick: Settings, tried: list[str]
) -> tuple[Change, ...]:
    """
    Find a set of changes that works and of which none can be left out.

    All changes together first; then each is dropped in turn, the heaviest first, if the week works without it.
    The lighter changes therefore stay.
    """

    def works(changes: Sequence[Change]) -> bool:
        changed = setting
        for change in changes:
            changed = apply(changed, change, kitchen)
        return _look(changed, kitchen, quick)[0].plan is not None

    ladder = list(_ladder(options))
    kept: list[Change] | None = None
    for bundle in ladder:
        tried.append(f"{len(bundle)} changes together")
        if works(bundle):
            kept = list(bundle)
            break
    if kept is None:
        return ()
    for change in sorted(kept, key=lambda c: -c.burden):
        rest = [other for other in kept if other is not change]
        if works(rest):
            kept = rest
    return tuple(kept)


def _ladder(options: list[Change]) -> Iterator[list[Change]]:
    """Bundles of changes, from what asks little to everything."""
    last = 0
    for burden in (4.0, 5.0, 7.0, 9.0):
        bundle = [change for change in options if change.burden <= burden]
        if len(bundle) > last:
            last = len(bundle)
            yield bundle


def _sharpened(changes: tuple[Change, ...], week: WeekPlan) -> tuple[Change, ...]:
    """Say what the plan really takes of a change where that is less than was offered."""
    found = []
    for change in changes:
        text = change.text
        if change.key.startswith("over:") and week.overtime_min:
            hours, minutes = divmod(int(week.overtime_min), 60)
            text = f"Work {hours} h {minutes:02d} min beyond your hours in all"
        found.append(replace(change, text=text))
    return tuple(found)


def fridge_peak(week: WeekPlan) -> tuple[float, str]:
    """Return the fullest moment of the fridge: litres, and when in words."""
    spells = [(w.begin, w.end, w.amount) for w in week.waiting if w.place == week.problem.resource[FRIDGE].label]
    best, at = 0.0, ""
    for begin, _, _ in spells:
        level = sum(amount for a, b, amount in spells if a <= begin < b)
        if level > best:
            best, at = level, f"{begin:%a %H:%M}"
    return best, at
