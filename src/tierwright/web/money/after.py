"""After the cake: hours, weights and money as they were planned and as they were; the book of norms learns from it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from tierwright.brief import parse_kitchen
from tierwright.dossier import Dossier
from tierwright.dossier.money_stage import times_of
from tierwright.errors import OutOfRange
from tierwright.larder import OwnTimes, norms, pace_of
from tierwright.price import CostGroup, as_decimal, show_money, to_coins
from tierwright.web.access import Door, member
from tierwright.web.bench.steps import bench_sheets
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.frame.reading import page
from tierwright.web.models import BenchEntry, Commission, Kitchen
from tierwright.web.money.ledger import balance
from tierwright.web.money.models import ShoppingList, WorkedTime
from tierwright.web.money.offers import locale_of
from tierwright.web.money.shopping import lists_of, plan_of

PAUSE: Final = timedelta(minutes=30)
"""A longer silence at the bench is a pause, and counts for nothing. Chosen by us."""
MOST_MIN: Final = 6000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One task of the commission: what was planned [min], by whose norm, and what it took [min]."""

    key: str
    label: str
    planned: float
    low: float
    high: float
    usual: float
    own: int
    took: float | None

    @property
    def share(self) -> int | None:
        """What it took over what was planned. [%]"""
        return round(100 * self.took / self.planned) if self.took is not None and self.planned else None


def tasks_of(dossier: Dossier, worked: dict[str, WorkedTime]) -> list[Task]:
    """Return the tasks of a commission, in the order in which its cost names them."""
    book = times_of(dossier.kitchen)
    found: dict[str, list[Any]] = defaultdict(list)
    for line in dossier.price.cost.lines:
        if line.group is CostGroup.HANDS:
            found[line.key.split(".")[1]].append(line)
    tasks: list[Task] = []
    for key, lines in found.items():
        minutes = [sum(getattr(line.hours, side) for line in lines) * 60 for side in ("value", "low", "high")]
        known = key in norms()
        tasks.append(
            Task(
                key=key,
                label=lines[0].label,
                planned=minutes[0],
                low=minutes[1],
                high=minutes[2],
                usual=minutes[0] / pace_of(key, book) if known else 0.0,
                own=len(book[key].paces) if key in book else 0,
                took=worked[key].minutes if key in worked else None,
            )
        )
    return tasks


def _bench_minutes(desk: Desk, entries: list[BenchEntry]) -> list[tuple[str, float]]:
    """Return how long each group of bench sheets was worked at: from entry to entry, pauses left out. [min]"""
    group_of = {
        step.key: sheet.group for sheet in bench_sheets(desk.dossier, desk.words) for step in sheet.steps
    }  # fmt: skip
    spent: dict[str, timedelta] = {}
    last: dict[str, Any] = {}
    for entry in sorted(entries, key=lambda one: one.done_at):
        group = group_of.get(entry.step)
        if group is None:
            continue
        before = last.get(group)
        if before is not None and entry.done_at - before <= PAUSE:
            spent[group] = spent.get(group, timedelta()) + (entry.done_at - before)
        last[group] = entry.done_at
    return [(group, time / timedelta(minutes=1)) for group, time in spent.items()]


def _weights(desk: Desk, entries: list[BenchEntry]) -> list[dict[str, Any]]:
    """Return what the scale showed beside what the sheets said. [g]"""
    dossier, show = desk.dossier, desk.words.display
    planned: dict[str, tuple[str, float]] = {}
    for work in dossier.formulas.works:
        if work.batch is None:
            continue
        for mix in work.batch.mixes:
            prefix = f"mix.{work.formula.text.key}.{mix.number}"
            for place, part in enumerate(mix.parts, start=1):
                planned[f"{prefix}.part.{place}"] = (f"{work.formula.text.name}: {part.label}", part.grams)
            for fill in work.batch.fills:
                if fill.mix == mix.number:
                    words = f"{desk.words.uses.get(fill.job, fill.job)}, {fill.number}"
                    planned[f"{prefix}.fill.{fill.job}.{fill.number}"] = (words, fill.batter_g.value)
    for tier in dossier.coating.tiers:
        name = desk.words.tiers.get(tier.number, str(tier.number))
        planned[f"coat-tier-{tier.number}.weigh"] = (_("%(name)s tier") % {"name": name}, tier.mass_g.value)
    latest = {entry.step: entry for entry in entries if entry.what == "weight" and entry.step in planned}
    rows = []
    for step, (words, grams) in planned.items():
        if step not in latest:
            continue
        real = float(latest[step].value["g"])
        rows.append(
            {
                "words": words,
                "planned": show.show_mass(grams),
                "real": show.show_mass(real),
                "share": f"{100 * (real / grams - 1):+.0f} %" if grams else "",
            }
        )
    return rows


def paid_for(commission: Commission, lists: list[ShoppingList]) -> Decimal:
    """Return what was paid in the shops for one commission: of each pack, the share that was bought for it."""
    spent = Decimal(0)
    for shopping in lists:
        name = next(one["title"] for one in shopping.whose if one["pk"] == commission.pk)
        plan = plan_of(shopping)
        for entry in shopping.entries.all():
            if entry.what != "bought":
                continue
            line = plan.lines[int(entry.line.partition(".")[2])]
            whole = sum(one.amount for one in line.for_whom)
            mine = sum(one.amount for one in line.for_whom if one.commission == name)
            if whole > 0:
                spent += Decimal(entry.value["paid"]) * as_decimal(mine / whole)
    return spent


