"""The money on paper: pages that set as accessible PDF and say what they should."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from decimal import Decimal
from functools import lru_cache

import pypdfium2  # type: ignore[import-untyped]
import pytest
from tests.dossier.scenes import dossier

from tierwright.dossier import Dossier
from tierwright.dossier.money_stage import price_stage, purchase_stage, quotation_stage
from tierwright.dossier.purchase_stage import book_of
from tierwright.price import EntryKind, Ledger, Priced, Quotation, accept
from tierwright.sheets import Book, Page, buying, papers
from tierwright.sheets.naming import words_of
from tierwright.sheets.page import render_pdf

BOOK = Book(title="Supper", cutting="dusk", dated=date(2027, 6, 26))


@lru_cache(maxsize=1)
def money() -> tuple[Dossier, Priced, Quotation]:
    done = dossier()
    plan = purchase_stage(done.commission, done.kitchen, done.formulas, done.coating, done.sizing)
    priced = price_stage(done.commission, done.kitchen, done.sizing, done.formulas, done.coating, plan)
    offer = quotation_stage(
        done.commission, done.kitchen, done.sizing, done.formulas, priced, number="Q7", quoted=date(2027, 3, 1)
    )
    return done, priced, offer


def text_of(*pages: Page) -> str:
    read = pypdfium2.PdfDocument(render_pdf(pages, BOOK))
    return " ".join(page.get_textpage().get_text_bounded() for page in read).replace("\r\n", " ")


def test_a_list_without_prices_shows_no_amount_of_money() -> None:
    done, _, _ = money()
    (page,) = buying.of(done, words_of(done))
    assert "$" not in json.dumps(page.data)
    text = text_of(page)
    assert "Read the label for hazelnut" in text
    assert "Taken apart, and what is left of it" in text


def test_a_list_with_prices_shows_the_sum() -> None:
    done, _, _ = money()
    plan = purchase_stage(done.commission, done.kitchen, done.formulas, done.coating, done.sizing)
    shops = {shop.key: shop for shop in book_of(done.kitchen).shops}
    page = buying.page(plan, shops, display=done.kitchen.units.display(), currency="USD")
    assert f"Altogether ${plan.total}" in text_of(page)


def test_the_quotation_shows_price_terms_and_a_line_to_sign_but_no_cost() -> None:
    _, priced, offer = money()
    text = text_of(papers.quotation_page(offer, None))
    for expected in (
        f"${offer.totals.gross:,}", "retainer, which holds the date", "on acceptance", "signature", offer.mark,
        "A portion is", "Allergens.", "If it has to be cancelled",
    ):  # fmt: skip
        assert expected in text
    # What it costs and what an hour brings is nobody's business but the maker's.
    assert str(priced.floor) not in text
    assert str(priced.wage) not in text


def test_an_accepted_quotation_names_who_and_which_version() -> None:
    _, _, offer = money()
    accepted = accept(offer, "The supper committee", datetime(2027, 3, 9, 18, 4, tzinfo=UTC))
    assert f"version 1, mark {offer.mark}" in text_of(papers.quotation_page(accepted, None))


def test_invoice_and_receipt_carry_their_running_numbers() -> None:
    _, _, offer = money()
    at = datetime(2027, 3, 10, tzinfo=UTC)
    ledger = Ledger(currency="USD").add(
        EntryKind.INVOICE, at=at, commission="c", amount=offer.totals.gross, tax=offer.totals.tax, text="cake"
    )
    ledger = ledger.add(EntryKind.PAYMENT, at=at, commission="c", amount=offer.dues[0].amount, text="retainer")
    invoice, payment = ledger.entries
    balance = ledger.balance("c")
    assert "I2027-0001" in text_of(papers.invoice_page(invoice, offer, balance))
    receipt = text_of(papers.receipt_page(payment, offer.client, offer.title, offer.maker, balance))
    assert "R2027-0001" in receipt
    assert f"${offer.totals.gross - payment.amount}" in receipt
    with pytest.raises(ValueError, match="no invoice"):
        papers.invoice_page(payment, offer, balance)


def test_the_price_sheet_is_for_the_maker() -> None:
    _, priced, _ = money()
    text = text_of(papers.price_page(priced))
    assert f"${priced.floor}" in text
    assert "No figure here is a market's" in text
    assert priced.asked % Decimal(5) == 0
