"""The book of packets: who opens it, what it refuses, and what a new lot does to the open commissions."""

from __future__ import annotations

import zlib
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from tests.web.conftest import Cast

from tierwright.brief import parse_kitchen
from tierwright.brief.packets import Packet
from tierwright.web.books.kitchen import seal
from tierwright.web.frame.filling import at, written
from tierwright.web.lots.forms import PACKET
from tierwright.web.lots.models import LabelPhoto
from tierwright.web.lots.photos import LARGEST_BYTES, media_type
from tierwright.web.models import Audit, Commission, Kitchen, Version
from tierwright.web.sheet import Field

RESTS = ["", "0/", "changed/", "photos/none.png"]
OWNERS = {"0/", "changed/"}


def png() -> bytes:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")

    head = (1).to_bytes(4, "big") * 2 + bytes([8, 0, 0, 0, 0])
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\x00\x7f")) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def book(cast: Cast, rest: str = "") -> str:
    return f"/k/{cast.kitchen.pk}/books/packets/{rest}"


def sent(cast: Cast, **typed: str) -> dict[str, str]:
    stands = written(PACKET, {})
    return {**stands, "seen": seal(stands), **typed}


VANILLA = {
    "ingredient": "vanilla extract", "lot": "V7", "declaration": "water, ethanol, vanilla extract",
    "may_contain": "hazelnut\nalmond", "read_on": "2026-05-02",
}  # fmt: skip


def soon(cast: Cast) -> None:
    """Move the example's commission to where it is still to be cut, with every other packet read."""
    others = ("double-acting baking powder", "natural cocoa powder", "cider vinegar", "plant-based butter block")
    row = Kitchen.objects.get(pk=cast.kitchen.pk)
    row.data["labelling"] = {"packets": [{"ingredient": name, "lot": f"A{n}"} for n, name in enumerate(others)]}
    row.save()
    Commission.objects.filter(pk=cast.commission.pk).update(last_slice_at=timezone.now() + timedelta(days=30))


@pytest.mark.parametrize("rest", RESTS)
def test_each_person_at_each_address(cast: Cast, rest: str) -> None:
    url = book(cast, rest)
    assert cast.client(None).get(url).status_code == 302
    assert cast.client(cast.cleo).get(url).status_code == 404
    expected = 404 if "none" in rest else 403 if rest in OWNERS else 200
    assert cast.client(cast.ben).get(url).status_code == expected
    assert cast.client(cast.ada).get(url).status_code == (404 if "none" in rest else 200)


def test_a_packet_is_kept_with_its_photo_and_its_way_is_shown(cast: Cast) -> None:
    soon(cast)
    browser = cast.client(cast.ada)
    form = sent(cast, **VANILLA) | {"photo_file": SimpleUploadedFile("label.html", png(), "text/html")}
    answer = browser.post(book(cast, "0/"), form)
    assert answer.status_code == 302, answer.content.decode()[:4000]
    assert answer["Location"] == book(cast, "changed/")
    row = Kitchen.objects.get(pk=cast.kitchen.pk)
    packet = parse_kitchen(row.data, "kitchen").labelling.packets[-1]
    assert (packet.lot, [one.value for one in packet.may_contain]) == ("V7", ["hazelnut", "almond"])
    assert packet.photo.endswith(".png")
    assert Audit.objects.filter(kitchen=row, deed="packet kept").exists()
    picture = browser.get(book(cast, f"photos/{packet.photo}"))
    assert (picture["Content-Type"], picture.content) == ("image/png", png())
    assert picture["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in picture["Content-Security-Policy"]
    assert cast.client(cast.cleo).get(book(cast, f"photos/{packet.photo}")).status_code == 404
    foreign = f"/k/{cast.other.pk}/books/packets/photos/{packet.photo}"
    assert cast.client(cast.cleo).get(foreign).status_code == 404, "another kitchen has no such photo"

    page = browser.get(book(cast, "changed/")).content.decode()
    assert "A guest could be hurt by the labels as they stand." not in page, "unknown gave way to known"
    assert "hazelnuts: may contain" in page
    assert "hazelnuts: not known: ask" in page
    assert "hazelnuts: may contain, by vanilla extract, lot V7" in page
    before = Version.objects.filter(commission=cast.commission).count()
    kept = browser.post(book(cast, "changed/"), {"commission": str(cast.commission.pk)})
    assert kept.status_code == 302
    assert Version.objects.filter(commission=cast.commission).count() == before + 1
    assert "Every open commission has the packets as they stand now." in browser.get(
        book(cast, "changed/")
    ).content.decode()  # fmt: skip
    way = browser.get(cast.url("sheet/labels/way/tier.1/hazelnut/"))
    said = way.content.decode()
    assert way.status_code == 200
    steps = ["lot V7", "vanilla extract", "Vanilla layer cake", "bottom tier", "slices"]
    path = next(one for one in said.split('<ol class="path">') if "lot V7" in one)
    places = [path.index(step) for step in steps]
    assert places == sorted(places), "from the lot to the slice"
    assert f"photos/{packet.photo}" in said


def test_a_worse_lot_is_the_first_thing_told(cast: Cast) -> None:
    soon(cast)
    browser = cast.client(cast.ada)
    assert browser.post(book(cast, "0/"), sent(cast, **VANILLA | {"may_contain": ""})).status_code == 302
    browser.post(book(cast, "changed/"), {"commission": str(cast.commission.pk)})
    stands = written(PACKET, Kitchen.objects.get(pk=cast.kitchen.pk).data["labelling"]["packets"][-1])
    worse = {**stands, "seen": seal(stands), "may_contain": "sesame"}
    assert browser.post(book(cast, "5/"), worse).status_code == 302
    page = browser.get(book(cast, "changed/")).content.decode()
    assert "sesame: may contain" in page
    head = Commission.objects.get(pk=cast.commission.pk).head
    assert browser.post(book(cast, "changed/"), {"commission": str(cast.others_commission.pk)}).status_code == 404
    assert Commission.objects.get(pk=cast.commission.pk).head == head


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"ingredient": "moon dust", "lot": "1"}, "an ingredient of the table"),
        ({"ingredient": "honey", "lot": ""}, "f-lot"),
        ({"ingredient": "honey", "lot": "1", "contains": "gravel"}, "f-contains"),
        ({"ingredient": "honey", "lot": "1", "contains": "milk", "denied": "milk"}, "f-denied"),
        ({"ingredient": "honey", "lot": "1", "nutrition.fat": "a lot"}, "f-nutrition-fat"),
    ],
)
def test_what_cannot_stand_is_said_where_it_was_typed(cast: Cast, typed: dict[str, str], said: str) -> None:
    answer = cast.client(cast.ada).post(book(cast, "0/"), sent(cast, **typed))
    assert answer.status_code == 422
    page = answer.content.decode()
    assert said in page
    assert typed["ingredient"] in page, "nothing typed is lost"
    assert at(Kitchen.objects.get(pk=cast.kitchen.pk).data, "labelling.packets") is None


