"""The same body on the same mesh in independent finite-volume and finite-element libraries."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.sparse.linalg import splu

from tierwright.heat import Band, Body, Solver, Surroundings, simulate, solid

K, RHO_C, R, H, FILM, T0, T_AIR = 0.40, 1.3e6, 0.1143, 0.04, 15.0, 22.0, 177.0
NR, NZ, DT, STEPS = 20, 16, 10.0, 180


def ours() -> np.ndarray:
    stuff = solid("stuff", density_kg_m3=1000.0, heat_capacity_j_kgk=RHO_C / 1000.0, conductivity_w_mk=K)
    body = Body(
        radius_mm=1000 * R, bands=(Band(material=stuff, thickness_mm=1000 * H, cells=NZ),), emissivity=0.0, rings=NR
    )
    air = Surroundings(
        name="air", duration_s=DT * STEPS, air_c=T_AIR, h_top=FILM, h_side=FILM, h_bottom=FILM, step_s=DT
    )
    field: np.ndarray = simulate(body, (air,), start=T0, solver=Solver.UNSPLIT).celsius[-1]
    return field


def test_fipy_gives_the_same_field() -> None:
    fipy: Any = pytest.importorskip("fipy")
    mesh = fipy.CylindricalGrid2D(nr=NR, nz=NZ, dr=R / NR, dz=H / NZ)
    t = fipy.CellVariable(mesh=mesh, value=T0)
    x, y = mesh.faceCenters.value
    outside = np.zeros(mesh.numberOfFaces)
    spacing = np.zeros(mesh.numberOfFaces)
    top_bottom = (y < 1e-9) | (y > H - 1e-9)
    side = x > R - 1e-9
    outside[top_bottom | side] = 1.0
    spacing[top_bottom], spacing[side] = H / NZ / 2, R / NR / 2
    # Robin: a film and half a cell in series, as a source in the boundary cells.
    u = np.where(outside > 0, 1.0 / (1.0 / FILM + spacing / K), 0.0)
    areas = np.asarray(mesh._faceAreas)
    volumes = np.asarray(mesh.cellVolumes)
    gain = np.zeros(mesh.numberOfCells)
    cells = np.asarray(mesh.faceCellIDs)[0]
    np.add.at(gain, cells, u * areas)
    rate = fipy.CellVariable(mesh=mesh, value=gain / volumes)
    inner = fipy.FaceVariable(mesh=mesh, value=np.where(outside > 0, 0.0, K))
    equation = fipy.TransientTerm(coeff=RHO_C) == (
        fipy.DiffusionTerm(coeff=inner) + rate * T_AIR - fipy.ImplicitSourceTerm(coeff=rate)
    )
    solver = fipy.LinearLUSolver(tolerance=1e-14)
    for _ in range(STEPS):
        equation.solve(var=t, dt=DT, solver=solver)
    field = np.asarray(t.value).reshape(NZ, NR).T
    # The same scheme on the same mesh: rounding only.
    assert np.abs(field - ours()).max() < 1e-8


def test_scikit_fem_converges_to_the_same_field() -> None:
    skfem: Any = pytest.importorskip("skfem")
    mesh = skfem.MeshQuad.init_tensor(np.linspace(0, R, NR + 1), np.linspace(0, H, NZ + 1))
    basis = skfem.Basis(mesh, skfem.ElementQuad1())
    edges = mesh.facets_satisfying(
        lambda x: (x[0] > R - 1e-9) | (x[1] < 1e-9) | (x[1] > H - 1e-9), boundaries_only=True
    )
    rim = skfem.FacetBasis(mesh, skfem.ElementQuad1(), facets=edges)

    def stiffness(u: Any, v: Any, w: Any) -> Any:
        return K * w.x[0] * (u.grad[0] * v.grad[0] + u.grad[1] * v.grad[1])

    def capacity(u: Any, v: Any, w: Any) -> Any:
        return RHO_C * w.x[0] * u * v

    def film(u: Any, v: Any, w: Any) -> Any:
        return FILM * w.x[0] * u * v

    def drive(v: Any, w: Any) -> Any:
        return FILM * T_AIR * w.x[0] * v

    bilinear, linear = skfem.BilinearForm, skfem.LinearForm
    a = bilinear(stiffness).assemble(basis) + bilinear(film).assemble(rim)
    c, f = bilinear(capacity).assemble(basis), linear(drive).assemble(rim)
    lu = splu((c / DT + a).tocsc())
    t = np.full(basis.N, T0)
    for _ in range(STEPS):
        t = lu.solve(c @ t / DT + f)
    values = (
        basis.probes(
            np.array(
                [
                    [(i + 0.5) * R / NR for i in range(NR) for _ in range(NZ)],
                    [(j + 0.5) * H / NZ for _ in range(NR) for j in range(NZ)],
                ]
            )
        )
        @ t
    )
    # Bilinear elements and cells of the same size err by about 0.1 K each, in opposite directions.
    assert np.abs(values.reshape(NR, NZ) - ours()).max() < 0.35
