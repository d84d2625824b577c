"""Rounding of panels, row by row, at, below and above each break of its paragraph."""

from __future__ import annotations

import pytest

from tierwright.label import Jurisdiction, daily_values, rounded

US, EU, CA, AU = Jurisdiction.US, Jurisdiction.EU, Jurisdiction.CANADA, Jurisdiction.AUSTRALIA_NEW_ZEALAND

# 21 CFR 101.9(c)(1): nearest 5 up to and including 50, nearest 10 above; under 5 may be nought.
CALORIES = [(0, "0"), (4.99, "0"), (5, "5"), (7.4, "5"), (7.5, "10"), (47, "45"), (49, "50"), (50, "50"), (50.1, "50"),
            (52, "50"), (54.9, "50"), (55, "60"), (236, "240")]  # fmt: skip
# (c)(2), (2)(i), (2)(ii): half grams under 5, whole grams from there; under 0.5 is nought.
FATS = [(0, "0"), (0.49, "0"), (0.5, "0.5"), (0.74, "0.5"), (0.75, "1"), (4.74, "4.5"), (4.75, "5"), (4.99, "5"),
        (5, "5"), (5.4, "5"), (5.5, "6")]  # fmt: skip
# (c)(3): under 2 nought, 2 to 5 "less than 5", else nearest 5.
CHOLESTEROL = [
    (1.99, "0"),
    (2, "less than 5"),
    (4.99, "less than 5"),
    (5, "5"),
    (7.4, "5"),
    (7.5, "10"),
    (122.5, "125"),
]
# (c)(4): under 5 nought, nearest 5 to 140, nearest 10 above.
SODIUM = [(4.99, "0"), (5, "5"), (7.5, "10"), (137.4, "135"), (140, "140"), (144, "140"), (145, "150"), (155, "160")]
# (c)(6), (6)(i) to (iii), (c)(7): whole grams, under 0.5 may be nought.
GRAMS = [(0.49, "0"), (0.5, "1"), (1.49, "1"), (1.5, "2"), (36.5, "37")]
# (c)(8)(iii): per cent of vitamins and minerals by 2 to 10, by 5 to 50, by 10 above; under 2 nought.
VITAMIN_PERCENT = [(1.99, "0"), (2, "2"), (2.9, "2"), (3, "4"), (5, "6"), (9, "10"), (10, "10"), (12.4, "10"),
                   (12.5, "15"), (44.4, "45"), (50, "50"), (54.9, "50"), (55, "60"), (104, "100")]  # fmt: skip


@pytest.mark.parametrize(("value", "printed"), CALORIES)
def test_calories_of_paragraph_c1(value: float, printed: str) -> None:
    assert rounded(US, "energy_kcal", value) == printed


@pytest.mark.parametrize("nutrient", ["fat_g", "saturated_g", "trans_g"])
@pytest.mark.parametrize(("value", "printed"), FATS)
def test_fats_of_paragraph_c2(nutrient: str, value: float, printed: str) -> None:
    assert rounded(US, nutrient, value) == printed


@pytest.mark.parametrize(("value", "printed"), CHOLESTEROL)
def test_cholesterol_of_paragraph_c3(value: float, printed: str) -> None:
    assert rounded(US, "cholesterol_mg", value) == printed


@pytest.mark.parametrize(("value", "printed"), SODIUM)
def test_sodium_of_paragraph_c4(value: float, printed: str) -> None:
    assert rounded(US, "sodium_mg", value) == printed


@pytest.mark.parametrize("nutrient", ["carbohydrate_g", "fibre_g", "sugars_g", "added_sugars_g", "protein_g"])
@pytest.mark.parametrize(("value", "printed"), GRAMS)
def test_grams_of_paragraphs_c6_and_c7(nutrient: str, value: float, printed: str) -> None:
    assert rounded(US, nutrient, value) == printed


@pytest.mark.parametrize(("value", "printed"), VITAMIN_PERCENT)
def test_percent_of_paragraph_c8(value: float, printed: str) -> None:
    assert rounded(US, "percent_vitamin", value) == printed


@pytest.mark.parametrize(("value", "printed"), [(10.26, "10"), (12.5, "13"), (12.49, "12"), (0.4, "0")])
def test_percent_of_paragraph_d7(value: float, printed: str) -> None:
    assert rounded(US, "percent", value) == printed


# 21 CFR 101.9(b)(8)(i): whole numbers, but halves between two and five.
@pytest.mark.parametrize(
    ("value", "printed"), [(1.4, "1"), (2.2, "2"), (2.25, "2.5"), (4.9, "5"), (5.4, "5"), (12, "12")]
)
def test_servings_of_paragraph_b8(value: float, printed: str) -> None:
    assert rounded(US, "servings", value) == printed


@pytest.mark.parametrize(
    ("nutrient", "cases"),
    [
        # Amounts follow the significance of the reference intake; under 2 % of it is nought (FDA guidance of 2019).
        ("vitamin_d_ug", [(0.39, "0"), (0.4, "0.4"), (2.04, "2"), (2.05, "2.1")]),
        ("calcium_mg", [(25.9, "0"), (26, "30"), (264.9, "260"), (265, "270")]),
        ("iron_mg", [(0.35, "0"), (0.36, "0.4"), (8.04, "8")]),
        ("potassium_mg", [(93.9, "0"), (94, "90"), (234.9, "230"), (235, "240")]),
    ],
)
def test_amounts_of_paragraph_c8(nutrient: str, cases: list[tuple[float, str]]) -> None:
    assert [rounded(US, nutrient, value) for value, _ in cases] == [printed for _, printed in cases]


