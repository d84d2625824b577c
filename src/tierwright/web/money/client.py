"""The quotation on the client's page: the exact version, read, accepted once, and handed out as a paper."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from tierwright.errors import BadInput
from tierwright.sheets.papers import quotation_page
from tierwright.web.access import anybody, language_of, zone_of
from tierwright.web.frame.desk import dossier_of, draw
from tierwright.web.models import Audit, ClientLink
from tierwright.web.money.offers import Answer, Standing, Stood, accept_offer, accepted_of, locale_of, offers_of
from tierwright.web.prints.views import hand_out_at_once
from tierwright.web.shared.links import link_of
from tierwright.web.shared.views import sealed
from tierwright.web.whole import whole

LONGEST_NAME = 200


def _opened(token: str) -> tuple[ClientLink, list[Stood]]:
    link = link_of(token)
    if link is None:
        raise Http404
    stood = offers_of(link.commission)
    if not stood:
        raise Http404
    return link, stood


@require_safe
@never_cache
@anybody
def offer(request: HttpRequest, token: str) -> HttpResponse:
    """Show the client the version of the quotation that stands."""
    return _offer(request, token)


def _offer(
    request: HttpRequest, token: str, status: int = 200, name: str = "", wrong: str = "", said: str = ""
) -> HttpResponse:
    link, stood = _opened(token)
    kitchen = link.commission.kitchen
    newest = stood[0]
    with translation.override(language_of(kitchen)), timezone.override(zone_of(kitchen)):
        quotation = accepted_of(newest.offer)
        version = newest.offer.version
        earlier = next((one for one in stood[1:] if one.standing is Standing.ACCEPTED), None)
        context: dict[str, Any] = {
            "token": token,
            "offer": newest.offer,
            "paper": quotation_page(quotation, None, locale_of(kitchen)).data,
            "standing": newest.standing.value,
            "accepted": newest.accepted,
            "earlier": earlier,
            "kitchen_name": quotation.maker,
            "drawing": draw(dossier_of(version)),
            "name": name,
            "wrong": wrong,
            "said": said,
        }
        return sealed(render(request, "money/offer.html", context, status=status))


@require_POST
@never_cache
@anybody
def accept(request: HttpRequest, token: str) -> HttpResponse:
    """Accept the version that the client has just read; a second time changes nothing."""
    link, _stood = _opened(token)
    kitchen = link.commission.kitchen
    name = " ".join(request.POST.get("name", "").split())
    turn = request.POST.get("turn", "")
    mark = request.POST.get("mark", "")[:12]
    with translation.override(language_of(kitchen)), timezone.override(zone_of(kitchen)):
        if not name or len(name) > LONGEST_NAME or request.POST.get("read") != "yes":
            wrong = (
                _("Write your name, in at most 200 letters.") if not name or len(name) > LONGEST_NAME
                else _("Tick that you have read it.")
            )  # fmt: skip
            return _offer(request, token, 422, name[:LONGEST_NAME], wrong)
        read_turn = whole(turn) or 0
        try:
            answer = accept_offer(link.commission, link, read_turn, mark, name)
        except BadInput:
            return _offer(request, token, 422, name, _("This offer can no longer be accepted."))
        if answer is Answer.CHANGED:
            said = _("The offer has changed since you opened it. Nothing has been accepted: please read it again.")
            return _offer(request, token, 409, name, said=said)
        if answer is Answer.CLOSED:
            said = _("This offer can no longer be accepted. Please ask for a new one.")
            return _offer(request, token, 409, name, said=said)
        if answer is Answer.TAKEN:
            said = _("This offer has been accepted already, as you see below. There is nothing more to do.")
            return _offer(request, token, 409, said=said)
        if answer is Answer.ACCEPTED:
            Audit.objects.create(
                kitchen=kitchen, commission=link.commission, deed="offer accepted",
                words=f"{_stood[0].offer}, mark {mark}, by {name}"[:400],
            )  # fmt: skip
        messages.success(request, _("Thank you. It is accepted; nothing more is needed."))
    return sealed(HttpResponseRedirect(reverse("shared-offer", kwargs={"token": token})))


@require_safe
@never_cache
@anybody
def paper(request: HttpRequest, token: str) -> HttpResponse:
    """Hand out the version that stands as a PDF."""
    link, stood = _opened(token)
    return sealed(hand_out_at_once(link.commission.kitchen, "money.offer", {"offer": stood[0].offer.pk}))
