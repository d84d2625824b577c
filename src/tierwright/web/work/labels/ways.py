"""By which way an allergen comes into a cake: from the packet's lot through every mixture to the slice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from tierwright.dossier import Dossier
from tierwright.label import Trace, UnitLabel, allergen_list
from tierwright.larder import Allergen
from tierwright.sheets.show import shown
from tierwright.web.access import Door, member
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.frame.reading import page
from tierwright.web.work.labels.marks import MARKS


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of a way: what it is, and what is said of it."""

    name: str
    words: str
    photo: str = ""


@require_safe
@member
def way(request: HttpRequest, door: Door, commission: int, cake: str, allergen: str) -> HttpResponse:
    """Show every way of one allergen into one cake."""
    desk = lay_out(door, commission)
    if not any(sheet.key == "labels" for sheet in desk.sheets):
        raise Http404
    labels = desk.dossier.labels
    unit = next((one for one in labels.units if one.key == cake), None)
    named = next((one for one in allergen_list(labels.jurisdiction) if one.value.replace(" ", "-") == allergen), None)
    if unit is None or named is None:
        raise Http404
    listed = allergen_list(labels.jurisdiction)[named]
    context = {
        "unit": unit,
        "allergen": listed.word,
        "mark": MARKS[unit.mark(named)],
        "source": listed.source,
        "ways": [_shown(desk, unit, one) for one in traces_of(labels.traces, unit, named)],
    }
    return page(request, desk, "work/labels/way.html", "labels", **context)


def traces_of(traces: tuple[Trace, ...], unit: UnitLabel, allergen: Allergen) -> list[Trace]:
    """Return the ways of one allergen into one cake, the surest first; an unread packet is a way of every allergen."""
    found = [one for one in traces if one.path[0] == unit.name and one.allergen in (allergen, None)]
    return sorted(dict.fromkeys(found), key=lambda one: -one.presence)


def _shown(desk: Desk, unit: UnitLabel, trace: Trace) -> dict[str, Any]:
    shape, words = MARKS[trace.presence]
    return {"shape": shape, "words": words, "reason": trace.reason, "steps": steps(desk.dossier, unit, trace)}


def steps(dossier: Dossier, unit: UnitLabel, trace: Trace) -> list[Step]:
    """Return a way step by step: lot, packet, part, mixture, tier, slice, with what is known of each."""
    display = dossier.kitchen.units.display()
    found: list[Step] = []
    packet = next((one for one in dossier.kitchen.labelling.packets if trace.lot and one.lot == trace.lot), None)
    if trace.lot:
        read = _("read on %(day)s") % {"day": packet.read_on} if packet is not None and packet.read_on else ""
        found.append(Step(name=_("lot %(lot)s") % {"lot": trace.lot}, words=read, photo=packet.photo if packet else ""))
    elif trace.presence.is_unknown and len(trace.path) > 2:
        found.append(Step(name=_("no packet has been read"), words=""))
    parts = trace.path[2:]
    for number, name in enumerate(reversed(parts)):
        found.append(Step(name=name, words="" if number == len(parts) - 1 else _("a part of the next")))
    component = trace.path[1]
    work = next((one for one in dossier.formulas.works if one.formula.text.name == component), None)
    in_bowl = "" if work is None or work.batch is None else shown(display, float(work.batch.make_g), "g")
    found.append(Step(name=component, words=_("%(mass)s made") % {"mass": in_bowl} if in_bowl else ""))
    found.append(Step(name=unit.name, words=shown(display, unit.mass_g, "g")))
    tier = next((one for one in dossier.sizing.stack.tiers if unit.key == f"tier.{one.number}"), None)
    portions = 0 if tier is None or tier.cutting is None else tier.cutting.portions
    if not unit.key.startswith("tier."):
        cakes = dossier.sizing.stack.kitchen_cakes
        place = int(unit.key.rpartition(".")[2]) - 1
        portions = cakes[place].cutting.portions if place < len(cakes) else 0
    if portions:
        said = _("%(mass)s each, and none is told apart from the others")
        found.append(
            Step(
                name=_("each of %(count)d slices") % {"count": portions},
                words=said % {"mass": shown(display, unit.mass_g / portions, "g")},
            )
        )
    return found
