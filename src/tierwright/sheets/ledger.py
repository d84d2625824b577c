"""The books on paper: every entry of the ledger, and one year's totals."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Sequence
from decimal import Decimal

from tierwright.price import Cap, CapReading, Entry, YearTotal, show_money
from tierwright.sheets.page import Json, Page


def ledger_page(entries: Sequence[Entry], currency: str, locale: str = "en_US") -> Page:
    """
    Return the ledger, entry by entry, corrections included.

    Parameters
    ----------
    entries
        In their order.
    currency
        Of every amount.
    locale
        How amounts are written.
    """

    def money(amount: Decimal) -> str:
        return show_money(amount, currency, locale)

    rows: list[Json] = [
        [
            str(entry.number),
            f"{entry.at:%Y-%m-%d}",
            entry.document,
            f"{entry.kind.value} of entry {entry.corrects}" if entry.corrects else entry.kind.value,
            entry.commission,
            entry.text,
            money(entry.amount),
        ]
        for entry in entries
    ]
    last = entries[-1].seal if entries else ""
    return Page(
        template="ledger",
        sheet="ledger",
        data={"title": "Ledger", "rows": rows, "seal": f"{last[:16]} {last[16:32]}" if last else ""},
    )


def year_page(total: YearTotal, cap: Cap | None, reading: CapReading | None, locale: str = "en_US") -> Page:
    """
    Return one year's totals.

    Parameters
    ----------
    total
        The year, added up.
    cap, reading
        The cap on a year's sales as the maker has entered it, and how the year stands against it; None for no cap.
    locale
        How amounts are written.
    """

    def money(amount: Decimal) -> str:
        return show_money(amount, total.currency, locale)

    facts: list[Json] = [
        ["commissions invoiced", str(total.commissions)],
        ["paid back", money(total.refunded)],
        ["still open, all years", money(total.outstanding)],
    ]
    said = ""
    if cap is not None and reading is not None:
        law = f", {cap.law}" if cap.law else ""
        facts.append([f"cap on what is {cap.counts.value}{law}", money(cap.amount)])
        facts.append(["counts towards it", money(reading.counted)])
        question = reading.question
        said = f"{question.text} {question.reason} {question.figure}" if question is not None else ""
    return Page(
        template="year",
        sheet=f"year {total.year}",
        data={
            "title": f"The year {total.year}",
            "months": [
                [month_name[one.month], money(one.invoiced), money(one.tax), money(one.received)]
                for one in total.months
            ],
            "whole": [money(total.invoiced), money(total.tax), money(total.received - total.refunded)],
            "facts": facts,
            "said": said,
        },
    )
