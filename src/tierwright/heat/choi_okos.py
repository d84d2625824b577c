"""Thermal properties of what food is made of, part by part, without its pores."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Final

from tierwright.errors import UnknownName, require_range
from tierwright.larder import Composition

PARTS: Final = ("protein", "fat", "carbohydrate", "fibre", "ash", "water", "ice")
COLDEST_C: Final = -40.0
HOTTEST_C: Final = 150.0
"""The span of the source. [degC]"""

Polynomial = tuple[float, float, float]


@cache
def coefficients() -> dict[tuple[str, str], Polynomial]:
    """Return ``a, b, c`` of ``a + b T + c T^2`` (T in degC) by part and property, in SI units."""
    text = files("tierwright.heat").joinpath("data/choi_okos.csv").read_text(encoding="utf-8")
    return {
        (row["part"], row["property"]): (float(row["a"]), float(row["b"]), float(row["c"]))
        for row in csv.DictReader(text.splitlines())
    }


def part_property(part: str, name: str, temperature_c: float) -> float:
    """
    One property of one part of a food.

    Parameters
    ----------
    part
        protein, fat, carbohydrate, fibre, ash, water or ice.
    name
        ``conductivity`` [W/(m K)], ``density`` [kg/m3] or ``heat_capacity`` [J/(kg K)].
    temperature_c
        [degC], -40 to 150

    Returns
    -------
    value
        The property, in the unit above.

    Raises
    ------
    UnknownName
        No such part or property.
    OutOfRange
        Outside -40 to 150 degC.

    References
    ----------
    .. [1] Choi Y, Okos M R (1986), Effects of temperature and composition on the thermal properties of foods;
       coefficients as in ASHRAE Handbook Refrigeration 2006, ch. 9, tables 1 and 2.
    """
    require_range("temperature of food", temperature_c, COLDEST_C, HOTTEST_C, "degC")
    table = coefficients()
    if (part, name) not in table:
        raise UnknownName("part and property", f"{part} {name}", [" ".join(key) for key in table])
    a, b, c = table[part, name]
    return a + temperature_c * (b + temperature_c * c)


@dataclass(frozen=True, slots=True, kw_only=True)
class Matrix:
    """
    A food without its pores.

    Attributes
    ----------
    density_kg_m3
        Density of the gas-free food. [kg/m3]
    heat_capacity_j_kgk
        Specific heat capacity. [J/(kg K)]
    conductivity_w_mk
        Thermal conductivity, parts in parallel by volume. [W/(m K)]
    """

    density_kg_m3: float
    heat_capacity_j_kgk: float
    conductivity_w_mk: float


def mass_fractions(composition: Composition) -> dict[str, float]:
    """
    Mass fractions of the six parts of an unfrozen food, summing to one.

    Fibre is taken out of the carbohydrate that holds it; alcohol counts as water, whose heat capacity and conductivity
    it lowers (a teaspoon of spirit in a batter moves neither by one per cent).
    """
    total = composition.total_g
    require_range("sum of the proximates", total, 1.0, 120.0, "g/100 g", "composition")
    fibre = min(composition.fibre_g, composition.carbohydrate_g)
    grams = {
        "protein": composition.protein_g,
        "fat": composition.fat_g,
        "carbohydrate": composition.carbohydrate_g - fibre,
        "fibre": fibre,
        "ash": composition.ash_g,
        "water": composition.water_g + composition.alcohol_g,
    }
    return {part: value / total for part, value in grams.items()}


def matrix_properties(composition: Composition, temperature_c: float) -> Matrix:
    """
    Density, heat capacity and conductivity of an unfrozen, gas-free food.

    Parameters
    ----------
    composition
        What it is made of.
    temperature_c
        [degC], -40 to 150

    Returns
    -------
    matrix
        The three properties.

    Raises
    ------
    OutOfRange
        Outside the span of the source.

    Notes
    -----
    ``1/rho = sum(x/rho_i)``, ``cp = sum(x cp_i)``, ``k = sum(v k_i)`` with ``v = x rho/rho_i``.

    References
    ----------
    .. [1] Choi Y, Okos M R (1986); ASHRAE Handbook Refrigeration 2006, ch. 9, eqs. 5 to 7 and 25.
    """
    fractions = mass_fractions(composition)
    volumes = {part: x / part_property(part, "density", temperature_c) for part, x in fractions.items()}
    volume = sum(volumes.values())
    return Matrix(
        density_kg_m3=1.0 / volume,
        heat_capacity_j_kgk=sum(x * part_property(p, "heat_capacity", temperature_c) for p, x in fractions.items()),
        conductivity_w_mk=sum(v * part_property(p, "conductivity", temperature_c) for p, v in volumes.items()) / volume,
    )
