"""Bending of a thin board that stands on points: deflection, moments and reactions.

The board is a Kirchhoff plate with a free edge. Each point force (a support below, a support of the tier above
standing on the board) brings the exact infinite-plate solution ``r^2 ln r / (8 pi D)``; what is left is smooth and is
taken by a polynomial that minimises the energy. Only edge integrals of the singular part are needed, so that one
solution costs a few small matrix products.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from math import pi, sqrt
from typing import Final

import numpy as np
import numpy.typing as npt

from tierwright.errors import Infeasible, require_range
from tierwright.shapes import Outline, Point, Shape
from tierwright.support.plate_contact import Stance, pressed_supports, stance
from tierwright.support.plate_kernel import (
    Array,
    Edge,
    PlateBasis,
    PlateKernel,
    edge_terms,
    fan,
    prepare_kernel,
    singular,
    singular_second,
    star_centre,
    unit_outline,
)

DEGREE: Final = 14
INSIDE_MARGIN: Final = 1e-6
OVERHANG: Final = 0.01
"""Share by which the chords of a spread load's outline may pass the board's rim. [-]"""


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


def _check_inside(outline: Outline, points: Array, what: str, margin: float = INSIDE_MARGIN) -> None:
    """Refuse a point outside the outline (points on the rim are let in)."""
    if not len(points):
        return
    centre, a, b, area = _chords(outline)
    rel = points - centre
    # Seen from the star centre, a point must not lie beyond the chord that its ray meets.
    before = rel[:, 1:] * a[:, 0] - rel[:, :1] * a[:, 1]
    after = rel[:, :1] * b[:, 1] - rel[:, 1:] * b[:, 0]
    sector = (before >= -1e-9 * area) & (after >= -1e-9 * area)
    inside = (sector & ((before + after) / area <= 1 + margin)).any(axis=1)
    if not inside.all():
        x, y = points[int(inside.argmin())]
        raise Infeasible(f"{what} at ({x:.1f}, {y:.1f}) mm", f"it lies outside the {outline.describe()} board")


@lru_cache(maxsize=128)
def _chords(outline: Outline) -> tuple[Array, Array, Array, Array]:
    """Star centre of an outline, both ends of every chord seen from it, and twice the area of the triangle so made."""
    corners = np.array(outline.polygon())
    centre = np.array(star_centre(outline))
    a, b = corners - centre, np.roll(corners, -1, axis=0) - centre
    return centre, a, b, a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]


def _hull_holds(points: Array, load: Array, tolerance: float) -> bool:
    """Whether a load stands inside the polygon spanned by the points, by more than the tolerance."""
    around = np.arctan2(points[:, 1] - load[1], points[:, 0] - load[0])
    order = np.sort(around)
    gaps = np.diff(np.concatenate([order, [order[0] + 2 * pi]]))
    if gaps.max() >= pi - 1e-9:
        return False
    # Distance from the load to the nearest side of the hull, by directions normal to every pair of points.
    first, second = np.triu_indices(len(points), 1)
    side = points[second] - points[first]
    length = np.hypot(side[:, 0], side[:, 1])
    apart = length > 0
    normal = np.stack([-side[:, 1], side[:, 0]], axis=1)[apart] / length[apart, None]
    start = points[first][apart]
    offsets = ((points[None, :, :] - start[:, None, :]) * normal[:, None, :]).sum(axis=2)
    distance = ((load - start) * normal).sum(axis=1)
    out_left = (offsets >= -1e-9).all(axis=1) & (distance < tolerance)
    out_right = (offsets <= 1e-9).all(axis=1) & (distance > -tolerance)
    return not bool((out_left | out_right).any())


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
    curved: bool = True,
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
    curved
        Whether moment and slope are wanted; a search for the flattest board does without, and finds 0 there.

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
    _check_supports(outline, tuple((s.x_mm, s.y_mm) for s in supports))
    _check_inside(outline, forces_at, "a force")
    for patch in patches:
        if patch.outline != outline or (patch.x_mm, patch.y_mm) != (0.0, 0.0):
            shift = np.array([patch.x_mm, patch.y_mm])
            _check_inside(outline, np.array(patch.outline.polygon()) + shift, "a spread load", OVERHANG)
    unit, known_poisson = unit_outline(outline), round(poisson, 6)
    kernel = prepare_kernel(unit, known_poisson, edge, degree)
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
    places = tuple((s.x_mm / scale, s.y_mm / scale) for s in supports)
    stands = stance(unit, known_poisson, edge, degree, places)
    forces_at, pulls = forces_at / scale, pulls / total
    unit_deflection = total * scale**2 / stiffness_nmm
    smooth = _patch_work(kernel, patches, scale, total)
    if len(pulls):
        smooth = smooth + (-edge_terms(kernel, forces_at, poisson) @ pulls)
    low = np.array([s.low_by_mm for s in supports]) / unit_deflection if supports else np.zeros(0)
    soft = np.array([s.flexibility_mm_per_n for s in supports]) * total / unit_deflection if supports else np.zeros(0)
    reactions, active, coefficients = pressed_supports(kernel, stands, forces_at, pulls, smooth, low, soft)

    sources = np.concatenate([forces_at, stands.spots])
    strengths = np.concatenate([pulls, -reactions])
    down = kernel.field_values @ coefficients - stands.field @ reactions
    middle = kernel.middle_values @ coefficients - stands.middle @ reactions
    if len(pulls):
        down = down + singular(kernel.field, forces_at) @ pulls
        middle = middle + singular(kernel.middle, forces_at) @ pulls
    worst = int(np.abs(down).argmax())
    greatest, where = float(abs(down[worst])), kernel.field[worst]
    if len(pulls):
        # A lone force may press deepest right under itself, between the sampled places.
        rows = kernel.basis.values(forces_at, (0, 0))[0]
        under = rows @ coefficients + singular(forces_at, sources) @ strengths
        deepest = int(np.abs(under).argmax())
        if abs(under[deepest]) > greatest:
            greatest, where = float(abs(under[deepest])), forces_at[deepest]
    moment = slope = 0.0
    if curved:
        core = spread_radius_mm(contact_mm, thickness_mm) / scale
        under = _second_under(unit, known_poisson, edge, degree, places, core)
        xx, yy, xy = _curvatures(kernel, stands, under, coefficients, forces_at, pulls, reactions, core)
        # Bending moments from curvatures, then the larger principal one.
        mx, my, mxy = xx + poisson * yy, yy + poisson * xx, (1 - poisson) * xy
        moment = float((np.abs((mx + my) / 2) + np.hypot((mx - my) / 2, mxy)).max())
        slope = _rim_slope(kernel, coefficients, sources, strengths)
    rim_count = len(kernel.rim)
    rim_down = down[-rim_count:]
    shown = _round_the_rim(unit, known_poisson, edge, degree)
    rim = np.column_stack([kernel.rim[shown] * scale, rim_down[shown] * unit_deflection])
    along = np.column_stack([kernel.middle[:, 0] * scale, middle * unit_deflection])
    return PlateSolution(
        reactions_n=tuple(float(r * total) for r in reactions),
        carrying=tuple(bool(a) for a in active),
        sag_mm=greatest * unit_deflection,
        sag_at_mm=(float(where[0] * scale), float(where[1] * scale)),
        dip_mm=float(max(0.0, down.max()) * unit_deflection),
        rise_mm=float(max(0.0, -down.min()) * unit_deflection),
        moment_n=moment * total,
        slope=slope * unit_deflection / scale,
        rim=tuple((x, y, w) for x, y, w in rim.tolist()),
        middle=tuple((x, w) for x, w in along.tolist()),
    )


def settle_plate(solution: PlateSolution) -> PlateSolution:
    """
    Cut a solution to digits that every processor and number of threads agrees on.

    The matrices behind it are ill-conditioned enough for their products to differ in the tenth digit between machines.
    Forces are kept to 0.01 mN (the weight of a milligram), movements to a nanometre and the drawn shape to a tenth of
    a micrometre, so that a choice between equal layouts falls alike everywhere.

    Parameters
    ----------
    solution
        As ``bend_plate`` gives it.

    Returns
    -------
    settled
        The same, cut.
    """
    return replace(
        solution,
        reactions_n=tuple(round(force, 5) for force in solution.reactions_n),
        sag_mm=round(solution.sag_mm, 6),
        sag_at_mm=(_drawn(solution.sag_at_mm[0]), _drawn(solution.sag_at_mm[1])),
        dip_mm=round(solution.dip_mm, 6),
        rise_mm=round(solution.rise_mm, 6),
        moment_n=round(solution.moment_n, 5),
        slope=round(solution.slope, 8),
        rim=tuple((_drawn(x), _drawn(y), _drawn(down)) for x, y, down in solution.rim),
        middle=tuple((_drawn(x), _drawn(down)) for x, down in solution.middle),
    )


def _drawn(length_mm: float) -> float:
    """Cut a length of the deflected shape; adding nought turns a negative nought into a plain one. [mm]"""
    return round(length_mm, 4) + 0.0


def _centroid(outline: Outline) -> Point:
    """Centre of area, from the middle of the bounding box; only a heart's lies off it. [mm]"""
    if outline.shape is not Shape.HEART:
        return (0.0, 0.0)
    points, weights = fan(outline, 4, 8)
    return (0.0, float(points[:, 1] @ weights / weights.sum()))


