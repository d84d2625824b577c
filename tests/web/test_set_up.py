"""The set-up log: entries that arrive once and are never changed, photographs without secrets, marked signatures."""

from __future__ import annotations

import base64
import io
import json
import re
import uuid
from datetime import timedelta
from hashlib import sha256
from typing import Any

import pypdfium2 as pdfium  # type: ignore[import-untyped]
import pypdfium2.raw as raw  # type: ignore[import-untyped]
import pytest
from django.test import Client
from django.utils import timezone
from icalendar import Calendar
from PIL import Image
from tests.web.conftest import Cast

from tierwright.dossier import to_json
from tierwright.sheets.handover import mark_of
from tierwright.web.frame.desk import dossier_of
from tierwright.web.handover.models import Photograph, SetUpEntry
from tierwright.web.handover.photographs import LARGEST_PX, NoPicture, picture_of
from tierwright.web.models import Audit, Commission, Kitchen, Version

STROKE = "M40 120" + "".join(f"L{40 + 12 * i} {120 - 7 * (i % 5)}" for i in range(1, 30))


def entry(what: str, value: dict[str, Any] | None = None, order: int = 1, **changed: Any) -> dict[str, Any]:
    done_at = timezone.now() + timedelta(seconds=min(order, 60))
    return {
        "key": str(uuid.uuid4()), "version": 1, "what": what, "value": value or {}, "device": "tablet-1",
        "order": order, "done_at": done_at.isoformat(),
    } | changed  # fmt: skip


def post(browser: Client, cast: Cast, *entries: Any) -> list[dict[str, str]]:
    url = cast.url("bench/set-up/entries/")
    answer = browser.post(url, json.dumps({"entries": list(entries)}), content_type="application/json")
    assert answer.status_code == 200
    return list(answer.json()["outcomes"])


def photograph(size: tuple[int, int] = (320, 200), kind: str = "JPEG", **more: Any) -> str:
    out = io.BytesIO()
    Image.linear_gradient("L").resize(size).convert("RGB").save(out, kind, **more)
    return f"data:image/{kind.lower()};base64," + base64.b64encode(out.getvalue()).decode()


class TestWho:
    @pytest.mark.parametrize(
        "rest",
        ["bench/set-up/", "bench/set-up/state/", "bench/set-up/record.pdf", "handover/venue.pdf",
         "handover/going-along.pdf", "handover/dates.ics"],
    )  # fmt: skip
    def test_owner_and_helper_read_and_others_do_not(self, cast: Cast, rest: str) -> None:
        url = cast.url(rest)
        assert cast.client(cast.ada).get(url).status_code == 200
        assert cast.client(cast.ben).get(url).status_code == 200
        assert cast.client(cast.cleo).get(url).status_code == 404
        assert cast.client(None).get(url).status_code == 302
        crossed = url.replace(f"/c/{cast.commission.pk}/", f"/c/{cast.others_commission.pk}/")
        assert cast.client(cast.ada).get(crossed).status_code == 404

    def test_only_the_kitchen_adds_and_only_it_sees_the_photographs(self, cast: Cast) -> None:
        url = cast.url("bench/set-up/entries/")
        sent = entry("photograph", {"file": photograph()})
        body = json.dumps({"entries": [sent]})
        assert cast.client(None).post(url, body, content_type="application/json").status_code == 302
        assert cast.client(cast.cleo).post(url, body, content_type="application/json").status_code == 404
        assert SetUpEntry.objects.count() == 0
        assert [one["fate"] for one in post(cast.client(cast.ben), cast, sent)] == ["kept"]
        seen = cast.url(f"bench/set-up/photograph/{sent['key']}/")
        assert cast.client(cast.ada).get(seen)["Content-Type"] == "image/jpeg"
        assert cast.client(cast.cleo).get(seen).status_code == 404
        assert cast.client(None).get(seen).status_code == 302
        crossed = seen.replace(f"/k/{cast.kitchen.pk}/c/{cast.commission.pk}/",
                               f"/k/{cast.other.pk}/c/{cast.others_commission.pk}/")  # fmt: skip
        assert cast.client(cast.cleo).get(crossed).status_code == 404

    def test_an_entry_from_another_site_is_refused(self, cast: Cast) -> None:
        browser = Client(enforce_csrf_checks=True)
        browser.force_login(cast.ada, backend="django.contrib.auth.backends.ModelBackend")
        url, body = cast.url("bench/set-up/entries/"), json.dumps({"entries": [entry("arrived")]})
        assert browser.post(url, body, content_type="application/json").status_code == 403
        token = browser.get(cast.url("bench/set-up/state/")).json()["token"]
        answer = browser.post(url, body, content_type="application/json", headers={"X-CSRFToken": token})
        assert answer.json()["outcomes"][0]["fate"] == "kept"

    def test_the_page_holds_nothing_that_the_policy_forbids(self, cast: Cast) -> None:
        answer = cast.client(cast.ben).get(cast.url("bench/set-up/"))
        page = answer.content.decode()
        assert "unsafe" not in answer["Content-Security-Policy"]
        for forbidden in ("<style", " style=", "<script>", " onclick="):
            assert forbidden not in page


