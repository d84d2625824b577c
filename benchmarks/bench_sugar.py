"""How fast the sums of sugar are; run by hand."""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

import numpy as np
from numpy.typing import NDArray

from tierwright.sugar import (
    CreamKind,
    Line,
    Look,
    MeringueKind,
    Whites,
    boiling_temperatures,
    density_g_ml,
    enthalpy,
    find_target,
    plan_meringue,
    plan_syrup,
    plot_target,
    rescue,
    solids_at,
    solute,
    specific_heat,
    sugar_and_water,
    water_activity,
)
from tierwright.water import air_pressure_pa


def best_ms(work: Callable[[], object], repeats: int = 7) -> float:
    """Shortest of several runs, which other work on the machine disturbs least. [ms]"""
    times: list[float] = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times) * 1000.0


def states(shares: NDArray[np.float64], pressure: NDArray[np.float64]) -> tuple[NDArray[np.float64], ...]:
    """Everything that the page shows of a syrup, for whole arrays."""
    sucrose = solute("sucrose")
    boils = boiling_temperatures({sucrose: shares}, 1 - shares, pressure)
    return (
        boils,
        water_activity({sucrose: shares}, 1 - shares, 20.0),
        density_g_ml(shares, 20.0),
        specific_heat(shares, boils),
        enthalpy(shares, boils),
    )


def rows() -> list[tuple[str, float, str]]:
    shares = np.linspace(0.10, 0.95, 10_000)
    pressure = np.linspace(70_000.0, 101_325.0, 10_000)
    sucrose, fructose, glucose = solute("sucrose"), solute("fructose"), solute("glucose")
    mixed = {sucrose: shares * 0.8, fructose: shares * 0.1, glucose: shares * 0.1}
    pot = sugar_and_water(400, 120)
    here = air_pressure_pa(1420.0)
    target = find_target(pot, altitude_m=1420.0, sea_level_c=116.7)
    lines = (Line(ingredient="sugar", grams=400), Line(ingredient="water", grams=120))
    return [
        (
            "10 000 boiling points of sucrose",
            best_ms(lambda: boiling_temperatures({sucrose: shares}, 1 - shares, pressure)),
            "ms",
        ),
        (
            "10 000 syrup states (boiling, activity, density, heat)",
            best_ms(lambda: states(shares, pressure)),
            "ms",
        ),
        (
            "10 000 boiling points of three sugars",
            best_ms(lambda: boiling_temperatures(mixed, 1 - shares, pressure)),
            "ms",
        ),
        ("solids of a boiling pot", best_ms(lambda: solids_at(pot, 112.0, here)), "ms"),
        ("drawing of a target", best_ms(lambda: plot_target(pot, target, here)), "ms"),
        (
            "whole plan of a boiled-sugar meringue",
            best_ms(
                lambda: plan_meringue(
                    MeringueKind.ITALIAN, whites=Whites.FRESH, whites_g=200, sugar_g=400, altitude_m=1420.0
                )
            ),
            "ms",
        ),
        ("rescue at the bowl", best_ms(lambda: rescue(CreamKind.SWISS_BUTTERCREAM, Look.SOUPY, 28.0, 5.0)), "ms"),
        ("whole plan of a syrup", best_ms(lambda: plan_syrup(lines, altitude_m=1420.0, sea_level_c=116.7)), "ms"),
    ]


if __name__ == "__main__":
    for name, value, unit in rows():
        print(f"{name:58s} {value:10.2f} {unit}")
