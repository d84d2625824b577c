"""Which supports a board presses, and how hard: they push and do not pull."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt

from tierwright.errors import Infeasible
from tierwright.shapes import Outline, Point
from tierwright.support.plate_kernel import Array, Edge, edge_terms, held_rim, prepare_kernel, singular

PULL: Final = 1e-11
"""Pull, over the whole load, that is taken for rounding; likewise a gap, in the scaled units of deflection. [-]"""


@dataclass(frozen=True, slots=True)
class Stance:
    """
    What a set of places settles by itself, whether forces push up there or press down, and whatever else there is.

    Every answer of a board adds up from such sets, since it is linear in the forces.
    """

    spots: Array
    rows: Array  # basis functions at the places
    second: Array  # and their second derivatives there: xx, yy, xy (3 x places x functions)
    response: Array  # smooth part that a push up at each place calls up
    mutual: Array  # what the push up at each place moves every place down,
    field: Array  # every sampled place,
    middle: Array  # and the middle line
    walls: Array  # sides of the figure that the places span: inward normal, and its way from the middle


@lru_cache(maxsize=512)
def stance(unit: Outline, poisson: float, edge: Edge, degree: int, places: tuple[Point, ...]) -> Stance:
    """Work out a stance, in units of the board; boards of one size are asked about the same places again and again."""
    kernel = prepare_kernel(unit, poisson, edge, degree)
    spots = np.array(places, dtype=float).reshape(-1, 2)
    rows, dx, dy, *second = kernel.basis.values(spots, (0, 0), (1, 0), (0, 1), (2, 0), (0, 2), (1, 1))
    response = kernel.compliance @ edge_terms(kernel, spots, poisson, rows, dx, dy)
    if len(kernel.edge_rows):
        # The smooth part has to undo what the endless plate does at a held rim.
        lift = kernel.constraint @ held_rim(kernel, spots)
        response = response + lift - kernel.folded @ lift
    return Stance(
        spots=spots,
        rows=rows,
        second=np.stack(second),
        response=response,
        mutual=rows @ response - singular(spots, spots),
        field=kernel.field_values @ response - singular(kernel.field, spots),
        middle=kernel.middle_values @ response - singular(kernel.middle, spots),
        walls=_walls(spots),
    )


def across(at: Stance, by: Stance) -> Array:
    """How far the push up at each place of one stance moves the places of another down, but for a plane."""
    return np.asarray(at.rows @ by.response - singular(at.spots, by.spots))


def _walls(spots: Array) -> Array:
    """Sides of the figure that places span (normal x, normal y, way): inside, the normals lead further than the way."""
    first, second = np.triu_indices(len(spots), 1)
    side = spots[second] - spots[first]
    length = np.hypot(side[:, 0], side[:, 1])
    apart = length > 0
    normal = np.stack([-side[:, 1], side[:, 0]], axis=1)[apart] / length[apart, None]
    way = (spots[first][apart] * normal).sum(axis=1)
    beyond = normal @ spots.T - way[:, None]
    lines = np.column_stack([normal, way])
    # Places all in one line have walls on both sides, and nothing between.
    left, right = (beyond >= -1e-11).all(axis=1), (beyond <= 1e-11).all(axis=1)
    return np.concatenate([lines[left], -lines[right]])


def holds(stands: Stance, at: Array, tolerance: float) -> bool:
    """Whether a load stands inside the figure that the places span, by more than the tolerance."""
    walls = stands.walls
    return bool(len(walls)) and bool((walls[:, :2] @ at - walls[:, 2] >= tolerance).all())


def pressed_supports(
    mutual: Array, plane_rows: Array, plane_load: Array, drop: Array, low: Array, soft: Array
) -> tuple[Array, npt.NDArray[np.bool_], Array]:
    """
    Find which supports are pressed and how hard, and the plane in which the board lies.

    Supports that would have to pull are let go, and taken back if the board then sinks through them.

    Parameters
    ----------
    mutual
        What a push up at each support moves every support down.
    plane_rows, plane_load
        The planes that the edge leaves free: their values at the supports, and the work of the load on them.
    drop
        What the load moves each support down, but for a plane.
    low, soft
        How far each top lies below the others', and how much it shortens under a force of one.
    """
    count, free = plane_rows.shape
    flexibility = mutual - np.diag(soft)

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
        start = _all_pushing(plane_rows, plane_load)
        reactions, plane, active = _let_go(pressed, start, mutual, plane_rows, drop - low)
    return np.maximum(reactions, 0.0), active, plane


def _all_pushing(plane_rows: Array, plane_load: Array) -> Array:
    """Forces that balance the load with every support pushing: as even as they can be, or each as hard as it can."""
    count = len(plane_rows)
    if not len(plane_load):
        return np.ones(count)
    even = np.linalg.lstsq(plane_rows.T, plane_load, rcond=None)[0]
    if even.min() > 0:
        return np.asarray(even)
    # Needed only when a board lifts off a lopsided stance, and slow to load: hence here.
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
    mutual: Array,
    plane_rows: Array,
    sunk_by: Array,
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
        gap = sunk_by + mutual @ forces + plane_rows @ plane
        sunk = np.where(active, -np.inf, gap)
        if sunk.max() <= PULL:
            return forces, plane, active
        active[int(sunk.argmax())] = True
    raise Infeasible("these supports", "no set of them carries the load by pushing alone", "move the supports")
