"""Flowers by the handful: how many of each sort cover so much of a surface.

Where they lie is for ``placement``; which may be eaten is for whoever calls: this room is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import pi
from typing import Final

from tierwright.errors import require_range
from tierwright.finish.placement import Piece

CLOSE: Final = 0.02
"""Share of the asked coverage by which a composition may miss it. [-]"""
FINEST: Final = 2 * CLOSE
"""Share of the asked area that the smallest flower may fill for ``CLOSE`` to be met for certain. [-]"""


class FlowerState(StrEnum):
    """How a flower comes to the cake."""

    FRESH = "fresh"
    PRESSED = "pressed"
    SUGARED = "sugared"
    SUGAR_MADE = "sugar-made"


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowerSort:
    """
    Flowers of one kind and size on one tier.

    Attributes
    ----------
    species
        Common or botanical name, as the brief calls it.
    state
        How it comes to the cake.
    diameter_mm
        Diameter of the circle that it fills, open. [mm], 3 to 200
    share
        Part of all flowers by number, for a composition by coverage; any scale. [-]
    is_food
        Whether it is eaten: what the table of flowers says of its species, and that it was grown for food. Sugar-made
        flowers are food unless they are wired.
    on_stem
        Whether it stands on its own stem, which then needs a pick; a fresh flower does unless told.
    wired
        Whether a wire carries it.
    tier, where
        Tier number, and the place on it in words.
    """

    species: str
    state: FlowerState
    diameter_mm: float
    share: float = 1.0
    is_food: bool = False
    on_stem: bool | None = None
    wired: bool = False
    tier: int = 1
    where: str = ""

    @property
    def area_mm2(self) -> float:
        """What one covers. [mm2]"""
        return pi * self.diameter_mm**2 / 4

    @property
    def needs_pick(self) -> bool:
        """Whether its stem or wire has to be kept out of the cake; what lies flat or is pressed has none."""
        if self.state is FlowerState.PRESSED:
            return False
        stem = self.state is FlowerState.FRESH if self.on_stem is None else self.on_stem
        return stem or self.wired

    @property
    def is_removed(self) -> bool:
        """Whether it has to come off before the cake is cut."""
        return self.wired or not self.is_food

    def describe(self) -> str:
        """Return it in words, such as ``fresh viola, 25 mm``."""
        return f"{self.state.value} {self.species}, {self.diameter_mm:g} mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Composition:
    """
    How many of each sort cover a surface.

    Attributes
    ----------
    counts
        Of each sort, in the order given.
    area_mm2
        The surface. [mm2]
    asked, coverage
        Share of it that was asked for, and that is covered. [-]
    """

    counts: tuple[int, ...]
    area_mm2: float
    asked: float
    coverage: float

    @property
    def is_close(self) -> bool:
        """Whether the coverage is within 2 % of the one that was asked for."""
        return abs(self.coverage / self.asked - 1) <= CLOSE


def compose(area_mm2: float, coverage: float, sorts: Sequence[FlowerSort]) -> Composition:
    """
    Find how many flowers of each sort cover a share of a surface.

    Parameters
    ----------
    area_mm2
        What of the surface shows. [mm2], 100 to 4e6
    coverage
        Share to be covered. [-], 0.005 to 0.72
    sorts
        At least one; their shares are kept as nearly as whole flowers allow.

    Returns
    -------
    composition
        Within 2 % of the asked coverage wherever the smallest flower fills no more than 4 % of the asked area; where
        the flowers are too large for that, the nearest, and ``is_close`` may be false.

    Raises
    ------
    OutOfRange
        An area, coverage, share or size outside its range, or more than 1500 flowers.
    """
    require_range("surface", area_mm2, 100.0, 4e6, "mm2")
    require_range("coverage", coverage, 0.005, 0.72, "of the surface")
    require_range("sorts of flowers", len(sorts), 1, 40, "sorts")
    for sort in sorts:
        require_range("share", sort.share, 1e-6, 1e6, "", sort.describe())
        require_range("diameter of a flower", sort.diameter_mm, 3.0, 200.0, "mm", sort.describe())
    target = coverage * area_mm2
    whole = target / sum(sort.share * sort.area_mm2 for sort in sorts)
    counts = [int(whole * sort.share) for sort in sorts]
    # One flower at a time to the sort that is furthest behind its share, as long as that comes nearer to the target.
    while True:
        left = target - sum(n * sort.area_mm2 for n, sort in zip(counts, sorts, strict=True))
        behind = max(range(len(sorts)), key=lambda i: whole * sorts[i].share - counts[i])
        if abs(left - sorts[behind].area_mm2) >= abs(left):
            break
        counts[behind] += 1
    # Then whatever brings it nearest: some more or fewer of one sort, if need be in the place of one of another; of
    # those that come near enough, the change that alters the numbers least.
    left = target - sum(n * sort.area_mm2 for n, sort in zip(counts, sorts, strict=True))
    if abs(left) > CLOSE * target:
        given = [None, *(j for j, count in enumerate(counts) if count)]
        best, *_ = min(
            (_change(i, j, left, counts, sorts, CLOSE * target) for i in range(len(sorts)) for j in given if i != j),
            key=lambda change: change[1:],
        )
        counts = best
    if not any(counts):
        counts[min(range(len(sorts)), key=lambda i: sorts[i].area_mm2)] = 1
    require_range("flowers", sum(counts), 1, 1500, "flowers")
    covered = sum(n * sort.area_mm2 for n, sort in zip(counts, sorts, strict=True))
    return Composition(counts=tuple(counts), area_mm2=area_mm2, asked=coverage, coverage=covered / area_mm2)


def _change(
    more_of: int,
    one_less_of: int | None,
    left_mm2: float,
    counts: list[int],
    sorts: Sequence[FlowerSort],
    near_mm2: float,
) -> tuple[list[int], float, float, float]:
    """Return counts after a change, how far beyond near enough they miss, how great the change is, and the miss."""
    changed = list(counts)
    if one_less_of is not None:
        changed[one_less_of] -= 1
        left_mm2 += sorts[one_less_of].area_mm2
    more = max(round(left_mm2 / sorts[more_of].area_mm2), -changed[more_of])
    changed[more_of] += more
    missed = abs(left_mm2 - more * sorts[more_of].area_mm2)
    return changed, max(missed, near_mm2), abs(more) / (counts[more_of] + 1) + (one_less_of is not None), missed


def pieces_of(sorts: Sequence[FlowerSort], counts: Sequence[int]) -> tuple[Piece, ...]:
    """Return the flowers of a composition one by one, to be laid by ``placement.lay``; the key is the sort's number."""
    return tuple(
        Piece(key=str(i), diameter_mm=sort.diameter_mm)
        for i, (sort, count) in enumerate(zip(sorts, counts, strict=True))
        for _ in range(count)
    )