class TestArriving:
    def test_each_entry_is_there_once_in_its_order(self, cast: Cast) -> None:
        browser = cast.client(cast.ben)
        made = [
            entry("arrived", order=1),
            entry("temperature", {"number": 41, "unit": "F", "where": "middle"}, order=2),
            entry("seen", {"what": "coat"}, order=3),
        ]
        assert [one["fate"] for one in post(browser, cast, *reversed(made))] == ["kept"] * 3
        assert [one["fate"] for one in post(browser, cast, *made)] == ["had"] * 3
        assert [one["fate"] for one in post(browser, cast, entry("arrived", order=3))] == ["moved"]
        kept = list(SetUpEntry.objects.filter(commission=cast.commission))
        assert [str(one.key) for one in kept] == [one["key"] for one in made]
        # 41 F is 5 C exactly (NIST SP 811, appendix B).
        assert kept[1].value["c"] == pytest.approx(5.0, abs=1e-9)
        log = browser.get(cast.url("bench/set-up/state/")).json()["log"]
        assert [line["text"] for line in log][:2] == ["Arrived at the venue", "middle of the cake: 41 °F"]
        assert "middle of the cake: 41 °F" in browser.get(cast.url("bench/set-up/")).content.decode()

    @pytest.mark.parametrize(
        ("what", "value"),
        [
            ("sing", {}), ("temperature", {"number": "4", "unit": "C", "where": "middle"}),
            ("temperature", {"number": 4, "unit": "K", "where": "middle"}),
            ("temperature", {"number": 400, "unit": "C", "where": "middle"}),
            ("temperature", {"number": float("nan"), "unit": "C", "where": "middle"}),
            ("temperature", {"number": 4, "unit": "C", "where": "roof"}), ("counted", {"pieces": -1}),
            ("counted", {"pieces": True}), ("seen", {"what": "ghosts"}), ("note", {"text": " "}),
            ("note", {"text": "x" * 401}), ("receiver", {"name": ""}), ("receiver", {"name": "\x00"}),
            ("signed", {"name": "Flo", "path": ""}), ("signed", {"name": "", "path": STROKE}),
            ("signed", {"name": "Flo", "path": "M1 1L2 2"}), ("signed", {"name": "Flo", "path": "M1 1L9 9<script>"}),
            ("signed", {"name": "Flo", "path": STROKE + "L601 10"}), ("signed", {"name": "Flo", "path": STROKE * 400}),
            ("signed", {"name": "Flo", "path": STROKE, "typed": True, "x": 1} | {"path": "M0 0"}),
            ("photograph", {}), ("photograph", {"file": "data:image/jpeg;base64,!!!"}),
            ("photograph", {"file": "data:image/jpeg;base64," + base64.b64encode(b"<svg/>").decode()}),
        ],
    )  # fmt: skip
    def test_what_cannot_be_is_refused_and_nothing_is_written(
        self, cast: Cast, what: str, value: dict[str, Any]
    ) -> None:
        (answer,) = post(cast.client(cast.ben), cast, entry(what, value))
        assert answer["fate"] == "refused"
        assert answer["why"]
        assert SetUpEntry.objects.count() == Photograph.objects.count() == 0

    @pytest.mark.parametrize("changed", [{"version": 2}, {"key": "x"}, {"order": 0}, {"device": ""},
                                         {"done_at": "2026-06-01T10:00:00"}, {"value": 3}])  # fmt: skip
    def test_a_broken_frame_is_refused(self, cast: Cast, changed: dict[str, Any]) -> None:
        assert post(cast.client(cast.ben), cast, entry("arrived", **changed))[0]["fate"] == "refused"

    def test_nothing_is_changed_or_taken_away(self, cast: Cast) -> None:
        post(cast.client(cast.ben), cast, entry("note", {"text": "A dent at the back."}))
        kept = SetUpEntry.objects.get()
        kept.value = {"text": "Nothing."}
        for forbidden in (
            kept.save, kept.delete, SetUpEntry.objects.all().delete,
            lambda: SetUpEntry.objects.update(what="arrived"),
            lambda: SetUpEntry.objects.bulk_update([kept], ["value"]),
        ):  # fmt: skip
            with pytest.raises(ValueError, match="add another one"):
                forbidden()
        assert SetUpEntry.objects.get().value == {"text": "A dent at the back."}
        # With its commission it goes.
        cast.commission.delete()
        assert SetUpEntry.objects.count() == 0


