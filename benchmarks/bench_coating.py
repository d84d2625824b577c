"""How fast tiers are filled and coated; run by hand."""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

from tierwright.coating import CoatStyle, Finish, Laying, Spread, TierToCoat, coat
from tierwright.shapes import Outline, Shape
from tierwright.sizing.model import Tier, TierKind
from tierwright.working import Estimate

WIDTHS_MM = (304.8, 254.0, 203.2, 152.4)


def best_ms(work: Callable[[], object], repeats: int = 15) -> float:
    """Shortest of several runs, which other work on the machine disturbs least. [ms]"""
    times: list[float] = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times) * 1000.0


def stack(shape: Shape, widths_mm: tuple[float, ...], *, rolled: bool = False) -> list[TierToCoat]:
    buttercream = Spread(kind="swiss_buttercream", formula="buttercream")
    return [
        TierToCoat(
            cake=Tier(
                number=number,
                name=str(number),
                kind=TierKind.CAKE,
                outline=Outline(shape=shape, width_mm=width),
                pan="",
                layers=3,
                layer_height_mm=35.0,
                filling_mm=8.0,
                height_mm=121.0,
                keepsake=False,
                flavour=0,
                cutting=None,
            ),
            style=CoatStyle.ROLLED if rolled else CoatStyle.FULL,
            finish=Finish.COMBED,
            laying=Laying.WRAP,
            sponge_g_per_ml=Estimate(value=0.45, low=0.40, high=0.50),
            filling=Spread(kind="curd", formula="curd"),
            coat=Spread(kind="rolled_fondant", formula="paste") if rolled else buttercream,
            undercoat=buttercream,
            soak=Spread(kind="syrup", formula="syrup"),
            board="card",
        )
        for number, width in enumerate(widths_mm, start=1)
    ]


def rows() -> list[tuple[str, float, str]]:
    rounds = stack(Shape.ROUND, WIDTHS_MM[1:])
    rolled = stack(Shape.ROUND, WIDTHS_MM, rolled=True)
    hearts = stack(Shape.HEART, WIDTHS_MM[1:])
    start = perf_counter()
    coat(hearts)
    first_hearts = (perf_counter() - start) * 1000.0
    return [
        ("three round tiers", best_ms(lambda: coat(rounds)), "ms"),
        ("the same on a hot day, with all its questions", best_ms(lambda: coat(rounds, expected_c=29.0)), "ms"),
        ("four round tiers, disc and wrap", best_ms(lambda: coat(rolled)), "ms"),
        ("three hearts, first time (polygons buffered)", first_hearts, "ms"),
        ("three hearts, again", best_ms(lambda: coat(hearts)), "ms"),
    ]
