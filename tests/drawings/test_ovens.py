"""Oven drawings: to scale, every pan inside, every word escaped."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from tierwright.drawings import OnShelf, core_chart, oven_shelf
from tierwright.shapes import Outline
from tierwright.units import Display, TemperatureUnit

SVG = "{http://www.w3.org/2000/svg}"


def test_a_shelf_is_drawn_to_scale() -> None:
    pan = OnShelf(outline=Outline.round(230), x_mm=140, y_mm=150, turned=False, label="bottom tier\nlayer <1>")
    drawing = oven_shelf([pan], width_mm=460, depth_mm=400, display=Display())
    root = ElementTree.fromstring(drawing.svg)
    corners = root.find(f".//{SVG}polygon")
    assert corners is not None
    xs = [float(pair.split(",")[0]) for pair in corners.attrib["points"].split()]
    ys = [float(pair.split(",")[1]) for pair in corners.attrib["points"].split()]
    assert (max(xs) - min(xs)) * drawing.scale == pytest.approx(230, rel=0.005)
    box = root.find(f".//{SVG}rect[@stroke-width='0.5']")
    assert box is not None
    left, top = float(box.attrib["x"]), float(box.attrib["y"])
    assert left < min(xs)
    assert max(ys) < top + float(box.attrib["height"])
    # 150 mm from the door, which is drawn at the bottom.
    bottom = top + float(box.attrib["height"])
    assert (bottom - (max(ys) + min(ys)) / 2) * drawing.scale == pytest.approx(150, abs=1)
    assert "layer &lt;1&gt;" in drawing.svg


def test_a_core_chart_marks_the_target_and_the_range() -> None:
    curve = [(float(m), 20.0 + 2.5 * m) for m in range(31)]
    drawing = core_chart(
        {"top tier": curve},
        target_c=95.0,
        done={"top tier": (26.0, 30.0, 35.0)},
        display=Display(temperature=TemperatureUnit.F),
    )
    root = ElementTree.fromstring(drawing.svg)
    text = " ".join(t.text or "" for t in root.iter(f"{SVG}text"))
    assert "done: 203 °F" in text
    assert "top tier" in text
    assert "likely 26 to 35" in drawing.alt
    assert not re.search(r"\sstyle=|<style|<script", drawing.svg)
