"""Cards for words: measured in the PDF's own content stream; what words weigh, by the length of their strokes."""

from __future__ import annotations

from ctypes import c_float
from datetime import date
from itertools import pairwise
from math import dist, sqrt

import pypdfium2 as pdfium  # type: ignore[import-untyped]
import pypdfium2.raw as raw  # type: ignore[import-untyped]
import pytest
from fontTools.pens.perimeterPen import PerimeterPen
from hypothesis import given
from hypothesis import strategies as st
from tests.finish.surfaces import BUTTERCREAM, surface
from tests.finish.test_templates import POINT_MM, Line, lines_of

from tierwright.brief.decor import Lettering
from tierwright.finish import Inscription, Rim, Surface, inscribe, lettering_card, template_sheets
from tierwright.finish.lettering_faces import FaceStyle, face, stroke_of
from tierwright.finish.papers import INCH_MM, RULE_MM
from tierwright.shapes import Outline, Shape
from tierwright.sheets import Book, Paper, render_pdf
from tierwright.sheets.finish import templates_page

ROUND = surface(Shape.ROUND, 200.0, coat_mm=5.0, ground=Rim(outline=Outline.round(300.0)))


def words(tier: Surface = ROUND, **more: object) -> Inscription:
    asked = Lettering.model_validate({"text": "HIM", "height": "20 mm", "tip": "1.5 mm"} | more)
    (made,), _notes = inscribe((asked,), (tier,), {}, {"buttercream": BUTTERCREAM})
    return made


def document_of(made: Inscription, tier: Surface) -> pdfium.PdfDocument:
    (sheet,) = template_sheets(lettering_card(made, (tier,)), key="words-1", title="Words", alt="Words.", paper="a4")
    book = Book(title="Test", cutting="today", dated=date(2027, 6, 26), paper=Paper.A4)
    return pdfium.PdfDocument(render_pdf((templates_page((sheet,)),), book))


def printed(made: Inscription, tier: Surface = ROUND) -> list[Line]:
    document = document_of(made, tier)
    try:
        return lines_of(document[1])
    finally:
        document.close()


def corners(made: Inscription, tier: Surface = ROUND) -> list[tuple[float, float]]:
    """Every point of the path with the most points on a page, in millimetres on the paper: the letters."""
    document = document_of(made, tier)
    try:
        paths = [one for one in document[1].get_objects(max_depth=15) if one.type == raw.FPDF_PAGEOBJ_PATH]
        letters = max(paths, key=raw.FPDFPath_CountSegments)
        matrix, held = letters.get_matrix(), letters.container
        while held is not None:
            matrix, held = matrix.multiply(held.get_matrix()), held.container
        found = []
        for i in range(raw.FPDFPath_CountSegments(letters)):
            x, y = c_float(), c_float()
            raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(letters, i), x, y)
            across, up = matrix.on_point(x.value, y.value)
            found.append((across * POINT_MM, up * POINT_MM))
        return found
    finally:
        document.close()


def test_rules_and_letters_measure_true_on_paper() -> None:
    made = words(place="band", foot="30 mm", text="HIH")
    level = [line for line in printed(made) if abs(line[0][1] - line[1][1]) < 1e-3]
    assert min(abs(dist(*line) - RULE_MM) for line in level) < 0.02
    assert min(abs(dist(*line) - 4 * INCH_MM) for line in level) < 0.02
    # H and I are capitals from foot to head, nothing more; the outlines reach as far as they are said to.
    points = corners(made)
    high = max(y for _x, y in points) - min(y for _x, y in points)
    wide = max(x for x, _y in points) - min(x for x, _y in points)
    left, near, right, far = made.written.bounds_mm
    assert high == pytest.approx(far - near, abs=0.03)
    # The cut of the face lets an H overshoot its nominal height by 3 in 1000.
    assert high == pytest.approx(20.0, abs=0.1)
    assert wide == pytest.approx(right - left, abs=0.03)
    # Their feet stand on the line that lies between the edges of the card, which are as long.
    whole = sorted({round(line[0][1], 3) for line in level if abs(dist(*line) - made.written.length_mm - 12.0) < 0.02})
    assert len(whole) == 3
    assert min(y for _x, y in points) == pytest.approx(whole[1] + near, abs=0.03)


