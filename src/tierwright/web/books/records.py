"""The book of records: what the scale, the thermometer and the clock really said at the bench."""

from __future__ import annotations

from typing import Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from tierwright.web.access import Door, member
from tierwright.web.models import BenchEntry

ROWS: Final = 200


@require_safe
@member
def records(request: HttpRequest, door: Door) -> HttpResponse:
    """List the latest measured entries of the kitchen's bench, the newest first."""
    found = (
        BenchEntry.objects.filter(commission__kitchen=door.kitchen)
        .exclude(what__in=("tick", "untick"))
        .select_related("commission", "user")
        .order_by("-done_at", "-order")[:ROWS]
    )
    return render(request, "books/records.html", {"door": door, "entries": found})
