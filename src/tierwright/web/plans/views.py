"""The pages of the kitchen week, and what a hand may do on them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any, Final

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from tierwright.web.access import Door, member, owner, zone_of
from tierwright.web.frame.desk import lay_out
from tierwright.web.frame.reading import page
from tierwright.web.jobs.kinds import kind_of
from tierwright.web.jobs.models import Job, State
from tierwright.web.jobs.running import begin, look
from tierwright.web.models import Commission
from tierwright.web.plans.models import AwayDay, HeldTask, KeptWeek
from tierwright.web.plans.planning import keep_by_hand
from tierwright.web.plans.show import show
from tierwright.web.plans.weeks import WEIGHTS, Asked, asked_of, commissions_of, latest, monday_of, owned_of
from tierwright.web.prints.views import hand_out
from tierwright.week import WeekPlan, check, dress, to_calendar, to_csv, to_json, week_chart

OVERTIME: Final = (0, 60, 120, 240)
EFFORTS: Final = (0.3, 1.0, 3.0)
SAID_BREACHES: Final = 3


def _monday(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise Http404 from None
    if day.weekday():
        raise Http404
    return day


def _standing(door: Door, monday: date) -> KeptWeek:
    """Return the plan of a week that stands; Http404 where there is none."""
    kept = latest(door.kitchen, monday)
    if kept is None:
        raise Http404
    return kept


def _at(door: Door, monday: date) -> str:
    return reverse("week", kwargs={"kitchen": door.kitchen.pk, "monday": monday.isoformat()})


def _back(door: Door, monday: date) -> HttpResponseRedirect:
    return HttpResponseRedirect(_at(door, monday))


@require_safe
@member
def this_week(request: HttpRequest, door: Door) -> HttpResponse:
    """Lead to the week of the next handover, or to this week where none is coming."""
    coming = (
        Commission.objects.filter(kitchen=door.kitchen, put_away_at=None, handover_at__gte=timezone.now())
        .order_by("handover_at")
        .first()
    )
    moment = coming.handover_at if coming else timezone.now()
    return _back(door, monday_of(moment.astimezone(zone_of(door.kitchen)).date()))


def _job(door: Door, monday: date, kinds: tuple[str, ...], **more: Any) -> Job | None:
    """Return the latest piece of work for a week."""
    for job in Job.objects.filter(kitchen=door.kitchen, kind__in=kinds)[:40]:
        if job.asked.get("monday") == monday.isoformat() and all(job.asked.get(k) == v for k, v in more.items()):
            return look(job)
    return None


@require_safe
@member
def week(request: HttpRequest, door: Door, monday: str) -> HttpResponse:
    """Show a week: the plan that stands, what is under way, and what may be done about it."""
    day = _monday(monday)
    commissions = commissions_of(door.kitchen, day)
    kept = latest(door.kitchen, day)
    job = _job(door, day, ("week.plan", "week.again"))
    seen = job is not None and kept is not None and kept.job_id is not None and kept.job_id >= job.pk
    context = {
        "door": door, "place": "week", "monday": day, "before": day - timedelta(days=7),
        "after": day + timedelta(days=7),
        "sunday": day + timedelta(days=6), "commissions": commissions, "shown": show(kept) if kept else None,
        "job": job if job is not None and not seen and (not job.ended or job.state != State.DONE) else None,
        "kind": kind_of(job.kind) if job else None,
        "stale": kept is not None and kept.whose != asked_of(commissions),
        "away": AwayDay.objects.filter(
            kitchen=door.kitchen, day__gte=day - timedelta(days=7), day__lte=day + timedelta(days=7)
        ),
        "overtimes": OVERTIME, "efforts": EFFORTS, "asked": _asked(door, day, kept), "zone": str(zone_of(door.kitchen)),
    }  # fmt: skip
    return render(request, "plans/week.html", context)


def _asked(door: Door, day: date, kept: KeptWeek | None, **changed: Any) -> Asked:
    asked = Asked(monday=day, whose=asked_of(commissions_of(door.kitchen, day)))
    if kept is not None and kept.wishes:
        asked = replace(Asked.read(kept.wishes), monday=day, whose=asked.whose)
    return replace(asked, **changed)


@require_POST
@owner
def plan_it(request: HttpRequest, door: Door, monday: str) -> HttpResponse:
    """Begin to plan a week from nothing; what is held fast stays."""
    day = _monday(monday)
    kept = latest(door.kitchen, day)
    try:
        overtime, effort = int(request.POST.get("overtime", "0")), float(request.POST.get("effort", "1"))
        weights = {key: int(request.POST[key]) for key in WEIGHTS if key in request.POST}
    except ValueError:
        overtime, effort, weights = -1, -1.0, {}
    outside = any(not least <= weights.get(key, least) <= most for key, (least, most) in WEIGHTS.items())
    if overtime not in OVERTIME or effort not in EFFORTS or outside:
        messages.error(request, _("One of the ways offered has to be chosen; nothing was begun."))
        return _back(door, day)
    asked = _asked(door, day, kept, overtime_min=overtime, effort=effort, **weights)
    if not asked.whose:
        messages.error(request, _("No commission is handed over in this week; there is nothing to plan."))
        return _back(door, day)
    begin(door.kitchen, "week.plan", asked.plain() | _state(door, day, kept), user=door.user)
    door.note("week planned", day.isoformat())
    return _back(door, day)


def _state(door: Door, day: date, kept: KeptWeek | None) -> dict[str, Any]:
    """Everything else that a plan depends on, so that the same question is the same work and another is not."""
    held = HeldTask.objects.filter(kitchen=door.kitchen, monday=day)
    away = AwayDay.objects.filter(kitchen=door.kitchen)
    return {
        "after": kept.pk if kept else 0,
        "held": [[one.task, one.begins.isoformat()] for one in held],
        "away": [[one.hand, one.day.isoformat()] for one in away],
    }


def _again(door: Door, day: date, words: str, failed: tuple[str, ...] = ()) -> bool:
    kept = latest(door.kitchen, day)
    if kept is None:
        return False
    # The commissions of the plan that stands, as they stood: a new one is planned in, not slipped in.
    asked = _asked(door, day, kept, whose=kept.whose).plain() | _state(door, day, kept)
    asked |= {"from": kept.pk, "now": timezone.now().isoformat(), "failed": list(failed), "words": words}
    begin(door.kitchen, "week.again", asked, user=door.user)
    door.note("rest of week planned", words)
    return True


@require_POST
@owner
def plan_the_rest(request: HttpRequest, door: Door, monday: str) -> HttpResponse:
    """Plan the rest of the week round what is held fast."""
    day = _monday(monday)
    if not _again(door, day, _("planned round what is held")):
        messages.error(request, _("There is no plan of this week yet."))
    return _back(door, day)


@require_POST
@member
def happened(request: HttpRequest, door: Door, monday: str) -> HttpResponse:
    """Take note of a failure or of somebody away, and plan the rest of the week anew."""
    day = _monday(monday)
    kept = _standing(door, day)
    what = request.POST.get("what", "")
    if what == "failed":
        task = kept.read().problem.task.get(request.POST.get("task", ""))
        if task is None:
            raise Http404
        _again(door, day, _("%(task)s failed") % {"task": task.label}, (task.key,))
    elif what in ("away", "there"):
        try:
            when = date.fromisoformat(request.POST.get("day", ""))
        except ValueError:
            raise Http404 from None
        hand = request.POST.get("hand", "")
        if hand not in {one.name for one in owned_of(door.kitchen).hands}:
            raise Http404
        if what == "away":
            AwayDay.objects.get_or_create(kitchen=door.kitchen, hand=hand, day=when, defaults={"made_by": door.user})
            words = _("%(hand)s is away on %(day)s") % {"hand": hand, "day": f"{when:%a %d %b}"}
        else:
            AwayDay.objects.filter(kitchen=door.kitchen, hand=hand, day=when).delete()
            words = _("%(hand)s comes on %(day)s after all") % {"hand": hand, "day": f"{when:%a %d %b}"}
        _again(door, day, words)
    else:
        raise Http404
    return _back(door, day)


@require_POST
@owner
def hold(request: HttpRequest, door: Door, monday: str) -> HttpResponse:
    """
    Hold a task where a hand has put it.

    If every limit is kept so, the plan changes by that task alone. If not, what would break is said, and the rest can
    be planned round it.
    """
    day = _monday(monday)
    kept = _standing(door, day)
    plan = kept.read()
    task = plan.problem.task.get(request.POST.get("task", ""))
    if task is None or not task.job:
        raise Http404
    moment = _moment(door, request.POST.get("begins", ""))
    if moment is None:
        messages.error(request, _("That is no time that can be read; nothing was moved."))
        return _back(door, day)
    start = plan.clock.step(moment)
    if not 0 <= start <= plan.clock.horizon - task.steps:
        messages.error(request, _("That lies outside this plan's days; nothing was moved."))
        return _back(door, day)
    HeldTask.objects.update_or_create(
        kitchen=door.kitchen, monday=day, task=task.key,
        defaults={"label": task.label, "begins": plan.clock.moment(start), "made_by": door.user},
    )  # fmt: skip
    schedule = replace(
        plan.schedule, bound=None, overtime_bound=None,
        placed=tuple(
            replace(item, start=start, end=start + task.steps) if item.task == task.key else item
            for item in plan.schedule.placed
        ),
    )  # fmt: skip
    broken = check(plan.problem, schedule)
    if not broken:
        moved = dress(plan.problem, schedule, plan.clock, owned_of(door.kitchen), plan.jobs)
        keep_by_hand(door, kept, moved, task.key)
        messages.success(request, _("%(task)s is held there; nothing else had to move.") % {"task": task.label})
    else:
        said = " ".join(f"{text}." for text in dict.fromkeys(b.text.rstrip(".") for b in broken[:SAID_BREACHES]))
        messages.warning(
            request,
            _("%(task)s is held there, but as the rest stands that does not work: %(why)s Plan the rest round it, or "
              "let it go.") % {"task": task.label, "why": said},
        )  # fmt: skip
    return _back(door, day)


def _moment(door: Door, text: str) -> datetime | None:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    # A time typed into a field is meant by the kitchen's clock.
    return moment if moment.tzinfo else moment.replace(tzinfo=zone_of(door.kitchen))


@require_POST
@owner
def let_go(request: HttpRequest, door: Door, monday: str) -> HttpResponse:
    """Let go of a task that was held."""
    day = _monday(monday)
    HeldTask.objects.filter(kitchen=door.kitchen, monday=day, task=request.POST.get("task", "")).delete()
    return _back(door, day)


def _file(name: str, kind: str, write: Callable[[WeekPlan], bytes]) -> Callable[..., Any]:
    @require_safe
    @member
    def answer(request: HttpRequest, door: Door, monday: str) -> HttpResponse:
        found = HttpResponse(write(_standing(door, _monday(monday)).read()), content_type=kind)
        found["Content-Disposition"] = f'inline; filename="{name}"'
        return found

    return answer


@require_safe
@member
def day_sheets_pdf(request: HttpRequest, door: Door, monday: str) -> HttpResponse:
    """Hand out the day sheets of the plan that stands."""
    day = _monday(monday)
    kept = _standing(door, day)
    return hand_out(request, door, "week.days", {"week": kept.pk}, back=_at(door, day))


calendar = _file("week.ics", "text/calendar; charset=utf-8", to_calendar)
as_json = _file("week.json", "application/json", to_json)
as_csv = _file("week.csv", "text/csv; charset=utf-8", lambda plan: to_csv(plan).encode())
as_svg = _file("week.svg", "image/svg+xml", lambda plan: week_chart(plan).svg.encode())


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def take(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Say whether a commission can be taken: yes; yes with these smallest changes; or no, and why."""
    desk = lay_out(door, commission)
    found = desk.commission
    day = monday_of(found.handover_at.astimezone(zone_of(door.kitchen)).date())
    others = [other for other in commissions_of(door.kitchen, day) if other.pk != found.pk]
    asked = Asked(monday=day, whose=asked_of([*others, found]))
    question = asked.plain() | _state(door, day, latest(door.kitchen, day))
    if request.method == "POST":
        begin(door.kitchen, "week.take", question, user=door.user)
        return HttpResponseRedirect(desk.url("week-take"))
    job = next(
        (look(one) for one in Job.objects.filter(kitchen=door.kitchen, kind="week.take")[:40]
         if one.asked.get("whose", [[0]])[-1][0] == found.pk),
        None,
    )  # fmt: skip
    return page(
        request, desk, "plans/take.html", job=job, kind=kind_of("week.take"), others=others, monday=day,
        stale=job is not None and job.ended and job.asked != question,
    )  # fmt: skip
