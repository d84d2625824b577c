"""Price books and uses for tests, and a search that tries every basket."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from itertools import product
from typing import Any

from tierwright.purchase import Book, Item, Offer, Shop, Use

DAY = date(2027, 6, 24)
CORNER = Shop(key="corner", name="Corner shop", aisles=("baking", "dairy"))


def item(key: str, **changes: Any) -> Item:
    return Item(**{"key": key, "name": key.replace("_", " "), "aisle": "baking", **changes})


def offer(key: str, item_key: str, content: float, price: str, **changes: Any) -> Offer:
    return Offer(
        **{
            "key": key, "item": item_key, "shop": "corner", "name": f"{item_key} {content:g}", "content": content,
            "price": Decimal(price), **changes,
        }
    )  # fmt: skip


def use(item_key: str, amount: float, *, commission: str = "a", days: int = 0, **changes: Any) -> Use:
    return Use(
        **{"item": item_key, "commission": commission, "amount": amount, "day": DAY + timedelta(days=days), **changes}
    )


def book(*offers: Offer, shops: Sequence[Shop] = (CORNER,), **changes: Any) -> Book:
    return Book(**{"shops": tuple(shops), "offers": offers, **changes})


def cheapest_by_hand(need: float, offers: Sequence[Offer]) -> Decimal | None:
    """Least price of any basket of one item that holds enough, tried one by one."""
    counts = [range((o.most if o.most is not None else int(-(-need // o.amount))) + 1) for o in offers]
    prices = [
        sum((o.price * n for o, n in zip(offers, basket, strict=True)), Decimal(0))
        for basket in product(*counts)
        if sum(o.amount * n for o, n in zip(offers, basket, strict=True)) >= need - 1e-9
    ]
    return min(prices, default=None)
