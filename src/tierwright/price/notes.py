"""What the price has to say beside its numbers."""

from __future__ import annotations

from decimal import Decimal

from tierwright.larder import Norm
from tierwright.price.model import Cost, CostInputs, PolicyKind, PricePolicy
from tierwright.working import (
    ARITHMETIC,
    COMMON_PRACTICE,
    Assumption,
    Basis,
    Figure,
    Given,
    Notes,
    Question,
    Severity,
    Source,
)

SHEET = "price"
MAKER = Source(basis=Basis.MAKER_RECORD, text="the maker's own rates and policy")


def notes_on(
    inputs: CostInputs, cost: Cost, asked: Decimal, wage: Decimal, portions: int, policy: PricePolicy
) -> Notes:
    """Return figures, questions and assumptions of a price."""
    figures = [
        Figure(
            key=f"price.{group.name.lower()}",
            label=f"Cost: {group.value}",
            value=float(amount),
            unit=inputs.currency,
            equation="sum of its lines, each in whole coins",
            source=ARITHMETIC,
            sheet=SHEET,
        )
        for group, amount in cost.groups
    ]
    figures.append(
        Figure(
            key="price.floor",
            label="Floor: what it costs with the wage wanted",
            value=float(cost.total.value),
            unit=inputs.currency,
            low=float(cost.total.low),
            high=float(cost.total.high),
            equation="sum of all groups; half-ranges half correlated within a group, independent between groups",
            inputs=tuple(
                Given(name=f"driven by {driver.label}", value=f"{driver.share:.0%}") for driver in cost.drivers[:3]
            ),
            source=Source(basis=Basis.PUBLISHED, text="JCGM 100:2008, 5.2.2, for the range"),
            sheet=SHEET,
        )
    )
    figures.append(
        Figure(
            key="price.hours",
            label="Hours of hands",
            value=cost.hours.value,
            unit="h",
            low=cost.hours.low,
            high=cost.hours.high,
            equation="sum of count × norm of each task, and cleaning",
            source=_norms(inputs),
            sheet=SHEET,
        )
    )
    figures.append(
        Figure(
            key="price.asked",
            label="Asked, before tax",
            value=float(asked),
            unit=inputs.currency,
            equation=_equation(policy),
            inputs=(Given(name="portions", value=float(portions)), Given(name="floor", value=float(cost.total.value))),
            source=MAKER,
            sheet=SHEET,
        )
    )
    figures.append(
        Figure(
            key="price.wage",
            label="An hour brings",
            value=float(wage),
            unit=f"{inputs.currency}/h",
            equation="(asked - everything but wages) / hours",
            source=ARITHMETIC,
            sheet=SHEET,
        )
    )
    return Notes(
        figures=tuple(figures),
        questions=tuple(_questions(inputs, cost, asked, wage)),
        assumptions=_assumptions(inputs),
    )


def _equation(policy: PricePolicy) -> str:
    return {
        PolicyKind.PER_PORTION: "price of a portion × portions",
        PolicyKind.COST_PLUS: "floor × (1 + markup)",
        PolicyKind.MARGIN: "floor / (1 - margin)",
        PolicyKind.HOURLY: "everything but wages + hours × target",
    }[policy.kind] + ", at least the minimum, rounded up to the step"


def _norm_words(norm: Norm) -> str:
    parts = [f"{norm.base_min:g} min to begin"] if norm.base_min else []
    parts += [f"{norm.each_min:g} min for one {norm.unit}"] if norm.each_min else []
    return f"{', '.join(parts)}; likely {norm.low_share:.0%} to {norm.high_share:.0%} of it"


def _norms(inputs: CostInputs) -> Source:
    tasks = {work.norm.task: work.norm for work in inputs.works}
    own = [norm for norm in tasks.values() if norm.times]
    if own:
        return Source(
            basis=Basis.MAKER_RECORD,
            text=f"{len(own)} of {len(tasks)} norms from the maker's own book of norms: "
            + "; ".join(f"{norm.label}, {norm.times} times" for norm in own),
        )
    return Source(basis=Basis.COMMON_PRACTICE, text="norms of work, none of them the maker's own yet")


def _questions(inputs: CostInputs, cost: Cost, asked: Decimal, wage: Decimal) -> list[Question]:
    asks: list[Question] = []

    def ask(key: str, severity: Severity, text: str, reason: str, figure: str = "", change: str = "") -> None:
        asks.append(
            Question(
                key=f"price.{key}",
                severity=severity,
                sheet=SHEET,
                text=text,
                reason=reason,
                figure=figure,
                change=change,
            )
        )

    if asked < cost.total.value:
        ask(
            "below_floor",
            Severity.ASK,
            "Is it meant that this commission earns less than the wage wanted?",
            "What is asked does not cover the cost.",
            f"{asked} {cost.currency} asked, {cost.total.value} {cost.currency} floor; an hour brings {wage}",
            "raise the price, or take something out of the brief",
        )
    missing = [
        name
        for name, given in (
            ("wages of hands", all(work.rate > 0 for work in inputs.works)),
            ("prices of ingredients", bool(inputs.materials)),
            ("price of electricity", all(one.price > 0 for one in inputs.energies)),
            ("overhead", inputs.overhead_per_hour > 0 or inputs.overhead_per_month > 0),
            ("cost of a kilometre", inputs.travel_km is None or inputs.travel_per_km > 0),
            ("wear of equipment", bool(inputs.wear)),
        )
        if not given
    ]
    if missing:
        ask(
            "missing",
            Severity.ASK,
            f"What about {', '.join(missing)}?",
            "A cost that is not entered is counted as nothing, and the floor is too low by it.",
            f"{len(missing)} not entered",
            "enter them in the kitchen",
        )
    return asks


def _assumptions(inputs: CostInputs) -> tuple[Assumption, ...]:
    share = inputs.cleaning_share
    said = [
        Assumption(
            key="price.cleaning",
            text="Cleaning for each hour in the kitchen",
            value=f"{share.value * 60:.0f} min, likely {share.low * 60:.0f} to {share.high * 60:.0f}",
            source=COMMON_PRACTICE,
        )
    ]
    said += [
        Assumption(
            key=f"price.norm.{work.norm.task}",
            text=f"{work.norm.label[0].upper()}{work.norm.label[1:]}",
            value=_norm_words(work.norm),
            source=work.norm.source,
        )
        for work in {work.norm.task: work for work in inputs.works if not work.norm.times}.values()
    ]
    said += [
        Assumption(
            key=f"price.risk.{number}",
            text=f"Chance that {failure.label} has to be made again",
            value=f"{failure.chance.low:.0%} to {failure.chance.high:.0%}",
            source=COMMON_PRACTICE,
        )
        for number, failure in enumerate(inputs.failures, start=1)
    ]
    return tuple(said)
