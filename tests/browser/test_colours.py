"""The book of colours in a real browser: a wish is worked out by keyboard."""

from __future__ import annotations

from tests.browser.conftest import Opener

from tierwright.web.models import Commission


def test_a_wish_by_keyboard(open_page: Opener, commission: Commission) -> None:
    page = open_page("desktop")
    page.goto(f"/k/{commission.kitchen_id}/books/colours/")
    page.locator("#wish").focus()
    page.keyboard.type("heather")
    page.keyboard.press("Enter")
    page.wait_for_selector("#answer")
    assert "Reachable" in page.locator("#answer").inner_text()
    assert page.locator("#wish").input_value() == "heather"
