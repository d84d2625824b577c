"""Portions wanted: an exact mixture, never fewer for more guests."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import MissingData, OutOfRange
from tierwright.sizing import demand, shortage_risk, turnout
from tierwright.sizing.demand import LIKELY_Z, REPLY_SHARE, TAKE_UP
from tierwright.words import OtherDessert
from tierwright.working import Estimate

SHARE = Estimate(value=0.825, low=0.78, high=0.87)


def test_a_sure_party_that_all_eats_needs_one_portion_each() -> None:
    sure = demand(attending=Estimate.exact(60), take_up=Estimate.exact(1.0), risk=0.05)
    assert (sure.mean, sure.sd, sure.wanted) == (60, 0, 60)
    assert shortage_risk(sure, 59) == 1.0
    assert shortage_risk(sure, 60) == 0.0


def test_agrees_with_drawn_evenings() -> None:
    # Ten thousand evenings drawn with a fixed seed from the same story, told in NumPy's own distributions.
    people = Estimate(value=110, low=102, high=118)
    worked = demand(attending=people, take_up=SHARE, risk=0.1)
    random = np.random.default_rng(20270626)
    sd = (SHARE.high - SHARE.low) / (2 * LIKELY_Z)
    tight = SHARE.value * (1 - SHARE.value) / sd**2 - 1
    come = np.rint(random.normal(110, 8 / LIKELY_Z, 10_000)).astype(int)
    eat = random.binomial(come, random.beta(SHARE.value * tight, (1 - SHARE.value) * tight, 10_000))
    # Four standard errors of the drawn mean, deviation and tail share.
    assert worked.mean == pytest.approx(eat.mean(), abs=4 * worked.sd / 100)
    assert worked.sd == pytest.approx(eat.std(), rel=0.04)
    for portions in (85, 91, 98, 105):
        assert shortage_risk(worked, portions) == pytest.approx((eat > portions).mean(), abs=0.02)


@given(
    value=st.integers(min_value=1, max_value=400),
    slack=st.floats(min_value=0.0, max_value=0.3),
    share=st.floats(min_value=0.3, max_value=0.97),
    wide=st.floats(min_value=0.0, max_value=0.2),
    risk=st.floats(min_value=0.001, max_value=0.5),
)
@settings(max_examples=100, deadline=None)
def test_is_a_distribution_and_keeps_the_risk(value: int, slack: float, share: float, wide: float, risk: float) -> None:
    attending = Estimate(value=value, low=value * (1 - slack), high=value * (1 + slack))
    take_up = Estimate(value=share, low=share * (1 - wide), high=min(1.0, share * (1 + wide)))
    worked = demand(attending=attending, take_up=take_up, risk=risk)
    chances = worked.chances
    assert all(a >= b - 1e-12 for a, b in pairwise(chances))
    assert chances[-1] == 0.0
    assert sum(chances) == pytest.approx(worked.mean, rel=1e-9)  # E[X] is the sum of P(X > i)
    assert shortage_risk(worked, worked.wanted) <= risk
    assert worked.wanted <= 1 or shortage_risk(worked, worked.wanted - 1) > risk


@given(
    value=st.integers(min_value=1, max_value=300),
    more=st.integers(min_value=0, max_value=300),
    slack=st.floats(min_value=0.0, max_value=0.2),
    risk=st.floats(min_value=0.005, max_value=0.4),
)
@settings(max_examples=60, deadline=None)
def test_more_guests_never_want_fewer_portions(value: int, more: int, slack: float, risk: float) -> None:
    def wanted(n: int) -> int:
        attending = Estimate(value=n, low=n * (1 - slack), high=n * (1 + slack))
        return demand(attending=attending, take_up=SHARE, risk=risk).wanted

    assert wanted(value + more) >= wanted(value)


def test_a_smaller_risk_and_wider_doubt_want_more() -> None:
    sure, unsure = Estimate.exact(100), Estimate(value=100, low=85, high=115)
    careful = demand(attending=sure, take_up=SHARE, risk=0.02).wanted
    assert careful > demand(attending=sure, take_up=SHARE, risk=0.2).wanted
    assert demand(attending=unsure, take_up=SHARE, risk=0.02).wanted > careful


def test_nobody_beyond_the_invited_is_reckoned_with() -> None:
    attending = Estimate(value=110, low=102, high=118)
    capped = demand(attending=attending, take_up=Estimate.exact(1.0), risk=0.001, invited=124)
    assert capped.wanted <= 124
    assert demand(attending=attending, take_up=Estimate.exact(1.0), risk=0.001).wanted > 124


def test_portions_besides_come_on_top() -> None:
    plain = demand(attending=Estimate.exact(96), take_up=SHARE, risk=0.1)
    more = demand(attending=Estimate.exact(96), take_up=SHARE, risk=0.1, extra_portions=5)
    assert more.wanted == plain.wanted + 5
    assert more.mean == pytest.approx(plain.mean + 5)


def test_defaults_stand_in_and_say_so() -> None:
    came = turnout(attending=None, invited=124, take_up=None, other_dessert=OtherDessert.SOME)
    assert came.attending_assumed
    assert came.take_up_assumed
    assert came.attending.value == pytest.approx(124 * REPLY_SHARE.value)
    assert came.take_up == TAKE_UP[OtherDessert.SOME]
    # Common practice: 75 to 85 % of those attending, less where there is more else to eat.
    values = [TAKE_UP[dessert].value for dessert in (OtherDessert.NONE, OtherDessert.SOME, OtherDessert.MAIN)]
    assert values == sorted(values, reverse=True)
    assert 0.75 <= min(values) <= max(values) <= 0.85


def test_refuses_what_cannot_be_counted() -> None:
    with pytest.raises(MissingData, match="attending or invited"):
        turnout(attending=None, invited=None, take_up=None, other_dessert=OtherDessert.NONE)
    with pytest.raises(OutOfRange):
        turnout(
            attending=Estimate.exact(10),
            invited=None,
            take_up=Estimate(value=0.9, low=0.8, high=1.1),
            other_dessert=OtherDessert.NONE,
        )
    with pytest.raises(OutOfRange):
        demand(attending=Estimate.exact(6000), take_up=SHARE, risk=0.1)
    for risk in (0.0, 0.6, float("nan")):
        with pytest.raises(OutOfRange):
            demand(attending=Estimate.exact(60), take_up=SHARE, risk=risk)
    with pytest.raises(OutOfRange):
        demand(attending=Estimate.exact(60), take_up=SHARE, risk=0.1, extra_portions=-1)
