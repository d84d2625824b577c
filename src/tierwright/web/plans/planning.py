"""The long work of the week: plan it, plan the rest of it again, say whether one more can be taken."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from tierwright.errors import Infeasible
from tierwright.web.access import Door
from tierwright.web.jobs.running import Work
from tierwright.web.plans.models import KeptWeek
from tierwright.web.plans.weeks import Asked, key_of, latest, owned_of, pins_of, works_of
from tierwright.week import (
    Failed,
    Moved,
    Progress,
    Settings,
    WeekPlan,
    Wishes,
    admit,
    carry_over,
    dress,
    plan_jobs,
    problem_of,
    replan,
    simulate,
)
from tierwright.week.plan import clock_for

STAGES = {"a first plan": 1, "placing": 1, "improving": 2, "polishing": 3}


def watcher(work: Work) -> Callable[[Progress], bool]:
    """Return what tells a search's progress to the page, and stops the search when the page says so."""

    def tell(progress: Progress) -> bool:
        return work.report(done=STAGES.get(progress.stage, 0), of=4, words=said(progress))

    return tell


def said(progress: Progress) -> str:
    """Say how far a search is: what stands, and how much better a plan could still be as far as is proved."""
    if progress.cost is None or progress.placed < progress.of:
        return _("%(placed)s of %(of)s commissions have their place.") % {
            "placed": progress.placed, "of": progress.of
        }  # fmt: skip
    if progress.bound is None:
        return _("A plan stands; how much better one could be is not proved yet.")
    gap = max(0.0, (progress.cost - progress.bound) / max(1, progress.cost))
    if gap == 0:
        return _("A plan stands, and nothing better exists.")
    return _("A plan stands; it is proved that none is more than %(gap)s %% better.") % {"gap": f"{gap * 100:.0f}"}


def safety(plan: WeekPlan) -> dict[str, Any]:
    """Work out how safe a plan is: the chance of being late, and what to protect."""
    safe = simulate(plan.problem, plan.schedule, runs=300, seed=1)
    margins = {margin.task: margin for margin in safe.margins}
    moment = plan.clock.moment
    return {
        "late": [[job, chance] for job, chance in safe.late],
        "protect": [
            {"task": key, "slack_min": margins[key].slack * 5, "restart": moment(margins[key].restart).isoformat()}
            for key in safe.protect
        ],
    }


def keep(
    work: Work, asked: Asked, plan: WeekPlan, *, words: str, moved: Sequence[dict[str, Any]] = ()
) -> dict[str, Any]:
    """Keep a plan, once for this piece of work however often it is run."""
    kept, _made = KeptWeek.objects.update_or_create(
        job=work.job,
        defaults={
            "kitchen": work.job.kitchen,
            "monday": asked.monday,
            "whose": asked.whose,
            "wishes": asked.plain(),
            "plan": KeptWeek.packed(plan),
            "moved": list(moved),
            "words": words[:400],
            "made_by": work.job.begun_by,
            "safe": safety(plan),
        },
    )
    return {"week": kept.pk}


def keep_by_hand(door: Door, kept: KeptWeek, plan: WeekPlan, task: str) -> KeptWeek:
    """Keep a plan in which a hand has moved one task."""
    before = {bar.task: bar.begin for bar in kept.read().bars}
    bar = next(bar for bar in plan.bars if bar.task == task)
    moved = {
        "task": task, "label": bar.label, "commission": bar.commission, "before": before[task].isoformat(),
        "after": bar.begin.isoformat(),
    }  # fmt: skip
    return KeptWeek.objects.create(
        kitchen=kept.kitchen, monday=kept.monday, whose=kept.whose, wishes=kept.wishes, plan=KeptWeek.packed(plan),
        moved=[moved], safe=safety(plan), words=_("moved by hand"), made_by=door.user,
    )  # fmt: skip


