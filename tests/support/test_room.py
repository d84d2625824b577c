"""Tables with their sources, notes, hands, air, and the printed template."""

from __future__ import annotations

import csv
import re
from dataclasses import fields, is_dataclass, replace
from datetime import datetime
from decimal import Decimal
from enum import Enum
from importlib.resources import files
from math import isfinite
from xml.etree import ElementTree

import pytest
import typst

from tierwright.errors import OutOfRange, UnknownName
from tierwright.support import Anchor, Ask, Rod, support, support_stocks, upright_bars
from tierwright.support.air import trapped_air
from tierwright.support.hands import plan_lift, recommended_weight_kg
from tierwright.support.tables import (
    bonds,
    crumb_classes,
    drives,
    factors,
    filling_classes,
    find_crumb,
    find_filling,
    find_material,
    finish_limits,
    friction,
    materials,
    surfaces,
)
from tierwright.support.template import PAPER_MM, template_sheets
from tierwright.working import Basis

SHEETS = {
    "tiers", "formulas", "bakes", "syrups", "coats", "supports", "flowers", "keeping", "labels", "buying", "price",
    "road", "table",
}  # fmt: skip


@pytest.mark.parametrize(
    "path", sorted((files("tierwright.support") / "data").iterdir(), key=str), ids=lambda p: p.name
)
def test_every_row_names_its_source(path: object) -> None:
    rows = list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))  # type: ignore[attr-defined]
    assert rows
    for row in rows:
        Basis(row["basis"])
        assert row["source"].strip()
        assert None not in row.values()
    assert len({row["key"] for row in rows}) == len(rows)


def test_ranges_are_in_order_and_above_zero() -> None:
    for material in materials().values():
        for value in (material.modulus_mpa, material.crush_mpa, material.bend_mpa, material.bearing_mpa):
            assert 0 < value.low <= value.value <= value.high
        assert 0 < material.damp.low <= material.damp.high <= 1
        assert f"material-{material.family}" in factors()
    for stock in support_stocks().values():
        assert stock.material in materials()
        assert 0 <= stock.wall_mm < stock.outer_mm / 2


def test_softer_kinds_are_softer() -> None:
    soft = [filling_classes()[key].yield_pa.value for key in ("cream", "soft", "buttercream", "firm")]
    assert soft == sorted(soft)
    crumb = [crumb_classes()[key].modulus_kpa.value for key in ("foam", "butter", "dense", "fruit", "dummy")]
    assert crumb == sorted(crumb)
    assert all(kind.chilled_factor >= 1 > kind.warm_factor for kind in filling_classes().values())
    assert friction()["base-mat"].value.value > friction()["base-floor"].value.value
    assert finish_limits()["brittle"].value.value > finish_limits()["soft"].value.value
    assert drives()["hard"].forward_g.value > drives()["careful"].forward_g.value
    assert bonds()["none"].value.value == 0
    assert surfaces()["track"].value.value > surfaces()["smooth"].value.value


@pytest.mark.parametrize("find", [find_material, find_crumb, find_filling])
def test_unknown_names_are_refused(find: object) -> None:
    with pytest.raises(UnknownName):
        find("marshmallow")  # type: ignore[operator]


def test_notes_are_whole(three: Ask) -> None:
    rod = Rod(stock=support_stocks()["wood-12"], anchor=Anchor.ANCHORED)
    road = replace(three.road, wish_stacked=True)
    found = support(replace(three, means=replace(three.means, rod=rod), road=road, trials=1000))
    notes = found.notes
    keys = [figure.key for figure in notes.figures]
    assert len(set(keys)) == len(keys)
    for figure in notes.figures:
        assert figure.sheet in SHEETS
        assert figure.equation
        assert figure.label
    assert {question.sheet for question in notes.questions} <= SHEETS
    assert {caution.sheet for caution in notes.cautions} <= SHEETS
    for caution in notes.cautions:
        assert caution.reason
        assert str(caution.source)
    # Each level's supports are counted out where they are served, and the rod before them.
    for level in found.levels:
        name = three.tiers[level.tier - 1].name
        assert any(
            caution.sheet == "table" and f"count {level.count} supports from {name}" in caution.text
            for caution in notes.cautions
        )
    assert any(caution.key == "support.rod.count_out" for caution in notes.cautions)
    assert any("wood" in caution.key for caution in notes.cautions)
    assert all(assumption.value and str(assumption.source) for assumption in notes.assumptions)


