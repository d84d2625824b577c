"""From a commission to its keeping: the demo, and what the translation may not lose."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from tierwright.brief import Brief, read_brief
from tierwright.brief.records import Measured, MeasuredAcidity
from tierwright.dossier import Dossier, prepare
from tierwright.dossier.bake_stage import bake_losses
from tierwright.dossier.keeping_stage import baked, boiled_down, keep_tiers, keeping_plan
from tierwright.keeping import Keeping, Place, Standing, keep
from tierwright.larder import Composition
from tierwright.working import Severity

EXAMPLE = Path(__file__).parents[2] / "examples" / "centenary"


@pytest.fixture(scope="module")
def brief() -> Brief:
    return read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")


@pytest.fixture(scope="module")
def dossier(brief: Brief) -> Dossier:
    return prepare(brief.commission, brief.kitchen)


@pytest.fixture(scope="module")
def kept(dossier: Dossier) -> Keeping:
    assert dossier.keeping is not None
    return dossier.keeping


def test_the_demo_is_kept(dossier: Dossier, kept: Keeping) -> None:
    assert [line.tier for line in kept.lines] == [tier.number for tier in dossier.sizing.stack.tiers]
    assert kept.stays[-1].place is Place.OUTDOORS
    assert kept.stays[-1].air_c == 31.0
    assert kept.stays[-1].ends == dossier.commission.cutting_at.replace(hour=22, minute=30)
    # Three hours on a landing stage at 31 C cannot hold for butter.
    assert kept.is_refused
    assert kept.best_change is not None


def test_its_curd_is_controlled_and_its_conserve_is_not(kept: Keeping) -> None:
    standing = {one.component: one.standing for one in kept.safety}
    assert standing["lemon-curd"] is Standing.CONTROLLED
    assert standing["swiss-buttercream"] is Standing.CONTROLLED
    assert standing["blackcurrant"] is Standing.CUSTOM
    assert standing["vanilla"] is Standing.CUSTOM


def test_every_note_of_the_room_is_in_the_dossier(dossier: Dossier, kept: Keeping) -> None:
    assert set(kept.notes.cautions) <= set(dossier.notes.cautions)
    assert set(kept.notes.questions) <= set(dossier.notes.questions)
    asked = {question.key: question for question in dossier.notes.questions}
    assert asked["keeping.display"].severity is Severity.STOP
    assert asked["keeping.licence.lemon-curd"].severity is Severity.STOP


def test_the_vegan_tier_comes_first_or_after_a_clean_down(kept: Keeping) -> None:
    order = [step.key for step in kept.order_of_work]
    assert set(order) >= {"chocolate-vegan", "plant-buttercream", "vanilla", "lemon-curd"}
    assert order.index("plant-buttercream") < order.index("swiss-buttercream")
    assert order.index("chocolate-vegan") < order.index("vanilla")


def test_a_recorded_measurement_is_taken_over(brief: Brief, dossier: Dossier) -> None:
    acid = MeasuredAcidity(value=3.2, method="meter, calibrated at 4 and 7", on=date(2027, 5, 2), by="the maker")
    sheets = tuple(
        sheet.model_copy(update={"measured": Measured(ph=acid)}) if sheet.key == "lemon-curd" else sheet
        for sheet in brief.commission.formulas
    )
    plan, _ = keeping_plan(
        brief.commission.model_copy(update={"formulas": sheets}),
        brief.kitchen,
        dossier.sizing,
        dossier.formulas,
        dossier.coating,
        losses=bake_losses(dossier.bakes),
        sugar=dossier.sugar,
    )
    answer = keep(plan)
    standing = {one.component: one.standing for one in answer.safety}
    assert standing["lemon-curd"] is Standing.PROVED
    assert "keeping.licence.lemon-curd" not in {question.key for question in answer.notes.questions}


def test_what_cannot_be_computed_is_asked(brief: Brief, dossier: Dossier) -> None:
    empty = replace(
        dossier.formulas,
        works=tuple(
            replace(work, composition=None) if work.formula.text.key == "vanilla" else work
            for work in dossier.formulas.works
        ),
    )
    keeping, notes = keep_tiers(brief.commission, brief.kitchen, dossier.sizing, empty, dossier.coating)
    assert keeping is None
    assert [question.severity for question in notes.questions] == [Severity.STOP]


def test_steam_and_boiling_take_water_and_nothing_else() -> None:
    batter = Composition(water_g=36, protein_g=5, fat_g=15, carbohydrate_g=43, sugars_g=25, ash_g=1)
    crumb = baked(batter, 0.10)
    # 26 g of water in 90 g; everything else over 0.9.
    assert crumb.water_g == pytest.approx(26 / 0.9)
    assert crumb.fat_g == pytest.approx(15 / 0.9)
    assert crumb.total_g == pytest.approx(batter.total_g)
    jam = boiled_down(Composition(water_g=55, protein_g=0.5, fat_g=0, carbohydrate_g=44.5, sugars_g=42), 0.65)
    assert jam.water_g == pytest.approx(35.0)
    assert jam.sugars_g == pytest.approx(42 * 65 / 45)
