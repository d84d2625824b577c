"""The bench on a tablet: the network is cut, the page is loaded again, the network comes back; nothing is lost."""

from __future__ import annotations

import os
import re
from pathlib import Path

from playwright.sync_api import Page, expect
from tests.browser.conftest import Opener, lose_first_answer
from tests.browser.looking import look_over, look_round

from tierwright.web.models import BenchEntry, BookFormula, Commission
from tierwright.web.shared.links import make_link

SHOTS = os.environ.get("TIERWRIGHT_SHOTS", "")
CUT = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED")
BOWL = "bowl-vanilla-1"


def bench(commission: Commission, rest: str = "") -> str:
    return f"/k/{commission.kitchen_id}/c/{commission.pk}/bench/{rest}"


def shot(page: Page, name: str) -> None:
    if SHOTS:
        page.screenshot(path=str(Path(SHOTS) / f"{name}.png"))


def at_hand(page: Page, commission: Commission) -> None:
    """Open the bench and wait until its sheets are kept for the time without a network."""
    page.goto(bench(commission))
    expect(page.locator("html")).to_have_attribute("data-at-hand", "yes", timeout=40_000)


def weigh(page: Page, digits: str) -> None:
    page.locator(".step:visible").get_by_role("button", name="Weight on the scale").click()
    for digit in digits:
        page.locator(f"#pad [data-key='{digit}']").click()
    page.get_by_role("button", name="Enter it").click()


def test_entries_made_without_a_network_arrive_once_and_in_order(open_page: Opener, commission: Commission) -> None:
    page = open_page("tablet", meaning=CUT)
    at_hand(page, commission)
    page.goto(bench(commission, f"{BOWL}/"))
    expect(page.get_by_role("status")).to_have_text("everything is kept")
    page.get_by_role("button", name="Done").click()
    expect(page.get_by_text("Step 2 of")).to_be_visible()
    expect(page.get_by_role("status")).to_have_text("everything is kept")

    page.context.set_offline(True)
    weigh(page, "431")
    page.get_by_role("button", name="Done").click()
    expect(page.get_by_role("status")).to_contain_text("waiting for the network: 2 to send")
    shot(page, "bench-waiting")
    page.reload()
    expect(page.get_by_text("Step 3 of")).to_be_visible()
    expect(page.get_by_role("status")).to_contain_text("2 to send")
    page.get_by_role("button", name="Done").click()
    # Another sheet of the same commission is at hand although it has not been opened before.
    page.goto(bench(commission, "load-1/"))
    expect(page.get_by_role("heading", level=1)).to_contain_text("Load 1 of")
    page.get_by_role("button", name="Done").click()
    expect(page.get_by_role("status")).to_contain_text("4 to send")
    assert BenchEntry.objects.count() == 1

    page.context.set_offline(False)
    expect(page.get_by_role("status")).to_have_text("everything is kept", timeout=40_000)
    kept = list(BenchEntry.objects.filter(commission=commission))
    assert [(one.step, one.what) for one in kept] == [
        ("mix.vanilla.1.part.1", "tick"),
        ("mix.vanilla.1.part.2", "weight"),
        ("mix.vanilla.1.part.2", "tick"),
        ("mix.vanilla.1.part.3", "tick"),
        ("load.1.heat", "tick"),
    ]
    assert [one.order for one in kept] == [1, 2, 3, 4, 5]
    assert kept[1].value["g"] == 431


def test_an_answer_that_is_lost_on_the_way_does_no_harm(open_page: Opener, commission: Commission) -> None:
    page = open_page("tablet", meaning=CUT)
    page.goto(bench(commission, f"{BOWL}/"))
    expect(page.get_by_role("status")).to_have_text("everything is kept")
    lost = lose_first_answer(page, "**/bench/entries/")
    page.get_by_role("button", name="Done").click()
    expect(page.get_by_role("status")).to_contain_text("waiting")
    expect(page.get_by_role("status")).to_have_text("everything is kept", timeout=20_000)
    assert lost == [200]
    assert BenchEntry.objects.count() == 1


def test_a_clock_survives_a_reload_and_is_seen_on_every_sheet(open_page: Opener, commission: Commission) -> None:
    page = open_page("tablet")
    page.goto(bench(commission, "load-1/"))
    page.get_by_role("button", name="Later").click()
    page.get_by_role("button", name="Start the clock").click()
    strip = page.get_by_role("list", name="Clocks that run")
    expect(strip.get_by_text("First look")).to_be_visible()
    began = page.evaluate(f"localStorage['bench:{bench(commission)}:clocks']")
    page.reload()
    assert page.evaluate(f"localStorage['bench:{bench(commission)}:clocks']") == began
    expect(strip.get_by_text("First look")).to_be_visible()
    shot(page, "bench-clock")
    page.goto(bench(commission, f"{BOWL}/"))
    expect(strip.locator(".left").first).to_have_text(re.compile(r"^\d+:\d\d$"))
    # Half an hour later something has fallen due, and the page says so.
    page.evaluate(
        f"""() => {{ const k = 'bench:{bench(commission)}:due';
        localStorage[k] = JSON.stringify(JSON.parse(localStorage[k]).map((d) => ({{...d, at: d.at - 4e6}}))) }}"""
    )
    expect(page.get_by_role("alert").first).to_contain_text("It is time", timeout=5000)
    expect(strip.locator("li").first).to_contain_text("over by")
    strip.get_by_role("link").first.click()
    expect(page.locator(".step:visible")).to_contain_text(re.compile("First look|Take out"))


def test_it_is_worked_by_keyboard_alone(open_page: Opener, commission: Commission) -> None:
    page = open_page("tablet")
    page.goto(bench(commission, f"{BOWL}/"))
    page.keyboard.press("ArrowRight")
    expect(page.get_by_text("Step 2 of")).to_be_visible()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.keyboard.type("12.5")
    page.keyboard.press("Enter")
    expect(page.locator(".step:visible .got")).to_have_text("12.5 g")
    page.keyboard.press("ArrowLeft")
    expect(page.get_by_text("Step 1 of")).to_be_visible()


def test_axe_finds_nothing(open_page: Opener, commission: Commission) -> None:
    page = open_page("phone")
    formula = BookFormula.objects.filter(kitchen=commission.kitchen)[0].pk
    places = {
        "bowl": bench(commission, f"{BOWL}/"), "load": bench(commission, "load-1/"),
        "shared": f"/client/{make_link(commission, 7)[1]}/",
        "formula": f"/k/{commission.kitchen_id}/books/formulas/{formula}/", "api": "/api/",
    }  # fmt: skip
    found: list[str] = []
    for name, place in places.items():
        found += look_over(page, place, name)
    page.goto(bench(commission, f"{BOWL}/"))
    page.locator(".step:visible").get_by_role("button", name="Weight on the scale").click()
    found += look_round(page, "pad")
    assert found == []
