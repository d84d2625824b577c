"""What a kitchen has recorded, and how a commission wants its labels: from the brief to the label."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tierwright.brief import parse_commission, parse_kitchen, read_commission, read_kitchen, read_label_book
from tierwright.brief.packets import BatchRule, LabelBook
from tierwright.dossier import Dossier, prepare
from tierwright.dossier.brief_stage import allergens_named, note_allergies
from tierwright.dossier.label_dates import batch_of, durability_of
from tierwright.dossier.label_decor import PASTE_G_PER_ML, PETAL_MM
from tierwright.dossier.label_stage import _note_lots, label_order, lots_of, relabel
from tierwright.errors import BadInput
from tierwright.keeping import Keeping
from tierwright.keeping.model import Standing
from tierwright.label import (
    Component,
    DateKind,
    Jurisdiction,
    LabelOrder,
    Labels,
    PartOf,
    Presence,
    Unit,
    Used,
    label_cake,
)
from tierwright.larder import Allergen, ingredient
from tierwright.working import Severity

EXAMPLE = Path(__file__).parents[2] / "examples" / "centenary"
DECOR: dict[str, Any] = {
    "leaf": [{"tier": 1, "share": "5 %", "metal": "silver", "label": "E174"}],
    "painted": [{"tier": 1, "share": "10 %", "way": "dusted"}],
    "colours": [{"tier": 2, "wanted": "#88aacc"}],
    "drips": [{"tier": 2, "formula": "lemon-curd", "longest": "40 mm", "spacing": "25 mm"}],
    "flowers": [
        {"species": "rose", "state": "sugar-made", "diameter": "40 mm", "tier": 2, "count": 3, "where": "side"},
        {"species": "viola", "state": "sugared", "diameter": "25 mm", "tier": 3, "count": 5},
        {"species": "peony", "state": "sugar-made", "diameter": "40 mm", "tier": 3, "count": 2, "wired": True},
    ],
}


def raw() -> dict[str, Any]:
    found: dict[str, Any] = read_commission(EXAMPLE / "commission.toml").model_dump(mode="json", by_alias=True)
    return found


@cache
def dossier() -> Dossier:
    return prepare(parse_commission(raw() | {"decor": DECOR}, "c"), read_kitchen(EXAMPLE / "kitchen.toml"))


def kitchen(**labelling: Any) -> Any:
    made = read_kitchen(EXAMPLE / "kitchen.toml")
    return made.model_copy(update={"labelling": LabelBook.model_validate(labelling)})


def labels(book: LabelBook | None = None) -> Labels:
    return relabel(dossier(), book or LabelBook())


VANILLA = {"ingredient": "vanilla extract", "lot": "V7", "declaration": "water, ethanol, vanilla"}


# ---- what the finish lays on -----------------------------------------------------------------------------------------


def test_what_the_finish_lays_on_is_declared_by_weight() -> None:
    made = dossier().labels
    bottom, middle, top = made.units[:3]
    for unit, words in ((bottom, "silver"), (bottom, "mica"), (middle, "gum paste"), (middle, "modified starch")):
        assert any(words in entry.text for entry in unit.declaration.entries), words
    paste = next(entry for entry in middle.declaration.entries if "gum_paste" in entry.ingredients)
    # Three flowers of 40 mm: 3 x pi/4 x 16 cm2 x 0.4 cm x 1.4 g/ml = 21 g.
    assert paste.grams == pytest.approx(3 * 3.14159 / 4 * 40**2 * PETAL_MM * PASTE_G_PER_ML / 1000, rel=1e-3)
    assert paste.grams == pytest.approx(21.1, abs=0.05)
    order = [entry.grams for entry in middle.declaration.entries]
    assert order == sorted(order, reverse=True)
    assert "gum paste" not in top.declaration.text, "a wired flower comes off before the cake is cut"
    assert "egg white" in top.declaration.text, "sugared flowers are brushed with it"


def test_what_the_finish_lays_on_is_in_the_matrix() -> None:
    """The vegan tier gains egg by sugared flowers alone, and the drip is found under its own formula."""
    made = dossier().labels
    plain = prepare(parse_commission(raw(), "c"), read_kitchen(EXAMPLE / "kitchen.toml")).labels
    assert plain.units[2].mark(Allergen.EGG) is not Presence.PRESENT
    assert made.units[2].mark(Allergen.EGG) is Presence.PRESENT
    ways = [one.path for one in made.traces if one.allergen is Allergen.EGG and one.path[0] == "top tier"]
    assert ("top tier", "sugared flowers", "egg white") in ways
    assert made.units[1].mass_g > plain.units[1].mass_g
    assert ingredient("gum_paste").contains == (Allergen.EGG,)


# ---- packets ---------------------------------------------------------------------------------------------------------


def test_a_packet_goes_before_the_table_and_its_lot_is_on_the_way() -> None:
    made = labels(LabelBook.model_validate({"packets": [VANILLA | {"may_contain": ["sesame"]}]}))
    unit = made.units[0]
    assert "vanilla extract (water, ethanol, vanilla)" in unit.declaration.text
    assert {one.lot for one in made.traces if one.allergen is Allergen.SESAME and one.presence is Presence.MAY} == {
        "V7"
    }


def test_used_up_packets_and_lots_that_were_not_used_do_not_count() -> None:
    first, second = VANILLA, VANILLA | {"lot": "V8", "may_contain": ["almond"]}
    both = kitchen(packets=[first, second])
    assert [one.lot for one in lots_of(both)] == ["V7", "V8"]
    assert [one.lot for one in lots_of(both, ["V7"])] == ["V7"]
    assert [one.lot for one in lots_of(kitchen(packets=[first | {"used_up": True}, second]))] == ["V8"]
    assert [one.lot for one in lots_of(kitchen(packets=[first | {"used_up": True}, second]), ["V7"])] == ["V7"]


def test_a_lot_of_the_pantry_whose_label_was_read_counts() -> None:
    data = read_kitchen(EXAMPLE / "kitchen.toml").model_dump(mode="json", by_alias=True)
    entry = {"lot": "P1", "ingredient": "honey", "amount": "300 g", "label_read": True, "may_contain": ["sesame"]}
    data["accounts"]["pantry"] = [entry, entry | {"lot": "P2", "label_read": False}]
    assert [(one.lot, one.may_contain) for one in lots_of(parse_kitchen(data, "k"))] == [("P1", (Allergen.SESAME,))]


def test_a_lot_of_the_pantry_that_the_commission_names_goes_alone() -> None:
    data = read_kitchen(EXAMPLE / "kitchen.toml").model_dump(mode="json", by_alias=True)
    data["accounts"]["pantry"] = [{"lot": "P1", "ingredient": "honey", "amount": "300 g", "label_read": True}]
    data["labelling"] = {"packets": [{"ingredient": "honey", "lot": "H7", "contains": ["sesame"]}]}
    made = parse_kitchen(data, "k")
    assert [one.lot for one in lots_of(made)] == ["H7", "P1"]
    assert [one.lot for one in lots_of(made, ["P1"])] == ["P1"]
    assert [one.lot for one in lots_of(made, ["H7"])] == ["H7"]
    wish = dossier().commission.labelling.model_copy(update={"lots": ("P1", "Q9")})
    (asked,) = _note_lots(dossier().commission.model_copy(update={"labelling": wish}), made).questions
    assert asked.text == "Which packets are the lots Q9?", "only the lot that stands nowhere is asked for"


RAISINS = {"ingredient": "golden raisins", "contains": ["sulphites"], "declaration": "raisins, sulphur dioxide"}


@pytest.mark.parametrize(
    ("chosen", "declared"), [((), True), (("R1",), False), (("R2",), True), (("R1", "R2"), True), (("V7",), True)]
)
def test_only_the_packets_that_the_commission_names_count_for_sulphites(
    chosen: tuple[str, ...], declared: bool
) -> None:
    """A tenth of the cake is fruit: 100 mg/kg in it are the 10 mg/kg of Regulation 1169/2011, Annex II, item 12."""
    packets = [RAISINS | {"lot": f"R{n}", "sulphites_mg_per_kg": mg} for n, mg in ((1, 99.9), (2, 100.0))]
    used = (Used(ingredient="golden_raisins", grams=10.0), Used(ingredient="white_sugar", grams=90.0))
    parts = (PartOf(component="c", grams=500.0),)
    made = label_cake(
        LabelOrder(
            jurisdiction=Jurisdiction.EU,
            components=(Component(key="c", name="c", noun="cake", used=used),),
            units=(Unit(key="u", name="u", food_name="cake", parts=parts),),
            lots=lots_of(kitchen(packets=[*packets, VANILLA]), chosen),
        )
    )
    assert (made.units[0].mark(Allergen.SULPHITES) is Presence.PRESENT) is declared
    said = [one.value for one in made.notes.assumptions if one.key == "label.sulphites.golden_raisins"]
    alone = chosen in (("R1",), ("R2",))
    assert said == ([] if alone else ["100 mg/kg, the most of 2 packets that may have gone in"])


def test_a_packets_panel_goes_over_the_tables_composition() -> None:
    """34 g fat with 6 g fibre beside 40 g carbohydrate is 46 g with it; 0.5 g salt is 200 mg sodium."""
    said = {"fat": "34 g", "carbohydrate": "40 g", "fibre": "6 g", "salt": "0.5 g", "potassium": "300 mg"}
    (lot,) = lots_of(kitchen(packets=[VANILLA | {"ingredient": "dark chocolate 60 %", "nutrition": said}]))
    made, table = lot.composition, ingredient(lot.ingredient).composition
    assert made is not None
    assert (made.fat_g, made.carbohydrate_g, made.fibre_g) == (34, 46, 6)
    assert made.sodium_mg == pytest.approx(200)
    assert made.potassium_mg == pytest.approx(300)
    assert made.protein_g == table.protein_g


def test_a_book_with_wrong_packets_is_reported_whole(tmp_path: Path) -> None:
    file = tmp_path / "packets.toml"
    file.write_text(
        '[[packets]]\ningredient = "moon dust"\nlot = "1"\n'
        '[[packets]]\ningredient = "honey"\nlot = "2"\ncontains = ["milk"]\ndenied = ["milk"]\n'
        '[[packets]]\ningredient = "honey"\nlot = "2"\n'
    )
    with pytest.raises(BadInput) as refusal:
        read_label_book(file)
    assert [problem.place.partition(": ")[2] for problem in refusal.value.problems] == [
        "packets[1].ingredient", "packets[2].denied", "packets[3].lot",
    ]  # fmt: skip


def test_cross_contact_of_one_tier_is_on_the_whole_cake_too() -> None:
    met = {"allergen": "mustard", "where": "mustard seed is ground nearby", "cakes": ["tier.1"]}
    order = replace(_order(), jurisdiction=Jurisdiction.UK, lots=_all_read())
    book = LabelBook.model_validate({"cross_contact": [met]})
    made = label_cake(replace(order, cross_contact=_order(book).cross_contact))
    bottom, middle = made.units[:2]
    assert "mustard" in bottom.declaration.may_contain
    assert "mustard" not in middle.declaration.may_contain
    assert "mustard" in made.whole.declaration.may_contain


def _order(book: LabelBook | None = None) -> Any:
    made = dossier()
    return label_order(
        made.commission,
        made.kitchen.model_copy(update={"labelling": book or LabelBook()}),
        made.sizing,
        made.formulas,
        made.coating,
        keeping=made.keeping,
        finish=made.finish,
    )


def _all_read() -> tuple[Any, ...]:
    keys = {used.ingredient for one in _order().components for used in one.used}
    packets = [
        {"ingredient": ingredient(key).name_us, "lot": "1", "contains": list(ingredient(key).contains)}
        for key in sorted(keys)
        if ingredient(key).ask_supplier or ingredient(key).ask_about
    ]
    return lots_of(kitchen(packets=packets))


# ---- fields ----------------------------------------------------------------------------------------------------------


def test_the_makers_particulars_are_on_every_label() -> None:
    book = LabelBook.model_validate(
        {"maker": {"name": "Lakeside", "address": "1 Quay", "permit": "CF-7"}, "region": "US-CA"}
    )
    fields = {field.key: field for field in labels(book).units[0].fields}
    assert fields["maker"].value == "Lakeside, 1 Quay"
    assert fields["permit"].value == "CF-7"
    assert fields["home_sentence"].value == "Made in a Home Kitchen"
    assert "Placer County" in fields["home_sentence"].source.text
    asked = {question.key for question in labels(book).notes.questions}
    assert "label.home_kitchen" not in asked
    assert "label.home_kitchen" in {question.key for question in labels().notes.questions}, "no region, no sentence"
    own = LabelBook.model_validate({"maker": {"home_sentence": "From my stove"}, "region": "US-CA"})
    assert {f.key: f.value for f in labels(own).units[0].fields}["home_sentence"] == "From my stove"


@pytest.mark.parametrize(
    ("rule", "batch"), [(BatchRule.DAY, "20270625"), (BatchRule.YEAR_DAY, "27-176"), (BatchRule.ASKED, "")]
)
def test_a_batch_number_is_made_by_rule_and_the_makers_own_goes_first(rule: BatchRule, batch: str) -> None:
    made = dossier().commission
    assert batch_of(made, kitchen(batch=rule.value), date(2027, 6, 25)) == batch
    wish = made.labelling.model_copy(update={"batch": "B-12"})
    assert batch_of(made.model_copy(update={"labelling": wish}), kitchen(batch=rule.value), None) == "B-12"


def test_a_controlled_part_asks_for_use_by_and_the_cold() -> None:
    found = durability_of(dossier().commission, dossier().keeping)
    assert found is not None
    assert found.kind is DateKind.USE_BY
    assert "emon curd" in found.reason
    assert "41 °F" in found.storage  # FDA Food Code 2022, 3-501.16(A)(2)
    assert found.day == dossier().commission.day.day


def proved(days: float) -> Keeping:
    keeping = dossier().keeping
    assert keeping is not None
    safety = tuple(replace(one, standing=Standing.PROVED, room_days=days + n) for n, one in enumerate(keeping.safety))
    return replace(keeping, safety=safety)


def test_without_one_it_is_best_before_by_its_shortest_lived_part() -> None:
    keeping = proved(4.0)
    found = durability_of(dossier().commission, keeping)
    assert found is not None
    assert found.kind is DateKind.BEST_BEFORE
    assert (found.day - keeping.begins.date()).days == 4
    assert "dry place" in found.storage


def test_a_date_mark_before_the_cutting_stops() -> None:
    made = dossier()
    labelled = relabel(replace(made, keeping=proved(0.0)), LabelBook())
    question = next(one for one in labelled.notes.questions if one.key == "label.date_before_cutting")
    assert question.severity is Severity.STOP


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (Jurisdiction.US, "Use by 26 June 2027"), (Jurisdiction.UK, "Use by 26 June 2027"),
        (Jurisdiction.CANADA, "Best before / Meilleur avant 2027 JN 26"),
    ],
)  # fmt: skip
def test_each_place_writes_the_date_its_own_way(place: Jurisdiction, words: str) -> None:
    made = label_cake(replace(_order(), jurisdiction=place, french=place is Jurisdiction.CANADA))
    assert {field.key: field.value for field in made.units[0].fields}["date"] == words


# ---- allergies: one voice --------------------------------------------------------------------------------------------


def test_packets_are_asked_once_with_the_guests_who_hang_on_them() -> None:
    asked = [one for one in dossier().notes.questions if one.key.startswith(("label.packets", "allergy."))]
    assert [one.key for one in asked] == ["label.packets"]
    assert asked[0].severity is Severity.DANGER
    assert "hazelnuts (1 guest, severe)" in asked[0].text
    read = label_cake(replace(_order(), lots=_all_read()))
    assert not [one for one in read.notes.questions if one.key == "label.packets"]


def test_a_packet_that_may_contain_it_is_a_danger_of_its_own() -> None:
    made = label_cake(replace(_order(), lots=_all_read()))
    vanilla = next(one for one in _all_read() if one.ingredient == "vanilla_extract")
    worse = replace(vanilla, may_contain=(Allergen.HAZELNUT,))
    lots = tuple(worse if one == vanilla else one for one in _all_read())
    found = note_allergies(dossier().commission, label_cake(replace(_order(), lots=lots)))
    assert [one.key for one in found.questions] == ["allergy.hazelnut.may"]
    assert note_allergies(dossier().commission, made).questions == ()
    # With every other packet unread it is told all the same.
    alone = note_allergies(dossier().commission, label_cake(replace(_order(), lots=(worse,))))
    assert [one.key for one in alone.questions] == ["allergy.hazelnut.may"]


@pytest.mark.parametrize(
    ("word", "held"),
    [("Hazelnuts", Allergen.HAZELNUT), ("nuts", Allergen.PEANUT), ("tree nuts", Allergen.WALNUT),
     ("gluten", Allergen.BARLEY), ("dairy", Allergen.MILK), ("sulfites", Allergen.SULPHITES)],
)  # fmt: skip
def test_words_for_allergens_are_taken_in_their_wider_sense(word: str, held: Allergen) -> None:
    assert held in allergens_named(word)
    assert allergens_named("kiwi") == ()


# ---- lawful forms ----------------------------------------------------------------------------------------------------


def test_a_form_that_the_place_does_not_allow_is_refused_with_all_the_others() -> None:
    brief = raw() | {"labelling": {"allergens": "emphasised", "panel": "linear", "languages": "en+fr"}}
    made = dossier()
    wished = made.commission.model_copy(update={"labelling": parse_commission(brief, "c").labelling})
    with pytest.raises(BadInput) as refusal:
        label_order(wished, made.kitchen, made.sizing, made.formulas, made.coating)
    assert [one.place.rpartition(".")[2] for one in refusal.value.problems] == ["allergens", "panel", "languages"]
    small = wished.labelling.model_copy(update={"allergens": "", "languages": "", "surface_cm2": 250.0})
    order = label_order(
        wished.model_copy(update={"labelling": small}), made.kitchen, made.sizing, made.formulas, made.coating
    )
    assert order.panel == "linear"


def test_allergens_stand_in_the_list_where_that_is_chosen() -> None:
    """FD&C Act 403(w)(1)(B): the source in brackets after an ingredient whose name does not say it, no statement."""
    made = label_cake(replace(_order(), allergens="in-list")).units[0].declaration
    assert made.contains == ""
    assert "butter (cream) (milk)" in made.text
    assert "wheat flour (wheat)" not in made.text
    usual = label_cake(_order()).units[0].declaration
    assert usual.contains.startswith("Contains: ")
    assert "butter (cream) (milk)" not in usual.text


def test_canada_says_it_in_both_languages() -> None:
    canada = replace(_order(), jurisdiction=Jurisdiction.CANADA, french=True)
    made = label_cake(canada).units[0]
    assert made.french is not None
    assert made.french.text.startswith("Ingrédients: ")
    assert len(made.french.entries) == len(made.declaration.entries)
    assert [one.ingredients for one in made.french.entries] == [one.ingredients for one in made.declaration.entries]
    assert made.french.contains.count(",") == made.declaration.contains.count(",")
    assert "Contient: " in made.french.contains
    assert made.panel.title == "Nutrition Facts / Valeur nutritive"
    in_list = label_cake(replace(canada, allergens="in-list")).units[0]
    assert in_list.french is not None
    assert in_list.french.contains == ""
    assert "beurre (crème) (lait)" in in_list.french.text


def test_a_packet_without_its_french_list_blocks_the_french_label() -> None:
    canada = replace(_order(LabelBook.model_validate({"packets": [VANILLA]})), jurisdiction=Jurisdiction.CANADA)
    french = label_cake(replace(canada, french=True)).units[0]
    assert any("French" in block.text for block in french.blocks)
    assert not any("French" in block.text for block in label_cake(canada).units[0].blocks)
    both = LabelBook.model_validate({"packets": [VANILLA | {"declaration_french": "eau, éthanol, vanille"}]})
    said = label_cake(replace(_order(both), jurisdiction=Jurisdiction.CANADA, french=True)).units[0]
    assert not any("French" in block.text for block in said.blocks)
    assert said.french is not None
    assert "extrait de vanille (eau, éthanol, vanille)" in said.french.text
