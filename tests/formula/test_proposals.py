"""Altitude and wide-pan changes: proposed one at a time, never applied unasked."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.formula.cast import COCOA, LEMON, WHITES

from tierwright.errors import MissingData, OutOfRange
from tierwright.formula import (
    FormulaText,
    Kind,
    altitude_proposals,
    altitude_steps,
    apply,
    read_formula,
    wide_pan_factor,
    wide_pan_proposal,
    written_altitude_m,
)

SPONGE = FormulaText(
    key="s", name="S", kind=Kind.SPONGE, lines=("4 large eggs", "120 g caster sugar", "120 g cake flour")
)


def test_nothing_is_changed_below_three_thousand_feet() -> None:
    assert altitude_proposals(read_formula(LEMON), 900.0) == ()
    assert altitude_proposals(read_formula(LEMON), 0.0) == ()


def test_order_and_single_changes() -> None:
    proposals = altitude_proposals(read_formula(LEMON), 1420.0)
    assert [proposal.key.split(".")[1] for proposal in proposals] == ["liquid", "sugar", "leavening", "oven"]
    assert all(len({change.ingredient for change in p.changes}) <= 1 for p in proposals)


def test_directions() -> None:
    liquid, sugar, powder, oven = altitude_proposals(read_formula(COCOA), 1700.0)
    assert liquid.changes[0].after_g > liquid.changes[0].before_g
    assert all(change.after_g < change.before_g for change in (*sugar.changes, *powder.changes))
    assert oven.oven_c is not None
    assert oven.oven_c.low == pytest.approx(15 / 1.8)


def test_a_foam_keeps_its_weights_and_buttercream_has_none() -> None:
    assert [p.key for p in altitude_proposals(read_formula(SPONGE), 1700.0)] == ["altitude.oven"]
    assert altitude_proposals(read_formula(WHITES), 1700.0) == ()


@settings(max_examples=30, deadline=None)
@given(low=st.floats(914.4, 2133.6), high=st.floats(914.4, 2133.6))
def test_higher_never_asks_for_less_change(low: float, high: float) -> None:
    low, high = sorted((low, high))
    below, above = altitude_steps(low), altitude_steps(high)
    assert all(below[name].value <= above[name].value + 1e-12 for name in below)


def test_apply_changes_one_thing_and_leaves_the_original() -> None:
    formula = read_formula(LEMON)
    liquid, sugar, *_ = altitude_proposals(formula, 1420.0)
    after = apply(formula, liquid)
    assert after.applied == ("altitude.liquid",)
    moved = [(a.ingredient, b.grams.value - a.grams.value) for a, b in zip(formula.lines, after.lines, strict=True)]
    assert [key for key, by in moved if abs(by) > 1e-9] == ["whole_milk"]
    assert after.total_g.value - formula.total_g.value == pytest.approx(
        liquid.changes[0].after_g - liquid.changes[0].before_g
    )
    # The second change may follow, because it is about another ingredient; the first cannot be made twice.
    assert apply(after, sugar).applied == ("altitude.liquid", "altitude.sugar")
    with pytest.raises(MissingData):
        apply(after, liquid)


def test_wide_pans_only_for_chemically_raised_butter_cakes() -> None:
    assert wide_pan_proposal(read_formula(LEMON), 304.8) is not None
    assert wide_pan_proposal(read_formula(LEMON), 203.2) is None
    assert wide_pan_proposal(read_formula(COCOA), 304.8) is None
    assert wide_pan_proposal(read_formula(SPONGE), 304.8) is None


def test_outside_the_tables_there_is_no_number() -> None:
    with pytest.raises(OutOfRange):
        altitude_steps(2500.0)
    with pytest.raises(OutOfRange):
        altitude_proposals(read_formula(LEMON), 2500.0)
    with pytest.raises(OutOfRange):
        wide_pan_factor(406.4)
    with pytest.raises(OutOfRange):
        wide_pan_proposal(read_formula(LEMON), 406.4)


@pytest.mark.parametrize(
    ("made_for", "metres"),
    [("two 8 in pans at sea level", 0.0), ("5,000 ft", 1524.0), ("one tin, 1420 m", 1420.0), ("two 20 cm tins", None),
     ("", None)],
)  # fmt: skip
def test_what_a_formula_was_made_for(made_for: str, metres: float | None) -> None:
    assert written_altitude_m(made_for) == (None if metres is None else pytest.approx(metres))
