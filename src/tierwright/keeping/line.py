"""The temperature line: one history of a tier through rack, fridge, bench, box, van and venue."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from math import exp

import numpy as np
from numpy.typing import NDArray

from tierwright.heat import (
    Body,
    Face,
    Grid,
    Solver,
    State,
    Surroundings,
    end_state,
    moving_air_film,
    simulate,
    still_air_film,
)
from tierwright.keeping.air import condensing_heat_w_m2, vapour_flux_kg_m2s
from tierwright.keeping.bodies import FOAM_KEY, body_of
from tierwright.keeping.model import Component, Curve, Stay, TierLine, TierToKeep
from tierwright.keeping.tables import absorptance, base_resistance_m2k_w, cover, sun_light
from tierwright.keeping.weather import at as weather_at
from tierwright.water import air_pressure_pa, latent_heat_j_kg, saturation_pressure_pa

Array = NDArray[np.float64]

PIECES_S = ((1.0 * 3600.0, 300.0), (4.0 * 3600.0, 600.0), (float("inf"), 2400.0))
"""Until so long into a stay, a piece of it lasts so long: short while the body follows, long once it has. [s]"""
WEATHER_PIECE_S = 600.0
STEP_S = 100.0
RADIATIVE_W_M2K = 5.5
"""Radiation between a pale coat and walls near 25 C. [W/(m2 K)]"""
INWARD_W_M2K = 4.0
"""What a sunny side hands on round the cake and inward: coat and crumb over a hand's breadth. [W/(m2 K)]"""

