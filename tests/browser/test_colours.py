"""The book of colours in a real browser: axe finds nothing, a wish is worked out by keyboard, nothing is too wide."""

from __future__ import annotations

import pytest
from tests.browser.conftest import Opener
from tests.browser.test_pages import complaints

from tierwright.web.models import Commission


@pytest.mark.parametrize(("size", "scheme"), [("phone", "light"), ("desktop", "dark")])
def test_axe_finds_nothing(open_page: Opener, commission: Commission, size: str, scheme: str) -> None:
    base = f"/k/{commission.kitchen_id}/books/"
    page = open_page(size, scheme, meaning=("status of 422",))
    for address in (
        "colours/?wish=blush&mass=800+g",
        "colours/?wish=%230000ff",
        "colours/?wish=none",
        "kitchen/colours/",
    ):
        page.goto(base + address)
        assert complaints(page, seen_only=size != "phone") == []
        assert not page.evaluate("document.documentElement.scrollWidth > innerWidth"), address


def test_a_wish_by_keyboard(open_page: Opener, commission: Commission) -> None:
    page = open_page("desktop")
    page.goto(f"/k/{commission.kitchen_id}/books/colours/")
    page.locator("#wish").focus()
    page.keyboard.type("heather")
    page.keyboard.press("Enter")
    page.wait_for_selector("#answer")
    assert "Reachable" in page.locator("#answer").inner_text()
    assert page.locator("#wish").input_value() == "heather"
