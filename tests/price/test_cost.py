"""Cost, price, marginals, discounts and displaced work, against sums done by hand."""

from __future__ import annotations

import random
from dataclasses import replace
from decimal import Decimal
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.price.accounts import BY_HAND, D, inputs, norm_of

from tierwright.errors import BadInput, OutOfRange
from tierwright.price import (
    Hire,
    Other,
    PolicyKind,
    PricePolicy,
    Work,
    asked_price,
    discount,
    opportunity,
    price_commission,
    sunk,
    wage_at,
    without,
    work_out,
)
from tierwright.working import Estimate

LINES = {"tier.1": "bottom tier", "tier.2": "top tier", "distance": "the way"}


def test_adds_up_to_the_sum_by_hand() -> None:
    cost = work_out(inputs())
    assert dict(cost.groups) == BY_HAND
    assert cost.total.value == sum(BY_HAND.values()) == D("194.65")
    assert cost.hours.value == pytest.approx(3.4)
    assert cost.bought == D("58.80")
    assert sum(line.amount.value for line in cost.lines) == cost.total.value


def test_range_is_half_alike_in_a_group_and_independent_between() -> None:
    # Ingredients 30.00 and 20.00 within 10 %: 3.00 and 2.00 to either side. Driving 26.00 within 30 %: 7.80, and 1.35
    # of overhead with it. JCGM 100:2008, eq. 16, with r = 0.5: 9 + 4 + 2 × 0.5 × 3 × 2 = 19.
    works = (Work(norm=norm_of("driving", 60, 0.3, kitchen=False), count=1, rate=D(26), of="distance"),)
    cost = work_out(inputs(works=works))
    half = (19 + 7.80**2 + 1.35**2) ** 0.5
    assert float(cost.total.high - cost.total.value) == pytest.approx(half, abs=0.006)
    assert float(cost.total.value - cost.total.low) == pytest.approx(half, abs=0.006)
    assert cost.drivers[0].label == "driving"
    assert cost.drivers[0].share == pytest.approx(7.80**2 / half**2)
    assert sum(driver.share for driver in cost.drivers) == pytest.approx(1.0)


def test_more_work_never_costs_less() -> None:
    cheap = work_out(inputs())
    works = (*inputs().works, Work(norm=norm_of("flowers", 30), count=12, rate=D(26), of="flowers"))
    assert work_out(inputs(works=works)).total.value > cheap.total.value


@pytest.mark.parametrize(
    ("policy", "price"),
    [
        (PricePolicy(), "194.65"),
        (PricePolicy(kind=PolicyKind.COST_PLUS, markup=D("0.25")), "243.32"),  # 243.3125, up to the next cent
        (PricePolicy(kind=PolicyKind.MARGIN, margin=D("0.20")), "243.32"),  # the same, seen from the price
        (PricePolicy(kind=PolicyKind.PER_PORTION, per_portion=D("4.50")), "180.00"),
        (PricePolicy(kind=PolicyKind.PER_PORTION, per_portion=D("4.50"), minimum=D(200)), "200.00"),
        (PricePolicy(kind=PolicyKind.HOURLY, hourly=D(40)), "242.25"),  # 194.65 - 88.40 + 3.4 × 40
        (PricePolicy(kind=PolicyKind.HOURLY, hourly=D(40), step=D(5)), "245.00"),
    ],
)
def test_each_policy_by_hand(policy: PricePolicy, price: str) -> None:
    assert asked_price(work_out(inputs()), policy, 40) == D(price)


def test_the_floor_earns_exactly_the_wage_wanted() -> None:
    cost = work_out(inputs())
    assert wage_at(cost, cost.total.value) == D("26.00")


def test_price_below_the_floor_is_said() -> None:
    policy = PricePolicy(kind=PolicyKind.PER_PORTION, per_portion=D(4))
    priced = price_commission(inputs(), policy, 40, LINES)
    assert priced.asked == 160
    assert priced.wage == D("15.81")  # (160 - 106.25) / 3.4
    assert "price.below_floor" in {question.key for question in priced.notes.questions}


def test_what_each_line_of_the_brief_adds() -> None:
    priced = price_commission(inputs(), PricePolicy(kind=PolicyKind.COST_PLUS, markup=D("0.5")), 40, LINES)
    added = {one.of: one for one in priced.marginals}
    # The way: 38.64 + 26.00 + 4.50 of overhead for its hour.
    assert added["distance"].cost == D("69.14")
    assert added["distance"].hours == pytest.approx(1.0)
    # Top tier: 20.00 + 26.00 + cleaning 5.20 + overhead 1.2 h × 4.50.
    assert added["tier.2"].cost == D("56.60")
    assert added["tier.2"].price == D("84.90")
    assert all(one.cost > 0 for one in priced.marginals)


def test_leaving_every_line_out_leaves_nothing() -> None:
    bare = inputs()
    for of in LINES:
        bare = without(bare, of)
    assert work_out(bare).total.value == 0


def test_what_is_sunk_grows_towards_the_day() -> None:
    cost = work_out(inputs())
    curve = [sunk(cost, days) for days in range(10, -1, -1)]
    assert curve == sorted(curve)
    assert curve[-1] == cost.total.value
    assert sunk(cost, 3) == D("50.00")


