"""How a figure says where it came from, and what a stage has to say beside its numbers.

A room computes plain numbers; beside them it hands out ``Figure`` (a number that opens to its working),
``Caution`` (a hazard, where the hand is), ``Question`` (what must be settled) and ``Assumption`` (a default
that was used). The dossier collects them; every way out of the program reads them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, StrEnum


class Basis(StrEnum):
    """How far a statement can be trusted, from firm to soft."""

    EXACT = "exact"  # a definition, or arithmetic on other figures
    PUBLISHED = "published"
    MAKER_RECORD = "maker's own record"
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"
    BRIEF = "as the brief says"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """
    Where an equation or a value comes from.

    Attributes
    ----------
    basis
        The kind of source.
    text
        Author, title, edition, table or section; empty where the basis says it all.
    """

    basis: Basis
    text: str = ""

    def __str__(self) -> str:
        return f"{self.basis.value}: {self.text}" if self.text else self.basis.value


COMMON_PRACTICE = Source(basis=Basis.COMMON_PRACTICE)
ARITHMETIC = Source(basis=Basis.EXACT, text="arithmetic")
THE_BRIEF = Source(basis=Basis.BRIEF)


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """
    A number with the range in which it is likely to lie (about four times in five).

    Attributes
    ----------
    value
        The number to work with.
    low, high
        The likely span, ``low <= value <= high``, in the same unit.
    """

    value: float
    low: float
    high: float

    def __post_init__(self) -> None:
        # Written so that a NaN fails too.
        if not self.low <= self.value <= self.high:
            raise ValueError(f"an estimate needs low <= value <= high, not {self.low}, {self.value}, {self.high}")

    @classmethod
    def exact(cls, value: float) -> Estimate:
        """Return an estimate without spread."""
        return cls(value=value, low=value, high=value)

    @classmethod
    def within(cls, value: float, share: float) -> Estimate:
        """Return an estimate with ``share`` (0.1 for ten per cent) on either side of a value that is not negative."""
        return cls(value=value, low=value * (1 - share), high=value * (1 + share))

    def __mul__(self, factor: float) -> Estimate:
        """Scale by a factor that is not negative."""
        return Estimate(value=self.value * factor, low=self.low * factor, high=self.high * factor)

    __rmul__ = __mul__

    def __add__(self, other: Estimate) -> Estimate:
        """Add range to range: the cautious sum, as if both missed the same way."""
        return Estimate(value=self.value + other.value, low=self.low + other.low, high=self.high + other.high)


NOTHING = Estimate(value=0.0, low=0.0, high=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """One input of a figure: its name, value and unit, as the working shows it."""

    name: str
    value: float | str
    unit: str = ""

    def __post_init__(self) -> None:
        _as_float(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """
    A figure that a person may doubt, with its working.

    Attributes
    ----------
    key
        Dotted name that is the same on every run, such as ``tier.1.batter_g``; two dossiers are compared by it.
    label
        What it is, in a maker's words.
    value, unit
        The number (or word) in the house's units; the unit is ``""`` for a pure number or a word.
    low, high
        Likely range, or None where the figure is exact or a word.
    equation
        How it was worked, in words and symbols; a reader with the inputs can repeat it.
    inputs
        What went in.
    source
        Where the equation comes from.
    sheet
        The sheet of work to which it belongs: tiers, formulas, bakes, syrups, coats, supports, flowers, keeping,
        labels, buying, price, road, table.
    """

    key: str
    label: str
    value: float | str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    equation: str
    inputs: tuple[Given, ...] = ()
    source: Source
    sheet: str

    def __post_init__(self) -> None:
        _as_float(self)

    @classmethod
    def of(
        cls,
        estimate: Estimate,
        *,
        key: str,
        label: str,
        unit: str,
        equation: str,
        source: Source,
        sheet: str,
        inputs: tuple[Given, ...] = (),
    ) -> Figure:
        """Return the figure of an estimate; an estimate without spread gives a figure without a range."""
        spread = estimate.high > estimate.low
        return cls(
            key=key,
            label=label,
            value=estimate.value,
            unit=unit,
            low=estimate.low if spread else None,
            high=estimate.high if spread else None,
            equation=equation,
            inputs=inputs,
            source=source,
            sheet=sheet,
        )


def _as_float(item: Given | Figure) -> None:
    """Keep a whole number as the float that it is declared to be, so that it is written and read back alike."""
    if isinstance(item.value, int):
        object.__setattr__(item, "value", float(item.value))


class Severity(IntEnum):
    """How serious an open question is; the larger comes first."""

    NOTE = 1  # worth knowing
    ASK = 2  # the client or the maker has to say something
    STOP = 3  # cannot be made, carried or sold as it stands
    DANGER = 4  # somebody could be hurt


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """
    Something that must be settled before the cake can be right.

    Attributes
    ----------
    key
        Stable dotted name.
    severity
        How serious it is.
    sheet
        The sheet of work that settles it.
    text
        The question, in one sentence.
    reason
        Why it matters.
    figure
        The figure that it turns on, with its unit, or an empty string.
    change
        The cheapest change that would settle it, or an empty string.
    """

    key: str
    severity: Severity
    sheet: str
    text: str
    reason: str
    figure: str = ""
    change: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """
    A hazard, printed on the sheet and at the step where the hand is.

    Attributes
    ----------
    key
        Stable dotted name.
    sheet, step
        Where it is printed: the sheet of work, and the step on it (empty for the whole sheet).
    text
        What to mind, in the imperative.
    reason
        What could happen.
    source
        Where it comes from; local code, licence and training always go first.
    """

    key: str
    sheet: str
    step: str
    text: str
    reason: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A default that was used because nothing else was given: what, how much, and on what ground."""

    key: str
    text: str
    value: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Notes:
    """What one stage has to say beside its numbers."""

    figures: tuple[Figure, ...] = ()
    questions: tuple[Question, ...] = ()
    cautions: tuple[Caution, ...] = ()
    assumptions: tuple[Assumption, ...] = ()

    def __add__(self, other: Notes) -> Notes:
        return Notes(
            figures=self.figures + other.figures,
            questions=self.questions + other.questions,
            cautions=self.cautions + other.cautions,
            assumptions=self.assumptions + other.assumptions,
        )
