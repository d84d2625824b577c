"""From a commission that was worked through to its labels."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from pydantic import TypeAdapter

from tierwright.brief import read_commission, read_kitchen
from tierwright.brief.commission import Jurisdiction
from tierwright.brief.decor import Decor
from tierwright.dossier import Dossier, prepare
from tierwright.dossier.label_stage import label_order, label_stage
from tierwright.label import BrandLot, LabelOrder, Labels, Presence, label_cake
from tierwright.larder import Allergen, ingredient

EXAMPLE = Path(__file__).parents[2] / "examples" / "centenary"


@cache
def dossier() -> Dossier:
    return prepare(read_commission(EXAMPLE / "commission.toml"), read_kitchen(EXAMPLE / "kitchen.toml"))


def order() -> LabelOrder:
    made = dossier()
    return label_order(made.commission, made.kitchen, made.sizing, made.formulas, made.coating)


def test_every_cake_has_its_label_and_only_food_counts() -> None:
    made = dossier()
    plain = made.commission.model_copy(update={"decor": Decor()})
    labels = label_stage(plain, made.kitchen, made.sizing, made.formulas, made.coating)
    assert len(labels.units) == len(made.coating.tiers) + len(made.coating.kitchen_cakes)
    for label, coated in zip(labels.units, (*made.coating.tiers, *made.coating.kitchen_cakes), strict=True):
        inedible = sum(part.on_cake_g.value for part in coated.parts if part.part.value in ("board", "foam"))
        food = sum(part.on_cake_g.value for part in coated.parts) - inedible
        assert label.mass_g == pytest.approx(food, rel=1e-9)
    assert labels.whole.mass_g == pytest.approx(sum(label.mass_g for label in labels.units), rel=1e-9)


def test_what_a_formula_holds_is_on_each_tier_made_of_it() -> None:
    made = dossier()
    labels = label_stage(made.commission, made.kitchen, made.sizing, made.formulas, made.coating)
    for label, tier in zip(labels.units, made.coating.tiers, strict=False):
        keys = {part.formula for part in tier.parts}
        held = {
            allergen
            for work in made.formulas.works
            if work.formula.text.key in keys
            for line in work.formula.parts
            for allergen in ingredient(line.ingredient).contains
        }
        for allergen, mark in label.marks:
            assert (mark is Presence.PRESENT) is (allergen in held)


def test_packets_finish_the_labels() -> None:
    asked = {
        used.ingredient
        for component in order().components
        for used in component.used
        if ingredient(used.ingredient).ask_supplier
    }
    lots = tuple(BrandLot(ingredient=key, lot="1", contains=ingredient(key).contains) for key in sorted(asked))
    labels = label_cake(replace(order(), lots=lots))
    assert not any(label.is_draft for label in (*labels.units, labels.whole))
    assert not any(question.key == "label.packets" for question in labels.notes.questions)


@pytest.mark.parametrize("place", list(Jurisdiction))
def test_labels_are_written_and_read_back(place: Jurisdiction) -> None:
    labels = label_cake(replace(order(), jurisdiction=place))
    adapter = TypeAdapter(Labels)
    assert adapter.validate_json(adapter.dump_json(labels)) == labels


def test_a_known_loss_goes_before_the_usual_one() -> None:
    made = dossier()
    dry = label_order(made.commission, made.kitchen, made.sizing, made.formulas, made.coating, losses={"vanilla": 0.15})
    losses = {component.key: component.loss_share for component in dry.components}
    assert losses["vanilla"] == 0.15
    assert losses["lemon-poppy"] == pytest.approx(0.095)


def test_the_vegan_tier_is_no_promise() -> None:
    labels = label_cake(order())
    vegan = [label for label in labels.units if label.diet]
    assert vegan
    assert all(label.mark(Allergen.MILK) is not Presence.NOT_DECLARED for label in vegan)
    assert any(caution.key.startswith("label.vegan") for caution in labels.notes.cautions)
