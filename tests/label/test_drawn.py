"""Labels drawn: nothing clipped, nothing smaller than the law lets it be, nothing that a reader cannot take in."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
import typst
from hypothesis import given, settings
from hypothesis import strategies as st

import tierwright.label
from tierwright.errors import Infeasible, OutOfRange, UnknownName
from tierwright.label import (
    BrandLot,
    Component,
    Jurisdiction,
    LabelOrder,
    Labels,
    Maker,
    PartOf,
    PrintForm,
    Run,
    Unit,
    Used,
    draw_panel,
    label_cake,
    label_files,
    lawful_forms,
    panel_words,
)
from tierwright.label.code import LARGEST_BYTES, draw_code
from tierwright.label.rules import limit
from tierwright.label.setting import (
    FIGURE_HEIGHT,
    MM_PER_POINT,
    O_HEIGHT,
    SANS,
    SERIF,
    X_HEIGHT,
    Face,
    break_lines,
    face_of,
    net_size,
    size_for,
    width_mm,
)
from tierwright.label.stickers import MARGIN_MM, draw_sheets, draw_sticker, fitting_grid, grid_of, grids
from tierwright.larder import ingredient
from tierwright.svg import Drawing
from tierwright.units import English

FONTS = Path(tierwright.label.__file__).parent / "fonts"
SVG = "{http://www.w3.org/2000/svg}"
KEYS = (
    "cake_flour",
    "caster_sugar",
    "unsalted_butter",
    "whole_egg",
    "whole_milk",
    "dark_chocolate_60",
    "golden_raisins",
)


def labels_of(place: Jurisdiction, keys: tuple[str, ...] = KEYS, *, read: bool = True) -> Labels:
    cake = Component(
        key="c", name="cake", noun="cake", used=tuple(Used(ingredient=k, grams=100.0) for k in keys), leavened=True
    )
    lots = tuple(BrandLot(ingredient=k, lot="1", contains=ingredient(k).contains) for k in keys) if read else ()
    return label_cake(
        LabelOrder(
            jurisdiction=place,
            english=English.US if place in (Jurisdiction.US, Jurisdiction.CANADA) else English.UK,
            components=(cake,),
            units=(
                Unit(
                    key="u",
                    name="top tier",
                    food_name="Chocolate cake",
                    parts=(PartOf(component="c", grams=700.0),),
                    portions=9,
                ),
            ),
            lots=lots,
            maker=Maker(name="Lakeside", address="1 Quay"),
            batch="7",
        )
    )


def texts(svg: str) -> list[ET.Element]:
    return list(ET.fromstring(svg).iter(f"{SVG}text"))


def line_width(element: ET.Element, face: Face = SERIF) -> float:
    size = float(element.get("font-size", "0"))
    wide = width_mm(element.text or "", size, face=face)
    for span in element.iter(f"{SVG}tspan"):
        wide += width_mm(span.text or "", size, strong=True, face=face) + width_mm(span.tail or "", size, face=face)
    return wide


@pytest.mark.parametrize("place", list(Jurisdiction))
@pytest.mark.parametrize("key", list(grids()))
def test_nothing_is_clipped_or_too_small(place: Jurisdiction, key: str) -> None:
    grid = grid_of(key)
    label = labels_of(place).units[0]
    try:
        drawn = draw_sticker(label, place, width_mm=grid.width_mm, height_mm=grid.height_mm)
    except Infeasible:
        # It says how high it has to be, and there it fits.
        with pytest.raises(Infeasible) as refusal:
            draw_sticker(label, place, width_mm=grid.width_mm, height_mm=grid.height_mm)
        needed = re.search(r"and (\d+) mm high", refusal.value.cheapest_change)
        assert needed is not None
        assert float(needed[1]) > grid.height_mm - 1
        draw_sticker(label, place, width_mm=grid.width_mm, height_mm=float(needed[1]) + 1)
        return
    by_o = place in (Jurisdiction.US, Jurisdiction.CANADA)
    face = face_of(place)
    assert f'font-family="{face.family}"' in drawn.svg
    least = limit("x_height", place)
    assert least is not None
    for element in texts(drawn.svg):
        size, x, y = (float(element.get(name, "0")) for name in ("font-size", "x", "y"))
        assert size * (face.o_height if by_o else face.x_height) >= least - 0.005  # coordinates carry two decimals
        assert x >= MARGIN_MM - 1e-9
        assert x + line_width(element, face) <= grid.width_mm - MARGIN_MM + 0.3
        assert y - 0.8 * size >= MARGIN_MM - 0.1
        assert y + 0.25 * size <= grid.height_mm


@pytest.mark.parametrize("place", list(Jurisdiction))
def test_every_word_of_the_label_is_on_the_sticker(place: Jurisdiction) -> None:
    label = labels_of(place).units[0]
    drawn = draw_sticker(label, place, width_mm=140.0, height_mm=140.0)
    said = " ".join("".join(element.itertext()) for element in texts(drawn.svg)).replace("\u00a0", " ")
    for words in (label.declaration.text, label.declaration.contains, label.net_quantity, "Lakeside, 1 Quay"):
        assert " ".join(words.split()) in " ".join(said.split())


def test_metrics_are_those_of_the_font(tmp_path: Path) -> None:
    """The compiler that prints the sheets measures the same font itself."""
    words = "Ingredients: wheat flour, icing sugar 25 %"
    source = tmp_path / "m.typ"
    source.write_text(
        '#set text(font: "Libertinus Serif", size: 100pt, kerning: false, ligatures: false)\n'
        "#context [#metadata((\n"
        f'  plain: measure(text("{words}")).width.pt(),\n'
        f'  bold: measure(text(weight: "bold", "{words}")).width.pt(),\n'
        '  x: measure(text(top-edge: "bounds", bottom-edge: "baseline", "x")).height.pt(),\n'
        '  o: measure(text(top-edge: "bounds", bottom-edge: "bounds", "o")).height.pt(),\n'
        '  one: measure(text(top-edge: "bounds", bottom-edge: "baseline", "1")).height.pt(),\n'
        ")) <m>]\n"
    )
    found = json.loads(typst.query(str(source), "<m>", field="value", one=True, ignore_system_fonts=True))
    # Never narrower than the font sets it, and wider only by the room for contextual forms (0.3 %).
    for mine, theirs in (
        (width_mm(words, 100.0), found["plain"]),
        (width_mm(words, 100.0, strong=True), found["bold"]),
    ):
        assert theirs <= mine <= theirs * 1.0035
    assert found["x"] / 100 + 1e-9 >= X_HEIGHT
    assert found["o"] / 100 + 1e-9 >= O_HEIGHT
    assert found["one"] / 100 + 1e-9 >= FIGURE_HEIGHT


def test_metrics_of_the_letters_without_serifs_are_those_of_their_font() -> None:
    """The very files that the sheets and pages are set in, read by a font library."""
    from fontTools.ttLib import TTFont

    for name, strong in (("regular", False), ("bold", True)):
        font = TTFont(str(FONTS / f"label-sans-{name}.ttf"))
        signs, units, advances = font.getBestCmap(), font["head"].unitsPerEm, font["hmtx"]
        words = "Ingrédients : œufs, crème (lait) 25 %"
        theirs = sum(advances[signs[ord(sign)]][0] for sign in words) / units
        assert width_mm(words, 100.0, strong=strong, face=SANS) == pytest.approx(100 * theirs, rel=1e-3)
        glyphs = font["glyf"]
        assert glyphs[signs[ord("x")]].yMax / units >= SANS.x_height - 1e-4
        assert glyphs[signs[ord("o")]].yMax / units >= SANS.o_height
        assert min(glyphs[signs[ord(sign)]].yMax for sign in "0123456789LB") / units >= SANS.figure_height - 1e-3


def test_canada_sets_its_list_off_by_lines_in_letters_without_serifs() -> None:
    """Food and Drug Regulations, B.01.008.1(1)(b) and (e), B.01.008.2(2)(a): sans serif, 2.5 mm apart, solid lines."""
    label = labels_of(Jurisdiction.CANADA).units[0]
    drawn = draw_sticker(label, Jurisdiction.CANADA, width_mm=140.0, height_mm=140.0)
    root = ET.fromstring(drawn.svg)
    lines = sorted(float(one.get("y1", "0")) for one in root.iter(f"{SVG}line"))
    assert len(lines) == 2
    listed = [e for e in texts(drawn.svg) if lines[0] < float(e.get("y", "0")) < lines[1]]
    said = " ".join("".join(e.itertext()) for e in listed)
    assert said.startswith("Ingredients: ")
    assert "Contains: " in said
    assert "Lakeside" not in said
    ys = [float(element.get("y", "0")) for element in listed]
    assert all(after - before >= 2.5 for before, after in pairwise(ys))
    other = draw_sticker(labels_of(Jurisdiction.EU).units[0], Jurisdiction.EU, width_mm=140.0, height_mm=140.0)
    assert "<line" not in other.svg


@pytest.mark.parametrize(
    ("place", "surface", "height", "ratio"),
    [
        (Jurisdiction.EU, 80.0, 1.2, X_HEIGHT),  # Article 13(2)
        (Jurisdiction.EU, 79.9, 0.9, X_HEIGHT),  # Article 13(3)
        (Jurisdiction.US, 100.0, 25.4 / 16, O_HEIGHT),  # 21 CFR 101.2(c)
        (Jurisdiction.CANADA, 100.0, 1.6, SANS.o_height),
        (Jurisdiction.CANADA, 9.9, 0.8, SANS.o_height),
    ],
)
def test_least_sizes(place: Jurisdiction, surface: float, height: float, ratio: float) -> None:
    assert size_for(place, surface) * ratio == pytest.approx(height, rel=1e-9)


@pytest.mark.parametrize(
    ("place", "mass", "surface", "height"),
    [
        (Jurisdiction.EU, 50, 500, 2),  # Directive 76/211/EEC, from memory
        (Jurisdiction.EU, 50.1, 500, 3),
        (Jurisdiction.EU, 200.1, 500, 4),
        (Jurisdiction.EU, 1000, 500, 4),
        (Jurisdiction.EU, 1000.1, 500, 6),
        (Jurisdiction.US, 900, 5 * 6.4516, 25.4 / 16),  # 21 CFR 101.7(i), from memory
        (Jurisdiction.US, 900, 25.1 * 6.4516, 25.4 * 3 / 16),
        (Jurisdiction.US, 900, 100.1 * 6.4516, 25.4 / 4),
        (Jurisdiction.US, 900, 401 * 6.4516, 25.4 / 2),
    ],
)
def test_heights_of_net_quantities(place: Jurisdiction, mass: float, surface: float, height: float) -> None:
    assert net_size(place, mass, surface) * FIGURE_HEIGHT == pytest.approx(height, rel=1e-6)


@settings(max_examples=80, deadline=None)
@given(
    st.lists(st.tuples(st.text(alphabet="abcW ,.%1", max_size=40), st.booleans()), min_size=1, max_size=6),
    st.floats(12.0, 120.0),
)
def test_lines_keep_every_letter_and_stay_in_the_measure(runs: list[tuple[str, bool]], measure: float) -> None:
    made = break_lines([Run(text=text, strong=strong) for text, strong in runs], 3.0, measure)
    kept = "".join(run.text for line in made for run in line.runs)
    wanted = "".join(text for text, _ in runs)
    assert re.sub(r"\s", "", kept) == re.sub(r"\s", "", wanted)
    for line in made:
        assert line.width_mm <= measure + 1e-6


PANELS = [(place, form.choice) for place in Jurisdiction for form in lawful_forms(place, "panel")]


@pytest.mark.parametrize(("place", "form"), PANELS)
@pytest.mark.parametrize("small", [False, True])
def test_panels_stay_in_their_box(place: Jurisdiction, form: str, small: bool) -> None:
    panel = labels_of(place).units[0].panel
    drawn = draw_panel(panel, prefix="p", form=form, small=small)
    in_box(drawn, face_of(place))
    said = panel_words(panel)
    assert all(row.label in said for row in panel.rows)
    shown = " ".join("".join(element.itertext()) for element in texts(drawn.svg)).replace("\u00a0", " ")
    for row in panel.rows:
        assert row.label in shown
        assert all(word in shown for word in row.cells[0].split())


def in_box(drawn: Drawing, face: Face) -> None:
    for element in texts(drawn.svg):
        x, wide = float(element.get("x", "0")), line_width(element, face)
        left = x - wide if element.get("text-anchor") == "end" else x
        assert left >= 0.9
        assert left + wide <= drawn.width_mm - 0.9
        assert 0 < float(element.get("y", "0")) < drawn.height_mm
        assert float(element.get("font-size", "0")) >= 6 * MM_PER_POINT - 0.01
    assert "style=" not in drawn.svg


def test_a_form_that_the_place_does_not_know_is_not_drawn() -> None:
    with pytest.raises(UnknownName):
        draw_panel(labels_of(Jurisdiction.EU).units[0].panel, form="tabular")


def test_sizes_of_the_us_panel() -> None:
    """21 CFR 101.9(d)(1)(iii): calories 16 and 22 points, lines 8, footnote 6."""
    drawn = draw_panel(labels_of(Jurisdiction.US).units[0].panel)
    sizes = {"".join(e.itertext()).strip(): float(e.get("font-size", "0")) / MM_PER_POINT for e in texts(drawn.svg)}
    assert sizes["Calories"] == pytest.approx(16, abs=0.05)
    assert max(size for words, size in sizes.items() if words.isdigit()) == pytest.approx(22, abs=0.05)
    assert next(size for words, size in sizes.items() if words.startswith("Sodium")) == pytest.approx(8, abs=0.05)
    assert max(sizes, key=lambda words: sizes[words]) == "Nutrition Facts"


def test_a_draft_says_so() -> None:
    label = labels_of(Jurisdiction.EU, read=False).units[0]
    drawn = draw_sticker(label, Jurisdiction.EU, width_mm=140.0, height_mm=140.0)
    assert "DRAFT" in drawn.svg
    finished = labels_of(Jurisdiction.EU).units[0]
    assert "DRAFT" not in draw_sticker(finished, Jurisdiction.EU, width_mm=140.0, height_mm=140.0).svg


def test_an_incomplete_panel_is_marked() -> None:
    panel = labels_of(Jurisdiction.US).units[0].panel
    assert "DRAFT" in draw_panel(replace(panel, missing=("trans fat",))).svg
    assert "DRAFT" not in draw_panel(panel).svg


@pytest.mark.parametrize("grid", list(grids().values()), ids=lambda grid: grid.key)
def test_sheets_of_stickers_fit_their_paper(grid: object) -> None:
    from tierwright.label import Grid

    assert isinstance(grid, Grid)
    assert grid.left_mm + (grid.columns - 1) * grid.step_x_mm + grid.width_mm <= grid.paper_width_mm + 0.01
    assert grid.top_mm + (grid.rows - 1) * grid.step_y_mm + grid.height_mm <= grid.paper_height_mm + 0.01
    assert grid.step_x_mm >= grid.width_mm - 1e-9 or grid.columns == 1
    assert grid.step_y_mm >= grid.height_mm - 1e-9 or grid.rows == 1


def test_a_begun_sheet_is_used_up() -> None:
    label = labels_of(Jurisdiction.EU).units[0]
    grid = fitting_grid(label, Jurisdiction.EU, "A4")
    assert grid is not None
    sheets = draw_sheets([(label, grid.count)], Jurisdiction.EU, grid, first=2)
    assert [sheet.svg.count("translate(") for sheet in sheets] == [grid.count - 1, 1]
    assert (sheets[0].width_mm, sheets[0].height_mm) == (210.0, 297.0)


def test_refusals() -> None:
    label = labels_of(Jurisdiction.EU).units[0]
    with pytest.raises(UnknownName):
        grid_of("a4_1x1")
    with pytest.raises(OutOfRange):
        draw_sticker(label, Jurisdiction.EU, width_mm=5.0, height_mm=50.0)
    with pytest.raises(OutOfRange):
        draw_sheets([(label, 1)], Jurisdiction.EU, grid_of("a4_99x67"), first=9)
    with pytest.raises(Infeasible):
        draw_code("x" * (LARGEST_BYTES + 1))


def test_the_code_holds_the_card_word_for_word() -> None:
    import segno

    card = labels_of(Jurisdiction.EU).card
    drawn = draw_code(card)
    root = ET.fromstring(drawn.svg)
    path = next(root.iter(f"{SVG}path")).get("d", "")
    # The dark area of the drawing is that of the code which the library makes of the very text.
    dark = sum(bytes(row).count(1) for row in segno.make(card, error="l", micro=False, boost_error=False).matrix)
    area = sum(float(w) * float(h) for w, h in re.findall(r"h([\d.]+)v([\d.]+)h-", path))
    assert area == pytest.approx(dark * 0.42**2, rel=0.01)  # coordinates carry two decimals
    assert drawn.alt.endswith(card)


@pytest.mark.parametrize("place", list(Jurisdiction))
def test_files_of_a_finished_label_hold_stickers_and_those_of_a_draft_do_not(place: Jurisdiction) -> None:
    finished = label_files(labels_of(place))
    assert set(finished) == {
        "allergen-card.txt", "panel-top-tier.svg", "stickers-top-tier.svg", "panel-whole-cake.svg",
        "stickers-whole-cake.svg",
    }  # fmt: skip
    assert "stickers-top-tier.svg" not in label_files(labels_of(place, read=False))
    for name, text in finished.items():
        if name.endswith(".svg"):
            ET.fromstring(text)


@pytest.mark.parametrize(("surface", "listed"), [(9.9, False), (10.0, True)])
def test_the_smallest_european_packages_name_allergens_alone(surface: float, listed: bool) -> None:
    """Regulation (EU) No 1169/2011, Article 16(2): under 10 cm2 no list, but the allergens of Article 21."""
    label = labels_of(Jurisdiction.EU).units[0]
    drawn = draw_sticker(label, Jurisdiction.EU, width_mm=140.0, height_mm=140.0, surface_cm2=surface)
    assert ("Ingredients:" in drawn.alt) is listed
    assert ("Contains: wheat, egg, milk, sulphites." in drawn.alt) is not listed


@pytest.mark.parametrize(
    ("place", "surface"), [(Jurisdiction.EU, 25.0), (Jurisdiction.US, 77.42), (Jurisdiction.CANADA, 100.0)]
)
def test_panels_of_small_packages_are_left_out(place: Jurisdiction, surface: float) -> None:
    labels = labels_of(place)
    assert "panel-top-tier.svg" in label_files(replace(labels, form=PrintForm(surface_cm2=surface)))
    assert "panel-top-tier.svg" not in label_files(replace(labels, form=PrintForm(surface_cm2=surface - 0.1)))


def test_a_unit_never_parts_from_its_number() -> None:
    lines = break_lines([Run(text="NET WT 8 LB 2 OZ (3.701 kg)")], 10.0, 70.0)
    assert ["".join(run.text for run in line.runs) for line in lines] == [
        "NET WT 8\u00a0LB",
        "2\u00a0OZ (3.701\u00a0kg)",
    ]
