"""A new commission, from the few things that a first enquiry settles."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from tierwright.web.access import Door, owner
from tierwright.web.frame.change import Retyped, begin, clashes, draft_of, save_draft, work_through
from tierwright.web.frame.changing import Answer
from tierwright.web.frame.desk import draw
from tierwright.web.frame.filling import collected, fill_in, laid_out, names_of
from tierwright.web.models import BookFormula
from tierwright.web.sheet import Box, Field, Part, Rows, Words
from tierwright.web.whole import whole
from tierwright.words import BATTERS

NAME = "enquiry"
LAWS = (("US", gettext_lazy("United States")), ("UK", gettext_lazy("United Kingdom")),
        ("EU", gettext_lazy("European Union")), ("CA", gettext_lazy("Canada")),
        ("AU-NZ", gettext_lazy("Australia and New Zealand")))  # fmt: skip


def form_of(book: list[BookFormula]) -> Part:
    """Return the form of a first enquiry; flavours are chosen from the kitchen's book."""
    batters = {kind.value for kind in BATTERS}
    none: tuple[str, Words] = ("", gettext_lazy("none"))
    cakes: tuple[tuple[str, Words], ...] = tuple((entry.key, entry.name) for entry in book if entry.kind in batters)
    others: tuple[tuple[str, Words], ...] = (
        none,
        *((entry.key, entry.name) for entry in book if entry.kind not in batters),
    )
    f = Field
    return Part(
        key=NAME,
        title=gettext_lazy("First enquiry"),
        hint=gettext_lazy("Only what a first talk settles. Everything can be changed afterwards."),
        items=(
            f(path="title", label=gettext_lazy("What is it for?"),
              hint=gettext_lazy("such as: A club's centenary supper")),
            f(path="client", label=gettext_lazy("Client"), hint=gettext_lazy("a name, or leave it for later")),
            f(path="day.date", label=gettext_lazy("Day"), box=Box.DATE),
            f(path="day.handover", label=gettext_lazy("Handover"), box=Box.CLOCK),
            f(path="day.cutting", label=gettext_lazy("Cutting"), box=Box.CLOCK),
            f(path="day.timezone", label=gettext_lazy("Time zone of the venue"),
              hint=gettext_lazy("such as America/Denver or Europe/London")),
            f(path="guests.invited", label=gettext_lazy("People invited"), box=Box.WHOLE),
            f(path="cake.tiers", label=gettext_lazy("Tiers wished for"), box=Box.WHOLE,
              hint=gettext_lazy("leave empty to have it proposed")),
            f(path="venue.name", label=gettext_lazy("Venue")),
            f(path="venue.altitude", label=gettext_lazy("Height of the venue above the sea"),
              hint=gettext_lazy("such as 1420 m or 4660 ft")),
            f(path="venue.temperature", label=gettext_lazy("How warm will it be where the cake stands?"),
              hint=gettext_lazy("such as 21 C, or 75 to 85 F")),
            f(path="venue.outdoors", label=gettext_lazy("It stands outdoors"), box=Box.TICK),
            f(path="travel.time", label=gettext_lazy("Time on the road"), hint=gettext_lazy("such as 50 min")),
            f(path="jurisdiction", label=gettext_lazy("Whose food law applies"), box=Box.CHOICE, choices=LAWS),
            Rows(
                path="cake.flavours",
                label=gettext_lazy("Flavours, bottom tier first"),
                row=gettext_lazy("Flavour"),
                most=8,
                hint=gettext_lazy("One flavour does for a start."),
                fields=(
                    f(path="name", label=gettext_lazy("Called"), hint=gettext_lazy("such as Vanilla")),
                    f(path="cake", label=gettext_lazy("Cake"), box=Box.CHOICE, choices=(("", "\N{EN DASH}"), *cakes)),
                    f(path="filling", label=gettext_lazy("Filling"), box=Box.CHOICE, choices=others),
                    f(path="coat", label=gettext_lazy("Coat"), box=Box.CHOICE, choices=others),
                ),
            ),
        ),
    )  # fmt: skip


def start_of(kitchen: dict[str, Any]) -> dict[str, Any]:
    """Return what the kitchen itself says about any commission."""
    return {
        "format": 1,
        "currency": kitchen.get("currency", ""),
        "jurisdiction": {"GBP": "UK", "EUR": "EU", "CAD": "CA", "AUD": "AU-NZ", "NZD": "AU-NZ"}.get(
            str(kitchen.get("currency")), "US"
        ),
        "day": {"timezone": kitchen.get("timezone", "")},
    }


