"""Where each flower lies: evenly strewn yet not in rows, none on another, none where it must not be.

A ground is a surface laid flat: a top, or a side unrolled, whose two ends are one. Things are discs on it. They are
thrown one by one where there is most room, large ones first, then pushed apart until all lie clear: blue noise, which
the eye takes for chance without clumps. The same seed gives the same places.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import pi
from random import Random
from typing import Final

import numpy as np
import numpy.typing as npt
import shapely
from scipy.spatial import cKDTree
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Dot
from shapely.geometry.base import BaseGeometry

from tierwright.errors import Infeasible, OutOfRange, require_range
from tierwright.shapes import Point

FloatArray = npt.NDArray[np.float64]

MOST_PIECES: Final = 1500
DENSEST: Final = 0.72
"""Share of the free ground that discs of like size can fill without being laid in rows. Equal discs jam at random near
0.82 to 0.84 without edges (Berryman, Phys. Rev. A 27 (1983) 1053); the rim of a cake takes its part. [-]"""
GUARD_MM: Final = 0.05  # kept besides the asked gap, for rounding and for arcs that are drawn as chords
_TRIES: Final = 4
_DARTS: Final = 12  # places looked at for each piece
_SPREAD_STEPS: Final = 40
_CLEAR_STEPS: Final = 600


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One thing to lay: what it is, and the diameter of the circle that holds it. [mm]"""

    key: str
    diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepOff:
    """
    A place where nothing may lie.

    Attributes
    ----------
    name
        What it is: ``cut 3``, ``support``, ``drip``.
    points_mm
        One point for a round place, two or more for a line, three or more for an area if ``is_area``. [mm]
    clearance_mm
        How far everything stays from it. [mm]
    is_area
        Whether the points go round an area.
    """

    name: str
    points_mm: tuple[Point, ...]
    clearance_mm: float
    is_area: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """
    A surface laid flat.

    Attributes
    ----------
    outline_mm
        Corners of it. [mm]
    covered_mm
        Corners of what stands on it, such as the tier above; empty for nothing. [mm]
    around_mm
        Length after which x comes back to where it began, for a side unrolled; 0 for a top. [mm]
    """

    outline_mm: tuple[Point, ...]
    covered_mm: tuple[Point, ...] = ()
    around_mm: float = 0.0

    @classmethod
    def top(cls, outline_mm: Sequence[Point], covered_mm: Sequence[Point] = ()) -> Ground:
        """Return a top, less what stands on it."""
        return cls(outline_mm=tuple(outline_mm), covered_mm=tuple(covered_mm))

    @classmethod
    def side(cls, around_mm: float, height_mm: float) -> Ground:
        """
        Return a side unrolled: x along the foot from the back, y up.

        For a side that leans inward give the length round its top edge: things that lie clear of one another there are
        farther apart everywhere below.
        """
        box = ((0.0, 0.0), (around_mm, 0.0), (around_mm, height_mm), (0.0, height_mm))
        return cls(outline_mm=box, around_mm=around_mm)

    @property
    def area_mm2(self) -> float:
        """Area that shows. [mm2]"""
        return float(self.polygon.area)

    @property
    def polygon(self) -> BaseGeometry:
        """What of it shows, as a polygon. [mm]"""
        whole = Polygon(self.outline_mm)
        return whole.difference(Polygon(self.covered_mm)) if self.covered_mm else whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Bed:
    """
    The part of a ground that flowers fill: where it lies, and where the largest stand.

    Attributes
    ----------
    polygon
        The part of the ground, on either side of a seam where it runs over one. [mm]
    focus_mm
        Where the largest gather; None for no such place. [mm]
    """

    polygon: BaseGeometry
    focus_mm: Point | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lain:
    """One thing where it lies: what it is, its middle, its diameter, and how it is turned. [mm], [deg]"""

    key: str
    x_mm: float
    y_mm: float
    diameter_mm: float
    turn_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """
    Everything that lies on one ground.

    Attributes
    ----------
    pieces
        In the order in which they were laid, the largest first.
    coverage
        Share of the ground, or of the bed where there is one, that they cover. [-]
    gap_mm
        Least clear distance between two of them; None for one alone. [mm]
    """

    pieces: tuple[Lain, ...]
    coverage: float
    gap_mm: float | None


# --- beds ------------------------------------------------------------------------------------------------------------


