"""A newcomer's way through: signs up, looks, changes, is cut off, comes back, and nothing typed is lost."""

from __future__ import annotations

from playwright.sync_api import expect
from tests.browser.conftest import Opener, sign_up
from tests.web.conftest import PASSWORD

from tierwright.web.models import Commission, Draft, Version

GUESTS = "sheet/tiers/change/guests/"


def at(commission: Commission, rest: str = "") -> str:
    return f"/k/{commission.kitchen_id}/c/{commission.pk}/{rest}"


def test_a_change_is_seen_redrawn_kept_and_compared(open_page: Opener, commission: Commission) -> None:
    page = open_page()
    page.goto(at(commission, GUESTS))
    page.get_by_label("People who will come").fill("84 to 92")
    moved = page.locator("#moved")
    expect(moved.get_by_text("Portions wanted").first).to_be_visible()
    expect(moved.locator("svg")).to_be_visible()
    expect(page.locator("#saved")).to_contain_text("is safe")
    page.locator("#moved").get_by_role("button", name="Keep it").click()
    expect(page.get_by_text("Kept: People who will come: 102 to 118 → 84 to 92.")).to_be_visible()
    page.get_by_role("link", name="2", exact=True).click()
    page.get_by_role("button", name="Hold them against each other").click()
    expect(page.get_by_role("heading", name="Version 1 against version 2")).to_be_visible()
    assert page.locator("svg[role=img]").count() == 2


def test_touching_the_drawing_opens_the_sheet_that_sets_it(open_page: Opener, commission: Commission) -> None:
    page = open_page()
    page.goto(at(commission))
    page.locator("[data-drawing] [data-sheet=coats]").first.click(force=True, position={"x": 3, "y": 3})
    page.wait_for_url("**/sheet/*/")
    assert page.url.endswith(("/sheet/coats/", "/sheet/formulas/"))


def test_a_figure_opens_its_working_in_place(open_page: Opener, commission: Commission) -> None:
    page = open_page("tablet")
    page.goto(at(commission, "sheet/tiers/"))
    page.locator("a[data-working]").first.click()
    expect(page.locator("dialog[open]")).to_contain_text("Worked as")
    page.keyboard.press("Escape")
    expect(page.locator("dialog[open]")).to_have_count(0)


def test_a_stack_is_picked_and_a_formula_brought_in(open_page: Opener, commission: Commission) -> None:
    page = open_page()
    page.goto(at(commission, "sheet/tiers/"))
    page.get_by_role("button", name="Settle on").nth(1).click()
    expect(page.locator("#moved").get_by_role("heading", name="What would move")).to_be_visible()
    page.locator("#moved").get_by_role("button", name="Keep it").click()
    expect(page.get_by_text("Some tiers are settled")).to_be_visible()
    page.goto(at(commission, "sheet/formulas/bring-in/"))
    page.get_by_label("Name").fill("Honey cake")
    page.get_by_label("What it makes").select_option("creamed")
    page.get_by_label("Lines, or a recipe page").fill("200 g honey\n2 large eggs\n200 g plain flour")
    page.get_by_role("button", name="Read it").click()
    expect(page.locator("#moved").get_by_role("row", name="200 g honey")).to_be_visible()
    page.get_by_role("button", name="Add it to this commission").click()
    expect(page.get_by_text("Kept: formula brought in: Honey cake.")).to_be_visible()


def test_typing_survives_a_reload_the_way_back_and_a_lost_network(open_page: Opener, commission: Commission) -> None:
    page = open_page(meaning=("ERR_INTERNET_DISCONNECTED", "htmx:"))
    page.goto(at(commission, GUESTS))
    invited = page.get_by_label("People invited")
    invited.fill("131")
    expect(page.locator("#saved")).to_contain_text("is safe")
    page.reload()
    expect(invited).to_have_value("131")
    page.goto(at(commission, "questions/"))
    page.go_back()
    expect(invited).to_have_value("131")
    # The network goes: what is typed now reaches nobody, and is still there after the reload that follows.
    page.context.set_offline(True)
    with page.expect_event("requestfailed"):
        invited.fill("132")
    page.context.set_offline(False)
    page.reload()
    expect(invited).to_have_value("132")
    expect(page.locator("#saved")).to_contain_text("is safe")
    assert Draft.objects.get().typed["guests.invited"] == "132"


