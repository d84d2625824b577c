"""What a commission costs: every line in whole coins, a range, and what drives it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from math import sqrt
from typing import Final

from tierwright.larder import Stage
from tierwright.price.currency import to_coins
from tierwright.price.model import (
    ALL,
    Cost,
    CostGroup,
    CostInputs,
    CostLine,
    Driver,
    Span,
)
from tierwright.working import NOTHING, Estimate

MINUTES: Final = 60
MOST_DRIVERS: Final = 6
ALIKE: Final = 0.5
"""Correlation of the errors of two lines of one group. [-] From memory: neither independent nor wholly alike."""


def as_decimal(value: float) -> Decimal:
    """Return a measured number as a decimal of six places: its source is never finer."""
    return Decimal(f"{value:.6f}")


def work_out(inputs: CostInputs) -> Cost:
    """
    Add up what a commission costs.

    Parameters
    ----------
    inputs
        Everything that is used, done, lent or risked.

    Returns
    -------
    cost
        Lines in whole coins; their sum is the total to the coin.

    Notes
    -----
    Cleaning is a share of all hours that dirty the kitchen. Overhead by the hour goes over every hour, cleaning
    included; by the month, over the commissions of a month. The reserve is count × chance × cost of making it again,
    the mean of a binomial number of failures.

    The range: lines of one group err partly alike (a day on which everything is slow, a year in which everything is
    dear), those of different groups independently. Half-ranges h add up as sum over groups of
    r (sum h)^2 + (1 - r) sum h^2, with r = ``ALIKE``, each side by itself [1]_. A line's share of the range is
    h (r sum h + (1 - r) h) over that.

    References
    ----------
    .. [1] JCGM 100:2008, Guide to the expression of uncertainty in measurement, 5.2.2, eq. 16, with one correlation
       coefficient within a group and none between groups.
    """
    hands = _hands(inputs)
    lines = _materials(inputs) + hands + _energy(inputs) + _travel(inputs) + _overhead(inputs, hands)
    lines += _wear(inputs) + _hire(inputs) + _risk(inputs)
    order = {group: place for place, group in enumerate(CostGroup)}
    lines.sort(key=lambda line: order[line.group])
    sums: dict[CostGroup, Decimal] = {}
    for line in lines:
        sums[line.group] = sums.get(line.group, Decimal(0)) + line.amount.value
    groups = tuple(sums.items())
    total = sum((amount for _, amount in groups), Decimal(0))
    low, high = _half(lines, low=True), _half(lines, low=False)
    return Cost(
        currency=inputs.currency,
        lines=tuple(lines),
        total=Span(
            value=total,
            low=max(Decimal(0), total - to_coins(low, inputs.currency)),
            high=total + to_coins(high, inputs.currency),
        ),
        hands=sums.get(CostGroup.HANDS, Decimal(0)),
        hours=_hours(lines),
        bought=to_coins(sum((one.bought for one in inputs.materials), Decimal(0)), inputs.currency),
        groups=groups,
        drivers=_drivers(lines),
    )


def less(cost: Cost, of: str) -> Cost:
    """
    Return a cost without the lines that one line of the brief asks for.

    Notes
    -----
    Cleaning and overhead by the hour are said for each line of the brief, so that what is left is what ``work_out``
    comes to without it; the range and what drives it are not worked anew.
    """
    lines = [line for line in cost.lines if line.of != of]
    total = sum((line.amount.value for line in lines), Decimal(0))
    worked = [line for line in lines if line.group is CostGroup.HANDS]
    return replace(
        cost,
        lines=tuple(lines),
        total=Span.exact(total),
        hands=sum((line.amount.value for line in worked), Decimal(0)),
        hours=Estimate.exact(sum(line.hours.value for line in worked)),
        groups=(),
        drivers=(),
    )


def sunk(cost: Cost, days_before: int) -> Decimal:
    """Return what has been spent of a cost, that many days before the handover. [days]"""
    return sum((line.amount.value for line in cost.lines if line.days_before >= days_before), Decimal(0))


def _line(
    inputs: CostInputs,
    key: str,
    label: str,
    group: CostGroup,
    amount: tuple[Decimal, Decimal, Decimal],
    *,
    hours: Estimate = NOTHING,
    of: str = ALL,
    days_before: int = 0,
) -> CostLine:
    low, value, high = (to_coins(one, inputs.currency) for one in amount)
    return CostLine(
        key=key,
        label=label,
        group=group,
        amount=Span(value=value, low=min(low, value), high=max(high, value)),
        hours=hours,
        of=of,
        days_before=days_before,
    )


def _times(estimate: Estimate, price: Decimal) -> tuple[Decimal, Decimal, Decimal]:
    return (as_decimal(estimate.low) * price, as_decimal(estimate.value) * price, as_decimal(estimate.high) * price)


def _materials(inputs: CostInputs) -> list[CostLine]:
    return [
        _line(
            inputs,
            f"material.{one.key}" + (f".{one.of}" if one.of else ""),
            one.label,
            one.group,
            _times(Estimate.within(1.0, one.spread), one.used),
            of=one.of,
            days_before=one.days_before,
        )
        for one in inputs.materials
    ]


def _hands(inputs: CostInputs) -> list[CostLine]:
    timed = [(work, work.minutes) for work in inputs.works]
    timed = [(work, minutes) for work, minutes in timed if minutes.high > 0]
    lines: list[CostLine] = []
    dirty: dict[str, list[tuple[Estimate, int]]] = {}
    for work, minutes in timed:
        hours = minutes * (1 / MINUTES)
        lines.append(
            _line(
                inputs,
                f"hands.{work.norm.task}" + (f".{work.of}" if work.of else ""),
                work.norm.label,
                CostGroup.HANDS,
                _times(hours, work.rate),
                hours=hours,
                of=work.of,
                days_before=work.days_before,
            )
        )
        if work.norm.kitchen:
            dirty.setdefault(work.of, []).append((minutes, work.days_before))
    share = inputs.cleaning_share
    if share.high <= 0:
        return lines
    # Cleaning is said for each line of the brief, so that leaving one out leaves its cleaning out too.
    for of in dict.fromkeys(work.of for work in inputs.works):
        if of not in dirty:
            continue
        spent = [minutes for minutes, _days in dirty[of]]
        cleaning = Estimate(
            value=sum(one.value for one in spent) * share.value / MINUTES,
            low=sum(one.low for one in spent) * share.low / MINUTES,
            high=sum(one.high for one in spent) * share.high / MINUTES,
        )
        lines.append(
            _line(
                inputs,
                "hands.cleaning" + (f".{of}" if of else ""),
                "cleaning up",
                CostGroup.HANDS,
                _times(cleaning, inputs.cleaning_rate),
                hours=cleaning,
                of=of,
                days_before=min(days for _minutes, days in dirty[of]),
            )
        )
    return lines


def _energy(inputs: CostInputs) -> list[CostLine]:
    return [
        _line(
            inputs,
            f"energy.{number}" + (f".{one.of}" if one.of else ""),
            one.label,
            CostGroup.ENERGY,
            _times(one.energy_kwh, one.price),
            of=one.of,
            days_before=1,
        )
        for number, one in enumerate(inputs.energies, start=1)
    ]


def _travel(inputs: CostInputs) -> list[CostLine]:
    if inputs.travel_km is None or inputs.travel_km.high <= 0:
        return []
    return [
        _line(
            inputs,
            "travel.distance",
            "kilometres there and back",
            CostGroup.TRAVEL,
            _times(inputs.travel_km, inputs.travel_per_km),
            of="distance",
        )
    ]


def _overhead(inputs: CostInputs, worked: Sequence[CostLine]) -> list[CostLine]:
    lines: list[CostLine] = []
    if inputs.overhead_per_hour > 0:
        for of in dict.fromkeys(line.of for line in worked):
            hours = NOTHING
            mine = [line for line in worked if line.of == of]
            for line in mine:
                hours = hours + line.hours
            lines.append(
                _line(
                    inputs,
                    "overhead.hours" + (f".{of}" if of else ""),
                    "overhead by the hour",
                    CostGroup.OVERHEAD,
                    _times(hours, inputs.overhead_per_hour),
                    of=of,
                    # It runs with the work; the last of it is what it is counted with.
                    days_before=max(0, min(line.days_before for line in mine)),
                )
            )
    if inputs.overhead_per_month > 0:
        share = inputs.overhead_per_month / as_decimal(inputs.commissions_per_month)
        lines.append(
            _line(
                inputs,
                "overhead.month",
                "share of the month's overhead",
                CostGroup.OVERHEAD,
                (share, share, share),
            )
        )
    return lines


def _wear(inputs: CostInputs) -> list[CostLine]:
    return [
        _line(inputs, f"wear.{number}", label, CostGroup.WEAR, (amount, amount, amount))
        for number, (label, amount) in enumerate(inputs.wear, start=1)
    ]


def _hire(inputs: CostInputs) -> list[CostLine]:
    lines: list[CostLine] = []
    for number, one in enumerate(inputs.hires, start=1):
        low, value, high = _times(one.loss, one.deposit)
        lines.append(
            _line(
                inputs,
                f"hire.{number}",
                f"{one.label}, lent",
                CostGroup.HIRE,
                (one.cost + low, one.cost + value, one.cost + high),
                of=one.of,
            )
        )
    return lines


def _risk(inputs: CostInputs) -> list[CostLine]:
    return [
        _line(
            inputs,
            f"risk.{number}" + (f".{one.of}" if one.of else ""),
            f"reserve: {one.label}",
            CostGroup.RISK,
            _times(one.chance * one.count, one.cost),
            of=one.of,
            days_before=1,
        )
        for number, one in enumerate(inputs.failures, start=1)
        if one.count
    ]


def _hours(lines: Sequence[CostLine]) -> Estimate:
    worked = [line.hours for line in lines]
    value = sum(one.value for one in worked)
    down, up = ([one.value - one.low for one in worked], [one.high - one.value for one in worked])
    return Estimate(value=value, low=max(0.0, value - sqrt(_alike(down))), high=value + sqrt(_alike(up)))


def _alike(halves: Sequence[float]) -> float:
    """Square of the half-range of a sum whose parts err partly alike."""
    return ALIKE * sum(halves) ** 2 + (1 - ALIKE) * sum(half**2 for half in halves)


def _grouped(lines: Sequence[CostLine], *, low: bool) -> dict[CostGroup, list[tuple[CostLine, float]]]:
    halves: dict[CostGroup, list[tuple[CostLine, float]]] = {}
    for line in lines:
        side = line.amount.value - line.amount.low if low else line.amount.high - line.amount.value
        halves.setdefault(line.group, []).append((line, float(side)))
    return halves


def _half(lines: Sequence[CostLine], *, low: bool) -> Decimal:
    """Half-range of the whole on one side."""
    groups = _grouped(lines, low=low)
    return as_decimal(sqrt(sum(_alike([half for _, half in members]) for members in groups.values())))


def _drivers(lines: Sequence[CostLine]) -> tuple[Driver, ...]:
    shares: dict[str, float] = {}
    for low in (True, False):
        groups = _grouped(lines, low=low)
        whole = sum(_alike([half for _, half in members]) for members in groups.values())
        for members in groups.values():
            together = sum(half for _, half in members)
            for line, half in members:
                part = half * (ALIKE * together + (1 - ALIKE) * half) / whole / 2 if whole else 0.0
                shares[line.key] = shares.get(line.key, 0.0) + part
    merged: dict[tuple[CostGroup, str], list[CostLine]] = {}
    for line in lines:
        merged.setdefault((line.group, line.label), []).append(line)
    drivers = [
        Driver(
            key=same[0].key,
            label=label,
            low=sum((line.amount.low for line in same), Decimal(0)),
            high=sum((line.amount.high for line in same), Decimal(0)),
            share=sum(shares[key] for key in dict.fromkeys(line.key for line in same)),
        )
        for (_, label), same in merged.items()
    ]
    drivers.sort(key=lambda driver: (-driver.share, driver.key))
    return tuple(driver for driver in drivers[:MOST_DRIVERS] if driver.share > 0)


def stage_days(stage: Stage) -> int:
    """Return how many days before the handover a stage of work falls where no plan says better. [days]"""
    return STAGE_DAYS[stage]


STAGE_DAYS: Final = {
    Stage.BOOKING: 60,
    Stage.AHEAD: 14,
    Stage.SHOPPING: 3,
    Stage.KITCHEN: 1,
    Stage.DELIVERY: 0,
    Stage.AFTER: -1,
}
"""Days before the handover by stage of work. [days] Common practice."""
