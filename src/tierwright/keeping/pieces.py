"""
A stay walked piece by piece, and what is read off on the way.

Plain numbers and arrays alone, so that a compiler reads the same text where one is installed (``tierwright.heat``).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import ceil, exp, isnan
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tierwright.heat import Around, Arrays, Solver, carry_on, compiled, mixed_air_film, runs_compiled
from tierwright.keeping.air import condensing_heat_w_m2, vapour_flux_kg_m2s
from tierwright.water import saturation_unchecked_pa

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

SHORTEST_PIECE_S: Final = 300.0
LONGEST_PIECE_S: Final = 7200.0
GROWTH: Final = 0.6
"""A piece of a stay lasts this share of what went before it: a body that follows its air slows down like that. [-]"""
WEATHER_PIECE_S: Final = 600.0
DRIES_K: Final = 4.0
"""A piece in which water dries off is over before that could have cooled its coat so far. [K]"""
SHORTEST_DRYING_S: Final = 30.0
"""But no piece is shorter for it. [s]"""
STEP_S: Final = 100.0
STEPS: Final = 6
"""Of a long piece."""
RECORDS: Final = 3
"""Of every piece, about."""
MOST_RECORDS: Final = 2 * RECORDS
"""No piece has more. [-]"""
SETTLED_S: Final = 600.0
"""Before that a stay is walked by backward Euler, which damps the first jump; then by Crank and Nicolson. [s]"""
RADIATIVE_W_M2K: Final = 5.5
"""Radiation between a pale coat and walls near 25 C. [W/(m2 K)]"""
LEAST_M_S: Final = 0.05
"""No air stands stiller than this. [m/s]"""
INWARD_W_M2K: Final = 4.0
"""What a sunny side hands on round the cake and inward: coat and crumb over a hand's breadth. [W/(m2 K)]"""
UNDER_W_M2K: Final = 8.0
"""Film under a board that stands on something. [W/(m2 K)]"""

# Columns of the records.
HOURS, CENTRE, SIDE, TOP, FACING, COLDEST, WARMEST, FILLING, WATER_SIDE, WATER_TOP, MEAN, FILLINGS = range(12)

# Where a tier stands beside its fields: time since the line began [s], the sunny side over the others [K], water on
# side and top [kg/m2], coldest and warmest cell [C].
SECONDS, FACING_K, ON_SIDE, ON_TOP, LEAST, MOST = range(6)

# Columns of the weather: time since the stay began [s], air [C], humidity [-], sun on the flat [W/m2], wind [m/s].
AT, AIR, HUMIDITY, SUN, WIND = range(5)


class Faces(NamedTuple):
    """
    A tier as its air sees it.

    Attributes
    ----------
    width_mm, height_mm
        Of top and side, within what films are known for. [mm]
    absorptance, emissivity
        Of the coat, for sunlight and for warmth. [-]
    open_top
        Share of the top that no tier stands on. [-]
    coat_j_m2k
        Heat that the coat takes up. [J/(m2 K)]
    """

    width_mm: float
    height_mm: float
    absorptance: float
    emissivity: float
    open_top: float
    coat_j_m2k: float


class Reads(NamedTuple):
    """
    How the cells make up what is read off.

    Attributes
    ----------
    means
        Weights of centre, side, top, mean and the middle of every filling: cells x columns. [-]
    skin
        Those of side and top once more: two x cells.
    food, filling
        Numbers of the cells that are eaten, and of those of fillings.
    """

    means: Array
    skin: Array
    food: Indices
    filling: Indices


class Setting(NamedTuple):
    """
    What a stay gives to every piece of it.

    Attributes
    ----------
    pressure_pa, air_c, vapour_pa, speed_m_s
        Of its air.
    flat_w_m2
        Sun on the flat. [W/m2]
    in_sun
        Whether the weather's sun takes its place.
    radiant_offset_k
        Walls over the air. [K]
    side_share, facing_share
        Share of the sun on the flat that the sides keep in the mean, and the one that faces it. [-]
    sealed
        Whether damp is kept out.
    cover_m2k_w, under_m2k_w
        Resistances of box and base. [m2 K/W]
    hollow
        Whether air moves under it.
    """

    pressure_pa: float
    air_c: float
    vapour_pa: float
    speed_m_s: float
    flat_w_m2: float
    in_sun: bool
    radiant_offset_k: float
    side_share: float
    facing_share: float
    sealed: bool
    cover_m2k_w: float
    under_m2k_w: float
    hollow: bool


