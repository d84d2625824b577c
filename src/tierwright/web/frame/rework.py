"""Working a commission again with the kitchen as it stands now; what that moves is seen before it is kept."""

from __future__ import annotations

from typing import Any, Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from tierwright.web.access import Door, owner
from tierwright.web.frame.change import Overtaken, keep, work_through
from tierwright.web.frame.changing import visible
from tierwright.web.frame.desk import draw, lay_out
from tierwright.web.frame.moved import outcome
from tierwright.web.frame.reading import page

NAMES: Final[dict[str, Promise]] = {
    "name": gettext_lazy("its name"),
    "timezone": gettext_lazy("its time zone"),
    "altitude": gettext_lazy("its height above the sea"),
    "currency": gettext_lazy("its currency"),
    "licence": gettext_lazy("the kind of kitchen"),
    "units": gettext_lazy("units and words"),
    "room": gettext_lazy("the usual warmth of the room"),
    "ovens": gettext_lazy("ovens"),
    "pans": gettext_lazy("pans"),
    "mixers": gettext_lazy("mixers"),
    "cold": gettext_lazy("cold places"),
    "hands": gettext_lazy("hands and their hours"),
    "rates": gettext_lazy("rates"),
    "prices": gettext_lazy("the price book"),
    "boards": gettext_lazy("boards"),
    "supports": gettext_lazy("supports"),
    "carrying": gettext_lazy("stacking and carrying"),
    "accounts": gettext_lazy("accounts"),
    "labelling": gettext_lazy("maker and cross-contact"),
    "scale_step": gettext_lazy("the scale"),
    "pan_price": gettext_lazy("the price of a pan"),
    "note": gettext_lazy("its note"),
}
"""What the parts of a kitchen's file are called."""


def differing(before: dict[str, Any], after: dict[str, Any]) -> list[str]:
    """Return, in words, which parts of a kitchen's file differ."""
    keys = [key for key in {**before, **after} if before.get(key) != after.get(key)]
    return [str(NAMES.get(key, key.replace("_", " "))) for key in keys]


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def rework(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Show what would move with the kitchen as it stands; keep it as the next version."""
    desk = lay_out(door, commission)
    kitchen = door.kitchen.data
    changed = differing(desk.version.kitchen, kitchen)
    overtaken = False
    tried = work_through(desk.raw, kitchen, set()) if changed else None
    if request.method == "POST" and tried is not None and tried.dossier is not None:
        words = _("worked again with the kitchen as it stands: %(parts)s") % {"parts": ", ".join(changed)}
        overtaken = request.POST.get("base") != str(desk.version.number)
        if not overtaken:
            try:
                keep(door, desk.commission, desk.version.number, tried, kitchen, words[:400])
            except Overtaken:
                overtaken = True
            else:
                messages.success(request, _("Kept: %(words)s.") % {"words": words})
                return HttpResponseRedirect(desk.url("whole"))
        desk = lay_out(door, commission)
        tried = work_through(desk.raw, kitchen, set())
    after = tried.dossier if tried else None
    answer = page(
        request,
        desk,
        "frame/rework.html",
        changed=changed,
        overtaken=overtaken,
        beyond=tried.beyond if tried else (),
        outcome=outcome(desk.dossier, after, visible(desk)) if after else None,
        drawing_after=draw(after, "after") if after else None,
    )
    if overtaken or (tried is not None and after is None):
        answer.status_code = 409 if overtaken else 422
    return answer
