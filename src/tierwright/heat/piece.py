"""
One steady piece of a body's life, marched from where it stands: what the bake's whole run and the line's pieces share.

Plain numbers and arrays alone, so that a compiler reads the same text; there the march is the one of ``kernel.py``.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np

from tierwright.heat.march import (
    AIR,
    BALANCE_COLUMNS,
    E_BOTTOM,
    E_SIDE,
    E_TOP,
    ENV_COLUMNS,
    H_BOTTOM,
    H_SIDE,
    H_TOP,
    R_BOTTOM,
    R_SIDE,
    R_TOP,
    RADIANT,
    SECONDS,
    SUN_SIDE,
    SUN_TOP,
    THETA,
    Array,
    Arrays,
    Mask,
    march,
)

NEVER: Final = 1.0e9
"""A core temperature at which no run stops. [degC]"""
RUNAWAY_K: Final = 15.0
"""So far beyond its start and its surroundings a run may come before its steps are taken as too long. [K]"""
SHORTEST_S: Final = 0.1
"""No shorter step is tried. [s]"""


class Around(NamedTuple):
    """
    What stands round a body through one piece.

    Attributes
    ----------
    pressure_pa
        Of the air. [Pa]
    air_c, radiant_c
        Air and walls. [degC]
    h_top, h_side, h_bottom
        Convective film coefficients. [W/(m2 K)]
    r_top, r_side, r_bottom
        Resistances of what lies over the faces. [m2 K/W]
    sun_top, sun_side
        Heat that the faces keep beside: sunlight, condensation. [W/m2]
    emissivity
        Of all faces. [-]
    """

    pressure_pa: float
    air_c: float
    radiant_c: float
    h_top: float
    h_side: float
    h_bottom: float
    r_top: float
    r_side: float
    r_bottom: float
    sun_top: float
    sun_side: float
    emissivity: float


def bounds(
    least_c: float, most_c: float, coolest_c: float, hottest_c: float, least_w_m2: float, most_w_m2: float
) -> tuple[float, float]:
    """
    Return the coldest and the warmest that a run may come to before its steps are taken as too long.

    Parameters
    ----------
    least_c, most_c
        Of the body at the start. [degC]
    coolest_c, hottest_c
        Of air and walls. [degC]
    least_w_m2, most_w_m2
        Of the heat that faces keep beside: below 0 where water dries off. [W/m2]
    """
    low = min(least_c, coolest_c) + min(least_w_m2, 0.0) / 3.0 - RUNAWAY_K
    return low, max(most_c, hottest_c) + max(most_w_m2, 0.0) / 3.0 + RUNAWAY_K


def carry_on(
    celsius: Array,
    moisture: Array,
    hottest: Array,
    least_c: float,
    most_c: float,
    arrays: Arrays,
    cake: Mask,
    is_moist: bool,
    freezing_c: float,
    around: Around,
    steps: int,
    seconds: float,
    theta: float,
) -> tuple[int, Array, Array, Array, float, float]:
    """
    Take a body through one steady piece, by steps half as long while they are too long for a part of it.

    Parameters
    ----------
    celsius, moisture, hottest
        Where it stands: temperature [degC], moisture [kg/kg solids], the hottest that each cell has been [degC].
    least_c, most_c
        Coldest and warmest cell. [degC]
    arrays, cake, is_moist, freezing_c
        Of the grid.
    around
        What stands round it; vapour carries no heat through the pores, and the top gives off no water.
    steps, seconds, theta
        Into how many steps the piece is cut, its length [s], and the weight of a step's end [-].

    Returns
    -------
    steps
        Steps done; 0 if the equations did not settle at any step.
    records
        Temperature by record (one more than steps) and cell. [degC]
    moisture, hottest
        At the end.
    least_c, most_c
        Coldest and warmest cell at the end. [degC]
    """
    row = np.zeros(ENV_COLUMNS)
    row[AIR], row[RADIANT] = around.air_c, around.radiant_c
    row[H_TOP], row[H_SIDE], row[H_BOTTOM] = around.h_top, around.h_side, around.h_bottom
    row[R_TOP], row[R_SIDE], row[R_BOTTOM] = around.r_top, around.r_side, around.r_bottom
    row[SUN_TOP], row[SUN_SIDE] = around.sun_top, around.sun_side
    row[E_TOP] = row[E_SIDE] = row[E_BOTTOM] = around.emissivity
    row[THETA] = theta
    low, high = bounds(
        least_c,
        most_c,
        min(around.air_c, around.radiant_c),
        max(around.air_c, around.radiant_c),
        min(around.sun_top, around.sun_side),
        max(around.sun_top, around.sun_side),
    )
    freezes = min(least_c, around.air_c) < freezing_c
    nr, nz = celsius.shape
    extent = np.empty(4)
    while True:
        row[SECONDS] = seconds / steps
        rows = np.empty((steps, ENV_COLUMNS))
        # Number by number, here and where fields are taken over: whole rows take a compiler seconds more.
        for n in range(steps):
            for column in range(ENV_COLUMNS):
                rows[n, column] = row[column]
        records = np.empty((steps + 1, nr, nz))
        wet = np.empty((steps + 1, nr, nz))
        warmest = hottest.copy()
        done = march(
            celsius.copy(),
            moisture.copy(),
            warmest,
            arrays.dry,
            arrays.thickness,
            arrays.radii,
            arrays.cells,
            arrays.seam_r,
            arrays.seam_z,
            arrays.resistance_r,
            arrays.resistance_z,
            arrays.pan,
            cake,
            rows,
            around.pressure_pa,
            NEVER,
            False,
            is_moist,
            freezes,
            records,
            wet,
            np.empty((steps + 1, nr)),
            np.zeros((steps, BALANCE_COLUMNS)),
            extent,
        )
        # What is no number is in no span.
        if extent[1] <= high and extent[0] >= low:
            return done, records, wet[done], warmest, extent[2], extent[3]
        steps *= 2
        if seconds / steps < SHORTEST_S:
            return 0, records, wet[0], warmest, least_c, most_c
