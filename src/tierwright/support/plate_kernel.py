"""What a board's shape keeps ready for bending: quadrature, polynomials, energy matrix, and the endless plate.

Lengths are scaled to half the longest side of the board, stiffness and load to one, so that one kernel serves every
board of the same shape.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from math import pi, sqrt
from typing import Final

import numpy as np
import numpy.typing as npt

from tierwright.shapes import Outline, Point, Shape

Array = npt.NDArray[np.float64]

UNIT_HALF_MM: Final = 450.0
"""Half the longest side of the outlines that kernels are kept for. [mm]"""
MANY_CHORDS: Final = 200
MOMENT_POINTS: Final = 8
MOST_RAYS: Final = 64
AROUND: Final = 64
ROUND_RIM: Final = 480
EDGE_TOLERANCE: Final = 1e-9
LEAST_ENERGY: Final = 1e-12
"""Functions with less energy than this share of the greatest are left out: a heart has two, and their rounding would be
seen in the eighth digit, differently on every machine. [-]"""


class Edge(StrEnum):
    """How the rim of a plate is held."""

    FREE = "free"
    SUPPORTED = "supported"  # cannot go down, may turn
    CLAMPED = "clamped"  # can neither go down nor turn


def star_centre(outline: Outline) -> Point:
    """A point from which the whole rim is seen: the middle, but the middle of the square of a heart."""
    if outline.shape is not Shape.HEART:
        return (0.0, 0.0)
    side = outline.width_mm / (1 + 1 / sqrt(2))
    return (0.0, outline.extent_mm[1] / 2 - side * (sqrt(2) / 4 + 0.5))


def fan(outline: Outline, radial: int, along_long: int, along_short: int = 2) -> tuple[Array, Array]:
    """Quadrature points and weights over an outline, by a fan of triangles from its star centre. [mm, mm2]"""
    if outline.shape is Shape.ROUND:
        return _disc(outline.width_mm / 2, radial)
    corners = np.array(outline.polygon())
    centre = np.array(star_centre(outline))
    following = np.roll(corners, -1, axis=0)
    lengths = np.hypot(*(following - corners).T)
    # Chords of an arc need few points, whole sides many.
    points: list[Array] = []
    weights: list[Array] = []
    r_nodes, r_weights = np.polynomial.legendre.leggauss(radial)
    r_nodes, r_weights = (r_nodes + 1) / 2, r_weights / 2
    for count, chosen in (
        (along_short, lengths < 0.2 * lengths.sum() / 4),
        (along_long, lengths >= 0.2 * lengths.sum() / 4),
    ):
        if not chosen.any():
            continue
        a, b = corners[chosen] - centre, following[chosen] - centre
        s_nodes, s_weights = np.polynomial.legendre.leggauss(count)
        s_nodes, s_weights = (s_nodes + 1) / 2, s_weights / 2
        cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
        edge = a[:, None, :] + s_nodes[None, :, None] * (b - a)[:, None, :]
        inner = centre + r_nodes[None, None, :, None] * edge[:, :, None, :]
        weight = cross[:, None, None] * s_weights[None, :, None] * (r_weights * r_nodes)[None, None, :]
        points.append(inner.reshape(-1, 2))
        weights.append(weight.reshape(-1))
    return np.concatenate(points), np.concatenate(weights)


def _disc(radius: float, radial: int) -> tuple[Array, Array]:
    """Quadrature over a true disc: Gauss outwards, equal steps around. [mm, mm2]"""
    nodes, weights = np.polynomial.legendre.leggauss(radial)
    r = (nodes + 1) / 2 * radius
    angle = 2 * pi * np.arange(AROUND) / AROUND
    x, y = r[:, None] * np.cos(angle), r[:, None] * np.sin(angle)
    weight = (weights / 2 * radius * r)[:, None] * np.full(AROUND, 2 * pi / AROUND)
    return np.stack([x.ravel(), y.ravel()], axis=1), weight.ravel()


def _rim_points(outline: Outline, along_long: int, along_short: int = 0) -> tuple[Array, Array, Array]:
    """Gauss points on the rim, their outward normals times weight, and the normals alone. [mm]"""
    if outline.shape is Shape.ROUND:
        angle = 2 * pi * np.arange(ROUND_RIM) / ROUND_RIM
        normal = np.stack([np.cos(angle), np.sin(angle)], axis=1)
        radius = outline.width_mm / 2
        return normal * radius, normal * (radius * 2 * pi / ROUND_RIM), normal
    corners = np.array(outline.polygon())
    following = np.roll(corners, -1, axis=0)
    step = following - corners
    lengths = np.hypot(*step.T)
    short = lengths < 0.2 * lengths.sum() / 4
    # Many chords are short ones: two points each lie as close as four on longer chords.
    few = along_short or (4 if short.sum() < MANY_CHORDS else 2)
    points, normals = [], []
    for count, chosen in ((few, short), (along_long, ~short)):
        if not chosen.any():
            continue
        s_nodes, s_weights = np.polynomial.legendre.leggauss(count)
        s_nodes, s_weights = (s_nodes + 1) / 2, s_weights / 2
        start, side = corners[chosen], step[chosen]
        points.append((start[:, None, :] + s_nodes[None, :, None] * side[:, None, :]).reshape(-1, 2))
        outward = np.stack([side[:, 1], -side[:, 0]], axis=1)
        normals.append((outward[:, None, :] * s_weights[None, :, None]).reshape(-1, 2))
    weighted = np.concatenate(normals)
    return np.concatenate(points), weighted, weighted / np.hypot(*weighted.T)[:, None]


@dataclass(frozen=True, slots=True)
class PlateBasis:
    """Products of Legendre polynomials up to a total degree, with the plane's three first."""

    degree: int
    pairs: tuple[tuple[int, int], ...]

    @classmethod
    def of(cls, degree: int) -> PlateBasis:
        """Return the basis of a total degree."""
        pairs = [(i, total - i) for total in range(degree + 1) for i in range(total, -1, -1)]
        return cls(degree, tuple(pairs))

    def _factors(self, coordinate: Array, most: int) -> list[Array]:
        """Every one-way polynomial and its derivatives up to an order: degree x points, one table for each order."""
        tables = [np.zeros((self.degree + 1, len(coordinate))) for _ in range(most + 1)]
        tables[0][0] = 1.0
        for n in range(self.degree):
            before = tables[0][n - 1] if n else 0.0
            tables[0][n + 1] = ((2 * n + 1) * coordinate * tables[0][n] - n * before) / (n + 1)
            for k in range(1, most + 1):
                tables[k][n + 1] = (2 * n + 1) * tables[k - 1][n] + (tables[k][n - 1] if n else 0.0)
        return tables

    def values(self, points: Array, *orders: tuple[int, int]) -> list[Array]:
        """Derivatives of every basis function at every point, one matrix (points x functions) for each order."""
        most = max(max(order) for order in orders)
        count = len(points)
        tables = self._factors(points.T.ravel(), most)
        i, j = np.array(self.pairs).T
        return [(tables[ox][i, :count] * tables[oy][j, count:]).T for ox, oy in orders]


