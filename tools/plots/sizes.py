"""How many portions, which tiers, how much coat."""

from __future__ import annotations

from dataclasses import replace
from math import pi

from tests.published import test_coating_amounts as coats
from tests.published import test_sizing_commissions as makers
from tests.published import test_sizing_demand as saxon
from tests.published import test_sizing_serving_counts as counts
from tests.sizing.kitchens import METRIC, ONE_OVEN
from tools.plots.drawing import Plot, over

from tierwright.coating import thin_coat_ml
from tierwright.sizing import RingMeasure, size
from tierwright.working import Estimate


def slices() -> Plot:
    diameters = list(counts.DIAMETERS)
    by_hand = [(d, total) for d, _, total in counts.BY_MIDDLE]
    return Plot(
        key="slices-of-a-round", title="Slices of 1 × 2 in from a round tier",
        across="diameter [in]", up="portions", x=(4, 16, 2), y=(0, 120, 20),
        lines=(
            ("width at the middle of the ring", [(d, counts.rings(d, RingMeasure.MIDDLE)) for d in diameters]),
            ("by area", [(d, counts.rings(d, RingMeasure.AREA)) for d in diameters]),
            ("width at the outer edge", [(d, counts.rings(d, RingMeasure.OUTER_EDGE)) for d in diameters]),
        ),
        marks=(("rings by hand", by_hand), ("area over 2 in²", [(d, pi * d * d / 8) for d in diameters])),
    )  # fmt: skip


def families() -> Plot:
    share = saxon.share_of(saxon.ALPHA, saxon.BETA)
    found = saxon.FAMILIES * saxon.chances_of_each(12, share)
    return Plot(
        key="families", title="The law behind portions, on 6,115 Saxon families",
        across="boys among the first twelve children", up="families", x=(0, 12, 1), y=(0, 1400, 200),
        lines=(("computed from mean and spread alone", list(enumerate(found.tolist()))),),
        marks=(("Lindsey and Altham 1998, their fit", list(enumerate(saxon.FITTED))),),
    )  # fmt: skip


def icing() -> Plot:
    def cups(inches: float, fillings: int) -> float:
        outline = coats.round_in(inches)
        outside = thin_coat_ml(outline, coats.TALL_MM, 25.4 / 4)
        return (outside + fillings * outline.area_mm2 * 25.4 / 3 / 1000) / coats.CUP

    return Plot(
        key="icing", title="Icing for a round tier of 4 in by the quarter-inch rule",
        across="diameter [in]", up="US cups", x=(6, 14, 1), y=(0, 18, 2),
        lines=tuple(
            (f"{name}, computed", over(6, 14, lambda d, n=n: cups(d, n), 16))  # type: ignore[misc]
            for n, name in ((1, "one filling"), (2, "two fillings"), (3, "three fillings"))
        ),
        marks=(("by hand, to a tenth of a cup", [(row[0], cup) for row in coats.ICING_CUPS for cup in row[1:]]),),
    )  # fmt: skip


def stacks() -> Plot:
    wish = replace(makers.SUMMER, portion=makers.BY_AREA, kitchen_cakes=False, dummies=False)

    def best(people: int) -> tuple[float, float, float]:
        found = size(replace(wish, attending=Estimate.exact(float(people))), METRIC, ONE_OVEN)
        return found.demand.mean, float(found.stack.portions), float(found.demand.wanted)

    sizes = [best(people) for people in range(40, 129)]
    # Guests times the maker's take-up: 96 at 82.5 %, for two stacks that were weighed, and 110 at 85 %.
    eaten = {(25, 20, 15): 96 * 0.825, (28, 23, 18): 96 * 0.825, (30, 23, 18): 110 * 0.85}
    held = [(eaten[tiers], float(count)) for tiers, count in makers.MAKERS_COUNT.items()]
    return Plot(
        key="stacks", title="Three tiers of cake from seven pans of 15 to 30 cm",
        across="portions that will be eaten", up="portions", x=(30, 110, 10), y=(20, 120, 20),
        lines=(
            ("best stack proposed", [(mean, portions) for mean, portions, _ in sizes]),
            ("least, to run short once in ten", [(mean, wanted) for mean, _, wanted in sizes]),
        ),
        marks=(
            ("a maker's stack that serves all", held[1:]),
            ("a maker's stack found too small", held[:1]),
        ),
    )  # fmt: skip
