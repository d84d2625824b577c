"""What a new lot changes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tierwright.label import (
    BrandLot,
    Component,
    Jurisdiction,
    LabelOrder,
    PartOf,
    Unit,
    Used,
    card_of,
    label_cake,
    recheck,
)
from tierwright.label.nutrition import content
from tierwright.larder import Allergen, Answer


def order(key: str) -> LabelOrder:
    return LabelOrder(
        jurisdiction=Jurisdiction.UK,
        components=(
            Component(
                key="c",
                name="coat",
                noun="icing",
                used=(Used(ingredient=key, grams=50.0), Used(ingredient="white_sugar", grams=50.0)),
            ),
        ),
        units=(Unit(key="tier.1", name="top tier", food_name="Cake", parts=(PartOf(component="c", grams=80.0),)),),
    )


OLD = BrandLot(
    ingredient="dark_chocolate_60", lot="A1", contains=(Allergen.SOY,), declaration="cocoa mass, sugar, soya lecithin"
)
NEW = replace(OLD, lot="A2", may_contain=(Allergen.HAZELNUT,))


def test_only_commissions_that_use_it_are_touched() -> None:
    changes = recheck({"one": order("dark_chocolate_60"), "two": order("unsalted_butter")}, (OLD,), (NEW,))
    assert {change.commission for change in changes} == {"one"}
    worse = [change for change in changes if change.is_worse]
    assert worse[0].before == "hazelnuts: not declared"
    assert worse[0].after == "hazelnuts: may contain"
    assert {change.unit for change in worse} == {"tier.1", "whole"}
    assert any(change.what == "statement" and change.after == "May contain: hazelnuts." for change in changes)


def test_what_is_worse_comes_first_over_all_commissions_and_its_way_is_told() -> None:
    changes = recheck({"one": order("dark_chocolate_60"), "two": order("dark_chocolate_60")}, (OLD,), (NEW,))
    worse = [change.is_worse for change in changes]
    assert worse == sorted(worse, reverse=True)
    assert {change.commission for change in changes if change.is_worse} == {"one", "two"}
    # Soy was told by the old packet and still is by the new; hazelnut is what the new one adds.
    ways = [change for change in changes if change.what == "way"]
    assert {change.before for change in ways} == {""}
    assert all("hazelnuts: may contain" in change.after and change.after.endswith("lot A2") for change in ways)
    assert {(change.commission, change.unit) for change in ways} >= {("one", "tier.1"), ("two", "tier.1")}


def test_a_part_of_a_compound_counts_as_used() -> None:
    icing_sugar = BrandLot(ingredient="powdered_sugar", lot="G", may_contain=(Allergen.WHEAT,))
    changes = recheck({"one": order("royal_icing")}, (), (icing_sugar,))
    assert changes, "royal icing holds icing sugar"


def test_the_same_packets_change_nothing() -> None:
    assert recheck({"one": order("dark_chocolate_60")}, (OLD,), (OLD,)) == ()
    assert recheck({"one": order("dark_chocolate_60")}, (OLD,), (replace(OLD, lot="A3"),)) == ()


def test_losing_a_packet_makes_it_unknown_again() -> None:
    changes = recheck({"one": order("dark_chocolate_60")}, (OLD,), ())
    assert any(change.is_worse and change.after == "milk: not known: ask" for change in changes)


def test_two_lots_in_one_cake_add_up() -> None:
    both = label_cake(replace(order("dark_chocolate_60"), lots=(OLD, NEW))).units[0]
    assert "hazelnuts" in both.declaration.may_contain


def test_card_has_a_column_for_every_allergen_and_keeps_diet_apart() -> None:
    vegan = order("vegan_block")
    vegan = replace(vegan, units=(replace(vegan.units[0], diet="vegan"),))
    labels = label_cake(vegan)
    card = card_of(labels.units, Jurisdiction.UK)
    assert len(card.columns) == len(card.rows[0].marks) == 24
    assert "no promise for milk or egg allergy" in card.rows[0].diet
    assert labels.units[0].vegan is Answer.ASK
    assert "no promise" in labels.card


def test_mass_is_kept_and_only_water_leaves() -> None:
    batter = Component(
        key="b",
        name="b",
        noun="cake",
        used=(Used(ingredient="plain_flour", grams=100.0), Used(ingredient="whole_milk", grams=100.0)),
    )
    baked = replace(batter, loss_share=0.2)
    raw, dry = content(batter, {}), content(baked, {})
    # 200 g became 160 g: everything but water stands in less mass.
    for nutrient in ("protein_g", "fat_g", "carbohydrate_g", "sodium_mg", "calcium_mg"):
        assert dry.low[nutrient] * 160 == pytest.approx(raw.low[nutrient] * 200, rel=1e-12)
    assert dry.low["water_g"] * 160 == pytest.approx(raw.low["water_g"] * 200 - 40, rel=1e-12)


def test_what_the_tables_do_not_know_is_bounded_or_open() -> None:
    gum = Component(
        key="g",
        name="g",
        noun="x",
        used=(Used(ingredient="cmc", grams=1.0), Used(ingredient="white_sugar", grams=9999.0)),
    )
    held = content(gum, {})
    assert held.low["potassium_mg"] <= (held.high["potassium_mg"] or 0.0)
    order_ = replace(order("cmc"), jurisdiction=Jurisdiction.US, components=(replace(gum, key="c"),))
    # A gram of gum in ten kilograms moves no printed figure, so nothing has to be asked.
    assert "potassium" not in label_cake(order_).units[0].panel.missing


def test_a_whole_cake_is_only_called_what_all_its_tiers_are() -> None:
    plain = order("white_sugar")
    vegan = replace(plain.units[0], key="tier.2", name="bottom tier", diet="vegan")
    assert label_cake(replace(plain, units=(*plain.units, vegan))).whole.diet == ""
    assert label_cake(replace(plain, units=(replace(plain.units[0], diet="vegan"), vegan))).whole.diet == "vegan"


def test_a_whole_cake_has_a_french_name_where_all_its_tiers_have_one() -> None:
    plain = replace(order("white_sugar"), jurisdiction=Jurisdiction("CA"), french=True)
    first, second = (replace(plain.units[0], key=key, food_name_french="Gâteau") for key in ("tier.1", "tier.2"))
    assert label_cake(replace(plain, units=(first, second))).whole.food_name_french == "Gâteau"
    nameless = replace(second, food_name_french="")
    assert label_cake(replace(plain, units=(first, nameless))).whole.food_name_french == ""


def test_a_change_of_the_list_is_told_in_french_too_where_it_is_printed() -> None:
    asked = replace(order("dark_chocolate_60"), jurisdiction=Jurisdiction("CA"), french=True)
    asked = replace(asked, units=(replace(asked.units[0], food_name_french="Gâteau"),))
    french = replace(OLD, declaration_french="pâte de cacao, sucre, lécithine de soya")
    other = replace(french, lot="A2", declaration="cocoa mass, sugar", declaration_french="pâte de cacao, sucre")
    lists = [one for one in recheck({"one": asked}, (french,), (other,)) if one.what == "ingredients"]
    assert any("cocoa mass" in one.before for one in lists)
    assert any("pâte de cacao" in one.before.casefold() for one in lists)
