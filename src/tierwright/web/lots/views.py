"""The book of packets: kept as the kitchen's file has them, with the photo of each label."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from typing import Any, Final

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from tierwright.brief import parse_kitchen
from tierwright.errors import BadInput
from tierwright.web.access import Door, member, owner
from tierwright.web.books.kitchen import seal
from tierwright.web.frame.filling import Filled, FilledRows, at, collected, fill_in, laid_out, names_of, put, written
from tierwright.web.lots.forms import PACKET
from tierwright.web.lots.models import LabelPhoto
from tierwright.web.lots.photos import Picture, is_full, keep_picture, read_picture
from tierwright.web.models import Kitchen

PLACE: Final = "kitchen"
PATH: Final = "labelling.packets"
Wrong = dict[str, tuple[str, ...]]


def packets_of(data: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the packets that a kitchen's file holds."""
    return list(at(data, PATH) or [])


@require_safe
@member
def packets(request: HttpRequest, door: Door) -> HttpResponse:
    """List the packets of the kitchen, those in use first."""
    every = enumerate(packets_of(door.kitchen.data), start=1)
    ordered = sorted(every, key=lambda pair: (bool(pair[1].get("used_up")), str(pair[1].get("ingredient", ""))))
    rows = [{"number": number, "packet": one} for number, one in ordered]
    return render(request, "lots/packets.html", {"door": door, "rows": rows})


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def packet(request: HttpRequest, door: Door, packet: int) -> HttpResponse:
    """Show a packet, or an empty form for number 0; keep what is typed once the whole file is sound."""
    stands = _stands(door.kitchen.data, packet)
    before = written(PACKET, stands)
    if request.method != "POST":
        return _page(request, door, packet, before, stands)
    typed = collected(PACKET, {name: str(value) for name, value in request.POST.items()})
    picture, said = _picture(request, door)
    with transaction.atomic():
        row = Kitchen.objects.select_for_update().get(pk=door.kitchen.pk)
        stands = _stands(row.data, packet)
        before = written(PACKET, stands)
        if request.POST.get("seen") != seal(before):
            differ = [
                (label, before.get(name, ""), typed.get(name, ""))
                for name, label in names_of(PACKET, typed)
                if before.get(name, "") != typed.get(name, "")
            ]
            return _page(request, door, packet, typed, stands, differ=differ, status=409)
        filled, place, wrong, beyond = _laid_in(row.data, packet, stands, typed, picture)
        beyond += [said] if said else []
        if wrong or beyond:
            return _page(request, door, packet, typed, stands, wrong=wrong, beyond=beyond, status=422)
        if picture is not None:
            keep_picture(door, picture)
        row.data = filled
        row.save(update_fields=["data"])
        one = packets_of(filled)[place - 1]
        door.note("packet kept", f"{one['ingredient']}, {one['lot']}")
    messages.success(request, _("Kept. Below is what it changes on the labels of the open commissions."))
    return HttpResponseRedirect(reverse("book-changed", kwargs={"kitchen": door.kitchen.pk}))


@require_safe
@member
def photo(request: HttpRequest, door: Door, picture: str) -> HttpResponse:
    """Hand out the photo of a label: as a picture, and as nothing else."""
    found = get_object_or_404(LabelPhoto, kitchen=door.kitchen, name=picture)
    answer = HttpResponse(bytes(found.content), content_type=found.media_type)
    answer["Content-Disposition"] = f'inline; filename="{found.name}"'
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Content-Security-Policy"] = "default-src 'none'; sandbox; frame-ancestors 'none'"
    # A name is made from its content, so that it never means another picture.
    answer["Cache-Control"] = "private, max-age=31536000, immutable"
    return answer


def _stands(data: Mapping[str, Any], number: int) -> dict[str, Any]:
    if number == 0:
        return {}
    found = packets_of(data)
    if number > len(found):
        raise Http404
    return found[number - 1]


def _picture(request: HttpRequest, door: Door) -> tuple[Picture | None, str]:
    sent = request.FILES.get("photo_file")
    if not isinstance(sent, UploadedFile):
        return None, ""
    if is_full(door):
        return None, _("This kitchen has as many photos as it may have.")
    return read_picture(sent)


def _laid_in(
    data: dict[str, Any], number: int, stands: dict[str, Any], typed: Mapping[str, str], picture: Picture | None
) -> tuple[dict[str, Any], int, Wrong, list[str]]:
    """Return the file with the packet in it, the packet's place, and what is wrong with single fields and elsewhere."""
    made = fill_in(PACKET, stands, typed)
    if picture is not None:
        made["photo"] = picture.name
    filled = deepcopy(data)
    every = packets_of(filled)
    if number:
        every[number - 1] = made
    else:
        every.append(made)
    place = number or len(every)
    put(filled, PATH, every)
    wrong: Wrong = {}
    beyond: list[str] = []
    try:
        parse_kitchen(filled, PLACE)
    except BadInput as bad:
        named = {name for name, _label in names_of(PACKET, typed)}
        for problem in bad.problems:
            where = problem.place.removeprefix(f"{PLACE}: ")
            text = _("Found %(found)s; expected %(expected)s.") % {"found": problem.found, "expected": problem.expected}
            if problem.nearest:
                text += " " + _("Nearest that would work: %(nearest)s.") % {"nearest": problem.nearest}
            own = where.removeprefix(f"{PATH}[{place}].")
            field = next((name for name in (own, own.rsplit("[", 1)[0]) if name in named), None)
            if field is None:
                beyond.append(f"{where}: {text}")
            else:
                wrong[field] = (*wrong.get(field, ()), text)
    return filled, place, wrong, beyond


def _page(
    request: HttpRequest,
    door: Door,
    number: int,
    typed: Mapping[str, str],
    stands: Mapping[str, Any],
    *,
    wrong: Mapping[str, tuple[str, ...]] | None = None,
    beyond: list[str] | None = None,
    differ: list[tuple[str, str, str]] | None = None,
    status: int = 200,
) -> HttpResponse:
    fields = laid_out(PACKET, typed, wrong or {})
    cells: list[Filled] = [one for one in fields if not isinstance(one, FilledRows)]
    context = {
        "door": door,
        "number": number,
        "fields": fields,
        "bad": [cell for cell in cells if cell.wrong],
        "beyond": beyond or [],
        "differ": differ,
        "seen": seal(written(PACKET, dict(stands))),
        "photo": stands.get("photo", ""),
    }
    return render(request, "lots/packet.html", context, status=status)
