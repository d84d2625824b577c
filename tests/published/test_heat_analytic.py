"""Transient conduction against exact series, for bodies of constant properties."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from itertools import pairwise
from math import cos, exp, pi, sin

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import j0, j1

from tierwright.heat import Band, Body, History, Material, Solver, Surroundings, equivalent_disc, simulate, solid
from tierwright.shapes import Outline, Shape

K, RHO_C, R, H, T0, T_OVEN = 0.40, 1.3e6, 0.1143, 0.04, 22.0, 177.0
ALPHA = K / RHO_C
TERMS = 60


def slab_roots(biot: float, terms: int = TERMS) -> list[float]:
    """Roots of z tan z = Bi: Carslaw and Jaeger 1959, sec. 3.10."""
    return [brentq(lambda z: z * sin(z) - biot * cos(z), n * pi + 1e-12, n * pi + pi / 2 + 1e-12) for n in range(terms)]


def cylinder_roots(biot: float, terms: int = TERMS) -> list[float]:
    """Roots of z J1(z) = Bi J0(z): Carslaw and Jaeger 1959, sec. 7.7."""

    def f(z: float) -> float:
        return float(z * j1(z) - biot * j0(z))

    grid = np.arange(1e-6, (terms + 2) * pi, 0.05)
    values = [f(float(z)) for z in grid]
    roots = [brentq(f, a, b) for (a, b), (u, v) in zip(pairwise(grid), pairwise(values), strict=True) if u * v < 0]
    return roots[:terms]


def slab(biot: float, fourier: float, x: float) -> float:
    """Relative excess at x (0 the middle, 1 the face) of a slab with both faces alike."""
    return sum(4 * sin(z) / (2 * z + sin(2 * z)) * exp(-z * z * fourier) * cos(z * x) for z in slab_roots(biot))


def slab_mean(biot: float, fourier: float) -> float:
    return sum(4 * sin(z) / (2 * z + sin(2 * z)) * exp(-z * z * fourier) * sin(z) / z for z in slab_roots(biot))


def cylinder(biot: float, fourier: float, r: float) -> float:
    return sum(
        2 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2) * exp(-z * z * fourier) * j0(z * r) for z in cylinder_roots(biot)
    )


def cylinder_mean(biot: float, fourier: float) -> float:
    return sum(
        2 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2) * exp(-z * z * fourier) * 2 * j1(z) / z for z in cylinder_roots(biot)
    )


def two_sided_slab(b0: float, b1: float, fourier: float, x: float) -> float:
    """Relative excess at x of the height (0 the bottom) with different films: roots of tan b = b(B0+B1)/(b^2-B0 B1)."""
    roots = []
    for n in range(TERMS):

        def f(z: float) -> float:
            return (z * z - b0 * b1) * sin(z) - z * (b0 + b1) * cos(z)

        grid = np.linspace(n * pi + 1e-9, (n + 1) * pi + 1e-9, 200)
        roots += [brentq(f, a, b) for a, b in pairwise(grid) if f(a) * f(b) < 0]
    total = 0.0
    for z in roots[:TERMS]:
        # Mode cos(zx) + (B0/z) sin(zx); its norm and mean by closed form.
        s, c, q = sin(z), cos(z), b0 / z
        norm = 0.5 * (1 + s * c / z) + q * s * s / z + q * q * 0.5 * (1 - s * c / z)
        mean = s / z + q * (1 - c) / z
        total += mean / norm * exp(-z * z * fourier) * (cos(z * x) + q * sin(z * x))
    return total


@cache
def stuff() -> Material:
    return solid("stuff", density_kg_m3=1000.0, heat_capacity_j_kgk=RHO_C / 1000.0, conductivity_w_mk=K)


def heat_through(
    *,
    rings: int = 20,
    rows: int = 16,
    step_s: float = 10.0,
    theta: float = 0.5,
    seconds: float = 2400.0,
    films: tuple[float, float, float] = (15.0, 15.0, 15.0),
    radius_mm: float = 1000.0 * R,
    height_mm: float = 1000.0 * H,
    solver: Solver = Solver.PLAIN,
) -> History:
    body = Body(
        radius_mm=radius_mm,
        bands=(Band(material=stuff(), thickness_mm=height_mm, cells=rows),),
        emissivity=0.0,
        rings=rings,
    )
    bottom, top, side = films
    air = Surroundings(
        name="air",
        duration_s=seconds,
        air_c=T_OVEN,
        h_top=top,
        h_side=side,
        h_bottom=bottom,
        step_s=step_s,
        theta=theta,
    )
    return simulate(body, (air,), start=T0, solver=solver)


def exact_field(history: History, seconds: float, vertical: Callable[[float], float]) -> np.ndarray:
    """Product of slab and cylinder at every cell centre: Carslaw and Jaeger 1959, sec. 1.15."""
    radii = history.grid.radii
    centres = (radii[1:] + radii[:-1]) / 2
    heights = history.grid.heights_above_floor()
    across = np.array([cylinder(15 * R / K, ALPHA * seconds / R**2, r / R) for r in centres])
    up = np.array([vertical(z) for z in heights])
    field: np.ndarray = T_OVEN + (T0 - T_OVEN) * across[:, None] * up[None, :]
    return field


# Incropera and DeWitt, Table 5.1, four printed digits: Bi, slab zeta1 and C1, cylinder zeta1 and C1.
INCROPERA_TABLE_5_1 = [
    (0.1, 0.3111, 1.0161, 0.4417, 1.0246),
    (1.0, 0.8603, 1.1191, 1.2558, 1.2071),
    (10.0, 1.4289, 1.2620, 2.1795, 1.5677),
]


@pytest.mark.parametrize(("biot", "z_slab", "c_slab", "z_cyl", "c_cyl"), INCROPERA_TABLE_5_1)
def test_series_start_as_the_textbook_prints(
    biot: float, z_slab: float, c_slab: float, z_cyl: float, c_cyl: float
) -> None:
    z = slab_roots(biot, 1)[0]
    assert z == pytest.approx(z_slab, abs=6e-5)
    assert 4 * sin(z) / (2 * z + sin(2 * z)) == pytest.approx(c_slab, abs=6e-5)
    z = cylinder_roots(biot, 1)[0]
    assert z == pytest.approx(z_cyl, abs=6e-5)
    assert 2 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2) == pytest.approx(c_cyl, abs=6e-5)


def test_series_values() -> None:
    # Carslaw and Jaeger 1959 series, worked to six places.
    assert slab_roots(1.0, 3) == pytest.approx([0.860334, 3.425618, 6.437298], abs=1e-6)
    assert cylinder_roots(1.0, 3) == pytest.approx([1.255784, 4.079478, 7.155799], abs=1e-6)
    assert slab(1.0, 1.0, 0.0) == pytest.approx(0.533859, abs=1e-6)
    assert slab_mean(1.0, 1.0) == pytest.approx(0.470397, abs=1e-6)
    assert cylinder(1.0, 0.5, 0.0) == pytest.approx(0.548586, abs=1e-6)
    assert cylinder_mean(1.0, 0.5) == pytest.approx(0.447384, abs=1e-6)
    assert slab(1e7, 0.2, 0.0) == pytest.approx(0.772312, abs=2e-6)
    assert cylinder(1e7, 0.2, 0.0) == pytest.approx(0.501487, abs=2e-6)


def test_cengel_example_4_8() -> None:
    # Cengel, Heat Transfer, ex. 4-8: brass cylinder, read off charts as 63 degC (centre) and 62 degC (top centre).
    fo_wall, fo_cyl = 3.39e-5 * 900 / 0.06**2, 3.39e-5 * 900 / 0.05**2
    both = cylinder(60 * 0.05 / 110, fo_cyl, 0.0)
    assert 25 + 95 * slab(60 * 0.06 / 110, fo_wall, 0.0) * both == pytest.approx(63, abs=0.5)
    assert 25 + 95 * slab(60 * 0.06 / 110, fo_wall, 1.0) * both == pytest.approx(62, abs=0.5)


def test_solver_against_the_product_solution_case_a() -> None:
    history = heat_through(rings=40, rows=32, step_s=10.0)
    middle = history.at(0.0, 0.5)
    # Slab times cylinder, axis at mid-height; the mesh of 40 x 32 is within 0.04 K, most while it is steepest.
    for seconds, celsius in ((600, 47.9216), (1200, 78.8454), (1800, 102.5127), (2400, 120.7294)):
        assert middle[seconds // 10] == pytest.approx(celsius, abs=0.04)


def test_solver_heat_content_case_a() -> None:
    history = heat_through(rings=40, rows=32, step_s=10.0)
    weight = history.grid.dry / history.grid.dry.sum()
    for seconds, share in ((600, 0.311210), (1200, 0.513941), (1800, 0.654779), (2400, 0.753852)):
        mean = float((history.celsius[seconds // 10] * weight).sum())
        # Product of the two means.
        exact = 1 - slab_mean(15 * H / 2 / K, ALPHA * seconds / (H / 2) ** 2) * cylinder_mean(
            15 * R / K, ALPHA * seconds / R**2
        )
        assert exact == pytest.approx(share, abs=2e-6)
        assert (mean - T0) / (T_OVEN - T0) == pytest.approx(share, abs=3e-4)


@pytest.mark.parametrize(("seconds", "celsius"), [(600, 46.4006), (1800, 98.7500), (2400, 116.6813)])
def test_solver_against_two_sided_films_case_b(seconds: int, celsius: float) -> None:
    across = cylinder(11 * R / K, ALPHA * seconds / R**2, 0.0)
    up = two_sided_slab(11 * H / K, 17 * H / K, ALPHA * seconds / H**2, 0.5)
    assert T_OVEN + (T0 - T_OVEN) * across * up == pytest.approx(celsius, abs=1e-3)
    history = heat_through(rings=40, rows=32, films=(11.0, 17.0, 11.0))
    assert history.at(0.0, 0.5)[seconds // 10] == pytest.approx(celsius, abs=0.04)


def field_error(rings: int, rows: int, step_s: float, theta: float, solver: Solver = Solver.PLAIN) -> float:
    history = heat_through(rings=rings, rows=rows, step_s=step_s, theta=theta, seconds=1800.0, solver=solver)

    def vertical(z: float) -> float:
        return slab(15 * H / 2 / K, ALPHA * 1800.0 / (H / 2) ** 2, 2 * z - 1)

    return float(np.abs(history.celsius[-1] - exact_field(history, 1800.0, vertical)).max())


def test_second_order_in_space() -> None:
    # Crank and Nicolson, so that the step in time adds nothing: halving the mesh must quarter the error.
    coarse, middle, fine = (field_error(r, z, 10.0, 0.5, Solver.UNSPLIT) for r, z in ((10, 8), (20, 16), (40, 32)))
    assert middle == pytest.approx(0.102, rel=0.03)
    assert fine == pytest.approx(0.0255, rel=0.03)
    assert coarse / middle == pytest.approx(4.0, abs=0.2)
    assert middle / fine == pytest.approx(4.0, abs=0.1)


def test_first_order_in_time_for_backward_euler() -> None:
    # On a mesh whose own error is 0.026 K the rest is time: halving the step halves it.
    long, short = (field_error(40, 32, step, 1.0) for step in (40.0, 20.0))
    assert long / short == pytest.approx(2.0, abs=0.2)


def test_unsplit_reference_agrees_with_the_sweeps() -> None:
    split, whole = (heat_through(theta=1.0, solver=solver) for solver in (Solver.PLAIN, Solver.UNSPLIT))
    # The sweeps differ most at the corner in the first steps, and forget it.
    apart = np.abs(split.celsius - whole.celsius)
    assert apart.max() < 0.03
    assert apart[-1].max() < 3e-3


def three_slabs(a: float, b: float, h: float, seconds: float) -> float:
    """Excess at the middle of a brick: product of three slabs."""
    return (
        slab(15 * a / 2 / K, ALPHA * seconds / (a / 2) ** 2, 0.0)
        * slab(15 * b / 2 / K, ALPHA * seconds / (b / 2) ** 2, 0.0)
        * slab(15 * h / 2 / K, ALPHA * seconds / (h / 2) ** 2, 0.0)
    )


def disc_slab(radius: float, h: float, seconds: float) -> float:
    return cylinder(15 * radius / K, ALPHA * seconds / radius**2, 0.0) * slab(
        15 * h / 2 / K, ALPHA * seconds / (h / 2) ** 2, 0.0
    )


@pytest.mark.parametrize(
    ("a", "b", "h", "exact_s", "disc_s"),
    [(0.229, 0.330, 0.040, 1646.65, 1646.94), (0.1524, 0.1524, 0.060, 2544.74, 2533.03)],
)
def test_disc_in_place_of_a_rectangle(a: float, b: float, h: float, exact_s: float, disc_s: float) -> None:
    shape = (
        Outline(shape=Shape.SQUARE, width_mm=1000 * a)
        if a == b
        else Outline(shape=Shape.RECTANGLE, width_mm=1000 * b, length_mm=1000 * a)
    )
    disc = equivalent_disc(shape)
    excess = (97.0 - T_OVEN) / (T0 - T_OVEN)
    brick = brentq(lambda s: three_slabs(a, b, h, s) - excess, 100.0, 8000.0)
    round_ = brentq(lambda s: disc_slab(disc.radius_mm / 1000, h, s) - excess, 100.0, 8000.0)
    assert brick == pytest.approx(exact_s, abs=0.05)
    # The radius printed with the second figure has four digits.
    assert round_ == pytest.approx(disc_s, abs=1.0)
    assert abs(round_ / brick - 1) <= disc.time_error + 1e-4


def test_two_sided_roots_reduce_to_the_slab() -> None:
    # With like films the two-sided series is the slab's: middle of a slab of Bi = 1 on its half thickness.
    assert two_sided_slab(2.0, 2.0, 0.25, 0.5) == pytest.approx(slab(1.0, 1.0, 0.0), abs=1e-9)
