"""What the finish adds is weighed, carried, declared, bought, timed and asked about."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from math import dist, pi

import pytest
from tests.dossier.scenes import EXAMPLE

from tierwright.brief import Commission, Kitchen, read_brief
from tierwright.brief.decor import Decor
from tierwright.coating import Coating, Part
from tierwright.dossier.coating_stage import coat_tiers
from tierwright.dossier.finish_stage import FinishWork, decor_words, finish_tiers, worn_by
from tierwright.dossier.sizing_stage import size_tiers
from tierwright.sizing import Sizing
from tierwright.working import Notes, Severity


@lru_cache(maxsize=1)
def plain() -> tuple[Commission, Kitchen, Sizing, Coating]:
    brief = read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")
    bare = brief.commission.model_copy(update={"decor": Decor()})
    sizing = size_tiers(bare, brief.kitchen)
    return brief.commission, brief.kitchen, sizing, coat_tiers(bare, brief.kitchen, sizing, {})


def finished(decor: Mapping[str, object] | None = None) -> tuple[FinishWork, Coating, Notes]:
    commission, kitchen, sizing, coating = plain()
    if decor is not None:
        commission = commission.model_copy(update={"decor": Decor.model_validate(decor)})
    finish, dressed, notes = finish_tiers(commission, kitchen, sizing, coating)
    assert finish is not None
    return finish, dressed, notes


def test_nothing_asked_changes_nothing() -> None:
    _, _, _, coating = plain()
    finish, dressed, notes = finished({})
    assert dressed is coating
    assert finish.parts() == ()
    assert not notes.questions
    assert finish.minutes.value == 0


def test_what_is_piped_is_part_of_its_tier_and_of_what_is_made() -> None:
    _, _, _, coating = plain()
    finish, dressed, _ = finished()
    masses = finish.masses
    for before, after in zip(coating.tiers, dressed.tiers, strict=True):
        own = sum(mass.on_cake_g.value for mass in masses if mass.tier == after.number)
        assert after.mass_g.value == pytest.approx(before.mass_g.value + own)
        assert own > 0
    before_g = {need.formula: need.grams.value for need in coating.needs}
    for need in dressed.needs:
        made = sum(mass.to_make_g.value for mass in masses if mass.formula == need.formula)
        assert need.grams.value == pytest.approx(before_g[need.formula] + made)


def test_stripes_take_the_place_of_the_coat() -> None:
    stripes = {"textures": [{"tier": 1, "kind": "striped", "formula": "plant-buttercream"}]}
    finish, dressed, _ = finished(stripes)
    coat = next(part for part in dressed.tiers[0].parts if part.part is Part.COAT)
    bare = next(part for part in plain()[3].tiers[0].parts if part.part is Part.COAT)
    (worked,) = finish.work.textures
    assert bare.on_cake_g.value - coat.on_cake_g.value == pytest.approx(worked.removed_g.value)
    assert coat.to_make_g == bare.to_make_g
    assert any(part.part is Part.STRIPES for part in dressed.tiers[0].parts)


def test_a_coat_with_milk_on_the_vegan_tier_is_named() -> None:
    commission, _, sizing, _ = plain()
    _, dressed, _ = finished({"borders": [{"tier": 3, "tip": "6 mm", "formula": "swiss-buttercream"}]})
    assert worn_by(commission, sizing, dressed)["Chocolate with blackcurrant"] == ("swiss-buttercream",)


def test_what_does_not_fit_is_refused_by_name_and_the_rest_stands() -> None:
    finish, _, notes = finished(
        {
            "bands": [{"tier": 1, "height": "300 mm"}, {"tier": 1, "height": "30 mm", "repeat": "50 mm"}],
            "borders": [{"tier": 7, "tip": "6 mm"}],
            "flowers": [{"species": "viola", "diameter": "60 mm", "tier": 3, "count": 40}],
            "lettering": [{"text": "Too much to say on such a narrow board", "height": "60 mm"}],
        }
    )
    stops = [question.key for question in notes.questions if question.severity is Severity.STOP]
    assert sorted(stops) == ["finish.bands.1", "finish.borders.1", "finish.flowers.1", "finish.lettering.1"]
    assert len(finish.work.bands) == 1


@pytest.mark.parametrize(
    ("leaf", "severity"),
    [({"label": "E 175"}, None), ({}, Severity.ASK), ({"label": "imitation, non-toxic"}, Severity.DANGER)],
)
def test_leaf_is_food_only_where_its_packet_says_so(leaf: dict[str, str], severity: Severity | None) -> None:
    _, _, notes = finished({"leaf": [{"tier": 1, "share": "5 %", **leaf}]})
    asked = [question for question in notes.questions if question.key == "tier.1.finish.leaf.1.food"]
    assert [question.severity for question in asked] == ([] if severity is None else [severity])


def test_flowers_lie_apart_off_the_rows_and_as_asked() -> None:
    finish, _, _ = finished()
    places = finish.flowers.places
    assert len(places) == sum(group.count for group in finish.flowers.groups)
    for i, one in enumerate(places):
        for other in places[i + 1 :]:
            assert dist(one.at_mm, other.at_mm) > (one.diameter_mm + other.diameter_mm) / 2 - 1.0
    again, _, _ = finished()
    assert again.flowers.places == places, "the same seed, the same places"
    top = next(group for group in finish.flowers.groups if group.asked)
    assert top.coverage == pytest.approx(top.count * pi * top.sort.diameter_mm**2 / 4 / top.area_mm2)


def test_what_is_not_food_is_counted_out_and_what_is_bought_is_listed() -> None:
    finish, _, _ = finished({"bands": [{"tier": 2, "kind": "ribbon", "height": "20 mm"}]})
    assert finish.picks == ((2, "ribbon", 1),)
    assert [ware.key for ware in finish.wares] == ["ribbon_100_mm"]
    flowers, _, _ = finished()
    assert flowers.flowers.order is not None
    assert sum(count for _, what, count in flowers.picks if what.startswith("pick")) == flowers.flowers.order.picks


def test_a_hot_glaze_has_its_caution() -> None:
    _, _, notes = finished({"drips": [{"tier": 1, "formula": "blackcurrant", "count": 12, "longest": "30 mm"}]})
    (caution,) = [one for one in notes.cautions if one.key == "finish.drip.1"]
    assert "thermometer" in caution.text


def test_a_decor_is_said_in_a_few_words() -> None:
    commission = plain()[0]
    said = decor_words(commission.decor)
    assert "gold leaf" in said
    assert len(set(said)) == len(said)
