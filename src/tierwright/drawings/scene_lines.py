"""What follows a line or lies flat on a tier: ropes, swags, drips, bands, stripes, leaf."""

from __future__ import annotations

from math import ceil, cos, exp, pi, sin, sqrt
from typing import Final

import numpy as np

from tierwright.drawings.fineness import Fineness
from tierwright.drawings.scene_mesh import Mesh, Numbers, grid_of, joined
from tierwright.drawings.scene_tiers import ring_of
from tierwright.finish import Placed, Surface

UP: Final = np.array([0.0, 0.0, 1.0])
ROPE_LOBES: Final = 3
FLAKE_MM: Final = 9.0
"""Mean width of a torn piece of leaf. [mm] From memory."""
COARSE_MM: Final = 2.0
SLENDER: Final = {False: (0.0, 0.1, 0.25, 0.45, 0.65, 0.85), True: (0.0, 0.25, 0.65)}
ROUND: Final = {False: (-40, -20, 0, 20, 40, 55, 68, 79, 90), True: (-30, 15, 55, 90)}
"""Where a drip has points: shares of its slender part, and angles of its round end. [-], [deg]"""
LOZENGE: Final = {
    False: ((1.0, -0.2), (1.0, 0.5), (0.9, 1.0), (0.45, 1.0), (0.45, 0.1), (0.0, 0.1)),
    True: ((1.0, 0.0), (0.88, 1.0), (0.45, 1.0), (0.4, 0.1), (0.0, 0.1)),
}
"""A lozenge from its rim inward: share of its reach, share of its thickness. [-]"""
FILM_MM: Final = 0.12
"""How far leaf and stripes are drawn off the coat, so that they are seen. [mm]"""


def rope_mesh(one: Placed, *, twisted: bool, stands: bool, fine: Fineness) -> Mesh:
    """
    Return something piped along a line, as broad and high as its tip makes it.

    Parameters
    ----------
    one
        With its line.
    twisted
        Whether strands wind round one another, once in three of its lengths.
    stands
        Whether it stands on a level face rather than on a side.
    fine
        How far apart its points may lie.
    """
    line = np.array(one.line_mm)
    closed = bool(np.linalg.norm(line[0] - line[-1]) < 1e-6)
    line, run = _evenly(line, fine.line_mm * (1.5 if fine.sparing and not twisted else 1), closed=closed)
    ahead = np.roll(line, -1, 0) - np.roll(line, 1, 0)
    if not closed:
        ahead[0], ahead[-1] = line[1] - line[0], line[-1] - line[-2]
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True)
    outward = np.column_stack([ahead[:, 1], -ahead[:, 0], np.zeros(len(line))])
    outward /= np.maximum(np.linalg.norm(outward, axis=1, keepdims=True), 1e-9)
    rise = np.tile(UP, (len(line), 1)) if stands else outward
    across = np.cross(rise, ahead)
    length, width, height = one.size_mm
    around = (3 if twisted else 2) * (2 if fine.sparing else 3 if fine.line_mm > COARSE_MM else 6)
    angle = np.arange(around) * 2 * pi / around
    # Sunk by a little, as soft icing settles.
    middle = line + rise * (height * 0.45)
    lobes = np.ones((len(line), around))
    if twisted:
        turn = 2 * pi * run / max(length, 1.0) / ROPE_LOBES
        lobes = 0.84 + 0.16 * np.cos(ROPE_LOBES * (angle[None, :] - turn[:, None]))
    thin = np.ones(len(line))
    if not closed:
        thin = np.clip(np.minimum(run, run[-1] - run) / max(width, 1e-6), 0.0, 1.0) ** 0.5
    reach = lobes * thin[:, None]
    points = (
        middle[:, None, :]
        + (reach * np.cos(angle) * width / 2)[:, :, None] * across[:, None, :]
        + (reach * np.sin(angle) * height * 0.55)[:, :, None] * rise[:, None, :]
    )
    if closed:
        points = np.concatenate([points, points[:1]])
    return grid_of(points, closed=True)


def _evenly(line: Numbers, step_mm: float, *, closed: bool) -> tuple[Numbers, Numbers]:
    """Return a line at even steps, and how far along each point lies; the last of a closed one left out. [mm]"""
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    count = max(4, ceil(run[-1] / step_mm))
    stops = np.linspace(0.0, run[-1], count + 1)
    if closed:
        stops = stops[:-1]
    return np.column_stack([np.interp(stops, run, line[:, i]) for i in range(3)]), stops


