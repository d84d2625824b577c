"""The temperature line moved by hand: another set-up, light, air or cover, and what the limits do."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_safe

from tierwright.dossier.keeping_trial import plan_of, set_up_span, tried
from tierwright.drawings import AS_THE_PAGE
from tierwright.errors import OutOfRange, TierwrightError
from tierwright.keeping import KeepingPlan, keep, plot_line
from tierwright.sheets import keeping as printed
from tierwright.units import Kind
from tierwright.web.access import Door, member
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.frame.filling import written
from tierwright.web.frame.reading import page
from tierwright.web.sheet import Words
from tierwright.web.whole import whole
from tierwright.web.work.keeping.forms import STANDING
from tierwright.web.work.syrups.asked import Asked

FIELDS: Final = ("before", "light", "cover", "air")
STEP_MIN: Final = 5
LONGEST_MIN: Final = 480
LIGHTS: Final[tuple[tuple[str, Words], ...]] = (
    ("none", gettext_lazy("indoors, no sun")),
    ("shade", gettext_lazy("shade")),
    ("full", gettext_lazy("full sun")),
)
COVERS: Final[tuple[tuple[str, Words], ...]] = (
    ("none", gettext_lazy("open")),
    ("dome", gettext_lazy("under a dome")),
    ("card_box", gettext_lazy("in its card box")),
    ("lined_box", gettext_lazy("in a lined box")),
    ("foam_box", gettext_lazy("in a foam box")),
)


@require_safe
@member
def move_the_line(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Show the temperature line with its set-up moved, as it is moved."""
    desk = lay_out(door, commission)
    typed = {name: request.GET.get(name, "")[:100] for name in FIELDS}
    context = {"lights": LIGHTS, "covers": COVERS, "step": STEP_MIN} | _answer(desk, typed)
    if request.headers.get("HX-Request") == "true":
        return render(request, "work/keeping/_tried.html", {"desk": desk, "door": door} | context)
    return page(request, desk, "work/keeping/try.html", "keeping", **context)


def _answer(desk: Desk, typed: dict[str, str]) -> dict[str, Any]:
    try:
        plan = plan_of(desk.dossier)
    except TierwrightError as error:
        return {"typed": typed, "wrong": {"before": str(error)}, "tried": None, "most": LONGEST_MIN, "least": STEP_MIN}
    first, last = set_up_span(plan)
    most = min(LONGEST_MIN, _minutes(plan.cutting_at - first) // STEP_MIN * STEP_MIN)
    least = -(-_minutes(plan.cutting_at - last) // STEP_MIN) * STEP_MIN
    planned = min(max(_minutes(plan.cutting_at - plan.venue.begins), least), most)
    asked = Asked(typed)
    air_c = asked.read("air", Kind.TEMPERATURE)
    before = whole(typed["before"])
    before = min(max(planned if before is None else before, least), most)
    light = typed["light"] if typed["light"] in dict(LIGHTS) else plan.venue.light
    cover = typed["cover"] if typed["cover"] in dict(COVERS) else plan.venue.cover_key
    shown: dict[str, Any] = {
        "typed": {"before": before, "light": light, "cover": cover, "air": typed["air"]},
        "wrong": asked.wrong,
        "most": most,
        "least": least,
        "tried": None,
    }
    if asked.wrong:
        return shown
    at = plan.cutting_at - timedelta(minutes=before) if typed["before"] and before != planned else None
    try:
        moved = tried(plan, set_up_at=at, light=light, air_c=air_c, cover=cover)
        return shown | {"tried": _in_words(desk, moved, plan.venue.begins)}
    except (OutOfRange, ValueError) as error:
        return shown | {"wrong": {"air": str(error)}}


def _minutes(span: timedelta) -> int:
    return round(span / timedelta(minutes=1))


def _in_words(desk: Desk, plan: KeepingPlan, planned: datetime) -> dict[str, Any]:
    keeping, display = keep(plan), desk.words.display
    window, set_up = keeping.window, plan.venue.begins
    drawing = plot_line(keeping, cutting=plan.cutting_at, ink=AS_THE_PAGE, prefix="tried", display=display)
    ends = min((one.discard_at for one in keeping.clocks if one.discard_at is not None), default=None)
    return {
        "passes": window.plan_passes,
        "set_up": set_up,
        "before": _minutes(plan.cutting_at - set_up),
        "because": window.because,
        "tier": window.governs,
        "longest": None if window.longest_h is None else max(0, round(60.0 * window.longest_h)),
        "not_before": window.not_before,
        "throw_away_by": ends,
        "soft": printed.soft_rows(keeping, display),
        "drawing": drawing,
        "into_form": _for_form(desk, plan, set_up - planned),
    }


def _for_form(desk: Desk, plan: KeepingPlan, moved: timedelta) -> list[tuple[str, str]]:
    """Return the set-up form filled with what was tried; nothing where it would not be done before the cutting."""
    fields = written(STANDING, desk.raw)
    handover = desk.brief.handover_at + moved
    if handover >= plan.cutting_at:
        return []
    if moved:
        fields["day.handover"] = f"{handover:%H:%M}"
    if plan.venue.light != desk.brief.venue.sun.value:
        fields["venue.sun"] = plan.venue.light
    return [*fields.items(), ("base", str(desk.commission.head)), ("seen", "0")]
