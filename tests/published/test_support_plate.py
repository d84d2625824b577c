"""Plates against closed forms and against an independent finite-element solution."""

from __future__ import annotations

from math import cos, log, pi, sin

import numpy as np
import pytest
from skfem import Basis, BilinearForm, ElementQuadBFS, ElementTriArgyris, LinearForm, MeshQuad, MeshTri
from skfem.helpers import dd, ddot, eye, trace

from tierwright.shapes import Outline, Shape
from tierwright.support.plate import PatchForce, PlateSupport, PointForce, bend_plate
from tierwright.support.plate_kernel import Edge

RADIUS = 100.0
ROUND = Outline.round(2 * RADIUS)


def ring(count: int, radius: float, turn: float = 0.0) -> tuple[PlateSupport, ...]:
    return tuple(
        PlateSupport(x_mm=radius * cos(turn + 2 * pi * i / count), y_mm=radius * sin(turn + 2 * pi * i / count))
        for i in range(count)
    )


# Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., arts. 16 and 17: q a^4 / (64 D) clamped,
# (5 + nu) / (1 + nu) times that supported; moments q a^2 / 8 at the clamped edge, (3 + nu) q a^2 / 16 in the middle.
@pytest.mark.parametrize("poisson", [0.2, 0.3, 0.4])
@pytest.mark.parametrize("edge", [Edge.CLAMPED, Edge.SUPPORTED])
def test_even_load_on_a_round_plate(poisson: float, edge: Edge) -> None:
    clamped = edge is Edge.CLAMPED
    even = PatchForce(outline=ROUND, force_n=pi * RADIUS**2)  # q = 1
    found = bend_plate(ROUND, stiffness_nmm=1.0, poisson=poisson, patches=(even,), edge=edge)
    sag = RADIUS**4 / 64 * (1 if clamped else (5 + poisson) / (1 + poisson))
    moment = RADIUS**2 / 8 if clamped else (3 + poisson) * RADIUS**2 / 16
    assert found.sag_mm == pytest.approx(sag, rel=5e-3)
    assert found.moment_n == pytest.approx(moment, rel=5e-3)


# The same, arts. 18 and 19: P a^2 / (16 pi D) clamped, (3 + nu) / (1 + nu) times that supported; the moment under a
# force spread over a small circle c is P / 4 pi (1 + nu) ln(a / c) clamped, with + 1 more supported.
@pytest.mark.parametrize("edge", [Edge.CLAMPED, Edge.SUPPORTED])
def test_central_force_on_a_round_plate(edge: Edge) -> None:
    clamped = edge is Edge.CLAMPED
    nu, contact = 0.3, 5.0
    found = bend_plate(
        ROUND,
        stiffness_nmm=1.0,
        poisson=nu,
        points=(PointForce(x_mm=0.0, y_mm=0.0, force_n=1.0),),
        edge=edge,
        contact_mm=contact,
    )
    sag = RADIUS**2 / (16 * pi) * (1 if clamped else (3 + nu) / (1 + nu))
    moment = ((1 + nu) * log(RADIUS / contact) + (0 if clamped else 1)) / (4 * pi)
    assert found.sag_mm == pytest.approx(sag, rel=5e-3)
    assert found.moment_n == pytest.approx(moment, rel=5e-3)


def test_three_points_at_the_edge_under_an_even_load() -> None:
    # Timoshenko and Woinowsky-Krieger, art. 65: 0.0362 P a^2 / D in the middle for nu = 0.25 (three digits).
    even = PatchForce(outline=ROUND, force_n=1.0)
    found = bend_plate(ROUND, stiffness_nmm=1.0, poisson=0.25, patches=(even,), supports=ring(3, RADIUS), degree=18)
    middle = min(found.middle, key=lambda place: abs(place[0]))[1]
    assert middle / RADIUS**2 == pytest.approx(0.0362, rel=5e-3)


