"""The turning view, its data, and the picture."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from tierwright.dossier.finish_stage import decor_words
from tierwright.drawings.fineness import FOR_A_BROWSER, FOR_SOFTWARE
from tierwright.drawings.picture import Wanted, is_installed
from tierwright.drawings.scene import look, scene_for_browser
from tierwright.errors import MissingData
from tierwright.finish import Look
from tierwright.web.access import Door, anybody, member, owner
from tierwright.web.frame.desk import Desk, dossier_of, lay_out, lay_out_for_reading
from tierwright.web.frame.reading import page
from tierwright.web.jobs.kinds import kind_of
from tierwright.web.jobs.models import Job, State
from tierwright.web.jobs.running import begin
from tierwright.web.jobs.running import look as look_at
from tierwright.web.look.making import KIND, mark_for, picture_for
from tierwright.web.look.models import LookPicture
from tierwright.web.models import Version
from tierwright.web.shared.links import link_of
from tierwright.web.shared.views import sealed


def _seen(desk: Desk) -> Look | None:
    try:
        return look(desk.dossier)
    except MissingData:
        return None


def _said(desk: Desk, seen: Look) -> str:
    """Say in words what the view shows: tiers with their measures, and everything that they wear."""
    display = desk.words.display
    count = len(seen.surfaces)
    tiers = "; ".join(
        _("%(name)s: %(shape)s, %(wide)s wide, top at %(top)s")
        % {
            "name": surface.name,
            "shape": surface.foot.outline.shape.value,
            "wide": display.show_length(2 * surface.foot.reach_mm),
            "top": display.show_length(surface.top_mm - seen.floor_mm),
        }
        for surface in seen.surfaces
    )
    whole = ngettext("%(count)s tier, from the table up.", "%(count)s tiers, from the table up.", count)
    worn = decor_words(desk.brief.decor)
    wears = " " + _("It wears %(what)s.") % {"what": ", ".join(worn)} if worn else ""
    return f"{whole % {'count': count}} {tiers[:1].upper()}{tiers[1:]}.{wears}"


def _key(desk: Desk, mark: str) -> str:
    return f"{desk.commission.pk}:{mark}"


@require_safe
@member
def turned(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Show the cake to be turned, and its picture."""
    desk = lay_out_for_reading(door, commission, request)
    seen = _seen(desk)
    picture = picture_for(desk.commission, desk.dossier)
    job = None
    if seen is not None:
        job = Job.objects.filter(kitchen=door.kitchen, kind=KIND, key=_key(desk, mark_for(desk.dossier))).first()
    job = look_at(job) if job is not None else None
    return page(
        request, desk, "look/turned.html",
        seen=seen, said=_said(desk, seen) if seen else "", picture=picture,
        job=job if job is not None and (not job.ended or job.state == State.FAILED) else None, kind=kind_of(KIND),
        installed=is_installed(), grainy=picture is not None and picture.samples < Wanted().samples,
    )  # fmt: skip


@require_safe
@member
def turned_scene(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Hand out the cake as the turning view reads it."""
    desk = lay_out_for_reading(door, commission, request)
    seen = _seen(desk)
    if seen is None:
        raise Http404
    fineness = FOR_SOFTWARE if request.GET.get("sparing") else FOR_A_BROWSER
    return JsonResponse(scene_for_browser(seen, fineness), json_dumps_params={"separators": (",", ":")})


@require_safe
@member
def turned_picture(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Hand out the picture of a version."""
    desk = lay_out_for_reading(door, commission, request)
    return _bytes_of(picture_for(desk.commission, desk.dossier))


def _bytes_of(picture: LookPicture | None) -> HttpResponse:
    if picture is None:
        raise Http404
    answer = HttpResponse(bytes(picture.jpeg), content_type="image/jpeg")
    answer["Content-Disposition"] = 'inline; filename="cake.jpg"'
    answer["Cache-Control"] = "private, no-cache"
    return answer


@require_POST
@owner
def turned_make(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Begin to make the picture of the latest version."""
    desk = lay_out(door, commission)
    mark = mark_for(desk.dossier)
    if mark and is_installed():
        asked: dict[str, Any] = {"commission": desk.commission.pk, "version": desk.version.number}
        begin(door.kitchen, KIND, asked, key=_key(desk, mark), user=door.user, again=True)
        door.note("picture begun", desk.commission.title, desk.commission)
    return HttpResponseRedirect(desk.url("turned"))


@require_safe
@never_cache
@anybody
def shared_picture(request: HttpRequest, token: str) -> HttpResponse:
    """Show the client the picture of the version that their link opens."""
    link = link_of(token)
    if link is None:
        raise Http404
    commission = link.commission
    number = commission.quoted or commission.head
    version = Version.objects.filter(commission=commission, number=number).first()
    picture = None if version is None else picture_for(commission, dossier_of(version))
    return sealed(_bytes_of(picture))
