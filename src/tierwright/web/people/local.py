"""On one machine for one maker no sign-in is asked until the maker turns it on."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from django.conf import settings
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse

from tierwright.web.asked import Columns, rows
from tierwright.web.env import is_loopback

MAKER: Final = "maker"
USER: Final = Columns(User)


def the_maker() -> User | None:
    """Return the first person, whose machine this is."""
    found = rows(f"SELECT {USER.listed} FROM {USER.table} ORDER BY id LIMIT 1")
    return USER.made(found[0]) if found else None


def sign_in_is_on() -> bool:
    """Say whether the maker has set a password, and with it asked for sign-in."""
    maker = the_maker()
    return maker is not None and maker.has_usable_password()


def ensure_maker() -> User:
    """Return the maker, made on the first start without a password."""
    maker = the_maker()
    if maker is None:
        maker = User(username=MAKER)
        maker.set_unusable_password()
        maker.save()
    return maker


def comes_from_this_machine(request: HttpRequest) -> bool:
    """
    Say whether a request was made on this machine.

    A proxy on this machine passes on requests from elsewhere: where the pages are reached under any other name, or a
    proxy says that it passed something on, nothing is taken to be local.
    """
    passed_on = any(name in request.META for name in ("HTTP_X_FORWARDED_FOR", "HTTP_FORWARDED", "HTTP_X_REAL_IP"))
    return settings.LOOPBACK_ONLY and not passed_on and is_loopback(request.META.get("REMOTE_ADDR", ""))


class LocalMakerMiddleware:
    """Take a request from this machine for the maker's, while sign-in is off."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer a request."""
        if not request.user.is_authenticated and comes_from_this_machine(request):
            maker = the_maker()
            if maker is not None and not maker.has_usable_password():
                request.user = maker
        return self.get_response(request)
