"""Names of the stages of boiled sugar, their spans by the sea, and their cold-water tests."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from tierwright.errors import UnknownName
from tierwright.working import Basis, Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """
    One stage of boiled sugar.

    Attributes
    ----------
    key, label
        Short name and the trade's words.
    low_c, high_c
        Its span on a true thermometer at sea level. [C]
    cold_water_test
        What a drop does in cold water.
    use
        What it is cooked for.
    boils
        Whether the pot still boils water there. If not, the stage is one of heat alone and does not move with height.
    source
        Where the span comes from.
    """

    key: str
    label: str
    low_c: float
    high_c: float
    cold_water_test: str
    use: str
    boils: bool
    source: Source


@cache
def stages() -> dict[str, Stage]:
    """Return the table of stages by key, coolest first."""
    text = files("tierwright.sugar").joinpath("data/stages.csv").read_text(encoding="utf-8")
    return {
        row["key"]: Stage(
            key=row["key"],
            label=row["label"],
            low_c=float(row["low_c"]),
            high_c=float(row["high_c"]),
            cold_water_test=row["cold_water_test"],
            use=row["use"],
            boils=row["boils"] == "yes",
            source=Source(basis=Basis.COMMON_PRACTICE, text=row["source"].removeprefix("common practice; ")),
        )
        for row in csv.DictReader(text.splitlines())
    }


def stage(key: str) -> Stage:
    """Return one stage; ``UnknownName`` with the nearest names if there is none."""
    table = stages()
    if key not in table:
        raise UnknownName("stage", key, tuple(table))
    return table[key]


def stage_near(sea_level_c: float) -> str:
    """
    Name the stage of a temperature by the sea.

    Parameters
    ----------
    sea_level_c
        Temperature at which the same syrup would boil at sea level. [C]

    Returns
    -------
    words
        Its name, or the two that it lies between.
    """
    table = [row for row in stages().values() if row.key != "isomalt"]
    for row in table:
        if row.low_c <= sea_level_c <= row.high_c:
            return row.label
    below = [row.label for row in table if row.high_c < sea_level_c]
    above = [row.label for row in table if row.low_c > sea_level_c]
    if not below:
        return f"thinner than {above[0]}"
    if not above:
        return f"past {below[-1]}"
    return f"between {below[-1]} and {above[0]}"
