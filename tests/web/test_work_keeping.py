"""The keeping sheet: the line moved by hand, what is taken into the brief, and the records of measurements."""

from __future__ import annotations

import re
from dataclasses import asdict
from datetime import timedelta

import pytest
from tests.web.conftest import Cast

from tierwright.dossier.keeping_trial import plan_of, set_up_span, tried
from tierwright.errors import OutOfRange
from tierwright.keeping import keep
from tierwright.web.frame.desk import dossier_of
from tierwright.web.models import Commission, Version

LIVE = {"HX-Request": "true"}


def test_the_line_as_planned_is_what_the_dossier_has(cast: Cast) -> None:
    dossier = dossier_of(Version.objects.get(commission=cast.commission))
    assert dossier.keeping is not None
    anew, kept = asdict(keep(tried(plan_of(dossier))).window), asdict(dossier.keeping.window)
    # Worked again from figures that were cut to nine digits, the last of those may be another.
    assert anew == {
        name: pytest.approx(value, rel=1e-8) if type(value) is float else value for name, value in kept.items()
    }


def test_a_later_set_up_holds_and_an_earlier_one_does_not(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url("sheet/keeping/try/")
    whole = browser.get(url).content.decode()
    assert 'type="range"' in whole
    assert 'dir="rtl"' in whole
    late = browser.get(url, {"before": "30"}, headers=LIVE).content.decode()
    early = browser.get(url, {"before": "240"}, headers=LIVE).content.decode()
    assert "It holds until the cutting" in late
    assert "It does not hold until the cutting" in early
    for part in (late, early):
        assert "<html" not in part
        assert "<svg" in part
    # A kitchen that thinks in Fahrenheit reads no other degrees in the moved line.
    assert "°F" in late
    assert not re.search(r"\d °?C\b", re.sub(r"<[^>]*>", " ", late))


def test_shade_and_box_move_the_limit_by_the_room_s_own_answer(cast: Cast) -> None:
    plan = plan_of(dossier_of(Version.objects.get(commission=cast.commission)))
    browser, url = cast.client(cast.ada), cast.url("sheet/keeping/try/")
    part = browser.get(url, {"light": "full", "cover": "none"}, headers=LIVE).content.decode()
    longest = keep(tried(plan, light="full", cover="none")).window.longest_h
    assert longest is not None
    assert f"{max(0, round(60 * longest))} min from the set-up" in part


def test_what_cannot_be_read_is_said_and_nothing_is_drawn(cast: Cast) -> None:
    part = cast.client(cast.ada).get(cast.url("sheet/keeping/try/"), {"air": "warm"}, headers=LIVE).content.decode()
    assert 'class="wrong"' in part
    assert "<svg" not in part
    odd = cast.client(cast.ada).get(cast.url("sheet/keeping/try/"), {"before": "-7", "light": "moon"}, headers=LIVE)
    assert odd.status_code == 200


def test_a_helper_may_try_and_is_offered_no_keeping(cast: Cast) -> None:
    part = cast.client(cast.ben).get(cast.url("sheet/keeping/try/"), {"before": "30"}, headers=LIVE).content.decode()
    assert "It holds until the cutting" in part
    assert "Take this set-up" not in part


def test_what_was_tried_goes_into_the_brief_s_own_form(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    late = browser.get(cast.url("sheet/keeping/try/"), {"before": "30"}, headers=LIVE).content.decode()
    assert "Take this set-up" not in late
    part = browser.get(
        cast.url("sheet/keeping/try/"), {"before": "120", "light": "full"}, headers=LIVE
    ).content.decode()
    fields = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', part))
    fields.pop("csrfmiddlewaretoken", None)
    before = dossier_of(Version.objects.get(commission=cast.commission)).commission
    page = browser.post(cast.url("sheet/keeping/change/standing/"), fields | {"do": "look"}).content.decode()
    assert "What would move" in page
    kept = browser.post(cast.url("sheet/keeping/change/standing/"), fields | {"do": "keep"})
    assert kept.status_code == 302
    head = Commission.objects.get(pk=cast.commission.pk).head
    after = dossier_of(Version.objects.get(commission=cast.commission, number=head)).commission
    assert after.venue.sun.value == "full"
    assert after.handover_at > before.handover_at


def test_a_set_up_outside_its_span_is_refused(cast: Cast) -> None:
    plan = plan_of(dossier_of(Version.objects.get(commission=cast.commission)))
    first, last = set_up_span(plan)
    step = timedelta(minutes=1)
    assert tried(plan, set_up_at=first).venue.begins == first
    assert tried(plan, set_up_at=last).venue.begins == last
    for at in (first - step, last + step):
        with pytest.raises(OutOfRange):
            tried(plan, set_up_at=at)


def test_a_measurement_is_recorded_on_the_sheet_and_settles_the_component(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    page = browser.get(cast.url("sheet/keeping/")).content.decode()
    found = re.search(r'href="([^"]*change/measured-\d+/)">Record what was measured of Lemon curd', page)
    assert found is not None
    number = re.search(r"measured-(\d+)", found[1])
    assert number is not None
    path = f"formulas[{number[1]}].measured.ph"
    typed = {f"{path}.value": "3.4", f"{path}.method": "bench meter, two buffers", f"{path}.on": "2027-05-20"}
    refused = browser.post(found[1], typed | {"do": "look", "base": "1", "seen": "0"}).content.decode()
    assert f'id="w-{path}.by"' in refused or "by" in refused
    kept = browser.post(found[1], typed | {f"{path}.by": "the maker", "do": "keep", "base": "1", "seen": "1"})
    assert kept.status_code == 302
    page = browser.get(cast.url("sheet/keeping/")).content.decode()
    assert "pH 3.4 by bench meter, two buffers, 2027-05-20, the maker" in page
