"""Panels, quantities and energies that official texts print."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tierwright.label import (
    Amount,
    Component,
    Helping,
    Jurisdiction,
    LabelOrder,
    PartOf,
    Unit,
    Used,
    cake_class,
    energy,
    label_cake,
    lawful_slices,
    panel,
    quantity_words,
    reference_amount,
    slices_for,
)
from tierwright.label.serving import ML_PER_CUBIC_INCH
from tierwright.units import English

ALL = (
    "fat_g", "saturated_g", "trans_g", "cholesterol_mg", "sodium_mg", "carbohydrate_g", "fibre_g", "sugars_g",
    "added_sugars_g", "protein_g", "vitamin_d_ug", "calcium_mg", "iron_mg", "potassium_mg", "energy_kcal", "energy_kj",
    "salt_g",
)  # fmt: skip


def known(per_100_g: Mapping[str, float]) -> list[Amount]:
    return [
        Amount(
            nutrient=name, value=per_100_g.get(name, 0.0), low=per_100_g.get(name, 0.0), high=per_100_g.get(name, 0.0)
        )
        for name in ALL
    ]


def test_sample_label_of_101_9_d() -> None:
    """The sample label of 21 CFR 101.9(d)(12) and its worked %DV in (d)(8): a serving of 55 g, 8 of them."""
    serving = {
        "energy_kcal": 230, "fat_g": 8, "saturated_g": 1, "trans_g": 0, "cholesterol_mg": 0, "sodium_mg": 160,
        "carbohydrate_g": 37, "fibre_g": 4, "sugars_g": 12, "added_sugars_g": 10, "protein_g": 3, "vitamin_d_ug": 2,
        "calcium_mg": 260, "iron_mg": 8, "potassium_mg": 235,
    }  # fmt: skip
    amounts = known({name: value * 100 / 55 for name, value in serving.items()})
    made = panel(Jurisdiction.US, amounts, Helping(mass_g=440.0, portions=8, reference_g=55.0))
    assert made.serving == ("8 servings per container", "Serving size\t1/8 cake (55g)")
    assert made.calories == "230"
    cells = {row.key: row.cells for row in made.rows}
    assert cells["fat_g"] == ("8g", "10%")
    assert cells["saturated_g"] == ("1g", "5%")
    assert cells["trans_g"] == ("0g", "")
    assert cells["cholesterol_mg"] == ("0mg", "0%")
    assert cells["sodium_mg"] == ("160mg", "7%")
    assert cells["carbohydrate_g"] == ("37g", "13%")
    assert cells["fibre_g"] == ("4g", "14%")
    assert cells["sugars_g"] == ("12g", "")
    assert cells["added_sugars_g"] == ("10g Added Sugars", "20%")
    assert cells["protein_g"] == ("3g", "")
    assert cells["vitamin_d_ug"] == ("2mcg", "10%")
    assert cells["calcium_mg"] == ("260mg", "20%")
    assert cells["iron_mg"] == ("8mg", "45%")
    # The paragraph prints 235 mg by its leave for further digits; 240 is the same amount to the tens.
    assert cells["potassium_mg"] == ("240mg", "6%")
    assert [row.key for row in made.rows] == [
        "fat_g", "saturated_g", "trans_g", "cholesterol_mg", "sodium_mg", "carbohydrate_g", "fibre_g", "sugars_g",
        "added_sugars_g", "protein_g", "vitamin_d_ug", "calcium_mg", "iron_mg", "potassium_mg",
    ]  # fmt: skip
    assert not made.missing


def test_energy_by_annex_xiv_is_not_one_unit_times_a_factor() -> None:
    """Regulation (EU) No 1169/2011, Annex XIV: 10 g fat, 20 g carbohydrate, 15 g protein."""
    assert energy(Jurisdiction.EU, carbohydrate_g=20, protein_g=15, fat_g=10) == (965, 230)
    assert round(230 * 4.184) == 962


@pytest.mark.parametrize(
    ("part", "kilojoules", "kilocalories"),
    [
        ("carbohydrate_g", 17, 4), ("protein_g", 17, 4), ("fat_g", 37, 9), ("alcohol_g", 29, 7), ("fibre_g", 8, 2),
        ("polyols_g", 10, 2.4), ("organic_acid_g", 13, 3), ("erythritol_g", 0, 0),
    ],
)  # fmt: skip
def test_each_factor_of_annex_xiv(part: str, kilojoules: float, kilocalories: float) -> None:
    grams = {"carbohydrate_g": 0.0, "protein_g": 0.0, "fat_g": 0.0} | {part: 1.0}
    assert energy(Jurisdiction.EU, **grams) == (kilojoules, kilocalories)


def test_general_factors_of_101_9_c_1_i_b() -> None:
    """4, 4 and 9 calories: 10 g fat, 20 g carbohydrate, 15 g protein make 230."""
    assert energy(Jurisdiction.US, carbohydrate_g=20, protein_g=15, fat_g=10)[1] == 230


def test_sultanas_of_the_quantity_guidance() -> None:
    """A council's note on quantities: 800 g of dough and 200 g of sultanas bake to 800 g; 25 % is declared."""
    assert quantity_words(200, 800, Jurisdiction.EU) == "25 %"
    fruit_loaf = Component(
        key="loaf",
        name="fruit loaf",
        noun="cake",
        used=(
            Used(ingredient="plain_flour", grams=500),
            Used(ingredient="whole_milk", grams=300),
            Used(ingredient="golden_raisins", grams=200),
        ),
        loss_share=0.2,
        leavened=True,
    )
    order = LabelOrder(
        jurisdiction=Jurisdiction.UK,
        english=English.UK,
        components=(fruit_loaf,),
        units=(Unit(key="u", name="loaf", food_name="Sultana loaf", parts=(PartOf(component="loaf", grams=800),)),),
    )
    text = label_cake(order).units[0].declaration.text
    assert "sultanas (sulphites) (25 %)" in text


