"""schema.org Recipes out of saved pages and JSON texts, and what is refused."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import BadInput
from tierwright.formula import FormulaText, Kind, Status, read_formula, read_recipe

RECIPE = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    "name": "Plain sponge",
    "recipeYield": ["2 layers", "two 20 cm tins"],
    "recipeIngredient": ["4 large eggs", "120&nbsp;g caster sugar", "<b>120 g</b> plain flour"],
    "recipeInstructions": [
        {
            "@type": "HowToSection",
            "name": "Batter",
            "itemListElement": [
                {"@type": "HowToStep", "text": "Whisk eggs and sugar &amp; keep <i>warm</i>."},
                {"@type": "HowToStep", "name": "Fold in the flour."},
            ],
        },
        {"@type": "HowToStep", "text": "Bake."},
    ],
}


def _page(*blocks: object) -> str:
    scripts = "".join(f'<script type="application/ld+json">{json.dumps(block)}</script>' for block in blocks)
    return f"<!doctype html><html><head><title>x</title>{scripts}</head><body><p>4 large eggs</p></body></html>"


def _read(text: str, name: str = "") -> FormulaText:
    return read_recipe(text, key="sponge", kind=Kind.SPONGE, name=name)


@pytest.mark.parametrize(
    "text",
    [
        json.dumps(RECIPE),
        json.dumps([RECIPE]),
        json.dumps({"@graph": [{"@type": "WebPage"}, RECIPE]}),
        _page(RECIPE),
        _page({"@type": "Organization"}, {"@graph": [RECIPE]}),
        _page({"@graph": [{"@type": "WebPage", "mainEntity": RECIPE}]}),
        _page({**RECIPE, "@type": ["Recipe", "NewsArticle"]}),
        _page({**RECIPE, "@type": "https://schema.org/Recipe"}),
        "﻿" + _page(RECIPE, RECIPE).replace("application/ld+json", "application/LD+JSON; charset=utf-8"),
    ],
)
def test_one_recipe_in_many_wrappings(text: str) -> None:
    formula = _read(text)
    assert formula.name == "Plain sponge"
    assert formula.lines == ("4 large eggs", "120 g caster sugar", "120 g plain flour")
    assert formula.method == ("Batter:", "Whisk eggs and sugar & keep warm .", "Fold in the flour.", "Bake.")
    assert formula.made_for == "2 layers, two 20 cm tins"
    assert all(line.status is Status.READ for line in read_formula(formula).lines)


def test_instructions_as_one_text() -> None:
    formula = _read(json.dumps({**RECIPE, "recipeInstructions": "Whisk.<br>Fold.\nBake."}))
    assert formula.method == ("Whisk.", "Fold.", "Bake.")


def test_broken_neighbours_do_not_hide_a_recipe() -> None:
    page = _page(RECIPE).replace("<head>", '<head><script type="application/ld+json">{"@type": "Rec</script>')
    assert _read(page).name == "Plain sponge"


def test_scripts_that_are_not_data_are_never_read() -> None:
    page = _page(RECIPE).replace("application/ld+json", "text/javascript")
    with pytest.raises(BadInput, match="no recipe"):
        _read(page)


def test_a_recipe_in_a_comment_is_no_recipe() -> None:
    page = _page(RECIPE)
    commented = page.replace("<script", "<!-- <script").replace("</script>", "</script> -->")
    with pytest.raises(BadInput, match="no recipe"):
        _read(commented)
    assert _read(f"<!-- old --> {page}").name == "Plain sponge"


def test_several_recipes_are_asked_about() -> None:
    other = {**RECIPE, "name": "Curd", "recipeIngredient": ["100 g lemon juice"]}
    with pytest.raises(BadInput, match="2 recipes") as caught:
        _read(_page(RECIPE, other))
    assert "Curd" in caught.value.problems[0].nearest
    assert _read(_page(RECIPE, other), name="curd").lines == ("100 g lemon juice",)
    with pytest.raises(BadInput, match="no recipe called"):
        _read(_page(RECIPE, other), name="jam")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "not a page",
        "{",
        '{"@type": "Recipe"',
        "[]",
        "null",
        '{"@type": "Recipe", "name": "x"}',
        '{"@type": "Recipe", "recipeIngredient": []}',
        '{"@type": "Recipe", "recipeIngredient": {"a": 1}}',
        '{"@type": "Recipe", "recipeIngredient": [NaN]}',
        json.dumps({"@type": "Recipe", "recipeIngredient": ["1 g salt"] * 200}),
        json.dumps({"@type": "Recipe", "recipeIngredient": ["x" * 400]}),
        "[" * 100_000,
        "[" * 200 + "]" * 200,
        '{"a":' * 500 + "1" + "}" * 500,
        "[" + "1," * 30_000 + "1]",
        "x" * 4_000_001,
        "<script type='application/ld+json'>" * 5000,
        "<a " * 300_000,
        "<!--" * 200_000,
        "<script " * 200_000,
        "<!--" + _page(RECIPE),
        "\x00\x01\x02",
    ],
)
def test_hostile_or_empty_text_is_refused_by_name(text: str) -> None:
    with pytest.raises(BadInput) as caught:
        _read(text)
    assert caught.value.problems[0].place.startswith("recipe")


def test_steps_nested_without_end_are_refused() -> None:
    step: object = "Bake."
    for _ in range(60):
        step = [step]
    with pytest.raises(BadInput, match="nested"):
        _read(json.dumps({**RECIPE, "recipeInstructions": step}))


@settings(max_examples=80, deadline=None)
@given(st.recursive(st.none() | st.text(max_size=8) | st.integers() | st.just("Recipe"),
                    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(
                        st.sampled_from(["@type", "name", "recipeIngredient", "recipeInstructions", "text", "@graph"]),
                        inner, max_size=4), max_leaves=15))  # fmt: skip
def test_any_json_gives_a_formula_or_a_clear_refusal(data: object) -> None:
    try:
        formula = _read(json.dumps([data]))
    except BadInput:
        return
    assert formula.lines
