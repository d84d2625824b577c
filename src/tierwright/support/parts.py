"""What is in the cake that nobody may eat: counted by tier, for counting in and out."""

from __future__ import annotations

from tierwright.support.model import Anchor, BaseBoard, Inedible, Level, Means, StackedTier


def list_inedibles(
    tiers: tuple[StackedTier, ...],
    levels: tuple[Level, ...],
    base: BaseBoard,
    means: Means,
    picks: tuple[tuple[int, str, int], ...] = (),
) -> tuple[Inedible, ...]:
    """
    List everything inedible by tier, the base first.

    Parameters
    ----------
    tiers, levels
        Bottom first.
    base, means
        The base board, and what the maker has.
    picks
        Picks, wires and the like from the flowers: tier number, what, how many.

    Returns
    -------
    inedibles
        Base board, rod, each tier's board, its supports, and its picks; zero counts left out.
    """
    found = [
        Inedible(tier=0, what=base.board.name, count=1, where="under the whole cake", reusable=False),
    ]
    if means.rod is not None and means.rod.anchor is not Anchor.NONE:
        held = "screwed into the base" if means.rod.anchor is Anchor.ANCHORED else "loose in the base"
        found.append(
            Inedible(
                tier=0,
                what=f"centre rod: {means.rod.stock.name}",
                count=1,
                where=f"through the middle of every tier, {held}",
                reusable=means.rod.stock.reusable,
            )
        )
    by_tier = {level.tier: level for level in levels}
    carried = {level.carries: level for level in levels}
    for tier in tiers:
        name = tier.board.name if tier.board else ""
        if not name and tier.number in carried:
            name = carried[tier.number].board.board
        if name:
            found.append(
                Inedible(tier=tier.number, what=f"board: {name}", count=1, where="under the tier", reusable=False)
            )
        level = by_tier.get(tier.number)
        if level is not None and level.count:
            found.append(
                Inedible(
                    tier=tier.number,
                    what=level.stock.name,
                    count=level.count,
                    where=f"upright, {level.ring_mm:.0f} mm from the middle, {level.cut_mm:.0f} mm long",
                    reusable=level.stock.reusable,
                )
            )
        found += [
            Inedible(tier=tier.number, what=what, count=count, where="top and side", reusable=False)
            for number, what, count in picks
            if number == tier.number and count > 0
        ]
    return tuple(found)


def count_by_tier(inedibles: tuple[Inedible, ...]) -> dict[int, int]:
    """Return how many inedible things each tier holds; 0 stands for the base."""
    totals: dict[int, int] = {}
    for thing in inedibles:
        totals[thing.tier] = totals.get(thing.tier, 0) + thing.count
    return totals
