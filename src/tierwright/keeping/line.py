"""The temperature line: one history of a tier through rack, fridge, bench, box, van and venue."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from math import ceil, exp

import numpy as np
from numpy.typing import NDArray

from tierwright.heat import (
    Body,
    Face,
    Grid,
    Solver,
    State,
    carry_on,
    mixed_air_film,
    steady,
)
from tierwright.keeping.air import condensing_heat_w_m2, vapour_flux_kg_m2s
from tierwright.keeping.bodies import FOAM_KEY, body_of
from tierwright.keeping.model import Component, Curve, Stay, TierLine, TierToKeep
from tierwright.keeping.tables import absorptance, base_resistance_m2k_w, cover, sun_light
from tierwright.keeping.weather import at as weather_at
from tierwright.water import air_pressure_pa, latent_heat_j_kg, saturation_pressure_pa

Array = NDArray[np.float64]

SHORTEST_PIECE_S = 300.0
LONGEST_PIECE_S = 7200.0
GROWTH = 0.6
"""A piece of a stay lasts this share of what went before it: a body that follows its air slows down like that. [-]"""
WEATHER_PIECE_S = 600.0
STEP_S = 100.0
STEPS = 6
"""Of a long piece."""
RECORDS = 3
"""Of every piece, at most."""
SETTLED_S = 600.0
"""Before that a stay is walked by backward Euler, which damps the first jump; then by Crank and Nicolson. [s]"""
RADIATIVE_W_M2K = 5.5
"""Radiation between a pale coat and walls near 25 C. [W/(m2 K)]"""
LEAST_M_S = 0.05
"""No air stands stiller than this. [m/s]"""
INWARD_W_M2K = 4.0
"""What a sunny side hands on round the cake and inward: coat and crumb over a hand's breadth. [W/(m2 K)]"""

COAT_J_M3K = 2.0e6
"""Heat that a coat takes up: 800 kg/m3 at 2.5 kJ/(kg K), Choi and Okos 1986 for buttercream. [J/(m3 K)]"""


# Columns of the records.
HOURS, CENTRE, SIDE, TOP, FACING, COLDEST, WARMEST, FILLING, WATER_SIDE, WATER_TOP, MEAN, FILLINGS = range(12)


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """
    Where a tier begins its line.

    Attributes
    ----------
    sponge_c, filling_c, coat_c
        Temperature of its parts. [C]
    """

    sponge_c: float
    filling_c: float
    coat_c: float


class _Setting:
    """What a stay gives to every piece of it, looked up once."""

    def __init__(self, stay: Stay) -> None:
        self.stay = stay
        self.pressure_pa = air_pressure_pa(stay.altitude_m)
        self.lid = cover(stay.cover_key)
        self.light = sun_light(stay.light)
        self.in_sun = stay.light == "full" and not self.lid.shades
        self.flat_w_m2 = 0.0 if self.lid.shades else self.light.horizontal_w_m2
        self.air_c = stay.air_c
        self.vapour_pa = stay.humidity * saturation_pressure_pa(stay.air_c)
        self.speed_m_s = max(stay.speed_m_s, LEAST_M_S)
        self.on_rack = stay.base_key == "rack"
        self.under_m2k_w = base_resistance_m2k_w(stay.base_key)
        self.under_tier_m2k_w = base_resistance_m2k_w("tier")


class _Water:
    """Water standing on side and top. [kg/m2]"""

    def __init__(self) -> None:
        self.side = 0.0
        self.top = 0.0


