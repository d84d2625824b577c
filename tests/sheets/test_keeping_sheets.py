"""The sheets of keeping: what has to stand on them, and that they can be set."""

from __future__ import annotations

from pathlib import Path

import pypdfium2  # type: ignore[import-untyped]
import pytest

from tierwright.brief import read_brief
from tierwright.dossier import Dossier, prepare
from tierwright.sheets import book_of, render_pdf, words_of
from tierwright.sheets import keeping as sheets

EXAMPLE = Path(__file__).parents[2] / "examples" / "centenary"


@pytest.fixture(scope="module")
def dossier() -> Dossier:
    brief = read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")
    return prepare(brief.commission, brief.kitchen)


@pytest.fixture(scope="module")
def text(dossier: Dossier) -> str:
    pages = sheets.of(dossier, words_of(dossier))
    document = pypdfium2.PdfDocument(render_pdf(pages, book_of(dossier)))
    return " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)


def test_its_sheets_are_printed(dossier: Dossier) -> None:
    assert [page.sheet for page in sheets.of(dossier, words_of(dossier))] == [
        "keeping",
        "keep and serve",
        "safety log",
        "slices",
    ]


def test_every_caution_of_keeping_stands_on_its_sheet(dossier: Dossier, text: str) -> None:
    assert dossier.keeping is not None
    for caution in dossier.keeping.notes.cautions:
        if caution.sheet in ("keeping", "table"):
            assert " ".join(caution.text.split()) in text, caution.key


def test_the_card_says_when_to_throw_it_away_and_the_log_has_every_move(dossier: Dossier, text: str) -> None:
    assert dossier.keeping is not None
    card = dossier.keeping.card
    assert card.throw_away_by is not None
    assert f"{card.throw_away_by:%H:%M}" in text
    assert "fridge to road" in text
    assert "road to venue" in text
    assert "3-501.19" in text
    assert card.only_if in text