@dataclass(frozen=True, slots=True)
class PlateKernel:
    """What a shape keeps ready: everything that does not depend on where the board stands."""

    basis: PlateBasis
    compliance: Array  # inverse of the energy matrix on the functions that the edge allows, for D = 1
    folded: Array  # compliance times energy matrix, for what a held rim forces on the smooth part
    null: Array  # functions free of energy that the edge allows (a plane, or none)
    constraint: Array  # particular solution operator for edge values
    edge_rows: Array
    rim: Array
    rim_weighted_normal: Array
    rim_normal: Array
    rim_values: Array
    rim_dx: Array
    rim_dy: Array
    field: Array
    field_values: Array
    field_second: Array  # xx, yy, xy (3 x places x functions)
    middle: Array
    middle_values: Array


def unit_outline(outline: Outline) -> Outline:
    """Return the outline at the size for which kernels are kept; rounded, so that equals are equal."""
    scale = 2 * UNIT_HALF_MM / outline.largest_mm
    return Outline(
        shape=outline.shape,
        width_mm=round(outline.width_mm * scale, 6),
        length_mm=round(outline.length_mm * scale, 6),
    )


@lru_cache(maxsize=8)
def _triple_products(degree: int, order: int) -> Array:
    """
    Integrals over -1 to 1 of two polynomials' derivatives of an order and a third polynomial, over its norm.

    They turn a product of two basis functions into a sum of single polynomials, so that an energy needs only the
    moments of the shape.
    """
    nodes, weights = np.polynomial.legendre.leggauss(2 * degree + 2)
    tables = PlateBasis.of(2 * degree)._factors(nodes, order)
    own, third = tables[order][: degree + 1], tables[0]
    norm = (2 * np.arange(2 * degree + 1) + 1) / 2
    return np.asarray(np.einsum("ip,kp,mp->ikm", own, own, third * weights, optimize=True) * norm)


