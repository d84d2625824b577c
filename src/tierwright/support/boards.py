"""Whether a board is stiff and strong enough for what stands on it and what it stands on."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import Final

import numpy as np
import numpy.typing as npt

from tierwright.shapes import Outline, Point
from tierwright.support.column import Section, bearing_pressure_mpa
from tierwright.support.model import BoardAnswer, Check, Deflected
from tierwright.support.plate import (
    PatchForce,
    PlateSolution,
    PlateSupport,
    PointForce,
    Wanted,
    bend_plate,
    plate_stiffness_nmm,
    settle_plate,
)
from tierwright.support.plate_kernel import Edge
from tierwright.support.ring import centre_of_area
from tierwright.support.tables import BoardStock, factor, find_material, finish_limits

SHOWN_SAG: Final = 0.05
"""A deflected-shape figure shows its greatest sag as this share of the board's width. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardCase:
    """
    A board with its loads and its places to stand.

    Attributes
    ----------
    outline
        Outline of the board. [mm]
    patches, points
        Loads straight down, at rest. [N]
    stands_on
        Where it stands. [mm]
    foot
        Section of the supports under it; None where it lies flat.
    feet_above
        Section and greatest force of the supports that stand on it; None without any. [N]
    finish
        Finish of the tier on it, which a sag would crack.
    span_mm
        Free span of the board. [mm]
    jolt
        Vertical acceleration of the road over gravity. [-]
    damp
        Whether the board is damp.
    """

    outline: Outline
    patches: tuple[PatchForce, ...]
    points: tuple[PointForce, ...]
    stands_on: tuple[PlateSupport, ...]
    foot: Section | None
    feet_above: tuple[Section, float] | None
    finish: str
    span_mm: float
    jolt: float
    damp: bool


def solve_board(case: BoardCase, board: BoardStock, wanted: Wanted = Wanted.SHAPE) -> PlateSolution:
    """Bend a board at rest, dry and new: elastic deflections, forces without factors; as much of it as is wanted."""
    material = find_material(board.material)
    solution = bend_plate(
        case.outline,
        stiffness_nmm=plate_stiffness_nmm(material.modulus_mpa.value, board.thickness_mm, material.poisson),
        poisson=material.poisson,
        supports=case.stands_on,
        patches=case.patches,
        points=case.points,
        thickness_mm=board.thickness_mm,
        contact_mm=case.foot.outer_mm / 2 if case.foot else 3.0,
        edge=Edge.FREE,
        wanted=wanted,
    )
    return settle_plate(solution)


def board_checks(
    case: BoardCase,
    board: BoardStock,
    *,
    elastic_sag_mm: float,
    moment_n: float,
    foot_force_n: float,
    key: str,
    brief: bool = False,
) -> tuple[Check, ...]:
    """
    Check a board's sag, bending and bearing.

    Parameters
    ----------
    case, board
        The board and its case.
    elastic_sag_mm
        Sag at rest, dry and new. [mm]
    moment_n
        Greatest bending moment at rest. [N mm/mm]
    foot_force_n
        Greatest force of a support below, at rest. [N]
    key
        Start of the checks' keys.
    brief
        Loaded for minutes only, so that it does not creep.

    Returns
    -------
    checks
        Sag after a day against the finish's limit; bending, and bearing of the supports below and above, with the
        load factor, the road's jolt, the low strength and the material's factor.
    """
    material = find_material(board.material)
    left = material.damp.value if case.damp else 1.0
    up = factor("load") * (1 + case.jolt)
    down = left / factor(f"material-{material.family}")
    sag = elastic_sag_mm * (1.0 if brief else 1 + material.creep) / left
    limit = case.span_mm / finish_limits()[case.finish].value.value
    bearing = material.bearing_mpa.low * down
    checks = [
        make_check(f"{key}.sag", f"sag of the {board.name}", sag, limit, "mm"),
        make_check(
            f"{key}.bending",
            f"bending of the {board.name}",
            6 * moment_n * up / board.thickness_mm**2,
            material.bend_mpa.low * down,
            "MPa",
        ),
    ]
    if case.foot is not None:
        pressure = bearing_pressure_mpa(case.foot, force_n=foot_force_n * up, spread_mm=board.thickness_mm / 2)
        checks.append(
            make_check(
                f"{key}.bearing", f"supports pressing into the {board.name} from below", pressure, bearing, "MPa"
            )
        )
    if case.feet_above is not None:
        section, force = case.feet_above
        pressure = bearing_pressure_mpa(section, force_n=force * up, spread_mm=board.thickness_mm / 2)
        checks.append(
            make_check(f"{key}.feet", f"supports above pressing into the {board.name}", pressure, bearing, "MPa")
        )
    return tuple(checks)


def make_check(key: str, label: str, demand: float, capacity: float, unit: str) -> Check:
    """Return a check, with its utilisation worked out; a capacity has to be above zero."""
    if capacity <= 0:
        raise ValueError(f"{label}: nothing is stood")
    return Check(key=key, label=label, demand=demand, capacity=capacity, unit=unit, utilisation=demand / capacity)


