"""The drawing of temperature against solids."""

from __future__ import annotations

from itertools import pairwise
from xml.etree import ElementTree

import pytest

from tierwright.errors import OutOfRange
from tierwright.sugar import find_target, plot_target, sugar_and_water
from tierwright.water import air_pressure_pa

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("fahrenheit", [False, True])
def test_the_target_lies_on_the_curve_and_is_told_in_words(fahrenheit: bool) -> None:
    mix = sugar_and_water(400, 120)
    target = find_target(mix, altitude_m=1420.0, sea_level_c=116.7)
    drawn = ElementTree.fromstring(plot_target(mix, target, air_pressure_pa(1420.0), fahrenheit=fahrenheit))
    assert drawn.get("role") == "img"
    title = drawn.find(f"{SVG}title")
    assert title is not None
    assert ("°F" if fahrenheit else "°C") in (title.text or "")
    ring = drawn.find(f"{SVG}circle")
    assert ring is not None
    x, y = float(ring.get("cx", "0")), float(ring.get("cy", "0"))
    here = drawn.findall(f"{SVG}polyline")[-1]
    points = [tuple(map(float, pair.split(","))) for pair in (here.get("points") or "").split()]
    (x0, y0), (x1, y1) = next((a, b) for a, b in pairwise(points) if a[0] <= x <= b[0])
    # On the chord between two points of the curve, within a pixel.
    assert y == pytest.approx(y0 + (y1 - y0) * (x - x0) / (x1 - x0), abs=1.0)
    assert not [element for element in drawn.iter() if "style" in element.attrib]


def test_past_the_boil_only_a_temperature_is_drawn() -> None:
    mix = sugar_and_water(400, 120)
    target = find_target(mix, altitude_m=0.0, stage_key="caramel")
    drawn = ElementTree.fromstring(plot_target(mix, target, air_pressure_pa(0.0)))
    assert drawn.find(f"{SVG}circle") is None
    assert any("caramel" in (text.text or "") for text in drawn.findall(f"{SVG}text"))


def test_a_drawing_without_room_is_refused() -> None:
    mix = sugar_and_water(400, 120)
    target = find_target(mix, altitude_m=0.0, stage_key="caramel")
    with pytest.raises(OutOfRange):
        plot_target(mix, target, air_pressure_pa(0.0), width=10.0)