def plain(value: object, path: str = "support") -> None:
    """Refuse anything in a result that plain JSON cannot hold (arrays, numpy numbers, sets)."""
    if is_dataclass(value):
        for field in fields(value):
            plain(getattr(value, field.name), f"{path}.{field.name}")
    elif isinstance(value, tuple):
        for i, item in enumerate(value):
            plain(item, f"{path}[{i}]")
    elif isinstance(value, Enum | datetime | Decimal) or value is None:
        pass
    else:
        assert type(value) in (bool, int, float, str), f"{path} is a {type(value)}"
        assert not isinstance(value, float) or isfinite(value), f"{path} is {value}"


def test_results_are_plain_data(three: Ask, held: Ask) -> None:
    plain(support(replace(three, trials=500)))
    plain(support(replace(held, trials=500)))


def test_loading_puts_the_heaviest_forward(three: Ask) -> None:
    found = support(replace(three, road=replace(three.road, wish_stacked=False)))
    masses = [step.mass_g for step in found.loading]
    assert masses == sorted(masses, reverse=True)
    assert [step.order for step in found.loading] == [1, 2, 3]
    assert "behind the seats" in found.loading[0].where
    assert "first out" in found.loading[-1].where
    assert sorted(number for step in found.loading for number in step.tiers) == [1, 2, 3]


def test_stairs_bring_a_caution_with_the_slope(three: Ask) -> None:
    found = support(replace(three, road=replace(three.road, stairs=12)))
    stairs = next(caution for caution in found.notes.cautions if caution.key == "support.road.stairs")
    assert "12 steps" in stairs.text
    assert not any(c.key == "support.road.stairs" for c in support(three).notes.cautions)


def test_air_advice() -> None:
    climb = {"from_m": 300.0, "to_m": 1250.0, "cold_c": 18.0, "warm_c": 24.0}
    sealed = trapped_air(**climb, sealed=True)
    assert sealed.vent
    assert "prick" in sealed.words
    # The same air held back presses by the gas law: p1 T2 / T1 - p2.
    assert sealed.pressure_pa > 10_000
    assert not trapped_air(**climb, sealed=False).vent
    level = trapped_air(from_m=300.0, to_m=300.0, cold_c=18.0, warm_c=18.0, sealed=True)
    assert level.growth == pytest.approx(1.0)
    assert not level.vent
    with pytest.raises(OutOfRange):
        trapped_air(from_m=9000.0, to_m=0.0, cold_c=20.0, warm_c=20.0, sealed=True)


def test_lifts_grow_with_mass_and_width() -> None:
    people = [plan_lift("piece", mass_kg=mass, width_mm=300.0).people for mass in (2.0, 8.0, 12.0, 30.0)]
    assert people == sorted(people)
    assert people[0] == 1
    assert people[-1] == 3
    wide = plan_lift("piece", mass_kg=5.0, width_mm=900.0)
    assert wide.limit_kg == 0.0
    assert wide.people > 1
    with pytest.raises(OutOfRange):
        recommended_weight_kg(reach_mm=700.0)


def test_base_board_is_checked_in_the_hands(three: Ask) -> None:
    from tierwright.support import BaseBoard, board_stocks

    stiff = support(three).base
    thin = support(replace(three, base=BaseBoard(board=board_stocks()["card-3"], outline=three.base.outline)))
    assert thin.base.sag_mm > stiff.sag_mm
    assert max(check.utilisation for check in thin.base.checks) > 1
    assert any(question.key == "support.base" for question in thin.notes.questions)


def test_deflected_shape_is_to_be_seen(three: Ask) -> None:
    for level in support(three).levels:
        shape = level.board.deflected
        depth = max(abs(down) for _, down in shape.middle) * shape.exaggeration
        width = three.tiers[level.carries - 1].board_outline.width_mm
        assert shape.middle[0][0] == pytest.approx(-width / 2, rel=1e-3)  # the outline is drawn by chords
        assert 0.001 * width < depth <= 0.06 * width


