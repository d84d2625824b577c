"""A disk that is full, or may not be written, is said in words; whatever was acknowledged before stands."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Final

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

log = logging.getLogger(__name__)

FULL: Final = ("database or disk is full", "no space left", "could not extend file", "disk full")
SHUT: Final = ("readonly database", "read-only transaction", "unable to open database file", "disk i/o error")
INSUFFICIENT_STORAGE: Final = 507
"""RFC 4918, section 11.5."""


def trouble_with_disk(error: BaseException) -> str:
    """Return ``full`` or ``shut`` for a database error that comes from the disk, or an empty string."""
    if not isinstance(error, DatabaseError):
        return ""
    words = str(error).casefold()
    if any(part in words for part in FULL):
        return "full"
    return "shut" if any(part in words for part in SHUT) else ""


class DiskMiddleware:
    """Answer with a page that says what is wrong with the disk, instead of one that says that something is."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer a request."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """Answer in place of a view that could not write."""
        trouble = trouble_with_disk(exception)
        if not trouble:
            return None
        log.error("the records could not be written: %s", exception)
        return render(request, "507.html", {"trouble": trouble}, status=INSUFFICIENT_STORAGE)
