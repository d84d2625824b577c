"""One pan answered: range, first look, advice, findings, notes."""

from __future__ import annotations

import dataclasses
import json
from datetime import datetime
from decimal import Decimal
from enum import Enum

import pytest

from tierwright.bake import (
    Bake,
    BakingPan,
    Batter,
    OvenSetting,
    bake,
    batter_depth_mm,
    finish,
    finishes,
    pan_to_bake,
    run_trial,
)
from tierwright.errors import Infeasible, OutOfRange, UnknownName
from tierwright.larder import Composition
from tierwright.shapes import Outline
from tierwright.working import Severity

BATTER = Composition(water_g=35.0, carbohydrate_g=45.0, fat_g=13.5, protein_g=5.0, ash_g=1.5)


def filled(
    diameter: float, depth: float, height: float = 76.0, finish_key: str = "dull", rise: float = 1.75
) -> tuple[BakingPan, Batter]:
    pan = BakingPan(key="pan", outline=Outline.round(diameter), height_mm=height, finish=finish_key)
    grams = pan.outline.area_mm2 * depth * 0.9982 * 0.85 / 1000.0
    return pan, Batter(batter_g=grams, specific_gravity=0.85, composition=BATTER, rise=rise)


@pytest.fixture(scope="module")
def layer() -> Bake:
    return bake(*filled(203.0, 20.0, 51.0), OvenSetting(set_point_c=177.0))


@pytest.fixture(scope="module")
def large() -> Bake:
    return bake(*filled(356.0, 38.0), OvenSetting(set_point_c=177.0))


def keys(answer: Bake) -> set[str]:
    return {question.key for question in answer.notes.questions}


def test_range_of_an_unknown_oven(layer: Bake) -> None:
    done = layer.done_min
    assert done is not None
    # 15 % either way, on a scale of ratios.
    assert done.low == pytest.approx(done.value / 1.162, rel=0.01)
    assert done.high == pytest.approx(done.value * 1.162, rel=0.01)
    assert layer.first_look_min == float(int(done.low))
    assert "bake.pan.oven_unknown" in keys(layer)


def test_plain_layer_needs_no_advice(layer: Bake) -> None:
    assert layer.options == ()
    assert not layer.overflow


def test_depth_by_hand() -> None:
    # 425 g at SG 0.85 in a 203 mm pan: 425 / (0.85 x 0.9982) cm3 over 323.65 cm2 is 15.48 mm.
    pan = BakingPan(key="p", outline=Outline.round(203.0), height_mm=51.0)
    batter = Batter(batter_g=425.0, specific_gravity=0.85, composition=BATTER)
    assert batter_depth_mm(pan, batter) == pytest.approx(15.48, abs=0.01)


def test_large_pan_is_advised(large: Bake) -> None:
    by_key = {option.key: option for option in large.options}
    assert set(by_key) == {"lower", "strip", "core", "water", "depth"}
    assert by_key["core"].time_change is not None
    assert by_key["core"].time_change < 0.0
    assert by_key["lower"].time_change is not None
    assert by_key["lower"].time_change > 0.15
    assert by_key["lower"].dome_mm < large.trial.dome_mm
    assert by_key["depth"].time_change is not None
    assert by_key["depth"].time_change < -0.2
    assert any(option.advised for option in large.options)
    assert all(option.reason for option in large.options)
    assert "bake.pan.edge_waits" in keys(large)


def test_no_answer_speaks_of_a_colour(large: Bake) -> None:
    text = json.dumps([str(item) for item in (large.notes, large.options)]).lower()
    assert "brown colour" not in text
    assert "golden" not in text


def test_overflow_is_a_stop_with_the_mass_that_fits() -> None:
    answer = bake(*filled(203.0, 35.0, 51.0), OvenSetting(set_point_c=177.0), advise=False)
    assert answer.overflow
    question = next(q for q in answer.notes.questions if q.key == "bake.pan.overflow")
    assert question.severity is Severity.STOP
    fits = float(question.change.split("at most ")[1].split(" g")[0])
    again = bake(*filled(203.0, 35.0 * fits / answer.batter.batter_g * 0.98, 51.0), OvenSetting(set_point_c=177.0))
    assert not again.overflow


