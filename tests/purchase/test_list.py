"""Days, stock, allergens, receiving and the list on paper."""

from __future__ import annotations

import csv
import io
from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from tests.purchase.shopping import CORNER, DAY, book, item, offer, use

from tierwright.errors import BadInput, UnknownName
from tierwright.larder import Allergen
from tierwright.purchase import (
    AllergenStatus,
    Lot,
    Receipt,
    Shop,
    list_csv,
    list_xlsx,
    plan_purchase,
    receive,
    recheck,
)
from tierwright.purchase.trips import Window, choose_trips, window

HAZELNUT, MILK = Allergen.HAZELNUT, Allergen.MILK


def days(number: int) -> date:
    return DAY + timedelta(days=number)


def test_cream_is_bought_two_days_before_and_violas_the_day_before() -> None:
    items = [
        item("cream", aisle="dairy", keeps_days=7, buy_before_days=2),
        item("violas", aisle="flowers", keeps_days=2, buy_before_days=1),
        item("flour", keeps_days=180, buy_before_days=2),
    ]
    books = book(*(offer(f"o-{i.key}", i.key, 100, "1") for i in items))
    uses = [use("cream", 90), use("violas", 50), use("flour", 80)]
    plan = plan_purchase(items, uses, books)
    assert {line.item: (DAY - line.buy_on).days for line in plan.lines} == {"cream": 2, "violas": 2, "flour": 2}
    # Without cream and flour nothing draws the violas forward.
    assert (DAY - plan_purchase(items, uses[1:2], books).lines[0].buy_on).days == 1


def test_fewest_trips_meet_every_window() -> None:
    spans = [Window(first=days(a), last=days(b)) for a, b in ((0, 3), (2, 5), (4, 6), (7, 9), (8, 8))]
    # By hand: 3 meets the first two, 6 the third, 8 the last two; no two days meet all.
    assert choose_trips(spans) == (days(3), days(6), days(8))


def test_what_spoils_between_two_jobs_is_bought_twice() -> None:
    cream = item("cream", keeps_days=4, buy_before_days=1)
    books = book(offer("tub", "cream", 1000, "3"))
    uses = [use("cream", 300), use("cream", 300, commission="b", days=10)]
    assert [line.packs for line in plan_purchase([cream], uses, books).lines] == [1, 1]
    stable = item("cream", keeps_days=40, buy_before_days=1)
    assert [line.packs for line in plan_purchase([stable], uses, books).lines] == [1]


def test_order_date_goes_before_the_delivery_by_its_lead_time() -> None:
    depot = Shop(key="depot", name="Depot", lead_days=3)
    books = book(offer("x", "flour", 1000, "2", shop="depot"), shops=[depot])
    line = plan_purchase([item("flour", buy_before_days=2)], [use("flour", 10)], books).lines[0]
    assert (line.buy_on, line.order_by) == (days(-2), days(-5))
    # Too late to order: said, not hidden.
    late = plan_purchase([item("flour", buy_before_days=2)], [use("flour", 10)], books, today=days(-4))
    assert [one.reason for one in late.unmet] == ["no shop can have it in time"]
    assert late.notes.questions[0].key == "buying.unmet.flour.a"


def test_first_expired_is_first_used_and_by_products_before_that() -> None:
    lots = (
        Lot(key="new", item="butter", amount=200, best_before=days(30)),
        Lot(key="old", item="butter", amount=100, best_before=days(2)),
        Lot(key="gone", item="butter", amount=500, best_before=days(-1)),
        Lot(key="rest", item="butter", amount=50, by_product=True, best_before=days(9)),
        Lot(key="later", item="butter", amount=500, from_day=days(1)),
    )
    plan = plan_purchase([item("butter")], [use("butter", 300)], book(offer("b", "butter", 250, "3"), stock=lots))
    assert {one.lot: sum(a.amount for a in one.for_whom) for one in plan.from_stock} == {
        "rest": 50.0, "old": 100.0, "new": 150.0,
    }  # fmt: skip
    assert plan.lines == ()


def test_a_lot_or_pack_that_may_hold_the_allergen_is_kept_out() -> None:
    powder = item("cocoa", ask_about=(HAZELNUT,))
    asked = [use("cocoa", 80, avoid=(HAZELNUT,)), use("cocoa", 80, commission="b")]
    lot = Lot(key="open", item="cocoa", amount=100, status=AllergenStatus.READ, may_contain=(HAZELNUT,))
    safe = offer("safe", "cocoa", 100, "5", status=AllergenStatus.READ)
    cheap = offer("cheap", "cocoa", 100, "1", status=AllergenStatus.READ, may_contain=(HAZELNUT,))
    plan = plan_purchase([powder], asked, book(safe, cheap, stock=(lot,)))
    assert [(one.lot, [a.commission for a in one.for_whom]) for one in plan.from_stock] == [("open", ["b"])]
    assert [(line.offer, line.for_whom[0].commission) for line in plan.lines] == [("safe", "a")]
    only_bad = plan_purchase([powder], asked[:1], book(cheap))
    assert only_bad.unmet[0].reason == "every pack in the book holds, or may hold, hazelnut"


