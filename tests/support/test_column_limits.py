"""The spans in which a column is computed, one step either side of each end."""

from __future__ import annotations

import pytest

from tierwright.errors import OutOfRange
from tierwright.support.column import Section, buckling_load_n

WOOD = {"length_mm": 100.0, "modulus_mpa": 13900.0, "crush_mpa": 56.3}


@pytest.mark.parametrize(
    ("measure", "least", "most"),
    [("length_mm", 1.0, 2000.0), ("modulus_mpa", 0.1, 1e6), ("crush_mpa", 1e-3, 1e4)],
)
def test_a_column_outside_its_span_is_refused(measure: str, least: float, most: float) -> None:
    section = Section(outer_mm=6.35)

    def load_n(value: float) -> float:
        given = {**WOOD, measure: value}
        return buckling_load_n(
            section, length_mm=given["length_mm"], modulus_mpa=given["modulus_mpa"], crush_mpa=given["crush_mpa"]
        )

    for inside in (least, most):
        assert load_n(inside) > 0
    for outside in (least * 0.999, most * 1.001):
        with pytest.raises(OutOfRange):
            load_n(outside)
