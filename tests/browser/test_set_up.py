"""The set-up record on a tablet: what is written down where there is no network arrives once, photographs among it."""

from __future__ import annotations

import io

from PIL import Image
from playwright.sync_api import expect
from tests.browser.conftest import Opener, lose_first_answer

from tierwright.web.handover.models import Photograph, SetUpEntry
from tierwright.web.models import Commission

CUT = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED")


def picture() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (400, 300), "#7a3b52").save(out, "PNG")
    return out.getvalue()


def test_what_is_written_down_without_a_network_arrives_once_and_in_order(
    open_page: Opener, commission: Commission
) -> None:
    page = open_page("tablet", meaning=CUT)
    page.goto(f"/k/{commission.kitchen_id}/c/{commission.pk}/bench/set-up/")
    expect(page.locator("html")).to_have_attribute("data-at-hand", "yes", timeout=40_000)
    status, record = page.get_by_role("status"), page.locator("#log li")
    page.get_by_role("button", name="We have arrived").click()
    expect(record).to_have_count(1)
    expect(page.locator("#log .here")).to_have_count(0)

    page.context.set_offline(True)
    page.get_by_label("Reads, in °F").fill("41.5")
    page.get_by_role("button", name="Add the temperature").click()
    expect(status).to_have_text("waiting for the network: 1 to send")
    page.get_by_label("What it shows").fill("from the front")
    page.get_by_label("Photograph, from the camera").set_input_files(
        {"name": "cake.png", "mimeType": "image/png", "buffer": picture()}
    )
    page.get_by_role("button", name="Add the photograph").click()
    expect(status).to_have_text("waiting for the network: 2 to send")
    # The page and what waits on it outlive a reload where there is no network.
    page.reload()
    expect(record).to_have_count(3)
    expect(record.last).to_contain_text("on this tablet, not sent yet")
    pad = page.locator("#s-pad")
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 40, box["y"] + 60)
    page.mouse.down()
    page.mouse.move(box["x"] + 260, box["y"] + 90, steps=12)
    page.mouse.up()
    page.get_by_role("button", name="Sign for it").click()
    expect(record).to_have_count(4)
    assert SetUpEntry.objects.count() == 1

    page.context.set_offline(False)
    expect(status).to_have_text("everything is kept", timeout=40_000)
    kept = list(SetUpEntry.objects.filter(commission=commission))
    assert [(one.what, one.order) for one in kept] == [
        ("arrived", 1), ("temperature", 2), ("photograph", 3), ("signed", 4)
    ]  # fmt: skip
    assert kept[1].value["c"] == 5.28
    assert kept[3].value["path"].startswith("M")
    assert Photograph.objects.get().entry_id == kept[2].pk
    expect(page.locator("#log .here")).to_have_count(0)
    expect(record).to_have_count(4)


def test_an_answer_that_is_lost_and_an_entry_that_is_refused_do_no_harm(
    open_page: Opener, commission: Commission
) -> None:
    page = open_page("phone", meaning=CUT)
    page.goto(f"/k/{commission.kitchen_id}/c/{commission.pk}/bench/set-up/")
    status = page.get_by_role("status")
    expect(status).to_have_text("everything is kept")
    lost = lose_first_answer(page, "**/set-up/entries/")
    page.get_by_role("button", name="It is set up").click()
    expect(status).to_contain_text("waiting")
    expect(status).to_have_text("everything is kept", timeout=20_000)
    assert lost == [200]
    assert SetUpEntry.objects.get().what == "set-up"
    # No probe reads this: it is said, and what follows is kept all the same.
    page.get_by_label("Reads, in °F").fill("900")
    page.get_by_role("button", name="Add the temperature").click()
    expect(page.locator("#refused")).to_contain_text("No probe in or beside a cake reads 900")
    page.get_by_role("button", name="I have read this").click()
    expect(page.locator("#refused")).to_be_hidden()
    assert SetUpEntry.objects.count() == 1
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")
