"""How fast shopping lists, quotations and a year's totals come; run by hand."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from functools import partial
from pathlib import Path
from time import perf_counter

from tierwright.price import EntryKind, Ledger, PaperLine, TaxRate, add_up, from_lines, to_line, year_total
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


def ledger_of(commissions: int) -> Ledger:
    """Return a year of commissions: an invoice, two payments, and now and then a refund and a correction."""
    draw = random.Random(9)
    ledger = Ledger(currency="USD")
    start = datetime(2027, 1, 2, tzinfo=UTC)
    for number in range(commissions):
        at = start + timedelta(hours=21 * number)
        price = Decimal(draw.randint(20_000, 120_000)) / 100
        key = f"c{number}"
        ledger = ledger.add(EntryKind.INVOICE, at=at, commission=key, amount=price, tax=price / 4 // 1, text="cake")
        ledger = ledger.add(EntryKind.PAYMENT, at=at, commission=key, amount=price // 3, text="retainer")
        ledger = ledger.add(EntryKind.PAYMENT, at=at, commission=key, amount=price - price // 3, text="balance")
        if number % 10 == 0:
            ledger = ledger.correct(len(ledger.entries), at=at, text="keyed wrong")
    return ledger


def add_papers(count: int) -> None:
    draw = random.Random(4)
    rates = (TaxRate(key="t", name="tax", rate=Decimal("0.2")),)
    for _ in range(count):
        lines = [PaperLine(text="x", net=Decimal(draw.randint(1, 99_999)) / 100, tax="t") for _ in range(6)]
        add_up(lines, rates, "EUR", inclusive=True)


def year_page(commissions: int) -> list[tuple[str, float, str]]:
    """Measure the year's page and its queries over a ledger in SQLite, in memory."""
    import os

    os.environ["DJANGO_SETTINGS_MODULE"] = "tierwright.web.settings"
    import django
    from django.conf import settings

    settings.DATABASES["default"] |= {"NAME": ":memory:", "CONN_MAX_AGE": None, "OPTIONS": {}}
    django.setup()
    from django.contrib.auth.models import User
    from django.core.management import call_command
    from django.test import Client, override_settings

    from tierwright.brief import read_table
    from tierwright.web.frame.filling import plain
    from tierwright.web.models import Commission, Kitchen, Membership
    from tierwright.web.money import ledger
    from tierwright.web.money.models import LedgerEntry

    call_command("migrate", verbosity=0)
    user = User.objects.create(username="maker")
    folder = Path(__file__).parents[1] / "examples" / "centenary"
    data = plain(read_table(folder / "kitchen.toml"))
    data["accounts"]["cap"] = {"amount": "500000"}
    kitchen = Kitchen.objects.create(name="k", data=data)
    Membership.objects.create(kitchen=kitchen, user=user, role="owner")
    at = datetime(2027, 6, 1, tzinfo=UTC)
    mine = [
        Commission.objects.create(
            kitchen=kitchen, title=f"c{n}", enquired_at=at, handover_at=at, cutting_at=at, last_slice_at=at,
            timezone="UTC",
        )
        for n in range(commissions)
    ]  # fmt: skip
    entries: list[LedgerEntry] = []
    for number, commission in enumerate(mine):
        day = date(2027, 1, 2) + timedelta(days=number * 360 // commissions)
        for kind, coins in (("invoice", 30000), ("payment", 10000), ("payment", 20000)):
            place = len(entries) + 1
            entries.append(
                LedgerEntry(
                    kitchen=kitchen, commission=commission, number=place, clock=f"{day}T10:00:00-07:00", day=day,
                    kind=kind, whose=commission.title, document=f"{place}", coins=coins, currency="USD", text="x",
                    seal="0" * 64, made_by="maker",
                )
            )  # fmt: skip
    LedgerEntry.objects.bulk_create(entries)
    browser = Client()
    browser.force_login(user, backend="django.contrib.auth.backends.ModelBackend")

    def page(rest: str) -> None:
        assert browser.get(f"/k/{kitchen.pk}/money/{rest}").status_code == 200

    with override_settings(ALLOWED_HOSTS=["testserver"]):
        return [
            (f"the year's totals of {commissions} commissions, in the database",
             best_ms(lambda: ledger.year_total(kitchen, 2027), 5), "ms"),
            ("the year's page, cap included", best_ms(lambda: page("year/2027/"), 5), "ms"),
            ("the ledger's page", best_ms(lambda: page(""), 5), "ms"),
        ]  # fmt: skip


def rows() -> list[tuple[str, float, str]]:
    found: list[tuple[str, float, str]] = []
    for name, tied in (("shops without minimum", False), ("one shop with minimum and charge", True)):
        plan = shopping(12, 90, tied)
        assert plan.proven
        found.append((f"12 commissions, 90 ingredients, {name}", best_ms(partial(shopping, 12, 90, tied), 2), "ms"))
    ledger = ledger_of(400)
    data = b"".join(to_line(entry) for entry in ledger.entries)
    found.append(("a year of 400 commissions added up", best_ms(lambda: year_total(ledger, 2027, UTC)), "ms"))
    found.append(("the same ledger read back, every seal checked", best_ms(lambda: from_lines(data, "USD")), "ms"))
    found.append(("1,000 papers of 6 lines added up with tax", best_ms(lambda: add_papers(1000)), "ms"))
    return found + year_page(400)


if __name__ == "__main__":
    for name, value, unit in rows():
        print(f"{name:60} {value:10.1f} {unit}")
