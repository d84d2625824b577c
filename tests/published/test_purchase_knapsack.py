"""Choice of packs against published instances."""

from __future__ import annotations

from decimal import Decimal

import pytest
from tests.purchase.shopping import book, item, offer, use

from tierwright.purchase import Policy, plan_purchase

EXACT = Policy(near_equal=0.0)

# Martello and Toth, Knapsack Problems (1990), Example 2.1 and following: profits, weights, capacity, best profit.
# The others: Kreher and Stinson, Combinatorial Algorithms (1999), instances of the 0-1 knapsack problem, as
# Burkardt's public collection KNAPSACK_01 numbers them (P01, P02, P07).
KNAPSACKS = [
    ((70, 20, 39, 37, 7, 5, 10), (31, 10, 20, 19, 4, 3, 6), 50, 107),
    ((92, 57, 49, 68, 60, 43, 67, 84, 87, 72), (23, 31, 29, 44, 53, 38, 63, 85, 89, 82), 165, 309),
    ((24, 13, 23, 15, 16), (12, 7, 11, 8, 9), 26, 51),
    (
        (135, 139, 149, 150, 156, 163, 173, 184, 192, 201, 210, 214, 221, 229, 240),
        (70, 73, 77, 80, 82, 87, 90, 94, 98, 106, 110, 113, 115, 118, 120),
        750,
        1458,
    ),
]


@pytest.mark.parametrize(("profits", "weights", "capacity", "best"), KNAPSACKS)
def test_minimum_form_of_published_knapsacks(
    profits: tuple[int, ...], weights: tuple[int, ...], capacity: int, best: int
) -> None:
    # What is not packed is what is bought: at least (all weights - capacity) at least cost, each pack once;
    # the two forms are each other's complement (Martello and Toth, section 2.1).
    offers = [
        offer(f"p{n:02}", "flour", weight, str(profit), most=1)
        for n, (profit, weight) in enumerate(zip(profits, weights, strict=True))
    ]
    plan = plan_purchase([item("flour")], [use("flour", sum(weights) - capacity)], book(*offers), EXACT)
    assert plan.proven
    assert plan.total == sum(profits) - best


def test_43_is_the_largest_number_that_6_9_and_20_cannot_make() -> None:
    # The coin problem for {6, 9, 20} (Frobenius number 43): with prices equal to contents, what is paid is the least
    # reachable amount. Worked in Vardi, Computational Recreations in Mathematica (1991).
    offers = [offer(f"p{n}", "nuggets", n, str(n)) for n in (6, 9, 20)]
    paid = {
        need: plan_purchase([item("nuggets")], [use("nuggets", need)], book(*offers), EXACT).total
        for need in range(38, 52)
    }
    assert paid[43] == Decimal(44)
    assert all(paid[need] == need for need in range(44, 52))
