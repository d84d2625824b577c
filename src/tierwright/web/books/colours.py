"""The book of colours: what is on the shelf, what its mixes have taught, and how to come to a wished colour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_safe

from tierwright.brief.colours import ColourBook
from tierwright.errors import Infeasible, MissingData, OutOfRange
from tierwright.finish import (
    ColouredBatch,
    ColourMatch,
    Lab,
    MixModel,
    colour_cautions,
    colours_of,
    from_plants,
    hex_of_lab,
    learn_mixes,
    mix_for,
    mixes_of,
    nearest_mix,
    portion_out,
    wished,
)
from tierwright.units import Kind, parse_quantity
from tierwright.web.access import Door, member
from tierwright.web.sheet import Box, Field, Part, Rows
from tierwright.working import Caution

SORTS: Final = (
    ("", "\N{EN DASH}"), ("paste", gettext_lazy("paste")), ("liquid", gettext_lazy("liquid")),
    ("powder", gettext_lazy("powder")), ("oil", gettext_lazy("for fat and chocolate")),
    ("plant", gettext_lazy("from plants")), ("white", gettext_lazy("white, covers")),
)  # fmt: skip
WAYS: Final = (
    ("", "\N{EN DASH}"), ("grey card", gettext_lazy("photograph beside a grey card")),
    ("instrument", gettext_lazy("instrument")),
)  # fmt: skip
LIGHTS: Final = (("", "\N{EN DASH}"), ("D65", "D65"), ("D50", "D50"))

COLOURS: Final = Part(
    key="colours",
    title=gettext_lazy("Colours and recorded mixes"),
    hint=gettext_lazy(
        "Stir, let it stand, photograph it beside a grey card in shade and read the colour off. A base by itself is a "
        "mix without doses. Nothing is said of a colour beyond its largest recorded dose."
    ),
    items=(
        Field(path="colours.scale_step", label=gettext_lazy("Finest step of the scale that weighs colours"),
              hint=gettext_lazy("such as 0.1 g")),
        Rows(
            path="colours.own", label=gettext_lazy("Colours on the shelf"), row=gettext_lazy("Colour"), most=60,
            fields=(
                Field(path="key", label=gettext_lazy("Key"), hint=gettext_lazy("small letters, such as rose")),
                Field(path="name", label=gettext_lazy("Name")),
                Field(path="sort", label=gettext_lazy("Comes as"), box=Box.CHOICE, choices=SORTS),
                Field(path="drop", label=gettext_lazy("Mass of a drop"),
                      hint=gettext_lazy("weigh twenty, such as 0.04 g; empty if it is weighed")),
                Field(path="label", label=gettext_lazy("What its packet says it is fit for")),
            ),
        ),
        Rows(
            path="colours.mixes", label=gettext_lazy("Recorded mixes"), row=gettext_lazy("Mix"), most=400,
            fields=(
                Field(path="name", label=gettext_lazy("Name")),
                Field(path="base", label=gettext_lazy("Base"), hint=gettext_lazy("key of the coat's formula")),
                Field(path="doses", label=gettext_lazy("In 100 g of base"), box=Box.LINES,
                      hint=gettext_lazy("one a line, such as 3 drops rose or 0.2 g lemon")),
                Field(path="seen", label=gettext_lazy("Colour it came to"),
                      hint=gettext_lazy("such as #f4ead2 or lab 93 0 14")),
                Field(path="measured", label=gettext_lazy("Measured by"), box=Box.CHOICE, choices=WAYS),
                Field(path="light", label=gettext_lazy("White of an instrument"), box=Box.CHOICE, choices=LIGHTS),
                Field(path="stood", label=gettext_lazy("Stood before"), hint=gettext_lazy("such as 2 h")),
            ),
        ),
    ),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """One colour of an answer as the page shows it: its name, what goes into 100 g, and into the whole batch."""

    name: str
    in_100g: str
    in_batch: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Taught:
    """A recorded mix as the page shows it: its doses, its colour, and what the others foretold of it, if anything."""

    name: str
    doses: tuple[str, ...]
    seen: str
    seen_hex: str
    foretold_hex: str
    delta_e: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What the page shows of a wish: the match, the batch measured out, and its cautions; why not, if not reached."""

    match: ColourMatch
    wish_hex: str
    batch: ColouredBatch
    batch_hex: str
    portions: tuple[Portion, ...]
    refused: str
    change: str
    cautions: tuple[Caution, ...]


