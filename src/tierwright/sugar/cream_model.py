"""The shapes of the mixed coatings."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tierwright.sugar.fats import SpreadWindow
from tierwright.sugar.holding import Fault, Holding
from tierwright.working import Estimate, Notes


class CreamKind(StrEnum):
    """Mixed coatings; the words are those of a formula's kind where there is one."""

    SWISS_BUTTERCREAM = "swiss meringue buttercream"
    ITALIAN_BUTTERCREAM = "italian meringue buttercream"
    FRENCH_BUTTERCREAM = "french buttercream"
    POWDERED_BUTTERCREAM = "powdered-sugar buttercream"
    FLOUR_BUTTERCREAM = "flour-cooked buttercream"
    CREAM_CHEESE = "cream-cheese frosting"
    GANACHE = "ganache"
    WHIPPED_CREAM = "whipped cream"
    ROYAL_ICING = "royal icing"
    ROLLED_FONDANT = "rolled fondant"
    MARZIPAN = "marzipan"
    MIRROR_GLAZE = "mirror glaze"


@dataclass(frozen=True, slots=True, kw_only=True)
class CreamPart:
    """
    One ingredient of a coating: shares of its mass, and what is in it.

    Attributes
    ----------
    key, label
        Short name and words.
    water, fat, sugar, reducing, protein, starch, cocoa
        Shares of its mass; ``sugar`` is sucrose and lactose, ``reducing`` glucose and what stays dissolved like it. [1]
    fat_kind
        Which curve its fat follows; empty for a liquid fat.
    egg, dairy
        Whether it brings egg or milk.
    density_g_ml
        Without air. [g/ml]
    source
        Where the shares come from.
    """

    key: str
    label: str
    water: float
    fat: float
    fat_kind: str
    sugar: float
    reducing: float
    protein: float
    starch: float
    cocoa: float
    egg: bool
    dairy: bool
    density_g_ml: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CreamLine:
    """One ingredient of a coating and how much of it. [g]"""

    part: str
    grams: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """
    Composition of a coating, as shares of the whole. [1]

    Attributes
    ----------
    water, fat, sugar, protein, starch, cocoa
        ``sugar`` holds every sugar; ``cocoa`` the dry, fat-free cocoa. [1]
    fats
        Each fat that sets, by the name of its curve. [1]
    """

    water: float
    fat: float
    sugar: float
    protein: float
    starch: float
    cocoa: float
    fats: tuple[tuple[str, float], ...]


class EmulsionState(StrEnum):
    """How safely a ganache holds together."""

    SAFE = "holds together"
    TIGHT = "tight: stir from the middle, add the liquid slowly"
    SPLITS = "likely to split: it has more fat than its water can carry"
    LOOSE = "loose: will not set firm enough for a coat"


@dataclass(frozen=True, slots=True, kw_only=True)
class GanacheBalance:
    """
    Balance of a ganache.

    Attributes
    ----------
    fat, sugar, water, cocoa
        Shares of the whole. [1]
    fat_of_fat_and_water
        Fat against fat and water together. [1]
    state
        How safely it holds.
    liquid_to_rescue_g
        Milk or cream's water to bring a tight one back to 0.64. [g]
    sets_at_c
        Cools to this before it stands firm. [C]
    """

    fat: float
    sugar: float
    water: float
    cocoa: float
    fat_of_fat_and_water: float
    state: EmulsionState
    liquid_to_rescue_g: float
    sets_at_c: Estimate | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CreamPlan:
    """
    What a mixed coating answers.

    Attributes
    ----------
    kind, label
        What it is.
    lines
        Its ingredients. [g]
    mass_g
        Mass of the whole. [g]
    shares
        Composition.
    density_g_ml, volume_ml
        As it is spread. [g/ml], [ml]
    worked_c
        Temperature at which it is worked by common practice. [C]
    window
        Temperatures between which it works, from its solid fat; None where no fat carries it.
    ganache
        Its balance, for a ganache.
    holding
        Facts for the question of how long it may stand.
    faults
        What goes wrong, and the rescue.
    notes
        Figures, questions, cautions, assumptions.
    """

    kind: CreamKind
    label: str
    lines: tuple[CreamLine, ...]
    mass_g: float
    shares: Shares
    density_g_ml: Estimate
    volume_ml: Estimate
    worked_c: Estimate
    window: SpreadWindow | None
    ganache: GanacheBalance | None
    holding: Holding
    faults: tuple[Fault, ...]
    notes: Notes
