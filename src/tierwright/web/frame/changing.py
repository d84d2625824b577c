"""A form of a sheet: typed, tried out, kept or dropped; nothing that was typed is lost on the way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from tierwright.dossier import Dossier
from tierwright.drawings import Drawing
from tierwright.web.access import Door, owner
from tierwright.web.frame.change import (
    Clash,
    Overtaken,
    Retyped,
    Tried,
    clashes,
    draft_of,
    in_words,
    keep,
    save_draft,
    try_out,
    written_at,
)
from tierwright.web.frame.desk import HEALTH_KEYS, Desk, draw, lay_out
from tierwright.web.frame.filling import collected, laid_out, written
from tierwright.web.frame.moved import Outcome, outcome
from tierwright.web.frame.reading import frame_context, may_change
from tierwright.web.sheet import Part, sheets
from tierwright.web.whole import whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a form shows after something was typed into it."""

    typed: dict[str, str]
    base: int
    seen: int
    tried: Tried | None = None
    outcome: Outcome | None = None
    drawing: Drawing | None = None
    clashing: tuple[Clash, ...] = ()
    against: str = ""
    rebased: bool = False


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def change(request: HttpRequest, door: Door, commission: int, sheet: str, part: str) -> HttpResponse:
    """Show a form; take what is typed; show what would move; keep it or drop it."""
    desk = lay_out(door, commission)
    form = _form(desk, sheet, part)
    name = f"{sheet}/{part}"
    draft = draft_of(door, desk.commission, name)
    if request.method != "POST":
        typed = draft.typed if draft else written(form, desk.raw)
        answer = Answer(typed=typed, base=draft.base if draft else desk.commission.head,
                        seen=draft.revision if draft else 0)  # fmt: skip
        return _page(request, desk, sheet, form, answer, resumed=draft is not None)
    do = request.POST.get("do", "look")
    if do == "drop":
        if draft is not None:
            draft.delete()
        messages.success(request, _("Dropped. The commission stands as it was."))
        return HttpResponseRedirect(desk.url("sheet", sheet=sheet))
    answer = look(door, desk, form, name, collected(form, request.POST), request.POST)
    if do == "keep" and answer.tried is not None and answer.tried.dossier is not None and not answer.clashing:
        words = in_words(form, written(form, desk.raw), answer.typed)
        try:
            keep(door, desk.commission, answer.base, answer.tried, desk.version.kitchen, words)
        except Overtaken:
            # Kept by somebody else between our reading and our writing: look again, against the newer version.
            desk = lay_out(door, commission)
            answer = look(door, desk, form, name, answer.typed, {"base": str(answer.base), "seen": str(answer.seen)})
            return _page(request, desk, sheet, form, answer)
        left = draft_of(door, desk.commission, name)
        if left is not None:
            left.delete()
        messages.success(request, _("Kept: %(words)s.") % {"words": words})
        return HttpResponseRedirect(desk.url("sheet", sheet=sheet))
    if request.headers.get("HX-Request") == "true":
        return render(request, "frame/_moved.html", _context(desk, sheet, form, answer) | {"live": True})
    return _page(request, desk, sheet, form, answer)


