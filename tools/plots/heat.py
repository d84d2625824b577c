"""Heat: the engine, the cold line, and bakes."""

from __future__ import annotations

from tests.published import test_heat_analytic as heat
from tests.published import test_keeping_line as line_test
from tests.published.test_bake_practice import minutes
from tools.plots.drawing import Plot

from tierwright.heat import Band, Body, Surroundings, simulate, solid
from tierwright.keeping.bodies import RINGS


def cylinder_in_oven() -> Plot:
    history = heat.heat_through()
    axis = history.at(0.0, 0.5)
    places = [(i * 10 / 60, float(axis[i])) for i in range(0, 241, 6)]

    def exact(seconds: float) -> float:
        both = heat.cylinder(15 * heat.R / heat.K, heat.ALPHA * seconds / heat.R**2, 0.0) * heat.slab(
            15 * heat.H / 2 / heat.K, heat.ALPHA * seconds / (heat.H / 2) ** 2, 0.0
        )
        return heat.T_OVEN + (heat.T0 - heat.T_OVEN) * both

    return Plot(
        key="cylinder-in-oven", title="A plain cylinder of 229 × 40 mm in air of 177 °C",
        across="minutes", up="in its very middle [°C]", x=(0, 40, 5), y=(20, 130, 10),
        lines=(("thermal engine, 20 × 16 cells", places),),
        marks=(("exact series (Carslaw and Jaeger)", [(m, exact(60.0 * m)) for m in range(5, 41, 5)]),),
    )  # fmt: skip


def cold_cylinder() -> Plot:
    stuff = solid("crumb", density_kg_m3=line_test.RHO, heat_capacity_j_kgk=line_test.CP, conductivity_w_mk=line_test.K)
    radius, height, film, air, start = line_test.R, line_test.H, line_test.FILM, line_test.AIR, line_test.T0
    body = Body(
        radius_mm=1000 * radius, bands=(Band(material=stuff, thickness_mm=1000 * height, cells=16),),
        rings=RINGS * 2,
    )  # fmt: skip
    room = Surroundings(
        name="room", duration_s=8 * 3600, air_c=air, h_top=film, h_side=film, h_bottom=film, exchange=0.0, step_s=60
    )
    seen = simulate(body, (room,), start=start, vapour=False).at(0.0, 0.5)

    def exact(hours: float) -> float:
        seconds = 3600 * hours
        across = line_test.cylinder_centre(film * radius / line_test.K, line_test.ALPHA * seconds / radius**2)
        up = line_test.slab_centre(film * height / 2 / line_test.K, line_test.ALPHA * seconds / (height / 2) ** 2)
        return air + (start - air) * across * up

    return Plot(
        key="cold-cylinder", title="A cold tier of 200 × 100 mm comes into a room of 29 °C",
        across="hours", up="in its very middle [°C]", x=(0, 8, 1), y=(0, 32, 4),
        lines=(("computed with the line's own rings", [(i / 60, float(seen[i])) for i in range(0, 481, 12)]),),
        marks=(("exact product (Heisler's charts)", [(h, exact(h)) for h in range(1, 9)]),),
    )  # fmt: skip


def bake_times() -> Plot:
    pans = (152.0, 203.0, 254.0, 305.0, 406.0)
    return Plot(
        key="bake-times", title="Minutes for 20 mm of batter at 177 °C, static oven, by the sea",
        across="pan [mm]", up="done after [min]", x=(100, 450, 50), y=(20, 45, 5),
        lines=(("computed for an unknown oven", [(d, minutes(d, 20.0)) for d in pans]),),
        spans=(("household guides", [(152, 25, 30), (203, 30, 35), (305, 35, 40)]),),
    )  # fmt: skip
