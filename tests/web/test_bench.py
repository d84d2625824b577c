"""The bench: steps from the dossier, entries that arrive once and in order, and who may do what."""

from __future__ import annotations

import json
import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.web.conftest import Cast

from tierwright.sheets import words_of
from tierwright.web.access import Door
from tierwright.web.arriving import Fate
from tierwright.web.bench.entries import take
from tierwright.web.bench.steps import bench_sheets
from tierwright.web.frame.desk import dossier_of, lay_out
from tierwright.web.models import BenchEntry, Membership, Version

SHEET = "bench/bowl-vanilla-1/"
STEP = "mix.vanilla.1.part.1"


def entry(order: int = 1, **changed: Any) -> dict[str, Any]:
    done_at = timezone.now() + timedelta(seconds=min(order, 60))
    return {
        "key": str(uuid.uuid4()), "version": 1, "sheet": "formulas", "step": STEP, "what": "tick", "value": {},
        "device": "tablet-1", "order": order, "done_at": done_at.isoformat(),
    } | changed  # fmt: skip


def post(browser: Client, cast: Cast, *entries: Any) -> Any:
    url = cast.url("bench/entries/")
    return browser.post(url, json.dumps({"entries": list(entries)}), content_type="application/json")


def fates(answer: Any) -> list[str]:
    return [one["fate"] for one in answer.json()["outcomes"]]


class TestSteps:
    def test_the_bowls_weigh_what_the_dossier_says(self, cast: Cast) -> None:
        dossier = dossier_of(Version.objects.get(commission=cast.commission))
        words = words_of(dossier)
        sheets = {sheet.key: sheet for sheet in bench_sheets(dossier, words)}
        batches = {work.formula.text.key: work.batch for work in dossier.formulas.works if work.batch}
        for key, batch in batches.items():
            for mix in batch.mixes:
                steps = [step for step in sheets[f"bowl-{key}-{mix.number}"].steps if ".part." in step.key]
                assert [step.large for step in steps] == [words.display.show_mass(part.grams) for part in mix.parts]
        filled = [step for sheet in sheets.values() for step in sheet.steps if ".fill." in step.key]
        assert len(filled) == sum(len(batch.fills) for batch in batches.values())

    def test_every_pan_of_every_load_is_taken_out_once(self, cast: Cast) -> None:
        dossier = dossier_of(Version.objects.get(commission=cast.commission))
        loads = dossier.bakes.loads
        assert loads is not None
        steps = [step for sheet in bench_sheets(dossier, words_of(dossier)) for step in sheet.steps]
        out = sorted(step.key.split(".out.")[1] for step in steps if ".out." in step.key)
        assert out == sorted(pan.key for load in loads.loads for shelf in load.shelves for pan in shelf.pans)
        assert len({step.key for step in steps}) == len(steps), "a step's key is its own"
        assert all(len(step.key) <= 120 for step in steps)

    def test_hot_sugar_is_said_where_the_pot_is(self, cast: Cast) -> None:
        dossier = dossier_of(Version.objects.get(commission=cast.commission))
        sheets = {sheet.key: sheet for sheet in bench_sheets(dossier, words_of(dossier))}
        told = [c["text"] for step in sheets["bowl-vanilla-syrup-1"].steps for c in step.cautions]
        hot = next(c.text for c in dossier.notes.cautions if c.key == "formula.vanilla-syrup.hot_sugar")
        assert hot in told


