from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.drawings import scenario

from tierwright.drawings import AS_THE_PAGE, Bar, Base, Drawing, Names, section
from tierwright.errors import MissingData, OutOfRange
from tierwright.shapes import Outline
from tierwright.sizing.model import TierKind
from tierwright.units import Display, LengthUnit

SVG = "{http://www.w3.org/2000/svg}"


def drawn(**options: object) -> tuple[Drawing, ElementTree.Element]:
    drawing = section(scenario.STACK, scenario.COATING, base=scenario.BASE, names=scenario.NAMES, **options)  # type: ignore[arg-type]
    return drawing, ElementTree.fromstring(drawing.svg)


def texts(root: ElementTree.Element) -> list[str]:
    return [element.text or "" for element in root.iter(f"{SVG}text")]


def by_id(root: ElementTree.Element, name: str) -> ElementTree.Element:
    return next(element for element in root.iter() if element.get("id") == name)


def box(element: ElementTree.Element) -> tuple[float, float, float, float]:
    shape = element.find(f"{SVG}polygon")
    if shape is not None:
        pairs = [pair.split(",") for pair in str(shape.get("points")).split()]
        xs, ys = [float(x) for x, _ in pairs], [float(y) for _, y in pairs]
        return min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)
    sides = [[float(r.get(k, "nan")) for k in ("x", "y", "width", "height")] for r in element.iter(f"{SVG}rect")]
    left, top = min(side[0] for side in sides), min(side[1] for side in sides)
    return left, top, max(s[0] + s[2] for s in sides) - left, max(s[1] + s[3] for s in sides) - top


def test_every_band_is_drawn_to_scale() -> None:
    # A section at 1 : n shows every true length divided by n; coordinates are printed to a hundredth of a millimetre.
    drawing, root = drawn()
    floor_mm = scenario.BASE.thickness_mm
    base_x, base_y, base_width, base_height = box(by_id(root, "section-base"))
    ground, middle = base_y + base_height, base_x + base_width / 2
    for coated in scenario.COATING.tiers:
        for place, band in enumerate(coated.bands):
            x, y, width, height = box(by_id(root, f"section-tier-{coated.number}-band-{place + 1}"))
            assert width * drawing.scale == pytest.approx(band.outline.width_mm, abs=0.05)
            # A coat is drawn from the foot of the tier, for it runs down the side.
            bottom_mm = 0.0 if band.material in ("coat", "crumb coat") else band.bottom_mm
            assert height * drawing.scale == pytest.approx(band.top_mm - bottom_mm, abs=0.05)
            assert (ground - y) * drawing.scale == pytest.approx(floor_mm + band.top_mm, abs=0.05)
            assert x + width / 2 == pytest.approx(middle, abs=0.011)
        floor_mm += coated.finished_height_mm


def test_dimension_numbers_are_the_models() -> None:
    _, root = drawn(display=Display(length=LengthUnit.MM))
    shown = texts(root)
    total = scenario.BASE.thickness_mm + sum(t.finished_height_mm for t in scenario.COATING.tiers)
    assert f"{total:.0f} mm" in shown
    for tier, coated in zip(scenario.TIERS, scenario.COATING.tiers, strict=True):
        assert f"{tier.name} ø {coated.finished_outline.width_mm:.0f} mm" in shown
        assert f"pan round {tier.outline.width_mm:.0f} mm" in shown
    assert shown.count(f"{scenario.COATING.tiers[0].finished_height_mm:.0f} mm") == 3
    kept = {float(e.get("data-mm", "0")) for e in root.iter() if e.get("data-mm")}
    assert {round(total, 3), 356.0, 266.0} <= kept


def test_dimension_lines_are_as_long_as_they_say() -> None:
    drawing, root = drawn()
    for part in ("heights", "widths"):
        holder = next(e for e in root.iter(f"{SVG}g") if e.get("data-part") == part)
        measured = [e for e in holder if e.get("data-mm")]
        assert len(measured) >= 4
        for dimension in measured:
            # Third line after the two ticks: the dimension line itself.
            line = dimension.findall(f"{SVG}line")[2]
            x1, y1, x2, y2 = (float(line.get(key, "nan")) for key in ("x1", "y1", "x2", "y2"))
            length = abs(x2 - x1) + abs(y2 - y1)
            assert length * drawing.scale == pytest.approx(float(dimension.get("data-mm", "nan")), abs=0.05)


