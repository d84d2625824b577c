"""Pieces of pages that are rendered once: what a version says to one kind of reader does not change."""

from __future__ import annotations

import secrets
import zlib
from collections.abc import Callable, Hashable
from typing import Any, Final

from django.http import HttpRequest
from django.middleware.csrf import get_token
from django.template.loader import render_to_string
from django.urls import get_script_prefix
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from tierwright.web.frame.desk import Desk

TOKEN: Final = secrets.token_hex(32)
"""Stands in a piece where each answer has a token of its own; nobody can guess it and write it into a brief."""


def piece(
    desk: Desk, template: str, beside: tuple[Hashable, ...] = (), context: Callable[[], dict[str, Any]] = dict
) -> SafeString:
    """
    Return a piece of a commission's page, rendered once for each version, kind of reader, language and clock.

    It is rendered without the request, so that nothing of one person can stand in it and be shown to another.

    Parameters
    ----------
    desk
        The version, and who reads it.
    template
        The template, which gets ``desk`` and ``door``.
    beside
        Everything else that the piece shows and that may change.
    context
        Makes what more the template needs; it may depend on the version, the kind of reader and ``beside`` alone.
    """
    clock = str(timezone.get_current_timezone())
    key = (template, desk.reader, get_language(), clock, get_script_prefix(), *beside)

    def make() -> bytes:
        known = {"desk": desk, "door": desk.door, "csrf_token": TOKEN}
        return zlib.compress(render_to_string(template, known | context()).encode(), 1)

    return mark_safe(zlib.decompress(desk.held.pieces.get(key, make)).decode())


def signed(markup: SafeString, request: HttpRequest) -> SafeString:
    """Return a piece with this answer's own token in its forms."""
    return mark_safe(markup.replace(TOKEN, get_token(request))) if TOKEN in markup else markup
