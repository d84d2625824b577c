"""The sheets that rooms bring: what they print comes from the dossier, and hazards stand where the hand is."""

from __future__ import annotations

from functools import cache

from tests.dossier.scenes import commission, dossier, kitchen

from tierwright.dossier import prepare
from tierwright.sheets import pages_of
from tierwright.sheets.page import Json, Page


@cache
def pages() -> tuple[Page, ...]:
    return pages_of(dossier())


def words_in(value: Json) -> str:
    if isinstance(value, dict):
        return " ".join(words_in(item) for item in value.values())
    if isinstance(value, list):
        return " ".join(words_in(item) for item in value)
    return str(value)


def page(template: str, title: str = "") -> str:
    found = [p for p in pages() if p.template == template and title in p.sheet]
    assert found, f"no page {template} {title}"
    return words_in(found[0].data)


def test_every_layer_is_in_one_load_of_the_oven_sheet() -> None:
    text = page("ovens")
    loads = dossier().bakes.loads
    assert loads is not None
    placed = [pan.key for load in loads.loads for shelf in load.shelves for pan in shelf.pans]
    assert len(placed) == len(set(placed))
    assert len(placed) == sum(len(work.batch.fills) for work in dossier().formulas.works if work.batch)
    for tier in dossier().sizing.stack.tiers:
        for layer in range(1, tier.layers + 1):
            assert f"{tier.name} tier, layer {layer}" in text


def test_the_oven_sheet_speaks_in_the_dials_own_terms() -> None:
    # The example's oven runs 10 F cooler than its dial: 350 F wanted is 360 F on the dial.
    assert "360 °F" in page("ovens")
    assert "Steam and hot metal burn" in page("ovens")


def test_the_sugar_sheet_has_its_hazard_at_the_pot() -> None:
    assert "sugar clings and burns deeply" in page("syrups", "soaking syrup")


def test_raw_whites_are_warned_of_and_pasteurised_are_not() -> None:
    assert "raw egg" not in page("syrups", "Swiss-meringue").casefold()
    sheets = commission().model_dump(mode="json", by_alias=True)["formulas"]
    cream = next(sheet for sheet in sheets if sheet["key"] == "swiss-buttercream")
    cream["lines"] = [line.replace("pasteurised egg whites", "egg whites") for line in cream["lines"]]
    raw = prepare(commission(formulas=sheets), kitchen())
    told = [words_in(p.data) for p in pages_of(raw) if p.template == "syrups" and "Swiss" in p.sheet]
    assert "raw egg" in told[0].casefold()


def test_a_boiled_sugar_meringue_has_its_plot_and_its_hazard_at_the_pot_step() -> None:
    sheets = commission().model_dump(mode="json", by_alias=True)["formulas"]
    cream = next(sheet for sheet in sheets if sheet["key"] == "swiss-buttercream")
    cream["kind"] = "italian meringue buttercream"
    cream["lines"] = [*cream["lines"], "120 g water"]
    cooked = prepare(commission(formulas=sheets), kitchen())
    (found,) = [p for p in pages_of(cooked) if p.template == "syrups" and "Swiss" in p.sheet]
    assert found.data["plot"]
    steps = found.data["steps"]
    assert isinstance(steps, list)
    assert "sticks and keeps burning" in words_in(steps[0])