def look(door: Door, desk: Desk, form: Part, name: str, typed: dict[str, str], sent: Mapping[str, str]) -> Answer:
    """Save what was typed, settle it against other tabs and versions, and work it through."""
    base, seen = whole(sent.get("base")) or 0, whole(sent.get("seen")) or 0
    head = desk.commission.head
    typed = _settled(typed, sent)
    settled = sent.get("settles", "")
    try:
        if settled == "draft":
            current = draft_of(door, desk.commission, name)
            seen = current.revision if current else seen
        draft = save_draft(door, desk.commission, name, base, typed, seen)
    except Retyped as other:
        merged, found = clashes(form, written_at(form, desk.commission, base or head), other.draft.typed, typed)
        if found:
            return Answer(typed=typed, base=base, seen=seen, clashing=tuple(found), against="draft")
        typed = merged
        draft = save_draft(door, desk.commission, name, base, typed, other.draft.revision)
    seen = draft.revision
    rebased = False
    if base != head:
        then = written_at(form, desk.commission, base) if 0 < base <= head else written(form, desk.raw)
        merged, found = clashes(form, then, written(form, desk.raw), typed)
        if found and settled != f"version-{head}":
            return Answer(typed=typed, base=base, seen=seen, clashing=tuple(found), against=f"version-{head}")
        typed = typed if settled == f"version-{head}" else merged
        base, rebased = head, True
        draft = save_draft(door, desk.commission, name, base, typed, seen)
        seen = draft.revision
    tried = try_out(form, desk.raw, desk.version.kitchen, typed)
    if tried.dossier is None:
        return Answer(typed=typed, base=base, seen=seen, tried=tried, rebased=rebased)
    return Answer(
        typed=typed,
        base=base,
        seen=seen,
        tried=tried,
        outcome=outcome(desk.dossier, tried.dossier, visible(desk)),
        drawing=drawn_anew(name.partition("/")[0], tried.dossier),
        rebased=rebased,
    )


def drawn_anew(sheet: str, dossier: Dossier) -> Drawing:
    """Return what a change is seen on: the sheet's own drawing where it has one, else the cake."""
    own = sheets()[sheet].redrawn if sheet in sheets() else None
    return (own(dossier, "after") if own else None) or draw(dossier, "after")


def visible(desk: Desk) -> Any:
    """Return the test by which a person's view of figures and questions is narrowed."""

    def may_see(sheet: str, key: str) -> bool:
        known = sheets().get(sheet)
        health = desk.door.membership.may_see_health or not key.startswith(HEALTH_KEYS)
        return health and (known is None or desk.admits(known))

    return may_see


def _settled(typed: dict[str, str], sent: Mapping[str, str]) -> dict[str, str]:
    """Put the words of the other side where the person chose them."""
    chosen = {name.removeprefix("choose:"): side for name, side in sent.items() if name.startswith("choose:")}
    for name, side in chosen.items():
        if side == "theirs" and name in typed:
            typed[name] = sent.get(f"theirs:{name}", "")[:20_000]
    return typed


def _form(desk: Desk, sheet: str, part: str) -> Part:
    known = next((known for known in desk.sheets if known.key == sheet), None)
    parts = known.parts(desk.raw) if known else ()
    found = next((form for form in parts if form.key == part and may_change(desk.door, form)), None)
    if found is None:
        raise Http404
    return found


def _context(desk: Desk, sheet: str, form: Part, answer: Answer) -> dict[str, Any]:
    wrong = answer.tried.wrong if answer.tried else {}
    return frame_context(desk, sheet) | {
        "sheet": sheets()[sheet],
        "form": form,
        "answer": answer,
        "fields": laid_out(form, answer.typed, wrong),
        "wrong_count": sum(len(texts) for texts in wrong.values()),
        "wrong": [(filled.id, filled.field.label, filled.wrong) for filled in _every(form, answer) if filled.wrong],
    }


def _every(form: Part, answer: Answer) -> list[Any]:
    every: list[Any] = []
    for shown in laid_out(form, answer.typed, answer.tried.wrong if answer.tried else {}):
        every += [cell for row in shown.filled for cell in row.cells] if hasattr(shown, "filled") else [shown]
    return every


def _page(
    request: HttpRequest, desk: Desk, sheet: str, form: Part, answer: Answer, resumed: bool = False
) -> HttpResponse:
    bad = answer.tried is not None and answer.tried.dossier is None
    status = 409 if answer.clashing else 422 if bad else 200
    context = _context(desk, sheet, form, answer) | {"resumed": resumed}
    return render(request, "frame/change.html", context, status=status)
