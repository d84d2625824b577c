"""The turning view in a real browser: it opens without an error, is turned by hand and key, and keeps moving."""

from __future__ import annotations

from playwright.sync_api import Page
from tests.browser.conftest import Opener
from tests.browser.looking import look_round

from tierwright.web.models import Commission


def _opened(page: Page, commission: Commission) -> None:
    page.goto(f"/k/{commission.kitchen_id}/c/{commission.pk}/look/")
    page.wait_for_selector("canvas[data-ready]", timeout=60_000)


def test_the_view_opens_and_axe_finds_nothing(open_page: Opener, commission: Commission) -> None:
    page = open_page("phone")
    page.emulate_media(reduced_motion="reduce")
    _opened(page, commission)
    assert look_round(page, "look") == []
    # Something of the cake is in the middle of the canvas, not only ground.
    shot = page.locator("canvas").screenshot()
    assert len(shot) > 8_000


def test_it_is_turned_by_key_button_and_pointer_and_rests_where_less_motion_is_asked_for(
    open_page: Opener, commission: Commission
) -> None:
    page = open_page("phone")
    page.emulate_media(reduced_motion="reduce")
    _opened(page, commission)
    canvas = page.locator("canvas")
    assert page.get_by_role("button", name="Turn by itself").get_attribute("aria-pressed") == "false"
    # Without a graphics chip it comes to rest on the finer surfaces, once.
    page.wait_for_selector("canvas[data-fine]", timeout=60_000)
    page.wait_for_timeout(400)
    still = canvas.screenshot()
    assert canvas.screenshot() == still
    canvas.focus()
    seen = [still]

    def changed() -> None:
        page.wait_for_timeout(250)
        shot = canvas.screenshot()
        assert shot != seen[-1]
        seen.append(shot)

    for key in ("ArrowLeft", "ArrowUp", "+"):
        page.keyboard.press(key)
        changed()
    page.get_by_role("button", name="Further away").click()
    changed()
    box = canvas.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 100, box["y"] + 100)
    page.mouse.down()
    page.mouse.move(box["x"] + 160, box["y"] + 110)
    page.mouse.up()
    changed()


def test_left_alone_it_turns_until_somebody_says_stop(open_page: Opener, commission: Commission) -> None:
    page = open_page("phone")
    _opened(page, commission)
    canvas = page.locator("canvas")
    page.wait_for_function("Number(document.querySelector('canvas').dataset.frames) > 3")
    page.get_by_role("button", name="Turn by itself").click()
    # A frame that was under way is still drawn, on a busy machine late; then there is none for a second.
    for _ in range(10):
        before = canvas.get_attribute("data-frames")
        page.wait_for_timeout(1000)
        if canvas.get_attribute("data-frames") == before:
            return
    raise AssertionError("it goes on turning")


def test_without_three_dimensions_the_words_stay(open_page: Opener, commission: Commission) -> None:
    page = open_page("phone", meaning=("WebGL", "THREE"))
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null;")
    page.goto(f"/k/{commission.kitchen_id}/c/{commission.pk}/look/")
    page.get_by_text("This browser cannot draw in three dimensions here.").wait_for()
    assert page.get_by_text("3 tiers, from the table up.").is_visible()


def test_the_section_leads_to_it(open_page: Opener, commission: Commission) -> None:
    page = open_page("desktop")
    page.goto(f"/k/{commission.kitchen_id}/c/{commission.pk}/")
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url))
    assert not any("three" in url for url in sent)
    page.get_by_role("link", name="Turn it").click()
    page.wait_for_selector("canvas[data-ready]", timeout=60_000)
    assert any("three.module.min.js" in url for url in sent)