class Until(NamedTuple):
    """A walk ends after the piece in which a column of the records passes a limit [C]; sign 1 falling, -1 rising."""

    column: int
    limit_c: float
    sign: float


NEVER: Final = Until(CENTRE, 0.0, 0.0)
"""A walk to the end of its stay."""


def usual_piece_s(gone_s: float) -> float:
    """Return how long a piece of a stay lasts that begins so long into it. [s]"""
    return min(max(GROWTH * gone_s, SHORTEST_PIECE_S), LONGEST_PIECE_S)


def theta_at(gone_s: float) -> float:
    """Return the weight of a step's end, so long into a stay: 1 while the first jump dies down, then 0.5. [-]"""
    return 0.5 if gone_s >= SETTLED_S else 1.0


def wet_flux(h: float, vapour: float, face_c: float, pressure: float, standing: float) -> float:
    """Return the flux of water to a face; what is not there cannot dry. [kg/(m2 s)]"""
    flux = vapour_flux_kg_m2s(h, vapour, face_c, pressure)
    return flux if standing > 0.0 else max(flux, 0.0)


def weather_then(weather: Array, at_s: float) -> tuple[float, float, float, float]:
    """Return air, humidity, sun and wind at a moment of a stay, straight between the hours and steady beyond them."""
    last = weather.shape[0] - 1
    at = min(max(at_s, weather[0, AT]), weather[last, AT])
    n = 0
    while n < last - 1 and at > weather[n + 1, AT]:
        n += 1
    left, right = weather[n], weather[min(n + 1, last)]
    share = (at - left[AT]) / max(right[AT] - left[AT], 1.0)
    if share == 0.0:
        return left[AIR], left[HUMIDITY], left[SUN], left[WIND]
    if share == 1.0:
        return right[AIR], right[HUMIDITY], right[SUN], right[WIND]
    now = left + (right - left) * share
    return now[AIR], now[HUMIDITY], now[SUN], now[WIND]


def read_off(
    cells: Array, reads: Reads, seconds: float, facing_k: float, side: float, top: float, record: Array
) -> None:
    """Read off what is kept of a field, time, sun and water standing beside it. [s], [K], [kg/m2]"""
    means = cells @ reads.means
    record[HOURS] = seconds / 3600.0
    record[CENTRE], record[SIDE], record[TOP], record[MEAN] = means[0], means[1], means[2], means[3]
    record[FACING] = means[1] + max(facing_k, 0.0)
    eaten = cells[reads.food]
    record[COLDEST], record[WARMEST] = eaten.min(), eaten.max()
    record[FILLING] = cells[reads.filling].max()
    record[WATER_SIDE], record[WATER_TOP] = max(0.0, side) * 1000.0, max(0.0, top) * 1000.0
    for n in range(4, means.shape[0]):
        record[FILLINGS + n - 4] = means[n]


