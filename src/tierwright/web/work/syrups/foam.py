"""How warm a meringue's whites really get in this kitchen, and whether that can be relied on."""

from __future__ import annotations

from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_safe

from tierwright.drawings import AS_THE_PAGE
from tierwright.errors import TierwrightError
from tierwright.sheets.show import estimate_range, shown
from tierwright.sheets.syrups import plot_of
from tierwright.sugar import MeringueKind, MeringuePlan, Whites, plan_meringue
from tierwright.units import Display, Kind
from tierwright.web.access import Door, member
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.frame.reading import page
from tierwright.web.sheet import Words
from tierwright.web.work.syrups.asked import Asked

WAYS: Final[tuple[tuple[str, Words], ...]] = (
    (MeringueKind.ITALIAN, gettext_lazy("boiled sugar poured into whites")),
    (MeringueKind.SWISS, gettext_lazy("warmed together, then beaten")),
    (MeringueKind.FRENCH, gettext_lazy("raw whites, dry sugar")),
    (MeringueKind.SEVEN_MINUTE, gettext_lazy("beaten over the steam")),
)
ORIGINS: Final[tuple[tuple[str, Words], ...]] = (
    (Whites.FRESH, gettext_lazy("from the shell")),
    (Whites.PASTEURISED, gettext_lazy("pasteurised")),
    (Whites.DRIED, gettext_lazy("dried, as made up")),
)
FIELDS: Final = ("way", "origin", "whites", "sugar", "syrup", "warmed", "held")
USUAL_WHITES_G: Final = 200.0
USUAL_SUGAR: Final = 1.75
"""Sugar over whites where no weight is typed. [-] Common practice."""
USUAL_SYRUP_C: Final = (242.0 - 32.0) / 1.8
USUAL_WARMED_C: Final = (160.0 - 32.0) / 1.8


@require_safe
@member
def at_the_foam(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Ask how the meringue is made, and answer as it is typed."""
    desk = lay_out(door, commission)
    typed = {name: request.GET.get(name, "")[:100] for name in FIELDS}
    if typed["way"] not in dict(WAYS):
        typed["way"] = MeringueKind.ITALIAN
    if typed["origin"] not in dict(ORIGINS):
        typed["origin"] = Whites.FRESH
    context = {
        "typed": typed,
        "ways": WAYS,
        "origins": ORIGINS,
        "altitude": desk.words.display.show(desk.dossier.kitchen.altitude, "m"),
    } | _answer(desk, typed)
    if request.headers.get("HX-Request") == "true":
        return render(request, "work/syrups/_foam.html", {"desk": desk, "door": door} | context)
    return page(request, desk, "work/syrups/foam.html", "syrups", **context)


def _answer(desk: Desk, typed: dict[str, str]) -> dict[str, Any]:
    asked = Asked(typed)
    kind = MeringueKind(typed["way"])
    whites = asked.read("whites", Kind.MASS) or USUAL_WHITES_G
    sugar = asked.read("sugar", Kind.MASS) or USUAL_SUGAR * whites
    syrup = asked.read("syrup", Kind.TEMPERATURE) or USUAL_SYRUP_C
    warmed = asked.read("warmed", Kind.TEMPERATURE) or USUAL_WARMED_C
    held = asked.read("held", Kind.TIME) or 0.0
    if asked.wrong:
        return {"wrong": asked.wrong, "foam": None}
    try:
        plan = plan_meringue(
            kind,
            whites=Whites(typed["origin"]),
            whites_g=whites,
            sugar_g=sugar,
            altitude_m=desk.dossier.kitchen.altitude,
            syrup_sea_level_c=syrup,
            warmed_to_c=warmed if kind in (MeringueKind.SWISS, MeringueKind.SEVEN_MINUTE) else None,
            held_s=held * 60.0,
            room_c=desk.dossier.kitchen.room,
        )
    except TierwrightError as error:
        return {"wrong": {"way": str(error)}, "foam": None}
    display = desk.words.display
    return {
        "wrong": {},
        "foam": _in_words(plan, display),
        "plot": None if plan.syrup is None else plot_of(plan.syrup, _("meringue"), display, AS_THE_PAGE),
        "cautions": list({caution.text: caution for caution in plan.notes.cautions}.values()),
    }


def _in_words(plan: MeringuePlan, display: Display) -> dict[str, Any]:
    facts: list[tuple[str, str]] = []
    if plan.syrup is not None:
        target = plan.syrup.target
        facts += [
            (_("Stop the syrup here at"), shown(display, target.true_c.value, "C")),
            (_("The same syrup by the sea"), shown(display, target.sea_level_c, "C")),
        ]
    facts += [
        (_("Sugar to white"), f"{plan.sugar_to_white:.2f}"),
        (_("Foam"), f"{shown(display, plan.volume_ml.value, 'ml')}, {estimate_range(display, plan.volume_ml, 'ml')}"),
    ]
    return {
        "reached": shown(display, plan.hottest_c.value, "C"),
        "likely": estimate_range(display, plan.hottest_c, "C"),
        "verdict": plan.verdict.value,
        "words": plan.verdict_text,
        "facts": facts,
    }
