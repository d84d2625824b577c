from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

import pytest
from tests.drawings import scenario

from tierwright.drawings import Drawing, Mark, cutting_guide, order_of_cutting, plan, rows_of, shortage_chart
from tierwright.shapes import Outline, Point, Shape
from tierwright.sizing.model import CutPattern, Cutting
from tierwright.units import Display

SVG = "{http://www.w3.org/2000/svg}"
CASES = [(t.cutting, t.outline) for t in scenario.TIERS if t.cutting] + [
    (scenario.KITCHEN_CAKE.cutting, scenario.KITCHEN_CAKE.outline)
]


def corners(element: ElementTree.Element) -> list[Point]:
    shape = element.find(f"{SVG}polygon")
    assert shape is not None
    pairs = (pair.split(",") for pair in str(shape.get("points")).split())
    return [(float(x), float(y)) for x, y in pairs]


def shoelace(points: list[Point]) -> float:
    rolled = [*points[1:], points[0]]
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, rolled, strict=True))) / 2


def pieces(drawing: Drawing) -> list[ElementTree.Element]:
    root = ElementTree.fromstring(drawing.svg)
    return [e for e in root.iter(f"{SVG}g") if "-piece-" in e.get("id", "")]


@pytest.mark.parametrize(("cutting", "outline"), CASES)
def test_draws_the_very_pieces_that_were_counted(cutting: Cutting, outline: Outline) -> None:
    drawing = cutting_guide(cutting, outline)
    drawn = pieces(drawing)
    assert len(drawn) == len(cutting.slices)
    for element, piece in zip(drawn, cutting.slices, strict=True):
        # Corners are printed to 0.01 mm on paper, so areas hold to about a hundredth of the piece.
        assert shoelace(corners(element)) * drawing.scale**2 == pytest.approx(piece.area_mm2, rel=0.01)
        assert (element.get("data-portion") is not None) == piece.counts
        assert (element.get("data-offcut") is not None) != piece.counts


@pytest.mark.parametrize(("cutting", "outline"), CASES)
def test_portions_are_numbered_from_one_without_a_gap(cutting: Cutting, outline: Outline) -> None:
    numbers = [e.get("data-portion") for e in pieces(cutting_guide(cutting, outline)) if e.get("data-portion")]
    assert numbers == [str(i + 1) for i in range(cutting.portions)]
    rows = rows_of(cutting, outline)
    assert sum(row.pieces for row in rows) == cutting.portions
    assert sum(row.pieces + row.offcuts for row in rows) == len(cutting.slices)


def test_every_number_is_shown_where_pieces_are_of_eating_size() -> None:
    cutting, outline = CASES[0]
    root = ElementTree.fromstring(cutting_guide(cutting, outline).svg)
    shown = {e.text for e in root.iter(f"{SVG}text")}
    assert {str(i + 1) for i in range(cutting.portions)} <= shown


def test_offcuts_are_hatched_and_said() -> None:
    cutting, outline = CASES[-1]
    drawing = cutting_guide(cutting, outline)
    assert "17 offcuts" in drawing.alt
    hatched = [e for e in pieces(drawing) if e.get("data-offcut")]
    assert all(str(e[0].get("fill")).startswith("url(#") for e in hatched)


def test_rings_are_cut_from_the_outside_in() -> None:
    # 254 mm cut in rings 50.8 mm deep by area: pi (127^2 - 76.2^2) / 1290 = 25.1, then pi (76.2^2 - 25.4^2) / 1290 =
    # 12.6 slices, and a middle of pi 25.4^2 = 2027 mm2 that is one portion.
    cutting, outline = CASES[0]
    assert [(row.first, row.last) for row in rows_of(cutting, outline)] == [(1, 25), (26, 37), (38, 38)]
    steps = order_of_cutting(cutting, outline, Display())
    assert steps[0] == "Cut a ring 5.1 cm in from the edge, straight down to the board."
    assert steps[1].startswith("Cut the ring into 25 portions")
    assert steps[-1] == "The middle is 1 portion (number 38)."


def test_rows_cut_alike_are_said_together() -> None:
    cutting, outline = CASES[-1]
    steps = order_of_cutting(cutting, outline, Display())
    assert steps[0].endswith("5 rows.")
    assert "next 4 rows into 12 portions" in steps[1]
    assert "numbers 1 to 48" in steps[1]
    assert "13 offcuts" in steps[2]


def test_wedges_are_one_group() -> None:
    cutting = replace(CASES[2][0], pattern=CutPattern.WEDGES)
    assert len(rows_of(cutting, CASES[2][1])) == 1
    assert "from the middle outward" in order_of_cutting(cutting, CASES[2][1], Display())[0]


@pytest.mark.parametrize("shape", list(Shape))
def test_plans_are_to_scale_for_every_shape(shape: Shape) -> None:
    outline = Outline(shape=shape, width_mm=254.0, length_mm=180.0 if shape is Shape.RECTANGLE else 0.0)
    drawing = plan(outline, above=Outline.round(120), marks=[Mark(x_mm=40, y_mm=0, diameter_mm=6, label="<1>")])
    root = ElementTree.fromstring(drawing.svg)
    coat = next(e for e in root.iter(f"{SVG}g") if e.get("id") == "plan-coat")
    points = corners(coat)
    assert shoelace(points) * drawing.scale**2 == pytest.approx(outline.area_mm2, rel=0.002)
    assert "<1>" in [e.text for e in root.iter(f"{SVG}text")]


def test_shortage_chart_says_the_model_chance() -> None:
    drawing = shortage_chart(scenario.DEMAND, 106)
    assert f"{scenario.DEMAND.chances[106] * 100:.1f} %" in drawing.alt
    assert ElementTree.fromstring(drawing.svg).get("role") == "img"


@pytest.mark.parametrize("portions", [0, 1, 500])
def test_shortage_chart_far_from_the_demand(portions: int) -> None:
    assert ElementTree.fromstring(shortage_chart(scenario.DEMAND, portions).svg) is not None