def drip_mesh(one: Placed, fine: Fineness) -> Mesh:
    """Return one drip: out of the poured top, over the edge, down to its drop."""
    start, end = (np.array(point) for point in one.line_mm)
    out = np.array(one.out)
    flat = np.array([out[0], out[1], 0.0])
    flat /= np.linalg.norm(flat)
    across = np.cross(UP, flat)
    length, width, thick = one.size_mm
    down = (end - start) / max(np.linalg.norm(end - start), 1e-9)
    sides = np.linspace(0.0, pi, 5 if fine.sparing else 7)
    rows: list[Numbers] = []
    for at, wide, deep in _drip_profile(length, width, thick, fine):
        if at < 0:  # still on the top
            middle, away = start + flat * (at - 1.2), UP
        elif at < 1.5:
            middle, away = start - flat * (1.2 - 0.8 * at) - UP * 0.4 * at, (UP + flat) / sqrt(2)
        else:
            middle, away = start + down * at, out
        rows.append(np.array([middle + across * (cos(a) * wide / 2) + away * (sin(a) * deep - 0.25) for a in sides]))
    return grid_of(rows, closed=False)


def _drip_profile(length: float, width: float, thick: float, fine: Fineness) -> list[tuple[float, float, float]]:
    """Place along the drip, breadth and thickness: broad at the edge, slender, then round at the end. [mm]"""
    found = [(-3.0, 1.9 * width, 0.4 * thick), (-0.6, 1.7 * width, thick), (0.8, 1.5 * width, thick)]
    half = min(0.62 * width, length / 2)
    middle = length - half
    stops = [1.6 + (middle - 1.6) * share for share in SLENDER[fine.sparing] if middle > 3.0]
    stops += [middle + half * sin(turn * pi / 180) for turn in ROUND[fine.sparing] if turn >= 0 or middle > 3.0]
    for at in sorted(stops):
        bulb = sqrt(max(0.0, 1 - ((at - middle) / half) ** 2))
        slender = 0.0 if at > middle else 0.72 + 0.8 * exp(-at / 4.0)
        found.append(
            (
                at,
                width * max(slender, bulb, 0.02),
                thick * max(0.02, 0.8 if at < middle - half else 0.8 * (at <= middle), 1.15 * bulb),
            )
        )
    return found


def flood_mesh(one: Placed, surface: Surface, fine: Fineness) -> Mesh:
    """Return what is poured over a top, hanging over its edge a little."""
    ring = ring_of(surface.top.path, fine.side_mm, fine.stray_mm)
    thick, top = one.size_mm[2], surface.top_mm
    rows = []
    for outset, level, share in (
        (0.1, top - 4.0, 1.0), (0.9, top - 2.6, 1.0), (1.1, top - 1.2, 1.0), (0.6, top + 0.3 * thick, 1.0),
        (-0.8, top + 0.85 * thick, 1.0), (-3.0, top + thick, 1.0), (-3.0, top + thick, 0.6), (-3.0, top + thick, 0.0),
    ):  # fmt: skip
        flat = (ring.at_mm + ring.out * outset) * share
        rows.append(np.column_stack([flat, np.full(len(flat), level)]))
    return grid_of(rows, closed=True)


def band_mesh(one: Placed, surface: Surface, fine: Fineness) -> Mesh:
    """
    Return a band; a stencilled one as two lines and a lozenge for each repeat.

    Nobody has drawn the motif: the lozenges stand for it, as many and as wide as its repeats.
    """
    repeat, height, thick = one.size_mm
    foot = one.line_mm[0][2] - surface.foot_mm - height / 2
    if one.detail != "stencil":
        return _strip(surface, foot, foot + height, thick, fine)
    rule = max(1.2, 0.05 * height)
    count = max(1, round(surface.foot.path.length_mm / repeat))
    whole = surface.foot.path.length_mm
    parts = [
        _strip(surface, foot, foot + rule, thick, fine),
        _strip(surface, foot + height - rule, foot + height, thick, fine),
    ]
    for i in range(count):
        middle = whole * (i + 0.5) / count
        parts.append(_lozenge(surface, (middle, foot + height / 2), 0.8 * whole / count, 0.74 * height, thick, fine))
        parts.append(
            _lozenge(surface, (whole * i / count, foot + height / 2), 0.14 * whole / count, 0.2 * height, thick, fine)
        )
    return joined(parts)


