"""Closed lines round a coated tier, exactly, as straight pieces and arcs.

What is piped, wrapped and unrolled follows them. A line begins at the back of the tier, in the middle, and runs against the clock seen from above.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import acos, atan2, ceil, cos, hypot, pi, radians, sin, sqrt
from typing import Final

from tierwright.errors import require_range
from tierwright.shapes import PETALS, Outline, Point, Shape

HAIR_MM: Final = 1e-9
CHORD_MM: Final = 0.02
"""How far a chord may stray from its arc in a polygon for drawing. [mm]"""
THICKEST_MM: Final = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place on a line: where it is, and which way is outward (a unit vector). [mm], [-]"""

    at_mm: Point
    out: Point

    @property
    def along(self) -> Point:
        """Which way the line runs on, a unit vector. [-]"""
        return (-self.out[1], self.out[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Straight:
    """A straight piece. [mm]"""

    start: Point
    end: Point

    @property
    def length_mm(self) -> float:
        """Its length. [mm]"""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    def spot(self, s_mm: float) -> Spot:
        """Return the place ``s_mm`` from its start. [mm]"""
        share = s_mm / self.length_mm
        dx, dy = self.end[0] - self.start[0], self.end[1] - self.start[1]
        return Spot(
            at_mm=(self.start[0] + share * dx, self.start[1] + share * dy),
            out=(dy / self.length_mm, -dx / self.length_mm),
        )

    def cut(self, s_mm: float) -> tuple[Straight, Straight]:
        """Part it ``s_mm`` from its start. [mm]"""
        middle = self.spot(s_mm).at_mm
        return Straight(start=self.start, end=middle), Straight(start=middle, end=self.end)

    def scaled(self, factor: float) -> Straight:
        """Return it drawn larger or smaller about the middle of the tier."""
        return Straight(
            start=(self.start[0] * factor, self.start[1] * factor), end=(self.end[0] * factor, self.end[1] * factor)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """An arc that bulges outward: middle, radius, angle at which it begins and angle that it spans. [mm, rad]"""

    centre: Point
    radius_mm: float
    begin: float
    sweep: float

    @property
    def length_mm(self) -> float:
        """Its length. [mm]"""
        return self.radius_mm * self.sweep

    def spot(self, s_mm: float) -> Spot:
        """Return the place ``s_mm`` from its start. [mm]"""
        angle = self.begin + s_mm / self.radius_mm
        out = (cos(angle), sin(angle))
        return Spot(
            at_mm=(self.centre[0] + self.radius_mm * out[0], self.centre[1] + self.radius_mm * out[1]),
            out=out,
        )

    def cut(self, s_mm: float) -> tuple[Arc, Arc]:
        """Part it ``s_mm`` from its start. [mm]"""
        turn = s_mm / self.radius_mm
        return (
            Arc(centre=self.centre, radius_mm=self.radius_mm, begin=self.begin, sweep=turn),
            Arc(centre=self.centre, radius_mm=self.radius_mm, begin=self.begin + turn, sweep=self.sweep - turn),
        )

    def scaled(self, factor: float) -> Arc:
        """Return it drawn larger or smaller about the middle of the tier."""
        return Arc(
            centre=(self.centre[0] * factor, self.centre[1] * factor),
            radius_mm=self.radius_mm * factor,
            begin=self.begin,
            sweep=self.sweep,
        )


Segment = Straight | Arc


def chords(segment: Segment, stray_mm: float) -> int:
    """Return how many chords keep within ``stray_mm`` of a piece. [mm]"""
    if isinstance(segment, Straight):
        return 1
    if stray_mm >= segment.radius_mm:
        return max(1, ceil(segment.sweep / (pi / 2)))
    return max(1, ceil(segment.sweep / (2 * acos(1 - stray_mm / segment.radius_mm))))


@dataclass(frozen=True, kw_only=True)
class Path:
    """
    A closed line round the middle of a tier.

    Attributes
    ----------
    segments
        Its pieces, each beginning where the last one ends.
    folds_mm
        How far from the start each corner comes, in the middle of its rounding; none where there are no corners. [mm]
    """

    segments: tuple[Segment, ...]
    folds_mm: tuple[float, ...] = ()

    @cached_property
    def _starts(self) -> tuple[float, ...]:
        starts = [0.0]
        for segment in self.segments:
            starts.append(starts[-1] + segment.length_mm)
        return tuple(starts)

    @property
    def length_mm(self) -> float:
        """Length once round. [mm]"""
        return self._starts[-1]

    def spot(self, s_mm: float) -> Spot:
        """Return the place ``s_mm`` along the line, counted on round and round. [mm]"""
        s = s_mm % self.length_mm
        index = min(bisect_right(self._starts, s), len(self.segments)) - 1
        return self.segments[index].spot(s - self._starts[index])

    def stops(self, stray_mm: float = CHORD_MM) -> tuple[float, ...]:
        """Return where the corners of a polygon lie that strays no more than ``stray_mm``, both ends included. [mm]"""
        stops: list[float] = []
        for start, segment in zip(self._starts, self.segments, strict=False):
            pieces = chords(segment, stray_mm)
            stops += [start + segment.length_mm * i / pieces for i in range(pieces)]
        return (*stops, self.length_mm)

    def polygon(self, stray_mm: float = CHORD_MM) -> tuple[Point, ...]:
        """Return it as a polygon that strays no more than ``stray_mm``, first corner not repeated. [mm]"""
        return tuple(self.spot(s).at_mm for s in self.stops(stray_mm)[:-1])

    def scaled(self, factor: float) -> Path:
        """Return it drawn larger or smaller about the middle of the tier."""
        return Path(
            segments=tuple(segment.scaled(factor) for segment in self.segments),
            folds_mm=tuple(fold * factor for fold in self.folds_mm),
        )

    @cached_property
    def area_mm2(self) -> float:
        """Area inside, exactly. [mm2]"""
        total = 0.0
        for segment in self.segments:
            (x1, y1), (x2, y2) = segment.spot(0.0).at_mm, segment.spot(segment.length_mm).at_mm
            total += (x1 * y2 - x2 * y1) / 2
            if isinstance(segment, Arc):
                total += segment.radius_mm**2 * (segment.sweep - sin(segment.sweep)) / 2
        return total


@lru_cache(maxsize=512)
def line_round(outline: Outline, by_mm: float = 0.0) -> Path:
    """
    Return the line that runs ``by_mm`` outside an outline everywhere.

    Parameters
    ----------
    outline
        The cake.
    by_mm
        Distance, measured square to the outline: the coat's thickness. [mm], 0 to 60

    Returns
    -------
    path
        Corners come out rounded by the distance, as a scraper leaves them; notches of petal and heart stay sharp.

    Raises
    ------
    OutOfRange
        A distance outside 0 to 60 mm.
    """
    require_range("distance from the outline", by_mm, 0.0, THICKEST_MM, "mm", outline.describe())
    match outline.shape:
        case Shape.ROUND:
            return Path(
                segments=(Arc(centre=(0.0, 0.0), radius_mm=outline.width_mm / 2 + by_mm, begin=pi / 2, sweep=2 * pi),)
            )
        case Shape.SQUARE | Shape.RECTANGLE | Shape.HEXAGON:
            return _from_back(_round_corners(outline.polygon(), by_mm), corners=True)
        case Shape.PETAL:
            return _from_back(_petal(outline.width_mm, by_mm), corners=False)
        case Shape.HEART:
            return _from_back(_heart(outline, by_mm), corners=False)


def _round_corners(corners: tuple[Point, ...], by_mm: float) -> list[Segment]:
    """Sides of a convex polygon set out by a distance, each followed by the arc round its far corner."""
    count = len(corners)
    angles: list[float] = []
    for (x1, y1), (x2, y2) in zip(corners, (*corners[1:], corners[0]), strict=True):
        angles.append(atan2(-(x2 - x1), y2 - y1))
    segments: list[Segment] = []
    for i, angle in enumerate(angles):
        out = (by_mm * cos(angle), by_mm * sin(angle))
        (x1, y1), (x2, y2) = corners[i], corners[(i + 1) % count]
        segments.append(Straight(start=(x1 + out[0], y1 + out[1]), end=(x2 + out[0], y2 + out[1])))
        sweep = (angles[(i + 1) % count] - angle) % (2 * pi)
        segments.append(Arc(centre=(x2, y2), radius_mm=by_mm, begin=angle, sweep=sweep))
    return segments


def _petal(width_mm: float, by_mm: float) -> list[Segment]:
    side = width_mm / (1 + sqrt(3))
    radius = side / 2 + by_mm
    # Two neighbouring lobes meet on the ray halfway between them.
    off, out = side * sqrt(3) / 2 * cos(pi / 6), side * sqrt(3) / 2 * sin(pi / 6)
    reach = off + sqrt(radius**2 - out**2)
    half = atan2(reach * sin(pi / 6), reach * cos(pi / 6) - side * sqrt(3) / 2)
    segments: list[Segment] = []
    for lobe in range(PETALS):
        towards = radians(60 * lobe)
        centre = (side * sqrt(3) / 2 * cos(towards), side * sqrt(3) / 2 * sin(towards))
        segments.append(Arc(centre=centre, radius_mm=radius, begin=towards - half, sweep=2 * half))
    return segments


def _heart(outline: Outline, by_mm: float) -> list[Segment]:
    side = outline.width_mm / (1 + 1 / sqrt(2))
    lift = outline.extent_mm[1] / 2 - side * (sqrt(2) / 4 + 0.5)
    off, radius = side * sqrt(2) / 4, side / 2 + by_mm
    notch = atan2(sqrt(radius**2 - off**2), -off)
    right = Arc(centre=(off, off + lift), radius_mm=radius, begin=-pi / 4, sweep=notch + pi / 4)
    left = Arc(centre=(-off, off + lift), radius_mm=radius, begin=pi - notch, sweep=5 * pi / 4 - (pi - notch))
    tip = Arc(centre=(0.0, -side / sqrt(2) + lift), radius_mm=by_mm, begin=5 * pi / 4, sweep=pi / 2)
    down, up = _tip_side(left, tip, 5 * pi / 4), _tip_side(tip, right, -pi / 4)
    return [right, left, down, tip, up]


def _tip_side(before: Arc, after: Arc, angle: float) -> Straight:
    """Return the straight side between two arcs that it touches, its outward side at ``angle``. [rad]"""
    out = (cos(angle), sin(angle))
    return Straight(
        start=(before.centre[0] + before.radius_mm * out[0], before.centre[1] + before.radius_mm * out[1]),
        end=(after.centre[0] + after.radius_mm * out[0], after.centre[1] + after.radius_mm * out[1]),
    )


def _from_back(segments: list[Segment], *, corners: bool) -> Path:
    """Let a line begin at the back, where it crosses x = 0."""
    whole = [segment for segment in segments if segment.length_mm > HAIR_MM]
    for i, segment in enumerate(whole):
        start, end = segment.spot(0.0).at_mm, segment.spot(segment.length_mm).at_mm
        if abs(start[0]) < 1e-6 and start[1] > 0:
            turned = whole[i:] + whole[:i]
            break
        # Behind the middle every line runs from right to left.
        if start[0] > 1e-6 and end[0] < -1e-6 and start[1] > 0 and end[1] > 0:
            first, second = segment.cut(segment.length_mm / 2)
            turned = [second, *whole[i + 1 :], *whole[:i], first]
            break
    else:
        raise AssertionError("no line crosses the back")
    return Path(segments=tuple(turned), folds_mm=_folds(turned) if corners else ())


def _folds(segments: list[Segment]) -> tuple[float, ...]:
    """Return where the corners come: the middle of each arc, or where two straight pieces meet."""
    folds: list[float] = []
    s = 0.0
    for i, segment in enumerate(segments):
        following = segments[(i + 1) % len(segments)]
        if isinstance(segment, Arc) and i not in (0, len(segments) - 1):
            folds.append(s + segment.length_mm / 2)
        elif isinstance(segment, Straight) and isinstance(following, Straight):
            turn = segment.spot(0.0).out[0] * following.spot(0.0).out[0]
            turn += segment.spot(0.0).out[1] * following.spot(0.0).out[1]
            if turn < 1 - 1e-9 and i < len(segments) - 1:
                folds.append(s + segment.length_mm)
        s += segment.length_mm
    return tuple(folds)
