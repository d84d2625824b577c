"""Nothing that goes in gets lost, and nothing unknown becomes absent."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.label import (
    BrandLot,
    Component,
    CrossContact,
    Jurisdiction,
    LabelOrder,
    PartOf,
    Presence,
    Unit,
    UnitLabel,
    Used,
    allergen_list,
    label_cake,
)
from tierwright.label.tracing import _piece, by_ingredient, know
from tierwright.larder import Allergen, Answer, ingredient, ingredients
from tierwright.larder import Component as Piece
from tierwright.units import English

KEYS = sorted(ingredients())
PLACES = list(Jurisdiction)


def order_of(
    recipes: list[list[str]],
    cakes: list[list[int]],
    place: Jurisdiction = Jurisdiction.EU,
    lots: tuple[BrandLot, ...] = (),
    met: tuple[CrossContact, ...] = (),
) -> LabelOrder:
    components = tuple(
        Component(
            key=f"c{i}", name=f"component {i}", noun="cake", used=tuple(Used(ingredient=k, grams=10.0) for k in keys)
        )
        for i, keys in enumerate(recipes)
    )
    units = tuple(
        Unit(
            key=f"u{i}",
            name=f"tier {i}",
            food_name="cake",
            parts=tuple(PartOf(component=f"c{c}", grams=100.0) for c in dict.fromkeys(numbers)),
        )
        for i, numbers in enumerate(cakes)
    )
    return LabelOrder(jurisdiction=place, components=components, units=units, lots=lots, cross_contact=met)


def every_part(key: str) -> set[str]:
    """Ingredient and all that it is certainly made of, followed here by hand."""
    found = {key}
    for piece in ingredient(key).components:
        if not piece.ask:
            found |= every_part(piece.key)
    return found


@st.composite
def graphs(draw: st.DrawFn) -> tuple[list[list[str]], list[list[int]]]:
    recipes = draw(st.lists(st.lists(st.sampled_from(KEYS), min_size=1, max_size=6), min_size=1, max_size=5))
    numbers = st.lists(st.integers(0, len(recipes) - 1), min_size=1, max_size=4)
    return recipes, draw(st.lists(numbers, min_size=1, max_size=4))


def in_cake(recipes: list[list[str]], numbers: list[int]) -> set[str]:
    return {key for number in numbers for key in recipes[number]}


def cake_of(labels: tuple[UnitLabel, ...], number: int) -> UnitLabel:
    return labels[number]


@settings(max_examples=60, deadline=None)
@given(graphs(), st.sampled_from(PLACES))
def test_what_goes_in_comes_out_at_every_slice(
    graph: tuple[list[list[str]], list[list[int]]], place: Jurisdiction
) -> None:
    recipes, cakes = graph
    labels = label_cake(order_of(recipes, cakes, place))
    for number, inside in enumerate(cakes):
        cake = labels.units[number]
        held = {a for key in in_cake(recipes, inside) for part in every_part(key) for a in ingredient(part).contains}
        for allergen in allergen_list(place):
            if allergen in held:
                assert cake.mark(allergen) is Presence.PRESENT
                assert labels.whole.mark(allergen) is Presence.PRESENT
                ways = [w for w in labels.traces if w.allergen is allergen and w.path[0] == cake.name]
                assert ways, "an allergen that is there can be followed to its packet"
            elif cake.mark(allergen) is Presence.PRESENT:
                raise AssertionError(f"{allergen} is declared but nothing brings it")


@settings(max_examples=60, deadline=None)
@given(graphs(), st.sampled_from(PLACES))
def test_unknown_is_never_absent(graph: tuple[list[list[str]], list[list[int]]], place: Jurisdiction) -> None:
    recipes, cakes = graph
    labels = label_cake(order_of(recipes, cakes, place))
    for number, inside in enumerate(cakes):
        cake = labels.units[number]
        keys = in_cake(recipes, inside)
        if any(ingredient(key).ask_supplier for key in keys):
            assert cake.is_draft
            assert all(mark.is_unknown or mark is Presence.PRESENT for _, mark in cake.marks)
        for key, (allergen, mark) in product(keys, cake.marks):
            if allergen in ingredient(key).ask_about:
                assert mark in (Presence.SUSPECTED, Presence.PRESENT)
    if labels.whole.is_draft:
        assert any(question.key == "label.packets" for question in labels.notes.questions)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(KEYS),
    st.lists(st.sampled_from(list(Allergen)), unique=True),
    st.lists(st.sampled_from(list(Allergen)), unique=True),
)
def test_a_packet_adds_and_only_a_denial_takes_away(key: str, contains: list[Allergen], may: list[Allergen]) -> None:
    lot = BrandLot(ingredient=key, lot="L1", contains=tuple(contains), may_contain=tuple(may))
    labels = label_cake(order_of([[key]], [[0]], lots=(lot,)))
    cake = labels.units[0]
    certain = {allergen for part in every_part(key) for allergen in ingredient(part).contains}
    for allergen, mark in cake.marks:
        if allergen in contains:
            assert mark is Presence.PRESENT
        elif allergen in certain:
            assert mark is Presence.SUSPECTED
            assert cake.is_draft
        else:
            assert mark is (Presence.MAY if allergen in may else Presence.NOT_DECLARED)


def test_a_denied_allergen_is_no_longer_suspected() -> None:
    sultanas = BrandLot(ingredient="golden_raisins", lot="7", denied=(Allergen.SULPHITES,))
    label = label_cake(order_of([["golden_raisins"]], [[0]], lots=(sultanas,))).units[0]
    assert label.mark(Allergen.SULPHITES) is Presence.NOT_DECLARED
    assert not label.is_draft


def test_a_part_that_may_not_be_there_is_suspected() -> None:
    marks = {trace.allergen: trace.presence for trace in know("dark_chocolate_60", {}).traces}
    assert marks[Allergen.SOY] is Presence.SUSPECTED


def test_a_packet_of_a_part_settles_the_part_only() -> None:
    """A read packet of icing sugar does not speak for the royal icing that was bought."""
    lots = by_ingredient([BrandLot(ingredient="powdered_sugar", lot="A", may_contain=(Allergen.EGG,))])
    known = know("royal_icing", lots)
    assert any(t.allergen is Allergen.EGG and t.presence is Presence.MAY and len(t.path) == 2 for t in known.traces)


@pytest.mark.parametrize("place", PLACES)
def test_cross_contact_is_told_only_where_it_was_recorded(place: Jurisdiction) -> None:
    met = (CrossContact(allergen=Allergen.ALMOND, where="almonds ground on the same day", units=("u1",)),)
    labels = label_cake(order_of([["white_sugar"], ["unsalted_butter"]], [[0], [1]], place, met=met))
    assert labels.units[0].declaration.may_contain == ""
    assert "almond" in labels.units[1].declaration.may_contain.casefold()
    assert labels.units[1].mark(Allergen.ALMOND) is Presence.MAY
    everywhere = (CrossContact(allergen=Allergen.ALMOND, where="almonds ground on the same day"),)
    labels = label_cake(order_of([["white_sugar"], ["unsalted_butter"]], [[0], [1]], place, met=everywhere))
    assert [unit.mark(Allergen.ALMOND) for unit in labels.units] == [Presence.MAY, Presence.MAY]


@pytest.mark.parametrize("place", PLACES)
def test_nothing_is_told_of_by_default(place: Jurisdiction) -> None:
    labels = label_cake(order_of([["white_sugar", "unsalted_butter"]], [[0]], place))
    assert labels.units[0].declaration.may_contain == ""


def test_nothing_ever_says_free_from() -> None:
    for place in PLACES:
        labels = label_cake(order_of([["white_sugar", "almonds", "vanilla_extract"]], [[0]], place))
        printed = " ".join(
            [labels.card, *(q.text + q.reason for q in labels.notes.questions), labels.whole.declaration.text]
        ).casefold()
        assert "free from" not in printed
        assert "-free" not in printed


def test_vegan_is_settled_by_packets_and_never_by_allergens() -> None:
    assert label_cake(order_of([["white_sugar", "unsalted_butter"]], [[0]])).units[0].vegan is Answer.NO
    assert label_cake(order_of([["dark_chocolate_60"]], [[0]])).units[0].vegan is Answer.ASK
    block = BrandLot(ingredient="dark_chocolate_60", lot="B", vegan=Answer.YES, may_contain=(Allergen.MILK,))
    label = label_cake(order_of([["dark_chocolate_60"]], [[0]], lots=(block,))).units[0]
    assert label.vegan is Answer.YES
    assert label.mark(Allergen.MILK) is Presence.MAY


@pytest.mark.parametrize(("figure", "mark"), [(39.9, Presence.NOT_DECLARED), (40.0, Presence.PRESENT)])
def test_sulphites_either_side_of_ten_mg_per_kg(figure: float, mark: Presence) -> None:
    """Annex II, item 12: 10 mg/kg of the finished food; a quarter of it is fruit with four times as much."""
    fruit = BrandLot(ingredient="golden_raisins", lot="S", contains=(Allergen.SULPHITES,), sulphites_mg_per_kg=figure)
    recipe = ["golden_raisins", "white_sugar", "plain_flour", "unsalted_butter"]
    label = label_cake(order_of([recipe], [[0]], lots=(fruit,))).units[0]
    assert label.mark(Allergen.SULPHITES) is mark
    assert ("sulphites" in label.declaration.text) is (mark is Presence.PRESENT)


# Which lists name what: the table of regimes (FDA Edition 5 of 2025, Annex II, B.01.010.1, Schedule 9).
@pytest.mark.parametrize(
    ("allergen", "us", "eu", "ca", "au"),
    [
        (Allergen.PINE_NUT, True, False, True, True),
        (Allergen.COCONUT, False, False, False, False),
        (Allergen.CHESTNUT, False, False, False, False),
        (Allergen.LUPIN, False, True, False, True),
        (Allergen.CELERY, False, True, False, False),
        (Allergen.MUSTARD, False, True, True, False),
        (Allergen.MOLLUSC, False, True, True, True),
        (Allergen.RYE, False, True, True, True),
        (Allergen.SESAME, True, True, True, True),
    ],
)
def test_lists_differ(allergen: Allergen, us: bool, eu: bool, ca: bool, au: bool) -> None:
    for place, listed in (
        (Jurisdiction.US, us),
        (Jurisdiction.EU, eu),
        (Jurisdiction.UK, eu),
        (Jurisdiction.CANADA, ca),
        (Jurisdiction.AUSTRALIA_NEW_ZEALAND, au),
    ):
        assert (allergen in allergen_list(place)) is listed


def test_fourteen_groups_and_nine() -> None:
    assert len({entry.group for entry in allergen_list(Jurisdiction.EU).values()}) == 14
    nine = {entry.group for entry in allergen_list(Jurisdiction.US).values() if entry.in_statement}
    assert len(nine) == 9


@pytest.mark.parametrize(("grams", "mark"), [(0.0, Presence.NOT_DECLARED), (0.2, Presence.PRESENT)])
def test_a_pinch_is_declared_like_a_pound(grams: float, mark: Presence) -> None:
    # Regulation (EU) No 1169/2011, article 9(1)(c): any ingredient that is used and still there; no least amount.
    plain = order_of([["white_sugar", "almonds"]], [[0]])
    used = (Used(ingredient="white_sugar", grams=100.0), Used(ingredient="almonds", grams=grams))
    label = label_cake(replace(plain, components=(replace(plain.components[0], used=used),))).units[0]
    assert label.mark(Allergen.ALMOND) is mark


def test_a_compound_is_no_more_vegan_than_its_certain_parts_and_no_less_than_all_of_them() -> None:
    settled = {Answer.YES: 0, Answer.NO: 0}
    for key, item in ingredients().items():
        parts = [(piece, know(piece.key, {}).vegan) for piece in item.components]
        if any(answer is Answer.NO and not piece.ask for piece, answer in parts):
            assert know(key, {}).vegan is Answer.NO, key
            settled[Answer.NO] += 1
        elif parts and item.vegan is Answer.YES and all(answer is Answer.YES for _, answer in parts):
            assert know(key, {}).vegan is Answer.YES, key
            settled[Answer.YES] += 1
    assert min(settled.values()) > 0
    # Butter that is certainly in it settles a part; butter that may be in it leaves a question.
    for ask, answer in ((False, Answer.NO), (True, Answer.ASK)):
        assert _piece(Piece(key="unsalted_butter", share=0.1, ask=ask), {}, English.UK, "x")[1] is answer


@pytest.mark.parametrize("grams", [0.5, 10.0])
@pytest.mark.parametrize(
    ("figures", "mark"),
    [((8.0, 40.0), Presence.PRESENT), ((40.0, 8.0), Presence.PRESENT), ((8.0, 39.9), Presence.NOT_DECLARED)],
)
def test_of_two_packets_the_one_with_more_sulphite_counts(
    figures: tuple[float, ...], mark: Presence, grams: float
) -> None:
    """Which packet went in is not known: a quarter of the cake at 40 mg/kg makes 10 mg/kg, in a batch of any size."""
    lots = tuple(
        BrandLot(ingredient="golden_raisins", lot=f"S{n}", contains=(Allergen.SULPHITES,), sulphites_mg_per_kg=figure)
        for n, figure in enumerate(figures)
    )
    made = order_of([["golden_raisins", "white_sugar", "plain_flour", "unsalted_butter"]], [[0]], lots=lots)
    used = tuple(replace(one, grams=grams) for one in made.components[0].used)
    made = replace(made, components=(replace(made.components[0], used=used),))
    assert label_cake(made).units[0].mark(Allergen.SULPHITES) is mark