@pytest.mark.parametrize(
    "content",
    [
        b"<html><script>alert(1)</script></html>",
        b"\xff\xd8\xff<script>",
        b"\x89PNG\r\n\x1a\n<svg onload=x>",
        b"RIFF\x10\x00\x00\x00WEBPjunkjunkjunkjunkjunk",
        b"GIF89a",
        b"",
    ],
)
def test_what_is_no_picture_is_not_kept(cast: Cast, content: bytes) -> None:
    assert media_type(content) is None
    form = sent(cast, **VANILLA) | {"photo_file": SimpleUploadedFile("photo.png", content or b" ", "image/png")}
    answer = cast.client(cast.ada).post(book(cast, "0/"), form)
    assert answer.status_code == 422
    assert "no JPEG, PNG or WebP picture" in answer.content.decode()
    assert not LabelPhoto.objects.exists()
    assert at(Kitchen.objects.get(pk=cast.kitchen.pk).data, "labelling.packets") is None


def test_a_photo_that_is_too_large_is_not_read(cast: Cast) -> None:
    huge = SimpleUploadedFile("photo.png", png() + b"\x00" * LARGEST_BYTES, "image/png")
    answer = cast.client(cast.ada).post(book(cast, "0/"), sent(cast, **VANILLA) | {"photo_file": huge})
    assert answer.status_code == 422
    assert "larger than 4 MB" in answer.content.decode()


def test_two_who_change_a_packet_at_once_see_the_difference(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    browser.post(book(cast, "0/"), sent(cast, **VANILLA))
    stands = written(PACKET, Kitchen.objects.get(pk=cast.kitchen.pk).data["labelling"]["packets"][0])
    mine = {**stands, "seen": "something else", "product": "Mine"}
    answer = browser.post(book(cast, "1/"), mine)
    assert answer.status_code == 409
    assert 'value="Mine"' in answer.content.decode()
    assert "product" not in Kitchen.objects.get(pk=cast.kitchen.pk).data["labelling"]["packets"][0]


def test_a_helper_without_leave_sees_no_way_of_an_allergen(cast: Cast) -> None:
    url = cast.url("sheet/labels/way/tier.1/milk/")
    assert cast.client(None).get(url).status_code == 302
    assert cast.client(cast.cleo).get(url).status_code == 404
    assert cast.client(cast.ben).get(url).status_code == 404
    membership = cast.ben.memberships.get()
    membership.sees_health = True
    membership.save()
    assert cast.client(cast.ben).get(url).status_code == 200
    ada = cast.client(cast.ada)
    for lost in ("tier.9/milk/", "tier.1/gravel/"):
        assert ada.get(cast.url(f"sheet/labels/way/{lost}")).status_code == 404
    assert "unsalted butter" in ada.get(url).content.decode()


def test_the_editor_offers_lawful_forms_alone(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    page = browser.get(cast.url("sheet/labels/change/label/")).content.decode()
    assert 'value="in-list"' in page
    assert 'value="en+fr"' not in page
    assert 'name="labelling.compounds"' not in page, "the place leaves no choice"
    # What a form never offered is refused all the same.
    typed = {"labelling.panel": "tabular", "labelling.surface_cm2": "500", "do": "look"}
    refused = browser.post(cast.url("sheet/labels/change/label/"), typed | {"base": "1", "seen": "0"})
    assert refused.status_code == 422
    assert "at most 258 cm2" in refused.content.decode()


def test_every_field_of_the_form_is_a_field_of_a_packet() -> None:
    for item in PACKET.items:
        assert isinstance(item, Field)
        head, _, rest = item.path.partition(".")
        assert head in Packet.model_fields
        assert bool(rest) is (head == "nutrition")
