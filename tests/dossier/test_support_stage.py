"""Supports and the road in the dossier: what goes in, what comes out, and what is asked."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from tests.dossier.scenes import commission, kitchen

from tierwright.brief import parse_commission, parse_kitchen
from tierwright.dossier import Dossier, from_json, prepare, to_json
from tierwright.dossier.settling import settled
from tierwright.dossier.support_stage import TRIALS
from tierwright.errors import BadInput
from tierwright.support import Answer, count_by_tier, support
from tierwright.working import Severity


@pytest.fixture(scope="module")
def dossier() -> Dossier:
    return prepare(commission(), kitchen())


def test_masses_are_those_of_the_coated_tiers(dossier: Dossier) -> None:
    assert dossier.support is not None
    loads = dossier.support.found.loads
    for load, coated in zip(loads[:-1], dossier.coating.tiers[:-1], strict=True):
        # Both weigh the same parts; the board is weighed by its table there and by its material's density here.
        board_g = next(part.on_cake_g.value for part in coated.parts if part.part.value == "board")
        assert load.mass_g.value == pytest.approx(coated.mass_g.value, abs=board_g)
    top, coated_top = loads[-1], dossier.coating.tiers[-1]
    # The brief wishes for flowers, which the coats do not weigh.
    assert coated_top.mass_g.value < top.mass_g.value < coated_top.mass_g.value + 250


def test_what_each_level_carries_is_what_stands_above(dossier: Dossier) -> None:
    assert dossier.support is not None
    # The room's own answer, before the dossier cuts its digits.
    found = support(dossier.support.ask)
    for level in found.levels:
        above = sum(load.mass_g.value for load in found.loads if load.tier > level.tier)
        assert level.load_g.value == pytest.approx(above, rel=1e-9)
        # Statics: the supports' forces at rest add up to the weight they carry.
        assert sum(level.reactions_n) == pytest.approx(above * 9.80665e-3, rel=1e-3)
        coated = dossier.coating.tiers[level.tier - 1]
        assert level.cut_mm < coated.finished_height_mm


def test_the_answer_is_the_rooms_own(dossier: Dossier) -> None:
    assert dossier.support is not None
    assert settled(support(dossier.support.ask)) == dossier.support.found
    assert dossier.support.found.trials is not None
    assert dossier.support.found.trials.trials == TRIALS


def test_json_keeps_it_exactly(dossier: Dossier) -> None:
    text = to_json(dossier)
    back = from_json(text)
    assert back == dossier
    assert to_json(back) == text


def test_every_default_is_listed_and_vanishes_when_it_is_said() -> None:
    silent = prepare(commission(), parse_kitchen(_table(kitchen(), carrying={}), "test"))
    keys = {assumption.key for assumption in silent.notes.assumptions}
    defaults = {f"carrying.{name}" for name in ("box", "mat", "wedged", "bond", "centre_rod", "leaves", "drive")}
    defaults.add("travel.highest")
    assert defaults <= keys
    said = {
        "box": True, "mat": True, "wedged": True, "bond": "chocolate", "centre-rod": "anchored", "leaves": "chilled",
        "drive": "careful", "boards-damp": False, "cutting-error": "0.3 mm",
    }  # fmt: skip
    told = prepare(commission(travel={"highest": "1900 m"}), parse_kitchen(_table(kitchen(), carrying=said), "test"))
    left = {assumption.key for assumption in told.notes.assumptions}
    assert not defaults & left
    assert told.support is not None
    means, road = told.support.ask.means, told.support.ask.road
    assert (means.box, means.mat, means.wedged, means.bond) == (True, True, True, "chocolate")
    assert means.rod is not None
    assert means.rod.stock.outer_mm == 12
    assert (road.drive, road.to_m) == ("careful", 1900.0)
    assert means.cutting_error_mm == pytest.approx(0.3)
    # What the maker does about the road can only help against it.
    assert silent.support is not None
    before, after = silent.support.found.carrying, told.support.found.carrying
    assert after.governing.utilisation < before.governing.utilisation


def _table(model: Any, **changes: Any) -> dict[str, Any]:
    return {**model.model_dump(mode="json", by_alias=True), **changes}


def test_careful_carriage_goes_stacked() -> None:
    said = {
        "box": True, "mat": True, "wedged": True, "bond": "chocolate", "centre-rod": "anchored", "leaves": "chilled",
        "drive": "careful",
    }  # fmt: skip
    told = prepare(
        commission(travel={"surface": "smooth", "grade": "2 %"}),
        parse_kitchen(_table(kitchen(), carrying=said), "test"),
    )
    assert told.support is not None
    assert told.support.found.carrying.answer is Answer.STACKED


def test_nothing_owned_is_a_question_that_stops_and_not_a_crash() -> None:
    bare = prepare(commission(), kitchen(supports=[]))
    assert bare.support is None
    stop = next(question for question in bare.notes.questions if question.key == "support.refused")
    assert stop.severity is Severity.STOP
    assert stop.sheet == "supports"
    assert from_json(to_json(bare)) == bare


def test_supports_too_short_are_a_question_with_a_change() -> None:
    short = prepare(commission(), kitchen(supports=[{"support": "hub_20_mm", "count": 12}]))
    assert short.support is None
    stop = next(question for question in short.notes.questions if question.key == "support.refused")
    assert stop.change


def test_one_tier_needs_no_supports() -> None:
    one = prepare(commission(cake={"tiers": 1}, guests={"invited": 24, "attending": "20 to 24"}, diets=[]), kitchen())
    assert one.support is not None
    assert one.support.found.levels == ()
    assert len(one.support.found.loading) == 1


def test_more_supports_than_owned_are_asked_for(dossier: Dossier) -> None:
    assert dossier.support is not None
    wanted = sum(level.count for level in dossier.support.found.levels if level.stock.key == "wood_6_mm")
    assert wanted > 2
    few = prepare(commission(), kitchen(supports=[{"support": "wood_6_mm", "count": 2}]))
    asked = next(question for question in few.notes.questions if question.key == "support.short.wood_6_mm")
    assert asked.figure == f"{wanted} needed, 2 owned"


def test_supports_set_by_hand_are_taken_and_checked() -> None:
    places = [["40 mm", "0 mm"], ["-20 mm", "35 mm"], ["-20 mm", "-35 mm"]]
    done = prepare(commission(cake={"supports": [{"tier": 2, "support": "wood-6-mm", "places": places}]}), kitchen())
    assert done.support is not None
    level = next(level for level in done.support.found.levels if level.tier == 2)
    assert level.by_hand
    assert level.positions == ((40.0, 0.0), (-20.0, 35.0), (-20.0, -35.0))
    lop = [["10 mm", "0 mm"], ["30 mm", "1 mm"], ["20 mm", "15 mm"]]
    lopsided = prepare(commission(cake={"supports": [{"tier": 2, "support": "wood-6-mm", "places": lop}]}), kitchen())
    assert lopsided.support is None
    assert any(question.key == "support.refused" for question in lopsided.notes.questions)


def test_inedible_parts_count_each_support_and_board(dossier: Dossier) -> None:
    assert dossier.support is not None
    found = dossier.support.found
    counts = count_by_tier(found.inedibles)
    for level in found.levels:
        assert counts[level.tier] >= level.count + 1
    assert counts[0] >= 1


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ({"travel": {"highest": "900 m"}}, "travel.highest"),
        ({"cake": {"supports": [{"tier": 3, "support": "wood_6_mm", "places": [["1 mm", "0 mm"]] * 3}]}}, "tier"),
        ({"cake": {"supports": [{"tier": 1, "support": "wood_6_m", "places": [["1 mm", "0 mm"]] * 3}]}}, "support"),
        ({"cake": {"supports": [{"tier": 1, "support": "wood_6_mm", "places": [["1 mm", "0 mm"]] * 2}]}}, "places"),
        ({"cake": {"supports": [{"tier": 1, "support": "wood_6_mm", "places": [["1", "0 mm"]] * 3}]}}, "places"),
        (
            {"cake": {"supports": [{"tier": 1, "support": "centre_rod_12_mm", "places": [["1 mm", "0 mm"]] * 3}]}},
            "support",
        ),
    ],
)
def test_impossible_support_wishes_are_named(changes: dict[str, Any], place: str) -> None:
    with pytest.raises(BadInput) as refused:
        commission(**changes)
    assert any(place in problem.place for problem in refused.value.problems)


def test_a_rod_that_is_not_owned_is_named() -> None:
    with pytest.raises(BadInput) as refused:
        kitchen(carrying={"centre-rod": "anchored"}, supports=[{"support": "wood_6_mm"}])
    assert any(problem.place.endswith("carrying.centre_rod") for problem in refused.value.problems)


def test_what_was_written_reads_back() -> None:
    wish = {"tier": 1, "support": "wood_6_mm", "places": [["40 mm", "0 mm"], ["-2 cm", "35 mm"], ["-1 in", "-35 mm"]]}
    first = commission(cake={"supports": [wish]}, travel={"highest": "6000 ft"})
    again = parse_commission(first.model_dump(mode="json", by_alias=True), "test")
    assert again == first
    assert again.cake.supports[0].places[2][0] == pytest.approx(-25.4)


def test_moving_the_boards_does_not_move_the_masses(dossier: Dossier) -> None:
    assert dossier.support is not None
    ask = dossier.support.ask
    damp = support(replace(ask, means=replace(ask.means, damp=True), trials=0))
    for wet, dry in zip(damp.levels, support(ask).levels, strict=True):
        # Wet card is softer: the same board cannot sag less under the same load.
        assert wet.load_g == dry.load_g
        assert wet.board.sag_mm / wet.board.limit_mm >= 0.95 * dry.board.sag_mm / dry.board.limit_mm
