"""Labels, purchases and prices."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from tests.price.accounts import inputs
from tests.published import test_label_rounding as rounding
from tests.purchase.shopping import book, cheapest_by_hand, item, offer, use
from tools.plots.drawing import Plot, Points, over

from tierwright.label import Jurisdiction, rounded
from tierwright.price import Terms, work_out
from tierwright.price import ladder as rungs_of
from tierwright.purchase import Policy, plan_purchase


def calories() -> Plot:
    return Plot(
        key="label-calories", title="Calories of a serving, as printed in the United States",
        across="worked out [kcal]", up="printed [kcal]", x=(0, 90, 10), y=(0, 90, 10),
        lines=(
            ("printed", over(0, 90, lambda kcal: float(rounded(Jurisdiction.US, "energy_kcal", kcal)), 720)),
            ("unrounded", [(0, 0), (90, 90)]),
        ),
        marks=(("21 CFR 101.9(c)(1)", [(kcal, float(printed)) for kcal, printed in rounding.CALORIES if kcal <= 90]),),
    )  # fmt: skip


def packs() -> Plot:
    sizes = ((500, "1.10"), (1000, "1.80"), (2500, "3.60"))
    packs = [offer(f"{grams} g", "flour", grams, price) for grams, price in sizes]

    def least(grams: float) -> float:
        plan = plan_purchase([item("flour")], [use("flour", grams)], book(*packs), Policy(near_equal=0.0))
        return float(plan.total)

    def by_hand(grams: float) -> float:
        found = cheapest_by_hand(grams, packs)
        assert found is not None
        return float(found)

    needs = [float(grams) for grams in range(20, 5001, 20)]
    return Plot(
        key="packs", title="Flour in packs of 500 g, 1 kg and 2.5 kg at 1.10, 1.80 and 3.60",
        across="needed [g]", up="paid", x=(0, 5000, 500), y=(0, 10, 1),
        lines=(
            ("least, computed", [(grams, least(grams)) for grams in needs]),
            ("kilogram packs alone", [(grams, 1.8 * -(-grams // 1000)) for grams in needs]),
        ),
        marks=(("every basket tried", [(grams, by_hand(float(grams))) for grams in range(200, 5001, 400)]),),
    )  # fmt: skip


def ladder() -> Plot:
    cost, day = work_out(inputs()), date(2027, 6, 26)
    days = tuple(range(15))

    def kept(lost: str) -> Points:
        terms = Terms(lost_share=Decimal(lost), lost_from_days=7, rungs=days)
        rungs = rungs_of(cost, Decimal(250), Decimal(300), terms, day)
        steps = sorted((rung.days_before, float(rung.kept)) for rung in rungs)
        return [(min(max(at + half, 0.0), 14.0), money) for at, money in steps for half in (-0.5, 0.5)]

    # By hand, of a cost of 194.65 and a price of 250.00, 300.00 with tax: nothing is sunk until the ingredients are
    # bought for 50.00 three days before; the earnings are 55.35.
    sums = [(10, 0.0), (2, 50 / 250 * 300), (0, 194.65 / 250 * 300)]
    halves = [(5, 55.35 / 2 / 250 * 300), (2, (50 + 55.35 / 2) / 250 * 300), (0, (194.65 + 55.35 / 2) / 250 * 300)]
    return Plot(
        key="cancelled", title="Kept of a price of 300.00, if the client cancels",
        across="days before the handover", up="kept", x=(0, 14, 1), y=(0, 300, 50),
        lines=(("what is sunk by then", kept("0")), ("and half of the earnings, from 7 days", kept("0.5"))),
        marks=(("sunk, by hand", sums), ("with half of the earnings, by hand", halves)),
    )  # fmt: skip
