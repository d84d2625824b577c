"""What a page of the how-to sets in slanted type, to be found and pressed, stands in the program in those words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tests.docs.pages import DOCS, ROOT, name

PAGES = [*sorted((DOCS / "how-to").glob("*.md")), DOCS / "start.md"]


@pytest.fixture(scope="module")
def program() -> str:
    house = ROOT / "src" / "tierwright"
    files = [*house.joinpath("web").rglob("*.html"), *house.rglob("*.py")]
    return "\n".join(file.read_text(encoding="utf-8") for file in files).lower()


@pytest.mark.parametrize("path", PAGES, ids=name)
def test_words_of_the_pages_are_theirs(path: Path, program: str) -> None:
    text = re.sub(r"```.*?```|\*\*.*?\*\*", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    for slanted in re.findall(r"(?<!\*)\*([^*]+)\*(?!\*)", text):
        # "Change: Guests" is put together from its parts, and so are enumerations.
        for words in re.split(r"[,:.]+ ?", " ".join(slanted.split()).lower()):
            assert words in program, f"{name(path)} speaks of {slanted!r}"
