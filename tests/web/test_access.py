"""Every address, for every person: who is let in, who is told no, who is told nothing at all."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import pytest
from django.test import Client
from django.urls import NoReverseMatch, URLPattern, URLResolver, get_resolver, reverse
from tests.web.conftest import PASSWORD, Cast

from tierwright.web.access import Admits
from tierwright.web.models import Audit, Commission
from tierwright.web.prints import making, papers

FILLED = {
    "number": 1,
    "person": 1,
    "sheet": "tiers",
    "part": "guests",
    "key": "portions.made",
}
POST_ONLY = {"put-away", "bring-back", "quote", "person", "settle", "set-places", "sign-out"}
OPEN = (200, 302, 404, 422)


def patterns(found: URLResolver | None = None, before: str = "") -> Iterator[tuple[str, URLPattern]]:
    for entry in (found or get_resolver()).url_patterns:
        route = f"{before}{entry.pattern}"
        if isinstance(entry, URLResolver):
            yield from patterns(entry, route)
        else:
            yield route, entry


# The bench, the books, long work, papers, the week, the client's page and the programs' way in have their own matrices.
ELSEWHERE = (
    "turned",
    "bench",
    "book",
    "shared",
    "api",
    "openapi",
    "job",
    "week",
    "label-way",
    "money",
    "shop",
    "set-up",
    "paper",
)
HERE = [(route, entry) for route, entry in patterns() if entry.name and not entry.name.startswith(ELSEWHERE)]
PATTERNS = [entry for _route, entry in HERE]
OF_A_COMMISSION = [entry for route, entry in HERE if "<int:commission>" in route]


def named(pattern: URLPattern, cast: Cast, *, other: bool = False) -> str:
    kitchen, commission = (cast.other, cast.others_commission) if other else (cast.kitchen, cast.commission)
    values = {"kitchen": kitchen.pk, "commission": commission.pk, **FILLED}
    (possibility, *_rest) = get_resolver().reverse_dict.getlist(pattern.name)
    return reverse(str(pattern.name), kwargs={name: values[name] for name in possibility[0][0][1]})


def admits(pattern: URLPattern) -> Admits:
    found: Admits = pattern.callback.admits  # type: ignore[attr-defined]
    return found


def send(browser: Client, pattern: URLPattern, url: str) -> int:
    return (browser.post if pattern.name in POST_ONLY else browser.get)(url).status_code


GUESSES = (1, "tiers", "guests", "csv", "pdf", "2026", "en", "00000000-0000-4000-8000-000000000000")
"""Values for the parts of an address whose meaning does not matter: nobody gets far enough for that."""


def any_address(route: str, pattern: URLPattern, cast: Cast) -> str:
    """Return some address that leads to a view."""
    (possibility, *_rest) = get_resolver().reverse_dict.getlist(pattern.name)
    names = [name for name in possibility[0][0][1] if name not in ("kitchen", "commission")]
    ours = {"kitchen": cast.kitchen.pk, "commission": cast.commission.pk}
    kept = {name: value for name, value in ours.items() if name in possibility[0][0][1]}
    for values in product(GUESSES, repeat=len(names)):
        try:
            return reverse(str(pattern.name), kwargs=kept | dict(zip(names, values, strict=True)))
        except NoReverseMatch:
            continue
    raise AssertionError(f"no value fits {route}")


@pytest.fixture(autouse=True)
def _press_at_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is printed is looked at elsewhere; here it matters who gets it."""
    for press in (making, papers):
        monkeypatch.setattr(press, "render_pdf", lambda _pages, _book: b"%PDF-")


def test_no_address_of_a_kitchen_is_forgotten(cast: Cast) -> None:
    stranger, helper, other = cast.client(None), cast.client(cast.ben), cast.client(cast.cleo)
    wrong: list[str] = []
    count = 0
    for route, pattern in patterns():
        if "<int:kitchen>" not in route or not pattern.name:
            continue
        count += 1
        url = any_address(route, pattern, cast)

        def asked(browser: Client, url: str = url) -> int:
            status = browser.get(url).status_code
            return browser.post(url).status_code if status == 405 else status

        expected = {"nobody": (asked(stranger), (302, 403)), "another kitchen": (asked(other), (404,))}
        if admits(pattern) is Admits.OWNER:
            expected["helper"] = (asked(helper), (403,))
        wrong += [f"{who} at {route}: {status}" for who, (status, right) in expected.items() if status not in right]
        if admits(pattern) is Admits.ANYBODY:
            wrong.append(f"{route} is open to anybody")
    assert wrong == []
    assert count > 50


