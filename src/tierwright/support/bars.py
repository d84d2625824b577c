"""What stands upright in the stack, for the section drawing: supports and rod with their true heights."""

from __future__ import annotations

from dataclasses import dataclass

from tierwright.support.model import Anchor, Ask, Support
from tierwright.support.tables import board_stocks


@dataclass(frozen=True, slots=True, kw_only=True)
class UprightBar:
    """
    A support or rod in the section.

    Attributes
    ----------
    x_mm
        Its middle, from the middle of the bottom tier, to the right. [mm]
    bottom_mm, top_mm
        Its ends above the underside of the base board. [mm]
    width_mm
        Its thickness. [mm]
    label
        What it is.
    tier
        The tier that it stands in; 0 for the rod.
    """

    x_mm: float
    bottom_mm: float
    top_mm: float
    width_mm: float
    label: str
    tier: int


def upright_bars(ask: Ask, found: Support) -> tuple[UprightBar, ...]:
    """
    Return every support, and the rod, where the section shows it.

    Parameters
    ----------
    ask, found
        What was asked, and the answer to it.

    Returns
    -------
    bars
        Bottom tier first; each support projected onto the section's plane, so that those in front and behind show too.
        The rod runs from the top of the base board through all tiers but a tenth of the highest.
    """
    bars: list[UprightBar] = []
    middle = 0.0
    for i, tier in enumerate(ask.tiers):
        middle += tier.offset_mm[0] if i else 0.0
        level = next((one for one in found.levels if one.tier == tier.number), None)
        if level is None or not level.count:
            continue
        own = tier.board
        if own is None:
            carried = next((one for one in found.levels if one.carries == tier.number), None)
            known = {**board_stocks(), **{board.key: board for board in ask.means.boards}}
            own = known.get(carried.board.board) if carried else None
        foot = found.loads[i].bottom_mm + (own.thickness_mm if own else 0.0)
        bars += [
            UprightBar(
                x_mm=middle + x,
                bottom_mm=foot,
                top_mm=foot + level.cut_mm,
                width_mm=level.stock.outer_mm,
                label=level.stock.name,
                tier=tier.number,
            )
            for x, _ in level.positions
        ]
    rod = ask.means.rod
    if rod is not None and rod.anchor is not Anchor.NONE:
        last = found.loads[-1]
        bars.append(
            UprightBar(
                x_mm=0.0,
                bottom_mm=ask.base.board.thickness_mm,
                top_mm=last.bottom_mm + 0.9 * ask.tiers[-1].height_mm,
                width_mm=rod.stock.outer_mm,
                label=f"centre rod: {rod.stock.name}",
                tier=0,
            )
        )
    return tuple(bars)
