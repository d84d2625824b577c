"""Supports are moved on the drawing, by pointer and by the arrow keys; what that does is shown before it is kept."""

from __future__ import annotations

import re

from playwright.sync_api import Locator, Page, Response, expect
from tests.browser.conftest import Opener
from tests.browser.looking import complaints

from tierwright.web.models import Commission, Version


def is_answer(answer: Response) -> bool:
    return answer.request.method == "POST"


def opened(page: Page, commission: Commission) -> Locator:
    page.goto(f"/k/{commission.kitchen_id}/c/{commission.pk}/sheet/supports/")
    page.get_by_role("button", name=re.compile("Move the supports by hand")).first.click()
    page.wait_for_selector("#moved svg .grip")
    return page.locator("textarea[name$='.places']").first


def places(area: Locator) -> list[tuple[float, float]]:
    lines = [line for line in area.input_value().split("\n") if line]
    return [(float(x), float(y)) for x, y in (re.findall(r"-?\d+\.\d+", line) for line in lines)]


WHERE = """number => {
    const mark = document.querySelectorAll("#moved svg .grip")[number];
    if (!mark) return null;
    mark.scrollIntoView({ block: "center", behavior: "instant" });
    // A mark that is drawn anew takes over the class of the one before it for a moment, and only then what is held.
    const hold = mark.querySelector(".hold");
    if (!hold) return null;
    const { x, y, width, height } = hold.getBoundingClientRect();
    return { x, y, width, height };
}"""


def at_rest(page: Page, number: int) -> dict[str, float]:
    """Return where a support's mark is once the drawing stays: an answer under way draws it anew."""
    last = None
    for _ in range(60):
        box: dict[str, float] | None = page.evaluate(WHERE, number)
        if box is not None and box == last:
            return box
        last = box
        page.wait_for_timeout(300)
    raise AssertionError("the drawing does not come to rest")


def test_supports_are_moved_by_the_arrow_keys_and_by_the_pointer(open_page: Opener, commission: Commission) -> None:
    page = open_page("tablet")
    area = opened(page, commission)
    before = places(area)
    first = page.locator("#moved svg .grip").first
    first.focus()
    expect(first).to_have_attribute("aria-label", re.compile(r"^Support 1, -?\d+ mm to the right"))
    with page.expect_response(is_answer):
        page.keyboard.press("ArrowLeft")
        page.keyboard.press("ArrowLeft")
        page.keyboard.press("ArrowDown")
    assert places(area)[0] == (before[0][0] - 2, before[0][1] - 1)
    assert places(area)[1:] == before[1:]
    # The drawing comes again with what would move, and the same support has the focus.
    page.wait_for_selector("#moved .decide")
    expect(page.locator("#saved")).to_contain_text("What you typed is safe")
    page.wait_for_function("document.activeElement?.id?.endsWith('-mark-1')")
    assert complaints(page) == []

    box = at_rest(page, 1)
    assert min(box["width"], box["height"]) >= 24, "large enough for a finger"
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    was = places(area)[1]
    page.mouse.move(x, y)
    page.mouse.down()
    # While it is held an answer comes, which leaves the drawing alone.
    with page.expect_response(is_answer):
        area.evaluate("area => area.dispatchEvent(new Event('input', { bubbles: true }))")
    page.mouse.move(x + 4, y + 3, steps=3)
    with page.expect_response(is_answer):
        page.mouse.up()
    now = places(area)[1]
    assert now[0] > was[0]
    assert now[1] < was[1], "down on the screen is nearer to the maker"
    assert places(area)[0] == (before[0][0] - 2, before[0][1] - 1)
    at_rest(page, 1)
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_url("**/sheet/supports/")
    kept = Version.objects.get(commission=commission, number=2).brief["cake"]["supports"]
    assert len(kept) == 1


def test_a_support_moved_off_its_board_is_put_back(open_page: Opener, commission: Commission) -> None:
    page = open_page("desktop")
    area = opened(page, commission)
    before = places(area)
    grip = page.locator("#moved svg .grip").first
    grip.evaluate(
        "mark => { for (let n = 0; n < 40; n++) mark.dispatchEvent("
        "new KeyboardEvent('keydown', { key: 'ArrowRight', shiftKey: true, bubbles: true })) }"
    )
    assert places(area)[0][0] == before[0][0] + 200
    page.get_by_role("button", name="Put it back where it stood").click()
    page.wait_for_selector("#moved svg .grip")
    assert places(area) == before
