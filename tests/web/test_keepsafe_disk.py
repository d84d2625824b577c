"""A full or read-only disk: said in words, nothing half-written, nothing acknowledged lost."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.db import OperationalError, connection
from tests.web.conftest import Cast

from tierwright.web.keepsafe.disk import trouble_with_disk
from tierwright.web.models import Client

sqlite_only = pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL looks after its own disk")


@pytest.fixture
def full_disk(cast: Cast) -> Iterator[Cast]:
    with connection.cursor() as cursor:
        # SQLite's own limit gives the error of a full disk from the same place as the disk itself.
        cursor.execute("PRAGMA page_count")
        pages = cursor.fetchone()[0]
        cursor.execute(f"PRAGMA max_page_count = {pages}")
        yield cast
        cursor.execute("PRAGMA max_page_count = 4294967294")


@pytest.fixture
def shut_disk(cast: Cast) -> Iterator[Cast]:
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA query_only = ON")
        yield cast
        cursor.execute("PRAGMA query_only = OFF")


def _send(cast: Cast) -> tuple[int, str]:
    browser = cast.client(None)
    browser.raise_request_exception = True
    typed = {"name": "Nadia Ferro", "contact": "c" * 3900, "health": "h" * 3900, "note": "n" * 3900}
    browser.cookies = cast.signed_in.cookies  # type: ignore[attr-defined]
    answer = browser.post(f"/k/{cast.kitchen.pk}/books/clients/0/", typed)
    return answer.status_code, answer.content.decode()


@sqlite_only
@pytest.mark.parametrize(("trouble", "words"), [("full_disk", "is full"), ("shut_disk", "may not be written")])
def test_a_form_that_cannot_be_kept_says_why_and_leaves_no_half_row(
    cast: Cast, request: pytest.FixtureRequest, trouble: str, words: str
) -> None:
    cast.signed_in = cast.client(cast.ada)  # type: ignore[attr-defined]
    for number in range(3):
        Client.objects.create(kitchen=cast.kitchen, name=f"kept {number}")
    request.getfixturevalue(trouble)
    status, text = _send(cast)
    assert status == 507
    assert words in text
    assert "Everything that was kept before is safe" in text
    assert Client.objects.filter(kitchen=cast.kitchen).count() == 3


def test_another_fault_of_the_database_is_not_the_disks() -> None:
    assert trouble_with_disk(OperationalError("no such table: web_client")) == ""
    assert trouble_with_disk(ValueError("database or disk is full")) == ""
