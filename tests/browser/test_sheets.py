"""Every sheet of work in a real browser: nothing for axe to find, nothing wider than the screen; live pages answer."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from tests.browser.conftest import Opener
from tests.browser.test_pages import complaints

from tierwright.web.models import Commission
from tierwright.web.sheet import sheets

MORE = (
    "sheet/bakes/oven/",
    "sheet/bakes/change/heat/",
    "sheet/syrups/foam/?way=italian",
    "sheet/syrups/pot/?use=italian-meringue&boiling=95.5+C",
    "sheet/syrups/bowl/?kind=swiss-buttercream&look=soupy&bowl=29+C&beaten=10+min",
    "sheet/supports/change/places/",
    "sheet/road/change/way/",
    "sheet/keeping/change/standing/",
    "sheet/labels/change/law/",
)
PICTURES = os.environ.get("TIERWRIGHT_PICTURES", "")


@pytest.mark.parametrize(("size", "scheme"), [("phone", "light"), ("tablet", "dark"), ("desktop", "light")])
def test_axe_finds_nothing_on_any_sheet(open_page: Opener, commission: Commission, size: str, scheme: str) -> None:
    page = open_page(size, scheme)
    base = f"/k/{commission.kitchen_id}/c/{commission.pk}/"
    found: list[str] = []
    for rest in (*(f"sheet/{sheet.key}/" for sheet in sheets().values() if sheet.template), *MORE):
        answer = page.goto(base + rest)
        assert answer is not None
        assert answer.status == 200, rest
        # What is folded away is read, too.
        page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
        found += complaints(page)
        if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            found.append(f"{rest} is wider than the screen")
        if PICTURES:
            name = rest.split("?")[0].strip("/").replace("/", "-")
            page.screenshot(path=Path(PICTURES) / f"{name}-{size}.png", full_page=True)
    assert found == []


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
