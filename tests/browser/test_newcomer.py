"""A newcomer's whole way in one go: from signing up to what the client sees, through a lost network."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect
from tests.browser.conftest import Opener, sign_up

from tierwright.web.jobs.models import Job
from tierwright.web.jobs.running import run
from tierwright.web.models import BenchEntry, Commission, Kitchen, Version

CUT = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "htmx:")
TYPED = {
    "What is it for?": "Centenary supper of the rowing club",
    "Client": "The supper committee",
    "People invited": "124",
    "Venue": "Boathouse terrace",
    "Height of the venue above the sea": "1420 m",
    "How warm will it be where the cake stands?": "75 to 85 F",
    "Time on the road": "50 min",
    "Day": "2027-06-26",
    "Handover": "18:30",
    "Cutting": "20:45",
}
FLAVOUR = {"Cake": "Vanilla", "Filling": "Lemon curd", "Coat": "Swiss"}


def choose(page: Page, label: str, begins: str) -> None:
    """Choose the first way whose words begin so, in the first box with this label."""
    box = page.get_by_label(label, exact=True).first
    words = [text for text in box.locator("option").all_inner_texts() if text.startswith(begins)]
    box.select_option(label=words[0])


def keep(page: Page) -> None:
    """Wait for what would move, and keep it."""
    expect(page.locator("#moved").get_by_role("heading", name="What would move")).to_be_visible()
    page.locator("#moved").get_by_role("button", name="Keep it").click()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", ["phone", "tablet", "desktop"])
def test_from_signing_up_to_what_the_client_sees(open_page: Opener, kitchen: Kitchen, size: str, scheme: str) -> None:
    page = open_page(size, scheme, meaning=CUT)
    sign_up(page)

    # The brief, as a first talk has it.
    page.get_by_role("link", name="New commission").click()
    for label, text in TYPED.items():
        page.get_by_label(label, exact=True).fill(text)
    page.get_by_label("Called").first.fill("Vanilla")
    for label, begins in FLAVOUR.items():
        choose(page, label, begins)
    page.get_by_role("button", name="Begin this commission").click()
    expect(page.get_by_text("Begun. Look at the open questions next.")).to_be_visible()
    commission = Commission.objects.get(kitchen=kitchen, versions__words="first enquiry")
    base = f"/k/{kitchen.pk}/c/{commission.pk}/"
    assert page.url.endswith(base)

    # A stack is picked from those that would do.
    page.goto(f"{base}sheet/tiers/")
    page.get_by_role("button", name="Settle on").first.click()
    keep(page)
    expect(page.get_by_text("Some tiers are settled")).to_be_visible()

    # A formula is brought in from text, and shown beside what was understood.
    page.goto(f"{base}sheet/formulas/bring-in/")
    page.get_by_label("Name").fill("Honey cake")
    page.get_by_label("What it makes").select_option("creamed")
    page.get_by_label("Lines, or a recipe page").fill("200 g honey\n2 large eggs\n200 g plain flour")
    page.get_by_role("button", name="Read it").click()
    expect(page.locator("#moved").get_by_role("row", name="200 g honey")).to_be_visible()
    page.get_by_role("button", name="Add it to this commission").click()
    expect(page.get_by_text("Kept: formula brought in: Honey cake.")).to_be_visible()

    # The guests change: what follows is seen before anything is kept.
    page.goto(f"{base}sheet/tiers/change/guests/")
    page.get_by_label("People invited").fill("136")
    expect(page.locator("#moved").get_by_text("Portions wanted").first).to_be_visible()
    assert Version.objects.filter(commission=commission).count() == 3
    keep(page)
    expect(page.get_by_text("Kept: People invited: 124 → 136.")).to_be_visible()

    # The sheets are printed behind the page.
    page.goto(base)
    page.get_by_role("link", name="All sheets to print (PDF)").click()
    expect(page.get_by_text("waiting its turn")).to_be_visible()
    run(Job.objects.get(kind="prints.sheets").pk)
    offered = page.get_by_role("link", name="Open the PDF")
    expect(offered).to_be_visible()
    pdf = page.request.get(str(offered.get_attribute("href")))
    assert (pdf.status, pdf.headers["content-type"]) == (200, "application/pdf")
    assert pdf.body().startswith(b"%PDF-")

    # At the bench the network goes, and comes back.
    page.goto(f"{base}bench/")
    expect(page.locator("html")).to_have_attribute("data-at-hand", "yes", timeout=60_000)
    page.locator("a[href*='/bench/bowl-']").first.click()
    expect(page.get_by_role("status")).to_have_text("everything is kept")
    page.context.set_offline(True)
    page.get_by_role("button", name="Done").click()
    expect(page.get_by_role("status")).to_contain_text("waiting for the network: 1 to send")
    page.reload()
    page.get_by_role("button", name="Done").click()
    expect(page.get_by_role("status")).to_contain_text("2 to send")
    assert not BenchEntry.objects.exists()
    page.context.set_offline(False)
    expect(page.get_by_role("status")).to_have_text("everything is kept", timeout=60_000)
    assert [entry.what for entry in BenchEntry.objects.filter(commission=commission)] == ["tick", "tick"]

    # The client opens the link on a machine of their own.
    page.goto(f"{base}client/")
    page.get_by_role("button", name="Make a link").click()
    link = page.get_by_label("The link, shown only now").input_value()
    theirs = open_page("phone")
    theirs.goto(link)
    expect(theirs.get_by_role("heading", name=TYPED["What is it for?"])).to_be_visible()
    expect(theirs.locator("svg[role=img]").first).to_be_visible()
    assert not theirs.context.cookies() or all("session" not in one["name"] for one in theirs.context.cookies())
