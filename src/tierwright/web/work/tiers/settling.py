"""Settling on one of the proposed stacks: its tiers are typed into the form, where what it moves is seen first."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from tierwright.shapes import Shape
from tierwright.sizing import Stack
from tierwright.web.access import Door, owner
from tierwright.web.frame.change import draft_of, save_draft
from tierwright.web.frame.desk import lay_out
from tierwright.web.whole import whole
from tierwright.web.work.tiers.forms import SETTLED


@require_POST
@owner
def settle(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Type a stack's tiers into the form of settled tiers, or empty that form."""
    desk = lay_out(door, commission)
    wanted = request.POST.get("stack", "")
    stacks = desk.dossier.sizing.stacks
    if wanted == "none":
        typed: dict[str, str] = {}
    elif (place := whole(wanted)) is not None and place < len(stacks):
        typed = typed_of(stacks[place])
    else:
        return HttpResponse(_("There is no such stack."), status=422)
    part = f"tiers/{SETTLED.key}"
    old = draft_of(door, desk.commission, part)
    save_draft(door, desk.commission, part, desk.commission.head, typed, old.revision if old else 0)
    return HttpResponseRedirect(desk.url("change", sheet="tiers", part=SETTLED.key))


def typed_of(stack: Stack) -> dict[str, str]:
    """Return a stack's tiers as the form of settled tiers holds them."""
    typed: dict[str, Any] = {}
    for row, tier in enumerate(stack.tiers, start=1):
        where = f"cake.fixed[{row}]"
        typed |= {
            f"{where}!was": "",
            f"{where}.number": str(tier.number),
            f"{where}.width": f"{tier.outline.width_mm:.6g} mm",
            f"{where}.shape": tier.outline.shape.value,
            f"{where}.length": f"{tier.outline.length_mm:.6g} mm" if tier.outline.shape is Shape.RECTANGLE else "",
            f"{where}.kind": tier.kind.value,
        }
    return typed
