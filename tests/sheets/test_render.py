from __future__ import annotations

import re

import pypdfium2 as pdfium  # type: ignore[import-untyped]
import pytest
from tests.sheets import sample

from tierwright.sheets import Page, Paper, SheetRefused, render, render_pdf
from tierwright.sheets.page import Json
from tierwright.units import Display, English, LengthUnit, MassUnit, TemperatureUnit

HOSTILE = [
    "#panic()",
    '#read("board.typ")',
    "*bold* _em_ $x^2$ `raw` = heading",
    "</svg><script>alert(1)</script>",
    "\\ \" ' ] [ } { @label <tag>",
    "https://example.org // comment /* block",
    "line one\nline two\ttabbed",
    "naïve café 中文 🎂 \u202ereversed",
]


def texts(pdf: bytes) -> list[str]:
    document = pdfium.PdfDocument(pdf)
    try:
        return [page.get_textpage().get_text_bounded() for page in document]
    finally:
        document.close()


def flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


@pytest.fixture(scope="module")
def whole() -> bytes:
    return render_pdf(sample.pages(), sample.book())


def test_every_sheet_is_there_with_real_text(whole: bytes) -> None:
    pages = [flat(text) for text in texts(whole)]
    for heading in (
        "Rowing club centenary supper",
        "Mixing: Vanilla buttermilk layer",
        "Mixing: Swiss-meringue buttercream",
        "Pans",
        "Fillings and coats",
        "Cutting guide",
        "The working",
        "What was assumed",
    ):
        assert any(page.startswith(heading) for page in pages), heading
    assert all("commission Rowing club centenary supper" in page for page in pages)
    assert f"1 of {len(pages)}" in pages[0]


def test_file_is_tagged_and_says_which_standards_it_keeps(whole: bytes) -> None:
    assert b"/MarkInfo" in whole
    assert b"/StructTreeRoot" in whole
    document = pdfium.PdfDocument(whole)
    try:
        assert pdfium.raw.FPDFCatalog_IsTagged(document)
        assert document.get_metadata_dict()["Title"] == sample.TITLE
    finally:
        document.close()
    # PDF/UA-1 and PDF/A-2a name themselves in the file's XMP packet (ISO 14289-1, 5; ISO 19005-2, 6.6.4).
    assert b"pdfuaid:part>1<" in whole
    assert b"pdfaid:part>2<" in whole
    assert b"pdfaid:conformance>A<" in whole


def test_pictures_carry_their_words(whole: bytes) -> None:
    document = pdfium.PdfDocument(whole)
    try:
        alts: list[str] = []
        for page in document:
            tree = pdfium.raw.FPDF_StructTree_GetForPage(page)
            waiting = [
                pdfium.raw.FPDF_StructTree_GetChildAtIndex(tree, i)
                for i in range(pdfium.raw.FPDF_StructTree_CountChildren(tree))
            ]
            while waiting:
                element = waiting.pop()
                if not element:
                    continue
                length = pdfium.raw.FPDF_StructElement_GetAltText(element, None, 0)
                if length > 2:
                    buffer = (pdfium.raw.c_char * length)()
                    pdfium.raw.FPDF_StructElement_GetAltText(element, buffer, length)
                    alts.append(bytes(buffer).decode("utf-16-le").rstrip("\0"))
                waiting += [
                    pdfium.raw.FPDF_StructElement_GetChildAtIndex(element, i)
                    for i in range(max(0, pdfium.raw.FPDF_StructElement_CountChildren(element)))
                ]
            pdfium.raw.FPDF_StructTree_Close(tree)
    finally:
        document.close()
    assert any(alt.startswith("The cake cut down the middle") for alt in alts)
    # Three tiers and a kitchen cake, the section and the chart.
    assert len(set(alts)) == 6


def test_same_input_gives_the_same_bytes(whole: bytes) -> None:
    assert render_pdf(sample.pages(), sample.book()) == whole


