"""Run a body through a sequence of surroundings and read off what matters."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from enum import StrEnum
from functools import partial
from typing import NamedTuple

import numpy as np

from tierwright.heat import march as m
from tierwright.heat.body import Band, Body, Grid
from tierwright.heat.compiled import compiled_available, compiled_march
from tierwright.heat.material import solid
from tierwright.heat.piece import NEVER, SHORTEST_S, bounds
from tierwright.heat.surroundings import Surroundings, environment
from tierwright.water import air_pressure_pa


class Solver(StrEnum):
    """How the march is run; all give the same answer, ``UNSPLIT`` to within its splitting error."""

    AUTO = "auto"  # compiled where numba is installed, else plain
    PLAIN = "plain"
    COMPILED = "compiled"
    UNSPLIT = "unsplit"  # banded Cholesky of the whole system; the reference


def runs_compiled(solver: Solver) -> bool:
    """Return whether a solver runs compiled here."""
    return solver is Solver.COMPILED or (solver is Solver.AUTO and compiled_available())


class History:
    """
    What a body went through: every cell at every step, and the balances of heat and water.

    Attributes
    ----------
    grid
        The grid of the body.
    times_s
        Time of every record, from 0. [s]
    celsius, moisture
        Temperature [degC] and moisture [kg/kg solids] by record, ring and row.
    heights_m
        Height of every ring over the floor by record. [m]
    balance
        Heat in, latent, stored [J] and water boiled and evaporated [kg] by step, for the round body.
    hottest
        The hottest that each cell has been, from the beginning of its first run. [degC]
    reached
        Whether the asked-for temperature was reached before the surroundings ended.
    """

    def __init__(
        self,
        grid: Grid,
        times_s: m.Array,
        celsius: m.Array,
        moisture: m.Array,
        heights_m: m.Array,
        balance: m.Array,
        hottest: m.Array,
        reached: bool,
    ) -> None:
        self.grid = grid
        self.times_s = times_s
        self.celsius = celsius
        self.moisture = moisture
        self.heights_m = heights_m
        self.balance = balance
        self.hottest = hottest
        self.reached = reached

    def core_curve(self, below: float) -> m.Array:
        """Return the coldest cake cell below a share of the height, by record. [degC]"""
        mask = core_mask(self.grid, below)
        curve: m.Array = self.celsius[:, mask].min(axis=1)
        return curve

    def at(self, radius_share: float, height_share: float) -> m.Array:
        """
        Return the temperature at a point of the cake, by record. [degC]

        ``radius_share`` counts from the axis (0) to the cake's edge (1), ``height_share`` from its floor (0) to its
        top (1); straight between cell centres.
        """
        edge = self.grid.body.radius_mm / 1000.0
        centres = (self.grid.radii[1:] + self.grid.radii[:-1]) / 2.0
        rows = self.grid.heights_above_floor()
        first = 1 if self.grid.has_pan else 0
        inner = int(self.grid.body.insert is not None)
        last = int(np.searchsorted(self.grid.radii, edge + 1e-9)) - 1
        r = float(np.clip(radius_share * edge, centres[inner], centres[last - 1] if last > 0 else centres[0]))
        z = float(np.clip(height_share, rows[first], rows[-1]))
        i = int(np.clip(np.searchsorted(centres[:last], r) - 1, inner, max(last - 2, inner)))
        j = int(np.clip(np.searchsorted(rows, z) - 1, first, len(rows) - 2))
        u = (r - centres[i]) / (centres[i + 1] - centres[i]) if last > 1 else 0.0
        v = (z - rows[j]) / (rows[j + 1] - rows[j])
        field = self.celsius
        low = field[:, i, j] * (1 - v) + field[:, i, j + 1] * v
        high = field[:, i + 1, j] * (1 - v) + field[:, i + 1, j + 1] * v
        curve: m.Array = low * (1 - u) + high * u
        return curve

    def band_range(self, band: int) -> tuple[m.Array, m.Array, m.Array]:
        """Return the lowest, mean (by solids) and highest temperature in one band, by record. [degC]"""
        mask = self.grid.band == band
        weights = self.grid.dry[mask]
        inside = self.celsius[:, mask]
        return inside.min(axis=1), inside @ weights / weights.sum(), inside.max(axis=1)

    def surface_range(self) -> tuple[m.Array, m.Array]:
        """Return the coldest and the warmest outermost cell (top and side, pan left out), by record. [degC]"""
        outer = self.grid.shape[0] - (2 if self.grid.has_pan else 1)
        first = 1 if self.grid.has_pan else 0
        skin = np.concatenate((self.celsius[:, : outer + 1, -1], self.celsius[:, outer, first:]), axis=1)
        return skin.min(axis=1), skin.max(axis=1)

    def until(self, seconds: float) -> History:
        """Return the run as if its last step had ended at a moment within it, straight between its ends. [s]"""
        before, last = self.times_s[-2:].tolist()
        share = min(max((seconds - before) / (last - before), 0.0), 1.0)

        def cut(records: m.Array) -> m.Array:
            end = records[-2] + share * (records[-1] - records[-2])
            return np.concatenate((records[:-1], end[None]))

        balance = self.balance.copy()
        balance[-1] *= share
        return History(
            self.grid,
            cut(self.times_s),
            cut(self.celsius),
            cut(self.moisture),
            cut(self.heights_m),
            balance,
            self.hottest,
            self.reached,
        )

    def water_kg(self) -> float:
        """Return the water lost over the whole run. [kg]"""
        return float(self.balance[:, m.BOILED].sum() + self.balance[:, m.EVAPORATED].sum())

    def heat_j(self) -> float:
        """Return the heat taken up over the whole run, pan and evaporation included. [J]"""
        return float(self.balance[:, m.HEAT_IN].sum())

    def closure(self) -> tuple[float, float]:
        """Return the relative errors of the heat and the water balance; both are rounding only."""
        into = self.balance[:, m.HEAT_IN]
        scale = float(np.abs(into).sum()) or 1.0
        heat = float(abs(into.sum() - self.balance[:, m.LATENT].sum() - self.balance[:, m.STORED].sum())) / scale
        water = float((self.grid.dry * (self.moisture[0] - self.moisture[-1])).sum())
        total = float((self.grid.dry * self.moisture[0]).sum()) or 1.0
        return heat, abs(water - self.water_kg()) / total


class State:
    """Where a body stands: temperature, moisture, and the hottest that each cell has been."""

    def __init__(self, celsius: m.Array, moisture: m.Array, hottest: m.Array) -> None:
        self.celsius = celsius
        self.moisture = moisture
        self.hottest = hottest


def start_state(grid: Grid, celsius: float | tuple[float, ...]) -> State:
    """Return a body at rest at one temperature, or at one temperature for each band. [degC]"""
    field = np.full(grid.shape, celsius if isinstance(celsius, float) else celsius[0])
    if not isinstance(celsius, float):
        for number, value in enumerate(celsius):
            field[grid.band == number] = value
        outer = ~grid.cake
        field[outer] = float(np.mean(celsius))
    return State(field, grid.moisture.copy(), field.copy())


def end_state(history: History) -> State:
    """Return where a run left its body, to go on from there with the same body."""
    return State(history.celsius[-1].copy(), history.moisture[-1].copy(), history.hottest.copy())


def core_mask(grid: Grid, below: float) -> m.Mask:
    """Mark the cake below a share of its height: the part whose coldest cell is the core, without the wet skin."""
    rows = grid.heights_above_floor()
    mask: m.Mask = grid.cake & ((rows >= 0.0) & (rows <= below))[None, :]
    return mask


def warm_up_solver() -> bool:
    """
    Compile the march now, so that nobody waits for it later; return whether there is one to compile.

    For a server's start. Takes some seconds once on a machine, then a fraction of one.
    """
    if not compiled_available():
        return False
    block = solid("block", density_kg_m3=1000.0, heat_capacity_j_kgk=1000.0, conductivity_w_mk=1.0)
    body = Body(radius_mm=50.0, bands=(Band(material=block, thickness_mm=20.0),), rings=2)
    around = Surroundings(name="air", duration_s=1.0, air_c=20.0, h_top=1.0, h_side=1.0, h_bottom=1.0, step_s=1.0)
    simulate(body, (around,), start=20.0, solver=Solver.COMPILED)
    return True


class _March(NamedTuple):
    """How many steps a march did, and what it left: records from the start on, balances, hottest cells."""

    rows: m.Array
    done: int
    celsius: m.Array
    moisture: m.Array
    heights_m: m.Array
    balance: m.Array
    hottest: m.Array


def _marched(
    grid: Grid,
    state: State,
    rows: m.Array,
    pressure_pa: float,
    solver: Solver,
    *,
    vapour: bool,
    stop_c: float,
    below: float,
) -> _March:
    """March from a state through rows of surroundings, by steps half as long while one is too long for a part."""
    least, most = rows.min(axis=0).tolist(), rows.max(axis=0).tolist()
    coldest_c = float(state.celsius.min())
    low, high = bounds(
        coldest_c,
        float(state.celsius.max()),
        min(least[m.AIR], least[m.RADIANT]),
        max(most[m.AIR], most[m.RADIANT]),
        min(least[m.SUN_TOP], least[m.SUN_SIDE]),
        max(most[m.SUN_TOP], most[m.SUN_SIDE]),
    )
    freezes = min(coldest_c, least[m.AIR]) < grid.freezing_c
    fast = runs_compiled(solver)
    run: Callable[..., int] = compiled_march() if fast else partial(m.march, unsplit=solver is Solver.UNSPLIT)
    while True:
        steps, shape = rows.shape[0], grid.shape
        record_t = np.empty((steps + 1, *shape))
        record_x = np.empty((steps + 1, *shape))
        record_h = np.empty((steps + 1, shape[0]))
        balance = np.zeros((steps, m.BALANCE_COLUMNS))
        hottest, extent = state.hottest.copy(), np.empty(4)
        with nullcontext() if fast else np.errstate(all="ignore"):
            done = run(
                state.celsius.copy(),
                state.moisture.copy(),
                hottest,
                *grid.arrays,
                # A run that never stops early looks at no core; every cell then does as well as any.
                core_mask(grid, below) if stop_c < NEVER else grid.cake,
                rows,
                pressure_pa,
                float(stop_c),
                vapour,
                grid.is_moist,
                freezes,
                record_t,
                record_x,
                record_h,
                balance,
                extent,
            )
        # What is no number is in no span.
        if solver is Solver.UNSPLIT or (extent[1] <= high and extent[0] >= low):
            cut = slice(done + 1)
            return _March(rows, done, record_t[cut], record_x[cut], record_h[cut], balance[:done], hottest)
        rows = np.repeat(rows, 2, axis=0)
        rows[:, m.SECONDS] /= 2.0
        if rows[:, m.SECONDS].min() < SHORTEST_S:
            raise ArithmeticError("the heat equations did not settle at any step")


def simulate(
    body: Body,
    surroundings: tuple[Surroundings, ...],
    *,
    start: float | tuple[float, ...] | State,
    altitude_m: float = 0.0,
    stop_core_c: float = NEVER,
    core_below: float = 0.75,
    solver: Solver = Solver.AUTO,
    vapour: bool = True,
    grid: Grid | None = None,
) -> History:
    """
    Take a body through a sequence of surroundings.

    Parameters
    ----------
    body
        What is heated or cooled.
    surroundings
        One after another, such as oven, rack, fridge, van, table.
    start
        First temperature, of the whole body or band by band, or a state from an earlier run. [degC]
    altitude_m
        Kitchen or venue above the sea. [m]
    stop_core_c
        End the run once the core has reached this; never by default. [degC]
    core_below
        Share of the height below which the core is looked for. [-]
    solver
        How to run it.
    vapour
        Let vapour carry heat through the pores; False only to see how much it does.
    grid
        The body's grid if it has been built before.

    Returns
    -------
    history
        Every cell at every step.

    Raises
    ------
    OutOfRange
        A value outside its span.

    References
    ----------
    .. [1] Choi Y, Okos M R (1986): properties. Maxwell J C (1873): pores. Krischer O, Kast W (1978): vapour in pores.
    .. [2] Douglas J, Gunn J E (1964), Numer Math 6:428: the splitting. Pham Q T (1985): freezing.
    """
    grid = grid or Grid(body)
    state = start if isinstance(start, State) else start_state(grid, start)
    rows = environment(body, surroundings)
    march = _marched(
        grid,
        state,
        rows,
        air_pressure_pa(altitude_m),
        solver,
        vapour=vapour,
        stop_c=stop_core_c,
        below=core_below,
    )
    times = np.zeros(march.done + 1)
    np.cumsum(march.rows[: march.done, m.SECONDS], out=times[1:])
    floor = grid.pan[1] if grid.has_pan else 0.0
    history = History(
        grid, times, march.celsius, march.moisture, march.heights_m - floor, march.balance, march.hottest, False
    )
    if stop_core_c < NEVER:
        history.reached = bool(history.core_curve(core_below)[-1] >= stop_core_c)
    return history