def ring_bed(ground: Ground, *, inset_mm: float, breadth_mm: float) -> Bed:
    """
    Return a ring: round a top, ``inset_mm`` from its edge; round a side, ``inset_mm`` above its foot.

    Raises
    ------
    OutOfRange
        The ring does not find room.
    """
    require_range("breadth of the ring", breadth_mm, 1.0, 1000.0, "mm")
    require_range("distance of the ring from the edge", inset_mm, 0.0, 1000.0, "mm")
    if ground.around_mm:
        height = max(y for _, y in ground.outline_mm)
        require_range("upper edge of the ring", inset_mm + breadth_mm, 0.0, height, "mm")
        return Bed(polygon=shapely.box(0.0, inset_mm, ground.around_mm, inset_mm + breadth_mm))
    whole = Polygon(ground.outline_mm)
    outer = whole.buffer(-inset_mm)
    if outer.is_empty:
        raise OutOfRange("distance of the ring from the edge", inset_mm, 0.0, _half(whole), "mm")
    return Bed(polygon=outer.difference(outer.buffer(-breadth_mm)))


def curve_bed(curve_mm: Sequence[Point], *, breadth_mm: float, tip_mm: float, crescent: bool = False) -> Bed:
    """
    Return a bed along a curve.

    Parameters
    ----------
    curve_mm
        Its middle line, at least two points; on a side it may run over the seam, beyond either end. [mm]
    breadth_mm
        Breadth where it is broadest. [mm]
    tip_mm
        Breadth at its narrow end or ends. [mm]
    crescent
        Broadest in the middle and narrow at both ends; otherwise broadest where it begins, as a cascade is.

    Returns
    -------
    bed
        With its focus where it is broadest.
    """
    require_range("breadth of the bed", breadth_mm, 1.0, 1000.0, "mm")
    require_range("breadth of its tip", tip_mm, 0.0, breadth_mm, "mm")
    line = LineString(curve_mm)
    require_range("length of the curve", line.length, 1.0, 10_000.0, "mm")
    steps = max(24, int(line.length / 4))
    discs = []
    for i in range(steps + 1):
        share = i / steps
        fullness = 1.0 - abs(2 * share - 1) ** 2 if crescent else 1.0 - share
        discs.append(line.interpolate(share, normalized=True).buffer((tip_mm + (breadth_mm - tip_mm) * fullness) / 2))
    hulls = [a.union(b).convex_hull for a, b in pairwise(discs)]
    middle = line.interpolate(0.5 if crescent else 0.0, normalized=True)
    return Bed(polygon=shapely.union_all(hulls), focus_mm=(middle.x, middle.y))


def cascade_curve(ground: Ground, *, at_mm: float, sway_mm: float = 0.0) -> tuple[Point, ...]:
    """Return a curve from the top edge of a side down to its foot, that sways to the right and back again. [mm]"""
    height = max(y for _, y in ground.outline_mm)
    shares = np.linspace(0.0, 1.0, 33)
    return tuple((at_mm + sway_mm * float(np.sin(pi * t)), height * (1.0 - float(t))) for t in shares)


def arc_curve(centre_mm: Point, radius_mm: float, begin_deg: float, end_deg: float) -> tuple[Point, ...]:
    """Return an arc, for a crescent round a top: angles from the right, against the clock. [mm], [deg]"""
    angles = np.radians(np.linspace(begin_deg, end_deg, 49))
    x, y = centre_mm
    return tuple((x + radius_mm * float(np.cos(a)), y + radius_mm * float(np.sin(a))) for a in angles)


def _half(shape: BaseGeometry) -> float:
    x0, y0, x1, y1 = shape.bounds
    return float(min(x1 - x0, y1 - y0) / 2)


# --- laying ----------------------------------------------------------------------------------------------------------


def surface_mm2(ground: Ground, bed: Bed | None = None) -> float:
    """Return the area to which a coverage refers: that of the ground, or of the bed as far as it lies on it. [mm2]"""
    return ground.area_mm2 if bed is None else _once_round(ground, _free(ground, bed, (), 0.0))


def free_mm2(
    ground: Ground, *, bed: Bed | None = None, keep_off: Sequence[KeepOff] = (), edge_mm: float = 0.0
) -> float:
    """Return the area of a ground or bed on which something may lie. [mm2]"""
    return _once_round(ground, _free(ground, bed, tuple(keep_off), edge_mm))


