"""The temperature line: one history of a tier through rack, fridge, bench, box, van and venue."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tierwright.errors import require_range
from tierwright.heat import Body, Grid, Solver, State, warm_up_solver
from tierwright.keeping.bodies import FOAM_KEY, body_of
from tierwright.keeping.model import Component, Curve, Layer, Place, Stay, TierLine, TierToKeep
from tierwright.keeping.pieces import (
    CENTRE,
    COLDEST,
    FACING,
    FACING_K,
    FILLING,
    FILLINGS,
    HOURS,
    LEAST_M_S,
    MEAN,
    MOST_RECORDS,
    NEVER,
    ON_SIDE,
    ON_TOP,
    SECONDS,
    SHORTEST_DRYING_S,
    SIDE,
    TOP,
    WARMEST,
    WATER_SIDE,
    WATER_TOP,
    Faces,
    Reads,
    Setting,
    Until,
    read_off,
    walking,
)
from tierwright.keeping.tables import absorptance, base_resistance_m2k_w, cover, sun_light
from tierwright.keeping.weather import hours_since
from tierwright.larder import Composition
from tierwright.shapes import Outline
from tierwright.water import air_pressure_pa, latent_heat_j_kg, saturation_pressure_pa

Array = NDArray[np.float64]

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


def _setting(stay: Stay, *, on_tier: bool) -> Setting:
    """Return what a stay gives to every piece of it: floats throughout, for whole numbers would be compiled anew."""
    lid, light = cover(stay.cover_key), sun_light(stay.light)
    speed = float(max(stay.speed_m_s, LEAST_M_S))
    require_range("air speed", speed, LEAST_M_S, 30.0, "m/s", stay.name)
    return Setting(
        pressure_pa=air_pressure_pa(stay.altitude_m),
        air_c=float(stay.air_c),
        vapour_pa=stay.humidity * saturation_pressure_pa(stay.air_c),
        speed_m_s=speed,
        flat_w_m2=0.0 if lid.shades else light.horizontal_w_m2,
        in_sun=stay.light == "full" and not lid.shades,
        radiant_offset_k=light.radiant_offset_k,
        side_share=light.side_share,
        facing_share=light.facing_share,
        sealed=lid.is_sealed,
        cover_m2k_w=lid.resistance_m2k_w.value,
        under_m2k_w=base_resistance_m2k_w("tier" if on_tier else stay.base_key),
        hollow=stay.base_key == "rack" and not on_tier,
    )


class Walker:
    """Takes one body through stays piece by piece, and keeps what is read off."""

    def __init__(self, tier: TierToKeep, components: dict[str, Component], *, solver: Solver = Solver.AUTO) -> None:
        self.tier = tier
        self.components = components
        self.body: Body = body_of(tier, components)
        self.grid = Grid(self.body)
        self._walk_stay = walking(solver)
        self.state: State | None = None
        # As the columns of ``pieces`` say; never changed in place.
        self._stands = np.zeros(6)
        self.records: list[Array] = []
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
        food = ~np.isin(band, [n for n, layer in enumerate(tier.layers) if layer.component == FOAM_KEY])
        means = self._weights(food)
        self._reads = Reads(
            means=means,
            skin=np.ascontiguousarray(means[:, SIDE - CENTRE : TOP - CENTRE + 1].T),
            food=np.flatnonzero(food),
            filling=np.flatnonzero(filling if filling.any() else self.grid.cake),
        )
        self._faces = Faces(
            width_mm=_film_size(2000.0 * float(self.grid.radii[-1])),
            height_mm=_film_size(float(self.grid.thickness[0].sum()) * 1000.0),
            absorptance=absorptance(self.colour),
            emissivity=self.body.emissivity,
            open_top=float(tier.open_top),
            coat_j_m2k=COAT_J_M3K * max(tier.coat_mm, 3.0) / 1000.0,
        )

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
        field = np.full(self.grid.shape, start.coat_c, dtype=np.float64)
        for number, layer in enumerate(self.tier.layers):
            is_sponge = layer.component == FOAM_KEY or self.components[layer.component].kind == "sponge"
            value = start.coat_c if number == self.top_coat else start.sponge_c if is_sponge else start.filling_c
            field[self.grid.band == number] = value
        self.state = State(field, self.grid.moisture.copy(), field.copy())
        self._stands = np.array([0.0, 0.0, 0.0, 0.0, field.min(), field.max()])
        self._record_now()

    def copy(self) -> Walker:
        """Return a walker that goes on from here; what was recorded before stays with both."""
        other = object.__new__(Walker)
        other.__dict__.update(self.__dict__)
        other.records = list(self.records)
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
        other._stands = self._stands.copy()
        other._stands[SECONDS] += seconds
        return other

    def wait(self, seconds: float) -> None:
        """Let time pass in which nothing changes: a cold cake in its fridge."""
        if seconds > 0.0:
            stands = self._stands.copy()
            stands[SECONDS] += seconds
            stands[FACING_K] = 0.0
            self._stands = stands
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
        sign = 1.0 if falls else -1.0
        last = self.records[-1][-1]
        begun = float(self._stands[SECONDS]) / 3600.0
        if sign * (last[column] - limit_c) <= 0.0:
            return 0.0
        self._walk(stay, 0.0, longest_h * 3600.0, Until(column, float(limit_c), sign))
        for record in self.records[-1]:
            if sign * (record[column] - limit_c) <= 0.0:
                share = (last[column] - limit_c) / (last[column] - record[column])
                return float(last[HOURS] + (record[HOURS] - last[HOURS]) * share - begun)
            last = record
        return None

    def walk(self, stay: Stay, since_s: float = 0.0) -> None:
        """Go through one stay; ``since_s`` seconds of the same conditions may lie behind it already."""
        self._walk(stay, since_s, (stay.ends - stay.begins).total_seconds(), NEVER)

    def _walk(self, stay: Stay, since_s: float, left_s: float, until: Until) -> None:
        state, grid = self.state, self.grid
        assert state is not None
        celsius, moisture, hottest = state.celsius.copy(), state.moisture.copy(), state.hottest.copy()
        stands = self._stands.copy()
        most = MOST_RECORDS * (int(left_s / SHORTEST_DRYING_S) + 2)
        records = np.empty((most, FILLINGS + len(self.fillings)))
        with np.errstate(all="ignore"):
            count = self._walk_stay(
                celsius,
                moisture,
                hottest,
                stands,
                grid.arrays,
                grid.cake,
                grid.is_moist,
                float(grid.freezing_c),
                self._faces,
                self._reads,
                _setting(stay, on_tier=self.tier.on_tier),
                hours_since(stay.weather, stay.begins),
                float(since_s),
                float(left_s),
                until,
                records,
            )
        if count < 0:
            raise ArithmeticError("the heat equations did not settle at any step")
        self.state, self._stands = State(celsius, moisture, hottest), stands
        self.records.append(records[:count].copy())

    @property
    def colour(self) -> str:
        """Colour of the coat as the sun sees it."""
        kind = self.components[self.tier.coat].kind if self.tier.coat else "sponge"
        return {"dark_ganache": "dark", "whipped_ganache": "medium", "milk_ganache": "medium", "sponge": "medium"}.get(
            kind, "pale"
        )

    def _record_now(self) -> None:
        """Record the state as it stands."""
        state, stands = self.state, self._stands
        assert state is not None
        record = np.empty((1, FILLINGS + len(self.fillings)))
        read_off(
            state.celsius.ravel(),
            self._reads,
            float(stands[SECONDS]),
            float(stands[FACING_K]),
            float(stands[ON_SIDE]),
            float(stands[ON_TOP]),
            record[0],
        )
        self.records.append(record)

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


def _film_size(size_mm: float) -> float:
    """Return a size of a face within what films are known for. [mm]"""
    return min(max(size_mm, 10.0), 2000.0)


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


def warm_up() -> bool:
    """
    Compile what the warm is walked with now, so that nobody waits for it later; return whether there is any to compile.

    For a server's start. Takes up to half a minute once on a machine, then two seconds.
    """
    if not warm_up_solver():
        return False
    crumb = Component(
        key="crumb",
        name="crumb",
        kind="sponge",
        composition=Composition(water_g=30.0, protein_g=0.0, fat_g=0.0, carbohydrate_g=70.0, sugars_g=0.0),
        density_g_per_ml=0.5,
    )
    layer = Layer(component=crumb.key, thickness_mm=20.0)
    tier = TierToKeep(number=1, name="", outline=Outline.round(100.0), layers=(layer,))
    began = datetime(2000, 1, 1, tzinfo=UTC)
    minute = Stay(place=Place.BENCH, name="bench", begins=began, ends=began + timedelta(minutes=1), air_c=20.0)
    start = Start(sponge_c=20.0, filling_c=20.0, coat_c=20.0)
    walk(tier, {crumb.key: crumb}, (minute,), start, solver=Solver.COMPILED)
    return True


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
