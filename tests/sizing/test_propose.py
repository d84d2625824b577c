"""Stacks from the pans at hand: within the risk, by the rules, and never smaller for more guests."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from enum import Enum
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.sizing.kitchens import EVENT, IN, METRIC, ONE_OVEN, SHEET, all_cake, brief, cm, fixed_cm, widths_cm

from tierwright.errors import BadInput, Infeasible, MissingData, OutOfRange
from tierwright.shapes import Outline, Shape
from tierwright.sizing import (
    CutPattern,
    FixedTier,
    PanChoice,
    RoughCosts,
    Sizing,
    TierKind,
    demand,
    shortage_risk,
    size,
)
from tierwright.sizing.rules import LEAST_STEP_MM, WIDEST_STEP_MM
from tierwright.words import Cutter
from tierwright.working import Estimate, Severity


def figures(sizing: Sizing) -> dict[str, float | str]:
    return {figure.key: figure.value for figure in sizing.notes.figures}


def questions(sizing: Sizing) -> dict[str, str]:
    return {question.key: question.change or question.figure for question in sizing.notes.questions}


@given(
    people=st.integers(min_value=8, max_value=160),
    owned=st.sets(st.sampled_from(METRIC), min_size=3),
    sheet=st.booleans(),
    tiers=st.sampled_from([None, 1, 2, 3, 4]),
    keepsake=st.booleans(),
    cut_by=st.sampled_from(Cutter),
    pattern=st.sampled_from([CutPattern.RINGS, CutPattern.WEDGES, CutPattern.GRID]),
)
@settings(max_examples=60, deadline=None)
def test_doubling_the_guests_never_shrinks_the_cake(
    people: int,
    owned: set[PanChoice],
    sheet: bool,
    tiers: int | None,
    keepsake: bool,
    cut_by: Cutter,
    pattern: CutPattern,
) -> None:
    pans = [*sorted(owned, key=lambda pan: pan.key), *([SHEET] if sheet else [])]
    wish = brief(people, tiers=tiers, keepsake=keepsake, cut_by=cut_by, portion=replace(EVENT, pattern=pattern))
    try:
        more = size(replace(wish, attending=Estimate.exact(2 * people)), pans, ONE_OVEN)
    except Infeasible:
        return  # nothing can be made for twice as many, so there is nothing to compare
    # What serves twice as many serves these too.
    less = size(wish, pans, ONE_OVEN)
    assert more.stack.portions >= less.stack.portions
    assert more.demand.wanted >= less.demand.wanted


@given(
    people=st.integers(min_value=15, max_value=200),
    tiers=st.sampled_from([None, 2, 3, 4]),
    risk=st.sampled_from([0.02, 0.1, 0.3]),
    keepsake=st.booleans(),
)
@settings(max_examples=40, deadline=None)
def test_every_stack_keeps_the_promises(people: int, tiers: int | None, risk: float, keepsake: bool) -> None:
    sizing = size(brief(people, tiers=tiers, risk=risk, keepsake=keepsake), [*METRIC, SHEET], ONE_OVEN)
    assert 3 <= len(sizing.stacks) <= 5
    assert [stack.score for stack in sizing.stacks] == sorted(stack.score for stack in sizing.stacks)
    for stack in sizing.stacks:
        assert stack.shortage_risk <= risk
        assert stack.shortage_risk == shortage_risk(sizing.demand, stack.portions)
        counted = sum(t.cutting.portions for t in stack.tiers if t.cutting is not None and not t.keepsake)
        counted += sum(cake.count * cake.cutting.portions for cake in stack.kitchen_cakes)
        assert stack.portions == counted
        assert stack.surplus == pytest.approx(counted - sizing.demand.mean)
        assert stack.tiers[-1].keepsake == keepsake
        assert stack.tiers[-1].kind is TierKind.CAKE
        for below, above in pairwise(stack.tiers):
            step = below.outline.width_mm - above.outline.width_mm
            assert LEAST_STEP_MM <= step <= WIDEST_STEP_MM
        for tier in stack.tiers:
            if tier.kind is TierKind.DUMMY:
                assert (tier.cutting, tier.layers, tier.pan, tier.flavour) == (None, 0, "", -1)
            else:
                built = tier.layers * tier.layer_height_mm + (tier.layers - 1) * tier.filling_mm
                assert built == pytest.approx(tier.height_mm)


def test_same_brief_same_answer() -> None:
    assert size(brief(90), METRIC, ONE_OVEN) == size(brief(90), tuple(reversed(METRIC)), ONE_OVEN)


def test_fixed_tiers_are_honoured() -> None:
    sizing = size(brief(60, fixed=fixed_cm(25, 20, 15)), METRIC, ONE_OVEN)
    assert all(widths_cm(stack) == (25, 20, 15) for stack in sizing.stacks)
    one = size(brief(90, fixed=(FixedTier(number=-1, outline=Outline.round(180)),)), METRIC, ONE_OVEN)
    assert all(widths_cm(stack)[-1] == 18 for stack in one.stacks)


def test_a_fixed_dummy_needs_no_pan_and_feeds_nobody() -> None:
    foam = FixedTier(number=1, outline=Outline.round(330), kind=TierKind.DUMMY)
    sizing = size(brief(50, fixed=(foam,)), METRIC, ONE_OVEN)
    for stack in sizing.stacks:
        assert stack.tiers[0].kind is TierKind.DUMMY
        assert stack.tiers[0].outline.width_mm == 330
    assert any(caution.key == "sizing.foam.1" for caution in sizing.notes.cautions)


def test_a_keepsake_is_left_out_of_the_count() -> None:
    kept = size(brief(60, keepsake=True, fixed=fixed_cm(28, 23, 18)), METRIC, ONE_OVEN)
    served = size(brief(60, fixed=fixed_cm(28, 23, 18)), METRIC, ONE_OVEN)
    top = served.stack.tiers[-1].cutting
    assert top is not None
    assert kept.stack.portions == served.stack.portions - top.portions
    assert "sizing.keepsake" in questions(kept)


def test_few_guests_and_many_tiers_call_for_foam() -> None:
    sizing = size(brief(30, tiers=4), METRIC, ONE_OVEN)
    assert any(tier.kind is TierKind.DUMMY for tier in sizing.stack.tiers)
    bare = size(brief(30, tiers=4, dummies=False), METRIC, ONE_OVEN)
    assert all_cake(bare.stack)
    assert bare.stack.portions > sizing.stack.portions
    assert "sizing.surplus" in questions(bare)


def test_a_pan_is_bought_only_where_it_helps() -> None:
    few = [cm(15), cm(20), cm(25), cm(30, owned=0, price=24.0)]
    small = size(brief(60), few, ONE_OVEN)
    assert small.stack.cost == 0
    large = size(brief(95, kitchen_cakes=False, dummies=False), few, ONE_OVEN)
    assert widths_cm(large.stack)[0] == 30
    assert large.stack.cost == 24.0
    assert "sizing.buy.round-30cm" in questions(large)


def test_a_dear_pan_weighs_more_than_a_cheap_one() -> None:
    pans = [cm(15), cm(20), cm(25), cm(28, owned=0, price=500.0), cm(30, owned=0, price=5.0)]
    wish = brief(90, kitchen_cakes=False, dummies=False)
    sizing = size(wish, pans, ONE_OVEN, RoughCosts(batter_per_litre=3.0, portion=5.0))
    assert widths_cm(sizing.stack)[0] == 30


def test_a_pan_that_does_not_go_into_the_oven_is_not_proposed() -> None:
    sizing = size(brief(90), [*METRIC, cm(40)], ONE_OVEN)
    assert all(40 not in widths_cm(s) or not all_cake(s) for s in sizing.stacks)
    for stack in sizing.stacks:
        for tier in stack.tiers:
            assert tier.kind is TierKind.DUMMY or tier.outline.width_mm < 400


def test_guests_with_a_diet_get_a_tier_that_is_large_enough() -> None:
    top = FixedTier(number=-1, diet_guests=12, flavour=1)
    sizing = size(brief(110, fixed=(top,), flavours=2), METRIC, ONE_OVEN)
    for stack in sizing.stacks:
        cutting = stack.tiers[-1].cutting
        assert cutting is not None
        assert cutting.portions >= 16  # 12 x 1.3, because others take of it
        assert stack.tiers[-1].flavour == 1


def test_a_diet_tier_that_is_kept_whole_stops_the_work() -> None:
    top = FixedTier(number=-1, diet_guests=6)
    sizing = size(brief(60, keepsake=True, fixed=(top,)), METRIC, ONE_OVEN)
    stops = [q for q in sizing.notes.questions if q.severity is Severity.STOP]
    assert [q.key for q in stops] == ["sizing.diet.3"]


def test_thin_layers_come_from_shallow_pans() -> None:
    shallow = [cm(d, depth_mm=25.0) for d in (15, 20, 25)]
    sizing = size(brief(50, layers=None), shallow, ONE_OVEN)
    # 101.6 = n x layer + (n - 1) x 8; three layers of 28.5 mm do not come out of 25 mm pans, four of 19.4 do.
    assert {tier.layers for tier in sizing.stack.tiers if tier.layers} == {4}
    with pytest.raises(Infeasible, match="25 mm deep"):
        size(brief(50, layers=3), shallow, ONE_OVEN)


@pytest.mark.parametrize("shape", [Shape.SQUARE, Shape.HEXAGON, Shape.PETAL, Shape.HEART, Shape.RECTANGLE])
def test_other_shapes_stack_too(shape: Shape) -> None:
    pans = [
        PanChoice(
            key=f"{shape.value}-{d}",
            outline=Outline(shape=shape, width_mm=d * IN, length_mm=(d - 3) * IN if shape is Shape.RECTANGLE else 0),
            depth_mm=2 * IN,
            owned=1,
        )
        for d in (7, 9, 11, 13)
    ]
    sizing = size(brief(70, shape=shape), pans, ONE_OVEN)
    assert all(tier.outline.shape is shape for tier in sizing.stack.tiers)


def test_says_what_would_make_it_possible() -> None:
    with pytest.raises(Infeasible) as short:
        size(brief(250, kitchen_cakes=False), METRIC, ONE_OVEN)
    assert "allow kitchen cakes" in short.value.cheapest_change
    with pytest.raises(Infeasible) as heart:
        size(brief(50, shape=Shape.HEART), METRIC, ONE_OVEN)
    assert "make it round" in heart.value.cheapest_change
    with pytest.raises(Infeasible) as pan:
        size(brief(50, kitchen_cakes=False), [cm(15), cm(20), cm(25, owned=0)], ONE_OVEN)
    assert pan.value.cheapest_change
    with pytest.raises(Infeasible) as absent:
        size(brief(50, fixed=fixed_cm(26, 20, 15)), METRIC, ONE_OVEN)
    assert "260 mm" in absent.value.reason
    with pytest.raises(Infeasible) as crowd:
        size(brief(4000), METRIC, ONE_OVEN)
    assert "no more than" in crowd.value.cheapest_change
    with pytest.raises(Infeasible):
        size(brief(50), [], ONE_OVEN)


def test_refuses_briefs_that_contradict_themselves() -> None:
    with pytest.raises(BadInput) as found:
        size(
            brief(
                50,
                fixed=(
                    FixedTier(number=4),
                    FixedTier(number=0),
                    FixedTier(number=1, kind=TierKind.DUMMY, diet_guests=3),
                ),
            ),
            METRIC,
            ONE_OVEN,
        )
    assert len(found.value.problems) == 3
    with pytest.raises(MissingData):
        size(brief(None), METRIC, ONE_OVEN)
    for change in (
        {"filling_mm": -1.0},
        {"tiers": 9},
        {"layers": 0},
        {"flavours": 0},
        {"tier_height_mm": 2000.0},
        {"portion": replace(EVENT, height_mm=5.0)},
        {"risk": 0.0},
        {"invited": -1},
    ):
        with pytest.raises(OutOfRange):
            size(brief(50, **change), METRIC, ONE_OVEN)


def test_hosts_who_cut_themselves_get_more_cake() -> None:
    caterer = size(brief(90), METRIC, ONE_OVEN)
    hosts = size(brief(90, cut_by=Cutter.CLIENT), METRIC, ONE_OVEN)
    assert figures(hosts)["portions.wanted"] == figures(caterer)["portions.wanted"]
    assert hosts.stack.portions > caterer.stack.portions
    assert {"sizing.cutter"} <= set(questions(hosts))


def test_open_replies_are_asked_for() -> None:
    sizing = size(brief(None, invited=124, take_up=None), METRIC, ONE_OVEN)
    assert "sizing.replies" in questions(sizing)
    assumed = {assumption.key for assumption in sizing.notes.assumptions}
    assert {"sizing.replies", "sizing.take_up", "sizing.least_share", "sizing.tier_height"} <= assumed


def test_every_figure_opens_to_its_working() -> None:
    sizing = size(brief(96, fixed=fixed_cm(25, 20, 15), flavours=3), [*METRIC, SHEET], ONE_OVEN)
    by_key = figures(sizing)
    assert len(by_key) == len(sizing.notes.figures)
    for key in (
        "portions.wanted",
        "portions.made",
        "portions.shortage_risk",
        "tier.1.portions",
        "tier.1.width_mm",
        "tier.1.height_mm",
        "tier.3.layer_height_mm",
        "stack.oven_loads",
        "kitchen.portions",
        "batter.volume_ml",
    ):
        assert key in by_key
    for figure in sizing.notes.figures:
        assert figure.equation
        assert figure.sheet == "tiers"
        if figure.low is not None and figure.high is not None and isinstance(figure.value, float):
            assert figure.low <= figure.value <= figure.high
    # A reader with the inputs can repeat it: the parts add up to the portions made.
    made = next(figure for figure in sizing.notes.figures if figure.key == "portions.made")
    parts = [given.value for given in made.inputs if given.name.endswith("tier")]
    assert sum(float(part) for part in parts) + float(by_key["kitchen.portions"]) == made.value


def test_batter_follows_the_volume_of_the_layers() -> None:
    sizing = size(brief(60, fixed=fixed_cm(25, 20, 15)), METRIC, ONE_OVEN)
    layers_ml = sum(t.outline.area_mm2 * t.layers * t.layer_height_mm / 1000 for t in sizing.stack.tiers)
    # Half full to two thirds full, and a tenth levelled off: common practice.
    assert layers_ml * 0.5 < sizing.batter_volume_ml.low < sizing.batter_volume_ml.high < layers_ml * 0.76


def test_demand_is_the_brief_s_own() -> None:
    sizing = size(brief(96), METRIC, ONE_OVEN)
    assert sizing.demand == demand(
        attending=Estimate.exact(96.0), take_up=Estimate(value=0.825, low=0.8, high=0.85), risk=0.1
    )


def test_results_hold_plain_values_only() -> None:
    sizing = size(brief(96, fixed=fixed_cm(25, 20, 15)), [*METRIC, SHEET], ONE_OVEN)
    seen: set[type] = set()

    def walk(value: object) -> None:
        if is_dataclass(value):
            for field in fields(value):
                walk(getattr(value, field.name))
        elif isinstance(value, tuple):
            for item in value:
                walk(item)
        else:
            seen.add(type(value))

    walk(sizing)
    assert all(kind in (int, float, str, bool, type(None)) or issubclass(kind, Enum) for kind in seen)
