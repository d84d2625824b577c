"""What happens to a colour after it is mixed: how it deepens, fades and looks in another light, as cautions."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files
from typing import Final

from tierwright.finish.colour import Lab
from tierwright.finish.model import SHEET
from tierwright.working import Basis, Caution, Source

DEEP_LIGHTNESS: Final = 62.0
"""L* below which a coat counts as deep, for these cautions; common practice. [-]"""
PALE_CHROMA: Final = 25.0
"""C* up to which a light coat counts as pale, for these cautions; common practice. [-]"""


@cache
def _rows() -> tuple[dict[str, str], ...]:
    text = files("tierwright.finish").joinpath("data", "colour_shifts.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def traits(wanted: Lab) -> frozenset[str]:
    """Return which of ``deep``, ``pale`` and ``pink`` (pinks, magentas and purples) a colour is."""
    found = set()
    if wanted.lightness < DEEP_LIGHTNESS:
        found.add("deep")
    elif 2.0 < wanted.chroma <= PALE_CHROMA:
        found.add("pale")
    # From violet over magenta to a pinkish red.
    if wanted.chroma > 8.0 and (wanted.hue_deg >= 290.0 or wanted.hue_deg <= 25.0):
        found.add("pink")
    return frozenset(found)


def colour_cautions(wanted: tuple[Lab, ...], *, from_plants: bool = False) -> tuple[Caution, ...]:
    """
    Return what to mind about wished colours, each caution once.

    Parameters
    ----------
    wanted
        Colours of coats and letters; none give no cautions.
    from_plants
        Whether any of them is mixed from plants.

    Returns
    -------
    cautions
        Each with the step at which it holds: ``mix``, ``match`` or ``display``.
    """
    if not wanted:
        return ()
    holds = {"always", *(trait for lab in wanted for trait in traits(lab)), *(("plant",) if from_plants else ())}
    return tuple(
        Caution(
            key=f"finish.caution.colour.{row['key']}",
            sheet=SHEET,
            step=row["step"],
            text=row["text"],
            reason=row["reason"],
            source=Source(basis=Basis(row["basis"]), text=row["source"]),
        )
        for row in _rows()
        if row["when"] in holds
    )
