"""A whole commission coated: what goes in comes out, and the laws it keeps."""

from __future__ import annotations

import json
from dataclasses import asdict, replace
from math import pi
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.coating.cakes import (
    BUTTERCREAM,
    CURD,
    GANACHE,
    JAM,
    OUTLINES,
    PASTE,
    SYRUP,
    kitchen_cake,
    order,
    tier,
)

from tierwright.coating import (
    CoatedTier,
    Coating,
    CoatStyle,
    Finish,
    Laying,
    Part,
    Season,
    Spread,
    TierToCoat,
    coat,
    offset_area_mm2,
)
from tierwright.errors import MissingData, OutOfRange, UnknownName
from tierwright.shapes import Outline
from tierwright.sizing.model import TierKind
from tierwright.working import Estimate, Question

STACK = [
    order(tier(254.0, number=1), filling=CURD, soak=SYRUP, board="card", finish=Finish.COMBED),
    order(tier(203.0, number=2), filling=JAM, soak=SYRUP, board="card", finish=Finish.COMBED),
    order(tier(152.0, number=3), soak=SYRUP, board="card", finish=Finish.COMBED),
]
styles = st.sampled_from(list(CoatStyle))


def part_g(coated: CoatedTier, *parts: Part) -> float:
    return sum(one.on_cake_g.value for one in coated.parts if one.part in parts)


def dressed(style: CoatStyle, outline: Outline, **changes: object) -> TierToCoat:
    rolled = style is CoatStyle.ROLLED
    return order(
        tier(outline),
        style=style,
        coat=PASTE if rolled else GANACHE if style is CoatStyle.GANACHE else BUTTERCREAM,
        undercoat=GANACHE if rolled else None,
        filling=CURD,
        soak=SYRUP,
        board="card",
        **changes,
    )


def question(result: Coating, key: str) -> Question | None:
    return next((one for one in result.notes.questions if one.key == key), None)


@settings(max_examples=60, deadline=None)
@given(style=styles, outline=st.sampled_from(OUTLINES), laying=st.sampled_from(list(Laying)))
def test_parts_add_up_to_the_tier(style: CoatStyle, outline: Outline, laying: Laying) -> None:
    result = coat([dressed(style, outline, laying=laying)])
    coated = result.tiers[0]
    assert coated.mass_g.value == pytest.approx(sum(one.on_cake_g.value for one in coated.parts), rel=1e-12)
    assert coated.mass_g.low < coated.mass_g.value < coated.mass_g.high
    for one in coated.parts:
        assert one.to_make_g.value >= one.on_cake_g.value
    figures = {figure.key: figure for figure in result.notes.figures}
    assert figures["tier.1.mass_g"].value == coated.mass_g.value


@settings(max_examples=60, deadline=None)
@given(style=styles, outline=st.sampled_from(OUTLINES))
def test_bands_stack_without_gaps_up_to_the_finished_height(style: CoatStyle, outline: Outline) -> None:
    coated = coat([dressed(style, outline)]).tiers[0]
    level = 0.0
    for band in coated.bands:
        assert band.bottom_mm == pytest.approx(level)
        level = band.top_mm
    assert level == pytest.approx(coated.finished_height_mm)


@settings(max_examples=60, deadline=None)
@given(style=styles, width=st.floats(min_value=100.0, max_value=380.0), more=st.floats(min_value=1.0, max_value=20.0))
def test_larger_never_takes_less(style: CoatStyle, width: float, more: float) -> None:
    small = coat([dressed(style, Outline.round(width))])
    large = coat([dressed(style, Outline.round(width + more))])
    assert large.tiers[0].mass_g.value > small.tiers[0].mass_g.value
    wanted = {need.formula: need.grams.value for need in large.needs}
    for need in small.needs:
        assert wanted[need.formula] >= need.grams.value


@settings(max_examples=40, deadline=None)
@given(thin=st.floats(min_value=1.0, max_value=14.0), more=st.floats(min_value=0.1, max_value=10.0))
def test_thicker_never_takes_less(thin: float, more: float) -> None:
    lean = coat([order(coat_mm=Estimate.exact(thin))])
    rich = coat([order(coat_mm=Estimate.exact(thin + more))])
    assert rich.needs[0].grams.value > lean.needs[0].grams.value


@settings(max_examples=40, deadline=None)
@given(depth=st.floats(min_value=1.0, max_value=18.0), more=st.floats(min_value=0.1, max_value=10.0))
def test_deeper_filling_never_takes_less(depth: float, more: float) -> None:
    shallow, deep = (coat([order(tier(filling_mm=one), filling=CURD)]).needs for one in (depth, depth + more))
    for less, greater in zip(shallow, deep, strict=True):
        assert greater.grams.value > less.grams.value


