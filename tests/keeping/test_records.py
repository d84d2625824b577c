"""Recorded measurements: only they turn a caution off, and bad ones are refused with everything that is wrong."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.keeping.cakes import BUTTERCREAM, CURD, JAM, SPONGE

from tierwright.brief import Commission, read_brief
from tierwright.brief.records import Measured, MeasuredAcidity, MeasuredActivity
from tierwright.dossier import prepare
from tierwright.errors import BadInput
from tierwright.keeping import Category, Component, Measurement, Standing, Table, assess, category_from

EXAMPLE = Path(__file__).parents[2] / "examples" / "centenary"
BRIEF = read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")
PH = MeasuredAcidity(value=3.4, method="bench meter, two buffers", on=date(2027, 5, 20), by="the maker")
values = st.one_of(st.none(), st.floats(0, 1)), st.one_of(st.none(), st.floats(0, 14))


def with_record(measured: Measured) -> Commission:
    sheets = tuple(
        sheet.model_copy(update={"measured": measured}) if sheet.key == "lemon-curd" else sheet
        for sheet in BRIEF.commission.formulas
    )
    return BRIEF.commission.model_copy(update={"formulas": sheets})


def test_a_recorded_ph_reaches_the_dossier_and_takes_the_curd_out_of_control() -> None:
    before = prepare(BRIEF.commission, BRIEF.kitchen)
    after = prepare(with_record(Measured(ph=PH)), BRIEF.kitchen)
    for dossier, standing in ((before, Standing.CONTROLLED), (after, Standing.PROVED)):
        assert dossier.keeping is not None
        curd = next(one for one in dossier.keeping.safety if one.component == "lemon-curd")
        assert curd.standing is standing
    assert curd.reason.endswith("pH 3.4 by bench meter, two buffers, 2027-05-20, the maker")
    keys = {caution.key for caution in after.notes.cautions}
    assert "keeping.measured.lemon-curd" in keys
    assert "keeping.cold.lemon-curd" not in keys
    # The others stay as they were.
    assert "keeping.cold.swiss-buttercream" in keys


@pytest.mark.parametrize(
    ("on", "asked"),
    [(date(2026, 6, 26), False), (date(2026, 6, 25), True), (date(2027, 6, 26), False), (date(2027, 6, 27), True)],
)
def test_a_record_is_asked_about_after_a_year_and_when_it_is_dated_ahead(on: date, asked: bool) -> None:
    assert BRIEF.commission.day.day == date(2027, 6, 26)
    dossier = prepare(with_record(Measured(ph=PH.model_copy(update={"on": on}))), BRIEF.kitchen)
    assert asked is any(q.key == "keeping.record.lemon-curd.ph" for q in dossier.notes.questions)


@given(water=values[0], acid=values[1], which=st.sampled_from((SPONGE, BUTTERCREAM, CURD, JAM)))
def test_only_a_record_proves_anything(water: float | None, acid: float | None, which: Component) -> None:
    def record(value: float | None) -> Measurement | None:
        return None if value is None else Measurement(value=value, method="meter", on="2027-06-01")

    found = assess(replace(which, measured_aw=record(water), measured_ph=record(acid)))
    proves = (water is not None or acid is not None) and category_from(Table.OPEN, water, acid) is Category.NON_TCS
    assert (found.standing is Standing.PROVED) is proves
    if not proves and assess(which).is_controlled:
        assert found.is_controlled


def test_everything_wrong_with_a_record_is_said_at_once(tmp_path: Path) -> None:
    shutil.copytree(EXAMPLE, tmp_path / "here")
    path = tmp_path / "here" / "formulas" / "lemon-curd.toml"
    text = path.read_text(encoding="utf-8")
    records = (
        '[measured.water_activity]\nvalue = 1.4\nmethod = "m"\non = 2027-05-20\nby = "x"\n[measured.ph]\nvalue = 3\n'
    )
    path.write_text(f"{text}\n{records}", encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        read_brief(tmp_path / "here" / "commission.toml", tmp_path / "here" / "kitchen.toml")
    places = " ".join(problem.place for problem in caught.value.problems)
    for name in ("measured.water_activity.value", "measured.ph.method", "measured.ph.on", "measured.ph.by"):
        assert name in places
    assert MeasuredActivity(value=1.0, method="m", on=date(2027, 5, 20), by="x").value == 1.0
