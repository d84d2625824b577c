"""Text made lighter for the way: a phone on a slow network waits for every byte of a page."""

from __future__ import annotations

from typing import Final

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

OF_TEXT: Final = ("text/html", "text/css", "text/javascript", "application/javascript", "image/svg+xml")


class LighterMiddleware(GZipMiddleware):
    """
    Send pages, styles and scripts compressed to browsers that take them so.

    Files to take away are compressed already, or fetched by programs at their own pace. Against guessing a secret from
    the length of a page (BREACH) Django pads every answer at random, and masks the token of a form anew in each.
    """

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        """Compress whole answers of text; a part of a file stays as it was asked for."""
        kind = response.headers.get("Content-Type", "").partition(";")[0]
        if kind not in OF_TEXT or response.status_code == 206:
            return response
        return super().process_response(request, response)
