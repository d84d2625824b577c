"""Ingredient lists by the rules of each place."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import BadInput, OutOfRange
from tierwright.label import (
    FORM_KINDS,
    BrandLot,
    Component,
    DateKind,
    Durability,
    Jurisdiction,
    LabelOrder,
    Maker,
    PartOf,
    Style,
    Unit,
    UnitLabel,
    Used,
    home_sentences,
    label_cake,
    lawful_forms,
    net_quantity,
    quantity_words,
)
from tierwright.label.french import names_french
from tierwright.label.rules import allergen_list, declared_text, rows
from tierwright.label.wording import split_list, stress
from tierwright.larder import Allergen, ingredients
from tierwright.units import English
from tierwright.working import Basis

BATTER = {
    "plain_flour": 250.0, "caster_sugar": 220.0, "unsalted_butter": 200.0, "whole_egg": 200.0, "whole_milk": 70.0,
    "golden_raisins": 60.0, "table_salt": 2.0, "citric_acid": 1.0,
}  # fmt: skip
CREAM = {"unsalted_butter": 100.0, "powdered_sugar": 150.0, "water": 30.0}


def component(key: str, name: str, noun: str, used: dict[str, float], **other: object) -> Component:
    made = Component(key=key, name=name, noun=noun, used=tuple(Used(ingredient=k, grams=g) for k, g in used.items()))
    return replace(made, **other)  # type: ignore[arg-type]


def order(place: Jurisdiction, **other: object) -> LabelOrder:
    english = English.US if place in (Jurisdiction.US, Jurisdiction.CANADA) else English.UK
    made = LabelOrder(
        jurisdiction=place,
        english=english,
        components=(
            component("batter", "Sultana cake", "cake", BATTER, loss_share=0.1, leavened=True),
            component("cream", "Buttercream", "icing", CREAM),
        ),
        units=(
            Unit(
                key="tier.1",
                name="bottom tier",
                food_name="Sultana layer cake",
                parts=(PartOf(component="batter", grams=900.0), PartOf(component="cream", grams=280.0)),
                portions=12,
            ),
        ),
    )
    return replace(made, **other)  # type: ignore[arg-type]


def label(place: Jurisdiction, **other: object) -> UnitLabel:
    return label_cake(order(place, **other)).units[0]


def marked(place: Jurisdiction, **other: object) -> str:
    return "".join(f"*{r.text}*" if r.strong else r.text for r in label(place, **other).declaration.runs)


def test_united_states() -> None:
    made = label(Jurisdiction.US).declaration
    # 993 g of batter went in to leave 894 g; 900 g takes a hair more. Water of the cream stays: it is not baked.
    assert made.text == (
        "INGREDIENTS: butter (cream), wheat flour, sugar, whole egg, confectioners' sugar (sugar, cornstarch), milk "
        "(vitamin D3), golden raisins (sulfites), water. Contains 2% or less of: salt, citric acid."
    )
    assert made.contains == "Contains: Milk, Egg, Wheat."


def test_european_union() -> None:
    assert marked(Jurisdiction.EU) == (
        "Ingredients: butter (*milk*), *wheat* flour (*wheat*, calcium carbonate, iron, niacin, thiamin), sugar, "
        "whole *egg*, icing sugar (sugar, maize starch), whole *milk*, sultanas (*sulphites*) (5 %), salt, acid "
        "(citric acid)."
    )
    assert label(Jurisdiction.EU).declaration.contains == ""


def test_australia_stresses_and_states() -> None:
    assert (
        label(Jurisdiction.AUSTRALIA_NEW_ZEALAND).declaration.contains
        == "Contains: wheat, egg, milk, sulphites, gluten."
    )


def test_canada_writes_its_own_spelling() -> None:
    made = label(Jurisdiction.CANADA)
    assert "*Ingredients: *" in marked(Jurisdiction.CANADA)
    assert made.declaration.contains == "Contains: Egg, Milk, Wheat, Sulphites."


def test_by_component() -> None:
    text = marked(Jurisdiction.UK, style=Style.BY_COMPONENT)
    assert text.startswith("Ingredients: Cake (*wheat* flour")
    assert "Icing (icing sugar (sugar, maize starch), butter (*milk*), water)." in text


@pytest.mark.parametrize("place", list(Jurisdiction))
def test_order_is_descending(place: Jurisdiction) -> None:
    masses = [entry.grams for entry in label(place).declaration.entries]
    assert masses == sorted(masses, reverse=True)


# Annex VII, Part A, item 1: what is left of added water is listed above 5 % of the finished food.
@pytest.mark.parametrize(("water", "listed"), [(49.9, False), (50.1, True)])
def test_water_either_side_of_five_per_cent(water: float, listed: bool) -> None:
    syrup = component("s", "syrup", "syrup", {"white_sugar": 1000.0 - water, "water": water})
    unit = Unit(key="u", name="u", food_name="", parts=(PartOf(component="s", grams=1000.0),))
    text = label(Jurisdiction.EU, components=(syrup,), units=(unit,)).declaration.text
    assert ("water" in text) is listed
    # The United States lists what was added and stays, however little.
    assert "water" in label(Jurisdiction.US, components=(syrup,), units=(unit,)).declaration.text


def test_water_that_the_oven_takes_whole() -> None:
    dough = component("d", "wafer", "wafer", {"plain_flour": 80.0, "water": 20.0}, loss_share=0.2, leavened=False)
    unit = Unit(key="u", name="u", food_name="", parts=(PartOf(component="d", grams=80.0),))
    made = label(Jurisdiction.US, components=(dough,), units=(unit,)).declaration
    assert "water" not in made.text
    assert made.left_out


# 21 CFR 101.4(a)(2): up to 2 % may stand at the end under its own words.
@pytest.mark.parametrize(("salt", "small"), [(20.0, True), (20.2, False)])
def test_two_per_cent_of_the_us_list(salt: float, small: bool) -> None:
    mix = component("m", "mix", "mix", {"white_sugar": 990.0 - salt, "table_salt": salt, "citric_acid": 10.0})
    unit = Unit(key="u", name="u", food_name="", parts=(PartOf(component="m", grams=1000.0),))
    text = label(Jurisdiction.US, components=(mix,), units=(unit,)).declaration.text
    assert ("2% or less of: salt, citric acid" in text) is small


# Annex VII, Part E: brackets may go under 2 % where law lays down the compound; Standard 1.2.4: under 5 % for any.
@pytest.mark.parametrize(
    ("place", "key", "share", "bracketed"),
    [
        (Jurisdiction.EU, "raspberry_jam", 0.019, False),
        (Jurisdiction.EU, "raspberry_jam", 0.021, True),
        (Jurisdiction.EU, "marzipan", 0.019, True),
        (Jurisdiction.AUSTRALIA_NEW_ZEALAND, "marzipan", 0.049, False),
        (Jurisdiction.AUSTRALIA_NEW_ZEALAND, "marzipan", 0.051, True),
    ],
)
def test_small_compounds(place: Jurisdiction, key: str, share: float, bracketed: bool) -> None:
    mix = component("m", "mix", "mix", {"caster_sugar": 1000 * (1 - share), key: 1000 * share})
    unit = Unit(key="u", name="u", food_name="", parts=(PartOf(component="m", grams=1000.0),))
    text = label(place, components=(mix,), units=(unit,), short=True).declaration.text
    assert ("(sugar" in text or "(raspberries" in text) is bracketed
    if key == "marzipan":
        assert "almond" in text, "an allergen stays, brackets or not"
    full = label(place, components=(mix,), units=(unit,)).declaration.text
    assert "(sugar" in full or "(raspberries" in full


def test_a_packet_speaks_before_the_table() -> None:
    butter = BrandLot(
        ingredient="unsalted_butter",
        lot="B12",
        product="cultured butter",
        declaration="Ingredients: cream (milk), cultures.",
        contains=(Allergen.MILK,),
    )
    assert "cultured butter (cream (*milk*), cultures)" in marked(Jurisdiction.UK, lots=(butter,))


def test_additive_numbers_down_under() -> None:
    mix = component("m", "mix", "mix", {"white_sugar": 90.0, "cmc": 10.0})
    unit = Unit(key="u", name="u", food_name="", parts=(PartOf(component="m", grams=100.0),))
    given_units = {"components": (mix,), "units": (unit,)}
    assert "thickener (E466)" in label(Jurisdiction.UK, **given_units).declaration.text
    assert "thickener (466)" in label(Jurisdiction.AUSTRALIA_NEW_ZEALAND, **given_units).declaration.text


def test_quantities_of_australia_by_halves_under_five() -> None:
    place = Jurisdiction.AUSTRALIA_NEW_ZEALAND
    assert [quantity_words(g, 100, place) for g in (4.7, 4.76, 5.4, 25)] == ["4.5 %", "5 %", "5 %", "25 %"]
    assert [quantity_words(g, 100, Jurisdiction.EU) for g in (0.94, 0.96, 1.4)] == ["0.9 %", "1.0 %", "1 %"]


@pytest.mark.parametrize("key", sorted(ingredients()))
def test_every_allergen_is_named_in_the_words_of_a_european_list(key: str) -> None:
    mix = component("m", "mix", "mix", {key: 100.0})
    unit = Unit(key="u", name="u", food_name="", parts=(PartOf(component="m", grams=100.0),))
    for place in (Jurisdiction.EU, Jurisdiction.AUSTRALIA_NEW_ZEALAND):
        made = label(place, components=(mix,), units=(unit,))
        strong = " ".join(run.text for run in made.declaration.runs if run.strong).casefold()
        held = set(ingredients()[key].contains) & {allergen for allergen, _ in made.marks}
        assert bool(strong) is bool(held), made.declaration.text
        assert made.declaration.text.count("(") == made.declaration.text.count(")")


@given(st.text(alphabet="abc ,;()[]", max_size=60))
@settings(max_examples=100)
def test_splitting_keeps_every_word(text: str) -> None:
    joined = "".join(split_list(text))
    kept = [sign for sign in text if sign in "abc"]
    assert [sign for sign in joined if sign in "abc"] == kept


@given(st.sampled_from(sorted(ingredients())), st.sampled_from(list(Jurisdiction)))
@settings(max_examples=60)
def test_stress_changes_no_word(key: str, place: Jurisdiction) -> None:
    text = ingredients()[key].label_eu
    said = "".join(run.text for run in stress(text, ingredients()[key].contains, place))
    assert said.startswith(text)


def test_colours_that_europe_wants_marked_or_keeps_out() -> None:
    """Regulation (EC) No 1333/2008, Annex V: six colours; Regulation (EU) 2022/63: no titanium dioxide."""
    mix = component("m", "mix", "mix", {"white_sugar": 90.0, "gel_colour": 5.0, "powder_colour": 5.0})
    unit = Unit(key="u", name="u", food_name="", parts=(PartOf(component="m", grams=100.0),))
    lots = (
        BrandLot(ingredient="gel_colour", lot="1", declaration="water, sugar, colours: E129, E102"),
        BrandLot(ingredient="powder_colour", lot="2", declaration="maltodextrin, colour: titanium dioxide"),
    )
    made = label(Jurisdiction.EU, components=(mix,), units=(unit,), lots=lots)
    assert made.declaration.warnings == (
        "E129, E102: may have an adverse effect on activity and attention in children.",
    )
    assert [block.packet for block in made.blocks] == ["titanium dioxide"]
    asked = label_cake(order(Jurisdiction.EU, components=(mix,), units=(unit,), lots=lots)).notes.questions
    assert any(question.key == "label.forbidden.titanium_dioxide" for question in asked)
    assert not any(question.key == "label.packets" for question in asked)
    british = label(Jurisdiction.UK, components=(mix,), units=(unit,), lots=lots)
    assert british.declaration.warnings
    assert not british.blocks
    assert label(Jurisdiction.US, components=(mix,), units=(unit,), lots=lots).declaration.warnings == ()


def test_net_quantities() -> None:
    assert net_quantity(992, Jurisdiction.US) == "NET WT 2 LB 2 OZ (992 g)"
    assert net_quantity(993, Jurisdiction.US) == "NET WT 2 LB 3 OZ (993 g)"
    assert net_quantity(453.6, Jurisdiction.US) == "NET WT 1 LB (454 g)"
    assert net_quantity(100, Jurisdiction.US) == "NET WT 3.5 OZ (100 g)"
    assert net_quantity(1234, Jurisdiction.UK) == "1.234 kg"


def test_fields_that_nobody_gave_are_asked() -> None:
    asked = {question.key for question in label_cake(order(Jurisdiction.UK)).notes.questions}
    assert {"label.field.date", "label.field.maker", "label.field.batch", "label.field.storage"} <= asked
    full = order(
        Jurisdiction.UK,
        maker=Maker(name="A kitchen", address="1 Quay"),
        batch="L7",
        durability=Durability(kind=DateKind.USE_BY, day=date(2027, 6, 27), reason="cold", storage="Keep cold."),
    )
    labels = label_cake(full)
    assert not any(question.key.startswith("label.field") for question in labels.notes.questions)
    values = {field.key: field.value for field in labels.whole.fields}
    assert values["date"] == "Use by 27 June 2027"


def test_home_kitchens_are_asked_for_their_sentence() -> None:
    asked = {q.key for q in label_cake(order(Jurisdiction.US, home_kitchen=True)).notes.questions}
    assert "label.home_kitchen" in asked
    assert "label.nutrition_exempt" in asked


def test_refusals() -> None:
    with pytest.raises(BadInput) as refusal:
        label(
            Jurisdiction.US,
            components=(component("batter", "x", "x", {"moon_dust": 1.0}),),
            lots=(BrandLot(ingredient="star_dust", lot="1"),),
        )
    assert len(refusal.value.problems) == 3, "the unknown ingredient, the unknown component and the unknown lot"
    with pytest.raises(OutOfRange):
        label(
            Jurisdiction.US,
            components=(
                component("batter", "x", "x", {"white_sugar": 1.0}, loss_share=0.5),
                *order(Jurisdiction.US).components[1:],
            ),
        )


@pytest.mark.parametrize(
    "table",
    ["rules.csv", "allergens.csv", "rounding.csv", "daily_values.csv", "racc.csv", "racc_limits.csv", "energy.csv",
     "exemptions.csv", "warnings.csv", "net_heights.csv", "forms.csv", "form_limits.csv"],
)  # fmt: skip
def test_every_row_names_where_it_stands(table: str) -> None:
    for row in rows(table):
        assert row["section"], row
        date.fromisoformat(row["in_force"])
        assert row["basis"] in ("published", "from memory", "common practice"), row
        if "jurisdiction" in row:
            Jurisdiction(row["jurisdiction"])


def test_every_ingredient_and_allergen_has_its_french() -> None:
    french = {row["ingredient"]: row["text"] for row in rows("french.csv")}
    assert set(french) == set(ingredients())
    assert all(french.values())
    named = {row["allergen"] for row in rows("french_allergens.csv")}
    assert named == {allergen.value for allergen in allergen_list(Jurisdiction.CANADA)}
    for key, known in ingredients().items():
        # What is certainly inside is told by the entry itself or by a bracket beside it, never by English words.
        said = "".join(run.text for run in stress(french[key], known.contains, Jurisdiction.CANADA, in_list=True,
                                                  french=True))  # fmt: skip
        for allergen in known.contains:
            if allergen in allergen_list(Jurisdiction.CANADA):
                assert names_french(said, allergen), (key, allergen)


@pytest.mark.parametrize("place", list(Jurisdiction))
def test_every_place_has_one_usual_form_of_each_kind(place: Jurisdiction) -> None:
    for kind in FORM_KINDS:
        forms = lawful_forms(place, kind)
        assert [form.is_usual for form in forms].count(True) == 1, kind
        assert len({form.choice for form in forms}) == len(forms)


def test_sentences_of_home_kitchens_say_where_they_were_read() -> None:
    for region, sentence in home_sentences().items():
        assert re.fullmatch(r"[A-Z]{2}-[A-Z0-9]{1,3}", region)
        assert sentence.source.basis is Basis.PUBLISHED
        assert "read 20" in sentence.source.text


def test_enriched_flour_is_spelt_out_where_the_law_says_so_and_nowhere_else() -> None:
    # 21 CFR 137.165 with 101.4(b)(2): the parts of enriched flour; no other place's law lays this text down.
    for place in Jurisdiction:
        text = declared_text(place, "bread_flour")
        assert ("niacin, iron, thiamin mononitrate, riboflavin, folic acid" in text) is (place is Jurisdiction.US)
    assert declared_text(Jurisdiction.US, "caster_sugar") == ""
