"""The book of norms learns, and one bad afternoon does not carry it off."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.coating import CoatStyle
from tierwright.errors import OutOfRange, UnknownName
from tierwright.larder import FINISH_FACTORS, OwnTimes, norm, norms, pace_of
from tierwright.words import FormulaKind
from tierwright.working import Basis

USUAL = norms()["coat"].minutes(10).value


def timed(*minutes: float) -> dict[str, OwnTimes]:
    own = OwnTimes(task="coat")
    for one in minutes:
        own = own.add(one, USUAL)
    return {"coat": own}


def minutes(book: dict[str, OwnTimes] | None = None) -> tuple[float, float, float]:
    found = norm("coat", book).minutes(10)
    return found.low, found.value, found.high


def test_a_norm_is_so_much_to_begin_and_so_much_for_each() -> None:
    # By hand: 15 min and 2 min for each of ten square decimetres; begun half a time: 7.5 + 20.
    assert USUAL == 35.0
    assert norms()["coat"].minutes(10, jobs=0.5).value == 27.5
    assert norms()["coat"].minutes(10, 1.2).value == pytest.approx(42.0)


def test_without_own_times_the_usual_norm_stands_and_says_so() -> None:
    assert norm("coat").times == 0
    assert norm("coat").source.basis is Basis.COMMON_PRACTICE
    assert pace_of("coat") == 1.0


def test_every_norm_has_a_range_and_a_source() -> None:
    for one in norms().values():
        assert 0 < one.low_share < 1 < one.high_share
        assert one.base_min + one.each_min > 0
        assert one.source.basis in (Basis.COMMON_PRACTICE, Basis.FROM_MEMORY)


def test_every_finish_and_every_filling_has_its_time() -> None:
    assert FINISH_FACTORS.keys() == {style.value for style in CoatStyle}
    made = {kind.value for kind in FormulaKind if not kind.is_batter}
    assert len(made & norms().keys()) >= 12


def test_own_times_move_the_norm_and_narrow_it() -> None:
    learned = norm("coat", timed(*[24, 26, 25, 23, 27, 25, 24, 26] * 4))
    low, value, high = minutes(timed(*[24, 26, 25, 23, 27, 25, 24, 26] * 4))
    assert value == pytest.approx(25, abs=1)
    assert high / low < learned.high_share / learned.low_share * 1.0001 < minutes()[2] / minutes()[0]
    assert learned.source.basis is Basis.MAKER_RECORD
    assert learned.times == 32
    assert pace_of("coat", timed(USUAL * 2)) == pytest.approx(2 ** (1 / 3))  # one own time against two of the usual


def test_one_wild_time_hardly_matters() -> None:
    steady = [24.0, 26, 25, 23, 27, 25, 24, 26]
    assert minutes(timed(*steady, 400.0))[1] < minutes(timed(*steady))[1] * 1.05


@settings(max_examples=60)
@given(st.lists(st.floats(min_value=1, max_value=500), min_size=1, max_size=30))
def test_the_norm_stays_among_what_was_seen(seen: list[float]) -> None:
    low, value, high = minutes(timed(*seen))
    assert min(*seen, USUAL) * 0.999 <= value <= max(*seen, USUAL) * 1.001
    assert low <= value <= high


def test_old_times_are_let_go() -> None:
    own = OwnTimes(task="coat")
    for _ in range(60):
        own = own.add(30, 30)
    assert len(own.paces) == 40


def test_refusals() -> None:
    with pytest.raises(UnknownName):
        norm("coatng")
    for wrong in ((0.0, 30.0), (30.0, 0.0), (3000.0, 30.0)):
        with pytest.raises(OutOfRange):
            OwnTimes(task="coat").add(*wrong)
