"""How long the larder takes to load and to answer; run by hand, never a test."""

from __future__ import annotations

import tracemalloc
from time import perf_counter

from tierwright.larder import boards, find, flowers, ingredients, pans, supports
from tierwright.larder.finding import ambiguous, names
from tierwright.larder.tables import source

LINES = (
    "spooned cake flour",
    "soft unsalted butter, at room temperature",
    "large free-range eggs, beaten",
    "dark chocolate, 64 % cocoa solids, chopped",
    "finely grated lemon zest",
    "cream",
    "cream cheese (vegan)",
    "butermilk",
)


def fresh() -> None:
    """Forget every table, so that the next call reads it."""
    for table in (ingredients, boards, pans, supports, flowers, names, ambiguous, source):
        table.cache_clear()


def best_ms(runs: int = 7) -> tuple[float, float]:
    """Return the quickest load of the ingredients alone, and of every table with the names. [ms]"""
    alone, whole = [], []
    for _ in range(runs):
        fresh()
        start = perf_counter()
        ingredients()
        alone.append(perf_counter() - start)
        for table in (boards, pans, supports, flowers, names, ambiguous):
            table()
        whole.append(perf_counter() - start)
    return min(alone) * 1e3, min(whole) * 1e3


def rows() -> list[tuple[str, float, str]]:
    """Return name, value and unit of each figure."""
    alone, whole = best_ms()
    start = perf_counter()
    rounds = 20
    for _ in range(rounds):
        for line in LINES:
            find(line)
    each = (perf_counter() - start) / (rounds * len(LINES))
    fresh()
    tracemalloc.start()
    ingredients()
    kept, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return [
        ("load the ingredients with their measures", alone, "ms"),
        ("load every table and the names", whole, "ms"),
        ("find an ingredient by a line's words, mean", each * 1e3, "ms"),
        ("memory of the loaded ingredients", kept / 1e6, "MB"),
    ]


if __name__ == "__main__":
    for name, value, unit in rows():
        print(f"{name}: {value:.3g} {unit}")
