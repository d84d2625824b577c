"""Usual pots by what they are for, so that a question can be asked without a recipe."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from tierwright.errors import UnknownName, require_range
from tierwright.sugar.mix import Line


@dataclass(frozen=True, slots=True, kw_only=True)
class SyrupUse:
    """
    One usual pot.

    Attributes
    ----------
    key, label
        Short name and words.
    start
        Proportions at the start. [g]
    stage_key, sea_level_c, solids_share
        At most one wish: a stage [-], a sea-level temperature [C], or solids [1]. None of them: it is only dissolved.
    then
        What is done with it.
    source
        Where it comes from.
    """

    key: str
    label: str
    start: tuple[Line, ...]
    stage_key: str
    sea_level_c: float | None
    solids_share: float | None
    then: str
    source: str

    @property
    def is_boiled_down(self) -> bool:
        """Whether it is cooked to a target, or only dissolved."""
        return bool(self.stage_key) or self.sea_level_c is not None or self.solids_share is not None

    def lines_for(self, total_g: float) -> tuple[Line, ...]:
        """
        Start weights for a pot of a given mass.

        Parameters
        ----------
        total_g
            Everything that goes in. [g], 20 to 50 000

        Returns
        -------
        lines
            In proportion. [g]
        """
        require_range("mass of the pot", total_g, 20.0, 50_000.0, "g")
        now = sum(line.grams for line in self.start)
        return tuple(Line(ingredient=line.ingredient, grams=line.grams * total_g / now) for line in self.start)


@cache
def syrup_uses() -> dict[str, SyrupUse]:
    """Return the usual pots by key."""
    text = files("tierwright.sugar").joinpath("data/uses.csv").read_text(encoding="utf-8")
    return {
        row["key"]: SyrupUse(
            key=row["key"],
            label=row["label"],
            start=tuple(
                Line(ingredient=key, grams=float(grams))
                for key, grams in (pair.split(":") for pair in row["start"].split(";"))
            ),
            stage_key=row["stage"],
            sea_level_c=float(row["sea_level_c"]) if row["sea_level_c"] else None,
            solids_share=float(row["solids_share"]) if row["solids_share"] else None,
            then=row["then"],
            source=row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def syrup_use(key: str) -> SyrupUse:
    """Return one usual pot; ``UnknownName`` with the nearest names if there is none."""
    table = syrup_uses()
    if key not in table:
        raise UnknownName("use of a syrup", key, tuple(table))
    return table[key]
