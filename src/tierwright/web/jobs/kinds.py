"""The kinds of long work that there are; each app of the web room hangs up its own when it is ready."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

    from tierwright.web.jobs.running import Work

Run = Callable[["Work"], dict[str, Any]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """
    One kind of long work.

    Attributes
    ----------
    key
        Its stable name.
    words
        What a person reads while it is under way, such as "Planning the week".
    run
        Does it: gets the work as it was asked, returns plain JSON. It may be run again after a worker was lost, so it
        writes nothing that a second run would double.
    owner_only
        Whether helpers may neither see nor stop it.
    keeps_best
        Whether work that is stopped hands back the best it has by then, rather than nothing.
    """

    key: str
    words: str | _StrPromise
    run: Run
    owner_only: bool = False
    keeps_best: bool = True


_KINDS: dict[str, Kind] = {}


def hang_up(kind: Kind) -> None:
    """Make a kind known; the same key again replaces it."""
    _KINDS[kind.key] = kind


def kind_of(key: str) -> Kind:
    """Return a kind by its key; KeyError for one that this program does not know."""
    return _KINDS[key]
