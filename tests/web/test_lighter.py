"""Pages come compressed where the browser takes them so, and files as they are."""

from __future__ import annotations

import gzip

import pytest
from django.test import Client
from tests.web.conftest import Cast

PACKED = {"Accept-Encoding": "gzip, deflate, br"}


def test_a_page_comes_lighter_and_says_the_same(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    url = f"/k/{cast.kitchen.pk}/people/"
    plain, packed = browser.get(url), browser.get(url, headers=PACKED)
    assert "Content-Encoding" not in plain.headers
    assert packed["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in packed["Vary"]
    assert len(packed.content) < len(plain.content) / 2
    assert gzip.decompress(packed.content)[:1000] == plain.content[:1000]


def test_each_answer_has_a_length_of_its_own(cast: Cast) -> None:
    # Gluck, Harris and Prado, BREACH (2013): the length of a compressed page tells what stands in it.
    browser = cast.client(cast.ada)
    lengths = {len(browser.get(f"/k/{cast.kitchen.pk}/people/", headers=PACKED).content) for _ in range(12)}
    assert len(lengths) > 3


@pytest.mark.parametrize("path", ["web/board.css", "web/js/board.js"])
def test_styles_and_scripts_come_lighter_whole_and_not_in_parts(path: str) -> None:
    whole = b"".join(Client().get(f"/static/{path}"))
    packed = Client().get(f"/static/{path}", headers=PACKED)
    assert packed["Content-Encoding"] == "gzip"
    assert gzip.decompress(b"".join(packed)) == whole
    part = Client().get(f"/static/{path}", headers=PACKED | {"Range": "bytes=0-99"})
    assert (part.status_code, "Content-Encoding" in part.headers) == (206, False)
    assert b"".join(part) == whole[:100]


def test_what_is_taken_away_stays_as_it_is(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    for rest in ("dossier.json", "brief.json"):
        assert "Content-Encoding" not in browser.get(cast.url(rest), headers=PACKED).headers
