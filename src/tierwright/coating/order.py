"""What is ordered for each tier: the cake and everything that goes into and onto it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tierwright.coating.model import CoatStyle, Finish
from tierwright.shapes import Outline
from tierwright.sizing.model import KitchenCake, Tier, TierKind
from tierwright.working import Estimate


class Laying(StrEnum):
    """How a rolled coat is laid."""

    COVER = "cover"  # one sheet over top and side
    WRAP = "disc and wrap"  # a disc on top, a strip round the side


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """
    Something spread, piped, poured or rolled.

    Attributes
    ----------
    kind
        Key of its kind in the room's table, such as ``swiss_buttercream``.
    formula
        Key of the formula or bought ingredient that it is; empty if nobody has said.
    measured_g_per_ml
        Density that the maker weighed, or None. [g/ml], 0.1 to 2
    """

    kind: str
    formula: str = ""
    measured_g_per_ml: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TierToCoat:
    """
    A tier (or kitchen cake) and how it is to be filled and coated.

    Attributes
    ----------
    cake
        The tier from sizing, or a kitchen cake.
    style, finish, laying
        How it is finished outside; the laying only matters for a rolled coat.
    sponge_formula
        Key of the batter's formula.
    sponge_g_per_ml, sponge_g
        Density of the baked crumb, or the mass of all levelled layers where that is known; one of them for a cake,
        neither for a dummy. [g/ml], [g]
    filling, coat
        What goes between layers, and what goes outside; None for none.
    undercoat
        What goes under a rolled coat; elsewhere the crumb coat is of the coat itself.
    marzipan
        A sheet of it under a rolled or royal coat, or None.
    soak
        Syrup brushed on the cut sides, or None.
    filling_mm, coat_mm, top_coat_mm, rolled_mm, marzipan_mm
        Depths and thicknesses that replace the usual ones; ``coat_mm`` is all that is spread on the side, its crumb
        coat included, and goes for the top too unless ``top_coat_mm`` is given. [mm]
    dam
        Whether a dam is piped; None to pipe one where the kind of filling needs it.
    dam_mm
        Its width. [mm]
    soak_ml_per_cm2
        Syrup on one cut side. [ml/cm2]
    shoulder_mm
        Radius to which the top edge is rounded. [mm]
    coat_under
        Whether the coat runs on under the next tier; a rolled coat always does.
    supported
        Whether supports carry the tiers above, so that they do not rest on this cake.
    board, board_mm, board_outline, board_g
        The board under it: key, thickness, outline (the cake's own if None) and mass (reckoned if None). [mm], [g]
    """

    cake: Tier | KitchenCake
    style: CoatStyle
    finish: Finish = Finish.SMOOTH
    laying: Laying = Laying.COVER
    sponge_formula: str = ""
    sponge_g_per_ml: Estimate | None = None
    sponge_g: Estimate | None = None
    filling: Spread | None = None
    coat: Spread | None = None
    undercoat: Spread | None = None
    marzipan: Spread | None = None
    soak: Spread | None = None
    filling_mm: float | None = None
    coat_mm: Estimate | None = None
    top_coat_mm: Estimate | None = None
    rolled_mm: Estimate | None = None
    marzipan_mm: Estimate | None = None
    dam: bool | None = None
    dam_mm: Estimate | None = None
    soak_ml_per_cm2: Estimate | None = None
    shoulder_mm: float = 0.0
    coat_under: bool = False
    supported: bool = True
    board: str = ""
    board_mm: float = 3.0
    board_outline: Outline | None = None
    board_g: Estimate | None = None

    @property
    def number(self) -> int:
        """Tier number from the bottom; 0 for a kitchen cake."""
        return self.cake.number if isinstance(self.cake, Tier) else 0

    @property
    def is_dummy(self) -> bool:
        """Whether it is foam: it takes a coat and nothing inside."""
        return isinstance(self.cake, Tier) and self.cake.kind is TierKind.DUMMY

    @property
    def depth_mm(self) -> float:
        """Depth of each filling. [mm]"""
        return self.cake.filling_mm if self.filling_mm is None else self.filling_mm

    @property
    def gaps(self) -> int:
        """Number of fillings: one between each two layers, none in a dummy."""
        return 0 if self.is_dummy or self.filling is None else max(0, self.cake.layers - 1)

    @property
    def bare_height_mm(self) -> float:
        """Height of layers and fillings together, or of the foam. [mm]"""
        if self.is_dummy:
            return self.cake.height_mm
        return self.cake.layers * self.cake.layer_height_mm + self.gaps * self.depth_mm
