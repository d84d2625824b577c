"""Bending of a thin board that stands on points: deflection, moments and reactions.

The board is a Kirchhoff plate with a free edge. Each point force (a support below, a support of the tier above
standing on the board) brings the exact infinite-plate solution ``r^2 ln r / (8 pi D)``; what is left is smooth and is
taken by a polynomial that minimises the energy. Only edge integrals of the singular part are needed, so that one
solution costs a few small matrix products. Lengths are scaled to half the longest side of the board, so that one
prepared kernel serves every board of the same shape.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from math import pi, sqrt

import numpy as np
import numpy.typing as npt
from numpy.polynomial import legendre

from tierwright.errors import Infeasible, require_range
from tierwright.shapes import Outline, Point, Shape

Array = npt.NDArray[np.float64]

DEGREE = 14
RADIAL_POINTS = 16
AROUND = 64
ROUND_RIM = 480
EDGE_TOLERANCE = 1e-9
INSIDE_MARGIN = 1e-6
PULL = 1e-11
"""Pull, over the whole load, that is taken for rounding; likewise a gap, in the scaled units of deflection. [-]"""


class Edge(StrEnum):
    """How the rim of a plate is held."""

    FREE = "free"
    SUPPORTED = "supported"  # cannot go down, may turn
    CLAMPED = "clamped"  # can neither go down nor turn


@dataclass(frozen=True, slots=True, kw_only=True)
class PointForce:
    """A force straight down on a board at one place: position from the board's middle [mm] and force [N]."""

    x_mm: float
    y_mm: float
    force_n: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchForce:
    """A force straight down spread evenly over an outline whose middle lies at ``x_mm``, ``y_mm``. [N, mm]"""

    outline: Outline
    force_n: float
    x_mm: float = 0.0
    y_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateSupport:
    """
    One place where a board stands.

    Attributes
    ----------
    x_mm, y_mm
        Position from the board's middle. [mm]
    low_by_mm
        How far its top lies below the others'. [mm]
    flexibility_mm_per_n
        How much it shortens under load. [mm/N]
    """

    x_mm: float
    y_mm: float
    low_by_mm: float = 0.0
    flexibility_mm_per_n: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateSolution:
    """
    What a loaded board does.

    Attributes
    ----------
    reactions_n
        Force on each support, in their order; never negative. [N]
    carrying
        Whether each support is pressed at all.
    sag_mm
        Greatest distance between the board and the plane through its unloaded support tops, up or down. [mm]
    sag_at_mm
        Where that is. [mm]
    dip_mm, rise_mm
        Greatest movement down and up. [mm]
    moment_n
        Greatest bending moment for each unit of width, anywhere. [N mm/mm]
    slope
        Greatest slope on the rim. [-]
    rim
        Outline points with their deflection, for the deflected-shape figure: x, y, down. [mm]
    middle
        Deflection along the diameter in x from left to right: x, down. [mm]
    """

    reactions_n: tuple[float, ...]
    carrying: tuple[bool, ...]
    sag_mm: float
    sag_at_mm: Point
    dip_mm: float
    rise_mm: float
    moment_n: float
    slope: float
    rim: tuple[tuple[float, float, float], ...]
    middle: tuple[tuple[float, float], ...]


def plate_stiffness_nmm(modulus_mpa: float, thickness_mm: float, poisson: float) -> float:
    """
    Flexural rigidity of a plate.

    Parameters
    ----------
    modulus_mpa
        Young's modulus in bending. [MPa], above 0
    thickness_mm
        Thickness. [mm], 0.2 to 60
    poisson
        Poisson's ratio. [-], 0 to 0.49

    Returns
    -------
    stiffness_nmm
        ``E t^3 / (12 (1 - nu^2))``. [N mm]

    Raises
    ------
    OutOfRange
        A measure outside its span.

    References
    ----------
    .. [1] Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., eq. 3.

    Examples
    --------
    >>> round(plate_stiffness_nmm(4000.0, 3.0, 0.3))
    9890
    """
    require_range("modulus", modulus_mpa, 0.01, 1e6, "MPa")
    require_range("thickness", thickness_mm, 0.2, 60.0, "mm")
    require_range("Poisson's ratio", poisson, 0.0, 0.49, "")
    return modulus_mpa * thickness_mm**3 / (12 * (1 - poisson**2))


