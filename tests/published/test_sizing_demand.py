"""The mixture behind portions wanted against published and independent beta-binomials."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from scipy import stats

from tierwright.sizing import demand
from tierwright.sizing.demand import LIKELY_Z
from tierwright.working import Estimate

# Boys among the first 12 children of 6115 Saxon families (Geissler 1889), with the beta-binomial fitted to them by
# Lindsey and Altham, Applied Statistics 47 (1998) 149-157: alpha 34.09558, beta 31.5715. From memory.
ALPHA, BETA, FAMILIES = 34.09558, 31.5715, 6115
FITTED = (2.3, 22.6, 104.8, 310.9, 655.7, 1036.2, 1257.9, 1182.1, 853.6, 461.9, 177.9, 43.8, 5.2)


def share_of(a: float, b: float) -> Estimate:
    """The share whose beta distribution has these parameters, by its mean and deviation."""
    mean = a / (a + b)
    half = LIKELY_Z * sqrt(a * b / ((a + b) ** 2 * (a + b + 1)))
    return Estimate(value=mean, low=mean - half, high=mean + half)


def chances_of_each(people: int, share: Estimate) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    worked = demand(attending=Estimate.exact(people), take_up=share, risk=0.1)
    return -np.diff(np.array([1.0, *worked.chances]))


def test_matches_the_fitted_families() -> None:
    # Printed to one decimal of a family.
    assert FAMILIES * chances_of_each(12, share_of(ALPHA, BETA)) == pytest.approx(np.array(FITTED), abs=0.06)


@pytest.mark.parametrize(
    ("people", "a", "b"), [(10, 8.0, 2.0), (96, 50.0, 11.0), (250, 120.0, 30.0), (1000, 40.0, 9.0)]
)
def test_matches_scipy_beta_binomial(people: int, a: float, b: float) -> None:
    reference = stats.betabinom.pmf(np.arange(people + 1), people, a, b)
    assert chances_of_each(people, share_of(a, b)) == pytest.approx(reference, abs=1e-11)


@pytest.mark.parametrize("people", [1, 30, 400])
def test_a_sure_share_is_a_plain_binomial(people: int) -> None:
    reference = stats.binom.pmf(np.arange(people + 1), people, 0.8)
    assert chances_of_each(people, Estimate.exact(0.8)) == pytest.approx(reference, abs=1e-11)
