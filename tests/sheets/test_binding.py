from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import cast

import pypdfium2 as pdfium  # type: ignore[import-untyped]
import pytest

from tierwright.brief import read_brief
from tierwright.coating.model import RolledSheet
from tierwright.dossier import Dossier, prepare
from tierwright.sheets import Paper, book_of, pages_of, print_dossier, words_of
from tierwright.sheets.naming import said
from tierwright.units import English, LengthUnit
from tierwright.working import Estimate

EXAMPLE = Path(__file__).parents[2] / "examples" / "centenary"


@cache
def centenary() -> Dossier:
    brief = read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")
    return prepare(brief.commission, brief.kitchen)


def flat(text: str) -> str:
    """Leave out spaces and hyphens: where a line breaks, a reader of the file finds either changed."""
    return re.sub("[\\s\\-\u00ad\ufffe\x02]+", "", text)


def printed(pdf: bytes) -> str:
    document = pdfium.PdfDocument(pdf)
    try:
        return flat("".join(page.get_textpage().get_text_bounded() for page in document))
    finally:
        document.close()


@cache
def whole() -> str:
    return printed(print_dossier(centenary(), Paper.A4))


def strings(value: object) -> list[str]:
    match value:
        case str():
            return [value]
        case dict():
            return [text for item in value.values() for text in strings(item)]
        case list() | tuple():
            return [text for item in value for text in strings(item)]
        case _:
            return []


def test_every_weight_of_every_bowl_is_printed() -> None:
    dossier = centenary()
    display = words_of(dossier).display
    parts = [
        part
        for work in dossier.formulas.works
        if work.batch is not None
        for mix in work.batch.mixes
        for part in mix.parts
    ]
    assert len(parts) > 30
    for part in parts:
        assert flat(f"{display.show_mass(part.grams)}{part.label}") in whole()


def test_every_open_question_is_on_the_cover() -> None:
    cover = strings(pages_of(centenary())[0].data)
    assert centenary().notes.questions
    for question in centenary().notes.questions:
        assert question.text in cover


def test_every_hazard_of_a_printed_sheet_stands_on_it() -> None:
    pages = pages_of(centenary())
    where = {"formulas": "mixing", "syrups": "mixing", "bakes": "pans", "coats": "coats", "table": "cutting"}
    hazards = [caution for caution in centenary().notes.cautions if caution.sheet in where]
    assert hazards
    for hazard in hazards:
        sheets = [page for page in pages if page.template == where[hazard.sheet]]
        assert any(hazard.text in strings(page.data) for page in sheets), hazard.key
    cover = strings(pages[0].data)
    assert {hazard.text for hazard in centenary().notes.cautions} <= set(cover)


def test_a_hazard_of_one_formula_stands_on_that_one_only() -> None:
    pages = [page for page in pages_of(centenary()) if page.template == "mixing"]
    for work in centenary().formulas.works:
        mine = [c for c in centenary().notes.cautions if c.key.startswith(f"formula.{work.formula.text.key}.")]
        for hazard in mine:
            if hazard.sheet not in ("formulas", "syrups") or work.batch is None:
                continue
            title = f"Mixing: {work.formula.text.name}"
            assert any(page.data["title"] == title and hazard.text in strings(page.data) for page in pages)


def test_every_figure_and_assumption_is_printed() -> None:
    working = printed(print_dossier(centenary(), Paper.A4, record=True))
    for figure in centenary().notes.figures:
        assert flat(figure.label) in working
    for assumption in centenary().notes.assumptions:
        assert flat(assumption.text) in working


def test_portions_on_the_cutting_guide_add_up() -> None:
    stack = centenary().sizing.stack
    page = next(page for page in pages_of(centenary()) if page.template == "cutting")
    tiers = cast("list[dict[str, list[list[str]]]]", page.data["tiers"])
    counts = [int(dict(cast("list[tuple[str, str]]", t["facts"]))["portions"]) for t in tiers]
    kept = [t.cutting.portions for t in stack.tiers if t.keepsake and t.cutting is not None]
    more = sum((cake.count - 1) * cake.cutting.portions for cake in stack.kitchen_cakes)
    assert sum(counts) - sum(kept) + more == stack.portions


def test_same_dossier_gives_the_same_bytes() -> None:
    assert print_dossier(centenary()) == print_dossier(centenary())


def test_the_working_is_printed_by_itself_with_every_figure() -> None:
    assert not {"working", "assumed"} & {page.template for page in pages_of(centenary())}
    working, assumed = pages_of(centenary(), record=True)
    groups = cast("list[dict[str, list[object]]]", working.data["groups"])
    assert sum(len(group["figures"]) for group in groups) == len(centenary().notes.figures)
    assert len(cast("list[object]", assumed.data["rows"])) == len(centenary().notes.assumptions)


def test_american_labels_go_with_american_paper() -> None:
    assert book_of(centenary()).paper is Paper.LETTER
    assert book_of(centenary(), Paper.A4).paper is Paper.A4


def test_keys_do_not_reach_the_paper() -> None:
    for page in pages_of(centenary()):
        for text in strings(page.data):
            assert "round_8x2_in" not in text
            assert "card_round" not in text


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Line every pan, then weigh.", "Line every tin, then weigh."),
        ("Into the pans", "Into the tins"),
        ("Pans", "Tins"),
        ("a panel of expansion", "a panel of expansion"),
    ],
)
def test_british_kitchens_bake_in_tins(text: str, expected: str) -> None:
    assert said(text, English.UK) == expected
    assert said(text, English.US) == text


def test_british_kitchen_in_print() -> None:
    dossier = centenary()
    units = dossier.kitchen.units.model_copy(update={"english": English.UK, "length": LengthUnit.CM})
    british = replace(dossier, kitchen=dossier.kitchen.model_copy(update={"units": units}))
    page = next(page for page in pages_of(british) if page.template == "pans")
    assert page.data["title"] == "Tins"
    assert "Intothetins" in printed(print_dossier(british))


def test_rolled_sheets_are_listed() -> None:
    dossier = centenary()
    sheet = RolledSheet(
        use="cover",
        width_mm=420.0,
        length_mm=420.0,
        thickness_mm=3.2,
        roll_out_g=Estimate.within(760.0, 0.1),
        trim_g=Estimate.within(180.0, 0.2),
        knead_back_g=Estimate.within(150.0, 0.2),
    )
    rolled = replace(dossier.coating.tiers[0], sheets=(sheet,))
    coating = replace(dossier.coating, tiers=(rolled, *dossier.coating.tiers[1:]))
    said_in_print = printed(print_dossier(replace(dossier, coating=coating)))
    assert "Sheetstoroll" in said_in_print
    assert "3.2mm" in said_in_print
