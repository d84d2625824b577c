"""How many portions, which tiers, how much coat."""

from __future__ import annotations

from math import pi

from tests.published import test_coating_amounts as coats
from tests.published import test_sizing_demand as saxon
from tests.published import test_sizing_serving_counts as counts
from tools.plots.drawing import Plot, over

from tierwright.coating import thin_coat_ml
from tierwright.sizing import RingMeasure


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
