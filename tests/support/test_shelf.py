"""From the larder and the coated tier to this room's own words."""

from __future__ import annotations

import pytest

from tierwright.coating.model import Band, CoatedTier, Part, PartMass
from tierwright.errors import MissingData
from tierwright.larder import boards, supports
from tierwright.shapes import Outline
from tierwright.support import (
    board_stock_of,
    board_stocks,
    crumb_of,
    filling_of,
    finish_of,
    materials,
    stacked_tier,
    support_stock_of,
)
from tierwright.support.tables import crumb_classes, filling_classes, finish_limits
from tierwright.words import CoatStyle, Finish, FormulaKind
from tierwright.working import Estimate


def test_every_support_and_board_of_the_larder_has_a_strength() -> None:
    for support in supports().values():
        stock = support_stock_of(support)
        assert stock.material in materials()
        assert stock.outer_mm == support.outer_mm
        assert stock.outer_mm - 2 * stock.wall_mm == pytest.approx(support.inner_mm) or not support.inner_mm
    for board in boards().values():
        assert materials()[board_stock_of(board).material]


def test_every_kind_of_formula_has_a_class() -> None:
    for kind in FormulaKind:
        if kind.is_batter:
            assert crumb_of(kind) in crumb_classes()
            with pytest.raises(MissingData):
                filling_of(kind)
        else:
            assert filling_of(kind) in filling_classes()
            with pytest.raises(MissingData):
                crumb_of(kind)
        for style in CoatStyle:
            assert finish_of(style, kind) in finish_limits()
    assert finish_of(CoatStyle.FULL, FormulaKind.ROYAL_ICING) == "brittle"
    assert finish_of(CoatStyle.NAKED, None) == "bare"


def mass(part: Part, formula: str, grams: float, thickness: float = 0.0) -> PartMass:
    exact = Estimate.exact
    return PartMass(
        part=part, formula=formula, on_cake_g=exact(grams), to_make_g=exact(grams), volume_ml=exact(grams),
        thickness_mm=exact(thickness),
    )  # fmt: skip


def test_coated_tier_keeps_its_masses_and_heights() -> None:
    outline = Outline.round(200.0)

    def band(part: Part, formula: str, bottom: float, top: float) -> Band:
        return Band(material=part.value, formula=formula, bottom_mm=bottom, top_mm=top, outline=outline)

    coated = CoatedTier(
        number=2,
        style=CoatStyle.FULL,
        finish=Finish.SMOOTH,
        side_mm2=1.0,
        top_mm2=1.0,
        edge_mm=1.0,
        parts=(
            mass(Part.SPONGE, "vanilla", 1200.0),
            mass(Part.FILLING, "curd", 150.0, 6.0),
            mass(Part.DAM, "swiss", 60.0, 10.0),
            mass(Part.COAT, "swiss", 400.0, 5.0),
            mass(Part.BOARD, "", 60.0),
        ),
        bands=(
            band(Part.SPONGE, "vanilla", 3.0, 50.0),
            band(Part.FILLING, "curd", 50.0, 56.0),
            band(Part.SPONGE, "vanilla", 56.0, 103.0),
        ),
        sheets=(),
        board="card",
        board_mm=3.0,
        finished_outline=outline,
        finished_height_mm=108.0,
        mass_g=Estimate.exact(1870.0),
        carries_at_mm=103.0,
    )
    kinds = {
        "vanilla": FormulaKind.CREAMED,
        "curd": FormulaKind.CURD,
        "swiss": FormulaKind.SWISS_BUTTERCREAM,
    }
    found = stacked_tier(
        coated, name="top", crumb=crumb_of(kinds["vanilla"]), kinds=kinds, board=board_stocks()["card-3"]
    )
    # The board is weighed by itself.
    assert sum(part.mass_g.value for part in found.parts) == 1810.0
    sponge = next(part for part in found.parts if part.name.startswith("sponge"))
    assert (sponge.bottom_mm, sponge.top_mm) == (3.0, 103.0)
    assert len(found.fillings) == 1
    layer = found.fillings[0]
    assert (layer.filling, layer.at_mm, layer.dam, layer.dam_mm) == ("soft", 53.0, "buttercream", 10.0)
    assert found.finish == "soft"
    assert found.seat_mm == 103.0
