"""The pages of the bench, where entries arrive, and the worker that keeps the pages at hand without a network."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from tierwright.web.access import Door, anybody, member
from tierwright.web.arriving import entries_in, told, too_many
from tierwright.web.bench.entries import MOST_AT_ONCE, standing, take
from tierwright.web.bench.steps import BenchSheet, bench_sheets
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.models import BenchEntry, Commission

WORKER: Final = Path(__file__).parents[1] / "static" / "web" / "js" / "bench-worker.js"


def _sheets(desk: Desk) -> tuple[BenchSheet, ...]:
    return bench_sheets(desk.dossier, desk.words)


def _standing(commission: Commission) -> dict[str, dict[str, Any]]:
    return standing(BenchEntry.objects.filter(commission=commission))


@require_safe
@member
def bench(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """List the sheets of the bench and how far each has come."""
    desk = lay_out(door, commission)
    stands = _standing(desk.commission)
    groups: dict[str, list[tuple[BenchSheet, int]]] = {}
    for sheet in _sheets(desk):
        done = sum(1 for step in sheet.steps if stands.get(step.key, {}).get("ticked"))
        groups.setdefault(sheet.group, []).append((sheet, done))
    return render(request, "bench/bench.html", {"desk": desk, "door": door, "groups": groups})


@require_safe
@member
def bench_sheet(request: HttpRequest, door: Door, commission: int, sheet: str) -> HttpResponse:
    """Show one sheet of the bench: every step is in the page, and one is seen at a time."""
    desk = lay_out(door, commission)
    sheets = _sheets(desk)
    place = next((place for place, known in enumerate(sheets) if known.key == sheet), None)
    if place is None:
        raise Http404
    context = {
        "desk": desk,
        "door": door,
        "sheet": sheets[place],
        "next": sheets[place + 1] if place + 1 < len(sheets) else None,
        "stands": _standing(desk.commission),
    }
    return render(request, "bench/sheet.html", context)


@require_safe
@never_cache
@member
def bench_state(request: HttpRequest, door: Door, commission: int) -> JsonResponse:
    """Say how every step stands, and hand out a fresh token for sending."""
    found = door.commission(commission)
    return JsonResponse({"token": get_token(request), "version": found.head, "steps": _standing(found)})


@require_POST
@never_cache
@member
def bench_entries(request: HttpRequest, door: Door, commission: int) -> JsonResponse:
    """Take entries from a tablet; each is answered with what became of it."""
    found = door.commission(commission)
    entries = entries_in(request.body, MOST_AT_ONCE)
    if entries is None:
        return too_many(MOST_AT_ONCE)
    outcomes = take(door, found, entries)
    return JsonResponse({"outcomes": told(outcomes), "version": found.head})


@require_safe
@never_cache
@anybody
def worker(request: HttpRequest) -> HttpResponse:
    """Hand out the worker from the root, so that it may keep the bench's pages and the files that they need."""
    answer = HttpResponse(WORKER.read_text(encoding="utf-8"), content_type="text/javascript; charset=utf-8")
    answer["Service-Worker-Allowed"] = "/"
    return answer
