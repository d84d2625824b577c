"""The temperature line against exact series: a homogeneous cylinder, and two layers with the order of convergence."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from math import cos, exp, pi, sin, sqrt, tan

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import j0, j1

from tierwright.heat import Band, Body, Surroundings, simulate, solid
from tierwright.keeping.bodies import RINGS

K, RHO, CP = 0.16, 480.0, 2600.0
ALPHA = K / (RHO * CP)
R, H, T0, AIR, FILM = 0.10, 0.10, 4.0, 29.0, 10.0


def slab_centre(biot: float, fourier: float) -> float:
    """Middle of a slab cooled alike on both faces: Carslaw and Jaeger 1959, sec. 3.11."""
    roots = [brentq(lambda z: z * tan(z) - biot, n * pi + 1e-9, n * pi + pi / 2 - 1e-9) for n in range(30)]
    return sum(4 * sin(z) / (2 * z + sin(2 * z)) * exp(-z * z * fourier) for z in roots)


def cylinder_centre(biot: float, fourier: float) -> float:
    """Axis of a long cylinder: Carslaw and Jaeger 1959, sec. 7.7."""
    grid = np.arange(1e-6, 90.0, 0.05)
    values = [z * j1(z) - biot * j0(z) for z in grid]
    roots = [
        brentq(lambda z: z * j1(z) - biot * j0(z), a, b)
        for a, b, u, v in zip(grid[:-1], grid[1:], values[:-1], values[1:], strict=True)
        if u * v < 0
    ]
    return sum(2 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2) * exp(-z * z * fourier) for z in roots)


@pytest.mark.parametrize("hours", [2.0, 4.0, 8.0])
def test_a_cold_cylinder_warms_as_the_heisler_product(hours: float) -> None:
    # The product rule of Heisler's charts, in its exact series; the line's own rings and steps. Half of one per cent
    # of the whole difference, as a kitchen thermometer cannot tell more.
    stuff = solid("crumb", density_kg_m3=RHO, heat_capacity_j_kgk=CP, conductivity_w_mk=K)
    body = Body(radius_mm=1000 * R, bands=(Band(material=stuff, thickness_mm=1000 * H, cells=16),), rings=RINGS * 2)
    warm = Surroundings(
        name="room", duration_s=3600 * hours, air_c=AIR, h_top=FILM, h_side=FILM, h_bottom=FILM, exchange=0.0, step_s=60
    )
    seen = simulate(body, (warm,), start=T0, vapour=False).at(0.0, 0.5)[-1]
    seconds = 3600 * hours
    product = cylinder_centre(FILM * R / K, ALPHA * seconds / R**2) * slab_centre(
        FILM * H / 2 / K, ALPHA * seconds / (H / 2) ** 2
    )
    # A point next to the axis and the middle: the grid's own cells straddle them.
    assert abs((AIR - seen) / (AIR - T0) - product) < 0.005


# Two layers: sponge under buttercream, insulated below and round, the upper face held by a film.
A_K, A_C, A_L = 0.12, 480.0 * 2600.0, 0.040
B_K, B_C, B_L = 0.30, 800.0 * 2500.0, 0.020


def two_layer(seconds: float, z: float, film: float) -> float:
    """
    Relative excess in two layers, the lower one insulated below: eigenfunctions of the composite slab
    (Ozisik 1993, Heat Conduction, 2nd ed., ch. 8), ``z`` from the bottom. [m]
    """
    mu_a, mu_b = sqrt(A_C / A_K), sqrt(B_C / B_K)

    def upper(b: float) -> tuple[float, float]:
        """Amplitudes of cosine and sine in the upper layer, counted from the seam."""
        x = b * mu_a * A_L
        return cos(x), -A_K * mu_a / (B_K * mu_b) * sin(x)

    def miss(b: float) -> float:
        p, q = upper(b)
        y = b * mu_b * B_L
        value = p * cos(y) + q * sin(y)
        slope = b * mu_b * (-p * sin(y) + q * cos(y))
        return float(B_K * slope + film * value)

    grid = np.linspace(1e-6, 0.8, 40_000)
    values = [miss(float(b)) for b in grid]
    roots = [
        brentq(miss, float(a), float(b))
        for a, b, u, v in zip(grid[:-1], grid[1:], values[:-1], values[1:], strict=True)
        if u * v < 0
    ]
    total = 0.0
    for b in roots:
        p, q = upper(b)
        zs = np.linspace(0.0, A_L + B_L, 4001)
        lower = np.cos(b * mu_a * zs)
        inside = p * np.cos(b * mu_b * (zs - A_L)) + q * np.sin(b * mu_b * (zs - A_L))
        shape = np.where(zs <= A_L, lower, inside)
        weight = np.where(zs <= A_L, A_C, B_C)
        norm = float(np.trapezoid(weight * shape**2, zs))
        share = float(np.trapezoid(weight * shape, zs)) / norm
        here = cos(b * mu_a * z) if z <= A_L else p * cos(b * mu_b * (z - A_L)) + q * sin(b * mu_b * (z - A_L))
        total += share * here * exp(-b * b * seconds)
    return total


def layered(cells: int, step_s: float, hours: float) -> float:
    """Temperature next to the seam, in the lower layer's topmost cell, as the relative excess."""
    lower = solid("sponge", density_kg_m3=480, heat_capacity_j_kgk=2600, conductivity_w_mk=A_K)
    above = solid("buttercream", density_kg_m3=800, heat_capacity_j_kgk=2500, conductivity_w_mk=B_K)
    body = Body(
        radius_mm=300.0,
        bands=(
            Band(material=lower, thickness_mm=1000 * A_L, cells=2 * cells),
            Band(material=above, thickness_mm=1000 * B_L, cells=cells),
        ),
        rings=3,
    )
    warm = Surroundings(
        name="room", duration_s=3600 * hours, air_c=AIR, h_top=FILM, h_side=0.0, h_bottom=0.0, exchange=0.0,
        step_s=step_s,
    )  # fmt: skip
    history = simulate(body, (warm,), start=T0, vapour=False)
    # Height share of the point half way up the lower layer: between cells for every even number of them.
    return float((AIR - history.at(0.0, 0.5 * A_L / (A_L + B_L))[-1]) / (AIR - T0))


