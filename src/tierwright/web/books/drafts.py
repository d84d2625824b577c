"""What was typed into a form of the books and not kept: it is there again after a reload or an ended session."""

from __future__ import annotations

from collections.abc import Mapping

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from tierwright.web.access import Door
from tierwright.web.frame.change import draft_of
from tierwright.web.models import Draft


def _name(part: str) -> str:
    return f"book/{part}"


def held(door: Door, part: str) -> dict[str, str] | None:
    """Return what this person has typed into a form of the books and not kept, or None."""
    draft = draft_of(door, None, _name(part))
    return None if draft is None else dict(draft.typed)


def hold(door: Door, part: str, typed: Mapping[str, str]) -> None:
    """Keep what was typed safe; what this person typed last is what counts."""
    Draft.objects.update_or_create(
        kitchen=door.kitchen, commission=None, user=door.user, part=_name(part), defaults={"typed": dict(typed)}
    )


def let_go(door: Door, part: str, *, of_everybody: bool = False) -> None:
    """Forget what was typed: it has been kept, or dropped, or must not stay."""
    found = Draft.objects.filter(kitchen=door.kitchen, commission=None, part=_name(part))
    (found if of_everybody else found.filter(user=door.user)).delete()


def answer(request: HttpRequest, wrong: list[str]) -> HttpResponse:
    """Say, while somebody types, that it is safe, and what could not stand as it is."""
    return render(request, "books/_held.html", {"wrong": wrong})


def unkept(door: Door) -> list[Draft]:
    """Return every form of the books in which this person has something unkept, the latest first."""
    found = Draft.objects.filter(kitchen=door.kitchen, commission=None, user=door.user, part__startswith="book/")
    return list(found.only("part", "changed_at").order_by("-changed_at"))