@pytest.mark.parametrize("paper", list(Paper))
def test_both_papers(paper: Paper) -> None:
    document = pdfium.PdfDocument(render_pdf(sample.pages(), sample.book(paper=paper)))
    try:
        # ISO 216 A4 is 210 by 297 mm; US Letter 8.5 by 11 in, ANSI Y14.1. In points, to the nearest.
        expected = {Paper.A4: (595, 842), Paper.LETTER: (612, 792)}[paper]
        for page in document:
            assert tuple(round(side) for side in page.get_size()) == expected
    finally:
        document.close()


def test_every_page_has_ink_and_keeps_it_off_the_edge() -> None:
    pages = render(sample.pages(), sample.book(), format="png", ppi=24)
    assert len(pages) > 8
    document = pdfium.PdfDocument(render_pdf(sample.pages(), sample.book()))
    try:
        for page in document:
            grey = page.render(scale=0.5, grayscale=True).to_numpy()
            dark = grey < 200
            assert dark.any()
            # 12 mm of the 18 mm margin, at 0.5 px a point.
            edge = round(12 / 25.4 * 72 * 0.5)
            assert not dark[:, :edge].any()
            assert not dark[:, -edge:].any()
            assert not dark[:edge, :].any()
    finally:
        document.close()


@pytest.mark.parametrize("hostile", HOSTILE)
def test_a_persons_words_stay_text(hostile: str) -> None:
    pdf = render_pdf(sample.pages(hostile=hostile, title=hostile), sample.book(title=hostile))
    first = flat(texts(pdf)[0])
    if hostile.isascii():
        # The start is enough: a long line may be broken where the words are searched.
        assert flat(hostile).strip()[:12] in first


def test_signs_that_no_font_draws_are_spelt_by_their_number() -> None:
    said = flat(" ".join(texts(render_pdf(sample.pages(hostile="中 cake"), sample.book()))))
    assert "[U+4E2D] cake" in said


def test_control_signs_do_not_stop_the_press() -> None:
    assert render_pdf(sample.pages(hostile="a\x07b\x00c\ud800d\x1b"), sample.book(title="a\x07b"))


def test_units_of_the_other_side() -> None:
    display = Display(mass=MassUnit.BOTH, length=LengthUnit.INCH, temperature=TemperatureUnit.BOTH, english=English.UK)
    said = flat(" ".join(texts(render_pdf(sample.pages(display), sample.book()))))
    assert "454 g (1 lb)" in said
    assert "pan round 10 in" in said
    assert "sq in" in said


def test_words_only_for_american_kitchens() -> None:
    said = flat(
        " ".join(texts(render_pdf(sample.pages(Display(mass=MassUnit.US, length=LengthUnit.INCH)), sample.book())))
    )
    assert "1 lb" in said
    assert "454 g" not in said


def test_refuses_what_a_reader_could_not_follow() -> None:
    page = Page(template="assumed", sheet="x", data={"title": "What was assumed", "rows": []})
    with pytest.raises(ValueError, match="at least one page"):
        render([], sample.book())
    with pytest.raises(ValueError, match="no template"):
        render([Page(template="../board", sheet="x", data={})], sample.book())
    with pytest.raises(ValueError, match="no template"):
        render([Page(template="absent", sheet="x", data={})], sample.book())
    # A reader who hears the page needs a heading to find it by.
    with pytest.raises(SheetRefused, match="heading"):
        render([Page(template="assumed", sheet="x", data={"title": "", "rows": []})], sample.book())
    # A template that misses a value stops the press rather than print a hole.
    with pytest.raises(SheetRefused, match="rows"):
        render([Page(template="assumed", sheet="x", data={"title": "What was assumed"})], sample.book())
    assert render([page], sample.book())


def test_refuses_a_picture_without_words() -> None:
    drawing: dict[str, Json] = {
        "svg": "<svg xmlns='http://www.w3.org/2000/svg' width='5mm' height='5mm'/>",
        "width_mm": 5,
        "alt": None,
    }
    cover = sample.pages()[0]
    with pytest.raises(SheetRefused, match="alt"):
        render([Page(template="cover", sheet="cover", data={**cover.data, "drawing": drawing})], sample.book())


def test_refuses_a_number_that_is_none() -> None:
    with pytest.raises(ValueError, match="JSON"):
        render([Page(template="assumed", sheet="x", data={"title": "x", "rows": [float("nan")]})], sample.book())
