"""How far a piece of work is, for a page to ask again and again; and the button that stops it."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from tierwright.web.access import Door, member
from tierwright.web.jobs.kinds import kind_of
from tierwright.web.jobs.models import Job
from tierwright.web.jobs.running import look, stop


def job_for(door: Door, key: int) -> Job:
    """Return a piece of work of this kitchen that this person may see, or answer 404 or 403."""
    job = get_object_or_404(Job, kitchen=door.kitchen, pk=key)
    if kind_of(job.kind).owner_only and not door.membership.owns:
        raise PermissionDenied
    return look(job)


@require_safe
@member
def job(request: HttpRequest, door: Door, job: int) -> HttpResponse:
    """Show how far a piece of work is; a page that watches it is loaded anew when it has ended."""
    found = job_for(door, job)
    answer = _shown(request, door, found)
    if found.ended and request.headers.get("HX-Request") == "true":
        answer["HX-Refresh"] = "true"
    return answer


@require_POST
@member
def stop_job(request: HttpRequest, door: Door, job: int) -> HttpResponse:
    """Ask a piece of work to stop with the best it has."""
    found = job_for(door, job)
    stop(found)
    if request.headers.get("HX-Request") == "true":
        return _shown(request, door, found)
    return redirect(request.headers.get("Referer") or "job", kitchen=door.kitchen.pk, job=found.pk)


def _shown(request: HttpRequest, door: Door, found: Job) -> HttpResponse:
    part = "jobs/_job.html" if request.headers.get("HX-Request") == "true" else "jobs/job.html"
    return render(request, part, {"door": door, "job": found, "kind": kind_of(found.kind)})
