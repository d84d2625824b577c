"""Which pans lie side by side on one shelf: discs and boxes in a rectangle, with air between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import hypot, pi, sqrt
from typing import Final

import numpy as np

from tierwright.shapes import Outline, Shape

TOUCH_MM: Final = 0.01  # pans that overlap by less than this only touch
STARTS: Final = 48
PUSHES: Final = 240
HALFWAY: Final = 60
HOPELESS: Final = 0.006  # overlap after the first pushes, over the shelf's shorter side
COVERED: Final = 0.80  # a rectangle is not covered more than this by few discs whose sizes differ less than threefold


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """
    What takes up room on a shelf: a disc (``depth_mm`` 0) or a box, both with their share of the air around.

    Attributes
    ----------
    width_mm
        Diameter of a disc, or one side of a box. [mm]
    depth_mm
        Other side of a box; 0 for a disc. [mm]
    """

    width_mm: float
    depth_mm: float = 0.0

    @property
    def is_disc(self) -> bool:
        """Whether it is a disc."""
        return self.depth_mm == 0.0

    @property
    def area_mm2(self) -> float:
        """Area. [mm2]"""
        return pi * self.width_mm**2 / 4.0 if self.is_disc else self.width_mm * self.depth_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where one piece lies: its centre from the left front corner, and whether a box is turned by a quarter. [mm]"""

    x_mm: float
    y_mm: float
    turned: bool = False


def piece_of(outline: Outline, gap_mm: float = 0.0) -> Piece:
    """
    Return the disc or box that a pan takes up, half the air gap on every side included.

    Rounds, hexagons and petals are taken as their round-about disc, hearts as their box.
    """
    width, depth = outline.extent_mm
    match outline.shape:
        case Shape.ROUND:
            return Piece(width_mm=width + gap_mm)
        case Shape.HEXAGON | Shape.PETAL:
            reach = max(hypot(x, y) for x, y in outline.polygon())
            return Piece(width_mm=2.0 * reach + gap_mm)
        case _:
            return Piece(width_mm=width + gap_mm, depth_mm=depth + gap_mm)


def pack(pieces: Sequence[Piece], width_mm: float, depth_mm: float) -> tuple[Spot, ...] | None:
    """
    Lay pieces in a rectangle without overlap.

    Parameters
    ----------
    pieces
        Discs and boxes; boxes may be turned by a quarter.
    width_mm, depth_mm
        The rectangle. [mm]

    Returns
    -------
    spots
        One for each piece, in their order; None if no way was found.

    Notes
    -----
    Boxes alone are searched exactly: if they fit at all, they fit with every box pushed left and forward, so only sums
    of sides have to be tried. One or two discs are decided exactly by their centres' distance. Otherwise pieces are
    put into the corners that others leave, and failing that pushed apart from many starts; this reaches the known
    optima of two to seven, nine and ten equal discs in a square within 0.5 % of the radius; a 'no' is then no proof.

    References
    ----------
    .. [1] Herz J C (1972), IBM J Res Dev 16:462: normal patterns of boxes.
    .. [2] Schaer J (1965), Can Math Bull 8:273; Graham R L, Lubachevsky B D (1996), Electron J Combin 3:R16: discs.
    """
    found = _pack_sorted(tuple(sorted(pieces, key=_order)), round(width_mm, 6), round(depth_mm, 6))
    if found is None:
        return None
    # Back to the caller's order; like pieces are interchangeable.
    queue: dict[Piece, list[Spot]] = {}
    for piece, spot in zip(sorted(pieces, key=_order), found, strict=True):
        queue.setdefault(piece, []).append(spot)
    return tuple(queue[piece].pop(0) for piece in pieces)


def _order(piece: Piece) -> tuple[float, float, float]:
    return (-piece.area_mm2, -piece.width_mm, -piece.depth_mm)


@lru_cache(maxsize=4096)
def _pack_sorted(pieces: tuple[Piece, ...], width: float, depth: float) -> tuple[Spot, ...] | None:
    if not pieces:
        return ()
    if _cannot(pieces, width, depth):
        return None
    if all(not piece.is_disc for piece in pieces):
        return _boxes(pieces, width, depth)
    if len(pieces) <= 2 and all(piece.is_disc for piece in pieces):
        return _corners(pieces, width, depth)
    found = _corners_search(pieces, width, depth)
    if found is not None or len(pieces) <= 3 or _crowded(pieces, width, depth):
        return found
    return _pushed_apart(pieces, width, depth)


