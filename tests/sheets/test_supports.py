"""The support and road sheets: everything is printed, and what is drawn at full size measures true."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from math import sqrt
from typing import Any, cast
from xml.etree import ElementTree

import numpy as np
import pypdfium2 as pdfium  # type: ignore[import-untyped]
import pytest
from tests.dossier.scenes import commission, dossier, kitchen
from tests.sheets.test_binding import flat, printed, strings

from tierwright.dossier import SupportWork, prepare
from tierwright.drawings import deflected_board
from tierwright.shapes import Outline, Shape
from tierwright.sheets import Page, Paper, book_of, pages_of, render_pdf, words_of
from tierwright.sheets.supports import length_words
from tierwright.sheets.supports import page as support_page
from tierwright.support import count_by_tier, support
from tierwright.units import Display, LengthUnit

DPI = 254.0
"""Ten pixels to the millimetre."""
PAPER_MM = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}


def work() -> SupportWork:
    found = dossier().support
    assert found is not None
    return found


def sheet(template: str, paper: Paper | None = None) -> Page:
    return next(page for page in pages_of(dossier(), paper) if page.template == template)


@cache
def template_pictures(paper: Paper) -> tuple[np.ndarray[Any, np.dtype[np.uint8]], ...]:
    """Every template page of the bottom and middle tier as the PDF prints it, grey, ten pixels to the millimetre."""
    page = sheet("supports", paper)
    document = pdfium.PdfDocument(io.BytesIO(render_pdf((page,), book_of(dossier(), paper))))
    count = len(cast("list[object]", page.data["templates"]))
    pictures = []
    try:
        for number in range(len(document) - count, len(document)):
            width_pt, height_pt = document[number].get_size()
            assert (width_pt / 72 * 25.4, height_pt / 72 * 25.4) == pytest.approx(PAPER_MM[paper], abs=0.05)
            pictures.append(document[number].render(scale=DPI / 72, grayscale=True).to_numpy().squeeze().copy())
    finally:
        document.close()
    return tuple(pictures)


@pytest.mark.parametrize("paper", list(Paper))
def test_every_scale_bar_measures_true_on_paper(paper: Paper) -> None:
    pictures = template_pictures(paper)
    assert len(pictures) >= len([level for level in work().found.levels if level.count])
    for picture in pictures:
        # The bar is the only thing in the lowest 25 mm whose line runs on for more than 80 mm.
        low = picture[-250:] < 128
        runs = []
        for row in low:
            edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
            runs += [(end - start) / 10 for start, end in zip(edges[::2], edges[1::2], strict=True)]
        longest = max(runs)
        # 100 mm and the half of a tick's 0.25 mm at either end, to a pixel.
        assert longest == pytest.approx(100.25, abs=0.15)


@pytest.mark.parametrize("paper", list(Paper))
def test_upright_measures_are_true_as_well(paper: Paper) -> None:
    level = next(one for one in work().found.levels if one.tier == 2)
    tier = next(one for one in work().ask.tiers if one.number == 2)
    radius = tier.outline.width_mm / 2
    assert level.count
    drawn = cast("list[dict[str, Any]]", sheet("supports", paper).data["templates"])
    place = next(i for i, one in enumerate(drawn) if "the middle tier" in one["alt"].split(",")[0])
    outline = next(ElementTree.fromstring(drawn[place]["svg"]).iter("{http://www.w3.org/2000/svg}polygon"))
    across = [float(pair.split(",")[0]) for pair in outline.attrib["points"].split()]
    # The tier's outline crosses the upright line 10 mm left of the middle twice, above and below all supports.
    at_mm = (min(across) + max(across)) / 2 - 10.0
    column = template_pictures(paper)[place][265:-225, round(at_mm * 10)] < 128
    dark = np.flatnonzero(column)
    chord = (dark[-1] - dark[0]) / 10
    # The line is 0.4 mm wide: measured over both its outer edges.
    assert chord == pytest.approx(2 * sqrt(radius**2 - 10.0**2) + 0.4, abs=0.3)


def test_templates_say_the_paper_and_fill_it() -> None:
    for paper in Paper:
        for drawn in cast("list[dict[str, Any]]", sheet("supports", paper).data["templates"]):
            assert (drawn["width_mm"], drawn["height_mm"]) == PAPER_MM[paper]
            root = ElementTree.fromstring(drawn["svg"])
            # One user unit is one millimetre.
            assert root.get("viewBox") == f"0 0 {drawn['width_mm']:g} {drawn['height_mm']:g}"


def test_every_support_board_and_check_is_printed() -> None:
    page = sheet("supports")
    said = flat(printed(render_pdf((page,), book_of(dossier()))))
    display = words_of(dossier()).display
    for level in work().found.levels:
        assert flat(length_words(level.cut_mm, display)) in said
        assert flat(f"{level.count} of {level.stock.name}") in said
        for check in (*level.checks, *level.board.checks):
            assert flat(check.label) in said
    assert flat(work().ask.base.board.name) in said
    levels = cast("list[dict[str, Any]]", page.data["levels"])
    for level, shown in zip(work().found.levels, levels, strict=True):
        for check, row in zip((*level.checks, *level.board.checks), shown["checks"], strict=True):
            assert row[4] == ("holds" if check.passes else "FAILS")
            assert float(row[3].removesuffix(" %")) == pytest.approx(100 * check.utilisation, abs=0.51)


def test_a_caution_of_cutting_stands_once_and_at_the_cutting() -> None:
    steps = cast("list[dict[str, Any]]", sheet("supports").data["steps"])
    met = [(number, one["text"]) for number, step in enumerate(steps) for one in step["cautions"]]
    assert len(met) == len({text for _, text in met})
    assert {number for number, text in met if "bench" in text} == {1}
    assert "Cut one support" in steps[1]["text"]


def test_the_road_sheet_says_answer_decider_loading_and_lifts() -> None:
    found = work().found
    page = sheet("road")
    said = flat(printed(render_pdf((page,), book_of(dossier()))))
    for text in (found.carrying.answer.value, found.carrying.governing.label, found.carrying.words, found.air.words):
        assert flat(text) in said
    for step in found.loading:
        assert flat(step.where) in said
    for lift in found.lifts:
        assert flat(f"{lift.mass_kg:.1f} kg") in said
    # A tier has a name on paper, not a number.
    assert not {f"tier {tier.number}" for tier in work().ask.tiers} & set(strings(page.data))
    for caution in dossier().notes.cautions:
        if caution.sheet == "road":
            assert flat(caution.text) in said


def test_the_cutting_guide_counts_what_the_supports_put_in() -> None:
    rows = cast("list[dict[str, str]]", sheet("cutting").data["remove"])
    counted = sum(int(row["count"]) for row in rows if row["count"].isdigit())
    assert counted == sum(count_by_tier(work().found.inedibles).values())
    # What is wished for in words alone is counted by hand until it is known to be food.
    asked = prepare(commission(cake={"decoration": ["a garland from the client's own garden"]}), kitchen())
    rows = cast("list[dict[str, str]]", next(p for p in pages_of(asked) if p.template == "cutting").data["remove"])
    assert ["garland" in row["what"] for row in rows if "in ......" in row["count"]] == [True]


def test_the_section_shows_every_support_at_its_true_height() -> None:
    bars = words_of(dossier()).bars
    levels = work().found.levels
    assert len(bars) == sum(level.count for level in levels)
    for level in levels:
        own = [bar for bar in bars if bar.top_mm - bar.bottom_mm == pytest.approx(level.cut_mm)]
        assert len(own) >= level.count
    drawn = cast("dict[str, str]", sheet("cover").data["drawing"])["svg"]
    assert drawn.count('id="section-bar-') == len(bars)


def test_without_an_answer_the_sheets_are_left_out_and_the_rest_prints() -> None:
    bare = prepare(commission(), kitchen(supports=[]))
    templates = {page.template for page in pages_of(bare)}
    assert not {"supports", "road"} & templates
    assert "cutting" in templates
    assert words_of(bare).bars == ()


@pytest.mark.parametrize("shape", list(Shape))
def test_every_shape_and_both_papers_are_accessible(shape: Shape) -> None:
    def shaped(width: float) -> Outline:
        return Outline(shape=shape, width_mm=width, length_mm=0.8 * width if shape is Shape.RECTANGLE else 0.0)

    ask = work().ask
    tiers = tuple(
        replace(tier, outline=shaped(w), board_outline=shaped(w - 6), board=None)
        for tier, w in zip(ask.tiers, (300.0, 230.0, 160.0), strict=True)
    )
    base = replace(ask.base, outline=shaped(400.0))
    asked = replace(ask, tiers=tiers, base=base, trials=0)
    page = support_page(
        SupportWork(ask=asked, found=support(asked)), display=Display(length=LengthUnit.INCH), paper=Paper.LETTER
    )
    # The compiler refuses a page without alternatives for its pictures or with anything that spills.
    assert render_pdf((page,), book_of(dossier(), Paper.LETTER)).startswith(b"%PDF")


def test_the_deflected_board_is_stretched_as_it_says() -> None:
    level = next(level for level in work().found.levels if level.count)
    board = level.board
    drawn = deflected_board(board.deflected, level.positions, sag_mm=board.sag_mm, width_mm=100.0)
    root = ElementTree.fromstring(drawn.svg)
    space = "{http://www.w3.org/2000/svg}"
    flat_rim, bent_rim = (
        [tuple(map(float, pair.split(","))) for pair in one.attrib["points"].split()]
        for one in root.iter(f"{space}polygon")
    )
    half = max(abs(x) + 0.22 * abs(y) for x, y, _ in board.deflected.rim)
    scale = 2 * half / 92.0
    for (x, y), (bent_x, bent_y), (_, _, down) in zip(flat_rim, bent_rim, board.deflected.rim, strict=True):
        assert bent_x == pytest.approx(x, abs=0.011)
        # Written to a hundredth of a millimetre, twice.
        assert bent_y - y == pytest.approx(down * board.deflected.exaggeration / scale, abs=0.011)
    assert f"{board.deflected.exaggeration:g} times" in drawn.alt
    assert strings(drawn.alt)
