"""Single pieces, each made once as large as one: beads, shells, rosettes, flowers, letters.

A piece runs along x, lies across y and rises along z from 0 to 1; where it is placed it takes its size.
"""

from __future__ import annotations

from functools import lru_cache, partial
from math import cos, pi, radians, sin, sqrt
from typing import Any, Final

import numpy as np
import shapely

from tierwright.drawings.scene_mesh import Mesh, Numbers, grid_of, joined
from tierwright.finish import Bloom, FaceStyle, face

RIDGES: Final = 7
TIP: Final = 1.5
"""How much closer together points of a petal lie towards its tip. [-] By eye."""
LETTER_CORNER: Final = 0.004
"""How far the outline of a letter may be straightened. [size of type]"""


@lru_cache(maxsize=32)
def bead(around: int, *, sparing: bool = False) -> Mesh:
    """Return a ball pressed on by a plain tip and drawn off: round, with a soft peak."""
    profile = [(1.0, 0.0), (1.02, 0.25), (0.9, 0.55), (0.58, 0.82), (0.22, 0.94), (0.0, 1.0)]
    if sparing:
        profile = [(1.02, 0.1), (0.85, 0.62), (0.0, 1.0)]
    turns = np.arange(around) * 2 * pi / around
    return grid_of(
        [np.column_stack([r * np.cos(turns) / 2, r * np.sin(turns) / 2, np.full(around, z)]) for r, z in profile],
        closed=True,
    )


@lru_cache(maxsize=32)
def shell(*, sparing: bool = False) -> Mesh:
    """Return a shell of a star tip: broad and ridged at its head, drawn out to a tail under the next."""
    around = (2 if sparing else 4) * RIDGES
    turns = np.arange(around) * 2 * pi / around
    ridged = 1 + 0.14 * np.cos(RIDGES * turns)
    rows = []
    for along in np.linspace(0.0, 1.0, 6 if sparing else 11):
        body = sqrt(max(0.0, 1 - ((along - 0.32) / 0.36) ** 2)) if along < 0.32 else (1 - (along - 0.32) / 0.75) ** 0.85
        body = max(body, 0.0) if 0 < along < 1 else 0.0
        x = -0.55 + 1.25 * along
        rows.append(np.column_stack([
            np.full(around, x), body * ridged * np.cos(turns) / 2, 0.42 * body + body * ridged * np.sin(turns) * 0.55,
        ]))  # fmt: skip
    return grid_of(rows, closed=True)


@lru_cache(maxsize=32)
def rosette(*, sparing: bool = False) -> Mesh:
    """Return a rosette of a star tip: a ridged line wound inward and up."""
    steps, around = (22, 5) if sparing else (64, 10)
    turns = np.arange(around) * 2 * pi / around
    rows = []
    for i in range(steps + 1):
        share = i / steps
        wind = share * 2 * pi * 2.2
        reach = 0.36 * (1 - share) ** 0.8 + 0.01
        thick = 0.15 * (1.0 if share < 0.92 else (1 - share) / 0.08) + 0.002
        middle = np.array([reach * cos(wind), reach * sin(wind), 0.28 + 0.5 * share**1.3])
        out = np.array([cos(wind), sin(wind), 0.0])
        ridged = 1 + 0.2 * np.cos(5 * turns + 3 * wind)
        rows.append(
            middle + (thick * ridged * np.cos(turns))[:, None] * out
            + (1.6 * thick * ridged * np.sin(turns))[:, None] * np.array([0.0, 0.0, 1.0])
        )  # fmt: skip
    return grid_of(rows, closed=True)


