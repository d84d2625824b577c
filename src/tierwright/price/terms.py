"""Terms of a commission, chosen by the maker; the cancellation ladder follows the cost that is sunk by then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from tierwright.errors import require_range
from tierwright.price.cost import sunk
from tierwright.price.currency import rounded_up, to_coins
from tierwright.price.model import Cost
from tierwright.working import Question, Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """
    What the maker asks of every client.

    Attributes
    ----------
    retainer
        Share of the price that holds the date. [-]
    freeze_days
        Days before the handover from which nothing is changed any more. [days]
    balance_days
        Days before the handover on which the rest is due. [days]
    rungs
        Days before the handover at which the ladder of a cancellation steps, far ones first. [days]
    lost_share
        Share of what would have been earned beyond cost that is kept where the date can hardly be sold again. [-]
    lost_from_days
        From how many days before. [days]
    step
        Step to which what is kept is rounded up.
    valid_days
        Days for which a quotation holds. [days]
    weather, illness, set_up, allergens
        The maker's own sentences; an empty one is left out.
    """

    retainer: Decimal = Decimal("0.3")
    freeze_days: int = 14
    balance_days: int = 14
    rungs: tuple[int, ...] = (60, 28, 14, 7, 2, 1, 0)
    lost_share: Decimal = Decimal(0)
    lost_from_days: int = 14
    step: Decimal = Decimal(0)
    valid_days: int = 14
    weather: str = ""
    illness: str = ""
    set_up: str = ""
    allergens: str = ""

    def __post_init__(self) -> None:
        require_range("retainer", float(self.retainer), 0.0, 1.0, "share", "terms")
        require_range("share of lost earnings", float(self.lost_share), 0.0, 1.0, "share", "terms")
        for name in ("freeze_days", "balance_days", "lost_from_days", "valid_days"):
            require_range(name.replace("_", " "), getattr(self, name), 0, 1000, "days", "terms")
        for rung in self.rungs:
            require_range("step of the ladder", rung, 0, 1000, "days", "terms")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rung:
    """
    One step of the ladder.

    Attributes
    ----------
    days_before, until
        Cancelled on this day or earlier (and after the step before). [days]
    sunk
        What has been spent by then, before tax.
    kept
        What is kept of the price with tax.
    back
        What is paid back of a price that has been paid in full.
    """

    days_before: int
    until: date
    sunk: Decimal
    kept: Decimal
    back: Decimal


def ladder(cost: Cost, asked: Decimal, gross: Decimal, terms: Terms, handover: date) -> tuple[Rung, ...]:
    """
    Return what is kept if the client cancels, step by step.

    Parameters
    ----------
    cost
        What the commission costs and when each part of it is spent.
    asked, gross
        Price before and with tax.
    terms
        The maker's.
    handover
        Day of the handover.

    Notes
    -----
    Kept = what is sunk by the end of the step, plus the maker's share of the earnings lost once the date can hardly
    be sold again; grossed up with the tax of the price, rounded up to the step, never more than the price. Every sum
    can be shown line by line, which is what makes it fair; whether a law lets a maker keep more or less is for that
    law to say.
    """
    earned = max(Decimal(0), asked - cost.total.value)
    rungs: list[Rung] = []
    for days in sorted(set(terms.rungs), reverse=True):
        spent = min(sunk(cost, days), asked)
        lost = earned * terms.lost_share if days <= terms.lost_from_days else Decimal(0)
        # Multiplied before it is divided: a sum that comes out to the coin is not lifted by the rounding of a quotient.
        worth = gross * (spent + lost) / asked if asked else Decimal(0)
        kept = min(gross, rounded_up(worth, terms.step, cost.currency))
        rungs.append(
            Rung(
                days_before=days,
                until=handover - timedelta(days=days),
                sunk=spent,
                kept=kept,
                back=gross - kept,
            )
        )
    return tuple(rungs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """A payment that falls due."""

    text: str
    on: date | None  # None: on acceptance
    amount: Decimal


def dues(gross: Decimal, terms: Terms, handover: date, quoted: date, currency: str) -> tuple[Due, ...]:
    """Return the payments of a price with tax: the retainer on acceptance, the rest on its date; they add up to it."""
    retainer = to_coins(gross * terms.retainer, currency)
    balance_on = max(quoted, handover - timedelta(days=terms.balance_days))
    parts = [Due(text="retainer, which holds the date", on=None, amount=retainer)] if retainer else []
    if gross - retainer:
        parts.append(Due(text="balance", on=balance_on, amount=gross - retainer))
    return tuple(parts)


def sentences(terms: Terms, handover: date) -> tuple[str, ...]:
    """Return the terms in words, without those on payment and cancellation, which are tables."""
    freeze = handover - timedelta(days=terms.freeze_days)
    said = [
        f"Changes are welcome until {freeze.day} {freeze:%B %Y}. After that the design, the flavours and the number of "
        "portions stand; what a change costs is said in writing before it is made."
    ]
    said += [text for text in (terms.set_up, terms.weather, terms.illness, terms.allergens) if text.strip()]
    return tuple(said)


def question_on(rungs: Sequence[Rung], retainer: Decimal) -> Question | None:
    """Ask where the retainer is more than has been sunk when a client would first cancel."""
    first = next((rung for rung in rungs if rung.kept < retainer), None)
    if first is None:
        return None
    return Question(
        key="price.retainer",
        severity=Severity.NOTE,
        sheet="price",
        text="Is the retainer kept whole if the client cancels early?",
        reason="Until then less has been spent than it holds; in some places only the real loss may be kept.",
        figure=f"retainer {retainer}, kept by the ladder until {first.until.isoformat()}: {first.kept}",
        change="say in the terms what the retainer is for, or pay the difference back",
    )
