"""Sessions, passwords, forms from elsewhere, headers, error pages, the log; docs/security.md names each test."""

from __future__ import annotations

import io
import json
import logging
import re
import runpy
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.contrib.sessions.models import Session
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import URLPattern
from django.utils import timezone
from tests.web.conftest import PASSWORD, Cast
from tests.web.test_access import any_address, patterns

from tierwright.web import settings as ours
from tierwright.web.access import Door
from tierwright.web.api.tokens import make_token
from tierwright.web.keepsafe.discreet import KEPT_BACK, DiscreetFormatter, discreet
from tierwright.web.models import Audit, ClientQuestion, Membership, Version
from tierwright.web.shared.links import make_link

ANOTHER = "other unlike words there"
HEALTH = "collapses from pistachio"


def signed_in(name: str, password: str = PASSWORD, **more: Any) -> Client:
    browser = Client(**more)
    assert browser.post("/sign-in/", {"username": name, "password": password}).status_code == 302
    return browser


def address(route: str, pattern: URLPattern, cast: Cast) -> str:
    """Return some address that leads to a view, those of the API included."""
    if route.startswith("api/v1/"):
        return "/" + re.sub(r"<[^>]+>", str(cast.commission.pk), route)
    return any_address(route, pattern, cast)


def key_of(browser: Client) -> str:
    return browser.cookies[ours.SESSION_COOKIE_NAME].value


class TestSession:
    def test_a_session_begins_with_the_sign_in_and_ends_with_the_sign_out(self, cast: Cast) -> None:
        browser = Client()
        # A key that somebody planted before the sign-in is worth nothing after it.
        planted = browser.session
        planted["x"] = 1
        planted.save()
        browser.post("/sign-in/", {"username": "ada", "password": PASSWORD})
        key = key_of(browser)
        assert key != planted.session_key
        assert not Session.objects.filter(session_key=planted.session_key).exists()
        # 32 characters out of 36: 165 bits.
        assert re.fullmatch("[0-9a-z]{32}", key)
        cookie = browser.cookies[ours.SESSION_COOKIE_NAME]
        assert (cookie["httponly"], cookie["samesite"], cookie["path"], cookie["domain"]) == (True, "Lax", "/", "")
        assert cookie["max-age"] == 14 * 24 * 3600
        assert browser.get(cast.url("versions/")).status_code == 200
        browser.post("/sign-out/")
        taken = Client()
        taken.cookies[ours.SESSION_COOKIE_NAME] = key
        assert taken.get(cast.url("versions/")).status_code == 302
        assert browser.get("/sign-out/").status_code == 405

    def test_a_session_that_has_run_out_opens_nothing(self, cast: Cast) -> None:
        browser = signed_in("ada")
        Session.objects.update(expire_date=timezone.now() - timedelta(seconds=1))
        assert browser.get(cast.url("versions/")).status_code == 302

    def test_another_password_ends_every_other_session(self, cast: Cast) -> None:
        here, elsewhere = signed_in("ben"), signed_in("ben")
        before, page = key_of(here), f"/k/{cast.kitchen.pk}/"
        wrong = {"old_password": "not it at all", "new_password1": ANOTHER, "new_password2": ANOTHER}
        assert here.post("/password/", wrong).status_code == 422
        short = {"old_password": PASSWORD, "new_password1": "short", "new_password2": "short"}
        assert here.post("/password/", short).status_code == 422
        assert elsewhere.get(page).status_code == 200
        assert here.post("/password/", wrong | {"old_password": PASSWORD}).status_code == 302
        assert here.get(page).status_code == 200
        assert key_of(here) != before
        assert elsewhere.get(page).status_code == 302
        signed_in("ben", ANOTHER)
        # No mail is sent: the owner reads it in the record.
        assert Audit.objects.filter(kitchen=cast.kitchen, deed="password changed", user=cast.ben).count() == 1

    def test_without_sign_in_there_is_no_password_to_change(self, cast: Cast) -> None:
        assert Client().get("/password/")["Location"].startswith("/sign-in/")
        cast.ada.set_unusable_password()
        cast.ada.save()
        assert cast.client(cast.ada).get("/password/")["Location"] == "/turn-on/"

    @pytest.mark.parametrize("onward", [
        "https://evil.example/", "//evil.example/", "/\\evil.example/", "///evil.example", "https:evil.example",
        "javascript:alert(1)", "http:///evil.example",
    ])  # fmt: skip
    def test_the_sign_in_leads_to_these_pages_alone(self, cast: Cast, onward: str) -> None:
        sent = {"username": "ada", "password": PASSWORD, "next": onward}
        assert Client().post("/sign-in/", sent)["Location"] == "/"
        assert cast.client(cast.ada).get("/sign-in/", {"next": onward})["Location"] == "/"


