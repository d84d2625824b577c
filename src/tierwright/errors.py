"""The errors of the house, one small tree.

``TierwrightError``
├── ``BadInput``      a person's file or form, with every problem in it
├── ``OutOfRange``    a quantity outside the span of the source it would be put through
├── ``UnknownName``   a name that no table holds, with the nearest that one does
├── ``MissingData``   a value that a computation needs and nobody has given
└── ``Infeasible``    a wish that no choice can meet

Each keeps its parts, so that a form can say them again in the maker's own units.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from math import isfinite


class TierwrightError(Exception):
    """Anything that the house refuses, with a reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """
    One thing wrong with what a person gave.

    Attributes
    ----------
    place
        Where it stands: a file and a path of keys, or a form field.
    found
        What stands there, shortened if it is long.
    expected
        What may stand there, in words.
    nearest
        The nearest thing that would work, or an empty string.
    """

    place: str
    found: str
    expected: str
    nearest: str = ""

    def __str__(self) -> str:
        text = f"{self.place}: found {self.found}; expected {self.expected}"
        return f"{text}; nearest that would work: {self.nearest}" if self.nearest else text


class BadInput(TierwrightError):
    """A person's input, refused whole, with every problem in it at once."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class OutOfRange(TierwrightError):
    """A quantity outside the span in which the equation it meets is valid."""

    def __init__(self, quantity: str, value: float, low: float, high: float, unit: str, place: str = "") -> None:
        self.quantity = quantity
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit
        self.place = place
        where = f"{place}: " if place else ""
        super().__init__(f"{where}{quantity} is {value:g} {unit}; the span that can be computed is {low:g} to {high:g}")


class UnknownName(TierwrightError):
    """A name that a table does not hold."""

    def __init__(self, kind: str, name: str, known: Sequence[str], place: str = "") -> None:
        self.kind = kind
        self.name = name
        self.nearest = tuple(get_close_matches(name, known, n=3, cutoff=0.5))
        self.place = place
        where = f"{place}: " if place else ""
        hint = f"; nearest: {', '.join(self.nearest)}" if self.nearest else ""
        super().__init__(f"{where}no {kind} is called {name!r}{hint}")


class MissingData(TierwrightError):
    """A value that is needed and was not given."""

    def __init__(self, what: str, needed_for: str, place: str = "") -> None:
        self.what = what
        self.needed_for = needed_for
        self.place = place
        where = f"{place}: " if place else ""
        super().__init__(f"{where}{what} is needed for {needed_for}")


class Infeasible(TierwrightError):
    """A wish that nothing the maker has can meet."""

    def __init__(self, wish: str, reason: str, cheapest_change: str = "") -> None:
        self.wish = wish
        self.reason = reason
        self.cheapest_change = cheapest_change
        change = f" Cheapest change: {cheapest_change}." if cheapest_change else ""
        super().__init__(f"{wish}: {reason}.{change}")


def require_range(quantity: str, value: float, low: float, high: float, unit: str, place: str = "") -> None:
    """Raise ``OutOfRange`` unless ``low <= value <= high`` and ``value`` is a finite number."""
    if not (isfinite(value) and low <= value <= high):
        raise OutOfRange(quantity, value, low, high, unit, place)
