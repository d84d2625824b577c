"""Supports of a tier: whether needed, how many, where, how long; boards; layouts set by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import hypot

import pytest

from tierwright.errors import BadInput, Infeasible, MissingData, OutOfRange, UnknownName
from tierwright.shapes import Outline, Shape
from tierwright.support import Ask, HandLayout, MassPart, SupportStock, board_stocks, support, support_stocks
from tierwright.support.levels import cut_length_mm, least_sag_share, placing_order, plan_levels
from tierwright.support.loads import stack_balance_mm, tier_loads
from tierwright.support.ring import (
    free_span_mm,
    least_width_mm,
    rim_gap_mm,
    ring_positions,
    shrunk_to_fit,
    stands_inside,
    tipping_arm_mm,
)
from tierwright.working import Estimate

Cake = Callable[..., Ask]


def test_three_tiers_by_hand(three: Ask) -> None:
    # Loads by hand: the mass above the bottom tier is that of the two above, boards included.
    loads = tier_loads(three.tiers, three.base)
    assert loads[0].above_g.value == pytest.approx(loads[1].mass_g.value + loads[2].mass_g.value, rel=1e-12)
    assert loads[2].above_g.value == 0
    assert [load.bottom_mm for load in loads] == [9.0, 134.0, 259.0]
    # A 5 mm smaller hardboard 3 mm thick of 950 kg/m3 weighs 950e-6 x 3 x area.
    board = 950e-6 * 3.0 * three.tiers[0].board_outline.area_mm2
    cake = three.tiers[0].parts[0].mass_g.value
    assert loads[0].mass_g.value == pytest.approx(cake + board, rel=1e-12)
    # Balance by hand: cake at 64 mm, board at 1.5 mm.
    assert loads[0].cg_mm.value == pytest.approx((cake * 64.0 + board * 1.5) / (cake + board), rel=1e-12)
    assert loads[0].cg_mm.low < loads[0].cg_mm.value < loads[0].cg_mm.high
    whole = sum(load.mass_g.value * (load.bottom_mm + load.cg_mm.value) for load in loads)
    assert stack_balance_mm(loads) == pytest.approx(whole / sum(load.mass_g.value for load in loads), rel=1e-12)


def test_every_level_stands(three: Ask) -> None:
    found = support(three)
    assert len(found.levels) == 2
    for level in found.levels:
        assert level.needed
        assert level.count >= 3
        assert all(check.passes for check in level.checks)
        assert all(check.passes for check in level.board.checks)
        # Forces are the weight of everything above, each to the 0.01 mN that is kept of it.
        assert sum(level.reactions_n) == pytest.approx(level.load_g.value * 9.80665e-3, abs=0.5e-5 * level.count)
        upper = three.tiers[level.carries - 1]
        for x, y in level.positions:
            assert stands_inside(upper.board_outline, (x, y), 15.0)
        assert level.ring_mm == pytest.approx(hypot(*level.positions[0]), rel=1e-9)
        assert level.ring_mm >= level.stiffest_ring_mm - 1e-9


def test_buckling_is_far_away_and_boards_are_near(three: Ask) -> None:
    # Common experience with 6 mm wood: the support itself is the last thing to go.
    for level in support(three).levels:
        columns = max(check.utilisation for check in level.checks)
        boards = max(check.utilisation for check in level.board.checks)
        assert columns < 0.3
        assert columns < boards


def test_cut_length_is_the_finished_height_less_board_and_settling(three: Ask) -> None:
    tier = three.tiers[0]
    assert cut_length_mm(replace(tier, settled=True)) == pytest.approx(125.0 - 3.0)
    assert cut_length_mm(tier) == pytest.approx(125.0 - 3.0 - 1.25)


def test_light_tier_on_fruit_cake_needs_no_supports(cake: Cake) -> None:
    ask = cake(250.0, 120.0, crumb="fruit")
    light = replace(
        ask.tiers[1],
        parts=(MassPart(name="cake", mass_g=Estimate.within(400.0, 0.1), bottom_mm=3.0, top_mm=60.0),),
        height_mm=60.0,
    )
    level = support(replace(ask, tiers=(ask.tiers[0], light))).levels[0]
    assert not level.needed
    assert level.count == 0
    assert "carries the tier above by itself" in level.why


def test_sponge_needs_them_more_than_fruit_cake(cake: Cake) -> None:
    strains = [
        support(cake(250.0, 200.0, crumb=crumb)).levels[0].crumb_strain.value
        for crumb in ("foam", "butter", "dense", "fruit")
    ]
    assert strains == sorted(strains, reverse=True)


def test_heavier_load_never_takes_fewer_supports(cake: Cake) -> None:
    counts = []
    for factor in (1.0, 3.0, 9.0):
        ask = cake(250.0, 200.0)
        heavy = tuple(
            replace(
                tier,
                parts=tuple(replace(part, mass_g=part.mass_g * factor) for part in tier.parts),
                board=board_stocks()["plywood-9"],
            )
            for tier in ask.tiers
        )
        counts.append(support(replace(ask, tiers=heavy)).levels[0].count)
    assert counts == sorted(counts)


def test_thin_card_calls_for_a_named_board(cake: Cake) -> None:
    ask = cake(300.0, 250.0, 200.0, 150.0)
    thin = tuple(replace(tier, board=board_stocks()["card-2"]) for tier in ask.tiers)
    found = support(replace(ask, tiers=thin, means=replace(ask.means, damp=True)))
    failing = [level for level in found.levels if not all(check.passes for check in level.board.checks)]
    assert failing
    owned = {board.key for board in ask.means.boards}
    for level in failing:
        assert level.board.needed in owned
        assert any(question.key == f"support.board.{level.carries}" for question in found.notes.questions)


def test_stiffer_board_that_saves_supports_is_named(cake: Cake) -> None:
    ask = cake(254.0, 203.0, 152.0)
    thin = tuple(replace(tier, board=board_stocks()["card-3"]) for tier in ask.tiers)
    found = support(replace(ask, tiers=thin))
    level = found.levels[0]
    assert level.fewer
    # Take the advice: the named board needs no more than the number said.
    advised = next(board for board in ask.means.boards if board.name in level.fewer)
    said = int(level.fewer.split(", ")[1].split()[0])
    assert said < level.count
    stiff = (thin[0], replace(thin[1], board=advised), thin[2])
    assert support(replace(ask, tiers=stiff)).levels[0].count <= said + 1
    assert any(question.key == "support.1.fewer" for question in found.notes.questions)


def test_board_left_open_is_chosen_from_what_is_owned(cake: Cake) -> None:
    ask = cake(250.0, 200.0)
    bare = tuple(replace(tier, board=None) for tier in ask.tiers)
    level = support(replace(ask, tiers=bare)).levels[0]
    assert level.board.board in {board.key for board in ask.means.boards}
    assert all(check.passes for check in level.board.checks)


@pytest.mark.parametrize("shape", [Shape.SQUARE, Shape.HEXAGON, Shape.PETAL, Shape.HEART, Shape.RECTANGLE])
def test_other_shapes_stand_too(cake: Cake, shape: Shape) -> None:
    found = support(cake(260.0, 180.0, shape=shape))
    level = found.levels[0]
    assert level.count >= 3
    # The model's own error, and each force cut to 0.01 mN.
    assert sum(level.reactions_n) == pytest.approx(level.load_g.value * 9.80665e-3, abs=0.5e-5 * level.count, rel=1e-6)
    assert all(check.passes for check in level.board.checks)


def test_supports_set_by_hand_are_checked_as_they_stand(three: Ask) -> None:
    spots = ((60.0, 0.0), (-40.0, 50.0), (-40.0, -55.0))
    hand = HandLayout(tier=1, stock="wood-6", positions=spots)
    level = support(replace(three, means=replace(three.means, layouts=(hand,)))).levels[0]
    assert level.by_hand
    assert level.positions == spots
    assert level.count == 3
    assert len(set(level.reactions_n)) == 3


def test_layout_that_cannot_carry_is_refused(three: Ask) -> None:
    hand = HandLayout(tier=1, stock="wood-6", positions=((60.0, 0.0), (50.0, 30.0), (50.0, -30.0)))
    with pytest.raises(Infeasible, match="push and cannot pull"):
        support(replace(three, means=replace(three.means, layouts=(hand,))))


def test_layout_outside_the_tier_above_is_refused(three: Ask) -> None:
    hand = HandLayout(tier=1, stock="wood-6", positions=((110.0, 0.0), (-50.0, 60.0), (-50.0, -60.0)))
    with pytest.raises(Infeasible, match="does not stand wholly under"):
        support(replace(three, means=replace(three.means, layouts=(hand,))))


def test_layout_with_an_unknown_support_is_refused(three: Ask) -> None:
    hand = HandLayout(tier=1, stock="oak-9", positions=((60.0, 0.0), (-50.0, 60.0), (-50.0, -60.0)))
    with pytest.raises(UnknownName, match="oak-9"):
        support(replace(three, means=replace(three.means, layouts=(hand,))))


def test_tier_set_off_the_edge_is_refused(cake: Cake) -> None:
    ask = cake(200.0, 150.0)
    off = replace(ask.tiers[1], offset_mm=(60.0, 0.0))
    with pytest.raises(Infeasible, match="outside the tier below"):
        support(replace(ask, tiers=(ask.tiers[0], off)))


def test_no_supports_owned_is_missing_data(three: Ask) -> None:
    with pytest.raises(MissingData, match="supports"):
        support(replace(three, means=replace(three.means, supports=())))


def test_supports_too_short_are_refused(three: Ask) -> None:
    short = SupportStock(key="short", name="short stick", material="wood", outer_mm=6.0, longest_mm=80.0)
    with pytest.raises(Infeasible, match="that long"):
        support(replace(three, means=replace(three.means, supports=(short,))))


def test_unknown_keys_are_all_reported_at_once(three: Ask) -> None:
    wrong = replace(three.tiers[0], crumb="marble", finish="gold")
    ask = replace(three, tiers=(wrong, *three.tiers[1:]), road=replace(three.road, surface="ice"))
    with pytest.raises(BadInput) as caught:
        support(ask)
    assert {problem.found for problem in caught.value.problems} == {"marble", "gold", "ice"}


def test_grade_out_of_range_is_refused(three: Ask) -> None:
    with pytest.raises(OutOfRange, match="grade"):
        support(replace(three, road=replace(three.road, grade=0.6)))


def test_single_tier_has_nothing_to_carry(cake: Cake) -> None:
    found = support(cake(200.0))
    assert found.levels == ()
    assert plan_levels(found_tiers(cake), found.loads, cake(200.0).means, cake(200.0).road) == ()


def found_tiers(cake: Cake) -> tuple:  # type: ignore[type-arg]
    return cake(200.0).tiers


def test_supports_go_in_across_from_each_other() -> None:
    for count in range(3, 10):
        order = placing_order(count)
        assert sorted(order) == list(range(count))
        # The second stands as far across from the first as the ring allows.
        assert min(order[1], count - order[1]) == count // 2


def test_load_is_fitted_onto_another_shape() -> None:
    square, base = Outline(shape=Shape.SQUARE, width_mm=200.0), Outline.round(260.0)
    fitted = shrunk_to_fit(square, base)
    # A square inside a circle: side at most the diameter over the root of two.
    assert fitted.width_mm <= 260.0 / 2**0.5 * 1.005
    assert fitted.width_mm > 0.95 * 260.0 / 2**0.5
    assert shrunk_to_fit(square, Outline.round(300.0)) == square


def test_golden_section_finds_a_minimum() -> None:
    assert least_sag_share(lambda x: (x - 0.63) ** 2, low=0.3, high=0.9, steps=25) == pytest.approx(0.63, abs=1e-3)


def test_ring_geometry(cake: Cake) -> None:
    square = cake(200.0, shape=Shape.SQUARE).tiers[0].outline
    # Four under the corners of the square drawn 0.6 as large.
    corners = sorted((round(x, 6), round(y, 6)) for x, y in ring_positions(square, count=4, share=0.6))
    assert corners == [(-60.0, -60.0), (-60.0, 60.0), (60.0, -60.0), (60.0, 60.0)]
    assert tipping_arm_mm(ring_positions(square, count=4, share=0.6)) == pytest.approx(60.0)
    # From the middle of a side of the square to the nearest of four corners drawn 0.6 as large: hypot(60, 40); the
    # corner itself lies hypot(40, 40) off.
    assert free_span_mm(square, ring_positions(square, count=4, share=0.6)) == pytest.approx(
        2 * hypot(60, 60), rel=0.03
    )
    assert least_width_mm(square) == pytest.approx(200.0)
    assert rim_gap_mm(square, (60.0, 0.0)) == pytest.approx(40.0)


def test_round_ring_arm_is_the_apothem() -> None:
    from math import cos, pi

    for count in (3, 4, 5, 6, 8):
        places = ring_positions(Outline.round(200.0), count=count, share=0.7)
        assert tipping_arm_mm(places) == pytest.approx(70.0 * cos(pi / count), rel=1e-9)


def test_one_line_of_supports_holds_nothing() -> None:
    with pytest.raises(ValueError, match="one line"):
        tipping_arm_mm(((0.0, 0.0), (10.0, 0.0), (20.0, 0.0)))


def test_parts_list_counts_what_is_in_the_cake(three: Ask) -> None:
    from tierwright.support import count_by_tier

    ask = replace(three, picks=((3, "posy pick", 2),))
    found = support(ask)
    totals = count_by_tier(found.inedibles)
    assert totals[0] == 1  # the base board
    assert totals[1] == 1 + found.levels[0].count
    assert totals[2] == 1 + found.levels[1].count
    assert totals[3] == 1 + 2
    supports = support_stocks()["wood-6"].name
    assert any(thing.what == supports for thing in found.inedibles)
