"""Closed lines round a coated tier, exactly, as straight pieces and arcs.

What is piped, wrapped and unrolled follows them. A line begins at the back of the tier, in the middle of a round one,
else at the corner or notch furthest back, and runs against the clock seen from above.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
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
        How far from the start each further corner or notch comes, a corner in the middle of its rounding. [mm]
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

    @property
    def spans_mm(self) -> tuple[float, ...]:
        """Lengths from corner to corner; the whole length of a round line. [mm]"""
        stops = (0.0, *self.folds_mm, self.length_mm)
        return tuple(end - start for start, end in pairwise(stops))

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
            return _from_back(_round_corners(outline.polygon(), by_mm))
        case Shape.PETAL:
            return _from_back(_petal(outline.width_mm, by_mm))
        case Shape.HEART:
            return _from_back(_heart(outline, by_mm))


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


def _from_back(segments: list[Segment]) -> Path:
    """Let a line begin at its corner or notch that lies furthest back, the left one of two."""
    whole = [segment for segment in segments if segment.length_mm > HAIR_MM]
    folds = _folds(whole)
    ends = [whole[index].spot(s).at_mm for index, s in folds]
    first = max(range(len(folds)), key=lambda i: (round(ends[i][1], 6), -ends[i][0]))
    index, s = folds[first]
    if s >= whole[index].length_mm - HAIR_MM:
        turned = whole[index + 1 :] + whole[: index + 1]
    else:
        begin, end = whole[index].cut(s)
        turned = [end, *whole[index + 1 :], *whole[:index], begin]
    starts = [0.0]
    for segment in turned:
        starts.append(starts[-1] + segment.length_mm)
    inner = [starts[index] + s for index, s in _folds(turned)]
    return Path(segments=tuple(turned), folds_mm=tuple(fold for fold in inner if HAIR_MM < fold < starts[-1] - HAIR_MM))


def _folds(segments: list[Segment]) -> list[tuple[int, float]]:
    """Return where a line turns sharply: in the middle of an arc between two straight sides, or at a break in it."""
    folds: list[tuple[int, float]] = []
    for i, segment in enumerate(segments):
        before, after = segments[i - 1], segments[(i + 1) % len(segments)]
        if isinstance(segment, Arc) and isinstance(before, Straight) and isinstance(after, Straight):
            folds.append((i, segment.length_mm / 2))
        end, start = segment.spot(segment.length_mm).out, after.spot(0.0).out
        if end[0] * start[0] + end[1] * start[1] < 1 - 1e-9:
            folds.append((i, segment.length_mm))
    return folds