def test_scale_bar_is_true() -> None:
    for unit in LengthUnit:
        drawing, root = drawn(display=Display(length=unit))
        bar = next(e for e in root.iter(f"{SVG}g") if e.get("data-mm") and e.find(f"{SVG}rect") is not None)
        length = sum(float(r.get("width", "0")) for r in bar.findall(f"{SVG}rect"))
        assert length * drawing.scale == pytest.approx(float(bar.get("data-mm", "0")), abs=0.2)


def test_dams_hold_the_volume_that_coating_gave_them() -> None:
    # 60 g at 0.8 g/ml is 75 ml of dam on two fillings 8 mm deep: a ring of 75000 / 16 = 4688 mm2 inside 254 mm,
    # which is 127 - sqrt(127^2 - 4688 / pi) = 6.02 mm wide; the drawing takes the rim's length and gets 5.87.
    drawing, root = drawn()
    filling = by_id(root, "section-tier-1-band-3")
    inside, left, right = (float(r.get("width", "nan")) * drawing.scale for r in filling.findall(f"{SVG}rect"))
    assert left == right == pytest.approx(5.87, abs=0.05)
    assert inside + left + right == pytest.approx(254.0, abs=0.05)


def test_no_hatch_lies_on_another() -> None:
    # On a page that shows through, two hatches on one spot could not be told apart: the areas of all that is drawn of
    # a tier add up to the tier's own section, to the last place of the coordinates.
    drawing, root = drawn()
    for coated in scenario.COATING.tiers:
        area = 0.0
        for element in by_id(root, f"section-tier-{coated.number}").iter():
            if element.tag == f"{SVG}rect":
                area += float(element.get("width", "nan")) * float(element.get("height", "nan"))
            elif element.tag == f"{SVG}polygon":
                points = [tuple(map(float, pair.split(","))) for pair in str(element.get("points")).split()]
                area += abs(
                    sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, [*points[1:], points[0]], strict=True)) / 2
                )
        whole = coated.finished_outline.width_mm * coated.finished_height_mm
        assert area * drawing.scale**2 == pytest.approx(whole, rel=0.005)


def test_the_next_tier_stands_where_the_coat_is_left_off() -> None:
    sunk = tuple(replace(t, carries_at_mm=t.finished_height_mm - 6.0) for t in scenario.COATING.tiers)
    drawing = section(scenario.STACK, replace(scenario.COATING, tiers=sunk), display=Display(length=LengthUnit.MM))
    # Two joints, each 6 mm lower; the top of the cake keeps its coat.
    total = sum(t.finished_height_mm for t in sunk) - 12.0
    assert f"{total:.0f} mm" in texts(ElementTree.fromstring(drawing.svg))


def test_inches_for_those_who_want_them() -> None:
    _, root = drawn(display=Display(length=LengthUnit.INCH))
    assert "pan round 10 in" in texts(root)


