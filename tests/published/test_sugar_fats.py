"""Solid fat, and mixtures of it, against what dairy and confectionery books say."""

from __future__ import annotations

from itertools import pairwise

import pytest

from tierwright.sugar.cream_model import CreamLine
from tierwright.sugar.fats import fat_kinds, solid_in_whole, solid_percent
from tierwright.sugar.mixing import heat_content_j


# Walstra; Marangoni (from memory): milk fat, % solid at degrees C.
@pytest.mark.parametrize(("celsius", "percent"), [(5, 55), (10, 45), (15, 35), (20, 20), (30, 5)])
def test_milk_fat(celsius: float, percent: float) -> None:
    # Summer and winter butter part by about 8 points; the stated range must hold the book's value and not be idle.
    solid = solid_percent("butterfat", celsius)
    assert solid.value == pytest.approx(percent, abs=2)
    assert 2 <= solid.high - solid.low <= 20


def test_butter_is_spreadable_between_twenty_and_forty_percent_solid() -> None:
    # Walstra (from memory): butter spreads while 20 to 40 % of its fat is solid, which is 13 to 20 C.
    assert solid_percent("butterfat", 20.0).value == pytest.approx(20, abs=1)
    assert solid_percent("butterfat", 13.0).value == pytest.approx(39, abs=2)


# Melting ends: butter 32 to 37 C, cocoa butter 34 to 36, coconut oil 24 to 26, shortening in the forties; textbooks.
@pytest.mark.parametrize(
    ("fat", "still_solid_c", "all_liquid_c"),
    [("butterfat", 30, 37), ("cocoa-butter", 32, 37), ("coconut", 23, 27), ("shortening", 38, 50)],
)
def test_melting_ends(fat: str, still_solid_c: float, all_liquid_c: float) -> None:
    assert solid_percent(fat, still_solid_c).value > 3
    assert solid_percent(fat, all_liquid_c).value == 0.0


def test_every_curve_falls_with_temperature() -> None:
    for fat in fat_kinds():
        values = [solid_percent(fat, 5 + 0.5 * i).value for i in range(91)]
        assert all(a >= b for a, b in pairwise(values))
        assert values[-1] == 0.0


def test_milk_fat_and_cocoa_butter_soften_each_other() -> None:
    # Isosolid diagrams (Timms 1984, from memory): a half-and-half mixture is softer than the mean of the two.
    mean = (solid_percent("butterfat", 25).value + solid_percent("cocoa-butter", 25).value) / 2
    mixed = solid_in_whole({"butterfat": 0.5, "cocoa-butter": 0.5}, 25.0)
    assert mixed.value < mean - 5
    assert solid_in_whole({"cocoa-butter": 1.0}, 25.0).value == solid_percent("cocoa-butter", 25).value


def test_melting_butter_takes_the_heat_that_calorimetry_gives() -> None:
    # Milk fat melts with 80 to 90 J/g (from memory); from 5 to 40 C butter of 82 % fat takes 2.3 J/(g K) x 35 K and
    # 82 % x 55 % x 85 J/g: 118 J/g.
    butter = (CreamLine(part="butter", grams=1.0),)
    assert heat_content_j(butter, 40.0) - heat_content_j(butter, 5.0) == pytest.approx(118, rel=0.06)
