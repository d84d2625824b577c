"""Air shut in under a coat: what a climb and a warming make of it."""

from __future__ import annotations

from typing import Final

from tierwright.errors import require_range
from tierwright.support.model import Air
from tierwright.water import ABSOLUTE_ZERO_C, air_pressure_pa

VENT_GROWTH: Final = 0.02
"""Growth from which a sealed coat is worth a pin hole; common practice. [-]"""


def air_growth(*, from_m: float, to_m: float, cold_c: float, warm_c: float) -> float:
    """
    Volume of a bubble at the venue over its volume in the kitchen, if nothing holds it.

    Parameters
    ----------
    from_m, to_m
        Altitude of the kitchen and of the highest place after it. [m], -500 to 6000
    cold_c, warm_c
        Temperature when it was shut in and the warmest after. [degC], -30 to 60

    Returns
    -------
    growth
        ``(p1 / p2) (T2 / T1)``. [-]

    Raises
    ------
    OutOfRange
        An altitude or a temperature outside its span.

    References
    ----------
    .. [1] Ideal gas law; pressures of the U.S. Standard Atmosphere 1976.

    Examples
    --------
    From a kitchen at 1,650 m to a meadow at 2,450 m, at one temperature:

    >>> round(air_growth(from_m=1650, to_m=2450, cold_c=20, warm_c=20), 3)
    1.104
    """
    require_range("temperature", cold_c, -30.0, 60.0, "C")
    require_range("temperature", warm_c, -30.0, 60.0, "C")
    warming = (warm_c - ABSOLUTE_ZERO_C) / (cold_c - ABSOLUTE_ZERO_C)
    return air_pressure_pa(from_m) / air_pressure_pa(to_m) * warming


def trapped_air(*, from_m: float, to_m: float, cold_c: float, warm_c: float, sealed: bool) -> Air:
    """
    Work out what shut-in air does on the way, and whether to vent it.

    Parameters
    ----------
    from_m, to_m
        Altitude of the kitchen and of the highest place after it. [m], -500 to 6000
    cold_c, warm_c
        Temperature when it was shut in and the warmest after. [degC], -30 to 60
    sealed
        Whether a rolled coat closes the cake all round.

    Returns
    -------
    air
        Growth if free, overpressure if held, and advice.
    """
    growth = air_growth(from_m=from_m, to_m=to_m, cold_c=cold_c, warm_c=warm_c)
    pressure = max(0.0, air_pressure_pa(to_m) * (growth - 1))
    vent = sealed and growth > 1 + VENT_GROWTH
    if vent:
        advice = (
            f"Shut-in air grows by {100 * (growth - 1):.0f} % on the way (or presses with {pressure / 1000:.1f} kPa): "
            "let the covered tiers stand overnight, then prick the coat at the back of each tier and by its board."
        )
    elif sealed:
        advice = f"Shut-in air grows by {100 * (growth - 1):.1f} % on the way: no venting is needed for the road."
    else:
        advice = "The coat lets air out: nothing to vent."
    return Air(growth=growth, pressure_pa=pressure, vent=vent, words=advice)
