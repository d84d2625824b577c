"""The shapes that purchase takes and gives."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from tierwright.errors import require_range
from tierwright.larder import Allergen
from tierwright.working import Notes, Source


class Unit(StrEnum):
    """What an item is counted in."""

    GRAM = "g"
    PIECE = "pieces"


class AllergenStatus(StrEnum):
    """What is known of the allergens of a pack: unread is never absent."""

    READ = "label read"
    UNREAD = "label not read"


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """
    Something that is bought.

    Attributes
    ----------
    key
        Key of the larder, of a board or support, or the maker's own.
    name
        In the maker's words.
    aisle
        Group of shelves in a shop, such as ``dairy``.
    unit
        What it is counted in.
    contains, ask_about
        Allergens that are certainly there, and those that only the label settles.
    keeps_days
        Days that it keeps unopened, counted from the day it is bought. [days]
    buy_before_days
        Days before its use on which it is bought at the latest. [days]
    """

    key: str
    name: str
    aisle: str
    unit: Unit = Unit.GRAM
    contains: tuple[Allergen, ...] = ()
    ask_about: tuple[Allergen, ...] = ()
    keeps_days: int = 365
    buy_before_days: int = 1

    def __post_init__(self) -> None:
        require_range("days before use", self.buy_before_days, 0, 60, "days", self.key)
        require_range("days it keeps", self.keeps_days, self.buy_before_days, 36500, "days", self.key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """
    An amount of one item that one commission uses on one day.

    Attributes
    ----------
    item, commission
        Keys.
    amount
        What enters the bowl (or is cut, or stood on). [g or pieces]
    waste
        Stated share lost on top of that: what sticks to packet and scale, cracked eggs, bruised fruit. [-], 0 to 1
    day
        Day of use.
    avoid
        Allergens that this commission must be kept clear of.
    """

    item: str
    commission: str
    amount: float
    day: date
    waste: float = 0.0
    avoid: tuple[Allergen, ...] = ()

    def __post_init__(self) -> None:
        require_range("amount", self.amount, 0.0, 1e7, "g or pieces", self.item)
        require_range("waste", self.waste, 0.0, 1.0, "share", self.item)

    @property
    def needed(self) -> float:
        """Amount with its waste. [g or pieces]"""
        return self.amount * (1.0 + self.waste)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """
    What already stands in the pantry, or is left over by another job.

    Attributes
    ----------
    key, item
        Name of the lot, as on its label, and what it is.
    amount
        What is left of it. [g or pieces]
    best_before
        Last day on which it is used; None where it carries no date.
    from_day
        First day on which it is there; None for now.
    status, contains, may_contain
        Whether its label was read, and what that says.
    by_product
        Left by another job, such as the whites of eggs separated for a curd: used before anything else.
    """

    key: str
    item: str
    amount: float
    best_before: date | None = None
    from_day: date | None = None
    status: AllergenStatus = AllergenStatus.UNREAD
    contains: tuple[Allergen, ...] = ()
    may_contain: tuple[Allergen, ...] = ()
    by_product: bool = False

    def __post_init__(self) -> None:
        require_range("amount", self.amount, 0.0, 1e7, "g or pieces", self.key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """
    Where things are bought.

    Attributes
    ----------
    key, name
        Name in the price book, and in words.
    lead_days
        Days from ordering to having it; 0 for a shop one walks into. [days]
    minimum
        Least sum of one order.
    fee
        Delivery charge, or what a trip costs, once an order.
    aisles
        Groups of shelves in the order of the walk; others come after, by name.
    """

    key: str
    name: str
    lead_days: int = 0
    minimum: Decimal = Decimal(0)
    fee: Decimal = Decimal(0)
    aisles: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        require_range("lead time", self.lead_days, 0, 365, "days", self.key)
        _not_negative("minimum order", self.minimum, self.key)
        _not_negative("fee", self.fee, self.key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """
    One way to buy an item: so much for so much.

    Attributes
    ----------
    key, item, shop
        Name of the row, what it is, and where.
    name
        Brand or description, in the maker's words.
    content
        What one pack holds. [g or pieces]
    packs
        Packs in the offer: 1, or more for a price that holds for several together.
    price
        For all packs of the offer.
    most
        How often it may be taken at most; None for no limit. [-]
    status, contains, may_contain
        Whether its label was read, and what that says.
    """

    key: str
    item: str
    shop: str
    name: str
    content: float
    price: Decimal
    packs: int = 1
    most: int | None = None
    status: AllergenStatus = AllergenStatus.UNREAD
    contains: tuple[Allergen, ...] = ()
    may_contain: tuple[Allergen, ...] = ()

    def __post_init__(self) -> None:
        require_range("content", self.content, 0.1, 1e6, "g or pieces", self.key)
        require_range("packs", self.packs, 1, 1000, "packs", self.key)
        _not_negative("price", self.price, self.key)

    @property
    def amount(self) -> float:
        """What the whole offer holds. [g or pieces]"""
        return self.content * self.packs


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """
    A whole that is taken apart: an egg into white and yolk, a lemon into juice and zest.

    Attributes
    ----------
    whole
        Item that is taken apart.
    piece
        Amount of the whole in one piece, in the unit of the whole. [g or pieces]
    parts
        Items that come out, with what one piece gives. [g]
    source
        Where the yields come from.
    """

    whole: str
    piece: float
    parts: tuple[tuple[str, float], ...]
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class BuyingRule:
    """When an item of one group of the larder is bought. [days before use]"""

    group: str
    buy_before_days: int
    waste: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Policy:
    """
    How the maker likes to buy.

    Attributes
    ----------
    near_equal
        Extra cost, as a share of the cheapest, that is accepted for less leftover. [-], 0 to 0.2
    """

    near_equal: float = 0.01

    def __post_init__(self) -> None:
        require_range("near-equal cost", self.near_equal, 0.0, 0.2, "share", "policy")


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """The price book and the pantry: shops, offers, lots in stock, and what can be taken apart."""

    shops: tuple[Shop, ...]
    offers: tuple[Offer, ...]
    stock: tuple[Lot, ...] = ()
    splits: tuple[Split, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Allocation:
    """How much of a purchase or lot goes to which commission on which day. [g or pieces]"""

    commission: str
    day: date
    amount: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PurchaseLine:
    """
    One line of the shopping list.

    Attributes
    ----------
    shop, aisle, offer, item, name
        Where, on which shelves, which row of the price book, and what in words.
    unit, content, packs
        Unit, content of one pack, and how many packs. [g or pieces]
    price
        For all of them.
    order_by, buy_on
        Last day to order and day to have it; the same for a shop that one walks into.
    for_whom
        Which commissions use how much.
    left
        What is over. [g or pieces]
    label_unread
        Allergens that a commission has to be kept clear of, and on which this pack's label has not been read.
    """

    shop: str
    aisle: str
    offer: str
    item: str
    name: str
    unit: Unit
    content: float
    packs: int
    price: Decimal
    order_by: date
    buy_on: date
    for_whom: tuple[Allocation, ...]
    left: float
    label_unread: tuple[Allergen, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FromStock:
    """What is taken from a lot of the pantry, for whom. [g or pieces]"""

    lot: str
    item: str
    name: str
    unit: Unit
    for_whom: tuple[Allocation, ...]
    left: float
    best_before: date | None
    by_product: bool
    label_unread: tuple[Allergen, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SplitDone:
    """Pieces that are taken apart for one commission on one day, and what is left of their parts. [pieces], [g]"""

    whole: str
    commission: str
    day: date
    pieces: int
    left: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmet:
    """An amount that no row of the price book can give, and why. [g or pieces]"""

    item: str
    name: str
    aisle: str
    unit: Unit
    amount: float
    buy_by: date
    commissions: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PurchasePlan:
    """
    The shopping list of a set of commissions.

    Attributes
    ----------
    lines
        To buy, by day, shop and the walk through it.
    from_stock, splits, unmet
        What the pantry gives, what is taken apart, and what the price book cannot give.
    goods, fees, total
        Sum of the lines, delivery charges, and both.
    bound
        Sum below which no choice of packs can come; with ``proven`` it is at most the near-equal share lower.
    proven
        Whether the search closed: nothing cheaper (beyond the near-equal share) exists.
    notes
        Figures, questions, cautions and assumptions.
    """

    lines: tuple[PurchaseLine, ...]
    from_stock: tuple[FromStock, ...]
    splits: tuple[SplitDone, ...]
    unmet: tuple[Unmet, ...]
    goods: Decimal
    fees: Decimal
    total: Decimal
    bound: Decimal
    proven: bool
    notes: Notes


def _not_negative(quantity: str, amount: Decimal, place: str) -> None:
    require_range(quantity, float(amount), 0.0, 1e7, "in money", place)
