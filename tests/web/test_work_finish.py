"""The finish sheet: what each tier wears, drawn, and what a change to it moves."""

from __future__ import annotations

from tests.web.conftest import Cast

from tierwright.web.frame.desk import dossier_of
from tierwright.web.frame.filling import written
from tierwright.web.models import Draft, Version
from tierwright.web.work.flowers.forms import parts

SHEET = "sheet/flowers/"


def test_the_sheet_shows_every_tier_that_wears_something(cast: Cast) -> None:
    page = cast.client(cast.ada).get(cast.url(SHEET)).content.decode()
    finish = dossier_of(Version.objects.get(commission=cast.commission)).finish
    assert finish is not None
    for surface in finish.surfaces:
        assert f'id="side-{surface.tier}-title"' in page
    for row in finish.work.rows:
        assert str(row.pieces.count) in page
    assert "crossed oars over waves" in page
    assert "Lemon powder" in page
    assert "A hundred years on the water" in page
    assert "Templates at full size" in page


def test_a_row_is_changed_and_its_consequences_are_shown_before_it_is_kept(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url(f"{SHEET}change/borders/")
    assert browser.get(url).status_code == 200
    version = Version.objects.get(commission=cast.commission)
    part = next(one for one in parts(version.brief) if one.key == "borders")
    typed = written(part, version.brief) | {"decor.borders[1].tip": "12 mm"}
    draft = Draft.objects.first()
    seen = str(draft.revision) if draft else ""
    page = browser.post(url, {"do": "look", "base": str(version.number), "seen": seen, **typed}).content.decode()
    assert "Number of beads at the base of the bottom tier" in page
    wrong = typed | {"decor.borders[1].tip": "wide"}
    answer = browser.post(url, {"do": "look", "base": str(version.number), "seen": seen, **wrong})
    assert "wide" in answer.content.decode(), "what was typed is not lost"
