"""The books: who opens them, what they refuse, and that nothing typed or kept is lost or told."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.utils.html import escape
from tests.web.conftest import Cast

from tierwright.web.books.forms import PARTS
from tierwright.web.books.kitchen import check, seal
from tierwright.web.frame.filling import written
from tierwright.web.models import Audit, BookFormula, Client, Kitchen

OWNERS = ("formulas/{formula}/", "clients/", "clients/{client}/", "clients/0/", *(f"kitchen/{key}/" for key in PARTS))
MEMBERS = ("", "formulas/", "records/", "colours/")
POSTS = ("formulas/{formula}/put-away/", "clients/{client}/erase/")
LINES = "250 g butter\n250 g sugar\n250 g eggs\n250 g flour"


def book(cast: Cast, rest: str = "") -> str:
    formula = BookFormula.objects.filter(kitchen=cast.kitchen).first()
    client = Client.objects.filter(kitchen=cast.kitchen).first()
    filled = rest.format(formula=formula.pk if formula else 0, client=client.pk if client else 0)
    return f"/k/{cast.kitchen.pk}/books/{filled}"


@pytest.fixture
def client_row(cast: Cast) -> Client:
    return Client.objects.create(kitchen=cast.kitchen, name="The club", health="hazelnut, severe", contact="by post")


class TestWho:
    @pytest.mark.parametrize("rest", [*OWNERS, *MEMBERS, *POSTS])
    def test_each_person_at_each_book(self, cast: Cast, client_row: Client, rest: str) -> None:
        url = book(cast, rest)
        method = "post" if rest in POSTS else "get"
        assert getattr(cast.client(None), method)(url).status_code == 302
        assert getattr(cast.client(cast.cleo), method)(url).status_code == 404
        helper = getattr(cast.client(cast.ben), method)(url).status_code
        assert helper == (200 if rest in MEMBERS else 403)
        assert getattr(cast.client(cast.ada), method)(url).status_code == (302 if rest in POSTS else 200)

    @pytest.mark.parametrize("rest", ["formulas/{formula}/", "clients/{client}/", *POSTS])
    def test_anothers_rows_are_not_reached_through_ones_own_kitchen(
        self, cast: Cast, client_row: Client, rest: str
    ) -> None:
        url = book(cast, rest).replace(f"/k/{cast.kitchen.pk}/", f"/k/{cast.other.pk}/")
        assert cast.client(cast.cleo).post(url).status_code == 404

    @pytest.mark.parametrize("rest", ["kitchen/kitchen/", "clients/0/", "formulas/0/", *POSTS])
    def test_a_form_from_elsewhere_is_refused(self, cast: Cast, client_row: Client, rest: str) -> None:
        browser = Browser(enforce_csrf_checks=True)
        browser.force_login(cast.ada, backend="django.contrib.auth.backends.ModelBackend")
        assert browser.post(book(cast, rest), {"name": "x"}).status_code == 403

    def test_a_helper_is_shown_no_price_book_and_no_clients(self, cast: Cast) -> None:
        page = cast.client(cast.ben).get(book(cast)).content.decode()
        assert "Price book" not in page
        assert "Clients" not in page
        assert "Price book" in cast.client(cast.ada).get(book(cast)).content.decode()


class TestKitchen:
    def sent(self, cast: Cast, part: str, **changed: str) -> dict[str, str]:
        typed = written(PARTS[part], Kitchen.objects.get(pk=cast.kitchen.pk).data)
        return typed | {"seen": seal(typed)} | changed

    @pytest.mark.parametrize("part", PARTS)
    def test_a_part_sent_as_it_stands_changes_nothing_that_matters(self, cast: Cast, part: str) -> None:
        before = Kitchen.objects.get(pk=cast.kitchen.pk)
        answer = cast.client(cast.ada).post(book(cast, f"kitchen/{part}/"), self.sent(cast, part))
        assert answer.status_code == 302
        assert Kitchen.objects.get(pk=cast.kitchen.pk).parsed() == before.parsed()

    def test_a_change_is_kept_and_the_rest_stays(self, cast: Cast) -> None:
        before = cast.kitchen.parsed()
        sent = self.sent(cast, "ovens") | {"ovens[1].name": "The old oven"}
        assert cast.client(cast.ada).post(book(cast, "kitchen/ovens/"), sent).status_code == 302
        after = Kitchen.objects.get(pk=cast.kitchen.pk).parsed()
        assert after.ovens[0].name == "The old oven"
        assert after.ovens[0].width == before.ovens[0].width
        assert (after.hands, after.pans, after.prices) == (before.hands, before.pans, before.prices)
        assert Audit.objects.filter(deed="kitchen changed", user=cast.ada).count() == 1

    @pytest.mark.parametrize(("part", "name", "text"), [
        ("kitchen", "altitude", "very high"), ("kitchen", "currency", "dollars"), ("ovens", "ovens[1].width", "46 kg"),
        ("pans", "pans[1].pan", "round_99x9_in"), ("hands", "rates.travel_per_km", "<b>much</b>"),
    ])  # fmt: skip
    def test_what_is_wrong_stands_by_its_field_with_what_was_typed(
        self, cast: Cast, part: str, name: str, text: str
    ) -> None:
        answer = cast.client(cast.ada).post(book(cast, f"kitchen/{part}/"), self.sent(cast, part) | {name: text})
        page = answer.content.decode()
        assert answer.status_code == 422
        assert f'value="{escape(text)}"' in page
        field = page[page.index(f'name="{name}"') :]
        assert re.search(r'<p class="wrong" id="w-[^"]+">[^<]+', field[:900])
        assert Kitchen.objects.get(pk=cast.kitchen.pk).data == cast.kitchen.data

    def test_the_second_writer_sees_the_difference_first(self, cast: Cast) -> None:
        browser = cast.client(cast.ada)
        url = book(cast, "kitchen/kitchen/")
        early = self.sent(cast, "kitchen") | {"name": "Mine"}
        browser.post(url, self.sent(cast, "kitchen") | {"name": "Theirs"})
        answer = browser.post(url, early)
        page = answer.content.decode()
        assert answer.status_code == 409
        assert "<td>Theirs</td><td>Mine</td>" in page
        assert Kitchen.objects.get(pk=cast.kitchen.pk).name == "Theirs"
        seen = re.search(r'name="seen" value="(\w+)"', page)
        assert seen is not None
        assert browser.post(url, early | {"seen": seen[1]}).status_code == 302
        assert Kitchen.objects.get(pk=cast.kitchen.pk).name == "Mine"

    def test_every_problem_is_said_at_once(self, cast: Cast) -> None:
        typed = written(PARTS["kitchen"], cast.kitchen.data) | {"altitude": "x", "room": "y", "currency": "z"}
        _filled, wrong, beyond = check(PARTS["kitchen"], cast.kitchen.data, typed)
        assert (set(wrong), beyond) == ({"altitude", "room", "currency"}, [])


class TestFormulas:
    def test_lines_are_shown_as_understood_before_they_are_kept(self, cast: Cast) -> None:
        browser, url = cast.client(cast.ada), book(cast, "formulas/0/")
        sent = {"name": "Quarters", "kind": "pound", "text": LINES + "\n\nCream, then fold."}
        before = BookFormula.objects.filter(kitchen=cast.kitchen).count()
        looked = browser.post(url, sent | {"do": "look"})
        assert "Keep it in the book" in looked.content.decode()
        assert BookFormula.objects.filter(kitchen=cast.kitchen).count() == before
        assert browser.post(url, sent | {"do": "keep"}).status_code == 302
        row = BookFormula.objects.get(kitchen=cast.kitchen, key="quarters")
        assert row.sheet["lines"] == LINES.split("\n")
        assert row.sheet["method"] == ["Cream, then fold."]

    def test_a_changed_formula_keeps_its_key_and_what_the_form_does_not_name(self, cast: Cast) -> None:
        row = BookFormula.objects.filter(kitchen=cast.kitchen).exclude(sheet__specific_gravity=None).first()
        row = row or BookFormula.objects.filter(kitchen=cast.kitchen).first()
        assert row is not None
        kept = {name: value for name, value in row.sheet.items() if name not in ("lines", "method", "name", "measures")}
        sent = {"name": "Renamed", "kind": row.kind, "text": LINES, "do": "keep"}
        assert cast.client(cast.ada).post(book(cast, f"formulas/{row.pk}/"), sent).status_code == 302
        row.refresh_from_db()
        assert row.name == "Renamed"
        assert {name: row.sheet.get(name) for name in kept} == kept

    def test_a_saved_recipe_page_is_read(self, cast: Cast) -> None:
        page = b"""<html><script type="application/ld+json">{"@context":"https://schema.org","@type":"Recipe",
        "name":"From a page","recipeIngredient":["200 g flour","100 g sugar"],
        "recipeInstructions":"Mix."}</script></html>"""
        sent = {"kind": "pound", "do": "look", "file": SimpleUploadedFile("saved.html", page)}
        shown = cast.client(cast.ada).post(book(cast, "formulas/0/"), sent).content.decode()
        assert "From a page" in shown
        assert "200 g flour" in shown

    @pytest.mark.parametrize(("name", "body"), [("x.exe", b"MZ"), ("x.txt", b"\xff\xfe\x00"), ("x.txt", b"a\x00b")])
    def test_a_file_of_another_kind_is_refused(self, cast: Cast, name: str, body: bytes) -> None:
        sent = {"kind": "pound", "do": "keep", "file": SimpleUploadedFile(name, body)}
        assert cast.client(cast.ada).post(book(cast, "formulas/0/"), sent).status_code == 422

    def test_what_cannot_be_read_stays_as_typed(self, cast: Cast) -> None:
        answer = cast.client(cast.ada).post(
            book(cast, "formulas/0/"), {"text": "<i>2 cups</i>", "kind": "", "do": "keep"}
        )
        assert answer.status_code == 422
        assert "&lt;i&gt;2 cups&lt;/i&gt;" in answer.content.decode()

    def test_a_formula_put_away_comes_back(self, cast: Cast) -> None:
        row = BookFormula.objects.filter(kitchen=cast.kitchen).first()
        assert row is not None
        browser, url = cast.client(cast.ada), book(cast, f"formulas/{row.pk}/put-away/")
        assert "Undo" in browser.post(url, follow=True).content.decode()
        assert BookFormula.objects.get(pk=row.pk).put_away_at is not None
        browser.post(url)
        assert BookFormula.objects.get(pk=row.pk).put_away_at is None


class TestClients:
    def test_health_data_are_marked_and_erased_for_good(self, cast: Cast, client_row: Client) -> None:
        browser = cast.client(cast.ada)
        listed = browser.get(book(cast, "clients/")).content.decode()
        assert "hazelnut" not in listed, "the list says that there are health data, not which"
        browser.post(book(cast, f"clients/{client_row.pk}/erase/"), {"do": "health"})
        client_row.refresh_from_db()
        assert (client_row.health, client_row.health_erased_at is None) == ("", False)
        assert "hazelnut" not in browser.get(book(cast, f"clients/{client_row.pk}/")).content.decode()
        assert not Audit.objects.filter(words__contains="hazelnut").exists()

    def test_a_client_is_written_down_and_markup_stays_words(self, cast: Cast) -> None:
        sent: dict[str, Any] = {"name": "<b>Club</b>", "contact": "c", "health": "h", "note": "n"}
        browser = cast.client(cast.ada)
        assert browser.post(book(cast, "clients/0/"), sent).status_code == 302
        page = browser.get(book(cast, "clients/")).content.decode()
        assert "&lt;b&gt;Club" in page
        assert "<b>Club" not in page

    def test_a_nameless_client_is_refused_and_what_was_typed_stays(self, cast: Cast) -> None:
        answer = cast.client(cast.ada).post(book(cast, "clients/0/"), {"name": " ", "note": "likes lemon"})
        assert answer.status_code == 422
        assert "likes lemon" in answer.content.decode()
        assert Client.objects.count() == 0

    def test_a_client_put_away_comes_back(self, cast: Cast, client_row: Client) -> None:
        browser, url = cast.client(cast.ada), book(cast, f"clients/{client_row.pk}/erase/")
        browser.post(url, {"do": "away"})
        assert "The club" not in re.sub(
            r"<div class=\"said\".*?</div>", "", browser.get(book(cast, "clients/")).content.decode()
        )
        browser.post(url)
        assert Client.objects.get().put_away_at is None
        assert Client.objects.get().health == "hazelnut, severe"


class TestWhatTheKitchenHas:
    def test_hours_of_work_are_written_a_stretch_a_line(self, cast: Cast) -> None:
        browser, url = cast.client(cast.ada), book(cast, "kitchen/hands/")
        shown = browser.get(url).content.decode()
        assert "Wed 17:00 to 21:00" in shown, "hours that a file holds as a table read as lines"
        form = PARTS["hands"]
        typed = written(form, cast.kitchen.data)
        sent = typed | {"hands[1].hours": "mon 07:00 to 15:00\nTuesday 9:30 - 12:00", "seen": seal(typed)}
        assert browser.post(url, sent).status_code == 302
        hand = Kitchen.objects.get(pk=cast.kitchen.pk).parsed().hands[0]
        assert [(h.day, f"{h.begin:%H:%M}", f"{h.end:%H:%M}") for h in hand.hours] == [
            ("Mon", "07:00", "15:00"),
            ("Tue", "09:30", "12:00"),
        ]

    def test_hours_that_cannot_be_read_are_said_beside_the_field(self, cast: Cast) -> None:
        form = PARTS["hands"]
        typed = written(form, cast.kitchen.data)
        sent = typed | {"hands[1].hours": "whenever", "seen": seal(typed)}
        answer = cast.client(cast.ada).post(book(cast, "kitchen/hands/"), sent)
        assert answer.status_code == 422
        assert "Mon 07:00 to 15:00" in answer.content.decode()
        assert "whenever" in answer.content.decode()

    @pytest.mark.parametrize("part", ["boards", "carrying", "ovens", "pans", "hands"])
    def test_what_is_shown_is_what_is_kept(self, cast: Cast, part: str) -> None:
        form = PARTS[part]
        typed = written(form, cast.kitchen.data)
        before = cast.kitchen.parsed()
        answer = cast.client(cast.ada).post(book(cast, f"kitchen/{part}/"), typed | {"seen": seal(typed)})
        assert answer.status_code == 302
        assert Kitchen.objects.get(pk=cast.kitchen.pk).parsed() == before

    def test_a_board_more_is_a_board_more(self, cast: Cast) -> None:
        form = PARTS["boards"]
        typed = written(form, cast.kitchen.data)
        row = 1 + sum(name.endswith("].board") for name in typed)
        sent = typed | {f"boards[{row}].board": "card_round_14_in", f"boards[{row}].count": "3", "seen": seal(typed)}
        assert cast.client(cast.ada).post(book(cast, "kitchen/boards/"), sent).status_code == 302
        kept = Kitchen.objects.get(pk=cast.kitchen.pk).parsed().boards
        assert (kept[-1].board, kept[-1].count) == ("card_round_14_in", 3)


class TestNothingTypedIsLost:
    def test_a_kitchens_form_is_there_again_until_it_is_kept(self, cast: Cast) -> None:
        browser, url = cast.client(cast.ada), book(cast, "kitchen/kitchen/")
        form = PARTS["kitchen"]
        typed = written(form, cast.kitchen.data)
        held = browser.post(url, typed | {"name": "Half a na", "seen": seal(typed), "do": "hold"})
        assert "What you typed is safe" in held.content.decode()
        assert Kitchen.objects.get(pk=cast.kitchen.pk).name != "Half a na", "holding keeps nothing"
        again = browser.get(url).content.decode()
        assert 'value="Half a na"' in again
        assert "it was never kept" in again
        assert "Typed, and not yet kept" in browser.get(book(cast)).content.decode()
        assert (
            "Half a na" not in cast.client(cast.cleo).get(f"/k/{cast.other.pk}/books/kitchen/kitchen/").content.decode()
        )
        assert browser.post(url, typed | {"name": "Whole", "seen": seal(typed), "do": "keep"}).status_code == 302
        assert "never kept" not in browser.get(url).content.decode()
        assert Kitchen.objects.get(pk=cast.kitchen.pk).name == "Whole"

    def test_what_cannot_stand_is_said_while_it_is_typed(self, cast: Cast) -> None:
        form = PARTS["kitchen"]
        typed = written(form, cast.kitchen.data)
        sent = typed | {"altitude": "very high", "seen": seal(typed), "do": "hold"}
        said = cast.client(cast.ada).post(book(cast, "kitchen/kitchen/"), sent).content.decode()
        assert "Height above the sea" in said
        assert "very high" in said

    def test_a_second_writer_is_noticed_after_a_reload_too(self, cast: Cast) -> None:
        browser, url = cast.client(cast.ada), book(cast, "kitchen/kitchen/")
        form = PARTS["kitchen"]
        typed = written(form, cast.kitchen.data)
        browser.post(url, typed | {"name": "Mine", "seen": seal(typed), "do": "hold"})
        kitchen = Kitchen.objects.get(pk=cast.kitchen.pk)
        kitchen.data = {**kitchen.data, "name": "Theirs"}
        kitchen.save()
        seen = re.search(r'name="seen" value="(\w+)"', browser.get(url).content.decode())
        assert seen is not None
        answer = browser.post(url, typed | {"name": "Mine", "seen": seen[1], "do": "keep"})
        assert answer.status_code == 409
        assert "Theirs" in answer.content.decode()

    @pytest.mark.parametrize(
        ("rest", "sent", "shown"),
        [
            ("clients/0/", {"name": "Half a cl", "contact": "", "health": "", "note": ""}, "Half a cl"),
            ("formulas/0/", {"name": "Half a f", "kind": "pound", "text": "250 g but", "note": ""}, "250 g but"),
        ],
    )
    def test_a_client_and_a_formula_are_there_again_until_dropped(
        self, cast: Cast, rest: str, sent: dict[str, str], shown: str
    ) -> None:
        browser, url = cast.client(cast.ada), book(cast, rest)
        assert browser.post(url, sent | {"do": "hold"}).status_code == 200
        again = browser.get(url)
        assert again.status_code == 200
        assert shown in again.content.decode()
        assert browser.post(url, sent | {"do": "drop"}).status_code == 302
        assert shown not in browser.get(url).content.decode()

    def test_erasing_health_data_erases_what_was_typed_of_them(self, cast: Cast, client_row: Client) -> None:
        browser, url = cast.client(cast.ada), book(cast, "clients/{client}/")
        browser.post(url, {"name": "The club", "health": "hazelnut and sesame", "do": "hold"})
        assert "sesame" in browser.get(url).content.decode()
        browser.post(book(cast, "clients/{client}/erase/"), {"do": "health"})
        assert "sesame" not in browser.get(url).content.decode()
