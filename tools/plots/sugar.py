"""Syrups, fats, foams and sugared petals."""

from __future__ import annotations

from collections.abc import Callable

from tests.published import test_sugar_boiling as boiling
from tests.published import test_sugar_properties as sugar
from tests.test_water import GUIDANCE_FEET_DEGF
from tools.plots.drawing import Plot, Points, over

from tierwright.sugar import boiling_range, density_g_ml, sucrose_solubility, sugar_and_water
from tierwright.sugar.fats import solid_percent
from tierwright.sugar.lethality import SUGAR_FACTOR, Z_WHITE, d_at, d_values, slowest_white
from tierwright.sugar.petals import PetalBody, drying_hours
from tierwright.water import SEA_LEVEL_PA, air_pressure_pa, boiling_point_c


def boiling_by_height() -> Plot:
    return Plot(
        key="boiling-by-height", title="Water boils cooler the higher the kitchen",
        across="height above the sea [m]", up="boiling point [°C]", x=(0, 4000, 500), y=(86, 101, 2),
        lines=(("computed", over(0, 4000, lambda m: boiling_point_c(air_pressure_pa(m)))),),
        marks=(
            ("CoolProp", boiling.WATER_BY_HEIGHT),
            ("Colorado State Extension", [(f * 0.3048, (t - 32) / 1.8) for f, t in GUIDANCE_FEET_DEGF]),
        ),
    )  # fmt: skip


def boiling_rise() -> Plot:
    water = boiling_point_c(SEA_LEVEL_PA)

    def end(name: str) -> Callable[[float], float]:
        return lambda p: getattr(boiling_range(sugar_and_water(p / 0.9995, 100 - p), SEA_LEVEL_PA), name) - water

    return Plot(
        key="boiling-rise", title="How far over water a pot of sugar boils",
        across="sucrose in the pot [%]", up="rise [K]", x=(10, 92, 10), y=(0, 32, 4),
        lines=(
            ("computed", over(10, 91, boiling.rise)),
            ("low end of the range told", over(50, 91, end("low"))),
            ("high end of the range told", over(50, 91, end("high"))),
        ),
        marks=(
            ("Brown 1912", [(p, rise) for p, rise, _ in boiling.BROWN_1912]),
            ("Claassen, from memory", boiling.CLAASSEN),
        ),
    )  # fmt: skip


def syrup_density() -> Plot:
    return Plot(
        key="syrup-density", title="Density of a sucrose syrup at 20 °C",
        across="sucrose [%]", up="density [g/ml]", x=(0, 80, 10), y=(1.0, 1.45, 0.05),
        lines=(("computed", over(0, 80, lambda p: float(density_g_ml(p / 100)))),),
        marks=(("NBS Circular 440", sugar.NBS_440),),
    )  # fmt: skip


def solubility() -> Plot:
    return Plot(
        key="sugar-solubility", title="Sucrose that water holds",
        across="temperature [°C]", up="sucrose at saturation [%]", x=(0, 100, 10), y=(62, 84, 2),
        lines=(("computed: Charles 1960", over(0, 100, lambda t: 100 * sucrose_solubility(t))),),
        marks=(("Mohos 2010", sugar.MOHOS),),
    )  # fmt: skip


def solid_fat() -> Plot:
    return Plot(
        key="solid-fat", title="How much of a fat is solid",
        across="temperature [°C]", up="solid [%]", x=(5, 40, 5), y=(0, 100, 10),
        lines=tuple(
            (f"{name}, computed", over(5, 40, lambda t, k=key: solid_percent(k, t).value, 70))  # type: ignore[misc]
            for key, name in (("butterfat", "milk fat"), ("cocoa-butter", "cocoa butter"), ("coconut", "coconut"))
        ),
        marks=(("milk fat: Walstra, Marangoni", [(5, 55), (10, 45), (15, 35), (20, 20), (30, 5)]),),
    )  # fmt: skip


def lethality() -> Plot:
    def rows(start: str, sugar_percent: float) -> Points:
        return [
            (row.temperature_c, row.d_min)
            for row in d_values().values()
            if row.medium == start and row.sugar_percent == sugar_percent
        ]

    slowest = slowest_white()

    def used(celsius: float) -> float:
        return d_at(celsius, d_ref_min=slowest.d_min, ref_c=slowest.temperature_c, z_k=Z_WHITE.value)

    return Plot(
        key="lethality", title="Minutes to a tenth of the Salmonella in egg white",
        across="temperature [°C]", up="D [min]", x=(54, 64, 1), y=(0.01, 100, 1), logarithmic=True,
        lines=(
            ("used for plain white", over(54, 64, used)),
            ("with sugar, likely (× 2.2)", over(54, 64, lambda t: SUGAR_FACTOR.value * used(t))),
            ("with sugar, cautious (× 10)", over(54, 64, lambda t: SUGAR_FACTOR.high * used(t))),
        ),
        marks=(("white, measured (three papers)", rows("white", 0)), ("white with 10 % sugar", rows("white", 10))),
    )  # fmt: skip


def petals() -> Plot:
    return Plot(
        key="petals", title="How long a thin sugared petal dries",
        across="relative humidity [%]", up="hours", x=(20, 75, 5), y=(0, 120, 20),
        lines=tuple(
            (f"air of {t} °C", over(20, 74, lambda h, t=t: drying_hours(  # type: ignore[misc]
                PetalBody.THIN, humidity_share=h / 100, room_c=t).value))
            for t in (15, 20, 25, 30)
        ),
        marks=(
            ("common practice: a day", [(50, 24)]),
            ("by steam tables, from there", [(40, 24 * 0.35 * 2339 / (0.45 * 4247))]),
        ),
    )  # fmt: skip
