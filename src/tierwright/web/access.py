"""The one way to a kitchen's data: every view says whom it lets in, and every query starts from a membership."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from functools import wraps
from typing import Any, Concatenate, Final, ParamSpec, cast
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone, translation

from tierwright.web.asked import Columns, rows
from tierwright.web.models import Audit, Commission, Kitchen, Membership, Version

P = ParamSpec("P")
MEMBERSHIP: Final = Columns(Membership)
KITCHEN: Final = Columns(Kitchen)
PLACE: Final = (
    f"SELECT {MEMBERSHIP.listed}, {KITCHEN.listed} FROM {MEMBERSHIP.table} "
    f"JOIN {KITCHEN.table} ON {KITCHEN.table}.id = {MEMBERSHIP.table}.kitchen_id "
    f"WHERE {MEMBERSHIP.table}.user_id = %s AND {MEMBERSHIP.table}.kitchen_id = %s"
)


class Admits(StrEnum):
    """Whom a view lets in."""

    ANYBODY = "anybody"
    MEMBER = "member"
    OWNER = "owner"


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """
    A person in a kitchen: what a view gets instead of bare keys.

    Attributes
    ----------
    membership
        The person's role, with the kitchen.
    user
        The person.
    """

    membership: Membership
    user: User

    @property
    def kitchen(self) -> Kitchen:
        """The kitchen that this door leads to."""
        return self.membership.kitchen

    def commission(self, key: int) -> Commission:
        """Return one of this kitchen's commissions, or answer 404."""
        return get_object_or_404(Commission, kitchen=self.kitchen, pk=key)

    def version(self, commission: Commission, number: int | None = None, *, light: bool = False) -> Version:
        """
        Return a version of one of this kitchen's commissions, the latest unless a number is given, or answer 404.

        A ``light`` one comes without its dossier, which is large, and is fetched by itself if it is asked for.
        """
        if commission.kitchen_id != self.kitchen.pk:
            raise Http404
        found = Version.objects.defer("dossier") if light else Version.objects.all()
        return get_object_or_404(found, commission=commission, number=commission.head if number is None else number)

    def note(self, deed: str, words: str = "", commission: Commission | None = None) -> None:
        """Write down that this person did something."""
        Audit.objects.create(kitchen=self.kitchen, user=self.user, deed=deed, words=words[:400], commission=commission)


View = Callable[P, HttpResponseBase]
KitchenView = Callable[Concatenate[HttpRequest, Door, P], HttpResponseBase]


def language_of(kitchen: Kitchen) -> str:
    """Return the language of a kitchen's pages; English is British where the kitchen says so."""
    if kitchen.language == "en" and kitchen.data.get("units", {}).get("english") == "uk":
        return "en-gb"
    return kitchen.language


def zone_of(kitchen: Kitchen) -> ZoneInfo:
    """Return the time zone of a kitchen's own clock."""
    return ZoneInfo(str(kitchen.data.get("timezone") or "UTC"))


def place_in(kitchen: int, user: User) -> Membership | None:
    """Return a person's place in a kitchen, with the kitchen; None where they have none."""
    found = rows(PLACE, user.pk, kitchen)
    if not found:
        return None
    membership = MEMBERSHIP.made(found[0][: len(MEMBERSHIP)])
    membership.kitchen = KITCHEN.made(found[0][len(MEMBERSHIP) :])
    return membership


def _guard(view: KitchenView[P], admits: Admits) -> Callable[..., HttpResponseBase]:
    @wraps(view)
    def guarded(request: HttpRequest, kitchen: int, **rest: Any) -> HttpResponseBase:
        user = request.user
        if not isinstance(user, User):
            return _to_sign_in(request)
        membership = place_in(kitchen, user)
        if membership is None:
            # Whether such a kitchen exists is nobody else's business.
            raise Http404
        if admits is Admits.OWNER and not membership.owns:
            raise PermissionDenied
        door = Door(membership=membership, user=user)
        with translation.override(language_of(door.kitchen)), timezone.override(zone_of(door.kitchen)):
            return cast(Callable[..., HttpResponseBase], view)(request, door, **rest)

    guarded.admits = admits  # type: ignore[attr-defined]
    return guarded


def _to_sign_in(request: HttpRequest) -> HttpResponseBase:
    if request.headers.get("HX-Request") == "true":
        # htmx follows a redirect silently and would paste the sign-in page into the form.
        answer = HttpResponse(status=401)
        answer["HX-Redirect"] = f"{reverse('sign-in')}?next={request.path}"
        return answer
    # A form that was sent is shown again after sign-in by its address; its draft holds what was typed.
    return redirect_to_login(request.get_full_path() if request.method == "GET" else request.path)


def member(view: KitchenView[P]) -> Callable[..., HttpResponseBase]:
    """Let in anybody of the kitchen in the address."""
    return _guard(view, Admits.MEMBER)


def owner(view: KitchenView[P]) -> Callable[..., HttpResponseBase]:
    """Let in owners of the kitchen in the address."""
    return _guard(view, Admits.OWNER)


def anybody(view: Callable[Concatenate[HttpRequest, P], HttpResponseBase]) -> Callable[..., HttpResponseBase]:
    """Let in anybody at all; the view itself must hold nothing that is a kitchen's."""
    view.admits = Admits.ANYBODY  # type: ignore[attr-defined]
    return view
