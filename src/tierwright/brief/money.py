"""The money side of a kitchen: shops, pantry, pricing, tax and terms, as a person writes them down."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from enum import StrEnum
from typing import Annotated, Literal

from pydantic import Field

from tierwright.brief.fields import Form, Key, LongText, Mass, Money, Share, ShareRange, TableKey, Text
from tierwright.larder import Allergen, find, norms
from tierwright.working import Estimate

Report = Callable[..., None]
Days = Annotated[int, Field(ge=0, le=1000)]


class Label(Form):
    """What the label of a packet says; unread is unknown, and unknown is never absent."""

    label_read: bool = False
    contains: tuple[Allergen, ...] = Field(default=(), max_length=30)
    may_contain: tuple[Allergen, ...] = Field(default=(), max_length=30)


class Price(Label):
    """
    What a pack of an ingredient costs.

    ``pack`` is what can be used of one pack (a dozen large eggs without their shells: 600 g); ``packs`` is more than
    one where the price holds for several packs together; ``most`` is how often the offer may be taken.
    """

    ingredient: Text
    pack: Mass = Field(gt=0, le=100_000)
    price: Money
    shop: Key | None = None
    brand: Annotated[str, Field(max_length=400)] = ""
    packs: int = Field(default=1, ge=1, le=100)
    most: int | None = Field(default=None, ge=1, le=1000)


class WarePrice(Form):
    """What boards, supports, boxes and other things counted by the piece cost, by the key of the table or their own."""

    ware: TableKey
    pieces: int = Field(ge=1, le=10_000)
    price: Money
    shop: Key | None = None


class ShopEntry(Form):
    """
    A shop: days from ordering to having it, least order, charge for an order, and its aisles in the order of the walk.

    Aisles are named by the groups of the larder (``dairy``, ``flour``) or in the maker's own words.
    """

    key: Key
    name: Text
    lead_days: Days = 0
    minimum: Money | None = None
    fee: Money | None = None
    aisles: tuple[Text, ...] = Field(default=(), max_length=60)


class PantryLot(Label):
    """What stands in the pantry: a lot, how much of it is left, and its date mark."""

    lot: Text
    ingredient: Text
    amount: Mass = Field(gt=0, le=1_000_000)
    best_before: date | None = None
    left_by_a_job: bool = False


class Pricing(Form):
    """
    How the maker sets a price; ``by`` says which of the figures leads.

    Nothing here is a market's price: every figure is the maker's own.
    """

    by: Literal["portion", "markup", "margin", "hour"] = "markup"
    per_portion: Money | None = None
    markup: Share | None = Field(default=None, ge=0, le=20)
    margin: Share | None = Field(default=None, ge=0, le=0.95)
    hourly: Money | None = None
    minimum: Money | None = None
    round_to: Money | None = None


class TaxEntry(Form):
    """A rate of tax as the maker has looked it up."""

    key: Key
    name: Text
    rate: Share = Field(ge=0, le=1)


class Tax(Form):
    """The tax table, which rate a cake and its delivery bear, and whether prices are shown with tax."""

    rates: tuple[TaxEntry, ...] = Field(default=(), max_length=20)
    cake: Key | None = None
    delivery: Key | None = None
    shown: Literal["inclusive", "exclusive"] = "exclusive"


class TermsEntry(Form):
    """What the maker asks of every client; a sentence that is left empty is left out of the quotation."""

    retainer: Share = Field(default=0.3, ge=0, le=1)
    freeze_days: Days = 14
    balance_days: Days = 14
    cancellation_days: tuple[Days, ...] = Field(default=(60, 28, 14, 7, 2, 1, 0), min_length=1, max_length=20)
    lost_share: Share = Field(default=0.0, ge=0, le=1)
    lost_from_days: Days = 14
    round_to: Money | None = None
    valid_days: Days = 14
    weather: LongText = ""
    illness: LongText = ""
    set_up: LongText = ""
    allergens: LongText = ""


class Equipment(Form):
    """Equipment that wears out: price, what it is worth at the end, and how many commissions it lasts."""

    name: Text
    price: Money
    residual: Money | None = None
    commissions: int = Field(ge=1, le=100_000)


class CapOn(StrEnum):
    """What a law counts towards a cap on sales."""

    INVOICED = "invoiced"
    RECEIVED = "received"


class SalesCap(Form):
    """A legal cap on a year's sales, as the maker has looked it up."""

    amount: Money
    counts: CapOn = CapOn.RECEIVED
    law: Annotated[str, Field(max_length=400)] = ""


