"""Three questions at the bowl: how does it look, what does the thermometer in it say, how long was it beaten?"""

from __future__ import annotations

from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_safe

from tierwright.errors import OutOfRange, TierwrightError
from tierwright.sugar import CreamKind, CreamPlan, Look, Rescue, plan_cream, rescue, working_span_c
from tierwright.units import Display, Kind
from tierwright.web.access import Door, member
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.frame.reading import page
from tierwright.web.sheet import Words
from tierwright.web.work.syrups.asked import Asked

LOOKS: Final[tuple[tuple[str, Words], ...]] = (
    (Look.SOUPY, gettext_lazy("soupy: runny, shining, holds no line")),
    (Look.CURDLED, gettext_lazy("curdled: like scrambled egg, wet at the side")),
    (Look.STIFF, gettext_lazy("stiff: tears, will not spread")),
    (Look.SPLIT, gettext_lazy("split: oil or grains at the edge")),
    (Look.SMOOTH, gettext_lazy("smooth")),
)
FIELDS: Final = ("kind", "look", "bowl", "beaten")


@require_safe
@member
def at_the_bowl(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Ask the three questions, and answer them as they are typed."""
    desk = lay_out(door, commission)
    typed = {name: request.GET.get(name, "")[:100] for name in FIELDS}
    kinds = _kinds(desk)
    if typed["kind"] not in {key for key, _words in kinds}:
        typed["kind"] = kinds[0][0]
    context = {"typed": typed, "kinds": kinds, "looks": LOOKS} | _answer(desk, typed)
    if request.headers.get("HX-Request") == "true":
        return render(request, "work/syrups/_rescue.html", {"desk": desk, "door": door} | context)
    return page(request, desk, "work/syrups/bowl.html", "syrups", **context)


def _kinds(desk: Desk) -> list[tuple[str, str]]:
    """Return what may be in the bowl: this cake's own creams first, then any."""
    own = [(work.formula, desk.words.formulas[work.formula]) for work in desk.dossier.sugar if work.cream]
    return own + [(kind.value, kind.value) for kind in CreamKind]


def _plan(desk: Desk, kind: str) -> CreamPlan:
    own = next((work.cream for work in desk.dossier.sugar if work.cream and work.formula == kind), None)
    return own or plan_cream(CreamKind(kind))


def _answer(desk: Desk, typed: dict[str, str]) -> dict[str, Any]:
    asked = Asked(typed)
    bowl = asked.read("bowl", Kind.TEMPERATURE)
    beaten = asked.read("beaten", Kind.TIME)
    if bowl is None or typed["look"] not in set(Look):
        return {"wrong": asked.wrong, "rescue": None}
    plan = _plan(desk, typed["kind"])
    try:
        done = rescue(plan.kind, Look(typed["look"]), bowl, beaten or 0.0, lines=plan.lines)
    except OutOfRange as error:
        text = _("%(what)s: %(low)g to %(high)g %(unit)s can be answered.") % {
            "what": error.quantity, "low": error.low, "high": error.high, "unit": error.unit,
        }  # fmt: skip
        return {"wrong": asked.wrong | {"bowl" if error.unit == "C" else "beaten": text}, "rescue": None}
    except TierwrightError as error:
        return {"wrong": asked.wrong | {"kind": str(error)}, "rescue": None}
    return {"wrong": asked.wrong, "rescue": _in_words(done, plan, desk.words.display), "cautions": plan.notes.cautions}


def _in_words(done: Rescue, plan: CreamPlan, display: Display) -> dict[str, Any]:
    low, high = working_span_c(plan)
    return {
        "action": done.action.value,
        "words": done.words,
        "why": done.why,
        "target": None if done.target_c is None else display.show_temperature(done.target_c),
        "span": f"{display.show_temperature(low)} \N{EN DASH} {display.show_temperature(high)}",
        "means": [(way.value, f"{time.low:.0f} \N{EN DASH} {time.high:.0f} min") for way, time in done.means],
        "again": f"{done.look_again_min:.0f} min" if done.look_again_min >= 0.5 else "",
    }
