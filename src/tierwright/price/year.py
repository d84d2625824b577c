"""A year's totals, and how near a legal cap on sales it has come."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import tzinfo
from decimal import Decimal
from enum import StrEnum

from tierwright.errors import require_range
from tierwright.price.ledger import Entry, EntryKind, Ledger, balance_of
from tierwright.words import as_cell
from tierwright.working import Question, Severity

NEAR_SHARE = Decimal("0.8")
"""Share of a cap from which it is worth knowing. [-]"""


class Counts(StrEnum):
    """What a law counts towards a cap."""

    INVOICED = "invoiced"
    RECEIVED = "received"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cap:
    """A cap on a year's sales as the maker has entered it: amount, what counts, and which law it comes from."""

    amount: Decimal
    counts: Counts = Counts.RECEIVED
    law: str = ""

    def __post_init__(self) -> None:
        require_range("cap", float(self.amount), 0.0, 1e9, "in money", "year")


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthTotal:
    """One month: invoiced, tax in it, received less paid back. Month from 1 to 12. [-]"""

    month: int
    invoiced: Decimal
    tax: Decimal
    received: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class YearTotal:
    """
    One calendar year of the ledger.

    Attributes
    ----------
    year
        Which.
    currency
        Of every amount.
    commissions
        How many were invoiced. [-]
    invoiced, tax, received, refunded
        Sums of the entries that stand; ``received`` before what was paid back.
    outstanding
        Open over all commissions at the end of the ledger.
    months
        The twelve months.
    """

    year: int
    currency: str
    commissions: int
    invoiced: Decimal
    tax: Decimal
    received: Decimal
    refunded: Decimal
    outstanding: Decimal
    months: tuple[MonthTotal, ...]


def year_total(ledger: Ledger, year: int, zone: tzinfo) -> YearTotal:
    """
    Add up one year.

    Parameters
    ----------
    ledger
        All entries; a correction counts in the year of the entry that it takes back.
    year
        Calendar year on the kitchen's clock. [-]
    zone
        The kitchen's zone: it decides on New Year's night.
    """
    standing = ledger.standing
    inside = [entry for entry in standing if entry.at.astimezone(zone).year == year]
    sums: dict[tuple[EntryKind, int], Sums] = {}
    for entry in inside:
        key = (entry.kind, entry.at.astimezone(zone).month)
        before = sums.get(key, Sums())
        sums[key] = Sums(amount=before.amount + entry.amount, tax=before.tax + entry.tax)
    return year_of_sums(
        year,
        ledger.currency,
        sums,
        commissions=len({entry.commission for entry in inside if entry.kind is EntryKind.INVOICE}),
        outstanding=balance_of(standing).open,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Sums:
    """Entries of one kind in one month together."""

    amount: Decimal = Decimal(0)
    tax: Decimal = Decimal(0)


def year_of_sums(
    year: int,
    currency: str,
    sums: Mapping[tuple[EntryKind, int], Sums],
    *,
    commissions: int,
    outstanding: Decimal,
) -> YearTotal:
    """
    Lay out a year whose entries have been added up by kind and month already, as a database does it.

    Parameters
    ----------
    year, currency
        Which.
    sums
        Entries that stand, by kind and month. [-], 1 to 12
    commissions
        How many were invoiced. [-]
    outstanding
        Open over all commissions at the end of the ledger.
    """

    def of(kind: EntryKind, month: int) -> Sums:
        return sums.get((kind, month), Sums())

    months = tuple(
        MonthTotal(
            month=month,
            invoiced=of(EntryKind.INVOICE, month).amount,
            tax=of(EntryKind.INVOICE, month).tax,
            received=of(EntryKind.PAYMENT, month).amount - of(EntryKind.REFUND, month).amount,
        )
        for month in range(1, 13)
    )
    whole = {kind: sum((of(kind, month).amount for month in range(1, 13)), Decimal(0)) for kind in EntryKind}
    return YearTotal(
        year=year,
        currency=currency,
        commissions=commissions,
        invoiced=whole[EntryKind.INVOICE],
        tax=sum((one.tax for one in months), Decimal(0)),
        received=whole[EntryKind.PAYMENT],
        refunded=whole[EntryKind.REFUND],
        outstanding=outstanding,
        months=months,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CapReading:
    """How a year stands against a cap: counted so far, room left, and the question it raises, if any."""

    counted: Decimal
    room: Decimal
    question: Question | None


def against_cap(total: YearTotal, cap: Cap, coming: Decimal = Decimal(0)) -> CapReading:
    """
    Hold a year against a cap before another commission is accepted.

    Parameters
    ----------
    total
        The year so far.
    cap
        As the maker has entered it; the program knows no law's amount by itself.
    coming
        What the next commission would add.
    """
    counted = total.invoiced if cap.counts is Counts.INVOICED else total.received - total.refunded
    room = cap.amount - counted
    question: Question | None = None
    law = f" ({cap.law})" if cap.law else ""
    if coming > room:
        question = Question(
            key="price.cap",
            severity=Severity.STOP,
            sheet="price",
            text=f"Can this commission still be sold under the year's cap{law}?",
            reason="Beyond the cap a home kitchen may lose its permit, or need a licence.",
            figure=f"{counted} of {cap.amount} {total.currency} {cap.counts.value}, {coming} to come",
            change="decline, move it to the next year, or ask the authority for the next licence",
        )
    elif counted + coming >= cap.amount * NEAR_SHARE:
        question = Question(
            key="price.cap",
            severity=Severity.NOTE,
            sheet="price",
            text=f"What comes after the year's cap{law}?",
            reason="Four fifths of it are reached.",
            figure=f"{room - coming} {total.currency} left",
        )
    return CapReading(counted=counted, room=room, question=question)


def year_csv(total: YearTotal) -> str:
    """Return a year as CSV (RFC 4180): a row a month, and the year's own below."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(("month", "invoiced", "tax", "received less paid back", "currency"))
    for one in total.months:
        writer.writerow(
            (f"{total.year}-{one.month:02}", f"{one.invoiced:f}", f"{one.tax:f}", f"{one.received:f}", total.currency)
        )
    received = total.received - total.refunded
    writer.writerow((total.year, f"{total.invoiced:f}", f"{total.tax:f}", f"{received:f}", total.currency))
    return out.getvalue()


def ledger_csv(entries: Iterable[Entry]) -> str:
    """Return entries as CSV (RFC 4180), every one of them, corrections included."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(("number", "at", "kind", "commission", "document", "amount", "tax", "currency", "text", "corrects"))
    for entry in entries:
        writer.writerow(
            (
                entry.number,
                entry.at.isoformat(),
                entry.kind.value,
                as_cell(entry.commission),
                entry.document,
                f"{entry.amount:f}",
                f"{entry.tax:f}",
                entry.currency,
                as_cell(entry.text),
                entry.corrects or "",
            )
        )
    return out.getvalue()
