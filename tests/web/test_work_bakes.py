"""The bakes sheet, and an oven that learns from what was seen of it."""

from __future__ import annotations

import re
from datetime import timedelta

from django.utils import timezone
from tests.web.conftest import Cast

from tierwright.web.frame.desk import dossier_of
from tierwright.web.models import Commission, Kitchen, OvenEvidence, Version

OVEN = "sheet/bakes/oven/"
SEEN = {"kind": "done", "pan": "tier.1", "dial": "350 F", "done": "36 min", "called": "first bake"}


def minutes(cast: Cast, number: int) -> float:
    bakes = dossier_of(Version.objects.get(commission=cast.commission, number=number)).bakes
    done = next(one.answer.done_min for one in bakes.pans if "tier.1" in one.jobs)
    assert done is not None
    return done.value


def test_the_sheet_says_dial_look_range_and_the_middle_of_every_pan(cast: Cast) -> None:
    page = cast.client(cast.ada).get(cast.url("sheet/bakes/")).content.decode()
    bakes = dossier_of(Version.objects.get(commission=cast.commission)).bakes
    for one in bakes.pans:
        assert one.answer.done_min is not None
        assert f"{one.answer.done_min.low:.0f} to {one.answer.done_min.high:.0f} min" in page
        assert f"working/bake.{one.answer.pan.key}.done_min/" in page
    assert bakes.loads is not None
    shelves = sum(len(load.shelves) for load in bakes.loads.loads)
    assert page.count('<figure class="drawing small">') == shelves
    assert "The middle of each layer" in page or "middle" in page
    assert 'class="cautions"' in page, "the hot oven is where the hand is"


