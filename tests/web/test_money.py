"""Offers, acceptances and the ledger in the database: kept once, never changed, whole or not at all."""

from __future__ import annotations

import os
import random
import re
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.web.conftest import Cast

from tierwright.errors import BadInput
from tierwright.price import EntryKind, Ledger, check_seals, from_lines, to_line
from tierwright.price import year_total as year_by_hand
from tierwright.web.access import Door, zone_of
from tierwright.web.frame.change import Tried, keep, work_through
from tierwright.web.frame.desk import dossier_of
from tierwright.web.models import Version
from tierwright.web.money.guards import guard
from tierwright.web.money.ledger import balance, cap_reading, enter, entries_of, entry_of, take_back, year_total
from tierwright.web.money.models import GUARDED, Acceptance, LedgerEntry, Offer
from tierwright.web.money.offers import Answer, accept_offer, make, offers_of, propose, quotation_of
from tierwright.web.shared.links import make_link

D = Decimal
SOON = datetime(2027, 3, 1, 15, 0, tzinfo=UTC)


def moment(at: datetime) -> Any:
    """Stop Django's clock at a moment."""
    return patch("django.utils.timezone.now", return_value=at)


def door(cast: Cast) -> Door:
    return Door(membership=cast.ada.memberships.get(kitchen=cast.kitchen), user=cast.ada)


def head(cast: Cast) -> Version:
    return Version.objects.get(commission=cast.commission, number=cast.commission.head)


def offered(cast: Cast) -> Offer:
    written = propose(cast.commission, head(cast))
    made = make(door(cast), cast.commission, head(cast), written.mark)
    cast.commission.refresh_from_db()
    return made


def money(cast: Cast, rest: str = "") -> str:
    return f"/k/{cast.kitchen.pk}/{rest}"


@pytest.fixture
def early() -> Any:
    with moment(SOON):
        yield


