"""Papers that no version holds: set behind the page, kept by everything that is on them, never handed to the wrong."""

from __future__ import annotations

import socket
from collections.abc import Sequence
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.test import Client
from tests.web.conftest import Cast, press_in
from tests.web.test_money import door, offered
from tests.web.test_prints import BROWSER, LIVE
from tests.web.test_week import MONDAY, small

from tierwright.price import EntryKind
from tierwright.sheets import Book, Page, SheetRefused
from tierwright.web.jobs.models import Job, State
from tierwright.web.jobs.running import MOST_TRIES, Work, begin, run, stop
from tierwright.web.keepsafe.erasing import erase_commission
from tierwright.web.money.ledger import enter
from tierwright.web.money.models import ShoppingList
from tierwright.web.plans.models import KeptWeek
from tierwright.web.plans.planning import safety
from tierwright.web.prints import papers
from tierwright.web.prints.models import PrintedPaper
from tierwright.web.shared.links import make_link

FOR_ALL = ("week", "venue", "along", "record", "shopping")
FOR_OWNERS = ("ledger", "year", "entry", "offer")


@pytest.fixture
def pressed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Have a quick press; return what it was asked to set."""
    return press_in(monkeypatch, papers)


def addresses(cast: Cast, which: Sequence[str]) -> dict[str, str]:
    """Lay down what is told of, and return where each paper is had."""
    kitchen = f"/k/{cast.kitchen.pk}/"
    found = {
        "venue": cast.url("handover/venue.pdf"), "along": cast.url("handover/going-along.pdf"),
        "record": cast.url("bench/set-up/record.pdf"), "ledger": f"{kitchen}money/ledger.pdf",
        "year": f"{kitchen}money/year/2027.pdf", "entry": f"{kitchen}money/1/paper.pdf",
        "offer": cast.url("money/offer/1/paper.pdf"), "week": f"{kitchen}week/{MONDAY}/day-sheets.pdf",
    }  # fmt: skip
    if "week" in which:
        KeptWeek.objects.create(
            kitchen=cast.kitchen, monday=MONDAY, whose=[[cast.commission.pk, 1]], plan=KeptWeek.packed(small()),
            safe=safety(small()),
        )  # fmt: skip
    if "entry" in which:
        enter(door(cast), cast.commission, EntryKind.PAYMENT, Decimal("40.00"), "retainer")
    if "offer" in which:
        offered(cast)
    if "shopping" in which:
        asked = {"commission": [str(cast.commission.pk)], "from_day": "2027-05-01"}
        assert cast.client(cast.ada).post(f"{kitchen}shopping/", asked).status_code == 302
        found["shopping"] = f"{kitchen}shopping/{ShoppingList.objects.get().pk}/list.pdf"
    return {name: found[name] for name in which}


def watched(browser: Client, url: str) -> str:
    answer = browser.get(url, headers=BROWSER)
    assert answer.status_code == 302, url
    where: str = answer["Location"]
    return where


def test_every_paper_is_set_behind_the_page_and_offered_where_it_was_asked_for(cast: Cast, pressed: list[str]) -> None:
    ada = cast.client(cast.ada)
    for name, url in addresses(cast, FOR_ALL + FOR_OWNERS).items():
        already = len(pressed)
        page_of = watched(ada, url)
        assert len(pressed) == already, "nothing is set while somebody waits for a page"
        assert watched(ada, url) == page_of, "asked again, it is the same work"
        job = Job.objects.get(kind__startswith="prints.", state=State.WAITING)
        page = ada.get(page_of).content.decode()
        assert "waiting its turn" in page, name
        assert ">Stop</button>" in page
        assert "Open the PDF" not in page
        run(job.pk)
        run(job.pk)  # the queue may deliver it twice
        assert len(pressed) == already + 1, name
        assert ada.get(f"/k/{cast.kitchen.pk}/jobs/{job.pk}/", headers=LIVE)["HX-Refresh"] == "true"
        page = ada.get(page_of).content.decode()
        assert f'href="{url}">Open the PDF' in page
        back = page.partition(">Back to where")[0].rpartition('href="')[2].rstrip('"')
        assert ada.get(back).status_code == 200, back
        answer = ada.get(url, headers=BROWSER)
        assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
        assert answer.content == b"%PDF-" + pressed[-1].encode()
        assert "no-store" in answer["Cache-Control"]


def test_it_is_told_how_far_it_is_and_stopped_keeps_nothing(cast: Cast, pressed: list[str]) -> None:
    ada, url = cast.client(cast.ada), addresses(cast, ("ledger",))["ledger"]
    page_of = watched(ada, url)
    job = Job.objects.get()
    said: list[str] = []

    def heard(work: Work, *, done: float, of: float, words: str, at_once: bool) -> bool:
        said.append(words)
        return done == 1  # asked to stop when the pages are written

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Work, "report", heard)
        cast.kitchen.language = "es"
        cast.kitchen.save()
        run(job.pk)
    assert said == ["Se están escribiendo las páginas.", "Las páginas están escritas y se están componiendo."]
    assert (pressed, PrintedPaper.objects.count()) == ([], 0)
    cast.kitchen.language = "en"
    cast.kitchen.save()
    Job.objects.update(state=State.WAITING)
    ada.post(f"/k/{cast.kitchen.pk}/jobs/{job.pk}/stop/")
    run(job.pk)
    assert pressed == []
    page = ada.get(page_of).content.decode()
    assert "stopped as asked" in page
    assert f'href="{url}">Print it again' in page
    assert watched(ada, url) == page_of
    assert Job.objects.get().state == State.WAITING


def test_what_a_worker_took_along_is_taken_up_again(cast: Cast, pressed: list[str]) -> None:
    ada, url = cast.client(cast.ada), addresses(cast, ("year",))["year"]
    page_of = watched(ada, url)
    nobody = 2**22 + 1  # above the largest number that a process has
    Job.objects.update(state=State.RUNNING, worker=f"{socket.gethostname()}:{nobody}", tries=1)
    Job.objects.update(started_at=Job.objects.get().made_at)
    assert "waiting its turn" in ada.get(page_of).content.decode(), "looked at, it is given back to the queue"
    run(Job.objects.get().pk)
    assert (Job.objects.get().state, Job.objects.get().tries, len(pressed)) == (State.DONE, 2, 1)
    assert MOST_TRIES > 2


def test_what_cannot_be_set_is_said(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_pages: object, _book: object) -> bytes:
        raise SheetRefused("the ledger lacks a heading")

    monkeypatch.setattr(papers, "render_pdf", refuse)
    ada, url = cast.client(cast.ada), addresses(cast, ("ledger",))["ledger"]
    page_of = watched(ada, url)
    run(Job.objects.get().pk)
    page = ada.get(page_of).content.decode()
    assert "the ledger lacks a heading" in page
    assert "Print it again" in page


def test_who_may_have_watch_and_stop_each_paper(cast: Cast, pressed: list[str]) -> None:
    """Told no is an owner's paper to a helper; told nothing at all is everything to another kitchen's owner."""
    people: dict[str, User | None] = {"nobody": None, "helper": cast.ben, "other": cast.cleo}
    for name, url in addresses(cast, FOR_ALL + FOR_OWNERS).items():
        page_of = watched(cast.client(cast.ada), url)
        stopping = page_of.replace("/printing/", "/jobs/") + "stop/"
        of_owners = name in FOR_OWNERS
        for who, user in people.items():
            expected = {"nobody": 302, "helper": 403 if of_owners else 200, "other": 404}[who]
            browser = cast.client(user)
            # As a program asks: the file comes with the answer.
            assert browser.get(url).status_code == expected, (who, name)
            assert browser.get(page_of).status_code == expected, (who, name)
            if expected != 200:
                assert browser.get(url, headers=BROWSER).status_code == expected, (who, name)
                assert browser.post(stopping).status_code == expected, (who, name)
        strict = Client(enforce_csrf_checks=True)
        strict.force_login(cast.ada, backend="django.contrib.auth.backends.ModelBackend")
        assert strict.post(stopping).status_code == 403, name
        crossed = page_of.replace(f"/k/{cast.kitchen.pk}/", f"/k/{cast.other.pk}/")
        assert cast.client(cast.cleo).get(crossed).status_code == 404, name
    assert not Job.objects.exclude(state=State.WAITING).exists()
    # Only papers have such a page.
    other = begin(cast.kitchen, "week.plan", {}, user=cast.ada)
    assert cast.client(cast.ada).get(f"/k/{cast.kitchen.pk}/printing/{other.pk}/").status_code == 404


def test_a_helper_has_a_list_without_prices_whoever_had_it_printed(cast: Cast, pressed: list[str]) -> None:
    url = addresses(cast, ("shopping",))["shopping"]
    ada, ben = cast.client(cast.ada), cast.client(cast.ben)
    watched(ada, url)
    run(Job.objects.get().pk)
    assert "$" in pressed[0]
    mine = watched(ben, url)
    run(Job.objects.latest("pk").pk)
    assert "$" not in pressed[1]
    assert ben.get(url, headers=BROWSER).content == b"%PDF-" + pressed[1].encode()
    # A list that shows prices, stopped or begun by whomever, is not the helper's.
    membership = cast.ben.memberships.get()
    membership.sees_prices = True
    membership.save()
    assert ben.get(url, headers=BROWSER).content == b"%PDF-" + pressed[0].encode()
    assert ben.get(mine).status_code == 200


def test_whatever_changes_on_a_paper_makes_another(cast: Cast, pressed: list[str]) -> None:
    ada, url = cast.client(cast.ada), addresses(cast, ("ledger",))["ledger"]
    for _ in range(2):
        assert ada.get(url).content == b"%PDF-" + pressed[0].encode()
    enter(door(cast), cast.commission, EntryKind.PAYMENT, Decimal(5), "retainer")
    page_of = watched(ada, url)
    # Another entry comes before the worker does: the paper tells of both.
    enter(door(cast), cast.commission, EntryKind.PAYMENT, Decimal(6), "the rest")
    run(Job.objects.get().pk)
    assert "the rest" in pressed[1]
    assert "It is ready." in ada.get(page_of).content.decode()
    assert ada.get(url, headers=BROWSER).content == b"%PDF-" + pressed[1].encode()
    assert len(pressed) == 2
    # And one that comes while it is set leaves nothing behind that is out of date.
    enter(door(cast), cast.commission, EntryKind.PAYMENT, Decimal(7), "a tip")
    watched(ada, url)

    def meanwhile(_pages: Sequence[Page], _book: Book) -> bytes:
        enter(door(cast), cast.commission, EntryKind.PAYMENT, Decimal(8), "for the stand")
        return b"%PDF- too early"

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(papers, "render_pdf", meanwhile)
        run(Job.objects.latest("pk").pk)
    assert PrintedPaper.objects.count() == 2, "those before it"
    assert ada.get(url, headers=BROWSER).status_code == 302


def test_an_erased_person_is_on_no_kept_paper(cast: Cast, pressed: list[str]) -> None:
    ada = cast.client(cast.ada)
    venue, along = addresses(cast, ("venue", "along")).values()
    title = cast.commission.title
    ada.get(venue)
    page_of = watched(ada, along)

    def meanwhile(pages: Sequence[Page], book: Book) -> bytes:
        assert book.title == title
        erase_commission(cast.commission, {title})
        return b"%PDF- too late"

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(papers, "render_pdf", meanwhile)
        run(Job.objects.get().pk)
    assert not PrintedPaper.objects.exists()
    assert "Print it again" in ada.get(page_of).content.decode()


def test_only_the_last_few_of_a_kitchen_are_kept(
    cast: Cast, pressed: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(papers, "KEPT", 2)
    cast.client(cast.cleo).get(f"/k/{cast.other.pk}/money/ledger.pdf")
    ada = cast.client(cast.ada)
    for year in (2025, 2026, 2027):
        ada.get(f"/k/{cast.kitchen.pk}/money/year/{year}.pdf")
    kept = PrintedPaper.objects.filter(kitchen=cast.kitchen)
    assert set(kept.values_list("name", flat=True)) == {"year-2026", "year-2027"}
    assert PrintedPaper.objects.count() == 3, "another kitchen's are its own"


def test_a_client_has_the_quotation_at_once_and_the_next_time_from_what_is_kept(cast: Cast, pressed: list[str]) -> None:
    offered(cast)
    _link, token = make_link(cast.commission, 30)
    for _ in range(2):
        answer = Client().get(f"/client/{token}/offer/paper.pdf", headers=BROWSER)
        assert (answer.status_code, answer.content[:5]) == (200, b"%PDF-")
    assert len(pressed) == 1
    assert not Job.objects.exists()


def test_the_press_itself_sets_what_the_job_prints(cast: Cast) -> None:
    watched(cast.client(cast.ben), addresses(cast, ("along",))["along"])
    job = Job.objects.get()
    run(job.pk)
    job.refresh_from_db()
    kept = PrintedPaper.objects.get()
    assert (job.state, job.error, job.result) == (State.DONE, "", {"mark": kept.mark})
    assert bytes(kept.pdf).startswith(b"%PDF-")
    assert kept.size == len(bytes(kept.pdf))
    stop(job)
    job.refresh_from_db()
    assert job.state == State.DONE, "what is done is not stopped"
