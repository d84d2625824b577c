"""The ledger and the year: every entry of a kitchen, its papers, its totals, and how near a cap it has come."""

from __future__ import annotations

from datetime import date
from typing import Any, Final

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from tierwright.errors import BadInput
from tierwright.price import YearTotal, check_seals, ledger_csv, to_line, year_csv
from tierwright.web.access import Door, owner
from tierwright.web.money.ledger import (
    STANDING,
    cap_of,
    cap_reading,
    currency_of,
    entries_of,
    promised,
    take_back,
    year_total,
)
from tierwright.web.money.models import LedgerEntry
from tierwright.web.money.offers import today_of
from tierwright.web.money.views import money_words, rows_of
from tierwright.web.prints.views import hand_out

ROWS: Final = 50
YEARS: Final = (1970, 2200)


def _year(year: int) -> int:
    if not YEARS[0] <= year <= YEARS[1]:
        raise Http404
    return year


@require_safe
@owner
def ledger(request: HttpRequest, door: Door) -> HttpResponse:
    """List the entries, the latest first."""
    return _ledger(request, door)


def _ledger(request: HttpRequest, door: Door, status: int = 200, **more: Any) -> HttpResponse:
    found = (
        LedgerEntry.objects.filter(kitchen=door.kitchen)
        .select_related("corrected_by", "corrects", "commission")
        .order_by("-number")
    )
    leaf = Paginator(found, ROWS).get_page(request.GET.get("leaf"))
    context = {
        "door": door,
        "place": "money",
        "leaf": leaf,
        "rows": rows_of(leaf.object_list, door.kitchen),
        "year": today_of(door.kitchen).year,
    }
    answer = render(request, "money/ledger.html", context | more, status=status)
    answer["Cache-Control"] = "no-store"
    return answer


@require_POST
@owner
def correct(request: HttpRequest, door: Door, number: int) -> HttpResponse:
    """Take an entry back by a further one."""
    row = get_object_or_404(LedgerEntry.objects.select_related("commission"), kitchen=door.kitchen, number=number)
    text = request.POST.get("text", "").strip()[:400]
    if not text:
        return _ledger(request, door, 422, wrong=_("Say why %(paper)s is taken back.") % {"paper": row.document})
    try:
        made = take_back(door, row, text)
    except BadInput as error:
        problem = error.problems[0]
        words = _("%(paper)s stays: found %(found)s; expected %(expected)s.") % {
            "paper": row.document, "found": problem.found, "expected": problem.expected,
        }  # fmt: skip
        return _ledger(request, door, 422, wrong=words)
    messages.success(request, _("%(paper)s is taken back by %(by)s.") % {"paper": row.document, "by": made.document})
    return HttpResponseRedirect(reverse("money", kwargs={"kitchen": door.kitchen.pk}))


@require_safe
@owner
def paper(request: HttpRequest, door: Door, number: int) -> HttpResponse:
    """Hand out the paper of an entry: invoice, receipt, refund or correction."""
    row = get_object_or_404(LedgerEntry, kitchen=door.kitchen, number=number)
    return hand_out(request, door, "money.entry", {"number": row.number}, back=_address(door, "money"))


@require_safe
@owner
def year(request: HttpRequest, door: Door, year: int) -> HttpResponse:
    """Show one year's totals, month by month, and how near the cap it has come."""
    total = year_total(door.kitchen, _year(year))
    context = {
        "door": door,
        "place": "money",
        "year": year,
        "months": [
            (date_format(date(year, one.month, 1), "F"), *_amounts(door, total, one.invoiced, one.tax, one.received))
            for one in total.months
        ],
        "whole": _amounts(door, total, total.invoiced, total.tax, total.received - total.refunded),
        "total": total,
        "outstanding": money_words(total.outstanding, total.currency, door.kitchen),
        "refunded": money_words(total.refunded, total.currency, door.kitchen),
        "cap": _cap(door, year),
    }
    answer = render(request, "money/year.html", context)
    answer["Cache-Control"] = "no-store"
    return answer


def _amounts(door: Door, total: YearTotal, *amounts: Any) -> tuple[str, ...]:
    return tuple(money_words(amount, total.currency, door.kitchen) for amount in amounts)


def _cap(door: Door, year: int) -> dict[str, Any] | None:
    cap = cap_of(door.kitchen)
    if cap is None:
        return None
    coming = promised(door.kitchen, year)
    reading = cap_reading(door.kitchen, year, coming)
    assert reading is not None
    currency = currency_of(door.kitchen)
    return {
        "amount": money_words(cap.amount, currency, door.kitchen),
        "law": cap.law,
        "counts": cap.counts.value,
        "counted": money_words(reading.counted, currency, door.kitchen),
        "coming": money_words(coming, currency, door.kitchen),
        "room": money_words(abs(reading.room - coming), currency, door.kitchen),
        "beyond": reading.room - coming < 0,
        "question": reading.question,
        "now": float(min(cap.amount, reading.counted)),
        "of": float(cap.amount),
    }


@require_safe
@owner
def year_file(request: HttpRequest, door: Door, year: str, kind: str) -> HttpResponse:
    """Hand a year out as CSV or PDF."""
    number = _year(int(year))
    if kind == "csv":
        return _file(
            year_csv(year_total(door.kitchen, number)).encode(), "text/csv; charset=utf-8", f"year-{number}.csv"
        )
    back = _address(door, "money-year", year=number)
    return hand_out(request, door, "money.year", {"year": number}, back=back)


@require_safe
@owner
def ledger_file(request: HttpRequest, door: Door, kind: str) -> HttpResponse:
    """Hand the whole ledger out: CSV for a spreadsheet, PDF for the file, lines of JSON with their seals."""
    door.note("downloaded", f"ledger, {kind}")
    if kind == "csv":
        return _file(ledger_csv(entries_of(door.kitchen)).encode(), "text/csv; charset=utf-8", "ledger.csv")
    if kind == "jsonl":
        lines = b"".join(to_line(entry) for entry in entries_of(door.kitchen))
        return _file(lines, "application/jsonl", "ledger.jsonl")
    return hand_out(request, door, "money.ledger", {}, back=_address(door, "money"))


def _address(door: Door, name: str, **more: int) -> str:
    return reverse(name, kwargs={"kitchen": door.kitchen.pk, **more})


def _file(data: bytes, kind: str, name: str) -> HttpResponse:
    answer = HttpResponse(data, content_type=kind)
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "no-store"
    return answer


@require_POST
@owner
def seals(request: HttpRequest, door: Door) -> HttpResponse:
    """Check every seal of the ledger."""
    try:
        count = check_seals(entries_of(door.kitchen), currency_of(door.kitchen))
    except BadInput as error:
        words = _("%(place)s does not fit its seal: the ledger has been tampered with.") % {
            "place": error.problems[0].place,
        }
        return _ledger(request, door, 409, wrong=words)
    open_now = LedgerEntry.objects.filter(STANDING, kitchen=door.kitchen).count()
    messages.success(request, _("%(count)d entries, %(standing)d of them standing: every seal fits.") % {
        "count": count, "standing": open_now,
    })  # fmt: skip
    return HttpResponseRedirect(reverse("money", kwargs={"kitchen": door.kitchen.pk}))