def _star_centre(outline: Outline) -> Point:
    """A point from which the whole rim is seen: the middle, but the middle of the square of a heart."""
    if outline.shape is not Shape.HEART:
        return (0.0, 0.0)
    side = outline.width_mm / (1 + 1 / sqrt(2))
    return (0.0, outline.extent_mm[1] / 2 - side * (sqrt(2) / 4 + 0.5))


def _fan(outline: Outline, radial: int, along_long: int, along_short: int = 2) -> tuple[Array, Array]:
    """Quadrature points and weights over an outline, by a fan of triangles from its star centre. [mm, mm2]"""
    if outline.shape is Shape.ROUND:
        return _disc(outline.width_mm / 2, radial)
    corners = np.array(outline.polygon())
    centre = np.array(_star_centre(outline))
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


def _rim_points(outline: Outline, along_long: int) -> tuple[Array, Array, Array]:
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
    points, normals = [], []
    for count, chosen in ((4, lengths < 0.2 * lengths.sum() / 4), (along_long, lengths >= 0.2 * lengths.sum() / 4)):
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
class _Basis:
    """Products of Legendre polynomials up to a total degree, with the plane's three first."""

    degree: int
    pairs: tuple[tuple[int, int], ...]

    @classmethod
    def of(cls, degree: int) -> _Basis:
        pairs = [(i, total - i) for total in range(degree + 1) for i in range(total, -1, -1)]
        return cls(degree, tuple(pairs))

    def _factors(self, coordinate: Array, order: int) -> Array:
        eye = np.eye(self.degree + 1)
        table = eye if order == 0 else legendre.legder(eye, order, axis=1) if order < self.degree + 1 else eye * 0
        return np.asarray(legendre.legval(coordinate, table.T), dtype=np.float64)

    def values(self, points: Array, *orders: tuple[int, int]) -> list[Array]:
        """Derivatives of every basis function at every point, one matrix (points x functions) for each order."""
        most = max(max(order) for order in orders)
        xs = [self._factors(points[:, 0], k) for k in range(most + 1)]
        ys = [self._factors(points[:, 1], k) for k in range(most + 1)]
        i = np.array([pair[0] for pair in self.pairs])
        j = np.array([pair[1] for pair in self.pairs])
        return [(xs[ox][i] * ys[oy][j]).T for ox, oy in orders]


@dataclass(frozen=True, slots=True)
class _Kernel:
    """What a shape keeps ready: everything that does not depend on where the board stands."""

    basis: _Basis
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
    field_second: tuple[Array, Array, Array]
    middle: Array
    middle_values: Array


def _unit(outline: Outline) -> Outline:
    scale = 200.0 / outline.largest_mm
    return Outline(shape=outline.shape, width_mm=outline.width_mm * scale, length_mm=outline.length_mm * scale)


@lru_cache(maxsize=64)
def _kernel(unit: Outline, poisson: float, edge: Edge, degree: int) -> _Kernel:
    basis = _Basis.of(degree)
    count = len(basis.pairs)
    area_points, area_weights = _fan(unit, RADIAL_POINTS, degree + 4)
    points, weights = area_points / 100.0, area_weights / 1e4
    wxx, wyy, wxy = basis.values(points, (2, 0), (0, 2), (1, 1))
    root = np.sqrt(weights)[:, None]
    bxx, byy, bxy = wxx * root, wyy * root, wxy * root
    both = bxx.T @ byy
    stiffness = bxx.T @ bxx + byy.T @ byy + poisson * (both + both.T) + 2 * (1 - poisson) * (bxy.T @ bxy)

    rim_mm, weighted_mm, normal = _rim_points(unit, 4 * degree)
    rim, weighted = rim_mm / 100.0, weighted_mm / 100.0
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
    keep = values > 1e-13 * values[-1]
    inverse = (vectors[:, keep] / values[keep]) @ vectors[:, keep].T
    compliance = allowed @ inverse @ allowed.T

    field_mm, _ = _fan(unit, 12, 13, along_short=1)
    field = np.concatenate([field_mm / 100.0, rim])
    field_values, fxx, fyy, fxy = basis.values(field, (0, 0), (2, 0), (0, 2), (1, 1))
    middle = _middle_line(unit) / 100.0
    return _Kernel(
        basis=basis, compliance=compliance, folded=compliance @ stiffness,
        null=null, constraint=constraint, edge_rows=edge_rows, rim=rim,
        rim_weighted_normal=weighted, rim_normal=normal, rim_values=rim_values, rim_dx=rim_dx, rim_dy=rim_dy,
        field=field, field_values=field_values, field_second=(fxx, fyy, fxy), middle=middle,
        middle_values=basis.values(middle, (0, 0))[0],
    )  # fmt: skip