def _crowded(pieces: tuple[Piece, ...], width: float, depth: float) -> bool:
    """Say whether discs cover so much that looking on is a waste of time."""
    if not all(piece.is_disc for piece in pieces):
        return False
    sizes = [piece.width_mm for piece in pieces]
    return max(sizes) < 3.0 * min(sizes) and sum(piece.area_mm2 for piece in pieces) > COVERED * width * depth


def _cannot(pieces: tuple[Piece, ...], width: float, depth: float) -> bool:
    """Cheap proofs that there is no way."""
    if sum(piece.area_mm2 for piece in pieces) > width * depth + TOUCH_MM:
        return True
    for piece in pieces:
        sides = (piece.width_mm, piece.width_mm) if piece.is_disc else (piece.width_mm, piece.depth_mm)
        upright = sides[0] <= width + TOUCH_MM and sides[1] <= depth + TOUCH_MM
        turned = sides[1] <= width + TOUCH_MM and sides[0] <= depth + TOUCH_MM
        if not (upright or turned):
            return True
    for a, b in combinations([piece for piece in pieces if piece.is_disc], 2):
        both = (a.width_mm + b.width_mm) / 2.0
        if hypot(width - both, depth - both) < both - TOUCH_MM:
            return True
    discs = [piece for piece in pieces if piece.is_disc]
    if len(discs) == len(pieces) and len({piece.width_mm for piece in discs}) == 1:
        # Oler 1961: at most this many centres, a diameter apart, in the rectangle that centres may take.
        d = discs[0].width_mm
        w, h = max(width - d, 0.0), max(depth - d, 0.0)
        most = 2.0 / sqrt(3.0) * w * h / d**2 + (w + h) / d + 1.0
        return len(discs) > most + 1e-6
    return False


def _corners(pieces: tuple[Piece, ...], width: float, depth: float) -> tuple[Spot, ...] | None:
    """One or two discs: opposite corners are farthest apart."""
    r = [piece.width_mm / 2.0 for piece in pieces]
    first = Spot(x_mm=r[0], y_mm=r[0])
    if len(r) == 1:
        return (Spot(x_mm=width / 2.0, y_mm=depth / 2.0),)
    second = Spot(x_mm=width - r[1], y_mm=depth - r[1])
    apart = hypot(max(second.x_mm - first.x_mm, 0.0), max(second.y_mm - first.y_mm, 0.0))
    return (first, second) if apart >= r[0] + r[1] - TOUCH_MM else None


def _boxes(pieces: tuple[Piece, ...], width: float, depth: float) -> tuple[Spot, ...] | None:
    sides = [side for piece in pieces for side in (piece.width_mm, piece.depth_mm)]
    xs, ys = _sums(sides, width), _sums(sides, depth)
    placed: list[tuple[float, float, float, float]] = []
    turns: list[bool] = []

    def place(i: int) -> bool:
        if i == len(pieces):
            return True
        piece = pieces[i]
        same = i > 0 and pieces[i - 1] == piece
        ways = ((piece.width_mm, piece.depth_mm, False), (piece.depth_mm, piece.width_mm, True))
        for w, h, turned in ways[: 1 if piece.width_mm == piece.depth_mm else 2]:
            for x in xs:
                if x + w > width + TOUCH_MM:
                    break
                for y in ys:
                    if y + h > depth + TOUCH_MM:
                        break
                    # Like boxes keep an order, or every plan would be tried in every permutation.
                    if same and (x, y) < (placed[-1][0], placed[-1][1]):
                        continue
                    if all(
                        x + w <= a + TOUCH_MM or a + c <= x + TOUCH_MM or y + h <= b + TOUCH_MM or b + d <= y + TOUCH_MM
                        for a, b, c, d in placed
                    ):
                        placed.append((x, y, w, h))
                        turns.append(turned)
                        if place(i + 1):
                            return True
                        placed.pop()
                        turns.pop()
        return False

    if not place(0):
        return None
    return tuple(
        Spot(x_mm=x + w / 2.0, y_mm=y + h / 2.0, turned=t) for (x, y, w, h), t in zip(placed, turns, strict=True)
    )


