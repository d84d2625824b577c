"""Which pans must not stand in one oven load, because one brings an allergen that must stay out of the other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import permutations
from typing import Final

from tierwright.bake.load_model import Load, PanToBake
from tierwright.larder import Allergen
from tierwright.words import listed
from tierwright.working import COMMON_PRACTICE, Assumption, Caution, Notes

SHEET: Final = "bakes"
Pans = Sequence[PanToBake]


def threats(kept: PanToBake, other: PanToBake) -> frozenset[Allergen]:
    """
    Return the allergens that must stay out of one pan and that another brings near it.

    Unknown counts as there. What a batter holds itself no neighbour makes worse; neither does what both may hold.
    """
    sure = other.contains - kept.contains
    unsure = other.unknown - kept.contains - kept.unknown
    return kept.keep_free_of & (sure | unsure)


def may_share(one: PanToBake, other: PanToBake) -> bool:
    """Return whether two pans may stand in one load."""
    return not (threats(one, other) or threats(other, one))


def threatened(kept: Pans, others: Pans, *, sure: bool = False) -> frozenset[Allergen]:
    """Return what must stay out of some of these pans and comes with the others; ``sure`` leaves out the unknown."""
    found = (threats(pan, other) & other.contains if sure else threats(pan, other) for pan in kept for other in others)
    return frozenset[Allergen]().union(*found)


def free_first(loads: Sequence[list[PanToBake]]) -> list[list[PanToBake]]:
    """
    Put loads that must stay free of something before those that bring it; otherwise the order stays.

    Where two loads threaten each other, the one goes first that only may bring what the other must be kept free of.
    """
    left, ordered = list(loads), []
    while left:

        def harm(load: list[PanToBake], left: list[list[PanToBake]] = left) -> tuple[int, int]:
            rest = [other for other in left if other is not load]
            return (
                sum(bool(threatened(other, load, sure=True)) for other in rest),
                sum(bool(threatened(other, load)) for other in rest),
            )

        first = min(left, key=harm)
        left = [load for load in left if load is not first]
        ordered.append(first)
    return ordered


def apart_notes(place: str, loads: Sequence[Load], pans: Pans, *, together: bool) -> Notes:
    """Say at each load what to keep out of it, and how; or, where all may share, what then stands together."""
    if together:
        mixed = frozenset[Allergen]().union(*(threats(one, other) for one, other in permutations(pans, 2)))
        return Notes(cautions=(_together(place, mixed),)) if mixed else Notes()
    alike: dict[tuple[tuple[Allergen, ...], tuple[Allergen, ...]], list[int]] = {}
    before: set[Allergen] = set()
    for load in loads:
        if load.keep_out:
            opened = tuple(sorted(before & set(load.keep_out)))
            alike.setdefault((load.keep_out, opened), []).append(load.number)
        before |= set(load.brings)
    if not alike:
        return Notes()
    names = allergen_names({one for load in loads for one in load.keep_out})
    assumption = Assumption(
        key=f"{place}.apart",
        text="Layers that something must stay out of bake in loads of their own, first where they can",
        value=names,
        source=COMMON_PRACTICE,
    )
    cautions = tuple(_kept(place, out, opened, numbers) for (out, opened), numbers in alike.items())
    return Notes(cautions=cautions, assumptions=(assumption,))


def _kept(place: str, out: tuple[Allergen, ...], opened: tuple[Allergen, ...], numbers: list[int]) -> Caution:
    loads = f"load {numbers[0]}" if len(numbers) == 1 else f"loads {listed([str(number) for number in numbers])}"
    if opened:
        first = f"First wipe racks and bench: a load before brings, or may bring, {allergen_names(opened)}"
    else:
        first = "Bake first, before any other batter is open"
    return Caution(
        key=f"{place}.apart.load_{numbers[0]}",
        sheet=SHEET,
        step=loads,
        text=f"Keep {allergen_names(out)} out of {loads}. {first}. Take clean pans, fresh paper and dry gloves; let "
        "the layers cool covered and away from the others.",
        reason="Drips, crumbs, flour dust and gloves carry allergens from pan to pan. Baking apart makes no cake free "
        "from anything: whoever reacts to it has to be told so.",
        source=COMMON_PRACTICE,
    )


def _together(place: str, mixed: frozenset[Allergen]) -> Caution:
    return Caution(
        key=f"{place}.apart.together",
        sheet=SHEET,
        step="put the pans in",
        text=f"As you have chosen, layers to be kept free of {allergen_names(mixed)} share loads with batters that "
        "hold it or may hold it: set those layers on the upper rack, take them out first, and tell whoever eats them.",
        reason="Batter that drips or runs over, and gloves, carry allergens from pan to pan.",
        source=COMMON_PRACTICE,
    )


def allergen_names(allergens: Iterable[Allergen]) -> str:
    """Say at least one allergen in a sentence."""
    return listed([one.value.replace("_", " ") for one in sorted(allergens)])
