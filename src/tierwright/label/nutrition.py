"""What 100 g of a cake holds, after the oven took its water, with bounds where a table is silent."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

from tierwright.brief.commission import Jurisdiction
from tierwright.errors import OutOfRange, require_range
from tierwright.label.model import Amount
from tierwright.label.order import Component, Unit
from tierwright.label.rules import energy_factors, rows
from tierwright.label.tracing import Lots
from tierwright.larder import Composition, ingredient
from tierwright.working import Assumption, Basis, Source

WEIGHED: Final = (
    "water_g", "protein_g", "fat_g", "carbohydrate_g", "fibre_g", "ash_g", "alcohol_g", "saturated_g", "trans_g",
    "sugars_g", "added_sugars_g", "sodium_mg", "potassium_mg", "calcium_mg", "iron_mg", "cholesterol_mg",
    "vitamin_d_ug",
)  # fmt: skip
"""Fields of the composition that labels need."""

_MG_PER_G: Final = 1000.0
SALT_PER_SODIUM: Final = 2.5
"""Salt over sodium, Regulation (EU) No 1169/2011, Annex I, point 11. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """What one gram of a finished component holds: lower and upper bounds by field, and what leaves it open."""

    low: Mapping[str, float]
    high: Mapping[str, float | None]
    missing: Mapping[str, tuple[str, ...]]
    filled: tuple[tuple[str, str], ...]


@cache
def _fills() -> dict[tuple[str, str], tuple[str, float, str]]:
    return {
        (row["nutrient"], row["group"]): (row["of"], float(row["ratio"]), f"{row['basis']}|{row['source']}")
        for row in rows("fills.csv")
    }


def content(component: Component, lots: Lots) -> Content:
    """
    Return what one gram of a finished component holds.

    The oven takes water and nothing else: every other part stays, in less mass.

    Raises
    ------
    OutOfRange
        More is lost than there is water, or the loss is no share between 0 and 0.9.
    """
    require_range("loss", component.loss_share, 0.0, 0.9, "share", f"label.{component.key}")
    mass = sum(used.grams for used in component.used)
    if not mass > 0:
        raise OutOfRange("mass", mass, 0.0, float("inf"), "g", f"label.{component.key}")
    low = dict.fromkeys(WEIGHED, 0.0)
    high: dict[str, float | None] = dict.fromkeys(WEIGHED, 0.0)
    missing: dict[str, list[str]] = {}
    filled: list[tuple[str, str]] = []
    for used in component.used:
        if used.grams <= 0:
            continue
        known = _composition(used.ingredient, lots)
        for nutrient in WEIGHED:
            value: float | None = getattr(known, nutrient)
            least = most = value
            if value is None:
                least, most, is_filled = _bounds(nutrient, used.ingredient, known)
                if is_filled:
                    filled.append((nutrient, used.ingredient))
                elif least != most:
                    missing.setdefault(nutrient, []).append(used.ingredient)
            low[nutrient] += (least or 0.0) * used.grams / 100.0
            so_far = high[nutrient]
            high[nutrient] = None if so_far is None or most is None else so_far + most * used.grams / 100.0
    lost = mass * component.loss_share
    water = low["water_g"]
    if lost > water + 1e-9 * mass:
        raise OutOfRange("water lost", lost, 0.0, water, "g", f"label.{component.key}")
    low["water_g"] = high["water_g"] = max(water - lost, 0.0)
    finished = mass - lost
    return Content(
        low={key: value / finished for key, value in low.items()},
        high={key: None if value is None else value / finished for key, value in high.items()},
        missing={key: tuple(dict.fromkeys(keys)) for key, keys in missing.items()},
        filled=tuple(dict.fromkeys(filled)),
    )


def _composition(key: str, lots: Lots) -> Composition:
    read = [lot.composition for lot in lots.get(key, ()) if lot.composition is not None]
    return read[-1] if read else ingredient(key).composition


def _bounds(nutrient: str, key: str, known: Composition) -> tuple[float, float | None, bool]:
    """Return least and most of a value that the table does not hold, and whether a stated rule filled it."""
    for name in (key, ingredient(key).group.value):
        if (nutrient, name) in _fills():
            of, ratio, _ = _fills()[nutrient, name]
            value = float(getattr(known, of)) * ratio
            return value, value, True
    if nutrient == "trans_g":
        # Trans fat is a part of the fat that is not saturated.
        return 0.0, max(known.fat_g - (known.saturated_g or 0.0), 0.0), False
    if nutrient in ("saturated_g",):
        return 0.0, known.fat_g, False
    if nutrient in ("sugars_g", "added_sugars_g"):
        return 0.0, known.carbohydrate_g, False
    if nutrient in ("sodium_mg", "potassium_mg", "calcium_mg", "iron_mg"):
        # Each is a part of the ash.
        return 0.0, known.ash_g * _MG_PER_G, False
    if known.fat_g == 0.0:
        # Cholesterol and vitamin D go with fat.
        return 0.0, 0.0, False
    return 0.0, None, False


