"""The nutrition panel of a place in words and numbers: its lines, their order, their rounding."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from tierwright.brief.commission import Jurisdiction
from tierwright.label.french import french_word
from tierwright.label.model import Amount, Panel, PanelRow
from tierwright.label.nutrition import words_of
from tierwright.label.rules import daily_values, half_up, limit, rounded
from tierwright.label.serving import slices_for

UNKNOWN: Final = "?"
"""Stands where a value is not known; a panel that shows it is a draft."""
_VITAMINS: Final = frozenset({"vitamin_d_ug", "calcium_mg", "iron_mg", "potassium_mg"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Helping:
    """
    What a panel speaks of.

    Attributes
    ----------
    mass_g
        Net mass of the cake. [g]
    portions
        Portions as cut; 0 where nobody counted.
    reference_g
        Reference amount of its class. [g]
    noun
        What a slice is a slice of.
    """

    mass_g: float
    portions: int
    reference_g: float
    noun: str = "cake"


def panel(place: Jurisdiction, amounts: Sequence[Amount], helping: Helping, *, french: bool = False) -> Panel:
    """
    Return the nutrition panel of a cake as a place wants it.

    Parameters
    ----------
    place
        Whose panel.
    amounts
        Nutrients of 100 g as the place reckons them.
    helping
        Its mass, portions and reference amount.
    french
        Whether a Canadian table stands in both languages.
    """
    by_name = {amount.nutrient: amount for amount in amounts}
    makers: Mapping[Jurisdiction, Callable[[Mapping[str, Amount], Helping], Panel]] = {
        Jurisdiction.US: _us,
        Jurisdiction.EU: lambda found, of: _european(Jurisdiction.EU, found, of),
        Jurisdiction.UK: lambda found, of: _european(Jurisdiction.UK, found, of),
        Jurisdiction.CANADA: lambda found, of: _canadian(found, of, french=french),
        Jurisdiction.AUSTRALIA_NEW_ZEALAND: _antipodean,
    }
    return makers[place](by_name, helping)


def is_needed(place: Jurisdiction, surface_cm2: float) -> bool:
    """Whether a package is large enough to need a panel; a claim on it always does. [cm2]"""
    least = limit("no_nutrition_surface", place)
    return least is None or surface_cm2 >= least


def shown(place: Jurisdiction, nutrient: str, amount: Amount, grams: float, by: str = "") -> str | None:
    """
    Return a nutrient of so many grams as the panel prints it; None where it is not known well enough to be printed.

    A value known only between bounds is printed when both bounds round alike.

    Parameters
    ----------
    place, nutrient
        Whose rule, and of what.
    amount
        Of 100 g.
    grams
        Mass spoken of. [g]
    by
        Name of the rounding rule where it is not the nutrient's own.
    """
    rule = by or nutrient
    low = rounded(place, rule, amount.low * grams / 100.0)
    if amount.value is not None:
        return low
    if amount.high is None or rounded(place, rule, amount.high * grams / 100.0) != low:
        return None
    return low


def percent_of(place: Jurisdiction, nutrient: str, amount: Amount, grams: float) -> str | None:
    """Return the per cent of the daily value in so many grams, rounded; None where it is not known or has none."""
    reference = daily_values(place).get(nutrient)
    if reference is None:
        return None
    rule = "percent_vitamin" if place is Jurisdiction.US and nutrient in _VITAMINS else "percent"
    low = rounded(place, rule, amount.low * grams / reference)
    if amount.value is not None:
        return low
    if amount.high is None or rounded(place, rule, amount.high * grams / reference) != low:
        return None
    return low


# ---- United States ---------------------------------------------------------------------------------------------------

_US_LINES: Final = (
    ("fat_g", "Total Fat", "g", 0, True),
    ("saturated_g", "Saturated Fat", "g", 1, False),
    ("trans_g", "Trans Fat", "g", 1, False),
    ("cholesterol_mg", "Cholesterol", "mg", 0, True),
    ("sodium_mg", "Sodium", "mg", 0, True),
    ("carbohydrate_g", "Total Carbohydrate", "g", 0, True),
    ("fibre_g", "Dietary Fiber", "g", 1, False),
    ("sugars_g", "Total Sugars", "g", 1, False),
    ("added_sugars_g", "Includes", "g Added Sugars", 2, False),
    ("protein_g", "Protein", "g", 0, True),
    ("vitamin_d_ug", "Vitamin D", "mcg", 0, False),
    ("calcium_mg", "Calcium", "mg", 0, False),
    ("iron_mg", "Iron", "mg", 0, False),
    ("potassium_mg", "Potassium", "mg", 0, False),
)
"""Lines after the calories, in the order of 21 CFR 101.9(c) and (d)."""


def _us(found: Mapping[str, Amount], of: Helping) -> Panel:
    place = Jurisdiction.US
    slices = slices_for(of.mass_g, of.reference_g)
    grams = of.mass_g / slices
    size = f"1/{slices} {of.noun}" if slices > 1 else f"1 {of.noun}"
    rows: list[PanelRow] = []
    missing: list[str] = []
    for nutrient, label, unit, indent, strong in _US_LINES:
        amount = found[nutrient]
        printed = shown(place, nutrient, amount, grams)
        # Protein carries no per cent: 101.9(c)(7)(i) asks for it only with a claim or for the very young.
        percent = None if nutrient == "protein_g" else percent_of(place, nutrient, amount, grams)
        if printed is None:
            missing.append(words_of(nutrient))
        if nutrient in daily_values(place) and nutrient != "protein_g":
            share = f"{percent}%" if percent is not None else UNKNOWN
            if percent is None and printed is not None:
                missing.append(f"% of {words_of(nutrient)}")
        else:
            share = ""
        rows.append(
            PanelRow(
                key=nutrient, label=label, cells=(f"{printed or UNKNOWN}{unit}", share), indent=indent, strong=strong
            )
        )
    servings = rounded(place, "servings", float(slices))
    return Panel(
        jurisdiction=place,
        title="Nutrition Facts",
        serving=(
            f"{servings} serving{'s' if slices > 1 else ''} per container",
            f"Serving size\t{size} ({rounded(place, 'serving_g', grams)}g)",
        ),
        calories=shown(place, "energy_kcal", found["energy_kcal"], grams) or UNKNOWN,
        columns=("Amount per serving", "% Daily Value*"),
        rows=tuple(rows),
        footnotes=(
            "* The % Daily Value (DV) tells you how much a nutrient in a serving of food contributes to a daily diet. "
            "2,000 calories a day is used for general nutrition advice.",
        ),
        missing=tuple(missing),
    )


# ---- European Union and United Kingdom -------------------------------------------------------------------------------

_EU_LINES: Final = (
    ("fat_g", "Fat", 0),
    ("saturated_g", "of which saturates", 1),
    ("carbohydrate_g", "Carbohydrate", 0),
    ("sugars_g", "of which sugars", 1),
    ("fibre_g", "Fibre", 0),
    ("protein_g", "Protein", 0),
    ("salt_g", "Salt", 0),
)
"""Lines after the energy, Annex XV."""


def _european(place: Jurisdiction, found: Mapping[str, Amount], of: Helping) -> Panel:
    masses = [100.0]
    columns = ["per 100 g"]
    portion_g = _portion_g(of)
    if portion_g:
        masses.append(portion_g)
        columns.append(f"per portion ({half_up(portion_g, 1.0):.0f} g)")
    missing: list[str] = []
    energies = [
        f"{shown(place, 'energy_kj', found['energy_kj'], grams)} kJ / "
        f"{shown(place, 'energy_kcal', found['energy_kcal'], grams)} kcal"
        for grams in masses
    ]
    rows = [PanelRow(key="energy_kj", label="Energy", cells=tuple(energies))]
    for nutrient, label, indent in _EU_LINES:
        cells = [shown(place, nutrient, found[nutrient], grams) for grams in masses]
        if None in cells:
            missing.append(words_of(nutrient))
        rows.append(PanelRow(key=nutrient, label=label, cells=tuple(_grams(cell) for cell in cells), indent=indent))
    return Panel(
        jurisdiction=place,
        title="Nutrition",
        serving=(f"{of.portions} portions",) if portion_g else (),
        calories="",
        columns=tuple(columns),
        rows=tuple(rows),
        footnotes=(),
        missing=tuple(missing),
    )


def _grams(cell: str | None) -> str:
    return UNKNOWN if cell is None else f"{cell} g"


def _portion_g(of: Helping) -> float:
    return of.mass_g / of.portions if of.portions else 0.0


# ---- Canada ----------------------------------------------------------------------------------------------------------

_CANADIAN_LINES: Final = (
    ("fat_g", "Fat", "g", 0, True),
    ("saturated_g", "Saturated", "g", 1, False),
    ("trans_g", "+ Trans", "g", 1, False),
    ("carbohydrate_g", "Carbohydrate", "g", 0, True),
    ("fibre_g", "Fibre", "g", 1, False),
    ("sugars_g", "Sugars", "g", 1, False),
    ("protein_g", "Protein", "g", 0, True),
    ("cholesterol_mg", "Cholesterol", "mg", 0, True),
    ("sodium_mg", "Sodium", "mg", 0, True),
    ("potassium_mg", "Potassium", "mg", 0, False),
    ("calcium_mg", "Calcium", "mg", 0, False),
    ("iron_mg", "Iron", "mg", 0, False),
)
"""Lines after the calories, B.01.401, table."""
_CANADIAN_FRENCH: Final[Mapping[str, str]] = {
    "fat_g": "Lipides",
    "saturated_g": "saturés",
    "trans_g": "trans",
    "carbohydrate_g": "Glucides",
    "fibre_g": "Fibres",
    "sugars_g": "Sucres",
    "protein_g": "Protéines",
    "cholesterol_mg": "Cholestérol",
    "sodium_mg": "",
    "potassium_mg": "",
    "calcium_mg": "",
    "iron_mg": "Fer",
}
"""The same in French, B.01.401, table, from memory; empty where both languages write alike."""


def _canadian(found: Mapping[str, Amount], of: Helping, *, french: bool) -> Panel:
    place = Jurisdiction.CANADA
    slices = slices_for(of.mass_g, of.reference_g)
    grams = of.mass_g / slices
    both = _sum("saturated_and_trans_g", found["saturated_g"], found["trans_g"])
    rows: list[PanelRow] = []
    missing: list[str] = []
    for nutrient, label, unit, indent, strong in _CANADIAN_LINES:
        printed = shown(place, nutrient, found[nutrient], grams)
        if printed is None:
            missing.append(words_of(nutrient))
        # Saturated and trans fat have one daily value together; it stands on the second of their lines.
        name, amount = ("saturated_and_trans_g", both) if nutrient == "trans_g" else (nutrient, found[nutrient])
        percent = percent_of(place, name, amount, grams)
        share = "" if name not in daily_values(place) else UNKNOWN if percent is None else f"{percent} %"
        if share == UNKNOWN and printed is not None:
            missing.append(f"% of {words_of(nutrient)}")
        other = _CANADIAN_FRENCH[nutrient] if french else ""
        rows.append(
            PanelRow(
                key=nutrient,
                label=f"{label} / {other}" if other else label,
                cells=(f"{printed or UNKNOWN} {unit}", share),
                indent=indent,
                strong=strong,
            )
        )
    share_of = f"1/{slices}" if slices > 1 else "1"
    mass = f"({rounded(place, 'serving_g', grams)} g)"
    serving = [f"Per {share_of} {of.noun} {mass}"]
    footnotes = ["*5% or less is a little, 15% or more is a lot"]
    if french:
        serving.append(f"pour {share_of} {french_word(f'noun.{of.noun}', of.noun)} {mass}")
        footnotes.append("*5 % ou moins c’est peu, 15 % ou plus c’est beaucoup")
    return Panel(
        jurisdiction=place,
        title="Nutrition Facts / Valeur nutritive" if french else "Nutrition Facts",
        serving=tuple(serving),
        calories=shown(place, "energy_kcal", found["energy_kcal"], grams) or UNKNOWN,
        columns=("", "% Daily Value* / % valeur quotidienne*" if french else "% Daily Value*"),
        rows=tuple(rows),
        footnotes=tuple(footnotes),
        missing=tuple(missing),
    )


def _sum(name: str, one: Amount, other: Amount) -> Amount:
    known = one.value is not None and other.value is not None
    high = None if one.high is None or other.high is None else one.high + other.high
    low = one.low + other.low
    return Amount(nutrient=name, value=low if known else None, low=low, high=high)


# ---- Australia and New Zealand ---------------------------------------------------------------------------------------

_ANTIPODEAN_LINES: Final = (
    ("energy_kj", "Energy", "kJ", 0),
    ("protein_g", "Protein", "g", 0),
    ("fat_g", "Fat, total", "g", 0),
    ("saturated_g", "– saturated", "g", 1),
    ("carbohydrate_g", "Carbohydrate", "g", 0),
    ("sugars_g", "– sugars", "g", 1),
    ("sodium_mg", "Sodium", "mg", 0),
)
"""Lines of the panel, Schedule 12."""


def _antipodean(found: Mapping[str, Amount], of: Helping) -> Panel:
    place = Jurisdiction.AUSTRALIA_NEW_ZEALAND
    # The maker chooses the serving: a portion as cut, else the largest lawful slice of the reference amount elsewhere.
    servings = of.portions or slices_for(of.mass_g, of.reference_g)
    serving_g = of.mass_g / servings
    rows: list[PanelRow] = []
    missing: list[str] = []
    for nutrient, label, unit, indent in _ANTIPODEAN_LINES:
        cells = [shown(place, nutrient, found[nutrient], grams) for grams in (serving_g, 100.0)]
        if None in cells:
            missing.append(words_of(nutrient))
        rows.append(
            PanelRow(
                key=nutrient,
                label=label,
                cells=tuple(UNKNOWN if cell is None else f"{cell} {unit}" for cell in cells),
                indent=indent,
            )
        )
    return Panel(
        jurisdiction=place,
        title="NUTRITION INFORMATION",
        serving=(
            f"Servings per package: {servings}",
            f"Serving size: {half_up(serving_g, 1.0):.0f} g",
        ),
        calories="",
        columns=("Average quantity per serving", "Average quantity per 100 g"),
        rows=tuple(rows),
        footnotes=(),
        missing=tuple(missing),
    )