def test_more_than_all_is_told_in_grams() -> None:
    """Annex VIII, point 3: where the oven takes so much that a share passes 100 %, grams to 100 g are told."""
    assert quantity_words(110, 100, Jurisdiction.EU) == "110 g per 100 g"
    assert quantity_words(100, 100, Jurisdiction.EU) == "100 %"


@pytest.mark.parametrize(("key", "grams"), [("heavy", 125), ("medium", 80), ("light", 55)])
def test_reference_amounts_of_101_12_b(key: str, grams: float) -> None:
    assert reference_amount(key) == grams


def test_classes_of_cake_of_101_12_b() -> None:
    assert cake_class(leavened=True, coated=False, fruit_share=0.0) == "medium"
    assert cake_class(leavened=False, coated=False, fruit_share=0.0) == "light"  # angel, chiffon, sponge
    assert cake_class(leavened=False, coated=True, fruit_share=0.0) == "medium"  # light cake with icing
    assert cake_class(leavened=True, coated=True, fruit_share=0.349) == "medium"
    assert cake_class(leavened=True, coated=True, fruit_share=0.35) == "heavy"
    # Footnotes, from memory: 10 g a cubic inch and more is heavy, under 4 g light.
    assert cake_class(leavened=True, coated=True, fruit_share=0, g_per_ml=10.01 / ML_PER_CUBIC_INCH) == "heavy"
    assert cake_class(leavened=True, coated=True, fruit_share=0, g_per_ml=9.99 / ML_PER_CUBIC_INCH) == "medium"
    assert cake_class(leavened=False, coated=False, fruit_share=0, g_per_ml=4.01 / ML_PER_CUBIC_INCH) == "medium"
    assert cake_class(leavened=False, coated=False, fruit_share=0, g_per_ml=3.99 / ML_PER_CUBIC_INCH) == "light"


def test_fractions_of_101_9_b_2_ii() -> None:
    """A half to a sixth, or these divided on by two or three; one serving under twice the amount."""
    assert lawful_slices(16) == (1, 2, 3, 4, 5, 6, 8, 9, 10, 12, 15, 16)
    assert slices_for(960, 80) == 12
    assert slices_for(159.9, 80) == 1
    assert slices_for(160, 80) == 2


@given(carbohydrate=st.floats(0, 60), protein=st.floats(0, 20), fat=st.floats(0, 20), alcohol=st.floats(0, 5))
def test_calories_in_australia_and_new_zealand_are_kilojoules_by_4_18(
    carbohydrate: float, protein: float, fat: float, alcohol: float
) -> None:
    """Schedule 11, section S11-2(4), as in the New Zealand Gazette No. 50 of 8 May 2015, page 71."""
    place = Jurisdiction("AU-NZ")
    kilojoules, calories = energy(place, carbohydrate_g=carbohydrate, protein_g=protein, fat_g=fat, alcohol_g=alcohol)
    assert calories == pytest.approx(kilojoules / 4.18, rel=2e-4)
