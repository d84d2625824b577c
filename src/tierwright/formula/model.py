"""The shapes that formula takes and gives."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tierwright.larder.composition import Composition
from tierwright.shapes import Outline
from tierwright.units import Measures as Measures
from tierwright.words import BATTERS as BATTERS
from tierwright.words import FormulaKind
from tierwright.working import NOTHING, Estimate, Notes

Kind = FormulaKind


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaText:
    """
    A formula as a person wrote it.

    Attributes
    ----------
    key
        The name by which a commission refers to it.
    name
        Its title.
    kind
        What it makes.
    lines
        Ingredient lines, free text, in the order of use.
    method
        Steps of the method, free text.
    made_for
        Pans and place that it was written for, free text, such as ``two 8 in round pans at sea level``.
    specific_gravity
        Measured weight of the batter over that of the same volume of water, or None. [-]
    density
        Measured density of what is not baked, ready to use, or None. [g/ml]
    measures
        Whose cups and spoons.
    egg_size
        Key of the grade that a line means by an egg with no size.
    """

    key: str
    name: str
    kind: Kind
    lines: tuple[str, ...]
    method: tuple[str, ...] = ()
    made_for: str = ""
    specific_gravity: float | None = None
    density: float | None = None
    measures: Measures = Measures.US
    egg_size: str = "us_large"


class Status(StrEnum):
    """What became of an ingredient line."""

    READ = "read"
    ASIDE = "aside"  # named for greasing, dusting or serving: it never enters the bowl
    ASK = "ask"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """
    One ingredient line and what was understood.

    Attributes
    ----------
    number
        Place in the formula, from 1.
    text
        As written.
    status
        Read, aside, or to ask.
    ingredient
        Key in the larder; empty unless read.
    label
        Its plain name.
    grams
        What goes into the bowl, with the range that the way of measuring leaves. [g]
    way
        How it was measured: ``weighed``, ``counted``, ``volume, spooned`` and so on.
    working
        How the grams were reached, in words.
    count
        Number of pieces (eggs, lemons) where the line counts them, else 0.
    note
        Preparation, as written.
    reason, choices
        Why it cannot be read, and lines that could stand in its place.
    remarks
        Conventions used in reading it, each a sentence.
    """

    number: int
    text: str
    status: Status
    ingredient: str = ""
    label: str = ""
    grams: Estimate = NOTHING
    way: str = ""
    working: str = ""
    count: float = 0.0
    note: str = ""
    reason: str = ""
    choices: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """
    A formula in grams.

    Attributes
    ----------
    text
        What the person wrote.
    lines
        One for each written line, in order.
    applied
        Keys of the proposals that have been applied to it.
    """

    text: FormulaText
    lines: tuple[Line, ...]
    applied: tuple[str, ...] = ()

    @property
    def parts(self) -> tuple[Line, ...]:
        """Lines that enter the bowl."""
        return tuple(line for line in self.lines if line.status is Status.READ)

    @property
    def open_lines(self) -> tuple[Line, ...]:
        """Lines that nobody has settled."""
        return tuple(line for line in self.lines if line.status is Status.ASK)

    @property
    def total_g(self) -> Estimate:
        """Mass of everything that enters the bowl. [g]"""
        total = NOTHING
        for line in self.parts:
            total = total + line.grams
        return total


@dataclass(frozen=True, slots=True, kw_only=True)
class Percent:
    """One ingredient (or part of the balance) as a baker's percentage, flour being 100. [% of flour]"""

    name: str
    label: str
    percent: Estimate


