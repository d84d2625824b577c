"""Bending of a thin board that stands on points: deflection, moments and reactions.

The board is a Kirchhoff plate with a free edge. Each point force (a support below, a support of the tier above
standing on the board) brings the exact infinite-plate solution ``r^2 ln r / (8 pi D)``; what is left is smooth and is
taken by a polynomial that minimises the energy. Only edge integrals of the singular part are needed, so that one
solution costs a few small matrix products. What each place and each spread load does by itself is kept: a board is
asked about ring after ring under one load, and about one ring under load after load, and all of it adds up.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import IntEnum
from functools import lru_cache
from math import sqrt
from typing import Final

import numpy as np
import numpy.typing as npt

from tierwright.errors import Infeasible, require_range
from tierwright.shapes import Outline, Point, Shape
from tierwright.support.plate_contact import Stance, across, holds, pressed_supports, stance
from tierwright.support.plate_kernel import (
    Array,
    Edge,
    PlateBasis,
    fan,
    prepare_kernel,
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


class Wanted(IntEnum):
    """How much of a solution is worked out; each takes in those before it."""

    FORCES = 0
    SAG = 1
    MOMENT = 2
    SHAPE = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateSolution:
    """
    What a loaded board does; what was not wanted is nought or empty.

    Attributes
    ----------
    reactions_n
        Force on each support, in their order; never negative. [N]
    carrying
        Whether each support is pressed at all.
    sag_mm
        Greatest distance between the board and the plane through its unloaded support tops, up or down. [mm]
    dip_mm
        Greatest movement down. [mm]
    moment_n
        Greatest bending moment for each unit of width, anywhere. [N mm/mm]
    rim
        Outline points with their deflection, for the deflected-shape figure: x, y, down. [mm]
    middle
        Deflection along the diameter in x from left to right: x, down. [mm]
    """

    reactions_n: tuple[float, ...]
    carrying: tuple[bool, ...]
    sag_mm: float
    dip_mm: float
    moment_n: float
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
    wanted: Wanted = Wanted.SHAPE,
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
    wanted
        How much is worked out: a search for the flattest board does without moments and shape.

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
    _check_places(outline, tuple((s.x_mm, s.y_mm) for s in supports), "a support")
    _check_places(outline, tuple((p.x_mm, p.y_mm) for p in points), "a force")
    for patch in patches:
        _check_spread(outline, patch.outline, patch.x_mm, patch.y_mm)
    total = sum(p.force_n for p in points) + sum(patch.force_n for patch in patches)
    if total <= 0:
        raise ValueError("a board's load has to press down")

    # Everything below in units of scale (length), total (force) and total scale^2 / D (deflection).
    unit, known_poisson = unit_outline(outline), round(poisson, 6)
    kernel = prepare_kernel(unit, known_poisson, edge, degree)
    stands = stance(unit, known_poisson, edge, degree, tuple((s.x_mm / scale, s.y_mm / scale) for s in supports))
    presses = stance(unit, known_poisson, edge, degree, tuple((p.x_mm / scale, p.y_mm / scale) for p in points))
    pulls = np.array([p.force_n for p in points], dtype=float) / total
    spread = _spread(unit, known_poisson, edge, degree, scale, total, patches)
    if edge is Edge.FREE:
        _check_balance(outline, stands, _load_at(presses, pulls, patches, scale, total), scale)
    unit_deflection = total * scale**2 / stiffness_nmm
    low = np.array([s.low_by_mm for s in supports], dtype=float) / unit_deflection
    soft = np.array([s.flexibility_mm_per_n for s in supports], dtype=float) * total / unit_deflection
    plane_load = kernel.null.T @ (spread.means + presses.rows.T @ pulls)
    drop = stands.rows @ spread.response - across(stands, presses) @ pulls
    reactions, active, plane = pressed_supports(stands.mutual, stands.rows @ kernel.null, plane_load, drop, low, soft)

    lying = kernel.null @ plane
    down = np.zeros(1)
    sag = moment = 0.0
    if wanted >= Wanted.SAG:
        down = spread.field - presses.field @ pulls + stands.field @ reactions + kernel.field_values @ lying
        # A lone force may press deepest right under itself, between the sampled places.
        under = presses.rows @ (spread.response + lying) - presses.mutual @ pulls + across(presses, stands) @ reactions
        sag = float(max(np.abs(down).max(), np.abs(under).max(initial=0.0)))
    if wanted >= Wanted.MOMENT:
        core = spread_radius_mm(contact_mm, thickness_mm) / scale
        smooth = spread.response - presses.response @ pulls + stands.response @ reactions
        xx, yy, xy = _curvatures(unit, known_poisson, edge, degree, core, smooth, presses, pulls, stands, reactions)
        # Bending moments from curvatures, then the larger principal one.
        mx, my, mxy = xx + poisson * yy, yy + poisson * xx, (1 - poisson) * xy
        moment = float((np.abs((mx + my) / 2) + np.hypot((mx - my) / 2, mxy)).max())
    rim: list[tuple[float, float, float]] = []
    along: list[tuple[float, float]] = []
    if wanted >= Wanted.SHAPE:
        shown = _round_the_rim(unit, known_poisson, edge, degree)
        rim_down = down[-len(kernel.rim) :][shown] * unit_deflection
        rim = np.column_stack([kernel.rim[shown] * scale, rim_down]).tolist()
        middle = spread.middle - presses.middle @ pulls + stands.middle @ reactions + kernel.middle_values @ lying
        along = np.column_stack([kernel.middle[:, 0] * scale, middle * unit_deflection]).tolist()
    return PlateSolution(
        reactions_n=tuple((reactions * total).tolist()),
        carrying=tuple(active.tolist()),
        sag_mm=sag * unit_deflection,
        dip_mm=float(max(0.0, down.max()) * unit_deflection),
        moment_n=moment * total,
        rim=tuple((x, y, w) for x, y, w in rim),
        middle=tuple((x, w) for x, w in along),
    )


def _check_balance(outline: Outline, stands: Stance, at: Array, scale: float) -> None:
    """Refuse supports that do not stand all round the load, whose middle lies at a place in units of the board."""
    count = len(stands.spots)
    if count < 3 or not holds(stands, at, 1e-3):
        raise Infeasible(
            f"{count} supports under a {outline.describe()} board",
            f"the load stands at ({at[0] * scale:.1f}, {at[1] * scale:.1f}) mm, not inside the figure that the "
            "supports span; supports push and cannot pull",
            "set the supports all round the load",
        )


def _load_at(presses: Stance, pulls: Array, patches: tuple[PatchForce, ...], scale: float, total: float) -> Array:
    """Middle of everything that presses, in units of the board."""
    at = presses.spots.T @ pulls
    for patch in patches:
        cx, cy = _centroid(patch.outline)
        at = at + patch.force_n / (total * scale) * np.array([patch.x_mm + cx, patch.y_mm + cy])
    return np.asarray(at)


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
        dip_mm=round(solution.dip_mm, 6),
        moment_n=round(solution.moment_n, 5),
        rim=tuple((_drawn(x), _drawn(y), _drawn(down)) for x, y, down in solution.rim),
        middle=tuple((_drawn(x), _drawn(down)) for x, down in solution.middle),
    )


def _drawn(length_mm: float) -> float:
    """Cut a length of the deflected shape; adding nought turns a negative nought into a plain one. [mm]"""
    return round(length_mm, 4) + 0.0


@lru_cache(maxsize=128)
def _centroid(outline: Outline) -> Point:
    """Centre of area, from the middle of the bounding box; only a heart's lies off it. [mm]"""
    if outline.shape is not Shape.HEART:
        return (0.0, 0.0)
    points, weights = fan(outline, 4, 8)
    return (0.0, float(points[:, 1] @ weights / weights.sum()))