def test_every_tier_and_band_can_be_touched() -> None:
    _, root = drawn()
    ids = [e.get("id") for e in root.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    assert all(str(i).startswith("section-") for i in ids)
    sheets = {e.get("data-sheet") for e in root.iter() if e.get("data-sheet")}
    assert {"tiers", "coats", "formulas", "supports"} <= sheets
    tiers = [e for e in root.iter() if e.get("id", "").startswith("section-tier-") and e.get("data-tier")]
    assert [e.get("data-tier") for e in tiers] == ["1", "2", "3"]


def test_strict_policies_have_nothing_to_block() -> None:
    drawing, root = drawn()
    for element in root.iter():
        assert element.tag not in {f"{SVG}style", f"{SVG}script", f"{SVG}foreignObject", f"{SVG}image"}
        assert "style" not in element.attrib
        assert "class" not in element.attrib
        assert not any(key.lower().startswith("on") for key in element.attrib)
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "section-title section-desc"
    assert by_id(root, "section-desc").text == drawing.alt


def test_each_material_has_its_own_hatch() -> None:
    _, root = drawn()
    patterns = list(root.iter(f"{SVG}pattern"))
    drawn_as = {ElementTree.tostring(p).split(b">", 1)[1] for p in patterns}
    # Three sponges, two fillings, dam, crumb coat and coat: eight patterns, no two alike; the board is solid.
    assert len(patterns) == 8
    assert len(drawn_as) == 8
    legend = next(e for e in root.iter(f"{SVG}g") if e.get("data-part") == "legend")
    assert len(list(legend.iter(f"{SVG}rect"))) == 9
    used = {e.get("fill") for e in root.iter(f"{SVG}rect") if str(e.get("fill")).startswith("url(")}
    assert used == {f"url(#{p.get('id')})" for p in patterns}


def test_light_and_dark_pages() -> None:
    drawing, root = drawn(ink=AS_THE_PAGE)
    colours = {e.get(key) for e in root.iter() for key in ("fill", "stroke") if e.get(key)}
    assert {c for c in colours if not str(c).startswith("url(")} <= {"none", "currentColor"}
    assert "#" not in drawing.svg.replace("url(#", "")


@pytest.mark.parametrize(
    "hostile", ["<script>alert(1)</script>", 'a" onload="x', "&amp;<!--", "]]>", "\x00\x07bell", "𝔘 ñ 中文"]
)
def test_hostile_names_stay_text(hostile: str) -> None:
    stack = replace(scenario.STACK, tiers=(replace(scenario.TIERS[0], name=hostile), *scenario.TIERS[1:]))
    names = Names(formulas={"vanilla": hostile}, flavours=(hostile, hostile, hostile))
    drawing = section(stack, scenario.COATING, base=scenario.BASE, names=names, title=hostile)
    root = ElementTree.fromstring(drawing.svg)
    assert not list(root.iter(f"{SVG}script"))
    assert not any(key.startswith("on") for e in root.iter() for key in e.attrib)


@settings(max_examples=30, deadline=None)
@given(st.text(max_size=40))
def test_any_text_makes_well_formed_xml(text: str) -> None:
    names = Names(flavours=(text, text, text))
    ElementTree.fromstring(section(scenario.STACK, scenario.COATING, names=names, title=text).svg)


def test_supports_can_be_laid_over() -> None:
    bars = (Bar(x_mm=60, bottom_mm=12, top_mm=127, width_mm=6, label="support"),)
    drawing, root = drawn(bars=bars)
    _, _, width, height = box(by_id(root, "section-bar-1"))
    assert width * drawing.scale == pytest.approx(6, abs=0.05)
    assert height * drawing.scale == pytest.approx(115, abs=0.05)


def test_a_dummy_needs_no_coat() -> None:
    dummy = replace(scenario.TIERS[2], kind=TierKind.DUMMY, cutting=None, flavour=-1)
    stack = replace(scenario.STACK, tiers=(*scenario.TIERS[:2], dummy))
    coating = replace(scenario.COATING, tiers=scenario.COATING.tiers[:2])
    drawing = section(stack, coating)
    assert "dummy, not cake" in drawing.svg
    assert "foam" in drawing.svg


def test_refuses_an_uncoated_tier() -> None:
    with pytest.raises(MissingData, match="top tier"):
        section(scenario.STACK, replace(scenario.COATING, tiers=scenario.COATING.tiers[:2]))


def test_refuses_what_the_paper_cannot_hold() -> None:
    with pytest.raises(OutOfRange):
        section(
            scenario.STACK,
            scenario.COATING,
            base=Base(outline=Outline.round(1000), thickness_mm=12),
            width_mm=100,
        )


def test_refuses_an_id_that_is_not_one() -> None:
    with pytest.raises(ValueError, match="cannot start an id"):
        drawn(prefix='x"><script>')
