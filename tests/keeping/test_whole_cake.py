"""The whole cake of a commission: flowers by name, cakes cut out of sight, the line from the oven, slices, degrees."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from tests.keeping.cakes import hour, stay, tier
from tests.keeping.test_answer import CUT, LAST, SET_UP, WAY, commission

from tierwright.brief import read_brief
from tierwright.brief.decor import Decor, FlowerGroup, FlowerState
from tierwright.dossier import Dossier, from_json, prepare, to_json
from tierwright.dossier.keeping_slices import slices_of
from tierwright.dossier.keeping_trial import tried
from tierwright.keeping import Keeping, KeepingPlan, Place, keep, plot_line, read_clock
from tierwright.keeping.layers import OUT_OF_THE_OVEN_C
from tierwright.keeping.tables import clocks
from tierwright.larder import Allergen, ingredient
from tierwright.measures import in_degrees
from tierwright.units import Display, TemperatureUnit
from tierwright.working import Severity

EXAMPLE = Path(__file__).parents[2] / "examples" / "centenary"
BRIEF = read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")
F = Display(temperature=TemperatureUnit.F)


def made() -> tuple[object, ...]:
    rack = stay(Place.RACK, -22.0, -20.0, 21.0)
    return rack, stay(Place.FRIDGE, -20.0, 0.0, 4.0, 0.8, cover="wrap")


def with_kitchen_cake(plan: KeepingPlan, **more: object) -> KeepingPlan:
    waits = stay(Place.VENUE, SET_UP, LAST, 29.0, 0.25, cover="card_box", altitude_m=2450.0)
    aside = replace(tier(1, 200.0, of=1, filling="curd"), number=4, name="kitchen cake")
    return replace(plan, aside=(aside,), aside_venue=waits, **more)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def whole() -> Keeping:
    return keep(with_kitchen_cake(commission(), made=made()))


@pytest.fixture(scope="module")
def dossier() -> Dossier:
    return prepare(BRIEF.commission, BRIEF.kitchen)


def test_the_line_begins_at_the_oven_and_joins_where_the_tier_is_put_together(whole: Keeping) -> None:
    for layer, line in zip(whole.layer_lines, whole.lines, strict=True):
        assert layer is not None
        assert layer.centre_c[0] == OUT_OF_THE_OVEN_C
        assert layer.hours[0] == pytest.approx(-22.0)
        assert layer.hours[-1] == 0.0
        # On its rack and in the fridge it only cools.
        assert all(after <= before + 1e-6 for before, after in pairwise(layer.mean_c))
        # The sponge goes into the tier as cold as its own line ends.
        assert line.at(0.0, line.coldest) == pytest.approx(layer.mean_c[-1], abs=0.02)
    assert whole.layer_lines[0] is not None
    drawn = plot_line(whole, cutting=hour(32.5))
    assert "rack" in drawn.svg
    assert "layer, from" in drawn.svg


def test_a_cake_cut_out_of_sight_has_a_line_and_clocks_of_its_own(whole: Keeping) -> None:
    (cake,) = whole.aside
    assert cake.line.name == "kitchen cake"
    on_show = whole.lines[1]
    cut_h = 32.5
    # Boxed and out of the wind it is colder than its like on show, and no less in need of control.
    assert cake.line.at(cut_h, cake.line.warmest) < on_show.at(cut_h, on_show.warmest)
    assert {clock.component for clock in cake.clocks} == {"curd", "buttercream"}
    assert cake.discard_at is not None
    question = next(q for q in whole.notes.questions if q.key == "keeping.aside.4")
    assert question.severity is (Severity.STOP if cake.discard_at < hour(cut_h) else Severity.ASK)
    assert "kitchen cake" in plot_line(whole, cutting=hour(cut_h)).svg


def test_the_line_shown_is_what_the_clocks_were_read_from() -> None:
    answer = keep(commission())
    for clock in answer.clocks:
        for reading in clock.readings:
            rule = next(one for one in clocks("US") if one.key == reading.key)
            line = next(one for one in answer.lines if one.name == clock.tier)
            if clock.component == "curd":
                again = read_clock(rule, line.hours, line.filling_warmest.celsius, SET_UP - WAY)
                assert again.starts_h == pytest.approx(reading.starts_h, abs=0.05)


def test_what_needs_control_is_thrown_away_with_the_last_slice_where_no_clock_ends() -> None:
    plan = commission()
    venue = replace(plan.venue, air_c=2.0, light="none", place=Place.FRIDGE, air_speed_m_s=None)
    cold = replace(plan, travel=replace(plan.travel, air_c=2.0), venue=venue)
    answer = keep(cold)
    assert any(one.is_controlled for one in answer.safety)
    assert all(clock.discard_at is None for clock in answer.clocks)
    assert answer.card.throw_away_by == max(cold.venue.ends, cold.cutting_at)


def test_flowers_asked_for_by_name_are_looked_up_and_the_unknown_never_passes() -> None:
    def group(species: str, state: FlowerState = FlowerState.FRESH) -> FlowerGroup:
        return FlowerGroup(species=species, state=state, diameter="30 mm", tier=1, count=3)  # type: ignore[arg-type]

    decor = Decor(
        flowers=(
            group("lily of the valley"),
            group("moonwort of the marsh"),
            group("viola", FlowerState.PRESSED),
            group("oleander", FlowerState.SUGAR_MADE),
        )
    )
    done = prepare(BRIEF.commission.model_copy(update={"decor": decor}), BRIEF.kitchen)
    assert done.keeping is not None
    asked = {one.asked: one for one in done.keeping.flowers}
    assert not asked["lily of the valley"].may_be_near
    assert not asked["moonwort of the marsh"].may_be_eaten
    assert asked["moonwort of the marsh"].botanical == ""
    assert asked["viola"].may_be_eaten
    assert "oleander" not in asked
    keys = {q.key: q for q in done.notes.questions}
    assert keys["keeping.flower.lily of the valley"].severity is Severity.DANGER
    assert "grown and sold as food" in keys["keeping.flower.viola"].text
    removed = {c.key for c in done.notes.cautions if c.sheet == "table"}
    assert {"keeping.flower.lily of the valley", "keeping.flower.moonwort of the marsh"} <= removed


def test_every_slice_is_traced_to_the_parts_of_its_parts(dossier: Dossier) -> None:
    slices = slices_of(dossier)
    assert sum(len(one.tiers) for one in slices) == len(dossier.coating.tiers) + len(dossier.coating.kitchen_cakes)
    for one in slices:
        names = {trace.path[-1] for part in one.parts for trace in part.traces}
        for part in one.parts:
            work = next((w for w in dossier.formulas.works if w.formula.text.name == part.name), None)
            if work is None:
                continue
            for line in work.formula.parts:
                known = ingredient(line.ingredient)
                assert known.name_us in names
                for below in known.components:
                    assert ingredient(below.key).name_us in names
    top = next(one for one in slices if "top tier" in one.tiers)
    held = {allergen for part in top.parts for trace in part.traces for allergen in trace.contains}
    assert Allergen.EGG not in held
    assert Allergen.WHEAT in held


def test_sentences_speak_the_kitchen_s_degrees(dossier: Dossier) -> None:
    assert dossier.kitchen.units.display().temperature is TemperatureUnit.F
    assert dossier.keeping is not None
    notes = dossier.keeping.notes
    said = [f"{q.text} {q.figure} {q.change}" for q in notes.questions] + [c.text for c in notes.cautions]
    said += [f"{a.text} {a.value}" for a in dossier.notes.assumptions if a.key.startswith("keeping.")]
    said += [moment.why for moment in dossier.keeping.moments]
    assert any("°F" in text for text in said)
    assert not [text for text in said if re.search(r"\d ?°?C\b", text)]
    assert in_degrees("between 5 and 60 C, or 21 C", F) == "between 41 °F and 140 °F, or 70 °F"
    assert in_degrees("E 174 in 100 g of vitamin C", F) == "E 174 in 100 g of vitamin C"


def test_the_answer_survives_its_file(dossier: Dossier) -> None:
    assert from_json(to_json(dossier)).keeping == dossier.keeping


def test_a_set_up_put_off_is_the_same_course_later() -> None:
    plan = commission()
    told = keep(plan)
    assert told.window.not_before is not None
    shift = told.window.not_before - plan.venue.begins
    assert shift > timedelta()
    # The plan that sets up then, walked by itself, throws away at the same time as the told course says.
    moved = replace(
        plan,
        kitchen=(*plan.kitchen[:-1], replace(plan.kitchen[-1], ends=plan.kitchen[-1].ends + shift)),
        travel=replace(plan.travel, begins=plan.travel.begins + shift, ends=plan.travel.ends + shift),
        venue=replace(plan.venue, begins=plan.venue.begins + shift),
    )
    again = keep(moved)
    assert again.window.plan_passes
    assert told.card.throw_away_by is not None
    assert again.card.throw_away_by is not None
    assert abs(again.card.throw_away_by - told.card.throw_away_by) < timedelta(minutes=3)


def test_a_moved_set_up_takes_the_cake_out_of_sight_along() -> None:
    plan = with_kitchen_cake(commission())
    later = tried(plan, set_up_at=hour(CUT - 1.0), air_c=25.0)
    assert later.aside_venue is not None
    assert later.aside_venue.begins == later.venue.begins == later.travel.ends == hour(CUT - 1.0)
    assert later.aside_venue.air_c == 25.0
    assert keep(later).aside[0].line.hours[-1] == pytest.approx(LAST)
