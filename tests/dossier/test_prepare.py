"""The main job: a commission in, a dossier out."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.dossier.scenes import commission, dossier, kitchen

from tierwright.compare import consequences
from tierwright.dossier import from_json, prepare, to_json
from tierwright.errors import BadInput, Infeasible
from tierwright.working import Severity


def test_json_round_trip_is_exact() -> None:
    written = to_json(dossier())
    assert from_json(written) == dossier()
    assert to_json(from_json(written)) == written


def test_the_same_input_gives_the_same_bytes() -> None:
    assert to_json(prepare(commission(), kitchen())) == to_json(dossier())


def test_a_torn_dossier_is_refused_with_its_faults() -> None:
    torn = to_json(dossier()).replace(b'"portions":', b'"partions":', 1)
    with pytest.raises(BadInput) as caught:
        from_json(torn, "dossier.json")
    assert any("portions" in p.place for p in caught.value.problems)


def test_nothing_moves_between_a_dossier_and_itself() -> None:
    found = consequences(dossier().notes, dossier().notes)
    assert (found.moves, found.opened, found.closed) == ((), (), ())


def test_more_guests_move_the_figures_that_hang_on_them() -> None:
    more = prepare(commission(guests={"attending": "118 to 124"}), kitchen())
    moves = {move.key: move for move in consequences(dossier().notes, more.notes).moves}
    wanted = moves["portions.wanted"]
    assert isinstance(wanted.before, float)
    assert isinstance(wanted.after, float)
    assert wanted.after > wanted.before
    assert any(key.startswith("need.") for key in moves), "coats and fillings follow the tiers"


def test_another_coat_moves_the_coat_and_not_the_portions() -> None:
    naked = prepare(commission(cake={"coating": "semi-naked"}), kitchen())
    keys = {move.key for move in consequences(dossier().notes, naked.notes).moves}
    assert "need.swiss-buttercream.g" in keys
    assert "portions.wanted" not in keys


def test_questions_come_most_serious_first() -> None:
    severities = [question.severity for question in dossier().notes.questions]
    assert severities == sorted(severities, reverse=True)


def test_figures_have_keys_of_their_own_and_a_working() -> None:
    keys = [figure.key for figure in dossier().notes.figures]
    assert len(keys) == len(set(keys))
    assert all(figure.equation for figure in dossier().notes.figures)
    assert all(figure.source.text or figure.source.basis for figure in dossier().notes.figures)


def test_batter_is_weighed_for_every_layer_of_every_tier() -> None:
    layers = sum(tier.layers for tier in dossier().sizing.stack.tiers)
    layers += sum(cake.layers * cake.count for cake in dossier().sizing.stack.kitchen_cakes)
    fills = [fill for work in dossier().formulas.works if work.batch for fill in work.batch.fills]
    assert len(fills) == layers


def test_mixes_hold_what_the_pans_and_coats_need() -> None:
    for work in dossier().formulas.works:
        if work.batch is None:
            continue
        mixed = sum(mix.mass_g for mix in work.batch.mixes)
        assert mixed == pytest.approx(work.batch.make_g, rel=1e-9)
        # Each weight is rounded to what the scale shows.
        rounding = 0.5 * kitchen().scale_step * sum(len(mix.parts) for mix in work.batch.mixes)
        assert mixed >= work.batch.need_g.value - rounding
        poured = sum(fill.batter_g.value for fill in work.batch.fills)
        assert poured <= mixed + 1e-6


def test_an_allergen_in_a_formula_is_the_first_thing_said() -> None:
    sheets = commission().model_dump(mode="json", by_alias=True)["formulas"]
    sheets[1]["lines"] = [*sheets[1]["lines"], "40 g ground hazelnuts"]
    found = prepare(commission(formulas=sheets), kitchen())
    first = found.notes.questions[0]
    assert first.severity is Severity.DANGER
    assert "Hazelnut is in Lemon and poppy seed cake" in first.text


def test_what_no_label_settles_is_asked_never_passed() -> None:
    asked = [question for question in dossier().notes.questions if "packets" in question.text]
    # Once, by one voice: the packets, and that a guest's allergy hangs on them.
    assert [(one.key, one.severity) for one in asked] == [("label.packets", Severity.DANGER)]
    assert "hazelnuts (1 guest, severe)" in asked[0].text


def test_milk_in_a_vegan_flavour_stops_it() -> None:
    flavours = commission().model_dump(mode="json", by_alias=True)["cake"]["flavours"]
    flavours[2]["coat"] = "swiss-buttercream"
    found = prepare(commission(cake={"flavours": flavours}), kitchen())
    stop = next(q for q in found.notes.questions if q.key == "diet.Chocolate with blackcurrant.stop")
    assert "unsalted butter" in stop.text


def test_the_vegans_tier_holds_a_portion_for_each_of_them() -> None:
    top = dossier().sizing.stack.tiers[-1]
    assert top.cutting is not None
    assert top.cutting.portions >= 9
    assert commission().cake.flavours[top.flavour].diet == "vegan"


def test_a_dry_formula_is_refused_by_name() -> None:
    sheets = commission().model_dump(mode="json", by_alias=True)["formulas"]
    sheets[0]["lines"] = ["300 g plain flour", "300 g caster sugar"]
    with pytest.raises(BadInput, match=r"formula vanilla: found no liquid"):
        prepare(commission(formulas=sheets), kitchen())


def test_a_cake_no_pan_can_make_says_the_cheapest_change() -> None:
    with pytest.raises(Infeasible) as caught:
        prepare(commission(cake={"tiers": 3}), kitchen(pans=[{"pan": "round_6x2_in", "count": 3}]))
    assert caught.value.cheapest_change


@settings(max_examples=12, deadline=None)
@given(st.integers(10, 120))
def test_doubling_guests_never_shrinks_the_cake(people: int) -> None:
    owned = kitchen(pan_price="20")

    def batter_g(count: int) -> float:
        brief = commission(guests={"invited": 400, "attending": count}, cake={"tiers": None})
        works = prepare(brief, owned).formulas.works
        return sum(work.batch.need_g.value for work in works if work.batch and work.formula.text.kind.is_batter)

    assert batter_g(2 * people) >= batter_g(people)


def test_the_working_holds_every_assumption_once() -> None:
    keys = [assumption.key for assumption in dossier().notes.assumptions]
    assert len(keys) == len(set(keys))
