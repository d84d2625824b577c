"""One pan in one oven: from batter to done."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Final

import numpy as np

from tierwright.bake.dome import finished_profile
from tierwright.bake.model import Aids, BakingPan, Batter, Curve, OvenMode, OvenSetting, Trial
from tierwright.bake.pans import finish
from tierwright.errors import require_range
from tierwright.heat import (
    Band,
    Body,
    Grid,
    History,
    Material,
    Solver,
    Surroundings,
    Wall,
    equivalent_disc,
    food,
    simulate,
    solid,
)
from tierwright.larder import Composition
from tierwright.water import SEA_LEVEL_PA, air_pressure_pa, boiling_point_c

MOISTURE_DIFFUSIVITY: Final = 5.0e-8
"""Of hot porous crumb. [m2/s] Guillard et al. 2003 extrapolated gives 4e-8 to 6e-7 at 90 degC; the value within that
span was chosen so that weight loss agrees with the 8 to 12 % of practice."""

DONE_BELOW_BOILING_K: Final = 2.0
"""Core at done under the boiling point of water: 98 degC by the sea, in the 96 to 99 degC of common practice. [K]"""

CORE_BELOW: Final = 0.75  # the core is looked for below this share of the height, clear of the wet skin
CELLS_UP: Final = 16
FIRST_S: Final = 60.0
FIRST_STEP_S: Final = 10.0
STEP_S: Final = 20.0
"""The first minute, when cold metal meets the oven, goes in short steps of backward Euler, which damp the jump. After
that 20 s of Crank and Nicolson err no more than 10 s of backward Euler would. [s]"""
LONGEST_MIN: Final = 300.0
LARGEST_PAN_MM: Final = 520.0  # nothing wider has been held to practice
STRIP_M2K_W: Final = 0.05  # about 2 mm of felt or folded towel, k 0.04 W/(m K)
WATER_TRAY_PA: Final = 20_000.0  # oven air with a tray of simmering water in it; from memory
CORE_RADIUS_MM: Final = 20.0
CORE_WALL_MM: Final = 1.0
WATER_KG_M3: Final = 998.2
BROWNING_J_MOL: Final = 64_151.0
"""Activation energy of crust browning, 140 to 250 degC: Zanoni, Peri and Bruno 1995, LWT 28:604. [J/mol]"""


def done_core_c(altitude_m: float) -> float:
    """
    Core temperature at which a butter cake is done in this kitchen.

    Parameters
    ----------
    altitude_m
        Kitchen above the sea. [m], -500 to 6000

    Returns
    -------
    core_c
        Two kelvin under the boiling point of water. [degC]

    Raises
    ------
    OutOfRange
        An altitude without kitchens.

    Examples
    --------
    >>> round(done_core_c(0.0), 1), round(done_core_c(1600.0), 1)
    (98.0, 92.7)
    """
    return boiling_point_c(air_pressure_pa(altitude_m)) - DONE_BELOW_BOILING_K


def batter_depth_mm(pan: BakingPan, batter: Batter) -> float:
    """Depth of the batter once it is level: mass over specific gravity and area. [mm]"""
    return batter.batter_g / 1000.0 / (batter.specific_gravity * WATER_KG_M3) / (pan.outline.area_mm2 * 1e-6) * 1000.0


def film_coefficients(diameter_mm: float, mode: OvenMode, altitude_m: float) -> tuple[float, float]:
    """
    Convective film coefficients of a pan in an oven.

    Parameters
    ----------
    diameter_mm
        Of the pan's disc. [mm]
    mode
        Static or fan.
    altitude_m
        Kitchen above the sea. [m]

    Returns
    -------
    h_pan, h_top
        At the pan's floor and side, and at the cake's top. [W/(m2 K)]

    Notes
    -----
    Static: 8 W/(m2 K) for a 229 mm pan, with ``D^-1/4`` and the square root of the air's density, as free convection on
    plates has it; half of that on top, a warm plate facing a cool surface being stable. Fan: 11 on all faces, which
    gives the quarter off the time that ovens' own instructions allow. The maker's own factor multiplies both.

    References
    ----------
    .. [1] McAdams W H (1954), Heat Transmission, 3rd ed., ch. 7, plates in free convection.
    .. [2] Baik O D et al. (1999), J Food Sci 64: 20 to 48 W/(m2 K) in all in a cake oven, three quarters of it radiant.
    """
    scale: float = (229.0 / diameter_mm) ** 0.25 * (air_pressure_pa(altitude_m) / SEA_LEVEL_PA) ** 0.5
    if mode is OvenMode.FAN:
        return 11.0 * scale, 11.0 * scale
    return 8.0 * scale, 4.0 * scale


@lru_cache(maxsize=64)
def _batter_material(composition: Composition, specific_gravity: float, rise: float, diffusivity: float) -> Material:
    return food(
        "batter",
        composition,
        density_kg_m3=specific_gravity * WATER_KG_M3,
        diffusivity_m2_s=diffusivity,
        rise=rise,
    )


@lru_cache(maxsize=64)
def _grid(body: Body) -> Grid:
    return Grid(body)


def pan_body(
    pan: BakingPan,
    batter: Batter,
    aids: Aids,
    *,
    diffusivity: float = MOISTURE_DIFFUSIVITY,
    rings: int = 20,
    rows: int = CELLS_UP,
) -> Body:
    """Return the body that heat is asked about: batter in its pan, with a core if there is one."""
    material = _batter_material(batter.composition, batter.specific_gravity, batter.rise, diffusivity)
    kind = finish(pan.finish)
    insert = None
    if aids.core:
        # A hollow cone of sheet metal, full of batter: the metal's share of the section carries the heat up.
        share = 2.0 * CORE_WALL_MM / CORE_RADIUS_MM
        insert = solid(
            "heating core",
            density_kg_m3=share * 2700.0 + (1 - share) * material.density_kg_m3,
            heat_capacity_j_kgk=2300.0,
            conductivity_w_mk=share * 200.0,
        )
    return Body(
        radius_mm=equivalent_disc(pan.outline).radius_mm,
        bands=(Band(material=material, thickness_mm=batter_depth_mm(pan, batter), cells=rows),),
        wall=Wall(
            material=kind.material,
            thickness_mm=kind.thickness_mm,
            height_mm=pan.height_mm,
            emissivity=kind.emissivity,
        ),
        insert=insert,
        insert_radius_mm=CORE_RADIUS_MM if aids.core else 0.0,
        rings=rings,
        thin_top=True,
    )


def oven_surroundings(
    pan: BakingPan,
    setting: OvenSetting,
    aids: Aids,
    *,
    minutes: float = LONGEST_MIN,
    step_s: float = STEP_S,
    profile: Curve = (),
) -> tuple[Surroundings, Surroundings]:
    """Return the oven as heat sees it, the maker's factor on every conductance; a profile is in seconds."""
    diameter = 2.0 * equivalent_disc(pan.outline).radius_mm
    h_pan, h_top = film_coefficients(diameter, setting.mode, setting.altitude_m)
    first = Surroundings(
        name="oven",
        duration_s=FIRST_S,
        air_c=setting.oven_c,
        profile=profile,
        h_top=h_top * setting.factor,
        h_side=h_pan * setting.factor,
        h_bottom=h_pan * setting.factor,
        exchange=setting.factor,
        vapour_pa=WATER_TRAY_PA if aids.water else setting.vapour_pa,
        cover_side_m2k_w=STRIP_M2K_W if aids.strip else 0.0,
        open_top=True,
        in_pan=True,
        step_s=min(FIRST_STEP_S, step_s),
    )
    rest = replace(
        first,
        duration_s=minutes * 60.0 - FIRST_S,
        profile=tuple((seconds - FIRST_S, celsius) for seconds, celsius in profile),
        step_s=step_s,
        theta=0.5,
    )
    return first, rest