def test_volumes_of_a_plain_tier_by_hand() -> None:
    # Round 200 of three 35 mm layers and two 8 mm fillings: 121 mm; coat 4.5 mm after a crumb coat of 1.5 mm.
    result = coat([order(coat_mm=Estimate.exact(6.0))])
    parts = {one.part: one for one in result.tiers[0].parts}
    assert parts[Part.SPONGE].on_cake_g.value == pytest.approx(pi * 100**2 * 105 / 1000 * 0.45)
    assert parts[Part.FILLING].volume_ml.value == pytest.approx(pi * 100**2 * 16 / 1000)
    outside = parts[Part.CRUMB_COAT].volume_ml.value + parts[Part.COAT].volume_ml.value
    assert outside == pytest.approx((pi * 106**2 * 127 - pi * 100**2 * 121) / 1000)
    assert result.tiers[0].finished_outline.width_mm == pytest.approx(212.0)
    assert result.tiers[0].finished_height_mm == pytest.approx(127.0)


def test_dam_and_filling_share_the_gap() -> None:
    coated = coat([order(filling=CURD)]).tiers[0]
    volumes = {one.part: one.volume_ml.value for one in coated.parts}
    assert volumes[Part.FILLING] + volumes[Part.DAM] == pytest.approx(pi * 100**2 * 16 / 1000)
    # A dam 12 mm wide inside a round of 200.
    assert volumes[Part.DAM] == pytest.approx(pi * (100**2 - 88**2) * 16 / 1000)


def test_top_is_less_by_what_the_tier_above_covers() -> None:
    with_above = coat(STACK)
    alone = coat(STACK[:1])
    bottom, middle = with_above.tiers[0], with_above.tiers[1]
    hidden = middle.finished_outline.area_mm2
    assert alone.tiers[0].top_mm2 - bottom.top_mm2 == pytest.approx(hidden)
    less = part_g(alone.tiers[0], Part.COAT) - part_g(bottom, Part.COAT)
    # 5 mm of top coat at 0.8 g/ml are left off.
    assert less == pytest.approx(hidden * 5 / 1000 * 0.8)
    assert part_g(bottom, Part.CRUMB_COAT) == pytest.approx(part_g(alone.tiers[0], Part.CRUMB_COAT))
    assert bottom.carries_at_mm == pytest.approx(bottom.finished_height_mm - 5)


def test_coat_may_run_on_under_the_next_tier() -> None:
    through = coat([replace(STACK[0], coat_under=True), *STACK[1:]]).tiers[0]
    assert part_g(through, Part.COAT) == pytest.approx(part_g(coat(STACK[:1]).tiers[0], Part.COAT))
    assert through.carries_at_mm == through.finished_height_mm


def test_a_wide_board_hides_more_and_ends_the_coat_at_its_top() -> None:
    wide = Outline.round(220.0)
    result = coat([STACK[0], replace(STACK[1], board_outline=wide), STACK[2]])
    plain = coat(STACK)
    assert result.tiers[0].top_mm2 == pytest.approx(plain.tiers[0].top_mm2 - wide.area_mm2 + pi * (203 / 2 + 7.5) ** 2)
    assert result.tiers[1].side_mm2 < plain.tiers[1].side_mm2
    assert result.tiers[1].finished_height_mm == plain.tiers[1].finished_height_mm


def test_needs_are_the_sum_of_what_is_made() -> None:
    result = coat(STACK)
    for need in result.needs:
        made = [one.to_make_g.value for coated in result.tiers for one in coated.parts if one.formula == need.formula]
        assert need.grams.value == pytest.approx(sum(made))
    assert [need.formula for need in result.needs] == ["curd", "buttercream", "syrup", "jam"]
    keys = {figure.key for figure in result.notes.figures}
    assert {f"need.{need.formula}.g" for need in result.needs} <= keys


def test_every_figure_has_its_own_key_and_a_working() -> None:
    result = coat(STACK, [order(kitchen_cake(2))], expected_c=29.0)
    keys = [figure.key for figure in result.notes.figures]
    assert len(keys) == len(set(keys))
    assert all(figure.equation and figure.inputs for figure in result.notes.figures)
    for number in (1, 2, 3):
        for name in ("coat_g", "filling_g", "soak_g", "mass_g", "finished_height_mm"):
            assert f"tier.{number}.{name}" in keys
    questions = [one.key for one in result.notes.questions]
    assert len(questions) == len(set(questions))
    assumed = [one.key for one in result.notes.assumptions]
    assert len(assumed) == len(set(assumed))


