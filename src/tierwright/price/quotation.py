"""The quotation: what is offered for how much, in versions, with the difference in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from hashlib import sha256

from tierwright.errors import BadInput, Problem
from tierwright.price.currency import show_money
from tierwright.price.model import Cost
from tierwright.price.tax import PaperLine, TaxRate, Totals, add_up
from tierwright.price.terms import Due, Rung, Terms, dues, ladder, sentences


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptance:
    """Who accepted a quotation, when, and the exact version: the number and the mark of its content."""

    name: str
    at: datetime
    version: int
    mark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Quotation:
    """
    An offer to a client.

    Attributes
    ----------
    number, version
        Running number, and version from 1. [-]
    title, client, maker
        The commission, for whom, by whom.
    quoted, valid_until, handover
        Dates.
    currency
        ISO 4217.
    lines, totals
        What is offered; summed with tax.
    included
        What is in it, in words.
    portion
        What counts as a portion.
    allergens
        The statement on allergens.
    dues, rungs, terms
        Payments, the ladder of a cancellation, and the other terms in words.
    changes
        What differs from the version before, in words.
    acceptance
        Once it has been accepted.
    """

    number: str
    version: int
    title: str
    client: str
    maker: str
    quoted: date
    valid_until: date
    handover: date
    currency: str
    lines: tuple[PaperLine, ...]
    totals: Totals
    included: tuple[str, ...]
    portion: str
    allergens: str
    dues: tuple[Due, ...]
    rungs: tuple[Rung, ...]
    terms: tuple[str, ...]
    changes: tuple[str, ...] = ()
    acceptance: Acceptance | None = None

    @property
    def mark(self) -> str:
        """Twelve signs that stand for the exact content: another word or coin gives another mark."""
        bare = replace(self, acceptance=None)
        return sha256(repr(bare).encode()).hexdigest()[:12]


def quote(
    *,
    number: str,
    title: str,
    client: str,
    maker: str,
    quoted: date,
    handover: date,
    cost: Cost,
    lines: Sequence[PaperLine],
    rates: Sequence[TaxRate],
    inclusive: bool,
    included: Sequence[str],
    portion: str,
    allergens: str,
    terms: Terms,
) -> Quotation:
    """
    Write the first version of a quotation.

    Parameters
    ----------
    number, title, client, maker
        See ``Quotation``.
    quoted, handover
        Dates.
    cost
        For the ladder of a cancellation; nothing of it is printed.
    lines
        Amounts before tax, whole coins, whose sum is the asked price.
    rates, inclusive
        The maker's tax table, and whether amounts are shown with tax.
    included, portion, allergens
        Words.
    terms
        The maker's.

    Raises
    ------
    BadInput
        The handover lies before the day of the quotation, or there is nothing on it.
    """
    if handover < quoted or not lines:
        raise BadInput(
            [Problem(place="quotation", found=f"{handover}", expected=f"something to hand over from {quoted} on")]
        )
    totals = add_up(lines, rates, cost.currency, inclusive=inclusive)
    return Quotation(
        number=number,
        version=1,
        title=title,
        client=client,
        maker=maker,
        quoted=quoted,
        valid_until=min(quoted + timedelta(days=terms.valid_days), handover),
        handover=handover,
        currency=cost.currency,
        lines=tuple(lines),
        totals=totals,
        included=tuple(included),
        portion=portion,
        allergens=allergens,
        dues=dues(totals.gross, terms, handover, quoted, cost.currency),
        rungs=ladder(cost, totals.net, totals.gross, terms, handover),
        terms=sentences(terms, handover),
    )


def revise(old: Quotation, new: Quotation, locale: str = "en_US") -> Quotation:
    """
    Return a new version of a quotation after the client has changed something.

    Parameters
    ----------
    old
        The last version; accepted or not, it stays as it was.
    new
        A quotation of the changed commission.
    locale
        How amounts are written in the differences.
    """
    return replace(
        new,
        number=old.number,
        version=old.version + 1,
        changes=difference(old, new, locale),
        acceptance=None,
    )


def accept(quotation: Quotation, name: str, at: datetime) -> Quotation:
    """
    Return the quotation as accepted: once, with name, time and the mark of the exact version.

    Raises
    ------
    BadInput
        It has been accepted already, is no longer valid on that day, the name is empty, or the time has no zone.
    """
    problems: list[Problem] = []
    if quotation.acceptance is not None:
        problems.append(
            Problem(place="acceptance", found="accepted already", expected=f"{quotation.acceptance.name} accepted it")
        )
    if not name.strip():
        problems.append(Problem(place="name", found="nothing", expected="the name of whoever accepts"))
    if at.utcoffset() is None:
        problems.append(Problem(place="time", found=at.isoformat(), expected="a time with its zone"))
    elif at.date() > quotation.valid_until:
        problems.append(
            Problem(place="acceptance", found=f"{at.date()}", expected=f"a day until {quotation.valid_until}")
        )
    if problems:
        raise BadInput(problems)
    kept = Acceptance(name=name.strip(), at=at, version=quotation.version, mark=quotation.mark)
    return replace(quotation, acceptance=kept)


def difference(old: Quotation, new: Quotation, locale: str = "en_US") -> tuple[str, ...]:
    """Return what differs between two quotations, in sentences, the price last."""

    def money(amount: Decimal) -> str:
        return show_money(amount, new.currency, locale)

    said: list[str] = []
    if old.title != new.title:
        said.append(f"The commission is now “{new.title}”, before “{old.title}”.")
    if old.handover != new.handover:
        said.append(f"Handover on {_day(new.handover)} instead of {_day(old.handover)}.")
    before, after = _by_text(old), _by_text(new)
    said += [f"Added: {text}, {money(after[text])}." for text in after if text not in before]
    said += [f"Left out: {text}, {money(before[text])}." for text in before if text not in after]
    said += [
        f"{text}: {money(after[text])} instead of {money(before[text])}."
        for text in after
        if text in before and after[text] != before[text]
    ]
    said += [f"Now included: {text}." for text in new.included if text not in old.included]
    said += [f"No longer included: {text}." for text in old.included if text not in new.included]
    if old.portion != new.portion:
        said.append(f"A portion is now {new.portion}; before, {old.portion}.")
    if old.allergens != new.allergens:
        said.append("The statement on allergens has changed: please read it again.")
    if old.terms != new.terms or [(r.days_before, r.kept) for r in old.rungs] != [
        (r.days_before, r.kept) for r in new.rungs
    ]:
        said.append("The terms or the sums kept on cancellation have changed: please read them again.")
    change = new.totals.gross - old.totals.gross
    if change:
        word = "more" if change > 0 else "less"
        said.append(f"Altogether {money(new.totals.gross)}, {money(abs(change))} {word} than before.")
    elif said:
        said.append(f"Altogether {money(new.totals.gross)}, as before.")
    return tuple(said) or ("Nothing has changed.",)


def _by_text(quotation: Quotation) -> dict[str, Decimal]:
    sums: dict[str, Decimal] = {}
    for line, shown in zip(quotation.lines, quotation.totals.shown, strict=True):
        sums[line.text] = sums.get(line.text, Decimal(0)) + shown
    return sums


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
