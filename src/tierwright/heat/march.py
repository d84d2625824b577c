"""The march in time, in NumPy: the solver that is always there.

Cells ``[i, j]`` count outward from the axis and up from the bottom. Every step is linear and implicit, with
coefficients taken at the start of the step; the linear system is split into radial and vertical sweeps in delta form
(Douglas and Gunn 1964), which keeps the heat balance exact. All boundary and sink terms go with the vertical sweep.

``kernel.py`` says the same cell by cell for a compiler; a change here is a change there.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_solve_banded, cholesky_banded
from scipy.linalg.lapack import dgtsv

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

# Columns of a step's surroundings.
AIR, RADIANT, H_TOP, H_SIDE, H_BOTTOM, R_TOP, R_SIDE, R_BOTTOM = range(8)
VAPOUR, SUN_TOP, SUN_SIDE, OPEN, PAN_ON, E_TOP, E_SIDE, E_BOTTOM, SECONDS, THETA = range(8, 18)
ENV_COLUMNS: Final = 18

# Columns of a step's balance.
HEAT_IN, LATENT, STORED, BOILED, EVAPORATED = range(5)
BALANCE_COLUMNS: Final = 5

# Layers of the stack of cell parameters.
CP0, CP1, CP2, CP3, V0, V1, V2, V3, K0, K1, K2, K3, DIFFUSIVITY, RISE, FREEZE, FREE, CP_FROZEN, CP_THAWED = range(18)
PARAMETER_LAYERS: Final = 18

STEFAN_BOLTZMANN: Final = 5.670374419e-8
VAPOUR_GAS_CONSTANT: Final = 461.52  # J/(kg K)
FUSION: Final = 333_550.0  # J/kg
OSWIN_A: Final = 0.10
OSWIN_POWER: Final = 1.0 / 0.66
BOIL_SECONDS: Final = 2.0  # a superheated cell sheds its superheat with this time constant
PORE_CAP: Final = 0.95  # share of the pressure that vapour in a pore may reach in the transport term
FADE_LOW: Final = 0.1
FADE_HIGH: Final = 0.3  # below these moistures vapour moves through crust without liquid returning
RISE_FROM_C: Final = 35.0
RISE_TO_C: Final = 88.0


class Arrays(NamedTuple):
    """What a march reads of a grid, in the order of its parameters; SI units."""

    dry: Array
    thickness: Array
    radii: Array
    cells: Array
    seam_r: Mask
    seam_z: Mask
    resistance_r: Array
    resistance_z: Array
    pan: Array


def tridiagonal(lower: Array, diagonal: Array, upper: Array, right: Array) -> Array:
    """Solve many small tridiagonal systems laid end to end; their couplings at the seams are zero."""
    # Rows are the small systems; LAPACK takes them as one long one.
    solution: Array = dgtsv(lower.ravel()[1:], diagonal.ravel(), upper.ravel()[:-1], right.ravel())[3]
    return solution.reshape(right.shape)


def direct(capacity: Array, g_r: Array, g_z: Array, held: Array, right: Array, theta: float) -> Array:
    """Solve the unsplit system by banded Cholesky: the reference for the sweeps."""
    nr, nz = capacity.shape
    main = capacity + held
    main[:-1, :] += theta * g_r
    main[1:, :] += theta * g_r
    main[:, :-1] += theta * g_z
    main[:, 1:] += theta * g_z
    band = np.zeros((nz + 1, nr * nz))
    band[0] = main.ravel()
    below = np.zeros((nr, nz))
    below[:, :-1] = -theta * g_z
    band[1] = below.ravel()
    band[nz, : (nr - 1) * nz] = (-theta * g_r).ravel()
    solution: Array = cho_solve_banded((cholesky_banded(band, lower=True), True), right.ravel())
    return solution.reshape(nr, nz)


def sweeps(capacity: Array, g_r: Array, g_z: Array, held: Array, right: Array, theta: float) -> Array:
    """Solve by one radial and one vertical sweep in delta form."""
    nr, nz = capacity.shape
    lower = np.zeros((nz, nr))
    upper = np.zeros((nz, nr))
    coupling = -theta * g_r.T
    lower[:, 1:] = coupling
    upper[:, :-1] = coupling
    diagonal = capacity.T - lower - upper
    star = tridiagonal(lower, diagonal, upper, np.ascontiguousarray(right.T))
    lower = np.zeros((nr, nz))
    upper = np.zeros((nr, nz))
    vertical = -theta * g_z
    lower[:, 1:] = vertical
    upper[:, :-1] = vertical
    diagonal = capacity + held - lower - upper
    return tridiagonal(lower, diagonal, upper, capacity * np.ascontiguousarray(star.T))


def activity(moisture: Array) -> Array:
    """Water activity of crumb at a moisture, Oswin's form."""
    return 1.0 / (1.0 + (OSWIN_A / np.maximum(moisture, 1.0e-4)) ** OSWIN_POWER)


