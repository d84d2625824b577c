"""How long hands take and how long things keep: the tables, with the maker's own figures over them."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from tierwright.working import Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Norm:
    """What one kind of work takes: a base and so much for each unit, with its likely span. [min]"""

    key: str
    base_min: float
    each_min: float
    unit: str
    low_share: float
    high_share: float
    source: str

    def minutes(self, count: float, factor: float = 1.0) -> Estimate:
        """Return how long ``count`` units take; ``factor`` is the maker's own pace over the table's. [min]"""
        value = (self.base_min + self.each_min * count) * factor
        return Estimate(value=value, low=value * self.low_share, high=value * self.high_share)


@dataclass(frozen=True, slots=True, kw_only=True)
class Age:
    """How long a filling, cream or coat must rest, how long it keeps [h], and whether that is in the cold."""

    kind: str
    rest_h: float
    keep_h: float
    cold: bool
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit of the week, in its own unit."""

    key: str
    value: float
    unit: str
    source: str

    @property
    def minutes(self) -> float:
        """The limit in minutes, where it is a time. [min]"""
        return self.value * (60.0 if self.unit == "h" else 1.0)


def _rows(name: str) -> list[dict[str, str]]:
    text = files("tierwright.week").joinpath(f"data/{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def norms() -> dict[str, Norm]:
    """Return the table of working times."""
    return {
        row["task"]: Norm(
            key=row["task"], base_min=float(row["base_min"]), each_min=float(row["each_min"]), unit=row["unit"],
            low_share=float(row["low_share"]), high_share=float(row["high_share"]), source=row["source"],
        )
        for row in _rows("norms")
    }  # fmt: skip


@cache
def ages() -> dict[str, Age]:
    """Return how long each kind of filling and coat keeps."""
    return {
        row["kind"]: Age(
            kind=row["kind"], rest_h=float(row["rest_h"]), keep_h=float(row["keep_h"]), cold=row["cold"] == "yes",
            source=row["source"],
        )
        for row in _rows("ages")
    }  # fmt: skip


@cache
def limits() -> dict[str, Limit]:
    """Return the limits of the week."""
    return {
        row["key"]: Limit(key=row["key"], value=float(row["value"]), unit=row["unit"], source=row["source"])
        for row in _rows("limits")
    }