def _once_round(ground: Ground, free: BaseGeometry) -> float:
    """Return the area of what lies on a ground, once round. [mm2]"""
    return float((free.intersection(ground.polygon) if ground.around_mm else free).area)


def lay(
    ground: Ground,
    pieces: Sequence[Piece],
    *,
    seed: int,
    bed: Bed | None = None,
    keep_off: Sequence[KeepOff] = (),
    gap_mm: float = 1.0,
    edge_mm: float = 0.0,
) -> Laid:
    """
    Lay every piece on a ground.

    Parameters
    ----------
    ground
        Top or side, laid flat.
    pieces
        What is to be laid, at most 1500.
    seed
        Any whole number; the same gives the same places on any machine.
    bed
        The part of the ground to fill; all of it if left out.
    keep_off
        Where nothing may lie, not even with an edge.
    gap_mm
        Least clear distance between two pieces. [mm], 0 to 50
    edge_mm
        Least distance from the ground's own edges; not from a seam, which is none. [mm], 0 to 200

    Returns
    -------
    laid
        Places, coverage reached, and the least gap between two pieces.

    Raises
    ------
    OutOfRange
        A piece that fits nowhere, too many pieces, or an odd gap.
    Infeasible
        More than the free ground takes.
    """
    require_range("pieces to lay", len(pieces), 1, MOST_PIECES, "pieces")
    require_range("gap", gap_mm, 0.0, 50.0, "mm")
    require_range("distance from the edge", edge_mm, 0.0, 200.0, "mm")
    free = _free(ground, bed, tuple(keep_off), edge_mm)
    room_mm2 = _once_round(ground, free)
    ordered = sorted(pieces, key=lambda piece: -piece.diameter_mm)
    radii = np.array([piece.diameter_mm / 2 for piece in ordered])
    require_range("diameter of a flower", 2 * float(radii.min()), 1.0, 400.0, "mm")
    rooms: dict[float, BaseGeometry] = {}
    for radius in sorted(set(radii.tolist()), reverse=True):
        shrunk = free.buffer(-(radius + GUARD_MM), quad_segs=16)
        if shrunk.is_empty:
            raise OutOfRange("diameter of a flower", 2 * radius, 1.0, 2 * _widest(free), "mm", "where it is to lie")
        shapely.prepare(shrunk)
        rooms[radius] = shrunk
    asked_mm2 = float(pi * (radii**2).sum())
    if asked_mm2 > DENSEST * room_mm2:
        raise _too_many(len(pieces), asked_mm2, room_mm2)
    for attempt in range(_TRIES):
        rng = Random(seed * _TRIES + attempt)
        places = _settle(ground, radii, rooms, bed.focus_mm if bed else None, gap_mm, rng)
        if places is not None:
            turns = [round(rng.random() * 360.0, 1) for _ in ordered]
            return Laid(
                pieces=tuple(
                    Lain(key=piece.key, x_mm=float(x), y_mm=float(y), diameter_mm=piece.diameter_mm, turn_deg=turn)
                    for piece, (x, y), turn in zip(ordered, places, turns, strict=True)
                ),
                coverage=asked_mm2 / surface_mm2(ground, bed),
                gap_mm=_least_gap(ground, places, radii) if len(places) > 1 else None,
            )
    raise _too_many(len(pieces), asked_mm2, room_mm2)


def _too_many(count: int, asked_mm2: float, room_mm2: float) -> Infeasible:
    return Infeasible(
        f"laying {count} flowers",
        f"they fill {asked_mm2 / 100:.0f} cm2 of {room_mm2 / 100:.0f} cm2 where something may lie; without rows about "
        f"{DENSEST * 100:.0f} % can be filled, less where the ground is narrow",
        "fewer or smaller flowers, a smaller gap, or less ground kept free",
    )


def _free(ground: Ground, bed: Bed | None, keep_off: tuple[KeepOff, ...], edge_mm: float) -> BaseGeometry:
    """Return where something may lie; for a side, three times round, so that the seam is nowhere an edge."""
    around = ground.around_mm
    if around:
        y0, y1 = min(y for _, y in ground.outline_mm), max(y for _, y in ground.outline_mm)
        free: BaseGeometry = shapely.box(-around, y0 + edge_mm, 2 * around, y1 - edge_mm)
    else:
        free = ground.polygon.buffer(-edge_mm) if edge_mm else ground.polygon
    shifts = (-2 * around, -around, 0.0, around, 2 * around) if around else (0.0,)
    if bed is not None:
        free = free.intersection(shapely.union_all([_moved(bed.polygon, dx) for dx in shifts]))
    zones = [_moved(_zone(zone), dx) for zone in keep_off for dx in shifts]
    return free.difference(shapely.union_all(zones)) if zones else free


