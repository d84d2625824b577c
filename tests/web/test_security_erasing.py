"""Erasing a person from the page of the book: what is said first, who may, and what is gone afterwards."""

from __future__ import annotations

import io
import zipfile
import zlib

import pytest
from tests.web.conftest import Cast

from tierwright.web.frame.change import work_through
from tierwright.web.frame.desk import pack
from tierwright.web.keepsafe.archive import archive_bytes
from tierwright.web.models import Audit, Client, Draft, Version

NAME, REACHED, HEALTH = "Quillon Abernathy", "quillon@post.example", "hives from walnuts"
TOLD = (NAME, REACHED, HEALTH)


def page(cast: Cast, client: Client, rest: str = "erase-everywhere/") -> str:
    return f"/k/{cast.kitchen.pk}/books/clients/{client.pk}/{rest}"


@pytest.fixture
def told(cast: Cast) -> Client:
    row = Client.objects.create(kitchen=cast.kitchen, name=NAME, contact=REACHED, health=HEALTH)
    version = cast.commission.versions.get()
    brief = version.brief | {"title": f"Supper of {NAME}", "client": f"{NAME}, {REACHED}"}
    tried = work_through(brief, version.kitchen, set())
    assert tried.dossier is not None
    packed = pack(tried.dossier)
    Version(commission=cast.commission, number=2, brief=brief, kitchen=version.kitchen, dossier=packed, words="").save()
    cast.commission.client, cast.commission.head, cast.commission.title = row, 2, f"Supper of {NAME}"
    cast.commission.save()
    part = f"book/client/{row.pk}"
    Draft.objects.create(kitchen=cast.kitchen, user=cast.ada, part=part, base=0, typed={"health": HEALTH})
    return row


def everything(kitchen: int) -> str:
    with zipfile.ZipFile(io.BytesIO(archive_bytes(kitchen))) as archive:
        parts = [archive.read(name) for name in archive.namelist()]
    return "".join(
        (zlib.decompress(part) if part[:1] == b"\x78" else part).decode("utf-8", "replace") for part in parts
    )


def test_nothing_goes_before_it_was_said_what_goes_and_ticked(cast: Cast, told: Client) -> None:
    browser = cast.client(cast.ada)
    assert page(cast, told) in browser.get(page(cast, told, "")).content.decode()
    asked = browser.get(page(cast, told)).content.decode()
    for words in ("the ledger", "signed handovers", "copies and archives taken before", f"Supper of {NAME}"):
        assert words in asked
    assert browser.post(page(cast, told)).status_code == 422
    told.refresh_from_db()
    assert (told.name, told.put_away_at) == (NAME, None)
    assert all(text in everything(cast.kitchen.pk) for text in TOLD)


def test_afterwards_nothing_of_them_is_left_and_the_record_names_nobody(cast: Cast, told: Client) -> None:
    answer = cast.client(cast.ada).post(page(cast, told), {"understood": "yes"}, follow=True)
    assert NAME not in answer.content.decode()
    assert [text for text in TOLD if text in everything(cast.kitchen.pk)] == []
    assert Draft.objects.count() == 0
    line = Audit.objects.get(deed="erased everywhere")
    assert (line.user, line.words) == (cast.ada, f"client {told.pk}, 1")


def test_owners_of_this_kitchen_alone(cast: Cast, told: Client) -> None:
    ticked = {"understood": "yes"}
    assert cast.client(None).post(page(cast, told), ticked).status_code == 302
    assert cast.client(cast.ben).post(page(cast, told), ticked).status_code == 403
    assert cast.client(cast.ben).get(page(cast, told)).status_code == 403
    assert cast.client(cast.cleo).post(page(cast, told), ticked).status_code == 404
    crossed = page(cast, told).replace(f"/k/{cast.kitchen.pk}/", f"/k/{cast.other.pk}/")
    assert cast.client(cast.cleo).post(crossed, ticked).status_code == 404
    told.refresh_from_db()
    assert told.name == NAME
