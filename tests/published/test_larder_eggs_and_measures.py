"""The larder against published weight classes of eggs, household measures, pans and flowers."""

from __future__ import annotations

import math

import pytest

from tierwright.larder import (
    VOLUME_ML,
    FlowerStatus,
    egg_grade,
    find_flower,
    grade_of,
    ingredient,
    pan,
)

# USDA AMS, United States Standards, Grades, and Weight Classes for Shell Eggs: minimum net weight a dozen. [oz]
US_DOZENS = {
    "us_jumbo": 30, "us_extra_large": 27, "us_large": 24, "us_medium": 21, "us_small": 18, "us_peewee": 15,
}  # fmt: skip
OUNCE_G = 28.349523125  # exact: NIST SP 811

# Commission Delegated Regulation (EU) 2023/2465: XL 73 g and more, L 63 to less than 73, M 53 to less than 63, S less
# than 53. The half-open bounds put an egg of 62.5 g into M, though a summary prints "M 53-62".
EU_EGGS = [(73.0, "XL"), (72.999, "L"), (63.0, "L"), (62.999, "M"), (62.5, "M"), (53.0, "M"), (52.999, "S")]


@pytest.mark.parametrize(("key", "ounces"), US_DOZENS.items())
def test_us_weight_classes(key: str, ounces: int) -> None:
    lightest = ounces * OUNCE_G / 12
    # The table holds hundredths of a gram.
    assert egg_grade(key).shell_low_g == pytest.approx(lightest, abs=0.006)
    found = grade_of(lightest + 0.01, "US")
    assert found is not None
    assert found.key == key


@pytest.mark.parametrize(("shell_g", "name"), EU_EGGS)
def test_eu_weight_classes(shell_g: float, name: str) -> None:
    found = grade_of(shell_g, "EU")
    assert found is not None
    assert found.name == name


@pytest.mark.parametrize(
    ("key", "grams"),
    # USDA SR28, NDB 01123, household weights of a raw egg without shell.
    [("us_jumbo", 63), ("us_extra_large", 56), ("us_large", 50), ("us_medium", 44), ("us_small", 38)],
)
def test_edible_part(key: str, grams: float) -> None:
    assert egg_grade(key).edible_g.value == grams


def test_large_egg_by_parts() -> None:
    # USDA SR28, NDB 01124 and 01125: a large egg has 33 g of white and 17 g of yolk.
    large = egg_grade("us_large")
    assert large.white_g.value == pytest.approx(33, abs=0.5)
    assert large.yolk_g.value == pytest.approx(17, abs=0.5)


def test_volumes_are_nist_s() -> None:
    # NIST Handbook 44, appendix C: a gallon is 231 in3, a cup a sixteenth of it; 1 in3 = 16.387064 ml exactly.
    assert VOLUME_ML["cup"] == pytest.approx(231 * 16.387064 / 16, rel=1e-12)
    # NIST Metric Household (SP 430), whole millilitres and tenths.
    assert VOLUME_ML["cup"] == pytest.approx(237, abs=0.5)
    assert VOLUME_ML["tbsp"] == pytest.approx(15, abs=0.5)
    assert VOLUME_ML["tsp"] == pytest.approx(4.9, abs=0.05)
    assert VOLUME_ML["cup"] == pytest.approx(16 * VOLUME_ML["tbsp"]) == pytest.approx(48 * VOLUME_ML["tsp"])


# USDA Home Economics Research Report 41 (1977), as quoted by secondary pages: grams of a cup. Its means and SR28's were
# weighed on other samples; both must lie in our range.
SECOND_LABORATORY = [
    ("all_purpose_flour", "spooned", 126), ("all_purpose_flour", "sifted", 116), ("bread_flour", "spooned", 123),
    ("bread_flour", "sifted", 117), ("cake_flour", "spooned", 111), ("cake_flour", "sifted", 99),
    ("light_brown_sugar", "packed", 211), ("cornstarch", "spooned", 125), ("powdered_sugar", "unsifted", 113),
    ("powdered_sugar", "sifted", 95), ("white_sugar", "level", 196), ("barley_flour", "spooned", 102),
]  # fmt: skip


@pytest.mark.parametrize(("key", "way", "grams"), SECOND_LABORATORY)
def test_ranges_hold_a_second_laboratory(key: str, way: str, grams: float) -> None:
    cup = ingredient(key).measure("cup", way).grams
    assert cup.low <= grams <= cup.high


def test_water_weighs_what_physics_says() -> None:
    # CIPM 2001: 998.2 kg/m3 at 20 C and 958.4 at 100 C; a cup of water in a kitchen lies between.
    cup = ingredient("water").measure("cup").grams
    assert cup.value == pytest.approx(0.9982 * VOLUME_ML["cup"], abs=0.1)


def test_pan_volume_is_the_cylinder_s() -> None:
    # An 8 by 3 in round holds pi/4 * 64 * 3 = 150.8 in3.
    assert pan("round_8x3_in").volume_ml == pytest.approx(math.pi / 4 * 64 * 3 * 16.387064, rel=1e-3)


@pytest.mark.parametrize(
    ("name", "status"),
    # Colorado State University Extension 7.237 and California Poison Control (poisonous); Colorado State University's
    # release on edible flowers of 2002 (edible).
    [
        ("lily of the valley", FlowerStatus.POISONOUS), ("Digitalis purpurea", FlowerStatus.POISONOUS),
        ("larkspur", FlowerStatus.POISONOUS), ("sweet pea", FlowerStatus.POISONOUS),
        ("hydrangea", FlowerStatus.POISONOUS), ("daffodils", FlowerStatus.POISONOUS),
        ("violas", FlowerStatus.EDIBLE), ("pansies", FlowerStatus.EDIBLE), ("roses", FlowerStatus.EDIBLE),
        ("daylily", FlowerStatus.EDIBLE), ("true lily", FlowerStatus.NOT_FOOD),
        ("peonies", FlowerStatus.CONFLICT), ("tulips", FlowerStatus.CONFLICT),
    ],
)  # fmt: skip
def test_flowers(name: str, status: FlowerStatus) -> None:
    found = find_flower(name)
    assert found is not None
    assert found.status is status
    assert found.may_touch_food is (status is FlowerStatus.EDIBLE)
