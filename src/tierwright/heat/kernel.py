"""The march of ``march.py`` cell by cell, written for a compiler; the same equations, in an order that suits it.

Imported only through ``compiled.py``, where numba is installed. It exists because array expressions compile slowly
and leave temporaries; ``tests/heat/test_simulate.py`` holds the two texts to the same answers.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from tierwright.heat.march import (
    AIR,
    BALANCE_COLUMNS,
    BOIL_SECONDS,
    CP0,
    CP1,
    CP2,
    CP3,
    CP_FROZEN,
    CP_THAWED,
    DIFFUSIVITY,
    E_BOTTOM,
    E_SIDE,
    E_TOP,
    FADE_HIGH,
    FADE_LOW,
    FREE,
    FREEZE,
    FUSION,
    H_BOTTOM,
    H_SIDE,
    H_TOP,
    K0,
    K1,
    K2,
    K3,
    OPEN,
    OSWIN_A,
    OSWIN_POWER,
    PAN_ON,
    PORE_CAP,
    R_BOTTOM,
    R_SIDE,
    R_TOP,
    RADIANT,
    RISE,
    RISE_FROM_C,
    RISE_TO_C,
    SECONDS,
    STEFAN_BOLTZMANN,
    SUN_SIDE,
    SUN_TOP,
    THETA,
    V0,
    V1,
    V2,
    V3,
    VAPOUR,
    VAPOUR_GAS_CONSTANT,
)


def cell_march(
    celsius: Any,
    moisture: Any,
    hottest: Any,
    dry: Any,
    thickness: Any,
    radii: Any,
    cells: Any,
    seam_r: Any,
    seam_z: Any,
    resistance_r: Any,
    resistance_z: Any,
    pan: Any,
    core: Any,
    env: Any,
    pressure: float,
    stop_c: float,
    vapour_on: bool,
    moist: bool,
    freezes: bool,
    record_t: Any,
    record_x: Any,
    record_h: Any,
    balance: Any,
    extent: Any,
) -> int:
    """March as ``march.march`` does, with the split system; the arrays are filled in place."""
    nr, nz = celsius.shape
    steps = env.shape[0]
    has_pan = pan[3] > 0.0
    two_pi = 2.0 * np.pi
    area = np.empty(nr)
    half = np.empty(nr)
    apart = np.empty(nr)
    for i in range(nr):
        area[i] = np.pi * (radii[i + 1] * radii[i + 1] - radii[i] * radii[i])
        half[i] = (radii[i + 1] - radii[i]) / 2.0
    for i in range(nr - 1):
        apart[i] = 1.0 / ((half[i] + half[i + 1]) * (half[i] + half[i + 1]))
    surface = celsius[:, nz - 1].copy()
    surface_x = np.maximum(moisture[:, nz - 1], 1.0e-3)
    dz = np.empty((nr, nz))
    k = np.empty((nr, nz))
    aw = np.empty((nr, nz))
    specific = np.empty((nr, nz))
    g_z = np.empty((nr, nz))
    g_r = np.empty((nr, nz))
    g_b = np.empty((nr, nz))
    q_b = np.empty((nr, nz))
    sink = np.empty((nr, nz))
    boil_c = np.empty((nr, nz))
    change = np.empty((nr, nz))
    top_g = np.empty(nr)
    top_q = np.empty(nr)
    mass = np.empty(nr)
    mass_slope = np.empty(nr)
    hot = np.empty(nr)
    factor = np.empty((nr, nz))
    boiled = np.empty((nr, nz))
    capacity = np.empty((nr, nz))
    per_rise = 1.0 / (RISE_TO_C - RISE_FROM_C)
    per_fade = 1.0 / (FADE_HIGH - FADE_LOW)
    spread = 2.26e-5 * 101325.0 / VAPOUR_GAS_CONSTANT / 273.15
    ln_oswin = np.log(OSWIN_A)
    pure_boil = 3990.5 / (23.4795 - np.log(pressure)) - 233.833 - 1.0e-6
    for i in range(nr):
        total = 0.0
        for j in range(nz):
            record_t[0, i, j] = celsius[i, j]
            record_x[0, i, j] = moisture[i, j]
            hottest[i, j] = max(hottest[i, j], celsius[i, j])
            grown = min(max((hottest[i, j] - RISE_FROM_C) * per_rise, 0.0), 1.0)
            total += thickness[i, j] * (1.0 + (cells[RISE, i, j] - 1.0) * grown * grown * (3.0 - 2.0 * grown))
        record_h[0, i] = total
    least, most = 1.0e9, -1.0e9
    for i in range(nr):
        for j in range(nz):
            least = min(least, celsius[i, j])
            most = max(most, celsius[i, j])
    last_least, last_most = least, most
    done = 0
    for n in range(steps):
        per_s = 1.0 / env[n, SECONDS]
        theta = env[n, THETA]
        air = env[n, AIR]
        radiant = env[n, RADIANT]
        far = radiant + 273.15
        # Properties of every cell.
        for i in range(nr):
            for j in range(nz):
                grown = min(max((hottest[i, j] - RISE_FROM_C) * per_rise, 0.0), 1.0)
                dz[i, j] = thickness[i, j] * (1.0 + (cells[RISE, i, j] - 1.0) * grown * grown * (3.0 - 2.0 * grown))
        if has_pan:
            for j in range(1, nz):
                dz[nr - 1, j] = dz[nr - 2, j]
        for i in range(nr):
            for j in range(nz):
                here = celsius[i, j]
                x = moisture[i, j]
                t = min(max(here, -40.0), 150.0)
                water_volume = 1.0 / (997.18 + t * (3.1439e-3 - 3.7574e-3 * t))
                water_k = 0.57109 + t * (1.7625e-3 - 6.7036e-6 * t)
                water_cp = 4128.9 + t * (-9.0864e-2 + 5.4731e-3 * t)
                c = cells[CP0, i, j] + t * (cells[CP1, i, j] + t * (cells[CP2, i, j] + t * cells[CP3, i, j]))
                v = cells[V0, i, j] + t * (cells[V1, i, j] + t * (cells[V2, i, j] + t * cells[V3, i, j]))
                kv = cells[K0, i, j] + t * (cells[K1, i, j] + t * (cells[K2, i, j] + t * cells[K3, i, j]))
                c += x * water_cp
                ice = 0.0
                if freezes and here < cells[FREEZE, i, j]:
                    tf = cells[FREEZE, i, j]
                    ice = cells[FREE, i, j] * (1.0 - tf / here)
                    c = cells[CP_FROZEN, i, j] - FUSION * cells[FREE, i, j] * tf / (here * here)
                    ice_volume = 1.0 / (916.89 - 0.13071 * t)
                    ice_k = 2.2196 + t * (-6.2489e-3 + 1.0154e-4 * t)
                    kv += ice * ice_volume * ice_k
                    v += ice * ice_volume
                kv += (x - ice) * water_volume * water_k
                v += (x - ice) * water_volume
                specific[i, j] = c
                capacity[i, j] = dry[i, j] * c * per_s
                pores = min(max(1.0 - dry[i, j] * v / (area[i] * dz[i, j]), 0.0), 0.95)
                gas_k = 0.024 + 7.0e-5 * t
                # Power and exponential are the dearest things here, and only where water moves are they asked for.
                a = 0.0
                if (moist or vapour_on) and cells[DIFFUSIVITY, i, j] > 0.0:
                    a = 1.0 / (1.0 + np.exp(OSWIN_POWER * (ln_oswin - np.log(max(x, 1.0e-4)))))
                aw[i, j] = a
                if vapour_on and cells[DIFFUSIVITY, i, j] > 0.0:
                    past = 1.0 / (t + 233.833)
                    ps = np.exp(23.4795 - 3990.5 * past)
                    inside = min(a * ps, PORE_CAP * pressure)
                    slope = ps * 3990.5 * past * past
                    # Diffusion goes as the kelvins to 1.81; one of those powers goes with the gas law.
                    diffusion = spread * np.exp(0.81 * np.log((t + 273.15) * (1.0 / 273.15)))
                    fade = min(max((x - FADE_LOW) * per_fade, 0.0), 1.0)
                    gas_k += fade * diffusion / (pressure - inside) * (2.5009e6 - 2443.0 * t) * a * slope
                # Maxwell's mean of matrix and pores, both times the volume: one division for three.
                gas_v = gas_k * v
                k[i, j] = (
                    kv
                    * (2.0 * kv + gas_v - 2.0 * pores * (kv - gas_v))
                    / (v * (2.0 * kv + gas_v + pores * (kv - gas_v)))
                )
        # Conductances between cells.
        for i in range(nr):
            for j in range(nz - 1):
                low, high = dz[i, j] / 2.0, dz[i, j + 1] / 2.0
                if seam_z[i, j]:
                    g_z[i, j] = area[i] / (low / k[i, j] + high / k[i, j + 1] + resistance_z[i, j])
                else:
                    g_z[i, j] = area[i] * (k[i, j] * high + k[i, j + 1] * low) / ((low + high) * (low + high))
            g_z[i, nz - 1] = 0.0
        for i in range(nr - 1):
            a_in, a_out = half[i], half[i + 1]
            for j in range(nz):
                face = two_pi * radii[i + 1] * (dz[i, j] + dz[i + 1, j]) / 2.0
                if seam_r[i, j]:
                    g_r[i, j] = face / (a_in / k[i, j] + a_out / k[i + 1, j] + resistance_r[i, j])
                else:
                    g_r[i, j] = face * (k[i, j] * a_out + k[i + 1, j] * a_in) * apart[i]
        g_r[nr - 1, :] = 0.0
        bottom, side = 0, nr - 1
        if has_pan and env[n, PAN_ON] < 0.5:
            g_z[:, 0] = 0.0
            g_r[nr - 2, :] = 0.0
            bottom, side = 1, nr - 2
        g_b[:, :] = 0.0
        q_b[:, :] = 0.0
        # Bottom.
        for i in range(side + 1):
            abs_t = celsius[i, bottom] + 273.15
            h_rad = env[n, E_BOTTOM] * STEFAN_BOLTZMANN * (abs_t * abs_t + far * far) * (abs_t + far)
            outside = env[n, H_BOTTOM] + h_rad + 1.0e-12
            sol = (env[n, H_BOTTOM] * air + h_rad * radiant) / outside
            u = area[i] / (1.0 / outside + env[n, R_BOTTOM] + dz[i, bottom] / (2.0 * k[i, bottom]))
            g_b[i, bottom] = u
            q_b[i, bottom] = u * sol
        # Side.
        h_rad = 0.0
        for j in range(bottom, nz):
            abs_t = celsius[side, j] + 273.15
            h_rad = env[n, E_SIDE] * STEFAN_BOLTZMANN * (abs_t * abs_t + far * far) * (abs_t + far)
            outside = env[n, H_SIDE] + h_rad + 1.0e-12
            sol = (env[n, H_SIDE] * air + h_rad * radiant + env[n, SUN_SIDE]) / outside
            wall = two_pi * radii[side + 1] * dz[side, j]
            u = wall / (1.0 / outside + env[n, R_SIDE] + half[side] / k[side, j])
            g_b[side, j] += u
            q_b[side, j] += u * sol
        if has_pan and env[n, PAN_ON] > 0.5:
            bare = pan[0]
            for j in range(1, nz):
                bare -= dz[nr - 2, j]
            bare = max(bare, 0.0)
            h_fin = env[n, H_SIDE] + h_rad
            wave = np.sqrt(2.0 * h_fin / (pan[2] * pan[1]))
            fin = two_pi * radii[nr] * np.sqrt(2.0 * h_fin * pan[2] * pan[1]) * np.tanh(wave * bare)
            g_b[nr - 1, nz - 1] += fin
            q_b[nr - 1, nz - 1] += fin * (env[n, H_SIDE] * air + h_rad * radiant) / (h_fin + 1.0e-12)
        # Top.
        last = nr - 1 if has_pan else side + 1
        top = nz - 1
        for i in range(last):
            d_top = dz[i, top]
            k_half = k[i, top]
            if not seam_z[i, top - 1]:
                stretch = k_half + (k_half - k[i, top - 1]) * (d_top / 4.0) / ((d_top + dz[i, top - 1]) / 2.0)
                k_half = max(stretch, 0.2 * k_half)
            k_c = k_half / (d_top / 2.0)
            t_c = celsius[i, top]
            t_s = surface[i]
            abs_t = t_s + 273.15
            rad = env[n, E_TOP] * STEFAN_BOLTZMANN * (abs_t * abs_t + far * far) * (abs_t + far)
            h_s = env[n, H_TOP] + rad + 1.0e-12
            sol = (env[n, H_TOP] * air + rad * radiant + env[n, SUN_TOP]) / h_s
            h_s = 1.0 / (1.0 / h_s + env[n, R_TOP])
            hot[i] = 2.5009e6 - 2443.0 * min(max(t_s, 0.0), 150.0)
            mass[i] = 0.0
            mass_slope[i] = 0.0
            if moist and env[n, OPEN] > 0.5:
                film = 0.0
                if cells[DIFFUSIVITY, i, top] > 0.0:
                    film = env[n, H_TOP] / (1009.0 * 0.90) * 0.622 / pressure
                x_s = surface_x[i]
                x_c = moisture[i, top]
                g_x = cells[DIFFUSIVITY, i, top] * (dry[i, top] / (area[i] * d_top)) / (d_top / 2.0) + 1.0e-12
                for turn in range(4):
                    ts = min(max(t_s, -40.0), 150.0)
                    ps = np.exp(23.4795 - 3990.5 / (ts + 233.833))
                    raised = np.exp(OSWIN_POWER * (ln_oswin - np.log(x_s)))
                    a = 1.0 / (1.0 + raised)
                    mass[i] = film * (a * ps - env[n, VAPOUR])
                    steep = film * a * ps * 3990.5 / ((t_s + 233.833) * (t_s + 233.833))
                    if turn == 3:
                        mass_slope[i] = steep * k_c / (h_s + k_c + hot[i] * steep)
                        break
                    t_s += (h_s * (sol - t_s) - hot[i] * mass[i] - k_c * (t_s - t_c)) / (h_s + k_c + hot[i] * steep)
                    bend = a * a * OSWIN_POWER * raised / x_s
                    x_s -= (mass[i] - g_x * (x_c - x_s)) / (film * ps * bend + g_x)
                    x_s = min(max(x_s, 1.0e-3), 3.0)
                surface_x[i] = x_s
            else:
                t_s = (h_s * sol + k_c * t_c) / (h_s + k_c)
            surface[i] = t_s
            u = area[i] * h_s * k_c / (h_s + k_c)
            lost = area[i] * k_c / (h_s + k_c) * hot[i]
            top_g[i] = u + lost * mass_slope[i]
            top_q[i] = u * sol - lost * (mass[i] - mass_slope[i] * t_c)
            g_b[i, top] += top_g[i]
            q_b[i, top] += top_q[i]
        # Boiling, and the right-hand side.
        for i in range(nr):
            for j in range(nz):
                sink[i, j] = 0.0
                boil_c[i, j] = 0.0
                # Nothing dissolved lowers a boiling point, so cooler cells need no logarithm.
                if moist and celsius[i, j] > pure_boil and cells[DIFFUSIVITY, i, j] > 0.0:
                    boil_c[i, j] = 3990.5 / (23.4795 - np.log(pressure / max(aw[i, j], 1.0e-6))) - 233.833
                    if celsius[i, j] > boil_c[i, j]:
                        sink[i, j] = dry[i, j] * specific[i, j] / BOIL_SECONDS * min(moisture[i, j] / 0.05, 1.0)
        for i in range(nr):
            for j in range(nz):
                t_0 = celsius[i, j]
                r = q_b[i, j] - g_b[i, j] * t_0 - sink[i, j] * (t_0 - boil_c[i, j])
                if j > 0:
                    r += g_z[i, j - 1] * (celsius[i, j - 1] - t_0)
                if j < nz - 1:
                    r += g_z[i, j] * (celsius[i, j + 1] - t_0)
                if i > 0:
                    r += g_r[i - 1, j] * (celsius[i - 1, j] - t_0)
                if i < nr - 1:
                    r += g_r[i, j] * (celsius[i + 1, j] - t_0)
                change[i, j] = r
        # Radial sweep, all rows abreast: no row waits for another.
        for i in range(nr):
            for j in range(nz):
                d = capacity[i, j] + theta * g_r[i, j]
                if i > 0:
                    d += theta * g_r[i - 1, j]
                    weight = -theta * g_r[i - 1, j] * factor[i - 1, j]
                    d += weight * theta * g_r[i - 1, j]
                    change[i, j] -= weight * change[i - 1, j]
                factor[i, j] = 1.0 / d
        for j in range(nz):
            change[nr - 1, j] *= factor[nr - 1, j]
        for i in range(nr - 2, -1, -1):
            for j in range(nz):
                change[i, j] = (change[i, j] + theta * g_r[i, j] * change[i + 1, j]) * factor[i, j]
        # Vertical sweep, all columns abreast.
        for j in range(nz):
            for i in range(nr):
                change[i, j] *= capacity[i, j]
                # Boiling is over in seconds, so it is taken at the step's end whatever the rest is.
                d = capacity[i, j] + theta * (g_z[i, j] + g_b[i, j]) + sink[i, j]
                if j > 0:
                    d += theta * g_z[i, j - 1]
                    weight = -theta * g_z[i, j - 1] * factor[i, j - 1]
                    d += weight * theta * g_z[i, j - 1]
                    change[i, j] -= weight * change[i, j - 1]
                factor[i, j] = 1.0 / d
        for i in range(nr):
            change[i, nz - 1] *= factor[i, nz - 1]
        for j in range(nz - 2, -1, -1):
            for i in range(nr):
                change[i, j] = (change[i, j] + theta * g_z[i, j] * change[i, j + 1]) * factor[i, j]
        # Balances and the new temperature.
        heat_in, latent, stored, boil_sum, evaporated = 0.0, 0.0, 0.0, 0.0, 0.0
        for i in range(nr):
            for j in range(nz):
                level = celsius[i, j] + theta * change[i, j]
                heat_in += q_b[i, j] - g_b[i, j] * level
                t = min(max(celsius[i, j], -40.0), 150.0)
                shed = sink[i, j] * (celsius[i, j] + change[i, j] - boil_c[i, j])
                boiled[i, j] = shed / (2.5009e6 - 2443.0 * t)
                latent += shed
                boil_sum += boiled[i, j]
                stored += dry[i, j] * specific[i, j] * change[i, j]
        for i in range(last):
            mass[i] = area[i] * (mass[i] + mass_slope[i] * theta * change[i, top])
            latent += hot[i] * mass[i]
            heat_in += hot[i] * mass[i]
            evaporated += mass[i]
        balance[n, 0] = heat_in / per_s
        balance[n, 1] = latent / per_s
        balance[n, 2] = stored
        balance[n, 3] = boil_sum / per_s
        balance[n, BALANCE_COLUMNS - 1] = evaporated / per_s
        for i in range(nr):
            for j in range(nz):
                t_0 = celsius[i, j]
                t_1 = t_0 + change[i, j]
                tf = cells[FREEZE, i, j]
                if freezes and (t_0 < tf or t_1 < tf):
                    cf, ff = cells[CP_FROZEN, i, j], FUSION * cells[FREE, i, j]
                    start = cf * (t_0 - tf) - ff * (1.0 - tf / t_0) if t_0 < tf else specific[i, j] * (t_0 - tf)
                    total = start + specific[i, j] * change[i, j]
                    if total < 0.0:
                        b = cf * tf + ff + total
                        t_1 = (b - np.sqrt(max(b * b - 4.0 * cf * ff * tf, 0.0))) / (2.0 * cf)
                    else:
                        t_1 = tf + total / cells[CP_THAWED, i, j]
                celsius[i, j] = t_1
        # Water, column by column.
        if moist:
            for j in range(nz):
                for i in range(nr):
                    gain = -boiled[i, j]
                    if i < last and j == top:
                        gain -= mass[i]
                    d = dry[i, j] * per_s
                    # What couples a cell to the one below coupled that one upward, and is needed again on the way back.
                    above = 0.0
                    if j < nz - 1:
                        above = link(cells, dry, dz, i, j)
                        gain += above * (record_x[n, i, j + 1] - record_x[n, i, j])
                        d += above
                    if j > 0:
                        below = boiled[i, j - 1]
                        gain += below * (record_x[n, i, j - 1] - record_x[n, i, j])
                        d += below
                        weight = -below * factor[i, j - 1]
                        d += weight * below
                        gain -= weight * change[i, j - 1]
                    factor[i, j] = 1.0 / d
                    change[i, j] = gain
                    boiled[i, j] = above
            for i in range(nr):
                change[i, nz - 1] *= factor[i, nz - 1]
            for j in range(nz - 2, -1, -1):
                for i in range(nr):
                    change[i, j] = (change[i, j] + boiled[i, j] * change[i, j + 1]) * factor[i, j]
            for i in range(nr):
                for j in range(nz):
                    moisture[i, j] += change[i, j]
        coldest = 1.0e9
        last_least, last_most = 1.0e9, -1.0e9
        for i in range(nr):
            total = 0.0
            for j in range(nz):
                here = celsius[i, j]
                hottest[i, j] = max(hottest[i, j], here)
                last_least = min(last_least, here)
                last_most = max(last_most, here)
                record_t[n + 1, i, j] = here
                record_x[n + 1, i, j] = moisture[i, j]
                total += dz[i, j]
                if core[i, j] and here < coldest:
                    coldest = here
            record_h[n + 1, i] = total
        least, most = min(least, last_least), max(most, last_most)
        done = n + 1
        if coldest >= stop_c:
            break
    # What is no number passes every comparison unseen, but not a sum.
    total = 0.0
    for i in range(nr):
        for j in range(nz):
            total += celsius[i, j]
    if np.isnan(total):
        least = most = last_least = last_most = total
    extent[0], extent[1], extent[2], extent[3] = least, most, last_least, last_most
    return done


def link(cells: Any, dry: Any, dz: Any, i: int, j: int) -> float:
    """Return the moisture conductance between a cell and the one above it. [kg solids/s]"""
    low, high = cells[DIFFUSIVITY, i, j], cells[DIFFUSIVITY, i, j + 1]
    if low <= 0.0 or high <= 0.0:
        return 0.0
    # Harmonic mean of diffusivities times mean of solids by volume, over the distance of the middles.
    below, above = dz[i, j], dz[i, j + 1]
    solids = dry[i, j] * above + dry[i, j + 1] * below
    result: float = 2.0 * low * high * solids / ((low + high + 1.0e-30) * below * above * (below + above))
    return result