def test_a_ring_of_card_lies_between_the_cake_and_the_edge_of_its_board() -> None:
    made = words(height="14 mm")
    lines = printed(made)
    middle = next(line for line in lines if abs(line[0][0] - line[1][0]) < 1e-3 and abs(dist(*line) - 45.0) < 0.02)
    low = min(middle, key=lambda point: point[1])
    centre = (low[0], low[1] + 150.0)
    radii = {round(dist(centre, point), 1) for line in lines for point in line}
    # Cake with its coat 210 wide, board 300 wide; the words' own line in the middle of what shows, half a capital out.
    assert {105.0, 150.0, round(made.radius_mm, 1)} <= radii
    assert made.radius_mm == pytest.approx((105.0 + 150.0) / 2 + 7.0, abs=0.1)
    edge = [line for line in lines if all(abs(dist(centre, point) - 150.0) < 0.05 for point in line)]
    angle = (made.written.length_mm / 2 + 6.0) / made.radius_mm
    assert sum(dist(*line) for line in edge) == pytest.approx(2 * angle * 150.0, abs=0.1)


def test_on_a_tapered_side_the_words_bend_as_a_cone_does_laid_flat() -> None:
    tier = surface(Shape.ROUND, 240.0, coat_mm=5.0, height_mm=120.0, top_scale=0.75)
    made = words(tier, place="band", foot="40 mm", text="HIMHIM")
    card = lettering_card(made, (tier,))
    # Machinery's Handbook, development of a frustum: the arc's radius is the slant line up to the apex.
    apex = 120.0 / 0.25
    slant = sqrt(125.0**2 + apex**2) * (1 - 40.0 / apex)
    points = [card.lines[0][0], *(end for _start, end in card.lines)]
    assert sum(dist(a, b) for a, b in pairwise(points)) == pytest.approx(made.written.length_mm + 12.0, abs=0.1)
    (x, low), (_x, high) = card.folds[0]
    assert x == pytest.approx(_x)
    foot = min(y for x_, y in points if abs(x_ - x) < 3.0)
    assert all(dist(point, (x, foot + slant)) == pytest.approx(slant, abs=0.05) for point in points)
    assert low < foot < high


def test_on_another_board_and_on_a_top_the_card_is_flat() -> None:
    ground = Rim(outline=Outline(shape=Shape.SQUARE, width_mm=300.0))
    square = surface(Shape.SQUARE, 200.0, coat_mm=5.0, ground=ground)
    board, top = words(square), words(place="top")
    assert board.radius_mm == top.radius_mm == 0.0
    assert lettering_card(board, (square,)).height_mm == pytest.approx(45.0)
    assert len(lettering_card(top, (ROUND,)).edge) == 4


@given(length=st.floats(5.0, 200.0), breadth=st.floats(0.2, 5.0))
def test_a_stroke_is_as_long_as_the_rectangle_and_the_ring_that_it_is(length: float, breadth: float) -> None:
    assert stroke_of(length * breadth, 2 * (length + breadth)) == pytest.approx(max(length, breadth), rel=1e-6)
    # Once round a ring whose middle line is so long; it has no ends, and is found shorter by at most its breadth.
    ring = 8 * breadth + length
    found = stroke_of(ring * breadth, 2 * ring)
    assert ring - 1.5 * breadth < found < ring


@pytest.mark.parametrize("style", list(FaceStyle))
def test_outlines_are_as_long_as_fonttools_measures_them(style: FaceStyle) -> None:
    for glyph in face(style).glyphs("LIHTVM"):
        pen = PerimeterPen(glyph.part.glyph_set, tolerance=0.0005 * glyph.part.em)
        glyph.part.glyph_set[glyph.name].draw(pen)
        assert glyph.shape.length == pytest.approx(pen.value / glyph.part.em, rel=0.01)


def test_what_words_weigh() -> None:
    made = words()
    assert made.mass is not None
    # By hand: breadth 1.0 tip, height 0.90 of it, pi/4 of the block, 0.8 g/ml.
    run = made.written.stroke_mm
    assert made.mass.on_cake_g.value == pytest.approx(1.5**2 * 0.9 * 0.785 * run / 1000 * 0.8, rel=1e-6)
    assert made.mass.to_make_g.value > made.mass.on_cake_g.value
    # An I of one stroke with its four serifs is longer than its height, an H more than twice as long.
    tall, wide = (words(text=text).written.stroke_mm for text in ("I", "H"))
    assert 20.0 < tall < 36.0
    assert 2 * 20.0 < wide < 2 * 36.0 + 20.0
    twice = words(height="40 mm", place="band", tip="3 mm").mass
    assert twice is not None
    assert twice.on_cake_g.value == pytest.approx(8 * made.mass.on_cake_g.value, rel=1e-6)
    assert words(tip=None).mass is None


def test_words_of_which_nobody_knows_the_icing_are_asked_about() -> None:
    asked = Lettering.model_validate({"text": "HIM", "height": "20 mm", "tip": "1.5 mm", "formula": "glue"})
    (made,), notes = inscribe((asked,), (ROUND,), {}, {"buttercream": BUTTERCREAM})
    assert made.mass is None
    assert "finish.lettering.1.formula" in {question.key for question in notes.questions}
