"""Usual amounts of a room: figures used where nothing else is given, each with its range and its source."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from tierwright.errors import UnknownName
from tierwright.larder.tables import Row, source_of
from tierwright.working import Estimate, Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """A usual amount, used where nothing else is given: what it is, its value and range in ``unit``, and its source."""

    key: str
    name: str
    value: Estimate
    unit: str
    source: Source


def read_amounts(rows: Iterable[Row]) -> Mapping[str, Amount]:
    """Return usual amounts by their keys, from a room's table of them."""
    return MappingProxyType(
        {
            row["key"]: Amount(
                key=row["key"],
                name=row["name"],
                value=Estimate(value=float(row["value"]), low=float(row["low"]), high=float(row["high"])),
                unit=row["unit"],
                source=source_of(row),
            )
            for row in rows
        }
    )


def amount_in(amounts: Mapping[str, Amount], key: str) -> Amount:
    """
    Return a usual amount by its key.

    Raises
    ------
    UnknownName
        The table holds no such amount.
    """
    try:
        return amounts[key]
    except KeyError:
        raise UnknownName("usual amount", key, list(amounts)) from None
