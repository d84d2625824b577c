"""Script, formulas, bombs and odd values in everything that can be typed or sent: taken as words, or refused."""

from __future__ import annotations

import base64
import json
import re
import xml.etree.ElementTree as ET
import zlib
from collections.abc import Iterator
from copy import deepcopy
from html.parser import HTMLParser
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from tests.web.conftest import Cast
from tests.web.test_access import patterns
from tests.web.test_lots import VANILLA, book, sent
from tests.web.test_security import address

from tierwright.brief import parse_commission
from tierwright.errors import BadInput
from tierwright.formula import Kind
from tierwright.formula.recipe import read_recipe
from tierwright.sheets.binding import pages_of
from tierwright.web.frame.change import work_through
from tierwright.web.frame.desk import dossier_of, pack
from tierwright.web.handover.photographs import NoPicture, picture_of
from tierwright.web.lots.models import LabelPhoto
from tierwright.web.models import BookFormula, Kitchen, Version
from tierwright.web.models import Client as Customer
from tierwright.web.shared.links import make_link
from tierwright.web.sheet import sheets

HOSTILE = '"><script>x{n}()</script><svg onload=x{n}()>'


class Elements(HTMLParser):
    """Collects what a browser would make an element of: its name, its attributes, and the words inside scripts."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[tuple[str, dict[str, str]]] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, {name: value or "" for name, value in attrs}))

    def faults(self) -> Iterator[str]:
        for tag, attributes in self.found:
            ours = attributes.get("src", "").startswith("/static/") or attributes.get("type") == "application/json"
            if tag == "script" and not ours:
                yield f"script {attributes}"
            for name, value in attributes.items():
                if name.startswith("on") or value.strip().casefold().startswith("javascript:"):
                    yield f"{tag} {name}={value}"
                if name in ("src", "href", "action") and re.match(r"(?:https?:)?//", value) and tag != "a":
                    yield f"{tag} {name}={value} is fetched from elsewhere"


def leaves(data: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    for key, value in data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ():
        if isinstance(value, str):
            yield (*path, key)
        else:
            yield from leaves(value, (*path, key))


def put(data: Any, path: tuple[str | int, ...], value: Any) -> Any:
    whole = at = deepcopy(data)
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] = value
    return whole


def spoilt(brief: dict[str, Any], kitchen: dict[str, Any]) -> dict[str, Any]:
    """Put script into every text of a brief that is free: where the brief is still sound with it."""
    for number, path in enumerate(leaves(brief)):
        if "lines" in path or path[-1] in ("key", "format", "timezone"):
            continue
        tried = put(brief, path, HOSTILE.format(n=number))
        try:
            parse_commission(tried, "brief")
        except BadInput:
            continue
        brief = tried
    return brief


@pytest.fixture
def hostile(cast: Cast) -> Cast:
    version = cast.commission.versions.get()
    brief = spoilt(version.brief | {"client": "x", "venue": version.brief["venue"] | {"contact": "x"}}, version.kitchen)
    tried = work_through(brief, version.kitchen, set())
    assert tried.dossier is not None, tried
    row = cast.commission
    Version(
        commission=row, number=2, brief=brief, kitchen=version.kitchen, dossier=pack(tried.dossier),
        words=HOSTILE.format(n=900),
    ).save()  # fmt: skip
    row.head, row.title = 2, brief["title"]
    row.save()
    Kitchen.objects.filter(pk=cast.kitchen.pk).update(name=HOSTILE.format(n=901))
    BookFormula.objects.filter(kitchen=cast.kitchen).update(name=HOSTILE.format(n=902))
    Customer.objects.create(kitchen=cast.kitchen, name=HOSTILE.format(n=903), note=HOSTILE.format(n=904))
    row.client_questions.create(text=HOSTILE.format(n=905), answer=HOSTILE.format(n=906))
    return cast


def test_script_in_every_text_is_words_on_every_page_and_sheet(hostile: Cast) -> None:
    texts = [text for text in json.dumps(hostile.commission.versions.get(number=2).brief).split('"') if "x" in text]
    assert len([text for text in texts if re.search(r"<script>x\d+", text)]) > 8
    browser, wrong, shown = hostile.client(hostile.ada), [], 0
    _link, token = make_link(hostile.commission, 7)
    every = [address(route, pattern, hostile) for route, pattern in patterns()]
    addresses = [*every, *(hostile.url(f"sheet/{key}/") for key in sheets()), f"/client/{token}/"]
    for url in addresses:
        if url.endswith(".pdf") or "api/v1" in url:
            continue
        answer = browser.get(url)
        kind = answer.get("Content-Type", "")
        if "html" in kind:
            page = answer.content.decode()
            shown += "&lt;script&gt;x" in page
            wrong += [f"{url}: {fault}" for fault in Elements(page).faults()]
    assert wrong == []
    assert shown > 15
    # The printed sheets: each drawing is sound XML that knows no script, and the PDF no action.
    dossier = dossier_of(hostile.commission.versions.get(number=2))
    drawn = 0
    for printed in pages_of(dossier):
        for path in leaves(printed.data):
            text: Any = printed.data
            for key in path:
                text = text[key]
            if text.startswith("<svg"):
                drawn += 1
                for element in ET.fromstring(text).iter():
                    assert not element.tag.endswith(("script", "foreignObject"))
                    assert not any(name.startswith("on") for name in element.attrib)
    assert drawn > 0
    pdf = browser.get(hostile.url("sheets.pdf"))
    assert pdf.status_code == 200
    assert not re.search(rb"/(JavaScript|JS|Launch|SubmitForm|GoToR)\b", pdf.content)


def bomb(side: int) -> bytes:
    """Return a small PNG that says it is large (W3C PNG, section 11.2.2)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")

    head = side.to_bytes(4, "big") * 2 + bytes([1, 0, 0, 0, 0])
    body = zlib.compress(b"\x00" * (side // 8 + 1) * 64)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


@pytest.mark.parametrize("side", [7_100, 60_000])
def test_a_picture_that_unfolds_without_end_is_refused_unopened(cast: Cast, side: int) -> None:
    content = bomb(side)
    assert len(content) < 10_000
    form = sent(cast, **VANILLA) | {"photo_file": SimpleUploadedFile("label.png", content, "image/png")}
    answer = cast.client(cast.ada).post(book(cast, "0/"), form)
    assert answer.status_code == 422
    assert "too many pixels" in answer.content.decode()
    assert not LabelPhoto.objects.exists()
    with pytest.raises(NoPicture):
        picture_of("data:image/png;base64," + base64.b64encode(content).decode())


ENTITIES = (
    '<?xml version="1.0"?><!DOCTYPE l [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">'
    '<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;"><!ENTITY f SYSTEM "file:///etc/passwd">]>'
    '<script type="application/ld+json">{"@type": "Recipe", "name": "Plain &f;", "recipeIngredient": '
    '["250 g cake flour &c;&f;"]}</script>'
)


def test_entities_of_a_recipe_page_are_never_expanded() -> None:
    (line,) = read_recipe(ENTITIES, key="plain", kind=Kind.CREAMED).lines
    assert "haha" not in line
    assert "root:" not in line
    assert len(line) < 60


@pytest.mark.parametrize("body", [
    '{"changes": ' * 5_000 + "1" + "}" * 5_000, "[" * 100_000, '{"changes": {"a": ' + '{"a":' * 900 + "1" + "}" * 902,
    '{"changes": {"guests": {"invited": ' + "9" * 5000 + "}}}", '{"changes": {"x": NaN}}', "", "\x00",
    '{"changes": {"title": "\\ud800"}}', '{"brief": {"title": "\\u0000"}}', '{"changes": {"title": 1, "title": 2}}',
], ids=range(10))  # fmt: skip
def test_a_body_of_any_shape_is_answered(cast: Cast, body: str) -> None:
    from tests.web.test_api import token_of

    url = f"/api/v1/commissions/{cast.commission.pk}/preview"
    headers = {"Authorization": f"Bearer {token_of(cast)}"}
    answer = Client().post(url, body, content_type="application/json", headers=headers)
    assert answer.status_code in (400, 422), answer.content[:200]


def test_a_request_that_is_too_large_is_not_read(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    answer = browser.post(cast.url("sheet/formulas/bring-in/"), {"text": "x" * 4_600_000, "kind": "creamed"})
    assert answer.status_code in (400, 413)
    many = {f"a{n}": "1" for n in range(2001)}
    assert browser.post(cast.url("sheet/tiers/change/guests/"), many).status_code == 400
