"""The shopping list: by day and shop in the order of the walk, to tick off in the shop."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import groupby

from tierwright.dossier import Dossier
from tierwright.dossier.purchase_stage import book_of
from tierwright.price import show_money
from tierwright.purchase import PurchaseLine, PurchasePlan, Shop, Unit
from tierwright.sheets.naming import Words
from tierwright.sheets.page import Json, Page
from tierwright.sheets.show import caution_words, count_of, of_sheet, shown
from tierwright.units import Display, MassUnit
from tierwright.working import Caution

PIECES_KEPT = 0.5


def page(
    plan: PurchasePlan,
    shops: Mapping[str, Shop],
    *,
    display: Display,
    cautions: Iterable[Caution] = (),
    currency: str = "",
    names: Mapping[str, str] | None = None,
) -> Page:
    """
    Return the shopping list.

    Parameters
    ----------
    plan
        What has to be bought.
    shops
        Shops by key.
    display
        The kitchen's units and English.
    cautions
        Hazards of the sheet.
    currency
        Shows prices in it; empty leaves them out, as on a list that a helper takes along.
    names
        Words for items that the plan names by key.
    """
    trips: list[Json] = []
    place = {id(line): f"line.{number}" for number, line in enumerate(plan.lines)}
    ordered = sorted(plan.lines, key=lambda line: line.buy_on)
    for day, of_day in groupby(ordered, key=lambda line: line.buy_on):
        by_shop: dict[str, list[PurchaseLine]] = {}
        for line in of_day:
            by_shop.setdefault(line.shop, []).append(line)
        for key, lines in by_shop.items():
            order_by = min(line.order_by for line in lines)
            trips.append(
                {
                    "title": f"{_day(day)}, {shops[key].name}",
                    "order": f"Order by {_day(order_by)}." if order_by < day else "",
                    "rows": [{"key": place[id(line)], **_row(line, display, currency)} for line in lines],
                    "sum": show_money(sum((line.price for line in lines), Decimal(0)), currency) if currency else "",
                }
            )
    several = len({one.commission for line in plan.lines for one in line.for_whom}) > 1
    data: dict[str, Json] = {
        "title": "To buy",
        "cautions": [caution_words(caution) for caution in of_sheet(cautions, "buying")],
        "prices": bool(currency),
        "several": several,
        "trips": trips,
        "unmet": [
            {
                "key": f"unmet.{number}",
                "name": one.name,
                "amount": _amount(one.amount, one.unit, display),
                "by": _day(one.buy_by),
                "reason": one.reason,
            }
            for number, one in enumerate(plan.unmet)
        ],
        "stock": [
            {
                "key": f"stock.{number}",
                "lot": one.lot,
                "name": one.name,
                "amount": _amount(sum(a.amount for a in one.for_whom), one.unit, display),
                "before": _day(one.best_before) if one.best_before else "",
                "mark": "left by a job" if one.by_product else "",
            }
            for number, one in enumerate(plan.from_stock)
        ],
        "splits": [
            {
                "text": f"{count_of(done.pieces, (names or {}).get(done.whole, done.whole.replace('_', ' ')))}"
                f" on {_day(done.day)}",
                "left": ", ".join(
                    f"{_amount(grams, Unit.GRAM, display)} {(names or {}).get(part, part.replace('_', ' '))}"
                    for part, grams in done.left
                    if grams >= 1
                ),
            }
            for done in plan.splits
        ],
        "total": show_money(plan.total, currency) if currency else "",
        "fees": show_money(plan.fees, currency) if currency and plan.fees else "",
    }
    return Page(template="buying", sheet="to buy", data=data)


def _row(line: PurchaseLine, display: Display, currency: str) -> dict[str, Json]:
    return {
        "aisle": line.aisle,
        "name": line.name,
        "packs": f"{line.packs} × {_amount(line.content, line.unit, display)}",
        "price": show_money(line.price, currency) if currency else "",
        "left": _amount(line.left, line.unit, _metric(display)) if line.left > PIECES_KEPT else "",
        "whom": "; ".join(dict.fromkeys(one.commission for one in line.for_whom)),
        "label": ", ".join(allergen.value for allergen in line.label_unread),
    }


def _metric(display: Display) -> Display:
    """Say once in grams what would crowd a column in both kinds of units."""
    return replace(display, mass=MassUnit.METRIC) if display.mass is MassUnit.BOTH else display


def _amount(amount: float, unit: Unit, display: Display) -> str:
    return shown(display, amount, "g") if unit is Unit.GRAM else f"{amount:.0f}"


def _day(day: date) -> str:
    return f"{day:%A} {day.day} {day:%B}"


def of(dossier: Dossier, words: Words) -> tuple[Page, ...]:
    """Return the shopping list of a dossier, without prices: a helper may carry it."""
    plan = dossier.purchase
    shops = {shop.key: shop for shop in book_of(dossier.kitchen).shops}
    return (page(plan, shops, display=words.display, cautions=dossier.notes.cautions),)
