"""The rules of each place: tables in the package, each row with its edition, section and date."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from math import floor, log10
from typing import Final

from tierwright.brief.commission import Jurisdiction
from tierwright.errors import OutOfRange, UnknownName
from tierwright.larder import Allergen
from tierwright.working import Basis, Source

CHECKED_ON: Final = date(2026, 11, 24)
"""Day on which the tables were last gone through; what changed in the law since then is not in them."""

EDITIONS: Final = {
    Jurisdiction.US: "21 CFR part 101, as of January 2024",
    Jurisdiction.EU: "Regulation (EU) No 1169/2011, consolidated 1 January 2018",
    Jurisdiction.UK: "Regulation (EU) No 1169/2011 as retained in Great Britain",
    Jurisdiction.CANADA: "Food and Drug Regulations (C.R.C., c. 870), as amended to 17 June 2024",
    Jurisdiction.AUSTRALIA_NEW_ZEALAND: "Australia New Zealand Food Standards Code, 2024",
}
"""Edition of the main text of each place."""

# A value that lies on a break within this share of a step is taken to lie on it: sums of floats miss by less.
_NUDGE: Final = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """
    One rule of one place.

    Attributes
    ----------
    key
        Which rule.
    value, unit
        Its number, None where it is words alone.
    text
        Its words: what is printed, or what is asked.
    section, edition
        Where it stands.
    in_force
        Since when.
    source
        All of this as a source.
    """

    key: str
    value: float | None
    unit: str
    text: str
    section: str
    edition: str
    in_force: date
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """
    One allergen on the list of one place.

    Attributes
    ----------
    allergen
        Of the larder.
    group
        Group of the list under which it falls.
    word
        Word for an ingredient list.
    statement
        Word for a 'Contains' statement.
    in_statement
        Whether it belongs in that statement.
    note
        What else the list asks, such as the species.
    source
        Section and date.
    """

    allergen: Allergen
    group: str
    word: str
    statement: str
    in_statement: bool
    note: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """
    One band of a rounding rule.

    Attributes
    ----------
    upto, inclusive
        Upper end of the band, None for none, and whether it belongs to it.
    step
        Rounded to a multiple of this; 0 prints nought; None where words or significant figures stand.
    figures
        Significant figures, or None.
    words
        Printed in place of a number.
    source
        Section and date.
    """

    upto: float | None
    inclusive: bool
    step: float | None
    figures: int | None
    words: str
    source: Source


def rows(name: str) -> list[dict[str, str]]:
    """Return the rows of one table of the package, as text."""
    text = (files("tierwright.label") / "data" / name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def source_of(row: dict[str, str], edition: str) -> Source:
    """Return the source of a row: edition, section and date."""
    return Source(basis=Basis(row["basis"]), text=f"{edition}, {row['section']}, in force {row['in_force']}")


@cache
def _rules() -> dict[tuple[str, Jurisdiction], Rule]:
    table = {}
    for row in rows("rules.csv"):
        place = Jurisdiction(row["jurisdiction"])
        table[row["key"], place] = Rule(
            key=row["key"],
            value=float(row["value"]) if row["value"] else None,
            unit=row["unit"],
            text=row["text"],
            section=row["section"],
            edition=row["edition"],
            in_force=date.fromisoformat(row["in_force"]),
            source=source_of(row, row["edition"]),
        )
    return table


@cache
def _rule_keys() -> frozenset[str]:
    return frozenset(key for key, _place in _rules())


def rule(key: str, place: Jurisdiction) -> Rule | None:
    """Return one rule of one place; None where the place has no such rule."""
    table = _rules()
    if key not in _rule_keys():
        raise UnknownName("label rule", key, sorted(_rule_keys()))
    return table.get((key, place))


def limit(key: str, place: Jurisdiction) -> float | None:
    """Return the number of a rule; None where the place has no such rule."""
    found = rule(key, place)
    return None if found is None else found.value


@cache
def allergen_list(place: Jurisdiction) -> dict[Allergen, Listed]:
    """Return the allergens that a place lists, in the order of its table."""
    return {
        Allergen(row["allergen"]): Listed(
            allergen=Allergen(row["allergen"]),
            group=row["group"],
            word=row["word"],
            statement=row["statement"],
            in_statement=row["in_statement"] == "yes",
            note=row["note"],
            source=source_of(row, EDITIONS[place]),
        )
        for row in rows("allergens.csv")
        if row["jurisdiction"] == place.value
    }


@cache
def allergen_words() -> dict[Allergen, tuple[str, ...]]:
    """Return the words by which a list may name each allergen, the longest first."""
    return {
        Allergen(row["allergen"]): tuple(sorted(row["words"].split(";"), key=len, reverse=True))
        for row in rows("allergen_words.csv")
    }


@cache
def bands(place: Jurisdiction, nutrient: str) -> tuple[Band, ...]:
    """Return the rounding rule of one nutrient in one place, lowest band first."""
    found = tuple(
        Band(
            upto=float(row["upto"]) if row["upto"] else None,
            inclusive=row["inclusive"] == "yes",
            step=float(row["step"]) if row["step"] else None,
            figures=int(row["figures"]) if row["figures"] else None,
            words=row["words"],
            source=source_of(row, EDITIONS[place]),
        )
        for row in rows("rounding.csv")
        if row["jurisdiction"] == place.value and row["nutrient"] == nutrient
    )
    if not found:
        known = sorted({row["nutrient"] for row in rows("rounding.csv") if row["jurisdiction"] == place.value})
        raise UnknownName(f"rounding rule of {place.value}", nutrient, known)
    return found


def band_of(place: Jurisdiction, nutrient: str, value: float) -> Band:
    """Return the band of a rounding rule into which a value falls."""
    if not value >= 0:
        raise OutOfRange(nutrient, value, 0.0, float("inf"), "", "label")
    for band in bands(place, nutrient):
        if band.upto is None:
            return band
        on_break = abs(value - band.upto) <= _NUDGE * max(1.0, band.upto)
        if on_break and band.inclusive:
            return band
        if value < band.upto and not on_break:
            return band
    raise AssertionError("the last band of a rule is open")


def rounded(place: Jurisdiction, nutrient: str, value: float) -> str:
    """
    Return a value as a panel prints it: rounded by the rule of the place, halves up.

    Parameters
    ----------
    place
        Whose rule.
    nutrient
        Field of the composition, or ``energy_kj``, ``energy_kcal``, ``salt_g``, ``percent``, ``percent_vitamin``,
        ``servings``, ``serving_g``.
    value
        In the unit that the name ends with. [g, mg, ug, kJ, kcal, %], not negative

    Examples
    --------
    >>> rounded(Jurisdiction.US, "fat_g", 4.74), rounded(Jurisdiction.US, "fat_g", 4.75)
    ('4.5', '5')
    """
    band = band_of(place, nutrient, value)
    if band.words:
        return "0" if value == 0 else band.words
    if band.figures is not None:
        return _figures(value, band.figures)
    assert band.step is not None
    if band.step == 0:
        return "0"
    return _plain(half_up(value, band.step))


def half_up(value: float, step: float) -> float:
    """Round to a multiple of a step, halves up."""
    return floor(value / step + 0.5 + _NUDGE) * step


def _plain(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return text or "0"


def _figures(value: float, figures: int) -> str:
    """Print with at most so many significant figures, and no more than one decimal."""
    if value == 0:
        return "0"
    step = 10.0 ** (floor(log10(value)) + 1 - figures)
    return _plain(half_up(value, max(step, 0.1)))


@cache
def daily_values(place: Jurisdiction, ages: str = "4 and over") -> dict[str, float]:
    """Return the daily values of a place for an age group: ``4 and over`` or ``1 to 3``. [g, mg, ug by the name]"""
    return {
        row["nutrient"]: float(row["value"])
        for row in rows("daily_values.csv")
        if row["jurisdiction"] == place.value and row["ages"] == ages
    }


@cache
def energy_factors(place: Jurisdiction) -> dict[str, tuple[float, float]]:
    """Return the energy of each part of a food in one place: kilojoules and kilocalories a gram. [kJ/g, kcal/g]"""
    return {
        row["part"]: (float(row["kj_per_g"]), float(row["kcal_per_g"]))
        for row in rows("energy.csv")
        if row["jurisdiction"] == place.value
    }


@cache
def exemption(place: Jurisdiction, allergen: Allergen) -> tuple[str, str]:
    """Return what a list leaves out of an allergen, and its source; two empty strings where it leaves nothing out."""
    for row in rows("exemptions.csv"):
        if row["jurisdiction"] == place.value and row["allergen"] == allergen.value:
            return row["text"], str(source_of(row, EDITIONS[place]))
    return "", ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """An ingredient that a place wants marked, or does not let into food: words that tell it, and what is said."""

    is_forbidden: bool
    words: tuple[str, ...]
    text: str
    source: Source


@cache
def marked_ingredients(place: Jurisdiction) -> tuple[Marked, ...]:
    """Return the ingredients that a place wants marked or does not allow, such as certain colours."""
    return tuple(
        Marked(
            is_forbidden=row["kind"] == "forbidden",
            words=tuple(row["words"].split(";")),
            text=row["text"],
            source=source_of(row, row["edition"]),
        )
        for row in rows("warnings.csv")
        if row["jurisdiction"] == place.value
    )


@cache
def declared_text(place: Jurisdiction, ingredient: str) -> str:
    """Return the list text that a place's law lays down for an ingredient; empty where the larder's own serves."""
    for row in rows("declared.csv"):
        if row["jurisdiction"] == place.value and row["ingredient"] == ingredient:
            return row["text"]
    return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeSentence:
    """What a state or country wants on the label of food from a home kitchen, word for word, and how it is set."""

    region: str
    text: str
    least_points: float | None
    source: Source


@cache
def home_sentences() -> dict[str, HomeSentence]:
    """Return the sentences that were read at their source, by region (ISO 3166-2)."""
    return {
        row["region"]: HomeSentence(
            region=row["region"],
            text=row["text"],
            least_points=float(row["least_points"]) if row["least_points"] else None,
            source=Source(basis=Basis(row["basis"]), text=f"{row['document']}, read {row['read_on']}"),
        )
        for row in rows("home_sentences.csv")
    }


def home_sentence(region: str) -> HomeSentence | None:
    """Return the sentence of a region; None where none was verified, and it has to be asked for."""
    return home_sentences().get(region)
