"""The book of formulas: written and changed as text, or brought in from a recipe page, beside what was understood."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from tierwright.formula import FormulaText, read_formula
from tierwright.web.access import Door, member, owner
from tierwright.web.books import drafts
from tierwright.web.models import BookFormula
from tierwright.web.work.formulas.bringing_in import read, take_file
from tierwright.web.work.formulas.forms import KINDS, MEASURES


def _back(door: Door) -> HttpResponseRedirect:
    return HttpResponseRedirect(reverse("book-formulas", kwargs={"kitchen": door.kitchen.pk}))


@require_safe
@member
def formulas(request: HttpRequest, door: Door) -> HttpResponse:
    """List the kitchen's formulas."""
    kinds = {str(value): words for value, words in KINDS}
    found = BookFormula.objects.filter(kitchen=door.kitchen, put_away_at=None)
    rows = [(row, kinds.get(row.kind, row.kind)) for row in found]
    return render(request, "books/formulas.html", {"door": door, "rows": rows})


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def formula(request: HttpRequest, door: Door, formula: int) -> HttpResponse:
    """Show a formula as text, or an empty form for key 0, beside what is understood; keep what is typed."""
    row = get_object_or_404(BookFormula, kitchen=door.kitchen, pk=formula) if formula else None
    typed = _written(row)
    wrong: list[str] = []
    sheet: dict[str, Any] | None = None
    text: FormulaText | None = None
    draft, do = f"formula/{row.pk if row else 0}", request.POST.get("do", "look")
    left = drafts.held(door, draft) if request.method != "POST" else None
    typed |= left or {}
    if request.method == "POST" and do == "drop":
        drafts.let_go(door, draft)
        messages.success(request, _("Dropped. The book stands as it was."))
        return _back(door)
    if request.method == "POST":
        typed = {name: request.POST.get(name, "") for name in typed}
        wrong = take_file(request, typed)
        drafts.hold(door, draft, typed)
        if do == "hold":
            return drafts.answer(request, wrong)
    if not wrong and (request.method == "POST" or row is not None or left is not None):
        others = BookFormula.objects.filter(kitchen=door.kitchen).exclude(pk=row.pk if row else 0)
        sheet, text, wrong = read(typed, set(others.values_list("key", flat=True)))
    if request.method == "POST" and sheet is not None and do == "keep":
        if row is None:
            row = BookFormula(kitchen=door.kitchen, key=sheet["key"])
        # Whatever the form does not name (egg size, specific gravity, ...) stays as it was.
        row.sheet = {**(row.sheet or {}), **sheet, "key": row.key}
        row.name, row.kind, row.note = sheet["name"], sheet["kind"], typed["note"].strip()[:4000]
        row.save()
        drafts.let_go(door, draft)
        door.note("formula kept", row.name)
        messages.success(request, _("Kept."))
        return _back(door)
    context = {
        "door": door, "row": row, "typed": typed, "wrong": wrong, "kinds": KINDS, "measures": MEASURES,
        "resumed": left is not None,
        "understood": _understood(door, text) if text is not None else None,
    }  # fmt: skip
    return render(request, "books/formula.html", context, status=422 if wrong and request.method == "POST" else 200)


def _written(row: BookFormula | None) -> dict[str, str]:
    if row is None:
        return {"name": "", "kind": "", "measures": "", "text": "", "note": ""}
    lines = "\n".join(row.sheet.get("lines", ()))
    method = "\n".join(row.sheet.get("method", ()))
    return {
        "name": row.name,
        "kind": row.kind,
        "measures": str(row.sheet.get("measures", "")),
        "text": f"{lines}\n\n{method}" if method else lines,
        "note": row.note,
    }


def _understood(door: Door, text: FormulaText) -> dict[str, Any]:
    found = read_formula(text)
    display = door.kitchen.parsed().units.display()
    lines = [
        {
            "text": line.text, "label": line.label, "way": line.way, "reason": line.reason, "choices": line.choices,
            "remarks": line.remarks, "status": line.status.value,
            "grams": display.show_mass(line.grams.value) if line.grams.value else "",
        }
        for line in found.lines
    ]  # fmt: skip
    return {
        "name": text.name,
        "total": display.show_mass(found.total_g.value),
        "open": len(found.open_lines),
        "lines": lines,
    }


@require_POST
@owner
def put_away(request: HttpRequest, door: Door, formula: int) -> HttpResponse:
    """Put a formula away, or bring it back: nothing is deleted."""
    row = get_object_or_404(BookFormula, kitchen=door.kitchen, pk=formula)
    if row.put_away_at is None:
        row.put_away_at = timezone.now()
        again = reverse("book-put-away", kwargs={"kitchen": door.kitchen.pk, "formula": row.pk})
        messages.success(request, _("%(name)s is put away.") % {"name": row.name}, extra_tags=f"undo {again}")
    else:
        row.put_away_at = None
    row.save()
    door.note("formula put away" if row.put_away_at else "formula brought back", row.name)
    return _back(door)
