"""
Figures cut to the digits that every machine agrees on.

Processors, maths libraries and numbers of threads add and multiply in other orders, and the last digits of a long sum
tell which. None of those digits means anything for a cake; left in, one brief would give two dossiers on two machines.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from functools import cache
from math import copysign
from operator import is_
from threading import Lock
from typing import Any, Final, TypeVar

from pydantic import BaseModel

DIGITS: Final = 9
"""Significant digits that a dossier keeps; machines were seen to differ from the thirteenth on. [-]"""
NOTHING: Final = 1e-12
"""Below this a figure, in whatever unit, is what is left of a difference that should have been nought. [-]"""

LONG: Final = 8
"""Items from which on a tuple is worth remembering. [-]"""
MOST: Final = 6000
"""Tuples that are remembered; a dossier has some seven hundred, most of them the one before had, too. [-]"""

T = TypeVar("T")


def settled(answer: T) -> T:
    """
    Cut every float in an answer to nine significant digits.

    Parameters
    ----------
    answer
        Dataclasses, tuples, lists and mappings of plain values. What a person filled in (a pydantic model), money and
        instants are exact and stay as they are.

    Returns
    -------
    settled
        An equal answer but for those digits; the same object where nothing had more.

    Examples
    --------
    >>> settled((0.1 + 0.2, -1e-17, 3, "layers"))
    (0.3, 0.0, 3, 'layers')
    """
    found: T = _settled(answer)
    return found


def _settled(value: Any) -> Any:
    way = _way_of(value.__class__)
    return value if way is None else way(value)


@cache
def _way_of(kind: type) -> Callable[[Any], Any] | None:
    """Return how values of a type are settled, or None for those that stay; asked once a type, not once a value."""
    if issubclass(kind, float):
        return _float
    if issubclass(kind, tuple) and hasattr(kind, "_fields"):
        # A named tuple takes its items one by one.
        return _items(lambda items: kind(*items))
    if kind is tuple:
        return _Remembered()
    if issubclass(kind, tuple | list):
        return _items(kind)
    if issubclass(kind, dict):
        return lambda value: {key: _settled(item) for key, item in value.items()}
    if is_dataclass(kind) and not issubclass(kind, BaseModel):
        return _record(tuple(field.name for field in fields(kind) if field.init))
    return None


def _float(value: float) -> float:
    if -NOTHING < value < NOTHING:
        # A negative nought becomes a plain one.
        return value if value == 0.0 and copysign(1.0, value) > 0.0 else 0.0
    new = float(f"{value:.{DIGITS}g}")
    return value if new == value else new


def _items(made_of: Callable[[list[Any]], Any]) -> Callable[[Any], Any]:
    def settle(value: Any) -> Any:
        # Most of what a dossier holds stays as it is: asked for here, that costs no call of a function of our own.
        items = [item if (way := _way_of(item.__class__)) is None else way(item) for item in value]
        return value if all(map(is_, items, value)) else made_of(items)

    return settle


class _Remembered:
    """
    Long tuples as they were settled, found again by being the same object.

    Rooms hand out the same outlines and courses of heat for one brief after another. What a tuple is settled to is kept
    with the tuple itself, so that its identity is nobody else's as long as it is remembered.
    """

    def __init__(self) -> None:
        self._settle = _items(tuple)
        self._held: dict[int, tuple[Any, Any]] = {}
        self._lock = Lock()

    def __call__(self, value: tuple[Any, ...]) -> Any:
        """Settle a tuple."""
        if len(value) < LONG:
            return self._settle(value)
        held = self._held.get(id(value))
        if held is not None:
            return held[1]
        settled_to = self._settle(value)
        try:
            hash(value)
        except TypeError:
            # Something in it can be changed in its place: it may say something else the next time.
            return settled_to
        with self._lock:
            # What it was settled to stays as it is, whoever brings it again.
            for one in (value, settled_to):
                self._held[id(one)] = (one, settled_to)
            while len(self._held) > MOST:
                del self._held[next(iter(self._held))]
        return settled_to


def _record(names: tuple[str, ...]) -> Callable[[Any], Any]:
    def settle(value: Any) -> Any:
        changed = {}
        for name in names:
            old = getattr(value, name)
            way = _way_of(old.__class__)
            if way is not None and (new := way(old)) is not old:
                changed[name] = new
        return replace(value, **changed) if changed else value

    return settle
