"""The uncertainty run: against normal theory, repeatable, and sensible."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import exp, sqrt
from statistics import NormalDist

import numpy as np
import pytest

from tierwright.errors import OutOfRange
from tierwright.support import Ask, Temper, support
from tierwright.support.boards import carried_by
from tierwright.support.stack import PieceCase, piece_utilisations
from tierwright.support.trials import TENTH, _order, _rank_correlation, draw, hard_stop_chance
from tierwright.working import Estimate

TRIALS = 40_000


def sd(estimate: Estimate) -> float:
    return (estimate.high - estimate.low) / (2 * TENTH)


def test_tenth_is_the_ninth_decile_of_a_normal() -> None:
    assert pytest.approx(NormalDist().inv_cdf(0.9), abs=1e-12) == TENTH


def test_sliding_against_normal_theory(block: Callable[..., PieceCase]) -> None:
    # Friction and push both normal: P(push > friction) = Phi((a - m) / sqrt(s^2 + t^2)), to three standard errors.
    rub = Estimate(value=0.45, low=0.35, high=0.55)
    push = Estimate(value=0.35, low=0.28, high=0.42)
    rng = np.random.default_rng(7)
    case = replace(block(), friction=draw(rng, rub, (1, TRIALS)))
    pushed = draw(rng, push, TRIALS)
    used = piece_utilisations(case, forward_g=pushed, side_g=np.zeros(TRIALS), lightened_g=np.zeros(TRIALS))
    found = float((used["slide.1"] > 1).mean())
    theory = NormalDist().cdf((0.35 - 0.45) / sqrt(sd(rub) ** 2 + sd(push) ** 2))
    assert 0.05 < theory < 0.3
    assert found == pytest.approx(theory, abs=3 * sqrt(theory * (1 - theory) / TRIALS))


def test_tipping_against_normal_theory(block: Callable[..., PieceCase]) -> None:
    # Tips where push x height + offset > arm, all linear in two normals: 80 a + e > 100.
    push = Estimate(value=1.0, low=0.8, high=1.2)
    rng = np.random.default_rng(11)
    pushed = draw(rng, push, TRIALS)
    offset = 6.0 * rng.standard_normal(TRIALS)
    case = replace(block(), ahead_mm=offset[None, :])
    used = piece_utilisations(case, forward_g=pushed, side_g=np.zeros(TRIALS), lightened_g=np.zeros(TRIALS))
    found = float((used["tip.1"] > 1).mean())
    theory = 1 - NormalDist(80.0, sqrt((80 * sd(push)) ** 2 + 36.0)).cdf(100.0)
    assert 0.02 < theory < 0.3
    assert found == pytest.approx(theory, abs=3 * sqrt(theory * (1 - theory) / TRIALS))


def test_draws_keep_their_tenths() -> None:
    rng = np.random.default_rng(3)
    for estimate in (Estimate(value=1.0, low=0.8, high=1.2), Estimate(value=1000.0, low=400.0, high=2500.0)):
        drawn = draw(rng, estimate, TRIALS)
        assert float((drawn < estimate.low).mean()) == pytest.approx(0.1, abs=0.006)
        assert float((drawn > estimate.high).mean()) == pytest.approx(0.1, abs=0.006)
        assert drawn.min() > 0


def test_hard_stops_follow_a_poisson_process() -> None:
    # One in ten hours: none in two and a half with exp(-0.25).
    assert hard_stop_chance(150.0) == pytest.approx(1 - exp(-0.25), rel=1e-12)
    assert hard_stop_chance(0.0) == 0.0


def test_same_seed_same_answer(three: Ask) -> None:
    first = support(replace(three, trials=2000, seed=5)).trials
    again = support(replace(three, trials=2000, seed=5)).trials
    other = support(replace(three, trials=2000, seed=6)).trials
    assert first == again
    assert first != other


def test_chances_fall_with_care(three: Ask, held: Ask) -> None:
    bare = support(replace(three, trials=4000)).trials
    careful = support(replace(held, trials=4000)).trials
    assert bare is not None
    assert careful is not None
    assert careful.any_failure < bare.any_failure
    # Bare boards on a bare floor slide; what decides it is the friction there or the braking.
    assert "sliding" in bare.chances[0].label
    assert bare.sensitivities[0].key in ("friction.floor", "braking")
    signs = {s.key: s.correlation for s in bare.sensitivities}
    assert signs["friction.floor"] < -0.3
    assert signs["braking"] > 0.3


def test_chances_are_sorted_and_bounded(three: Ask) -> None:
    found = support(replace(three, trials=2000)).trials
    assert found is not None
    values = [chance.chance for chance in found.chances]
    assert values == sorted(values, reverse=True)
    assert max(values) <= found.any_failure <= min(1.0, sum(values))
    for chance in found.chances:
        assert chance.error == pytest.approx(sqrt(chance.chance * (1 - chance.chance) / 2000), abs=1e-12)


def test_worse_cutting_makes_supports_and_lean_worse(held: Ask) -> None:
    def tip_chance(error: float) -> float:
        ask = replace(held, means=replace(held.means, cutting_error_mm=error, temper=Temper.ROOM), trials=4000)
        found = support(ask).trials
        assert found is not None
        return sum(chance.chance for chance in found.chances if ".tip." in chance.key or "bearing" in chance.key)

    assert tip_chance(5.0) >= tip_chance(0.1)


def test_uneven_supports_keep_the_sum_and_never_pull() -> None:
    rng = np.random.default_rng(2)
    rest = np.full((5, 300), 4.0)
    shifts = rng.standard_normal((5, 300)) * 6
    shifts -= shifts.mean(axis=0)
    forces = carried_by(rest, shifts)
    assert forces.min() >= -1e-9
    assert forces.sum(axis=0) == pytest.approx(np.full(300, 20.0), rel=1e-12)


def test_too_few_trials_are_refused(three: Ask) -> None:
    with pytest.raises(OutOfRange, match="trials"):
        support(replace(three, trials=10))


@pytest.mark.parametrize("mixed", [-1.0, 0.0, 0.3])
def test_rank_correlation_is_that_of_a_statistics_library(mixed: float) -> None:
    from scipy.stats import spearmanr

    one, other = np.random.default_rng(4).standard_normal((2, 500))
    other = np.exp(mixed * one + (0.0 if mixed == -1 else 1.0) * other)
    ranks = np.empty(500)
    ranks[_order(one)] = np.arange(500)
    assert _rank_correlation(ranks[_order(other)]) == pytest.approx(spearmanr(one, other).statistic, abs=1e-12)


def test_equals_are_ranked_in_the_order_of_their_trials() -> None:
    values = np.random.default_rng(4).integers(0, 5, 300).astype(float)
    assert _order(values).tolist() == sorted(range(300), key=lambda i: values[i])
