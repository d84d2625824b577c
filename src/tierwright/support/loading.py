"""The loading plan: what goes into the vehicle in which order, where it stands, and how it is kept there."""

from __future__ import annotations

from typing import Final

from tierwright.support.model import Lift, LoadingStep, Means, Piece

BOX_MARGIN_MM: Final = 20.0
"""Room that a box adds all round its board. [mm]"""


def plan_loading(pieces: tuple[Piece, ...], lifts: tuple[Lift, ...], means: Means) -> tuple[LoadingStep, ...]:
    """
    Plan the loading of a vehicle's flat floor.

    Parameters
    ----------
    pieces
        How the cake is carried.
    lifts
        How each piece is lifted, in the same order.
    means
        Box, mat and wedges.

    Returns
    -------
    steps
        Heaviest first and farthest forward, where braking moves it least; lightest last and first out. Nothing stands
        on anything.
    """
    margin = 2 * BOX_MARGIN_MM if means.box else 0.0
    order = sorted(range(len(pieces)), key=lambda i: -pieces[i].mass_g.value)
    found = []
    for step, i in enumerate(order, start=1):
        piece = pieces[i]
        if step == 1:
            where = "on the flat floor, close behind the seats"
        elif step == len(order):
            where = "on the flat floor, nearest the door: first out"
        else:
            where = "on the flat floor, behind the one before"
        keeps = []
        if means.mat:
            keeps.append("a non-slip mat under it, wider than its base")
        if means.box:
            keeps.append("in a box that fits its board, closed")
        keeps.append("wedged on all sides" if means.wedged else "room round it filled so that it cannot move")
        found.append(
            LoadingStep(
                order=step,
                tiers=piece.tiers,
                footprint_mm=piece.width_mm + margin,
                height_mm=piece.height_mm + (BOX_MARGIN_MM if means.box else 0.0),
                mass_g=piece.mass_g.value,
                people=lifts[i].people,
                where=where,
                how="; ".join(keeps),
            )
        )
    return tuple(found)