def test_a_batter_is_baked_cooler_and_longer(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url("sheet/bakes/change/heat/")
    page = browser.get(url).content.decode()
    names = re.findall(r'name="(formulas\[\d+\]\.bake_at)"', page)
    assert names
    typed = dict.fromkeys(names, "320 F")
    assert browser.post(url, {"do": "keep", "base": "1", **typed}).status_code == 302
    assert minutes(cast, 2) > minutes(cast, 1)


def test_what_was_seen_is_shown_before_it_is_kept(cast: Cast) -> None:
    page = cast.client(cast.ada).post(cast.url(OVEN), {"do": "look", **SEEN}).content.decode()
    assert "less than the usual oven" in page
    assert "Keep it" in page
    assert not OvenEvidence.objects.exists()
    assert Commission.objects.get(pk=cast.commission.pk).head == 1


def test_a_slow_oven_is_learnt_narrows_the_range_and_is_taken_back(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    before = minutes(cast, 1)
    dial = next(one.dial_c for one in dossier_of(Version.objects.get(number=1, commission=cast.commission)).bakes.pans)
    seen = SEEN | {"dial": f"{dial:.2f} C"}
    assert browser.post(cast.url(OVEN), {"do": "keep", **seen}).status_code == 302
    row = OvenEvidence.objects.get()
    assert (row.kitchen, row.key, row.made_by) == (cast.kitchen, "first bake", cast.ada)
    said = Kitchen.objects.get(pk=cast.kitchen.pk).data["ovens"][0]
    assert said["factor"] < 1
    assert said["bakes_learnt"] == 1
    after = minutes(cast, 2)
    # The estimate stands between the usual oven and what was seen, nearer to what was seen.
    assert before < after < 36.5
    assert 36 - after < after - before
    page = browser.get(cast.url(OVEN)).content.decode()
    assert "first bake" in page
    assert "counted" in page
    browser.post(cast.url(OVEN), {"do": "take-back", "evidence": str(row.pk)})
    assert minutes(cast, 3) == before
    assert "factor" not in Kitchen.objects.get(pk=cast.kitchen.pk).data["ovens"][0]
    browser.post(cast.url(OVEN), {"do": "bring-back", "evidence": str(row.pk)})
    assert minutes(cast, 4) == after
    assert Kitchen.objects.get(pk=cast.kitchen.pk).data["ovens"][0] == said


def test_a_thermometer_moves_the_dial_not_the_heat(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    was = Kitchen.objects.get(pk=cast.kitchen.pk).data["ovens"][0].get("offset")
    typed = {"do": "keep", "kind": "thermometer", "dial": "350 F", "mean": "335 F"}
    assert browser.post(cast.url(OVEN), typed).status_code == 302
    said = Kitchen.objects.get(pk=cast.kitchen.pk).data["ovens"][0]["offset"]
    assert said != was
    assert said.startswith("-")


def test_what_cannot_be_read_is_said_and_stays_typed(cast: Cast) -> None:
    answer = cast.client(cast.ada).post(cast.url(OVEN), {"do": "keep", **SEEN, "done": "a while", "dial": "hot"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="a while"' in page
    assert 'href="#done-done"' in page
    assert 'href="#done-dial"' in page
    assert not OvenEvidence.objects.exists()


def test_a_log_that_cannot_be_right_is_not_believed(cast: Cast) -> None:
    log = "\n".join(f"{minute}, {20 + minute}" for minute in range(0, 30, 3))
    typed = {"do": "look", "kind": "log", "pan": "tier.1", "dial": "350 F", "log": log, "unit": "C"}
    page = cast.client(cast.ada).post(cast.url(OVEN), typed).content.decode()
    assert "This would not be counted" in page


def test_another_kitchen_s_oven_is_out_of_reach(cast: Cast) -> None:
    cast.client(cast.ada).post(cast.url(OVEN), {"do": "keep", **SEEN})
    row = OvenEvidence.objects.get()
    url = f"/k/{cast.other.pk}/c/{cast.others_commission.pk}/{OVEN}"
    assert cast.client(cast.cleo).post(url, {"do": "take-back", "evidence": str(row.pk)}).status_code == 404
    row.refresh_from_db()
    assert row.taken_back_at is None
    assert cast.client(cast.ben).post(cast.url(OVEN), {"do": "keep", **SEEN}).status_code == 403


def test_a_guessed_unit_of_a_log_is_confirmed_before_it_counts(cast: Cast) -> None:
    log = "\n".join(f"{minute}, {20 + 2.4 * minute:.1f}" for minute in range(0, 31, 3))
    typed = {"do": "keep", "kind": "log", "pan": "tier.1", "dial": "350 F", "log": log, "unit": ""}
    answer = cast.client(cast.ada).post(cast.url(OVEN), typed)
    assert answer.status_code == 422
    assert "the numbers look like °C" in answer.content.decode()
    assert not OvenEvidence.objects.exists()


def test_minutes_from_the_bench_are_offered_and_learnt_once(cast: Cast) -> None:
    from tierwright.sheets import words_of
    from tierwright.web.bench.steps import bench_sheets
    from tierwright.web.models import BenchEntry

    dossier = dossier_of(Version.objects.get(commission=cast.commission))
    keys = [step.key for sheet in bench_sheets(dossier, words_of(dossier)) for step in sheet.steps]
    out = next(key for key in keys if ".out.tier.1." in key)
    seen = (("minutes", {"min": 41.0}), ("temperature", {"c": 98.0}), ("minutes", {"min": 43.0}))
    for order, (what, value) in enumerate(seen, start=1):
        BenchEntry.objects.create(
            commission=cast.commission, version=1, sheet="load-1", step=out, what=what, value=value,
            device="tablet", order=order, done_at=timezone.now() + timedelta(minutes=order), user=cast.ben,
        )  # fmt: skip
    browser = cast.client(cast.ada)
    page = browser.get(cast.url(OVEN)).content.decode()
    assert "Timed at the bench" in page
    assert "43 min" in page
    assert "41 min" not in page, "entered again, the later one is what was meant"
    sent = dict(
        re.findall(r'name="(pan|dial|done|called)" value="([^"]+)"', page.partition("Timed at the bench")[2])[:4]
    )
    assert browser.post(cast.url(OVEN), {"kind": "done", "do": "keep", **sent}).status_code == 302
    assert OvenEvidence.objects.get().evidence["done_min"] == 43.0
    assert "Timed at the bench" not in browser.get(cast.url(OVEN)).content.decode()
