"""Read this room's tables: CSV files in the package, each row with its source."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from tierwright.formula.model import Kind
from tierwright.working import Basis, Estimate, Source

Row = dict[str, str]


@cache
def rows(name: str) -> tuple[Row, ...]:
    """Return the rows of one table of the package's data, as text."""
    text = (files("tierwright.formula") / "data" / name).read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def source_of(row: Row) -> Source:
    """Return the source that a row names."""
    return Source(basis=Basis(row["basis"]), text=row["source"])


def number(text: str) -> float | None:
    """Return the number of a cell, or None where it is empty."""
    return float(text) if text else None


def estimate(row: Row, stem: str) -> Estimate:
    """Return the estimate that a row holds in three columns: ``stem``, ``stem_low`` and ``stem_high``."""
    return Estimate(value=float(row[stem]), low=float(row[f"{stem}_low"]), high=float(row[f"{stem}_high"]))


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaClass:
    """
    How a class of formula behaves in bowl and pan.

    Attributes
    ----------
    kind
        The class.
    density
        Of the batter, or of what is not baked when it is ready to use. [g/ml]
    rise
        Volume baked over volume of batter; 1 for what is not baked. [-]
    trim
        Share of the baked volume that levelling takes off. [-]
    fill_low, fill_high
        Share of a pan's depth that the batter may fill near sea level. [-]
    cooked
        Mass ready to use over mass weighed out. [-]
    source
        Where the row comes from.
    """

    kind: Kind
    density: Estimate
    rise: Estimate
    trim: Estimate
    fill_low: float
    fill_high: float
    cooked: Estimate
    source: Source


@cache
def formula_class(kind: Kind) -> FormulaClass:
    """Return how a class of formula behaves."""
    for row in rows("classes.csv"):
        if row["kind"] == kind.value:
            return FormulaClass(
                kind=kind,
                density=estimate(row, "density"),
                rise=estimate(row, "rise"),
                trim=estimate(row, "trim"),
                fill_low=float(row["fill_low"]),
                fill_high=float(row["fill_high"]),
                cooked=estimate(row, "cooked"),
                source=source_of(row),
            )
    raise KeyError(kind)
