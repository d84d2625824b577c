"""Where to stop a pot of sugar, in this kitchen and on this thermometer."""

from __future__ import annotations

from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_safe

from tierwright.drawings import AS_THE_PAGE
from tierwright.errors import OutOfRange, TierwrightError
from tierwright.sheets.show import estimate_range, shown
from tierwright.sheets.syrups import plot_of
from tierwright.sugar import SyrupPlan, Thermometer, plan_syrup, stages, syrup_use, syrup_uses
from tierwright.units import Display, Kind
from tierwright.web.access import Door, member
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.frame.reading import page
from tierwright.web.sheet import Words
from tierwright.web.work.syrups.asked import Asked

USUAL_G: Final = 500.0
FIELDS: Final = ("use", "make", "wish", "stage", "wanted", "boiling")
WISHES: Final[tuple[tuple[str, Words], ...]] = (
    ("", gettext_lazy("as usual for it")),
    ("stage", gettext_lazy("a stage")),
    ("sea", gettext_lazy("the recipe's temperature, by the sea")),
    ("solids", gettext_lazy("its share of sugar")),
)


@require_safe
@member
def at_the_pot(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Ask what is cooked and to where, and answer as it is typed."""
    desk = lay_out(door, commission)
    typed = {name: request.GET.get(name, "")[:100] for name in FIELDS}
    uses = [(key, use.label) for key, use in syrup_uses().items() if use.is_boiled_down]
    if typed["use"] not in dict(uses):
        typed["use"] = uses[0][0] if "italian-meringue" not in dict(uses) else "italian-meringue"
    context = {
        "typed": typed,
        "uses": uses,
        "wishes": WISHES,
        "stages": [(stage.key, stage.label) for stage in stages().values()],
        "altitude": desk.words.display.show(desk.dossier.kitchen.altitude, "m"),
    } | _answer(desk, typed)
    if request.headers.get("HX-Request") == "true":
        return render(request, "work/syrups/_target.html", {"desk": desk, "door": door} | context)
    return page(request, desk, "work/syrups/pot.html", "syrups", **context)


def _answer(desk: Desk, typed: dict[str, str]) -> dict[str, Any]:
    asked = Asked(typed)
    use = syrup_use(typed["use"])
    total = asked.read("make", Kind.MASS) or USUAL_G
    boiling = asked.read("boiling", Kind.TEMPERATURE)
    stage, sea, solids = use.stage_key, use.sea_level_c, use.solids_share
    if typed["wish"] == "stage" and typed["stage"] in stages():
        stage, sea, solids = typed["stage"], None, None
    elif typed["wish"] == "sea" and (wanted := asked.read("wanted", Kind.TEMPERATURE)) is not None:
        stage, sea, solids = "", wanted, None
    elif typed["wish"] == "solids" and (wanted := asked.read("wanted", Kind.SHARE)) is not None:
        stage, sea, solids = "", None, wanted
    if asked.wrong:
        return {"wrong": asked.wrong, "pot": None}
    try:
        plan = plan_syrup(
            use.lines_for(total),
            altitude_m=desk.dossier.kitchen.altitude,
            stage_key=stage,
            solids_share=solids,
            sea_level_c=sea,
            thermometer=None if boiling is None else Thermometer(boiling_reading_c=boiling),
            start_c=desk.dossier.kitchen.room,
            room_c=desk.dossier.kitchen.room,
            name=use.key,
        )
    except OutOfRange as error:
        text = _("%(what)s comes to %(value)g %(unit)s; what can be computed is %(low)g to %(high)g.") % {
            "what": error.quantity, "value": error.value, "unit": error.unit, "low": error.low, "high": error.high,
        }  # fmt: skip
        return {"wrong": {"wanted": text}, "pot": None}
    except TierwrightError as error:
        return {"wrong": {"use": str(error)}, "pot": None}
    display = desk.words.display
    return {
        "wrong": {},
        "pot": _in_words(plan, display) | {"then": use.then, "checked": boiling is not None},
        "lines": [(line.ingredient, shown(display, line.grams, "g")) for line in use.lines_for(total)],
        "plot": plot_of(plan, use.label, display, AS_THE_PAGE),
        "cautions": plan.notes.cautions,
    }


def _in_words(plan: SyrupPlan, display: Display) -> dict[str, Any]:
    target = plan.target
    facts: list[tuple[str, str]] = [
        (_("True temperature here"), shown(display, target.true_c.value, "C")),
        (_("The same syrup by the sea"), shown(display, target.sea_level_c, "C")),
        (_("Plain water boils here at"), shown(display, target.water_boils_c, "C")),
    ]
    if target.solids_share is not None:
        facts.append((_("Sugar in it then"), f"{target.solids_share:.1%}"))
    if target.cold_water_test:
        facts.append((_("A drop in cold water"), target.cold_water_test))
    if plan.cook is not None:
        minutes = plan.cook.total_min
        facts += [
            (_("Water to boil off"), shown(display, plan.cook.water_off_g, "g")),
            (_("Syrup left"), shown(display, plan.cook.yield_g, "g")),
            (_("On the heat, about"), f"{minutes.low:.0f} \N{EN DASH} {minutes.high:.0f} min"),
        ]
    if plan.crystals is not None:
        facts.append((_("Graininess"), plan.crystals.risk.value))
    return {
        "stop": shown(display, target.reading_c.value, "C"),
        "likely": estimate_range(display, target.reading_c, "C"),
        "label": target.label,
        "facts": facts,
    }
