"""The pages' own words in the kitchen's English, and a catalogue that can be translated."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.utils import translation
from django.utils.translation import gettext
from tests.web.conftest import Cast

from tierwright.web.access import language_of
from tierwright.web.people.deeds import DEEDS

LOCALE = Path(__file__).resolve().parents[2] / "src" / "tierwright" / "web" / "locale"


def entries(path: Path) -> dict[str, str]:
    """Return the plain entries of a catalogue."""
    found: dict[str, str] = {}
    for block in path.read_text(encoding="utf-8").split("\n\n"):
        texts = {"msgid": "", "msgstr": ""}
        name = ""
        for line in block.splitlines():
            head = re.match(r"(msgid|msgstr) ", line)
            name = head[1] if head else name
            if name and '"' in line:
                texts[name] += line[line.index('"') + 1 : line.rindex('"')]
        found[texts["msgid"]] = texts["msgstr"]
    found.pop("", None)
    return found


def test_british_english_says_tin_where_american_says_pan() -> None:
    with translation.override("en-gb"):
        assert (gettext("Pans"), gettext("Line the pans"), gettext("Tiers")) == ("Tins", "Line the tins", "Tiers")
    with translation.override("en"):
        assert gettext("Pans") == "Pans"


def test_british_words_keep_every_place_for_a_value() -> None:
    known = entries(LOCALE / "en_GB" / "LC_MESSAGES" / "django.po")
    assert len(known) > 15
    for ours, theirs in known.items():
        assert re.findall(r"%\(\w+\)[a-z]", ours) == re.findall(r"%\(\w+\)[a-z]", theirs)
        assert not re.search(r"\b[Pp]ans?\b", re.sub(r"%\(\w+\)[a-z]", "", theirs)), theirs


@pytest.mark.parametrize(("english", "word"), [("us", "Pans that are owned"), ("uk", "Tins that are owned")])
def test_a_kitchen_chooses_its_english(cast: Cast, english: str, word: str) -> None:
    cast.kitchen.data = {**cast.kitchen.data, "units": {**cast.kitchen.data.get("units", {}), "english": english}}
    cast.kitchen.save()
    assert language_of(cast.kitchen) == ("en-gb" if english == "uk" else "en")
    assert word in cast.client(cast.ada).get(f"/k/{cast.kitchen.pk}/books/kitchen/pans/").content.decode()


def test_every_deed_of_the_record_can_be_said_in_another_language() -> None:
    written = re.compile(r'(?:\.note\(|deed=)\s*"([^"]+)"(?: if [^"]+ else "([^"]+)")?')
    deeds = {
        deed
        for path in (LOCALE.parent).rglob("*.py")
        for pair in written.findall(path.read_text(encoding="utf-8"))
        for deed in pair
        if deed
    }
    assert len(deeds) > 25
    assert deeds <= set(DEEDS)