def walk_stay(
    celsius: Array,
    moisture: Array,
    hottest: Array,
    stands: Array,
    arrays: Arrays,
    cake: NDArray[np.bool_],
    is_moist: bool,
    freezing_c: float,
    faces: Faces,
    reads: Reads,
    setting: Setting,
    weather: Array,
    since_s: float,
    left_s: float,
    until: Until,
    records: Array,
) -> int:
    """
    Walk through a stay; films and condensation are taken anew for every piece from the faces as they stand then.

    Parameters
    ----------
    celsius, moisture, hottest, stands
        Where the tier stands, which is brought up to date in place.
    arrays, cake, is_moist, freezing_c
        Of its grid.
    faces, reads, setting
        How its air sees it, what is read off, and what stands round it.
    weather
        Hours x columns; without hours the setting's air stays as it is.
    since_s, left_s
        How long the same conditions have lasted already, and are to last. [s]
    until
        Where to end sooner.
    records
        Filled in place from the first row on.

    Returns
    -------
    count
        Records made; -1 if the heat equations did not settle at any step.
    """
    gone, left, count = 0.0, left_s, 0
    changes = weather.shape[0] > 0
    air_c, vapour, speed, flat = setting.air_c, setting.vapour_pa, setting.speed_m_s, setting.flat_w_m2
    while left > 1e-6:
        usual = usual_piece_s(since_s + gone)
        if changes or stands[ON_SIDE] > 0.0 or stands[ON_TOP] > 0.0:
            usual = min(usual, WEATHER_PIECE_S)
        # No crumb of a piece is left over at the end.
        seconds = left if left < 1.2 * usual else usual
        if changes:
            air_c, humidity, sun, wind = weather_then(weather, gone + seconds / 2.0)
            vapour = humidity * saturation_unchecked_pa(air_c)
            speed = setting.speed_m_s if isnan(wind) else max(wind, LEAST_M_S)
            flat = sun if setting.in_sun else setting.flat_w_m2
        field = celsius.ravel()
        side_c, top_c = float(field @ reads.skin[0]), float(field @ reads.skin[1])
        kept = faces.absorptance * flat
        h_top = mixed_air_film(False, top_c > air_c, faces.width_mm, speed, top_c, air_c, setting.pressure_pa)
        h_side = mixed_air_film(True, False, faces.height_mm, speed, side_c, air_c, setting.pressure_pa)
        wet_side = wet_top = 0.0
        if not setting.sealed:
            wet_side = wet_flux(h_side, vapour, side_c, setting.pressure_pa, stands[ON_SIDE])
            wet_top = wet_flux(h_top, vapour, top_c, setting.pressure_pa, stands[ON_TOP])
            cooled_w = -min(condensing_heat_w_m2(wet_side, side_c), condensing_heat_w_m2(wet_top, top_c))
            if cooled_w > 0.0:
                seconds = min(seconds, max(DRIES_K * faces.coat_j_m2k / cooled_w, SHORTEST_DRYING_S))
            wet_side, wet_top = max(wet_side, -stands[ON_SIDE] / seconds), max(wet_top, -stands[ON_TOP] / seconds)
        around = Around(
            setting.pressure_pa,
            air_c,
            air_c + setting.radiant_offset_k,
            h_top * faces.open_top,
            h_side,
            h_side if setting.hollow else UNDER_W_M2K,
            setting.cover_m2k_w,
            setting.cover_m2k_w,
            setting.under_m2k_w,
            (kept + condensing_heat_w_m2(wet_top, top_c)) * faces.open_top,
            kept * setting.side_share + condensing_heat_w_m2(wet_side, side_c),
            faces.emissivity,
        )
        steps = max(1, ceil(seconds / STEP_S)) if seconds <= STEPS * STEP_S else STEPS
        theta = theta_at(since_s + gone)
        done, fields, moist, warmest, least, most = carry_on(
            celsius,
            moisture,
            hottest,
            stands[LEAST],
            stands[MOST],
            arrays,
            cake,
            is_moist,
            freezing_c,
            around,
            steps,
            seconds,
            theta,
        )
        if done == 0:
            return -1
        for i in range(celsius.shape[0]):
            for j in range(celsius.shape[1]):
                celsius[i, j], moisture[i, j], hottest[i, j] = fields[done, i, j], moist[i, j], warmest[i, j]
        # The coat on the sunny side follows like a plate of its own heat capacity.
        facing = max(kept * (setting.facing_share - setting.side_share), 0.0)
        loss = h_side + RADIATIVE_W_M2K + INWARD_W_M2K
        settled_k, rate, begun_k = facing / loss, -loss / faces.coat_j_m2k, stands[FACING_K]
        between = max(1, done // RECORDS) if done > RECORDS else 1
        passed = False
        for n in range((done - 1) % between + 1, done + 1, between):
            time_s = seconds * n / done
            stands[FACING_K] = settled_k + (begun_k - settled_k) * exp(time_s * rate)
            on_side, on_top = stands[ON_SIDE] + wet_side * time_s, stands[ON_TOP] + wet_top * time_s
            read_off(
                fields[n].ravel(), reads, stands[SECONDS] + time_s, stands[FACING_K], on_side, on_top, records[count]
            )
            beyond = until.sign * (records[count, until.column] - until.limit_c)
            passed = passed or (until.sign != 0.0 and beyond <= 0.0)
            count += 1
        stands[ON_SIDE] = max(0.0, stands[ON_SIDE] + wet_side * seconds)
        stands[ON_TOP] = max(0.0, stands[ON_TOP] + wet_top * seconds)
        stands[SECONDS] += seconds
        stands[LEAST], stands[MOST] = least, most
        gone += seconds
        left -= seconds
        if passed:
            break
    return count


@cache
def walking(solver: Solver) -> Callable[..., int]:
    """Return ``walk_stay`` as a solver runs it: compiled, or as it stands here."""
    if not runs_compiled(solver):
        return walk_stay
    helpers = (usual_piece_s, theta_at, wet_flux, weather_then, read_off, vapour_flux_kg_m2s, condensing_heat_w_m2)
    return compiled(walk_stay, *helpers)
