"""The shapes that handing over takes and gives."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from tierwright.shapes import Outline, Point
from tierwright.words import Cutter
from tierwright.working import Estimate, Notes, Source


class Kind(StrEnum):
    """What sort of thing nobody may eat."""

    BASE = "base board"
    ROD = "centre rod"
    BOARD = "board"
    SUPPORT = "support"
    PICK = "pick"
    WIRE = "wire"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """
    One line of the count.

    Attributes
    ----------
    tier, tier_name
        Where it is; 0 stands for what lies under or goes through the whole cake.
    kind
        What sort of thing.
    what, where
        In words.
    count
        How many went in, and so how many must come out.
    comes_back
        Whether the maker wants it back.
    """

    tier: int
    tier_name: str
    kind: Kind
    what: str
    where: str
    count: int
    comes_back: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TierToHand:
    """
    One tier as the venue meets it.

    Attributes
    ----------
    number, name
        1 at the bottom; what it is called.
    outline
        Finished outline. [mm]
    mass_g
        With its board. [g]
    is_cake, is_kept
        Cake rather than foam; kept by the client.
    portions
        Portions it was promised to give.
    """

    number: int
    name: str
    outline: Outline
    mass_g: Estimate
    is_cake: bool
    is_kept: bool
    portions: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CoatToMend:
    """
    One coat of this cake, as it is mended at the venue.

    Attributes
    ----------
    key, name, colour
        Formula or ingredient, its name, and its colour in words; empty where nobody has said.
    kind
        ``buttercream``, ``ganache`` or ``rolled``.
    g_per_cm2
        Mass on a square centimetre of the thickest-coated tier. [g/cm2]
    tiers
        Number of tiers that wear it.
    over_g
        What the bowls make beyond what the cake takes. [g]; None where it is bought
    """

    key: str
    name: str
    kind: str
    g_per_cm2: float
    tiers: int
    colour: str = ""
    over_g: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StockToSpare:
    """Supports of one kind in this cake: name, how many, and the longest cut length. [mm]"""

    name: str
    count: int
    longest_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowerToSpare:
    """Flowers of one kind on this cake: name, how many are placed, and how many were counted in as spares."""

    name: str
    count: int
    spares: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceToLoad:
    """
    One piece that goes into the vehicle.

    Attributes
    ----------
    holds
        What it is, in words.
    footprint_mm, height_mm
        Floor that it takes each way, box included, and its height. [mm]
    mass_kg
        Heavy end of its mass, box included. [kg]
    limit_kg
        What the lifting equation lets one person lift at that reach; 0 where it gives no limit. [kg]
    people
        How many to lift it; 3 means a trolley.
    where, how
        Where it stands and how it is kept there, in words.
    """

    holds: str
    footprint_mm: float
    height_mm: float
    mass_kg: float
    limit_kg: float
    people: int
    where: str
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A piece in the order of loading: its place, from 1, and the least inside of its box each way and up. [mm]"""

    order: int
    piece: PieceToLoad
    inside_mm: float
    inside_height_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spare:
    """
    One thing in the repair kit that comes from this very cake.

    Attributes
    ----------
    what, why
        In words.
    grams, pieces
        How much, or how many; 0 where the other counts. [g], [-]
    """

    what: str
    why: str
    grams: float = 0.0
    pieces: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tool:
    """A tool of the repair kit: what, why it is taken for this cake, its weight [g], and on whose word."""

    key: str
    what: str
    why: str
    grams: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """The repair kit: spares from this cake, tools for how it is made, and its weight. [g]"""

    spares: tuple[Spare, ...]
    tools: tuple[Tool, ...]
    mass_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Dated:
    """
    One date of the commission.

    Attributes
    ----------
    key
        Stable name: the same date of another version moves, it does not come twice.
    title, note, where
        In words.
    begins, ends
        Zone-aware moments; None for whole days. A moment without an end has no length.
    first_day, last_day
        Whole days, the last one included; None for moments.
    begin_zone, end_zone
        Names of the time zones whose clocks the moments are read on; empty for whole days.
    busy
        Whether it takes the maker's time.
    """

    key: str
    title: str
    begins: datetime | None = None
    ends: datetime | None = None
    first_day: date | None = None
    last_day: date | None = None
    begin_zone: str = ""
    end_zone: str = ""
    where: str = ""
    note: str = ""
    busy: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstCut:
    """
    Where the first cut goes so that the knife meets no support.

    Attributes
    ----------
    tier
        Name of the tier.
    degrees
        Direction from the middle of the tier, counted clockwise from the front as the guests see it. [degree], 0 to 360
    clear_degrees
        Width of the gap between the supports there. [degree]
    depth_mm
        Depth of a portion, which is how far in it goes. [mm]
    words
        In a sentence.
    """

    tier: str
    degrees: float
    clear_degrees: float
    depth_mm: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """
    What is known of the place and the way to it; None or empty where nobody has said.

    Attributes
    ----------
    table_width_mm, table_depth_mm, table_bears_g
        Top of the table and what it carries. [mm], [g]
    table_said
        The table in the client's words.
    level, linen, shakes
        As asked.
    door_mm
        Narrowest door. [mm]
    lift_mm, lift_bears_g
        Cabin of the lift, width and depth, and what it carries. [mm], [g]
    stairs
        Steps to climb.
    receiver, called
        Who takes the cake over; whom the venue calls about the cake.
    """

    table_width_mm: float | None = None
    table_depth_mm: float | None = None
    table_bears_g: float | None = None
    table_said: str = ""
    level: bool | None = None
    linen: bool | None = None
    shakes: bool | None = None
    door_mm: float | None = None
    lift_mm: tuple[float, float] | None = None
    lift_bears_g: float | None = None
    stairs: int = 0
    receiver: str = ""
    called: str = ""
    called_there: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Meanwhile:
    """Something else that goes on at the venue: what, from when to when, and whether it touches the cake."""

    key: str
    what: str
    begins: datetime
    ends: datetime
    cake_is_settled: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class HandoverAsk:
    """
    All that handing over is asked.

    Attributes
    ----------
    title
        The commission.
    tiers
        Bottom first.
    counted
        Everything in the cake that nobody may eat, the base first.
    supports, coats, flowers
        What the repair kit has to match.
    facts
        Words that say how this cake is made, such as ``combed`` or ``on_site``: they choose the tools.
    bond
        What sticks boards down on site: its name and grams for a level; None where nothing does. [g]
    levels
        Tiers that stand on another one.
    pieces
        What goes into the vehicle, in the order of loading.
    extra_pieces
        Kitchen cakes and the like, loaded after them.
    whole_g, foot_mm
        The cake on its table: mass, and the extent of its base board each way. [g], [mm]
    place
        The venue.
    meanwhile
        What else goes on there.
    cut_by
        Whose hand cuts.
    portion_depth_mm, support_places
        Depth of a portion in the bottom tier; middles of its supports from its middle, y away from the guests. [mm]
    collected
        Whether the client fetches it.
    handover_at, cutting_at, set_up_at, last_slice_at
        Moments.
    last_set_up, first_set_up
        Bounds of the set-up from keeping; None where it has not been worked out, or nothing bounds it.
    throw_away_by
        When the first clock out of the cold ends; None where none runs.
    stands_cold
        Whether something in it must be kept cold.
    dates
        Every date that is known.
    """

    title: str
    tiers: tuple[TierToHand, ...]
    counted: tuple[Counted, ...]
    supports: tuple[StockToSpare, ...] = ()
    coats: tuple[CoatToMend, ...] = ()
    flowers: tuple[FlowerToSpare, ...] = ()
    facts: frozenset[str] = frozenset()
    bond: tuple[str, float] | None = None
    levels: int = 0
    pieces: tuple[PieceToLoad, ...] = ()
    extra_pieces: tuple[PieceToLoad, ...] = ()
    whole_g: Estimate | None = None
    foot_mm: tuple[float, float] | None = None
    place: Place = Place()
    meanwhile: tuple[Meanwhile, ...] = ()
    cut_by: Cutter = Cutter.CATERER
    portion_depth_mm: float = 50.0
    support_places: tuple[Point, ...] = ()
    collected: bool = False
    handover_at: datetime
    cutting_at: datetime
    set_up_at: datetime
    last_slice_at: datetime
    first_set_up: datetime | None = None
    last_set_up: datetime | None = None
    throw_away_by: datetime | None = None
    stands_cold: bool = True
    dates: tuple[Dated, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Handover:
    """
    What handing over answers.

    Attributes
    ----------
    counted
        What must come out, top tier first, the base last.
    pieces_out
        Sum of the counts.
    dismantling
        Steps of taking it apart, in order.
    knife
        Lines on knife, cloth and cutting, for the hand that cuts.
    first_cut
        Where the first cut goes; None for a cake without tiers to cut.
    boxes, kit
        What is loaded, in order, and the repair kit.
    carry_rules
        How somebody who collects the cake carries it.
    taken_over
        What somebody who takes the cake over confirms.
    dates
        Every date of the commission, the earliest first.
    last_set_up
        Last moment for the set-up; None where it is not known.
    notes
        Figures, questions, cautions and assumptions.
    """

    counted: tuple[Counted, ...]
    pieces_out: int
    dismantling: tuple[str, ...]
    knife: tuple[str, ...]
    first_cut: FirstCut | None
    boxes: tuple[Box, ...]
    kit: Kit
    carry_rules: tuple[str, ...]
    taken_over: tuple[str, ...]
    dates: tuple[Dated, ...]
    last_set_up: datetime | None
    notes: Notes

    def counts(self, kind: Kind) -> dict[int, int]:
        """Return how many things of one kind are in each tier, tiers without any left out."""
        found: dict[int, int] = {}
        for line in self.counted:
            if line.kind is kind:
                found[line.tier] = found.get(line.tier, 0) + line.count
        return found
