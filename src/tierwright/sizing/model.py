"""The shapes that sizing takes and gives."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tierwright.shapes import Outline, Point, Shape
from tierwright.words import CutPattern as CutPattern
from tierwright.words import Cutter, OtherDessert
from tierwright.words import RingMeasure as RingMeasure
from tierwright.working import Estimate, Notes


@dataclass(frozen=True, slots=True, kw_only=True)
class Slice:
    """One piece as it is cut: its corners seen from above, its area, and whether it counts as a portion."""

    corners: tuple[Point, ...]  # [mm]
    area_mm2: float
    counts: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """
    How one tier is cut.

    Attributes
    ----------
    pattern, measure
        The way of cutting, and for rings where the width is measured.
    portion_width_mm, portion_depth_mm
        Size of a portion seen from above. [mm]
    slices
        Every piece; together they tile the outline.
    portions
        Number of pieces that count.
    rule
        In words, what counts as a portion.
    """

    pattern: CutPattern
    measure: RingMeasure
    portion_width_mm: float
    portion_depth_mm: float
    slices: tuple[Slice, ...]
    portions: int
    rule: str


class TierKind(StrEnum):
    """What stands at a place in the stack."""

    CAKE = "cake"
    DUMMY = "dummy"  # foam, for height only


@dataclass(frozen=True, slots=True, kw_only=True)
class Tier:
    """
    One storey of the stack, as cake before it is coated.

    Attributes
    ----------
    number
        1 at the bottom, counting up.
    name
        ``bottom``, ``middle``, ``top`` and so on.
    kind
        Cake or dummy.
    outline
        The cake's outline before coating; that of its pan. [mm]
    pan
        Key of the pan that bakes its layers; empty for a dummy.
    layers
        Number of baked layers.
    layer_height_mm
        Height of one layer after it is levelled. [mm]
    filling_mm
        Depth of each filling between layers. [mm]
    height_mm
        Layers and fillings together, without coat and board. [mm]
    keepsake
        Kept by the client and left out of the count.
    flavour
        Position of its flavour in the brief's list; -1 for a dummy.
    cutting
        How it is cut; None for a dummy.
    """

    number: int
    name: str
    kind: TierKind
    outline: Outline
    pan: str
    layers: int
    layer_height_mm: float
    filling_mm: float
    height_mm: float
    keepsake: bool
    flavour: int
    cutting: Cutting | None


@dataclass(frozen=True, slots=True, kw_only=True)
class KitchenCake:
    """A plain cake cut out of sight to make up the count: its pan, number of like cakes, layers, and cutting."""

    outline: Outline
    pan: str
    count: int
    layers: int
    layer_height_mm: float
    filling_mm: float
    height_mm: float
    flavour: int
    cutting: Cutting


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """
    How many portions will be wanted, as a distribution.

    Attributes
    ----------
    mean, sd
        Expected number of portions and its standard deviation.
    chances
        Chance that more than ``i`` portions are wanted, for ``i`` from 0 to the number attending and beyond.
    wanted
        The number of portions that keeps the chance of running short within the maker's risk.
    risk
        The chance of running short that the maker accepts, 0 to 1.
    """

    mean: float
    sd: float
    chances: tuple[float, ...]
    wanted: int
    risk: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """
    One way to make the cake.

    Attributes
    ----------
    tiers
        Bottom first.
    kitchen_cakes
        Plain cakes that make up the count.
    portions
        Portions that can be served: tiers less the keepsake, and kitchen cakes.
    shortage_risk
        Chance of running short with them, 0 to 1.
    surplus
        Portions over the expected demand.
    oven_loads
        Loads in the kitchen's largest oven, one set of layers after another.
    cost
        Rough cost of pans to buy and of batter, in the kitchen's currency; for ranking only.
    remarks
        Which proportion rules it meets or breaks, in words.
    score
        What it is ranked by; lower is better.
    """

    tiers: tuple[Tier, ...]
    kitchen_cakes: tuple[KitchenCake, ...]
    portions: int
    shortage_risk: float
    surplus: float
    oven_loads: int
    cost: float
    remarks: tuple[str, ...]
    score: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizing:
    """What sizing answers: the demand, the stacks it proposes (best first), the one chosen, and its notes."""

    demand: Demand
    stacks: tuple[Stack, ...]
    chosen: int
    batter_volume_ml: Estimate
    notes: Notes

    @property
    def stack(self) -> Stack:
        """The stack that the rest of the dossier is worked for."""
        return self.stacks[self.chosen]


@dataclass(frozen=True, slots=True, kw_only=True)
class PortionWish:
    """
    What one portion is to be.

    Attributes
    ----------
    width_mm, depth_mm
        Width of a slice and its depth from the outside in, seen from above. [mm], 10 to 200
    height_mm
        Height of the slice, which is that of the cake. [mm], 20 to 300
    pattern
        How the tiers are cut.
    measure
        Where the width of a slice is measured, for rings and wedges.
    least_share
        Least share of ``width x depth`` that a piece must have to count as a portion, 0.3 to 1; None takes the
        house rule of the pattern.
    """

    width_mm: float
    depth_mm: float
    height_mm: float
    pattern: CutPattern = CutPattern.RINGS
    measure: RingMeasure = RingMeasure.MIDDLE
    least_share: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedTier:
    """
    What the maker has settled about one tier; everything left out stays free.

    Attributes
    ----------
    number
        1 at the bottom, counting up; -1 at the top, counting down.
    outline
        Its size, or None.
    kind
        Cake or dummy, or None.
    keepsake
        Kept by the client and left out of the count.
    flavour
        Position in the brief's list of flavours, or None.
    diet_guests
        Guests who can eat no other tier. The tier has to hold a portion for each, and some more, because others
        take of it too.
    """

    number: int
    outline: Outline | None = None
    kind: TierKind | None = None
    keepsake: bool = False
    flavour: int | None = None
    diet_guests: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SizingBrief:
    """
    What sizing needs to know of a commission.

    Attributes
    ----------
    attending
        People expected at the table, with the span in which their number is likely to lie; None while unknown.
    invited
        People invited, or None.
    take_up
        Share of those attending who will eat cake, 0 to 1, with its likely span; None takes the house default.
    other_dessert
        What else there is to eat when the cake is cut.
    extra_portions
        Portions wanted beside the guests': for staff, musicians, a neighbour. At least 0.
    portion
        What one portion is.
    cut_by
        Who cuts the cake.
    keepsake
        Whether the top tier is kept and left out of the count.
    risk
        Chance of running short that the maker accepts, 0.001 to 0.5.
    tiers
        Number of tiers wished for, 1 to 6, or None.
    shape
        Shape of the tiers.
    fixed
        What the maker has settled about single tiers.
    flavours
        Number of flavours. At least 1.
    layers
        Baked layers in a tier, 1 to 8, or None for the usual.
    filling_mm
        Depth of each filling between layers. [mm], 0 to 40
    tier_height_mm
        Height of layers and fillings together, or None for the height of a portion. [mm]
    kitchen_cakes, dummies
        Whether plain cakes cut out of sight, and foam tiers, may be proposed.
    """

    attending: Estimate | None
    invited: int | None
    take_up: Estimate | None
    other_dessert: OtherDessert
    extra_portions: int = 0
    portion: PortionWish
    cut_by: Cutter
    keepsake: bool
    risk: float
    tiers: int | None
    shape: Shape
    fixed: tuple[FixedTier, ...] = ()
    flavours: int
    layers: int | None
    filling_mm: float
    tier_height_mm: float | None
    kitchen_cakes: bool = True
    dummies: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class PanChoice:
    """
    A pan that a tier or kitchen cake may be baked in.

    Attributes
    ----------
    key
        Its key in the table of pans.
    outline
        Inside of the pan. [mm]
    depth_mm
        Inside depth. [mm]
    owned
        Number that the maker has.
    price
        What one costs to buy, in the kitchen's currency, or None where it cannot be bought.
    """

    key: str
    outline: Outline
    depth_mm: float
    owned: int
    price: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OvenSpace:
    """
    Room in one oven.

    Attributes
    ----------
    key
        Its name.
    width_mm, depth_mm
        Width and depth of the cavity. [mm]
    shelves
        Shelves that are used at once.
    gap_mm
        Least air between pans, and between pan and wall. [mm]
    """

    key: str
    width_mm: float
    depth_mm: float
    shelves: int
    gap_mm: float = 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughCosts:
    """
    Costs by which stacks are ranked, in the kitchen's currency; prices proper are worked elsewhere.

    Attributes
    ----------
    batter_per_litre, foam_per_litre
        Cost of a litre of baked cake and of a litre of foam dummy.
    portion
        What a portion is worth, to weigh money against portions; None leaves money out of the ranking, and each
        pan to buy then weighs as much as a few portions.
    """

    batter_per_litre: float = 0.0
    foam_per_litre: float = 0.0
    portion: float | None = None
