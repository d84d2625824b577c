"""Ingredients, lines, batters and what raises them."""

from __future__ import annotations

from math import pi

from tests.formula.cast import job
from tests.formula.test_lines import _rows as corpus
from tests.published import test_formula_worked_examples as formulas
from tests.published import test_larder_sr28 as sr28
from tests.published.test_larder_eggs_and_measures import SECOND_LABORATORY
from tools.build_ingredients import KCAL_PER_G
from tools.plots.drawing import Plot, over

from tierwright.formula import (
    FormulaText,
    Kind,
    Measures,
    Status,
    formula_class,
    make_batch,
    read_formula,
    read_line,
    wide_pan_factor,
)
from tierwright.formula.leavening import REFERENCE_POWDER, gas_ml
from tierwright.larder import ingredient, ingredients


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


def energies() -> Plot:
    found = []
    for item in ingredients().values():
        told = sr28.analyses()[item.ndb].get("energy_kcal") if item.ndb else None
        if told is not None:
            parts = [(getattr(item.composition, part), factor) for part, factor in KCAL_PER_G.items()]
            found.append((told, sum((grams or 0.0) * factor for grams, factor in parts)))
    return Plot(
        key="energies", title="The rule for energy, on foods of the larder that were analysed",
        across="USDA SR28 [kcal in 100 g]", up="4 p + 9 f + 4 c + 7 e - 2 fibre [kcal]",
        x=(0, 1000, 100), y=(0, 1000, 100), lines=(("equal", [(0, 0), (1000, 1000)]),),
        marks=((f"{len(found)} foods", found),),
    )  # fmt: skip


def cups() -> Plot:
    cups = [(ingredient(key).measure("cup", way), grams) for key, way, grams in SECOND_LABORATORY]
    # Where the larder itself follows that laboratory there is nothing to compare.
    two = [(cup.grams, grams) for cup, grams in cups if "Report 41" not in cup.source.text]
    return Plot(
        key="cups", title="One cup, weighed by two laboratories",
        across="USDA SR28 [g]", up="a cup [g]", x=(90, 230, 20), y=(80, 240, 20),
        lines=(("the larder", [(90, 90), (230, 230)]),),
        spans=(("its range", [(ours.value, ours.low, ours.high) for ours, _ in two]),),
        marks=(("USDA Home Economics Research Report 41", [(ours.value, grams) for ours, grams in two]),),
    )  # fmt: skip


def lines_read() -> Plot:
    by_hand = [
        (float(row["grams"]), read_line(row["line"], measures=Measures(row["measures"])).grams.value)
        for row in corpus() if row["status"] == "read" and float(row["grams"])
    ]  # fmt: skip
    weights = {(row[0], row[3]): float(row[4]) for row in sr28.table("WEIGHT.txt") if float(row[2]) == 1}
    household = []
    for key, unit, way, ndb, words in sr28.HOUSEHOLD:
        said = "" if way in ("level", "each") else f"{way} "
        line = read_line(f"1 {unit} {said}{ingredient(key).name_us}")
        # What only a maker can tell apart, such as a "cup, halves" of nuts, is asked and not guessed.
        if line.status is Status.READ:
            household.append((weights[ndb, words], line.grams.value))
    return Plot(
        key="lines-read", title="Grams of an ingredient line",
        across="worked by hand, or published [g]", up="read [g]", x=(0.2, 2000, 1), y=(0.2, 2000, 1), log_across=True,
        logarithmic=True, lines=(("equal", [(0.2, 0.2), (2000, 2000)]),),
        marks=(
            (f"{len(by_hand)} lines by hand", by_hand),
            (f"{len(household)} household measures (USDA SR28)", household),
        ),
    )  # fmt: skip


def gravities() -> Plot:
    spans = [(told, formula_class(kind).density) for kind, told in formulas.ASB]
    return Plot(
        key="gravities", title="Specific gravity by class: meringue, sponge, high-ratio, pound, creamed",
        across="American Society of Baking", up="specific gravity", x=(0.2, 0.9, 0.1), y=(0.2, 1.1, 0.1),
        lines=(("equal", [(0.2, 0.2), (0.9, 0.9)]),),
        spans=(("span of the class", [(told, density.low, density.high) for told, density in spans]),),
        marks=(
            ("as published", [(told, told) for told, _ in spans]),
            ("usual in the class", [(told, density.value) for told, density in spans]),
        ),
    )  # fmt: skip


def batter() -> Plot:
    text = FormulaText(key="a", name="A", kind=Kind.CREAMED, lines=("200 g cake flour", "200 g caster sugar"))
    formula = read_formula(text)
    inches = (5, 6, 7, 8, 9, 10, 11, 12, 13, 14)
    needs = [(d, make_batch(formula, jobs=(job(d, count=1),)).need_g) for d in inches]
    return Plot(
        key="batter", title="Creamed batter for one round layer, 38 mm high once levelled",
        across="pan [in]", up="batter [g]", x=(5, 14, 1), y=(0, 3000, 500),
        lines=(
            ("computed", [(d, grams.value) for d, grams in needs]),
            ("least", [(d, grams.low) for d, grams in needs]),
            ("most", [(d, grams.high) for d, grams in needs]),
        ),
        marks=(("by hand: trim 8 %, rise 1.6, 0.85 g/ml", [
            (d, pi / 4 * (25.4 * d) ** 2 * 38 / 1000 / 0.92 / 1.6 * 0.85) for d in (6, 8, 10, 12, 14)
        ]),),
    )  # fmt: skip