def _any_petal(
    turn_deg: float, *, length: float, wide: float, start: float = 0.04, low: float = 0.1, rise: float = 0.3,
    cup: float = 0.1, curl: float = 0.0, shade: float = 1.0, heart: float = 0.55, blunt: float = 0.5,
    cut: tuple[int, int] = (7, 5),
) -> Mesh:  # fmt: skip
    """
    Return one petal: from near the middle outward, cupped across, curled at its tip.

    ``shade`` darkens all of it, ``heart`` its base; ``blunt`` tells a round tip (0.5) from a pointed one (1).
    """
    turn = radians(turn_deg)
    ahead, across = np.array([cos(turn), sin(turn), 0.0]), np.array([-sin(turn), cos(turn), 0.0])
    rows, tints = [], []
    sides = np.linspace(-1.0, 1.0, cut[1])
    # Closer together towards the tip, so that it comes out round.
    for share in 1 - np.linspace(1.0, 0.0, cut[0]) ** TIP:
        breadth = wide / 2 * (sin(pi * min(1.0, 0.12 + 0.88 * share**0.75)) ** blunt)
        at = start + length * share
        level = low + rise * sin(share * pi / 2) - curl * max(0.0, share - 0.55) ** 2 * 4
        rows.append(np.array([
            ahead * (at - 0.1 * length * side * side * share) + across * side * breadth
            + np.array([0.0, 0.0, level + cup * side * side])
            for side in sides
        ]))  # fmt: skip
        light = shade * (heart + (1 - heart) * min(1.0, 1.7 * share))
        tints.append(np.full((len(sides), 3), light))
    return grid_of(rows, closed=False, tint=np.array(tints))


def _scaled(parts: list[Mesh], across: float = 1.0) -> Mesh:
    """Join parts, and let them reach from the middle to a half and from 0 to 1."""
    whole = joined(parts)
    points = whole.points.copy()
    points[:, :2] *= across * 0.5 / np.max(np.hypot(points[:, 0], points[:, 1]))
    points[:, 2] -= points[:, 2].min()
    points[:, 2] /= points[:, 2].max()
    return Mesh(points=points, grids=whole.grids, faces=whole.faces, tint=whole.tint)


@lru_cache(maxsize=16)
def flower(bloom: Bloom, cut: tuple[int, int] = (7, 5)) -> Mesh:
    """Return the petals of a flower, or a leaf, in shades of one colour, cut in so many points along and across."""
    _petal = partial(_any_petal, cut=cut)
    match bloom:
        case Bloom.CUPPED:
            parts = []
            for ring, (count, reach, wide, low, rise, curl) in enumerate((
                (3, 0.12, 0.2, 0.35, 0.62, 0.0), (4, 0.2, 0.3, 0.3, 0.6, 0.02), (5, 0.3, 0.38, 0.2, 0.56, 0.08),
                (5, 0.4, 0.46, 0.1, 0.44, 0.16), (6, 0.5, 0.5, 0.02, 0.3, 0.2),
            )):  # fmt: skip
                parts += [
                    _petal(
                        360 * (i + 0.37 * ring) / count, length=reach, wide=wide, start=0.02, low=low, rise=rise,
                        cup=-0.1, curl=curl, shade=0.72 + 0.07 * ring, heart=0.55, blunt=0.45,
                    )
                    for i in range(count)
                ]  # fmt: skip
            return _scaled(parts)
        case Bloom.RAYS:
            parts = [
                _petal(360 * i / 18, length=0.42, wide=0.15, start=0.08, low=0.3 + 0.06 * (i % 2), rise=0.12, cup=0.05,
                       shade=0.9 + 0.1 * (i % 2), heart=0.7, blunt=0.6)
                for i in range(18)
            ]  # fmt: skip
            return _scaled(parts)
        case Bloom.FACED:
            return _scaled([
                _petal(58, length=0.46, wide=0.44, low=0.0, rise=0.5, cup=0.1, shade=0.62, heart=0.7),
                _petal(122, length=0.46, wide=0.44, low=0.03, rise=0.5, cup=0.1, shade=0.62, heart=0.7),
                _petal(172, length=0.42, wide=0.38, low=0.12, rise=0.42, cup=0.12, shade=0.86, heart=0.35),
                _petal(8, length=0.42, wide=0.38, low=0.12, rise=0.42, cup=0.12, shade=0.86, heart=0.35),
                _petal(270, length=0.46, wide=0.52, low=0.2, rise=0.34, cup=0.12, curl=0.1, shade=1.0, heart=0.25),
            ])  # fmt: skip
        case Bloom.LEAF:
            return _scaled([
                _petal(turn, length=0.5, wide=0.3, start=-0.02, low=0.1, rise=0.3, cup=0.18, curl=0.2, shade=shade,
                       heart=0.8, blunt=0.95)
                for turn, shade in ((0, 1.0), (180, 0.9))
            ])  # fmt: skip
        case Bloom.FIVE:
            return _scaled([
                _petal(90 + 72 * i, length=0.44, wide=0.42, low=0.1 + 0.03 * i, rise=0.4, cup=0.16, curl=0.1,
                       shade=0.94 + 0.015 * (i % 3), heart=0.7)
                for i in range(5)
            ])  # fmt: skip