def _sums(sides: list[float], limit: float) -> list[float]:
    found = {0.0}
    for side in sides[::1]:
        found |= {round(value + side, 6) for value in found if value + side <= limit + TOUCH_MM}
    return sorted(found)


def _half(piece: Piece, turned: bool) -> tuple[float, float]:
    if piece.is_disc:
        return piece.width_mm / 2.0, piece.width_mm / 2.0
    return (piece.depth_mm / 2.0, piece.width_mm / 2.0) if turned else (piece.width_mm / 2.0, piece.depth_mm / 2.0)


def _apart(a: Piece, p: Spot, b: Piece, q: Spot) -> float:
    """Clear distance between two pieces; negative where they overlap. [mm]"""
    if a.is_disc and b.is_disc:
        return hypot(p.x_mm - q.x_mm, p.y_mm - q.y_mm) - (a.width_mm + b.width_mm) / 2.0
    if a.is_disc:
        return _apart(b, q, a, p)
    ax, ay = _half(a, p.turned)
    dx, dy = abs(p.x_mm - q.x_mm) - ax, abs(p.y_mm - q.y_mm) - ay
    if b.is_disc:
        r = b.width_mm / 2.0
        if dx <= 0.0 and dy <= 0.0:
            return max(dx, dy) - r
        return hypot(max(dx, 0.0), max(dy, 0.0)) - r
    bx, by = _half(b, q.turned)
    return max(dx - bx, dy - by)


def clearances(pieces: Sequence[Piece], spots: Sequence[Spot], width_mm: float, depth_mm: float) -> float:
    """Smallest clear distance between pieces, and to the rectangle's sides; negative where one overlaps. [mm]"""
    least = float("inf")
    for piece, spot in zip(pieces, spots, strict=True):
        hx, hy = _half(piece, spot.turned)
        least = min(least, spot.x_mm - hx, spot.y_mm - hy, width_mm - spot.x_mm - hx, depth_mm - spot.y_mm - hy)
    for (a, p), (b, q) in combinations(zip(pieces, spots, strict=True), 2):
        least = min(least, _apart(a, p, b, q))
    return least


def _corners_search(pieces: tuple[Piece, ...], width: float, depth: float) -> tuple[Spot, ...] | None:
    """Put every piece into a corner between walls and pieces that lie already, largest first."""
    placed: list[Spot] = []
    budget = [1500]

    def candidates(i: int) -> list[Spot]:
        piece = pieces[i]
        found: list[Spot] = []
        for turned in (False,) if piece.is_disc or piece.width_mm == piece.depth_mm else (False, True):
            hx, hy = _half(piece, turned)
            xs, ys = {hx, width - hx}, {hy, depth - hy}
            for other, spot in zip(pieces, placed, strict=False):
                ox, oy = _half(other, spot.turned)
                xs |= {spot.x_mm - ox - hx, spot.x_mm + ox + hx}
                ys |= {spot.y_mm - oy - hy, spot.y_mm + oy + hy}
            found += [Spot(x_mm=x, y_mm=y, turned=turned) for x in xs for y in ys]
            if piece.is_disc:
                for x in (hx, width - hx):
                    found += [Spot(x_mm=x, y_mm=y) for y in _beside(pieces, placed, piece, x, along_x=False)]
                for y in (hy, depth - hy):
                    found += [Spot(x_mm=x, y_mm=y) for x in _beside(pieces, placed, piece, y, along_x=True)]
        inside = []
        for spot in found:
            hx, hy = _half(piece, spot.turned)
            fits_x = hx - TOUCH_MM <= spot.x_mm <= width - hx + TOUCH_MM
            if fits_x and hy - TOUCH_MM <= spot.y_mm <= depth - hy + TOUCH_MM:
                inside.append(spot)
        return sorted(set(inside), key=lambda spot: (spot.x_mm + spot.y_mm, spot.x_mm, spot.turned))

    def place(i: int) -> bool:
        if i == len(pieces):
            return True
        for spot in candidates(i):
            budget[0] -= 1
            if budget[0] < 0:
                return False
            if all(_apart(pieces[i], spot, pieces[j], placed[j]) >= -TOUCH_MM for j in range(i)):
                placed.append(spot)
                if place(i + 1):
                    return True
                placed.pop()
        return False

    return tuple(placed) if place(0) else None


