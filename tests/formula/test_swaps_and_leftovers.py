"""Substitutions, and whites and yolks that one formula leaves for another."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.formula.cast import CURD, LEMON, WHITES

from tierwright.errors import MissingData, UnknownName
from tierwright.formula import (
    FormulaText,
    Kind,
    Status,
    make_batch,
    read_formula,
    substitute,
    substitutions,
)
from tierwright.formula.byproducts import left_over, matched
from tierwright.formula.tables import rows
from tierwright.larder import ingredients
from tierwright.working import Estimate

LEMON_G = read_formula(LEMON)


def test_every_rule_names_the_larder_and_weighs_what_it_says() -> None:
    for row in rows("substitutions.csv"):
        shares = [piece.split("=") for piece in row["into"].split(";")]
        assert {row["out"], *(name.strip() for name, _ in shares)} <= set(ingredients())
        assert sum(float(share) for _, share in shares) == pytest.approx(1.0, abs=0.001)
        assert row["source"]
        assert row["effects"]


@pytest.mark.parametrize("rule", [row["key"] for row in rows("substitutions.csv")])
def test_every_rule_conserves_mass(rule: str) -> None:
    row = next(row for row in rows("substitutions.csv") if row["key"] == rule)
    text = FormulaText(key="a", name="A", kind=Kind.OTHER_FILLING, lines=("100 g caster sugar",))
    line = read_formula(text).lines[0]

    out = replace(line, ingredient=row["out"], label=row["out"], grams=Estimate.exact(80.0))
    formula = replace(read_formula(text), lines=(line, out))
    after = substitute(formula, rule)
    assert after.total_g.value == pytest.approx(formula.total_g.value, rel=1e-3)
    assert row["out"] not in {part.ingredient for part in after.parts} or "=" not in row["into"]


def test_egg_and_dairy_swaps_move_the_allergens() -> None:
    swaps = {swap.key: swap for swap in substitutions(LEMON_G)}
    assert "egg" in swaps["egg_flax"].allergens_removed
    assert "soy" in swaps["milk_soy"].allergens_added
    # Butter is still there: milk stays.
    assert "milk" not in swaps["milk_soy"].allergens_removed
    assert swaps["egg_pasteurised"].allergens_removed == ()


def test_buttermilk_swap_keeps_the_acid() -> None:
    lines = ("200 g cake flour", "245 g buttermilk", "2 g baking soda")
    formula = read_formula(FormulaText(key="a", name="A", kind=Kind.CREAMED, lines=lines))
    swaps = {swap.key: swap for swap in substitutions(formula)}
    # 6 % lemon juice of 5 % citric acid: 0.97 g of soda against 2.06 g; enough to curdle, not all of it.
    assert -1.5 < swaps["buttermilk_milk_lemon"].soda_g < 0.2
    assert swaps["buttermilk_milk_lemon"].fat_g > 0


def test_self_raising_flour_gives_back_its_powder() -> None:
    formula = read_formula(
        FormulaText(key="a", name="A", kind=Kind.CREAMED, lines=("200 g self-raising flour", "100 g whole milk"))
    )
    after = {line.ingredient: line.grams.value for line in substitute(formula, "self_raising").parts}
    # Two level teaspoons of 4.6 g to 200 g is common practice.
    assert after["baking_powder"] == pytest.approx(9.2, abs=0.3)


def test_refusals() -> None:
    with pytest.raises(UnknownName):
        substitute(LEMON_G, "butter_by_wishes")
    with pytest.raises(MissingData):
        substitute(LEMON_G, "buttermilk_yogurt")


def test_buttercream_leaves_a_yolk_for_every_white() -> None:
    formula = read_formula(WHITES)
    batch = make_batch(formula, need_g=Estimate.exact(1198.0 * 0.99))
    (left,) = left_over(formula, batch)
    assert left.ingredient == "egg_yolk"
    assert left.count == pytest.approx(6, abs=0.05)


def test_curd_takes_the_yolks_and_leaves_no_whites() -> None:
    whites, curd = read_formula(WHITES), read_formula(CURD)
    made = (
        (whites, make_batch(whites, need_g=Estimate.exact(1186.0))),
        (curd, make_batch(curd, need_g=Estimate.exact(430.0))),
    )
    results = matched(made)
    taken = [one for one in results if one.used_by]
    assert [(one.formula, one.used_by) for one in taken] in ([("whites", "curd")], [("curd", "whites")])
    # Six of each: what one leaves the other takes, give or take the rounding of the scale.
    assert sum(one.count for one in results if not one.used_by) < 0.5


def test_what_nobody_takes_stays() -> None:
    whites = read_formula(WHITES)
    (left,) = matched(((whites, make_batch(whites, need_g=Estimate.exact(3000.0))),))
    assert left.used_by == ""
    assert left.used_g == 0


def test_whole_eggs_leave_nothing() -> None:
    assert all(line.status is Status.READ for line in LEMON_G.lines)
    assert left_over(LEMON_G, make_batch(LEMON_G, need_g=Estimate.exact(1000.0))) == ()