def test_upright_bars_stand_between_boards(three: Ask) -> None:
    rod = Rod(stock=support_stocks()["wood-12"], anchor=Anchor.ANCHORED)
    ask = replace(three, means=replace(three.means, rod=rod))
    found = support(ask)
    bars = upright_bars(ask, found)
    assert len(bars) == sum(level.count for level in found.levels) + 1
    for bar in bars[:-1]:
        load = found.loads[bar.tier - 1]
        # On the tier's own 3 mm board, and up to where it has settled to.
        assert bar.bottom_mm == load.bottom_mm + 3.0
        assert bar.top_mm == pytest.approx(found.loads[bar.tier].bottom_mm - 1.25)
    assert bars[-1].bottom_mm == 9.0
    assert bars[-1].top_mm < found.loads[-1].bottom_mm + 125.0


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_template_is_true_to_size(three: Ask, paper: str) -> None:
    found = support(three)
    level = found.levels[0]
    sheets = template_sheets(level, three.tiers[0], three.tiers[1], paper=paper)
    assert len(sheets) == sheets[0].rows * sheets[0].columns
    marks: set[tuple[float, float]] = set()
    for sheet in sheets:
        root = ElementTree.fromstring(sheet.svg)
        width, height = PAPER_MM[paper]
        # One user unit is one millimetre on paper.
        assert root.get("width") == f"{width:g}mm"
        assert root.get("viewBox") == f"0 0 {width:g} {height:g}"
        bar = next(e for e in root.iter() if (e.get("id") or "").startswith("bar-mm"))
        assert float(bar.get("x2") or 0) - float(bar.get("x1") or 0) == 100.0
        assert "style=" not in sheet.svg
        polygon = next(e for e in root.iter() if e.tag.endswith("polygon"))
        corners = [tuple(map(float, pair.split(","))) for pair in (polygon.get("points") or "").split()]
        span = max(x for x, _ in corners) - min(x for x, _ in corners)
        # The outline's corners lie a hair outside its circle.
        assert span == pytest.approx(three.tiers[0].outline.width_mm, rel=1e-3)
        middle = (sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners))
        circles = [e for e in root.iter() if e.tag.endswith("circle")]
        assert len(circles) == level.count
        for circle, (x, y) in zip(circles, level.positions, strict=True):
            assert float(circle.get("r") or 0) == level.stock.outer_mm / 2
            assert float(circle.get("cx") or 0) - middle[0] == pytest.approx(x, abs=2e-3)
            assert middle[1] - float(circle.get("cy") or 0) == pytest.approx(y, abs=2e-3)
            marks.add((x, y))
    assert len(marks) == level.count


def test_printed_scale_bar_measures_true(three: Ask, tmp_path: object) -> None:
    # Print it (PDF), look at the ink: the bar is 100 mm long on the sheet its end ticks being a quarter wide.
    found = support(three)
    sheet = template_sheets(found.levels[0], three.tiers[0], three.tiers[1])[0]
    source = (
        f"#set page(width: {sheet.width_mm}mm, height: {sheet.height_mm}mm, margin: 0mm)\n"
        '#image("sheet.svg", width: 100%)\n'
    )
    folder = tmp_path
    (folder / "sheet.svg").write_text(sheet.svg, encoding="utf-8")  # type: ignore[operator]
    (folder / "page.typ").write_text(source, encoding="utf-8")  # type: ignore[operator]
    pdf = typst.compile(str(folder / "page.typ"))  # type: ignore[operator]
    page = pytest.importorskip("pypdfium2").PdfDocument(pdf)[0]
    assert page.get_width() / 72 * 25.4 == pytest.approx(210.0, abs=0.01)
    per_mm = 20
    image = page.render(scale=per_mm * 25.4 / 72, grayscale=True).to_numpy()
    height = re.search(r'id="bar-mm[^"]*" x1="([\d.]+)" y1="([\d.]+)"', sheet.svg)
    assert height is not None
    row = image[round(float(height[2]) * per_mm)]
    dark = [i for i, value in enumerate(row) if value < 128]
    assert (dark[-1] - dark[0] + 1) / per_mm == pytest.approx(100.0, abs=0.35)
