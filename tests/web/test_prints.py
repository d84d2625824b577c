"""Printed sheets: kept by version and reader, set behind the page, at once for programs; nobody reads too much."""

from __future__ import annotations

import json
from collections.abc import Sequence

import pytest
from django.test import Client
from django_q.models import OrmQ
from tests.web.conftest import Cast, press_in
from tests.web.test_queries import at_most

from tierwright.sheets import Book, Page, sheets_to_print
from tierwright.web.frame.desk import DOSSIERS, dossier_of
from tierwright.web.jobs.models import Job, State
from tierwright.web.jobs.running import Work, run, stop
from tierwright.web.keepsafe.erasing import erase_commission
from tierwright.web.models import Version
from tierwright.web.prints import making
from tierwright.web.prints.making import KEPT
from tierwright.web.prints.models import PrintedSheets

BROWSER = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
LIVE = {"HX-Request": "true"}
WATCHED = "versions/1/printing/"


@pytest.fixture
def pressed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Have a quick press; return what it was asked to set."""
    return press_in(monkeypatch, making)


def ask(browser: Client, cast: Cast, rest: str = "sheets.pdf") -> str:
    """Ask for a file as a browser does, and return the page that it is led to."""
    answer = browser.get(cast.url(rest), headers=BROWSER)
    assert answer.status_code == 302
    where: str = answer["Location"]
    return where


def test_a_browser_watches_the_printing_and_is_offered_the_file(cast: Cast, pressed: list[str]) -> None:
    ada = cast.client(cast.ada)
    watched = ask(ada, cast)
    assert watched == cast.url(WATCHED)
    assert pressed == [], "nothing is set while somebody waits for a page"
    job = Job.objects.get()
    waiting = ada.get(watched).content.decode()
    assert "waiting its turn" in waiting
    assert 'hx-trigger="every 1s"' in waiting
    assert '<noscript><p><a href="">Look again</a>' in waiting
    assert ">Stop</button>" in waiting
    assert "Open the PDF" not in waiting
    assert ask(ada, cast) == watched
    assert (Job.objects.count(), OrmQ.objects.count()) == (1, 1), "asked again, it is the same work"

    run(job.pk)
    assert ada.get(f"/k/{cast.kitchen.pk}/jobs/{job.pk}/", headers=LIVE)["HX-Refresh"] == "true"
    page = ada.get(watched).content.decode()
    assert f'href="{cast.url("versions/1/sheets.pdf")}">Open the PDF' in page
    answer = ada.get(cast.url("versions/1/sheets.pdf"), headers=BROWSER)
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert answer.content == b"%PDF-" + pressed[0].encode()
    assert len(pressed) == 1


def test_it_says_how_far_it_is(cast: Cast, pressed: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[tuple[float, float, str]] = []

    def heard(work: Work, *, done: float, of: float, words: str, at_once: bool = False) -> bool:
        said.append((done, of, words))
        return False

    monkeypatch.setattr(Work, "report", heard)
    ask(cast.client(cast.ada), cast)
    cast.kitchen.language = "es"
    cast.kitchen.save()
    run(Job.objects.get().pk)
    assert [done for done, _of, _words in said] == list(range(len(said)))
    assert {of for _done, of, _words in said} == {len(said)}
    assert said[1][2] == f"1 de {len(said) - 1} hojas escritas.", "in the language of the kitchen"
    assert len(pressed) == 1


def test_stopped_it_keeps_nothing_and_is_begun_again_when_asked(cast: Cast, pressed: list[str]) -> None:
    ada = cast.client(cast.ada)
    watched = ask(ada, cast, "sheets.pdf?part=working")
    assert watched.endswith("?part=working")
    job = Job.objects.get()
    ada.post(f"/k/{cast.kitchen.pk}/jobs/{job.pk}/stop/")
    run(job.pk)
    assert pressed == []
    assert "stopped as asked" in ada.get(watched).content.decode()
    assert ada.post(watched)["Location"] == watched
    assert Job.objects.get().state == State.WAITING

    # Asked to stop on the way, it goes no further than the sheet in hand.
    first = sheets_to_print

    def stopping(*args: object, **rights: bool) -> object:
        stop(Job.objects.get())
        return first(*args, **rights)  # type: ignore[arg-type]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(making, "sheets_to_print", stopping)
        run(job.pk)
    job.refresh_from_db()
    assert (job.state, pressed, PrintedSheets.objects.count()) == (State.STOPPED, [], 0)


def test_what_cannot_be_set_is_said_and_can_be_tried_again(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    from tierwright.sheets import SheetRefused

    def refuse(_pages: object, _book: object) -> bytes:
        raise SheetRefused("the cover lacks a heading")

    monkeypatch.setattr(making, "render_pdf", refuse)
    ada = cast.client(cast.ada)
    watched = ask(ada, cast)
    run(Job.objects.get().pk)
    page = ada.get(watched).content.decode()
    assert "the cover lacks a heading" in page
    assert "Print it again" in page


def test_a_program_has_the_file_with_the_answer_and_the_next_one_from_what_is_kept(
    cast: Cast, pressed: list[str]
) -> None:
    ada = cast.client(cast.ada)
    for _ in range(2):
        answer = ada.get(cast.url("sheets.pdf"), headers={"Accept": "application/pdf"})
        assert (answer.status_code, answer.content[:5]) == (200, b"%PDF-")
    assert len(pressed) == 1
    assert not Job.objects.exists()
    assert ada.get(cast.url("sheets.pdf?part=working")).content != answer.content
    # Opened by a browser it is there at once, too.
    assert ada.get(cast.url("sheets.pdf"), headers=BROWSER).status_code == 200
    assert len(pressed) == 2


def test_what_is_kept_costs_few_questions(cast: Cast, pressed: list[str]) -> None:
    ada = cast.client(cast.ada)
    ada.get(cast.url("sheets.pdf"))
    with at_most(8):
        assert ada.get(cast.url("sheets.pdf"), headers=BROWSER).status_code == 200
    with at_most(8):
        assert ada.get(cast.url(WATCHED)).status_code == 200


def test_a_helper_gets_no_prices_and_no_health_data_however_it_is_printed(cast: Cast, pressed: list[str]) -> None:
    ada, ben = cast.client(cast.ada), cast.client(cast.ben)
    ada.get(cast.url("sheets.pdf"))
    assert "unit_price" in pressed[0] or "price" in pressed[0].casefold()
    assert "hazelnut" in pressed[0]
    # What the owner has had printed is not what the helper is given.
    ask(ben, cast)
    run(Job.objects.get().pk)
    assert "Label" not in {sheet for sheet, _data in json.loads(pressed[1])}
    answer = ben.get(cast.url("sheets.pdf"), headers=BROWSER)
    assert answer.content == b"%PDF-" + pressed[1].encode()
    assert answer.content == ben.get(cast.url("sheets.pdf")).content
    assert pressed[1] != pressed[0]
    assert ada.get(cast.url("sheets.pdf")).content == b"%PDF-" + pressed[0].encode()
    membership = cast.ben.memberships.get()
    membership.sees_prices = membership.sees_health = True
    membership.save()
    assert ben.get(cast.url("sheets.pdf")).content == b"%PDF-" + pressed[0].encode()


def test_nobody_else_asks_watches_or_begins(cast: Cast, pressed: list[str]) -> None:
    for rest in ("sheets.pdf", "versions/1/sheets.pdf", WATCHED):
        assert cast.client(None).get(cast.url(rest), headers=BROWSER).status_code == 302
        assert cast.client(cast.cleo).get(cast.url(rest), headers=BROWSER).status_code == 404
        crossed = cast.url(rest).replace(f"/c/{cast.commission.pk}/", f"/c/{cast.others_commission.pk}/")
        assert cast.client(cast.ada).get(crossed, headers=BROWSER).status_code == 404
    assert cast.client(cast.cleo).post(cast.url(WATCHED)).status_code == 404
    assert cast.client(cast.ada).get(cast.url("versions/9/printing/")).status_code == 404
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(cast.ada, backend="django.contrib.auth.backends.ModelBackend")
    assert strict.post(cast.url(WATCHED)).status_code == 403
    assert (Job.objects.count(), pressed) == (0, [])


def test_only_the_last_few_of_a_kitchen_are_kept(
    cast: Cast, pressed: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(making, "sheets_to_print", lambda *_dossier, **_rights: ())
    first = cast.commission.versions.get()
    cast.client(cast.cleo).get(f"/k/{cast.other.pk}/c/{cast.others_commission.pk}/sheets.pdf")
    ada = cast.client(cast.ada)
    for number in range(2, KEPT + 3):
        Version(
            commission=cast.commission, number=number, brief=first.brief, kitchen=first.kitchen, dossier=first.dossier,
        ).save()  # fmt: skip
        ada.get(cast.url(f"versions/{number}/sheets.pdf"))
    ours = PrintedSheets.objects.filter(version__commission=cast.commission)
    assert set(ours.values_list("version__number", flat=True)) == set(range(3, KEPT + 3))
    assert PrintedSheets.objects.count() == KEPT + 1, "another kitchen's are its own"


def test_another_program_prints_anew(cast: Cast, pressed: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    ada = cast.client(cast.ada)
    ada.get(cast.url("sheets.pdf"))
    monkeypatch.setattr(making, "__version__", "9.9")
    ada.get(cast.url("sheets.pdf"))
    assert len(pressed) == 2
    assert PrintedSheets.objects.count() == 1


def test_an_erased_person_is_on_no_printed_sheet(cast: Cast, pressed: list[str]) -> None:
    ada = cast.client(cast.ada)
    title = cast.commission.title
    ada.get(cast.url("sheets.pdf"))
    watched = ask(ada, cast, "sheets.pdf?part=working")

    def meanwhile(pages: Sequence[Page], book: Book) -> bytes:
        assert book.title == title
        erase_commission(cast.commission, {title})
        return b"%PDF- too late"

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(making, "render_pdf", meanwhile)
        run(Job.objects.get().pk)
    assert not PrintedSheets.objects.exists()
    assert "Print it" in ada.get(watched).content.decode()
    # A worker that held the version in memory reads it anew.
    version = cast.commission.versions.get()
    assert dossier_of(version).commission.title == version.brief["title"] != title
    assert (version.commission_id, version.number) in DOSSIERS


def test_the_press_itself_sets_what_the_job_prints(cast: Cast) -> None:
    ask(cast.client(cast.ben), cast, "sheets.pdf?part=working")
    job = Job.objects.get()
    run(job.pk)
    job.refresh_from_db()
    assert (job.state, job.error) == (State.DONE, "")
    kept = PrintedSheets.objects.get()
    assert bytes(kept.pdf).startswith(b"%PDF-")
    assert job.result == {"size": kept.size}
    assert kept.size == len(bytes(kept.pdf))
