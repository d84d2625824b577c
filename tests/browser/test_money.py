"""Money in a real browser: nothing for axe to find, nothing wider than a phone; the shop without a network."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest
from django.db import connection
from playwright.sync_api import expect
from tests.browser.conftest import Opener
from tests.browser.looking import complaints, look_over

from tierwright.price import EntryKind
from tierwright.web.access import Door
from tierwright.web.models import Commission, Kitchen, Membership, Version
from tierwright.web.money.guards import guard, unguard
from tierwright.web.money.ledger import enter, take_back
from tierwright.web.money.models import GUARDED, Acceptance, LedgerEntry, ShopEntry
from tierwright.web.money.offers import make, propose
from tierwright.web.shared.links import make_link

CUT = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED")


@pytest.fixture(autouse=True)
def _emptied(transactional_db: None) -> Iterator[None]:
    """Let the tests' own clearing up empty tables that nothing else may empty."""
    yield
    unguard(connection, GUARDED)
    with connection.cursor() as cursor:
        for table in ("money_acceptance", "money_withdrawal", "money_offer", "money_ledgerentry"):
            cursor.execute(f"DELETE FROM {table}")
    guard(connection, GUARDED)


def offered(commission: Commission) -> str:
    """Offer the commission, enter what a year brings, and return a client's token."""
    membership = Membership.objects.select_related("user", "kitchen").get(kitchen=commission.kitchen)
    door = Door(membership=membership, user=membership.user)
    version = Version.objects.get(commission=commission, number=commission.head)
    make(door, commission, version, propose(commission, version).mark)
    enter(door, commission, EntryKind.PAYMENT, Decimal("300.00"), "retainer, by transfer")
    take_back(door, enter(door, commission, EntryKind.PAYMENT, Decimal("20.00"), "keyed wrong"), "another client's")
    return make_link(commission, 30)[1]


def test_axe_finds_nothing_on_the_pages_of_money(open_page: Opener, commission: Commission) -> None:
    token = offered(commission)
    year = LedgerEntry.objects.first().day.year  # type: ignore[union-attr]
    page = open_page("phone")
    kitchen, mine = f"/k/{commission.kitchen_id}/", f"/k/{commission.kitchen_id}/c/{commission.pk}/"
    page.goto(f"{kitchen}shopping/")
    page.get_by_label(commission.title).check()
    page.get_by_role("button", name="Work out the list").click()
    shop = page.url
    found: list[str] = []
    for url in (
        f"/client/{token}/offer/", f"{mine}money/", f"{mine}after/", f"{kitchen}money/", f"{kitchen}money/year/{year}/",
        f"{kitchen}shopping/", shop, f"{kitchen}books/kitchen/prices/", f"{kitchen}books/kitchen/terms/",
    ):  # fmt: skip
        found += look_over(page, url)
    assert found == []


def test_a_client_reads_and_accepts_by_keyboard(open_page: Opener, commission: Commission) -> None:
    token = offered(commission)
    page = open_page("phone")
    page.goto(f"/client/{token}/offer/")
    page.get_by_label("I have read version 1").press("Space")
    page.get_by_label("Your name").fill("Dee Dray")
    page.get_by_label("Your name").press("Enter")
    expect(page.get_by_text("Accepted by Dee Dray")).to_be_visible()
    assert Acceptance.objects.get().name == "Dee Dray"
    assert complaints(page) == []


def test_ticks_and_receipts_without_a_network_arrive_once(open_page: Opener, commission: Commission) -> None:
    page = open_page("phone", meaning=CUT)
    page.goto(f"/k/{commission.kitchen_id}/shopping/")
    page.get_by_label(commission.title).check()
    page.get_by_role("button", name="Work out the list").click()
    expect(page.locator("html")).to_have_attribute("data-at-hand", "yes", timeout=40_000)
    expect(page.get_by_role("status")).to_have_text("everything is kept")
    page.context.set_offline(True)
    page.locator('[data-line="line.0"] > .tick input').check()
    line = page.locator('[data-line="line.1"]')
    line.get_by_text("Price and lot").click()
    line.get_by_label("Paid for all").fill("4.75")
    line.get_by_label("Lot, as printed").fill("L 7")
    line.get_by_role("button", name="Received").click()
    expect(page.get_by_role("status")).to_contain_text("waiting for the network: 2 to send")
    page.reload()
    expect(page.locator("#count")).to_contain_text("2 of")
    assert not ShopEntry.objects.exists()
    page.context.set_offline(False)
    expect(page.get_by_role("status")).to_have_text("everything is kept", timeout=40_000)
    assert [(one.line, one.what) for one in ShopEntry.objects.all()] == [("line.0", "tick"), ("line.1", "bought")]
    pantry = Kitchen.objects.get(pk=commission.kitchen_id).data["accounts"]["pantry"]
    assert [lot["lot"] for lot in pantry] == ["L 7"]
