"""The shapes that coating takes and gives."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tierwright.shapes import Outline
from tierwright.words import CoatStyle as CoatStyle
from tierwright.words import Finish as Finish
from tierwright.working import Estimate, Notes


class Part(StrEnum):
    """What a mass on a tier is for."""

    SPONGE = "sponge"
    FOAM = "foam"  # a dummy tier
    FILLING = "filling"
    DAM = "dam"
    SOAK = "soak"
    CRUMB_COAT = "crumb coat"
    COAT = "coat"
    ROLLED = "rolled coat"
    MARZIPAN = "marzipan"
    BOARD = "board"
    PIPING = "piping"
    STRIPES = "stripes"
    BAND = "band"
    DRIP = "drip"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartMass:
    """
    One material on one tier.

    Attributes
    ----------
    part
        What it is for.
    formula
        Key of the formula or ingredient that it is made of; empty for a board.
    on_cake_g
        What ends up on the cake. [g]
    to_make_g
        What has to be made so that this much ends there: with bowl, bag, scrape-back and trim loss. [g]
    volume_ml
        Volume on the cake. [ml]
    thickness_mm
        Mean thickness or depth. [mm]
    """

    part: Part
    formula: str
    on_cake_g: Estimate
    to_make_g: Estimate
    volume_ml: Estimate
    thickness_mm: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """One horizontal band of a tier from its board up, for the section drawing and for heat: material and heights."""

    material: str  # a Part value
    formula: str
    bottom_mm: float
    top_mm: float
    outline: Outline


@dataclass(frozen=True, slots=True, kw_only=True)
class RolledSheet:
    """A sheet to roll: its measures, the mass to roll out, what comes off as trim, what can be kneaded back."""

    use: str  # "disc" for the top, "wrap" for the side, "cover" for one sheet over all
    width_mm: float
    length_mm: float
    thickness_mm: float
    roll_out_g: Estimate
    trim_g: Estimate
    knead_back_g: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class CoatedTier:
    """
    A tier (or kitchen cake) with everything on it.

    Attributes
    ----------
    number
        Tier number, 1 at the bottom; 0 for a kitchen cake.
    style, finish
        How it is finished.
    side_mm2, top_mm2, edge_mm
        Side area, top area that shows (less what stands on it), length of its top edge.
    parts
        Every material with its masses.
    bands
        Bottom to top, for drawing and heat.
    sheets
        Rolled sheets, where there are any.
    board
        Key of the board under it.
    board_mm
        Its thickness. [mm]
    finished_outline, finished_height_mm
        Outside measures, coat and board included. [mm]
    mass_g
        Everything that rests on what is below: cake, fillings, coats, board. [g]
    carries_at_mm
        Height at which the next tier stands: below the top coat where that is left off under the next tier. [mm]
    """

    number: int
    style: CoatStyle
    finish: Finish
    side_mm2: float
    top_mm2: float
    edge_mm: float
    parts: tuple[PartMass, ...]
    bands: tuple[Band, ...]
    sheets: tuple[RolledSheet, ...]
    board: str
    board_mm: float
    finished_outline: Outline
    finished_height_mm: float
    mass_g: Estimate
    carries_at_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """How much of one formula the whole commission needs, losses included. [g]"""

    formula: str
    part: Part
    grams: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Coating:
    """What coating answers: each coated tier (bottom first), kitchen cakes, the needs by formula, and its notes."""

    tiers: tuple[CoatedTier, ...]
    kitchen_cakes: tuple[CoatedTier, ...]
    needs: tuple[Need, ...]
    base_board: str
    notes: Notes
