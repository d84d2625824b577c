"""How fast flowers are laid, colours are learnt and found, and words are written; run by hand."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from time import perf_counter

from tierwright.brief import read_kitchen
from tierwright.finish import colours_of, mixes_of
from tierwright.finish.colour import lab_of_hex
from tierwright.finish.colour_mixing import _learn_mixes, learn_mixes
from tierwright.finish.colour_wish import nearest_mix
from tierwright.finish.flowers import FlowerSort, FlowerState, compose, pieces_of
from tierwright.finish.flowers_order import order_flowers
from tierwright.finish.lettering import write_round, write_straight
from tierwright.finish.placement import Ground, lay
from tierwright.shapes import Outline

KITCHEN = Path(__file__).resolve().parents[1] / "examples" / "centenary" / "kitchen.toml"


def best_ms(work: Callable[[], object], repeats: int = 5) -> float:
    """Shortest of several runs, which other work on the machine disturbs least. [ms]"""
    times: list[float] = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times) * 1000.0


def flowers(ground: Ground, share: float, *diameters_mm: float) -> tuple[int, Callable[[], object]]:
    sorts = [FlowerSort(species="viola", state=FlowerState.PRESSED, diameter_mm=d) for d in diameters_mm]
    made = compose(ground.area_mm2, share, sorts)
    pieces = pieces_of(sorts, made.counts)
    return len(pieces), lambda: lay(ground, pieces, seed=1)


def rows() -> list[tuple[str, float, str]]:
    top, side = Ground.top(Outline.round(300).polygon()), Ground.side(800.0, 110.0)
    few, on_top = flowers(top, 0.3, 9.5)
    many, round_side = flowers(side, 0.27, 10.0)
    mixed, dense = flowers(top, 0.55, 10.0, 16.0, 24.0)
    book = read_kitchen(KITCHEN).colours
    own, mixes = colours_of(book), mixes_of(book)

    def learn() -> object:
        _learn_mixes.cache_clear()
        return learn_mixes("swiss-buttercream", own, mixes)

    model = learn_mixes("swiss-buttercream", own, mixes)
    sorts = [FlowerSort(species="viola", state=state, diameter_mm=20) for state in FlowerState]
    return [
        (f"{few} flowers on a top, 30 %", best_ms(on_top), "ms"),
        (f"{many} flowers round a side, 27 %", best_ms(round_side), "ms"),
        (f"{mixed} flowers of three sizes, 55 %", best_ms(dense), "ms"),
        ("order of four sorts, with spares", best_ms(lambda: order_flowers(sorts, [40] * 4)), "ms"),
        (f"{len(mixes)} recorded mixes learnt, each left out once", best_ms(learn), "ms"),
        ("a wish, of five colours", best_ms(lambda: nearest_mix(model, lab_of_hex("#d2a7c4"))), "ms"),
        ("its own misses on mixes left out, mean CIEDE2000", model.mean_error or 0.0, ""),
        ("a line of 26 letters", best_ms(lambda: write_straight("Hundred Years on the Water", size_mm=20.0)), "ms"),
        ("words right round a board", best_ms(lambda: write_round("Centenary", size_mm=14.0, radius_mm=160.0)), "ms"),
    ]
