"""The file where it is kept; else the page that says how far it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any, Final

from django.core.exceptions import ObjectDoesNotExist
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from tierwright.web.access import Door, member
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.frame.reading import file_name, page
from tierwright.web.jobs.kinds import kind_of
from tierwright.web.jobs.models import Job, State
from tierwright.web.jobs.running import begin, look
from tierwright.web.jobs.views import job_for
from tierwright.web.models import Kitchen
from tierwright.web.prints.making import KIND, Asked, asked_by, job_of, key_of, print_now, printed
from tierwright.web.prints.models import Part, PrintedPaper
from tierwright.web.prints.papers import ToPrint, paper_kind, set_and_keep, written
from tierwright.web.prints.papers import kept as kept_paper

FOR_ALL: Final = "prints.paper"
FOR_OWNERS: Final = "prints.books"


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
    if kept is None and _asks_for_a_page(request):
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


def _asks_for_a_page(request: HttpRequest) -> bool:
    return "text/html" in request.headers.get("Accept", "")


def hand_out(request: HttpRequest, door: Door, key: str, of: Mapping[str, Any], *, back: str) -> HttpResponse:
    """
    Hand out a paper where it is kept; else lead a person to the page that says how far it is, as ``pdf`` does.

    Parameters
    ----------
    request, door
        Who asks; what they may see is in ``of``.
    key
        Kind of the paper.
    of
        What it tells of, as plain JSON.
    back
        The page that leads to it.
    """
    try:
        paper = written(door.kitchen, key, of)
    except ObjectDoesNotExist:
        raise Http404 from None
    found = kept_paper(door.kitchen, paper.mark)
    if found is None and _asks_for_a_page(request):
        kind = FOR_OWNERS if paper_kind(key).owner_only else FOR_ALL
        question = {"paper": key, "of": dict(of), "file": request.get_full_path(), "back": back}
        job = begin(door.kitchen, kind, question, key=paper.mark, user=door.user, again=True)
        return redirect("paper-printing", kitchen=door.kitchen.pk, job=job.pk)
    return _paper_answer(door.kitchen, key, of, paper, found)


def hand_out_at_once(kitchen: Kitchen, key: str, of: Mapping[str, Any]) -> HttpResponse:
    """Hand out a paper to somebody who has no door: a client with a link."""
    paper = written(kitchen, key, of)
    return _paper_answer(kitchen, key, of, paper, kept_paper(kitchen, paper.mark))


def _paper_answer(
    kitchen: Kitchen, key: str, of: Mapping[str, Any], paper: ToPrint, found: PrintedPaper | None
) -> HttpResponse:
    """Answer with a paper as it is kept, or set now."""
    content = set_and_keep(kitchen, key, of, paper) if found is None else bytes(found.pdf)
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{paper.name}.pdf"'
    answer["Cache-Control"] = "no-store"
    return answer


@require_safe
@member
def printing_paper(request: HttpRequest, door: Door, job: int) -> HttpResponse:
    """Say how far the printing of a paper is, and offer the file when it is done."""
    found = job_for(door, job)
    if found.kind not in (FOR_ALL, FOR_OWNERS):
        raise Http404
    mark = (found.result or {}).get("mark", "")
    kept = kept_paper(door.kitchen, mark) if mark else None
    context = {
        "door": door, "job": found, "kind": kind_of(found.kind), "kept": kept, "file": found.asked["file"],
        "back": found.asked["back"], "what": paper_kind(found.asked["paper"]).words,
        # Done, and yet not kept: others have taken its place since.
        "said": None if found.state == State.DONE else found,
    }  # fmt: skip
    return render(request, "prints/paper.html", context)
