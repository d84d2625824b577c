"""How fast shopping lists, quotations and a year's totals come; run by hand."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from time import perf_counter

from tierwright.purchase import Book, Item, Offer, PurchasePlan, Shop, Use, plan_purchase


def best_ms(work: Callable[[], object], repeats: int = 3) -> float:
    """Shortest of several runs, which other work on the machine disturbs least. [ms]"""
    times: list[float] = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times) * 1000.0


def shopping(commissions: int, ingredients: int, tied: bool) -> PurchasePlan:
    draw = random.Random(5)
    shops = (
        Shop(key="a", name="A", aisles=("1", "2")),
        Shop(key="b", name="B", lead_days=3, minimum=Decimal(60 if tied else 0), fee=Decimal(6 if tied else 0)),
    )
    items = [
        Item(
            key=f"i{n}", name=f"item {n}", aisle=str(n % 5), keeps_days=draw.choice([3, 7, 30, 180, 365]),
            buy_before_days=draw.choice([1, 2]),
        )
        for n in range(ingredients)
    ]  # fmt: skip
    offers = [
        Offer(
            key=f"o{n}-{k}", item=f"i{n}", shop=draw.choice("ab"), name=f"pack {k}",
            content=draw.choice([100, 250, 454, 500, 907, 1000, 1814]), price=Decimal(draw.randint(90, 1200)) / 100,
            packs=draw.choice([1, 1, 1, 3]),
        )
        for n in range(ingredients)
        for k in range(3)
    ]  # fmt: skip
    first = date(2027, 6, 5)
    uses = [
        Use(item=f"i{n}", commission=f"c{c}", amount=draw.uniform(20, 2500), day=first + timedelta(days=7 * (c // 2)))
        for c in range(commissions)
        for n in range(ingredients)
        if draw.random() < 0.7
    ]
    return plan_purchase(items, uses, Book(shops=shops, offers=tuple(offers)))


def rows() -> list[tuple[str, float, str]]:
    found: list[tuple[str, float, str]] = []
    for name, tied in (("shops without minimum", False), ("one shop with minimum and charge", True)):
        plan = shopping(12, 90, tied)
        assert plan.proven
        found.append(
            (f"12 commissions, 90 ingredients, {name}", best_ms(lambda t=tied: shopping(12, 90, t), 2), "ms")
        )
    return found


if __name__ == "__main__":
    for name, value, unit in rows():
        print(f"{name:60} {value:10.1f} {unit}")