# Independent finite-element values for nu = 0.25: largest deflection up or down over P a^2 / D, to three digits.
@pytest.mark.parametrize(("count", "share", "largest"), [(3, 0.65, 0.00830), (4, 0.70, 0.00260), (6, 0.70, 0.00180)])
def test_rings_inside_the_edge(count: int, share: float, largest: float) -> None:
    even = PatchForce(outline=ROUND, force_n=1.0)
    found = bend_plate(ROUND, stiffness_nmm=1.0, poisson=0.25, patches=(even,), supports=ring(count, share * RADIUS))
    assert found.sag_mm / RADIUS**2 == pytest.approx(largest, rel=1e-2)


def reference(mesh: object, element: object, places: np.ndarray, poisson: float) -> np.ndarray:
    """Deflection at the mesh's nodes by scikit-fem: conforming plate element, supports by Lagrange multipliers."""
    basis = Basis(mesh, element, intorder=8)

    @BilinearForm
    def energy(u, v, _):  # type: ignore[no-untyped-def]
        moments = (1 - poisson) * dd(u) + poisson * eye(trace(dd(u)), 2)
        return ddot(moments, dd(v))

    @LinearForm
    def load(v, _):  # type: ignore[no-untyped-def]
        return v

    stiffness = energy.assemble(basis).toarray()
    force = load.assemble(basis)
    area = float(np.sum(basis.dx))
    rows = basis.probes(places.T).toarray()
    size, count = len(force), len(places)
    system = np.zeros((size + count, size + count))
    system[:size, :size] = stiffness
    system[:size, size:] = rows.T
    system[size:, :size] = rows
    solved = np.linalg.solve(system, np.concatenate([force / area, np.zeros(count)]))
    # A hair inside, so that the nodes on the rim are found too.
    return np.asarray(basis.probes(mesh.p * 0.9999) @ solved[:size])  # type: ignore[attr-defined]


def test_square_board_on_points_inside_matches_finite_elements() -> None:
    nu = 0.3
    places = np.array([(0.5, 0.6), (-0.5, 0.5), (-0.6, -0.5), (0.4, -0.6), (0.1, 0.05)])
    mesh = MeshQuad.init_tensor(np.linspace(-1, 1, 15), np.linspace(-1, 1, 15))
    other = reference(mesh, ElementQuadBFS(), places, nu)
    board = Outline(shape=Shape.SQUARE, width_mm=200.0)
    found = bend_plate(
        board,
        stiffness_nmm=1.0,
        poisson=nu,
        patches=(PatchForce(outline=board, force_n=1.0),),
        supports=tuple(PlateSupport(x_mm=100 * x, y_mm=100 * y) for x, y in places),
    )
    assert all(found.carrying)
    # One per cent: both are within a few tenths of the limit of fine meshes.
    assert found.dip_mm / 1e4 == pytest.approx(other.max(), rel=1e-2)
    assert found.sag_mm / 1e4 == pytest.approx(np.abs(other).max(), rel=1e-2)


def test_round_board_on_points_inside_matches_finite_elements() -> None:
    nu = 0.25
    turn = 0.2
    places = np.array([(0.65 * cos(turn + 2 * pi * i / 4), 0.65 * sin(turn + 2 * pi * i / 4)) for i in range(4)])
    mesh = MeshTri.init_circle(3)
    # The mesh's rim is a polygon of 32 sides: blown up until it has the circle's area.
    corner = 2 * pi / 32
    mesh = mesh.scaled(float(np.sqrt(corner / np.sin(corner))))
    other = reference(mesh, ElementTriArgyris(), places, nu)
    found = bend_plate(
        ROUND,
        stiffness_nmm=1.0,
        poisson=nu,
        patches=(PatchForce(outline=ROUND, force_n=1.0),),
        supports=ring(4, 65.0, turn),
    )
    assert found.sag_mm / 1e4 == pytest.approx(np.abs(other).max(), rel=1e-2)
