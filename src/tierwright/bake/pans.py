"""What pans are made of, as heat sees it."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from tierwright.errors import UnknownName
from tierwright.heat import Material, solid


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """
    One kind of pan wall.

    Attributes
    ----------
    key, label
        Its key in the table, and its name.
    material
        Conductivity, density and heat capacity.
    thickness_mm
        Of the wall. [mm]
    emissivity
        Of the outside. [-]
    source
        Where the row comes from.
    """

    key: str
    label: str
    material: Material
    thickness_mm: float
    emissivity: float
    source: str


@cache
def finishes() -> dict[str, Finish]:
    """Return every kind of pan wall by key."""
    text = files("tierwright.bake").joinpath("data/pan_finishes.csv").read_text(encoding="utf-8")
    return {
        row["key"]: Finish(
            key=row["key"],
            label=row["label"],
            material=solid(
                row["label"],
                density_kg_m3=float(row["density_kg_m3"]),
                heat_capacity_j_kgk=float(row["heat_capacity_j_kgk"]),
                conductivity_w_mk=float(row["conductivity_w_mk"]),
            ),
            thickness_mm=float(row["thickness_mm"]),
            emissivity=float(row["emissivity"]),
            source=row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def finish(key: str) -> Finish:
    """
    Return one kind of pan wall.

    Raises
    ------
    UnknownName
        No such key.
    """
    table = finishes()
    if key not in table:
        raise UnknownName("pan finish", key, list(table))
    return table[key]
