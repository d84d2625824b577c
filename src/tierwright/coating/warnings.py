"""Bulge, slide and slump: what the fillings and coats of a tier do under their load, and what would help."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from tierwright.coating.areas import half_breadth_mm, ring_area_mm2
from tierwright.coating.strength import (
    GRAVITY,
    bearing_depth_mm,
    dam_width_mm,
    sliding_share,
    slump_thickness_mm,
    warmest_c,
    yield_stress_pa,
)
from tierwright.coating.tables import Kind, amount
from tierwright.shapes import Outline
from tierwright.working import Question, Severity

LEAST_DEPTH_MM = 3.0  # below this it is a smear, not a filling
WIDEST_DAM_MM = 25.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """
    The lowest filling of a tier, which carries the most.

    Attributes
    ----------
    outline
        The cake's outline.
    filling, dam
        Kinds of the filling and of its dam; None for no dam.
    depth_mm, dam_mm
        Depth of the filling and width of the dam. [mm]
    own_load_g
        What rests on it of its own tier. [g]
    above_load_g
        What the tiers above weigh. [g]
    supported
        Whether supports carry those tiers.
    """

    outline: Outline
    filling: Kind
    dam: Kind | None
    depth_mm: float
    dam_mm: float
    own_load_g: float
    above_load_g: float
    supported: bool

    @property
    def pressure_pa(self) -> float:
        """Load on the filling over its area. [Pa]"""
        load_g = self.own_load_g + (0.0 if self.supported else self.above_load_g)
        return max(1e-3, load_g / 1000 * GRAVITY / (self.outline.area_mm2 / 1e6))

    def bearing_mm(self, temperature_c: float, bound: str = "value") -> float:
        """Return the depth that holds without a dam. [mm]"""
        stress = float(getattr(yield_stress_pa(self.filling, temperature_c), bound))
        return bearing_depth_mm(stress, half_breadth_mm(self.outline), self.pressure_pa)

    def dam_needed_mm(self, temperature_c: float, bound: str = "value") -> float:
        """Return the width of dam that holds it; beyond any width where the dam has melted. [mm]"""
        bearing = self.bearing_mm(temperature_c, bound)
        if self.depth_mm <= bearing:
            return 0.0
        stress = 0.0 if self.dam is None else float(getattr(yield_stress_pa(self.dam, temperature_c), bound))
        return float("inf") if stress <= 0 else dam_width_mm(self.pressure_pa, self.depth_mm, bearing, stress)

    def bulges(self, temperature_c: float, bound: str = "value") -> bool:
        """Return whether the filling squeezes out."""
        return self.dam_needed_mm(temperature_c, bound) > self.dam_mm

    def sliding_share(self, temperature_c: float, bound: str = "value") -> float:
        """Return the sideways force at which layers slide on it, as a share of the weight on it. [-]"""
        inside = float(getattr(yield_stress_pa(self.filling, temperature_c), bound))
        share = 0.0
        rim = 0.0
        if self.dam is not None and self.dam_mm > 0:
            share = ring_area_mm2(self.outline, self.dam_mm) / self.outline.area_mm2
            rim = float(getattr(yield_stress_pa(self.dam, temperature_c), bound))
        return sliding_share(share * rim + (1 - share) * inside, self.pressure_pa)


def _severity(fails: Callable[[str], bool], *, faint: bool) -> Severity | None:
    """
    Weigh a failure by how sure it is, ``fails`` being asked with the bound of the yield stress.

    Even at the stiff end of the range: it cannot be made so. At the middle: ask. Only at the soft end: worth knowing
    where ``faint`` says so; the range in the figure shows it anyway.
    """
    if fails("high"):
        return Severity.STOP
    if fails("value"):
        return Severity.ASK
    return Severity.NOTE if faint and fails("low") else None


def _colder(holds: Callable[[float], bool], from_c: float, how: str = "until it is cut keep the tier") -> str:
    limit = warmest_c(holds, from_c)
    return "" if limit is None or limit >= from_c else f"{how} at {limit:.0f} C or colder"


def _support(joint: Joint, holds: Callable[[Joint], bool]) -> str:
    if joint.supported or joint.above_load_g <= 0:
        return ""
    return "let supports carry the tiers above" if holds(replace(joint, supported=True)) else ""


def bulge_question(joint: Joint, place: str, name: str, expected_c: float, usual_dam: Kind | None) -> Question | None:
    """
    Ask about a filling that will be squeezed out into a ring round the tier, or return None.

    Parameters
    ----------
    joint
        The lowest filling.
    place, name
        How notes call the tier, and a maker.
    expected_c
        Warmest that it is expected to get. [C]
    usual_dam
        What a dam would be piped of, where there is none yet.
    """
    severity = _severity(lambda bound: joint.bulges(expected_c, bound), faint=joint.filling.is_soft)
    if severity is None:
        return None
    # A dam and depth are judged at the soft end when that is all that fails, so that the change settles the question.
    bound = "low" if severity is Severity.NOTE else "value"
    changes = [
        _dam_change(joint, expected_c, bound, usual_dam),
        _support(joint, lambda other: not other.bulges(expected_c, bound)),
        _depth_change(joint, expected_c, bound),
        _colder(lambda at_c: not joint.bulges(at_c, bound), expected_c),
        "choose a firmer filling",
    ]
    return Question(
        key=f"{place}.bulge",
        severity=severity,
        sheet="coats",
        text=f"Will the {joint.filling.name} in {name} bulge out between the layers?",
        reason=(
            f"{joint.depth_mm:.0f} mm of it lies under {joint.pressure_pa:.0f} Pa; at {expected_c:.0f} C it holds by"
            f" itself up to a depth of {joint.bearing_mm(expected_c):.0f} mm"
            f" ({joint.bearing_mm(expected_c, 'low'):.0f} to {joint.bearing_mm(expected_c, 'high'):.0f})"
            + (f", and its dam is {joint.dam_mm:.0f} mm wide" if joint.dam is not None else ", and it has no dam")
            + ". Let the filled tier settle under a light weight before it is coated."
        ),
        figure=f"{joint.bearing_mm(expected_c):.1f} mm",
        change=next(change for change in changes if change),
    )


def _dam_change(joint: Joint, expected_c: float, bound: str, usual_dam: Kind | None) -> str:
    kind = joint.dam or usual_dam
    if kind is None:
        return ""
    needed = replace(joint, dam=kind).dam_needed_mm(expected_c, bound)
    width = max(needed, amount("dam_width_mm").value.value if joint.dam is None else 0.0)
    if not joint.dam_mm < width <= WIDEST_DAM_MM:
        return ""
    return f"pipe a dam of {kind.name}, {width:.0f} mm wide and as high as the filling"


def _depth_change(joint: Joint, expected_c: float, bound: str) -> str:
    depth = joint.depth_mm
    while depth > LEAST_DEPTH_MM:
        depth -= 0.5
        if not replace(joint, depth_mm=depth).bulges(expected_c, bound):
            return f"spread the filling {depth:.1f} mm deep"
    return ""


def slide_question(joint: Joint, place: str, name: str, road_c: float, braking_share: float) -> Question | None:
    """
    Ask about layers that slide on their filling when the car brakes, or return None.

    Parameters
    ----------
    joint
        The lowest filling.
    place, name
        How notes call the tier, and a maker.
    road_c
        Its temperature on the road. [C]
    braking_share
        Braking that it has to stand, over gravity. [-]
    """
    severity = _severity(lambda bound: joint.sliding_share(road_c, bound) < braking_share, faint=joint.filling.is_soft)
    if severity is None:
        return None
    bound = "low" if severity is Severity.NOTE else "value"

    def holds(other: Joint, at_c: float) -> bool:
        return other.sliding_share(at_c, bound) >= braking_share

    wide = ""
    if joint.dam is not None:
        for width in range(int(joint.dam_mm) + 1, int(WIDEST_DAM_MM) + 1):
            if holds(replace(joint, dam_mm=float(width)), road_c):
                wide = f"pipe the dam {width} mm wide"
                break
    changes = [
        _support(joint, lambda other: holds(other, road_c)),
        wide,
        _colder(lambda at_c: holds(joint, at_c), road_c, "carry the tier"),
        "choose a firmer filling, or carry this tier by itself and flat",
    ]
    return Question(
        key=f"{place}.slide",
        severity=severity,
        sheet="coats",
        text=f"Will the layers of {name} slide on the {joint.filling.name}?",
        reason=(
            f"at {road_c:.0f} C the joint holds {joint.sliding_share(road_c):.2f} of the weight on it sideways"
            f" ({joint.sliding_share(road_c, 'low'):.2f} to {joint.sliding_share(road_c, 'high'):.2f});"
            f" hard braking takes {braking_share:.2f}. The coat's hold on the side is left out."
        ),
        figure=f"{joint.sliding_share(road_c):.2f} of its weight",
        change=next(change for change in changes if change),
    )


def slump_question(
    coat: Kind, density_g_per_ml: float, thickness_mm: float, place: str, name: str, expected_c: float
) -> Question | None:
    """
    Ask about a coat that runs down the side in the warm, or return None.

    Parameters
    ----------
    coat, density_g_per_ml
        Kind of the coat, and its density. [g/ml]
    thickness_mm
        All that is spread on the side. [mm]
    place, name
        How notes call the tier, and a maker.
    expected_c
        Warmest that it is expected to get. [C]
    """

    def stays_mm(at_c: float, bound: str) -> float:
        return slump_thickness_mm(float(getattr(yield_stress_pa(coat, at_c), bound)), density_g_per_ml)

    severity = _severity(lambda bound: stays_mm(expected_c, bound) < thickness_mm, faint=True)
    if severity is None:
        return None
    bound = "low" if severity is Severity.NOTE else "value"
    changes = [
        _colder(lambda at_c: stays_mm(at_c, bound) >= thickness_mm, expected_c),
        "choose a coat that stays firmer in the warm",
    ]
    return Question(
        key=f"{place}.slump",
        severity=severity,
        sheet="coats",
        text=f"Will the {coat.name} on {name} soften and slip down the side?",
        reason=(
            f"{thickness_mm:.1f} mm are on the side; at {expected_c:.0f} C at most"
            f" {stays_mm(expected_c, 'value'):.1f} mm stay up"
            f" ({stays_mm(expected_c, 'low'):.1f} to {stays_mm(expected_c, 'high'):.1f})"
        ),
        figure=f"{stays_mm(expected_c, 'value'):.1f} mm",
        change=next(change for change in changes if change),
    )