@require_safe
@member
def colours(request: HttpRequest, door: Door) -> HttpResponse:
    """Show the shelf and what its mixes have taught; work out a wish, if there is one."""
    kitchen = door.kitchen.parsed()
    book = kitchen.colours
    bases = list(dict.fromkeys(mix.base for mix in book.mixes))
    typed = {name: request.GET.get(name, "").strip()[:80] for name in ("base", "wish", "mass")}
    base = typed["base"] if typed["base"] in bases else (bases[0] if bases else "")
    model, lacking = _model(book, base)
    wrong: dict[str, str] = {}
    answer = None
    if model is not None and (typed["wish"] or typed["mass"]):
        wish = _wish(book, typed["wish"], wrong)
        mass_g = _mass(typed["mass"], wrong)
        if wish is not None and mass_g is not None:
            answer = _answer(model, book, wish, mass_g)
    context = {
        "door": door,
        "bases": bases,
        "base": base,
        "typed": typed | {"mass": typed["mass"] or "500 g"},
        "wrong": wrong,
        "model": model,
        "lacking": lacking,
        "answer": answer,
        "taught": _taught(book, base, model),
    }
    return render(request, "books/colours.html", context, status=422 if wrong else 200)


def _model(book: ColourBook, base: str) -> tuple[MixModel | None, str]:
    if not base:
        return None, ""
    try:
        return learn_mixes(base, colours_of(book), mixes_of(book)), ""
    except MissingData as missing:
        return None, _("Not yet: %(what)s is needed for %(aim)s.") % {"what": missing.what, "aim": missing.needed_for}


def _taught(book: ColourBook, base: str, model: MixModel | None) -> list[Taught]:
    left = {one.name: one for one in model.left_out} if model else {}
    seen = {mix.name: hex_of_lab(mix.seen) for mix in mixes_of(book)}
    found = []
    for mix in book.mixes:
        if mix.base == base:
            one = left.get(mix.name)
            found.append(
                Taught(
                    name=mix.name,
                    doses=tuple(mix.model_dump()["doses"]),
                    seen=mix.seen,
                    seen_hex=seen[mix.name],
                    foretold_hex=hex_of_lab(one.predicted) if one else "",
                    delta_e=one.delta_e if one else None,
                )
            )
    return found


def _wish(book: ColourBook, text: str, wrong: dict[str, str]) -> Lab | None:
    try:
        wish = wished(text, book)
    except OutOfRange:
        wish = None
    if wish is None:
        wrong["wish"] = _("A colour such as #f4ead2 or lab 93 0 14, or the name of a recorded mix.")
    return wish


def _mass(text: str, wrong: dict[str, str]) -> float | None:
    try:
        mass_g = parse_quantity(text or "500 g", Kind.MASS)
    except ValueError as bad:
        wrong["mass"] = str(bad)
        return None
    if not 20.0 <= mass_g <= 50_000.0:
        wrong["mass"] = _("From 20 g to 50 kg.")
        return None
    return mass_g


def _answer(model: MixModel, book: ColourBook, wish: Lab, mass_g: float) -> Answer:
    refused = change = ""
    try:
        match = mix_for(model, wish)
    except Infeasible as no:
        match, refused, change = nearest_mix(model, wish), no.reason, no.cheapest_change
    batch = portion_out(model, match, mass_g, scale_step_g=book.scale_step)
    names: Mapping[str, str] = {colour.key: colour.name for colour in model.colours}
    drops = {colour.key: colour.drop_g for colour in model.colours}
    measured = {portion.colour: portion for portion in batch.portions}
    portions = []
    for dose in match.doses:
        whole = measured.get(dose.colour)
        in_batch = _("none: too little to measure out")
        if whole is not None:
            in_batch = _("%(count)d drops") % {"count": whole.drops} if whole.drops else f"{whole.g:.2f} g"
        each = f"{dose.g_per_100g:.3f} g"
        if drops[dose.colour]:
            each = _("%(count).1f drops") % {"count": dose.g_per_100g / drops[dose.colour]}
        portions.append(Portion(name=names[dose.colour], in_100g=each, in_batch=in_batch))
    plants = from_plants([dose.colour for dose in match.doses], book)
    return Answer(
        match=match,
        wish_hex=hex_of_lab(match.wish),
        batch=batch,
        batch_hex=hex_of_lab(batch.predicted),
        portions=tuple(portions),
        refused=refused,
        change=change,
        cautions=colour_cautions((wish,), from_plants=plants),
    )
