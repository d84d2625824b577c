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
from tierwright.support.plate_kernel import Array, Edge, PlateKernel, edge_terms, held_rim, prepare_kernel, singular

PULL: Final = 1e-11
"""Pull, over the whole load, that is taken for rounding; likewise a gap, in the scaled units of deflection. [-]"""


@dataclass(frozen=True, slots=True)
class Stance:
    """What the places of a board's supports settle by themselves, whatever it carries."""

    spots: Array
    rows: Array  # basis functions at the supports
    second: tuple[Array, Array, Array]  # and their second derivatives there
    response: Array  # smooth part that each support's force calls up
    mutual: Array  # the endless plate: every support by every other,
    field: Array  # by every sampled place,
    middle: Array  # and along the middle line


@lru_cache(maxsize=512)
def stance(unit: Outline, poisson: float, edge: Edge, degree: int, places: tuple[Point, ...]) -> Stance:
    """Work out a stance, in units of the board; boards of one size are asked about the same places again and again."""
    kernel = prepare_kernel(unit, poisson, edge, degree)
    spots = np.array(places, dtype=float).reshape(-1, 2)
    count, functions = len(spots), len(kernel.basis.pairs)
    if not count:
        return Stance(
            spots=spots,
            rows=np.zeros((0, functions)),
            second=(np.zeros((0, functions)), np.zeros((0, functions)), np.zeros((0, functions))),
            response=np.zeros((functions, 0)),
            mutual=np.zeros((0, 0)),
            field=np.zeros((len(kernel.field), 0)),
            middle=np.zeros((len(kernel.middle), 0)),
        )
    response = kernel.compliance @ edge_terms(kernel, spots, poisson)
    if len(kernel.edge_rows):
        # The smooth part has to undo what the endless plate does at a held rim.
        lift = kernel.constraint @ held_rim(kernel, spots)
        response = response + lift - kernel.folded @ lift
    rows, xx, yy, xy = kernel.basis.values(spots, (0, 0), (2, 0), (0, 2), (1, 1))
    return Stance(
        spots=spots,
        rows=rows,
        second=(xx, yy, xy),
        response=response,
        mutual=singular(spots, spots),
        field=singular(kernel.field, spots),
        middle=singular(kernel.middle, spots),
    )


def pressed_supports(
    kernel: PlateKernel,
    stands: Stance,
    forces_at: Array,
    pulls: Array,
    smooth: Array,
    low: Array,
    soft: Array,
) -> tuple[Array, npt.NDArray[np.bool_], Array]:
    """
    Find which supports are pressed and how hard, and the smooth part's coefficients.

    Supports that would have to pull are let go, and taken back if the board then sinks through them.
    """
    count = len(stands.spots)
    rows, response, mutual = stands.rows, stands.response, stands.mutual
    known = singular(stands.spots, forces_at) @ pulls if count and len(pulls) else np.zeros(count)
    particular = np.zeros(len(kernel.basis.pairs))
    if len(kernel.edge_rows) and len(pulls):
        particular = kernel.constraint @ (-held_rim(kernel, forces_at) @ pulls)
    # The smooth part: v = v0 + C (load - K v0), v0 being what the held rim forces on it.
    base = kernel.compliance @ smooth + particular - kernel.folded @ particular
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
