"""What the packets as they stand now change on the labels of every open commission, and taking that over."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from tierwright.brief.packets import LabelBook
from tierwright.dossier.label_stage import relabel
from tierwright.label import LotChange, differences
from tierwright.web.access import Door, owner
from tierwright.web.frame.change import Overtaken, keep, work_through
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.models import Commission
from tierwright.web.whole import whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Touched:
    """
    One open commission, and what the packets change on its labels.

    Attributes
    ----------
    commission
        Which.
    changes
        The dangerous first; the same change on several cakes is told once.
    is_worse
        Whether a guest could be hurt by the labels as they stand.
    is_old
        Whether its version has other packets, though no label differs.
    """

    commission: Commission
    changes: tuple[dict[str, Any], ...]
    is_worse: bool
    is_old: bool


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def changed(request: HttpRequest, door: Door) -> HttpResponse:
    """List what changes on every open commission; take the packets over into one of them as a new version."""
    if request.method == "POST":
        return _taken_over(request, door)
    touched = [one for row in _open(door) if (one := touched_by(lay_out(door, row.pk))) is not None]
    touched.sort(key=lambda one: (not one.is_worse, not one.changes, one.commission.cutting_at))
    return render(request, "lots/changed.html", {"door": door, "touched": touched})


def _open(door: Door) -> list[Commission]:
    found = Commission.objects.filter(kitchen=door.kitchen, put_away_at=None, last_slice_at__gte=timezone.now())
    return list(found.order_by("cutting_at"))


def touched_by(desk: Desk) -> Touched | None:
    """Return what the kitchen's packets as they stand now change on a commission; None for nothing at all."""
    now = LabelBook.model_validate(desk.door.kitchen.data.get("labelling") or {})
    dossier = desk.dossier
    if now == dossier.kitchen.labelling:
        return None
    labels = relabel(dossier, now)
    found = differences(desk.commission.title, dossier.labels, labels)
    names = {unit.key: unit.name for unit in (*labels.units, labels.whole)}
    return Touched(
        commission=desk.commission,
        changes=_told(found, names),
        is_worse=any(change.is_worse for change in found),
        is_old=not found,
    )


def _told(found: tuple[LotChange, ...], names: dict[str, str]) -> tuple[dict[str, Any], ...]:
    """Gather changes that are alike on several cakes; the whole cake is named only where no single one is."""
    cakes: dict[tuple[str, str, str, bool], list[str]] = {}
    for change in found:
        alike = cakes.setdefault((change.what, change.before, change.after, change.is_worse), [])
        alike.append(names.get(change.unit, change.unit))
    return tuple(
        {
            "what": _WHAT[what](),
            "before": before,
            "after": after,
            "is_worse": is_worse,
            "cakes": [name for name in said if name != names.get("whole")] or said,
        }
        for (what, before, after, is_worse), said in cakes.items()
    )


_WHAT = {
    "allergen": lambda: _("allergen"),
    "way": lambda: _("way of an allergen"),
    "ingredients": lambda: _("ingredient list"),
    "statement": lambda: _("statement"),
    "vegan": lambda: _("vegan"),
    "nutrition": lambda: _("nutrition"),
}


def _taken_over(request: HttpRequest, door: Door) -> HttpResponse:
    back = HttpResponseRedirect(reverse("book-changed", kwargs={"kitchen": door.kitchen.pk}))
    desk = lay_out(door, whole(request.POST.get("commission"), 11) or 0)
    kitchen = {**desk.version.kitchen, "labelling": door.kitchen.data.get("labelling") or {}}
    tried = work_through(desk.raw, kitchen, set())
    if tried.dossier is None:
        messages.error(request, " ".join(tried.beyond) or _("The commission cannot be worked through as it stands."))
        return back
    try:
        keep(door, desk.commission, desk.version.number, tried, kitchen, _("packets as they stand now"))
    except Overtaken:
        messages.error(request, _("Somebody else has kept a newer version; look at what changes now."))
        return back
    messages.success(request, _("Kept: %(words)s.") % {"words": f"{desk.commission.title}, {desk.version.number + 1}"})
    return back
