"""How fast tiers are cut and stacks proposed, with nothing remembered from a run before; run by hand."""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

from tierwright.shapes import Outline, Shape
from tierwright.sizing import (
    CutPattern,
    OvenSpace,
    PanChoice,
    PortionWish,
    RingMeasure,
    SizingBrief,
    cut,
    demand,
    size,
)
from tierwright.sizing.cutting import portions_in
from tierwright.sizing.rings import rings_and_core
from tierwright.words import Cutter, OtherDessert
from tierwright.working import Estimate

IN = 25.4


def forget() -> None:
    for remembered in (cut, portions_in, demand, rings_and_core):
        remembered.cache_clear()


def best_ms(work: Callable[[], object], repeats: int = 5) -> float:
    """Shortest of several cold runs, which other work on the machine disturbs least. [ms]"""
    times: list[float] = []
    for _ in range(repeats):
        forget()
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times) * 1000.0


def cutting(shape: Shape, pattern: CutPattern, width_in: float) -> Callable[[], object]:
    outline = Outline(
        shape=shape, width_mm=width_in * IN, length_mm=0.7 * width_in * IN if shape is Shape.RECTANGLE else 0.0
    )
    return lambda: cut(outline, pattern=pattern, measure=RingMeasure.MIDDLE, width_mm=IN, depth_mm=2 * IN)


def commission(tiers: int | None) -> SizingBrief:
    return SizingBrief(
        attending=Estimate(value=110, low=102, high=118),
        invited=124,
        take_up=Estimate(value=0.83, low=0.76, high=0.90),
        other_dessert=OtherDessert.SOME,
        portion=PortionWish(width_mm=IN, depth_mm=2 * IN, height_mm=4 * IN),
        cut_by=Cutter.CATERER,
        keepsake=False,
        risk=0.05,
        tiers=tiers,
        shape=Shape.ROUND,
        flavours=3,
        layers=3,
        filling_mm=8.0,
        tier_height_mm=None,
    )


def rows() -> list[tuple[str, float, str]]:
    ovens = (OvenSpace(key="oven", width_mm=460, depth_mm=400, shelves=2),)
    few = tuple(
        PanChoice(key=f"round-{d}", outline=Outline.round(d * IN), depth_mm=50.8, owned=2) for d in (6, 8, 9, 10, 12)
    )
    many = tuple(
        PanChoice(key=f"round-{d}", outline=Outline.round(d * IN), depth_mm=50.8, owned=2)
        for d in (4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15)
    )
    found = [
        (f"cut a 10 in {shape.value} in {pattern.value}", best_ms(cutting(shape, pattern, 10)), "ms")
        for shape in Shape
        for pattern in (CutPattern.RINGS, CutPattern.GRID)
    ]
    people = Estimate(value=110, low=102, high=118)
    share = Estimate(value=0.83, low=0.76, high=0.90)
    return [
        *found,
        ("cut a 16 in round in rings", best_ms(cutting(Shape.ROUND, CutPattern.RINGS, 16)), "ms"),
        ("demand of 110 people", best_ms(lambda: demand(attending=people, take_up=share, risk=0.05)), "ms"),
        ("three tiers from five pans", best_ms(lambda: size(commission(3), few, ovens)), "ms"),
        ("three tiers from twelve pans", best_ms(lambda: size(commission(3), many, ovens)), "ms"),
        ("any number of tiers from twelve pans", best_ms(lambda: size(commission(None), many, ovens)), "ms"),
    ]


if __name__ == "__main__":
    for name, value, unit in rows():
        print(f"{name:<48} {value:8.2f} {unit}")
