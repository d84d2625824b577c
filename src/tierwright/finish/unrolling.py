"""The side of a tier laid flat: a rectangle where it is straight, a piece of an unrolled cone where it is carved.

Every side here is a cone in the wide sense: straight lines run from each point of the foot towards one apex over the
middle. Such a surface unrolls without stretching, whatever its outline: around a round foot to a sector of a ring,
around a square one to four trapezoids side by side.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import asin, cos, hypot, sin, sqrt
from typing import Final

from tierwright.errors import require_range
from tierwright.finish.paths import Arc, Path, chords
from tierwright.shapes import Point

STRAIGHT: Final = 1e-9
"""Below this share of taper a side counts as straight. [-]"""
FINE_MM: Final = 1e-4
"""How far the chords stray by which an arc off the middle is unrolled. [mm]"""
NARROWEST: Final = 0.2
"""Least width at the top over that at the foot. [-]"""


@dataclass(frozen=True, kw_only=True)
class Unrolled:
    """
    The side of a tier, laid flat with its outer face up.

    Attributes
    ----------
    foot
        The line round its foot.
    height_mm
        Upright height from foot to top. [mm]
    top_scale
        Width at the top over that at the foot, 0.2 to 1. [-]
    """

    foot: Path
    height_mm: float
    top_scale: float = 1.0

    @property
    def is_straight(self) -> bool:
        """Whether it is a plain rectangle."""
        return 1 - self.top_scale < STRAIGHT

    @property
    def apex_mm(self) -> float:
        """Height of the apex over the foot. [mm]"""
        return self.height_mm / (1 - self.top_scale)

    @cached_property
    def _fan(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Places along the foot, and the angle at the apex up to each. [mm, rad]"""
        stops = [0.0]
        angles = [0.0]
        begin = 0.0
        for segment in self.foot.segments:
            centred = isinstance(segment, Arc) and hypot(*segment.centre) < 1e-9
            pieces = 1 if centred else chords(segment, FINE_MM)
            for i in range(pieces):
                upto = begin + segment.length_mm * (i + 1) / pieces
                angles.append(angles[-1] + self._turn(begin + segment.length_mm * i / pieces, upto, centred))
                stops.append(upto)
            begin += segment.length_mm
        return tuple(stops), tuple(angles)

    def _turn(self, start_mm: float, end_mm: float, centred: bool) -> float:
        """Return the angle at the apex between two places on one piece of the foot. [mm, rad]"""
        if centred:
            # Round the middle every generator is equally long: the arc is kept as it is.
            return (end_mm - start_mm) / self.generator_mm(start_mm)
        (x1, y1), (x2, y2) = self._spot(start_mm), self._spot(end_mm)
        h2 = self.apex_mm**2
        one, two = sqrt(x1 * x1 + y1 * y1 + h2), sqrt(x2 * x2 + y2 * y2 + h2)
        # The chord is the base of a triangle with the apex; its half-angle form holds for the smallest angles too.
        chord = hypot(x2 - x1, y2 - y1)
        half = sqrt(max(0.0, (chord**2 - (one - two) ** 2) / (4 * one * two)))
        return 2 * asin(min(1.0, half))

    def _spot(self, s_mm: float) -> Point:
        return self.foot.spot(s_mm).at_mm

    def generator_mm(self, s_mm: float) -> float:
        """Length of the straight line from a place on the foot to the apex. [mm]"""
        x, y = self._spot(s_mm)
        return sqrt(x * x + y * y + self.apex_mm**2)

    def angle(self, s_mm: float) -> float:
        """Angle at the apex from the start of the foot to a place on it. [mm, rad]"""
        stops, angles = self._fan
        index = min(max(bisect_right(stops, s_mm) - 1, 0), len(stops) - 2)
        centred = len(stops) == 2
        return angles[index] + self._turn(stops[index], s_mm, centred)

    def flat(self, s_mm: float, up_mm: float) -> Point:
        """
        Return where a place on the side comes to lie.

        Parameters
        ----------
        s_mm
            How far along the foot, 0 to its length. [mm]
        up_mm
            How high over the foot, measured upright. [mm], 0 to the height

        Returns
        -------
        point
            To the right along the foot, and up. The middle of the foot lies at 0, 0. [mm]
        """
        if self.is_straight:
            return (s_mm - self.foot.length_mm / 2, up_mm)
        left = self.generator_mm(s_mm) * (1 - up_mm / self.apex_mm)
        turn = self.angle(s_mm) - self._fan[1][-1] / 2
        return (left * sin(turn), self.generator_mm(self.foot.length_mm / 2) - left * cos(turn))

    def level(self, up_mm: float, start_mm: float = 0.0, end_mm: float | None = None) -> tuple[Point, ...]:
        """Return the line at one height, laid flat, between two places along the foot. [mm]"""
        end = self.foot.length_mm if end_mm is None else end_mm
        if self.is_straight:
            return (self.flat(start_mm, up_mm), self.flat(end, up_mm))
        inner = [s for s in self._level_stops if start_mm < s < end]
        return tuple(self.flat(s, up_mm) for s in (start_mm, *inner, end))

    @cached_property
    def _level_stops(self) -> tuple[float, ...]:
        """Corners enough that a flat arc strays less than a hundredth of a millimetre. [mm]"""
        return self.foot.stops(0.01)

    def length_at(self, up_mm: float) -> float:
        """Length once round at a height. [mm]"""
        return self.foot.length_mm * (1 - up_mm / self.height_mm * (1 - self.top_scale))

    @property
    def slant_mm(self) -> float:
        """Length of the side from foot to top at the middle of the foot, measured on it. [mm]"""
        if self.is_straight:
            return self.height_mm
        return self.generator_mm(self.foot.length_mm / 2) * (1 - self.top_scale)

    @cached_property
    def area_mm2(self) -> float:
        """Area of the side. [mm2]"""
        if self.is_straight:
            return self.foot.length_mm * self.height_mm
        stops, angles = self._fan
        fan = 0.0
        for i in range(len(stops) - 1):
            turn = angles[i + 1] - angles[i]
            one, two = self.generator_mm(stops[i]), self.generator_mm(stops[i + 1])
            # A sector round the middle, else the triangle of a chord with the apex.
            fan += one * one * turn / 2 if len(stops) == 2 else one * two * sin(turn) / 2
        return fan * (1 - self.top_scale**2)


