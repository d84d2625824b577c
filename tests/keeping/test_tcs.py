"""Every cell of both interaction tables, and what an estimate may not do."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.keeping.cakes import BUTTERCREAM, CURD, JAM, SPONGE

from tierwright.errors import OutOfRange
from tierwright.keeping.model import Component, Measurement, Standing
from tierwright.keeping.safety import assess
from tierwright.keeping.tables import component_kind, rows
from tierwright.keeping.tcs import Category, Table, category, category_from
from tierwright.larder import Composition

NON, PA = Category.NON_TCS, Category.ASSESS

# FDA Food Code 2022, 1-201.10(B), Table A; identical in Tenn. R. 0080-04-09-.01 and 25 TAC 228.2(144).
# Values inside each cell, and on the edges that the table gives to it.
TABLE_A = [
    ((0.80, 0.92), ((3.0, 4.6), (4.601, 5.6), (5.601, 7.0)), (NON, NON, NON)),
    ((0.9201, 0.95), ((3.0, 4.6), (4.601, 5.6), (5.601, 7.0)), (NON, NON, PA)),
    ((0.9501, 1.0), ((3.0, 4.6), (4.601, 5.6), (5.601, 7.0)), (NON, PA, PA)),
]
# Table B: edges 0.88 and 0.90 belong to the second row, 0.92 to the third; pH 4.2 and 4.6 to the second column.
TABLE_B = [
    ((0.5, 0.8799), ((3.0, 4.199), (4.2, 4.6), (4.601, 5.0), (5.001, 9.0)), (NON, NON, NON, NON)),
    ((0.88, 0.90), ((3.0, 4.199), (4.2, 4.6), (4.601, 5.0), (5.001, 9.0)), (NON, NON, NON, PA)),
    ((0.9001, 0.92), ((3.0, 4.199), (4.2, 4.6), (4.601, 5.0), (5.001, 9.0)), (NON, NON, PA, PA)),
    ((0.9201, 1.0), ((3.0, 4.199), (4.2, 4.6), (4.601, 5.0), (5.001, 9.0)), (NON, PA, PA, PA)),
]
CASES = [
    (table, aw, ph, answer)
    for table, whole in ((Table.PACKED, TABLE_A), (Table.OPEN, TABLE_B))
    for activities, columns, answers in whole
    for acids, answer in zip(columns, answers, strict=True)
    for aw in activities
    for ph in acids
]


@pytest.mark.parametrize(("table", "aw", "ph", "answer"), CASES)
def test_every_cell_as_printed(table: Table, aw: float, ph: float, answer: Category) -> None:
    assert category(table, aw, ph) is answer


def test_all_twenty_five_cells_are_there() -> None:
    assert len(CASES) == 4 * 25
    assert len(rows("tcs")) == 25


@given(aw=st.floats(0, 1), ph=st.floats(0, 14), more=st.floats(0, 1), up=st.floats(0, 14), table=st.sampled_from(Table))
def test_wetter_or_less_acid_is_never_safer(aw: float, ph: float, more: float, up: float, table: Table) -> None:
    if category(table, aw, ph) is PA:
        assert category(table, min(1.0, aw + more), min(14.0, ph + up)) is PA


def test_what_was_not_measured_counts_at_its_worst() -> None:
    assert category_from(Table.OPEN, 0.87, None) is NON
    assert category_from(Table.OPEN, 0.88, None) is PA
    assert category_from(Table.OPEN, None, 4.19) is NON
    assert category_from(Table.OPEN, None, 4.2) is PA
    assert category_from(Table.OPEN, None, None) is PA


def test_refuses_what_no_meter_reads() -> None:
    with pytest.raises(OutOfRange):
        category(Table.OPEN, 1.01, 5.0)
    with pytest.raises(OutOfRange):
        category(Table.OPEN, 0.9, 14.1)


def test_a_curd_is_controlled_until_it_has_been_measured() -> None:
    assert assess(CURD).standing is Standing.CONTROLLED
    acid = replace(CURD, measured_ph=Measurement(value=3.4, method="meter, calibrated at 4 and 7", on="2027-05-02"))
    assert assess(acid).standing is Standing.PROVED
    flat = replace(CURD, measured_ph=Measurement(value=4.3, method="meter", on="2027-05-02"))
    assert assess(flat).standing is Standing.CONTROLLED


def test_custom_and_its_limits() -> None:
    assert assess(SPONGE).standing is Standing.CUSTOM
    assert assess(JAM).standing is Standing.CUSTOM
    thin = replace(JAM, composition=Composition(water_g=58, protein_g=1, fat_g=0, carbohydrate_g=41, sugars_g=38))
    assert assess(thin).standing is Standing.CONTROLLED
    # A measured value turns control on where custom has none.
    wet = replace(SPONGE, measured_aw=Measurement(value=0.93, method="dew-point meter", on="2027-05-02"))
    assert assess(wet).standing is Standing.CONTROLLED


def frosting(butter_g: float, sugar_g: float, milk_g: float) -> Component:
    """Butter 16 % water and 81 % fat, milk 88 % water: USDA SR28 01145 and 01077."""
    total = butter_g + sugar_g + milk_g
    return Component(
        key="f",
        name="frosting",
        kind="powdered_buttercream",
        composition=Composition(
            water_g=100 * (0.16 * butter_g + 0.88 * milk_g) / total,
            protein_g=1.0,
            fat_g=100 * 0.81 * butter_g / total,
            carbohydrate_g=100 * sugar_g / total,
            sugars_g=100 * sugar_g / total,
        ),
        density_g_per_ml=1.0,
    )


def test_the_sixty_five_per_cent_rule() -> None:
    # Kansas State University Extension 2023: 1 lb butter, 2 lb sugar, 30 g milk is 65.2 %; 1 : 1.5 is 58.5 %.
    assert assess(frosting(453.6, 907.2, 30.0)).standing is Standing.CUSTOM
    assert assess(frosting(453.6, 680.4, 30.0)).standing is Standing.CONTROLLED


CHILLED = [one["kind"] for one in rows("components") if component_kind(one["kind"]).is_chilled]


@settings(max_examples=60, deadline=None)
@given(
    kind=st.sampled_from(CHILLED),
    water=st.floats(0.5, 60),
    sugar=st.floats(0, 60),
    fat=st.floats(0, 60),
    egg=st.booleans(),
)
def test_no_estimate_turns_a_chilled_component_loose(
    kind: str, water: float, sugar: float, fat: float, egg: bool
) -> None:
    whole = water + sugar + fat + 5.0
    made = replace(
        BUTTERCREAM,
        kind=kind,
        contains_egg=egg,
        composition=Composition(
            water_g=100 * water / whole,
            protein_g=500 / whole,
            fat_g=100 * fat / whole,
            carbohydrate_g=100 * sugar / whole,
            sugars_g=100 * sugar / whole,
        ),
    )
    assert assess(made).is_controlled


@given(aw=st.floats(0, 1), ph=st.floats(0, 14))
def test_raw_egg_is_never_measured_away(aw: float, ph: float) -> None:
    raw = replace(
        BUTTERCREAM,
        egg_is_treated=False,
        measured_aw=Measurement(value=aw, method="m", on="d"),
        measured_ph=Measurement(value=ph, method="m", on="d"),
    )
    assert assess(raw).is_controlled


def test_every_limit_names_its_source() -> None:
    for table in ("clocks", "cooling", "holding"):
        for one in rows(table):
            assert all(one[column] for column in ("document", "edition", "section", "date", "basis", "jurisdiction")), (
                one
            )
    for table in ("components", "covers", "humidity", "dusts", "eggs", "licences", "sun", "places"):
        for one in rows(table):
            assert one["basis"] == "common practice" or one["source"], (table, one)
