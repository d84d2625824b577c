"""What is printed of the money: quotations, the paper of each entry, the ledger, a year, a shopping list."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from tierwright.drawings import section
from tierwright.price import EntryKind, balance_of
from tierwright.sheets import words_of
from tierwright.sheets.ledger import ledger_page, year_page
from tierwright.sheets.naming import moment
from tierwright.sheets.page import Book, Paper
from tierwright.sheets.papers import invoice_page, quotation_page, receipt_page
from tierwright.units import English
from tierwright.web.access import language_of
from tierwright.web.frame.desk import dossier_of
from tierwright.web.models import Kitchen
from tierwright.web.money.ledger import cap_of, cap_reading, currency_of, entries_of, entry_of, promised, year_total
from tierwright.web.money.models import LedgerEntry, Offer, ShoppingList
from tierwright.web.money.offers import accepted_of, locale_of, quotation_of, today_of
from tierwright.web.money.shopping import list_name, list_page, plan_of
from tierwright.web.prints.papers import ToPrint


def _book(kitchen: Kitchen, title: str, cutting: str, dated: date) -> Book:
    """Return what the pages of a paper have in common."""
    british = language_of(kitchen) == "en-gb"
    american = kitchen.data.get("units", {}).get("english", "us") == "us" and kitchen.data.get("currency") == "USD"
    return Book(
        title=title,
        cutting=cutting,
        dated=dated,
        paper=Paper.LETTER if american else Paper.A4,
        english=English.UK if british else English.US,
    )


def offer(kitchen: Kitchen, asked: Mapping[str, Any]) -> ToPrint:
    """Write one version of a quotation, with the drawing of the version that it was made from."""
    found = Offer.objects.select_related("version", "kitchen", "acceptance").get(kitchen=kitchen, pk=asked["offer"])
    dossier = dossier_of(found.version)
    words = words_of(dossier)
    drawing = section(
        dossier.sizing.stack, dossier.coating, base=words.base, names=words.drawn, bars=words.bars,
        display=words.display,
    )  # fmt: skip
    quotation = accepted_of(found)
    return ToPrint(
        pages=(quotation_page(quotation, drawing, locale_of(kitchen)),),
        book=_book(kitchen, quotation.title, moment(dossier.commission.cutting_at), quotation.quoted),
        name=f"{found.number}-{found.turn}",
    )


def entry(kitchen: Kitchen, asked: Mapping[str, Any]) -> ToPrint:
    """Write the paper of an entry: invoice, receipt, refund or correction."""
    row = LedgerEntry.objects.select_related("commission", "corrects").get(kitchen=kitchen, number=asked["number"])
    found = entry_of(row)
    until = LedgerEntry.objects.filter(commission=row.commission, number__lte=row.number).select_related("corrects")
    rows = [entry_of(one) for one in until]
    gone = {one.corrects for one in rows}
    # As things stood when the paper was made, so that it reads the same for ever.
    held = balance_of(one for one in rows if one.number not in gone and one.kind is not EntryKind.CORRECTION)
    locale, written = locale_of(kitchen), row.paper
    client, title, maker = (str(written.get(key, "")) for key in ("client", "title", "maker"))
    if found.kind is EntryKind.INVOICE:
        made = Offer.objects.get(commission=row.commission, turn=written.get("turn"))
        page = invoice_page(found, quotation_of(made), held, locale)
    else:
        page = receipt_page(found, client, title or row.whose, maker or kitchen.name, held, locale)
    return ToPrint(pages=(page,), book=_book(kitchen, title or row.whose, "", row.day), name=row.document)


def ledger(kitchen: Kitchen, _asked: Mapping[str, Any]) -> ToPrint:
    """Write the whole ledger."""
    entries = list(entries_of(kitchen))
    dated = entries[-1].at.date() if entries else today_of(kitchen)
    page = ledger_page(entries, currency_of(kitchen), locale_of(kitchen))
    return ToPrint(pages=(page,), book=_book(kitchen, kitchen.name, "", dated), name="ledger")


def year(kitchen: Kitchen, asked: Mapping[str, Any]) -> ToPrint:
    """Write one year's totals, and how the year stands against the cap."""
    number: int = asked["year"]
    reading = cap_reading(kitchen, number, promised(kitchen, number))
    page = year_page(year_total(kitchen, number), cap_of(kitchen), reading, locale_of(kitchen))
    return ToPrint(pages=(page,), book=_book(kitchen, kitchen.name, "", date(number, 12, 31)), name=f"year-{number}")


def shopping(kitchen: Kitchen, asked: Mapping[str, Any]) -> ToPrint:
    """Write a shopping list, without prices where they may not be seen."""
    found = ShoppingList.objects.get(kitchen=kitchen, pk=asked["list"])
    plan = plan_of(found)
    page = list_page(plan, kitchen.parsed(), prices=asked["prices"], cautions=plan.notes.cautions)
    return ToPrint(pages=(page,), book=_book(kitchen, str(found)[:120], "", found.from_day), name=list_name(found))
