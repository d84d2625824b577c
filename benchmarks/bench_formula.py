"""Speed of reading and working formulas, on one core."""

from __future__ import annotations

from statistics import median
from time import perf_counter

from tierwright.formula import Bowl, FormulaText, Kind, PanJob, prepare_formulas, read_line
from tierwright.shapes import Outline
from tierwright.working import Estimate

LINES = (
    "2 3/4 cups spooned cake flour",
    "1 2/3 cups granulated sugar",
    "1 tbsp baking powder",
    "3/4 tsp table salt",
    "1 1/2 sticks unsalted butter, soft",
    "4 large eggs",
    "1 cup whole milk",
    "zest of 2 lemons",
)
LAYER = FormulaText(key="layer", name="Layer", kind=Kind.HIGH_RATIO, lines=LINES)
FOAM = FormulaText(
    key="foam",
    name="Buttercream",
    kind=Kind.SWISS_BUTTERCREAM,
    lines=("6 large egg whites", "400 g caster sugar", "600 g unsalted butter, soft"),
)
CURD = FormulaText(
    key="curd",
    name="Curd",
    kind=Kind.CURD,
    lines=("6 large egg yolks", "150 g caster sugar", "100 g lemon juice", "100 g unsalted butter"),
)


def _prepare() -> None:
    jobs = tuple(
        PanJob(
            key=f"tier.{number}",
            pan=f"round_{inches}",
            outline=Outline.round(25.4 * inches),
            depth_mm=76.2,
            count=3,
            levelled_mm=38.0,
        )
        for number, inches in enumerate((12, 9, 6), start=1)
    )
    prepare_formulas(
        (LAYER, FOAM, CURD),
        pans={"layer": jobs},
        needs={"foam": Estimate.within(3000.0, 0.1), "curd": Estimate.within(400.0, 0.1)},
        bowls=(Bowl(name="bowl", litres=4.8),),
        altitude_m=1420.0,
    )


def _seconds(repeats: int) -> float:
    times: list[float] = []
    for _ in range(repeats):
        start = perf_counter()
        _prepare()
        times.append(perf_counter() - start)
    return median(times)


def rows() -> list[tuple[str, float, str]]:
    start = perf_counter()
    _prepare()
    first = perf_counter() - start
    start = perf_counter()
    for _ in range(20):
        for line in LINES:
            read_line(line)
    per_line = (perf_counter() - start) / (20 * len(LINES))
    return [
        ("formula: first run, tables loaded", first * 1000, "ms"),
        ("formula: three formulas for three tiers", _seconds(20) * 1000, "ms"),
        ("formula: one ingredient line", per_line * 1e6, "us"),
    ]


if __name__ == "__main__":
    for name, value, unit in rows():
        print(f"{name:50} {value:10.2f} {unit}")
