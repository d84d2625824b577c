"""What label gives; what it takes stands in ``order``."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from tierwright.brief.commission import Jurisdiction
from tierwright.larder import Allergen, Answer
from tierwright.units import English
from tierwright.working import Notes, Source


class Presence(IntEnum):
    """What is known of an allergen in a food; every step but the last two has to be told or asked."""

    NOT_DECLARED = 0  # every label was read and none names it; never a promise of absence
    MAY = 1  # a label or the kitchen's own record tells of cross-contact
    UNREAD = 2  # a packet that has to be read has not been
    SUSPECTED = 3  # the same, and foods of the kind often hold it
    PRESENT = 4

    @property
    def is_unknown(self) -> bool:
        """Whether only a supplier can settle it."""
        return self in (Presence.UNREAD, Presence.SUSPECTED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """
    How an allergen gets, or may get, into a cake.

    Attributes
    ----------
    allergen, presence
        Which, and what is known; None for every allergen that a packet, not yet read, could hold.
    path
        From the cake to the packet: tier, component, ingredient, part of the ingredient.
    lot
        Lot of the packet; empty where none was read.
    reason
        Why it is a possibility, in words; empty where it is plainly there.
    """

    allergen: Allergen | None
    presence: Presence
    path: tuple[str, ...]
    lot: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A stretch of words of one weight."""

    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """
    One ingredient of a list.

    Attributes
    ----------
    runs
        Its words, allergens strong where the place wants them stressed.
    grams
        Mass as used, in the whole cake. [g]
    share
        Over the finished mass. [-]
    quantity
        Quantity declared beside it, such as ``25 %``; empty for none.
    ingredients
        Keys of what stands behind it.
    """

    runs: tuple[Run, ...]
    grams: float
    share: float
    quantity: str = ""
    ingredients: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """Its words without their weight."""
        return "".join(run.text for run in self.runs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Declaration:
    """
    An ingredient list.

    Attributes
    ----------
    heading
        Word before the list.
    entries
        In the order of the list.
    runs
        The whole list, heading included, ready to be set.
    contains, may_contain
        Statements after the list; empty where the place has none, or nothing is to be said.
    left_out
        What the rules let out, with the reason.
    warnings
        Sentences that the place wants beside an ingredient.
    """

    heading: str
    entries: tuple[Entry, ...]
    runs: tuple[Run, ...]
    contains: str
    may_contain: str
    left_out: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The list without the weight of its words."""
        return "".join(run.text for run in self.runs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """
    One nutrient of 100 g of a cake.

    Attributes
    ----------
    nutrient
        Field of the composition, or ``energy_kj``, ``energy_kcal``, ``salt_g``.
    value
        None where the tables do not know all of it.
    low, high
        Bounds of what is not known; both the value where it is. [as the name ends]; ``high`` None for no bound
    missing
        Keys of the ingredients that leave it open.
    """

    nutrient: str
    value: float | None
    low: float
    high: float | None
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelRow:
    """One line of a nutrition panel: words, cells in the order of the panel's columns, indent and weight."""

    key: str
    label: str
    cells: tuple[str, ...]
    indent: int = 0
    strong: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """
    A nutrition panel in words and numbers, rounded as the place wants.

    Attributes
    ----------
    jurisdiction
        Whose panel.
    title
        Its heading.
    serving
        Lines about servings, in order; the first words and the amount are kept apart by a tab.
    calories
        Calories of a serving, where the panel sets them large; else empty.
    columns
        Heads of the columns of numbers.
    rows
        Lines in the order of the place.
    footnotes
        Lines at the foot.
    missing
        Nutrients that are not known, in words; a panel with any must not be printed on a pack.
    """

    jurisdiction: Jurisdiction
    title: str
    serving: tuple[str, ...]
    calories: str
    columns: tuple[str, ...]
    rows: tuple[PanelRow, ...]
    footnotes: tuple[str, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A further particular of a label; an empty value is asked for."""

    key: str
    label: str
    value: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """
    Why a label must not be used yet.

    Attributes
    ----------
    key
        Stable dotted name.
    packet
        What has to be read, or what must not be there, by name.
    text, ask
        What is not settled, and what to ask or do.
    is_forbidden
        Whether it is an ingredient that the place does not allow, not a packet that nobody has read.
    """

    key: str
    packet: str
    text: str
    ask: str
    is_forbidden: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitLabel:
    """
    The label of one tier, kitchen cake, component, or of the whole cake.

    Attributes
    ----------
    key, name, food_name
        What it is.
    mass_g
        Net quantity. [g]
    declaration
        Ingredients and statements.
    nutrients
        Of 100 g, unrounded.
    panel
        As printed.
    net_quantity
        In the units of the place.
    fields
        Further particulars.
    marks
        What is known of each allergen of the place's list.
    vegan
        Whether what is known of its ingredients lets a vegan eat it; nothing about allergies.
    diet
        The way of eating that it is made for.
    blocks
        Why it must not be used yet; empty for a finished label.
    french
        Ingredients and statements in French, where the label says them so too.
    food_name_french
        Name of the food in French; empty where it is not known or not asked for.
    """

    key: str
    name: str
    food_name: str
    mass_g: float
    declaration: Declaration
    nutrients: tuple[Amount, ...]
    panel: Panel
    net_quantity: str
    fields: tuple[Field, ...]
    marks: tuple[tuple[Allergen, Presence], ...]
    vegan: Answer
    diet: str
    blocks: tuple[Block, ...]
    french: Declaration | None = None
    food_name_french: str = ""

    @property
    def is_draft(self) -> bool:
        """Whether something has to be asked before it is used."""
        return bool(self.blocks)

    def mark(self, allergen: Allergen) -> Presence:
        """Return what is known of one allergen; ``KeyError`` if the place does not list it."""
        return dict(self.marks)[allergen]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintForm:
    """
    How labels are printed.

    Attributes
    ----------
    panel
        Layout of the panel: ``standard``, ``narrow``, ``tabular`` or ``linear``.
    stickers
        Key of a sheet of stickers; empty for the smallest that a label fits.
    surface_cm2
        Surface of the package that can bear labels. [cm2]
    """

    panel: str = "standard"
    stickers: str = ""
    surface_cm2: float = 500.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Labels:
    """
    What label answers.

    Attributes
    ----------
    jurisdiction, english
        Whose law and English.
    units
        Labels of tiers and kitchen cakes, in their order.
    whole
        The label of the whole cake.
    components
        Lists of single components.
    traces
        Every way by which an allergen gets or may get into a cake.
    card
        The venue's allergen card as plain text.
    notes
        Figures, questions, cautions and assumptions.
    form
        How they are printed.
    """

    jurisdiction: Jurisdiction
    english: English
    units: tuple[UnitLabel, ...]
    whole: UnitLabel
    components: tuple[UnitLabel, ...]
    traces: tuple[Trace, ...]
    card: str
    notes: Notes
    form: PrintForm = PrintForm()