def _middle_line(unit: Outline) -> Array:
    """Forty-one points along the line through the star centre, from rim to rim."""
    corners = np.array(unit.polygon())
    height = _star_centre(unit)[1]
    crossings = []
    for (x1, y1), (x2, y2) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        if (y1 - height) * (y2 - height) <= 0 and y1 != y2:
            crossings.append(x1 + (height - y1) / (y2 - y1) * (x2 - x1))
    xs = np.linspace(min(crossings), max(crossings), 41)
    return np.stack([xs, np.full_like(xs, height)], axis=1)


def _singular(points: Array, sources: Array) -> Array:
    """``r^2 ln r / (8 pi)``: deflection of the endless plate of unit stiffness under a unit force."""
    gap2 = ((points[:, None, :] - sources[None, :, :]) ** 2).sum(axis=2)
    safe = np.maximum(gap2, 1e-300)
    return np.asarray(gap2 * np.log(safe) / (16 * pi))


def _singular_second(points: Array, sources: Array, core: Array) -> tuple[Array, Array, Array]:
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
    level = np.where(inside, 2 * np.log(core)[None, :] + 1.0, np.log(safe) + 1.0)
    xx = np.where(inside, 0.0, 2 * dx * dx / safe)
    yy = np.where(inside, 0.0, 2 * dy * dy / safe)
    xy = np.where(inside, 0.0, 2 * dx * dy / safe)
    # In the middle the directional part averages out, half of 2 going to each axis: ln c^2 - 1 + 2 = ln c^2 + 1.
    return (level + xx) / (8 * pi), (level + yy) / (8 * pi), xy / (8 * pi)


def _edge_terms(kernel: _Kernel, sources: Array, poisson: float) -> Array:
    """
    Work of the endless plate's edge moments and shears on each basis function (functions x sources).

    The plane that touches the function at the source is taken off first: on a plane the edge forces do exactly the
    work of the force itself, and what is left vanishes at the source, so that a source near the rim does no harm.
    """
    values, dx, dy = kernel.basis.values(sources, (0, 0), (1, 0), (0, 1))
    terms = np.empty((values.shape[1], len(sources)))
    for s, source in enumerate(sources):
        x, y = kernel.rim[:, 0] - source[0], kernel.rim[:, 1] - source[1]
        gap2 = np.maximum(x * x + y * y, 1e-300)
        level = np.log(gap2) + 1.0
        wxx, wyy, wxy = (
            (level + 2 * x * x / gap2) / (8 * pi),
            (level + 2 * y * y / gap2) / (8 * pi),
            2 * x * y / gap2 / (8 * pi),
        )
        nx, ny = kernel.rim_weighted_normal[:, 0], kernel.rim_weighted_normal[:, 1]
        turn_x = (wxx + poisson * wyy) * nx + (1 - poisson) * wxy * ny
        turn_y = (1 - poisson) * wxy * nx + (wyy + poisson * wxx) * ny
        shear = (x * nx + y * ny) / gap2 / (2 * pi)
        # Integrals of (moment . gradient of t) - (shear t), with the touching plane taken off t.
        whole = turn_x @ kernel.rim_dx + turn_y @ kernel.rim_dy - shear @ kernel.rim_values
        plane = (
            -shear.sum() * values[s]
            + (turn_x.sum() - shear @ x) * dx[s]
            + (turn_y.sum() - shear @ y) * dy[s]
        )  # fmt: skip
        terms[:, s] = whole - plane - values[s]
    return terms


