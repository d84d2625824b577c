"""Every page in a real browser: nothing for axe to find, nothing wider than the screen, targets large enough."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.urls import get_resolver, reverse
from tests.browser.conftest import Opener
from tests.browser.looking import complaints, look_over
from tests.web.test_access import POST_ONLY, patterns

from tierwright.web.books.forms import PARTS
from tierwright.web.models import Commission
from tierwright.web.sheet import sheets

MORE = (
    "sheet/tiers/change/guests/",
    "sheet/tiers/change/diets/",
    "sheet/coats/change/flavours/",
    "sheet/formulas/change/formula-1/",
    "sheet/bakes/change/heat/",
    "sheet/supports/change/places/",
    "sheet/road/change/way/",
    "sheet/keeping/change/standing/",
    "sheet/labels/change/law/",
    "sheet/syrups/foam/?way=italian",
    "sheet/syrups/pot/?use=italian-meringue&boiling=95.5+C",
    "sheet/syrups/bowl/?kind=swiss-buttercream&look=soupy&bowl=29+C&beaten=10+min",
    "working/portions.made/",
    "versions/1/printing/",
)
"""Pages of a commission whose address says more than its keys: forms, a figure's working, answers at the pot."""

MORE_OF_THE_KITCHEN = (
    "?show=past",
    "books/colours/?wish=blush&mass=800+g",
    "books/colours/?wish=%230000ff",
    "books/colours/?wish=none",
)
PARTS_OF_ALL = 4


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


@pytest.mark.parametrize("part", range(PARTS_OF_ALL))
def test_axe_finds_nothing_on_any_page_there_is(open_page: Opener, commission: Commission, part: int) -> None:
    page = open_page("phone", meaning=("status of 404", "status of 405", "status of 422"))
    base = f"/k/{commission.kitchen_id}/"
    pages = [
        *every_page(commission),
        *(f"{base}c/{commission.pk}/{rest}" for rest in MORE),
        *(base + rest for rest in MORE_OF_THE_KITCHEN),
        "/turn-on/",
    ]
    assert len(pages) > 40
    # Of the rest some answer with a file, or only to a form.
    must_open = set(pages[len(every_page(commission)) :])
    found: list[str] = []
    for url in list(dict.fromkeys(pages))[part::PARTS_OF_ALL]:
        answer = page.request.get(url, max_redirects=0)
        if answer.status in (200, 422) and answer.headers["content-type"].startswith("text/html"):
            found += look_over(page, url)
        else:
            assert url not in must_open, url
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


def test_light_and_dark_are_what_the_reader_asks_for(open_page: Opener, commission: Commission) -> None:
    page = open_page("tablet")
    page.goto(f"/k/{commission.kitchen_id}/c/{commission.pk}/sheet/tiers/")
    for scheme in ("dark", "light"):
        page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
        ink, paper = json.loads(
            page.evaluate("JSON.stringify([getComputedStyle(document.body).color, "
                          "getComputedStyle(document.documentElement).backgroundColor])")
        )  # fmt: skip
        light = sum(int(part) for part in paper[4:-1].split(",")) > sum(int(part) for part in ink[4:-1].split(","))
        assert light is (scheme == "light")
    assert len(page.screenshot()) > 20_000