def test_an_unread_label_is_asked_about_at_the_line() -> None:
    powder = item("cocoa", ask_about=(HAZELNUT,))
    plan = plan_purchase([powder], [use("cocoa", 80, avoid=(HAZELNUT,))], book(offer("x", "cocoa", 100, "1")))
    assert plan.lines[0].label_unread == (HAZELNUT,)
    assert plan.notes.questions[0].severity.name == "DANGER"
    assert plan.notes.cautions


def test_substitutes_are_checked_again() -> None:
    butter, block = item("butter", contains=(MILK,)), item("block", ask_about=(HAZELNUT,))
    uses = [use("butter", 1, avoid=(HAZELNUT,)), use("butter", 1, commission="b")]
    unread = recheck(butter, block, offer("x", "block", 250, "2"), uses)
    assert [(r.commission, r.fit, r.unread) for r in unread] == [("a", False, (HAZELNUT,)), ("b", True, ())]
    read = recheck(butter, block, offer("x", "block", 250, "2", status=AllergenStatus.READ), uses)
    assert [(r.fit, r.drops) for r in read] == [(True, (MILK,)), (True, (MILK,))]
    nutty = offer("y", "block", 250, "2", status=AllergenStatus.READ, may_contain=(HAZELNUT,))
    assert [(r.fit, r.brings) for r in recheck(butter, block, nutty, uses)] == [
        (False, (HAZELNUT,)),
        (True, (HAZELNUT,)),
    ]


def test_receiving_updates_price_and_pantry() -> None:
    before = book(offer("bag", "flour", 1000, "2.00", packs=2))
    receipt = Receipt(
        offer="bag", times=3, paid=Decimal("6.75"), day=DAY, lot="F-17", best_before=days(200),
        status=AllergenStatus.READ, may_contain=(HAZELNUT,),
    )  # fmt: skip
    after = receive(before, receipt)
    assert after.offers[0].price == Decimal("2.25")
    assert after.offers[0].may_contain == (HAZELNUT,)
    assert (after.stock[0].amount, after.stock[0].item) == (6000, "flour")
    assert before.stock == ()
    assert plan_purchase([item("flour")], [use("flour", 5000, days=3)], after).lines == ()
    with pytest.raises(BadInput):
        receive(after, receipt)
    with pytest.raises(UnknownName):
        receive(before, Receipt(offer="sack", times=1, paid=Decimal(1), day=DAY, lot="x"))


def test_the_list_walks_the_aisles_in_the_order_of_the_shop() -> None:
    items = [item("cream", aisle="dairy"), item("flour", aisle="baking"), item("tape", aisle="packing")]
    books = book(*(offer(f"o-{i.key}", i.key, 10, "1") for i in items))
    plan = plan_purchase(items, [use(i.key, 5) for i in items], books)
    assert [line.aisle for line in plan.lines] == ["baking", "dairy", "packing"]


def test_csv_and_workbook_hold_the_same_rows() -> None:
    from openpyxl import load_workbook  # type: ignore[import-untyped]

    books = book(offer("x", "flour", 1000, "2.35", name="=cmd"))
    plan = plan_purchase([item("flour"), item("gold")], [use("flour", 1200), use("gold", 1)], books)
    shops = {"corner": CORNER}
    rows = list(csv.reader(io.StringIO(list_csv(plan, shops))))
    assert len(rows) == 3
    # A name that a spreadsheet would take for a formula is kept as text.
    assert (rows[1][4], rows[1][7], rows[1][8]) == ("'=cmd", "2", "4.70")
    sheet = load_workbook(io.BytesIO(list_xlsx(plan, shops, made=datetime(2027, 6, 1)))).active
    assert [cell.value for cell in sheet[1]] == rows[0]
    assert (sheet["I2"].value, sheet["H2"].value) == (4.7, 2)
    assert sheet["E2"].data_type == "s"


def test_a_window_that_has_passed_leaves_today() -> None:
    span = window(item("flour", keeps_days=5, buy_before_days=2), DAY, days(-1))
    assert (span.first, span.last) == (days(-1), days(-1))