class Walker:
    """
    Takes one body through stays piece by piece, and keeps what is read off.

    Films and condensation are taken anew for every piece from the faces as they stand then; the pieces are short
    beside the time in which a face changes.
    """

    def __init__(self, tier: TierToKeep, components: dict[str, Component], *, solver: Solver = Solver.AUTO) -> None:
        self.tier = tier
        self.components = components
        self.body: Body = body_of(tier, components)
        self.grid = Grid(self.body)
        self._emissivities = (self.body.emissivity,) * 3
        self.solver = solver
        self.water = _Water()
        self.state: State | None = None
        self.seconds = 0.0
        self._facing_k = 0.0
        self._absorptance = absorptance(self.colour)
        self._coat_j_m2k = COAT_J_M3K * max(tier.coat_mm, 3.0) / 1000.0
        self.records: list[Array] = []
        # What a stay's pieces came to and has not been read off yet: fields, and hours, sun and water beside them.
        self._waiting: list[Array] = []
        self._waiting_rows: list[tuple[float, float, float, float]] = []
        sponge: list[int] = []
        fill: list[int] = []
        for number, layer in enumerate(tier.layers):
            if layer.component == FOAM_KEY:
                continue
            (sponge if components[layer.component].kind == "sponge" else fill).append(number)
        top = len(tier.layers) - 1
        self.top_coat = top if top in fill and tier.coat and tier.layers[top].component == tier.coat else -1
        self.fillings = [number for number in fill if number != self.top_coat]
        band = self.grid.band
        filling = np.isin(band, self.fillings) if self.fillings else np.isin(band, sponge)
        self._filling_cells = np.flatnonzero(filling if filling.any() else self.grid.cake)
        food = ~np.isin(band, [n for n, layer in enumerate(tier.layers) if layer.component == FOAM_KEY])
        self._food_cells = np.flatnonzero(food)
        self._means = self._weights(food)
        self._skin = np.ascontiguousarray(self._means[:, SIDE - CENTRE : TOP - CENTRE + 1])
        self._width_mm = _film_size(2000.0 * float(self.grid.radii[-1]))
        self._height_mm = _film_size(float(self.grid.thickness[0].sum()) * 1000.0)

    def _weights(self, food: NDArray[np.bool_]) -> Array:
        """Return the weights with which the cells make up centre, side, top, mean and the middle of every filling."""
        grid = self.grid
        centre, side, top = np.zeros(grid.shape), np.zeros(grid.shape), np.zeros(grid.shape)
        centre[0, int(np.argmin(np.abs(grid.heights_above_floor() - 0.5)))] = 1.0
        side[-1, :] = grid.thickness[-1] / grid.thickness[-1].sum()
        top[:, -1] = grid.areas / grid.areas.sum()
        mean = np.where(food, grid.dry, 0.0)
        middles = []
        for number in self.fillings:
            middle = np.zeros(grid.shape)
            middle[0] = grid.band[0] == number
            middles.append(middle / middle.sum())
        return np.stack([one.ravel() for one in (centre, side, top, mean / mean.sum(), *middles)], axis=1)

    def begin(self, start: Start) -> None:
        """Put every part at its own temperature."""
        field = np.full(self.grid.shape, start.coat_c)
        for number, layer in enumerate(self.tier.layers):
            is_sponge = layer.component == FOAM_KEY or self.components[layer.component].kind == "sponge"
            value = start.coat_c if number == self.top_coat else start.sponge_c if is_sponge else start.filling_c
            field[self.grid.band == number] = value
        self.state = State(field, self.grid.moisture.copy(), field.copy())
        self._record_now()

    def copy(self) -> Walker:
        """Return a walker that goes on from here; what was recorded before stays with both."""
        other = object.__new__(Walker)
        other.__dict__.update(self.__dict__)
        other.water = _Water()
        other.water.side, other.water.top = self.water.side, self.water.top
        other.records = list(self.records)
        other._waiting, other._waiting_rows = list(self._waiting), list(self._waiting_rows)
        return other

    def later(self, since: int, seconds: float) -> Walker:
        """
        Return the same course with what was recorded from a block on put off.

        Parameters
        ----------
        since
            Number of the first block of records that comes later.
        seconds
            How much later. [s], 0 or more

        Returns
        -------
        walker
            As if it had waited in between.
        """
        other = self.copy()
        stood = self.records[since - 1][-1:].copy()
        stood[:, HOURS] += seconds / 3600.0
        rest = [block.copy() for block in self.records[since:]]
        for block in rest:
            block[:, HOURS] += seconds / 3600.0
        other.records = [*self.records[:since], *([stood] if seconds > 0.0 else []), *rest]
        other.seconds += seconds
        return other

    def wait(self, seconds: float) -> None:
        """Let time pass in which nothing changes: a cold cake in its fridge."""
        if seconds > 0.0:
            self.seconds += seconds
            self._facing_k = 0.0
            self._record_now()

    def walk_until(self, stay: Stay, column: int, limit_c: float, longest_h: float, *, falls: bool) -> float | None:
        """
        Go through a stay piece by piece until a temperature passes a limit.

        Parameters
        ----------
        stay
            Its conditions; its own length does not count.
        column
            Which column of the records to look at.
        limit_c
            What it has to reach. [C]
        longest_h
            Give up then. [h]
        falls
            Whether it comes down to the limit, or up.

        Returns
        -------
        hours
            From the beginning of the stay, straight between records; None if it was not reached.
        """
        setting = _Setting(stay)
        begun, gone, sign = self.seconds / 3600.0, 0.0, 1.0 if falls else -1.0
        last = self.records[-1][-1]
        if sign * (last[column] - limit_c) <= 0.0:
            return 0.0
        while gone < longest_h * 3600.0:
            piece = usual_piece_s(gone)
            self._piece(setting, stay.begins + timedelta(seconds=gone), piece, theta_at(gone))
            self._record()
            gone += piece
            for record in self.records[-1]:
                if sign * (record[column] - limit_c) <= 0.0:
                    share = (last[column] - limit_c) / (last[column] - record[column])
                    return float(last[0] + (record[0] - last[0]) * share - begun)
                last = record
        return None

    def walk(self, stay: Stay, since_s: float = 0.0) -> None:
        """Go through one stay; ``since_s`` seconds of the same conditions may lie behind it already."""
        setting = _Setting(stay)
        left = (stay.ends - stay.begins).total_seconds()
        gone = 0.0
        while left > 1e-6:
            usual = usual_piece_s(since_s + gone)
            if stay.weather or self._is_wet():
                usual = min(usual, WEATHER_PIECE_S)
            # No crumb of a piece is left over at the end.
            piece = left if left < 1.2 * usual else usual
            self._piece(setting, stay.begins + timedelta(seconds=gone), piece, theta_at(since_s + gone))
            gone += piece
            left -= piece
        if self._waiting:
            self._record()

    def _is_wet(self) -> bool:
        return self.water.side > 0.0 or self.water.top > 0.0

    def _piece(self, setting: _Setting, moment: datetime, seconds: float, theta: float) -> None:
        state = self.state
        assert state is not None
        stay, pressure = setting.stay, setting.pressure_pa
        air_c, vapour, speed, flat = setting.air_c, setting.vapour_pa, setting.speed_m_s, setting.flat_w_m2
        if stay.weather:
            hour = weather_at(stay.weather, moment + timedelta(seconds=seconds / 2.0))
            air_c, vapour = hour.air_c, hour.humidity * saturation_pressure_pa(hour.air_c)
            speed = speed if hour.wind_m_s is None else max(hour.wind_m_s, LEAST_M_S)
            flat = hour.sun_w_m2 if setting.in_sun else flat
        kept = self._absorptance * flat
        side_sun = kept * setting.light.side_share
        side_c, top_c = (state.celsius.ravel() @ self._skin).tolist()
        face = Face.OPEN_UP if top_c > air_c else Face.SHUT_IN
        h_top = mixed_air_film(face, self._width_mm, speed, top_c, air_c, pressure)
        h_side = mixed_air_film(Face.SIDE, self._height_mm, speed, side_c, air_c, pressure)
        wet_side = wet_top = 0.0
        if not setting.lid.is_sealed:
            wet_side = _wet(h_side, vapour, side_c, pressure, self.water.side, seconds)
            wet_top = _wet(h_top, vapour, top_c, pressure, self.water.top, seconds)
        open_top = self.tier.open_top
        resistance = setting.lid.resistance_m2k_w.value
        steps = max(1, ceil(seconds / STEP_S)) if seconds <= STEPS * STEP_S else STEPS
        rows = steady(
            steps,
            step_s=seconds / steps,
            theta=theta,
            air_c=air_c,
            radiant_c=air_c + setting.light.radiant_offset_k,
            films=(h_top * open_top, h_side, h_side if setting.on_rack and not self.tier.on_tier else 8.0),
            covers=(resistance, resistance, setting.under_tier_m2k_w if self.tier.on_tier else setting.under_m2k_w),
            sun=(
                (kept + condensing_heat_w_m2(wet_top, top_c)) * open_top,
                side_sun + condensing_heat_w_m2(wet_side, side_c),
            ),
            emissivities=self._emissivities,
        )
        self.state, ticks, celsius = carry_on(self.grid, state, rows, pressure_pa=pressure, solver=self.solver)
        facing = max(kept * (setting.light.facing_share - setting.light.side_share), 0.0)
        loss = h_side + RADIATIVE_W_M2K + INWARD_W_M2K
        settled_k, rate = facing / loss, -loss / self._coat_j_m2k
        count = len(ticks) - 1
        at = list(range(count, 0, -max(1, count // RECORDS)))[::-1] if count > RECORDS else list(range(1, count + 1))
        begun_k = self._facing_k
        for time_s in ticks[at].tolist():
            # The coat on the sunny side follows like a plate of its own heat capacity.
            self._facing_k = settled_k + (begun_k - settled_k) * exp(time_s * rate)
            self._note(self.seconds + time_s, self.water.side + wet_side * time_s, self.water.top + wet_top * time_s)
        self._waiting.append(celsius[at])
        self.water.side = max(0.0, self.water.side + wet_side * seconds)
        self.water.top = max(0.0, self.water.top + wet_top * seconds)
        self.seconds += seconds

    @property
    def colour(self) -> str:
        """Colour of the coat as the sun sees it."""
        kind = self.components[self.tier.coat].kind if self.tier.coat else "sponge"
        return {"dark_ganache": "dark", "whipped_ganache": "medium", "milk_ganache": "medium", "sponge": "medium"}.get(
            kind, "pale"
        )

    def _record_now(self) -> None:
        """Record the state as it stands."""
        state = self.state
        assert state is not None
        self._waiting.append(state.celsius[None])
        self._note(self.seconds, self.water.side, self.water.top)
        self._record()

    def _note(self, seconds: float, side: float, top: float) -> None:
        """Note what stands beside a field that waits: when it is, the sunny side, and the water. [s], [kg/m2]"""
        self._waiting_rows.append(
            (seconds / 3600.0, max(self._facing_k, 0.0), max(0.0, side) * 1000.0, max(0.0, top) * 1000.0)
        )

    def _record(self) -> None:
        """Read off the fields that wait what is kept of them: many at once, for that costs little more than one."""
        fields = np.concatenate(self._waiting)
        cells = fields.reshape(len(fields), -1)
        rows = np.array(self._waiting_rows)
        means = cells @ self._means
        eaten = cells.take(self._food_cells, axis=1)
        block = np.empty((len(fields), FILLINGS + len(self.fillings)))
        block[:, HOURS] = rows[:, 0]
        block[:, CENTRE : TOP + 1] = means[:, :3]
        block[:, FACING] = means[:, 1] + rows[:, 1]
        block[:, COLDEST], block[:, WARMEST] = eaten.min(axis=1), eaten.max(axis=1)
        block[:, FILLING] = cells.take(self._filling_cells, axis=1).max(axis=1)
        block[:, WATER_SIDE : WATER_TOP + 1] = rows[:, 2:]
        block[:, MEAN] = means[:, 3]
        block[:, FILLINGS:] = means[:, 4:]
        self.records.append(block)
        self._waiting, self._waiting_rows = [], []

    def line(self) -> TierLine:
        """Return what was recorded, from the first record on."""
        columns = [tuple(column) for column in np.concatenate(self.records).T.tolist()]
        fillings = tuple(
            Curve(
                place=f"filling {number + 1}",
                component=self.tier.layers[band].component,
                celsius=columns[FILLINGS + number],
            )
            for number, band in enumerate(self.fillings)
        )
        filled = fillings[0].component if fillings else ""
        return TierLine(
            tier=self.tier.number,
            name=self.tier.name,
            hours=columns[HOURS],
            centre=Curve(place="centre", component="", celsius=columns[CENTRE]),
            fillings=fillings,
            coat_side=Curve(place="coat, side", component=self.tier.coat, celsius=columns[SIDE]),
            coat_top=Curve(place="coat, top", component=self.tier.coat, celsius=columns[TOP]),
            coat_facing=Curve(place="coat, sunny side", component=self.tier.coat, celsius=columns[FACING]),
            coldest=Curve(place="coldest", component="", celsius=columns[COLDEST]),
            warmest=Curve(place="warmest", component="", celsius=columns[WARMEST]),
            filling_warmest=Curve(place="filling, warmest", component=filled, celsius=columns[FILLING]),
            mean=Curve(place="mean", component="", celsius=columns[MEAN]),
            water_side_g_m2=columns[WATER_SIDE],
            water_top_g_m2=columns[WATER_TOP],
        )


def usual_piece_s(gone_s: float) -> float:
    """Return how long a piece of a stay lasts that begins so long into it. [s]"""
    return min(max(GROWTH * gone_s, SHORTEST_PIECE_S), LONGEST_PIECE_S)


def theta_at(gone_s: float) -> float:
    """Return the weight of a step's end, so long into a stay: 1 while the first jump dies down, then 0.5. [-]"""
    return 0.5 if gone_s >= SETTLED_S else 1.0


def _film_size(size_mm: float) -> float:
    """Return a size of a face within what films are known for. [mm]"""
    return min(max(size_mm, 10.0), 2000.0)


def _wet(h: float, vapour: float, face_c: float, pressure: float, standing: float, seconds: float) -> float:
    """Return the flux of water to a face over a piece; what is not there cannot dry. [kg/(m2 s)]"""
    return max(vapour_flux_kg_m2s(h, vapour, face_c, pressure), -standing / seconds)


def walk(
    tier: TierToKeep,
    components: dict[str, Component],
    stays: tuple[Stay, ...],
    start: Start,
    *,
    solver: Solver = Solver.AUTO,
) -> TierLine:
    """
    Temperature line of one tier.

    Parameters
    ----------
    tier
        What it is made of.
    components
        Its materials by key.
    stays
        Where it is, one after another without a gap.
    start
        How warm its parts are when it is put together. [C]
    solver
        How the engine is run.

    Returns
    -------
    line
        Temperatures and standing water, in hours from the first stay.

    Raises
    ------
    OutOfRange
        A size, temperature or composition outside what can be computed.
    ValueError
        Stays that do not follow one another.
    """
    check_order(stays)
    walker = Walker(tier, components, solver=solver)
    walker.begin(start)
    for stay in stays:
        walker.walk(stay)
    return walker.line()


def check_order(stays: tuple[Stay, ...]) -> None:
    """Raise ValueError unless each stay begins when the one before ends."""
    if not stays:
        raise ValueError("a line needs at least one stay")
    for before, after in pairwise(stays):
        if before.ends != after.begins:
            raise ValueError(f"{after.name} begins at {after.begins}, but {before.name} ends at {before.ends}")


def drying_heat_j_m2(water_g_m2: float, face_c: float) -> float:
    """Return the heat that dries this much water off a face. [J/m2]"""
    return water_g_m2 / 1000.0 * latent_heat_j_kg(max(face_c, 0.0))
