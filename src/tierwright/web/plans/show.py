"""A kept week laid out for a page: the chart, and every day of every pair of hands as a list."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.utils.translation import gettext as _

from tierwright.drawings import AS_THE_PAGE, Drawing
from tierwright.web.plans.models import HeldTask, KeptWeek
from tierwright.web.plans.weeks import pins_of
from tierwright.week import Bar, TaskKind, WeekPlan, check, week_chart
from tierwright.week.chart import MARKS

CAN_FAIL = frozenset({TaskKind.MIX, TaskKind.BAKE, TaskKind.TURN_OUT, TaskKind.COOK, TaskKind.COAT, TaskKind.FLOWERS})
"""Work whose outcome can be lost and made again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One task in a day's list."""

    number: int
    bar: Bar
    mark: str
    held: bool
    can_fail: bool
    slack: str
    restart: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """One pair of hands on one day."""

    name: str
    lines: tuple[Line, ...]
    hours: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """One day: who does what, and what goes on by itself."""

    day: date
    hands: tuple[Hand, ...]
    meanwhile: tuple[Line, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A kept week as a page shows it."""

    kept: KeptWeek
    plan: WeekPlan
    chart: Drawing
    days: tuple[Day, ...]
    legend: tuple[tuple[str, str], ...]
    proved: str
    late: tuple[tuple[str, str], ...]
    protect: tuple[dict[str, Any], ...]
    moved: tuple[dict[str, Any], ...]
    held: tuple[tuple[HeldTask, bool], ...]
    breaches: tuple[str, ...]


def minutes(value: float) -> str:
    """Return minutes as hours and minutes."""
    hours, rest = divmod(round(value), 60)
    if not hours:
        return _("%(minutes)s min") % {"minutes": rest}
    return _("%(hours)s h %(minutes)02d min") % {"hours": hours, "minutes": rest}


def proved(plan: WeekPlan) -> str:
    """Say what is proved of a plan."""
    if plan.gap is None:
        return _("How much better a plan could be is not proved.")
    if plan.gap == 0:
        return _("Nothing better exists by these wishes; that is proved.")
    return _("It is proved that no plan is more than %(gap)s %% better by these wishes.") % {
        "gap": f"{plan.gap * 100:.0f}"
    }


def show(kept: KeptWeek) -> Shown:
    """Lay a kept week out."""
    plan = kept.read()
    held = list(HeldTask.objects.filter(kitchen=kept.kitchen, monday=kept.monday))
    names = frozenset(one.task for one in held)
    begins = {bar.task: bar.begin for bar in plan.bars}
    marks = {job: MARKS[number % len(MARKS)] for number, job in enumerate(plan.problem.jobs)}
    protect = {one["task"]: one for one in kept.safe.get("protect", ())}

    def line(number: int, bar: Bar) -> Line:
        watched = protect.get(bar.task)
        return Line(
            number=number, bar=bar, mark=marks.get(bar.job, ""), held=bar.task in names,
            can_fail=bar.kind in CAN_FAIL and "#" not in bar.task,
            slack=minutes(watched["slack_min"]) if watched else "",
            restart=f"{datetime.fromisoformat(watched['restart']):%a %H:%M}" if watched else "",
        )  # fmt: skip

    lines = [line(number, bar) for number, bar in enumerate(plan.bars)]
    people = list(dict.fromkeys(name for crew in plan.problem.resources for name in crew.names))
    days = []
    for day in sorted({one.bar.begin.date() for one in lines}):
        own = [one for one in lines if one.bar.begin.date() == day]
        hands = []
        for name in people:
            work = tuple(one for one in own if name in one.bar.hands)
            busy = sum(
                ((one.bar.end - one.bar.begin) for one in work if one.bar.kind is not TaskKind.BREAK), timedelta()
            )
            if work:
                hands.append(Hand(name=name, lines=work, hours=minutes(busy.total_seconds() / 60)))
        days.append(Day(day=day, hands=tuple(hands), meanwhile=tuple(one for one in own if not one.bar.hands)))
    titles = {bar.task: (bar.label, bar.commission) for bar in plan.bars}
    return Shown(
        kept=kept,
        plan=plan,
        chart=week_chart(plan, ink=AS_THE_PAGE, movable=True, held=names),
        days=tuple(days),
        legend=tuple((marks[job], plan.problem.label_of(job)) for job in plan.problem.jobs),
        proved=proved(plan),
        late=tuple((plan.problem.label_of(job), f"{chance * 100:.0f} %") for job, chance in kept.safe.get("late", ())),
        protect=tuple(
            {
                "label": titles[key][0],
                "commission": titles[key][1],
                "slack": minutes(one["slack_min"]),
                "restart": datetime.fromisoformat(one["restart"]),
            }
            for key, one in protect.items()
            if key in titles
        ),
        moved=tuple(
            one
            | {
                "before": one["before"] and datetime.fromisoformat(one["before"]),
                "after": one["after"] and datetime.fromisoformat(one["after"]),
            }
            for one in kept.moved
        ),
        held=tuple((one, begins.get(one.task) == one.begins) for one in held),
        breaches=tuple(
            breach.text
            for breach in check(
                plan.problem, plan.schedule,
                [pin for pin in pins_of(kept.kitchen, kept.monday, plan.clock) if pin.task in plan.problem.task],
            )
            if breach.rule != "pin"
        ),
    )  # fmt: skip
