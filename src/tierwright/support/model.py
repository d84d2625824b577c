"""The shapes that support takes and gives."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tierwright.shapes import Outline, Point
from tierwright.support.tables import BoardStock, SupportStock
from tierwright.working import NOTHING, Estimate, Notes


class Temper(StrEnum):
    """How cold the cake is when it is carried."""

    CHILLED = "chilled"
    ROOM = "room"
    WARM = "warm"


class Anchor(StrEnum):
    """How a centre rod is held at its foot."""

    NONE = "no rod"
    LOOSE = "pushed through, not held in the base"
    ANCHORED = "screwed or glued into the base"


class Answer(StrEnum):
    """How the cake goes to the venue."""

    STACKED = "carry it stacked"
    PART = "carry it stacked in part"
    ON_SITE = "stack it on site"


@dataclass(frozen=True, slots=True, kw_only=True)
class MassPart:
    """
    One material of a tier and where it lies.

    Attributes
    ----------
    name
        What it is, in words.
    mass_g
        Its mass. [g]
    bottom_mm, top_mm
        Between which heights above the underside of the tier's board it lies. [mm]
    """

    name: str
    mass_g: Estimate
    bottom_mm: float
    top_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FillingLayer:
    """
    A filling inside a tier.

    Attributes
    ----------
    filling
        Its class in this room's table.
    at_mm
        Its height over the underside of the tier's board. [mm]
    dam
        Class of the ring piped round it; empty without one.
    dam_mm
        Width of that ring. [mm]
    """

    filling: str
    at_mm: float
    dam: str = ""
    dam_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class StackedTier:
    """
    A finished tier as it stands in the stack.

    Attributes
    ----------
    number, name
        1 at the bottom, counting up; its name in words.
    outline
        Finished outline, coat included. [mm]
    board
        The board under it, or None for the maker's choice.
    board_outline
        Outline of that board; usually the finished outline or a little less. [mm]
    height_mm
        Finished height, board and coat included. [mm], 20 to 500
    parts
        Its materials with their masses, board left out.
    crumb
        Class of its crumb in this room's table.
    finish
        ``brittle``, ``rolled``, ``soft`` or ``bare``: what a sag would crack.
    fillings
        Its fillings, bottom first.
    decoration_g
        Mass of what stands on its top or side. [g]
    offset_mm
        Where its middle lies from the middle of the tier below. [mm]
    settled
        Whether it has stood filled for some hours before it is measured.
    carries_at_mm
        Height at which the next tier stands, where the coat is left off under it; 0 for the finished height. [mm]
    """

    number: int
    name: str
    outline: Outline
    board_outline: Outline
    height_mm: float
    parts: tuple[MassPart, ...]
    crumb: str
    finish: str
    board: BoardStock | None = None
    fillings: tuple[FillingLayer, ...] = ()
    decoration_g: Estimate = NOTHING
    offset_mm: Point = (0.0, 0.0)
    settled: bool = False
    carries_at_mm: float = 0.0

    @property
    def seat_mm(self) -> float:
        """Height at which the next tier stands. [mm]"""
        return self.carries_at_mm or self.height_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class BaseBoard:
    """The board under everything: what it is and its outline. [mm]"""

    board: BoardStock
    outline: Outline


@dataclass(frozen=True, slots=True, kw_only=True)
class HandLayout:
    """Supports set by hand in one tier: tier number, the stock's key, and positions from the tier's middle. [mm]"""

    tier: int
    stock: str
    positions: tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rod:
    """A centre rod: its stock, how it is held, and whether boards are bored for it."""

    stock: SupportStock
    anchor: Anchor


@dataclass(frozen=True, slots=True, kw_only=True)
class Means:
    """
    What the maker has and does.

    Attributes
    ----------
    supports, boards
        What is owned, in the maker's order of liking.
    layouts
        Supports that were set by hand.
    rod
        The centre rod, or None.
    bond
        What sticks each board down: a key of this room's bonds.
    temper
        How cold the cake is when it leaves.
    box
        Whether each piece stands in a box that fits its board.
    mat
        Whether a non-slip mat lies under it.
    wedged
        Whether the box or base is wedged so that it cannot slide.
    damp
        Whether the boards get damp (cut edges under wet cake, a fridge).
    cutting_error_mm
        Usual difference between supports that should be equal (standard deviation). [mm], 0 to 5
    placement_error_mm
        Usual error in setting a tier down (standard deviation). [mm], 0 to 20
    """

    supports: tuple[SupportStock, ...]
    boards: tuple[BoardStock, ...] = ()
    layouts: tuple[HandLayout, ...] = ()
    rod: Rod | None = None
    bond: str = "none"
    temper: Temper = Temper.ROOM
    box: bool = False
    mat: bool = False
    wedged: bool = False
    damp: bool = False
    cutting_error_mm: float = 0.5
    placement_error_mm: float = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Road:
    """
    The way to the venue.

    Attributes
    ----------
    minutes
        Driving time. [min], 0 to 2880
    surface
        Worst surface: ``smooth``, ``patched``, ``gravel`` or ``track``.
    grade
        Steepest grade, rise over run. [-], 0 to 0.4
    drive
        The case that must be stood: a key of this room's drives.
    wish_stacked
        True, False, or None where the maker has no wish.
    from_m, to_m
        Altitude of kitchen and venue (or of the highest pass, if higher). [m]
    cold_c, warm_c
        Temperature of the cake when it is covered, and the warmest it gets. [degC]
    sealed
        Whether a rolled coat closes it all round.
    stairs
        Steps to climb at the venue.
    """

    minutes: float
    surface: str = "smooth"
    grade: float = 0.0
    drive: str = "hard"
    wish_stacked: bool | None = None
    from_m: float = 0.0
    to_m: float = 0.0
    cold_c: float = 20.0
    warm_c: float = 20.0
    sealed: bool = False
    stairs: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """
    All that support is asked.

    Attributes
    ----------
    tiers
        Bottom first.
    base
        The board under everything.
    means, road
        What the maker has, and the way.
    picks
        Picks, wires and the like that others put in: tier number, what, how many.
    trials
        Trials of the uncertainty run; 0 leaves it out. 0 to 1,000,000
    seed
        Seed of its random numbers; the same seed gives the same answer.
    """

    tiers: tuple[StackedTier, ...]
    base: BaseBoard
    means: Means
    road: Road
    picks: tuple[tuple[int, str, int], ...] = ()
    trials: int = 20_000
    seed: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """
    One thing that could fail.

    Attributes
    ----------
    key
        Dotted name that is the same on every run.
    label
        What it is, in words.
    demand, capacity, unit
        What is asked of it and what it stands, factors included.
    utilisation
        Demand over capacity; it passes up to 1.
    """

    key: str
    label: str
    demand: float
    capacity: float
    unit: str
    utilisation: float

    @property
    def passes(self) -> bool:
        """Whether it holds."""
        return self.utilisation <= 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TierLoad:
    """
    Mass and balance of one tier and of all that stands on it.

    Attributes
    ----------
    tier
        Tier number.
    mass_g
        The tier with its board and decoration. [g]
    cg_mm
        Its centre of gravity above the underside of its own board. [mm]
    bottom_mm
        Height of that underside above the underside of the base board. [mm]
    above_g
        Everything that stands on this tier. [g]
    """

    tier: int
    mass_g: Estimate
    cg_mm: Estimate
    bottom_mm: float
    above_g: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Deflected:
    """
    The deflected shape of a board, to draw.

    Attributes
    ----------
    middle
        Along the diameter: position, down. [mm]
    rim
        Round the edge: x, y, down. [mm]
    exaggeration
        By how much to stretch the deflection so that it shows. [-]
    """

    middle: tuple[tuple[float, float], ...]
    rim: tuple[tuple[float, float, float], ...]
    exaggeration: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardAnswer:
    """
    What one board does.

    Attributes
    ----------
    tier
        The tier that stands on it; 0 for the base board.
    board, material, thickness_mm
        Which board it is. [mm]
    sag_mm, limit_mm
        Sag after a day, and the sag at which the coat above cracks or the eye sees it. [mm]
    span_mm
        Span that the limit was taken over. [mm]
    checks
        Sag, bending, bearing.
    needed
        Key of the first owned board that would do; empty if the present one does, or none does.
    deflected
        Its shape.
    """

    tier: int
    board: str
    material: str
    thickness_mm: float
    sag_mm: float
    limit_mm: float
    span_mm: float
    checks: tuple[Check, ...]
    needed: str
    deflected: Deflected


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """
    The supports inside one tier, and the board that they carry.

    Attributes
    ----------
    tier, carries
        Number of the tier that they stand in, and of the tier that they carry.
    load_g
        Mass that they carry. [g]
    crumb_pressure_kpa, crumb_strain
        What the cake would have to carry without them, and how far it would give. [kPa, -]
    needed
        Whether they are needed at all.
    why
        In words.
    stock
        Which support.
    count, ring_mm
        Number and ring radius (mean distance from the middle of the tier carried). [mm]
    ring_share
        Ring over the outline of the board carried; 0 where it was set by hand. [-]
    stiffest_ring_mm
        Ring radius on which the board would sag least; the ring chosen is wider where the board allows it, because a
        wide ring keeps the tier from tipping. [mm]
    positions
        Middles, from the middle of the tier that they stand in. [mm]
    order
        Order in which to press them in, by place in ``positions``: across from each other, so that the board that is
        set down on them meets them evenly.
    by_hand
        Whether the maker set them.
    fewer
        Where another of the maker's boards would do with fewer supports: which and how many, in words; else empty.
    cut_mm
        Cut length. [mm]
    tolerance_mm
        Greatest difference between their lengths. [mm]
    tilt
        Tilt of the tier carried when they differ that much. [-]
    reactions_n
        Force on each, at rest. [N]
    jolt
        Vertical acceleration of the road that they were checked for, over gravity. [-]
    checks
        Crushing, buckling, wrinkling, bearing.
    board
        The board that they carry.
    """

    tier: int
    carries: int
    load_g: Estimate
    crumb_pressure_kpa: Estimate
    crumb_strain: Estimate
    needed: bool
    why: str
    stock: SupportStock
    count: int
    ring_mm: float
    ring_share: float
    stiffest_ring_mm: float
    positions: tuple[Point, ...]
    order: tuple[int, ...]
    by_hand: bool
    fewer: str
    cut_mm: float
    tolerance_mm: float
    tilt: float
    reactions_n: tuple[float, ...]
    jolt: float
    checks: tuple[Check, ...]
    board: BoardAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """
    One piece as it goes into the vehicle.

    Attributes
    ----------
    tiers
        Numbers of its tiers, bottom first.
    mass_g
        With its board. [g]
    height_mm, width_mm
        Over all. [mm]
    cg_mm
        Centre of gravity above the floor of the vehicle. [mm]
    tips_at_g, slides_at_g
        Sideways acceleration at which it first tips or slides anywhere, over gravity. [-]
    checks
        Every joint, worst first.
    """

    tiers: tuple[int, ...]
    mass_g: Estimate
    height_mm: float
    width_mm: float
    cg_mm: float
    tips_at_g: float
    slides_at_g: float
    checks: tuple[Check, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change that would make the stack pass: what to do, and the governing utilisation after it."""

    do: str
    utilisation: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrying:
    """
    How to carry the cake.

    Attributes
    ----------
    answer
        Stacked, in part, or on site.
    pieces
        The pieces of that answer.
    whole
        The same checks for the whole stack as one piece.
    governing
        The check that decides about the whole stack.
    change
        The cheapest change that would let it go stacked; None if it may already, or none found.
    piece_change
        The cheapest change after which the pieces of the answer pass; None if they do already, or none found.
    rod_helps
        What a centre rod would do here, in words.
    words
        The answer in a sentence.
    """

    answer: Answer
    pieces: tuple[Piece, ...]
    whole: Piece
    governing: Check
    change: Change | None
    piece_change: Change | None
    rod_helps: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """
    Air shut in under a coat.

    Attributes
    ----------
    growth
        Volume at the venue over volume in the kitchen, if free to grow. [-]
    pressure_pa
        Overpressure if it cannot. [Pa]
    vent
        Whether to vent it.
    words
        Advice in words.
    """

    growth: float
    pressure_pa: float
    vent: bool
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """
    One thing to lift.

    Attributes
    ----------
    what
        In words.
    mass_kg
        Its mass, with board and box. [kg]
    reach_mm
        Distance of the hands from the ankles. [mm]
    limit_kg
        Recommended weight limit of the lifting equation for one person. [kg]
    index
        Mass over that limit. [-]
    filter_kg
        Guideline figure of the British filter for the same zone. [kg]
    people
        How many to lift it: 1 or 2; 3 means a trolley.
    words
        In words.
    """

    what: str
    mass_kg: float
    reach_mm: float
    limit_kg: float
    index: float
    filter_kg: float
    people: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadingStep:
    """
    One piece on its way into the vehicle.

    Attributes
    ----------
    order
        1 goes in first.
    tiers
        Numbers of its tiers.
    footprint_mm, height_mm
        Floor that it takes each way, and its height, box included. [mm]
    mass_g
        Its mass. [g]
    people
        How many lift it.
    where, how
        Where it stands and how it is kept there, in words.
    """

    order: int
    tiers: tuple[int, ...]
    footprint_mm: float
    height_mm: float
    mass_g: float
    people: int
    where: str
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Inedible:
    """Something in or under the cake that nobody may eat: tier number (0 under all), what, count, where, reusable."""

    tier: int
    what: str
    count: int
    where: str
    reusable: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """Chance of one failure over the trials, with its standard error. [-]"""

    key: str
    label: str
    chance: float
    error: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """How strongly the likeliest failure follows one input: rank correlation, -1 to 1. [-]"""

    key: str
    label: str
    correlation: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Trials:
    """What the uncertainty run found: trials, seed, chances (likeliest first), sensitivities of the likeliest."""

    trials: int
    seed: int
    chances: tuple[Chance, ...]
    any_failure: float
    sensitivities: tuple[Sensitivity, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Support:
    """What support answers, bottom first, with its notes."""

    loads: tuple[TierLoad, ...]
    levels: tuple[Level, ...]
    base: BoardAnswer
    carrying: Carrying
    air: Air
    lifts: tuple[Lift, ...]
    loading: tuple[LoadingStep, ...]
    inedibles: tuple[Inedible, ...]
    trials: Trials | None
    lean: float
    notes: Notes
