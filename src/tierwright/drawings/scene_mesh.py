"""Surfaces as triangles: grids of points, and a few free faces."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]


def no_faces() -> Whole:
    """Return no triangles."""
    return np.zeros((0, 3), dtype=np.int64)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """
    Rows of points, each joined to the next.

    Attributes
    ----------
    rows, columns
        How many. [-]
    closed
        Whether the last point of a row is joined to its first.
    """

    rows: int
    columns: int
    closed: bool

    def faces(self, first: int) -> Whole:
        """Return two triangles for each cell, numbered from the ``first`` point of the grid."""
        across = self.columns if self.closed else self.columns - 1
        row, column = np.meshgrid(np.arange(self.rows - 1), np.arange(across), indexing="ij")
        a = first + row * self.columns + column
        b = first + row * self.columns + (column + 1) % self.columns
        c, d = a + self.columns, b + self.columns
        return np.stack([np.stack([a, b, d], -1), np.stack([a, d, c], -1)], -2).reshape(-1, 3).astype(np.int64)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mesh:
    """
    A surface.

    Attributes
    ----------
    points
        A row each. [mm] in the cake's space, or shares of a placed thing's size.
    grids
        Those that the first points make up, one after another.
    faces
        Further triangles, by number of point.
    tint
        Linear red, green and blue of each point, times the colour of the whole. [-], 0 to 1; None for plain ones.
    """

    points: Numbers
    grids: tuple[Grid, ...] = ()
    faces: Whole = field(default_factory=no_faces)
    tint: Numbers | None = None

    @property
    def triangles(self) -> Whole:
        """Every triangle, by number of point."""
        found: list[Whole] = []
        first = 0
        for grid in self.grids:
            found.append(grid.faces(first))
            first += grid.rows * grid.columns
        return np.concatenate([*found, self.faces])

    @property
    def normals(self) -> Numbers:
        """Which way each point faces: the mean of its triangles', by their areas."""
        triangles = self.triangles
        a, b, c = (self.points[triangles[:, i]] for i in range(3))
        facing = np.cross(b - a, c - a)
        found = np.zeros_like(self.points)
        for i in range(3):
            np.add.at(found, triangles[:, i], facing)
        length = np.linalg.norm(found, axis=1, keepdims=True)
        found[length[:, 0] < 1e-12] = (0.0, 0.0, 1.0)
        return np.asarray(found / np.maximum(length, 1e-12))


def grid_of(rows: Sequence[Numbers] | Numbers, *, closed: bool, tint: Numbers | None = None) -> Mesh:
    """Return a surface of rows of as many points each."""
    block = np.asarray(rows, dtype=np.float64)
    count, columns, _ = block.shape
    return Mesh(
        points=block.reshape(-1, 3),
        grids=(Grid(rows=count, columns=columns, closed=closed),),
        tint=None if tint is None else tint.reshape(-1, 3),
    )


def joined(meshes: Iterable[Mesh]) -> Mesh:
    """Return several surfaces as one; all are tinted, or none."""
    some = list(meshes)
    # Grids number their points from the first on, so the points of all grids come first.
    heads = [sum(grid.rows * grid.columns for grid in mesh.grids) for mesh in some]
    gridded = [mesh.points[:head] for mesh, head in zip(some, heads, strict=True)]
    free = [mesh.points[head:] for mesh, head in zip(some, heads, strict=True)]
    first_free = sum(heads)
    faces: list[Whole] = []
    before_grid, before_free = 0, first_free
    for mesh, head in zip(some, heads, strict=True):
        move = np.where(mesh.faces < head, before_grid, before_free - head)
        faces.append(mesh.faces + move)
        before_grid += head
        before_free += len(mesh.points) - head
    tints = [mesh.tint for mesh in some if mesh.tint is not None]
    tint = None
    if len(tints) == len(some):
        pairs = list(zip(tints, heads, strict=True))
        tint = np.concatenate([*(one[:head] for one, head in pairs), *(one[head:] for one, head in pairs)])
    return Mesh(
        points=np.concatenate([*gridded, *free]),
        grids=tuple(grid for mesh in some for grid in mesh.grids),
        faces=np.concatenate(faces),
        tint=tint,
    )


def linear(hue: str) -> Numbers:
    """Return ``#rrggbb`` as linear red, green and blue, by the transfer curve of IEC 61966-2-1. [-]"""
    coded = np.array([int(hue[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def mixed(hue: str, other: str, share: float) -> str:
    """Return a colour with a share of another in it, mixed in linear light."""
    light = (1 - share) * linear(hue) + share * linear(other)
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return "#" + "".join(f"{round(255 * float(part)):02x}" for part in np.clip(coded, 0.0, 1.0))
