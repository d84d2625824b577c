"""The book of clients; what touches their health is marked, shown only where allowed, and erased for good."""

from __future__ import annotations

from typing import Any, Final

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from tierwright.web.access import Door, owner
from tierwright.web.books import drafts
from tierwright.web.keepsafe.erasing import erase_person
from tierwright.web.models import Client
from tierwright.web.whole import whole

LONGEST: Final = {"name": 400, "contact": 4000, "health": 4000, "note": 4000}
ROWS: Final = 200


def _back(door: Door) -> HttpResponseRedirect:
    return HttpResponseRedirect(reverse("book-clients", kwargs={"kitchen": door.kitchen.pk}))


@require_safe
@owner
def clients(request: HttpRequest, door: Door) -> HttpResponse:
    """List the kitchen's clients."""
    found = Client.objects.filter(kitchen=door.kitchen, put_away_at=None)[:ROWS]
    return render(request, "books/clients.html", {"door": door, "clients": found})


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def client(request: HttpRequest, door: Door, client: int) -> HttpResponse:
    """Show a client, or an empty form for key 0; keep what is typed."""
    row = get_object_or_404(Client, kitchen=door.kitchen, pk=client) if client else Client(kitchen=door.kitchen)
    typed: dict[str, str] = {name: getattr(row, name) for name in LONGEST}
    wrong: dict[str, Any] = {}
    draft, do = f"client/{row.pk or 0}", request.POST.get("do", "keep")
    left = drafts.held(door, draft) if request.method != "POST" else None
    typed |= left or {}
    if request.method == "POST" and do == "drop":
        drafts.let_go(door, draft)
        messages.success(request, _("Dropped. The book stands as it was."))
        return _back(door)
    if request.method == "POST":
        typed = {name: request.POST.get(name, "").replace("\r\n", "\n").strip() for name in LONGEST}
        drafts.hold(door, draft, typed)
        for name, most in LONGEST.items():
            if len(typed[name]) > most:
                wrong[name] = _("At most %(most)d characters.") % {"most": most}
        if not typed["name"]:
            wrong["name"] = _("A client needs a name.")
        if do == "hold":
            return drafts.answer(request, list(wrong.values()))
        if not wrong:
            for name, text in typed.items():
                setattr(row, name, text)
            if typed["health"]:
                row.health_erased_at = None
            row.save()
            drafts.let_go(door, draft)
            # The record says who and when, never what.
            door.note("client kept", f"client {row.pk}")
            messages.success(request, _("Kept."))
            return _back(door)
    of = row.commissions.order_by("-cutting_at").only("title", "cutting_at")[:50] if row.pk else ()
    context = {"door": door, "row": row, "typed": typed, "wrong": wrong, "commissions": of, "resumed": left is not None}
    return render(request, "books/client.html", context, status=422 if wrong else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def client_of(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Say which client of the book a commission is for; write one down from the brief where it is a new one."""
    found = door.commission(commission)
    if request.method != "POST":
        known = Client.objects.filter(kitchen=door.kitchen, put_away_at=None).only("name")[:ROWS]
        return render(request, "books/client_of.html", {"door": door, "row": found, "clients": known})
    chosen = request.POST.get("client", "")
    back = reverse("whole", kwargs={"kitchen": door.kitchen.pk, "commission": found.pk})
    if chosen == "new":
        name = str(door.version(found).brief.get("client") or found.title)
        found.client = Client.objects.create(kitchen=door.kitchen, name=name[: LONGEST["name"]])
        back = reverse("book-client", kwargs={"kitchen": door.kitchen.pk, "client": found.client.pk})
    elif whole(chosen, 11) is not None:
        found.client = get_object_or_404(Client, kitchen=door.kitchen, pk=chosen)
    else:
        found.client = None
    found.save(update_fields=["client"])
    door.note("client set", f"client {found.client_id or '-'}", found)
    messages.success(request, _("Kept."))
    return HttpResponseRedirect(back)


@require_POST
@owner
def erase(request: HttpRequest, door: Door, client: int) -> HttpResponse:
    """Erase a client's health data for good, or put a client away, or bring one back."""
    row = get_object_or_404(Client, kitchen=door.kitchen, pk=client)
    if request.POST.get("do") == "health":
        row.health, row.health_erased_at = "", timezone.now()
        drafts.let_go(door, f"client/{row.pk}", of_everybody=True)
        door.note("health data erased", f"client {row.pk}")
        messages.success(request, _("The health data are erased. Versions already kept hold what their brief said."))
    elif row.put_away_at is not None:
        row.put_away_at = None
        door.note("client brought back", f"client {row.pk}")
    else:
        row.put_away_at = timezone.now()
        door.note("client put away", f"client {row.pk}")
        again = reverse("book-erase", kwargs={"kitchen": door.kitchen.pk, "client": row.pk})
        messages.success(request, _("The client is put away."), extra_tags=f"undo {again}")
    row.save()
    return _back(door)


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def erase_everywhere(request: HttpRequest, door: Door, client: int) -> HttpResponse:
    """Say what goes and what stays when a person is erased; erase them once that has been ticked."""
    row = get_object_or_404(Client, kitchen=door.kitchen, pk=client)
    ticked = request.POST.get("understood") == "yes"
    if request.method == "POST" and ticked:
        with transaction.atomic():
            count = erase_person(row)
            drafts.let_go(door, f"client/{row.pk}", of_everybody=True)
            # The record says that it was done, and to which row; who it was is gone.
            door.note("erased everywhere", f"client {row.pk}, {count}")
        messages.success(request, _("The person is erased, also from every commission of theirs."))
        return _back(door)
    context = {
        "door": door, "row": row, "unticked": request.method == "POST",
        "commissions": row.commissions.order_by("-cutting_at").only("title", "cutting_at"),
    }  # fmt: skip
    return render(request, "books/erase_everywhere.html", context, status=422 if request.method == "POST" else 200)
