"""Results are plain: they go to files and pages without a thought."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass
from enum import Enum

import pytest

from tierwright.sugar import (
    CreamKind,
    Line,
    MeringueKind,
    PetalBody,
    PetalCoat,
    Thermometer,
    Whites,
    plan_cream,
    plan_meringue,
    plan_petals,
    plan_syrup,
    sugar_and_water,
    syrup_state,
)
from tierwright.sugar.buttercream import land


def walk(value: object, path: str = "") -> list[str]:
    """Places in a result that hold anything but plain values."""
    if value is None or type(value) in (float, int, str, bool) or isinstance(value, Enum):
        return []
    if isinstance(value, tuple):
        return [place for i, item in enumerate(value) for place in walk(item, f"{path}[{i}]")]
    if is_dataclass(value) and not isinstance(value, type):
        return [place for f in fields(value) for place in walk(getattr(value, f.name), f"{path}.{f.name}")]
    return [f"{path}: {type(value).__name__}"]


RESULTS: dict[str, Callable[[], object]] = {
    "state": lambda: syrup_state(sugar_and_water(100, 100)),
    "syrup": lambda: plan_syrup(
        [Line(ingredient="sugar", grams=300), Line(ingredient="cream", grams=200), Line(ingredient="honey", grams=50)],
        altitude_m=1420.0,
        stage_key="firm-ball",
        thermometer=Thermometer(boiling_reading_c=96.0),
    ),
    "meringue": lambda: plan_meringue(
        MeringueKind.ITALIAN, whites=Whites.FRESH, whites_g=200, sugar_g=400, altitude_m=1420.0
    ),
    "ganache": lambda: plan_cream(CreamKind.GANACHE),
    "landing": lambda: land(CreamKind.SWISS_BUTTERCREAM, foam_c=42.0, butter_c=20.0),
    "petals": lambda: plan_petals(40, body=PetalBody.THIN, coat=PetalCoat.GUM_ARABIC, humidity_share=0.4),
}


@pytest.mark.parametrize("name", sorted(RESULTS))
def test_a_result_holds_only_plain_values(name: str) -> None:
    assert walk(RESULTS[name]()) == []


@pytest.mark.parametrize("name", sorted(RESULTS))
def test_a_result_can_be_compared_and_is_the_same_twice(name: str) -> None:
    assert RESULTS[name]() == RESULTS[name]()
