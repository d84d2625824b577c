"""How many pans go into an oven at once, and how many loads a set of layers makes: a count for ranking."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil, floor

from tierwright.shapes import Outline
from tierwright.sizing.model import OvenSpace, PanChoice


def pans_per_load(outline: Outline, oven: OvenSpace) -> int:
    """
    Return the number of like pans that stand in an oven at once, in straight rows on every shelf.

    Parameters
    ----------
    outline
        Inside of the pan; its rim and wall are taken to fit in the air round it. [mm]
    oven
        The oven's shelves and the air it needs.

    Notes
    -----
    Rows both ways, with a gap before, between and after the pans: ``floor((W - gap) / (pan + gap))`` each way, in the
    better of two turns. Staggered rows could hold one more of some sizes; the bake itself decides that.
    """

    def on_shelf(width: float, depth: float) -> int:
        def fits(room: float, pan: float) -> int:
            return max(0, floor((room - oven.gap_mm) / (pan + oven.gap_mm) + 1e-9))

        return fits(oven.width_mm, width) * fits(oven.depth_mm, depth)

    width, depth = outline.extent_mm
    return oven.shelves * max(on_shelf(width, depth), on_shelf(depth, width))


def best_oven(outline: Outline, ovens: Sequence[OvenSpace]) -> int:
    """Return the most like pans that any one of the ovens holds; without ovens, one pan a load."""
    return max((pans_per_load(outline, oven) for oven in ovens), default=1)


def oven_loads(layers: Iterable[tuple[PanChoice, int]], ovens: Sequence[OvenSpace]) -> int:
    """
    Count the loads of one oven that bake these layers, each size of pan on its own because sizes bake unlike long.

    Parameters
    ----------
    layers
        Pans and the number of layers to bake in each.
    ovens
        The kitchen's ovens; the one that holds most of a size is used for it.

    Notes
    -----
    ``sum of ceil(layers / min(pans in the kitchen, pans in the oven))`` over the sizes. A pan yet to be bought
    counts as one.
    """
    wanted: dict[str, int] = {}
    at_once: dict[str, int] = {}
    for pan, count in layers:
        wanted[pan.key] = wanted.get(pan.key, 0) + count
        at_once[pan.key] = max(1, min(max(1, pan.owned), best_oven(pan.outline, ovens)))
    return sum(ceil(count / at_once[key]) for key, count in wanted.items())