def first_brief(form: Part, kitchen: dict[str, Any], book: list[BookFormula], typed: dict[str, str]) -> dict[str, Any]:
    """Return the brief of a first enquiry, with the formulas that its flavours name taken from the book."""
    brief = fill_in(form, start_of(kitchen), typed)
    for table in ("day", "guests", "venue", "travel", "cake"):
        brief.setdefault(table, {})
    used = {flavour.get(name) for flavour in brief["cake"].get("flavours", []) for name in ("cake", "filling", "coat")}
    brief["formulas"] = [deepcopy(entry.sheet) for entry in book if entry.key in used]
    return brief


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def enquiry(request: HttpRequest, door: Door) -> HttpResponse:
    """Take down a first enquiry and begin a commission from it."""
    kitchen = door.kitchen.data
    book = list(BookFormula.objects.filter(kitchen=door.kitchen, put_away_at=None))
    form = form_of(book)
    draft = draft_of(door, None, NAME)
    if request.method != "POST":
        from tierwright.web.frame.filling import written

        typed = draft.typed if draft else written(form, start_of(kitchen))
        answer = Answer(typed=typed, base=0, seen=draft.revision if draft else 0)
        return _page(request, door, form, book, answer, resumed=draft is not None)
    do = request.POST.get("do", "look")
    if do == "drop":
        if draft is not None:
            draft.delete()
        messages.success(request, _("Dropped. Nothing was begun."))
        return HttpResponseRedirect(reverse("board", kwargs={"kitchen": door.kitchen.pk}))
    typed = collected(form, request.POST)
    answer = _look(door, form, book, typed, request)
    tried = answer.tried
    if do == "keep" and tried is not None and tried.dossier is not None:
        row = begin(door, tried, kitchen, _("first enquiry"))
        if (left := draft_of(door, None, NAME)) is not None:
            left.delete()
        messages.success(request, _("Begun. Look at the open questions next."))
        return HttpResponseRedirect(reverse("whole", kwargs={"kitchen": door.kitchen.pk, "commission": row.pk}))
    if request.headers.get("HX-Request") == "true":
        return render(request, "frame/_begun.html", _context(door, form, book, answer) | {"live": True})
    return _page(request, door, form, book, answer)


def _look(door: Door, form: Part, book: list[BookFormula], typed: dict[str, str], request: HttpRequest) -> Answer:
    seen = whole(request.POST.get("seen")) or 0
    chosen = {name.removeprefix("choose:"): side for name, side in request.POST.items() if name.startswith("choose:")}
    for name, side in chosen.items():
        if side == "theirs" and name in typed:
            typed[name] = request.POST.get(f"theirs:{name}", "")[:20_000]
    if request.POST.get("settles") == "draft" and (current := draft_of(door, None, NAME)) is not None:
        seen = current.revision
    try:
        draft = save_draft(door, None, NAME, 0, typed, seen)
    except Retyped as other:
        merged, found = clashes(form, {}, other.draft.typed, typed)
        if found:
            return Answer(typed=typed, base=0, seen=seen, clashing=tuple(found), against="draft")
        typed = merged
        draft = save_draft(door, None, NAME, 0, typed, other.draft.revision)
    named = {name for name, _label in names_of(form, typed)}
    tried = work_through(first_brief(form, door.kitchen.data, book, typed), door.kitchen.data, named)
    drawing = draw(tried.dossier, "after") if tried.dossier is not None else None
    return Answer(typed=typed, base=0, seen=draft.revision, tried=tried, drawing=drawing)


def _context(door: Door, form: Part, book: list[BookFormula], answer: Answer) -> dict[str, Any]:
    wrong = answer.tried.wrong if answer.tried else {}
    fields = laid_out(form, answer.typed, wrong)
    every: list[Any] = []
    for shown in fields:
        every += [cell for row in shown.filled for cell in row.cells] if hasattr(shown, "filled") else [shown]
    return {
        "door": door,
        "form": form,
        "book": book,
        "answer": answer,
        "fields": fields,
        "wrong": [(filled.id, filled.field.label, filled.wrong) for filled in every if filled.wrong],
    }


def _page(
    request: HttpRequest, door: Door, form: Part, book: list[BookFormula], answer: Answer, resumed: bool = False
) -> HttpResponse:
    bad = answer.tried is not None and answer.tried.dossier is None
    status = 409 if answer.clashing else 422 if bad else 200
    return render(
        request, "frame/enquiry.html", _context(door, form, book, answer) | {"resumed": resumed}, status=status
    )
