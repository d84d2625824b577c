"""How many queries a page asks: the same for one entry as for many."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from tests.web.conftest import Cast

from tierwright.web.models import Audit, BenchEntry, BookFormula, Client, ClientLink, Commission, Version


@contextmanager
def at_most(number: int) -> Iterator[None]:
    with CaptureQueriesContext(connection) as asked:
        yield
    said = "\n".join(query["sql"][:160] for query in asked.captured_queries)
    assert len(asked) <= number, said


def many(cast: Cast) -> None:
    """Fill every list of the kitchen."""
    now = timezone.now()
    row = cast.commission
    for number in range(30):
        Commission.objects.create(
            kitchen=cast.kitchen, title=f"Supper {number}", enquired_at=now, handover_at=now + timedelta(days=3),
            cutting_at=now + timedelta(days=3), last_slice_at=now + timedelta(days=3), timezone="UTC", head=1,
        )  # fmt: skip
        Client.objects.create(kitchen=cast.kitchen, name=f"Client {number}")
        Audit.objects.create(kitchen=cast.kitchen, user=cast.ada, deed="kept", words=str(number), commission=row)
        ClientLink.objects.create(commission=row, digest=f"{number:064d}", expires_at=now + timedelta(days=1))
        BenchEntry.objects.create(
            commission=row, version=1, sheet="bowl", step=f"step-{number}", what="weight",
            value={"number": 1, "unit": "g", "g": 1}, device="tablet", order=number + 1, done_at=now, user=cast.ada,
        )  # fmt: skip
        key = f"more-{number}"
        sheet = {"key": key, "name": "More", "kind": "pound", "lines": ["100 g flour"]}
        BookFormula.objects.create(kitchen=cast.kitchen, key=key, name="More", kind="pound", sheet=sheet)
    first = Version.objects.get(commission=row, number=1)
    for number in range(2, 8):
        Version(
            commission=row, number=number, brief=first.brief, kitchen=first.kitchen, dossier=first.dossier,
            words=str(number), made_by=cast.ada,
        ).save()  # fmt: skip
    Commission.objects.filter(pk=row.pk).update(head=7)


KITCHEN_PAGES = {"": 5, "books/": 4, "books/formulas/": 4, "books/clients/": 4, "books/records/": 4, "record/": 4,
                 "people/": 6, "books/kitchen/prices/": 4}  # fmt: skip
COMMISSION_PAGES = {
    **dict.fromkeys(("questions/", "versions/", "bench/"), 8),
    **{f"sheet/{key}/": 8 for key in ("tiers", "formulas", "coats", "bakes", "supports", "keeping", "table")},
    "": 10,
    "versions/compared/?from=1&to=7": 12,
    "client/": 11,
    "sheet/tiers/change/guests/": 9,
}
"""Most queries of a page: session, person, place in the kitchen, commission, version, dossier, and its own."""


@pytest.mark.parametrize(("rest", "most"), KITCHEN_PAGES.items())
def test_a_page_of_the_kitchen_asks_no_more_for_many(cast: Cast, rest: str, most: int) -> None:
    many(cast)
    browser = cast.client(cast.ada)
    with at_most(most):
        assert browser.get(f"/k/{cast.kitchen.pk}/{rest}").status_code == 200


@pytest.mark.parametrize(("rest", "most"), COMMISSION_PAGES.items())
def test_a_page_of_a_commission_asks_no_more_for_many(cast: Cast, rest: str, most: int) -> None:
    many(cast)
    browser = cast.client(cast.ada)
    with at_most(most):
        assert browser.get(cast.url(rest)).status_code == 200


def test_a_preview_and_a_keep_ask_few(cast: Cast) -> None:
    many(cast)
    browser = cast.client(cast.ada)
    typed = {"base": "7", "seen": "0", "guests.invited": "90", "guests.attending": "70 to 80"}
    with at_most(14):
        live = browser.post(cast.url("sheet/tiers/change/guests/"), typed, headers={"HX-Request": "true"})
    assert live.status_code == 200
    with at_most(26):
        browser.post(cast.url("sheet/tiers/change/guests/"), typed | {"settles": "draft", "do": "keep"})
    assert Commission.objects.get(pk=cast.commission.pk).head == 8
