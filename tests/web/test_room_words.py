"""What the rooms say, in Spanish: every sentence has its words, its figures stay, and what has none is marked."""

from __future__ import annotations

import re
import sys
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import read_mo
from babel.messages.pofile import read_po
from django.utils import translation
from hypothesis import given
from hypothesis import strategies as st
from tests.web.conftest import Cast, example

from tierwright.web.room_words import CATALOGUES, in_language, told

ROOT = Path(__file__).resolve().parents[2]
PLACE = re.compile(r"\{\d+\}")


def tool() -> ModuleType:
    spec = spec_from_file_location("room_words_tool", ROOT / "tools" / "room_words.py")
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def spanish() -> Catalog:
    with (CATALOGUES / "es" / "LC_MESSAGES" / "rooms.po").open("rb") as file:
        return read_po(file, locale="es")


def test_every_sentence_of_the_rooms_has_its_words(spanish: Catalog) -> None:
    without = [words for words in tool().sentences() if not (entry := spanish.get(words)) or not entry.string]
    assert not without, (
        f"{len(without)} without Spanish, such as {without[:5]}: run tools/room_words.py and fill them in"
    )
    with (CATALOGUES / "es" / "LC_MESSAGES" / "rooms.mo").open("rb") as file:
        compiled = {entry.id: entry.string for entry in read_mo(file)}
    for entry in spanish:
        if entry.id:
            assert compiled[entry.id] == entry.string, f"run tools/room_words.py: {entry.id}"


def test_no_value_is_lost_and_edges_stay(spanish: Catalog) -> None:
    for entry in spanish:
        if not entry.id:
            continue
        words, said = str(entry.id), str(entry.string)
        assert sorted(PLACE.findall(words)) == sorted(PLACE.findall(said)), words
        assert (words[:1].isspace(), words[-1:].isspace()) == (said[:1].isspace(), said[-1:].isspace()), words
        assert words.endswith("?") == said.endswith("?"), words


@given(share=st.integers(1, 99), count=st.integers(1, 40))
def test_figures_pass_through(share: int, count: int) -> None:
    asked = in_language(f"Is a chance of {share} % that something gives acceptable?", "es")
    assert asked == f"¿Es aceptable una probabilidad del {share} % de que algo ceda?"
    counted = in_language(
        f"Take out and count {count} supports from Stem of ash before the first slice of it is served.", "es"
    )
    assert counted is not None
    assert re.findall(r"\d+", counted) == [str(count)]
    assert "Stem of ash" in counted


def test_what_can_hurt_or_must_be_answered_is_all_in_spanish() -> None:
    dossier = example().tried.dossier
    assert dossier is not None
    notes = dossier.notes
    said = [words for caution in notes.cautions for words in (caution.text, caution.reason)]
    said += [words for one in notes.questions for words in (one.text, one.reason, one.change) if words]
    without = [words for words in dict.fromkeys(said) if in_language(words, "es") is None]
    assert not without, f"{len(without)} of {len(set(said))}: {without[:8]}"


def test_what_has_no_spanish_is_marked_as_english_and_escaped() -> None:
    with translation.override("es"):
        assert told("The <moon> is made of cheese.") == ('<span lang="en">The &lt;moon&gt; is made of cheese.</span>')
        assert told("12.5 cm") == "12.5 cm"
    with translation.override("en-gb"):
        assert told("The moon is made of cheese.") == "The moon is made of cheese."


def test_a_page_asks_in_spanish(cast: Cast) -> None:
    cast.kitchen.language = "es"
    cast.kitchen.save()
    page = cast.client(cast.ada).get(cast.url("questions/")).content.decode()
    asks = re.findall(r'<p class="asks">(.*?)</p>', page, re.DOTALL)
    assert asks
    assert not [one for one in asks if 'lang="en"' in one]
