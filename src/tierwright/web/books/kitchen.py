"""The kitchen's own file, part by part: typed, checked whole, kept; two who change it at once see the difference."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from tierwright.brief import parse_kitchen
from tierwright.errors import BadInput
from tierwright.web.access import Door, member, owner
from tierwright.web.books import drafts
from tierwright.web.books.forms import PARTS
from tierwright.web.frame.filling import Filled, FilledRows, collected, fill_in, laid_out, names_of, written
from tierwright.web.models import Draft, Kitchen
from tierwright.web.sheet import Part
from tierwright.web.whole import whole

PLACE = "kitchen"
SEEN = "!seen"
"""Name under which a draft keeps the mark of what stood when it was begun."""


def seal(typed: Mapping[str, str]) -> str:
    """Return a short mark of what a form's fields say, by which a second writer is noticed."""
    return hashlib.sha256(json.dumps(sorted(typed.items())).encode()).hexdigest()[:16]


Wrong = dict[str, tuple[str, ...]]


def check(part: Part, data: dict[str, Any], typed: Mapping[str, str]) -> tuple[dict[str, Any], Wrong, list[str]]:
    """
    Lay a form into a kitchen's file and check the whole of it.

    Returns
    -------
    filled, wrong, beyond
        The file, what is wrong with single fields by name, and what is wrong elsewhere.
    """
    filled = fill_in(part, data, typed)
    wrong: Wrong = {}
    beyond: list[str] = []
    try:
        parse_kitchen(filled, PLACE)
    except BadInput as bad:
        named = {name for name, _label in names_of(part, typed)}
        for problem in bad.problems:
            place = problem.place.removeprefix(f"{PLACE}: ")
            text = _("Found %(found)s; expected %(expected)s.") % {"found": problem.found, "expected": problem.expected}
            if problem.nearest:
                text += " " + _("Nearest that would work: %(nearest)s.") % {"nearest": problem.nearest}
            field = next((name for name in (place, place.rsplit("[", 1)[0]) if name in named), None)
            if field is None:
                beyond.append(f"{place}: {text}")
            else:
                wrong[field] = (*wrong.get(field, ()), text)
    return filled, wrong, beyond


@require_safe
@member
def books(request: HttpRequest, door: Door) -> HttpResponse:
    """List the kitchen's books, those that this person may open."""
    may = door.membership.may_see_prices
    parts = [part for part in PARTS.values() if door.membership.owns and (may or not part.prices)]
    unkept = [entry for draft in drafts.unkept(door) if (entry := _entry(door, draft)) is not None]
    return render(request, "books/books.html", {"door": door, "parts": parts, "unkept": unkept})


def _entry(door: Door, draft: Draft) -> tuple[str, str, Any] | None:
    """Return what a form is called, its address, and when it was typed into last; None where there is none any more."""
    _book, kind, key = draft.part.split("/", 2)
    if kind == "kitchen":
        known = PARTS.get(key)
        url = reverse("book-kitchen", kwargs={"kitchen": door.kitchen.pk, "part": key})
        return (str(known.title), url, draft.changed_at) if known else None
    names = {"formula": ("book-formula", _("A formula")), "client": ("book-client", _("A client"))}
    number = whole(key, 18)
    if kind not in names or number is None:
        return None
    view, title = names[kind]
    return title, reverse(view, kwargs={"kitchen": door.kitchen.pk, kind: number}), draft.changed_at


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def kitchen(request: HttpRequest, door: Door, part: str) -> HttpResponse:
    """Show a part of the kitchen's file; keep what is typed once the whole file is sound."""
    form = PARTS.get(part)
    if form is None:
        raise Http404
    stands = written(form, door.kitchen.data)
    if request.method != "POST":
        typed = drafts.held(door, f"kitchen/{part}")
        if typed is None:
            return _page(request, door, form, stands, seal(stands))
        return _page(request, door, form, typed, typed.pop(SEEN, seal(stands)), resumed=True)
    do = request.POST.get("do", "keep")
    if do == "drop":
        drafts.let_go(door, f"kitchen/{part}")
        messages.success(request, _("Dropped. The book stands as it was."))
        return HttpResponseRedirect(reverse("book-kitchen", kwargs={"kitchen": door.kitchen.pk, "part": part}))
    typed = collected(form, {name: str(value) for name, value in request.POST.items()})
    drafts.hold(door, f"kitchen/{part}", typed | {SEEN: request.POST.get("seen", "")[:64]})
    if do == "hold":
        _filled, bad, beyond = check(form, door.kitchen.data, typed)
        labels = dict(names_of(form, typed))
        return drafts.answer(request, [f"{labels[name]}: {' '.join(texts)}" for name, texts in bad.items()] + beyond)
    with transaction.atomic():
        row = Kitchen.objects.select_for_update().get(pk=door.kitchen.pk)
        stands = written(form, row.data)
        if request.POST.get("seen") != seal(stands):
            labels = dict(names_of(form, {**stands, **typed}))
            differ = [
                (label, stands.get(name, ""), typed.get(name, ""))
                for name, label in labels.items()
                if stands.get(name, "") != typed.get(name, "")
            ]
            return _page(request, door, form, typed, seal(stands), differ=differ, status=409)
        filled, wrong, beyond = check(form, row.data, typed)
        if wrong or beyond:
            return _page(request, door, form, typed, seal(stands), wrong=wrong, beyond=beyond, status=422)
        row.data, row.name = filled, filled["name"]
        row.save(update_fields=["data", "name"])
        door.note("kitchen changed", str(form.title))
        drafts.let_go(door, f"kitchen/{part}")
    messages.success(request, _("Kept."))
    return HttpResponseRedirect(reverse("book-kitchen", kwargs={"kitchen": door.kitchen.pk, "part": part}))


def _page(
    request: HttpRequest,
    door: Door,
    form: Part,
    typed: Mapping[str, str],
    seen: str,
    *,
    wrong: Mapping[str, tuple[str, ...]] | None = None,
    beyond: list[str] | None = None,
    differ: list[tuple[str, str, str]] | None = None,
    resumed: bool = False,
    status: int = 200,
) -> HttpResponse:
    fields = laid_out(form, typed, wrong or {})
    cells: list[Filled] = []
    for one in fields:
        cells += [cell for row in one.filled for cell in row.cells] if isinstance(one, FilledRows) else [one]
    context = {
        "door": door,
        "form": form,
        "fields": fields,
        "bad": [cell for cell in cells if cell.wrong],
        "beyond": beyond or [],
        "differ": differ,
        "seen": seen,
        "resumed": resumed,
    }
    return render(request, "books/kitchen.html", context, status=status)