@lru_cache(maxsize=16)
def eye(bloom: Bloom, *, sparing: bool = False) -> Mesh | None:
    """Return the middle of a flower, where it has one of a colour of its own."""
    reach = {Bloom.RAYS: 0.13, Bloom.FIVE: 0.06, Bloom.FACED: 0.05}.get(bloom)
    if reach is None:
        return None
    around = 6 if sparing else 8
    turns = np.arange(around) * 2 * pi / around
    low, high = (0.25, 0.75) if bloom is Bloom.RAYS else (0.2, 0.5)
    off = -0.02 if bloom is Bloom.FACED else 0.0
    return grid_of(
        [
            np.column_stack(
                [r * reach * np.cos(turns), off + r * reach * np.sin(turns), np.full(around, low + (high - low) * z)]
            )
            for r, z in (((1.0, 0.4), (0.0, 1.0)) if sparing else ((1.0, 0.0), (0.95, 0.5), (0.6, 0.9), (0.0, 1.0)))
        ],
        closed=True,
    )


@lru_cache(maxsize=256)
def letter(style: FaceStyle, character: str, *, flat: bool = False) -> Mesh | None:
    """Return a letter of type of size one, one thick, or its upper face; None where it leaves no ink."""
    (glyph,) = face(style).glyphs(character)
    if not glyph.has_ink:
        return None
    shape: Any = glyph.shape.simplify(3 * LETTER_CORNER if flat else LETTER_CORNER)
    meshes: list[Mesh] = []
    for piece in getattr(shape, "geoms", (shape,)):
        if piece.is_empty:
            continue
        meshes.append(_face(piece))
        if not flat:
            meshes += [_wall(np.array(ring.coords)[:-1]) for ring in (piece.exterior, *piece.interiors)]
    return joined(meshes)


def _face(piece: Any) -> Mesh:
    corners: dict[tuple[float, float], int] = {}
    faces: list[list[int]] = []
    triangles: Any = shapely.constrained_delaunay_triangles(piece)
    for triangle in triangles.geoms:
        ring = triangle.exterior
        points = list(ring.coords)[:-1] if ring.is_ccw else list(ring.coords)[:-1][::-1]
        faces.append([corners.setdefault((x, y), len(corners)) for x, y in points])
    flat = np.array(list(corners))
    return Mesh(points=np.column_stack([flat, np.ones(len(flat))]), faces=np.array(faces, dtype=np.int64))


def _wall(ring: Numbers) -> Mesh:
    """Return the side of a letter; corners are doubled, so that they stay sharp."""
    doubled = np.repeat(ring, 2, axis=0)
    doubled = np.roll(doubled, -1, axis=0)
    count = len(doubled)
    points = np.concatenate([np.column_stack([doubled, np.zeros(count)]), np.column_stack([doubled, np.ones(count)])])
    faces = []
    for i in range(0, count, 2):
        a, b = i, i + 1
        faces += [[a, b, b + count], [a, b + count, a + count]]
    return Mesh(points=points, faces=np.array(faces, dtype=np.int64))
