"""What a food is made of: the composition of 100 g, and of a mixture."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields


@dataclass(frozen=True, slots=True, kw_only=True)
class Composition:
    """
    Composition of 100 g of a food.

    The proximates (water, protein, fat, carbohydrate, ash, alcohol) add up to about 100 g; fibre and sugars are parts
    of the carbohydrate, saturated and trans fat parts of the fat. ``None`` means unknown, which is not the same as
    none: a mixture with an unknown part is unknown in that part.

    Attributes
    ----------
    water_g, protein_g, fat_g, carbohydrate_g, fibre_g, ash_g, alcohol_g
        Proximates. [g/100 g]
    saturated_g, trans_g
        Parts of the fat. [g/100 g]
    sugars_g
        Total sugars. [g/100 g]
    sucrose_g, glucose_g, fructose_g, lactose_g, maltose_g
        Sugars by kind, where known. [g/100 g]
    added_sugars_g
        Sugars that count as added in the sense of 21 CFR 101.9(c)(6)(iii). [g/100 g]
    sodium_mg, potassium_mg, calcium_mg, iron_mg, cholesterol_mg
        Minerals and cholesterol for labels. [mg/100 g]
    vitamin_d_ug
        Vitamin D. [microgram/100 g]
    energy_kcal
        Energy as the table gives it. [kcal/100 g]
    """

    water_g: float
    protein_g: float
    fat_g: float
    carbohydrate_g: float
    fibre_g: float = 0.0
    ash_g: float = 0.0
    alcohol_g: float = 0.0
    saturated_g: float | None = None
    trans_g: float | None = None
    sugars_g: float | None = None
    sucrose_g: float | None = None
    glucose_g: float | None = None
    fructose_g: float | None = None
    lactose_g: float | None = None
    maltose_g: float | None = None
    added_sugars_g: float | None = None
    sodium_mg: float | None = None
    potassium_mg: float | None = None
    calcium_mg: float | None = None
    iron_mg: float | None = None
    cholesterol_mg: float | None = None
    vitamin_d_ug: float | None = None
    energy_kcal: float | None = None

    @property
    def total_g(self) -> float:
        """Sum of the proximates; about 100 for a whole analysis. [g/100 g]"""
        return self.water_g + self.protein_g + self.fat_g + self.carbohydrate_g + self.ash_g + self.alcohol_g


PARTS: tuple[str, ...] = tuple(field.name for field in fields(Composition))


def blend(parts: Iterable[tuple[Composition, float]]) -> Composition:
    """
    Composition of 100 g of a mixture.

    Parameters
    ----------
    parts
        Each part's composition and its mass. [g], not negative, at least one above zero

    Returns
    -------
    composition
        The mass-weighted mean; a value that is unknown in any part with mass is unknown in the whole. [g/100 g]

    Raises
    ------
    ValueError
        No mass at all, or a negative mass.
    """
    weighed = [(composition, mass) for composition, mass in parts if mass != 0]
    total = sum(mass for _, mass in weighed)
    if total <= 0 or any(mass < 0 for _, mass in weighed):
        raise ValueError("a mixture needs parts with a mass above zero")
    values: dict[str, float | None] = {}
    for name in PARTS:
        column = [(getattr(composition, name), mass) for composition, mass in weighed]
        known = all(value is not None for value, _ in column)
        values[name] = sum(value * mass for value, mass in column) / total if known else None
    return Composition(**values)  # type: ignore[arg-type]