# 21 CFR 101.9(c)(9) and (c)(8)(iv), the values of the 2016 rule.
DAILY_VALUES = {
    "fat_g": 78, "saturated_g": 20, "cholesterol_mg": 300, "sodium_mg": 2300, "carbohydrate_g": 275, "fibre_g": 28,
    "added_sugars_g": 50, "protein_g": 50, "vitamin_d_ug": 20, "calcium_mg": 1300, "iron_mg": 18, "potassium_mg": 4700,
}  # fmt: skip
YOUNG = {
    "fat_g": 39, "saturated_g": 10, "cholesterol_mg": 300, "sodium_mg": 1500, "carbohydrate_g": 150, "fibre_g": 14,
    "added_sugars_g": 25, "protein_g": 13, "vitamin_d_ug": 15, "calcium_mg": 700, "iron_mg": 7, "potassium_mg": 3000,
}  # fmt: skip


def test_daily_values_of_the_2016_rule() -> None:
    assert daily_values(US) == DAILY_VALUES
    assert daily_values(US, "1 to 3") == YOUNG
    # Those of the rule before it must not come back.
    assert not {65, 2400, 3500} & set(daily_values(US).values())


# European Commission, guidance on tolerances, December 2012, table 4.
EUROPEAN = [
    ("fat_g", 0.5, "<0.5"), ("fat_g", 0.51, "0.5"), ("fat_g", 9.94, "9.9"), ("fat_g", 9.96, "10"), ("fat_g", 10, "10"),
    ("fat_g", 10.5, "11"), ("fat_g", 0, "0"), ("protein_g", 4.04, "4"), ("carbohydrate_g", 43.4, "43"),
    ("sugars_g", 0.5, "<0.5"), ("fibre_g", 0.55, "0.6"), ("saturated_g", 0.1, "<0.1"), ("saturated_g", 0.11, "0.1"),
    ("saturated_g", 10.4, "10"), ("salt_g", 0.0125, "<0.01"), ("salt_g", 0.0126, "0.01"), ("salt_g", 0.994, "0.99"),
    ("salt_g", 1, "1"), ("salt_g", 1.04, "1"), ("salt_g", 1.05, "1.1"), ("energy_kj", 964.5, "965"),
]  # fmt: skip


@pytest.mark.parametrize(("nutrient", "value", "printed"), EUROPEAN)
def test_european_guidance(nutrient: str, value: float, printed: str) -> None:
    assert rounded(EU, nutrient, value) == printed
    assert rounded(Jurisdiction.UK, nutrient, value) == printed


# From memory: Food and Drug Regulations (Canada), table to B.01.401.
CANADIAN = [
    ("energy_kcal", 4.4, "4"), ("energy_kcal", 5, "5"), ("energy_kcal", 52, "50"), ("energy_kcal", 55, "60"),
    ("fat_g", 0.44, "0.4"), ("fat_g", 0.5, "0.5"), ("fat_g", 4.75, "5"), ("fat_g", 5.5, "6"), ("sodium_mg", 4, "4"),
    ("sodium_mg", 140, "140"), ("sodium_mg", 145, "150"), ("potassium_mg", 4.9, "0"), ("potassium_mg", 5, "10"),
    ("potassium_mg", 49, "50"), ("potassium_mg", 62.5, "75"), ("calcium_mg", 249, "250"), ("calcium_mg", 275, "300"),
    ("iron_mg", 0.04, "0"), ("iron_mg", 0.05, "0.1"), ("iron_mg", 0.6, "0.5"), ("iron_mg", 0.63, "0.75"),
    ("iron_mg", 2.75, "3"), ("fibre_g", 0.49, "0"), ("protein_g", 0.44, "0.4"), ("serving_g", 9.94, "9.9"),
    ("serving_g", 82.4, "82"),
]  # fmt: skip


@pytest.mark.parametrize(("nutrient", "value", "printed"), CANADIAN)
def test_canadian_table(nutrient: str, value: float, printed: str) -> None:
    assert rounded(CA, nutrient, value) == printed


# From memory: Food Standards Code, Standard 1.2.8: at most three significant figures, and words for little.
@pytest.mark.parametrize(
    ("nutrient", "value", "printed"),
    [
        ("energy_kj", 39.9, "LESS THAN 40"), ("energy_kj", 40, "40"), ("energy_kj", 1518, "1520"),
        ("fat_g", 0.99, "LESS THAN 1"), ("fat_g", 1, "1"), ("fat_g", 18.66, "18.7"), ("sodium_mg", 4.9, "LESS THAN 5"),
        ("sodium_mg", 5, "5"), ("sodium_mg", 1234, "1230"),
    ],
)  # fmt: skip
def test_antipodean_figures(nutrient: str, value: float, printed: str) -> None:
    assert rounded(AU, nutrient, value) == printed
