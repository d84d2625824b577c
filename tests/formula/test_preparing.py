"""All formulas of a commission together: what is worked, asked, cautioned and refused."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.formula.cast import COCOA, CURD, LEMON, WHITES, job

from tierwright.errors import BadInput, OutOfRange
from tierwright.formula import Bowl, Formulas, FormulaText, Kind, PanJob, prepare_formulas
from tierwright.working import Estimate, Severity

BOWLS = (Bowl(name="stand mixer", litres=4.8),)


def _prepare(*texts: FormulaText, altitude_m: float = 1420.0, jobs: tuple[PanJob, ...] = ()) -> Formulas:
    jobs = jobs or (job(12, count=3, key="tier.1"), job(9, count=3, key="tier.2"))
    return prepare_formulas(
        texts,
        pans={"lemon": jobs, "cocoa": (job(6, count=3, key="tier.3"),)},
        needs={"whites": Estimate.within(3200.0, 0.1), "curd": Estimate.exact(400.0)},
        bowls=BOWLS,
        altitude_m=altitude_m,
    )


def test_the_whole_is_worked() -> None:
    answer = _prepare(LEMON, COCOA, WHITES, CURD)
    assert all(work.batch is not None for work in answer.works)
    assert answer.of("lemon").balance is not None
    assert answer.of("whites").balance is None
    assert answer.of("whites").proposals == ()
    assert {proposal.key for proposal in answer.of("lemon").proposals} >= {"altitude.liquid", "wide_pan.12_in"}
    assert any(one.used_by == "curd" for one in answer.by_products)
    with pytest.raises(KeyError):
        answer.of("nothing")


def test_keys_of_figures_and_questions_are_unique() -> None:
    notes = _prepare(LEMON, COCOA, WHITES, CURD).notes
    for group in (notes.figures, notes.questions, notes.cautions, notes.assumptions):
        keys = [one.key for one in group]
        assert len(keys) == len(set(keys))
    assert all(figure.sheet == "formulas" for figure in notes.figures)


def test_the_same_input_gives_the_same_answer() -> None:
    assert _prepare(LEMON, WHITES, CURD) == _prepare(LEMON, WHITES, CURD)


def test_an_open_line_stops_the_formula_and_nothing_else() -> None:
    asked = replace(LEMON, lines=(*LEMON.lines, "1,200 g caster sugar"))
    answer = _prepare(asked, WHITES)
    assert answer.of("lemon").batch is None
    assert answer.of("lemon").composition is None
    assert answer.of("whites").batch is not None
    (question,) = [one for one in answer.notes.questions if one.severity is Severity.STOP]
    assert question.key == "formula.lemon.line.9"
    assert "1200 g caster sugar" in question.change


def test_an_unsaid_cup_is_asked_about_but_weighed() -> None:
    vague = replace(LEMON, lines=("2 3/4 cups cake flour", *LEMON.lines[1:]))
    answer = _prepare(vague)
    assert answer.of("lemon").batch is not None
    assert "formula.lemon.measure.1" in {one.key for one in answer.notes.questions}


def test_proposals_become_questions_and_no_weight_moves() -> None:
    low, high = _prepare(LEMON, altitude_m=0.0), _prepare(LEMON, altitude_m=1420.0)
    assert low.of("lemon").batch == high.of("lemon").batch
    assert "formula.lemon.altitude.sugar" in {one.key for one in high.notes.questions}
    assert not any("altitude" in one.key for one in low.notes.questions)


def test_a_formula_written_up_here_is_left_alone() -> None:
    here = replace(LEMON, made_for="two 8 in pans at 1,500 m")
    keys = {proposal.key for proposal in _prepare(here).of("lemon").proposals}
    assert not any(key.startswith("altitude") for key in keys)


def test_where_a_source_ends_a_question_says_so() -> None:
    answer = _prepare(LEMON, altitude_m=2600.0, jobs=(job(16, count=1, key="tier.1"),))
    keys = {one.key for one in answer.notes.questions}
    assert {"formula.lemon.altitude", "formula.lemon.wide_pan"} <= keys
    assert answer.of("lemon").proposals == ()


def test_too_full_a_pan_is_asked_about() -> None:
    deep = (job(9, count=2, levelled_mm=48.0, depth_mm=50.8, key="tier.1"),)
    questions = {one.key: one for one in _prepare(LEMON, jobs=deep).notes.questions}
    assert "formula.lemon.pan.tier.1.too_full" in questions


def test_cautions_stand_where_the_hand_is() -> None:
    cautions = {one.key: one for one in _prepare(LEMON, WHITES, CURD).notes.cautions}
    assert cautions["formula.lemon.raw_batter"].step == "mixing"
    assert "71 °C" in cautions["formula.whites.raw_egg"].text
    assert "formula.curd.raw_egg" in cautions
    pasteurised = replace(WHITES, lines=("200 g pasteurized liquid egg white", "400 g caster sugar"))
    assert "formula.whites.raw_egg" not in {one.key for one in _prepare(pasteurised).notes.cautions}


def test_italian_buttercream_warns_of_hot_sugar() -> None:
    text = replace(WHITES, kind=Kind.ITALIAN_BUTTERCREAM)
    assert "formula.whites.hot_sugar" in {one.key for one in _prepare(text).notes.cautions}


def test_defaults_are_listed_and_a_measurement_replaces_them() -> None:
    assert "formula.lemon.density" in {one.key for one in _prepare(LEMON).notes.assumptions}
    measured = replace(LEMON, specific_gravity=0.82)
    assert "formula.lemon.density" not in {one.key for one in _prepare(measured).notes.assumptions}


def test_a_formula_nothing_needs_has_no_batch() -> None:
    spare = replace(CURD, key="spare")
    assert _prepare(LEMON, spare).of("spare").batch is None


@pytest.mark.parametrize(
    ("lines", "found"),
    [
        (("200 g cake flour", "200 g caster sugar", "100 g vegetable shortening"), "no liquid"),
        (("200 g caster sugar", "200 g whole milk", "3 large eggs"), "no flour"),
        (("For the cake:",), "no ingredient"),
    ],
)
def test_a_batter_that_cannot_be_is_refused_by_name(lines: tuple[str, ...], found: str) -> None:
    with pytest.raises(BadInput, match=found) as caught:
        _prepare(replace(LEMON, lines=lines))
    assert caught.value.problems[0].place == "formula lemon"


def test_every_impossible_formula_is_reported_at_once() -> None:
    dry = ("200 g caster sugar", "100 g vegetable shortening")
    with pytest.raises(BadInput) as caught:
        _prepare(replace(LEMON, lines=dry), replace(COCOA, lines=dry))
    assert len(caught.value.problems) == 4


def test_an_impossible_altitude_is_refused() -> None:
    with pytest.raises(OutOfRange):
        _prepare(LEMON, altitude_m=9000.0)
