"""The shapes that cost and price take and give."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from tierwright.errors import require_range
from tierwright.larder import Norm
from tierwright.working import Estimate, Notes

ALL = ""
"""Tag of what belongs to the whole commission and to no single line of the brief."""


USUAL_CLEANING = Estimate(value=0.2, low=0.15, high=0.3)
"""Cleaning for each hour in the kitchen. [-] Common practice: one hour for five of work."""


class CostGroup(StrEnum):
    """What money goes on."""

    INGREDIENTS = "ingredients"
    WARES = "boards, supports, boxes"
    ENERGY = "energy"
    HANDS = "hands"
    TRAVEL = "travel"
    OVERHEAD = "overhead"
    WEAR = "wear of equipment"
    HIRE = "hire"
    RISK = "reserve for failures"


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """An amount of money with its likely range."""

    value: Decimal
    low: Decimal
    high: Decimal

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            raise ValueError(f"a span needs low <= value <= high, not {self.low}, {self.value}, {self.high}")

    @classmethod
    def exact(cls, value: Decimal) -> Span:
        """Return an amount without spread."""
        return cls(value=value, low=value, high=value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """
    Something that is used up.

    Attributes
    ----------
    key, label, group
        Name, words, and what it goes under.
    used, bought
        Price of what is used, and of the whole packs that have to be bought for it.
    spread
        Half of the likely range, as a share of its price. [-]
    of
        Line of the brief that asks for it: ``tier.2``, ``kitchen.1``, ``flowers``, ``distance``, or ``ALL``.
    days_before
        Days before the handover on which it is paid. [days]
    """

    key: str
    label: str
    group: CostGroup = CostGroup.INGREDIENTS
    used: Decimal
    bought: Decimal
    spread: float = 0.1
    of: str = ALL
    days_before: int = 3

    def __post_init__(self) -> None:
        require_range("price", float(self.used), 0.0, 1e7, "in money", self.key)
        require_range("price of packs", float(self.bought), 0.0, 1e7, "in money", self.key)
        require_range("spread", self.spread, 0.0, 1.0, "share", self.key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """
    A task of one commission.

    Attributes
    ----------
    norm
        How long one takes.
    count
        Units of it. [-]
    jobs
        How often it is begun; part of one where several lines of the brief share it. [-]
    factor
        Its pace over the norm's, such as that of a finish that takes longer. [-]
    rate
        Wage wanted by whoever does it. [money/h]
    of
        Line of the brief that asks for it.
    hand
        Who does it.
    days_before
        Days before the handover on which it is done. [days]
    """

    norm: Norm
    count: float
    rate: Decimal
    of: str = ALL
    hand: str = ""
    days_before: int = 1
    jobs: float = 1.0
    factor: float = 1.0

    def __post_init__(self) -> None:
        require_range("count", self.count, 0.0, 1e5, "times", self.norm.task)
        require_range("rate", float(self.rate), 0.0, 1e5, "in money an hour", self.norm.task)

    @property
    def minutes(self) -> Estimate:
        """Time that the task takes. [min]"""
        return self.norm.minutes(self.count, self.factor, jobs=self.jobs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Energy:
    """Energy that one line of the brief takes: kilowatt hours, and the price of one. [kWh]"""

    label: str
    energy_kwh: Estimate
    price: Decimal
    of: str = ALL


@dataclass(frozen=True, slots=True, kw_only=True)
class Hire:
    """Something lent to the client: a deposit that goes back, what lending it costs, and the chance of its loss. [-]"""

    label: str
    deposit: Decimal
    cost: Decimal
    loss: Estimate
    of: str = ALL


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """
    Something that may have to be made twice.

    Attributes
    ----------
    label
        In words, such as ``a layer of the bottom tier``.
    count
        How many of them there are. [-]
    chance
        Chance that one fails. [-]
    cost
        What making one again costs: materials and hands.
    of
        Line of the brief that asks for it.
    """

    label: str
    count: int
    chance: Estimate
    cost: Decimal
    of: str = ALL


@dataclass(frozen=True, slots=True, kw_only=True)
class CostInputs:
    """
    Everything that a commission costs, before it is added up.

    Attributes
    ----------
    currency
        Of every amount.
    materials, works, energies, hires, failures
        See the shapes.
    overhead_per_hour, overhead_per_month, commissions_per_month
        Rent, insurance, licences, telephone: by the hour, by the month, and how many commissions bear a month. [-]
    travel_km, travel_per_km
        Way there and back, and what a kilometre costs. [km]
    wear
        Label and amount a commission, from ``wear``.
    cleaning_share
        Cleaning for each hour in the kitchen. [-]
    cleaning_rate
        Wage of whoever cleans. [money/h]
    """

    currency: str
    materials: tuple[Material, ...] = ()
    works: tuple[Work, ...] = ()
    energies: tuple[Energy, ...] = ()
    hires: tuple[Hire, ...] = ()
    failures: tuple[Failure, ...] = ()
    overhead_per_hour: Decimal = Decimal(0)
    overhead_per_month: Decimal = Decimal(0)
    commissions_per_month: float = 4.0
    travel_km: Estimate | None = None
    travel_per_km: Decimal = Decimal(0)
    wear: tuple[tuple[str, Decimal], ...] = ()
    cleaning_share: Estimate = USUAL_CLEANING
    cleaning_rate: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        require_range("commissions a month", self.commissions_per_month, 0.1, 500, "commissions", "rates")
        require_range("cleaning share", self.cleaning_share.value, 0.0, 2.0, "h/h", "rates")


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLine:
    """
    One line of the cost.

    Attributes
    ----------
    key, label, group
        Name, words, and what it goes under.
    amount
        In whole coins, with its range.
    hours
        Hours of hands in it. [h]
    of
        Line of the brief that asks for it.
    days_before
        Days before the handover on which it is spent. [days]
    """

    key: str
    label: str
    group: CostGroup
    amount: Span
    hours: Estimate
    of: str
    days_before: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """What makes the cost uncertain: a line, its range, and its share of the range of the whole. [-]"""

    key: str
    label: str
    low: Decimal
    high: Decimal
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """
    What a commission costs.

    Attributes
    ----------
    currency
        Of every amount.
    lines
        In the order of the groups.
    total
        The floor: everything, with the wage that is wanted.
    hands
        Wages in it.
    hours
        Hours of hands. [h]
    bought
        What the shops are paid, whole packs; more than is used.
    groups
        Sum of each group.
    drivers
        What makes it uncertain, greatest first.
    """

    currency: str
    lines: tuple[CostLine, ...]
    total: Span
    hands: Decimal
    hours: Estimate
    bought: Decimal
    groups: tuple[tuple[CostGroup, Decimal], ...]
    drivers: tuple[Driver, ...]


class PolicyKind(StrEnum):
    """How the maker sets a price."""

    PER_PORTION = "per portion"
    COST_PLUS = "markup on cost"
    MARGIN = "margin on price"
    HOURLY = "target for an hour"


@dataclass(frozen=True, slots=True, kw_only=True)
class PricePolicy:
    """
    The maker's own way to a price.

    Attributes
    ----------
    kind
        Which of the figures below leads.
    per_portion
        Price of a portion.
    markup
        Addition to cost. [-], 0.25 for a quarter
    margin
        Share of the price that is left after cost. [-], below 1
    hourly
        What an hour shall bring.
    minimum
        Least sum of a commission.
    step
        Step to which a price is rounded up.
    """

    kind: PolicyKind = PolicyKind.COST_PLUS
    per_portion: Decimal = Decimal(0)
    markup: Decimal = Decimal(0)
    margin: Decimal = Decimal(0)
    hourly: Decimal = Decimal(0)
    minimum: Decimal = Decimal(0)
    step: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        for name in ("per_portion", "markup", "hourly", "minimum", "step"):
            require_range(name.replace("_", " "), float(getattr(self, name)), 0.0, 1e7, "", "price policy")
        require_range("margin", float(self.margin), 0.0, 0.95, "share", "price policy")


@dataclass(frozen=True, slots=True, kw_only=True)
class Marginal:
    """
    What one line of the brief adds.

    Attributes
    ----------
    of, label
        Which line, in words.
    cost
        What the commission would cost less without it.
    price
        What would be asked less without it.
    hours
        Hours that it takes. [h]
    """

    of: str
    label: str
    cost: Decimal
    price: Decimal
    hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """
    Cost and price of a commission.

    Attributes
    ----------
    cost
        All of it.
    floor
        Below it the wage wanted is not earned.
    asked
        What the policy asks, before tax.
    wage
        What an hour brings at the asked price. [money/h]
    portions
        Portions over which it is divided. [-]
    marginals
        What each line of the brief adds.
    notes
        Figures, questions and assumptions.
    """

    cost: Cost
    floor: Decimal
    asked: Decimal
    wage: Decimal
    portions: int
    marginals: tuple[Marginal, ...]
    notes: Notes