@lru_cache(maxsize=256)
def _mean_values(patch: Outline, scale: float, x_mm: float, y_mm: float, degree: int) -> tuple[float, ...]:
    """Mean of every basis function of a board over a patch."""
    points, weights = fan(patch, 10, 18)
    shifted = (points + np.array([x_mm, y_mm])) / scale
    basis = PlateBasis.of(degree)
    return tuple((weights / weights.sum()) @ basis.values(shifted, (0, 0))[0])


def _patch_work(kernel: PlateKernel, patches: tuple[PatchForce, ...], scale: float, total: float) -> Array:
    """Work of the spread loads on each basis function, for a total load of one."""
    work = np.zeros(len(kernel.basis.pairs))
    for patch in patches:
        share = patch.force_n / total
        means = _mean_values(patch.outline, scale, patch.x_mm, patch.y_mm, kernel.basis.degree)
        work += share * np.array(means)
    return work


@lru_cache(maxsize=64)
def _round_the_rim(unit: Outline, poisson: float, edge: Edge, degree: int) -> npt.NDArray[np.intp]:
    """Places on the rim for the deflected-shape figure, in the order round it."""
    rim = prepare_kernel(unit, poisson, edge, degree).rim
    order = np.argsort(np.arctan2(rim[:, 1], rim[:, 0]), kind="stable")
    return order[:: max(1, len(rim) // 96)]


@lru_cache(maxsize=512)
def _check_supports(outline: Outline, places: tuple[Point, ...]) -> None:
    _check_inside(outline, np.array(places, dtype=float).reshape(-1, 2), "a support")


@lru_cache(maxsize=128)
def _second_under(
    unit: Outline, poisson: float, edge: Edge, degree: int, places: tuple[Point, ...], core: float
) -> tuple[Array, Array, Array]:
    """Second derivatives all over the board of the endless plate, for a unit force of every support."""
    kernel = prepare_kernel(unit, poisson, edge, degree)
    spots = np.array(places, dtype=float).reshape(-1, 2)
    return singular_second(kernel.field, spots, np.full(len(spots), core))


def _curvatures(
    kernel: PlateKernel,
    stands: Stance,
    under: tuple[Array, Array, Array],
    coefficients: Array,
    forces_at: Array,
    pulls: Array,
    reactions: Array,
    core: float,
) -> tuple[Array, Array, Array]:
    """Second derivatives over the board and right at every force."""
    field = [
        second @ coefficients - spread @ reactions for second, spread in zip(kernel.field_second, under, strict=True)
    ]
    sources, strengths = np.concatenate([forces_at, stands.spots]), np.concatenate([pulls, -reactions])
    at_supports, sources_second = stands.second, singular_second(sources, sources, np.full(len(sources), core))
    if len(forces_at):
        pressed = singular_second(kernel.field, forces_at, np.full(len(forces_at), core))
        field = [whole + spread @ pulls for whole, spread in zip(field, pressed, strict=True)]
        there = kernel.basis.values(forces_at, (2, 0), (0, 2), (1, 1))
        rows = [np.concatenate(pair) for pair in zip(there, at_supports, strict=True)]
    else:
        rows = list(at_supports)
    at = [row @ coefficients + spread @ strengths for row, spread in zip(rows, sources_second, strict=True)]
    joined = [np.concatenate(pair) for pair in zip(field, at, strict=True)]
    return joined[0], joined[1], joined[2]


def _rim_slope(kernel: PlateKernel, coefficients: Array, sources: Array, strengths: Array) -> float:
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
    kernel = prepare_kernel(unit_outline(outline), round(poisson, 6), Edge.FREE, DEGREE)
    rows = kernel.basis.values(spots, (0, 0))[0]
    count = len(spots)
    soft = np.array([s.flexibility_mm_per_n for s in supports]) * stiffness_nmm / scale**2
    bends = rows @ kernel.compliance @ edge_terms(kernel, spots, poisson) - singular(spots, spots) - np.diag(soft)
    planes = rows @ kernel.null
    system = np.block([[bends, planes], [planes.T, np.zeros((3, 3))]])
    inverse = np.linalg.inv(system)[:count, :count]
    # A support that is too long is one that is low by less than nothing.
    shifts = -inverse * stiffness_nmm / scale**2
    return tuple(tuple(float(value) for value in row) for row in shifts)