@lru_cache(maxsize=256)
def unrolled(foot: Path, height_mm: float, top_scale: float = 1.0) -> Unrolled:
    """
    Lay the side of a tier flat.

    Parameters
    ----------
    foot
        The line round its foot.
    height_mm
        Upright height. [mm], 1 to 1000
    top_scale
        Width at the top over that at the foot. [-], 0.2 to 1

    Raises
    ------
    OutOfRange
        A height or a taper outside its range.

    Notes
    -----
    With the apex H / (1 - k) above the foot, a place at distance r from the middle has the generator
    ``rho = sqrt(r**2 + apex**2)``, and a chord c between generators a and b spans the angle
    ``2 asin(sqrt((c**2 - (a - b)**2) / (4 a b)))`` at the apex. Round the middle that is exactly the arc over the
    generator: the sector ``360 R / rho`` degrees of every handbook of sheet-metal work.

    References
    ----------
    .. [1] Oberg et al., Machinery's Handbook, 'Development of a frustum of a cone'; M. do Carmo, Differential Geometry
       of Curves and Surfaces, 1976, sec. 3-5 (developable surfaces).
    """
    require_range("height of the side", height_mm, 1.0, 1000.0, "mm")
    require_range("width at the top over that at the foot", top_scale, NARROWEST, 1.0, "")
    return Unrolled(foot=foot, height_mm=height_mm, top_scale=top_scale)