@pytest.mark.parametrize("hours", [1.0, 3.0])
def test_two_layers_against_their_eigenfunctions(hours: float) -> None:
    exact = two_layer(3600 * hours, 0.5 * A_L, FILM)
    assert layered(8, 20.0, hours) == pytest.approx(exact, abs=0.003)


def test_the_error_falls_at_the_second_order_of_the_grid() -> None:
    exact = two_layer(3600 * 2.0, 0.5 * A_L, FILM)
    # With the square of the cells the step goes too, so both errors fall fourfold at every halving.
    errors = [abs(layered(n, 64.0 * (2 / n) ** 2, 2.0) - exact) for n in (2, 4, 8)]
    orders = [np.log2(errors[i] / errors[i + 1]) for i in range(2)]
    assert errors[-1] < errors[0] / 8
    assert 1.6 <= float(np.mean(orders)) <= 2.6


def test_a_line_of_a_cake_brackets_what_two_slabs_allow() -> None:
    # The room's own walk: a tier in a warm room lies between a body whose surface takes the air's temperature at once
    # and one in still air alone; hand estimates of 1.2 to 3.4 h for a skin to 22 C in 29 C still shade.
    from tests.keeping.cakes import ALL, tier

    from tierwright.keeping.clocks import first_above
    from tierwright.keeping.line import Start, walk
    from tierwright.keeping.model import Place, Stay

    begin = datetime(2027, 7, 3, 12, tzinfo=UTC)
    shade = Stay(
        place=Place.VENUE, name="shade", begins=begin, ends=begin + timedelta(hours=6), air_c=29.0, humidity=0.25,
        air_speed_m_s=0.05,
    )  # fmt: skip
    times = []
    for diameter in (150.0, 300.0):
        found = walk(tier(1, diameter, of=1), ALL, (shade,), Start(sponge_c=4, filling_c=4, coat_c=4))
        times.append(first_above(found.hours, found.coat_side.celsius, 22.0))
    small, large = times
    assert small is not None
    assert large is not None
    # The lumped estimates hold every part of the cake at the skin's temperature and so are late.
    assert 0.2 < small <= 1.8
    assert small <= large <= 3.4
