"""The words of a recipe line lead to one ingredient or to the choices, never to a silent guess."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import UnknownName
from tierwright.larder import How, find, ingredient, ingredients, normalise
from tierwright.larder.finding import STATES, ambiguous, names

READ = {
    "cake flour, sifted": "cake_flour",
    "spooned cake flour": "cake_flour",
    "all-purpose flour": "all_purpose_flour",
    "plain flour": "plain_flour",
    "self-raising flour": "self_raising_flour",
    "self-rising flour": "self_rising_flour",
    "strong white bread flour": "bread_flour",
    "wholemeal flour": "whole_wheat_flour",
    "unsalted butter, soft": "unsalted_butter",
    "soft unsalted butter at room temperature": "unsalted_butter",
    "large eggs, beaten": "whole_egg",
    "free-range egg whites": "egg_white",
    "egg yolks": "egg_yolk",
    "caster sugar": "caster_sugar",
    "golden caster sugar": "golden_caster_sugar",
    "superfine sugar": "caster_sugar",
    "confectioners’ sugar": "powdered_sugar",
    "confectioners sugar": "powdered_sugar",
    "icing sugar, sifted": "powdered_sugar",
    "soft light brown sugar": "light_brown_sugar",
    "dark muscovado sugar": "dark_muscovado",
    "heavy cream": "heavy_cream",
    "double cream": "double_cream",
    "soured cream": "sour_cream",
    "crème fraîche": "creme_fraiche",
    "buttermilk": "buttermilk",
    "bicarbonate of soda": "baking_soda",
    "baking soda": "baking_soda",
    "baking powder": "baking_powder",
    "cream of tartar": "cream_of_tartar",
    "fine sea salt": "table_salt",
    "finely grated lemon zest": "lemon_zest",
    "freshly squeezed lemon juice": "lemon_juice",
    "poppy seeds": "poppy_seed",
    "vanilla pod": "vanilla_bean",
    "blackcurrants (frozen)": "blackcurrants",
    "blackcurrant purée": "blackcurrant_puree",
    "ground almonds": "ground_almonds",
    "toasted hazelnuts, chopped": "hazelnuts",
    "sultanas": "golden_raisins",
    "soya milk": "soy_milk",
    "plant-based butter block": "vegan_block",
    "aquafaba": "aquafaba",
    "leaf gelatine": "leaf_gelatine",
    "golden syrup": "golden_syrup",
    "black treacle": "black_treacle",
    "milk chocolate": "milk_chocolate",
    "dark chocolate (70%)": "dark_chocolate_70",
    "dark chocolate, 64 % cocoa solids, chopped": "dark_chocolate_60",
    "55% dark chocolate": "dark_chocolate_50",
    "milk chocolate 38 %": "milk_chocolate_40",
    "Dutch-process cocoa": "dutch_cocoa",
    "boiling water": "water",
}

ASKED = {
    "flour": ("all_purpose_flour", "plain_flour", "cake_flour"),
    "sugar": ("white_sugar", "caster_sugar"),
    "brown sugar": ("light_brown_sugar", "dark_brown_sugar"),
    "cream": ("heavy_cream", "double_cream"),
    "whipping cream": ("heavy_cream", "whipping_cream_uk"),
    "milk": ("whole_milk",),
    "butter, melted": ("unsalted_butter", "salted_butter"),
    "soda": ("baking_soda", "sparkling_water"),
    "cornflour": ("cornstarch", "corn_flour_whole"),
    "cocoa powder": ("cocoa_powder", "dutch_cocoa"),
    "chopped dark chocolate": ("dark_chocolate_60",),
    "vegetable oil": ("vegetable_oil", "sunflower_oil"),
    "gelatine": ("leaf_gelatine", "gelatin_powder"),
    "currants": ("dried_currants", "blackcurrants"),
}


@pytest.mark.parametrize(("text", "key"), READ.items())
def test_reads_a_maker_s_words(text: str, key: str) -> None:
    match = find(text)
    assert match.ingredient is ingredient(key)
    assert match.how in (How.EXACT, How.TRIMMED)
    assert not match.candidates


@pytest.mark.parametrize(("text", "keys"), ASKED.items())
def test_asks_where_words_mean_several_things(text: str, keys: tuple[str, ...]) -> None:
    match = find(text)
    assert match.ingredient is None
    assert match.how is How.AMBIGUOUS
    assert match.reason
    assert {item.key for item in match.candidates} >= set(keys)


@pytest.mark.parametrize(
    "text",
    [
        "cream cheese (vegan)", "milk chocolate, dairy-free", "whole milk, or soy milk", "egg-free mayonnaise",
        "gluten-free self-raising flour", "sour cream, reduced fat", "buttermilk (lactose free)",
    ],
)  # fmt: skip
def test_a_word_that_changes_the_food_is_never_dropped(text: str) -> None:
    match = find(text)
    assert match.ingredient is None
    assert match.candidates


@pytest.mark.parametrize("text", ["", "   ", ",", "()", "unicorn tears", "\N{BIRTHDAY CAKE}"])
def test_nonsense_finds_nothing(text: str) -> None:
    match = find(text)
    assert match.ingredient is None
    assert match.how is How.NONE
    assert match.reason


def test_a_slip_of_the_pen_offers_the_nearest() -> None:
    match = find("butermilk")
    assert match.how is How.NEAR
    assert match.candidates[0].key == "buttermilk"


def test_heavy_and_double_cream_differ() -> None:
    # 21 CFR 131.150 sets 36 % for heavy cream; British law sets 48 % for double cream.
    heavy, double = ingredient("heavy_cream").composition, ingredient("double_cream").composition
    assert heavy.fat_g >= 36.0
    assert double.fat_g >= 48.0


def test_every_name_finds_its_ingredient() -> None:
    for item in ingredients().values():
        for name in (item.name_us, item.name_uk, *item.aliases):
            match = find(name)
            if normalise(name) in ambiguous():
                assert match.how is How.AMBIGUOUS
                assert item in match.candidates
            else:
                assert match.ingredient is item, name


@settings(max_examples=60, deadline=None)
@given(
    name=st.sampled_from(sorted(set(names()) - set(ambiguous()))),
    before=st.lists(st.sampled_from(sorted(STATES)), max_size=2),
    after=st.lists(st.sampled_from(sorted(STATES)), max_size=2),
)
def test_words_of_state_never_lead_to_another_ingredient(name: str, before: list[str], after: list[str]) -> None:
    match = find(" ".join([*before, name, *after]))
    # A state may make another name ("ground" + "ginger") or an ambiguous one, but only by naming it whole.
    if match.ingredient is not None and match.ingredient is not names()[name]:
        wording = normalise(" ".join([*before, name, *after]))
        assert any(normalise(text) in wording for text in (match.ingredient.name_us, *match.ingredient.aliases))


@given(text=st.text(max_size=80))
@settings(max_examples=100, deadline=None)
def test_any_text_is_answered(text: str) -> None:
    match = find(text)
    assert match.text == text
    assert (match.ingredient is None) == (match.how not in (How.EXACT, How.TRIMMED))
    assert match.ingredient is not None or match.reason


@given(text=st.text(max_size=60))
@settings(max_examples=100, deadline=None)
def test_normalising_twice_changes_nothing(text: str) -> None:
    once = normalise(text)
    assert set(once) <= set("abcdefghijklmnopqrstuvwxyz0123456789.% ")


def test_unknown_key_names_the_nearest() -> None:
    with pytest.raises(UnknownName) as caught:
        ingredient("cake_flower")
    assert "cake_flour" in caught.value.nearest


def test_unknown_measure_is_refused() -> None:
    with pytest.raises(UnknownName):
        ingredient("cake_flour").measure("stick")
    with pytest.raises(UnknownName) as caught:
        ingredient("cake_flour").measure("cup", "dippd")
    assert "dipped" in caught.value.nearest
