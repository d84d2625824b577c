"""Read the larder's tables: CSV files in the package, each row with its source."""

from __future__ import annotations

import csv
from functools import lru_cache
from importlib.resources import files

from tierwright.working import Basis, Estimate, Source

Row = dict[str, str]


def rows(name: str) -> list[Row]:
    """Return the rows of one table of the package's data, as text."""
    text = (files("tierwright.larder") / "data" / name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@lru_cache(maxsize=4096)
def source(basis: str, text: str) -> Source:
    """Return a source; rows that name the same share one."""
    return Source(basis=Basis(basis), text=text)


def source_of(row: Row) -> Source:
    """Return the source that a row names."""
    return source(row["basis"], row["source"])


def split(text: str) -> tuple[str, ...]:
    """Split a cell that holds a list; its parts are parted by semicolons."""
    return tuple(part for part in (piece.strip() for piece in text.split(";")) if part)


def number(text: str) -> float | None:
    """Return the number of a cell, or None where it is empty: unknown is not zero."""
    return float(text) if text else None


def estimate(row: Row, stem: str) -> Estimate:
    """Return the estimate that a row holds in three columns: ``stem``, ``stem_low`` and ``stem_high``."""
    return Estimate(value=float(row[stem]), low=float(row[f"{stem}_low"]), high=float(row[f"{stem}_high"]))


def yes(text: str) -> bool:
    """Return whether a cell says yes; anything but yes or no is refused."""
    if text not in ("yes", "no"):
        raise ValueError(f"expected yes or no, found {text!r}")
    return text == "yes"
