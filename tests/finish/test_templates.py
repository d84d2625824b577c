"""Templates are printed at full size: measured in the PDF's own content stream."""

from __future__ import annotations

from ctypes import c_float
from datetime import date
from itertools import pairwise
from math import dist

import pypdfium2 as pdfium  # type: ignore[import-untyped]
import pypdfium2.raw as raw  # type: ignore[import-untyped]
import pytest
from tests.finish.surfaces import BUTTERCREAM, outline, surface

from tierwright.brief.decor import Band
from tierwright.finish import Rim, template_sheets
from tierwright.finish.bands import WorkedBand, work_band
from tierwright.finish.papers import INCH_MM, OVERLAP_MM, RULE_MM
from tierwright.shapes import Shape
from tierwright.sheets import Book, Paper, render_pdf
from tierwright.sheets.finish import templates_page

POINT_MM = 25.4 / 72
Line = tuple[tuple[float, float], tuple[float, float]]


def worked(shape: Shape = Shape.ROUND, scale: float = 1.0, **more: object) -> WorkedBand:
    band = Band.model_validate({"tier": 1, "height": "40 mm", "foot": "10 mm", "repeat": "60 mm"} | more)
    return work_band(band, surface(shape, 203.2, coat_mm=7.5, top_scale=scale), BUTTERCREAM)


def lines_of(page: pdfium.PdfPage) -> list[Line]:
    """Straight pieces of every path on a page, in millimetres on the paper, through each object's own matrix."""
    found: list[Line] = []
    for item in page.get_objects(max_depth=15):
        if item.type != raw.FPDF_PAGEOBJ_PATH:
            continue
        matrix = item.get_matrix()
        held = item.container
        while held is not None:
            matrix = matrix.multiply(held.get_matrix())
            held = held.container
        here: tuple[float, float] | None = None
        for i in range(raw.FPDFPath_CountSegments(item)):
            segment = raw.FPDFPath_GetPathSegment(item, i)
            x, y = c_float(), c_float()
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            there = tuple(part * POINT_MM for part in matrix.on_point(x.value, y.value))
            if raw.FPDFPathSegment_GetType(segment) == raw.FPDF_SEGMENT_LINETO and here is not None:
                found.append((here, there))
            here = there
    return found


def printed(band: WorkedBand, paper: Paper = Paper.A4) -> list[list[Line]]:
    sheets = template_sheets(
        band.template, key="band-1", title="Band", alt="A band.", paper="a4" if paper is Paper.A4 else "letter"
    )
    book = Book(title="Test", cutting="today", dated=date(2027, 6, 26), paper=paper)
    document = pdfium.PdfDocument(render_pdf((templates_page(sheets),), book))
    return [lines_of(document[i]) for i in range(1, len(document))]


@pytest.mark.parametrize("paper", [Paper.A4, Paper.LETTER])
def test_both_rules_measure_true_on_every_sheet(paper: Paper) -> None:
    pages = printed(worked(), paper)
    assert len(pages) == 3
    for lines in pages:
        level = [dist(*line) for line in lines if abs(line[0][1] - line[1][1]) < 1e-3]
        assert min(abs(length - RULE_MM) for length in level) < 0.02
        assert min(abs(length - 4 * INCH_MM) for length in level) < 0.02


def test_repeats_measure_true_and_add_up_over_the_sheets() -> None:
    band = worked()
    assert band.repeats is not None
    pages = printed(band)
    # Upright lines as high as the band: repeats and seams, in the order of the sheets.
    upright = [
        sorted({round(a[0], 3) for a, b in lines if abs(a[0] - b[0]) < 1e-3 and abs(dist(a, b) - 40.0) < 0.02})
        for lines in pages
    ]
    step = 297.0 - 24.0 - OVERLAP_MM
    # Clipped lines are still in the stream: one sheet after another, moved by what the sheets overlap.
    places = {round(x + i * step, 2) for i, row in enumerate(upright) for x in row}
    first, last = min(places), max(places)
    assert last - first == pytest.approx(band.round_mm, abs=0.1)
    pitch = band.round_mm / band.repeats.count
    for number in range(band.repeats.count + 1):
        assert min(abs(first + number * pitch - place) for place in places) < 0.1


@pytest.mark.parametrize("shape", list(Shape))
def test_every_shape_closes_to_a_tenth_of_a_millimetre(shape: Shape) -> None:
    for scale in (1.0, 0.8):
        band = worked(shape, scale)
        edge = band.template.edge
        # The lower edge runs from the first corner to the one where the upper edge begins.
        half = len(edge) // 2
        lower = sum(dist(a, b) for a, b in pairwise(edge[:half]))
        upper = sum(dist(a, b) for a, b in pairwise(edge[half:]))
        assert abs(lower - band.foot_length_mm) < 0.1
        assert abs(upper - band.top_length_mm) < 0.1
        assert band.repeats is not None
        assert sum(
            count * pitch for count, pitch in zip(band.repeats.counts, band.repeats.pitches_mm, strict=True)
        ) == pytest.approx(band.round_mm, abs=1e-6)


def test_a_fan_takes_rows_of_sheets_and_leaves_out_empty_ones() -> None:
    wide = surface(Shape.ROUND, 250.0, top_scale=0.75)
    band = work_band(Band.model_validate({"tier": 1, "height": "30 mm", "foot": "10 mm"}), wide, BUTTERCREAM)
    sheets = template_sheets(band.template, key="fan", title="Fan", alt="A fan.", paper="a4")
    assert max(sheet.rows for sheet in sheets) > 1
    assert len(sheets) < sheets[0].rows * sheets[0].columns
    assert len({sheet.key for sheet in sheets}) == len(sheets)


def test_the_ledge_and_the_shelf_are_measured_to_the_nearest_place() -> None:
    # Round 200 with a coat of 6 on a round board of 300: 44 mm all round; under a square of 120 with a coat of 6 the
    # corner, 60 sqrt 2 + 6 from the middle, leaves 106 - 90.85 = 15.15.
    tier = surface(
        Shape.ROUND,
        200.0,
        ground=Rim(outline=outline(Shape.ROUND, 300.0)),
        above=Rim(outline=outline(Shape.SQUARE, 120.0), by_mm=6.0),
    )
    assert tier.ledge_mm == pytest.approx(44.0, abs=0.1)
    assert tier.shelf_mm == pytest.approx(106.0 - 60.0 * 2**0.5 - 6.0, abs=0.1)
