"""Discs for outlines without a closed form, from finite elements on the outline itself."""

from __future__ import annotations

from math import pi, sqrt
from typing import Any

import numpy as np
import pytest
import shapely
from scipy.sparse.linalg import eigsh
from scipy.spatial import Delaunay

from tierwright.heat import equivalent_disc
from tierwright.shapes import Outline, Shape

J0_ZERO = 2.404825557695773


def lowest_wave(outline: Outline, size: float) -> float:
    """Square root of the lowest Dirichlet eigenvalue, from quadratic triangles. [1/mm]"""
    skfem: Any = pytest.importorskip("skfem")
    poisson: Any = pytest.importorskip("skfem.models.poisson")
    area = shapely.Polygon(outline.polygon())
    count = int(area.length / size)
    rim = [area.exterior.interpolate(i / count, normalized=True).coords[0] for i in range(count)]
    reach = outline.largest_mm
    rows = np.arange(-reach, reach, size * 0.866)
    inner = np.array([(x + size / 2 * (k % 2), y) for k, y in enumerate(rows) for x in np.arange(-reach, reach, size)])
    inner = inner[shapely.contains_xy(area.buffer(-0.45 * size), inner[:, 0], inner[:, 1])]
    points = np.unique(np.round(np.vstack([np.array(rim), np.array(outline.polygon()), inner]), 6), axis=0)
    triangles = Delaunay(points).simplices
    middle = points[triangles].mean(axis=1)
    a, b = points[triangles[:, 1]] - points[triangles[:, 0]], points[triangles[:, 2]] - points[triangles[:, 0]]
    real = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) > 1e-6
    triangles = triangles[shapely.contains_xy(area, middle[:, 0], middle[:, 1]) & real]
    used = np.unique(triangles)
    number = -np.ones(len(points), dtype=int)
    number[used] = range(len(used))
    mesh = skfem.MeshTri(points[used].T.copy(), number[triangles].T.copy())
    basis = skfem.Basis(mesh, skfem.ElementTriP2())
    stiffness, mass = poisson.laplace.assemble(basis), poisson.mass.assemble(basis)
    free = basis.complement_dofs(basis.get_dofs().all())
    value = eigsh(stiffness[free][:, free], M=mass[free][:, free], k=1, sigma=0, return_eigenvectors=False)[0]
    return sqrt(value)


@pytest.mark.parametrize("shape", [Shape.ROUND, Shape.SQUARE, Shape.HEXAGON, Shape.PETAL, Shape.HEART])
def test_disc_has_the_lowest_eigenvalue_of_the_outline(shape: Shape) -> None:
    outline = Outline(shape=shape, width_mm=100.0)
    wave = lowest_wave(outline, 4.0)
    # Re-entrant corners of petal and heart converge slowly: 0.2 % on this mesh.
    assert J0_ZERO / equivalent_disc(outline).radius_mm == pytest.approx(wave, rel=3e-3)


def test_closed_forms() -> None:
    assert equivalent_disc(Outline.round(229.0)).radius_mm == 114.5
    square = Outline(shape=Shape.SQUARE, width_mm=100.0)
    assert equivalent_disc(square).radius_mm == pytest.approx(J0_ZERO * 100.0 / (pi * sqrt(2.0)))
    # By hand: 2.404826 / (pi sqrt(1/330^2 + 1/229^2)).
    sheet = Outline(shape=Shape.RECTANGLE, width_mm=330.0, length_mm=229.0)
    assert equivalent_disc(sheet).radius_mm == pytest.approx(144.02, abs=0.01)


@pytest.mark.parametrize("shape", [Shape.SQUARE, Shape.HEXAGON, Shape.PETAL, Shape.HEART])
def test_faber_krahn(shape: Shape) -> None:
    # Faber 1923, Krahn 1925: of all outlines of one area the disc has the lowest eigenvalue, so no disc that stands for
    # an outline is larger than it.
    outline = Outline(shape=shape, width_mm=200.0)
    assert pi * equivalent_disc(outline).radius_mm ** 2 < outline.area_mm2
