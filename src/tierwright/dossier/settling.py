"""
Figures cut to the digits that every machine agrees on.

Processors, maths libraries and numbers of threads add and multiply in other orders, and the last digits of a long sum
tell which. None of those digits means anything for a cake; left in, one brief would give two dossiers on two machines.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from itertools import chain
from math import copysign
from operator import attrgetter, is_
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
Seen = dict[int, Any]
"""What each record of one answer was settled to, by its identity: the answer holds them all while it is settled."""
Way = Callable[[Any, Seen], Any]


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
        An equal answer but for those digits; the same object where nothing had more. A record that is held in two
        places is one record in both again.

    Examples
    --------
    >>> settled((0.1 + 0.2, -1e-17, 3, "layers"))
    (0.3, 0.0, 3, 'layers')
    """
    way = _WAYS[answer.__class__]
    found: T = answer if way is None else way(answer, {})
    return found


class _Ways(dict[type, Way | None]):
    """How values of a type are settled, or None for those that stay; found out once a type, not once a value."""

    def __missing__(self, kind: type) -> Way | None:
        self[kind] = _way_of(kind)
        return self[kind]


def _way_of(kind: type) -> Way | None:
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
        return _mapping
    if is_dataclass(kind) and not issubclass(kind, BaseModel):
        return _record(kind)
    return None


_WAYS: Final = _Ways()


def _float(value: float, _seen: Seen) -> float:
    if -NOTHING < value < NOTHING:
        # A negative nought becomes a plain one.
        return value if value == 0.0 and copysign(1.0, value) > 0.0 else 0.0
    new = float(f"{value:.{DIGITS}g}")
    return value if new == value else new


def _mapping(value: dict[Any, Any], seen: Seen) -> dict[Any, Any]:
    return {key: item if (way := _WAYS[item.__class__]) is None else way(item, seen) for key, item in value.items()}


def _items(made_of: Callable[[list[Any]], Any]) -> Way:
    def settle(value: Any, seen: Seen) -> Any:
        # Most of what a dossier holds stays as it is: asked for here, that costs no call of a function of our own.
        items = [item if (way := _WAYS[item.__class__]) is None else way(item, seen) for item in value]
        return value if all(map(is_, items, value)) else made_of(items)

    return settle


def _numbers(values: list[float]) -> list[float]:
    """Settle plain floats, many at once without a call of our own for each."""
    cut = list(map(float, map(f"%.{DIGITS}g".__mod__, values)))
    if min(map(abs, cut)) < NOTHING:
        return [0.0 if -NOTHING < value < NOTHING else value for value in cut]
    return cut


class _Remembered:
    """
    Tuples; long ones as they were settled before, found again by being the same object.

    Rooms hand out the same outlines and courses of heat for one brief after another. What a tuple is settled to is kept
    with the tuple itself, so that its identity is nobody else's as long as it is remembered.
    """

    def __init__(self) -> None:
        self._settle = _items(tuple)
        # Not a plain dict: that looks for its first entry past all that were taken out before it.
        self._held: OrderedDict[int, tuple[Any, Any]] = OrderedDict()
        self._lock = Lock()

    def __call__(self, value: tuple[Any, ...], seen: Seen) -> Any:
        """Settle a tuple."""
        if len(value) < LONG:
            return self._settle(value, seen)
        held = self._held.get(id(value))
        if held is not None:
            return held[1]
        settled_to = self._long(value, seen)
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
                self._held.popitem(last=False)
        return settled_to

    def _long(self, value: tuple[Any, ...], seen: Seen) -> Any:
        kinds = set(map(type, value))
        if kinds == {float}:
            return tuple(_numbers(list(value)))
        if kinds == {tuple} and set(map(len, value)) == {2}:
            flat = list(chain.from_iterable(value))
            if set(map(type, flat)) == {float}:
                pairs = iter(_numbers(flat))
                return tuple(zip(pairs, pairs, strict=True))
        return self._settle(value, seen)


def _record(kind: type) -> Way:
    known = fields(kind)
    names = tuple(field.name for field in known if field.init)
    if not names:
        return lambda value, _seen: value
    # Asked for one name twice, it answers with a tuple for one as for many.
    get = attrgetter(names[0], *names)
    # A field that is worked out from the others is worked out again; else nothing is left to check in what is only cut.
    derived = len(names) < len(known)

    def settle(value: Any, seen: Seen) -> Any:
        found = seen.get(id(value))
        if found is not None:
            return found
        was = get(value)[1:]
        now = [item if (way := _WAYS[item.__class__]) is None else way(item, seen) for item in was]
        if all(map(is_, now, was)):
            new = value
        elif derived:
            new = replace(value, **dict(zip(names, now, strict=True)))
        else:
            new = object.__new__(kind)
            for name, item in zip(names, now, strict=True):
                object.__setattr__(new, name, item)
        seen[id(value)] = new
        return new

    return settle