def amounts(unit_parts: Sequence[tuple[Content, float]], place: Jurisdiction) -> tuple[Amount, ...]:
    """
    Return the nutrients of 100 g of a cake as a place reckons them.

    Parameters
    ----------
    unit_parts
        Content of each component, and its mass on the cake. [g]
    place
        Carbohydrate is without fibre, and energy is by Annex XIV, in the EU and UK; without fibre in Australia and
        New Zealand; with it and 4-4-9 in the US and Canada.
    """
    total = sum(mass for _, mass in unit_parts)
    if not total > 0:
        raise OutOfRange("mass", total, 0.0, float("inf"), "g", "label")
    found: dict[str, Amount] = {}
    for nutrient in WEIGHED:
        low = sum(part.low[nutrient] * mass for part, mass in unit_parts) / total * 100.0
        highs = [(part.high[nutrient], mass) for part, mass in unit_parts if mass > 0]
        high = None if any(h is None for h, _ in highs) else sum((h or 0.0) * m for h, m in highs) / total * 100.0
        missing = tuple(dict.fromkeys(key for part, m in unit_parts if m > 0 for key in part.missing.get(nutrient, ())))
        found[nutrient] = _amount(nutrient, low, high, missing)
    if place in (Jurisdiction.EU, Jurisdiction.UK, Jurisdiction.AUSTRALIA_NEW_ZEALAND):
        carbohydrate = max(found["carbohydrate_g"].low - found["fibre_g"].low, 0.0)
        found["carbohydrate_g"] = _amount("carbohydrate_g", carbohydrate, carbohydrate, ())
    sodium = found["sodium_mg"]
    found["salt_g"] = _amount(
        "salt_g",
        sodium.low * SALT_PER_SODIUM / _MG_PER_G,
        None if sodium.high is None else sodium.high * SALT_PER_SODIUM / _MG_PER_G,
        sodium.missing,
    )
    kilojoules, kilocalories = energy(
        place,
        carbohydrate_g=found["carbohydrate_g"].low,
        protein_g=found["protein_g"].low,
        fat_g=found["fat_g"].low,
        fibre_g=found["fibre_g"].low,
        alcohol_g=found["alcohol_g"].low,
    )
    found["energy_kj"] = _amount("energy_kj", kilojoules, kilojoules, ())
    found["energy_kcal"] = _amount("energy_kcal", kilocalories, kilocalories, ())
    return tuple(found.values())


def _amount(nutrient: str, low: float, high: float | None, missing: tuple[str, ...]) -> Amount:
    # Bounds that touch are a value: sums in another order differ in the last digit.
    same = high is not None and high - low <= 1e-12 * max(1.0, abs(high))
    return Amount(nutrient=nutrient, value=low if same else None, low=low, high=high, missing=() if same else missing)


def energy(
    place: Jurisdiction,
    *,
    carbohydrate_g: float,
    protein_g: float,
    fat_g: float,
    fibre_g: float = 0.0,
    alcohol_g: float = 0.0,
    polyols_g: float = 0.0,
    organic_acid_g: float = 0.0,
    erythritol_g: float = 0.0,
) -> tuple[float, float]:
    """
    Return the energy of a food by the factors of a place.

    Parameters
    ----------
    place
        Whose factors: 4-4-9 on all carbohydrate in the US and Canada; Annex XIV, each unit by its own factors, in
        the EU and UK; Schedule 11 in Australia and New Zealand.
    carbohydrate_g
        As the place's panel declares it: without fibre outside North America. [g]
    protein_g, fat_g, fibre_g, alcohol_g, polyols_g, organic_acid_g, erythritol_g
        The other parts. [g]

    Returns
    -------
    energy
        Kilojoules and kilocalories. [kJ, kcal]

    Examples
    --------
    >>> energy(Jurisdiction.EU, carbohydrate_g=20, protein_g=15, fat_g=10)
    (965.0, 230.0)
    """
    factors = energy_factors(place)
    parts = {
        "carbohydrate": carbohydrate_g,
        "protein": protein_g,
        "fat": fat_g,
        "fibre": fibre_g,
        "alcohol": alcohol_g,
        "polyols": polyols_g,
        "organic_acid": organic_acid_g,
        "erythritol": erythritol_g,
    }
    kilojoules = sum(grams * factors[part][0] for part, grams in parts.items() if part in factors)
    kilocalories = sum(grams * factors[part][1] for part, grams in parts.items() if part in factors)
    return kilojoules, kilocalories


def fill_assumptions(contents: Mapping[str, Content]) -> tuple[Assumption, ...]:
    """Return each rule that filled a value that the table does not hold."""
    used: dict[tuple[str, str], list[str]] = {}
    for part in contents.values():
        for nutrient, key in part.filled:
            group = key if (nutrient, key) in _fills() else ingredient(key).group.value
            used.setdefault((nutrient, group), []).append(ingredient(key).name_us)
    made: list[Assumption] = []
    for (nutrient, group), names in used.items():
        of, ratio, origin = _fills()[nutrient, group]
        basis, _, text = origin.partition("|")
        made.append(
            Assumption(
                key=f"label.fill.{nutrient}.{group}",
                text=f"{words_of(nutrient).capitalize()} of {', '.join(sorted(set(names)))}",
                value=f"{ratio:.2%} of its {words_of(of)}"
                if nutrient.endswith("_g")
                else f"{ratio:g} µg a gram of fat",
                source=Source(basis=Basis(basis), text=text),
            )
        )
    return tuple(made)


def words_of(nutrient: str) -> str:
    """Return a nutrient's name in words."""
    names = {"saturated_g": "saturated fat", "trans_g": "trans fat", "vitamin_d_ug": "vitamin D"}
    return names.get(nutrient, nutrient.rsplit("_", 1)[0].replace("_", " "))


def parts_of(unit: Unit, contents: Mapping[str, Content]) -> list[tuple[Content, float]]:
    """Return the content and mass of each component on a cake."""
    return [(contents[part.component], part.grams) for part in unit.parts]
