"""The work itself: changes seen before they are kept, versions, drafts that are never lost, two tabs, the board."""

from __future__ import annotations

import json
import re
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from tests.web.conftest import Cast, example

from tierwright.dossier import from_json
from tierwright.web.frame.change import Overtaken, keep, written_at
from tierwright.web.frame.filling import written
from tierwright.web.models import Commission, Draft, Version
from tierwright.web.work.tiers.forms import GUESTS

GUESTS_URL = "sheet/tiers/change/guests/"
LIVE = {"HX-Request": "true"}


def guests(cast: Cast, **changed: str) -> dict[str, str]:
    version = Version.objects.get(commission=cast.commission, number=1)
    return written(GUESTS, version.brief) | {f"guests.{name}": text for name, text in changed.items()}


def test_what_would_move_is_shown_before_anything_is_kept(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    answer = browser.post(cast.url(GUESTS_URL), {"do": "look", "base": "1", **guests(cast, attending="84 to 92")})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Portions wanted" in page
    assert "Keep it" in page
    assert 'id="after-title"' in page, "the cake is drawn anew"
    assert Commission.objects.get(pk=cast.commission.pk).head == 1


def test_a_kept_change_is_the_next_version_and_the_first_stays_as_it_was(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    before = bytes(Version.objects.get(commission=cast.commission, number=1).dossier)
    answer = browser.post(cast.url(GUESTS_URL), {"do": "keep", "base": "1", **guests(cast, attending="84 to 92")})
    assert answer.status_code == 302
    row = Commission.objects.get(pk=cast.commission.pk)
    kept = Version.objects.get(commission=row, number=2)
    assert row.head == 2
    assert kept.brief["guests"]["attending"] == "84 to 92"
    assert kept.words == "People who will come: 102 to 118 → 84 to 92"
    assert kept.made_by == cast.ada
    assert row.portions < cast.commission.portions
    assert bytes(Version.objects.get(commission=row, number=1).dossier) == before
    assert not Draft.objects.exists()
    assert row.audit.filter(deed="kept").exists()
    with pytest.raises(ValueError, match="not changed"):
        kept.save()


def test_what_is_wrong_is_said_beside_the_field_and_what_was_typed_stays(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    typed = guests(cast, invited="many", attending="130 to 140", eating_cake="")
    answer = browser.post(cast.url(GUESTS_URL), {"do": "keep", "base": "1", **typed})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="many"' in page
    assert 'value="130 to 140"' in page
    assert 'aria-invalid="true"' in page
    assert Version.objects.filter(commission=cast.commission).count() == 1


def test_a_wish_that_nothing_can_meet_says_what_would(cast: Cast) -> None:
    typed = guests(cast, invited="5000", attending="4800 to 5000")
    answer = cast.client(cast.ada).post(cast.url(GUESTS_URL), {"do": "look", "base": "1", **typed})
    assert answer.status_code == 422
    assert "This cannot be worked through yet" in answer.content.decode()


def test_typing_is_kept_as_a_draft_and_found_again(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    url = cast.url(GUESTS_URL)
    live = browser.post(url, {"base": "1", "seen": "0", **guests(cast, invited="9x")}, headers=LIVE)
    assert live.status_code == 200
    assert "hx-swap-oob" in live.content.decode()
    again = cast.client(cast.ada).get(url).content.decode()
    assert 'value="9x"' in again
    assert "never kept" in again
    browser.post(url, {"do": "drop"})
    assert 'value="124"' in browser.get(url).content.decode()


def test_drafts_are_one_persons_own(cast: Cast) -> None:
    from tierwright.web.models import Membership, Role

    Membership.objects.filter(user=cast.ben).update(role=Role.OWNER)
    cast.client(cast.ada).post(cast.url(GUESTS_URL), {"base": "1", **guests(cast, invited="130")}, headers=LIVE)
    assert 'value="124"' in cast.client(cast.ben).get(cast.url(GUESTS_URL)).content.decode()


def test_a_second_tab_sees_what_the_first_typed_and_chooses(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url(GUESTS_URL)
    browser.post(url, {"base": "1", "seen": "0", **guests(cast, invited="130")}, headers=LIVE)
    clash = browser.post(url, {"base": "1", "seen": "0", **guests(cast, invited="140")})
    page = clash.content.decode()
    assert clash.status_code == 409
    assert "130" in page
    assert "140" in page
    assert Draft.objects.get().typed["guests.invited"] == "130", "nothing was written over"
    settled = {
        "base": "1",
        "seen": "0",
        "settles": "draft",
        "choose:guests.invited": "theirs",
        "theirs:guests.invited": "130",
        **guests(cast, invited="140"),
    }
    assert browser.post(url, settled).status_code == 200
    assert Draft.objects.get().typed["guests.invited"] == "130"


def test_two_tabs_with_different_fields_are_merged(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url(GUESTS_URL)
    browser.post(url, {"base": "1", "seen": "0", **guests(cast, invited="130")}, headers=LIVE)
    browser.post(url, {"base": "1", "seen": "0", **guests(cast, attending="90 to 95")}, headers=LIVE)
    typed = Draft.objects.get().typed
    assert (typed["guests.invited"], typed["guests.attending"]) == ("130", "90 to 95")


def test_a_version_kept_by_somebody_else_is_seen_and_chosen_against(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url(GUESTS_URL)
    browser.post(url, {"do": "keep", "base": "1", **guests(cast, invited="130")})
    clash = browser.post(url, {"do": "keep", "base": "1", **guests(cast, invited="140")})
    assert clash.status_code == 409
    assert "Another version has been kept since" in clash.content.decode()
    assert Commission.objects.get(pk=cast.commission.pk).head == 2
    chosen = {"choose:guests.invited": "mine", "settles": "version-2", "seen": "1"}
    answer = browser.post(url, {"do": "keep", "base": "1", **chosen, **guests(cast, invited="140")})
    assert answer.status_code == 302
    assert written_at(GUESTS, cast.commission, 3)["guests.invited"] == "140"


def test_a_change_of_another_sheet_in_between_is_no_clash(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    browser.post(cast.url(GUESTS_URL), {"do": "keep", "base": "1", **guests(cast, invited="130")})
    answer = browser.post(
        cast.url("sheet/tiers/change/portion/"),
        {"do": "keep", "base": "1", "portion.width": "1 in", "portion.depth": "2 in", "portion.height": "5 in"},
    )
    assert answer.status_code == 302
    latest = Version.objects.get(commission=cast.commission, number=3)
    assert (latest.brief["guests"]["invited"], latest.brief["portion"]["height"]) == (130, "5 in")


def test_nobody_writes_over_a_version_kept_in_the_same_moment(cast: Cast) -> None:
    from tierwright.web.access import Door

    door = Door(membership=cast.ada.memberships.get(), user=cast.ada)
    keep(door, cast.commission, 1, example().tried, example().kitchen, "first")
    with pytest.raises(Overtaken):
        keep(door, cast.commission, 1, example().tried, example().kitchen, "second")


def test_two_versions_are_held_against_each_other_and_one_is_quoted(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    browser.post(cast.url(GUESTS_URL), {"do": "keep", "base": "1", **guests(cast, attending="84 to 92")})
    page = browser.get(cast.url("versions/compared/?from=2&to=1")).content.decode()
    assert "Version 1 against version 2" in page
    assert "Portions wanted" in page
    assert browser.post(cast.url("versions/1/quote/")).status_code == 302
    assert "1 quoted" in browser.get(cast.url()).content.decode()
    assert browser.post(cast.url("versions/9/quote/")).status_code == 404


def test_settling_on_a_stack_fixes_its_tiers_and_keeps_them(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    version = Version.objects.get(commission=cast.commission, number=1)
    from tierwright.web.frame.desk import dossier_of

    wanted = dossier_of(version).sizing.stacks[1]
    assert browser.post(cast.url("sheet/tiers/settle/"), {"stack": "1"}).status_code == 302
    draft = Draft.objects.get()
    answer = browser.post(
        cast.url("sheet/tiers/change/settled/"), {"do": "keep", "base": "1", "seen": str(draft.revision), **draft.typed}
    )
    assert answer.status_code == 302, answer.content.decode()
    stack = dossier_of(Version.objects.get(commission=cast.commission, number=2)).sizing.stack
    assert [tier.outline for tier in stack.tiers] == [tier.outline for tier in wanted.tiers]


def test_every_figure_opens_to_its_working(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    page = browser.get(cast.url("working/portions.wanted/")).content.decode()
    assert "Worked as" in page
    assert "Source" in page
    part = browser.get(cast.url("working/portions.wanted/"), headers={"X-Part": "working"}).content.decode()
    assert "<html" not in part
    assert browser.get(cast.url("working/no.such.figure/")).status_code == 404


def test_files_to_take_away(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    assert browser.get(cast.url("sheets.pdf")).content.startswith(b"%PDF-")
    dossier = from_json(browser.get(cast.url("dossier.json")).content)
    assert dossier.commission.title == cast.commission.title
    assert json.loads(browser.get(cast.url("brief.json")).content)["portion"]["width"] == "1 in"


def test_a_first_enquiry_becomes_a_commission(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), f"/k/{cast.kitchen.pk}/new/"
    page = browser.get(url).content.decode()
    assert "Vanilla layer cake" in page, "the kitchen's own formulas are offered"
    typed = {
        "title": "A harvest supper",
        "day.date": "2027-09-18",
        "day.handover": "15:00",
        "day.cutting": "17:30",
        "day.timezone": "America/Denver",
        "guests.invited": "70",
        "venue.name": "The barn",
        "venue.altitude": "1500 m",
        "venue.temperature": "18 to 22 C",
        "travel.time": "25 min",
        "jurisdiction": "US",
        "cake.flavours[1].name": "Vanilla",
        "cake.flavours[1].cake": "vanilla",
        "cake.flavours[1].filling": "lemon-curd",
        "cake.flavours[1].coat": "swiss-buttercream",
    }
    half = {name: text for name, text in typed.items() if not name.startswith(("venue", "cake"))}
    assert browser.post(url, {"seen": "0", **half}, headers=LIVE).status_code == 200
    assert 'value="A harvest supper"' in browser.get(url).content.decode()
    assert "half written" in browser.get(f"/k/{cast.kitchen.pk}/").content.decode()
    looked = browser.post(url, {"seen": "1", "do": "look", **typed})
    assert looked.status_code == 200
    assert "Begin this commission" in looked.content.decode()
    answer = browser.post(url, {"seen": "2", "do": "keep", **typed})
    assert answer.status_code == 302, answer.content.decode()
    new = Commission.objects.get(title="A harvest supper")
    brief = Version.objects.get(commission=new, number=1).brief
    assert sorted(formula["key"] for formula in brief["formulas"]) == ["lemon-curd", "swiss-buttercream", "vanilla"]
    assert not Draft.objects.exists()
    assert browser.get(answer["Location"]).status_code == 200


PAGE = """<html><head><script type="application/ld+json">{"@type": "Recipe", "name": "Plain sponge",
"recipeIngredient": ["200 g caster sugar", "200 g plain flour", "4 large eggs"]}</script></head></html>"""


def test_a_formula_is_brought_in_beside_what_was_understood(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url("sheet/formulas/bring-in/")
    typed = {"name": "Honey cake", "kind": "creamed", "text": "200 g honey\n2 cups moonbeams\n\nStir."}
    looked = browser.post(url, {"do": "look", **typed}).content.decode()
    assert "honey" in looked
    assert "1 line is not understood" in looked
    typed["text"] = "200 g butter\n200 g caster sugar\n4 large eggs\n200 g plain flour\n2 tsp baking powder\n\nStir."
    assert browser.post(url, {"do": "keep", **typed}).status_code == 302
    latest = Version.objects.get(commission=cast.commission, number=2)
    assert latest.brief["formulas"][-1]["key"] == "honey-cake"
    assert latest.brief["formulas"][-1]["method"] == ["Stir."]
    assert cast.kitchen.formulas.filter(key="honey-cake").exists()


def test_a_saved_recipe_page_is_taken_apart(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url("sheet/formulas/bring-in/")
    sent = {"kind": "sponge", "file": SimpleUploadedFile("page.html", PAGE.encode(), "text/html")}
    page = browser.post(url, sent).content.decode()
    assert "Plain sponge" in page
    assert "200 g caster sugar" in page


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("virus.exe", b"MZ", "ends in .txt"),
        ("page.html", b"\xff\xfe\x00bad", "not text in UTF-8"),
        ("page.txt", b"a\x00b", "not a text file"),
        ("page.txt", b"x" * 4_000_001, "larger than 4 MB"),
    ],
)
def test_files_that_are_no_recipe_are_refused(cast: Cast, name: str, content: bytes, said: str) -> None:
    sent = {"kind": "sponge", "file": SimpleUploadedFile(name, content)}
    answer = cast.client(cast.ada).post(cast.url("sheet/formulas/bring-in/"), sent)
    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_put_away_can_be_undone(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    page = browser.post(cast.url("put-away/"), follow=True).content.decode()
    assert "No cake is coming up" in page
    assert cast.url("bring-back/") in page
    assert cast.commission.title in browser.get(f"/k/{cast.kitchen.pk}/?show=put-away").content.decode()
    browser.post(cast.url("bring-back/"))
    assert Commission.objects.get(pk=cast.commission.pk).put_away_at is None


def test_units_and_words_are_the_kitchens(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), f"/k/{cast.kitchen.pk}/units/"
    browser.post(url, {"mass": "g", "length": "mm", "temperature": "C", "english": "uk", "language": "es"})
    cast.kitchen.refresh_from_db()
    assert cast.kitchen.data["units"] == {"mass": "g", "length": "mm", "temperature": "C", "english": "uk"}
    assert cast.kitchen.language == "es"
    page = browser.get(cast.url("sheet/tiers/")).content.decode()
    assert 'lang="es"' in page
    assert "10 in" in page, "a version is shown as it was worked"
    assert "254 mm" not in page
    assert browser.post(cast.url("kitchen/"), {"base": "1"}).status_code == 302
    page = browser.get(cast.url("sheet/tiers/")).content.decode()
    assert "254 mm" in page, "once it is worked again it follows"
    assert "10 in" not in page
    assert browser.post(url, {"length": "furlong"}).status_code == 302
    cast.kitchen.refresh_from_db()
    assert cast.kitchen.data["units"]["length"] == "mm"


def test_every_choice_of_units_makes_a_kitchen_that_is_read(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), f"/k/{cast.kitchen.pk}/units/"
    page = browser.get(url).content.decode()
    for name, options in re.findall(r'<select id="u-(\w+)".*?>(.*?)</select>', page):
        values = re.findall(r'<option value="(\w+)"', options)
        assert len(values) >= 2
        for value in values:
            browser.post(url, {name: value})
            cast.kitchen.refresh_from_db()
            if name == "language":
                assert cast.kitchen.language == value
                continue
            assert getattr(cast.kitchen.parsed().units, name) == value
            assert f'<option value="{value}" selected>' in browser.get(url).content.decode()


@pytest.mark.parametrize("rows", [1, 12])
def test_the_board_asks_as_much_for_twelve_commissions_as_for_one(
    cast: Cast, rows: int, django_assert_num_queries: object
) -> None:
    day = timezone.now() + timedelta(days=40)
    Commission.objects.bulk_create(
        Commission(
            kitchen=cast.kitchen, title=f"Cake {n}", enquired_at=timezone.now(), handover_at=day, cutting_at=day,
            last_slice_at=day + timedelta(hours=n), timezone="America/Denver", head=1, portions=50,
        )
        for n in range(rows - 1)
    )  # fmt: skip
    browser = cast.client(cast.ada)
    # Session, person, membership with kitchen, commissions, half-written enquiry.
    with django_assert_num_queries(5):  # type: ignore[operator]
        answer = browser.get(f"/k/{cast.kitchen.pk}/")
    assert answer.content.decode().count('<th scope="row">') == rows


@pytest.mark.parametrize(
    ("rest", "queries"),
    [("", 6), ("sheet/tiers/", 5), ("sheet/formulas/", 5), ("sheet/coats/", 5), ("sheet/table/", 5), ("questions/", 5),
     ("working/portions.made/", 5), (GUESTS_URL, 6), ("versions/", 6), ("versions/compared/", 9)],
)  # fmt: skip
def test_pages_ask_the_database_a_counted_number_of_times(
    cast: Cast, rest: str, queries: int, django_assert_num_queries: object
) -> None:
    browser = cast.client(cast.ada)
    # Session, person, membership with kitchen, commission, version; then what the page is about.
    with django_assert_num_queries(queries):  # type: ignore[operator]
        assert browser.get(cast.url(rest)).status_code == 200


def test_a_dossier_of_an_older_program_is_worked_again(cast: Cast) -> None:
    import zlib

    from tierwright.web.frame.desk import dossier_of

    Version.objects.filter(commission=cast.commission).update(dossier=zlib.compress(b'{"format": 0}'))
    version = Version.objects.get(commission=cast.commission)
    assert dossier_of(version).sizing.stack.portions == cast.commission.portions


def test_the_sheets_of_work_have_one_folder_each() -> None:
    from pathlib import Path

    from tierwright.web import work
    from tierwright.web.sheet import sheets

    (root,) = work.__path__
    for folder in (path for path in Path(root).iterdir() if (path / "__init__.py").is_file()):
        assert sheets()[folder.name].key == folder.name
        assert (folder / "sheet.html").is_file()
