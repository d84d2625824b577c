"""How much gas the leaveners of a formula release, and whether soda and acid meet."""

from __future__ import annotations

from typing import Final

from tierwright.errors import require_range
from tierwright.formula.model import Acid, Formula, Leavening
from tierwright.formula.percent import masses
from tierwright.formula.tables import estimate, rows
from tierwright.units import ZERO_CELSIUS_K
from tierwright.water import SEA_LEVEL_PA
from tierwright.working import NOTHING, Estimate

CO2_G_MOL: Final = 44.0095
SODA_G_MOL: Final = 84.007
TARTAR_G_MOL: Final = 188.177
GDL_G_MOL: Final = 178.14
GAS_CONSTANT: Final = 8.31446261815324  # J/(mol K), exact since 2019
REFERENCE_POWDER: Final = 0.12
"""Carbon dioxide of the baking powder that strengths are given in. [g/g]"""

AT_C: Final = 100.0  # a crumb sets a little below the boiling point


def parts_acid_per_soda(acid_g_mol: float, protons: int) -> float:
    """
    Mass of an acid that just neutralises one gram of baking soda. [g/g]

    Parameters
    ----------
    acid_g_mol
        Molar mass of the acid. [g/mol]
    protons
        Protons that one molecule gives.

    Examples
    --------
    Cream of tartar, printed as 2.24 in the Food Additives Data Book:

    >>> round(parts_acid_per_soda(TARTAR_G_MOL, 1), 4)
    2.24
    """
    return acid_g_mol / (protons * SODA_G_MOL)


def neutralising_value(parts_acid: float) -> float:
    """Parts of soda that 100 parts of an acid neutralise, from the parts of acid for one of soda."""
    return 100 / parts_acid


def gas_ml(co2_g: float, at_c: float, pressure_pa: float) -> float:
    """
    Volume of carbon dioxide as an ideal gas. [ml]

    Parameters
    ----------
    co2_g
        Mass of gas. [g]
    at_c
        Temperature. [C], -50 to 300
    pressure_pa
        Pressure. [Pa], 20000 to 110000

    Examples
    --------
    One gram of a 12 % powder, cold:

    >>> round(gas_ml(0.12, 25.0, SEA_LEVEL_PA), 1)
    66.7
    """
    require_range("temperature", at_c, -50.0, 300.0, "C")
    require_range("pressure", pressure_pa, 20_000.0, 110_000.0, "Pa")
    return co2_g / CO2_G_MOL * GAS_CONSTANT * (at_c + ZERO_CELSIUS_K) / pressure_pa * 1e6


def leavening(formula: Formula, *, pressure_pa: float = SEA_LEVEL_PA, at_c: float = AT_C) -> Leavening:
    """
    Work out gas, acid and soda of a formula.

    Parameters
    ----------
    formula
        In grams.
    pressure_pa
        Air pressure of the kitchen. [Pa]
    at_c
        Temperature at which the volume of gas is stated. [C]

    Returns
    -------
    leavening
        Carbon dioxide [g], its volume [ml], strength as powder over flour [%], soda and acid left over [g].

    Notes
    -----
    Soda that meets acid gives all of its carbon dioxide; what is left gives half of it by heat and stays as washing
    soda, which tastes soapy and browns the crumb. Baking powders and raising flours are balanced in themselves.
    """
    gas = {row["ingredient"]: row for row in rows("leaveners.csv")}
    neutralises = {row["ingredient"]: row for row in rows("acids.csv")}
    co2 = NOTHING
    soda = NOTHING
    acids: list[Acid] = []
    for line in formula.parts:
        leavener = gas.get(line.ingredient)
        if leavener is not None and leavener["kind"] == "soda":
            soda = soda + line.grams
        elif leavener is not None:
            low, high = float(leavener["co2_low"]) / 100, float(leavener["co2_high"]) / 100
            share = float(leavener["co2_percent"]) / 100
            grams = line.grams
            co2 = co2 + Estimate(value=grams.value * share, low=grams.low * low, high=grams.high * high)
        acid = neutralises.get(line.ingredient)
        if acid is not None:
            taken = estimate(acid, "soda")
            acids.append(
                Acid(
                    ingredient=line.ingredient,
                    label=line.label,
                    grams=line.grams.value,
                    soda_g=Estimate(
                        value=line.grams.value * taken.value / 100,
                        low=line.grams.low * taken.low / 100,
                        high=line.grams.high * taken.high / 100,
                    ),
                    source=f"{acid['basis']}: {acid['source']}",
                )
            )
    takes = NOTHING
    for one in acids:
        takes = takes + one.soda_g
    met = Estimate(value=min(soda.value, takes.value), low=min(soda.low, takes.low), high=min(soda.high, takes.high))
    left = _less(soda, takes)
    full = CO2_G_MOL / SODA_G_MOL
    by_heat = (soda.value - met.value) * full / 2
    from_soda = Estimate(
        value=met.value * full + by_heat,
        low=soda.low * full / 2 + met.low * full / 2,
        high=soda.high * full / 2 + met.high * full / 2,
    )
    co2 = co2 + from_soda
    flour_g = masses(formula)["flour"].value
    strength = co2 * (100 / REFERENCE_POWDER / flour_g) if flour_g > 0 else NOTHING
    volume = gas_ml(1.0, at_c, pressure_pa)
    return Leavening(
        co2_g=co2,
        gas_ml=co2 * volume,
        at_c=at_c,
        pressure_pa=pressure_pa,
        powder_equivalent_percent=strength,
        soda_g=soda.value,
        acids=tuple(acids),
        soda_left_g=left,
        acid_left_g=_less(takes, soda),
    )


def _less(one: Estimate, two: Estimate) -> Estimate:
    """Difference of two estimates, never below zero."""
    return Estimate(
        value=max(0.0, one.value - two.value), low=max(0.0, one.low - two.high), high=max(0.0, one.high - two.low)
    )