def run_trial(
    pan: BakingPan,
    batter: Batter,
    setting: OvenSetting,
    aids: Aids | None = None,
    *,
    probe: tuple[float, float] = (0.0, 0.5),
    profile: Curve = (),
    minutes: float = LONGEST_MIN,
    to_the_end: bool = False,
    curves: bool = True,
    solver: Solver = Solver.AUTO,
    diffusivity: float = MOISTURE_DIFFUSIVITY,
    rings: int = 20,
    rows: int = CELLS_UP,
    step_s: float = STEP_S,
) -> Trial:
    """
    Bake one pan.

    Parameters
    ----------
    pan, batter, setting, aids
        What goes in, where, and with what help.
    probe
        Where the tip of a probe is: share of the radius, share of the height.
    profile
        True oven temperature over time as ``(seconds, degC)``, such as ``door_profile`` gives or a cycling heater has;
        none holds it at its mean. [s], [degC]
    minutes
        Longest time in the oven. [min], 2 or more
    to_the_end
        Go on to ``minutes`` after the core is done, to compare with a log.
    curves
        Write the curves down; a bake that is only compared by its figures does without.
    solver, diffusivity, rings, rows, step_s
        How it is computed.

    Returns
    -------
    trial
        Times, curves, losses and heights; ``done_min`` is None when the core never gets there.

    Raises
    ------
    OutOfRange
        A batter shallower than 4 mm or deeper than 120 mm, a pan wider than 520 mm, or a value outside its span.
    """
    help_ = aids or Aids()
    depth = batter_depth_mm(pan, batter)
    require_range("pan width", pan.outline.largest_mm, 40.0, LARGEST_PAN_MM, "mm", pan.key)
    require_range("batter depth", depth, 4.0, 120.0, "mm", pan.key)
    body = pan_body(pan, batter, help_, diffusivity=diffusivity, rings=rings, rows=rows)
    target = done_core_c(setting.altitude_m)
    history = simulate(
        body,
        oven_surroundings(pan, setting, help_, minutes=minutes, step_s=step_s, profile=profile),
        start=batter.start_c,
        altitude_m=setting.altitude_m,
        stop_core_c=1.0e9 if to_the_end else target,
        core_below=CORE_BELOW,
        solver=solver,
        grid=_grid(body),
    )
    return _read(history, pan, depth, target, probe, curves=curves)


