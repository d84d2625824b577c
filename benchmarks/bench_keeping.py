"""How fast a temperature line is walked; run by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count
from time import perf_counter

from tierwright.heat import Solver
from tierwright.keeping import Component, KeepingPlan, Layer, Place, Start, Stay, TierToKeep, keep, plot_line, walk
from tierwright.larder import Composition
from tierwright.shapes import Outline

NOON = datetime(2027, 7, 2, 12, tzinfo=UTC)
SPONGE = Component(
    key="sponge",
    name="sponge",
    kind="sponge",
    composition=Composition(water_g=30, protein_g=5, fat_g=18, carbohydrate_g=46, sugars_g=28, ash_g=1),
    density_g_per_ml=0.48,
)
COAT = Component(
    key="coat",
    name="buttercream",
    kind="swiss_buttercream",
    composition=Composition(water_g=20, protein_g=2, fat_g=35, carbohydrate_g=43, sugars_g=43),
    density_g_per_ml=0.8,
    fat="milk",
)
PARTS = {one.key: one for one in (SPONGE, COAT)}


def best_ms(work: Callable[[], object], repeats: int = 5) -> float:
    """Shortest of several runs, which other work on the machine disturbs least. [ms]"""
    times: list[float] = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return 1000.0 * min(times)


def tier(number: int, width_mm: float) -> TierToKeep:
    layers = [Layer(component=("sponge", "coat")[i % 2], thickness_mm=(28.0, 8.0)[i % 2]) for i in range(6)]
    return TierToKeep(
        number=number, name=str(number), outline=Outline.round(width_mm), layers=tuple(layers), coat="coat",
        coat_mm=8.0, open_top=1.0 if number == 4 else 0.5, on_tier=number > 1, load_g=1500.0,
    )  # fmt: skip


TIERS = tuple(tier(i + 1, width) for i, width in enumerate((300.0, 250.0, 200.0, 150.0)))


def stay(place: Place, begins_h: float, ends_h: float, air_c: float, humidity: float) -> Stay:
    return Stay(
        place=place, name=place.value, begins=NOON + timedelta(hours=begins_h), ends=NOON + timedelta(hours=ends_h),
        air_c=air_c, humidity=humidity,
    )  # fmt: skip


LIFE = (
    stay(Place.BENCH, 0, 2, 21, 0.5),
    stay(Place.FRIDGE, 2, 42, 4, 0.8),
    stay(Place.VAN, 42, 43, 23, 0.4),
    stay(Place.VENUE, 43, 48, 27, 0.5),
)
START = Start(sponge_c=20.0, filling_c=20.0, coat_c=21.0)


def whole_line(solver: Solver) -> None:
    for one in TIERS:
        walk(one, PARTS, LIFE, START, solver=solver)


def answer() -> None:
    keep(plan())


def plan() -> KeepingPlan:
    return KeepingPlan(
        jurisdiction="US", licence="home", tiers=TIERS, components=(SPONGE, COAT), kitchen=LIFE[:2], travel=LIFE[2],
        venue=LIFE[3], start=START, cutting_at=NOON + timedelta(hours=47), closes_at=NOON + timedelta(hours=46),
        freezer_c=-18.0,
    )  # fmt: skip


def moved_set_up() -> Callable[[], object]:
    """Return what a preview asks: the same cake, every time with another set-up; the kitchen's caches are warm."""
    minutes = count(1)

    def work() -> object:
        one, later = plan(), timedelta(minutes=next(minutes))
        return keep(
            replace(
                one,
                kitchen=(one.kitchen[0], replace(one.kitchen[1], ends=one.kitchen[1].ends + later)),
                travel=replace(one.travel, begins=one.travel.begins + later, ends=one.travel.ends + later),
                venue=replace(one.venue, begins=one.venue.begins + later),
            )
        )

    return work


def other_air() -> Callable[[], object]:
    """Return the other preview: every time with another air at the venue."""
    steps = count(1)

    def work() -> object:
        one = plan()
        return keep(replace(one, venue=replace(one.venue, air_c=one.venue.air_c + 0.01 * next(steps))))

    return work


def rows() -> list[tuple[str, float, str]]:
    whole_line(Solver.AUTO)
    found = keep(plan())
    return [
        ("temperature line, four tiers, 48 h", best_ms(lambda: whole_line(Solver.AUTO)), "ms"),
        ("the same without the compiled kernel", best_ms(lambda: whole_line(Solver.PLAIN), 2), "ms"),
        ("whole answer of keeping, with changes", best_ms(answer, 3), "ms"),
        ("the same, its set-up moved", best_ms(moved_set_up(), 8), "ms"),
        ("the same, other air at the venue", best_ms(other_air(), 8), "ms"),
        ("its drawing", best_ms(lambda: plot_line(found, cutting=NOON + timedelta(hours=47))), "ms"),
    ]
