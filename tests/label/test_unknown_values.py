"""What is not known of a food: bounds that no table can leave, and guests whose allergen no law lists."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from tests.label.test_declaring import label
from tests.label.test_lots import order

from tierwright.errors import OutOfRange
from tierwright.label import Avoided, BrandLot, Component, Jurisdiction, Used, label_cake
from tierwright.label.nutrition import amounts, content
from tierwright.larder import Allergen, Composition
from tierwright.units import English

US = Jurisdiction.US
# A packet that says no more than the four parts of every food, and its ash.
SILENT = Composition(water_g=10.0, protein_g=5.0, fat_g=30.0, carbohydrate_g=52.0, ash_g=3.0)


def coat(*grams: float) -> Component:
    used = tuple(Used(ingredient=key, grams=mass) for key, mass in zip(("plain_flour", "water"), grams, strict=False))
    return Component(key="c", name="coat", noun="icing", used=used)


def bounds(composition: Composition) -> dict[str, Any]:
    read = BrandLot(ingredient="plain_flour", lot="A", composition=composition)
    found = amounts([(content(coat(50.0), {"plain_flour": (read,)}), 100.0)], US)
    return {one.nutrient: (one.low, one.high) for one in found}


def test_a_part_is_no_more_than_its_whole() -> None:
    # Saturated and trans fat are fat, sugars are carbohydrate, minerals are ash: AOAC's proximate scheme.
    found = bounds(SILENT)
    assert found["saturated_g"] == (0.0, pytest.approx(30.0))
    assert found["sugars_g"] == (0.0, pytest.approx(52.0))
    assert found["sodium_mg"] == (0.0, pytest.approx(3000.0))
    assert found["salt_g"] == (0.0, pytest.approx(7.5)), "2.5 times the sodium"
    assert found["cholesterol_mg"] == (0.0, None), "nothing bounds it where there is fat"
    made = content(coat(50.0), {"plain_flour": (BrandLot(ingredient="plain_flour", lot="A", composition=SILENT),)})
    assert made.missing["saturated_g"] == ("plain_flour",)
    assert made.filled == (), "a bound is no value that a rule has filled in"
    half = bounds(replace(SILENT, saturated_g=18.0))
    assert half["trans_g"] == (0.0, pytest.approx(12.0))


def test_what_one_part_leaves_open_stays_open_in_the_whole() -> None:
    read = BrandLot(ingredient="plain_flour", lot="A", composition=SILENT)
    silent, known = content(coat(50.0), {"plain_flour": (read,)}), content(coat(50.0), {})
    found = {one.nutrient: one for one in amounts([(silent, 60.0), (known, 40.0)], US)}
    assert found["cholesterol_mg"].high is None
    assert found["cholesterol_mg"].missing == ("plain_flour",)


def test_without_fat_there_is_nothing_that_goes_with_fat() -> None:
    found = bounds(replace(SILENT, fat_g=0.0, carbohydrate_g=82.0))
    assert found["cholesterol_mg"] == found["saturated_g"] == found["trans_g"] == (0.0, 0.0)


def test_what_is_not_used_is_not_counted_and_nothing_is_no_food() -> None:
    some, more = (content(coat(50.0, *water), {}) for water in ((), (0.0,)))
    assert some == more
    with pytest.raises(OutOfRange, match="mass"):
        content(coat(0.0), {})
    with pytest.raises(OutOfRange, match="mass"):
        amounts([(some, 0.0)], US)


def test_a_guest_whose_allergen_the_place_does_not_list_is_named_with_the_packets() -> None:
    # Celery is among the fourteen of Regulation (EU) No 1169/2011, Annex II, and not among the nine of the FD&C Act.
    avoided = (Avoided(allergen=Allergen.CELERY, guests="Ines"),)
    labels = label_cake(replace(order("dark_chocolate_60"), jurisdiction=US, english=English.US, avoided=avoided))
    asked = " ".join(question.reason + question.text for question in labels.notes.questions)
    assert "First of all celery (Ines)." in asked


@pytest.mark.parametrize(("species", "blocked"), [((), True), (("cod",), False)])
def test_fish_is_named_by_its_species(species: tuple[str, ...], blocked: bool) -> None:
    # FD&C Act 201(qq): fish and crustaceans by species.
    packet = BrandLot(ingredient="caster_sugar", lot="S", contains=(Allergen.FISH,), species=species)
    blocks = [block for block in label(US, lots=(packet,)).blocks if ".species." in block.key]
    assert bool(blocks) is blocked
    assert all("species" in block.ask for block in blocks)
