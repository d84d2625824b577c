"""The file where it is kept; else the page that says how far it is."""

from __future__ import annotations

from dataclasses import asdict

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.views.decorators.http import require_http_methods, require_safe

from tierwright.web.access import Door, member
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.frame.reading import file_name, page
from tierwright.web.jobs.kinds import kind_of
from tierwright.web.jobs.models import Job, State
from tierwright.web.jobs.running import begin, look
from tierwright.web.prints.making import KIND, Asked, asked_by, job_of, key_of, print_now, printed
from tierwright.web.prints.models import Part


@require_safe
@member
def pdf(request: HttpRequest, door: Door, commission: int, number: int | None = None) -> HttpResponse:
    """
    Hand out the sheets of a version, or its working, printed; to a helper without what a helper may not see.

    What is kept is there at once. For anything else a person at a browser is led to a page that says how far it is; a
    program, which does not ask for a page, gets the file with this answer.
    """
    desk = lay_out(door, commission, number)
    asked = asked_by(door, request.GET.get("part", ""))
    kept = printed(desk.version, asked)
    if kept is None and "text/html" in request.headers.get("Accept", ""):
        _begin(door, desk, asked)
        return HttpResponseRedirect(_watched(desk, asked))
    content = print_now(desk.version, asked) if kept is None else bytes(kept.pdf)
    answer = HttpResponse(content, content_type="application/pdf")
    working = "-working" if asked.part == Part.WORKING else ""
    answer["Content-Disposition"] = f'inline; filename="{file_name(desk)}{working}.pdf"'
    door.note("printed", f"{desk.commission.title}, {desk.version.number}", desk.commission)
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
@member
def printing(request: HttpRequest, door: Door, commission: int, number: int) -> HttpResponse:
    """Say how far the printing of a version is, and offer the file when it is done."""
    desk = lay_out(door, commission, number)
    asked = asked_by(door, request.GET.get("part", ""))
    if request.method == "POST":
        _begin(door, desk, asked)
        return HttpResponseRedirect(_watched(desk, asked))
    kept = printed(desk.version, asked)
    job = job_of(door, desk.version, asked) if kept is None else None
    job = look(job) if job is not None else None
    # Done, and yet not kept: others have taken its place since.
    job = job if job is not None and job.state != State.DONE else None
    return page(
        request, desk, "prints/printing.html",
        kept=kept, job=job, kind=kind_of(KIND), under_way=job is not None and not job.ended,
        what=asked.part.label, file=_file(desk, asked),
    )  # fmt: skip


def _begin(door: Door, desk: Desk, asked: Asked) -> Job:
    question = {"version": desk.version.pk, **asdict(asked)}
    return begin(door.kitchen, KIND, question, key=key_of(desk.version, asked), user=door.user, again=True)


def _watched(desk: Desk, asked: Asked) -> str:
    return desk.url("printing", number=desk.version.number) + _part(asked)


def _file(desk: Desk, asked: Asked) -> str:
    return desk.url("pdf-of", number=desk.version.number) + _part(asked)


def _part(asked: Asked) -> str:
    return "?part=working" if asked.part == Part.WORKING else ""
