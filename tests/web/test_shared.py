"""The client's page: who opens it, when it stops opening, what it never says, and where the answers go."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone
from django.utils.html import escape
from tests.web.conftest import Cast

from tierwright.brief import parse_commission, parse_kitchen
from tierwright.dossier import prepare
from tierwright.label import NOT_A_PROMISE, Presence
from tierwright.web.access import Door
from tierwright.web.frame.change import Tried, keep
from tierwright.web.models import Audit, ClientLink, ClientQuestion, Membership, Version
from tierwright.web.shared.known import MARKS
from tierwright.web.shared.links import digest_of, make_link


def token_for(cast: Cast, days: int = 30) -> str:
    return make_link(cast.commission, days)[1]


def page(token: str) -> str:
    answer = Client().get(f"/client/{token}/")
    assert answer.status_code == 200
    return answer.content.decode()


class TestTheMakersSide:
    PLACES = ("client/", "client/ask/", "client/links/{link}/withdraw/", "client/questions/{question}/")

    @pytest.mark.parametrize("place", PLACES)
    def test_only_an_owner_of_the_kitchen(self, cast: Cast, place: str) -> None:
        link = make_link(cast.commission, 7)[0]
        question = ClientQuestion.objects.create(commission=cast.commission, text="Which colour?")
        url = cast.url(place.format(link=link.pk, question=question.pk))
        assert cast.client(None).post(url).status_code == 302
        assert cast.client(cast.cleo).post(url).status_code == 404
        assert cast.client(cast.ben).post(url).status_code == 403
        assert cast.client(cast.ada).post(url).status_code in (302, 422)
        crossed = url.replace(f"/c/{cast.commission.pk}/", f"/c/{cast.others_commission.pk}/")
        assert cast.client(cast.ada).post(crossed).status_code == 404

    def test_anothers_link_is_not_withdrawn_through_ones_own_commission(self, cast: Cast) -> None:
        link = make_link(cast.others_commission, 7)[0]
        assert cast.client(cast.ada).post(cast.url(f"client/links/{link.pk}/withdraw/")).status_code == 404
        link.refresh_from_db()
        assert link.withdrawn_at is None

    def test_a_form_from_elsewhere_is_refused(self, cast: Cast) -> None:
        browser = Client(enforce_csrf_checks=True)
        browser.force_login(cast.ada, backend="django.contrib.auth.backends.ModelBackend")
        assert browser.post(cast.url("client/"), {"days": "30"}).status_code == 403
        assert ClientLink.objects.count() == 0

    def test_a_link_is_shown_once_and_only_its_digest_is_kept(self, cast: Cast) -> None:
        answer = cast.client(cast.ada).post(cast.url("client/"), {"days": "7"})
        found = re.search(r"/client/([\w-]{43})/", answer.content.decode())
        assert found is not None
        assert answer["Cache-Control"] == "no-store"
        link = ClientLink.objects.get()
        assert link.digest == digest_of(found[1])
        assert found[1] not in cast.client(cast.ada).get(cast.url("client/")).content.decode()
        assert not Audit.objects.filter(words__contains=found[1]).exists()
        assert page(found[1])

    def test_a_days_count_of_ones_own_is_refused(self, cast: Cast) -> None:
        assert cast.client(cast.ada).post(cast.url("client/"), {"days": "36500"}).status_code == 422

    def test_questions_are_put_answered_and_seen(self, cast: Cast) -> None:
        browser = cast.client(cast.ada)
        shown = browser.get(cast.url("client/")).content.decode()
        key = re.search(r'name="question" value="([^"]+)"', shown)
        assert key is not None
        asked = browser.post(cast.url("client/ask/"), {"question": [key[1], "made.up"], "own": "Which ribbon?"})
        assert asked.status_code == 302
        assert list(ClientQuestion.objects.values_list("key", flat=True)) == [key[1], ""]
        token = token_for(cast)
        assert "Which ribbon?" in page(token)
        own = ClientQuestion.objects.get(key="")
        Client().post(f"/client/{token}/answers/", {f"answer-{own.pk}": "  Navy blue \r\n if there is "})
        own.refresh_from_db()
        assert own.answer == "Navy blue \n if there is"
        assert own.seen_at is None
        assert "Navy blue" in browser.get(cast.url("client/")).content.decode()
        own.refresh_from_db()
        assert own.seen_at is not None

    def test_a_question_taken_back_can_be_put_again(self, cast: Cast) -> None:
        browser = cast.client(cast.ada)
        question = ClientQuestion.objects.create(commission=cast.commission, text="Which colour?")
        token = token_for(cast)
        browser.post(cast.url(f"client/questions/{question.pk}/"))
        assert "Which colour?" not in page(token)
        browser.post(cast.url(f"client/questions/{question.pk}/"))
        assert "Which colour?" in page(token)


class TestTheLink:
    def test_it_ends_by_itself(self, cast: Cast) -> None:
        token = token_for(cast)
        assert page(token)
        ClientLink.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
        assert Client().get(f"/client/{token}/").status_code == 404
        assert Client().post(f"/client/{token}/answers/").status_code == 404

    def test_it_opens_nothing_once_withdrawn(self, cast: Cast) -> None:
        token = token_for(cast)
        question = ClientQuestion.objects.create(commission=cast.commission, text="Which colour?")
        cast.client(cast.ada).post(cast.url(f"client/links/{ClientLink.objects.get().pk}/withdraw/"))
        assert Client().get(f"/client/{token}/").status_code == 404
        assert Client().post(f"/client/{token}/answers/", {f"answer-{question.pk}": "late"}).status_code == 404
        question.refresh_from_db()
        assert question.answer == ""

    def test_it_closes_when_the_commission_is_put_away(self, cast: Cast) -> None:
        token = token_for(cast)
        cast.client(cast.ada).post(cast.url("put-away/"))
        assert Client().get(f"/client/{token}/").status_code == 404

    @pytest.mark.parametrize("token", ["x", "A" * 43, "é", "%00"])
    def test_a_guess_opens_nothing(self, cast: Cast, token: str) -> None:
        token_for(cast)
        assert Client().get(f"/client/{token}/").status_code == 404

    def test_it_is_not_kept_or_indexed(self, cast: Cast) -> None:
        answer = Client().get(f"/client/{token_for(cast)}/")
        assert "no-store" in answer["Cache-Control"]
        assert "noindex" in answer["X-Robots-Tag"]
        assert answer["Referrer-Policy"] == "same-origin"
        assert "unsafe" not in answer["Content-Security-Policy"]

    def test_answers_to_anothers_questions_are_not_taken(self, cast: Cast) -> None:
        theirs = ClientQuestion.objects.create(commission=cast.others_commission, text="Theirs?")
        Client().post(f"/client/{token_for(cast)}/answers/", {f"answer-{theirs.pk}": "mine"})
        theirs.refresh_from_db()
        assert theirs.answer == ""

    def test_an_answer_from_another_site_is_refused(self, cast: Cast) -> None:
        browser = Client(enforce_csrf_checks=True)
        assert browser.post(f"/client/{token_for(cast)}/answers/", {}).status_code == 403

    def test_an_answer_that_is_too_long_stays_as_typed(self, cast: Cast) -> None:
        question = ClientQuestion.objects.create(commission=cast.commission, text="Which colour?")
        typed = "z" * 2001
        answer = Client().post(f"/client/{token_for(cast)}/answers/", {f"answer-{question.pk}": typed})
        assert answer.status_code == 422
        assert typed in answer.content.decode()
        question.refresh_from_db()
        assert question.answer == ""


class TestWhatItSays:
    def test_the_picture_and_the_portions(self, cast: Cast) -> None:
        said = page(token_for(cast))
        assert "<svg" in said
        assert str(cast.commission.portions) in said

    def test_never_free_from_and_no_money(self, cast: Cast) -> None:
        said = re.sub(r"\s+", " ", page(token_for(cast)))
        card = said[said.index("What is known of allergens") :]
        promises = re.findall(r"[^.>]*(?:free[ -]from|\b[a-z]+-free\b|suitable for)[^.<]*", card, re.IGNORECASE)
        assert [
            words for words in promises if not re.search(r"\b(no|not|nothing|cannot)\b", words, re.IGNORECASE)
        ] == []
        assert "contains" in card
        assert escape(NOT_A_PROMISE) in card
        assert str(MARKS[Presence.NOT_DECLARED][1]) == "not declared", "the word that the sentence speaks of"
        brief = Version.objects.get(commission=cast.commission).brief
        assert str(brief["budget"]) not in said
        assert brief["client"] not in said

    def test_words_from_the_brief_do_not_become_markup(self, cast: Cast) -> None:
        bad = '</text><script>alert(1)</script><img src=x onerror="a">'
        version = Version.objects.get(commission=cast.commission)
        brief = {**version.brief, "title": bad}
        brief["cake"] = {**brief["cake"], "flavours": [{**one, "name": f"{bad} {n}"}
                                                       for n, one in enumerate(brief["cake"]["flavours"])]}  # fmt: skip
        dossier = prepare(parse_commission(brief, "test"), parse_kitchen(version.kitchen, "test"))
        door = Door(membership=Membership.objects.get(user=cast.ada), user=cast.ada)
        keep(door, cast.commission, 1, Tried(brief=brief, dossier=dossier), version.kitchen, "renamed")
        ClientQuestion.objects.create(commission=cast.commission, text=bad, answer=bad, answered_at=timezone.now())
        said = page(token_for(cast))
        assert "<script>" not in said
        assert "<img" not in said
        assert "&lt;script&gt;" in said
        owners = cast.client(cast.ada).get(cast.url("client/")).content.decode()
        assert "<script>alert" not in owners
        assert "<img" not in owners
