"""The look on its pages: who may see it, who may have a picture made, and what the client sees."""

from __future__ import annotations

import io
import json
from importlib.util import find_spec
from typing import Any

import pypdfium2 as pdfium  # type: ignore[import-untyped]
import pytest
from PIL import Image
from tests.web.conftest import Cast

from tierwright.drawings import picture
from tierwright.drawings.picture import Picture
from tierwright.web.frame.desk import dossier_of
from tierwright.web.jobs import running
from tierwright.web.jobs.models import Job, State
from tierwright.web.look import making, views
from tierwright.web.look.making import mark_for, picture_for
from tierwright.web.look.models import LookPicture
from tierwright.web.shared.links import make_link

JPEG = b"\xff\xd8 a picture \xff\xd9"


def keep(cast: Cast, *, other: bool = False, mark: str = "") -> LookPicture:
    commission = cast.others_commission if other else cast.commission
    mark = mark or mark_for(dossier_of(commission.versions.get(number=commission.head)))
    return LookPicture.objects.create(commission=commission, mark=mark, jpeg=JPEG, width=9, height=11, samples=48)


@pytest.mark.parametrize("rest", ["look/", "look/scene.json", "look/picture.jpg"])
def test_the_kitchens_people_see_it_and_nobody_else(cast: Cast, rest: str) -> None:
    keep(cast)
    url = cast.url(rest)
    assert cast.client(cast.ada).get(url).status_code == 200
    assert cast.client(cast.ben).get(url).status_code == 200
    assert cast.client(cast.cleo).get(url).status_code == 404
    assert cast.client(None).get(url).status_code == 302
    crossed = url.replace(f"/c/{cast.commission.pk}/", f"/c/{cast.others_commission.pk}/")
    assert cast.client(cast.ada).get(crossed).status_code == 404


def test_only_an_owner_has_a_picture_made(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views, "is_installed", lambda: True)
    url = cast.url("look/make/")
    for who, status in ((None, 302), (cast.ben, 403), (cast.cleo, 404)):
        assert cast.client(who).post(url).status_code == status
    assert not Job.objects.exists()
    assert cast.client(cast.ada).post(url).status_code == 302
    assert Job.objects.get().kind == "look.picture"
    # Asked again while it waits, it is the same piece of work.
    cast.client(cast.ada).post(url)
    assert Job.objects.count() == 1
    assert "waiting its turn" in cast.client(cast.ada).get(cast.url("look/")).content.decode()


def test_without_the_renderer_the_page_says_so_and_begins_nothing(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views, "is_installed", lambda: False)
    page = cast.client(cast.ada).get(cast.url("look/")).content.decode()
    assert "Pictures are not installed on this machine" in page
    assert "Make the picture" not in page
    cast.client(cast.ada).post(cast.url("look/make/"))
    assert not Job.objects.exists()


def test_work_whose_renderer_went_away_says_so(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views, "is_installed", lambda: True)
    monkeypatch.setattr(picture, "find_spec", lambda _name: None)
    cast.client(cast.ada).post(cast.url("look/make/"))
    job = Job.objects.get()
    running.run(job.pk)
    job.refresh_from_db()
    assert job.state == State.FAILED
    assert "not installed" in cast.client(cast.ada).get(cast.url("look/")).content.decode()
    assert not LookPicture.objects.exists()


def test_a_picture_is_kept_once_and_stays_until_the_look_changes(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views, "is_installed", lambda: True)
    asked: list[Any] = []

    def made(seen: object, *, kind: str, report: Any) -> Picture:
        asked.append(report(3, 48))
        return Picture(content=JPEG, kind=kind, width_px=900, height_px=1100, samples=3)

    monkeypatch.setattr(making, "picture_of", made)
    cast.client(cast.ada).post(cast.url("look/make/"))
    job = Job.objects.get()
    running.run(job.pk)
    job.refresh_from_db()
    assert (job.state, job.result, asked) == (State.DONE, {"samples": 3}, [False])
    kept = LookPicture.objects.get()
    page = cast.client(cast.ada).get(cast.url("look/")).content.decode()
    assert "a little grainy" in page
    assert cast.client(cast.ada).get(cast.url("look/picture.jpg")).content == JPEG
    # Another look has no picture; the old one is not passed off as it.
    LookPicture.objects.filter(pk=kept.pk).update(mark="0" * 64)
    assert cast.client(cast.ada).get(cast.url("look/picture.jpg")).status_code == 404
    assert picture_for(cast.commission, dossier_of(cast.commission.versions.get())) is None


def test_the_client_sees_the_picture_of_their_own_cake_alone(cast: Cast) -> None:
    _link, token = make_link(cast.commission, 7)
    browser = cast.client(None)
    assert "picture.jpg" not in browser.get(f"/client/{token}/").content.decode()
    assert browser.get(f"/client/{token}/picture.jpg").status_code == 404
    keep(cast, other=True)
    assert browser.get(f"/client/{token}/picture.jpg").status_code == 404
    keep(cast)
    assert f"/client/{token}/picture.jpg" in browser.get(f"/client/{token}/").content.decode()
    answer = browser.get(f"/client/{token}/picture.jpg")
    assert (answer.status_code, answer.content, answer["Content-Type"]) == (200, JPEG, "image/jpeg")
    assert "no-store" in answer["Cache-Control"]
    assert browser.get("/client/nothing/picture.jpg").status_code == 404


def test_the_venue_gets_the_picture_of_this_look_or_else_the_drawing(cast: Cast) -> None:
    def pictures() -> int:
        document = pdfium.PdfDocument(cast.client(cast.ada).get(cast.url("handover/venue.pdf")).content)
        try:
            return len(list(document[0].get_objects(filter=[pdfium.raw.FPDF_PAGEOBJ_IMAGE], max_depth=6)))
        finally:
            document.close()

    out = io.BytesIO()
    Image.new("RGB", (9, 11), "#7a3b52").save(out, "JPEG")
    kept = keep(cast, mark="0" * 64)
    assert pictures() == 0
    LookPicture.objects.filter(pk=kept.pk).update(
        mark=mark_for(dossier_of(cast.commission.versions.get())), jpeg=out.getvalue()
    )
    assert pictures() == 1


def test_the_page_says_in_words_what_the_view_shows(cast: Cast) -> None:
    page = cast.client(cast.ada).get(cast.url("look/")).content.decode()
    assert "tiers, from the table up." in page
    assert '<script type="module" src="/static/look/look.js' in page
    assert "<script>" not in page
    data = json.loads(cast.client(cast.ada).get(cast.url("look/scene.json")).content)
    assert next(model["name"] for model in data["models"]) == "board"
    few = json.loads(cast.client(cast.ada).get(cast.url("look/scene.json?sparing=yes")).content)
    assert [model["name"] for model in few["models"]] == [model["name"] for model in data["models"]]
    assert len(json.dumps(few)) < 0.5 * len(json.dumps(data))


@pytest.mark.skipif(find_spec("mitsuba") is None, reason="the extra called picture is not installed")
def test_where_the_renderer_is_the_button_is_offered_to_the_owner(cast: Cast) -> None:
    assert "Make the picture" in cast.client(cast.ada).get(cast.url("look/")).content.decode()
    assert "Make the picture" not in cast.client(cast.ben).get(cast.url("look/")).content.decode()
