"""Read this room's tables: CSV files in the package, each row with its source."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

from tierwright.errors import UnknownName
from tierwright.purchase.model import BuyingRule, Split
from tierwright.working import Basis, Source

Row = dict[str, str]


@cache
def rows(name: str) -> tuple[Row, ...]:
    """Return the rows of one table of the package's data, as text."""
    text = (files("tierwright.purchase") / "data" / name).read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def _source(row: Row) -> Source:
    return Source(basis=Basis(row["basis"]), text=row["source"])


@cache
def _rules() -> dict[str, BuyingRule]:
    return {
        row["group"]: BuyingRule(
            group=row["group"],
            buy_before_days=int(row["buy_before_days"]),
            waste=float(row["waste"]),
            source=_source(row),
        )
        for row in rows("buying.csv")
    }


def buying_rule(group: str) -> BuyingRule:
    """
    Return when things of a group are bought, and the share of them that is lost.

    Raises
    ------
    UnknownName
        The table has no such group.
    """
    known = _rules()
    if group not in known:
        raise UnknownName("group of shelves", group, list(known))
    return known[group]


@cache
def splits() -> tuple[Split, ...]:
    """Return everything that is usually taken apart: eggs, and the citrus fruits."""
    found: dict[str, list[Row]] = {}
    for row in rows("splits.csv"):
        found.setdefault(row["whole"], []).append(row)
    return tuple(
        Split(
            whole=whole,
            piece=float(parts[0]["piece"]),
            parts=tuple((row["part"], float(row["grams"])) for row in parts),
            source=_source(parts[0]),
        )
        for whole, parts in found.items()
    )
