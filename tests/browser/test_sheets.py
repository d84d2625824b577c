"""Sheets of work in a real browser: what is typed is answered, learnt, forgotten and ticked."""

from __future__ import annotations

from tests.browser.conftest import Opener
from tests.browser.looking import complaints

from tierwright.web.models import Commission


def test_the_bowl_answers_while_it_is_typed(open_page: Opener, commission: Commission) -> None:
    page = open_page("phone")
    page.goto(f"/k/{commission.kitchen_id}/c/{commission.pk}/sheet/syrups/bowl/")
    page.get_by_label("soupy: runny, shining, holds no line").check()
    page.get_by_label("A thermometer in it shows").fill("29 C")
    page.wait_for_selector("#answer .big")
    assert "Chill" in page.locator("#answer .big").inner_text()
    assert complaints(page) == []


def test_an_oven_learns_and_forgets(open_page: Opener, commission: Commission) -> None:
    page = open_page("desktop")
    page.goto(f"/k/{commission.kitchen_id}/c/{commission.pk}/sheet/bakes/")
    page.get_by_role("link", name="Your own oven").click()
    page.get_by_label("Done after").fill("36 min")
    page.get_by_label("Called").fill("first bake")
    page.locator("#form-done").get_by_role("button", name="Show what would move").click()
    page.get_by_role("button", name="Keep it").click()
    page.get_by_role("button", name="Take first bake back").click()
    page.get_by_role("button", name="Count first bake again").wait_for()
    assert complaints(page) == []


def test_what_is_ticked_in_the_shop_stays_ticked(open_page: Opener, commission: Commission) -> None:
    page = open_page("phone")
    url = f"/k/{commission.kitchen_id}/c/{commission.pk}/sheet/buying/"
    page.goto(url)
    page.locator(".ticks input").nth(1).check()
    page.goto(url)
    boxes = page.locator(".ticks input")
    assert [boxes.nth(place).is_checked() for place in range(3)] == [False, True, False]