def test_discount_and_the_wage() -> None:
    priced = price_commission(inputs(), PricePolicy(kind=PolicyKind.HOURLY, hourly=D(40)), 40, {})
    ten = discount(priced, share=D("0.10"))
    # 242.25 less 24.23 is 218.02; (218.02 - 106.25) / 3.4 = 32.87 an hour instead of 40.00.
    assert (ten.off, ten.price, ten.wage_before, ten.wage_after) == (D("24.23"), D("218.02"), D("40.00"), D("32.87"))
    assert ten.above_floor
    assert not discount(priced, off=D(60)).above_floor
    with pytest.raises(OutOfRange):
        discount(priced, share=D("1.5"))


def test_lending_costs_its_chance_of_loss() -> None:
    stand = Hire(label="stand", deposit=D(80), cost=D(5), loss=Estimate(value=0.05, low=0.0, high=0.1))
    line = next(line for line in work_out(inputs(hires=(stand,))).lines if line.key == "hire.1")
    assert (line.amount.low, line.amount.value, line.amount.high) == (D("5.00"), D("9.00"), D("13.00"))


def test_what_is_lent_goes_with_its_own_line_alone() -> None:
    stands = tuple(
        Hire(label="stand", deposit=D(80), cost=D(5), loss=Estimate.exact(0.05), of=of) for of in ("tier.1", "tier.2")
    )
    assert without(inputs(hires=stands), "tier.1").hires == stands[1:]


def test_costs_that_nobody_entered_are_asked_for() -> None:
    bare = replace(inputs(), materials=(), overhead_per_hour=D(0), travel_per_km=D(0))
    question = next(
        q for q in price_commission(bare, PricePolicy(), 10, {}).notes.questions if q.key == "price.missing"
    )
    assert question.text == "What about prices of ingredients, overhead, cost of a kilometre, wear of equipment?"


def test_a_full_week_gives_up_the_least() -> None:
    others = [Other(title="A", hours=8, earns=D(300)), Other(title="B", hours=5, earns=D(140))]
    others += [Other(title="C", hours=4, earns=D(120))]
    assert opportunity(12, 12, others).gives_up == ()
    found = opportunity(12, 4, others)  # 8 h short: B and C together (9 h, 260) rather than A (8 h, 300)
    assert (found.gives_up, found.lost, found.short_h) == (("B", "C"), D(260), 8)
    assert not opportunity(40, 4, others).possible


def test_displaced_work_agrees_with_every_choice_tried() -> None:
    draw = random.Random(3)
    for _ in range(200):
        others = [Other(title=str(n), hours=draw.randint(1, 40) / 4, earns=D(draw.randint(0, 400))) for n in range(6)]
        short = draw.randint(1, 100) / 4
        found = opportunity(short, 0, others)
        sets = [c for size in range(7) for c in combinations(others, size) if sum(o.hours for o in c) >= short]
        assert found.possible == bool(sets)
        if sets:
            assert found.lost == min(sum((o.earns for o in chosen), D(0)) for chosen in sets)


@settings(max_examples=50, deadline=None)
@given(
    markup=st.decimals(min_value=0, max_value=3, places=3),
    step=st.sampled_from(["0", "0.05", "1", "5"]),
    currency=st.sampled_from(["USD", "JPY", "KWD", "EUR", "GBP"]),
)
def test_asked_is_whole_steps_and_covers_the_floor(markup: Decimal, step: str, currency: str) -> None:
    cost = work_out(inputs(currency=currency))
    price = asked_price(cost, PricePolicy(kind=PolicyKind.COST_PLUS, markup=markup, step=D(step)), 10)
    assert price >= cost.total.value
    assert D(step) == 0 or price % max(D(step), D(1) if currency == "JPY" else D(0)) == 0


def test_an_unknown_currency_is_refused() -> None:
    with pytest.raises(BadInput):
        work_out(inputs(currency="XQQ"))


def test_what_a_line_of_the_brief_adds_is_the_cost_without_it_worked_anew() -> None:
    given = inputs()
    whole = work_out(given)
    priced = price_commission(
        given, PricePolicy(kind=PolicyKind.COST_PLUS, markup=D("0.25")), 50, {"tier.1": "one", "distance": "way"}
    )
    for one in priced.marginals:
        anew = work_out(without(given, one.of))
        assert one.cost == whole.total.value - anew.total.value
        assert one.hours == pytest.approx(whole.hours.value - anew.hours.value)


def test_the_first_portion_and_the_last_that_can_be_priced() -> None:
    for portions in (1, 100_000):
        assert price_commission(inputs(), PricePolicy(), portions, {}).portions == portions
    for portions in (0, 100_001):
        with pytest.raises(OutOfRange):
            price_commission(inputs(), PricePolicy(), portions, {})


def test_half_an_hour_short_is_short() -> None:
    # 0.5 h of 12 is missing: the only other commission goes, for all that it earns.
    found = opportunity(12, 11.5, [Other(title="A", hours=8, earns=D(300))])
    assert (found.gives_up, found.lost, found.short_h) == (("A",), D(300), 0.5)
