"""Pieces of pages: rendered once, never stale, and never another person's."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from tests.web.conftest import Cast

from tierwright.web.frame import pieces
from tierwright.web.frame.desk import DOSSIERS
from tierwright.web.handover.entries import Did
from tierwright.web.handover.models import SetUpEntry
from tierwright.web.memory import Memory
from tierwright.web.models import Commission, Kitchen, Membership, Version
from tierwright.web.sheet import sheets

TOKEN_FIELD = re.compile(r'name="csrfmiddlewaretoken" value="(\w{64})"')
PAGES = ("questions/", *(f"sheet/{key}/" for key in sheets()))


def read(cast: Cast, rest: str, who: Any = None) -> str:
    """Return a page without the token, which is another in every answer."""
    answer = cast.client(who or cast.ada).get(cast.url(rest))
    assert answer.status_code == 200, rest
    return TOKEN_FIELD.sub("", answer.content.decode())


def forget_pieces(cast: Cast) -> None:
    for number in range(1, 4):
        key = (cast.commission.pk, number)
        if key in DOSSIERS:
            DOSSIERS.get(key, lambda: pytest.fail("nothing is held")).pieces.clear()


def test_memory_holds_the_last_asked_for_and_makes_each_once() -> None:
    memory: Memory[str, str] = Memory(2)
    made: list[str] = []

    def ask(key: str) -> str:
        return memory.get(key, lambda: made.append(key) or key.upper())  # type: ignore[func-returns-value]

    assert [ask(key) for key in ("a", "b", "a", "c", "a", "b")] == ["A", "B", "A", "C", "A", "B"]
    assert made == ["a", "b", "c", "b"]
    assert (len(memory), "a" in memory, "c" in memory) == (2, True, False)
    memory.forget("a")
    assert "a" not in memory


def test_what_was_read_is_not_rendered_again(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    before = {rest: read(cast, rest) for rest in PAGES}
    monkeypatch.setattr(pieces, "render_to_string", lambda *_: pytest.fail("rendered again"))
    assert {rest: read(cast, rest) for rest in PAGES} == before


def test_a_piece_depends_on_nothing_that_may_change_beside_its_version(cast: Cast) -> None:
    for rest in PAGES:
        read(cast, rest)
    Kitchen.objects.filter(pk=cast.kitchen.pk).update(data=cast.kitchen.data | {"name": "Elsewhere", "currency": "NOK"})
    Membership.objects.filter(user=cast.ada).update(sees_prices=True)
    cast.ada.username = "adelheid"
    cast.ada.save()
    row = Commission.objects.filter(pk=cast.commission.pk)
    row.update(quoted=1, accepted=1, accepted_at=timezone.now(), client=None, questions=77, gravest=1, portions=5)
    held = {rest: read(cast, rest) for rest in PAGES}
    forget_pieces(cast)
    for rest in PAGES:
        assert read(cast, rest) == held[rest], rest


def test_a_piece_asks_the_database_for_nothing(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    for rest in PAGES:
        browser.get(cast.url(rest))
        counts = []
        for _ in range(2):
            with CaptureQueriesContext(connection) as asked:
                browser.get(cast.url(rest))
            counts.append(len(asked))
            forget_pieces(cast)
        assert counts[0] == counts[1], rest


def test_every_answer_has_a_token_of_its_own(cast: Cast) -> None:
    answers = [cast.client(cast.ada).get(cast.url("sheet/tiers/")) for _ in range(2)]
    tokens = [TOKEN_FIELD.findall(answer.content.decode()) for answer in answers]
    assert tokens[0]
    assert tokens[1]
    assert not set(tokens[0]) & set(tokens[1])
    assert all(pieces.TOKEN not in answer.content.decode() for answer in answers)
    # The token of one person's page is refused to the other.
    assert answers[0].cookies["tierwright_csrf"].value != answers[1].cookies["tierwright_csrf"].value


def test_a_helper_sees_no_price_that_the_owner_has_read(cast: Cast) -> None:
    owners, again = read(cast, "sheet/buying/"), read(cast, "sheet/buying/")
    helpers = read(cast, "sheet/buying/", cast.ben)
    assert owners == again
    price = re.search(r"All of it: ([^<]+)<", owners)
    assert price is not None
    assert price.group(1) not in helpers
    assert "All of it" not in helpers
    assert "/versions/" in owners
    assert "/versions/" not in helpers
    Membership.objects.filter(user=cast.ben).update(sees_prices=True)
    assert price.group(1) in read(cast, "sheet/buying/", cast.ben)
    Membership.objects.filter(user=cast.ben).update(sees_prices=False)
    assert read(cast, "sheet/buying/", cast.ben) == helpers


def test_another_language_is_another_piece(cast: Cast) -> None:
    english = read(cast, "sheet/coats/")
    Kitchen.objects.filter(pk=cast.kitchen.pk).update(language="es")
    spanish = read(cast, "sheet/coats/")
    assert "Coats and fillings" in english
    assert "Coats and fillings" not in spanish
    Kitchen.objects.filter(pk=cast.kitchen.pk).update(language="en")
    assert read(cast, "sheet/coats/") == english


def test_a_kept_version_is_another_page_and_the_first_stays_to_be_read(cast: Cast) -> None:
    before = read(cast, "sheet/tiers/")
    row = cast.commission
    first = Version.objects.get(commission=row, number=1)
    brief = first.brief | {"title": "Eighty years of rowing"}
    Version(
        commission=row, number=2, brief=brief, kitchen=first.kitchen, dossier=first.dossier, made_by=cast.ada
    ).save()
    Commission.objects.filter(pk=row.pk).update(head=2, title=brief["title"])
    assert "Eighty years of rowing" in read(cast, "sheet/tiers/")
    older = read(cast, "sheet/tiers/?version=1")
    assert "to be read only" in older
    assert "/change/" in before
    assert "/change/" not in older


def test_what_another_process_has_erased_is_gone(cast: Cast) -> None:
    row = cast.commission
    first = Version.objects.get(commission=row, number=1)
    read(cast, "sheet/tiers/")
    held = DOSSIERS.get((row.pk, 1), lambda: pytest.fail("nothing is held"))
    Version.objects.filter(pk=first.pk).update(brief=first.brief | {"client": ""})
    read(cast, "sheet/tiers/")
    now = DOSSIERS.get((row.pk, 1), lambda: pytest.fail("nothing is held"))
    assert now is not held
    assert now.pieces is not held.pieces


def test_a_signature_is_seen_at_once(cast: Cast) -> None:
    assert "Nobody has signed" in read(cast, "sheet/handover/")
    SetUpEntry(
        commission=cast.commission, version=1, mark="0" * 64, what=Did.SIGNED, value={"name": "Ottoline Marsh"},
        device="tablet", order=1, done_at=timezone.now(), user=cast.ada,
    ).save()  # fmt: skip
    assert "Ottoline Marsh" in read(cast, "sheet/handover/")