def _zone(zone: KeepOff) -> BaseGeometry:
    if zone.is_area:
        shape: BaseGeometry = Polygon(zone.points_mm)
    elif len(zone.points_mm) == 1:
        shape = Dot(zone.points_mm[0])
    else:
        shape = LineString(zone.points_mm)
    return shape.buffer(zone.clearance_mm + GUARD_MM, quad_segs=16)


def _moved(shape: BaseGeometry, dx: float) -> BaseGeometry:
    return shapely.transform(shape, lambda xy: xy + np.array([dx, 0.0])) if dx else shape


def _widest(free: BaseGeometry) -> float:
    """Radius of the largest disc that still fits. [mm]"""
    low, high = 0.0, 500.0
    for _ in range(20):
        middle = (low + high) / 2
        low, high = (low, middle) if free.buffer(-middle).is_empty else (middle, high)
    return low


def _wrap(ground: Ground, places: FloatArray) -> FloatArray:
    if ground.around_mm:
        places[:, 0] %= ground.around_mm
        # A hair below nought comes out as the whole way round.
        places[places[:, 0] >= ground.around_mm, 0] = 0.0
    return places


def _apart(ground: Ground, differences: FloatArray) -> FloatArray:
    """Return differences of places the short way round."""
    if ground.around_mm:
        differences[..., 0] -= ground.around_mm * np.round(differences[..., 0] / ground.around_mm)
    return differences


def _settle(
    ground: Ground,
    radii: FloatArray,
    rooms: dict[float, BaseGeometry],
    focus: Point | None,
    gap_mm: float,
    rng: Random,
) -> FloatArray | None:
    """Return places where all lie clear, rounded to a hundredth of a millimetre; None where none were found."""
    places = _throw(ground, radii, rooms, focus, rng)
    filled = float(pi * (radii**2).sum()) / max(
        1.0, float(rooms[float(radii.min())].area) / (3 if ground.around_mm else 1)
    )
    # First as if they were larger, so that what room there is is shared out evenly.
    swollen = radii * min(1.5, max(1.0, (0.6 / filled) ** 0.5))
    need = gap_mm + 2 * GUARD_MM
    for step in range(_SPREAD_STEPS + _CLEAR_STEPS):
        spreading = step < _SPREAD_STEPS
        moved, worst = _push(ground, places, swollen if spreading else radii, need, 0.5 if spreading else 0.9, rng)
        places = _keep_in(ground, moved, radii, rooms)
        if not spreading and worst < GUARD_MM / 2:
            break
    places = _wrap(ground, np.round(places, 2))
    inside = _keep_in(ground, places.copy(), radii, rooms)
    strays = np.abs(_apart(ground, inside - places)).max() > 2 * GUARD_MM / 5
    return None if strays or _least_gap(ground, places, radii) < gap_mm else places


def _throw(
    ground: Ground, radii: FloatArray, rooms: dict[float, BaseGeometry], focus: Point | None, rng: Random
) -> FloatArray:
    """Place the largest first, each at that of a few random places that has most room (Mitchell's best candidate)."""
    widest = rooms[float(radii.min())]
    x0, y0, x1, y1 = widest.bounds
    if ground.around_mm:
        x0, x1 = 0.0, ground.around_mm
    pools: dict[float, FloatArray] = {}
    for radius, room in rooms.items():
        found: list[FloatArray] = []
        while sum(map(len, found)) < 400 and len(found) < 60:
            darts = np.array([(x0 + (x1 - x0) * rng.random(), y0 + (y1 - y0) * rng.random()) for _ in range(500)])
            found.append(darts[shapely.contains_xy(room, darts[:, 0], darts[:, 1])])
        pool = np.concatenate(found)
        if not len(pool):
            dot = room.representative_point()
            pool = _wrap(ground, np.array([[dot.x, dot.y]]))
        pools[radius] = pool
    places = np.zeros((len(radii), 2))
    extent = max(x1 - x0, y1 - y0)
    spread = float(radii.max() - radii.min())
    for i, radius in enumerate(radii.tolist()):
        pool = pools[radius]
        darts = pool[[int(rng.random() * len(pool)) for _ in range(_DARTS)]]
        score = _room(ground, darts, places[:i], radii[:i]) if i else np.zeros(_DARTS)
        if focus is not None:
            far = np.sqrt((_apart(ground, darts - np.array(focus)) ** 2).sum(axis=1)) / extent
            rank = (radius - float(radii.min())) / spread if spread else 0.0
            score = np.minimum(score, radius * 1.2) / radius - 8.0 * rank * far
        places[i] = darts[int(np.argmax(score))]
    return places


