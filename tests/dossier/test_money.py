"""The money of the example: what is bought, what it costs, and the offer, from the stages themselves."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from tests.dossier.scenes import commission, kitchen
from tests.dossier.scenes import dossier as example

from tierwright.dossier import Dossier, prepare
from tierwright.dossier.money_stage import (
    allergen_statement,
    cost_inputs,
    price_stage,
    purchase_stage,
    quotation_stage,
    shopping_list,
    uses_of,
)
from tierwright.errors import BadInput
from tierwright.larder import OwnTimes
from tierwright.price import Priced, Quotation, revise
from tierwright.purchase import PurchasePlan, splits

QUOTED = date(2027, 3, 1)
TWO_TIERS: dict[str, list[object]] = {"borders": [], "drips": [], "flowers": [], "leaf": [], "bands": []}
"""What the example wears, less what sits on its third tier."""


def plan_of(dossier: Dossier, today: date | None = None) -> PurchasePlan:
    return purchase_stage(
        dossier.commission, dossier.kitchen, dossier.formulas, dossier.coating, dossier.sizing, today=today
    )


def priced(dossier: Dossier, own_times: Mapping[str, OwnTimes] | None = None) -> Priced:
    return price_stage(
        dossier.commission, dossier.kitchen, dossier.sizing, dossier.formulas, dossier.coating, plan_of(dossier),
        finish=dossier.finish, own_times=own_times,
    )  # fmt: skip


def test_every_gram_of_every_mix_is_bought_or_in_stock() -> None:
    done = example()
    plan = plan_of(done)
    weighed: dict[str, float] = defaultdict(float)
    for work in done.formulas.works:
        if work.batch is not None:
            for mix in work.batch.mixes:
                for part in mix.parts:
                    weighed[part.ingredient] += part.grams
    bought: dict[str, float] = defaultdict(float)
    for line in plan.lines:
        bought[line.item] += line.content * line.packs
    for one in plan.unmet:
        bought[one.item] += one.amount
    pieces = {split.whole: 0 for split in splits()}
    for taken in plan.splits:
        pieces[taken.whole] += taken.pieces
    yields = {part: (split.whole, each) for split in splits() for part, each in split.parts}
    for key, grams in weighed.items():
        if key == "water":
            continue
        whole, each = yields.get(key, ("", 0.0))
        assert bought[key] + pieces.get(whole, 0) * each >= grams - 0.05, key
    assert plan.proven


def test_owned_boards_are_taken_before_any_is_bought() -> None:
    plan = plan_of(example())
    assert {"card_round_10_in", "card_round_8_in", "card_round_6_in"} <= {one.item for one in plan.from_stock}
    assert not any(line.item.startswith("card_round") for line in plan.lines)


def test_the_allergy_is_asked_at_each_packet() -> None:
    plan = plan_of(example())
    asked = {line.item for line in plan.lines if "hazelnut" in line.label_unread}
    assert {"cocoa_powder", "vegan_block"} <= asked
    assert all(q.severity.name == "DANGER" for q in plan.notes.questions if q.key.startswith("buying.label"))


def test_two_commissions_share_packs() -> None:
    one = example()
    other = replace(one, commission=one.commission.model_copy(update={"title": "Another supper"}))
    lists = [uses_of(d.commission, d.kitchen, d.formulas, d.coating, d.sizing) for d in (one, other)]
    both = shopping_list(lists, one.kitchen)
    alone = plan_of(one)
    assert alone.total < both.total < 2 * alone.total
    assert {a.commission for line in both.lines for a in line.for_whom} == {one.commission.title, "Another supper"}


def test_lines_of_the_cost_add_up_and_every_marginal_is_less_than_all() -> None:
    done = priced(example())
    cost = done.cost
    assert sum(line.amount.value for line in cost.lines) == cost.total.value == done.floor
    assert cost.total.low < cost.total.value < cost.total.high
    assert {one.of for one in done.marginals} == {
        "tier.1", "tier.2", "tier.3", "kitchen.1", "decoration", "distance",
    }  # fmt: skip
    assert all(0 < one.cost < cost.total.value for one in done.marginals)
    # Ingredients as used are worth less than the whole packs that have to be paid for them.
    assert {group.value: amount for group, amount in cost.groups}["ingredients"] < cost.bought


def test_hours_lie_where_makers_report_them() -> None:
    # Makers' own accounts, common practice: 10 to 15 active hours and 3 to 4 of baking for three tiers and kitchen
    # cakes for about a hundred, before client, shopping, cleaning and road are counted.
    cost = priced(example()).cost
    kitchen_hours = sum(
        line.hours.value
        for line in cost.lines
        if line.days_before in (1, 2) and not line.key.startswith("hands.cleaning")
    )
    assert 10 <= kitchen_hours <= 20


def test_a_client_who_collects_pays_for_no_way() -> None:
    collected = prepare(commission(travel={"collected-by-client": True}), kitchen())
    assert "distance" not in {one.of for one in priced(collected).marginals}
    assert priced(collected).floor < priced(example()).floor


def test_own_times_change_the_price_and_say_so() -> None:
    slow = OwnTimes(task="coat")
    for _ in range(20):
        slow = slow.add(80, 35)
    own = priced(example(), {"coat": slow})
    assert own.floor > priced(example()).floor
    hours = next(figure for figure in own.notes.figures if figure.key == "price.hours")
    assert hours.source.basis.value == "maker's own record"


def test_the_kitchens_own_book_of_norms_is_used_and_named() -> None:
    accounts = {"times": [{"task": "coat", "paces": [2.0, 2.1, 1.9, 2.0]}]}
    own = prepare(commission(), kitchen(accounts=accounts)).price
    hours = next(figure for figure in own.notes.figures if figure.key == "price.hours")
    assert "coating and smoothing, 4 times" in hours.source.text
    assert own.cost.hours.value > prepare(commission(), kitchen()).price.cost.hours.value


def test_a_task_that_no_norm_knows_is_refused() -> None:
    with pytest.raises(BadInput, match=r"accounts\.times"):
        kitchen(accounts={"times": [{"task": "coatng", "paces": [1.0]}]})


def test_a_budget_below_the_price_is_asked_about() -> None:
    tight = prepare(commission(budget="300"), kitchen())
    question = next(q for q in priced(tight).notes.questions if q.key == "price.budget")
    assert "adds" in question.change


def test_without_prices_the_floor_is_not_passed_off_as_whole() -> None:
    bare = prepare(commission(), kitchen(prices=[]))
    asked = {question.key for question in priced(bare).notes.questions}
    assert {"price.unpriced", "price.missing"} & asked
    assert plan_of(bare).unmet


def test_the_offer_adds_up_and_promises_no_absence() -> None:
    done = example()
    price = priced(done)
    offer = quotation_stage(
        done.commission, done.kitchen, done.sizing, done.formulas, price, number="Q1", quoted=QUOTED
    )
    assert offer.totals.net == price.asked == sum(line.net for line in offer.lines)
    assert offer.totals.tax == (price.asked * Decimal("0.04")).quantize(Decimal("0.01"))
    assert sum(due.amount for due in offer.dues) == offer.totals.gross
    assert "105 portions" in offer.lines[0].text
    statement = allergen_statement(done.commission, done.formulas)
    assert "no part of it is promised to be free" in statement
    assert "hazelnut" in statement
    for word in ("guarantee", "safe for", "nut-free"):
        assert word not in statement


def test_a_changed_brief_is_told_in_words() -> None:
    done, smaller = example(), prepare(commission(cake={"tiers": 2}, decor=TWO_TIERS), kitchen())

    def offer(dossier: Dossier) -> Quotation:
        return quotation_stage(
            dossier.commission, dossier.kitchen, dossier.sizing, dossier.formulas, priced(dossier), number="Q1",
            quoted=QUOTED,
        )  # fmt: skip

    first, second = offer(done), offer(smaller)
    changes = revise(first, second).changes
    assert any(text.startswith("Added: A cake of 2 tiers") for text in changes)
    assert changes[-1].startswith("Altogether ")


def test_too_late_to_shop_is_bought_today() -> None:
    done = example()
    today = done.commission.day.day - timedelta(days=1)
    assert {line.buy_on for line in plan_of(done, today=today).lines} == {today}


@pytest.mark.parametrize("kwh", [1.0, 12.0])
def test_planned_oven_energy_replaces_the_guess(kwh: float) -> None:
    done = example()
    inputs, _ = cost_inputs(
        done.commission, done.kitchen, done.sizing, done.formulas, done.coating, plan_of(done), oven_kwh=kwh, bakes=5
    )
    baking = sum(one.energy_kwh.value for one in inputs.energies if one.label == "baking")
    assert baking == pytest.approx(kwh)


def test_what_is_owned_without_a_price_is_said_to_cost_nothing() -> None:
    # The example's kitchen owns boards that its book has no price for.
    said = next(one for one in priced(example()).notes.assumptions if one.key == "price.owned")
    assert "card, 8 in" in said.value
    bought = kitchen(
        accounts={"wares": [{"ware": f"card_round_{n}_in", "pieces": 10, "price": "6.00"} for n in (6, 8, 10)]}
    )
    own = next((one for one in prepare(commission(), bought).notes.assumptions if one.key == "price.owned"), None)
    assert own is None or "card, 8 in" not in own.value


def test_what_the_cake_wears_is_bought_and_priced_under_the_decoration() -> None:
    done = example()
    assert done.finish is not None
    keys = {ware.key for ware in done.finish.wares}
    if not keys:
        done = prepare(
            commission(decor={"flowers": [{"species": "viola", "tier": 1, "count": 12, "state": "fresh"}]}), kitchen()
        )
        assert done.finish is not None
        keys = {ware.key for ware in done.finish.wares}
    listed = {line.item for line in done.purchase.lines} | {one.item for one in done.purchase.unmet}
    assert keys <= listed
    lines = [line for line in done.price.cost.lines if line.key.split(".")[1] in keys]
    assert all(line.of == "decoration" for line in lines)