def answer_board(
    case: BoardCase,
    board: BoardStock,
    solution: PlateSolution,
    *,
    foot_force_n: float,
    tier: int,
    owned: tuple[BoardStock, ...],
    brief: bool = False,
) -> BoardAnswer:
    """
    Work out what a solved board does, and which of the maker's boards is needed if it will not do.

    Parameters
    ----------
    case, board, solution
        The board, its case and its solution.
    foot_force_n
        Greatest force of a support below. [N]
    tier
        The tier on it; 0 for the base.
    owned
        Boards of the maker.
    brief
        Loaded for minutes only, so that it does not creep.
    """
    key = f"supports.board.{tier}"
    material = find_material(board.material)
    checks = board_checks(
        case,
        board,
        elastic_sag_mm=solution.sag_mm,
        moment_n=solution.moment_n,
        foot_force_n=foot_force_n,
        key=key,
        brief=brief,
    )
    needed = ""
    if not all(check.passes for check in checks):
        for other in owned:
            if (
                other.key != board.key
                and worst_of(scaled_checks(case, other, board, solution, foot_force_n, key, brief=brief)) <= 1
            ):
                needed = other.key
                break
    return BoardAnswer(
        tier=tier,
        board=board.key,
        material=material.key,
        thickness_mm=board.thickness_mm,
        sag_mm=checks[0].demand,
        limit_mm=checks[0].capacity,
        span_mm=case.span_mm,
        checks=checks,
        needed=needed,
        deflected=deflected(case.outline, solution),
    )


def scaled_checks(
    case: BoardCase,
    board: BoardStock,
    solved: BoardStock,
    solution: PlateSolution,
    foot_force_n: float,
    key: str,
    *,
    brief: bool = False,
) -> tuple[Check, ...]:
    """
    Check another board from a solution for one: sag goes as one over the stiffness, moments stay.

    Exact for equal Poisson's ratios; a few per cent off otherwise, which the final solution puts right.
    """
    sag = solution.sag_mm * stiffness_of(solved) / stiffness_of(board)
    return board_checks(
        case,
        board,
        elastic_sag_mm=sag,
        moment_n=solution.moment_n,
        foot_force_n=foot_force_n,
        key=key,
        brief=brief,
    )


def stiffness_of(board: BoardStock) -> float:
    """Flexural rigidity of a board, dry. [N mm]"""
    material = find_material(board.material)
    return plate_stiffness_nmm(material.modulus_mpa.value, board.thickness_mm, material.poisson)


def worst_of(checks: tuple[Check, ...]) -> float:
    """Return the greatest utilisation."""
    return max((check.utilisation for check in checks), default=0.0)


def deflected(outline: Outline, solution: PlateSolution) -> Deflected:
    """Return a solution's shape to draw, with a round exaggeration that shows it."""
    wanted = SHOWN_SAG * outline.largest_mm / max(solution.sag_mm, 1e-6)
    steps = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000)
    return Deflected(
        middle=solution.middle,
        rim=solution.rim,
        exaggeration=float(max((step for step in steps if step <= wanted), default=1)),
    )


def flat_board(outline: Outline) -> Deflected:
    """Return the shape of a board that lies flat."""
    half = outline.extent_mm[0] / 2
    return Deflected(
        middle=((-half, 0.0), (half, 0.0)),
        rim=tuple((x, y, 0.0) for x, y in outline.polygon()),
        exaggeration=1.0,
    )


def carried_at_edges(outline: Outline, *, hands: int = 8) -> tuple[PlateSupport, ...]:
    """
    Places where two hands, or two people, hold a board: along two opposite edges.

    Parameters
    ----------
    outline
        Outline of the board. [mm]
    hands
        Points along each edge that stand for a hand's width.
    """
    corners = outline.polygon()
    half = outline.extent_mm[0] / 2
    _, middle = centre_of_area(outline)
    reach = min(50.0, 0.25 * outline.extent_mm[1])
    places = []
    for i in range(hands):
        y = middle - reach + 2 * reach * i / (hands - 1)
        xs = _crossings(corners, y)
        # A hair inside the rim, where the fingers are.
        places.append(PlateSupport(x_mm=max(xs) - 0.02 * half, y_mm=y))
        places.append(PlateSupport(x_mm=min(xs) + 0.02 * half, y_mm=y))
    return tuple(places)


def _crossings(corners: tuple[Point, ...], y: float) -> list[float]:
    found = []
    for (x1, y1), (x2, y2) in zip(corners, (*corners[1:], corners[0]), strict=True):
        if (y1 - y) * (y2 - y) <= 0 and hypot(x2 - x1, y2 - y1) > 0 and y1 != y2:
            found.append(x1 + (y - y1) / (y2 - y1) * (x2 - x1))
    return found


def carried_by(rest: npt.NDArray[np.float64], shifts: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """
    Forces on supports of unequal length, many cases at once.

    Parameters
    ----------
    rest
        Forces with equal lengths (supports x cases). [N]
    shifts
        What the board's stiffness adds to each while all stay pressed (supports x cases). [N]

    Returns
    -------
    forces
        Never negative and with the same sum. Shifts grow until the first support of a case lets go; beyond that the
        board rocks instead of pressing harder, and a second support that would lift is not followed. [N]
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        room = np.where(shifts < 0, rest / np.maximum(-shifts, 1e-300), np.inf).min(axis=0)
    return np.asarray(rest + np.minimum(1.0, room) * shifts)
