"""Papers for the client: the quotation, the invoice and the receipt; and the maker's own price sheet."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from tierwright.drawings import Drawing
from tierwright.price import (
    Balance,
    CostGroup,
    Entry,
    EntryKind,
    Priced,
    Quotation,
    Totals,
    show_money,
)
from tierwright.sheets.page import Json, Page, picture


def quotation_page(quotation: Quotation, drawing: Drawing | None, locale: str = "en_US") -> Page:
    """
    Return the quotation as the client reads it.

    Parameters
    ----------
    quotation
        The version to print.
    drawing
        Of the cake; None leaves it out.
    locale
        How amounts are written.
    """

    def money(amount: Decimal) -> str:
        return show_money(amount, quotation.currency, locale)

    accepted = quotation.acceptance
    data: dict[str, Json] = {
        "title": "Quotation",
        "facts": [
            ["quotation", f"{quotation.number}, version {quotation.version}"],
            ["for", quotation.client],
            ["occasion", quotation.title],
            ["from", quotation.maker],
            ["handover", _day(quotation.handover)],
            ["written on", _day(quotation.quoted)],
            ["holds until", _day(quotation.valid_until)],
        ],
        "changes": list(quotation.changes),
        "drawing": picture(drawing) if drawing is not None else None,
        "lines": [
            {"text": line.text, "amount": money(shown)}
            for line, shown in zip(quotation.lines, quotation.totals.shown, strict=True)
        ],
        "sums": _sums(quotation.totals, quotation.currency, locale),
        "total": money(quotation.totals.gross),
        "included": list(quotation.included),
        "portion": quotation.portion,
        "allergens": quotation.allergens,
        "dues": [
            {"text": due.text, "on": _day(due.on) if due.on else "on acceptance", "amount": money(due.amount)}
            for due in quotation.dues
        ],
        "rungs": [
            {
                "until": _until(n, quotation),
                "kept": money(rung.kept),
                "back": money(rung.back),
            }
            for n, rung in enumerate(quotation.rungs)
            # Of steps that keep the same the last says it all.
            if n + 1 == len(quotation.rungs) or quotation.rungs[n + 1].kept != rung.kept
        ],
        "terms": list(quotation.terms),
        "mark": quotation.mark,
        "accepted": (
            f"Accepted by {accepted.name} on {_day(accepted.at.date())} at {accepted.at:%H:%M}, version "
            f"{accepted.version}, mark {accepted.mark}"
            if accepted is not None
            else ""
        ),
    }
    return Page(template="quotation", sheet=f"quotation {quotation.number}, version {quotation.version}", data=data)


def invoice_page(entry: Entry, quotation: Quotation, balance: Balance, locale: str = "en_US") -> Page:
    """
    Return the invoice of a ledger entry.

    Parameters
    ----------
    entry
        An invoice of the ledger; its document number is the invoice's.
    quotation
        The version that was accepted: its lines are what is invoiced.
    balance
        Of the commission, with this entry in it.
    """
    if entry.kind is not EntryKind.INVOICE or entry.amount != quotation.totals.gross:
        raise ValueError(f"entry {entry.number} is no invoice over {quotation.totals.gross}")
    return Page(
        template="invoice",
        sheet=f"invoice {entry.document}",
        data={
            "title": "Invoice",
            "facts": _facts(entry, quotation.client, quotation.title, quotation.maker),
            "lines": [
                {"text": line.text, "amount": show_money(shown, entry.currency, locale)}
                for line, shown in zip(quotation.lines, quotation.totals.shown, strict=True)
            ],
            "sums": _sums(quotation.totals, entry.currency, locale),
            "total": show_money(entry.amount, entry.currency, locale),
            "after": [
                ["paid so far", show_money(balance.paid - balance.refunded, entry.currency, locale)],
                ["still to pay", show_money(balance.open, entry.currency, locale)],
            ],
        },
    )


def receipt_page(entry: Entry, client: str, title: str, maker: str, balance: Balance, locale: str = "en_US") -> Page:
    """Return the receipt of a payment, refund or correction of the ledger."""
    words = {
        EntryKind.PAYMENT: ("Receipt", "received"),
        EntryKind.REFUND: ("Refund", "paid back"),
        EntryKind.CORRECTION: ("Correction", "taken back"),
        EntryKind.INVOICE: ("Invoice", "invoiced"),
    }
    name, word = words[entry.kind]
    return Page(
        template="invoice",
        sheet=f"{name.lower()} {entry.document}",
        data={
            "title": name,
            "facts": _facts(entry, client, title, maker),
            "lines": [{"text": entry.text, "amount": show_money(entry.amount, entry.currency, locale)}],
            "sums": [],
            "total": f"{show_money(entry.amount, entry.currency, locale)} {word}",
            "after": [["still to pay", show_money(balance.open, entry.currency, locale)]],
        },
    )


def price_page(priced: Priced, locale: str = "en_US") -> Page:
    """Return the maker's own price sheet: what it costs, what drives it, what each line of the brief adds."""
    cost = priced.cost

    def money(amount: Decimal) -> str:
        return show_money(amount, cost.currency, locale)

    groups: list[Json] = [[group.value, money(amount)] for group, amount in cost.groups]
    tasks: dict[str, tuple[float, Decimal]] = {}
    for line in cost.lines:
        if line.group is CostGroup.HANDS:
            hours, amount = tasks.get(line.label, (0.0, Decimal(0)))
            tasks[line.label] = (hours + line.hours.value, amount + line.amount.value)
    data: dict[str, Json] = {
        "title": "Price",
        "facts": [
            ["asked, before tax", money(priced.asked)],
            ["floor", f"{money(priced.floor)}, likely {money(cost.total.low)} to {money(cost.total.high)}"],
            ["an hour brings", money(priced.wage)],
            ["hours", f"{cost.hours.value:.1f}, likely {cost.hours.low:.0f} to {cost.hours.high:.0f}"],
            ["portions", f"{priced.portions}, {money(priced.asked / priced.portions)} each"],
            ["packs in the shops", money(cost.bought)],
        ],
        "groups": groups,
        "total": money(cost.total.value),
        "tasks": [[label, f"{hours:.1f} h", money(amount)] for label, (hours, amount) in tasks.items()],
        "drivers": [
            [driver.label, f"{money(driver.low)} to {money(driver.high)}", f"{driver.share:.0%}"]
            for driver in cost.drivers
        ],
        "marginals": [[one.label, f"{one.hours:.1f} h", money(one.cost), money(one.price)] for one in priced.marginals],
    }
    return Page(template="price", sheet="price", data=data)


def _sums(totals: Totals, currency: str, locale: str) -> list[Json]:
    if not totals.tax:
        return []
    sums: list[Json] = [] if totals.inclusive else [["before tax", show_money(totals.net, currency, locale)]]
    for one in totals.rates:
        if one.tax:
            percent = f"{(one.rate * 100).normalize():f} %"
            word = "of which " if totals.inclusive else ""
            sums.append([f"{word}{one.name}, {percent}", show_money(one.tax, currency, locale)])
    return sums


def _until(number: int, quotation: Quotation) -> str:
    rung = quotation.rungs[number]
    return f"later, until {_day(rung.until)}" if rung.days_before == 0 else f"until {_day(rung.until)}"


def _facts(entry: Entry, client: str, title: str, maker: str) -> list[Json]:
    return [
        ["number", entry.document],
        ["date", _day(entry.at.date())],
        ["for", client],
        ["occasion", title],
        ["from", maker],
    ]


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