def test_like_kitchen_cakes_count() -> None:
    one, three = (coat([], [order(kitchen_cake(count))]) for count in (1, 3))
    assert three.needs[0].grams.value == pytest.approx(3 * one.needs[0].grams.value)
    assert three.kitchen_cakes == one.kitchen_cakes
    assert three.kitchen_cakes[0].number == 0


def test_dummy_takes_a_coat_and_nothing_inside() -> None:
    foam = tier(200.0, kind=TierKind.DUMMY)
    result = coat([order(foam, soak=SYRUP, sponge_g_per_ml=None)])
    parts = {one.part for one in result.tiers[0].parts}
    assert parts == {Part.FOAM, Part.COAT}
    assert result.tiers[0].mass_g.value < coat([order()]).tiers[0].mass_g.value / 3
    assert [band.material for band in result.tiers[0].bands] == ["foam", "coat"]


def test_naked_has_no_coat_and_semi_naked_little() -> None:
    naked, semi, full = (
        part_g(coat([order(style=style)]).tiers[0], Part.CRUMB_COAT, Part.COAT)
        for style in (CoatStyle.NAKED, CoatStyle.SEMI_NAKED, CoatStyle.FULL)
    )
    assert naked == 0.0
    assert 0 < semi < full / 2


def test_rolled_coat_has_its_sheet_and_undercoat() -> None:
    result = coat([dressed(CoatStyle.ROLLED, Outline.round(203.2))])
    (sheet,) = result.tiers[0].sheets
    # D + 2 H + margin, over an undercoat of 3 mm: 203.2 + 6 + 2 (121 + 3 board + 3 under) + 19.
    assert sheet.width_mm == pytest.approx(203.2 + 6 + 2 * 127 + 19)
    assert sheet.use == "cover"
    rolled = part_g(result.tiers[0], Part.ROLLED)
    assert sheet.roll_out_g.value == pytest.approx(rolled + sheet.trim_g.value)
    assert sheet.knead_back_g.value < sheet.trim_g.value
    assert result.tiers[0].carries_at_mm == result.tiers[0].finished_height_mm
    assert {need.formula for need in result.needs} == {"curd", "ganache", "syrup", "paste"}


def test_disc_and_wrap_take_less_than_a_cover() -> None:
    cover, wrap = (
        coat([dressed(CoatStyle.ROLLED, Outline.round(203.2), laying=laying)]) for laying in (Laying.COVER, Laying.WRAP)
    )
    assert [sheet.use for sheet in wrap.tiers[0].sheets] == ["disc", "wrap"]
    # The strip reaches round the undercoated tier: pi (203.2 + 6 + 7) mm and a seam.
    assert wrap.tiers[0].sheets[1].width_mm == pytest.approx(pi * 216.2 + 10)
    by_cover, by_wrap = (
        next(need.grams.value for need in result.needs if need.formula == "paste") for result in (cover, wrap)
    )
    assert by_wrap < by_cover


def test_marzipan_lies_under_the_paste() -> None:
    marzipan = Spread(kind="marzipan", formula="marzipan")
    result = coat([dressed(CoatStyle.ROLLED, Outline.round(203.2), marzipan=marzipan)])
    order_of_bands = [band.material for band in result.tiers[0].bands[-3:]]
    assert order_of_bands == ["crumb coat", "marzipan", "rolled coat"]
    assert any(one.key == "nuts.marzipan" for one in result.notes.cautions)


def test_ganache_is_split_with_its_disagreement() -> None:
    result = coat([dressed(CoatStyle.GANACHE, Outline.round(203.2))], season=Season.SUMMER)
    figures = {figure.key: figure for figure in result.notes.figures}
    whole = next(need.grams.value for need in result.needs if need.formula == "ganache")
    chocolate, cream = figures["need.ganache.chocolate_g"].value, figures["need.ganache.cream_g"].value
    assert isinstance(chocolate, float)
    assert isinstance(cream, float)
    assert chocolate + cream == pytest.approx(whole)
    assert chocolate / cream == pytest.approx(2.75)
    ratio = next(one for one in result.notes.assumptions if one.key == "need.ganache.ratio")
    assert "2.5 to 3" in ratio.text


def test_soak_adds_mass_and_no_height() -> None:
    dry, wet = coat([order()]).tiers[0], coat([order(soak=SYRUP)]).tiers[0]
    assert wet.mass_g.value - dry.mass_g.value == pytest.approx(part_g(wet, Part.SOAK))
    assert wet.finished_height_mm == dry.finished_height_mm


def test_weighed_layers_go_before_their_density() -> None:
    coated = coat([order(sponge_g=Estimate.exact(1500.0))]).tiers[0]
    assert part_g(coated, Part.SPONGE) == 1500.0


