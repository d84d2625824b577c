"""The room's tables: what piped pieces measure, usual amounts, pouring temperatures, and hands' time.

Every row names its source; they are read once.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from tierwright.errors import UnknownName
from tierwright.larder import Amount, amount_in, read_amounts
from tierwright.working import Basis, Estimate, Source

Row = dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """
    A kind of piped piece, by the opening of its tip.

    Attributes
    ----------
    key, name
        Name in files, and in words.
    width
        Its breadth over the opening. [-]
    height, length
        Its height and its length over its breadth. [-]
    fill
        Its volume over that of the block round it. [-]
    close
        Distance from middle to middle over its length where pieces are piped close. [-]
    seconds
        Time for one. [s]
    source
        Of the ratios.
    """

    key: str
    name: str
    width: Estimate
    height: Estimate
    length: float
    fill: Estimate
    close: float
    seconds: Estimate
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Pour:
    """A glaze that is dripped: the temperature at which it runs and stops. [C]"""

    kind: str
    name: str
    at_c: Estimate
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Time:
    """Hands' time for one of a task. [min]"""

    task: str
    label: str
    per: str
    minutes: Estimate
    source: Source


def rows(name: str) -> list[Row]:
    """Return the rows of one table, as text."""
    text = files("tierwright.finish").joinpath("data", name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def _source(row: Row) -> Source:
    return Source(basis=Basis(row["basis"]), text=row["source"])


def _estimate(row: Row, stem: str) -> Estimate:
    return Estimate(value=float(row[stem]), low=float(row[f"{stem}_low"]), high=float(row[f"{stem}_high"]))


@cache
def pieces() -> Mapping[str, Piece]:
    """Return every kind of piped piece by its key."""
    return MappingProxyType(
        {
            row["key"]: Piece(
                key=row["key"],
                name=row["name"],
                width=_estimate(row, "width"),
                height=_estimate(row, "height"),
                length=float(row["length"]),
                fill=_estimate(row, "fill"),
                close=float(row["close"]),
                seconds=_estimate(row, "seconds"),
                source=_source(row),
            )
            for row in rows("piping.csv")
        }
    )


@cache
def amounts() -> Mapping[str, Amount]:
    """Return every usual amount by its key."""
    return read_amounts(rows("amounts.csv"))


def amount(key: str) -> Amount:
    """
    Return a usual amount by its key.

    Raises
    ------
    UnknownName
        The table holds no such amount.
    """
    return amount_in(amounts(), key)


@cache
def pours() -> Mapping[str, Pour]:
    """Return pouring temperatures by the kind of coat or filling."""
    return MappingProxyType(
        {
            row["kind"]: Pour(
                kind=row["kind"],
                name=row["name"],
                at_c=Estimate(value=float(row["value_c"]), low=float(row["low_c"]), high=float(row["high_c"])),
                source=_source(row),
            )
            for row in rows("pours.csv")
        }
    )


@cache
def times() -> Mapping[str, Time]:
    """Return hands' times by task."""
    return MappingProxyType(
        {
            row["task"]: Time(
                task=row["task"],
                label=row["label"],
                per=row["per"],
                minutes=_estimate(row, "minutes"),
                source=_source(row),
            )
            for row in rows("times.csv")
        }
    )


def time_of(task: str) -> Time:
    """
    Return the hands' time of a task.

    Raises
    ------
    UnknownName
        The table holds no such task.
    """
    if task not in times():
        raise UnknownName("task", task, list(times()))
    return times()[task]