def _money(desk: Desk, tasks: list[Task]) -> list[tuple[str, str, str]]:
    kitchen, priced = desk.door.kitchen, desk.dossier.price
    cost = priced.cost
    groups = dict(cost.groups)

    def words(amount: Decimal) -> str:
        return show_money(amount, cost.currency, locale_of(kitchen))

    paid = to_coins(paid_for(desk.commission, lists_of(desk.commission)), cost.currency)
    held = balance(desk.commission)
    rows = [
        (_("packs in the shops"), words(cost.bought), words(paid) if paid else "\N{EN DASH}"),
        (_("asked and invoiced"), words(priced.asked), words(held.invoiced) if held.invoiced else "\N{EN DASH}"),
        (_("received"), words(priced.asked), words(held.paid - held.refunded)),
    ]
    took = [task for task in tasks if task.took is not None]
    if took and len(took) == len(tasks):
        hours = Decimal(repr(sum(task.took or 0.0 for task in took) / 60))
        other = cost.total.value - cost.hands
        if paid:
            other += paid - groups.get(CostGroup.INGREDIENTS, Decimal(0)) - groups.get(CostGroup.WARES, Decimal(0))
        rows.append((_("an hour brought"), words(priced.wage), words((priced.asked - other) / hours)))
    return rows


def _shown(request: HttpRequest, desk: Desk, typed: dict[str, str], wrong: dict[str, str]) -> HttpResponse:
    worked = {one.task: one for one in WorkedTime.objects.filter(commission=desk.commission)}
    entries = list(BenchEntry.objects.filter(commission=desk.commission))
    tasks = tasks_of(desk.dossier, worked)
    took = [task for task in tasks if task.took is not None]
    rows = [
        {
            "task": task,
            "text": typed.get(task.key, f"{task.took:g}" if task.took is not None else ""),
            "wrong": wrong.get(task.key, ""),
        }
        for task in tasks
    ]
    context = {
        "rows": rows,
        "wrong": wrong,
        "planned_h": sum(task.planned for task in tasks) / 60,
        "took_h": sum(task.took or 0.0 for task in took) / 60,
        "took_planned_h": sum(task.planned for task in took) / 60,
        "count": len(took),
        "bench": _bench_minutes(desk, entries),
        "weights": _weights(desk, entries),
        "money": _money(desk, tasks) if desk.door.membership.may_see_prices else [],
    }
    answer = page(request, desk, "money/after.html", "after", **context)
    answer.status_code = 422 if wrong else 200
    answer["Cache-Control"] = "no-store"
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
@member
def after(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Hold what was planned against what was; keep the minutes that tasks really took, and learn from them."""
    desk = lay_out(door, commission)
    if request.method != "POST":
        return _shown(request, desk, {}, {})
    typed: dict[str, str] = {}
    wrong: dict[str, str] = {}
    kept: dict[str, float | None] = {}
    usual = {task.key: task.usual for task in tasks_of(desk.dossier, {})}
    for key, of_norm in usual.items():
        text = request.POST.get(f"took-{key}", "").strip()[:20]
        typed[key] = text
        try:
            minutes = float(Decimal(text.replace(",", "."))) if text else None
            if minutes is not None:
                if not 0 < minutes <= MOST_MIN:
                    raise ValueError
                if of_norm:
                    OwnTimes(task=key).add(minutes, of_norm)
        except (InvalidOperation, ValueError, OutOfRange):
            wrong[key] = _("Expected minutes, such as 45, not fifty times off what was planned.")
            continue
        kept[key] = minutes
    if wrong:
        return _shown(request, desk, typed, wrong)
    learnt = _keep(door, desk.commission, kept, usual)
    if learnt:
        messages.success(request, _("Kept. The book of norms has learnt: the next price reckons with it."))
    else:
        messages.success(request, _("Kept."))
    return HttpResponseRedirect(desk.url("money-after"))


def _keep(door: Door, commission: Commission, kept: dict[str, float | None], usual: dict[str, float]) -> bool:
    """Keep the minutes, and lay each changed one into the kitchen's own times; say whether any norm has moved."""
    with transaction.atomic():
        kitchen = Kitchen.objects.select_for_update().get(pk=door.kitchen.pk)
        before = {one.task: one for one in WorkedTime.objects.filter(commission=commission)}
        book = {
            key: list(own.paces) for key, own in times_of(kitchen.parsed()).items()
        }  # fmt: skip
        moved = False
        for task, minutes in kept.items():
            old = before.get(task)
            if (old.minutes if old is not None else None) == minutes:
                continue
            if old is not None:
                pace = old.minutes / old.usual_min if old.usual_min else 0.0
                mine = book.get(task, [])
                near = min(mine, key=lambda one: abs(one - pace), default=None)
                if near is not None and abs(near - pace) < 1e-6:
                    mine.remove(near)
                    moved = True
                if minutes is None:
                    old.delete()
            if minutes is None:
                continue
            WorkedTime.objects.update_or_create(
                commission=commission, task=task,
                defaults={"kitchen": kitchen, "usual_min": usual[task], "minutes": minutes, "user": door.user},
            )  # fmt: skip
            if usual[task]:
                own = OwnTimes(task=task, paces=tuple(book.get(task, []))).add(minutes, usual[task])
                book[task] = list(own.paces)
                moved = True
        if moved:
            data = dict(kitchen.data)
            accounts = dict(data.get("accounts") or {})
            accounts["times"] = [
                {"task": task, "paces": [round(one, 9) for one in paces]}
                for task, paces in sorted(book.items())
                if paces
            ]
            data["accounts"] = accounts
            parse_kitchen(data, "kitchen")
            kitchen.data = data
            kitchen.save(update_fields=["data"])
            door.note("times kept", commission.title, commission)
    return moved
