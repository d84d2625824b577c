"""Stacks before they are cut: their parts, what the rules of proportion say of them, and which are shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from tierwright.shapes import Outline, Shape
from tierwright.sizing import rules
from tierwright.sizing.model import PanChoice


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A tier that could be baked, or stood in as foam: its outline, pan, layers, portions, and what they cost."""

    outline: Outline
    pan: PanChoice | None  # None: no pan for it, so it can only be a dummy
    layers: int
    layer_height_mm: float
    height_mm: float
    portions: int
    litres: float
    loads: int
    extent_mm: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One tier of a candidate: its size and whether it is foam or a keepsake."""

    size: Size
    dummy: bool
    keepsake: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class KitchenChoice:
    """So many like kitchen cakes, the portions they give, and their weight in the ranking."""

    size: Size
    count: int
    portions: int
    loads: int
    cost: float
    weight: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A stack before it is cut: places from the bottom, kitchen cakes, and what it is ranked by."""

    places: tuple[Place, ...]
    kitchen: KitchenChoice | None
    portions: int
    loads: int
    cost: float
    weight: float  # everything in the ranking that does not depend on the portions needed

    @property
    def remarks(self) -> tuple[str, ...]:
        """What the proportion rules say of it."""
        words, _ = proportions(self.places)
        return tuple(text.format(*values) for text, values in words)

    @property
    def rank(self) -> tuple[float, int, tuple[float, ...], str]:
        """Order among candidates, settled to the last tie."""
        widths = tuple(place.size.outline.width_mm for place in self.places)
        kitchen = self.kitchen.size.pan.key if self.kitchen and self.kitchen.size.pan else ""
        return (round(self.weight + self.portions, 9), self.portions, widths, kitchen)

    @property
    def kind(self) -> tuple[int, bool, bool]:
        """What sort of answer it is: number of tiers, with kitchen cakes, with foam."""
        return (len(self.places), self.kitchen is not None, any(place.dummy for place in self.places))


def step_mm(below: Size, above: Size) -> float:
    """Return the step in nominal width between like shapes; else the smaller of those across and along. [mm]"""
    if below.outline.shape is above.outline.shape is not Shape.RECTANGLE:
        return below.outline.width_mm - above.outline.width_mm
    return min(a - b for a, b in zip(below.extent_mm, above.extent_mm, strict=True))


Remark = tuple[str, tuple[float, ...]]


def proportions(places: Sequence[Place]) -> tuple[list[Remark], float]:
    """
    Hold a stack against the proportion rules.

    Returns
    -------
    remarks
        What they say: a sentence, and the numbers to put in it.
    broken
        Weight of the rules that it breaks. [portions]
    """
    remarks: list[Remark] = []
    broken = 0.0
    steps = [step_mm(below.size, above.size) for below, above in pairwise(places)]
    for i, step in enumerate(steps, start=1):
        if step < rules.LEAST_STEP_MM:
            remarks.append(("step of {:.0f} mm between tiers {} and {} is under two inches", (step, i, i + 1)))
            broken += rules.WEIGHT_BROKEN_RULE
        elif step > rules.WIDE_STEP_MM:
            remarks.append(("step of {:.0f} mm between tiers {} and {} leaves a wide ledge", (step, i, i + 1)))
            broken += rules.WEIGHT_BROKEN_RULE
    if steps and not broken:
        remarks.append(("steps of two to three inches all the way up", ()))
        if max(steps) - min(steps) > rules.UNEVEN_MM:
            broken += rules.WEIGHT_UNEVEN
    if steps:
        top = places[-1].size
        if top.height_mm > min(top.extent_mm):
            remarks.append(("the top tier is taller than it is wide", ()))
            broken += rules.WEIGHT_BROKEN_RULE
        height, base = sum(place.size.height_mm for place in places), min(places[0].size.extent_mm)
        if height > rules.SLENDER * base:
            remarks.append(("{:.1f} times as high as its base is wide: slender", (height / base,)))
            broken += rules.WEIGHT_BROKEN_RULE
    return remarks, broken


def choose(candidates: Sequence[Candidate], most: int = 5) -> list[Candidate]:
    """Return the best candidate, then the best of each other kind, then the next best, in order of rank."""
    chosen: list[Candidate] = []
    kinds: set[tuple[int, bool, bool]] = set()
    for candidate in candidates:
        if candidate.kind not in kinds and len(chosen) < most - 1:
            kinds.add(candidate.kind)
            chosen.append(candidate)
    for candidate in candidates:
        if len(chosen) >= most:
            break
        if all(candidate is not other for other in chosen):
            chosen.append(candidate)
    return sorted(chosen, key=lambda candidate: candidate.rank)


def describe(candidate: Candidate) -> str:
    """Return a stack in words, top first, such as ``round 152 mm on round 203 mm (foam)``."""
    words = " on ".join(
        place.size.outline.describe() + (" (foam)" if place.dummy else "") for place in reversed(candidate.places)
    )
    if candidate.kitchen is not None:
        cakes = "kitchen cake" if candidate.kitchen.count == 1 else "kitchen cakes"
        words += f" and {candidate.kitchen.count} {cakes} {candidate.kitchen.size.outline.describe()}"
    return words