def test_every_view_says_whom_it_lets_in() -> None:
    assert [entry.name for _route, entry in patterns() if not hasattr(entry.callback, "admits")] == []


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda entry: str(entry.name))
def test_each_person_at_each_address(pattern: URLPattern, cast: Cast) -> None:
    whom = admits(pattern)
    url = named(pattern, cast)
    if whom is Admits.ANYBODY:
        assert send(cast.client(None), pattern, url) in (200, 302, 403)
        return
    stranger = send(cast.client(None), pattern, url)
    assert stranger == 302, "somebody not signed in is sent to sign in"
    assert send(cast.client(cast.cleo), pattern, url) == 404, "another kitchen's owner learns nothing"
    helper = send(cast.client(cast.ben), pattern, url)
    assert helper == 403 if whom is Admits.OWNER else helper == 200
    assert send(cast.client(cast.ada), pattern, url) in OPEN


@pytest.mark.parametrize("pattern", OF_A_COMMISSION, ids=lambda entry: str(entry.name))
def test_a_foreign_commission_is_not_reached_through_ones_own_kitchen(pattern: URLPattern, cast: Cast) -> None:
    url = named(pattern, cast)
    crossed = url.replace(f"/c/{cast.commission.pk}/", f"/c/{cast.others_commission.pk}/")
    assert send(cast.client(cast.ada), pattern, crossed) == 404


def test_nothing_is_changed_by_those_who_are_turned_away(cast: Cast) -> None:
    for who in (None, cast.ben, cast.cleo):
        for rest in ("put-away/", "versions/1/quote/", "sheet/tiers/change/guests/", "sheet/tiers/settle/"):
            cast.client(who).post(cast.url(rest), {"do": "keep", "guests.invited": "5", "stack": "0"})
    fresh = Commission.objects.get(pk=cast.commission.pk)
    assert (fresh.head, fresh.quoted, fresh.put_away_at, fresh.drafts.count()) == (1, None, None, 0)


def test_a_helper_sees_the_work_but_no_health_data_until_allowed(cast: Cast) -> None:
    browser = cast.client(cast.ben)
    page = browser.get(cast.url("questions/")).content.decode()
    assert "hazelnut" not in page
    assert browser.get(cast.url("sheet/labels/")).status_code == 404
    membership = cast.ben.memberships.get()
    membership.sees_health = True
    membership.save()
    assert "hazelnut" in browser.get(cast.url("questions/")).content.decode()
    assert browser.get(cast.url("sheet/labels/")).status_code == 200


def test_a_helper_is_spared_no_hazard(cast: Cast) -> None:
    assert "allergic to hazelnut" in cast.client(cast.ben).get(cast.url("sheet/formulas/")).content.decode()


def test_a_helper_sees_no_prices_until_allowed(cast: Cast) -> None:
    from tierwright.web.access import Door
    from tierwright.web.frame.desk import lay_out
    from tierwright.web.sheet import sheets

    door = Door(membership=cast.ben.memberships.get(), user=cast.ben)
    assert not lay_out(door, cast.commission.pk).admits(sheets()["price"])
    door.membership.sees_prices = True
    assert lay_out(door, cast.commission.pk).admits(sheets()["price"])


@pytest.mark.parametrize("rest", ["put-away/", "sheet/tiers/change/guests/"])
def test_a_form_from_elsewhere_is_refused(cast: Cast, rest: str) -> None:
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(cast.ada, backend="django.contrib.auth.backends.ModelBackend")
    answer = browser.post(cast.url(rest), {"do": "keep"})
    assert answer.status_code == 403
    assert "What you typed is kept" in answer.content.decode()


@pytest.mark.parametrize("rest", ["", "sheet/tiers/", "sheet/formulas/", "sheet/coats/", "sheet/table/", "questions/",
                                  "sheet/tiers/change/guests/", "versions/", "sheet/formulas/bring-in/"])  # fmt: skip
