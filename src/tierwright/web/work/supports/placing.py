"""Taking the supports of a tier as they stand, to be moved by hand."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from tierwright.support import Level
from tierwright.web.access import Door, owner
from tierwright.web.frame.change import draft_of, save_draft
from tierwright.web.frame.desk import lay_out
from tierwright.web.frame.filling import written
from tierwright.web.work.supports.forms import parts


@require_POST
@owner
def set_places(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Write a tier's supports into the form of places set by hand as they stand now, and open it."""
    desk = lay_out(door, commission)
    work = desk.dossier.support
    wanted = request.POST.get("tier", "")
    level = next((one for one in work.found.levels if str(one.tier) == wanted and one.count), None) if work else None
    if level is None:
        return HttpResponse(_("There are no supports in such a tier."), status=422)
    (form,) = parts(desk.raw)
    old = draft_of(door, desk.commission, f"supports/{form.key}")
    typed = dict(old.typed) if old else written(form, desk.raw)
    if not any(name.endswith("].tier") and text == wanted for name, text in typed.items()):
        row = 1 + sum(name.endswith("].tier") for name in typed)
        typed |= typed_of(level, f"cake.supports[{row}]")
    save_draft(door, desk.commission, f"supports/{form.key}", desk.commission.head, typed, old.revision if old else 0)
    return HttpResponseRedirect(desk.url("change", sheet="supports", part=form.key))


def typed_of(level: Level, where: str) -> dict[str, str]:
    """Return one tier's supports as the form of places holds them."""
    return {
        f"{where}!was": "",
        f"{where}.tier": str(level.tier),
        f"{where}.support": level.stock.key,
        f"{where}.places": "\n".join(f"{x:.1f} mm, {y:.1f} mm" for x, y in level.positions),
    }