@lru_cache(maxsize=8)
def _mixed_products(degree: int) -> Array:
    """Integrals of one polynomial's second derivative, another polynomial, and a third, over its norm."""
    nodes, weights = np.polynomial.legendre.leggauss(2 * degree + 2)
    tables = PlateBasis.of(2 * degree)._factors(nodes, 2)
    norm = (2 * np.arange(2 * degree + 1) + 1) / 2
    curved, plain = tables[2][: degree + 1], tables[0][: degree + 1]
    return np.asarray(np.einsum("ip,kp,mp->ikm", curved, plain, tables[0] * weights, optimize=True) * norm)


@lru_cache(maxsize=64)
def _moments(unit: Outline, degree: int) -> Array:
    """Integral over the shape of every product of two Legendre polynomials up to a degree, by its rim alone."""
    rim_mm, weighted_mm, _ = _rim_points(unit, degree + 2, along_short=MOMENT_POINTS)
    rim, weighted = rim_mm / UNIT_HALF_MM, weighted_mm / UNIT_HALF_MM
    basis = PlateBasis.of(degree + 1)
    xs, ys = basis._factors(rim[:, 0], 0)[0], basis._factors(rim[:, 1], 0)[0]
    # Green's theorem: the integral of f over the shape is that of its antiderivative in x times the normal's x.
    n = np.arange(1, degree + 1)[:, None]
    sums = np.concatenate([xs[1:2], (xs[2:] - xs[:-2]) / (2 * n + 1)])
    return np.asarray((sums * weighted[:, 0]) @ ys[: degree + 1].T)


@lru_cache(maxsize=64)
def _energies(unit: Outline, degree: int) -> tuple[Array, Array]:
    """Energy matrix of a shape for a Poisson's ratio of zero, and what each unit of it adds."""
    basis = PlateBasis.of(degree)
    moments = _moments(unit, 2 * degree)
    flat, turned, bent = (_triple_products(degree, order) for order in (0, 1, 2))
    mixed = _mixed_products(degree)
    i, j = np.array(basis.pairs).T

    def gram(in_x: Array, in_y: Array) -> Array:
        half = np.tensordot(in_x, moments, axes=(2, 0))  # x-pair by y-moment
        whole = np.tensordot(half, in_y, axes=(2, 2))
        return np.asarray(whole[i[:, None], i[None, :], j[:, None], j[None, :]])

    both = gram(mixed, mixed.transpose(1, 0, 2))
    twist = 2 * gram(turned, turned)
    return gram(bent, flat) + gram(flat, bent) + twist, both + both.T - twist


def _energy(unit: Outline, basis: PlateBasis, poisson: float) -> Array:
    """Energy matrix of the basis on a shape, for a stiffness of one."""
    still, with_poisson = _energies(unit, basis.degree)
    return still + poisson * with_poisson


