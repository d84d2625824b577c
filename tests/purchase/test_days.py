"""Several days and several orders at once: against every basket tried by hand, and against the general programme."""

from __future__ import annotations

import random
from datetime import timedelta
from decimal import Decimal
from itertools import product

import pytest
from tests.purchase.shopping import CORNER, DAY, book, item, offer

from tierwright.errors import Infeasible
from tierwright.purchase import Item, Offer, Policy, Shop, Use, packs, plan_purchase, splits
from tierwright.purchase.cover import Pack
from tierwright.purchase.days import Trip, over_days
from tierwright.purchase.sharing import share_out
from tierwright.purchase.trips import choose_trips, window

EXACT = Policy(near_equal=0.0)


def cheapest_over_days(key: Item, uses: list[Use], offers: list[Offer]) -> Decimal | None:
    """
    Least price of any basket on any of the days, tried one by one; what each pack may serve is a flow.

    Four packs of any kind hold more than all uses together.
    """
    trips = choose_trips(window(key, use.day, None) for use in uses)
    serves = [frozenset(n for n, use in enumerate(uses) if day in window(key, use.day, None)) for day in trips]
    wanted = [round(use.amount * 10) for use in uses]
    best: Decimal | None = None
    for basket in product(range(5), repeat=len(trips) * len(offers)):
        cost = sum((offers[n % len(offers)].price * times for n, times in enumerate(basket)), Decimal(0))
        if best is not None and cost >= best:
            continue
        sources = [
            (round(offers[n % len(offers)].amount * 10) * times, serves[n // len(offers)])
            for n, times in enumerate(basket)
            if times
        ]
        if not any(share_out(sources, wanted)[1]):
            best = cost
    return best


def test_several_days_agree_with_every_basket_tried_on_300_cases() -> None:
    days_tried = 0
    for seed in range(300):
        draw = random.Random(seed)
        key = item("cream", keeps_days=draw.choice([2, 4, 7]), buy_before_days=draw.choice([0, 1, 2]))
        uses = [
            Use(
                item="cream", commission=f"c{n}", amount=draw.randint(10, 60) / 10,
                day=DAY + timedelta(days=draw.randint(0, 9)),
            )
            for n in range(draw.randint(2, 4))
        ]  # fmt: skip
        offers = [
            offer(f"o{n}", "cream", draw.randint(60, 120) / 10, f"{draw.randint(50, 400) / 100:.2f}") for n in range(2)
        ]
        if len(choose_trips(window(key, use.day, None) for use in uses)) > 3:
            continue
        by_hand = cheapest_over_days(key, uses, offers)
        plan = plan_purchase([key], uses, book(*offers), EXACT)
        assert (plan.total, plan.proven) == (by_hand, True), seed
        days_tried += len({line.buy_on for line in plan.lines}) > 1
    assert days_tried > 80


def test_what_is_left_over_serves_the_next_day_and_no_further() -> None:
    # By hand: packs of 10 at 5. Day one must have 6, and what it buys may serve all 12: two packs, on whichever day.
    ten = Pack(amount=10, price=5, most=99)
    trips = [Trip(packs=(ten,), must=6, may=12), Trip(packs=(ten,), must=12, may=12)]
    found = over_days(trips, 0.0, lean=False)
    assert found is not None
    assert (found[1], sum(sum(day) for day in found[0])) == (10, 2)
    assert found[0][0][0] >= 1
    # Nothing of day one keeps for day two: each buys for itself.
    apart = [Trip(packs=(ten,), must=6, may=6), Trip(packs=(ten,), must=12, may=12)]
    assert over_days(apart, 0.0, lean=False) == ([[1], [1]], 10)
    assert over_days([Trip(packs=(), must=1, may=1)], 0.0, lean=False) is None


def test_less_left_over_within_the_near_equal_share() -> None:
    sack, bag = Pack(amount=2000, price=400, most=99), Pack(amount=500, price=201, most=99)
    trips = [Trip(packs=(sack, bag), must=1000, may=1000), Trip(packs=(sack, bag), must=2000, may=2000)]
    exact = over_days(trips, 0.0, lean=True)
    near = over_days(trips, 0.01, lean=True)
    assert exact == ([[1, 0], [1, 0]], 800)
    assert near == ([[0, 2], [0, 2]], 800)


def tied_case(seed: int) -> tuple[list[Item], list[Use], list[Offer], list[Shop]]:
    draw = random.Random(seed)
    items = [
        item(f"i{n}", keeps_days=draw.choice([2, 5, 30]), buy_before_days=draw.choice([1, 2]))
        for n in range(draw.randint(2, 5))
    ]
    shops = [
        CORNER,
        Shop(
            key="depot", name="Depot", lead_days=2, minimum=Decimal(draw.choice([0, 8, 20])),
            fee=Decimal(draw.choice([0, 2, 5])),
        ),
        Shop(key="mill", name="Mill", minimum=Decimal(draw.choice([0, 6])), fee=Decimal(draw.choice([1, 3]))),
    ]  # fmt: skip
    offers = [
        offer(
            f"{key.key}-{k}", key.key, draw.choice([10, 25, 50]), f"{draw.randint(80, 900) / 100:.2f}",
            shop="corner" if k == 0 else draw.choice(["depot", "mill"]),
        )
        for key in items
        for k in range(3)
    ]  # fmt: skip
    uses = [
        Use(
            item=draw.choice(items).key, commission=f"c{n}", amount=draw.randint(5, 120),
            day=DAY + timedelta(days=draw.randint(0, 12)),
        )
        for n in range(draw.randint(3, 9))
    ]  # fmt: skip
    return items, uses, offers, shops


def test_orders_agree_with_the_general_programme(monkeypatch: pytest.MonkeyPatch) -> None:
    by_orders, by_days, asked = packs._by_orders, packs._several_days, 0
    for seed in range(25):
        items, uses, offers, shops = tied_case(seed)
        books = book(*offers, shops=shops)
        totals: list[Decimal | None] = []
        for quick in (True, False):
            monkeypatch.setattr(packs, "_by_orders", by_orders if quick else lambda _problem: None)
            monkeypatch.setattr(packs, "_several_days", by_days if quick else lambda _problem: None)
            try:
                plan = plan_purchase(items, uses, books, EXACT)
            except Infeasible:
                totals.append(None)
                continue
            assert plan.proven
            totals.append(plan.total)
            asked += quick and any(line.shop != "corner" for line in plan.lines)
        assert totals[0] == totals[1], seed
    assert asked > 12


def test_a_season_of_commissions_is_proved() -> None:
    # 12 commissions, 90 ingredients, one shop with a least order and a charge: the sum is the bound, to the cent.
    from benchmarks.bench_money import shopping

    plan = shopping(12, 90, tied=True)
    assert plan.proven
    assert plan.bound <= plan.total <= plan.bound * Decimal("1.01")
    assert {line.shop for line in plan.lines} == {"a", "b"}


def test_wholes_taken_apart_agree_with_the_general_programme(monkeypatch: pytest.MonkeyPatch) -> None:
    apart, opened = packs._apart, 0
    items = [item("whole_egg", keeps_days=21), item("egg_yolk", keeps_days=9), item("egg_white", keeps_days=9)]
    for seed in range(30):
        draw = random.Random(seed)
        offers = [
            offer("dozen", "whole_egg", 600, f"{draw.randint(300, 600) / 100:.2f}"),
            offer("six", "whole_egg", 300, f"{draw.randint(150, 350) / 100:.2f}", most=draw.choice([None, 2])),
        ]
        if draw.random() < 0.7:
            offers.append(offer("carton", "egg_white", 500, f"{draw.randint(200, 700) / 100:.2f}"))
        uses = [
            Use(item=key, commission="c", amount=draw.randint(20, 500), day=DAY + timedelta(days=day))
            for key, day in (("egg_yolk", 0), ("egg_white", draw.choice([0, 1])), ("whole_egg", 0))
        ]
        books, found = book(*offers, splits=splits()), []
        for quick in (True, False):
            monkeypatch.setattr(packs, "_apart", apart if quick else lambda _problem: None)
            plan = plan_purchase(items, uses, books, EXACT)
            assert plan.proven
            found.append(plan.total)
            opened += quick and any(done.pieces for done in plan.splits)
        assert found[0] == found[1], seed
    assert opened > 20
