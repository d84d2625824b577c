"""How fast labels are made; run by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from time import perf_counter

from tierwright.label import (
    BrandLot,
    Component,
    Jurisdiction,
    LabelOrder,
    PartOf,
    Unit,
    Used,
    draw_panel,
    draw_sheets,
    fitting_grid,
    label_cake,
    recheck,
)
from tierwright.larder import ingredients
from tierwright.units import English


def best_ms(work: Callable[[], object], repeats: int = 15) -> float:
    """Shortest of several runs, which other work on the machine disturbs least. [ms]"""
    times: list[float] = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times) * 1000.0


def order_of(count: int, tiers: int, place: Jurisdiction) -> LabelOrder:
    """A cake of ``tiers`` tiers and three components, with ``count`` different ingredients in all."""
    # Every sixth of the larder's ingredients, so that all its shelves are met.
    keys = list(ingredients())[:: max(len(ingredients()) // count, 1)][:count]
    components = tuple(
        Component(
            key=f"c{i}",
            name=f"component {i}",
            noun="cake" if i == 0 else "icing",
            used=tuple(Used(ingredient=key, grams=100.0 + n) for n, key in enumerate(keys[i::3])),
            loss_share=0.02 if i == 0 else 0.0,
            leavened=True if i == 0 else None,
        )
        for i in range(3)
    )
    units = tuple(
        Unit(
            key=f"tier.{n}",
            name=f"tier {n}",
            food_name="Celebration cake",
            parts=tuple(PartOf(component=c.key, grams=500.0 * n) for c in components),
            portions=30,
        )
        for n in range(1, tiers + 1)
    )
    return LabelOrder(
        jurisdiction=place,
        english=English.US if place is Jurisdiction.US else English.UK,
        components=components,
        units=units,
    )


def rows() -> list[tuple[str, float, str]]:
    single, stack = order_of(60, 1, Jurisdiction.US), order_of(60, 4, Jurisdiction.EU)
    label_cake(single)
    made = label_cake(stack)
    before = (BrandLot(ingredient=stack.components[0].used[0].ingredient, lot="1"),)
    after = (replace(before[0], lot="2"),)
    plain = replace(single, components=single.components[:1], units=(
        replace(single.units[0], parts=single.units[0].parts[:1]),
    ))  # fmt: skip
    sticker = label_cake(plain).units[0]
    grid = fitting_grid(sticker, Jurisdiction.US, "Letter")
    rows_ = [
        ("one cake of 60 ingredients, US, with its components and whole", best_ms(lambda: label_cake(single)), "ms"),
        ("four tiers of 60 ingredients, EU", best_ms(lambda: label_cake(stack)), "ms"),
        ("a changed lot over 20 such commissions", best_ms(
            lambda: recheck({str(n): stack for n in range(20)}, before, after), repeats=3
        ), "ms"),
        ("panel drawn", best_ms(lambda: draw_panel(made.units[0].panel)), "ms"),
    ]  # fmt: skip
    if grid is not None:
        rows_.append(
            ("a sheet of stickers", best_ms(lambda: draw_sheets([(sticker, grid.count)], Jurisdiction.US, grid)), "ms")
        )
    return rows_