class TestSigning:
    def test_a_signature_stands_with_the_very_version_and_its_words(self, cast: Cast) -> None:
        value = {"name": "Flo of the boathouse", "path": STROKE}
        assert post(cast.client(cast.ben), cast, entry("signed", value))[0]["fate"] == "kept"
        version = Version.objects.get(commission=cast.commission, number=1)
        kept, dossier = SetUpEntry.objects.get(), dossier_of(version)
        assert kept.value["path"] == STROKE
        assert kept.value["says"] == list(dossier.handover.taken_over)
        # The mark is the SHA-256 of the dossier (FIPS 180-4), the same that the printed paper shows.
        assert kept.mark == sha256(to_json(dossier)).hexdigest()
        assert kept.mark.startswith(mark_of(dossier))
        assert Audit.objects.filter(deed="set-up signed", commission=cast.commission).exists()
        page = cast.client(cast.ada).get(cast.url("bench/set-up/")).content.decode()
        assert f'd="{STROKE}"' in page
        assert mark_of(dossier) in page
        assert (
            "Signed by Flo of the boathouse" in cast.client(cast.ada).get(cast.url("sheet/handover/")).content.decode()
        )

    def test_who_cannot_draw_signs_by_name(self, cast: Cast) -> None:
        value = {"name": "Flo", "path": "", "typed": True}
        assert post(cast.client(cast.ben), cast, entry("signed", value))[0]["fate"] == "kept"
        assert SetUpEntry.objects.get().value["typed"] is True

    def test_a_name_is_never_markup(self, cast: Cast) -> None:
        post(cast.client(cast.ben), cast, entry("receiver", {"name": "<b onload=x>Flo</b>"}))
        page = cast.client(cast.ada).get(cast.url("bench/set-up/")).content.decode()
        assert "<b onload" not in page
        assert "&lt;b onload=x&gt;Flo" in page