@dataclass(frozen=True, slots=True)
class _Spread:
    """What spread loads do by themselves: mean of every basis function, the smooth part, and its values all over."""

    means: Array
    response: Array
    field: Array
    middle: Array


@lru_cache(maxsize=16)
def _spread(
    unit: Outline,
    poisson: float,
    edge: Edge,
    degree: int,
    scale: float,
    total: float,
    patches: tuple[PatchForce, ...],
) -> _Spread:
    """Add up what spread loads do, each with its share of the whole; one level asks the same for every ring."""
    kernel = prepare_kernel(unit, poisson, edge, degree)
    means = np.zeros(len(kernel.basis.pairs))
    for patch in patches:
        means = means + patch.force_n / total * _means(patch.outline, scale, patch.x_mm, patch.y_mm, degree)
    response = kernel.compliance @ means
    return _Spread(
        means=means,
        response=response,
        field=kernel.field_values @ response,
        middle=kernel.middle_values @ response,
    )


@lru_cache(maxsize=256)
def _means(patch: Outline, scale: float, x_mm: float, y_mm: float, degree: int) -> Array:
    """Mean of every basis function of a board over a patch."""
    points, weights = fan(patch, 10, 18)
    shifted = (points + np.array([x_mm, y_mm])) / scale
    return np.asarray((weights / weights.sum()) @ PlateBasis.of(degree).values(shifted, (0, 0))[0])


