"""The page of tokens, and the description of the API as a page."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from tierwright.web.access import Door, anybody, owner
from tierwright.web.api.service import api
from tierwright.web.api.tokens import make_token
from tierwright.web.models import ApiToken


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def tokens(request: HttpRequest, door: Door) -> HttpResponse:
    """List the kitchen's tokens; make one."""
    fresh = name = wrong = ""
    if request.method == "POST":
        name = request.POST.get("name", "").strip()
        if not name or len(name) > 100:
            wrong = _("Say which program it is for, in at most 100 characters.")
        else:
            token, fresh = make_token(door, name)
            door.note("token made", token.name)
            name = ""
    found = ApiToken.objects.filter(kitchen=door.kitchen).select_related("user")
    context = {"door": door, "tokens": found, "fresh": fresh, "name": name, "wrong": wrong, "now": timezone.now()}
    answer = render(request, "api/tokens.html", context, status=422 if wrong else 200)
    # The token is shown once: only its digest is kept.
    answer["Cache-Control"] = "no-store"
    return answer


@require_POST
@owner
def withdraw(request: HttpRequest, door: Door, token: int) -> HttpResponse:
    """Withdraw a token: it lets nobody in from now on."""
    found = get_object_or_404(ApiToken, kitchen=door.kitchen, pk=token)
    if found.withdrawn_at is None:
        found.withdrawn_at = timezone.now()
        found.save(update_fields=["withdrawn_at"])
        door.note("token withdrawn", found.name)
    messages.success(request, _("The token is withdrawn."))
    return HttpResponseRedirect(reverse("api-tokens", kwargs={"kitchen": door.kitchen.pk}))


@require_safe
@anybody
def described(request: HttpRequest) -> HttpResponse:
    """Show what the API offers, from its own description."""
    schema: dict[str, Any] = api.get_openapi_schema()
    operations = [
        {
            "method": method.upper(),
            "path": path,
            "summary": one.get("summary", ""),
            "words": one.get("description", ""),
            "given": [(p["name"], p["in"], p.get("required", False)) for p in one.get("parameters", [])],
            "answers": sorted(str(code) for code in one.get("responses", {})),
        }
        for path, methods in schema["paths"].items()
        for method, one in methods.items()
    ]
    return render(request, "api/described.html", {"operations": operations, "info": schema["info"]})