def test_too_cool_an_oven_gives_no_number() -> None:
    answer = bake(*filled(203.0, 20.0), OvenSetting(set_point_c=98.0))
    assert answer.done_min is None
    assert answer.first_look_min is None
    assert "bake.pan.not_reached" in keys(answer)


def test_height_raises_the_question_of_setting() -> None:
    low = bake(*filled(203.0, 20.0), OvenSetting(set_point_c=177.0, altitude_m=1420.0))
    high = bake(*filled(203.0, 20.0), OvenSetting(set_point_c=177.0, altitude_m=3000.0))
    assert "bake.pan.under_set" not in keys(low)
    assert "bake.pan.under_set" in keys(high)


def test_cautions_stand_where_the_hand_is(layer: Bake) -> None:
    steps = {caution.key: caution.step for caution in layer.notes.cautions}
    assert steps == {"bake.hot_oven": "open the oven", "bake.raw_batter": "fill the pans"}


def test_every_default_is_told(layer: Bake) -> None:
    told = {assumption.key for assumption in layer.notes.assumptions}
    assert {"bake.pan.rise", "bake.pan.pan_finish", "bake.pan.preheated", "bake.pan.factor"} <= told


def test_figures_open_to_their_working(layer: Bake) -> None:
    for figure in layer.notes.figures:
        assert figure.equation
        assert figure.inputs
        assert figure.sheet == "bakes"
    assert {f.key.rsplit(".", 1)[1] for f in layer.notes.figures} == {
        "depth_mm",
        "core_c",
        "weight_loss",
        "dome_mm",
        "done_min",
    }


def plain(value: object) -> bool:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return all(plain(getattr(value, field.name)) for field in dataclasses.fields(value))
    if isinstance(value, tuple):
        return all(plain(item) for item in value)
    return value is None or type(value) in (float, int, str, bool, datetime, Decimal) or isinstance(value, Enum)


def test_answers_hold_plain_values_only(layer: Bake, large: Bake) -> None:
    assert plain(layer)
    assert plain(large)


def test_probe_curve_lies_above_the_core(layer: Bake) -> None:
    for (_, core), (_, probe) in zip(layer.trial.core_c, layer.trial.probe_c, strict=True):
        assert probe >= core - 0.3


def test_every_finish_has_its_source() -> None:
    assert all(row.source and 0.0 < row.emissivity <= 1.0 for row in finishes().values())
    with pytest.raises(UnknownName, match="pan finish"):
        finish("gold")


def test_brighter_pans_bake_slower() -> None:
    times = []
    for key in ("bright", "dull", "anodised", "dark"):
        done = run_trial(*filled(229.0, 18.0, 51.0, key), OvenSetting(set_point_c=177.0)).done_min
        assert done is not None
        times.append(done)
    assert times == sorted(times, reverse=True)


def test_answer_becomes_a_pan_in_a_load(layer: Bake) -> None:
    one = pan_to_bake(layer, key="first", mix="vanilla")
    # Wall and rolled rim: 1 + 4 mm on every side.
    assert one.outline.width_mm == pytest.approx(213.0)
    assert one.height_mm == 51.0
    assert one.done_min == layer.done_min
    cool = bake(*filled(203.0, 20.0), OvenSetting(set_point_c=98.0), advise=False)
    with pytest.raises(Infeasible, match="never done"):
        pan_to_bake(cool)


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="set point"):
        OvenSetting(set_point_c=300.0)
    with pytest.raises(OutOfRange, match="specific gravity"):
        Batter(batter_g=500.0, specific_gravity=1.5, composition=BATTER)
    with pytest.raises(OutOfRange, match="batter depth"):
        bake(*filled(203.0, 2.0), OvenSetting(set_point_c=177.0))
    with pytest.raises(OutOfRange, match="pan height"):
        BakingPan(key="p", outline=Outline.round(203.0), height_mm=5.0)
    with pytest.raises(OutOfRange, match="pan width"):
        bake(*filled(600.0, 20.0), OvenSetting(set_point_c=177.0))
    with pytest.raises(OutOfRange, match="altitude"):
        OvenSetting(set_point_c=177.0, altitude_m=5000.0)