@lru_cache(maxsize=64)
def _round_the_rim(unit: Outline, poisson: float, edge: Edge, degree: int) -> npt.NDArray[np.intp]:
    """Places on the rim for the deflected-shape figure, in the order round it."""
    rim = prepare_kernel(unit, poisson, edge, degree).rim
    order = np.argsort(np.arctan2(rim[:, 1], rim[:, 0]), kind="stable")
    return order[:: max(1, len(rim) // 96)]


@lru_cache(maxsize=512)
def _check_places(outline: Outline, places: tuple[Point, ...], what: str) -> None:
    _check_inside(outline, np.array(places, dtype=float).reshape(-1, 2), what)


@lru_cache(maxsize=128)
def _check_spread(outline: Outline, patch: Outline, x_mm: float, y_mm: float) -> None:
    if patch != outline or (x_mm, y_mm) != (0.0, 0.0):
        _check_inside(outline, np.array(patch.polygon()) + np.array([x_mm, y_mm]), "a spread load", OVERHANG)


@lru_cache(maxsize=128)
def _endless_by(
    unit: Outline, poisson: float, edge: Edge, degree: int, places: tuple[Point, ...], core: float
) -> Array:
    """Second derivatives of the endless plate all over the board by a force of one at each place."""
    spots = np.array(places, dtype=float).reshape(-1, 2)
    return _endless(prepare_kernel(unit, poisson, edge, degree).field, spots, core)


def _endless(points: Array, sources: Array, core: float) -> Array:
    """Second derivatives of the endless plate by a force of one at each source: xx, yy, xy (3 x points x sources)."""
    return np.stack(singular_second(points, sources, np.full(len(sources), core)))


def _curvatures(
    unit: Outline,
    poisson: float,
    edge: Edge,
    degree: int,
    core: float,
    smooth: Array,
    presses: Stance,
    pulls: Array,
    stands: Stance,
    reactions: Array,
) -> Array:
    """Second derivatives over the board and right at every force: xx, yy, xy (3 x places)."""
    kept = (unit, poisson, edge, degree)
    up = _endless_by(*kept, tuple(map(tuple, stands.spots.tolist())), core) @ reactions
    down = _endless_by(*kept, tuple(map(tuple, presses.spots.tolist())), core) @ pulls
    field = prepare_kernel(*kept).field_second @ smooth + down - up
    sources, strengths = np.concatenate([stands.spots, presses.spots]), np.concatenate([-reactions, pulls])
    rows = np.concatenate([stands.second, presses.second], axis=1)
    at = rows @ smooth + _endless(sources, sources, core) @ strengths
    return np.concatenate([field, at], axis=1)


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
    _check_places(outline, tuple((s.x_mm, s.y_mm) for s in supports), "a support")
    places = tuple((s.x_mm / scale, s.y_mm / scale) for s in supports)
    unit, known_poisson = unit_outline(outline), round(poisson, 6)
    stands = stance(unit, known_poisson, Edge.FREE, DEGREE, places)
    count = len(places)
    soft = np.array([s.flexibility_mm_per_n for s in supports]) * stiffness_nmm / scale**2
    bends = stands.mutual - np.diag(soft)
    planes = stands.rows @ prepare_kernel(unit, known_poisson, Edge.FREE, DEGREE).null
    system = np.block([[bends, planes], [planes.T, np.zeros((3, 3))]])
    inverse = np.linalg.inv(system)[:count, :count]
    # A support that is too long is one that is low by less than nothing.
    shifts = -inverse * stiffness_nmm / scale**2
    return tuple(tuple(float(value) for value in row) for row in shifts)