def _push(
    ground: Ground, places: FloatArray, radii: FloatArray, need_mm: float, stiffness: float, rng: Random
) -> tuple[FloatArray, float]:
    """Return places after every two that are too near have moved apart, and the worst nearness there was. [mm]"""
    places = _wrap(ground, places.copy())
    if len(places) < 2:
        return places, 0.0
    # A length of nought: y does not come round.
    tree = cKDTree(places, boxsize=np.array([ground.around_mm, 0.0]) if ground.around_mm else None)
    pairs = tree.query_pairs(2 * float(radii[0]) + need_mm, output_type="ndarray")
    if not len(pairs):
        return places, 0.0
    # In one order whatever the tree did, so that sums are the same each time.
    pairs = pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]
    i, j = pairs[:, 0], pairs[:, 1]
    between = _apart(ground, places[i] - places[j])
    length = np.sqrt((between**2).sum(axis=1))
    short = radii[i] + radii[j] + need_mm - length
    near = short > 0
    if not near.any():
        return places, 0.0
    i, j, between, length, short = i[near], j[near], between[near], length[near], short[near]
    for k in np.flatnonzero(length < 1e-9):
        angle = 2 * pi * rng.random()
        between[k], length[k] = (np.cos(angle), np.sin(angle)), 1.0
    shove = between * (stiffness * short / length)[:, None]
    # The smaller gives way to the larger.
    share = (radii[j] ** 2 / (radii[i] ** 2 + radii[j] ** 2))[:, None]
    for axis in (0, 1):
        places[:, axis] += np.bincount(i, (shove * share)[:, axis], len(places))
        places[:, axis] -= np.bincount(j, (shove * (1 - share))[:, axis], len(places))
    return places, float(short.max())


def _keep_in(ground: Ground, places: FloatArray, radii: FloatArray, rooms: dict[float, BaseGeometry]) -> FloatArray:
    """Bring back to the nearest place what was pushed over an edge."""
    places = _wrap(ground, places)
    for radius, room in rooms.items():
        ours = np.flatnonzero(radii == radius)
        out = ours[~shapely.contains_xy(room, places[ours, 0], places[ours, 1])]
        if len(out):
            lines = shapely.shortest_line(room, shapely.points(places[out]))
            places[out] = shapely.get_coordinates(lines)[::2]
    return _wrap(ground, places)


def _room(ground: Ground, darts: FloatArray, places: FloatArray, radii: FloatArray) -> FloatArray:
    """Return how far each dart is from the nearest rim of a piece. [mm]"""
    dx = darts[:, 0, None] - places[None, :, 0]
    dy = darts[:, 1, None] - places[None, :, 1]
    if ground.around_mm:
        dx -= ground.around_mm * np.round(dx / ground.around_mm)
    return np.asarray((np.sqrt(dx * dx + dy * dy) - radii).min(axis=1))


def _least_gap(ground: Ground, places: FloatArray, radii: FloatArray) -> float:
    """Return the least clear distance between two pieces; of one alone, infinity. [mm]"""
    least = float("inf")
    for i in range(1, len(places), 64):
        # Row blocks against all before their end; a piece against itself is put out of the way.
        rows = slice(i, min(i + 64, len(places)))
        dx = places[rows, 0, None] - places[None, : rows.stop, 0]
        dy = places[rows, 1, None] - places[None, : rows.stop, 1]
        if ground.around_mm:
            dx -= ground.around_mm * np.round(dx / ground.around_mm)
        gaps = np.sqrt(dx * dx + dy * dy) - radii[rows, None] - radii[None, : rows.stop]
        gaps[np.arange(rows.stop - i), np.arange(i, rows.stop)] = np.inf
        least = min(least, float(gaps.min()))
    return least
