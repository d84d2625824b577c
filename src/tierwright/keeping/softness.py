"""When a coat slumps and a filling bulges or slides, from their fats and the temperature line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache, lru_cache
from typing import Final

from tierwright.coating import Kind, bearing_depth_mm, kind, sliding_share, slump_thickness_mm, yield_stress_pa
from tierwright.keeping.bodies import FOAM_KEY
from tierwright.keeping.clocks import first_above
from tierwright.keeping.model import Component, TierLine, TierToKeep
from tierwright.shapes import Outline
from tierwright.sugar import spread_window
from tierwright.working import Estimate

DAM_MM: Final = 12.0
"""Width of the ring of coat round a filling that needs one. [mm] Common practice."""
LEAN: Final = 0.05
"""Sideways share of the weight on a table that is not quite level: 3 degrees. [-]"""
ROAD: Final = 0.40
"""The same in a vehicle that brakes hard. [-]"""
COLDEST_C: Final = -4.0
HOTTEST_C: Final = 44.0
FAT_CURVES: Final = {"milk": "butterfat", "cocoa": "cocoa-butter", "plant": "shortening"}


class Yielding(StrEnum):
    """What gives way."""

    SLUMP = "the coat slumps"
    BULGE = "a filling bulges"
    SLIDE = "layers slide on a filling"
    ROAD = "layers slide when the vehicle brakes"


@dataclass(frozen=True, slots=True, kw_only=True)
class SoftLimit:
    """
    One way to give way, and when.

    Attributes
    ----------
    what
        Which.
    at_c
        Temperature of the coat or filling at which it does; ``low`` is where a soft batch does. [C]; None if it holds
        up to 44 C
    could_h, likely_h
        When a soft batch, and a middling one, reaches it. [h] of the line; None if never
    """

    what: Yielding
    at_c: Estimate | None
    could_h: float | None
    likely_h: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Softness:
    """
    How one tier stands the warmth.

    Attributes
    ----------
    tier, name
        Which tier.
    limits
        Every way that can happen to it.
    marks_c
        Above this a touch leaves a mark. [C]; None where no fat carries the coat
    marks_h
        When. [h]
    """

    tier: int
    name: str
    limits: tuple[SoftLimit, ...]
    marks_c: float | None
    marks_h: float | None

    @property
    def first_h(self) -> float | None:
        """When the first thing at the table could give way. [h]"""
        times = [x.could_h for x in self.limits if x.could_h is not None and x.what is not Yielding.ROAD]
        return min(times) if times else None


def _highest(holds: Callable[[float], bool]) -> float | None:
    """Highest temperature at which something holds, by halving; None if it holds at the hottest. [C]"""
    if holds(HOTTEST_C):
        return None
    low, high = COLDEST_C, HOTTEST_C
    if not holds(low):
        return low
    while high - low > 0.01:
        middle = (low + high) / 2.0
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def limit_c(check: Callable[[float, str], bool]) -> Estimate | None:
    """Return the highest temperature at which a check holds for a middling and for a soft batch. [C]"""
    soft = _highest(lambda t: check(t, "low"))
    middling = _highest(lambda t: check(t, "value"))
    if soft is None:
        return None
    value = HOTTEST_C if middling is None else middling
    return Estimate(value=value, low=min(soft, value), high=HOTTEST_C)


def kind_of(component: Component) -> Kind:
    """Return the coating kind of a component, stiffened by the fat that it is made with."""
    known = kind(component.kind)
    return known if component.fat in ("", known.fat) else replace(known, fat=component.fat)


def soften(tier: TierToKeep, line: TierLine, components: dict[str, Component], *, from_h: float) -> Softness:
    """
    When a tier gives way.

    Parameters
    ----------
    tier, line, components
        The tier, its temperature line, its materials.
    from_h
        Look from here on: when it leaves the cold. [h]

    Returns
    -------
    softness
        Every limit with the time at which a soft and a middling batch reaches it.

    Notes
    -----
    Coat: it slumps where its yield stress falls below its own weight on the wall (Lang and Rha 1981). Filling: it
    squeezes out where the plastic limit of a disc between rough plates is passed (Scott 1931), and slides where a
    lean of 3 degrees (on the road, braking at 0.4 g) passes its shear strength. Filling and dam share by area. Yield
    stress follows the solid fat to the power 2.5 (Narine and Marangoni 1999).
    """
    limits: list[SoftLimit] = []
    marks: float | None = None
    if tier.coat and tier.coat_mm > 0:
        slump, marks = _coat_c(components[tier.coat], tier.coat_mm)
        limits.append(_reach(Yielding.SLUMP, slump, line, line.coat_facing.celsius, from_h))
    limits += _joint(tier, line, components, from_h)
    return Softness(
        tier=tier.number,
        name=tier.name,
        limits=tuple(limits),
        marks_c=marks,
        marks_h=None if marks is None else first_above(line.hours, line.coat_facing.celsius, marks, from_h),
    )


@lru_cache(maxsize=256)
def _coat_c(coat: Component, coat_mm: float) -> tuple[Estimate | None, float | None]:
    """Return where a coat slumps, and above what a touch marks it. [C]"""
    stuff = kind_of(coat)

    def stands(t: float, end: str) -> bool:
        stress = float(getattr(yield_stress_pa(stuff, t), end))
        return slump_thickness_mm(stress, coat.density_g_per_ml) >= coat_mm

    curve = FAT_CURVES.get(stuff.fat)
    window = spread_window({curve: coat.composition.fat_g / 100.0}) if curve and coat.composition.fat_g else None
    marks = None if window is None or window.works_to_c is None else window.works_to_c.value
    return limit_c(stands), marks


def _reach(what: Yielding, at: Estimate | None, line: TierLine, celsius: tuple[float, ...], from_h: float) -> SoftLimit:
    if at is None:
        return SoftLimit(what=what, at_c=None, could_h=None, likely_h=None)
    likely = None if at.value >= HOTTEST_C else first_above(line.hours, celsius, at.value, from_h)
    return SoftLimit(what=what, at_c=at, could_h=first_above(line.hours, celsius, at.low, from_h), likely_h=likely)


def _joint(tier: TierToKeep, line: TierLine, components: dict[str, Component], from_h: float) -> list[SoftLimit]:
    if not line.fillings or tier.load_g <= 0 or tier.is_dummy:
        return []
    filling = components[line.fillings[0].component]
    depth = max(layer.thickness_mm for layer in tier.layers if layer.component == filling.key != FOAM_KEY)
    bulge, slide, road = _joint_c(
        kind_of(filling), kind_of(components[tier.coat]) if tier.coat else None, tier.outline, tier.load_g, depth
    )
    curve = line.filling_warmest.celsius
    return [
        _reach(Yielding.BULGE, bulge, line, curve, from_h),
        _reach(Yielding.SLIDE, slide, line, curve, from_h),
        _reach(Yielding.ROAD, road, line, curve, from_h),
    ]


@lru_cache(maxsize=256)
def _joint_c(
    filling: Kind, coat: Kind | None, outline: Outline, load_g: float, depth_mm: float
) -> tuple[Estimate | None, Estimate | None, Estimate | None]:
    """Return where a filling bulges, where layers slide on it on a table, and where in a vehicle that brakes. [C]"""
    dam = coat if coat is not None and filling.needs_dam else filling
    half = 2.0 * outline.area_mm2 / outline.perimeter_mm
    ring = 1.0 - (max(half - DAM_MM, 0.0) / half) ** 2 if filling.needs_dam else 0.0
    pressure = load_g / 1000.0 * 9.80665 / (outline.area_mm2 / 1e6)

    @cache
    def stresses(t: float) -> tuple[Estimate, Estimate]:
        # The three limits halve the same span and so ask for the same temperatures.
        inside = yield_stress_pa(filling, t)
        return inside, inside if dam is filling else yield_stress_pa(dam, t)

    def strength(t: float, end: str) -> float:
        inside, outside = stresses(t)
        return (1.0 - ring) * float(getattr(inside, end)) + ring * float(getattr(outside, end))

    return (
        limit_c(lambda t, end: bearing_depth_mm(strength(t, end), half, pressure) >= depth_mm),
        limit_c(lambda t, end: sliding_share(strength(t, end), pressure) >= LEAN),
        limit_c(lambda t, end: sliding_share(strength(t, end), pressure) >= ROAD),
    )