def _check_inside(outline: Outline, points: Array, what: str) -> None:
    """Refuse a point outside the outline (points on the rim are let in)."""
    corners = np.array(outline.polygon())
    centre = np.array(_star_centre(outline))
    following = np.roll(corners, -1, axis=0)
    for x, y in points:
        # Seen from the star centre, the point must not lie beyond the chord that its ray meets.
        rel = np.array([x, y]) - centre
        a, b = corners - centre, following - centre
        before = a[:, 0] * rel[1] - a[:, 1] * rel[0]
        after = rel[0] * b[:, 1] - rel[1] * b[:, 0]
        area = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
        sector = (before >= -1e-9 * area) & (after >= -1e-9 * area)
        share = (before + after) / area
        if not (sector & (share <= 1 + INSIDE_MARGIN)).any():
            raise Infeasible(f"{what} at ({x:.1f}, {y:.1f}) mm", f"it lies outside the {outline.describe()} board")


def _hull_holds(points: Array, load: Array, tolerance: float) -> bool:
    """Whether a load stands inside the polygon spanned by the points, by more than the tolerance."""
    around = np.arctan2(points[:, 1] - load[1], points[:, 0] - load[0])
    order = np.sort(around)
    gaps = np.diff(np.concatenate([order, [order[0] + 2 * pi]]))
    if gaps.max() >= pi - 1e-9:
        return False
    # Distance from the load to the nearest side of the hull, by directions normal to every pair of points.
    for i in range(len(points)):
        for j in range(i + 1, len(points)):
            side = points[j] - points[i]
            length = float(np.hypot(*side))
            if length == 0:
                continue
            offsets = ((points - points[i]) @ np.array([-side[1], side[0]])) / length
            distance = float((load - points[i]) @ np.array([-side[1], side[0]])) / length
            if (offsets >= -1e-9).all() and distance < tolerance:
                return False
            if (offsets <= 1e-9).all() and distance > -tolerance:
                return False
    return True


