"""Ingredients, lines, batters and what raises them."""

from __future__ import annotations

from tests.published import test_formula_worked_examples as formulas
from tools.plots.drawing import Plot, over

from tierwright.formula import wide_pan_factor
from tierwright.formula.leavening import REFERENCE_POWDER, gas_ml


def powder() -> Plot:
    return Plot(
        key="powder-gas", title="Gas from one gram of baking powder",
        across="temperature [°C]", up="gas [ml]", x=(20, 100, 10), y=(60, 110, 10),
        lines=(
            ("by the sea, computed", over(20, 100, lambda t: gas_ml(REFERENCE_POWDER, t, 101_325.0))),
            ("at 1,600 m, computed", over(20, 100, lambda t: gas_ml(REFERENCE_POWDER, t, 83_432.0))),
        ),
        marks=(("p V = n R T by hand", [(t, ml) for t, _, ml in formulas.GAS]),),
    )  # fmt: skip


def wide_pans() -> Plot:
    return Plot(
        key="wide-pans", title="Share of the leavening for a wide pan",
        across="pan [in]", up="share of what a 9 in pan takes", x=(9, 14, 1), y=(0.7, 1.05, 0.05),
        lines=(("proposed", over(9, 14, lambda inches: wide_pan_factor(inches * 25.4))),),
        marks=(("common practice", [(9, 1.0), (12, 0.84), (14, 0.75)]),),
    )  # fmt: skip
