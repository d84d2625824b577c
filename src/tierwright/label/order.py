"""What labels are made from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from tierwright.brief.commission import Jurisdiction
from tierwright.larder import Allergen, Answer, Composition
from tierwright.units import English


class Sale(StrEnum):
    """How the cake is sold; it decides what has to be on paper."""

    PREPACKED = "prepacked"
    DIRECT = "prepacked for direct sale"
    TO_ORDER = "made to order"


class Style(StrEnum):
    """Lawful ways to set out an ingredient list."""

    ONE_LIST = "one list"
    BY_COMPONENT = "by component"


@dataclass(frozen=True, slots=True, kw_only=True)
class Used:
    """One ingredient of a component as weighed out. [g]"""

    ingredient: str
    grams: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """
    Something made or bought that goes on a cake: a batter, a filling, a coat.

    Attributes
    ----------
    key, name
        Its key and what a maker calls it.
    noun
        What it is on the label, such as ``cake``, ``filling``, ``frosting``.
    used
        What went into the bowl. [g]
    loss_share
        Share of that mass that leaves as steam. [-], 0 to 0.9
    loss_source
        Where the loss comes from.
    leavened
        Whether a chemical leavener raises it; None for what is not baked.
    """

    key: str
    name: str
    noun: str
    used: tuple[Used, ...]
    loss_share: float = 0.0
    loss_source: str = ""
    leavened: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PartOf:
    """How much of one component, ready, is on a cake. [g]"""

    component: str
    grams: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """
    Something that gets a label: a tier or a kitchen cake.

    Attributes
    ----------
    key, name
        Its key, such as ``tier.1``, and what a maker calls it.
    food_name
        Name of the food, as the label says it.
    parts
        What it is made of, ready to eat. [g]
    portions
        Portions into which it is cut; 0 where it is not counted.
    g_per_ml
        Density of the whole; None where unknown. [g/ml]
    diet
        The way of eating that it is made for, or an empty string.
    count
        Number of like cakes.
    food_name_french
        Name of the food in French, where the label says it so too.
    """

    key: str
    name: str
    food_name: str
    parts: tuple[PartOf, ...]
    portions: int = 0
    g_per_ml: float | None = None
    diet: str = ""
    count: int = 1
    food_name_french: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BrandLot:
    """
    What the packet in the cupboard says; it goes before the table.

    Attributes
    ----------
    ingredient
        Key in the larder of what is in the packet.
    lot
        The maker's lot or batch mark.
    product
        What the packet calls it; empty if that is not recorded.
    declaration
        The packet's ingredient list, word for word; empty keeps the table's words.
    contains, may_contain
        Allergens that the packet declares.
    denied
        Allergens that its maker has said in writing are not in it, though foods of the kind hold them.
    species
        Fish, crustaceans or molluscs by name, where it holds any.
    sulphites_mg_per_kg
        Sulphites in the packet's food, where its maker told. [mg/kg]
    vegan
        What the packet says; None where it says nothing.
    composition
        Composition of 100 g from the packet, or None for the table's.
    photo
        File name of the photo of the label.
    read_on
        When it was read.
    declaration_french
        The packet's list in French, word for word; empty if it was not recorded.
    """

    ingredient: str
    lot: str
    product: str = ""
    declaration: str = ""
    contains: tuple[Allergen, ...] = ()
    may_contain: tuple[Allergen, ...] = ()
    denied: tuple[Allergen, ...] = ()
    species: tuple[str, ...] = ()
    sulphites_mg_per_kg: float | None = None
    vegan: Answer | None = None
    composition: Composition | None = None
    photo: str = ""
    read_on: date | None = None
    declaration_french: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossContact:
    """
    A recorded way by which an allergen may have got onto a cake in this kitchen.

    Attributes
    ----------
    allergen
        Which.
    where
        What happened or stands nearby, in words.
    units
        Keys of the cakes concerned; empty for all.
    """

    allergen: Allergen
    where: str
    units: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Unnamed:
    """
    Food on a cake that no row of the larder stands for.

    Attributes
    ----------
    name
        What the maker calls it.
    units
        Keys of the cakes concerned; empty for all.
    """

    name: str
    units: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Avoided:
    """An allergen to which a guest reacts, and who that is in words; what is not known of it is asked first."""

    allergen: Allergen
    guests: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Maker:
    """Who answers for the food: fields of the label; an empty one is asked for."""

    name: str = ""
    address: str = ""
    phone: str = ""
    permit: str = ""
    home_sentence: str = ""


class DateKind(StrEnum):
    """Which date a label carries."""

    BEST_BEFORE = "best before"
    USE_BY = "use by"


@dataclass(frozen=True, slots=True, kw_only=True)
class Durability:
    """The date mark, with the reason for its kind, and how the food is stored."""

    kind: DateKind
    day: date
    reason: str
    storage: str
    storage_french: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelOrder:
    """
    Everything that labels are made from.

    Attributes
    ----------
    jurisdiction, english
        Whose law, and whose English.
    components, units
        What is made, and what gets a label.
    lots
        Packets that were read.
    cross_contact
        Recorded cross-contact in this kitchen.
    maker, durability, batch
        Fields of the label; what is missing is asked for.
    sale, remote
        How it is sold, and whether it is ordered from afar.
    home_kitchen
        Whether it is made in a home.
    style
        How lists are set out.
    short
        Whether the leave for small compound ingredients is taken, where the place gives it.
    stress
        Ingredients that words or pictures on the label stress, beyond those in its name, by their keys.
    allergens
        How allergens are declared, by the name of a lawful form; empty for the usual one of the place.
    french
        Whether list, statements and panel stand in French, too.
    panel, stickers
        Layout of the panel, by the name of a lawful form; sheet of stickers by its key, or empty for the smallest.
    surface_cm2
        Surface of the package that can bear labels. [cm2]
    region
        Country or state whose words for home kitchens apply, by ISO 3166-2; empty if it is not told.
    avoided
        Allergens to which guests react.
    unnamed
        Food that is on the cake and cannot be declared: everything about it is unknown.
    """

    jurisdiction: Jurisdiction
    english: English = English.US
    components: tuple[Component, ...]
    units: tuple[Unit, ...]
    lots: tuple[BrandLot, ...] = ()
    cross_contact: tuple[CrossContact, ...] = ()
    maker: Maker = Maker()
    durability: Durability | None = None
    batch: str = ""
    sale: Sale = Sale.TO_ORDER
    remote: bool = True
    home_kitchen: bool = False
    style: Style = Style.ONE_LIST
    short: bool = False
    stress: tuple[str, ...] = ()
    allergens: str = ""
    french: bool = False
    panel: str = "standard"
    stickers: str = ""
    surface_cm2: float = 500.0
    region: str = ""
    avoided: tuple[Avoided, ...] = ()
    unnamed: tuple[Unnamed, ...] = ()
