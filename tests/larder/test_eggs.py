"""Eggs: classes by weight in the shell, and what is inside."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tierwright.errors import OutOfRange, UnknownName
from tierwright.larder import egg_grade, egg_grades, grade_of


@given(shell_g=st.floats(20.0, 120.0), jurisdiction=st.sampled_from(["US", "EU"]))
def test_a_grade_holds_the_eggs_it_is_given(shell_g: float, jurisdiction: str) -> None:
    grade = grade_of(shell_g, jurisdiction)
    if grade is None:
        assert jurisdiction == "US"
        assert shell_g < egg_grade("us_peewee").shell_low_g
    else:
        assert grade.shell_low_g <= shell_g
        assert grade.shell_high_g is None or shell_g < grade.shell_high_g


@given(one=st.floats(20.0, 120.0), other=st.floats(20.0, 120.0), jurisdiction=st.sampled_from(["US", "EU"]))
def test_a_heavier_egg_is_never_in_a_lighter_class(one: float, other: float, jurisdiction: str) -> None:
    light, heavy = (grade_of(weight, jurisdiction) for weight in sorted((one, other)))
    if light is not None and heavy is not None:
        assert light.edible_g.value <= heavy.edible_g.value


def test_white_and_yolk_are_the_whole() -> None:
    for grade in egg_grades().values():
        assert grade.white_g.value + grade.yolk_g.value == pytest.approx(grade.edible_g.value)
        # Shell is about an eighth to a ninth; a weight class is ten grams wide.
        top = grade.shell_high_g or grade.shell_low_g * 1.12
        assert grade.edible_g.value < top


def test_refusals() -> None:
    with pytest.raises(OutOfRange):
        grade_of(5.0, "US")
    with pytest.raises(OutOfRange):
        grade_of(float("nan"), "EU")
    with pytest.raises(UnknownName):
        grade_of(60.0, "XX")
    with pytest.raises(UnknownName) as caught:
        egg_grade("us_larg")
    assert "us_large" in caught.value.nearest