class TestWho:
    @pytest.mark.parametrize("rest", ["bench/", SHEET, "bench/state/"])
    def test_helper_and_owner_read_and_others_do_not(self, cast: Cast, rest: str) -> None:
        url = cast.url(rest)
        assert cast.client(cast.ada).get(url).status_code == 200
        assert cast.client(cast.ben).get(url).status_code == 200
        assert cast.client(cast.cleo).get(url).status_code == 404
        assert cast.client(None).get(url).status_code == 302
        crossed = url.replace(f"/c/{cast.commission.pk}/", f"/c/{cast.others_commission.pk}/")
        assert cast.client(cast.ada).get(crossed).status_code == 404

    def test_only_the_kitchen_enters(self, cast: Cast) -> None:
        assert post(cast.client(None), cast, entry()).status_code == 302
        assert post(cast.client(cast.cleo), cast, entry()).status_code == 404
        assert BenchEntry.objects.count() == 0
        assert fates(post(cast.client(cast.ben), cast, entry())) == ["kept"]
        assert BenchEntry.objects.get().user == cast.ben

    def test_an_entry_from_another_site_is_refused(self, cast: Cast) -> None:
        browser = Client(enforce_csrf_checks=True)
        browser.force_login(cast.ada, backend="django.contrib.auth.backends.ModelBackend")
        assert post(browser, cast, entry()).status_code == 403
        token = browser.get(cast.url("bench/state/")).json()["token"]
        answer = browser.post(cast.url("bench/entries/"), json.dumps({"entries": [entry()]}),
                              content_type="application/json", headers={"X-CSRFToken": token})  # fmt: skip
        assert fates(answer) == ["kept"]

    def test_entries_are_not_read_by_get(self, cast: Cast) -> None:
        assert cast.client(cast.ada).get(cast.url("bench/entries/")).status_code == 405

    def test_the_worker_is_handed_out_from_the_root_to_anybody(self, db: None) -> None:
        answer = Client().get(reverse("bench-worker"))
        assert answer["Content-Type"].startswith("text/javascript")
        assert answer["Service-Worker-Allowed"] == "/"
        assert "no-cache" in answer["Cache-Control"]

    @pytest.mark.parametrize("rest", ["bench/", SHEET])
    def test_pages_hold_nothing_that_the_policy_forbids(self, cast: Cast, rest: str) -> None:
        answer = cast.client(cast.ben).get(cast.url(rest))
        page = answer.content.decode()
        assert "unsafe" not in answer["Content-Security-Policy"]
        assert "<style" not in page
        assert " style=" not in page
        assert "<script>" not in page
        assert " onclick=" not in page


