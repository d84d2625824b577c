"""
Figures cut to the digits that every machine agrees on.

Processors, maths libraries and numbers of threads add and multiply in other orders, and the last digits of a long sum
tell which. None of those digits means anything for a cake; left in, one brief would give two dossiers on two machines.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any, Final, TypeVar

from pydantic import BaseModel

DIGITS: Final = 9
"""Significant digits that a dossier keeps; machines were seen to differ from the thirteenth on. [-]"""
NOTHING: Final = 1e-12
"""Below this a figure, in whatever unit, is what is left of a difference that should have been nought. [-]"""

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


@cache
def _names(kind: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind) if field.init)


def _settled(value: Any) -> Any:
    if isinstance(value, float):
        # Adding nought turns a negative nought into a plain one.
        return 0.0 if abs(value) < NOTHING else float(f"{value:.{DIGITS}g}") + 0.0
    if isinstance(value, tuple | list):
        items = [_settled(item) for item in value]
        if all(new is old or _same(new, old) for new, old in zip(items, value, strict=True)):
            return value
        # A named tuple takes its items one by one.
        return type(value)(*items) if hasattr(value, "_fields") else type(value)(items)
    if isinstance(value, dict):
        return {key: _settled(item) for key, item in value.items()}
    if is_dataclass(value) and not isinstance(value, type | BaseModel):
        old = {name: getattr(value, name) for name in _names(type(value))}
        new = {name: _settled(item) for name, item in old.items()}
        changed = {name: item for name, item in new.items() if item is not old[name] and not _same(item, old[name])}
        return replace(value, **changed) if changed else value
    return value


def _same(new: Any, old: Any) -> bool:
    """Whether a float came out as it went in; a negative nought does not."""
    return isinstance(new, float) and new == old and str(new) == str(old)
