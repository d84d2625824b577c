"""Pages that turn somebody away, in the language of the kitchen of that address, else of the person's own."""

from __future__ import annotations

import re
from typing import Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import translation

from tierwright.web.access import language_of
from tierwright.web.models import Membership

_KITCHEN: Final = re.compile(r"^/k/(\d{1,9})/")


def language_met(request: HttpRequest) -> str:
    """Return the language to turn somebody away in; of a kitchen that is not theirs they learn nothing by it."""
    found = None
    user = getattr(request, "user", None)
    if user is not None and user.is_authenticated:
        theirs = Membership.objects.filter(user_id=user.pk).select_related("kitchen").order_by("pk")
        asked = _KITCHEN.match(request.path)
        found = (theirs.filter(kitchen_id=int(asked[1])).first() if asked else None) or theirs.first()
    return language_of(found.kitchen) if found is not None else translation.get_language() or "en"


def _turned_away(request: HttpRequest, template: str, status: int) -> HttpResponse:
    with translation.override(language_met(request)):
        return render(request, template, status=status)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Say that nothing is here."""
    return _turned_away(request, "404.html", 404)


def not_for_you(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Say that this is an owner's alone."""
    return _turned_away(request, "403.html", 403)


def form_refused(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Say why a form was not taken, and that nothing typed is lost."""
    with translation.override(language_met(request)):
        return render(request, "people/form_refused.html", {"back": request.path}, status=403)
