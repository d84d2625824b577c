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


def test_a_tube_resists_bending_by_what_its_bore_leaves() -> None:
    # Handbook formula pi/64 (D^4 - d^4): 12 mm outside and a bore of 10 mm give 527.0 mm4; a solid of 12 mm 1017.9.
    tube = Section(outer_mm=12.0, wall_mm=1.0)
    assert tube.inertia_mm4 == pytest.approx(527.0, abs=0.05)
    assert Section(outer_mm=12.0).inertia_mm4 == pytest.approx(1017.9, abs=0.05)
    assert tube.area_mm2 == pytest.approx(34.56, abs=0.005)
    # A thin ring's radius of gyration is close to its mean radius over the root of two.
    assert tube.gyration_mm == pytest.approx(5.5 / 2**0.5, rel=0.01)