class TaskTimes(Form):
    """
    What the maker has timed of one task of the book of norms: each time as a share of the usual, the latest last.

    1.25 is a quarter more than the usual norm says of the same work.
    """

    task: Text
    paces: tuple[Annotated[float, Field(ge=0.02, le=50)], ...] = Field(min_length=1, max_length=40)


class Accounts(Form):
    """
    Buying and pricing.

    ``layer_failure`` is the chance that a layer has to be baked again; ``cleaning`` the cleaning for each hour in the
    kitchen; ``near_equal`` what less leftover may cost.
    """

    shops: tuple[ShopEntry, ...] = Field(default=(), max_length=50)
    wares: tuple[WarePrice, ...] = Field(default=(), max_length=500)
    pantry: tuple[PantryLot, ...] = Field(default=(), max_length=2000)
    pricing: Pricing = Pricing()
    tax: Tax = Tax()
    terms: TermsEntry = TermsEntry()
    equipment: tuple[Equipment, ...] = Field(default=(), max_length=100)
    cap: SalesCap | None = None
    times: tuple[TaskTimes, ...] = Field(default=(), max_length=100)
    overhead_per_month: Money | None = None
    commissions_per_month: float = Field(default=4.0, ge=0.1, le=500)
    layer_failure: ShareRange = Estimate(value=0.02, low=0.01, high=0.03)
    cleaning: ShareRange = Estimate(value=0.2, low=0.15, high=0.25)
    near_equal: Share = Field(default=0.01, ge=0, le=0.2)


def check_accounts(accounts: Accounts, prices: tuple[Price, ...], report: Report) -> None:
    """Report every name in the money side that nothing else has."""
    shops = [shop.key for shop in accounts.shops]
    known = ", ".join(shops) or "none is given"
    for key in sorted({key for key in shops if shops.count(key) > 1}):
        report("accounts.shops", repr(key), "each shop once")
    for where, shop_key in (
        *((f"prices[{n}].shop", price.shop) for n, price in enumerate(prices, start=1)),
        *((f"accounts.wares[{n}].shop", ware.shop) for n, ware in enumerate(accounts.wares, start=1)),
    ):
        if shop_key is not None and shop_key not in shops:
            report(where, repr(shop_key), f"the key of a shop ({known})")
    lots = [lot.lot for lot in accounts.pantry]
    for position, lot in enumerate(accounts.pantry, start=1):
        if find(lot.ingredient).ingredient is None:
            report(f"accounts.pantry[{position}].ingredient", repr(lot.ingredient), "an ingredient of the table")
        if lots.count(lot.lot) > 1:
            report(f"accounts.pantry[{position}].lot", repr(lot.lot), "a name that no other lot has")
    rates = [rate.key for rate in accounts.tax.rates]
    for name in ("cake", "delivery"):
        rate = getattr(accounts.tax, name)
        if rate is not None and rate not in rates:
            report(f"accounts.tax.{name}", repr(rate), f"the key of a rate ({', '.join(rates) or 'none is given'})")
    tasks = [one.task for one in accounts.times]
    for position, task in enumerate(tasks, start=1):
        if task not in norms() or tasks.count(task) > 1:
            report(f"accounts.times[{position}].task", repr(task), "a task of the book of norms, each once")
    pricing = accounts.pricing
    needed = {"portion": "per_portion", "margin": "margin", "hour": "hourly"}.get(pricing.by)
    if needed is not None and getattr(pricing, needed) is None:
        report(f"accounts.pricing.{needed}", "nothing", f"a figure, since prices are set by {pricing.by}")
    for position, one in enumerate(accounts.equipment, start=1):
        if one.residual is not None and one.residual > one.price:
            report(f"accounts.equipment[{position}].residual", f"{one.residual}", f"at most its price, {one.price}")
