"""Bringing a formula in: pasted lines or a saved recipe page, side by side with what was understood."""

from __future__ import annotations

import re
from typing import Any, Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from tierwright.brief import FormulaSheet
from tierwright.dossier import formula_text
from tierwright.errors import TierwrightError
from tierwright.formula import FormulaText, read_formula
from tierwright.web.access import Door, owner
from tierwright.web.frame.change import keep, work_through
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.frame.reading import page
from tierwright.web.models import BookFormula
from tierwright.web.work.formulas.forms import KINDS, MEASURES

LARGEST_BYTES: Final = 4_000_000
NAMES: Final = (".txt", ".html", ".htm", ".json")


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def bring_in(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Read a pasted or sent formula; show what was understood; add it to the commission."""
    desk = lay_out(door, commission)
    typed = {name: request.POST.get(name, "") for name in ("name", "kind", "measures", "text")}
    wrong: list[str] = []
    sheet: dict[str, Any] | None = None
    text: FormulaText | None = None
    if request.method == "POST":
        wrong = take_file(request, typed)
        if not wrong:
            sheet, text, wrong = read(typed, {entry["key"] for entry in desk.raw.get("formulas", [])})
    if sheet is not None and request.POST.get("do") == "keep":
        tried = work_through(
            {**desk.raw, "formulas": [*desk.raw.get("formulas", []), sheet]}, desk.version.kitchen, set()
        )
        if tried.dossier is not None:
            words = _("formula brought in: %(name)s") % {"name": sheet["name"]}
            keep(door, desk.commission, desk.commission.head, tried, desk.version.kitchen, words)
            BookFormula.objects.get_or_create(
                kitchen=door.kitchen,
                key=sheet["key"],
                defaults={"name": sheet["name"], "kind": sheet["kind"], "sheet": sheet},
            )
            messages.success(request, _("Kept: %(words)s.") % {"words": words})
            return HttpResponseRedirect(desk.url("sheet", sheet="formulas"))
        wrong = list(tried.beyond)
    understood = _understood(desk, text) if text is not None else None
    answer = page(
        request, desk, "work/formulas/import.html", "formulas",
        typed=typed, wrong=wrong, understood=understood, kinds=KINDS, measures=MEASURES,
    )  # fmt: skip
    answer.status_code = 422 if wrong else 200
    return answer


def take_file(request: HttpRequest, typed: dict[str, str]) -> list[str]:
    """Put a sent file's text in the place of the pasted one; return what is wrong with the file."""
    sent = request.FILES.get("file")
    if sent is None:
        return []
    name = str(sent.name or "")
    if not name.casefold().endswith(NAMES):
        return [_("%(name)s: expected a file whose name ends in .txt, .html or .json.") % {"name": name}]
    if (sent.size or 0) > LARGEST_BYTES:
        return [_("%(name)s is larger than 4 MB.") % {"name": name}]
    try:
        text = sent.read().decode("utf-8-sig")
    except UnicodeDecodeError:
        return [_("%(name)s is not text in UTF-8.") % {"name": name}]
    if "\x00" in text:
        return [_("%(name)s is not a text file.") % {"name": name}]
    typed["text"] = text
    return []


def read(typed: dict[str, str], taken: set[str]) -> tuple[dict[str, Any] | None, FormulaText | None, list[str]]:
    """
    Read pasted lines or a recipe page.

    Returns
    -------
    sheet, text, wrong
        The formula as the brief holds it and as the rooms take it, or what is wrong.
    """
    body = typed["text"].replace("\r\n", "\n").strip()
    if not body:
        return None, None, [_("There is nothing to read yet.")]
    if not typed["kind"]:
        return None, None, [_("Say what it makes: batters, fillings and syrups are weighed differently.")]
    sheet: dict[str, Any] = {"kind": typed["kind"], "name": typed["name"].strip() or _("Formula"), "key": "formula"}
    if typed["measures"]:
        sheet["measures"] = typed["measures"]
    if body[0] in "{[<":
        sheet["page"] = body
    else:
        lines, _gap, method = body.partition("\n\n")
        sheet["lines"] = [line.strip() for line in lines.split("\n") if line.strip()]
        if method.strip():
            sheet["method"] = [line.strip() for line in method.split("\n") if line.strip()]
    try:
        text = formula_text(FormulaSheet.model_validate(sheet))
    except (TierwrightError, ValueError) as error:
        return None, None, [str(error)]
    # A page is taken apart once; what stays is its lines, which the maker can then change.
    sheet.pop("page", None)
    sheet["name"] = typed["name"].strip() or text.name
    sheet["lines"], sheet["method"] = list(text.lines), list(text.method)
    sheet["key"] = _key(sheet["name"], taken)
    typed["text"] = "\n".join(text.lines) + ("\n\n" + "\n".join(text.method) if text.method else "")
    typed["name"] = sheet["name"]
    return sheet, text, []


def _key(name: str, taken: set[str]) -> str:
    stem = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:50] or "formula"
    return next(key for key in (stem, *(f"{stem}-{n}" for n in range(2, 100))) if key not in taken)


def _understood(desk: Desk, text: FormulaText) -> dict[str, Any]:
    formula = read_formula(text)
    display = desk.words.display
    return {
        "name": text.name,
        "total": display.show_mass(formula.total_g.value),
        "open": len(formula.open_lines),
        "lines": [
            {
                "text": line.text,
                "label": line.label,
                "grams": display.show_mass(line.grams.value) if line.grams.value else "",
                "way": line.way,
                "reason": line.reason,
                "choices": line.choices,
                "remarks": line.remarks,
                "status": line.status.value,
            }
            for line in formula.lines
        ],
    }
