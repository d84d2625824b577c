"""Entries that a tablet or phone made, perhaps without a network: read strictly, answered one by one.

The device gives each entry a key and a place in its own order, and sends again whatever it has no answer to; so an
entry is kept once, the earliest first.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any, Final, Protocol, TypeVar

from django.http import JsonResponse
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _

AHEAD: Final = timedelta(hours=26)
"""How far a tablet's clock may run ahead of ours: a whole day, where its date is set wrong, and some. Chosen by us."""


class Fate(StrEnum):
    """What became of an entry."""

    KEPT = "kept"
    HAD = "had"  # it had arrived before
    MOVED = "moved"  # another entry stands at its place in the order: count anew and send again
    REFUSED = "refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one entry, by the key that the device gave it."""

    key: str
    fate: Fate
    why: str = ""


class Unreadable(Exception):
    """An entry that cannot be kept, with the reason in words."""


class Queued(Protocol):
    """What every entry has: its key, and its place in the order of its device."""

    @property
    def key(self) -> uuid.UUID:
        """The key that the device gave it."""
        ...

    @property
    def device(self) -> str:
        """The device."""
        ...

    @property
    def order(self) -> int:
        """Its place in the device's order."""
        ...


Made = TypeVar("Made", bound=Queued)


def entries_in(body: bytes, most: int) -> list[Any] | None:
    """Return the entries that a request holds, or None where it holds something else or too many."""
    try:
        sent = json.loads(body)
    except (ValueError, RecursionError):
        return None
    entries = sent.get("entries") if isinstance(sent, dict) else None
    return entries if isinstance(entries, list) and len(entries) <= most else None


def too_many(most: int) -> JsonResponse:
    """Answer a request that holds no entries, or too many."""
    return JsonResponse({"error": f"expected entries, at most {most} at once"}, status=400)


def told(outcomes: Iterable[Outcome]) -> list[dict[str, str]]:
    """Return outcomes as a device is told of them."""
    return [{"key": one.key, "fate": one.fate.value, "why": one.why} for one in outcomes]


def read_all(raws: Sequence[Any], read: Callable[[Any], Made]) -> tuple[list[tuple[int, Made]], dict[int, Outcome]]:
    """
    Read what was sent.

    Returns
    -------
    good
        What can be kept, in the order of its device, each with its place among what was sent.
    outcomes
        Refusals of the rest, by their places.
    """
    good: list[tuple[int, Made]] = []
    outcomes: dict[int, Outcome] = {}
    for place, raw in enumerate(raws):
        try:
            good.append((place, read(raw)))
        except Unreadable as error:
            key = raw.get("key") if isinstance(raw, dict) else None
            outcomes[place] = Outcome(key=str(key or "")[:40], fate=Fate.REFUSED, why=str(error))
    good.sort(key=lambda entry: (entry[1].device, entry[1].order))
    return good, outcomes


def fate_before(sent: Queued, *, had: bool, elsewhere: bool, taken: bool) -> Outcome | None:
    """
    Return what becomes of an entry before anything is looked at that it says, or None where it may be kept.

    Parameters
    ----------
    sent
        The entry.
    had, elsewhere
        Whether its key stands here already, or among what is somebody else's.
    taken
        Whether another entry of its device stands at its place in the order.
    """
    key = str(sent.key)
    if had:
        return Outcome(key=key, fate=Fate.HAD)
    if elsewhere:
        # Whose entry has this key is nobody else's business.
        return Outcome(key=key, fate=Fate.REFUSED, why=_("The key of the entry is not known."))
    return Outcome(key=key, fate=Fate.MOVED) if taken else None


def text_of(raw: Mapping[str, Any], name: str, longest: int) -> str:
    """Return a text that has to be there."""
    text = raw.get(name)
    if not isinstance(text, str) or not 0 < len(text) <= longest or "\x00" in text:
        raise Unreadable(_("%(name)s is missing or too long.") % {"name": name})
    return text


def whole_of(value: Any, low: int, high: int, why: str) -> int:
    """Return a whole number within a span, or refuse with a reason."""
    if not isinstance(value, int) or isinstance(value, bool) or not low <= value <= high:
        raise Unreadable(why)
    return value


def order_of(raw: Mapping[str, Any]) -> int:
    """Return an entry's place in the order of its device."""
    return whole_of(raw.get("order"), 1, 2**53 - 1, _("The place in the order is not a whole number."))


def moment_of(text: str, now: datetime, *, unread: str, wrong: str) -> datetime:
    """Return when an entry was made; refuse with ``unread`` what is no moment, with ``wrong`` what cannot have been."""
    at = parse_datetime(text)
    if at is None or timezone.is_naive(at):
        raise Unreadable(unread)
    if at > now + AHEAD or at.year < 2000:
        raise Unreadable(wrong)
    return at
