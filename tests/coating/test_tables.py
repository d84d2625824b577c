"""Every row of the room's tables."""

from __future__ import annotations

import csv
from importlib.resources import files
from itertools import pairwise

import pytest

from tierwright.coating import CoatStyle, Finish, density, density_from_overrun, kind, kind_for, kinds
from tierwright.coating.tables import amount, solid_fat, stiffnesses, usual_thickness
from tierwright.errors import MissingData, OutOfRange, UnknownName
from tierwright.words import BATTERS, FormulaKind
from tierwright.working import Basis

TABLES = ["kinds.csv", "stiffness.csv", "solid_fat.csv", "thickness.csv", "amounts.csv", "ganache.csv"]


@pytest.mark.parametrize("name", TABLES)
def test_every_row_is_whole_and_says_where_it_comes_from(name: str) -> None:
    text = files("tierwright.coating").joinpath("data", name).read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    assert rows
    for row in rows:
        assert None not in row, row
        assert None not in row.values(), row
        assert Basis(row["basis"]) in (Basis.PUBLISHED, Basis.COMMON_PRACTICE, Basis.FROM_MEMORY)
        assert len(row["source"]) > 5, row


@pytest.mark.parametrize("key", list(kinds()))
def test_kind_is_in_order(key: str) -> None:
    of = kind(key)
    assert 0.1 < of.density_g_per_ml.low < of.density_g_per_ml.high < 2.0
    assert of.stiffness in stiffnesses()
    assert of.fat in {*solid_fat(), "none"}
    # What slumps needs holding in; a syrup is brushed on, not piped round.
    assert of.needs_dam == of.is_soft or key == "syrup"
    assert 0 <= of.overrun_percent < 200


def test_overrun_of_whipped_cream_is_about_a_hundred() -> None:
    # USDA SR28 01053: one cup of fluid cream yields two cups whipped.
    assert kind("whipped_cream").overrun_percent == pytest.approx(100.0, abs=5.0)
    assert density_from_overrun(1.01, 100.0) == pytest.approx(0.505)


def test_stiffness_rises_down_the_table() -> None:
    for softer, stiffer in pairwise(stiffnesses().values()):
        assert softer.yield_pa.low < stiffer.yield_pa.low
        assert softer.yield_pa.value < stiffer.yield_pa.value
        assert softer.yield_pa.high < stiffer.yield_pa.high


@pytest.mark.parametrize("fat", list(solid_fat()))
def test_fat_melts_as_it_warms(fat: str) -> None:
    points = solid_fat()[fat]
    assert points[-1][1] == 0.0
    for (cold, more), (warm, less) in pairwise(points):
        assert cold < warm
        assert more > less


@pytest.mark.parametrize("style", list(CoatStyle))
@pytest.mark.parametrize("finish", list(Finish))
def test_every_style_and_finish_has_a_thickness(style: CoatStyle, finish: Finish) -> None:
    usual = usual_thickness(style, finish)
    bare = style is CoatStyle.NAKED
    assert (usual.side_mm.value == 0) is bare
    assert usual.side_mm.high <= 10.0
    assert usual.top_mm.high <= 10.0


def test_texture_adds_to_a_smooth_coat() -> None:
    smooth = usual_thickness(CoatStyle.FULL, Finish.SMOOTH).side_mm.value
    for finish in (Finish.COMBED, Finish.TEXTURED, Finish.STRIPED):
        assert usual_thickness(CoatStyle.FULL, finish).side_mm.value > smooth


@pytest.mark.parametrize("formula_kind", list(FormulaKind))
def test_every_kind_of_formula_is_baked_or_spread(formula_kind: FormulaKind) -> None:
    if formula_kind in BATTERS:
        with pytest.raises(MissingData):
            kind_for(formula_kind)
    else:
        assert kind_for(formula_kind).key in kinds()


def test_a_weighed_cup_goes_before_the_table() -> None:
    assert density("swiss_buttercream", 0.62).value == 0.62
    assert density("swiss_buttercream").value == kind("swiss_buttercream").density_g_per_ml.value


@pytest.mark.parametrize("measured", [0.0, -1.0, 2.5, float("nan")])
def test_refuses_a_density_that_nothing_has(measured: float) -> None:
    with pytest.raises(OutOfRange):
        density("curd", measured)


def test_refuses_wild_overrun() -> None:
    with pytest.raises(OutOfRange):
        density_from_overrun(1.0, -5.0)
    with pytest.raises(OutOfRange):
        density_from_overrun(1.0, 401.0)


def test_names_the_nearest_kind() -> None:
    with pytest.raises(UnknownName) as refused:
        kind("swis_buttercream")
    assert "swiss_buttercream" in refused.value.nearest
    with pytest.raises(UnknownName):
        amount("bowl_los")