def _strip(surface: Surface, low_mm: float, high_mm: float, thick_mm: float, fine: Fineness) -> Mesh:
    ring = ring_of(surface.foot.path, fine.side_mm, fine.stray_mm)
    rows = []
    soft = min(0.3, thick_mm / 3)
    profile = (
        (low_mm, 0.0), (low_mm, thick_mm - soft), (low_mm + soft, thick_mm), (high_mm - soft, thick_mm),
        (high_mm, thick_mm - soft), (high_mm, 0.0),
    )  # fmt: skip
    for up, outset in (profile[0], *profile[2:4], profile[5]) if fine.sparing else profile:
        scale = 1 - up / surface.height_mm * (1 - surface.top_scale)
        flat = ring.at_mm * scale + ring.out * outset
        rows.append(np.column_stack([flat, np.full(len(flat), surface.foot_mm + up)]))
    return grid_of(rows, closed=True)


def _on_side(surface: Surface, s_mm: float, up_mm: float, off_mm: float) -> Numbers:
    at, out = surface.at(s_mm, up_mm)
    return np.array(at) + np.array(out) * off_mm


def _lozenge(surface: Surface, at: tuple[float, float], wide: float, high: float, thick: float, fine: Fineness) -> Mesh:
    """Return a lozenge with a bevel, bent round the side."""
    rows = []
    around = 8 if fine.sparing else 16
    for share, off in LOZENGE[fine.sparing]:
        points = []
        for i in range(around):
            turn = 2 * pi * i / around
            x, y = cos(turn), sin(turn)
            reach = share / (abs(x) + abs(y)) ** 0.92
            points.append(_on_side(surface, at[0] + x * reach * wide / 2, at[1] + y * reach * high / 2, off * thick))
        rows.append(np.array(points))
    return grid_of(rows, closed=True)


def stripe_mesh(one: Placed, surface: Surface, fine: Fineness) -> Mesh:
    """Return a stripe, flush with the coat as it has been scraped."""
    line = np.array(one.line_mm)
    wide = one.size_mm[1]
    if np.linalg.norm(line[0] - line[-1]) < 1e-6:
        up = float(line[0, 2]) - surface.foot_mm
        return _strip(surface, max(0.0, up - wide / 2), min(surface.height_mm - 0.2, up + wide / 2), FILM_MM, fine)
    out = np.array(one.out)
    across = np.cross(UP, out)
    across /= np.linalg.norm(across)
    top = line[0] + (line[-1] - line[0]) * (1 - 2.5 / max(surface.height_mm, 5.0))
    return grid_of(
        [
            np.array([point + across * (wide * part) + out * FILM_MM for part in (-0.5, 0.0, 0.5)])
            for point in (line[0], (line[0] + top) / 2, top)
        ],
        closed=False,
    )


def leaf_mesh(one: Placed, surface: Surface, seed: int) -> Mesh:
    """
    Return leaf as torn flakes, close in the middle of its patch and loose towards its rim.

    Together they are as large as the patch; the same seed tears the same flakes.
    """
    wide, high, _ = one.size_mm
    dice = np.random.default_rng(seed)
    mean = pi / 4 * FLAKE_MM**2 * 0.8
    count = max(3, round(wide * high / mean))
    middle = surface.foot.path.length_mm / 2
    points: list[Numbers] = []
    faces: list[tuple[int, int, int]] = []
    sides = 9
    for i in range(count):
        # A sunflower's spiral keeps flakes apart; the reach grows faster than the area outward.
        far = sqrt((i + 0.5) / count) ** 1.35
        turn = i * pi * (3 - sqrt(5)) + dice.uniform(-0.4, 0.4)
        s = middle + 1.05 * wide * far * cos(turn)
        up = min(max(surface.height_mm / 2 + 0.75 * high * far * sin(turn), 4.0), surface.height_mm - 6.0)
        size = FLAKE_MM / 2 * dice.uniform(0.6, 1.35)
        first = len(points)
        points.append(_on_side(surface, s, up, 0.05 + FILM_MM + dice.uniform(0, 0.5)))
        for j in range(sides):
            reach = size * dice.uniform(0.55, 1.25)
            a = 2 * pi * j / sides + dice.uniform(-0.2, 0.2)
            points.append(_on_side(surface, s + reach * cos(a), up + reach * sin(a), FILM_MM + dice.uniform(0, 0.35)))
            faces.append((first, first + 1 + j, first + 1 + (j + 1) % sides))
    return Mesh(points=np.array(points), faces=np.array(faces, dtype=np.int64))