@pytest.mark.parametrize(("password", "stands"), [
    ("elevensigns", False), ("twelve signs", True), ("allinlowercase", True), ("x y" * 21 + "z", True),
    ("\N{BIRTHDAY CAKE} über vier Wörter", True), ("ab " * 42 + "cd", True), ("ab " * 43, False),
    ("ada-lovelace-1815", False), ("1234567890123", False), ("qwertyqwerty", False),
])  # fmt: skip
def test_what_a_password_may_be(password: str, stands: bool) -> None:
    user = User(username="ada-lovelace-1815")
    if stands:
        validate_password(password, user)
        user.set_password(password)
        # Nothing is cut off on the way.
        assert not user.check_password(password[:-1])
    else:
        with pytest.raises(ValidationError):
            validate_password(password, user)


def test_every_form_from_elsewhere_is_refused_everywhere(cast: Cast) -> None:
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(cast.ada, backend="django.contrib.auth.backends.ModelBackend")
    wrong: list[str] = []
    for route, pattern in patterns():
        answer = browser.post(address(route, pattern, cast))
        # The API knows no cookie: without a token it answers nobody, signed in or not.
        expected = (401, 403, 405) if route.startswith("api/v1/") else (403,)
        if answer.status_code not in expected:
            wrong.append(f"{route}: {answer.status_code}")
    assert wrong == []
    assert Version.objects.count() == 2
    assert Audit.objects.exclude(deed="begun").count() == 0


def faults_of(answer: Any) -> Iterator[str]:
    """Yield what an answer's headers lack."""
    policy = answer.get("Content-Security-Policy", "")
    wanted = {
        "policy": "default-src 'none'" in policy and "frame-ancestors 'none'" in policy and "unsafe" not in policy,
        "frames": answer.get("X-Frame-Options") == "DENY",
        "sniffing": answer.get("X-Content-Type-Options") == "nosniff",
        "referrer": answer.get("Referrer-Policy") == "same-origin",
        "cache": "private" in answer.get("Cache-Control", "") or "no-store" in answer.get("Cache-Control", ""),
        "sharing": "Access-Control-Allow-Origin" not in answer,
        "versions": not {"Server", "X-Powered-By", "Via"} & set(answer.headers),
        "type": "charset=utf-8" in answer.get("Content-Type", "").casefold() or not answer.get(
            "Content-Type", "text/").startswith("text/"),
    }  # fmt: skip
    yield from (name for name, found in wanted.items() if not found)
    if answer.get("Content-Type", "").startswith("application/json") and "attachment" not in answer.get(
        "Content-Disposition", ""
    ):
        yield "opens as a page"


def test_every_answer_is_sealed_and_knows_few_methods(cast: Cast) -> None:
    owner, stranger = cast.client(cast.ada), cast.client(None)
    wrong: list[str] = []
    for route, pattern in patterns():
        url = address(route, pattern, cast)
        for browser in (owner, stranger):
            answer = browser.get(url)
            wrong += [f"{route}, {answer.status_code}: {fault}" for fault in faults_of(answer)]
        for method in ("PUT", "PATCH", "DELETE", "TRACE"):
            status = owner.generic(method, url).status_code
            # Whoever is signed in already is led on from the sign-in before anything is read.
            if status not in ((302,) if pattern.name == "sign-in" else (404, 405)):
                wrong.append(f"{route}: {method} gives {status}")
    for url in ("/nowhere/", "/static/web/", "/static/../settings.py", "/.git/config"):
        answer = owner.get(url)
        assert answer.status_code == 404
        wrong += [f"{url}: {fault}" for fault in faults_of(answer)]
    assert wrong == []