def test_typing_into_the_books_survives_a_reload(open_page: Opener, commission: Commission) -> None:
    page = open_page("phone")
    page.goto(f"/k/{commission.kitchen_id}/books/kitchen/kitchen/")
    page.get_by_label("Name", exact=True).fill("Kitchen by the wei")
    page.locator("#saved").get_by_text("What you typed is safe").wait_for()
    page.reload()
    assert page.get_by_label("Name", exact=True).input_value() == "Kitchen by the wei"
    assert page.get_by_text("it was never kept").is_visible()
    page.get_by_role("button", name="Drop it").click()
    page.get_by_text("Dropped. The book stands as it was.").wait_for()
    assert page.get_by_label("Name", exact=True).input_value() != "Kitchen by the wei"


def test_typing_survives_an_ended_sign_in(open_page: Opener, commission: Commission) -> None:
    page = open_page()
    sign_up(page)
    page.goto(at(commission, GUESTS))
    page.context.clear_cookies(name="tierwright_session")
    page.get_by_label("People invited").fill("133")
    page.wait_for_url("**/sign-in/**")
    page.get_by_label("Name").fill("ada")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"**{GUESTS}")
    expect(page.get_by_label("People invited")).to_have_value("133")
    expect(page.locator("#saved")).to_contain_text("is safe")


def test_two_tabs_see_each_other(open_page: Opener, commission: Commission) -> None:
    first = open_page()
    second = open_page(context=first.context)
    for tab in (first, second):
        tab.goto(at(commission, GUESTS))
    first.get_by_label("People invited").fill("130")
    expect(first.locator("#saved")).to_contain_text("is safe")
    second.get_by_label("People invited").fill("140")
    expect(second.get_by_text("Another tab has typed here since")).to_be_visible()
    second.get_by_label("There: 130").check()
    second.get_by_role("button", name="Go on with these").click()
    expect(second.get_by_label("People invited")).to_have_value("130")
    assert Draft.objects.get().typed["guests.invited"] == "130"


def test_a_commission_begins_by_keyboard_alone(open_page: Opener, commission: Commission) -> None:
    page = open_page()
    page.goto(f"/k/{commission.kitchen_id}/")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Go to the sheet")).to_be_focused()
    page.get_by_role("link", name="New commission").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/new/")
    typed = {
        "What is it for?": "A harvest supper",
        "People invited": "70",
        "Venue": "The barn",
        "Height of the venue above the sea": "1500 m",
        "How warm will it be where the cake stands?": "18 to 22 C",
        "Time on the road": "25 min",
    }
    for label, text in typed.items():
        page.get_by_label(label, exact=True).focus()
        page.keyboard.type(text)
    page.get_by_label("Day", exact=True).fill("2027-09-18")
    page.get_by_label("Handover").fill("15:00")
    page.get_by_label("Cutting").fill("17:30")
    page.get_by_label("Called").first.focus()
    page.keyboard.type("Vanilla")
    for label, choice in (("Cake", "Vanilla"), ("Filling", "Lemon curd"), ("Coat", "Swiss")):
        page.get_by_label(label, exact=True).first.focus()
        page.keyboard.type(choice)
    begin = page.get_by_role("button", name="Begin this commission")
    expect(begin).to_be_visible()
    begin.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("Begun. Look at the open questions next.")).to_be_visible()
    assert Version.objects.get(commission__title="A harvest supper").brief["cake"]["flavours"][0]["cake"] == "vanilla"
