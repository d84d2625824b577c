"""What the maker's own thermometer will show when the pot is really at a temperature."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tierwright.errors import require_range
from tierwright.water import boiling_point_c
from tierwright.working import Estimate

READS_TRUE_C: Final = 20.0
"""Room temperature at which a thermometer whose error grows in proportion is taken to read true. [C]"""
LARGEST_ERROR_C: Final = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Thermometer:
    """
    A maker's thermometer, as checked.

    Attributes
    ----------
    boiling_reading_c
        What it shows in plain boiling water. [C]; None if it was not checked
    ice_reading_c
        What it shows in melting ice. [C]; None if it was not checked
    step_c
        Smallest step that can be read off it. [C]
    """

    boiling_reading_c: float | None = None
    ice_reading_c: float | None = None
    step_c: float = 1.0


def reading_at(true_c: float, thermometer: Thermometer, pressure_pa: float) -> Estimate:
    """
    What the thermometer will show at a true temperature.

    With both readings the scale is a straight line through them. With the boiling reading alone nobody knows whether
    the thermometer is off by the same amount everywhere or by a share of the temperature; the value takes the same
    amount, the range holds both. Unchecked, it may be off by 2 C either way.

    Parameters
    ----------
    true_c
        True temperature of the syrup. [C], 0 to 200
    thermometer
        What is known of the thermometer.
    pressure_pa
        Air pressure when the water was boiled. [Pa]

    Returns
    -------
    reading
        Target on this thermometer, half a step wide at least. [C]

    Raises
    ------
    OutOfRange
        A reading more than 10 C off: such a thermometer cannot be corrected, only replaced.

    Notes
    -----
    Common practice; two-point calibration as in NIST SP 1090 and kitchen guidance of USDA FSIS.
    """
    require_range("temperature", true_c, 0.0, 200.0, "C")
    half = thermometer.step_c / 2
    boiling = boiling_point_c(pressure_pa)
    if thermometer.ice_reading_c is not None:
        require_range("reading in melting ice", thermometer.ice_reading_c, -LARGEST_ERROR_C, LARGEST_ERROR_C, "C")
    if thermometer.boiling_reading_c is None:
        same = thermometer.ice_reading_c or 0.0
        return Estimate(value=true_c + same, low=true_c + same - 2.0 - half, high=true_c + same + 2.0 + half)
    require_range(
        "reading in boiling water",
        thermometer.boiling_reading_c,
        boiling - LARGEST_ERROR_C,
        boiling + LARGEST_ERROR_C,
        "C",
    )
    offset = thermometer.boiling_reading_c - boiling
    if thermometer.ice_reading_c is not None:
        slope = (thermometer.boiling_reading_c - thermometer.ice_reading_c) / boiling
        value = thermometer.ice_reading_c + slope * true_c
        return Estimate(value=value, low=value - half, high=value + half)
    proportional = offset * (true_c - READS_TRUE_C) / (boiling - READS_TRUE_C)
    low, high = sorted((offset, proportional))
    return Estimate(value=true_c + offset, low=true_c + low - half, high=true_c + high + half)
