"""Speed of the support room: one plate, and the whole check of five tiers with its trials."""

from __future__ import annotations

from dataclasses import replace
from time import perf_counter

from tierwright.shapes import Outline, Shape
from tierwright.support import (
    Ask,
    BaseBoard,
    FillingLayer,
    MassPart,
    Means,
    Road,
    StackedTier,
    board_stocks,
    support,
    support_stocks,
)
from tierwright.support.plate import PatchForce, PlateSupport, PointForce, Wanted, bend_plate
from tierwright.support.ring import ring_positions
from tierwright.working import Estimate

SIZES_MM = (350.0, 300.0, 250.0, 200.0, 150.0)


def five_tiers() -> Ask:
    tiers = []
    for number, size in enumerate(SIZES_MM, start=1):
        outline = Outline.round(size)
        cake = Estimate.within(outline.area_mm2 * 121.0 * 0.55e-3, 0.1)
        tiers.append(
            StackedTier(
                number=number,
                name=f"tier {number}",
                outline=outline,
                board_outline=outline.grown(-5.0),
                board=board_stocks()["hardboard-3"],
                height_mm=125.0,
                crumb="butter",
                finish="soft",
                parts=(MassPart(name="cake", mass_g=cake, bottom_mm=3.0, top_mm=125.0),),
                fillings=(FillingLayer(filling="buttercream", at_mm=60.0),),
            )
        )
    return Ask(
        tiers=tuple(tiers),
        base=BaseBoard(board=board_stocks()["plywood-9"], outline=Outline.round(450.0)),
        means=Means(supports=(support_stocks()["wood-6"], support_stocks()["tube-12"])),
        road=Road(minutes=60.0, surface="patched", grade=0.06),
        trials=20_000,
    )


def best_of(runs: int, work: object) -> float:
    times = []
    for _ in range(runs):
        start = perf_counter()
        work()  # type: ignore[operator]
        times.append(perf_counter() - start)
    return min(times)


def rows() -> list[tuple[str, float, str]]:
    """Return the figures of the report."""
    board = Outline.round(240.0)
    supports = tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in ring_positions(board, count=6, share=0.7))
    load = (PatchForce(outline=board, force_n=40.0),)

    def plate() -> None:
        bend_plate(board, stiffness_nmm=9000.0, poisson=0.3, supports=supports, patches=load)

    def new_ring(share: float) -> float:
        """Seconds for a ring that was never asked about, on a board that was."""
        stands = tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in ring_positions(board, count=6, share=share))
        start = perf_counter()
        bend_plate(board, stiffness_nmm=9000.0, poisson=0.3, supports=stands, patches=load, wanted=Wanted.MOMENT)
        return perf_counter() - start

    def new_load(force_n: float) -> float:
        """Seconds for a load that was never asked about, on places that were."""
        feet = tuple(PointForce(x_mm=x, y_mm=y, force_n=force_n) for x, y in ring_positions(board, count=5, share=0.5))
        start = perf_counter()
        bend_plate(
            board,
            stiffness_nmm=9000.0,
            poisson=0.3,
            supports=supports,
            patches=load,
            points=feet,
            wanted=Wanted.MOMENT,
        )
        return perf_counter() - start

    def other_cake(grams: float) -> float:
        """Seconds for a cake like one that was worked, of another weight, with the trials of a dossier."""
        more = Estimate.within(grams, 0.1)
        tiers = tuple(replace(tier, decoration_g=more) for tier in ask.tiers)
        start = perf_counter()
        support(replace(ask, tiers=tiers, trials=4_000))
        return perf_counter() - start

    def new_shape(side: float) -> float:
        """Seconds for a rectangle of proportions that were never solved."""
        outline = Outline(shape=Shape.RECTANGLE, width_mm=240.0, length_mm=side)
        stands = tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in ring_positions(outline, count=6, share=0.7))
        start = perf_counter()
        bend_plate(
            outline,
            stiffness_nmm=9000.0,
            poisson=0.3,
            supports=stands,
            patches=(PatchForce(outline=outline, force_n=40.0),),
        )
        return perf_counter() - start

    ask = five_tiers()
    plate()
    return [
        ("one plate on six supports, first of its shape", 1e3 * min(map(new_shape, (231, 217, 203, 189, 171))), "ms"),
        ("one plate on six supports, shape known", 1e3 * best_of(20, plate), "ms"),
        ("its forces, sag and moments on another ring", 1e3 * min(map(new_ring, (0.61, 0.62, 0.63, 0.64))), "ms"),
        ("the same under other supports, known places", 1e3 * min(map(new_load, (2.0, 2.1, 2.2, 2.3))), "ms"),
        ("five tiers, 20,000 trials, all checks", best_of(3, lambda: support(ask)), "s"),
        ("five tiers of another weight, 4,000 trials", 1e3 * min(map(other_cake, (20.0, 30.0, 40.0, 50.0))), "ms"),
    ]


if __name__ == "__main__":
    for name, value, unit in rows():
        print(f"{name}: {value:.3g} {unit}")
