"""The shapes that sizing takes and gives."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tierwright.shapes import Outline, Point
from tierwright.words import CutPattern as CutPattern
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