class Verdict(StrEnum):
    """Where a value lies against a published range."""

    WITHIN = "within"
    BELOW = "below"
    ABOVE = "above"


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """
    One balance check.

    Attributes
    ----------
    key, label
        Which check, and what it compares in words.
    value
        The formula's value. [% or ratio, as ``unit`` says]
    low, high, unit
        The published range; None for no limit on that side.
    verdict
        Where the value lies.
    effect
        What a baker expects when it lies outside; empty within.
    source
        Of the range.
    """

    key: str
    label: str
    value: float
    low: float | None
    high: float | None
    unit: str
    verdict: Verdict
    effect: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """The balance of a batter: parts in baker's percentages, and the checks of its class."""

    percents: tuple[Percent, ...]
    groups: tuple[Percent, ...]
    checks: tuple[Check, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Acid:
    """An acid ingredient: what it weighs and how much soda it neutralises. [g]"""

    ingredient: str
    label: str
    grams: float
    soda_g: Estimate
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Leavening:
    """
    What the leaveners of a formula release.

    Attributes
    ----------
    co2_g
        Carbon dioxide released by the end of the bake. [g]
    gas_ml
        Its volume at ``at_c`` and ``pressure_pa``. [ml]
    at_c, pressure_pa
        Conditions of that volume. [C], [Pa]
    powder_equivalent_percent
        Baking powder of 12 % that would release as much, over flour. [% of flour]
    soda_g
        Soda added as such. [g]
    acids
        Acid ingredients, when there is soda for them.
    soda_left_g, acid_left_g
        Soda that no acid reaches; acid left over, as the soda that it would still take. [g]
    """

    co2_g: Estimate
    gas_ml: Estimate
    at_c: float
    pressure_pa: float
    powder_equivalent_percent: Estimate
    soda_g: float
    acids: tuple[Acid, ...]
    soda_left_g: Estimate
    acid_left_g: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One ingredient before and after a proposal. [g]"""

    ingredient: str
    label: str
    before_g: float
    after_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """
    One change to a formula, to be tried alone.

    Attributes
    ----------
    key
        Stable dotted name.
    title
        The change in words.
    reason
        Why.
    changes
        Ingredients that move. [g]
    oven_c
        Change of the oven's temperature with it. [C]; None for none
    span
        The published span in the words of its source's measures.
    source
        Where it comes from.
    """

    key: str
    title: str
    reason: str
    changes: tuple[Change, ...]
    oven_c: Estimate | None = None
    span: str = ""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Substitution:
    """
    One ingredient replaced by others.

    Attributes
    ----------
    key
        Stable name of the rule.
    title
        The swap in words.
    changes
        What leaves and what enters. [g]
    water_g, fat_g, sugars_g, protein_g
        Change in the whole formula. [g]
    soda_g
        Change in the soda that its acids neutralise. [g]
    allergens_added, allergens_removed
        Allergen groups of the larder that come and go.
    effects
        What else changes, in words.
    source
        Where the rule comes from.
    """

    key: str
    title: str
    changes: tuple[Change, ...]
    water_g: float
    fat_g: float
    sugars_g: float
    protein_g: float
    soda_g: float
    allergens_added: tuple[str, ...]
    allergens_removed: tuple[str, ...]
    effects: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PanJob:
    """
    Like pans that one batter has to fill.

    Attributes
    ----------
    key
        Stable name of the job, such as ``tier.1``.
    pan
        Key of the pan.
    outline, depth_mm
        The pan's inside. [mm]
    count
        Layers to bake, one a pan.
    levelled_mm
        Height wanted of a layer after its top is levelled. [mm]
    """

    key: str
    pan: str
    outline: Outline
    depth_mm: float
    count: int
    levelled_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bowl:
    """
    A mixer bowl.

    Attributes
    ----------
    name
        As the kitchen calls it.
    litres
        Brimful. [l]
    usable_share
        Share of it that a mix may fill when it is at its largest. [-], 0 to 1
    limit_g
        The maker's or the machine's own limit on the mass of a mix. [g]; None for none
    """

    name: str
    litres: float
    usable_share: float = 0.6
    limit_g: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MixPart:
    """One weight of one mix. [g]"""

    ingredient: str
    label: str
    grams: float
    count: float = 0.0
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """
    One bowlful.

    Attributes
    ----------
    number
        From 1.
    bowl
        Name of the bowl; empty if the kitchen has none that was given.
    parts
        Weights in mixing order. [g]
    mass_g
        Sum of the weights. [g]
    volume_ml
        Volume when mixed. [ml]
    scale
        Mix over the formula as written. [-]
    """

    number: int
    bowl: str
    parts: tuple[MixPart, ...]
    mass_g: float
    volume_ml: float
    scale: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PanFill:
    """
    What goes into one pan.

    Attributes
    ----------
    job, pan
        Whose layer, and in which pan.
    outline
        The pan's inside.
    number
        Which of the like layers, from 1.
    mix
        The mix from which it is filled.
    batter_g, batter_ml
        To pour. [g], [ml]
    fill_mm, fill_share
        Depth of the batter, and over the pan's depth. [mm], [-]
    baked_mm
        Height expected before levelling. [mm]
    """

    job: str
    pan: str
    outline: Outline
    number: int
    mix: int
    batter_g: Estimate
    batter_ml: float
    fill_mm: float
    fill_share: float
    baked_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """
    Everything to make of one formula.

    Attributes
    ----------
    need_g
        What pans, fillings or coats take. [g]
    make_g
        What is weighed out: need, bowl loss, boiling loss and rounding up to whole eggs. [g]
    scale
        Made over written. [-]
    mixes
        Bowl by bowl.
    fills
        Pan by pan; empty for what is not baked.
    spare_g
        Made beyond need and loss. [g]
    """

    need_g: Estimate
    make_g: float
    scale: float
    mixes: tuple[Mix, ...]
    fills: tuple[PanFill, ...]
    spare_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ByProduct:
    """
    Something that one formula leaves and another can use.

    Attributes
    ----------
    formula
        Key of the formula that leaves it.
    ingredient, label
        What is left.
    grams
        How much. [g]
    count
        In pieces (yolks, whites).
    used_by
        Key of the formula that takes it; empty if none does.
    used_g
        How much that takes. [g]
    """

    formula: str
    ingredient: str
    label: str
    grams: float
    count: float
    used_by: str = ""
    used_g: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaWork:
    """One formula worked through: the answer of this room for it."""

    formula: Formula
    percents: tuple[Percent, ...]
    composition: Composition | None
    balance: Balance | None
    leavening: Leavening | None
    proposals: tuple[Proposal, ...]
    substitutions: tuple[Substitution, ...]
    batch: Batch | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Formulas:
    """All formulas of a commission, what they leave for one another, and the notes."""

    works: tuple[FormulaWork, ...]
    by_products: tuple[ByProduct, ...]
    notes: Notes

    def of(self, key: str) -> FormulaWork:
        """Return the work of the formula with this key; ``KeyError`` if there is none."""
        for work in self.works:
            if work.formula.text.key == key:
                return work
        raise KeyError(key)