def test_pages_hold_nothing_that_the_policy_forbids(cast: Cast, rest: str) -> None:
    answer = cast.client(cast.ada).get(cast.url(rest))
    policy = answer["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    page = answer.content.decode()
    assert "<style" not in page
    assert ' style="' not in page
    assert " onclick=" not in page
    assert "<script>" not in page
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["X-Content-Type-Options"] == "nosniff"


@pytest.mark.django_db
class TestSignIn:
    def test_on_this_machine_the_maker_is_let_in_until_sign_in_is_turned_on(self) -> None:
        from tests.web.conftest import example

        from tierwright.web.people.local import ensure_maker
        from tierwright.web.serve import lay_down

        kitchen = lay_down(example(), ensure_maker())
        here, elsewhere = Client(), Client(REMOTE_ADDR="192.0.2.7")
        passed_on = Client(HTTP_X_FORWARDED_FOR="192.0.2.7")
        assert here.get(f"/k/{kitchen.pk}/").status_code == 200
        assert elsewhere.get(f"/k/{kitchen.pk}/").status_code == 302
        assert passed_on.get(f"/k/{kitchen.pk}/").status_code == 302
        assert elsewhere.get("/turn-on/").status_code == 403
        answer = here.post("/turn-on/", {"username": "ada", "password": PASSWORD})
        assert answer.status_code == 302
        assert here.get(f"/k/{kitchen.pk}/").status_code == 200
        assert Client().get(f"/k/{kitchen.pk}/").status_code == 302
        assert Client().get("/turn-on/").status_code == 403
        assert Audit.objects.filter(deed="sign-in turned on").exists()

    @pytest.mark.parametrize("password", ["short", "password123", "1234567890"])
    def test_a_poor_password_is_refused(self, password: str) -> None:
        from tierwright.web.people.local import ensure_maker, sign_in_is_on

        ensure_maker()
        assert Client().post("/turn-on/", {"username": "ada", "password": password}).status_code == 422
        assert not sign_in_is_on()

    def test_too_many_tries_have_to_wait(self, cast: Cast) -> None:
        browser = Client()
        answers = [browser.post("/sign-in/", {"username": "ada", "password": "wrong"}).status_code for _ in range(9)]
        assert answers[0] == 200
        assert answers[-1] == 429
        assert browser.post("/sign-in/", {"username": "ada", "password": PASSWORD}).status_code == 429
        # Somebody else's failures lock nobody else out.
        assert browser.post("/sign-in/", {"username": "ben", "password": PASSWORD}).status_code == 302

    def test_the_sign_in_page_sends_nobody_elsewhere(self, cast: Cast) -> None:
        answer = Client().post("/sign-in/", {"username": "ada", "password": PASSWORD, "next": "https://example.org/"})
        assert answer.status_code == 302
        assert answer["Location"] == "/"

    def test_an_ended_session_leads_back_to_the_form(self, cast: Cast) -> None:
        url = cast.url("sheet/tiers/change/guests/")
        assert Client().post(url, {"do": "keep"})["Location"] == f"/sign-in/?next={url}"
        live = Client().post(url, {"do": "look"}, headers={"HX-Request": "true"})
        assert (live.status_code, live["HX-Redirect"]) == (401, f"/sign-in/?next={url}")


def test_passwords_are_hashed_with_argon2(settings: object) -> None:
    from django.contrib.auth.hashers import make_password

    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]  # type: ignore[attr-defined]
    from tierwright.web import settings as ours

    assert ours.PASSWORD_HASHERS == ["django.contrib.auth.hashers.Argon2PasswordHasher"]
    assert make_password("x").startswith("argon2$argon2id$")


def test_the_owner_adds_and_takes_out_a_helper(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    url = f"/k/{cast.kitchen.pk}/people/"
    assert browser.post(url, {"username": "dora", "password": PASSWORD, "role": "helper"}).status_code == 302
    dora = cast.kitchen.memberships.get(user__username="dora")
    assert (dora.role, dora.sees_prices, dora.sees_health) == ("helper", False, False)
    browser.post(f"{url}{dora.pk}/", {"role": "helper", "sees_prices": "yes"})
    dora.refresh_from_db()
    assert (dora.sees_prices, dora.sees_health) == (True, False)
    browser.post(f"{url}{dora.pk}/", {"do": "remove"})
    assert not cast.kitchen.memberships.filter(user__username="dora").exists()
    mine = cast.kitchen.memberships.get(user=cast.ada)
    browser.post(f"{url}{mine.pk}/", {"do": "remove"})
    assert cast.kitchen.memberships.filter(user=cast.ada).exists(), "no owner locks themselves out"
    deeds = list(Audit.objects.filter(kitchen=cast.kitchen).values_list("deed", flat=True))
    assert deeds[:3] == ["person removed", "person changed", "person added"]
    others = cast.other.memberships.get()
    assert browser.post(f"{url}{others.pk}/", {"do": "remove"}).status_code == 404


def test_deployment_is_sound_with_https(tmp_path: object) -> None:
    import os
    import subprocess
    import sys

    # The browser tests set this for their own process; a deployment must not have it.
    plain = {name: value for name, value in os.environ.items() if name != "DJANGO_ALLOW_ASYNC_UNSAFE"}
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-m", "django", "check", "--deploy", "--fail-level", "WARNING"],
        env={
            **plain,
            "DJANGO_SETTINGS_MODULE": "tierwright.web.settings",
            "TIERWRIGHT_HTTPS": "yes",
            "TIERWRIGHT_HOSTS": "cakes.example",
            "TIERWRIGHT_HOME": str(tmp_path),
        },
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
