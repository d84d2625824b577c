"""Supports and the road: plans, cut list and checks in words; supports moved by hand are checked at once."""

from __future__ import annotations

from tests.web.conftest import Cast

from tierwright.web.frame.desk import dossier_of
from tierwright.web.models import Draft, Version
from tierwright.web.work.supports.placing import typed_of

PLACES = "sheet/supports/change/places/"


def level(cast: Cast, number: int, tier: int = 1):  # type: ignore[no-untyped-def]
    work = dossier_of(Version.objects.get(commission=cast.commission, number=number)).support
    assert work is not None
    return next(one for one in work.found.levels if one.tier == tier)


def test_the_sheet_has_a_plan_and_a_cut_for_every_tier_that_carries(cast: Cast) -> None:
    page = cast.client(cast.ada).get(cast.url("sheet/supports/")).content.decode()
    work = dossier_of(Version.objects.get(commission=cast.commission)).support
    assert work is not None
    for one in work.found.levels:
        assert f'id="supports-{one.tier}-title"' in page
        assert f"{round(2 * one.cut_mm) / 2:g} mm" in page
        assert page.count("holds") >= len(one.checks)
    assert "In order" in page
    assert "carried by two edges" in page


def test_supports_are_taken_as_they_stand_and_moved_by_hand(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    first = level(cast, 1)
    assert browser.post(cast.url("sheet/supports/places/"), {"tier": "1"}).status_code == 302
    draft = Draft.objects.get()
    assert draft.typed["cake.supports[1].support"] == first.stock.key
    sent = draft.typed | {"base": "1", "seen": str(draft.revision)}
    wide = {"cake.supports[1].places": "70 mm, 0 mm\n-35 mm, 60 mm\n-35 mm, -60 mm"}
    page = browser.post(cast.url(PLACES), {"do": "look", **sent, **wide}).content.decode()
    assert "Supports in the bottom tier" in page, "the count is among what would move"
    sent["seen"] = str(Draft.objects.get().revision)
    assert browser.post(cast.url(PLACES), {"do": "keep", **sent, **wide}).status_code == 302
    moved = level(cast, 2)
    assert (moved.count, moved.by_hand) == (3, True)
    assert moved.positions[0] == (70.0, 0.0)
    # What was kept is found again in the form, one place a line.
    assert "70 mm, 0 mm\n-35 mm, 60 mm" in browser.get(cast.url(PLACES)).content.decode()


def test_a_lopsided_layout_is_refused_in_words(cast: Cast) -> None:
    typed = typed_of(level(cast, 1), "cake.supports[1]") | {
        "cake.supports[1].places": "60 mm, 0 mm\n50 mm, 10 mm\n50 mm, -10 mm"
    }
    answer = cast.client(cast.ada).post(cast.url(PLACES), {"do": "look", "base": "1", **typed})
    page = answer.content.decode()
    assert "How do the tiers stand?" in page or answer.status_code == 422


def test_a_tier_without_supports_has_none_to_move(cast: Cast) -> None:
    assert cast.client(cast.ada).post(cast.url("sheet/supports/places/"), {"tier": "7"}).status_code == 422
    assert not Draft.objects.exists()


def test_the_road_names_what_decides_and_the_cheapest_change(cast: Cast) -> None:
    page = cast.client(cast.ada).get(cast.url("sheet/road/")).content.decode()
    work = dossier_of(Version.objects.get(commission=cast.commission)).support
    assert work is not None
    carrying = work.found.carrying
    assert carrying.governing.label in page
    assert carrying.change is not None
    assert carrying.change.do in page
    assert 'class="cautions"' in page


def test_a_smoother_road_is_tried_from_the_road_sheet(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url("sheet/road/change/way/")
    from tierwright.web.frame.filling import written
    from tierwright.web.work.table.forms import WAY

    typed = written(WAY, Version.objects.get(commission=cast.commission).brief)
    answer = browser.post(url, {"do": "keep", "base": "1", **typed, "travel.grade": "0 %", "travel.surface": "smooth"})
    assert answer.status_code == 302
    assert answer["Location"].endswith("/sheet/road/")