@pytest.fixture
def https(monkeypatch: pytest.MonkeyPatch, settings: Any) -> Any:
    """Take the settings as they are behind a proxy that speaks HTTPS."""
    monkeypatch.setenv("TIERWRIGHT_HTTPS", "yes")
    monkeypatch.setenv("TIERWRIGHT_HOSTS", "cakes.example")
    found = runpy.run_path(str(Path(ours.__file__)))
    for name, value in found.items():
        if name.startswith(("SECURE_", "SESSION_", "CSRF_", "ALLOWED_")):
            setattr(settings, name, value)
    return settings


def test_behind_https_everything_is_said_over_https(cast: Cast, https: Any) -> None:
    plain = Client(HTTP_HOST="cakes.example").get("/sign-in/")
    assert (plain.status_code, plain["Location"]) == (301, "https://cakes.example/sign-in/")
    browser = Client(HTTP_HOST="cakes.example", HTTP_X_FORWARDED_PROTO="https")
    page = browser.get("/sign-in/")
    assert page["Strict-Transport-Security"] == "max-age=31536000; includeSubDomains; preload"
    browser.post("/sign-in/", {"username": "ada", "password": PASSWORD})
    for name in ("__Host-tierwright_session", "__Host-tierwright_csrf"):
        cookie = browser.cookies[name]
        assert (cookie["secure"], cookie["httponly"], cookie["path"], cookie["domain"]) == (True, True, "/", "")
    assert browser.get(cast.url("versions/")).status_code == 200
    assert Client(HTTP_HOST="evil.example", HTTP_X_FORWARDED_PROTO="https").get("/sign-in/").status_code == 400


def test_the_name_of_the_host_is_not_believed(cast: Cast) -> None:
    assert Client(HTTP_HOST="evil.example").get("/sign-in/").status_code == 400
    browser = cast.client(cast.ada)
    page = browser.post(cast.url("client/"), {"days": "7"}, headers={"X-Forwarded-Host": "evil.example"})
    assert re.search(r"http://testserver/client/[\w-]{43}/", page.content.decode())
    assert "evil.example" not in page.content.decode()


def test_nothing_is_shown_of_an_error(cast: Cast, monkeypatch: pytest.MonkeyPatch, settings: Any) -> None:
    def breaks(_deed: str) -> str:
        raise ValueError(HEALTH)

    monkeypatch.setattr("tierwright.web.people.views.deed_words", breaks)
    monkeypatch.delenv("TIERWRIGHT_DEBUG", raising=False)
    assert runpy.run_path(str(Path(ours.__file__)))["DEBUG"] is False
    browser = cast.client(cast.ada)
    browser.raise_request_exception = False
    answer = browser.get(f"/k/{cast.kitchen.pk}/record/")
    page = answer.content.decode()
    assert answer.status_code == 500
    assert "Something went wrong" in page
    for part in (HEALTH, "Traceback", "ValueError", "Django", ".py", settings.SECRET_KEY):
        assert part not in page


