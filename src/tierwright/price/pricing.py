"""From the cost to a price: the floor, what the maker's policy asks, and what each line of the brief adds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from tierwright.errors import require_range
from tierwright.price.cost import as_decimal, less, work_out
from tierwright.price.currency import rounded_up, to_coins
from tierwright.price.model import Cost, CostInputs, Marginal, PolicyKind, Priced, PricePolicy
from tierwright.price.notes import notes_on

STEPS_PER_HOUR: Final = 4


def asked_price(cost: Cost, policy: PricePolicy, portions: int) -> Decimal:
    """
    Return what the maker's policy asks, before tax.

    Parameters
    ----------
    cost
        What it costs.
    policy
        The maker's way to a price.
    portions
        Portions that are sold. [-]

    Notes
    -----
    Markup m on cost C asks C (1 + m); a margin r on the price asks C / (1 - r), so that r = m / (1 + m). A target for
    the hour asks everything but wages, plus hours × target. The least sum of a commission and the rounding come last.
    The price of a market is nobody's to say: the figures are the maker's own.
    """
    match policy.kind:
        case PolicyKind.PER_PORTION:
            price = policy.per_portion * portions
        case PolicyKind.COST_PLUS:
            price = cost.total.value * (1 + policy.markup)
        case PolicyKind.MARGIN:
            price = cost.total.value / (1 - policy.margin)
        case PolicyKind.HOURLY:
            price = cost.total.value - cost.hands + as_decimal(cost.hours.value) * policy.hourly
    return rounded_up(max(price, policy.minimum), policy.step, cost.currency)


def wage_at(cost: Cost, price: Decimal) -> Decimal:
    """Return what an hour of hands brings at a price before tax: what is left of it after all other cost. [money/h]"""
    hours = as_decimal(cost.hours.value)
    if hours <= 0:
        return Decimal(0)
    return to_coins((price - (cost.total.value - cost.hands)) / hours, cost.currency)


def price_commission(inputs: CostInputs, policy: PricePolicy, portions: int, lines: Mapping[str, str]) -> Priced:
    """
    Price a commission.

    Parameters
    ----------
    inputs
        What it takes.
    policy
        The maker's way to a price.
    portions
        Portions that are sold. [-]
    lines
        Lines of the brief by tag, in words, whose addition is to be told.

    Returns
    -------
    priced
        With what each line of the brief adds: the difference to the same commission without what it asks for.
    """
    require_range("portions", portions, 1, 100_000, "portions", "price")
    cost = work_out(inputs)
    asked = asked_price(cost, policy, portions)
    marginals = tuple(
        _marginal(cost, asked, policy, portions, of, label)
        for of, label in lines.items()
        if any(line.of == of for line in cost.lines)
    )
    return Priced(
        cost=cost,
        floor=cost.total.value,
        asked=asked,
        wage=wage_at(cost, asked),
        portions=portions,
        marginals=marginals,
        notes=notes_on(inputs, cost, asked, wage_at(cost, asked), portions, policy),
    )


def without(inputs: CostInputs, of: str) -> CostInputs:
    """Return what the commission takes without one line of the brief."""
    return replace(
        inputs,
        materials=tuple(one for one in inputs.materials if one.of != of),
        works=tuple(one for one in inputs.works if one.of != of),
        energies=tuple(one for one in inputs.energies if one.of != of),
        hires=tuple(one for one in inputs.hires if one.of != of),
        failures=tuple(one for one in inputs.failures if one.of != of),
        travel_km=None if of == "distance" else inputs.travel_km,
    )


def _marginal(cost: Cost, asked: Decimal, policy: PricePolicy, portions: int, of: str, label: str) -> Marginal:
    rest = less(cost, of)
    # By the portion, a line of the brief adds nothing to the price until the number of portions changes.
    cheaper = asked_price(rest, policy, portions)
    return Marginal(
        of=of,
        label=label,
        cost=cost.total.value - rest.total.value,
        price=asked - cheaper,
        hours=cost.hours.value - rest.hours.value,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Discount:
    """
    A reduction and what it does.

    Attributes
    ----------
    off, price
        What is given, and what is left to pay before tax.
    wage_before, wage_after
        What an hour brings. [money/h]
    above_floor
        Whether the wage wanted is still earned.
    """

    off: Decimal
    price: Decimal
    wage_before: Decimal
    wage_after: Decimal
    above_floor: bool


def discount(priced: Priced, *, share: Decimal = Decimal(0), off: Decimal = Decimal(0)) -> Discount:
    """
    Return what a discount does to the wage.

    Parameters
    ----------
    priced
        The commission.
    share
        Share of the asked price that is given. [-], 0 to 1
    off
        Amount that is given on top.
    """
    require_range("discount", float(share), 0.0, 1.0, "share", "discount")
    require_range("discount", float(off), 0.0, float(priced.asked), "in money", "discount")
    currency = priced.cost.currency
    given = min(priced.asked, to_coins(priced.asked * share, currency) + to_coins(off, currency))
    price = priced.asked - given
    return Discount(
        off=given,
        price=price,
        wage_before=priced.wage,
        wage_after=wage_at(priced.cost, price),
        above_floor=price >= priced.floor,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Other:
    """Another commission of the same week: its hours, and what it leaves for them (price less all but wages). [h]"""

    title: str
    hours: float
    earns: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Opportunity:
    """
    What a commission displaces in a full week.

    Attributes
    ----------
    short_h
        Hours that are missing. [h]
    gives_up
        Commissions that would have to go, the cheapest set that frees the hours.
    lost
        What those would have earned.
    possible
        False where giving all of them up would not free enough.
    """

    short_h: float
    gives_up: tuple[str, ...]
    lost: Decimal
    possible: bool


def opportunity(hours: float, free_h: float, others: Sequence[Other]) -> Opportunity:
    """
    Return what the hours of a commission would earn otherwise, in a week that is full.

    Parameters
    ----------
    hours
        That the commission takes. [h]
    free_h
        That the week still has. [h]
    others
        What else is asked for in that week.

    Notes
    -----
    The cheapest set of others that frees the missing hours: a covering knapsack, solved exactly by dynamic programming
    in quarters of an hour, needs rounded up and what is freed rounded down.
    """
    short = hours - free_h
    if short <= 0:
        return Opportunity(short_h=0.0, gives_up=(), lost=Decimal(0), possible=True)
    need = int(-(-short * STEPS_PER_HOUR // 1))
    # best[f]: least earnings given up to free f quarters (or more, at the top), with the set.
    best: list[tuple[Decimal, tuple[int, ...]] | None] = [None] * (need + 1)
    best[0] = (Decimal(0), ())
    for number, other in enumerate(others):
        freed = int(other.hours * STEPS_PER_HOUR)
        for at in range(need, -1, -1):
            held = best[at]
            if held is None or freed <= 0:
                continue
            to = min(need, at + freed)
            there = best[to]
            offer = (held[0] + other.earns, (*held[1], number))
            if to != at and (there is None or offer[0] < there[0]):
                best[to] = offer
    found = best[need]
    if found is None:
        return Opportunity(
            short_h=short,
            gives_up=tuple(other.title for other in others),
            lost=sum((other.earns for other in others), Decimal(0)),
            possible=False,
        )
    return Opportunity(short_h=short, gives_up=tuple(others[n].title for n in found[1]), lost=found[0], possible=True)
