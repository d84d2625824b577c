"""Nothing that is a kitchen's stays behind in a cache, and data are handed out as a file, never as a page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from django.http import HttpRequest, HttpResponse

PRIVATE: Final = "private, no-store"


class PrivateMiddleware:
    """Mark every answer as not to be kept, but for those that say themselves how long they may be."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer a request."""
        answer = self.get_response(request)
        answer.headers.setdefault("Cache-Control", PRIVATE)
        if answer.headers.get("Content-Type", "").startswith("application/json"):
            # Opened by itself it is saved as a file with this name, whatever the address ends in.
            answer.headers.setdefault("Content-Disposition", 'attachment; filename="answer.json"')
        return answer