def _beside(pieces: tuple[Piece, ...], placed: list[Spot], piece: Piece, fixed: float, *, along_x: bool) -> list[float]:
    """Where a disc on a line just touches discs that lie already."""
    found = []
    for other, spot in zip(pieces, placed, strict=False):
        if not other.is_disc:
            continue
        reach = (piece.width_mm + other.width_mm) / 2.0
        off = fixed - (spot.y_mm if along_x else spot.x_mm)
        if abs(off) < reach:
            middle = spot.x_mm if along_x else spot.y_mm
            step = sqrt(reach * reach - off * off)
            found += [middle - step, middle + step]
    return found


def _pushed_apart(pieces: tuple[Piece, ...], width: float, depth: float) -> tuple[Spot, ...] | None:
    """Push overlapping pieces apart from many starts; the seed is fixed, so that the answer is the same every time."""
    count = len(pieces)
    rng = np.random.default_rng(count)
    can_turn = np.array([not p.is_disc and p.width_mm != p.depth_mm for p in pieces])
    turned = (rng.random((STARTS, count)) < 0.5) & can_turn
    upright = np.array([_half(p, turned=False) for p in pieces])
    halves = np.where(turned[:, :, None], upright[None, :, ::-1], upright[None, :, :])
    size = np.array([width, depth])
    roomy = (2.0 * halves <= size + TOUCH_MM).all(axis=(1, 2))
    turned, halves = turned[roomy], halves[roomy]
    if not len(halves):
        return None
    radius = np.array([p.width_mm / 2.0 if p.is_disc else 0.0 for p in pieces])
    field = _Overlap(radius, halves, size)
    at = field.low + rng.random(halves.shape) * (field.high - field.low)
    for turn in range(PUSHES):
        push, worst = field.push(at)
        if worst.min() <= TOUCH_MM / 2.0:
            best = int(worst.argmin())
            return tuple(
                Spot(x_mm=float(x), y_mm=float(y), turned=bool(t))
                for (x, y), t in zip(at[best], turned[best], strict=True)
            )
        if turn == HALFWAY:
            # Starts that are still far off will not get there; the others are given the time.
            near = worst <= HOPELESS * min(width, depth)
            if not near.any():
                return None
            at, turned, push = at[near], turned[near], push[near]
            field = _Overlap(radius, halves[near], size)
        at = np.clip(at + push, field.low, field.high)
    return None


class _Overlap:
    """How far pieces overlap, for many starts at once; a disc is a point with a radius, a box a box without one."""

    def __init__(self, radius: np.ndarray, halves: np.ndarray, size: np.ndarray) -> None:
        self.radius = radius
        self.core = halves - radius[None, :, None]
        self.low = halves
        self.high = np.maximum(size - halves, halves)
        self.first, self.second = np.triu_indices(halves.shape[1], 1)
        # Sums over pairs as one product: which pair pushes which piece, and which way.
        self.ends = np.zeros((len(self.first), halves.shape[1]))
        self.ends[np.arange(len(self.first)), self.first] = 1.0
        self.ends[np.arange(len(self.first)), self.second] = -1.0

    def _pairs(self, at: np.ndarray, core: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        delta = at[..., self.first, :] - at[..., self.second, :]
        size = np.abs(delta) - core[..., self.first, :] - core[..., self.second, :]
        outside = np.maximum(size, 0.0)
        length = np.hypot(outside[..., 0], outside[..., 1])
        inside = (size < 0.0).all(axis=-1)
        short = np.maximum(
            self.radius[self.first] + self.radius[self.second] - np.where(inside, size.max(axis=-1), length), 0.0
        )
        sign = np.where(delta >= 0.0, 1.0, -1.0)
        away = outside / np.maximum(length, 1e-12)[..., None]
        flat = np.eye(2)[size.argmax(axis=-1)]
        return short, np.where(inside[..., None], flat, away) * sign

    def push(self, at: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the step that would part every pair by itself, and the worst overlap of every start. [mm]"""
        short, way = self._pairs(at, self.core)
        step: np.ndarray = np.einsum("spk,pn->snk", way * (short / 2.0)[..., None], self.ends)
        return step, short.max(axis=1)
