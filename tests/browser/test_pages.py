"""Every page in a real browser: nothing for axe to find, nothing wider than the screen, targets large enough."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import get_resolver, reverse
from playwright.sync_api import Page
from tests.browser.conftest import Opener
from tests.web.test_access import POST_ONLY, patterns

from tierwright.web.books.forms import PARTS
from tierwright.web.models import Commission
from tierwright.web.sheet import sheets

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


def every_page(commission: Commission) -> list[str]:
    """Return every address of the kitchen and of the commission that needs no more than their keys, and every sheet."""
    ours = {"kitchen": commission.kitchen_id, "commission": commission.pk}
    found: list[str] = []
    for route, pattern in patterns():
        # A route that ends like a file hands one out.
        if "<int:kitchen>" not in route or not pattern.name or pattern.name in POST_ONLY or "." in route:
            continue
        (possibility, *_rest) = get_resolver().reverse_dict.getlist(pattern.name)
        names = possibility[0][0][1]
        if set(names) <= set(ours):
            found.append(reverse(str(pattern.name), kwargs={name: ours[name] for name in names}))
    found += [reverse("sheet", kwargs=ours | {"sheet": key}) for key in sheets()]
    kitchen = {"kitchen": commission.kitchen_id}
    found += [reverse("book-kitchen", kwargs=kitchen | {"part": key}) for key in PARTS]
    found += [reverse("book-client", kwargs=kitchen | {"client": 0})]
    return list(dict.fromkeys(found))


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


def test_axe_finds_nothing_on_any_page_there_is(open_page: Opener, commission: Commission) -> None:
    page = open_page("phone", meaning=("status of 404", "status of 405"))
    found: list[str] = []
    seen = 0
    for url in every_page(commission):
        answer = page.request.get(url, max_redirects=0)
        if answer.status != 200 or not answer.headers["content-type"].startswith("text/html"):
            continue
        page.goto(url)
        seen += 1
        found += complaints(page)
        if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            found.append(f"{url} is wider than the screen")
    assert found == []
    assert seen > 40


@pytest.mark.parametrize(("size", "scheme"), [("tablet", "dark"), ("desktop", "dark")])
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
        found += complaints(page, seen_only=True)
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
