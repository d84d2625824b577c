"""What a person may lift, and when it takes two."""

from __future__ import annotations

from typing import Final

from tierwright.errors import require_range
from tierwright.support.model import Lift, Piece

LOAD_CONSTANT_KG: Final = 23.0
BODY_TO_LOAD_MM: Final = 200.0
"""Way from the ankles to the near edge of a load held at or above knee height, lifting equation. [mm]"""
TWO_PERSON_SHARE: Final = 2 / 3
"""What each of two carries counts as this share of one person's limit, for both together 4/3 of it. [-]"""
BOX_MARGIN_G: Final = 600.0
"""A corrugated box for a tier or a stack; from memory. [g]"""

# HSE INDG143 and L23 (lifting and lowering filter): close to the body and at arm's length, by height of the hands.
FILTER_KG: Final = {
    ("men", "shoulder"): (10.0, 5.0),
    ("men", "elbow"): (20.0, 10.0),
    ("men", "knuckle"): (25.0, 15.0),
    ("men", "knee"): (20.0, 10.0),
    ("men", "floor"): (10.0, 5.0),
    ("women", "shoulder"): (7.0, 3.0),
    ("women", "elbow"): (13.0, 7.0),
    ("women", "knuckle"): (16.0, 10.0),
    ("women", "knee"): (13.0, 7.0),
    ("women", "floor"): (7.0, 3.0),
}
"""Guideline figures of the British lifting filter: close, at arm's length; from memory. [kg]"""


def recommended_weight_kg(
    *,
    reach_mm: float,
    height_mm: float = 750.0,
    travel_mm: float = 250.0,
    twist_degrees: float = 0.0,
    frequency: float = 1.0,
    coupling: float = 0.9,
) -> float:
    """
    Recommended weight limit of the revised lifting equation.

    Parameters
    ----------
    reach_mm
        Way from the ankles to the hands. [mm], to 630
    height_mm
        Height of the hands above the floor. [mm], 0 to 1750
    travel_mm
        Way that the load goes up or down. [mm], 0 to 1750
    twist_degrees
        Twist of the body. [degree], 0 to 135
    frequency
        Frequency multiplier, 1 for a lift every five minutes or fewer. [-], 0 to 1
    coupling
        Coupling multiplier: 1 good, 0.95 fair, 0.9 poor, as a board without handles is. [-], 0.9 to 1

    Returns
    -------
    limit_kg
        23 kg times the six multipliers. [kg]

    Raises
    ------
    OutOfRange
        A reach beyond 630 mm, or anything else where the equation gives no limit.

    References
    ----------
    .. [1] Waters, Putz-Anderson and Garg, Applications Manual for the Revised NIOSH Lifting Equation,
       DHHS (NIOSH) Publication 94-110 (revised 9/2021), section 1.3.

    Examples
    --------
    The best place and a good grip:

    >>> recommended_weight_kg(reach_mm=250, coupling=1.0)
    23.0
    """
    require_range("reach", reach_mm, 0.0, 630.0, "mm")
    require_range("height of the hands", height_mm, 0.0, 1750.0, "mm")
    require_range("travel", travel_mm, 0.0, 1750.0, "mm")
    require_range("twist", twist_degrees, 0.0, 135.0, "degrees")
    require_range("frequency multiplier", frequency, 0.0, 1.0, "")
    require_range("coupling multiplier", coupling, 0.9, 1.0, "")
    horizontal = 250.0 / max(reach_mm, 250.0)
    vertical = 1 - 0.003 * abs(height_mm - 750.0) / 10
    distance = min(1.0, 0.82 + 45.0 / max(travel_mm, 250.0))
    asymmetric = 1 - 0.0032 * twist_degrees
    return LOAD_CONSTANT_KG * horizontal * vertical * distance * asymmetric * frequency * coupling


def plan_lift(what: str, *, mass_kg: float, width_mm: float, who: str = "women", coupling: float = 0.9) -> Lift:
    """
    Say how many people a piece takes, from a table to waist height.

    Parameters
    ----------
    what
        What it is, in words.
    mass_kg
        Its mass with board and box. [kg], above 0
    width_mm
        Its width towards the body. [mm]
    who
        ``women`` or ``men``: which figures of the British filter to show; the smaller by default.
    coupling
        Coupling multiplier of the grip. [-]

    Returns
    -------
    lift
        One person while the mass keeps within both the equation's limit and the filter at arm's length; two within
        4/3 of them; beyond that a trolley.
    """
    require_range("mass", mass_kg, 1e-6, 500.0, "kg")
    require_range("width", width_mm, 20.0, 1200.0, "mm")
    # Lifting equation, eq. for hands at or above 250 mm: 20 cm + half the width.
    reach = BODY_TO_LOAD_MM + width_mm / 2
    limit = recommended_weight_kg(reach_mm=reach, coupling=coupling) if reach <= 630.0 else 0.0
    close, far = FILTER_KG[who, "knuckle"]
    # Between the two columns by reach: close is up to a forearm, arm's length from there.
    filtered = close if reach <= 300 else far
    allowed = min(limit, filtered) if limit else 0.0
    index = mass_kg / (limit or filtered)
    if limit and mass_kg <= allowed:
        people = 1
    elif limit and mass_kg <= 2 * TWO_PERSON_SHARE * allowed:
        people = 2
    elif not limit and mass_kg <= 2 * TWO_PERSON_SHARE * far:
        # Too wide for one, but two hold it from opposite sides, each close to the body.
        people = 2
    else:
        people = 3
    told = {1: "one person", 2: "two people", 3: "two people with a trolley, and no stairs"}[people]
    return Lift(
        what=what,
        mass_kg=mass_kg,
        reach_mm=reach,
        limit_kg=limit,
        index=index,
        filter_kg=filtered,
        people=people,
        words=f"{what}: {mass_kg:.1f} kg, {told}",
    )


def plan_lifts(pieces: tuple[Piece, ...], whole: Piece, *, boxed: bool) -> tuple[Lift, ...]:
    """Say how each piece, and the whole stack on its table, is lifted; with the heavy end of the masses."""
    box = BOX_MARGIN_G if boxed else 0.0
    found = [
        plan_lift(
            ("tier " if len(piece.tiers) == 1 else "tiers ") + " and ".join(str(n) for n in piece.tiers),
            mass_kg=(piece.mass_g.high + box) / 1000,
            width_mm=piece.width_mm,
        )
        for piece in pieces
    ]
    if len(pieces) > 1:
        found.append(plan_lift("the whole stack", mass_kg=whole.mass_g.high / 1000, width_mm=whole.width_mm))
    return tuple(found)
