"""Two closed lines, one inside the other, and the equal slices between them.

The ring of a tier lies between an outer and an inner line; its core lies between a line and a point. Both lines
are given as *rails*: lists of corners of the same length in which corner ``j`` of one faces corner ``j`` of the
other, so that a straight cut runs between points at the same share of facing sides.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from math import atan2, cos, pi, sin, sqrt

from tierwright.shapes import Point

SAME_MM = 1e-9


def polygon_area(corners: Sequence[Point]) -> float:
    """Return the area inside these corners, positive where they run counter-clockwise. [mm2]"""
    x0, y0 = corners[0]
    total = 0.0
    px, py = 0.0, 0.0
    for x, y in corners[1:]:
        dx, dy = x - x0, y - y0
        total += px * dy - py * dx
        px, py = dx, dy
    return total / 2


def slices_between(outer: Sequence[Point], inner: Sequence[Point], count: int) -> list[tuple[Point, ...]]:
    """
    Cut the space between two rails into slices of the same area.

    Parameters
    ----------
    outer, inner
        Facing corners, counter-clockwise; a core has the same point all along ``inner``. [mm]
    count
        Number of slices, at least 2.

    Returns
    -------
    slices
        Corners of each slice, counter-clockwise, first corner not repeated. [mm]

    Notes
    -----
    Between facing sides the area swept by the cut is a quadratic in the share of the side, so that each cut is
    found in closed form.
    """
    size = len(outer)
    swept = [0.0]
    parts: list[tuple[float, float]] = []
    for j in range(size):
        (ox, oy), (px, py) = outer[j], outer[(j + 1) % size]
        (ix, iy), (jx, jy) = inner[j], inner[(j + 1) % size]
        ux, uy, vx, vy, dx, dy = px - ox, py - oy, jx - ix, jy - iy, ix - ox, iy - oy
        # Twice the area from the start of this side to the share t is linear * t + square * t^2.
        linear = vx * dy - vy * dx + ux * dy - uy * dx
        square = ux * vy - uy * vx
        parts.append((linear, square))
        swept.append(swept[-1] + linear + square)
    cuts: list[tuple[int, Point, Point]] = []
    for i in range(count):
        target = swept[-1] * i / count
        j = min(bisect_right(swept, target) - 1, size - 1)
        linear, square = parts[j]
        rest = target - swept[j]
        share = 0.0 if rest <= 0 else 2 * rest / (linear + sqrt(max(0.0, linear * linear + 4 * square * rest)))
        cuts.append((j, _along(outer, j, share), _along(inner, j, share)))
    slices = []
    for i, (j, start_out, start_in) in enumerate(cuts):
        last = i == count - 1
        k, end_out, end_in = (size - 1, outer[0], inner[0]) if last else cuts[i + 1]
        corners = [start_out, *outer[j + 1 : k + 1], end_out, end_in, *reversed(inner[j + 1 : k + 1]), start_in]
        slices.append(_without_repeats(corners))
    return slices


def _along(rail: Sequence[Point], j: int, share: float) -> Point:
    (x, y), (nx, ny) = rail[j], rail[(j + 1) % len(rail)]
    return (x + (nx - x) * share, y + (ny - y) * share)


def _without_repeats(corners: Sequence[Point]) -> tuple[Point, ...]:
    kept: list[Point] = []
    for point in corners:
        if not kept or abs(point[0] - kept[-1][0]) > SAME_MM or abs(point[1] - kept[-1][1]) > SAME_MM:
            kept.append(point)
    while len(kept) > 1 and abs(kept[0][0] - kept[-1][0]) <= SAME_MM and abs(kept[0][1] - kept[-1][1]) <= SAME_MM:
        kept.pop()
    return tuple(kept)


def seen_round(corners: Sequence[Point], centre: Point) -> list[tuple[float, Point]] | None:
    """
    Return the corners with their directions from a centre, by rising angle, or None if some hide behind others.

    A line all of whose corners can be seen from the centre can be cut by rays from there.
    """
    angles = [atan2(y - centre[1], x - centre[0]) for x, y in corners]
    first = angles.index(min(angles))
    turned = [(angles[(first + i) % len(angles)], corners[(first + i) % len(angles)]) for i in range(len(angles))]
    for (a, _), (b, _) in pairwise(turned):
        if b <= a:
            return None
    if turned[-1][0] - turned[0][0] >= 2 * pi:
        return None
    return turned


def facing_rails(
    outer: list[tuple[float, Point]], inner: list[tuple[float, Point]], centre: Point
) -> tuple[list[Point], list[Point]]:
    """Return rails with a corner on both lines wherever either has one, on the same ray from the centre."""
    angles = sorted({angle for angle, _ in outer} | {angle for angle, _ in inner})
    return _on_rays(outer, angles, centre), _on_rays(inner, angles, centre)


def _on_rays(line: list[tuple[float, Point]], angles: Sequence[float], centre: Point) -> list[Point]:
    directions = [angle for angle, _ in line]
    own = dict(line)
    rail: list[Point] = []
    cx, cy = centre
    for angle in angles:
        if angle in own:
            rail.append(own[angle])
            continue
        j = bisect_right(directions, angle) - 1
        (ax, ay), (bx, by) = line[j][1], line[(j + 1) % len(line)][1]
        rail.append(_ray_meets((cx, cy), angle, (ax, ay), (bx, by)))
    return rail


def _ray_meets(centre: Point, angle: float, a: Point, b: Point) -> Point:
    ex, ey = cos(angle), sin(angle)
    ax, ay = a[0] - centre[0], a[1] - centre[1]
    ux, uy = b[0] - a[0], b[1] - a[1]
    share = (ay * ex - ax * ey) / (ux * ey - uy * ex)
    return (a[0] + ux * share, a[1] + uy * share)
