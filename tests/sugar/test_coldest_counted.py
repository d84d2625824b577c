"""No kill is counted below the coldest temperature that the source's measurements reach."""

from __future__ import annotations

import pytest
from scipy.integrate import quad

from tierwright.sugar.lethality import COLDEST_COUNTED_C, d_at, log_kill

EGG = {"d_ref_min": 0.5, "ref_c": 60.0, "z_k": 4.5}


def test_warming_counts_from_the_coldest_that_counts() -> None:
    # 20 to 70 C in 1000 s: 20 s a degree, so that the coldest that counts is reached after this long.
    reached_s = (COLDEST_COUNTED_C - 20) * 20
    whole = log_kill(((0.0, 20.0), (1000.0, 70.0)), **EGG)
    assert whole == pytest.approx(log_kill(((reached_s, COLDEST_COUNTED_C), (1000.0, 70.0)), **EGG), rel=1e-12)
    assert whole == pytest.approx(log_kill(((0.0, 70.0), (1000.0, 20.0)), **EGG), rel=1e-12), "cooling is its mirror"
    by_quadrature, _ = quad(lambda t: 1 / d_at(20 + t / 20, **EGG) / 60, reached_s, 1000)
    assert whole == pytest.approx(by_quadrature, rel=1e-9)


def test_a_history_that_stays_below_counts_nothing() -> None:
    assert log_kill(((0.0, COLDEST_COUNTED_C), (36000.0, COLDEST_COUNTED_C)), **EGG) == 0.0
    assert log_kill(((0.0, 20.0), (36000.0, COLDEST_COUNTED_C)), **EGG) == 0.0
    held = log_kill(((0.0, COLDEST_COUNTED_C + 0.1), (60.0, COLDEST_COUNTED_C + 0.1)), **EGG)
    assert held == pytest.approx(1 / d_at(COLDEST_COUNTED_C + 0.1, **EGG), rel=1e-9)


def test_a_history_counts_the_same_whenever_it_begins() -> None:
    warming = ((0.0, 20.0), (1000.0, 70.0), (1300.0, 40.0))
    later = tuple((seconds + 7200.0, celsius) for seconds, celsius in warming)
    assert log_kill(later, **EGG) == pytest.approx(log_kill(warming, **EGG), rel=1e-12)
