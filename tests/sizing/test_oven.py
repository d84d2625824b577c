"""Pans to a load, by hand, and the fourteen pans of a busy week in one small oven."""

from __future__ import annotations

import pytest
from tests.sizing.kitchens import METRIC, ONE_OVEN, SHEET, cm

from tierwright.shapes import Outline
from tierwright.sizing import OvenSpace, oven_loads, pans_per_load

BY_KEY = {pan.key: pan for pan in METRIC}


@pytest.mark.parametrize(
    ("diameter", "at_once"),
    # Cavity 46 x 40 cm, 1.5 cm of air: 15s two by two; 18s and 20s two abreast; from 23 cm one at a time.
    [(15, 4), (18, 2), (20, 2), (23, 1), (25, 1), (30, 1), (38, 0)],
)
def test_rounds_in_a_small_oven(diameter: float, at_once: int) -> None:
    assert pans_per_load(Outline.round(10 * diameter), ONE_OVEN[0]) == at_once


def test_sheets_are_turned_to_fit() -> None:
    narrow = OvenSpace(key="narrow", width_mm=270, depth_mm=400, shelves=2)
    assert pans_per_load(SHEET.outline, narrow) == 2


def test_four_orders_in_one_oven_make_nine_loads() -> None:
    # Tiers 15/20/25, 15/20, 20 and 18/23, two pans each: sixteen layers. The 15s go in one load, the 20s in three, the
    # 25s in two, the 18s in one, the 23s in two.
    tiers = (15, 20, 25, 15, 20, 20, 18, 23)
    wanted = {d: 2 * tiers.count(d) for d in tiers}
    layers = [(cm(d, owned=4), count) for d, count in wanted.items()]
    assert oven_loads(layers, ONE_OVEN) == 9


def test_a_single_pan_bakes_one_layer_at_a_time() -> None:
    assert oven_loads([(cm(20, owned=1), 3)], ONE_OVEN) == 3
    assert oven_loads([(cm(20, owned=2), 3)], ONE_OVEN) == 2
    assert oven_loads([(cm(20, owned=0, price=9.0), 3)], ONE_OVEN) == 3


def test_like_pans_share_loads_across_tiers() -> None:
    pan = cm(15, owned=4)
    assert oven_loads([(pan, 2), (pan, 2)], ONE_OVEN) == 1


def test_without_an_oven_each_pan_is_a_load() -> None:
    assert oven_loads([(cm(20, owned=3), 3)], ()) == 3
