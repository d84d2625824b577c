"""How fine the triangles of a scene are, by who looks at it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

STRAY_MM: Final = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Fineness:
    """
    How fine triangles are.

    Attributes
    ----------
    side_mm, line_mm
        How far apart points lie along sides, and along lines. [mm]
    around
        How many lie round a bead. [-]
    stray_mm
        How far a chord may stray from its curve. [mm]
    petal
        How many points a petal has from its base to its tip, and across. [-]
    sparing
        Whether small things are made of as few triangles as still show their form.
    """

    side_mm: float
    line_mm: float
    around: int
    stray_mm: float = STRAY_MM
    petal: tuple[int, int] = (7, 5)
    sparing: bool = False


FOR_A_BROWSER: Final = Fineness(side_mm=12.0, line_mm=3.6, around=8)
FOR_SOFTWARE: Final = Fineness(side_mm=24.0, line_mm=5.5, around=6, stray_mm=0.4, petal=(4, 3), sparing=True)
"""For a browser without a graphics chip, which works on every triangle by itself."""
FOR_A_PICTURE: Final = Fineness(side_mm=2.5, line_mm=1.0, around=20, petal=(18, 9))