def bend_plate(
    outline: Outline,
    *,
    stiffness_nmm: float,
    poisson: float,
    supports: tuple[PlateSupport, ...] = (),
    patches: tuple[PatchForce, ...] = (),
    points: tuple[PointForce, ...] = (),
    thickness_mm: float = 0.0,
    contact_mm: float = 3.0,
    edge: Edge = Edge.FREE,
    degree: int = DEGREE,
) -> PlateSolution:
    """
    Bend a board that stands on points.

    Parameters
    ----------
    outline
        Outline of the board. [mm]
    stiffness_nmm
        Flexural rigidity. [N mm]
    poisson
        Poisson's ratio. [-], 0 to 0.49
    supports
        Where it stands; at least three, unless the edge is held. They push and do not pull: the board may lift off.
    patches, points
        Loads straight down. [N]
    thickness_mm
        Board thickness, for the moment under a small force (0 leaves the contact alone). [mm]
    contact_mm
        Radius of a support's end, for the moment above it. [mm]
    edge
        How the rim is held; a board on a ring or in a frame is not free.
    degree
        Degree of the smooth part, 6 to 18.

    Returns
    -------
    solution
        Reactions, sag, moments and the deflected shape.

    Raises
    ------
    Infeasible
        A support or force off the board, or supports that cannot carry the load in compression alone.
    OutOfRange
        A measure outside its span.

    Notes
    -----
    Thin-plate theory, small deflections: good while the sag is below half the thickness (``OutOfRange`` is not raised,
    the caller sees the sag). An orthotropic board is taken as isotropic with its weaker stiffness.

    References
    ----------
    .. [1] Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., chapters 3 and 4 (energy, edge
       conditions, art. 19 on the moment under a force spread over a small circle).
    .. [2] Young, Budynas and Sadegh, Roark's Formulas for Stress and Strain, 8th ed., section 11.1 (equivalent
       radius after Westergaard).
    """
    require_range("Poisson's ratio", poisson, 0.0, 0.49, "")
    require_range("board stiffness", stiffness_nmm, 1e-6, 1e12, "N mm")
    if not patches and not points:
        raise ValueError("a board needs a load")
    if edge is not Edge.FREE and outline.shape is not Shape.ROUND:
        raise Infeasible(f"a held rim on a {outline.describe()} board", "only round boards are worked with a held rim")
    scale = outline.largest_mm / 2
    spots = np.array([(s.x_mm, s.y_mm) for s in supports], dtype=float).reshape(-1, 2)
    forces_at = np.array([(p.x_mm, p.y_mm) for p in points], dtype=float).reshape(-1, 2)
    _check_inside(outline, spots, "a support")
    _check_inside(outline, forces_at, "a force")
    kernel = _kernel(_unit(outline), round(poisson, 6), edge, degree)
    pulls = np.array([p.force_n for p in points], dtype=float)
    total = float(pulls.sum() + sum(patch.force_n for patch in patches))
    if total <= 0:
        raise ValueError("a board's load has to press down")
    if edge is Edge.FREE:
        moment = (forces_at * pulls[:, None]).sum(axis=0) if len(pulls) else np.zeros(2)
        for patch in patches:
            cx, cy = _centroid(patch.outline)
            moment = moment + patch.force_n * np.array([patch.x_mm + cx, patch.y_mm + cy])
        at = moment / total
        if len(supports) < 3 or not _hull_holds(spots, at, 1e-3 * scale):
            raise Infeasible(
                f"{len(supports)} supports under a {outline.describe()} board",
                f"the load stands at ({at[0]:.1f}, {at[1]:.1f}) mm, not inside the figure that the supports span; "
                "supports push and cannot pull",
                "set the supports all round the load",
            )

    # Everything below in units of scale (length), total (force) and total scale^2 / D (deflection).
    spots, forces_at, pulls = spots / scale, forces_at / scale, pulls / total
    unit_deflection = total * scale**2 / stiffness_nmm
    smooth = _patch_work(kernel, patches, scale, total)
    if len(pulls):
        smooth = smooth + (-_edge_terms(kernel, forces_at, poisson) @ pulls)
    low = np.array([s.low_by_mm for s in supports]) / unit_deflection if supports else np.zeros(0)
    soft = np.array([s.flexibility_mm_per_n for s in supports]) * total / unit_deflection if supports else np.zeros(0)
    reactions, active, coefficients = _contact(kernel, spots, forces_at, pulls, smooth, low, soft, poisson)

    sources = np.concatenate([forces_at, spots])
    strengths = np.concatenate([pulls, -reactions])
    down = kernel.field_values @ coefficients + _singular(kernel.field, sources) @ strengths
    worst = int(np.abs(down).argmax())
    greatest, where = float(abs(down[worst])), kernel.field[worst]
    if len(pulls):
        # A lone force may press deepest right under itself, between the sampled places.
        rows = kernel.basis.values(forces_at, (0, 0))[0]
        under = rows @ coefficients + _singular(forces_at, sources) @ strengths
        deepest = int(np.abs(under).argmax())
        if abs(under[deepest]) > greatest:
            greatest, where = float(abs(under[deepest])), forces_at[deepest]
    xx, yy, xy = _curvatures(
        kernel, coefficients, sources, strengths, spread_radius_mm(contact_mm, thickness_mm) / scale
    )
    # Bending moments from curvatures, then the larger principal one.
    mx, my, mxy = xx + poisson * yy, yy + poisson * xx, (1 - poisson) * xy
    moment = np.abs((mx + my) / 2) + np.hypot((mx - my) / 2, mxy)
    middle = kernel.middle_values @ coefficients + _singular(kernel.middle, sources) @ strengths
    rim_count = len(kernel.rim)
    rim_down = down[-rim_count:]
    slope = _rim_slope(kernel, coefficients, sources, strengths)
    order = np.argsort(np.arctan2(kernel.rim[:, 1], kernel.rim[:, 0]), kind="stable")
    every = max(1, rim_count // 96)
    return PlateSolution(
        reactions_n=tuple(float(r * total) for r in reactions),
        carrying=tuple(bool(a) for a in active),
        sag_mm=greatest * unit_deflection,
        sag_at_mm=(float(where[0] * scale), float(where[1] * scale)),
        dip_mm=float(max(0.0, down.max()) * unit_deflection),
        rise_mm=float(max(0.0, -down.min()) * unit_deflection),
        moment_n=float(moment.max() * total),
        slope=float(slope * unit_deflection / scale),
        rim=tuple(
            (
                float(kernel.rim[i, 0] * scale),
                float(kernel.rim[i, 1] * scale),
                float(rim_down[i] * unit_deflection),
            )
            for i in order[::every]
        ),
        middle=tuple(
            (float(x * scale), float(w * unit_deflection)) for x, w in zip(kernel.middle[:, 0], middle, strict=True)
        ),
    )


def _contact(
    kernel: _Kernel,
    spots: Array,
    forces_at: Array,
    pulls: Array,
    smooth: Array,
    low: Array,
    soft: Array,
    poisson: float,
) -> tuple[Array, npt.NDArray[np.bool_], Array]:
    """
    Find which supports are pressed and how hard, and the smooth part's coefficients.

    Supports that would have to pull are let go, and taken back if the board then sinks through them.
    """
    count = len(spots)
    rows = kernel.basis.values(spots, (0, 0))[0] if count else np.zeros((0, len(kernel.basis.pairs)))
    edge = _edge_terms(kernel, spots, poisson) if count else np.zeros((len(kernel.basis.pairs), 0))
    mutual = _singular(spots, spots) if count else np.zeros((0, 0))
    known = _singular(spots, forces_at) @ pulls if count and len(pulls) else np.zeros(count)

    particular = np.zeros(len(kernel.basis.pairs))
    lift = np.zeros((len(kernel.basis.pairs), count))
    if len(kernel.edge_rows):
        # The smooth part has to undo what the endless plate does at a held rim.
        if len(pulls):
            particular = kernel.constraint @ (-_held_rim(kernel, forces_at) @ pulls)
        if count:
            lift = kernel.constraint @ _held_rim(kernel, spots)
    # The smooth part: v = v0 + C (load - K v0), v0 being what the held rim forces on it.
    base = kernel.compliance @ smooth + particular - kernel.folded @ particular
    response = kernel.compliance @ edge + lift - kernel.folded @ lift
    planes = kernel.null
    free = planes.shape[1]
    flexibility = rows @ response - mutual - np.diag(soft)
    drop = rows @ base + known
    plane_rows = rows @ planes
    plane_load = planes.T @ smooth

    def pressed(on: npt.NDArray[np.intp]) -> tuple[Array, Array]:
        """Reactions and plane when just these supports touch, pulling or not."""
        system = np.zeros((len(on) + free, len(on) + free))
        system[: len(on), : len(on)] = flexibility[np.ix_(on, on)]
        right = np.concatenate([low[on] - drop[on], plane_load])
        if free:
            # Equilibrium: forces and moments of load and reactions on every plane.
            system[: len(on), len(on) :] = plane_rows[on]
            system[len(on) :, : len(on)] = plane_rows[on].T
        if not len(right):
            return np.zeros(count), np.zeros(0)
        solved = np.linalg.lstsq(system, right, rcond=None)[0] if len(on) < free else np.linalg.solve(system, right)
        reactions = np.zeros(count)
        reactions[on] = solved[: len(on)]
        return reactions, solved[len(on) :]

    reactions, plane = pressed(np.arange(count))
    active = np.ones(count, dtype=bool)
    if (reactions < -PULL).any():
        reactions, plane, active = _let_go(
            pressed, _all_pushing(plane_rows, plane_load), rows, response, base, planes, known, mutual, low
        )
    coefficients = base + response @ reactions + planes @ plane
    return np.maximum(reactions, 0.0), active, coefficients


def _all_pushing(plane_rows: Array, plane_load: Array) -> Array:
    """Forces that balance the load with every support pushing as hard as it can be made to."""
    count = len(plane_rows)
    if not len(plane_load):
        return np.ones(count)
    # Needed only when a board lifts off, and slow to load: hence here.
    from scipy.optimize import linprog

    # Maximise the least force t: unknowns are the forces less t, and t itself.
    equal = np.concatenate([plane_rows.T, plane_rows.sum(axis=0)[:, None]], axis=1)
    found = linprog(np.append(np.zeros(count), -1.0), A_eq=equal, b_eq=plane_load, bounds=(0, None))
    if not found.success or found.x is None:
        raise Infeasible("these supports", "no set of them carries the load by pushing alone", "move the supports")
    return np.asarray(found.x[:count] + found.x[count])


def _let_go(
    pressed: Callable[[npt.NDArray[np.intp]], tuple[Array, Array]],
    start: Array,
    rows: Array,
    response: Array,
    base: Array,
    planes: Array,
    known: Array,
    mutual: Array,
    low: Array,
) -> tuple[Array, Array, npt.NDArray[np.bool_]]:
    """
    Find the supports that stay pressed, from forces that balance the load and all push.

    The energy of the board is convex in the forces, so that walking to each set's own solution, dropping the support
    that reaches zero first and taking back one that the board would sink through ends at the one true answer.
    """
    count = len(start)
    forces = start
    active = np.ones(count, dtype=bool)
    for _ in range(20 * count + 20):
        aim, plane = pressed(np.flatnonzero(active))
        step = aim - forces
        falling = active & (step < 0) & (aim < -PULL)
        if falling.any():
            shares = np.full(count, np.inf)
            shares[falling] = forces[falling] / -step[falling]
            first = int(shares.argmin())
            forces = forces + min(1.0, float(shares[first])) * step
            forces[first] = 0.0
            active[first] = False
            continue
        forces = aim
        gap = rows @ (base + response @ forces + planes @ plane) + known - mutual @ forces - low
        sunk = np.where(active, -np.inf, gap)
        if sunk.max() <= PULL:
            return forces, plane, active
        active[int(sunk.argmax())] = True
    raise Infeasible("these supports", "no set of them carries the load by pushing alone", "move the supports")


def _held_rim(kernel: _Kernel, sources: Array) -> Array:
    """Deflection (and, if clamped, slope outwards) of the endless plate at the rim for each source."""
    down = _singular(kernel.rim, sources)
    if len(kernel.edge_rows) == len(kernel.rim):
        return down
    x = kernel.rim[:, None, 0] - sources[None, :, 0]
    y = kernel.rim[:, None, 1] - sources[None, :, 1]
    level = (np.log(np.maximum(x * x + y * y, 1e-300)) + 1.0) / (8 * pi)
    turn = level * (x * kernel.rim_normal[:, :1] + y * kernel.rim_normal[:, 1:])
    return np.concatenate([down, turn])


def _centroid(outline: Outline) -> Point:
    """Centre of area, from the middle of the bounding box; only a heart's lies off it. [mm]"""
    if outline.shape is not Shape.HEART:
        return (0.0, 0.0)
    points, weights = _fan(outline, 4, 8)
    return (0.0, float(points[:, 1] @ weights / weights.sum()))


@lru_cache(maxsize=256)
def _mean_values(patch: Outline, scale: float, x_mm: float, y_mm: float, degree: int) -> tuple[float, ...]:
    """Mean of every basis function of a board over a patch."""
    points, weights = _fan(patch, 10, 18)
    shifted = (points + np.array([x_mm, y_mm])) / scale
    basis = _Basis.of(degree)
    return tuple((weights / weights.sum()) @ basis.values(shifted, (0, 0))[0])


def _patch_work(kernel: _Kernel, patches: tuple[PatchForce, ...], scale: float, total: float) -> Array:
    """Work of the spread loads on each basis function, for a total load of one."""
    work = np.zeros(len(kernel.basis.pairs))
    for patch in patches:
        share = patch.force_n / total
        means = _mean_values(patch.outline, scale, patch.x_mm, patch.y_mm, kernel.basis.degree)
        work += share * np.array(means)
    return work


def _curvatures(
    kernel: _Kernel, coefficients: Array, sources: Array, strengths: Array, core: float
) -> tuple[Array, Array, Array]:
    """Second derivatives over the board and right at every force."""
    cores = np.full(len(sources), core)
    found = _singular_second(kernel.field, sources, cores)
    field = [
        second @ coefficients + singular @ strengths
        for second, singular in zip(kernel.field_second, found, strict=True)
    ]
    if not len(sources):
        return field[0], field[1], field[2]
    rows = kernel.basis.values(sources, (2, 0), (0, 2), (1, 1))
    found = _singular_second(sources, sources, cores)
    at = [row @ coefficients + singular @ strengths for row, singular in zip(rows, found, strict=True)]
    joined = [np.concatenate(pair) for pair in zip(field, at, strict=True)]
    return joined[0], joined[1], joined[2]


def _rim_slope(kernel: _Kernel, coefficients: Array, sources: Array, strengths: Array) -> float:
    """Greatest slope on the rim, in scaled units."""
    x = kernel.rim[:, None, 0] - sources[None, :, 0]
    y = kernel.rim[:, None, 1] - sources[None, :, 1]
    level = (np.log(np.maximum(x * x + y * y, 1e-300)) + 1.0) / (8 * pi)
    dx = kernel.rim_dx @ coefficients + (level * x) @ strengths
    dy = kernel.rim_dy @ coefficients + (level * y) @ strengths
    return float(np.hypot(dx, dy).max())


def spread_radius_mm(contact_mm: float, thickness_mm: float) -> float:
    """
    Radius over which a force on a small disc acts in a plate of some thickness.

    Parameters
    ----------
    contact_mm
        Radius of the disc. [mm], 0 to 200
    thickness_mm
        Thickness of the plate. [mm], 0 to 60

    Returns
    -------
    radius_mm
        ``sqrt(1.6 c^2 + t^2) - 0.675 t`` below half a thickness, the disc's own radius from there on. [mm]

    Raises
    ------
    OutOfRange
        A measure outside its span.

    References
    ----------
    .. [1] Roark's Formulas for Stress and Strain, 8th ed., section 11.1, after Westergaard 1926.

    Examples
    --------
    >>> round(spread_radius_mm(0.0, 10.0), 2)
    3.25
    """
    require_range("contact radius", contact_mm, 0.0, 200.0, "mm")
    require_range("thickness", thickness_mm, 0.0, 60.0, "mm")
    if contact_mm >= 0.5 * thickness_mm:
        return max(contact_mm, 1e-3)
    return sqrt(1.6 * contact_mm**2 + thickness_mm**2) - 0.675 * thickness_mm


def reaction_shifts(
    outline: Outline, *, stiffness_nmm: float, poisson: float, supports: tuple[PlateSupport, ...]
) -> tuple[tuple[float, ...], ...]:
    """
    How the reactions shift when supports are not of one length, while all of them stay pressed.

    Parameters
    ----------
    outline
        Outline of the board. [mm]
    stiffness_nmm
        Flexural rigidity. [N mm]
    poisson
        Poisson's ratio. [-]
    supports
        Where it stands; at least three.

    Returns
    -------
    shifts
        Row i, column j: change of force i for each millimetre that support j is too long. [N/mm]
    """
    require_range("board stiffness", stiffness_nmm, 1e-6, 1e12, "N mm")
    scale = outline.largest_mm / 2
    spots = np.array([(s.x_mm, s.y_mm) for s in supports], dtype=float) / scale
    _check_inside(outline, spots * scale, "a support")
    kernel = _kernel(_unit(outline), round(poisson, 6), Edge.FREE, DEGREE)
    rows = kernel.basis.values(spots, (0, 0))[0]
    count = len(spots)
    soft = np.array([s.flexibility_mm_per_n for s in supports]) * stiffness_nmm / scale**2
    bends = rows @ kernel.compliance @ _edge_terms(kernel, spots, poisson) - _singular(spots, spots) - np.diag(soft)
    planes = rows @ kernel.null
    system = np.block([[bends, planes], [planes.T, np.zeros((3, 3))]])
    inverse = np.linalg.inv(system)[:count, :count]
    # A support that is too long is one that is low by less than nothing.
    shifts = -inverse * stiffness_nmm / scale**2
    return tuple(tuple(float(value) for value in row) for row in shifts)
