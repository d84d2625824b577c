"""The loading list: which box holds what, how large it must be, who lifts it, and which goes in first."""

from __future__ import annotations

from math import ceil
from typing import Final

from tierwright.handover.model import Box, PieceToLoad

STEP_MM: Final = 10.0


def load(pieces: tuple[PieceToLoad, ...], extra: tuple[PieceToLoad, ...], kit: PieceToLoad | None) -> tuple[Box, ...]:
    """
    Return every box in the order of loading.

    Parameters
    ----------
    pieces
        Pieces of the cake in their order: the heaviest goes in first and farthest forward.
    extra
        Further cakes, loaded after them, the heaviest first.
    kit
        The repair kit, last in so that it is first at hand.

    Returns
    -------
    boxes
        With the least inside of each box, rounded up to whole centimetres.
    """
    rest = sorted(extra, key=lambda piece: -piece.mass_kg)
    wanted = (*pieces, *rest, *(() if kit is None else (kit,)))
    return tuple(
        Box(
            order=order,
            piece=piece,
            inside_mm=_up(piece.footprint_mm),
            inside_height_mm=_up(piece.height_mm),
        )
        for order, piece in enumerate(wanted, start=1)
    )


def _up(mm: float) -> float:
    # A hair less than a whole step is that step: sums of board and margin carry rounding.
    return STEP_MM * ceil(mm / STEP_MM - 1e-9)