class TestLog:
    def test_it_is_written_by_the_discreet_hand(self) -> None:
        assert ours.LOGGING["handlers"]["console"]["formatter"] == "discreet"  # type: ignore[index]
        assert any(isinstance(handler.formatter, DiscreetFormatter) for handler in logging.getLogger().handlers)

    def test_an_error_is_found_by_its_place_and_kind(self) -> None:
        try:
            try:
                raise KeyError(HEALTH)
            except KeyError as error:
                raise ValueError(HEALTH) from error
        except ValueError as error:
            raised = (type(error), error, error.__traceback__)
            record = logging.LogRecord("x", logging.ERROR, "", 1, "broke", (), raised)
        # Another handler has written it in full before.
        record.exc_text = logging.Formatter().formatException(raised)
        text = DiscreetFormatter().format(record)
        assert HEALTH not in text
        assert text.count("test_security.py") == 2
        assert text.index("ValueError") < text.index("KeyError")

    def test_long_tokens_and_addresses_of_clients_are_kept_back(self) -> None:
        token = "aB3-_" * 8 + "xyz"
        for line in (f"Not Found: /client/{token}/answers/", f"got {token}", f"Bearer {token}, then", f"'{token}'"):
            assert token not in discreet(line)
        assert discreet("Not Found: /k/1/c/2/") == "Not Found: /k/1/c/2/"

    def test_a_whole_day_leaves_nothing_private_in_log_or_record(
        self, cast: Cast, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        out = io.StringIO()
        hand = logging.StreamHandler(out)
        hand.setFormatter(DiscreetFormatter())
        root, level = logging.getLogger(), logging.getLogger().level
        root.addHandler(hand)
        root.setLevel(logging.INFO)
        try:
            private = self._day(cast, monkeypatch)
        finally:
            root.removeHandler(hand)
            root.setLevel(level)
        log = out.getvalue()
        record = "\n".join(Audit.objects.values_list("words", flat=True))
        for text in private:
            assert text not in log
            assert text not in record
        # It does say what happened.
        assert f"Not Found: /client/{KEPT_BACK}" in log
        assert f"builtins.ValueError: {KEPT_BACK}" in log
        assert "Forbidden" in log

    @staticmethod
    def _day(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> tuple[str, ...]:
        Client().post("/sign-in/", {"username": "ada", "password": ANOTHER})
        browser = signed_in("ada")
        browser.raise_request_exception = False
        link, token = make_link(cast.commission, 7)
        question = ClientQuestion.objects.create(commission=cast.commission, text="Which ribbon?")
        # A change of what touches health: kept, and once refused.
        row = "allergies[1]"
        typed = {"base": "1", f"{row}.allergen": "hazelnut", f"{row}.count": "1", f"{row}.note": HEALTH}
        form = cast.url("sheet/tiers/change/diets/")
        assert browser.post(form, typed | {"do": "look", f"{row}.count": HEALTH}).status_code == 422
        assert browser.post(form, typed | {"do": "keep", "seen": "1"}).status_code == 302
        assert HEALTH in json.dumps(Version.objects.get(commission=cast.commission, number=2).brief)
        browser.post(f"/k/{cast.kitchen.pk}/books/clients/0/", {"name": "Quillon Abernathy", "health": HEALTH})
        stranger = Client(enforce_csrf_checks=True)
        stranger.post(f"/client/{token}/answers/", {f"answer-{question.pk}": HEALTH})
        Client().post(f"/client/{token}/answers/", {f"answer-{question.pk}": HEALTH * 200})
        Client().post(f"/client/{token}/answers/", {f"answer-{question.pk}": HEALTH})
        link.withdrawn_at = timezone.now()
        link.save()
        assert Client().get(f"/client/{token}/").status_code == 404
        door = Door(membership=Membership.objects.get(user=cast.ada), user=cast.ada)
        key = make_token(door, "till")[1]
        bearer = {"Authorization": f"Bearer {key}"}
        body = json.dumps({"changes": {"title": HEALTH, "guests": {"invited": HEALTH}}})
        preview = f"/api/v1/commissions/{cast.commission.pk}/preview"
        assert Client().post(preview, body, content_type="application/json", headers=bearer).status_code == 422
        Client().get("/api/v1/commissions", headers={"Authorization": f"Bearer {key}x"})

        def breaks(*_given: Any, **_more: Any) -> None:
            raise ValueError(f"{HEALTH} at /client/{token}/ for {key}")

        monkeypatch.setattr("tierwright.web.people.views.deed_words", breaks)
        assert browser.get(f"/k/{cast.kitchen.pk}/record/").status_code == 500
        return HEALTH, token, key, PASSWORD, ANOTHER, key_of(browser), "Quillon"
