"""Tipping, sliding, soft fillings and the centre rod: whether a piece stays together on the road.

Every failure is worked for many cases at once (the last axis of each array), so that the one case of the design and
the thousands of the uncertainty run go through the same lines.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan, pi
from typing import Final

import numpy as np
import numpy.typing as npt

from tierwright.errors import require_range
from tierwright.support.column import Section
from tierwright.units import STANDARD_GRAVITY

Array = npt.NDArray[np.float64]
GRAVITY: Final = STANDARD_GRAVITY
MOST_G: Final = 10.0
"""Push from which on it is all one: no vehicle gives it. [g]"""


def tips_at_g(base_half_mm: float, balance_mm: float, offset_mm: float = 0.0) -> float:
    """
    Sideways acceleration at which a rigid body tips, over gravity.

    Parameters
    ----------
    base_half_mm
        Way from the middle of its base to the edge it tips over. [mm], above 0
    balance_mm
        Height of its centre of gravity. [mm], above 0
    offset_mm
        How far its centre of gravity lies towards that edge. [mm]

    Returns
    -------
    acceleration_g
        ``(b - e) / h``; 0 where it falls by itself. [-]

    References
    ----------
    .. [1] Moments about the edge; any textbook of statics.

    Examples
    --------
    >>> tips_at_g(100.0, 200.0)
    0.5
    """
    require_range("half of the base", base_half_mm, 1e-6, 1e4, "mm")
    require_range("height of the centre of gravity", balance_mm, 1e-6, 1e4, "mm")
    return max(0.0, (base_half_mm - offset_mm) / balance_mm)


def tips_at_slope_rad(base_half_mm: float, balance_mm: float) -> float:
    """Slope at which a rigid body at rest tips: its centre of gravity stands over the edge. [rad]"""
    return atan(tips_at_g(base_half_mm, balance_mm))


def slides_at_g(friction: float, *, lightened_g: float = 0.0, bond_n: float = 0.0, weight_n: float = 1.0) -> float:
    """
    Sideways acceleration at which a body slides, over gravity.

    Parameters
    ----------
    friction
        Coefficient of friction. [-], 0 to 2
    lightened_g
        Share of its weight that a jolt takes off. [-], 0 to 1
    bond_n
        Force that glue holds. [N]
    weight_n
        Its weight. [N], above 0
    """
    require_range("friction", friction, 0.0, 2.0, "")
    require_range("lightening", lightened_g, 0.0, 1.0, "")
    require_range("weight", weight_n, 1e-9, 1e6, "N")
    return friction * (1 - lightened_g) + bond_n / weight_n


@dataclass(frozen=True, slots=True, kw_only=True)
class RodCase:
    """A centre rod in a stack: its section, bending strength [MPa], and whether its foot is held."""

    section: Section
    strength_mpa: Array
    anchored: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceCase:
    """
    One piece on the floor of a vehicle, tiers first axis (bottom first), cases last.

    Attributes
    ----------
    numbers
        Tier numbers.
    mass_kg, balance_mm
        Mass of each tier, and height of its centre of gravity over its own board's underside. [kg, mm]
    bottom_mm
        Height of each tier's underside over the floor. [mm]
    tall_mm
        Height of each tier. [mm]
    ahead_mm, aside_mm
        How far each tier's centre of gravity lies off the middle of the lowest, forwards and sideways. [mm]
    seat_ahead_mm, seat_aside_mm
        Where the middle of what each tier stands on lies, in the same measure. [mm]
    arm_mm
        Way from that middle to the edge over which it tips; the first is the base on the floor. [mm]
    friction
        Under each tier; the first is the floor's. [-]
    bond_n
        What glue holds under each tier. [N]
    filling_n
        Shear force that each tier's weakest filling holds; infinite without fillings. [N]
    peg_n
        What the supports through it add to that. [N]
    crumb_mpa
        Pressure that the crumb of each tier stands. [MPa]
    rim_mm
        Way from the middle of each board to its rim: the crumb below it, outside the supports, is pressed when it
        tips; the first is not used. [mm]
    bond_mpa
        Pull that the glue under each tier holds, at most what the coat below stands. [MPa]
    base_kg
        Mass of the board under all. [kg]
    wedged
        Whether the base cannot slide.
    rod
        The centre rod, or None.
    """

    numbers: tuple[int, ...]
    mass_kg: Array
    balance_mm: Array
    bottom_mm: Array
    tall_mm: Array
    ahead_mm: Array
    aside_mm: Array
    seat_ahead_mm: Array
    seat_aside_mm: Array
    arm_mm: Array
    friction: Array
    bond_n: Array
    filling_n: Array
    peg_n: Array
    crumb_mpa: Array
    rim_mm: Array
    bond_mpa: Array
    base_kg: float
    wedged: bool
    rod: RodCase | None


def segment(chord_mm: Array, rim_mm: Array) -> tuple[Array, Array]:
    """
    Area of a disc beyond a chord, and the way to its centroid.

    Parameters
    ----------
    chord_mm
        Way from the middle to the chord. [mm]; below 0 for the part on this side of it, counted from the other side
    rim_mm
        Radius of the disc. [mm]

    Returns
    -------
    area_mm2, way_mm
        For a chord above 0 the cap beyond it; for one below 0 the rest of the disc on the near side of the chord at
        ``-chord_mm``, its centroid counted in the direction of that chord.
    """
    chord = np.minimum(np.abs(chord_mm), rim_mm)
    half = np.sqrt(np.maximum(0.0, rim_mm**2 - chord**2))
    cap = rim_mm**2 * np.arccos(chord / rim_mm) - chord * half
    first = 2 / 3 * half**3
    whole = pi * rim_mm**2
    near = np.asarray(chord_mm) < 0
    area = np.where(near, whole - cap, cap)
    # The whole disc balances about its middle, so what the cap has the rest lacks.
    moment = np.where(near, -first, first)
    return area, moment / np.maximum(area, 1e-9)


def piece_utilisations(case: PieceCase, *, forward_g: Array, side_g: Array, lightened_g: Array) -> dict[str, Array]:
    """
    Work every way in which a piece can fail under a push.

    Parameters
    ----------
    case
        The piece.
    forward_g, side_g
        Push forwards (braking, and a downhill grade) and sideways, over gravity. [-]
    lightened_g
        Share of the weight that a jolt takes off at the same time. [-]

    Returns
    -------
    utilisations
        Demand over capacity by ``tip.N``, ``slide.N`` (N: the tier above the joint; the lowest tier's is the floor,
        left out where it is wedged), ``filling.N`` and ``rod``.

    Notes
    -----
    Each tier is rigid and tips about the nearest edge of the figure that its supports span, for supports only push;
    the crumb outside that figure takes what it can before it crushes, and glue pulls on the far side. A rod that is
    held at its foot takes the sliding force that friction leaves; the moment at its foot is at most each joint's share
    times the height of the tier below. A loose rod holds no more than the crumb that it leans on. Neither keeps a tier
    from tipping.
    """
    found: dict[str, Array] = {}
    push = np.maximum(forward_g, side_g)
    count = len(case.numbers)
    presses = np.maximum(1e-6, 1 - lightened_g)
    excess: list[Array] = []
    for j in range(count):
        above = slice(j, count)
        mass = case.mass_kg[above].sum(axis=0)
        lever = (case.mass_kg[above] * (case.bottom_mm[above] - case.bottom_mm[j] + case.balance_mm[above])).sum(axis=0)
        ahead = (case.mass_kg[above] * (case.ahead_mm[above] - case.seat_ahead_mm[j])).sum(axis=0) / mass
        aside = np.abs((case.mass_kg[above] * (case.aside_mm[above] - case.seat_aside_mm[j])).sum(axis=0)) / mass
        if j == 0:
            # The floor joint lies below the base board, and carries it too.
            lever = lever + mass * case.bottom_mm[0]
            mass = mass + case.base_kg
        weight = mass * presses
        # Supports push and do not pull: the weight stands on the edge of the figure that they span ...
        extra = np.zeros_like(weight)
        if j:
            # ... but for what the crumb outside it takes before it crushes, and what glue holds on the far side.
            area, way = segment(case.arm_mm[j], case.rim_mm[j])
            pressed = np.minimum(weight, case.crumb_mpa[j - 1] * area / GRAVITY)
            extra = pressed * np.maximum(0.0, way - case.arm_mm[j])
            far_area, far_way = segment(-case.arm_mm[j], case.rim_mm[j])
            extra = extra + case.bond_mpa[j] * far_area / GRAVITY * np.maximum(0.0, case.arm_mm[j] - far_way)
        stands_ahead = np.maximum(1e-9, weight * (case.arm_mm[j] - ahead) + extra)
        stands_aside = np.maximum(1e-9, weight * (case.arm_mm[j] - aside) + extra)
        found[f"tip.{case.numbers[j]}"] = np.maximum(lever * forward_g / stands_ahead, lever * side_g / stands_aside)
        force = mass * GRAVITY * push
        holds = case.friction[j] * mass * GRAVITY * presses + case.bond_n[j]
        if j == 0:
            if not case.wedged:
                found[f"slide.{case.numbers[0]}"] = force / holds
        else:
            if case.rod is not None and not case.rod.anchored:
                holds = holds + case.crumb_mpa[j - 1] * case.rod.section.outer_mm * case.tall_mm[j - 1] / 2
            found[f"slide.{case.numbers[j]}"] = force / np.maximum(holds, 1e-9)
            excess.append(np.maximum(0.0, force - holds))
    held = case.rod is not None and case.rod.anchored
    if case.rod is not None and held and count > 1:
        section = case.rod.section
        moment = sum(excess[j] * case.tall_mm[j] for j in range(count - 1))
        stands = case.rod.strength_mpa * section.inertia_mm4 / (section.outer_mm / 2)
        bends = moment / stands
        found["rod"] = np.asarray(bends, dtype=np.float64)
        for j in range(1, count):
            name = f"slide.{case.numbers[j]}"
            # What friction does not hold the rod holds, as long as it lasts.
            found[name] = np.where(excess[j - 1] > 0, np.maximum(found["rod"], 0.0), found[name])
    for j in range(count):
        if np.isfinite(case.filling_n[j]).any():
            above_kg = 0.0 if held else case.mass_kg[j + 1 :].sum(axis=0)
            force = (above_kg + 0.5 * case.mass_kg[j]) * GRAVITY * push
            found[f"filling.{case.numbers[j]}"] = force / (case.filling_n[j] + case.peg_n[j])
    return found


def tips_and_slides(found: Mapping[str, Array], one: int) -> tuple[float, float]:
    """
    Return the pushes at which a piece first tips and first slides, at most ``MOST_G``. [g]

    Parameters
    ----------
    found
        Its utilisations, as ``piece_utilisations`` gives them.
    one
        The case among them that is a level road and a push of one. [g]
    """
    tips = max(float(value[one]) for name, value in found.items() if name.startswith("tip"))
    slides = max((float(value[one]) for name, value in found.items() if name.startswith("slide")), default=0.0)
    return 1 / max(tips, 1 / MOST_G), 1 / max(slides, 1 / MOST_G)


def cornering_g(speed_kmh: float, radius_m: float) -> float:
    """Sideways push of a bend: ``v^2 / (g r)``, over gravity. [km/h, m]"""
    require_range("speed", speed_kmh, 0.0, 200.0, "km/h")
    require_range("radius", radius_m, 1.0, 1e5, "m")
    return (speed_kmh / 3.6) ** 2 / (GRAVITY * radius_m)


def rod_sway_mm(section: Section, *, force_n: float, height_mm: float, modulus_mpa: float) -> float:
    """Sway of the top of a rod held at its foot under a force at its top: ``F h^3 / (3 E I)``. [N, mm, MPa]"""
    require_range("force", force_n, 0.0, 1e4, "N")
    require_range("height", height_mm, 1.0, 3000.0, "mm")
    require_range("modulus", modulus_mpa, 0.1, 1e6, "MPa")
    return force_n * height_mm**3 / (3 * modulus_mpa * section.inertia_mm4)


def rod_stress_mpa(section: Section, *, moment_nmm: float) -> float:
    """Bending stress of a rod: ``32 M / (pi d^3)`` for a solid. [N mm, MPa]"""
    require_range("moment", moment_nmm, 0.0, 1e8, "N mm")
    stress = moment_nmm * section.outer_mm / 2 / section.inertia_mm4
    if not section.wall_mm:
        # The same by the solid's own formula; kept as a guard on the section's inertia.
        assert abs(stress - 32 * moment_nmm / (pi * section.outer_mm**3)) <= 1e-9 * max(stress, 1.0)
    return stress
