"""Old versions read sheet by sheet, a changed kitchen taken in on purpose, clients linked, sign-in off again."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client as Browser
from tests.web.conftest import PASSWORD, Cast, example

from tierwright.web.models import Audit, Client, Commission, Kitchen, Version


def warmer(cast: Cast) -> None:
    kitchen = Kitchen.objects.get(pk=cast.kitchen.pk)
    kitchen.data = {**kitchen.data, "room": "27 C", "note": "a hot summer"}
    kitchen.save()


class TestKitchenAsItStands:
    def test_it_is_offered_once_the_kitchen_has_changed(self, cast: Cast) -> None:
        browser = cast.client(cast.ada)
        assert "The kitchen has changed since" not in browser.get(cast.url()).content.decode()
        assert "stands already" in browser.get(cast.url("kitchen/")).content.decode()
        warmer(cast)
        assert "The kitchen has changed since" in browser.get(cast.url()).content.decode()
        assert "The kitchen has changed since" not in cast.client(cast.ben).get(cast.url()).content.decode()

    def test_what_moves_is_shown_before_it_is_kept(self, cast: Cast) -> None:
        browser = cast.client(cast.ada)
        warmer(cast)
        shown = browser.get(cast.url("kitchen/")).content.decode()
        assert "the usual warmth of the room" in shown
        assert "Keep it" in shown
        assert "before" in shown
        assert Commission.objects.get(pk=cast.commission.pk).head == 1, "looking keeps nothing"
        assert browser.post(cast.url("kitchen/"), {"base": "1"}).status_code == 302
        kept = Version.objects.get(commission=cast.commission, number=2)
        assert kept.kitchen["room"] == "27 C"
        assert kept.brief == Version.objects.get(commission=cast.commission, number=1).brief
        assert "with the kitchen as it stands" in kept.words
        assert "The kitchen has changed since" not in browser.get(cast.url()).content.decode()

    def test_a_version_kept_meanwhile_is_not_overwritten(self, cast: Cast) -> None:
        warmer(cast)
        answer = cast.client(cast.ada).post(cast.url("kitchen/"), {"base": "7"})
        assert answer.status_code == 409
        assert Commission.objects.get(pk=cast.commission.pk).head == 1


class TestOlderVersions:
    @pytest.fixture
    def second(self, cast: Cast) -> Cast:
        url = cast.url("sheet/tiers/change/portion/")
        typed = {"base": "1", "seen": "0", "do": "keep", "portion.width": "30 mm", "portion.depth": "2 in",
                 "portion.height": "4 in", "portion.pattern": "rings", "portion.measured_at": "middle of the ring",
                 "portion.cut_by": "caterer"}  # fmt: skip
        assert cast.client(cast.ada).post(url, typed).status_code == 302
        return cast

    @pytest.mark.parametrize("rest", ["", "sheet/tiers/", "sheet/price/", "questions/", "working/portions.made/"])
    def test_every_page_of_an_older_one_opens_and_changes_nothing(self, second: Cast, rest: str) -> None:
        page = second.client(second.ada).get(second.url(rest) + "?version=1").content.decode()
        assert "This is version 1 of 2, to be read only." in page
        assert 'method="post"' not in page.replace("sign-out", "").partition("<main")[2]
        assert "/change/" not in page
        assert "?version=1" in page, "its links stay in that version"

    def test_the_latest_is_not_called_old(self, second: Cast) -> None:
        assert "read only" not in second.client(second.ada).get(second.url("") + "?version=2").content.decode()

    def test_an_older_one_is_for_owners_and_there_must_be_such_a_one(self, second: Cast) -> None:
        assert second.client(second.ben).get(second.url("") + "?version=1").status_code == 404
        assert second.client(second.ben).get(second.url("") + "?version=2").status_code == 200
        assert second.client(second.ada).get(second.url("") + "?version=9").status_code == 404


class TestClientOfACommission:
    def test_a_client_is_linked_written_down_and_unlinked(self, cast: Cast) -> None:
        browser = cast.client(cast.ada)
        known = Client.objects.create(kitchen=cast.kitchen, name="The club")
        browser.post(cast.url("client-of/"), {"client": known.pk})
        assert Commission.objects.get(pk=cast.commission.pk).client == known
        page = browser.get(f"/k/{cast.kitchen.pk}/books/clients/{known.pk}/").content.decode()
        assert cast.commission.title in page
        browser.post(cast.url("client-of/"), {"client": "new"})
        written = Commission.objects.get(pk=cast.commission.pk).client
        assert written is not None
        assert written.name == "The supper committee"
        browser.post(cast.url("client-of/"), {"client": ""})
        assert Commission.objects.get(pk=cast.commission.pk).client is None

    def test_another_kitchens_client_cannot_be_linked(self, cast: Cast) -> None:
        theirs = Client.objects.create(kitchen=cast.other, name="Theirs")
        assert cast.client(cast.ada).post(cast.url("client-of/"), {"client": theirs.pk}).status_code == 404
        assert Commission.objects.get(pk=cast.commission.pk).client is None


@pytest.mark.django_db
def test_sign_in_is_turned_off_again_by_the_maker_at_this_machine_alone() -> None:
    from tierwright.web.people.local import ensure_maker, sign_in_is_on
    from tierwright.web.serve import lay_down

    kitchen = lay_down(example(), ensure_maker())
    here = Browser()
    here.post("/turn-on/", {"username": "ada", "password": PASSWORD})
    assert sign_in_is_on()
    assert Browser().post("/turn-off/", {"password": PASSWORD}).status_code == 403, "not signed in"
    elsewhere = Browser(REMOTE_ADDR="192.0.2.7")
    elsewhere.force_login(User.objects.get(), backend="django.contrib.auth.backends.ModelBackend")
    assert elsewhere.post("/turn-off/", {"password": PASSWORD}).status_code == 403
    helper = User.objects.create_user("ben", password=PASSWORD)
    other = Browser()
    other.force_login(helper, backend="django.contrib.auth.backends.ModelBackend")
    assert other.post("/turn-off/", {"password": PASSWORD}).status_code == 403
    assert here.post("/turn-off/", {"password": "wrong"}).status_code == 422
    assert sign_in_is_on()
    assert here.post("/turn-off/", {"password": PASSWORD}).status_code == 302
    assert not sign_in_is_on()
    assert Browser().get(f"/k/{kitchen.pk}/").status_code == 200
    assert Browser(REMOTE_ADDR="192.0.2.7").get(f"/k/{kitchen.pk}/").status_code == 302
    assert Audit.objects.filter(deed="sign-in turned off").exists()
