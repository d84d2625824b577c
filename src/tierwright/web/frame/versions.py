"""Every kept change is a version: listed, compared two and two, one of them marked as quoted."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from tierwright.web.access import Door, owner
from tierwright.web.frame.changing import visible
from tierwright.web.frame.desk import draw, lay_out
from tierwright.web.frame.moved import outcome
from tierwright.web.frame.reading import page
from tierwright.web.models import Version
from tierwright.web.whole import whole


@require_safe
@owner
def versions(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """List the versions, and compare two where two are named."""
    desk = lay_out(door, commission)
    kept = (
        Version.objects.filter(commission=desk.commission)
        .select_related("made_by")
        .only("number", "words", "made_at", "made_by__username", "commission_id")
    )
    return page(request, desk, "frame/versions.html", "versions", versions=list(kept))


@require_safe
@owner
def compared(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Hold two versions against each other: what moved, and both drawings."""
    desk = lay_out(door, commission)
    first, second = (_number(request, name) for name in ("from", "to"))
    before = lay_out(door, commission, first or max(1, desk.commission.head - 1))
    after = lay_out(door, commission, second or desk.commission.head)
    if before.version.number > after.version.number:
        before, after = after, before
    return page(
        request,
        desk,
        "frame/compared.html",
        "versions",
        before=before,
        after=after,
        outcome=outcome(before.dossier, after.dossier, visible(desk)),
        drawing_before=draw(before.dossier, "before"),
        drawing_after=draw(after.dossier, "after"),
    )


def _number(request: HttpRequest, name: str) -> int:
    return whole(request.GET.get(name)) or 0


@require_POST
@owner
def quote(request: HttpRequest, door: Door, commission: int, number: int) -> HttpResponse:
    """Mark a version as the one that was quoted to the client."""
    found = door.commission(commission)
    door.version(found, number)
    found.quoted = number
    found.save(update_fields=["quoted"])
    door.note("quoted", f"{found.title}, {number}", found)
    messages.success(request, _("Version %(number)d is marked as quoted.") % {"number": number})
    return HttpResponseRedirect(_back(door, commission))


def _back(door: Door, commission: int) -> str:
    from django.urls import reverse

    return reverse("versions", kwargs={"kitchen": door.kitchen.pk, "commission": commission})