class TestArriving:
    def test_an_entry_sent_twice_is_there_once(self, cast: Cast) -> None:
        browser = cast.client(cast.ben)
        one = entry()
        assert fates(post(browser, cast, one)) == ["kept"]
        assert fates(post(browser, cast, one)) == ["had"]
        assert fates(post(browser, cast, one, one)) == ["had", "had"]
        assert BenchEntry.objects.count() == 1

    def test_entries_stand_in_the_order_in_which_they_were_made(self, cast: Cast) -> None:
        now = timezone.now()
        made = [entry(order=n, step=f"s.{n}", done_at=now.isoformat()) for n in range(1, 6)]
        browser = cast.client(cast.ben)
        assert fates(post(browser, cast, *reversed(made))) == ["kept"] * 5
        assert [one.order for one in BenchEntry.objects.filter(commission=cast.commission)] == [1, 2, 3, 4, 5]

    def test_a_place_that_is_taken_is_given_back_to_be_counted_anew(self, cast: Cast) -> None:
        browser = cast.client(cast.ben)
        assert fates(post(browser, cast, entry(order=1))) == ["kept"]
        assert fates(post(browser, cast, entry(order=1))) == ["moved"]
        assert fates(post(browser, cast, entry(order=1, device="tablet-2"))) == ["kept"]

    def test_one_bad_entry_does_not_hold_up_the_others(self, cast: Cast) -> None:
        answer = post(cast.client(cast.ben), cast, entry(1), entry(2, what="sing"), entry(3))
        assert fates(answer) == ["kept", "refused", "kept"]

    @pytest.mark.parametrize(
        "changed",
        [
            {"key": "not-a-key"}, {"version": 2},
            {"version": True}, {"order": -1}, {"order": 2**60}, {"done_at": "soon"},
            {"done_at": "2026-06-01T10:00:00"}, {"done_at": "2999-01-01T00:00:00Z"}, {"step": ""}, {"step": "x" * 121},
            {"device": "\x00"}, {"what": "weight", "value": {"number": "12", "unit": "g"}},
            {"what": "weight", "value": {"number": 12, "unit": "C"}},
            {"what": "temperature", "value": {"number": 4000, "unit": "F"}},
            {"what": "weight", "value": {"number": float("nan"), "unit": "g"}},
        ],
    )  # fmt: skip
    def test_what_cannot_be_is_refused(self, cast: Cast, changed: dict[str, Any]) -> None:
        answer = post(cast.client(cast.ben), cast, entry(**changed))
        assert fates(answer) == ["refused"]
        assert answer.json()["outcomes"][0]["why"]
        assert BenchEntry.objects.count() == 0

    @pytest.mark.parametrize("body", ["", "[]", '{"entries": 3}', json.dumps({"entries": [{}] * 201}), "\ud800"])
    def test_what_is_no_list_of_entries_is_refused_whole(self, cast: Cast, body: str) -> None:
        url = cast.url("bench/entries/")
        sent = body.encode("utf-8", "surrogatepass")
        assert cast.client(cast.ben).post(url, sent, content_type="application/json").status_code == 400

    def test_another_kitchens_key_teaches_nothing(self, cast: Cast) -> None:
        one = entry()
        assert fates(post(cast.client(cast.ben), cast, one)) == ["kept"]
        url = f"/k/{cast.other.pk}/c/{cast.others_commission.pk}/bench/entries/"
        answer = cast.client(cast.cleo).post(url, json.dumps({"entries": [one]}), content_type="application/json")
        assert fates(answer) == ["refused"]
        assert BenchEntry.objects.get().commission == cast.commission

    def test_measures_are_kept_in_grams_and_celsius(self, cast: Cast) -> None:
        # An avoirdupois ounce is 28.349523125 g exactly; 212 degF is 100 degC (NIST SP 811, appendix B).
        post(cast.client(cast.ben), cast,
             entry(1, what="weight", value={"number": 16, "unit": "oz"}),
             entry(2, what="temperature", value={"number": 212, "unit": "F"}))  # fmt: skip
        first, second = BenchEntry.objects.filter(commission=cast.commission)
        assert first.value == {"number": 16, "unit": "oz", "g": pytest.approx(453.592, abs=0.001)}
        assert second.value["c"] == pytest.approx(100.0, abs=0.001)

    def test_the_page_shows_how_a_step_stands(self, cast: Cast) -> None:
        browser = cast.client(cast.ben)
        post(browser, cast, entry(1), entry(2, what="weight", value={"number": 431, "unit": "g"}))
        stands = browser.get(cast.url("bench/state/")).json()["steps"][STEP]
        assert stands == {"ticked": True, "measured": {"weight": {"number": 431, "unit": "g"}}}
        post(browser, cast, entry(3, what="untick"))
        assert browser.get(cast.url("bench/state/")).json()["steps"][STEP]["ticked"] is False
        assert "<span data-done>0</span>" in browser.get(cast.url("bench/")).content.decode()

    @given(data=st.data())
    @settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
    def test_whatever_the_network_repeats_or_reorders_each_entry_is_there_once(self, cast: Cast, data: Any) -> None:
        BenchEntry.objects.all().delete()
        made = [entry(order=n) for n in range(1, 7)]
        pieces = data.draw(st.lists(st.lists(st.sampled_from(made), max_size=6), max_size=6))
        door = Door(membership=Membership.objects.get(user=cast.ben), user=cast.ben)
        for piece in [*pieces, made]:
            assert {one.fate for one in take(door, cast.commission, piece)} <= {Fate.KEPT, Fate.HAD}
        stood = list(BenchEntry.objects.filter(commission=cast.commission))
        assert [str(one.key) for one in stood] == [one["key"] for one in made]


def test_a_helper_sees_no_price_at_the_bench(cast: Cast) -> None:
    door = Door(membership=Membership.objects.get(user=cast.ben), user=cast.ben)
    desk = lay_out(door, cast.commission.pk)
    assert {sheet.sheet for sheet in bench_sheets(desk.dossier, desk.words)} <= {"formulas", "syrups", "bakes", "coats"}