def plan_week(work: Work) -> dict[str, Any]:
    """Plan a week from nothing, with what is held fast where it is."""
    asked = Asked.read(work.asked)
    kitchen = work.job.kitchen
    jobs, owned = works_of(kitchen, asked.whose), owned_of(kitchen)
    clock = clock_for(jobs, owned)
    settings = Settings(effort=2.0 * asked.effort, polish=4.0 * asked.effort, rounds=round(30 * asked.effort))
    done = plan_jobs(
        jobs, owned, wishes=asked.wishes(kitchen, clock), settings=settings, report=watcher(work),
        pins=pins_of(kitchen, asked.monday, clock),
    )  # fmt: skip
    return keep(work, asked, done, words=_("planned"))


def plan_again(work: Work) -> dict[str, Any]:
    """Plan the rest of a week: what is done stays, and as little as possible moves."""
    asked = Asked.read(work.asked)
    kitchen = work.job.kitchen
    old = KeptWeek.objects.get(kitchen=kitchen, pk=work.asked["from"])
    before = old.read()
    jobs, owned = works_of(kitchen, asked.whose), owned_of(kitchen)
    problem, schedule = carry_over(
        before.problem, before.schedule, problem_of(jobs, owned, before.clock, asked.wishes(kitchen, before.clock))
    )
    now = min(max(0, before.clock.step(datetime.fromisoformat(work.asked["now"]))), before.clock.horizon)
    after = replan(
        problem, schedule, now, failed=[Failed(task=task) for task in work.asked["failed"]], report=watcher(work),
        pins=pins_of(kitchen, asked.monday, before.clock), settings=Settings(effort=1.0, rounds=0, polish=0.0),
    )  # fmt: skip
    done = dress(replace(after.problem, anchors=()), after.schedule, before.clock, owned, jobs, after.dropped)
    return keep(work, asked, done, words=work.asked["words"], moved=said_of(after.moved, before, done))


def said_of(moved: Sequence[Moved], before: WeekPlan, after: WeekPlan) -> list[dict[str, Any]]:
    """Say what moved, breaks left out: what, for whom, from when to when."""
    tasks = before.problem.task | after.problem.task
    moment = after.clock.moment
    return [
        {
            "task": move.task,
            "label": tasks[move.task].label,
            "commission": after.problem.label_of(tasks[move.task].job),
            "before": None if move.before is None else moment(move.before).isoformat(),
            "after": None if move.after is None else moment(move.after).isoformat(),
        }
        for move in moved
        if tasks[move.task].job
    ]


def may_take(work: Work) -> dict[str, Any]:
    """Say whether a commission can be taken beside those of its week."""
    asked = Asked.read(work.asked)
    kitchen = work.job.kitchen
    jobs, owned = works_of(kitchen, asked.whose), owned_of(kitchen)
    clock = clock_for(jobs, owned)
    wishes: Wishes = asked.wishes(kitchen, clock)
    kept = latest(kitchen, asked.monday)
    held = None
    if kept is not None and {pk for pk, _number in kept.whose} <= {pk for pk, _number in asked.whose}:
        stands = kept.read()
        if stands.clock == clock:
            # What stands is kept where it is as far as that goes.
            _problem, held = carry_over(stands.problem, stands.schedule, problem_of(jobs, owned, clock, wishes))
    work.report(done=0, of=0, words=_("Every way to fit it in is looked at; the smallest changes first."), at_once=True)
    try:
        answer = admit(jobs[:-1], jobs[-1], owned, wishes=wishes, held=held)
    except Infeasible as error:
        return {"answer": "no", "changes": [], "others": [], "causes": [str(error)], "tried": [], "whose": asked.whose}
    return {
        "answer": answer.answer.value,
        "changes": [change.text for change in answer.changes],
        "others": [change.text for change in answer.others],
        "causes": [cause.text for cause in answer.causes],
        "tried": list(answer.tried),
        "whose": asked.whose,
        "job": key_of(asked.whose[-1][0]),
    }