class TestPhotographs:
    def test_nothing_of_the_cameras_notes_is_kept(self) -> None:
        # Exif 2.32, tags 0x010F (maker), 0x9003 (moment), GPS IFD 0x8825 (place).
        exif = Image.Exif()
        exif[0x010F] = "Secret Camera Works"
        exif[0x0112] = 6
        exif.get_ifd(0x8769)[0x9003] = "2027:06:26 18:05:00"
        exif.get_ifd(0x8825).update({1: "N", 2: (40.0, 1.0, 2.0), 3: "W", 4: (105.0, 3.0, 4.0)})
        sent = photograph(exif=exif, comment=b"Secret remark")
        assert b"Secret" in base64.b64decode(sent.partition(",")[2])
        kept = picture_of(sent)
        assert b"Secret" not in kept.jpeg
        assert b"Exif" not in kept.jpeg
        with Image.open(io.BytesIO(kept.jpeg)) as found:
            assert dict(found.getexif()) == {}
            assert found.info.get("comment") is None
            # Orientation 6 is a quarter turn: the picture itself has been turned.
            assert found.size == (kept.width, kept.height) == (200, 320)
        assert kept.digest == sha256(kept.jpeg).hexdigest()

    @pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
    def test_other_kinds_come_out_as_jpeg_and_not_too_large(self, kind: str) -> None:
        kept = picture_of(photograph((3000, 400), kind))
        assert kept.jpeg[:3] == b"\xff\xd8\xff"
        assert (kept.width, kept.height) == (LARGEST_PX, round(400 * LARGEST_PX / 3000))

    @pytest.mark.parametrize("kind", ["GIF", "BMP", "TIFF"])
    def test_kinds_that_are_not_named_are_refused(self, kind: str) -> None:
        with pytest.raises(NoPicture):
            picture_of(photograph(kind=kind))

    def test_too_small_too_large_and_cut_short_are_refused(self) -> None:
        whole = photograph()
        for bad in (photograph((8, 8)), "x" * 4_100_000, whole[: len(whole) // 2 // 4 * 4], ""):
            with pytest.raises(NoPicture):
                picture_of(bad)


def test_the_record_is_printed_on_one_page_with_what_was_signed_and_photographed(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    Kitchen.objects.filter(pk=cast.kitchen.pk).update(language="es")
    sent = [entry("photograph", {"caption": f"side {n}", "file": photograph()}, n) for n in range(1, 9)]
    sent += [entry("temperature", {"number": 41, "unit": "F", "where": "middle"}, 9)]
    sent += [entry("signed", {"name": "The boathouse keeper", "path": STROKE}, 10)]
    assert {one["fate"] for one in post(browser, cast, *sent)} == {"kept"}
    answer = browser.get(cast.url("bench/set-up/record.pdf"))
    assert answer["Content-Type"] == "application/pdf"
    document = pdfium.PdfDocument(answer.content)
    try:
        assert len(document) == 1
        page = document[0]
        said = " ".join(page.get_textpage().get_text_bounded().split())
        for words in ("Photograph: side 8", "middle of the cake: 41 °F", "Signed by The boathouse keeper, by hand"):
            assert words in said
        mark = SetUpEntry.objects.latest("done_at").mark
        assert f"1, {mark[:12]}" in said
        assert len(list(page.get_objects(filter=[raw.FPDF_PAGEOBJ_IMAGE], max_depth=8))) == 8
        # The signature is the longest path on the page: as many lines as were drawn.
        paths = page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH], max_depth=8)
        assert max(raw.FPDFPath_CountSegments(path) for path in paths) == STROKE.count("L") + 1
    finally:
        document.close()


def test_the_calendar_moves_with_the_version(cast: Cast) -> None:
    answer = cast.client(cast.ben).get(cast.url("handover/dates.ics"))
    assert answer["Content-Type"].startswith("text/calendar")
    events = list(Calendar.from_ical(answer.content).walk("VEVENT"))
    assert {str(event["sequence"]) for event in events} == {"1"}
    assert len({str(event["uid"]) for event in events}) == len(events)
    handover = next(event for event in events if str(event["summary"]).startswith("Handover"))
    assert handover.decoded("dtstart") == Commission.objects.get(pk=cast.commission.pk).handover_at


def test_no_paper_of_the_handover_shows_a_price_or_a_guests_allergy(cast: Cast) -> None:
    browser = cast.client(cast.ben)
    page = re.sub(r"<[^>]+>", " ", browser.get(cast.url("sheet/handover/")).content.decode())
    calendar = browser.get(cast.url("handover/dates.ics")).content.decode()
    for text in (page, calendar):
        assert "injector" not in text
        assert not re.search(r"[$€£]|\bUSD\b", text)
    assert "hazelnut" not in calendar


def test_the_bench_leads_to_the_record(cast: Cast) -> None:
    page = cast.client(cast.ben).get(cast.url("bench/")).content.decode()
    assert f'href="{cast.url("bench/set-up/")}" data-keep' in page
