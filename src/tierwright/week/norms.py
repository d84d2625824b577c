"""How long things keep and what limits a week: the tables. How long hands take stands in the larder."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files


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
