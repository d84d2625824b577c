"""What each tier weighs, where its weight lies, and what it has to carry."""

from __future__ import annotations

from tierwright.errors import MissingData, require_range
from tierwright.support.model import BaseBoard, StackedTier, TierLoad
from tierwright.support.tables import BoardStock, find_material
from tierwright.units import STANDARD_GRAVITY
from tierwright.working import NOTHING, Estimate

GRAMS_TO_NEWTONS = STANDARD_GRAVITY / 1000


def board_mass_g(board: BoardStock, area_mm2: float) -> Estimate:
    """Mass of a board: area, thickness and density, give or take a tenth. [mm2, g]"""
    density = find_material(board.material).density_kg_m3
    return Estimate.within(area_mm2 * board.thickness_mm * density * 1e-6, 0.1)


def tier_loads(tiers: tuple[StackedTier, ...], base: BaseBoard) -> tuple[TierLoad, ...]:
    """
    Mass and centre of gravity of each tier, and what stands on it.

    Parameters
    ----------
    tiers
        Bottom first, numbered 1 upwards.
    base
        The board under everything.

    Returns
    -------
    loads
        One a tier, bottom first. The ranges add, as if every mass missed the same way: the cautious sum.

    Raises
    ------
    MissingData
        No tiers, or a tier without any mass.
    OutOfRange
        A height outside 20 to 500 mm.
    """
    if not tiers:
        raise MissingData("at least one tier", "the loads")
    found: list[TierLoad] = []
    masses = [_tier_mass(tier) for tier in tiers]
    bottom = base.board.thickness_mm
    for i, tier in enumerate(tiers):
        require_range("finished height", tier.height_mm, 20.0, 500.0, "mm", f"tier {tier.number}")
        above = NOTHING
        for mass in masses[i + 1 :]:
            above = above + mass
        found.append(
            TierLoad(tier=tier.number, mass_g=masses[i], cg_mm=_balance(tier), bottom_mm=bottom, above_g=above)
        )
        bottom += tier.seat_mm
    return tuple(found)


def _board(tier: StackedTier) -> Estimate:
    return board_mass_g(tier.board, tier.board_outline.area_mm2) if tier.board else NOTHING


def _tier_mass(tier: StackedTier) -> Estimate:
    total = _board(tier) + tier.decoration_g
    for part in tier.parts:
        total = total + part.mass_g
    if total.value <= 0:
        raise MissingData(f"the masses of tier {tier.number}", "the loads")
    return total


def _balance(tier: StackedTier) -> Estimate:
    """Height of the centre of gravity, with its range: heavy top with light bottom, and the other way round."""
    pieces = [(part.mass_g, (part.bottom_mm + part.top_mm) / 2) for part in tier.parts]
    if tier.board:
        pieces.append((_board(tier), tier.board.thickness_mm / 2))
    if tier.decoration_g.value > 0:
        pieces.append((tier.decoration_g, tier.height_mm))
    middle = sum(mass.value * height for mass, height in pieces) / sum(mass.value for mass, _ in pieces)
    high = [(mass.high if height > middle else mass.low, height) for mass, height in pieces]
    low = [(mass.low if height > middle else mass.high, height) for mass, height in pieces]

    def mean(weighed: list[tuple[float, float]]) -> float:
        total = sum(mass for mass, _ in weighed)
        return sum(mass * height for mass, height in weighed) / total if total > 0 else middle

    return Estimate(value=middle, low=min(middle, mean(low)), high=max(middle, mean(high)))


def stack_balance_mm(loads: tuple[TierLoad, ...]) -> float:
    """Height of the whole stack's centre of gravity above the underside of the base board. [mm]"""
    total = sum(load.mass_g.value for load in loads)
    return sum(load.mass_g.value * (load.bottom_mm + load.cg_mm.value) for load in loads) / total


def base_mass_g(base: BaseBoard) -> Estimate:
    """Mass of the base board. [g]"""
    return board_mass_g(base.board, base.outline.area_mm2)
