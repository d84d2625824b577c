"""
Every form of every page, filled in as nobody should: answered or refused, never broken, never kept by halves.

    TIERWRIGHT_FORM_CASES=10000 python -m pytest tests/web/test_form_fuzz.py

With more cases than by itself it also holds each answer to 2 s of the processor and the process to 500 MB.
"""

from __future__ import annotations

import json
import logging
import os
import random
import resource
import sys
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any, Final
from urllib.parse import quote, urljoin, urlsplit

import hypothesis.strategies as st
import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.signals import got_request_exception
from django.db import transaction
from django.test import Client
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart
from django.urls import Resolver404, resolve
from hypothesis import HealthCheck, Phase, given, seed, settings
from tests.web.conftest import Cast
from tests.web.test_access import patterns
from tests.web.test_bench import entry as bench_entry
from tests.web.test_lots import VANILLA, book, png, sent
from tests.web.test_money import offered
from tests.web.test_security import address
from tests.web.test_set_up import entry as set_up_entry
from tests.web.test_set_up import photograph
from tests.web.test_shopping import entry as shopping_entry
from tests.web.test_shopping import place
from tests.web.test_week import MONDAY, small

from tierwright.web.api.tokens import make_token
from tierwright.web.frame.desk import DOSSIERS
from tierwright.web.handover.models import SetUpEntry
from tierwright.web.keepsafe.tables import label, own_tables
from tierwright.web.lots.models import LabelPhoto
from tierwright.web.models import Client as Customer
from tierwright.web.models import ClientQuestion, Commission, Membership
from tierwright.web.money.models import ShoppingList
from tierwright.web.plans.models import KeptWeek
from tierwright.web.plans.planning import safety
from tierwright.web.shared.links import make_link

FEW: Final = 200
CASES: Final = int(os.environ.get("TIERWRIGHT_FORM_CASES", FEW))
LONGEST_S: Final = 2.0
MOST_MB: Final = 500.0

ANSWERED: Final = {200, 204, 302, 303, 400, 401, 403, 404, 405, 409, 413, 415, 422, 429}
TYPED: Final = {"web.draft", "web.audit"}
"""A refused form keeps what was typed, and a refusal may be noted: nothing else may be written by one."""
SEEN: Final = {"web.clientlink": "last_seen_at"}
"""When a client last looked is noted whatever they sent."""
FILES: Final = (".pdf", ".csv", ".json", ".jsonl", ".ics", ".svg", ".xlsx", ".jpg", ".js")

HOSTILE: Final = (
    "", " ", "\x00", "a\x00b", "\ufeff", "\u202e\u2066abc", "שלום עולם", "مرحبا", "\U0001f382" * 40, "e\u0301" * 30,
    "½", "1/0", "-1", "-0", "1e400", "1e-400", "nan", "inf", "-inf", "9" * 400, "0" * 5000, "1" * 30 + " g", "12,5",
    "1.2.3", "١٢", "1_000", "0x10", "9223372036854775808", "-9223372036854775809", "2026-02-30", "2026-13-01",
    "0000-00-00", "9999-12-31", "0001-01-01", "+10000-01-01", "2027-06-26T25:61", "2027-03-28T02:30", "25:61",
    "2027-06-26T15:00+99:00", "Europe/Nowhere", "../../etc/passwd", "/etc/passwd", "file:///etc/passwd",
    "<script>alert(1)</script>", '"><svg onload=x()>', "=1+1", "@SUM(A1)", "%s%n{0}{x.__class__}", "{{ 7*7 }}",
    "'; DROP TABLE web_commission; --", "((((((((", "\r\n\r\nX: y", "\t|\t", "null", "[]", "{}", "true", "None",
    "keep", "undo", "drop", "look", "\ud7ff", "\ufffe", "x" * 20_001, "https://example.invalid/", "a,b;c\nd",
    "20 cm, 30 cm", "1 kg", "-5 C", "350 F", "1 h 20 min", "0 mm", "1e9 mm", "200", "3", "0.5", "100 %",
)  # fmt: skip
RAW: Final = (b"\xff\xfe\x00", b"\xc0\xaf", b"\xed\xa0\x80", b"\xf0\x9f", b"a\x80b")
"""Bytes that are no UTF-8."""