class TestTheLedger:
    def test_entries_follow_one_another_sealed_and_numbered(self, cast: Cast) -> None:
        one = enter(door(cast), cast.commission, EntryKind.INVOICE, D("120.00"), "cake", tax=D("4.80"))
        two = enter(door(cast), cast.commission, EntryKind.PAYMENT, D("40.00"), "retainer")
        three = take_back(door(cast), two, "keyed wrong")
        year = one.day.year
        assert [row.document for row in (one, two, three)] == [f"I{year}-0001", f"R{year}-0001", f"C{year}-0001"]
        assert [row.number for row in (one, two, three)] == [1, 2, 3]
        assert balance(cast.commission).open == D("120.00")
        assert check_seals(entries_of(cast.kitchen), "USD") == 3
        # The lines that are handed out are a ledger that the command line reads.
        lines = b"".join(to_line(entry) for entry in entries_of(cast.kitchen))
        assert from_lines(lines, "USD").balance(one.whose).open == D("120.00")

    def test_each_kitchen_counts_for_itself(self, cast: Cast) -> None:
        enter(door(cast), cast.commission, EntryKind.PAYMENT, D(1), "x")
        cleos = Door(membership=cast.cleo.memberships.get(), user=cast.cleo)
        assert enter(cleos, cast.others_commission, EntryKind.PAYMENT, D(1), "x").number == 1

    def test_what_cannot_stand_is_refused_and_leaves_nothing(self, cast: Cast) -> None:
        paid = enter(door(cast), cast.commission, EntryKind.PAYMENT, D("50.00"), "x")
        with pytest.raises(BadInput):
            enter(door(cast), cast.commission, EntryKind.REFUND, D("50.01"), "more than was paid")
        with pytest.raises(BadInput):
            enter(door(cast), cast.commission, EntryKind.PAYMENT, D("0.001"), "no coin")
        take_back(door(cast), paid, "wrong")
        with pytest.raises(BadInput):
            take_back(door(cast), paid, "twice")
        assert LedgerEntry.objects.count() == 2

    @pytest.mark.parametrize("table", GUARDED)
    @pytest.mark.parametrize("words", ["UPDATE {} SET id = id + 1", "DELETE FROM {}"])
    def test_the_database_itself_lets_nothing_be_changed(self, cast: Cast, early: None, table: str, words: str) -> None:
        offer = offered(cast)
        enter(door(cast), cast.commission, EntryKind.PAYMENT, D(1), "x")
        if table == "money_withdrawal":
            from tierwright.web.money.offers import withdraw

            withdraw(door(cast), offer)
        else:
            assert accept_offer(cast.commission, None, 1, offer.mark, "Dee") is Answer.ACCEPTED
        with pytest.raises(DatabaseError, match="only ever added"), transaction.atomic():
            connection.cursor().execute(words.format(table))

    def test_django_has_no_way_round_the_guards_either(self, cast: Cast) -> None:
        row = enter(door(cast), cast.commission, EntryKind.PAYMENT, D(1), "x")
        with pytest.raises(ValueError, match="further entry"):
            row.save()
        with pytest.raises(ValueError, match="further entry"):
            row.delete()
        with pytest.raises(DatabaseError), transaction.atomic():
            LedgerEntry.objects.filter(pk=row.pk).update(coins=5)
        with pytest.raises(DatabaseError), transaction.atomic():
            LedgerEntry.objects.filter(pk=row.pk).delete()

    def test_a_second_correction_is_refused_by_the_database(self, cast: Cast) -> None:
        row = enter(door(cast), cast.commission, EntryKind.PAYMENT, D(1), "x")
        made = take_back(door(cast), row, "once")
        again = LedgerEntry(**{f.attname: getattr(made, f.attname) for f in LedgerEntry._meta.fields if f.name != "id"})
        again.number, again.document = 3, "C1-9"
        with pytest.raises(IntegrityError), transaction.atomic():
            again.save()

    def test_guards_are_set_in_the_database_that_the_migrations_make(self, cast: Cast) -> None:
        if connection.vendor != "sqlite":
            pytest.skip("reads SQLite's own table")
        with connection.cursor() as cursor:
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
            found = {row[0] for row in cursor.fetchall()}
        assert {f"{table}_no_{event}" for table in GUARDED for event in ("update", "delete")} <= found
        guard(connection, GUARDED)  # a later migration may set them anew

    def test_a_changed_entry_shows_by_its_seal(self, cast: Cast) -> None:
        from tierwright.web.money.guards import unguard

        for amount in (10, 20, 30):
            enter(door(cast), cast.commission, EntryKind.PAYMENT, D(amount), "x")
        unguard(connection, GUARDED)
        LedgerEntry.objects.filter(number=2).update(coins=1)
        with pytest.raises(BadInput, match="line 2"):
            check_seals(entries_of(cast.kitchen), "USD")
        answer = cast.client(cast.ada).post(money(cast, "money/seals/"))
        assert answer.status_code == 409

    @settings(max_examples=4, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
    @given(seed=st.integers(0, 10**6))
    def test_the_database_and_the_pure_ledger_agree(self, cast: Cast, seed: int) -> None:
        draw = random.Random(seed)
        pure = Ledger(currency="USD")
        with transaction.atomic():
            start = LedgerEntry.objects.count()
            if start:
                pure = Ledger(currency="USD", entries=tuple(entries_of(cast.kitchen)))
            for _ in range(12):
                kind = draw.choice([EntryKind.INVOICE, EntryKind.PAYMENT, EntryKind.REFUND, None])
                amount = D(draw.randint(1, 9000)) / 100
                row: LedgerEntry | None
                try:
                    if kind is None:
                        found = list(LedgerEntry.objects.all())
                        if not found:
                            continue
                        row = take_back(door(cast), draw.choice(found), "wrong")
                    else:
                        row = enter(door(cast), cast.commission, kind, amount, "x")
                except BadInput:
                    row = None
                if row is not None:
                    entry = entry_of(row)
                    made = (
                        pure.correct(entry.corrects, at=entry.at, text=entry.text)
                        if entry.corrects
                        else pure.add(
                            entry.kind,
                            at=entry.at,
                            commission=entry.commission,
                            amount=entry.amount,
                            tax=entry.tax,
                            text=entry.text,
                        )
                    )
                    assert made.entries[-1] == entry
                    pure = made
            day = date.today()
            for year in (day.year, day.year + 1):
                assert year_total(cast.kitchen, year) == year_by_hand(pure, year, zone_of(cast.kitchen))
            if pure.entries:
                assert balance(cast.commission) == pure.balance(pure.entries[0].commission)


CRASH = """
import os, signal, sys
os.environ["DJANGO_SETTINGS_MODULE"] = "tierwright.web.settings"
import django
django.setup()
from datetime import UTC, datetime
from decimal import Decimal
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import transaction
from tierwright.price import EntryKind, check_seals
from tierwright.web.access import Door
from tierwright.web.models import Commission, Kitchen, Membership
from tierwright.web.money.ledger import enter, entries_of, take_back
from tierwright.web.money.models import LedgerEntry
step = sys.argv[1]
if step == "begin":
    call_command("migrate", verbosity=0)
    user = User.objects.create(username="ada")
    kitchen = Kitchen.objects.create(name="k", data={"currency": "USD", "timezone": "America/Denver"})
    Membership.objects.create(kitchen=kitchen, user=user, role="owner")
    at = datetime(2027, 6, 1, tzinfo=UTC)
    Commission.objects.create(kitchen=kitchen, title="t", enquired_at=at, handover_at=at, cutting_at=at,
                              last_slice_at=at, timezone="UTC")
commission = Commission.objects.get()
member = Membership.objects.get()
door = Door(membership=member, user=member.user)
if step == "begin":
    enter(door, commission, EntryKind.INVOICE, Decimal("100.00"), "first")
    enter(door, commission, EntryKind.PAYMENT, Decimal("30.00"), "retainer")
elif step == "between":
    with transaction.atomic():
        take_back(door, LedgerEntry.objects.get(number=1), "another version")
        os.kill(os.getpid(), signal.SIGKILL)
elif step == "inside":
    save = LedgerEntry.save
    def struck(self, *args, **kwargs):
        save(self, *args, **kwargs)
        os.kill(os.getpid(), signal.SIGKILL)
    LedgerEntry.save = struck
    enter(door, commission, EntryKind.PAYMENT, Decimal("70.00"), "balance")
elif step == "on":
    enter(door, commission, EntryKind.PAYMENT, Decimal("70.00"), "balance")
print([entry.document for entry in entries_of(door.kitchen)], check_seals(entries_of(door.kitchen), "USD"))
"""


def test_a_crash_in_between_leaves_no_half_entry(tmp_path: Path) -> None:
    env = {**os.environ, "TIERWRIGHT_HOME": str(tmp_path), "OPENBLAS_NUM_THREADS": "1"}
    env.pop("DATABASE_URL", None)

    def run(step: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-W", "ignore", "-c", CRASH, step], env=env, capture_output=True, text=True, check=False
        )

    begun = run("begin")
    assert begun.returncode == 0, begun.stderr
    for step in ("between", "inside"):
        assert run(step).returncode == -9, step
    after = run("on")
    assert after.returncode == 0, after.stderr
    papers = re.findall(r"'([IRC])\d{4}-(\d{4})'", after.stdout)
    # Neither the correction nor the payment that was struck down is there, and no number is missing.
    assert papers == [("I", "0001"), ("R", "0001"), ("R", "0002")]
    assert after.stdout.strip().endswith("3")


class TestTheQuotation:
    def test_the_exact_version_is_kept_and_read_back(self, cast: Cast, early: None) -> None:
        offer = offered(cast)
        written = quotation_of(Offer.objects.get(pk=offer.pk))
        assert written.mark == offer.mark
        assert (written.number, written.version) == ("Q2027-0001", 1)
        assert written.totals.net == dossier_of(head(cast)).price.asked
        assert cast.commission.quoted == 1

    def test_what_the_maker_has_not_seen_is_not_offered(self, cast: Cast, early: None) -> None:
        answer = cast.client(cast.ada).post(cast.url("money/offer/"), {"mark": "123456789abc"})
        assert answer.status_code == 409
        assert not Offer.objects.exists()

    def test_accepted_once_with_name_time_and_mark(self, cast: Cast, early: None) -> None:
        offer = offered(cast)
        link, token = make_link(cast.commission, 30)
        url = f"/client/{token}/offer/"
        page = Client().get(url)
        assert page.status_code == 200
        assert offer.mark in page.content.decode()
        assert "no-store" in page["Cache-Control"]
        form = {"turn": "1", "mark": offer.mark, "name": " Dee  Dray ", "read": "yes"}
        assert Client().post(f"{url}accept/", form).status_code == 302
        kept = Acceptance.objects.get()
        assert (kept.name, kept.mark, kept.link, kept.offer.turn) == ("Dee Dray", offer.mark, link, 1)
        assert abs(kept.at - SOON) < timedelta(minutes=5)
        # Sent again by a poor network: nothing more, and no refusal. By another name: kindly refused.
        assert Client().post(f"{url}accept/", form).status_code == 302
        other = Client().post(f"{url}accept/", {**form, "name": "Somebody Else"})
        assert other.status_code == 409
        assert "has been accepted already" in other.content.decode()
        assert Acceptance.objects.count() == 1
        shown = Client().get(url).content.decode()
        assert "Accepted by Dee Dray" in shown
        assert "<form" not in shown.split("<main", 1)[1].split("</main", 1)[0]
        paper = Client().get(f"{url}paper.pdf")
        assert paper.content.startswith(b"%PDF")
        # The commission's line says so.
        assert "1 accepted" in cast.client(cast.ada).get(cast.url()).content.decode()
        assert "1 accepted" not in cast.client(cast.ben).get(cast.url()).content.decode()

    @pytest.mark.parametrize("missing", ["name", "read"])
    def test_no_acceptance_without_a_name_or_a_tick(self, cast: Cast, early: None, missing: str) -> None:
        offer = offered(cast)
        token = make_link(cast.commission, 30)[1]
        form = {"turn": "1", "mark": offer.mark, "name": "Dee", "read": "yes"}
        answer = Client().post(f"/client/{token}/offer/accept/", {**form, missing: ""})
        assert answer.status_code == 422
        assert not Acceptance.objects.exists()

    def test_a_change_makes_a_new_version_with_the_difference_in_words(self, cast: Cast, early: None) -> None:
        first = offered(cast)
        assert accept_offer(cast.commission, None, 1, first.mark, "Dee") is Answer.ACCEPTED
        brief = {**head(cast).brief, "travel": {**head(cast).brief["travel"], "distance": "140 km"}}
        tried: Tried = work_through(brief, head(cast).kitchen, set())
        keep(door(cast), cast.commission, 1, tried, head(cast).kitchen, "further away")
        cast.commission.refresh_from_db()
        page = cast.client(cast.ada).get(cast.url("money/")).content.decode()
        assert "A new version, not offered yet" in page
        second = offered(cast)
        changes = quotation_of(second).changes
        assert (second.number, second.turn) == (first.number, 2)
        assert any("km away" in text for text in changes)
        assert changes[-1].startswith("Altogether")
        # The old page can no longer accept, whichever version it shows; the new one can.
        assert accept_offer(cast.commission, None, 1, first.mark, "Dee") is Answer.CHANGED
        assert accept_offer(cast.commission, None, 2, first.mark, "Dee") is Answer.CHANGED
        token = make_link(cast.commission, 30)[1]
        assert "Version 1, which Dee accepted, stands" in Client().get(f"/client/{token}/offer/").content.decode()
        assert accept_offer(cast.commission, None, 2, second.mark, "Dee") is Answer.ACCEPTED
        assert [one.standing.value for one in offers_of(cast.commission)] == ["accepted", "accepted"]

    def test_withdrawn_or_ended_it_is_read_and_not_accepted(self, cast: Cast) -> None:
        with moment(SOON):
            offer = offered(cast)
        with moment(SOON + timedelta(days=15)):
            assert accept_offer(cast.commission, None, 1, offer.mark, "Dee") is Answer.CLOSED
        with moment(SOON + timedelta(days=1)):
            token = make_link(cast.commission, 30)[1]
            assert cast.client(cast.ada).post(cast.url("money/offer/1/withdraw/")).status_code == 302
            assert accept_offer(cast.commission, None, 1, offer.mark, "Dee") is Answer.CLOSED
            page = Client().get(f"/client/{token}/offer/")
            assert "taken this offer back" in page.content.decode()
        assert not Acceptance.objects.exists()

    def test_what_is_accepted_is_not_taken_back(self, cast: Cast, early: None) -> None:
        offer = offered(cast)
        accept_offer(cast.commission, None, 1, offer.mark, "Dee")
        assert cast.client(cast.ada).post(cast.url("money/offer/1/withdraw/")).status_code == 409

    def test_without_an_offer_the_clients_page_has_none(self, cast: Cast) -> None:
        token = make_link(cast.commission, 30)[1]
        assert Client().get(f"/client/{token}/offer/").status_code == 404
        assert Client().get("/client/unknown/offer/").status_code == 404


class TestInvoiceAndPayments:
    def test_an_accepted_version_is_invoiced_once_paid_and_printed(self, cast: Cast, early: None) -> None:
        browser = cast.client(cast.ada)
        assert browser.post(cast.url("money/invoice/")).status_code == 409
        offer = offered(cast)
        accept_offer(cast.commission, None, 1, offer.mark, "Dee")
        for _ in range(2):
            assert browser.post(cast.url("money/invoice/")).status_code == 302
        invoice = LedgerEntry.objects.get()
        assert entry_of(invoice).amount == quotation_of(offer).totals.gross
        bad = browser.post(cast.url("money/pay/"), {"kind": "payment", "amount": "12.345", "text": "retainer"})
        assert bad.status_code == 422
        assert 'value="12.345"' in bad.content.decode(), "what was typed is not lost"
        assert browser.post(cast.url("money/pay/"), {"amount": "300,50", "text": "retainer"}).status_code == 302
        assert balance(cast.commission).paid == D("300.50")
        too_much = browser.post(cast.url("money/pay/"), {"kind": "refund", "amount": "301", "text": "x"})
        assert too_much.status_code == 422
        for number in (1, 2):
            paper = browser.get(money(cast, f"money/{number}/paper.pdf"))
            assert paper.content.startswith(b"%PDF"), number
        assert browser.post(money(cast, "money/2/correct/"), {"text": ""}).status_code == 422
        assert browser.post(money(cast, "money/2/correct/"), {"text": "was 305"}).status_code == 302
        assert browser.get(money(cast, "money/3/paper.pdf")).content.startswith(b"%PDF")
        assert balance(cast.commission).paid == 0

    def test_another_accepted_version_replaces_the_invoice_in_one_stroke(self, cast: Cast, early: None) -> None:
        browser = cast.client(cast.ada)
        first = offered(cast)
        accept_offer(cast.commission, None, 1, first.mark, "Dee")
        browser.post(cast.url("money/invoice/"))
        with moment(SOON + timedelta(days=2)):
            second = offered(cast)
            accept_offer(cast.commission, None, 2, second.mark, "Dee")
            browser.post(cast.url("money/invoice/"))
        kinds = list(LedgerEntry.objects.values_list("kind", flat=True))
        assert kinds == ["invoice", "correction", "invoice"]
        assert balance(cast.commission).invoiced == quotation_of(second).totals.gross


class TestTheYear:
    def test_the_cap_is_asked_about_before_an_offer_is_made(self, cast: Cast, early: None) -> None:
        cast.kitchen.data = {
            **cast.kitchen.data,
            "accounts": {**cast.kitchen.data["accounts"], "cap": {"amount": "500.00", "law": "an act"}},
        }
        cast.kitchen.save()
        browser = cast.client(cast.ada)
        page = browser.get(cast.url("money/")).content.decode()
        assert "sold under the year" in page
        mark = re.search(r'name="mark" value="(\w+)"', page)
        assert mark is not None
        assert browser.post(cast.url("money/offer/"), {"mark": mark[1]}).status_code == 422
        assert not Offer.objects.exists()
        assert browser.post(cast.url("money/offer/"), {"mark": mark[1], "cap": "read"}).status_code == 302
        reading = cap_reading(cast.kitchen, 2027, D(501))
        assert reading is not None
        assert reading.question is not None
        year = browser.get(money(cast, "money/year/2027/")).content.decode()
        assert "an act" in year

    def test_a_year_of_400_commissions_takes_a_handful_of_queries(
        self, cast: Cast, django_assert_max_num_queries: Any
    ) -> None:
        fill_year(cast, 400)
        browser = cast.client(cast.ada)
        with django_assert_max_num_queries(16):
            assert browser.get(money(cast, "money/year/2027/")).status_code == 200
        with django_assert_max_num_queries(12):
            assert browser.get(money(cast, "money/")).status_code == 200
        total = year_total(cast.kitchen, 2027)
        assert total.invoiced == D(400 * 300)
        assert total.received == D(400 * 300 - 40 * 200)
        assert total.outstanding == D(40 * 200)

    def test_files_hold_every_entry_and_no_formula(self, cast: Cast) -> None:
        enter(door(cast), cast.commission, EntryKind.PAYMENT, D(5), "=HYPERLINK(1)")
        browser = cast.client(cast.ada)
        text = browser.get(money(cast, "money/ledger.csv")).content.decode()
        assert "'=HYPERLINK" in text
        year = LedgerEntry.objects.get().day.year
        assert f"{year},0,0,5.00" in browser.get(money(cast, f"money/year/{year}.csv")).content.decode()
        for rest in ("money/ledger.pdf", f"money/year/{year}.pdf"):
            assert browser.get(money(cast, rest)).content.startswith(b"%PDF")


def fill_year(cast: Cast, commissions: int) -> None:
    """Write a year straight into the table: an invoice of 300 and two payments each, one in ten never paid in full."""
    rows: list[LedgerEntry] = []
    for number in range(commissions):
        day = date(2027, 1, 2) + timedelta(days=number * 360 // commissions)
        for kind, coins in (("invoice", 30000), ("payment", 10000), ("payment", 20000)):
            if kind == "payment" and coins == 20000 and number % 10 == 0:
                continue
            place = len(rows) + 1
            rows.append(
                LedgerEntry(
                    kitchen=cast.kitchen, commission=cast.commission, number=place, clock=f"{day}T10:00:00-07:00",
                    day=day, kind=kind, whose="x", document=f"{place}", coins=coins, currency="USD", text="x",
                    seal="0" * 64, made_by="ada",
                )
            )  # fmt: skip
    LedgerEntry.objects.bulk_create(rows)


KITCHEN_PLACES = (
    "money/", "money/year/2027/", "money/year/2027.csv", "money/year/2027.pdf", "money/ledger.csv", "money/ledger.pdf",
    "money/ledger.jsonl", "money/1/paper.pdf",
)  # fmt: skip
POSTED = ("money/seals/", "money/1/correct/")
OWN_PLACES = ("money/", "money/offer/1/paper.pdf")
OWN_POSTED = ("money/offer/", "money/offer/1/withdraw/", "money/invoice/", "money/pay/")


def test_only_an_owner_of_the_kitchen_sees_or_moves_money(cast: Cast) -> None:
    places = [("get", money(cast, rest)) for rest in KITCHEN_PLACES]
    places += [("post", money(cast, rest)) for rest in POSTED]
    places += [("get", cast.url(rest)) for rest in OWN_PLACES] + [("post", cast.url(rest)) for rest in OWN_POSTED]
    for how, url in places:
        answers = [getattr(cast.client(who), how)(url).status_code for who in (None, cast.ben, cast.cleo)]
        assert answers == [302, 403, 404], url
        if cast.url() in url:
            crossed = url.replace(f"/c/{cast.commission.pk}/", f"/c/{cast.others_commission.pk}/")
            assert getattr(cast.client(cast.ada), how)(crossed).status_code == 404, crossed
    assert not LedgerEntry.objects.exists()