def crossing_min(times_s: np.ndarray, curve: np.ndarray, level: float) -> float | None:
    """Return when a curve first passes a level, straight between records; None if it never does. [min]"""
    above = np.flatnonzero(curve >= level)
    if above.size == 0:
        return None
    i = int(above[0])
    if i == 0:
        return 0.0
    part = (level - curve[i - 1]) / (curve[i] - curve[i - 1])
    return float(times_s[i - 1] + part * (times_s[i] - times_s[i - 1])) / 60.0


def browning_dose(history: History) -> float:
    """
    Browning dose at half height of the pan's side, as minutes at 160 degC.

    Crust against metal is as warm as the metal, so the wall's history stands for it. Only the ratio of two doses means
    anything: what a dose of one looks like depends on sugar, milk and lining.
    """
    side = history.celsius[:, -1, history.grid.shape[1] // 2] + 273.15
    rate = np.exp(-BROWNING_J_MOL / 8.314462618 * (1.0 / side - 1.0 / 433.15))
    return float(np.trapezoid(rate, history.times_s)) / 60.0


def _curve(minutes: list[float], values: np.ndarray) -> Curve:
    return tuple((t, round(v, 3)) for t, v in zip(minutes, values.tolist(), strict=True))


def _read(
    history: History, pan: BakingPan, depth_mm: float, target_c: float, probe: tuple[float, float], *, curves: bool
) -> Trial:
    done = crossing_min(history.times_s, history.core_curve(CORE_BELOW), target_c)
    if history.reached and done is not None:
        # It comes out when it is done, not at the end of that step.
        history = history.until(60.0 * done)
    rim = history.at(1.0, 0.5)
    rim_done = crossing_min(history.times_s, rim, target_c)
    edge, centre = finished_profile(history)
    area_share = pan.outline.area_mm2 * 1e-6 / float(history.grid.areas[:-1].sum())
    batter_kg = float((history.grid.dry * (1.0 + history.grid.moisture))[history.grid.cake].sum())
    heat_error, water_error = history.closure()
    minutes = [round(t / 60.0, 4) for t in history.times_s.tolist()] if curves else []
    return Trial(
        depth_mm=depth_mm,
        target_c=target_c,
        done_min=done,
        core_c=_curve(minutes, history.core_curve(CORE_BELOW)) if curves else (),
        probe_c=_curve(minutes, history.at(*probe)) if curves else (),
        rim_c=_curve(minutes, rim) if curves else (),
        weight_loss=history.water_kg() / batter_kg,
        heat_kj=history.heat_j() / 1000.0 * area_share,
        edge_height_mm=edge,
        centre_height_mm=centre,
        side_browning=browning_dose(history),
        rim_wait_min=max(done - rim_done, 0.0) if done is not None and rim_done is not None else 0.0,
        heat_error=heat_error,
        water_error=water_error,
    )