def _inner_places(unit: Outline, rim_mm: Array) -> Array:
    """Places all over a shape, on rays from its star centre. [mm]"""
    centre = np.array(star_centre(unit))
    nodes, _ = np.polynomial.legendre.leggauss(12)
    rays = rim_mm[:: max(1, len(rim_mm) // MOST_RAYS)] - centre
    return np.asarray(centre + ((nodes + 1) / 2)[:, None, None] * rays[None]).reshape(-1, 2)


@lru_cache(maxsize=64)
def prepare_kernel(unit: Outline, poisson: float, edge: Edge, degree: int) -> PlateKernel:
    """Prepare what bending a board of this shape needs; kept for the next board of the shape."""
    basis = PlateBasis.of(degree)
    count = len(basis.pairs)
    stiffness = _energy(unit, basis, poisson)

    rim_mm, weighted_mm, normal = _rim_points(unit, 4 * degree)
    rim, weighted = rim_mm / UNIT_HALF_MM, weighted_mm / UNIT_HALF_MM
    rim_values, rim_dx, rim_dy = basis.values(rim, (0, 0), (1, 0), (0, 1))

    edge_rows = np.zeros((0, count))
    if edge is not Edge.FREE:
        edge_rows = rim_values
        if edge is Edge.CLAMPED:
            turn = rim_dx * normal[:, :1] + rim_dy * normal[:, 1:]
            edge_rows = np.concatenate([rim_values, turn])
    if len(edge_rows):
        _, sizes, rows = np.linalg.svd(edge_rows, full_matrices=True)
        rank = int(np.sum(sizes > EDGE_TOLERANCE * sizes[0]))
        allowed = rows[rank:].T
        constraint = np.asarray(np.linalg.pinv(edge_rows, rcond=EDGE_TOLERANCE))
        null = np.zeros((count, 0))
    else:
        allowed = np.eye(count)[:, 3:]
        constraint = np.zeros((count, 0))
        null = np.eye(count)[:, :3]
    reduced = allowed.T @ stiffness @ allowed
    values, vectors = np.linalg.eigh((reduced + reduced.T) / 2)
    keep = values > LEAST_ENERGY * values[-1]
    inverse = (vectors[:, keep] / values[keep]) @ vectors[:, keep].T
    compliance = allowed @ inverse @ allowed.T

    field = np.concatenate([_inner_places(unit, rim_mm) / UNIT_HALF_MM, rim])
    field_values, *field_second = basis.values(field, (0, 0), (2, 0), (0, 2), (1, 1))
    middle = _middle_line(unit) / UNIT_HALF_MM
    return PlateKernel(
        basis=basis, compliance=compliance, folded=compliance @ stiffness,
        null=null, constraint=constraint, edge_rows=edge_rows, rim=rim,
        rim_weighted_normal=weighted, rim_normal=normal, rim_values=rim_values, rim_dx=rim_dx, rim_dy=rim_dy,
        field=field, field_values=field_values, field_second=np.stack(field_second), middle=middle,
        middle_values=basis.values(middle, (0, 0))[0],
    )  # fmt: skip


def _middle_line(unit: Outline) -> Array:
    """Forty-one points along the line through the star centre, from rim to rim."""
    corners = np.array(unit.polygon())
    height = star_centre(unit)[1]
    crossings = []
    for (x1, y1), (x2, y2) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        if (y1 - height) * (y2 - height) <= 0 and y1 != y2:
            crossings.append(x1 + (height - y1) / (y2 - y1) * (x2 - x1))
    xs = np.linspace(min(crossings), max(crossings), 41)
    return np.stack([xs, np.full_like(xs, height)], axis=1)


def singular(points: Array, sources: Array) -> Array:
    """``r^2 ln r / (8 pi)``: deflection of the endless plate of unit stiffness under a unit force."""
    dx = points[:, None, 0] - sources[None, :, 0]
    dy = points[:, None, 1] - sources[None, :, 1]
    gap2 = dx * dx + dy * dy
    return np.asarray(gap2 * np.log(np.maximum(gap2, 1e-300)) / (16 * pi))


def singular_second(points: Array, sources: Array, core: Array) -> tuple[Array, Array, Array]:
    """
    Second derivatives of the endless plate's deflection, levelled out inside each force's own small disc.

    Inside the disc of radius ``core`` the value at its middle is used: for a force spread over the disc the mean of
    ``ln r`` is ``ln c - 1/2``.
    """
    dx = points[:, None, 0] - sources[None, :, 0]
    dy = points[:, None, 1] - sources[None, :, 1]
    gap2 = dx * dx + dy * dy
    inside = gap2 < core[None, :] ** 2
    safe = np.where(inside, 1.0, gap2)
    level = (np.where(inside, 2 * np.log(core)[None, :], np.log(safe)) + 1.0) / (8 * pi)
    # In the middle the directional part averages out, half of 2 going to each axis: ln c^2 - 1 + 2 = ln c^2 + 1.
    turned = np.where(inside, 0.0, 1 / (4 * pi * safe))
    return level + turned * dx * dx, level + turned * dy * dy, turned * dx * dy


def edge_terms(kernel: PlateKernel, sources: Array, poisson: float, values: Array, dx: Array, dy: Array) -> Array:
    """
    Work of the endless plate's edge moments and shears on each basis function (functions x sources).

    The basis functions and their slopes at the sources are given.

    The plane that touches the function at the source is taken off first: on a plane the edge forces do exactly the
    work of the force itself, and what is left vanishes at the source, so that a source near the rim does no harm.
    """
    x = kernel.rim[None, :, 0] - sources[:, :1]
    y = kernel.rim[None, :, 1] - sources[:, 1:]
    gap2 = x * x + y * y
    # A source right on a node of the rim: what is left of the function vanishes there, and so does its share.
    apart = gap2 > 1e-18
    gap2 = np.where(apart, gap2, 1.0)
    level = (np.log(gap2) + 1.0) / (8 * pi)
    wxx, wyy, wxy = (
        level + x * x / gap2 / (4 * pi),
        level + y * y / gap2 / (4 * pi),
        x * y / gap2 / (4 * pi),
    )
    nx, ny = kernel.rim_weighted_normal[:, 0] * apart, kernel.rim_weighted_normal[:, 1] * apart
    turn_x = (wxx + poisson * wyy) * nx + (1 - poisson) * wxy * ny
    turn_y = (1 - poisson) * wxy * nx + (wyy + poisson * wxx) * ny
    shear = (x * nx + y * ny) / gap2 / (2 * pi)
    # Integrals of (moment . gradient of t) - (shear t), with the touching plane taken off t.
    whole = turn_x @ kernel.rim_dx + turn_y @ kernel.rim_dy - shear @ kernel.rim_values
    plane = (
        -shear.sum(axis=1)[:, None] * values
        + (turn_x.sum(axis=1) - (shear * x).sum(axis=1))[:, None] * dx
        + (turn_y.sum(axis=1) - (shear * y).sum(axis=1))[:, None] * dy
    )
    return np.asarray((whole - plane - values).T)


def held_rim(kernel: PlateKernel, sources: Array) -> Array:
    """Deflection (and, if clamped, slope outwards) of the endless plate at the rim for each source."""
    down = singular(kernel.rim, sources)
    if len(kernel.edge_rows) == len(kernel.rim):
        return down
    x = kernel.rim[:, None, 0] - sources[None, :, 0]
    y = kernel.rim[:, None, 1] - sources[None, :, 1]
    level = (np.log(np.maximum(x * x + y * y, 1e-300)) + 1.0) / (8 * pi)
    turn = level * (x * kernel.rim_normal[:, :1] + y * kernel.rim_normal[:, 1:])
    return np.concatenate([down, turn])
