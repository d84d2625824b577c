"""From coated tiers to the surfaces that are decorated."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from tierwright.coating import CoatedTier, CoatStyle, Part, kind_for
from tierwright.errors import OutOfRange, require_range
from tierwright.finish.model import Rim, Surface
from tierwright.finish.unrolling import NARROWEST
from tierwright.larder import Board
from tierwright.shapes import Outline
from tierwright.sizing import Tier
from tierwright.words import FormulaKind

COAT_COLOURS: Final = {
    "cream_cheese": "#f6efdc",
    "curd": "#f2d35b",
    "dark_ganache": "#3a2418",
    "marzipan": "#efe0b9",
    "milk_ganache": "#7a5238",
    "plant_buttercream": "#f3ead6",
    "powdered_buttercream": "#f6ecd0",
    "rolled_fondant": "#fbfaf5",
    "royal_icing": "#fcfbf8",
    "swiss_buttercream": "#f5ecd2",
    "whipped_cream": "#fbf7ea",
    "white_ganache": "#f1e4c4",
}
"""Colour of a coat without added colour, by its kind, for drawing only. From memory."""
BUTTER: Final = "#f5ecd2"
CRUMB: Final = "#c99a5b"
OUTER: Final = (Part.ROLLED, Part.MARZIPAN, Part.COAT, Part.CRUMB_COAT)


def natural_colour(kind: FormulaKind | None) -> str:
    """Return the colour of a coat without added colour, ``#rrggbb``; that of butter where the kind is not known."""
    return BUTTER if kind is None or kind.is_batter else COAT_COLOURS.get(kind_for(kind).key, BUTTER)


def surfaces_of(
    tiers: Sequence[Tier],
    coated: Sequence[CoatedTier],
    *,
    base: Outline | None,
    boards: Sequence[Board | None] = (),
    top_widths_mm: Mapping[int, float] | None = None,
    kinds: Mapping[str, FormulaKind] | None = None,
    colours: Mapping[int, str] | None = None,
) -> tuple[Surface, ...]:
    """
    Return the surface of every tier as it stands in the stack.

    Parameters
    ----------
    tiers, coated
        Bottom first, as sized and as coated.
    base
        Outline of the board under everything; None where there is none.
    boards
        Board under each tier, as far as there is one.
    top_widths_mm
        Width of the bare cake at its top, for tiers that are carved narrower. [mm]
    kinds
        Kind of each formula by its key, for its natural colour.
    colours
        Colour wanted, ``#rrggbb``, by tier.

    Raises
    ------
    OutOfRange
        A carved tier wider at its top than at its foot, or less than a fifth as wide.
    """
    wanted, kinds, colours = top_widths_mm or {}, kinds or {}, colours or {}
    rims = [Rim(outline=tier.outline, by_mm=_side_mm(tier, coat)) for tier, coat in zip(tiers, coated, strict=True)]
    scales = [_scale(tier, rim, wanted.get(tier.number)) for tier, rim in zip(tiers, rims, strict=True)]
    surfaces: list[Surface] = []
    level, hidden = 0.0, 0.0
    for i, (tier, coat) in enumerate(zip(tiers, coated, strict=True)):
        outer = next((part for wish in OUTER for part in coat.parts if part.part is wish and part.formula), None)
        above = rims[i + 1] if i + 1 < len(rims) else None
        board = boards[i + 1] if above is not None and i + 1 < len(boards) else None
        if above is not None and board is not None and board.outline.area_mm2 > above.path.area_mm2:
            above = Rim(outline=board.outline)
        natural = CRUMB if outer is None or coat.style is CoatStyle.NAKED else natural_colour(kinds.get(outer.formula))
        below = Rim(outline=rims[i - 1].outline, by_mm=rims[i - 1].by_mm, scale=scales[i - 1]) if i else None
        surfaces.append(
            Surface(
                tier=tier.number,
                name=tier.name,
                foot=rims[i],
                top_scale=scales[i],
                # A tier that stands in a gap of the coat below shows from that coat upward.
                foot_mm=max(hidden, level + coat.finished_height_mm - coat.side_mm2 / coat.edge_mm),
                top_mm=level + coat.finished_height_mm,
                ground=below if i else None if base is None else Rim(outline=base),
                above=above,
                coat="" if outer is None else outer.formula,
                colour=colours.get(tier.number, natural),
            )
        )
        hidden = level + coat.finished_height_mm
        level += coat.carries_at_mm
    return tuple(surfaces)


def _side_mm(tier: Tier, coat: CoatedTier) -> float:
    return max(0.0, (coat.finished_outline.width_mm - tier.outline.width_mm) / 2)


def _scale(tier: Tier, rim: Rim, top_width_mm: float | None) -> float:
    if top_width_mm is None:
        return 1.0
    place = f"the {tier.name} tier, carved"
    require_range(
        "width at the top", top_width_mm, NARROWEST * tier.outline.width_mm, tier.outline.width_mm, "mm", place
    )
    scale = (top_width_mm + 2 * rim.by_mm) / (tier.outline.width_mm + 2 * rim.by_mm)
    if scale < NARROWEST:
        raise OutOfRange("width at the top over that at the foot", scale, NARROWEST, 1.0, "", place)
    return scale
