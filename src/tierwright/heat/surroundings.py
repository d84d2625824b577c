"""What stands round a body, and for how long: an oven, a rack, a fridge, a van, a table in the sun."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np

from tierwright.errors import require_range
from tierwright.heat import march as m
from tierwright.heat.body import Body
from tierwright.water import saturation_pressure_pa

Profile = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """
    One stretch of time with steady or slowly changing surroundings.

    Attributes
    ----------
    name
        In a maker's words.
    duration_s
        How long it lasts. [s]
    air_c
        Air temperature. [degC]
    radiant_c
        Mean temperature of the walls that the body sees; None takes the air's. [degC]
    profile
        Air (and walls) over time as ``(seconds from the start of the stretch, degC)``, instead of ``air_c``; straight
        between points.
    h_top, h_side, h_bottom
        Convective film coefficients. [W/(m2 K)]
    exchange
        Scales the radiation: 1 for walls all round, 0 for shiny foil or a surface that is covered. [-]
    vapour_pa
        Water vapour in the air. [Pa]
    cover_top_m2k_w, cover_side_m2k_w, cover_bottom_m2k_w
        Resistance of what lies between the surface and its air: box, strip, board, mat. [m2 K/W]
    sun_top_w_m2, sun_side_w_m2
        Sunlight or lamp heat that the surface keeps. [W/m2]
    open_top
        Moist crumb gives off water at its top.
    in_pan
        The pan is still round the cake; False turns it out.
    step_s
        Largest time step. [s]
    theta
        Weight of a step's end: 1 for backward Euler, which damps a jump; 0.5 for Crank and Nicolson, whose error falls
        with the square of the step. [-]
    """

    name: str
    duration_s: float
    air_c: float
    radiant_c: float | None = None
    profile: Profile = ()
    h_top: float
    h_side: float
    h_bottom: float
    exchange: float = 1.0
    vapour_pa: float = 1000.0
    cover_top_m2k_w: float = 0.0
    cover_side_m2k_w: float = 0.0
    cover_bottom_m2k_w: float = 0.0
    sun_top_w_m2: float = 0.0
    sun_side_w_m2: float = 0.0
    open_top: bool = False
    in_pan: bool = False
    step_s: float = 10.0
    theta: float = 1.0

    def __post_init__(self) -> None:
        require_range("duration", self.duration_s, 1.0, 60.0 * 86400.0, "s", self.name)
        require_range("air temperature", self.air_c, -40.0, 330.0, "degC", self.name)
        for name in ("h_top", "h_side", "h_bottom"):
            require_range("film coefficient", getattr(self, name), 0.0, 5000.0, "W/(m2 K)", f"{self.name}, {name}")
        require_range("time step", self.step_s, 0.05, 3600.0, "s", self.name)
        require_range("weight of a step's end", self.theta, 0.5, 1.0, "", self.name)


def vapour_from_humidity_pa(air_c: float, humidity: float) -> float:
    """Return the vapour pressure of air at a relative humidity (0 to 1). [Pa]"""
    require_range("relative humidity", humidity, 0.0, 1.0, "", "air")
    return humidity * saturation_pressure_pa(air_c)


def environment(body: Body, stretches: tuple[Surroundings, ...]) -> m.Array:
    """Return one row per time step for the march."""
    rows = [_rows(body, one) for one in stretches]
    return rows[0] if len(rows) == 1 else np.concatenate(rows)


def _rows(body: Body, one: Surroundings) -> m.Array:
    count = max(1, ceil(one.duration_s / one.step_s - 1.0e-9))
    step = one.duration_s / count
    held = body.wall if one.in_pan else None
    outside = (body if held is None else held).emissivity * one.exchange
    block = np.empty((count, m.ENV_COLUMNS))
    # In the order of the columns.
    block[:] = (
        one.air_c, one.air_c if one.radiant_c is None else one.radiant_c,
        one.h_top, one.h_side, one.h_bottom, one.cover_top_m2k_w, one.cover_side_m2k_w, one.cover_bottom_m2k_w,
        one.vapour_pa, one.sun_top_w_m2, one.sun_side_w_m2, float(one.open_top), float(held is not None),
        body.emissivity * one.exchange, outside, outside, step, one.theta,
    )  # fmt: skip
    if one.profile:
        times, degrees = zip(*one.profile, strict=True)
        # A wholly implicit step looks at its end, one of Crank and Nicolson at its middle.
        block[:, m.AIR] = np.interp((np.arange(count) + one.theta) * step, times, degrees)
        if one.radiant_c is None:
            block[:, m.RADIANT] = block[:, m.AIR]
    return block