def test_defaults_are_listed_and_given_values_are_not() -> None:
    plain = {one.key for one in coat([order(filling=CURD)]).notes.assumptions}
    assert {"tier.1.coat_mm", "tier.1.crumb_mm", "density.curd", "coats.dam_width_mm", "coats.expected_c"} <= plain
    given = order(
        filling=replace(CURD, measured_g_per_ml=1.1),
        coat_mm=Estimate.exact(6.0),
        dam_mm=Estimate.exact(15.0),
    )
    told = {one.key for one in coat([given], expected_c=20.0, road_c=18.0, braking_share=0.4).notes.assumptions}
    assert not told & {"tier.1.crumb_mm", "density.curd", "coats.dam_width_mm", "coats.expected_c", "coats.road_c"}


def test_result_is_plain_data_and_the_same_every_time() -> None:
    first, second = coat(STACK, expected_c=26.0), coat(STACK, expected_c=26.0)
    assert first == second
    assert json.dumps(asdict(first)) == json.dumps(asdict(second))


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"coat": None}, "tier.1.coat"),
        ({"style": CoatStyle.ROLLED, "coat": PASTE}, "tier.1.undercoat"),
        ({"coat": PASTE}, "tier.1.style"),
        ({"style": CoatStyle.ROLLED, "undercoat": GANACHE}, "tier.1.style"),
        ({"style": CoatStyle.NAKED, "coat": None, "filling": CURD}, "tier.1.dam"),
        ({"filling": Spread(kind="curd")}, "tier.1.filling.formula"),
    ],
)
def test_what_is_not_said_is_asked(changes: dict[str, Any], key: str) -> None:
    result = coat([order(**changes)])
    assert question(result, key) is not None
    assert question(coat([order()]), key) is None


def test_missing_filling_is_asked() -> None:
    tall = order(filling=None)
    assert question(coat([tall]), "tier.1.filling") is not None


def test_overhang_is_asked() -> None:
    result = coat([order(tier(150.0, number=1)), order(tier(200.0, number=2))])
    assert question(result, "tier.1.overhang") is not None
    assert result.tiers[0].top_mm2 >= 0.0
    assert question(coat(STACK), "tier.1.overhang") is None


def test_a_heavy_stack_is_lifted_by_two() -> None:
    heavy = coat([order(tier(300.0, layers=4), sponge_g_per_ml=Estimate.exact(0.9))])
    assert heavy.tiers[0].mass_g.value > 10_000
    assert any(one.key == "lift.stack" for one in heavy.notes.cautions)
    assert not any(one.key == "lift.stack" for one in coat([order()]).notes.cautions)


def test_what_must_stay_cold_is_said() -> None:
    keys = {one.key for one in coat(STACK).notes.cautions}
    assert {"chill.curd", "chill.swiss_buttercream"} <= keys
    assert "chill.jam" not in keys


@pytest.mark.parametrize(
    ("changes", "error"),
    [
        ({"sponge_g_per_ml": None}, MissingData),
        ({"filling": Spread(kind="curdd")}, UnknownName),
        ({"coat_mm": Estimate.exact(31.0)}, OutOfRange),
        ({"filling_mm": 41.0}, OutOfRange),
        ({"board": "slab", "board_mm": 61.0}, OutOfRange),
        ({"dam_mm": Estimate.exact(61.0), "dam": True}, OutOfRange),
        ({"soak": SYRUP, "soak_ml_per_cm2": Estimate.exact(1.5)}, OutOfRange),
        ({"cake": replace(tier(), height_mm=150.0)}, OutOfRange),
        ({"cake": replace(tier(), layers=0)}, OutOfRange),
    ],
)
def test_refuses(changes: dict[str, Any], error: type[Exception]) -> None:
    with pytest.raises(error):
        coat([order(**changes)])


def test_refuses_wild_surroundings() -> None:
    with pytest.raises(OutOfRange):
        coat([order()], expected_c=46.0)
    with pytest.raises(OutOfRange):
        coat([order()], road_c=float("nan"))
    with pytest.raises(OutOfRange):
        coat([order()], braking_share=0.0)
    with pytest.raises(ValueError, match="kitchen cake"):
        coat([order(kitchen_cake(1))])
    with pytest.raises(ValueError, match="among the kitchen cakes"):
        coat([], [order()])


def test_nothing_to_coat_is_nothing() -> None:
    empty = coat([])
    assert empty.tiers == ()
    assert empty.needs == ()


def test_steiner_area_shows_in_the_top() -> None:
    square = OUTLINES[1]
    coated = coat([order(tier(square), coat_mm=Estimate.exact(6.0))]).tiers[0]
    assert coated.top_mm2 == pytest.approx(offset_area_mm2(square, 6.0))
