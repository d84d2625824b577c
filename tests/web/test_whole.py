"""Whole numbers from outside: plain digits and no more of them than a key of ours has."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.web.conftest import Cast

from tierwright.web.whole import whole

UNREADABLE = ("9" * 5000, "²", "٣", "-1", "+1", "1 ", "1.0", "1_0", "")


@given(st.integers(min_value=0, max_value=99_999_999))
def test_what_is_written_is_read(number: int) -> None:
    assert whole(str(number)) == number


@pytest.mark.parametrize("text", UNREADABLE)
def test_anything_else_is_none(text: str) -> None:
    assert whole(text) is None
    assert whole("123456789", 9) == 123_456_789
    assert whole("123456789") is None


@pytest.mark.parametrize("text", UNREADABLE)
def test_no_form_breaks_on_a_number_that_cannot_be_read(cast: Cast, text: str) -> None:
    ada = cast.client(cast.ada)
    assert ada.post(cast.url("sheet/tiers/settle/"), {"stack": text}).status_code == 422
    assert ada.get(cast.url("sheet/keeping/try/"), {"before": text}).status_code == 200
    form = {"cake.fixed[1]!was": text, "cake.fixed[1].number": "1"}
    assert ada.post(cast.url("sheet/tiers/change/settled/"), form).status_code in (200, 422)
