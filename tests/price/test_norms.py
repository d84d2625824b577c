"""The book of norms learns, and one bad afternoon does not carry it off."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import OutOfRange, UnknownName
from tierwright.price import OwnTimes, norm, norms
from tierwright.working import Basis


def timed(*minutes: float) -> dict[str, OwnTimes]:
    own = OwnTimes(task="coating")
    for one in minutes:
        own = own.add(one)
    return {"coating": own}


def test_without_own_times_the_usual_norm_stands_and_says_so() -> None:
    usual = norm("coating")
    assert usual.times == 0
    assert usual.source.basis is Basis.COMMON_PRACTICE


def test_every_norm_has_a_range_and_a_source() -> None:
    for one in norms().values():
        assert one.minutes.low < one.minutes.value < one.minutes.high
        assert one.source.basis in (Basis.COMMON_PRACTICE, Basis.FROM_MEMORY)


def test_own_times_move_the_norm_and_narrow_it() -> None:
    usual, learned = norm("coating"), norm("coating", timed(*[24, 26, 25, 23, 27, 25, 24, 26] * 4))
    assert learned.minutes.value == pytest.approx(25, abs=1)
    assert learned.minutes.high / learned.minutes.low < usual.minutes.high / usual.minutes.low
    assert learned.source.basis is Basis.MAKER_RECORD
    assert learned.times == 32


def test_one_wild_time_hardly_matters() -> None:
    steady = [24.0, 26, 25, 23, 27, 25, 24, 26]
    calm, wild = norm("coating", timed(*steady)), norm("coating", timed(*steady, 400.0))
    assert wild.minutes.value < calm.minutes.value * 1.05


def test_a_count_is_divided_out() -> None:
    assert OwnTimes(task="coating").add(120, count=4).minutes == (30.0,)


@settings(max_examples=60)
@given(st.lists(st.floats(min_value=1, max_value=500), min_size=1, max_size=30))
def test_the_norm_stays_among_what_was_seen(minutes: list[float]) -> None:
    learned = norm("coating", timed(*minutes)).minutes
    usual = norm("coating").minutes.value
    assert min(*minutes, usual) * 0.999 <= learned.value <= max(*minutes, usual) * 1.001
    assert learned.low <= learned.value <= learned.high


def test_old_times_are_let_go() -> None:
    own = OwnTimes(task="coating")
    for _ in range(60):
        own = own.add(30)
    assert len(own.minutes) == 40


def test_refusals() -> None:
    with pytest.raises(UnknownName):
        norm("coatng")
    with pytest.raises(OutOfRange):
        OwnTimes(task="coating").add(0)