@dataclass(slots=True)
class Form:
    """A form as the page has it: where it goes, and what its fields may hold by themselves."""

    url: str
    post: bool
    fields: dict[str, list[str]] = field(default_factory=dict)
    files: set[str] = field(default_factory=set)

    @property
    def route(self) -> str:
        return str(resolve(urlsplit(self.url).path).route)


class Page(HTMLParser):
    """Reads a page's links and forms, and the buttons and fields that ask for themselves."""

    def __init__(self, text: str, url: str) -> None:
        super().__init__(convert_charrefs=True)
        self.url = url
        self.links: list[str] = []
        self.forms: list[Form] = []
        self.named: dict[str, Form] = {}
        self._open: Form | None = None
        self._select: tuple[Form, str] | None = None
        self._area: tuple[Form, str] | None = None
        self._elsewhere: list[tuple[str, dict[str, str]]] = []
        self.feed(text)
        self.close()
        for name, found in self._elsewhere:
            if (owner := self.named.get(name)) is not None:
                self._take(owner, found)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        for way in ("hx-post", "hx-get"):
            if found.get(way):
                alone = Form(url=urljoin(self.url, found[way]), post=way == "hx-post")
                self.forms.append(alone)
                if found.get("name"):
                    self._take(alone, found)
        if tag == "a" and found.get("href"):
            self.links.append(urljoin(self.url, found["href"]))
        elif tag == "form":
            post = found.get("method", "get").casefold() == "post"
            self._open = Form(url=urljoin(self.url, found.get("action") or self.url), post=post)
            self.forms.append(self._open)
            if found.get("id"):
                self.named[found["id"]] = self._open
        elif tag in ("input", "textarea", "select", "button") and found.get("name"):
            if found.get("form"):
                self._elsewhere.append((found["form"], found))
            elif self._open is not None:
                self._take(self._open, found)
                self._select = (self._open, found["name"]) if tag == "select" else self._select
                self._area = (self._open, found["name"]) if tag == "textarea" else None
        elif tag == "option" and self._select is not None:
            form, name = self._select
            form.fields[name].append(found.get("value", ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._open = None
        elif tag == "select":
            self._select = None
        elif tag == "textarea":
            self._area = None

    def handle_data(self, data: str) -> None:
        if self._area is not None:
            form, name = self._area
            form.fields[name] = [data]

    @staticmethod
    def _take(form: Form, found: dict[str, str]) -> None:
        kept = form.fields.setdefault(found["name"], [])
        if found.get("type") == "file":
            form.files.add(found["name"])
        if "value" in found:
            kept.append(found["value"])


@dataclass(frozen=True, slots=True, kw_only=True)
class House:
    """A kitchen in full use, somebody's way into it, and every form in it."""

    cast: Cast
    cookies: Any
    forms: tuple[Form, ...]
    queues: tuple[tuple[str, dict[str, Any]], ...]
    """Addresses that take JSON, each with a sound body."""

    def browser(self, *, known: bool = True) -> Client:
        """Return a browser that knows nothing of the case before."""
        browser = Client(raise_request_exception=False)
        if known:
            browser.cookies.load(self.cookies)
        return browser


def _in_use(cast: Cast) -> tuple[str, tuple[tuple[str, dict[str, Any]], ...]]:
    """Put a row into every book that has pages of its own; return a client's link and what devices send."""
    browser = cast.client(cast.ada)
    Customer.objects.create(kitchen=cast.kitchen, name="Nadia Ferro", contact="by post", health="hazelnut")
    offered(cast)
    _link, token = make_link(cast.commission, 30)
    ClientQuestion.objects.create(commission=cast.commission, text="Which colour?")
    make_token(_door(cast), "till")
    packet = sent(cast, **VANILLA) | {"photo_file": SimpleUploadedFile("label.png", png(), "image/png")}
    assert browser.post(book(cast, "0/"), packet).status_code == 302
    assert LabelPhoto.objects.exists()
    wanted = {"commission": [str(cast.commission.pk)], "from_day": "2027-05-01"}
    assert browser.post(place(cast), wanted).status_code == 302
    KeptWeek.objects.create(
        kitchen=cast.kitchen, monday=MONDAY, whose=[[cast.commission.pk, 1]], plan=KeptWeek.packed(small()),
        wishes={"monday": MONDAY, "whose": [], "overtime_min": 0, "effort": 0.3}, safe=safety(small()), words="planned",
    )  # fmt: skip
    pictured = set_up_entry("photograph", {"file": photograph()})
    queues = (
        (cast.url("bench/entries/"), {"entries": [bench_entry(), bench_entry(2, what="note", value={"text": "dry"})]}),
        (cast.url("bench/set-up/entries/"), {"entries": [set_up_entry("note", {"text": "level"}, 2), pictured]}),
        (place(cast, f"{ShoppingList.objects.get().pk}/entries/"), {"entries": [shopping_entry("line.0", "tick", 1)]}),
    )
    for url, body in queues:
        assert browser.post(url, json.dumps(body), content_type="application/json").status_code == 200
    assert SetUpEntry.objects.exists()
    return token, queues


def _door(cast: Cast) -> Any:
    from tierwright.web.access import Door

    return Door(membership=Membership.objects.get(user=cast.ada, kitchen=cast.kitchen), user=cast.ada)


def forms_of(cast: Cast, token: str, each: int) -> tuple[Form, ...]:
    """Walk the pages along their links and the list of addresses; at most so many pages of one address."""
    browser, stranger = cast.client(cast.ada), Client()
    ours = [address(route, pattern, cast) for route, pattern in patterns()]
    way = [f"/k/{cast.kitchen.pk}/", cast.url(), f"/k/{cast.kitchen.pk}/week/{MONDAY}/", f"/client/{token}/", *ours]
    seen: set[str] = set()
    visits: Counter[str] = Counter()
    found: dict[tuple[Any, ...], Form] = {}
    while way:
        url = way.pop(0).partition("#")[0]
        split = urlsplit(url)
        if split.netloc or url in seen or split.path.endswith(FILES) or "/api/v1/" in url:
            continue
        seen.add(url)
        try:
            route = str(resolve(split.path).route)
        except Resolver404:
            continue
        visits[route] += 1
        if visits[route] > each:
            continue
        answer = (stranger if url.startswith("/client/") else browser).get(url)
        if 300 <= answer.status_code < 400:
            way.insert(0, urljoin(url, answer["Location"]))
        if "html" not in answer.get("Content-Type", "") or answer.status_code != 200:
            continue
        page = Page(answer.content.decode(), url)
        way += page.links
        for form in page.forms:
            found.setdefault((form.route, form.post, *sorted(form.fields)), form)
    # What has no form on the way: an address that is only ever posted to.
    covered = {form.route for form in found.values() if form.post}
    for route, pattern in patterns():
        url = address(route, pattern, cast)
        if route not in covered and "api/v1" not in url and browser.get(url).status_code == 405:
            found[(route,)] = Form(url=url, post=True, fields={"do": ["keep"]})
    return tuple(found.values())


@pytest.fixture
def house(cast: Cast) -> House:
    token, queues = _in_use(cast)
    browser = cast.client(cast.ada)
    forms = forms_of(cast, token, 40 if CASES > FEW else 2)
    assert len({form.route for form in forms if form.post}) > 40
    return House(cast=cast, cookies=browser.cookies, forms=forms, queues=queues)


def rows() -> dict[str, list[tuple[Any, ...]]]:
    """Return everything that is kept, but what a refusal may write."""
    found = {}
    for model in own_tables():
        if (name := label(model)) not in TYPED:
            columns = [one.attname for one in model._meta.concrete_fields if one.attname != SEEN.get(name)]
            found[name] = list(model._base_manager.order_by("pk").values_list(*columns))
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoilt:
    """One way of filling a form in wrongly: where, how, with what."""

    at: int
    how: str
    text: str


TEXTS = st.one_of(
    st.sampled_from(HOSTILE), st.sampled_from(HOSTILE), st.sampled_from(HOSTILE), st.text(max_size=30),
    st.integers().map(str), st.integers(0, 400).map(str), st.floats().map(str), st.dates().map(str),
    st.datetimes().map(str), st.sampled_from([chr(number) for number in (1, 8, 27, 0x2028, 0xE000, 0x10FFFF)]),
)  # fmt: skip
WAYS = ("set", "set", "set", "set", "set", "drop", "twice", "array", "more", "number", "pick", "long")
SPOILT = st.builds(Spoilt, at=st.integers(0, 400), how=st.sampled_from(WAYS), text=TEXTS)
HEADS = st.fixed_dictionaries(
    {}, optional={"HX-Request": st.just("true"), "Accept-Language": st.sampled_from(["es", "en-gb", "x" * 300, "*"])}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One request."""

    spoilt: list[Spoilt]
    do: str | None
    body: str
    heads: dict[str, str]
    known: bool
    seed: int


CASE = st.builds(
    Case,
    spoilt=st.lists(SPOILT, min_size=1, max_size=5),
    do=st.sampled_from([None, None, "keep", "keep", "look", "", "drop", "\x00"]),
    body=st.sampled_from(["form"] * 8 + ["multipart"] * 3 + ["json", "raw", "broken", "huge"]),
    heads=HEADS,
    known=st.sampled_from([True] * 15 + [False]),
    seed=st.integers(0, 10**9),
)


def filled(form: Form, case: Case) -> list[tuple[str, str]]:
    """Fill a form in as it stands, then spoil it."""
    pairs = [(name, values[0] if values else "") for name, values in form.fields.items() if name not in form.files]
    if case.do is not None:
        pairs = [(name, value) for name, value in pairs if name != "do"] + [("do", case.do)]
    for one in case.spoilt:
        if not pairs:
            pairs.append(("x", one.text))
        at = one.at % len(pairs)
        name, value = pairs[at]
        choices = form.fields.get(name) or [""]
        if one.how == "drop":
            del pairs[at]
        elif one.how == "twice":
            pairs.append((name, one.text))
        elif one.how == "array":
            pairs[at] = (f"{name}[]", one.text)
        elif one.how == "more":
            pairs.append((f"{name}{one.text}"[:300], "1"))
        elif one.how == "number":
            digits = "".join(sign for sign in value if "0" <= sign <= "9") or "7"
            pairs[at] = (name, value.replace(digits, str(int(digits[:9]) * (one.at + 1)), 1) if value else digits)
        elif one.how == "pick":
            pairs[at] = (name, choices[one.at % len(choices)])
        elif one.how == "long" and one.at % 4 == 0:
            pairs[at] = (name, (one.text or "x") * (1_000_000 // max(1, len(one.text))))
        else:
            pairs[at] = (name, one.text)
    return pairs


def ask(house: House, case: Case, number: int) -> tuple[str, Any]:
    """Send one case to the next form or queue in turn; return where it went and the answer."""
    from tools.fuzz import spoil

    chance = random.Random(case.seed)
    browser = house.browser(known=case.known)
    number %= len(house.forms) + len(house.queues)
    if number >= len(house.forms):
        url, sound = house.queues[number - len(house.forms)]
        text = json.dumps(spoil(sound, chance)) if case.body != "broken" else spoil(json.dumps(sound), chance)
        content = text.encode("utf-8", "surrogatepass")
        return url, browser.post(url, content, content_type="application/json", headers=case.heads)
    form = house.forms[number]
    pairs = filled(form, case)
    if not form.post:
        url = f"{form.url.partition('?')[0]}?{_encoded(pairs, case)[:60_000]}"
        return url, browser.get(url, headers=case.heads)
    if case.body == "json":
        content, kind = json.dumps(dict(pairs) if case.seed % 2 else pairs).encode(), "application/json"
    elif case.body == "broken":
        content, kind = _multipart(form, pairs, chance)[: chance.randrange(5000)], MULTIPART_CONTENT
    elif case.body == "multipart" or (form.files and case.body != "raw"):
        content, kind = _multipart(form, pairs, chance), MULTIPART_CONTENT
    else:
        content, kind = _encoded(pairs, case).encode(), "application/x-www-form-urlencoded"
    return form.url, browser.generic("POST", form.url, content, content_type=kind, headers=case.heads)


def _encoded(pairs: list[tuple[str, str]], case: Case) -> str:
    raw = quote(RAW[case.seed % len(RAW)]) if case.body == "raw" else ""
    return "&".join(f"{_quoted(name)}={_quoted(value)}{raw}" for name, value in pairs)


def _quoted(text: str) -> str:
    return quote(text.encode("utf-8", "surrogatepass"), safe="")


def _multipart(form: Form, pairs: list[tuple[str, str]], chance: random.Random) -> bytes:
    data: dict[str, Any] = {}
    for name, value in pairs:
        data.setdefault(name.replace("\r", "").replace("\n", ""), []).append(value.encode("utf-8", "surrogatepass"))
    for name in form.files:
        content = chance.choice(
            (b"", png(), png()[:30], b"\x00" * 2_000_000, b"GIF89a", b"%PDF-1.7", chance.randbytes(900))
        )
        data[name] = SimpleUploadedFile(chance.choice(("a.png", "../../x.svg", "\u202egnp.exe", "")) or "x", content)
    return encode_multipart(BOUNDARY, data)


def half_written() -> Iterator[str]:
    """Say which commission is not whole."""
    for row in Commission.objects.all():
        numbers = list(row.versions.order_by("number").values_list("number", flat=True))
        if numbers != list(range(1, row.head + 1)):
            yield f"commission {row.pk}: head {row.head}, versions {numbers}"


def mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def a_few(cases: st.SearchStrategy[Case], send: Callable[[Case], None], number: int) -> None:
    """Send a few cases, others for every number and the same for the same."""

    @seed(number)
    @settings(
        max_examples=min(FEW, CASES), deadline=None, database=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(case=cases)
    def run(case: Case) -> None:
        send(case)

    run()


def test_every_form_filled_in_anyhow_is_answered_and_nothing_is_half_written(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The runner of the tests keeps whatever is logged, and each refusal with its whole request, to the end.
    monkeypatch.setattr(logging.getLogger("django"), "propagate", False)
    before, begun_mb = rows(), 0.0
    heads = dict(Commission.objects.values_list("pk", "head"))
    broken: list[str] = []
    faults: dict[str, str] = {}
    told: Counter[str] = Counter()
    statuses: Counter[int] = Counter()
    slowest: list[tuple[float, str]] = []
    done = 0

    def note_broken(**_signal: Any) -> None:
        broken.append(traceback.format_exc(limit=-4))

    got_request_exception.connect(note_broken)

    def send(case: Case) -> None:
        nonlocal done, begun_mb
        broken.clear()
        cache.clear()
        began = time.process_time()
        with transaction.atomic():
            url, answer = ask(house, case, done)
            took = time.process_time() - began
            status = answer.status_code
            wrong = list(half_written())
            if broken or status not in ANSWERED:
                wrong.append(f"{status}: {''.join(broken)}")
            if status >= 400 and (after := rows()) != before:
                wrong.append(f"{status}, and changed: {[name for name in after if after[name] != before[name]]}")
            transaction.set_rollback(True)
        # Keys are given anew after what was kept is gone: nothing may be remembered by them.
        DOSSIERS.clear()
        route = str(resolve(urlsplit(url).path).route)
        done += 1
        begun_mb = begun_mb or (mb() if done == 50 else 0.0)
        statuses[status] += 1
        slowest.append((took, route))
        slowest.sort(reverse=True)
        del slowest[8:]
        if CASES > FEW and took > LONGEST_S:
            wrong.append("more than 2 s of the processor")
        for what in wrong:
            key = f"{route}: {what}"
            told[key] += 1
            faults.setdefault(key, f"{took:.1f} s {case!r}"[:3000])

    try:
        # Hypothesis remembers every choice that it made in a run: many short runs, or it would be what grows.
        for number in range(-(-CASES // FEW)):
            a_few(CASE, send, number)
    finally:
        got_request_exception.disconnect(note_broken)
    if CASES > FEW:
        grown = mb() - begun_mb
        print(f"\n{done} cases on {len(house.forms)} forms; {dict(sorted(statuses.items()))}; grown by {grown:.0f} MB")
        print("slowest:", ", ".join(f"{seconds:.2f} s {route}" for seconds, route in slowest), file=sys.stderr)
        assert grown < MOST_MB
    assert not faults, "\n\n".join(f"{told[key]} times {key}\n{text}" for key, text in faults.items())
    assert dict(Commission.objects.values_list("pk", "head")) == heads
    assert done >= len(house.forms)
    assert statuses[200] + statuses[302] > CASES / 10
    assert statuses[422] > CASES / 20