COAT_J_M3K = 2.0e6
"""Heat that a coat takes up: 800 kg/m3 at 2.5 kJ/(kg K), Choi and Okos 1986 for buttercream. [J/(m3 K)]"""


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
        self.speed_m_s = stay.speed_m_s
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
        self.solver = solver
        self.water = _Water()
        self.state: State | None = None
        self.seconds = 0.0
        self._facing_k = 0.0
        self._absorptance = absorptance(self.colour)
        self._coat_j_m2k = COAT_J_M3K * max(tier.coat_mm, 3.0) / 1000.0
        self.records: list[tuple[float, ...]] = []
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
        self._rows = [np.flatnonzero(band[0] == number) for number in self.fillings]
        filling_mask = np.isin(band, self.fillings) if self.fillings else np.isin(band, sponge)
        self._filling_mask = filling_mask if filling_mask.any() else self.grid.cake
        self._food_mask = ~np.isin(band, [n for n, layer in enumerate(tier.layers) if layer.component == FOAM_KEY])
        weights = self.grid.dry[self._food_mask]
        self._food_weights = weights / weights.sum()
        centre_row = int(np.argmin(np.abs(self.grid.heights_above_floor() - 0.5)))
        self._centre = (0, centre_row)
        self._areas = self.grid.areas / self.grid.areas.sum()
        self._heights = self.grid.thickness[-1] / self.grid.thickness[-1].sum()
        self._width_mm = 2000.0 * float(self.grid.radii[-1])
        self._height_mm = float(self.grid.thickness[0].sum()) * 1000.0

    def begin(self, start: Start) -> None:
        """Put every part at its own temperature."""
        field = np.full(self.grid.shape, start.coat_c)
        for number, layer in enumerate(self.tier.layers):
            is_sponge = layer.component == FOAM_KEY or self.components[layer.component].kind == "sponge"
            value = start.coat_c if number == self.top_coat else start.sponge_c if is_sponge else start.filling_c
            field[self.grid.band == number] = value
        self.state = State(field, self.grid.moisture.copy(), field.copy())
        self._record(0.0)

    def copy(self) -> Walker:
        """Return a walker that goes on from here; what was recorded before stays with both."""
        other = object.__new__(Walker)
        other.__dict__.update(self.__dict__)
        other.water = _Water()
        other.water.side, other.water.top = self.water.side, self.water.top
        other.records = list(self.records)
        return other

    def wait(self, seconds: float) -> None:
        """Let time pass in which nothing changes: a cold cake in its fridge."""
        if seconds > 0.0:
            self.seconds += seconds
            self._record(0.0)

    def walk_until(self, stay: Stay, reached: Callable[[Walker], bool], longest_h: float) -> float | None:
        """
        Go through a stay piece by piece until something is reached.

        Parameters
        ----------
        stay
            Its conditions; its own length does not count.
        reached
            Looks at the walker after every piece.
        longest_h
            Give up then. [h]

        Returns
        -------
        hours
            From the beginning of the stay; None if it was not reached.
        """
        setting = _Setting(stay)
        gone = 0.0
        while gone < longest_h * 3600.0:
            if reached(self):
                return gone / 3600.0
            piece = next(piece for until, piece in PIECES_S if gone < until)
            self._piece(setting, stay.begins + timedelta(seconds=gone), piece)
            gone += piece
        return gone / 3600.0 if reached(self) else None

    @property
    def now(self) -> dict[str, float]:
        """What the last record says: centre, coldest, warmest and mean of what is eaten. [C]"""
        last = self.records[-1]
        return {"centre": last[1], "coldest": last[5], "warmest": last[6], "mean": last[10]}

    def walk(self, stay: Stay) -> None:
        """Go through one stay."""
        setting = _Setting(stay)
        left = (stay.ends - stay.begins).total_seconds()
        gone = 0.0
        while left > 1e-6:
            usual = next(piece for until, piece in PIECES_S if gone < until)
            if stay.weather or self._is_wet():
                usual = min(usual, WEATHER_PIECE_S)
            piece = min(usual, left)
            self._piece(setting, stay.begins + timedelta(seconds=gone), piece)
            gone += piece
            left -= piece

    def _is_wet(self) -> bool:
        return self.water.side > 0.0 or self.water.top > 0.0

    def _piece(self, setting: _Setting, moment: datetime, seconds: float) -> None:
        state = self.state
        assert state is not None
        stay, pressure = setting.stay, setting.pressure_pa
        air_c, vapour, speed, flat = setting.air_c, setting.vapour_pa, setting.speed_m_s, setting.flat_w_m2
        if stay.weather:
            hour = weather_at(stay.weather, moment + timedelta(seconds=seconds / 2.0))
            air_c, vapour = hour.air_c, hour.humidity * saturation_pressure_pa(hour.air_c)
            speed = speed if hour.wind_m_s is None else max(hour.wind_m_s, 0.05)
            flat = hour.sun_w_m2 if setting.in_sun else flat
        kept = self._absorptance * flat
        side_sun = kept * setting.light.side_share
        top_c, side_c = self._top(state), self._side(state)
        face = Face.OPEN_UP if top_c > air_c else Face.SHUT_IN
        h_top = film(face, self._width_mm, speed, top_c, air_c, pressure)
        h_side = film(Face.SIDE, self._height_mm, speed, side_c, air_c, pressure)
        wet_side = wet_top = 0.0
        if not setting.lid.is_sealed:
            wet_side = _wet(h_side, vapour, side_c, pressure, self.water.side, seconds)
            wet_top = _wet(h_top, vapour, top_c, pressure, self.water.top, seconds)
        open_top = self.tier.open_top
        resistance = setting.lid.resistance_m2k_w.value
        surroundings = Surroundings(
            name=stay.name,
            duration_s=seconds,
            air_c=air_c,
            radiant_c=air_c + setting.light.radiant_offset_k,
            h_top=h_top * open_top,
            h_side=h_side,
            h_bottom=h_side if setting.on_rack and not self.tier.on_tier else 8.0,
            cover_top_m2k_w=resistance,
            cover_side_m2k_w=resistance,
            cover_bottom_m2k_w=setting.under_tier_m2k_w if self.tier.on_tier else setting.under_m2k_w,
            sun_top_w_m2=(kept + condensing_heat_w_m2(wet_top, top_c)) * open_top,
            sun_side_w_m2=side_sun + condensing_heat_w_m2(wet_side, side_c),
            step_s=min(STEP_S, seconds) if seconds <= 600.0 else seconds / 8.0,
        )
        history = simulate(
            self.body,
            (surroundings,),
            start=state,
            altitude_m=stay.altitude_m,
            solver=self.solver,
            grid=self.grid,
            vapour=False,
        )
        self.state = end_state(history)
        self.water.side = max(0.0, self.water.side + wet_side * seconds)
        self.water.top = max(0.0, self.water.top + wet_top * seconds)
        self.seconds += seconds
        facing = max(kept * (setting.light.facing_share - setting.light.side_share), 0.0)
        loss = h_side + RADIATIVE_W_M2K + INWARD_W_M2K
        # The coat on the sunny side follows like a plate of its own heat capacity.
        share = 1.0 - exp(-seconds * loss / self._coat_j_m2k)
        self._facing_k += (facing / loss - self._facing_k) * share
        self._record(self._facing_k)

    @property
    def colour(self) -> str:
        """Colour of the coat as the sun sees it."""
        kind = self.components[self.tier.coat].kind if self.tier.coat else "sponge"
        return {"dark_ganache": "dark", "whipped_ganache": "medium", "milk_ganache": "medium", "sponge": "medium"}.get(
            kind, "pale"
        )

    def _top(self, state: State) -> float:
        return float(state.celsius[:, -1] @ self._areas)

    def _side(self, state: State) -> float:
        return float(state.celsius[-1, :] @ self._heights)

    def _record(self, facing_k: float) -> None:
        state = self.state
        assert state is not None
        t = state.celsius
        side, top = self._side(state), self._top(state)
        eaten = t[self._food_mask]
        self.records.append(
            (
                self.seconds / 3600.0,
                float(t[self._centre]),
                side,
                top,
                side + max(facing_k, 0.0),
                float(eaten.min()),
                float(eaten.max()),
                float(t[self._filling_mask].max()),
                self.water.side * 1000.0,
                self.water.top * 1000.0,
                float(eaten @ self._food_weights),
                *(float(t[0, rows].mean()) for rows in self._rows),
            )
        )

    def line(self) -> TierLine:
        """Return what was recorded, from the first record on."""
        columns = [tuple(float(value) for value in column) for column in zip(*self.records, strict=True)]
        fillings = tuple(
            Curve(
                place=f"filling {number + 1}",
                component=self.tier.layers[band].component,
                celsius=columns[11 + number],
            )
            for number, band in enumerate(self.fillings)
        )
        filled = fillings[0].component if fillings else ""
        return TierLine(
            tier=self.tier.number,
            name=self.tier.name,
            hours=columns[0],
            centre=Curve(place="centre", component="", celsius=columns[1]),
            fillings=fillings,
            coat_side=Curve(place="coat, side", component=self.tier.coat, celsius=columns[2]),
            coat_top=Curve(place="coat, top", component=self.tier.coat, celsius=columns[3]),
            coat_facing=Curve(place="coat, sunny side", component=self.tier.coat, celsius=columns[4]),
            coldest=Curve(place="coldest", component="", celsius=columns[5]),
            warmest=Curve(place="warmest", component="", celsius=columns[6]),
            filling_warmest=Curve(place="filling, warmest", component=filled, celsius=columns[7]),
            mean=Curve(place="mean", component="", celsius=columns[10]),
            water_side_g_m2=columns[8],
            water_top_g_m2=columns[9],
        )


def _wet(h: float, vapour: float, face_c: float, pressure: float, standing: float, seconds: float) -> float:
    """Return the flux of water to a face over a piece; what is not there cannot dry. [kg/(m2 s)]"""
    return max(vapour_flux_kg_m2s(h, vapour, face_c, pressure), -standing / seconds)


def film(face: Face, size_mm: float, speed_m_s: float, face_c: float, air_c: float, pressure_pa: float) -> float:
    """
    Film coefficient of a face in air that rises off it and is moved too: the greater of the two.

    Parameters
    ----------
    face
        Which way it looks.
    size_mm
        Of the face. [mm]
    speed_m_s
        Of the air. [m/s]
    face_c, air_c
        [C]
    pressure_pa
        [Pa]

    Returns
    -------
    h
        [W/(m2 K)]

    References
    ----------
    .. [1] Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, sec. 9.9: mixed convection.
    """
    size = min(max(size_mm, 10.0), 2000.0)
    free = still_air_film(face, size, face_c, air_c, pressure_pa)
    moved = moving_air_film(size, max(speed_m_s, 0.05), face_c, air_c, pressure_pa)
    # Cubes add: the blend of the source, without a kink where one takes over from the other.
    return float((free**3 + moved**3) ** (1.0 / 3.0))


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
