"""What goes to the log: where something happened and what kind of thing it was, never what anybody wrote or holds.

A client's address is a key to their page, and the words of an error often repeat the very text that was at fault, which
may be about somebody's health. Neither leaves the house in a log that is copied about.
"""

from __future__ import annotations

import logging
import re
import traceback
from types import TracebackType
from typing import Final

Raised = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]

KEPT_BACK: Final = "[kept back]"
_ADDRESS: Final = re.compile(r"(/client/)[^/\s\"']{20,}")
_LONG_TOKEN: Final = re.compile(r"(?<![\w-])[\w-]{43}(?![\w-])")
"""32 random bytes in the alphabet of RFC 4648, section 5: a link's or a program's token, wherever it stands."""


def discreet(text: str) -> str:
    """Return a line without addresses of clients' pages and without tokens."""
    return _LONG_TOKEN.sub(KEPT_BACK, _ADDRESS.sub(rf"\1{KEPT_BACK}", text))


class DiscreetFormatter(logging.Formatter):
    """Writes a traceback as files, lines and kinds of error, without their words."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the lines of a record."""
        # Another handler may have left the whole traceback with the record.
        record.exc_text = None
        lines = discreet(super().format(record))
        record.exc_text = None
        return lines

    def formatException(self, ei: Raised) -> str:  # noqa: N802 (the base class's name)
        """Return where an error was raised and of which kind it and its causes are."""
        error: BaseException | None = ei[1]
        parts: list[str] = []
        while error is not None:
            kind = f"{type(error).__module__}.{type(error).__qualname__}: {KEPT_BACK}"
            parts.append("".join(traceback.format_tb(error.__traceback__)) + kind)
            error = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
        return "\nwhile handling\n".join(parts)
