"""
Computations drawn against data from outside: ``python -m tools.plots [FOLDER]``.

Every published figure is taken from the test that holds the program to it, so that a plot cannot show another. Lines
are what the program computes, marks are what was published; where each value has its own published one, the one is
drawn against the other along the line on which both are equal.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Final

from tools.plots import desk, finish, formulas, heat, keeping, kitchen, sizes, standing, sugar
from tools.plots.drawing import Plot, draw

FOLDER: Final = Path(__file__).parents[2] / "docs" / "pictures"
PLOTS: Final[tuple[Callable[[], Plot], ...]] = (
    sugar.boiling_by_height, sugar.boiling_rise, sugar.syrup_density, sugar.solubility, sugar.solid_fat,
    sugar.lethality, sugar.petals, heat.cylinder_in_oven, heat.cold_cylinder, heat.bake_times, keeping.water_activity,
    keeping.dew_point, standing.round_plate, standing.column, standing.tipping, standing.slump, formulas.powder,
    formulas.wide_pans, sizes.slices, sizes.families, sizes.icing, desk.calories, desk.packs, desk.ladder,
    formulas.energies, formulas.cups, formulas.lines_read, formulas.gravities, formulas.batter, sizes.stacks,
    finish.colour_pairs, finish.colour_mixes, finish.lettering, finish.flowers, finish.carved_side, finish.true_lengths,
    finish.look, kitchen.own_oven, kitchen.pans_on_a_rack, kitchen.oven_minutes, kitchen.clean_downs, kitchen.week,
    kitchen.clock_changes,
)  # fmt: skip
"""Every plot of ``docs/pictures``."""


def drawn() -> Iterable[tuple[str, str]]:
    """Yield the name of each file and its SVG."""
    for made in PLOTS:
        plot = made()
        yield f"{plot.key}.svg", draw(plot).svg
