"""Tipping, sliding, fillings, rods and the answer for the road."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import pi
from types import SimpleNamespace

import numpy as np
import pytest

from tierwright.errors import OutOfRange
from tierwright.support import Anchor, Answer, Ask, FillingLayer, Rod, Temper, support, support_stocks
from tierwright.support.carry import carrying, changed, check_piece, design_push, peg_force_n, piece_case
from tierwright.support.levels import plan_levels
from tierwright.support.loads import tier_loads
from tierwright.support.stack import (
    PieceCase,
    RodCase,
    piece_utilisations,
    rod_stress_mpa,
    segment,
    slides_at_g,
    tips_and_slides,
    tips_at_g,
)

Cake = Callable[..., Ask]
Block = Callable[..., PieceCase]


def on_the_level(case: PieceCase) -> tuple[float, float]:
    found = piece_utilisations(case, forward_g=np.ones(1), side_g=np.ones(1), lightened_g=np.zeros(1))
    return tips_and_slides(found, 0)


def test_single_block_meets_the_closed_forms(block: Block) -> None:
    tips, slides = on_the_level(block())
    assert tips == pytest.approx(tips_at_g(100.0, 80.0), rel=1e-12)
    assert slides == pytest.approx(slides_at_g(0.4), rel=1e-12)


def test_push_grade_and_jolt_work_as_by_hand(block: Block) -> None:
    # 0.5 g forwards with a tenth of the weight off: tips at 0.5 x 80 / (100 x 0.9), slides at 0.5 / (0.4 x 0.9).
    found = piece_utilisations(block(), forward_g=np.array([0.5]), side_g=np.array([0.2]), lightened_g=np.array([0.1]))
    assert found["tip.1"][0] == pytest.approx(0.5 * 80 / 90, rel=1e-12)
    assert found["slide.1"][0] == pytest.approx(0.5 / 0.36, rel=1e-12)


def test_offset_forwards_tips_sooner_by_the_closed_form(block: Block) -> None:
    tips, _ = on_the_level(block(ahead_mm=np.array([[20.0]])))
    assert tips == pytest.approx(tips_at_g(100.0, 80.0, 20.0), rel=1e-12)


def test_soft_filling_shears_by_force_over_area(block: Block) -> None:
    # Half of the block's own 4 kg pushed at 0.5 g against 12 N.
    found = piece_utilisations(
        block(filling_n=np.array([[12.0]])),
        forward_g=np.array([0.5]),
        side_g=np.array([0.0]),
        lightened_g=np.array([0.0]),
    )
    assert found["filling.1"][0] == pytest.approx(0.5 * 4.0 * 9.80665 * 0.5 / 12.0, rel=1e-12)


def test_segment_of_a_disc() -> None:
    # Half a disc: area pi R^2 / 2, centroid 4 R / (3 pi) (any table of centroids); the whole from the far rim.
    area, way = segment(np.array(0.0), np.array(30.0))
    assert float(area) == pytest.approx(pi * 900 / 2, rel=1e-12)
    assert float(way) == pytest.approx(4 * 30 / (3 * pi), rel=1e-12)
    cap, cap_way = segment(np.array(12.0), np.array(30.0))
    rest, rest_way = segment(np.array(-12.0), np.array(30.0))
    assert float(cap + rest) == pytest.approx(pi * 900, rel=1e-12)
    assert float(cap * cap_way + rest * rest_way) == pytest.approx(0.0, abs=1e-6)


def test_rod_stress_of_a_solid_round() -> None:
    from tierwright.support.column import Section

    # 32 M / (pi d^3), any table of beams.
    assert rod_stress_mpa(Section(outer_mm=12.0), moment_nmm=5000.0) == pytest.approx(
        32 * 5000 / (pi * 12**3), rel=1e-12
    )


def two_blocks(rod: RodCase | None) -> PieceCase:
    def column(*values: float) -> np.ndarray:
        return np.array(values)[:, None]

    return PieceCase(
        numbers=(1, 2),
        mass_kg=column(4.0, 2.0),
        balance_mm=column(60.0, 60.0),
        bottom_mm=column(0.0, 120.0),
        tall_mm=column(120.0, 120.0),
        ahead_mm=column(0.0, 0.0),
        aside_mm=column(0.0, 0.0),
        seat_ahead_mm=column(0.0, 0.0),
        seat_aside_mm=column(0.0, 0.0),
        arm_mm=column(120.0, 60.0),
        friction=column(0.9, 0.3),
        bond_n=column(0.0, 0.0),
        filling_n=column(np.inf, np.inf),
        peg_n=column(0.0, 0.0),
        crumb_mpa=column(0.003, 0.003),
        rim_mm=column(120.0, 95.0),
        bond_mpa=column(0.0, 0.0),
        base_kg=0.0,
        wedged=False,
        rod=rod,
    )


def rod(anchored: bool) -> RodCase:
    from tierwright.support.column import Section

    return RodCase(section=Section(outer_mm=12.0), strength_mpa=np.array([30.0]), anchored=anchored)


def test_rod_held_at_its_foot_takes_what_friction_leaves() -> None:
    push = {"forward_g": np.array([0.6]), "side_g": np.array([0.2]), "lightened_g": np.array([0.0])}
    bare = piece_utilisations(two_blocks(None), **push)
    assert bare["slide.2"][0] == pytest.approx(0.6 / 0.3, rel=1e-12)
    held = piece_utilisations(two_blocks(rod(True)), **push)
    # By hand: friction holds half of 2 kg x g x 0.6; the rest times the 120 mm of the tier below, over the rod's
    # section modulus pi d^3 / 32 and its strength.
    excess = 2.0 * 9.80665 * (0.6 - 0.3)
    bends = excess * 120.0 / (pi * 12**3 / 32 * 30.0)
    assert held["rod"][0] == pytest.approx(bends, rel=1e-12)
    assert held["slide.2"][0] == pytest.approx(bends, rel=1e-12)
    # It does nothing against tipping.
    assert held["tip.2"][0] == bare["tip.2"][0]


def test_loose_rod_holds_only_what_crumb_holds() -> None:
    push = {"forward_g": np.array([0.6]), "side_g": np.array([0.2]), "lightened_g": np.array([0.0])}
    loose = piece_utilisations(two_blocks(rod(False)), **push)
    # 3 kPa x 12 mm x half of 120 mm = 2.16 N.
    holds = 0.3 * 2.0 * 9.80665 + 0.003 * 12 * 60
    assert loose["slide.2"][0] == pytest.approx(0.6 * 2.0 * 9.80665 / holds, rel=1e-12)
    assert "rod" not in loose


def test_crumb_and_glue_keep_a_tier_from_tipping() -> None:
    push = {"forward_g": np.array([0.5]), "side_g": np.array([0.5]), "lightened_g": np.array([0.0])}
    bare = piece_utilisations(replace(two_blocks(None), crumb_mpa=np.zeros((2, 1))), **push)
    # Supports alone: 0.5 x 60 / 60.
    assert bare["tip.2"][0] == pytest.approx(0.5, rel=1e-12)
    crumb = piece_utilisations(two_blocks(None), **push)
    glued = piece_utilisations(replace(two_blocks(None), bond_mpa=np.full((2, 1), 0.001)), **push)
    assert glued["tip.2"][0] < crumb["tip.2"][0] < bare["tip.2"][0]


def test_wedged_base_does_not_slide(block: Block) -> None:
    found = piece_utilisations(
        block(wedged=True), forward_g=np.array([0.9]), side_g=np.array([0.2]), lightened_g=np.array([0.0])
    )
    assert "slide.1" not in found
    assert found["tip.1"][0] > 0


def test_design_push_adds_grade_to_braking(three: Ask) -> None:
    level = design_push(replace(three.road, grade=0.0))
    steep = design_push(replace(three.road, grade=0.12))
    # A 12 % grade is 0.12 g along the road; both come with the drive's margin of 1.2.
    assert steep[0] - level[0] == pytest.approx(0.12 * 1.2, rel=1e-9)
    assert steep[1] == level[1]


def test_whole_stack_pieces_and_words(three: Ask) -> None:
    found = support(three).carrying
    assert found.governing.utilisation == max(check.utilisation for check in found.whole.checks)
    assert found.governing.label in found.words
    assert sorted(number for piece in found.pieces for number in piece.tiers) == [1, 2, 3]
    assert found.whole.mass_g.value > sum(piece.mass_g.value for piece in found.pieces) * 0.99
    # Bare boards slide well below the push at which things tip.
    assert found.whole.slides_at_g < 0.4 < found.whole.tips_at_g


def test_every_care_lets_it_go_stacked(held: Ask) -> None:
    found = support(held).carrying
    assert found.answer is Answer.STACKED
    assert all(check.passes for check in found.pieces[0].checks)
    assert found.change is None


def test_cheapest_change_does_what_it_says(three: Ask) -> None:
    found = support(three).carrying
    assert found.change is not None
    assert found.change.utilisation <= 1
    # Make the change and ask again: now it goes stacked.
    means = three.means
    for key, words in (("mat", "mat"), ("wedge", "box"), ("chill", "chill"), ("bond", "stick"), ("rod", "rod")):
        if words in found.change.do:
            means = changed(means, key)
    again = support(replace(three, means=means)).carrying
    assert again.answer is Answer.STACKED
    assert again.governing.utilisation == pytest.approx(found.change.utilisation, rel=1e-9)


def test_part_of_a_tall_cake_goes_stacked(cake: Cake) -> None:
    # All of it shears the filling of the bottom tier; carried in fewer pieces than tiers it holds.
    ask = cake(350.0, 300.0, 250.0, 200.0, 150.0)
    means = replace(ask.means, box=True, wedged=True, bond="chocolate")
    found = support(replace(ask, means=means)).carrying
    assert found.governing.key == "road.filling.1"
    assert found.answer is Answer.PART
    assert 1 < len(found.pieces) < 5
    assert all(check.passes for piece in found.pieces for check in piece.checks)


def test_dam_holds_a_soft_filling(held: Ask) -> None:
    def shear(dam: str, width: float) -> float:
        layer = FillingLayer(filling="soft", at_mm=60.0, dam=dam, dam_mm=width)
        tiers = tuple(replace(tier, fillings=(layer,)) for tier in held.tiers)
        checks = support(replace(held, tiers=tiers)).carrying.whole.checks
        return max(check.utilisation for check in checks if "filling" in check.key)

    assert shear("firm", 12.0) < shear("buttercream", 12.0) < shear("", 0.0)


def test_wish_to_carry_apart_is_kept(held: Ask) -> None:
    found = support(replace(held, road=replace(held.road, wish_stacked=False))).carrying
    assert found.answer is Answer.ON_SITE
    assert len(found.pieces) == 3
    assert "could go stacked" in found.words


def test_soft_filling_governs_and_cold_helps(held: Ask) -> None:
    soft = tuple(replace(t, fillings=(FillingLayer(filling="cream", at_mm=60.0),)) for t in held.tiers)
    warm = support(replace(held, tiers=soft, means=replace(held.means, temper=Temper.WARM))).carrying
    cold = support(replace(held, tiers=soft)).carrying
    assert "filling" in warm.governing.key
    assert cold.governing.utilisation < warm.governing.utilisation


@pytest.mark.parametrize("surface", ["smooth", "patched", "gravel", "track"])
def test_rougher_roads_never_help(three: Ask, surface: str) -> None:
    loads = tier_loads(three.tiers, three.base)
    order = ["smooth", "patched", "gravel", "track"]
    worst = []
    for name in order[: order.index(surface) + 1]:
        road = replace(three.road, surface=name)
        levels = plan_levels(three.tiers, loads, three.means, road)
        worst.append(check_piece(three.tiers, loads, levels, three.base, three.means, road, 0, 2).checks[0].utilisation)
    assert worst == sorted(worst)


def test_rod_words_name_what_it_stops(three: Ask) -> None:
    words = support(three).carrying.rod_helps
    assert "stops sliding" in words
    assert "without a foot it stops none" in words
    single = support(replace(three, tiers=three.tiers[:1])).carrying
    assert single.rod_helps == "A single tier needs no centre rod."


def test_rod_is_only_in_the_piece_with_the_base(three: Ask) -> None:
    means = replace(three.means, rod=Rod(stock=support_stocks()["wood-12"], anchor=Anchor.ANCHORED))
    loads = tier_loads(three.tiers, three.base)
    levels = plan_levels(three.tiers, loads, means, three.road)
    low = piece_case(three.tiers, loads, levels, three.base, means, 0, 1)
    high = piece_case(three.tiers, loads, levels, three.base, means, 1, 2)
    assert low.rod is not None
    assert low.rod.anchored
    assert high.rod is not None
    assert not high.rod.anchored


def test_no_tiers_cannot_be_carried(three: Ask) -> None:
    from tierwright.errors import Infeasible

    with pytest.raises(Infeasible):
        carrying((), (), (), three.base, three.means, three.road)


def test_measures_out_of_range_are_refused() -> None:
    with pytest.raises(OutOfRange):
        tips_at_g(0.0, 100.0)
    with pytest.raises(OutOfRange):
        slides_at_g(3.0)
    with pytest.raises(ValueError, match="no change"):
        changed(None, "pray")  # type: ignore[arg-type]


def test_pegs_bear_on_half_a_layer_of_crumb(cake: Cake) -> None:
    # Four of 6 mm through a tier of 125 mm with one filling: two layers of 62.5, half of one is 31.25 mm;
    # 4 x 6 mm x 31.25 mm x 2 kPa = 1.5 N. Three fillings leave layers of 31.25 mm: 0.75 N.
    tier = cake(250.0, 200.0).tiers[0]
    stock = support_stocks()["wood-6"]
    level = SimpleNamespace(count=4, stock=stock)
    by_hand = 4 * stock.outer_mm * 31.25 * 2.0 * 1e-3
    assert peg_force_n(tier, level, 2.0) == pytest.approx(by_hand, rel=1e-12)  # type: ignore[arg-type]
    more = replace(tier, fillings=tuple(FillingLayer(filling="buttercream", at_mm=at) for at in (30.0, 60.0, 90.0)))
    assert peg_force_n(more, level, 2.0) == pytest.approx(by_hand / 2, rel=1e-12)  # type: ignore[arg-type]
    assert peg_force_n(tier, None, 2.0) == 0.0
