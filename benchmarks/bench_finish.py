"""How fast a finish is worked, laid flat and drawn; run by hand."""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

from tierwright.brief.decor import Decor, FlowerGroup
from tierwright.finish import (
    Order,
    Path,
    Rim,
    Stuff,
    Surface,
    WorkedBand,
    lay_flowers,
    line_round,
    scene_parts,
    template_sheets,
    work_finish,
)
from tierwright.finish.bands import work_band
from tierwright.finish.unrolling import Unrolled
from tierwright.shapes import Outline, Shape
from tierwright.working import Estimate

COAT = Stuff(
    key="coat", name="Coat", kind="swiss_buttercream", density_g_per_ml=Estimate.within(0.8, 0.1), colour="#f5ecd2"
)


def best_ms(work: Callable[[], object], repeats: int = 7) -> float:
    """Shortest of several runs, which other work on the machine disturbs least. [ms]"""
    times: list[float] = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times) * 1000.0


def surface(shape: Shape, width_mm: float, tier: int = 1, scale: float = 1.0) -> Surface:
    return Surface(
        tier=tier,
        name=str(tier),
        foot=Rim(outline=Outline(shape=shape, width_mm=width_mm), by_mm=7.5),
        top_scale=scale,
        foot_mm=110.0 * (tier - 1),
        top_mm=110.0 * tier,
        ground=None,
        above=None,
        coat="coat",
        colour="#f5ecd2",
    )


def flat(foot: Path) -> float:
    return Unrolled(foot=foot, height_mm=110.0, top_scale=0.8).area_mm2


def drawn(band: WorkedBand) -> object:
    return template_sheets(band.template, key="band", title="Band", alt="A band.")


def rows() -> list[tuple[str, float, str]]:
    tiers = tuple(surface(Shape.ROUND, 254.0 - 50.8 * i, i + 1) for i in range(3))
    decor = Decor.model_validate(
        {
            "borders": [{"tier": tier, "tip": "6 mm", "kind": "shell"} for tier in (1, 2, 3)],
            "bands": [{"tier": tier, "height": "40 mm", "foot": "15 mm", "repeat": "60 mm"} for tier in (1, 2, 3)],
        }
    )
    order = Order(decor=decor, surfaces=tiers, stuffs={"coat": COAT}, coat_mm={1: 7.5, 2: 7.5, 3: 7.5}, hues={})
    work = work_finish(order)
    petal = line_round(Outline(shape=Shape.PETAL, width_mm=254.0), 7.5)
    carved = surface(Shape.HEXAGON, 254.0, scale=0.8)
    band = work_band(decor.bands[0], carved, COAT)
    violas = FlowerGroup.model_validate({"species": "viola", "diameter": "22 mm", "tier": 1, "coverage": "30 %"})
    return [
        ("three tiers, rows and bands", best_ms(lambda: work_finish(order)), "ms"),
        ("the same as placed things", best_ms(lambda: scene_parts(work, tiers)), "ms"),
        ("a carved petal laid flat", best_ms(lambda: flat(petal)), "ms"),
        ("templates of a carved hexagon", best_ms(lambda: drawn(band)), "ms"),
        ("violas over 30 % of a 10 in top", best_ms(lambda: lay_flowers((violas,), tiers), 3), "ms"),
    ]
