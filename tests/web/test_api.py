"""The API: tokens, one kitchen each, the same answers as the pages, and refusals that say everything at once."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone
from tests.web.conftest import Cast

from tierwright.dossier import from_json
from tierwright.web.access import Door
from tierwright.web.api.service import merged
from tierwright.web.api.tokens import digest_of, make_token
from tierwright.web.models import ApiToken, Commission, Membership, Version


def token_of(cast: Cast) -> str:
    return make_token(Door(membership=Membership.objects.get(user=cast.ada), user=cast.ada), "till")[1]


def ask(token: str, rest: str, **more: Any) -> Any:
    return Client().get(f"/api/v1/{rest}", more, headers={"Authorization": f"Bearer {token}"})


def send(token: str, rest: str, body: Any) -> Any:
    return Client().post(f"/api/v1/{rest}", json.dumps(body), content_type="application/json",
                         headers={"Authorization": f"Bearer {token}"})  # fmt: skip


def places(cast: Cast) -> list[tuple[str, str]]:
    one = f"commissions/{cast.commission.pk}"
    return [("get", "commissions"), ("get", one), ("get", f"{one}/dossier"),
            ("get", f"{one}/compare?before=1&after=1"),
            ("post", f"{one}/preview"), ("post", f"{one}/versions"),
            ("post", "commissions"), ("post", "preview")]  # fmt: skip


class TestWho:
    def test_nobody_comes_in_without_a_token_not_even_signed_in(self, cast: Cast) -> None:
        for browser in (cast.client(None), cast.client(cast.ada)):
            for method, rest in places(cast):
                assert getattr(browser, method)(f"/api/v1/{rest}").status_code == 401, rest

    @pytest.mark.parametrize("change", [
        {"withdrawn_at": timezone.now()}, {"expires_at": timezone.now() - timedelta(seconds=1)}, {"digest": "0" * 64},
    ])  # fmt: skip
    def test_a_withdrawn_or_ended_token_lets_nobody_in(self, cast: Cast, change: dict[str, Any]) -> None:
        token = token_of(cast)
        assert ask(token, "commissions").status_code == 200
        ApiToken.objects.update(**change)
        for method, rest in places(cast):
            answer = getattr(Client(), method)(f"/api/v1/{rest}", headers={"Authorization": f"Bearer {token}"})
            assert answer.status_code == 401, rest

    def test_a_token_lasts_no_longer_than_its_makers_place(self, cast: Cast) -> None:
        token = token_of(cast)
        Membership.objects.filter(user=cast.ada).update(role="helper")
        assert ask(token, "commissions").status_code == 401
        Membership.objects.filter(user=cast.ada).delete()
        assert ask(token, "commissions").status_code == 401

    def test_another_kitchens_commission_is_not_there(self, cast: Cast) -> None:
        token, theirs = token_of(cast), cast.others_commission.pk
        for rest in (f"commissions/{theirs}", f"commissions/{theirs}/dossier",
                     f"commissions/{theirs}/compare?before=1&after=1"):  # fmt: skip
            assert ask(token, rest).status_code == 404
        for rest in (f"commissions/{theirs}/preview", f"commissions/{theirs}/versions"):
            assert send(token, rest, {"changes": {}, "base": 1}).status_code == 404
        assert [one["id"] for one in ask(token, "commissions").json()["commissions"]] == [cast.commission.pk]

    @pytest.mark.parametrize("rest", ["programs/", "programs/{token}/withdraw/"])
    def test_only_owners_make_and_withdraw_tokens(self, cast: Cast, rest: str) -> None:
        token_of(cast)
        url = f"/k/{cast.kitchen.pk}/{rest.format(token=ApiToken.objects.get().pk)}"
        assert cast.client(None).post(url).status_code == 302
        assert cast.client(cast.cleo).post(url).status_code == 404
        assert cast.client(cast.ben).post(url).status_code == 403
        browser = Client(enforce_csrf_checks=True)
        browser.force_login(cast.ada, backend="django.contrib.auth.backends.ModelBackend")
        assert browser.post(url, {"name": "x"}).status_code == 403
        assert ApiToken.objects.get().withdrawn_at is None

    def test_a_token_is_shown_once_and_only_its_digest_is_kept(self, cast: Cast) -> None:
        browser = cast.client(cast.ada)
        url = f"/k/{cast.kitchen.pk}/programs/"
        shown = browser.post(url, {"name": "<b>till</b>"}).content.decode()
        token = shown.split('id="fresh" readonly value="')[1].split('"')[0]
        assert ApiToken.objects.get().digest == digest_of(token)
        assert ask(token, "commissions").status_code == 200
        again = browser.get(url).content.decode()
        assert token not in again
        assert "<b>till" not in again
        assert browser.post(url, {"name": ""}).status_code == 422
        browser.post(f"{url}{ApiToken.objects.get().pk}/withdraw/")
        assert ask(token, "commissions").status_code == 401

    def test_anothers_token_is_not_withdrawn(self, cast: Cast) -> None:
        token_of(cast)
        url = f"/k/{cast.other.pk}/programs/{ApiToken.objects.get().pk}/withdraw/"
        assert cast.client(cast.cleo).post(url).status_code == 404


class TestAnswers:
    def test_the_dossier_is_the_one_that_was_kept(self, cast: Cast) -> None:
        answer = ask(token_of(cast), f"commissions/{cast.commission.pk}/dossier")
        assert from_json(answer.content).sizing.stack.portions == cast.commission.portions
        assert ask(token_of(cast), f"commissions/{cast.commission.pk}/dossier", version=9).status_code == 404

    def test_a_commission_comes_with_its_brief_and_versions(self, cast: Cast) -> None:
        whole = ask(token_of(cast), f"commissions/{cast.commission.pk}").json()
        assert whole["brief"] == Version.objects.get(commission=cast.commission).brief
        assert [version["number"] for version in whole["versions"]] == [1]

    def test_a_preview_moves_figures_and_keeps_nothing(self, cast: Cast) -> None:
        token = token_of(cast)
        rest = f"commissions/{cast.commission.pk}/preview"
        answer = send(token, rest, {"changes": {"guests": {"attending": "84 to 92"}}})
        assert answer.status_code == 200, answer.content
        moved = {one["key"]: one for one in answer.json()["moves"]["figures"]}
        assert moved["portions.wanted"]["after"] < moved["portions.wanted"]["before"]
        assert Commission.objects.get(pk=cast.commission.pk).head == 1

    def test_every_problem_is_said_at_once(self, cast: Cast) -> None:
        answer = send(token_of(cast), f"commissions/{cast.commission.pk}/preview",
                      {"changes": {"guests": {"invited": "many"}, "currency": "dollars"}})  # fmt: skip
        assert answer.status_code == 422
        said = {one["place"] for one in answer.json()["problems"]}
        assert {place.split(": ")[-1] for place in said} >= {"guests.invited", "currency"}

    @pytest.mark.parametrize("body", [{}, {"brief": {}, "changes": {}}, [], {"changes": 3}, "x"])
    def test_a_body_of_another_shape_is_refused(self, cast: Cast, body: Any) -> None:
        assert send(token_of(cast), f"commissions/{cast.commission.pk}/preview", body).status_code == 422

    def test_a_kept_change_is_compared_and_a_stale_one_refused(self, cast: Cast) -> None:
        token, one = token_of(cast), f"commissions/{cast.commission.pk}"
        body = {"changes": {"guests": {"attending": "84 to 92"}}, "base": 1, "words": "fewer"}
        assert send(token, f"{one}/versions", body).json()["number"] == 2
        assert send(token, f"{one}/versions", body).status_code == 409
        moves = ask(token, f"{one}/compare", before=1, after=2).json()
        assert "portions.wanted" in {move["key"] for move in moves["figures"]}
        assert ask(token, f"{one}/compare", before=1, after=7).status_code == 404

    def test_a_brief_begins_a_commission(self, cast: Cast) -> None:
        token = token_of(cast)
        brief = {**Version.objects.get(commission=cast.commission).brief, "title": "A second one"}
        assert send(token, "preview", {"brief": brief}).json()["moves"] is None
        made = send(token, "commissions", {"brief": brief})
        assert made.status_code == 201
        assert Commission.objects.get(pk=made.json()["id"]).kitchen == cast.kitchen
        first = ask(token, "commissions", limit=1).json()
        assert (len(first["commissions"]), first["next_from"]) == (1, 1)
        assert ask(token, "commissions", limit=1, start=1).json()["next_from"] is None
        assert ask(token, "commissions", limit=1000).status_code == 422


def test_the_description_is_open_and_true(cast: Cast) -> None:
    schema = Client().get("/api/v1/openapi.json").json()
    assert schema["openapi"].startswith("3.")
    assert {path.removeprefix("/api/v1/") for path in schema["paths"]} == {
        rest.split("?")[0].replace(str(cast.commission.pk), "{commission}", 1) if rest.startswith("commissions/")
        else rest for _method, rest in places(cast)
    }  # fmt: skip
    page = Client().get("/api/").content.decode()
    assert "/api/v1/commissions/{commission}/preview" in page


def test_changes_are_laid_over_as_rfc_7396_has_it() -> None:
    # RFC 7396, appendix A.
    cases: list[tuple[Any, Any, Any]] = [
        ({"a": "b"}, {"a": "c"}, {"a": "c"}), ({"a": "b"}, {"b": "c"}, {"a": "b", "b": "c"}),
        ({"a": "b"}, {"a": None}, {}),
        ({"a": "b", "b": "c"}, {"a": None}, {"b": "c"}), ({"a": ["b"]}, {"a": "c"}, {"a": "c"}),
        ({"a": "c"}, {"a": ["b"]}, {"a": ["b"]}),
        ({"a": {"b": "c"}}, {"a": {"b": "d", "c": None}}, {"a": {"b": "d"}}),
        ({"a": [{"b": "c"}]}, {"a": [1]}, {"a": [1]}), ({"e": None}, {"a": 1}, {"e": None, "a": 1}),
        ({}, {"a": {"bb": {"ccc": None}}}, {"a": {"bb": {}}}),
    ]  # fmt: skip
    for whole, changes, expected in cases:
        assert merged(whole, changes) == expected
