"""How fast the thermal engine is, beside an independent finite-volume library on the same mesh; run by hand."""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter
from typing import Any

import numpy as np

from tierwright.heat import Band, Body, Solver, Surroundings, compiled_available, food, simulate, solid
from tierwright.larder import Composition

NR, NZ, STEPS, STEP_S = 20, 16, 180, 10.0
R, H, K, RHO_C, FILM = 0.1143, 0.04, 0.40, 1.3e6, 15.0


def best_ms(work: Callable[[], object], repeats: int = 5) -> float:
    """Shortest of several runs, which other work on the machine disturbs least. [ms]"""
    times: list[float] = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return 1000.0 * min(times)


def block(solver: Solver) -> None:
    stuff = solid("stuff", density_kg_m3=1000.0, heat_capacity_j_kgk=RHO_C / 1000.0, conductivity_w_mk=K)
    band = Band(material=stuff, thickness_mm=1000.0 * H, cells=NZ)
    body = Body(radius_mm=1000.0 * R, bands=(band,), emissivity=0.0, rings=NR)
    around = Surroundings(
        name="air", duration_s=STEPS * STEP_S, air_c=177.0, h_top=FILM, h_side=FILM, h_bottom=FILM, step_s=STEP_S
    )
    simulate(body, (around,), start=22.0, solver=solver)


def fipy_block() -> None:
    fipy: Any = __import__("fipy")
    mesh = fipy.CylindricalGrid2D(nr=NR, nz=NZ, dr=R / NR, dz=H / NZ)
    t = fipy.CellVariable(mesh=mesh, value=22.0)
    x, y = mesh.faceCenters.value
    rim = (x > R - 1e-9) | (y < 1e-9) | (y > H - 1e-9)
    half = np.where(x > R - 1e-9, R / NR / 2, H / NZ / 2)
    u = np.where(rim, 1.0 / (1.0 / FILM + half / K), 0.0)
    gain = np.zeros(mesh.numberOfCells)
    np.add.at(gain, np.asarray(mesh.faceCellIDs)[0], u * np.asarray(mesh._faceAreas))
    rate = fipy.CellVariable(mesh=mesh, value=gain / np.asarray(mesh.cellVolumes))
    inner = fipy.FaceVariable(mesh=mesh, value=np.where(rim, 0.0, K))
    equation = fipy.TransientTerm(coeff=RHO_C) == (
        fipy.DiffusionTerm(coeff=inner) + rate * 177.0 - fipy.ImplicitSourceTerm(coeff=rate)
    )
    for _ in range(STEPS):
        equation.solve(var=t, dt=STEP_S)


def day(solver: Solver) -> None:
    crumb = Composition(water_g=31.0, carbohydrate_g=47.0, fat_g=14.5, protein_g=6.0, ash_g=1.5)
    cream = Composition(water_g=12.0, carbohydrate_g=45.0, fat_g=42.0, protein_g=0.5, ash_g=0.5)
    sponge = food("sponge", crumb, density_kg_m3=450.0, diffusivity_m2_s=5.0e-8)
    filling = food("buttercream", cream, density_kg_m3=850.0)
    layers = (Band(material=sponge, thickness_mm=28.0), Band(material=filling, thickness_mm=6.0)) * 4
    body = Body(radius_mm=100.0, bands=layers, coat=filling, coat_mm=6.0)
    stretches = tuple(
        Surroundings(name=n, duration_s=3600.0 * hours, air_c=c, h_top=5.0, h_side=5.0, h_bottom=2.0, step_s=120.0)
        for n, hours, c in (("freezer", 12, -18.0), ("fridge", 8, 4.0), ("van", 1, 20.0), ("table", 3, 26.0))
    )
    simulate(body, stretches, start=20.0, solver=solver)


def rows() -> list[tuple[str, float, str]]:
    found: list[tuple[str, float, str]] = []
    plain = best_ms(lambda: block(Solver.PLAIN))
    found.append(("plain block, 20 x 16, 180 steps, NumPy", plain, "ms"))
    if compiled_available():
        block(Solver.COMPILED)
        fast = best_ms(lambda: block(Solver.COMPILED))
        found.append(("the same, compiled", fast, "ms"))
        day(Solver.COMPILED)
        found.append(("finished tier, freezer to table, 24 h, compiled", best_ms(lambda: day(Solver.COMPILED)), "ms"))
    found.append(("finished tier, freezer to table, 24 h, NumPy", best_ms(lambda: day(Solver.PLAIN), 2), "ms"))
    try:
        other = best_ms(fipy_block, 1)
    except ImportError:
        return found
    found.append(("plain block in FiPy, same mesh and steps", other, "ms"))
    if compiled_available():
        found.append(("FiPy over compiled", other / fast, "times"))
    return found
