"""A year's totals, and how near a legal cap on sales it has come."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import tzinfo
from decimal import Decimal
from enum import StrEnum

from tierwright.errors import require_range
from tierwright.price.ledger import Entry, EntryKind, Ledger
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
    inside = [(entry, entry.at.astimezone(zone).month) for entry in standing if entry.at.astimezone(zone).year == year]
    sums = {kind: _sum(entry for entry, _ in inside if entry.kind is kind) for kind in EntryKind}
    months: list[MonthTotal] = []
    for month in range(1, 13):
        here = [entry for entry, at in inside if at == month]
        invoices = [entry for entry in here if entry.kind is EntryKind.INVOICE]
        months.append(
            MonthTotal(
                month=month,
                invoiced=_sum(invoices),
                tax=sum((entry.tax for entry in invoices), Decimal(0)),
                received=_sum(e for e in here if e.kind is EntryKind.PAYMENT)
                - _sum(e for e in here if e.kind is EntryKind.REFUND),
            )
        )
    everything = {kind: _sum(entry for entry in standing if entry.kind is kind) for kind in EntryKind}
    return YearTotal(
        year=year,
        currency=ledger.currency,
        commissions=len({entry.commission for entry, _ in inside if entry.kind is EntryKind.INVOICE}),
        invoiced=sums[EntryKind.INVOICE],
        tax=sum((one.tax for one in months), Decimal(0)),
        received=sums[EntryKind.PAYMENT],
        refunded=sums[EntryKind.REFUND],
        outstanding=everything[EntryKind.INVOICE] - everything[EntryKind.PAYMENT] + everything[EntryKind.REFUND],
        months=tuple(months),
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
                _safe(entry.commission),
                entry.document,
                f"{entry.amount:f}",
                f"{entry.tax:f}",
                entry.currency,
                _safe(entry.text),
                entry.corrects or "",
            )
        )
    return out.getvalue()


def _safe(text: str) -> str:
    """Keep words from being taken for a spreadsheet's formula."""
    return f"'{text}" if text.startswith(("=", "+", "-", "@", "\t", "\r")) else text


def _sum(entries: Iterable[Entry]) -> Decimal:
    return sum((entry.amount for entry in entries), Decimal(0))
