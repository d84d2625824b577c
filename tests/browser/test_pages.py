"""Every page in a real browser: nothing for axe to find, nothing wider than the screen, targets large enough."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page
from tests.browser.conftest import Opener

from tierwright.web.models import Commission

PAGES = (
    "",
    "questions/",
    "sheet/tiers/",
    "sheet/formulas/",
    "sheet/coats/",
    "sheet/table/",
    "sheet/bakes/",
    "sheet/labels/",
    "sheet/tiers/change/guests/",
    "sheet/tiers/change/diets/",
    "sheet/coats/change/flavours/",
    "sheet/formulas/change/formula-1/",
    "sheet/formulas/bring-in/",
    "working/portions.made/",
    "versions/",
    "versions/compared/",
)
KITCHEN_PAGES = ("", "?show=past", "new/", "units/", "people/", "record/")
# What can differ between a phone and a desk, and between light and dark; the rest is checked once.
SEEN = ["color-contrast", "target-size", "scrollable-region-focusable", "meta-viewport", "region", "link-in-text-block"]
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def complaints(page: Page, *, seen_only: bool = False) -> list[str]:
    only = {"type": "rule", "values": SEEN} if seen_only else {"type": "tag", "values": RULES}
    found: Any = Axe().run(page, options={"runOnly": only, "resultTypes": ["violations"]})
    return [
        f"{page.url}: {problem['id']}: {node['html'][:160]}"
        for problem in found.response["violations"]
        for node in problem["nodes"]
    ]


@pytest.mark.parametrize(("size", "scheme"), [("phone", "light"), ("tablet", "dark"), ("desktop", "dark")])
def test_axe_finds_nothing_and_nothing_is_wider_than_the_screen(
    open_page: Opener, commission: Commission, size: str, scheme: str
) -> None:
    page = open_page(size, scheme)
    base = f"/k/{commission.kitchen_id}/"
    found: list[str] = []
    for url in (
        *(f"{base}c/{commission.pk}/{rest}" for rest in PAGES),
        *(base + rest for rest in KITCHEN_PAGES),
        "/turn-on/",
    ):
        answer = page.goto(url)
        assert answer is not None
        assert answer.status == 200, url
        found += complaints(page, seen_only=size != "phone")
        if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            found.append(f"{url} is wider than the screen")
    assert found == []


def test_axe_finds_nothing_in_refusals_and_dialogs(open_page: Opener, commission: Commission) -> None:
    page = open_page("phone", meaning=("status of 404",))
    base = f"/k/{commission.kitchen_id}/c/{commission.pk}/"
    page.goto(base + "sheet/tiers/")
    page.locator("a[data-working]").first.click()
    page.wait_for_selector("dialog[open] h1")
    found = complaints(page)
    page.keyboard.press("Escape")
    page.goto(base + "sheet/tiers/change/guests/")
    page.get_by_label("People invited").fill("many")
    page.wait_for_selector("#moved .refused")
    found += complaints(page)
    page.goto("/nothing/here/")
    found += complaints(page)
    assert found == []


def test_without_scripts_every_step_still_works(browser: Any, live_server: Any, commission: Commission) -> None:
    context = browser.new_context(base_url=live_server.url, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"/k/{commission.kitchen_id}/c/{commission.pk}/sheet/tiers/change/guests/")
    page.get_by_label("People who will come").fill("84 to 92")
    page.get_by_role("button", name="Show what would move").click()
    assert page.get_by_text("Portions wanted").first.is_visible()
    page.get_by_role("button", name="Keep it").click()
    assert page.get_by_text("Kept: People who will come").is_visible()
    context.close()


def test_a_first_page_is_small_and_soon_ready(open_page: Opener, commission: Commission) -> None:
    page = open_page("phone")
    sizes: list[int] = []
    page.on("response", lambda answer: sizes.append(len(answer.body()) if answer.ok else 0))
    page.goto(f"/k/{commission.kitchen_id}/c/{commission.pk}/", wait_until="networkidle")
    # 200 kB is what the project promises; sizes here are before any compression.
    assert 20_000 < sum(sizes) < 200_000, sorted(sizes)


@pytest.mark.parametrize(("size", "scheme"), [("phone", "dark"), ("desktop", "light"), ("tablet", "light")])
def test_pictures_for_looking_at(
    open_page: Opener, commission: Commission, size: str, scheme: str, tmp_path: Path
) -> None:
    page = open_page(size, scheme)
    page.goto(f"/k/{commission.kitchen_id}/c/{commission.pk}/sheet/tiers/")
    picture = tmp_path / f"tiers-{size}-{scheme}.png"
    page.screenshot(path=picture)
    ink, paper = json.loads(
        page.evaluate("JSON.stringify([getComputedStyle(document.body).color, "
                      "getComputedStyle(document.documentElement).backgroundColor])")
    )  # fmt: skip
    light = sum(int(part) for part in paper[4:-1].split(",")) > sum(int(part) for part in ink[4:-1].split(","))
    assert light is (scheme == "light")
    assert picture.stat().st_size > 20_000
