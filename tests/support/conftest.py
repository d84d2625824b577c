"""A small cast: cakes of three and five tiers, of one density, on a base board."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from tierwright.shapes import Outline, Shape
from tierwright.support import (
    Ask,
    BaseBoard,
    FillingLayer,
    MassPart,
    Means,
    Road,
    StackedTier,
    board_stocks,
    support_stocks,
)
from tierwright.support.stack import PieceCase
from tierwright.working import Estimate

NAMES = ("bottom tier", "second tier", "third tier", "fourth tier", "fifth tier")
DENSITY = 0.55e-3  # g/mm3


def make_tier(
    number: int, size_mm: float, *, height_mm: float = 125.0, shape: Shape = Shape.ROUND, crumb: str = "butter"
) -> StackedTier:
    outline = Outline(shape=shape, width_mm=size_mm, length_mm=0.7 * size_mm if shape is Shape.RECTANGLE else 0.0)
    board = board_stocks()["hardboard-3"]
    grams = outline.area_mm2 * (height_mm - 3.0) * DENSITY
    return StackedTier(
        number=number,
        name=NAMES[number - 1],
        outline=outline,
        board_outline=outline.grown(-5.0),
        board=board,
        height_mm=height_mm,
        crumb=crumb,
        finish="soft",
        parts=(MassPart(name="cake", mass_g=Estimate.within(grams, 0.1), bottom_mm=3.0, top_mm=height_mm),),
        fillings=(FillingLayer(filling="buttercream", at_mm=60.0),),
    )


def make_ask(*sizes: float, shape: Shape = Shape.ROUND, crumb: str = "butter", trials: int = 0) -> Ask:
    tiers = tuple(make_tier(i, size, shape=shape, crumb=crumb) for i, size in enumerate(sizes, start=1))
    base = Outline(
        shape=shape, width_mm=sizes[0] + 75.0, length_mm=0.7 * sizes[0] + 75.0 if tiers[0].outline.length_mm else 0.0
    )
    return Ask(
        tiers=tiers,
        base=BaseBoard(board=board_stocks()["plywood-9"], outline=base),
        means=Means(
            supports=(support_stocks()["wood-6"], support_stocks()["tube-12"]),
            boards=tuple(board_stocks()[key] for key in ("card-4", "hardboard-3", "hardboard-6", "plywood-6")),
        ),
        road=Road(minutes=45.0, surface="smooth", grade=0.04),
        trials=trials,
    )


@pytest.fixture
def three() -> Ask:
    return make_ask(250.0, 200.0, 150.0)


@pytest.fixture
def held(three: Ask) -> Ask:
    """Three tiers carried with every care: boxed, wedged, stuck down and cold."""
    from tierwright.support import Temper

    means = replace(three.means, box=True, wedged=True, mat=True, bond="chocolate", temper=Temper.CHILLED)
    return replace(three, means=means, road=replace(three.road, wish_stacked=True))


@pytest.fixture
def cake() -> Callable[..., Ask]:
    return make_ask


def one_block(**change: object) -> PieceCase:
    """A single block 4 kg, balance 80 mm up, standing on a 100 mm half base, friction 0.4."""

    def column(value: float) -> np.ndarray:
        return np.array([[value]])

    case = PieceCase(
        numbers=(1,),
        mass_kg=column(4.0),
        balance_mm=column(80.0),
        bottom_mm=column(0.0),
        tall_mm=column(160.0),
        ahead_mm=column(0.0),
        aside_mm=column(0.0),
        seat_ahead_mm=column(0.0),
        seat_aside_mm=column(0.0),
        arm_mm=column(100.0),
        friction=column(0.4),
        bond_n=column(0.0),
        filling_n=column(np.inf),
        peg_n=column(0.0),
        crumb_mpa=column(0.003),
        rim_mm=column(100.0),
        bond_mpa=column(0.0),
        base_kg=0.0,
        wedged=False,
        rod=None,
    )
    return replace(case, **change)  # type: ignore[arg-type]


@pytest.fixture
def block() -> Callable[..., PieceCase]:
    return one_block
