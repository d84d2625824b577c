"""Pages that show a commission: the whole, a sheet of work, the open questions, the working of a figure, files."""

from __future__ import annotations

import json
import re
import zlib
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from tierwright.sheets.show import given_words
from tierwright.web.access import Door, member, owner
from tierwright.web.frame.desk import Desk, lay_out, lay_out_for_reading, moments_of
from tierwright.web.frame.line import hang, present
from tierwright.web.frame.moved import said, span_of
from tierwright.web.frame.pieces import piece, signed
from tierwright.web.models import Draft
from tierwright.web.sheet import sheets


def page(request: HttpRequest, desk: Desk, template: str, current: str = "", **more: Any) -> HttpResponse:
    """Render a page of a commission: the line along the top and whatever the template adds."""
    return render(request, template, frame_context(desk, current) | more)


def frame_context(desk: Desk, current: str = "") -> dict[str, Any]:
    """Return what the frame round a commission's page needs."""
    return {"desk": desk, "door": desk.door, "line": _line(desk, current), "current": current}


def _line(desk: Desk, current: str) -> SafeString:
    """Return the line along the top, with the words above it; drawn anew when the commission or the present moves."""
    row, now = desk.commission, timezone.now()
    moments = moments_of(row)
    # What the version does not say: the columns that are kept beside it.
    columns = (row.head, row.quoted, row.accepted, row.accepted_at, row.gravest, row.portions)
    return piece(
        desk,
        "frame/_line.html",
        (current, moments, columns, present(moments, sheets().values(), now)),
        lambda: {"line": hang(moments, desk.sheets, desk.questions, now, current), "current": current},
    )


@require_safe
@member
def whole(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Show a commission as a whole: the drawing, the questions that matter most, where to go on."""
    desk = lay_out_for_reading(door, commission, request)
    owns = desk.door.membership.owns
    drafts = Draft.objects.filter(commission=desk.commission, user=door.user).only("part", "changed_at") if owns else ()
    unkept = [(draft, *draft.part.partition("/")[::2]) for draft in drafts]
    return page(request, desk, "frame/whole.html", unkept=unkept)


@require_safe
@member
def sheet(request: HttpRequest, door: Door, commission: int, sheet: str) -> HttpResponse:
    """Show one sheet of work."""
    desk = lay_out_for_reading(door, commission, request)
    found = next((known for known in desk.sheets if known.key == sheet), None)
    if found is None:
        raise Http404
    beside = found.beside(desk)

    def shown() -> dict[str, Any]:
        owns = desk.door.membership.owns
        return {
            "sheet": found,
            "parts": [part for part in found.parts(desk.raw) if may_change(door, part)] if owns else [],
            # Several tiers may say the same; said once it is read.
            "cautions": list({caution.text: caution for caution in desk.cautions if caution.sheet == sheet}.values()),
            "questions": [question for question in desk.questions if question.sheet == sheet],
            "figures": [figure for figure in desk.figures.values() if figure.sheet == sheet],
            "beside": beside,
            **found.show(desk),
        }

    body = signed(piece(desk, "frame/_sheet.html", (sheet, beside), shown), request)
    return page(request, desk, "frame/sheet.html", sheet, sheet=found, body=body)


def may_change(door: Door, part: Any) -> bool:
    """Say whether a person may see a form at all."""
    who = door.membership
    return (who.may_see_prices or not part.prices) and (who.may_see_health or not part.health)


@require_safe
@member
def questions(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Show every open question, most serious first, and every default that was used."""
    desk = lay_out_for_reading(door, commission, request)
    return page(request, desk, "frame/questions.html", "questions", body=piece(desk, "frame/_questions.html"))


@require_safe
@member
def working(request: HttpRequest, door: Door, commission: int, key: str) -> HttpResponse:
    """Open one figure: its inputs, equation, source and likely range."""
    desk = lay_out_for_reading(door, commission, request)
    figure = desk.figures.get(key)
    if figure is None:
        raise Http404
    display = desk.words.display
    context = {
        "figure": figure,
        "value": said(display, figure.value, figure.unit, figure.key),
        "range": span_of(display, figure),
        "inputs": [given_words(display, given) for given in figure.inputs],
    }
    if request.headers.get("X-Part") == "working":
        return render(request, "frame/_working.html", {"desk": desk, "door": door} | context)
    return page(request, desk, "frame/working.html", figure.sheet, **context)


@require_safe
@owner
def data(request: HttpRequest, door: Door, commission: int, number: int | None = None) -> HttpResponse:
    """Hand out a version's dossier as JSON."""
    desk = lay_out(door, commission, number)
    answer = HttpResponse(zlib.decompress(desk.version.dossier), content_type="application/json")
    answer["Content-Disposition"] = f'attachment; filename="{file_name(desk)}.json"'
    door.note("downloaded", f"{desk.commission.title}, {desk.version.number}", desk.commission)
    return answer


@require_safe
@owner
def brief(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Hand out the brief as it is written, for the command line."""
    desk = lay_out(door, commission)
    answer = HttpResponse(json.dumps(desk.raw, indent=2, ensure_ascii=False), content_type="application/json")
    answer["Content-Disposition"] = f'attachment; filename="{file_name(desk)}-brief.json"'
    door.note("downloaded", f"{desk.commission.title}, brief", desk.commission)
    return answer


def file_name(desk: Desk) -> str:
    """Return what a file about a version is called, without its ending."""
    stem = slugify(desk.commission.title)[:60] or "commission"
    return re.sub(r"[^a-z0-9-]", "", f"{stem}-{desk.version.number}")
