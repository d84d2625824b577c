"""Tiers and boards as surfaces."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin
from typing import Final

import numpy as np

from tierwright.brief.decor import TextureKind
from tierwright.drawings.fineness import STRAY_MM, Fineness
from tierwright.drawings.scene_mesh import Mesh, Numbers, grid_of, linear
from tierwright.finish import Path, Placed, Relief, Slab, Surface, chords

CREASE: Final = 0.9
"""Two neighbouring pieces of a line that face apart by more than this cosine meet in a crease. [-]"""
EDGE_MM: Final = (1.0, 4.0)
"""Least and greatest rounding of a top edge; half the coat's thickness between them. [mm] Common practice."""
SOFT: Final = (0.55, 1.3)
"""Where a sprayed patch begins to fade and where it ends, by its half width. [-] Chosen by us."""
SPRAYED: Final = 0.8
STROKE_MM: Final = 26.0
DUSK: Final = 0.2
"""How much darker the foot of a groove is than its ridges, where it is drawn so. [-] By eye."""
TOP_ROWS: Final = {False: (0.96, 0.91, 0.86, 0.81, 0.76, 0.7, 0.5, 0.0), True: (0.93, 0.85, 0.77, 0.7, 0.0)}
"""Where a level face has points, close together where shadows fall on it. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ring:
    """
    A line round, as points.

    Attributes
    ----------
    at_mm
        A row each, x and y. [mm]
    out
        Unit vectors outward; a crease has two points in one place.
    stops_mm
        How far along the line each lies. [mm]
    length_mm
        Once round. [mm]
    """

    at_mm: Numbers
    out: Numbers
    stops_mm: Numbers
    length_mm: float


def ring_of(path: Path, step_mm: float, stray_mm: float = STRAY_MM) -> Ring:
    """Return a line as points no further apart than a step, doubled at creases. [mm]"""
    at: list[tuple[float, float]] = []
    out: list[tuple[float, float]] = []
    stops: list[float] = []
    begun = 0.0
    for segment in path.segments:
        # From where the last piece ended, unless the two run into one another.
        first = segment.spot(0.0)
        runs_on = bool(out) and first.out[0] * out[-1][0] + first.out[1] * out[-1][1] > CREASE
        pieces = max(1, int(np.ceil(segment.length_mm / step_mm)))
        pieces = max(pieces, chords(segment, stray_mm))
        for i in range(1 if runs_on else 0, pieces + 1):
            s = segment.length_mm * i / pieces
            spot = segment.spot(s)
            at.append(spot.at_mm)
            out.append(spot.out)
            stops.append(begun + s)
        begun += segment.length_mm
    if out[0][0] * out[-1][0] + out[0][1] * out[-1][1] > CREASE:
        # The line closes smoothly on its first point.
        at, out, stops = at[:-1], out[:-1], stops[:-1]
    return Ring(at_mm=np.array(at), out=np.array(out), stops_mm=np.array(stops), length_mm=path.length_mm)


def tier_mesh(
    surface: Surface, relief: Relief | None, painted: tuple[Placed, ...], *, fine: Fineness, seed: int = 1
) -> Mesh:
    """
    Return the coat of a tier: its side as it is worked, its rounded edge, its top.

    Parameters
    ----------
    surface
        The tier.
    relief
        How its side is worked.
    painted
        Patches of colour on it.
    fine
        How far apart points may lie.
    seed
        Of a spread coat's strokes.

    Returns
    -------
    mesh
        Its ridges lie on the surface, so that its greatest measures are the tier's; tinted where something is painted.
    """
    upright = relief is not None and relief.is_upright
    step_mm = min(fine.side_mm, relief.groove_mm / (2 if fine.sparing else 3)) if relief and upright else fine.side_mm
    ring = ring_of(surface.foot.path, step_mm, fine.stray_mm)
    cells = TOP_ROWS[fine.sparing]
    edge = min(max(EDGE_MM[0], surface.foot.by_mm / 2), EDGE_MM[1], surface.height_mm / 4)
    ups = _levels(surface, relief, edge, fine, bool(painted))
    rows: list[Numbers] = []
    tints: list[Numbers] = []
    colour = linear(surface.colour)
    for up in ups:
        inset = _depth(relief, ring, up, seed)
        rows.append(_row(surface, ring, up, inset))
        tints.append(_painted(surface, ring, up, painted, colour) * _dusk(relief, inset, fine))
    for angle in (30.0, 60.0, 90.0):
        turn = angle * pi / 180
        up = surface.height_mm - edge + edge * sin(turn)
        fade = (1 - sin(turn)) if relief is not None and relief.is_upright else 0.0
        inset = edge * (1 - cos(turn)) + fade * _depth(relief, ring, ups[-1], seed)
        rows.append(_row(surface, ring, up, inset))
        tints.append(np.tile(colour, (len(ring.at_mm), 1)))
    lip = rows[-1]
    for share in cells:
        inner = lip.copy()
        inner[:, :2] *= share
        rows.append(inner)
        tints.append(np.tile(colour, (len(ring.at_mm), 1)))
    return grid_of(rows, closed=True, tint=np.array(tints) if painted or _is_drawn(relief, fine) else None)


def _is_drawn(relief: Relief | None, fine: Fineness) -> bool:
    """Say whether grooves have too few points to catch the light, and are drawn darker instead."""
    return relief is not None and relief.kind is TextureKind.COMBED and fine.sparing


def _dusk(relief: Relief | None, inset: Numbers, fine: Fineness) -> Numbers:
    """Return how light points lie below the ridges of a comb, where they are drawn so. [-]"""
    if relief is None or not _is_drawn(relief, fine):
        return np.ones((len(inset), 1))
    return np.asarray(1 - DUSK * inset / relief.depth_mm)[:, None]


def _levels(surface: Surface, relief: Relief | None, edge: float, fine: Fineness, painted: bool) -> Numbers:
    top = surface.height_mm - edge
    if relief is not None and not relief.is_upright and relief.kind is TextureKind.COMBED:
        half = relief.groove_mm / 2
        marks = {0.0, top}
        for stop in relief.stops_mm:
            marks |= {stop - half, stop, stop + half}
            marks |= set() if fine.sparing else {stop - half / 2, stop + half / 2}
        return np.array(_apart([mark for mark in marks if 0 <= mark <= top]))
    wave = relief is not None and relief.kind is TextureKind.SPREAD
    pitch = (9.0 if fine.sparing else 4.0) if wave or painted else 3 * fine.side_mm
    return np.linspace(0.0, top, max(2, int(np.ceil(top / pitch)) + 1))


def _apart(marks: list[float]) -> list[float]:
    """Put levels in order and leave out those that lie on another."""
    found: list[float] = []
    for mark in sorted(marks):
        if not found or mark - found[-1] > 1e-3:
            found.append(mark)
    return found


def _depth(relief: Relief | None, ring: Ring, up_mm: float, seed: int) -> Numbers:
    """Return how deep the side lies under its ridges at a level, all round. [mm]"""
    flat = np.zeros(len(ring.at_mm))
    if relief is None:
        return flat
    if relief.kind is TextureKind.SPREAD:
        return _strokes(relief, ring, up_mm, seed)
    if relief.is_upright:
        off = np.min(
            np.abs(_round_about(ring.stops_mm[:, None] - np.array(relief.stops_mm)[None, :], ring.length_mm)), axis=1
        )
    else:
        off = np.full(len(ring.at_mm), np.min(np.abs(np.array(relief.stops_mm) - up_mm)))
    share = np.clip(2 * off / relief.groove_mm, 0.0, 1.0)
    return np.asarray(relief.depth_mm * (0.5 + 0.5 * np.cos(pi * share)))


def _round_about(away: Numbers, length_mm: float) -> Numbers:
    return np.asarray((away + length_mm / 2) % length_mm - length_mm / 2)


def _strokes(relief: Relief, ring: Ring, up_mm: float, seed: int) -> Numbers:
    """Strokes of a knife: a few waves that close round the tier, none deeper than a stroke. [mm]"""
    dice = np.random.default_rng(seed)
    turns = max(3, round(ring.length_mm / STROKE_MM))
    total = np.zeros(len(ring.at_mm))
    around = 2 * pi * ring.stops_mm / ring.length_mm
    for part in (1.0, 0.6, 0.4):
        count = round(turns * dice.uniform(0.5, 1.6))
        lean, start = dice.uniform(0.08, 0.35), dice.uniform(0, 2 * pi)
        total += part * np.sin(count * around + lean * up_mm + start)
    return np.asarray(relief.depth_mm * (0.5 - total / 4.0))


def _row(surface: Surface, ring: Ring, up_mm: float, inset: Numbers | float) -> Numbers:
    scale = 1 - up_mm / surface.height_mm * (1 - surface.top_scale)
    flat = ring.at_mm * scale - ring.out * np.reshape(inset, (-1, 1))
    return np.column_stack([flat, np.full(len(flat), surface.foot_mm + up_mm)])


def _painted(surface: Surface, ring: Ring, up_mm: float, patches: tuple[Placed, ...], colour: Numbers) -> Numbers:
    """Return the colour of a row of points; a patch fades out so that about as much is covered as was asked for."""
    tint = np.tile(colour, (len(ring.at_mm), 1))
    for patch in patches:
        wide, high, _ = patch.size_mm
        u = _round_about(ring.stops_mm - ring.length_mm / 2, ring.length_mm) / (wide / 2)
        v = (up_mm - surface.height_mm / 2) / (high / 2)
        far = np.clip((np.hypot(u, v) - SOFT[0]) / (SOFT[1] - SOFT[0]), 0.0, 1.0)
        share = (SPRAYED * (1 - far * far * (3 - 2 * far)))[:, None]
        tint = tint * (1 - share) + linear(patch.colour) * share
    return tint


def slab_mesh(slab: Slab, fine: Fineness) -> Mesh:
    """Return a board: its edge, and its upper face."""
    ring = ring_of(slab.rim.path, fine.side_mm, fine.stray_mm)
    edge = min(0.8, (slab.top_mm - slab.foot_mm) / 4)
    rows = []
    for inset, level, share in (
        (0.0, slab.foot_mm, 1.0), (0.0, slab.top_mm - edge, 1.0), (0.3 * edge, slab.top_mm - 0.3 * edge, 1.0),
        (edge, slab.top_mm, 1.0), *((edge, slab.top_mm, share) for share in TOP_ROWS[fine.sparing]),
    ):  # fmt: skip
        flat = (ring.at_mm - ring.out * inset) * share
        rows.append(np.column_stack([flat, np.full(len(flat), level)]))
    return grid_of(rows, closed=True)