def vapour_pressure(celsius: Array) -> Array:
    """Saturation pressure, a fit within 0.1 % of the steam tables between 20 and 110 degC. [Pa]"""
    return np.exp(23.4795 - 3990.5 / (celsius + 233.833))


def march(
    celsius: Array,
    moisture: Array,
    hottest: Array,
    dry: Array,
    thickness: Array,
    radii: Array,
    cells: Array,
    seam_r: Mask,
    seam_z: Mask,
    resistance_r: Array,
    resistance_z: Array,
    pan: Array,
    core: Mask,
    env: Array,
    pressure: float,
    stop_c: float,
    vapour_on: bool,
    moist: bool,
    freezes: bool,
    record_t: Array,
    record_x: Array,
    record_h: Array,
    balance: Array,
    extent: Array,
    *,
    unsplit: bool = False,
) -> int:
    """
    March ``celsius`` and ``moisture`` through the surroundings, step by step; return the number of steps done.

    The arrays are filled in place. ``pan`` holds the pan's height, wall thickness, conductivity and whether the body
    has a pan row and ring (0 or 1). The march ends early once the coldest cell of ``core`` reaches ``stop_c``.
    ``extent`` is the coldest and warmest of all records, then of the last one; where a run went beyond numbers it holds
    NaN.
    """
    nr, nz = celsius.shape
    steps = env.shape[0]
    has_pan = pan[3] > 0.0
    ring_area = np.pi * (radii[1:] ** 2 - radii[:-1] ** 2)
    width = radii[1:] - radii[:-1]
    half = width / 2.0
    area = ring_area.reshape((nr, 1))
    face_radius = (2.0 * np.pi * radii[1:-1]).reshape((nr - 1, 1))
    width_in = half[:-1].reshape((nr - 1, 1))
    width_out = half[1:].reshape((nr - 1, 1))
    surface = celsius[:, nz - 1].copy()
    surface_x = np.maximum(moisture[:, nz - 1], 1.0e-3)
    wet = cells[DIFFUSIVITY][:, nz - 1] > 0.0
    porous = cells[DIFFUSIVITY] > 0.0
    rise_span = RISE_TO_C - RISE_FROM_C
    record_t[0] = celsius
    record_x[0] = moisture
    np.maximum(hottest, celsius, out=hottest)
    grown = np.minimum(np.maximum((hottest - RISE_FROM_C) / rise_span, 0.0), 1.0)
    dz = thickness * (1.0 + (cells[RISE] - 1.0) * grown * grown * (3.0 - 2.0 * grown))
    record_h[0] = dz.sum(axis=1)
    done = 0
    for n in range(steps):
        here = env[n]
        dt = here[SECONDS]
        theta = here[THETA]
        grown = np.minimum(np.maximum((hottest - RISE_FROM_C) / rise_span, 0.0), 1.0)
        dz = thickness * (1.0 + (cells[RISE] - 1.0) * grown * grown * (3.0 - 2.0 * grown))
        if has_pan:
            # The wall stands against the cake, so its cells share the outermost column's heights.
            dz[nr - 1, 1:] = dz[nr - 2, 1:]
        # Properties of the parts, inside the span of their source.
        t = np.minimum(np.maximum(celsius, -40.0), 150.0)
        water_volume = 1.0 / (997.18 + t * (3.1439e-3 - 3.7574e-3 * t))
        water_k = 0.57109 + t * (1.7625e-3 - 6.7036e-6 * t)
        water_cp = 4128.9 + t * (-9.0864e-2 + 5.4731e-3 * t)
        volume = cells[V0] + t * (cells[V1] + t * (cells[V2] + t * cells[V3]))
        kv = cells[K0] + t * (cells[K1] + t * (cells[K2] + t * cells[K3]))
        specific = cells[CP0] + t * (cells[CP1] + t * (cells[CP2] + t * cells[CP3])) + moisture * water_cp
        if freezes:
            frozen = celsius < cells[FREEZE]
            cold = np.where(frozen, celsius, cells[FREEZE] - 1.0e-9)
            ice = np.where(frozen, cells[FREE] * (1.0 - cells[FREEZE] / cold), 0.0)
            ice_volume = 1.0 / (916.89 - 0.13071 * t)
            ice_k = 2.2196 + t * (-6.2489e-3 + 1.0154e-4 * t)
            kv = kv + (moisture - ice) * water_volume * water_k + ice * ice_volume * ice_k
            volume = volume + (moisture - ice) * water_volume + ice * ice_volume
            apparent = cells[CP_FROZEN] - FUSION * cells[FREE] * cells[FREEZE] / (cold * cold)
            specific = np.where(frozen, apparent, specific)
        else:
            kv = kv + moisture * water_volume * water_k
            volume = volume + moisture * water_volume
        heat = dry * specific
        matrix_k = kv / volume
        cell_volume = area * dz
        pores = np.minimum(np.maximum(1.0 - dry * volume / cell_volume, 0.0), 0.95)
        gas_k = 0.024 + 7.0e-5 * t
        aw = activity(moisture)
        if vapour_on:
            ps = vapour_pressure(t)
            kelvin = t + 273.15
            inside = np.minimum(aw * ps, PORE_CAP * pressure)
            slope = ps * 3990.5 / ((t + 233.833) * (t + 233.833))
            diffusion = 2.26e-5 * (kelvin / 273.15) ** 1.81 * (101325.0 / pressure)
            fade = np.minimum(np.maximum((moisture - FADE_LOW) / (FADE_HIGH - FADE_LOW), 0.0), 1.0)
            carried = diffusion * pressure / (pressure - inside) * (2.5009e6 - 2443.0 * t) * aw * slope
            gas_k = gas_k + np.where(porous, fade * carried / (VAPOUR_GAS_CONSTANT * kelvin), 0.0)
        k = matrix_k * (2.0 * matrix_k + gas_k - 2.0 * pores * (matrix_k - gas_k))
        k = k / (2.0 * matrix_k + gas_k + pores * (matrix_k - gas_k))
        # Conductances between cells: arithmetic within a material, in series across a seam.
        low, high = dz[:, :-1] / 2.0, dz[:, 1:] / 2.0
        k_low, k_high = k[:, :-1], k[:, 1:]
        between = (k_low * high + k_high * low) / ((low + high) * (low + high))
        across = 1.0 / (low / k_low + high / k_high + resistance_z)
        g_z = area * np.where(seam_z, across, between)
        k_in, k_out = k[:-1, :], k[1:, :]
        between_r = (k_in * width_out + k_out * width_in) / ((width_in + width_out) * (width_in + width_out))
        across_r = 1.0 / (width_in / k_in + width_out / k_out + resistance_r)
        g_r = face_radius * (dz[:-1, :] + dz[1:, :]) / 2.0 * np.where(seam_r, across_r, between_r)
        bottom, side = 0, nr - 1
        if has_pan and here[PAN_ON] < 0.5:
            # Turned out: the pan's cells stand apart and the cake meets the air itself.
            g_z[:, 0] = 0.0
            g_r[nr - 2, :] = 0.0
            bottom, side = 1, nr - 2
        g_b = np.zeros((nr, nz))
        q_b = np.zeros((nr, nz))
        # Bottom.
        air, radiant = here[AIR], here[RADIANT]
        far = radiant + 273.15
        at = celsius[: side + 1, bottom]
        abs_t = at + 273.15
        h_rad = here[E_BOTTOM] * STEFAN_BOLTZMANN * (abs_t * abs_t + far * far) * (abs_t + far)
        outside = here[H_BOTTOM] + h_rad + 1.0e-12
        sol = (here[H_BOTTOM] * air + h_rad * radiant) / outside
        u = ring_area[: side + 1] / (
            1.0 / outside + here[R_BOTTOM] + dz[: side + 1, bottom] / (2.0 * k[: side + 1, bottom])
        )
        g_b[: side + 1, bottom] = u
        q_b[: side + 1, bottom] = u * sol
        # Side.
        at = celsius[side, bottom:]
        abs_t = at + 273.15
        h_rad = here[E_SIDE] * STEFAN_BOLTZMANN * (abs_t * abs_t + far * far) * (abs_t + far)
        outside = here[H_SIDE] + h_rad + 1.0e-12
        sol = (here[H_SIDE] * air + h_rad * radiant + here[SUN_SIDE]) / outside
        wall = 2.0 * np.pi * radii[side + 1] * dz[side, bottom:]
        u = wall / (1.0 / outside + here[R_SIDE] + half[side] / k[side, bottom:])
        g_b[side, bottom:] += u
        q_b[side, bottom:] += u * sol
        if has_pan and here[PAN_ON] > 0.5:
            # The bare rim above the batter is a fin, warmed on both faces.
            bare = max(pan[0] - dz[nr - 2, 1:].sum(), 0.0)
            h_fin = here[H_SIDE] + h_rad[nz - 1]
            wave = np.sqrt(2.0 * h_fin / (pan[2] * pan[1]))
            fin = 2.0 * np.pi * radii[nr] * np.sqrt(2.0 * h_fin * pan[2] * pan[1]) * np.tanh(wave * bare)
            sol_fin = (here[H_SIDE] * air + h_rad[nz - 1] * radiant) / (h_fin + 1.0e-12)
            g_b[nr - 1, nz - 1] += fin
            q_b[nr - 1, nz - 1] += fin * sol_fin
        # Top: the skin's temperature and moisture come from a balance over the topmost half cell.
        last = side + 1
        if has_pan:
            last = nr - 1
        dz_top = dz[:last, nz - 1]
        k_top = k[:last, nz - 1]
        k_next = k[:last, nz - 2]
        stretch = k_top + (k_top - k_next) * (dz_top / 4.0) / ((dz_top + dz[:last, nz - 2]) / 2.0)
        k_half = np.where(seam_z[:last, nz - 2], k_top, np.maximum(stretch, 0.2 * k_top))
        k_c = k_half / (dz_top / 2.0)
        t_c = celsius[:last, nz - 1]
        x_c = moisture[:last, nz - 1]
        t_s = surface[:last]
        x_s = surface_x[:last]
        abs_t = t_s + 273.15
        h_rad = here[E_TOP] * STEFAN_BOLTZMANN * (abs_t * abs_t + far * far) * (abs_t + far)
        h_s = here[H_TOP] + h_rad + 1.0e-12
        sol = (here[H_TOP] * air + h_rad * radiant + here[SUN_TOP]) / h_s
        h_s = 1.0 / (1.0 / h_s + here[R_TOP])
        mass = np.zeros(last)
        mass_slope = np.zeros(last)
        hot_l = 2.5009e6 - 2443.0 * np.minimum(np.maximum(t_s, 0.0), 150.0)
        if moist and here[OPEN] > 0.5:
            film = np.where(wet[:last], here[H_TOP] / (1009.0 * 0.90) * 0.622 / pressure, 0.0)
            solids = dry[:last, nz - 1] / (ring_area[:last] * dz_top)
            g_x = cells[DIFFUSIVITY][:last, nz - 1] * solids / (dz_top / 2.0) + 1.0e-12
            for _ in range(3):
                ps_s = vapour_pressure(np.minimum(np.maximum(t_s, -40.0), 150.0))
                a_s = activity(x_s)
                mass = film * (a_s * ps_s - here[VAPOUR])
                steep = film * a_s * ps_s * 3990.5 / ((t_s + 233.833) * (t_s + 233.833))
                t_s = t_s + (h_s * (sol - t_s) - hot_l * mass - k_c * (t_s - t_c)) / (h_s + k_c + hot_l * steep)
                bend = a_s * a_s * OSWIN_POWER * (OSWIN_A / x_s) ** OSWIN_POWER / x_s
                x_s = x_s - (mass - g_x * (x_c - x_s)) / (film * ps_s * bend + g_x)
                x_s = np.minimum(np.maximum(x_s, 1.0e-3), 3.0)
            ps_s = vapour_pressure(np.minimum(np.maximum(t_s, -40.0), 150.0))
            a_s = activity(x_s)
            mass = film * (a_s * ps_s - here[VAPOUR])
            steep = film * a_s * ps_s * 3990.5 / ((t_s + 233.833) * (t_s + 233.833))
            mass_slope = steep * k_c / (h_s + k_c + hot_l * steep)
            surface_x[:last] = x_s
        else:
            t_s = (h_s * sol + k_c * t_c) / (h_s + k_c)
        surface[:last] = t_s
        u = ring_area[:last] * h_s * k_c / (h_s + k_c)
        lost = ring_area[:last] * k_c / (h_s + k_c) * hot_l
        g_b[:last, nz - 1] += u + lost * mass_slope
        q_b[:last, nz - 1] += u * sol - lost * (mass - mass_slope * t_c)
        g_out = g_b.copy()
        q_out = q_b.copy()
        # Boiling: a cell above its boiling point sheds the excess as vapour.
        sink = np.zeros((nr, nz))
        boil_c = np.zeros((nr, nz))
        if moist:
            boil_c = 3990.5 / (23.4795 - np.log(pressure / np.maximum(aw, 1.0e-6))) - 233.833
            ready = porous & (celsius > boil_c)
            sink = np.where(ready, heat / BOIL_SECONDS * np.minimum(moisture / 0.05, 1.0), 0.0)
            g_b = g_b + sink
            q_b = q_b + sink * boil_c
        # One implicit step.
        right = q_b - g_b * celsius
        flow = g_z * (celsius[:, 1:] - celsius[:, :-1])
        right[:, :-1] += flow
        right[:, 1:] -= flow
        flow_r = g_r * (celsius[1:, :] - celsius[:-1, :])
        right[:-1, :] += flow_r
        right[1:, :] -= flow_r
        capacity = heat / dt
        # Boiling is over in seconds, so it is taken at the step's end whatever the rest is; it would ring otherwise.
        held = theta * g_out + sink
        if unsplit:
            change = direct(capacity, g_r, g_z, held, right, theta)
        else:
            change = sweeps(capacity, g_r, g_z, held, right, theta)
        level = celsius + theta * change
        shed = sink * (celsius + change - boil_c)
        top_mass = ring_area[:last] * (mass + mass_slope * (level[:last, nz - 1] - t_c))
        boiled = shed / (2.5009e6 - 2443.0 * t)
        heat_in = (q_out - g_out * level).sum() + (hot_l * top_mass).sum()
        balance[n, HEAT_IN] = heat_in * dt
        balance[n, LATENT] = ((hot_l * top_mass).sum() + shed.sum()) * dt
        balance[n, STORED] = (heat * change).sum()
        balance[n, BOILED] = boiled.sum() * dt
        balance[n, EVAPORATED] = top_mass.sum() * dt
        if freezes:
            # The heat that a cell took is exact; its temperature follows from the enthalpy (Pham 1985).
            zone = frozen | (celsius + change < cells[FREEZE])
            below = cells[CP_FROZEN] * (celsius - cells[FREEZE]) - FUSION * cells[FREE] * (1.0 - cells[FREEZE] / cold)
            start = np.where(frozen, below, specific * (celsius - cells[FREEZE]))
            total = start + specific * change
            b = cells[CP_FROZEN] * cells[FREEZE] + FUSION * cells[FREE] + total
            root = np.sqrt(np.maximum(b * b - 4.0 * cells[CP_FROZEN] * FUSION * cells[FREE] * cells[FREEZE], 0.0))
            solved = np.where(
                total < 0.0, (b - root) / (2.0 * cells[CP_FROZEN]), cells[FREEZE] + total / cells[CP_THAWED]
            )
            celsius = np.where(zone, solved, celsius + change)
        else:
            celsius = celsius + change
        if moist:
            distance = (dz[:, :-1] + dz[:, 1:]) / 2.0
            d_low, d_high = cells[DIFFUSIVITY][:, :-1], cells[DIFFUSIVITY][:, 1:]
            joint = 2.0 * d_low * d_high / (d_low + d_high + 1.0e-30)
            solid_low = dry[:, :-1] / cell_volume[:, :-1]
            solid_high = dry[:, 1:] / cell_volume[:, 1:]
            g_x2 = area * joint * (solid_low + solid_high) / 2.0 / distance
            lower = np.zeros((nr, nz))
            upper = np.zeros((nr, nz))
            lower[:, 1:] = -g_x2
            upper[:, :-1] = -g_x2
            flow = g_x2 * (moisture[:, 1:] - moisture[:, :-1])
            gain = -boiled
            gain[:, :-1] += flow
            gain[:, 1:] -= flow
            gain[:last, nz - 1] -= top_mass
            moisture = moisture + tridiagonal(lower, dry / dt - lower - upper, upper, gain)
        np.maximum(hottest, celsius, out=hottest)
        record_t[n + 1] = celsius
        record_x[n + 1] = moisture
        record_h[n + 1] = dz.sum(axis=1)
        done = n + 1
        if stop_c < 1.0e8 and celsius[core].min() >= stop_c:
            break
    seen = record_t[: done + 1]
    extent[:] = seen.min(), seen.max(), celsius.min(), celsius.max()
    return done
