"""
Draw computations against data from outside: ``python -m tools.plots [FOLDER]``.

Every published figure is taken from the test that holds the program to it, so that a plot cannot show another. Lines
are what the program computes, marks are what was published.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from math import pi
from pathlib import Path
from typing import Final

import numpy as np
import psychrolib
from tests.price.accounts import inputs
from tests.published import test_coating_amounts as coats
from tests.published import test_formula_worked_examples as formulas
from tests.published import test_heat_analytic as heat
from tests.published import test_keeping_activity as activity
from tests.published import test_keeping_air as moist
from tests.published import test_keeping_line as line_test
from tests.published import test_label_rounding as rounding
from tests.published import test_sizing_demand as saxon
from tests.published import test_sizing_serving_counts as counts
from tests.published import test_sugar_boiling as boiling
from tests.published import test_sugar_properties as sugar
from tests.published.test_bake_practice import minutes
from tests.purchase.shopping import book, cheapest_by_hand, item, offer, use
from tests.support.conftest import one_block
from tests.test_water import GUIDANCE_FEET_DEGF

from tierwright.coating import kind, thin_coat_ml
from tierwright.coating.strength import slump_thickness_mm, yield_stress_pa
from tierwright.coating.tables import density
from tierwright.formula import wide_pan_factor
from tierwright.formula.leavening import REFERENCE_POWDER, gas_ml
from tierwright.heat import Band, Body, Surroundings, simulate, solid
from tierwright.keeping.air import moist_air
from tierwright.keeping.bodies import RINGS
from tierwright.label import Jurisdiction, rounded
from tierwright.price import Terms, ladder, work_out
from tierwright.purchase import Policy, plan_purchase
from tierwright.shapes import Outline
from tierwright.sizing import RingMeasure
from tierwright.sugar import boiling_range, density_g_ml, norrish, solute, sucrose_solubility, sugar_and_water
from tierwright.sugar.fats import solid_percent
from tierwright.sugar.lethality import SUGAR_FACTOR, Z_WHITE, d_at, d_values, slowest_white
from tierwright.sugar.petals import PetalBody, drying_hours
from tierwright.support.column import Section, buckling_load_n
from tierwright.support.plate import PatchForce, bend_plate
from tierwright.support.plate_kernel import Edge
from tierwright.support.stack import tips_and_slides, tips_at_g
from tierwright.svg import INK_ON_PAPER, Drawing, document, element, group, line, number, rect, words
from tierwright.water import SEA_LEVEL_PA, air_pressure_pa, boiling_point_c

FOLDER: Final = Path(__file__).parents[1] / "docs" / "pictures"
Points = Sequence[tuple[float, float]]
WIDTH, HEIGHT, LEFT, RIGHT, TOP, FLOOR = 130.0, 92.0, 17.0, 4.0, 10.0, 68.0
DASHES: Final = (None, "2.4 1.2", "0.7 0.9", "4 1 0.8 1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """
    What is drawn.

    Attributes
    ----------
    key, title, across, up
        Name of the file; what it shows; what the two axes say.
    x, y
        Least and greatest value, and the step of the marks, of each axis.
    lines, marks, spans
        What the program computes; what was published; published spans as x, low, high. Each with its words.
    logarithmic
        Whether the upright axis counts powers of ten.
    """

    key: str
    title: str
    across: str
    up: str
    x: tuple[float, float, float]
    y: tuple[float, float, float]
    lines: tuple[tuple[str, Points], ...] = ()
    marks: tuple[tuple[str, Points], ...] = ()
    spans: tuple[tuple[str, Sequence[tuple[float, float, float]]], ...] = ()
    logarithmic: bool = False


def draw(plot: Plot) -> Drawing:
    """Draw one plot."""
    (x0, x1, x_step), (y0, y1, y_step) = plot.x, plot.y

    def x(value: float) -> float:
        return LEFT + (value - x0) / (x1 - x0) * (WIDTH - LEFT - RIGHT)

    def y(value: float) -> float:
        share = np.log(value / y0) / np.log(y1 / y0) if plot.logarithmic else (value - y0) / (y1 - y0)
        return float(FLOOR - share * (FLOOR - TOP))

    parts = [words(WIDTH / 2, 5.5, plot.title, size=3.6, anchor="middle", weight="bold")]
    for value in _ticks(x0, x1, x_step):
        parts += [
            line(x(value), TOP, x(value), FLOOR, stroke_width=0.1, stroke_opacity=0.4),
            words(x(value), FLOOR + 4, _say(value), size=2.8, anchor="middle"),
        ]
    rows = [10.0**n for n in range(-6, 7) if y0 <= 10.0**n <= y1] if plot.logarithmic else _ticks(y0, y1, y_step)
    for value in rows:
        parts += [
            line(LEFT, y(value), WIDTH - RIGHT, y(value), stroke_width=0.1, stroke_opacity=0.4),
            words(LEFT - 1.5, y(value) + 1, _say(value), size=2.8, anchor="end"),
        ]
    parts += [
        rect(LEFT, TOP, WIDTH - LEFT - RIGHT, FLOOR - TOP, fill="none", stroke_width=0.3),
        words((LEFT + WIDTH - RIGHT) / 2, FLOOR + 8.5, plot.across, size=3, anchor="middle"),
        words(4, (TOP + FLOOR) / 2, plot.up, size=3, anchor="middle", turned=True),
    ]
    legend: list[tuple[str, Callable[[float, float], str]]] = []
    for order, (label, points) in enumerate(plot.lines):
        parts.append(_path([(x(a), y(b)) for a, b in points], DASHES[order % 4]))
        legend.append((label, _sample(DASHES[order % 4])))
    for order, (label, spans) in enumerate(plot.spans):
        parts += [line(x(a), y(low), x(a), y(high), stroke_width=1.6, stroke_opacity=0.55) for a, low, high in spans]
        legend.append((label, _bar))
        assert order == 0, "one kind of span a plot"
    for order, (label, points) in enumerate(plot.marks):
        drawn_as = MARKS[order]
        parts += [drawn_as(x(a), y(b)) for a, b in points]
        legend.append((label, drawn_as))
    for place, (label, mark) in enumerate(legend):
        left, base = LEFT + (place % 2) * 56, FLOOR + 14.0 + (place // 2) * 4.4
        parts += [mark(left + 3, base - 1), words(left + 8, base, label, size=2.8)]
    told = "; ".join(label for label, _ in legend)
    return document(
        prefix=plot.key, title=plot.title, desc=f"{plot.up} against {plot.across}: {told}.", width_mm=WIDTH,
        height_mm=HEIGHT, ink=INK_ON_PAPER, definitions="", body="".join(parts),
    )  # fmt: skip


def _ticks(low: float, high: float, step: float) -> list[float]:
    return [round(low + i * step, 9) for i in range(int((high - low) / step + 1.001))]


def _say(value: float) -> str:
    return f"{value:,.0f}" if float(value).is_integer() else f"{value:g}"


def _path(points: Points, dash: str | None) -> str:
    moves = " ".join(f"{'L' if i else 'M'}{number(a)} {number(b)}" for i, (a, b) in enumerate(points))
    return element("path", d=moves, fill="none", stroke_width=0.5, stroke_dasharray=dash)


def _sample(dash: str | None) -> Callable[[float, float], str]:
    return lambda x, y: line(x - 3, y, x + 3, y, stroke_width=0.5, stroke_dasharray=dash)


def _bar(x: float, y: float) -> str:
    return line(x, y - 1.5, x, y + 1.5, stroke_width=1.6, stroke_opacity=0.55)


def _ring(x: float, y: float) -> str:
    return element("circle", cx=x, cy=y, r=1.0, fill="#ffffff", stroke_width=0.4)


def _cross(x: float, y: float) -> str:
    arms = (line(x - 1, y - 1, x + 1, y + 1), line(x - 1, y + 1, x + 1, y - 1))
    return group(*arms, stroke_width=0.4)


MARKS: Final = (_ring, _cross)
"""One for each kind of published figure in a plot."""


def _over(low: float, high: float, computed: Callable[[float], float], steps: int = 60) -> Points:
    return [(float(x), float(computed(float(x)))) for x in np.linspace(low, high, steps + 1)]


def _boiling_by_height() -> Plot:
    return Plot(
        key="boiling-by-height", title="Water boils cooler the higher the kitchen",
        across="height above the sea [m]", up="boiling point [°C]", x=(0, 4000, 500), y=(86, 101, 2),
        lines=(("computed", _over(0, 4000, lambda m: boiling_point_c(air_pressure_pa(m)))),),
        marks=(
            ("CoolProp", boiling.WATER_BY_HEIGHT),
            ("Colorado State Extension", [(f * 0.3048, (t - 32) / 1.8) for f, t in GUIDANCE_FEET_DEGF]),
        ),
    )  # fmt: skip


def _boiling_rise() -> Plot:
    water = boiling_point_c(SEA_LEVEL_PA)

    def end(name: str) -> Callable[[float], float]:
        return lambda p: getattr(boiling_range(sugar_and_water(p / 0.9995, 100 - p), SEA_LEVEL_PA), name) - water

    return Plot(
        key="boiling-rise", title="How far over water a pot of sugar boils",
        across="sucrose in the pot [%]", up="rise [K]", x=(10, 92, 10), y=(0, 32, 4),
        lines=(
            ("computed", _over(10, 91, boiling.rise)),
            ("low end of the range told", _over(50, 91, end("low"))),
            ("high end of the range told", _over(50, 91, end("high"))),
        ),
        marks=(
            ("Brown 1912", [(p, rise) for p, rise, _ in boiling.BROWN_1912]),
            ("Claassen, from memory", boiling.CLAASSEN),
        ),
    )  # fmt: skip


def _syrup_density() -> Plot:
    return Plot(
        key="syrup-density", title="Density of a sucrose syrup at 20 °C",
        across="sucrose [%]", up="density [g/ml]", x=(0, 80, 10), y=(1.0, 1.45, 0.05),
        lines=(("computed", _over(0, 80, lambda p: float(density_g_ml(p / 100)))),),
        marks=(("NBS Circular 440", sugar.NBS_440),),
    )  # fmt: skip


def _solubility() -> Plot:
    return Plot(
        key="sugar-solubility", title="Sucrose that water holds",
        across="temperature [°C]", up="sucrose at saturation [%]", x=(0, 100, 10), y=(62, 84, 2),
        lines=(("computed: Charles 1960", _over(0, 100, lambda t: 100 * sucrose_solubility(t))),),
        marks=(("Mohos 2010", sugar.MOHOS),),
    )  # fmt: skip


def _water_activity() -> Plot:
    def of(key: str) -> Points:
        return _over(0.05, 0.68, lambda share: float(norrish(solute(key), share)))

    others = [
        (share, published)
        for key, share, published in (("glucose", 0.50, 0.892), ("glucose", 0.60, 0.837), ("glycerol", 0.40, 0.871))
        if key
    ]
    return Plot(
        key="water-activity", title="Water activity of single solutes at 25 °C",
        across="share of the solute by mass", up="water activity", x=(0, 0.7, 0.1), y=(0.6, 1.0, 0.05),
        lines=(("sucrose, computed", of("sucrose")), ("glucose, computed", of("glucose")),
               ("glycerol, computed", of("glycerol"))),
        marks=(("sucrose, published", activity.SUCROSE), ("glucose and glycerol, published", others)),
    )  # fmt: skip


def _dew_point() -> Plot:
    psychrolib.SetUnitSystem(psychrolib.SI)
    return Plot(
        key="dew-point", title="At what temperature a face begins to sweat",
        across="relative humidity [%]", up="dew point [°C]", x=(20, 100, 10), y=(0, 36, 4),
        lines=tuple(
            (f"air of {t} °C, computed", _over(lowest, 100, lambda h, t=t: moist_air(t, h / 100).dew_point_c))  # type: ignore[misc]
            for t, lowest in ((20, 30), (25, 22), (30, 20), (35, 20))
        ),
        marks=(("ASHRAE's equations", [(100 * h, dew) for _, h, dew in moist.DEW]),),
    )  # fmt: skip


def _cylinder_in_oven() -> Plot:
    history = heat.heat_through()
    axis = history.at(0.0, 0.5)
    places = [(i * 10 / 60, float(axis[i])) for i in range(0, 241, 6)]

    def exact(seconds: float) -> float:
        both = heat.cylinder(15 * heat.R / heat.K, heat.ALPHA * seconds / heat.R**2, 0.0) * heat.slab(
            15 * heat.H / 2 / heat.K, heat.ALPHA * seconds / (heat.H / 2) ** 2, 0.0
        )
        return heat.T_OVEN + (heat.T0 - heat.T_OVEN) * both

    return Plot(
        key="cylinder-in-oven", title="A plain cylinder of 229 × 40 mm in air of 177 °C",
        across="minutes", up="in its very middle [°C]", x=(0, 40, 5), y=(20, 130, 10),
        lines=(("thermal engine, 20 × 16 cells", places),),
        marks=(("exact series (Carslaw and Jaeger)", [(m, exact(60.0 * m)) for m in range(5, 41, 5)]),),
    )  # fmt: skip


def _cold_cylinder() -> Plot:
    stuff = solid("crumb", density_kg_m3=line_test.RHO, heat_capacity_j_kgk=line_test.CP, conductivity_w_mk=line_test.K)
    radius, height, film, air, start = line_test.R, line_test.H, line_test.FILM, line_test.AIR, line_test.T0
    body = Body(
        radius_mm=1000 * radius, bands=(Band(material=stuff, thickness_mm=1000 * height, cells=16),),
        rings=RINGS * 2,
    )  # fmt: skip
    room = Surroundings(
        name="room", duration_s=8 * 3600, air_c=air, h_top=film, h_side=film, h_bottom=film, exchange=0.0, step_s=60
    )
    seen = simulate(body, (room,), start=start, theta=1.0, vapour=False).at(0.0, 0.5)

    def exact(hours: float) -> float:
        seconds = 3600 * hours
        across = line_test.cylinder_centre(film * radius / line_test.K, line_test.ALPHA * seconds / radius**2)
        up = line_test.slab_centre(film * height / 2 / line_test.K, line_test.ALPHA * seconds / (height / 2) ** 2)
        return air + (start - air) * across * up

    return Plot(
        key="cold-cylinder", title="A cold tier of 200 × 100 mm comes into a room of 29 °C",
        across="hours", up="in its very middle [°C]", x=(0, 8, 1), y=(0, 32, 4),
        lines=(("computed with the line's own rings", [(i / 60, float(seen[i])) for i in range(0, 481, 12)]),),
        marks=(("exact product (Heisler's charts)", [(h, exact(h)) for h in range(1, 9)]),),
    )  # fmt: skip


def _round_plate() -> Plot:
    a = 100.0
    even = PatchForce(outline=Outline.round(2 * a), force_n=pi * a**2)

    def computed(nu: float, edge: Edge) -> float:
        return bend_plate(even.outline, stiffness_nmm=1.0, poisson=nu, patches=(even,), edge=edge).sag_mm * 64 / a**4

    ratios = [0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4]
    return Plot(
        key="round-plate", title="A round board under an even load",
        across="Poisson's ratio", up="sag in the middle over q a⁴ / 64 D", x=(0.1, 0.4, 0.05), y=(0, 6, 1),
        lines=(
            ("rim held down on a ring, computed", [(nu, computed(nu, Edge.SUPPORTED)) for nu in ratios]),
            ("rim clamped, computed", [(nu, computed(nu, Edge.CLAMPED)) for nu in ratios]),
        ),
        marks=(
            ("Timoshenko: (5 + ν) / (1 + ν)", [(nu, (5 + nu) / (1 + nu)) for nu in ratios]),
            ("Timoshenko: 1", [(nu, 1.0) for nu in ratios]),
        ),
    )  # fmt: skip


def _column() -> Plot:
    newton = 4.4482216152605
    bar = Section(outer_mm=25.4)

    def load(inches: float) -> float:
        crush, modulus = 40e3 * line_psi, 30e6 * line_psi
        return buckling_load_n(bar, length_mm=25.4 * inches, modulus_mpa=modulus, crush_mpa=crush) / 1000

    line_psi = 0.006894757293168361
    euler = [(n, pi**2 * 30e6 * pi / 64 / n**2 * newton / 1000) for n in (35, 40, 45, 50, 55, 60)]
    return Plot(
        key="column", title="A steel bar 1 in thick, pinned at both ends",
        across="length [in]", up="load that bends it out [kN]", x=(5, 60, 5), y=(0, 150, 25),
        lines=(("computed", _over(5, 60, load)),),
        marks=(
            ("Johnson by hand at 20 in: 24,625 lbf", [(20, 24_625 * newton / 1000)]),
            ("Euler by hand", euler),
        ),
    )  # fmt: skip


def _bake_times() -> Plot:
    pans = (152.0, 203.0, 254.0, 305.0, 406.0)
    return Plot(
        key="bake-times", title="Minutes for 20 mm of batter at 177 °C, static oven, by the sea",
        across="pan [mm]", up="done after [min]", x=(100, 450, 50), y=(20, 45, 5),
        lines=(("computed for an unknown oven", [(d, minutes(d, 20.0)) for d in pans]),),
        spans=(("household guides", [(152, 25, 30), (203, 30, 35), (305, 35, 40)]),),
    )  # fmt: skip


def _solid_fat() -> Plot:
    return Plot(
        key="solid-fat", title="How much of a fat is solid",
        across="temperature [°C]", up="solid [%]", x=(5, 40, 5), y=(0, 100, 10),
        lines=tuple(
            (f"{name}, computed", _over(5, 40, lambda t, k=key: solid_percent(k, t).value, 70))  # type: ignore[misc]
            for key, name in (("butterfat", "milk fat"), ("cocoa-butter", "cocoa butter"), ("coconut", "coconut"))
        ),
        marks=(("milk fat: Walstra, Marangoni", [(5, 55), (10, 45), (15, 35), (20, 20), (30, 5)]),),
    )  # fmt: skip


def _slices() -> Plot:
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


def _families() -> Plot:
    share = saxon.share_of(saxon.ALPHA, saxon.BETA)
    found = saxon.FAMILIES * saxon.chances_of_each(12, share)
    return Plot(
        key="families", title="The law behind portions, on 6,115 Saxon families",
        across="boys among the first twelve children", up="families", x=(0, 12, 1), y=(0, 1400, 200),
        lines=(("computed from mean and spread alone", list(enumerate(found.tolist()))),),
        marks=(("Lindsey and Altham 1998, their fit", list(enumerate(saxon.FITTED))),),
    )  # fmt: skip


def _lethality() -> Plot:
    def rows(start: str, sugar_percent: float) -> Points:
        return [
            (row.temperature_c, row.d_min)
            for row in d_values().values()
            if row.medium == start and row.sugar_percent == sugar_percent
        ]

    slowest = slowest_white()

    def used(celsius: float) -> float:
        return d_at(celsius, d_ref_min=slowest.d_min, ref_c=slowest.temperature_c, z_k=Z_WHITE.value)

    return Plot(
        key="lethality", title="Minutes to a tenth of the Salmonella in egg white",
        across="temperature [°C]", up="D [min]", x=(54, 64, 1), y=(0.01, 100, 1), logarithmic=True,
        lines=(
            ("used for plain white", _over(54, 64, used)),
            ("with sugar, likely (× 2.2)", _over(54, 64, lambda t: SUGAR_FACTOR.value * used(t))),
            ("with sugar, cautious (× 10)", _over(54, 64, lambda t: SUGAR_FACTOR.high * used(t))),
        ),
        marks=(("white, measured (three papers)", rows("white", 0)), ("white with 10 % sugar", rows("white", 10))),
    )  # fmt: skip


def _icing() -> Plot:
    def cups(inches: float, fillings: int) -> float:
        outline = coats.round_in(inches)
        outside = thin_coat_ml(outline, coats.TALL_MM, 25.4 / 4)
        return (outside + fillings * outline.area_mm2 * 25.4 / 3 / 1000) / coats.CUP

    return Plot(
        key="icing", title="Icing for a round tier of 4 in by the quarter-inch rule",
        across="diameter [in]", up="US cups", x=(6, 14, 1), y=(0, 18, 2),
        lines=tuple(
            (f"{name}, computed", _over(6, 14, lambda d, n=n: cups(d, n), 16))  # type: ignore[misc]
            for n, name in ((1, "one filling"), (2, "two fillings"), (3, "three fillings"))
        ),
        marks=(("by hand, to a tenth of a cup", [(row[0], cup) for row in coats.ICING_CUPS for cup in row[1:]]),),
    )  # fmt: skip


def _powder() -> Plot:
    return Plot(
        key="powder-gas", title="Gas from one gram of baking powder",
        across="temperature [°C]", up="gas [ml]", x=(20, 100, 10), y=(60, 110, 10),
        lines=(
            ("by the sea, computed", _over(20, 100, lambda t: gas_ml(REFERENCE_POWDER, t, 101_325.0))),
            ("at 1,600 m, computed", _over(20, 100, lambda t: gas_ml(REFERENCE_POWDER, t, 83_432.0))),
        ),
        marks=(("p V = n R T by hand", [(t, ml) for t, _, ml in formulas.GAS]),),
    )  # fmt: skip


def _wide_pans() -> Plot:
    return Plot(
        key="wide-pans", title="Share of the leavening for a wide pan",
        across="pan [in]", up="share of what a 9 in pan takes", x=(9, 14, 1), y=(0.7, 1.05, 0.05),
        lines=(("proposed", _over(9, 14, lambda inches: wide_pan_factor(inches * 25.4))),),
        marks=(("common practice", [(9, 1.0), (12, 0.84), (14, 0.75)]),),
    )  # fmt: skip


def _calories() -> Plot:
    return Plot(
        key="label-calories", title="Calories of a serving, as printed in the United States",
        across="worked out [kcal]", up="printed [kcal]", x=(0, 90, 10), y=(0, 90, 10),
        lines=(
            ("printed", _over(0, 90, lambda kcal: float(rounded(Jurisdiction.US, "energy_kcal", kcal)), 720)),
            ("unrounded", [(0, 0), (90, 90)]),
        ),
        marks=(("21 CFR 101.9(c)(1)", [(kcal, float(printed)) for kcal, printed in rounding.CALORIES if kcal <= 90]),),
    )  # fmt: skip


def _packs() -> Plot:
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


def _ladder() -> Plot:
    cost, day = work_out(inputs()), date(2027, 6, 26)
    days = tuple(range(15))

    def kept(lost: str) -> Points:
        terms = Terms(lost_share=Decimal(lost), lost_from_days=7, rungs=days)
        rungs = ladder(cost, Decimal(250), Decimal(300), terms, day)
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


def _tipping() -> Plot:
    def first(high_mm: float) -> tuple[float, float]:
        return tips_and_slides(one_block(balance_mm=np.array([[high_mm]])))

    return Plot(
        key="tips-or-slides", title="A block of 4 kg on a base of 200 mm: does it slide or tip?",
        across="height of its balance [mm]", up="push over its weight", x=(40, 400, 40), y=(0, 2.5, 0.5),
        lines=(
            ("tips, computed", _over(40, 400, lambda high: first(high)[0])),
            ("slides at a friction of 0.4", _over(40, 400, lambda high: first(high)[1], 2)),
            ("a hard stop with its margin", [(40, 0.55 * 1.2), (400, 0.55 * 1.2)]),
        ),
        marks=(("b / h", [(high, tips_at_g(100.0, high)) for high in range(40, 401, 40)]),),
    )  # fmt: skip


def _slump() -> Plot:
    coat = kind("swiss_buttercream")
    grams_per_ml = density(coat.key).value

    def stays(celsius: float, end: str) -> float:
        return max(0.1, slump_thickness_mm(getattr(yield_stress_pa(coat, celsius), end), grams_per_ml))

    by_hand = [(t, 600 * (solid / 20) ** 2.5 / (grams_per_ml * 9.80665)) for t, solid in ((20, 20), (25, 11.5))]
    return Plot(
        key="coat-stays", title="Thickest meringue buttercream that stays on a side",
        across="temperature of the coat [°C]", up="thickness [mm]", x=(14, 34, 2), y=(0.1, 1000, 1), logarithmic=True,
        lines=(
            ("middle of its class, computed", _over(14, 34, lambda t: stays(t, "value"))),
            ("firm end", _over(14, 34, lambda t: stays(t, "high"))),
            ("soft end", _over(14, 34, lambda t: stays(t, "low"))),
            ("a coat of 7 mm", [(14, 7), (34, 7)]),
        ),
        marks=(("600 Pa (S / 20 %)^2.5 / ρ g by hand", by_hand),),
    )  # fmt: skip


def _petals() -> Plot:
    return Plot(
        key="petals", title="How long a thin sugared petal dries",
        across="relative humidity [%]", up="hours", x=(20, 75, 5), y=(0, 120, 20),
        lines=tuple(
            (f"air of {t} °C", _over(20, 74, lambda h, t=t: drying_hours(  # type: ignore[misc]
                PetalBody.THIN, humidity_share=h / 100, room_c=t).value))
            for t in (15, 20, 25, 30)
        ),
        marks=(
            ("common practice: a day", [(50, 24)]),
            ("by steam tables, from there", [(40, 24 * 0.35 * 2339 / (0.45 * 4247))]),
        ),
    )  # fmt: skip


PLOTS: Final[tuple[Callable[[], Plot], ...]] = (
    _boiling_by_height, _boiling_rise, _syrup_density, _solubility, _water_activity, _dew_point, _cylinder_in_oven,
    _cold_cylinder, _round_plate, _column, _bake_times, _solid_fat, _slices, _families, _lethality, _icing, _powder,
    _wide_pans, _calories, _packs, _ladder, _tipping, _slump, _petals,
)  # fmt: skip
"""Every plot of ``docs/pictures``."""


def drawn() -> Iterable[tuple[str, str]]:
    """Yield the name of each file and its SVG."""
    for made in PLOTS:
        plot = made()
        yield f"{plot.key}.svg", draw(plot).svg


def main(folder: Path) -> None:
    """Write every plot."""
    for name, svg in drawn():
        (folder / name).write_text(svg + "\n", encoding="utf-8")
        print(f"wrote {folder / name}")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER)
