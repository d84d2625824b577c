"""The target for a pot of syrup in this kitchen, on this thermometer, and what to know before the burner is lit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from tierwright.errors import MissingData, OutOfRange, require_range
from tierwright.sugar.activity import HOTTEST_C, water_activity
from tierwright.sugar.boiling import boiling_c, boiling_range, highest_share, solids_at
from tierwright.sugar.cooking import Burner, Cook, Pan, boil_down
from tierwright.sugar.crystals import Crystals, crystal_risk
from tierwright.sugar.mix import Line, Mix, mix_of
from tierwright.sugar.properties import density_g_ml, flow_class
from tierwright.sugar.stages import Stage, stage, stage_near
from tierwright.sugar.syrup_model import SyrupPlan, SyrupState, Target
from tierwright.sugar.syrup_notes import syrup_notes
from tierwright.sugar.thermometer import Thermometer, reading_at
from tierwright.sugar.told import degrees
from tierwright.units import FOOT_M
from tierwright.water import SEA_LEVEL_PA, air_pressure_pa, boiling_point_c
from tierwright.working import Estimate

RULE_C_PER_1000_FT: Final = 1.0
FAT_DENSITY_G_ML: Final = 0.92  # of what does not dissolve, mostly milk fat
# Carrying a stage to another height by solids trusts the model only for how the rise changes with pressure.
CARRY_DOUBT_C: Final = 0.5


def syrup_state(mix: Mix, *, temperature_c: float = 20.0, pressure_pa: float = SEA_LEVEL_PA) -> SyrupState:
    """
    Describe a syrup as it stands: a soaking syrup, a simple syrup, a bottle from the shelf.

    Parameters
    ----------
    mix
        The syrup.
    temperature_c
        Its temperature. [C], 0 to 100
    pressure_pa
        Air pressure, for its boiling point. [Pa]

    Returns
    -------
    state
        Solids, water activity, density, flow, boiling point and graininess.
    """
    require_range("temperature", temperature_c, 0.0, 100.0, "C")
    pairs = [(part.solute, part.grams) for part in mix.dissolved]
    return SyrupState(
        solids_share=mix.solids_share,
        water_activity=float(water_activity(pairs, mix.water_g, temperature_c, mix.salt_g)),
        density_g_ml=float(density_g_ml(mix.solids_share, temperature_c)),
        flow=flow_class(mix.solids_share, temperature_c),
        boils_c=boiling_range(mix, pressure_pa),
        crystals=crystal_risk(mix, kept_at_c=temperature_c),
    )


def find_target(
    mix: Mix,
    *,
    altitude_m: float,
    stage_key: str = "",
    solids_share: float | None = None,
    sea_level_c: float | None = None,
    thermometer: Thermometer | None = None,
    pressure_pa: float | None = None,
) -> Target:
    """
    Where to stop a pot in this kitchen: by its solids, not by shifting a number.

    Parameters
    ----------
    mix
        The sugars in the pot; its present water does not matter.
    altitude_m
        Height of the kitchen. [m], -500 to 6000
    stage_key
        A stage of the table, such as ``soft-ball``, its middle is aimed at; or
    solids_share
        wanted solids of the solution [1], 0.001 to 0.98; or
    sea_level_c
        a recipe's temperature, valid by the sea. [C]
    thermometer
        The maker's own thermometer as checked; an unchecked one if None.
    pressure_pa
        Measured air pressure in place of the standard day's. [Pa]

    Returns
    -------
    target
        True temperature, the reading to wait for, and what the rule of thumb would say.

    Raises
    ------
    MissingData
        Not exactly one of the three wishes given.
    UnknownName
        No such stage.
    OutOfRange
        A height, solids or temperature that cannot be computed, or above the breakdown of one of the sugars.

    Notes
    -----
    A stage is a texture, a texture is a water content, and the same water content boils cooler under thinner air. Past
    160 C no water boils any more: those stages are heat alone and do not move with height.

    References
    ----------
    .. [1] Starzak and Peacock 1997, Zuckerindustrie 122, 380; IAPWS R7-97(2012); U.S. Standard Atmosphere 1976.
    """
    if sum((bool(stage_key), solids_share is not None, sea_level_c is not None)) != 1:
        raise MissingData("exactly one of a stage, solids or a sea-level temperature", "a syrup's target")
    standard_pa = air_pressure_pa(altitude_m)
    here_pa = standard_pa if pressure_pa is None else pressure_pa
    water_c = boiling_point_c(here_pa)
    row = stage(stage_key) if stage_key else None
    if row is not None:
        sea_level_c = (row.low_c + row.high_c) / 2
    rule_shift = RULE_C_PER_1000_FT * altitude_m / (1000.0 * FOOT_M)
    if sea_level_c is not None:
        require_range("temperature, against the breakdown of these sugars,", sea_level_c, 90.0, mix.highest_c, "C")
        if sea_level_c > HOTTEST_C or (row is not None and not row.boils):
            return _past_boil(sea_level_c, row, water_c, rule_shift, thermometer, here_pa)
        solids = solids_at(mix, sea_level_c, SEA_LEVEL_PA)
        sea = sea_level_c
        true = boiling_c(mix.at_share(solids), here_pa)
        doubt = CARRY_DOUBT_C if abs(true - sea) > 0.05 else 0.0
        estimate = Estimate(value=true, low=true - doubt, high=true + doubt)
    else:
        assert solids_share is not None
        solids = solids_share
        pot = mix.at_share(solids)
        sea = boiling_c(pot, SEA_LEVEL_PA)
        estimate = boiling_range(pot, here_pa)
    breaks_c = mix.highest_c
    require_range("temperature, against the breakdown of these sugars,", estimate.value, 0.0, breaks_c, "C")
    low = high = estimate.value
    if row is not None:
        low, high = (boiling_c(mix.at_share(solids_at(mix, c, SEA_LEVEL_PA)), here_pa) for c in (row.low_c, row.high_c))
    return Target(
        label=row.label if row else f"{solids * 100:.1f} % solids, {stage_near(sea)}",
        solids_share=solids,
        sea_level_c=sea,
        true_c=estimate,
        stage_low_c=low,
        stage_high_c=high,
        reading_c=_reading(estimate, thermometer, here_pa),
        water_boils_c=water_c,
        rule_c=sea - rule_shift,
        rule_difference_c=sea - rule_shift - estimate.value,
        cold_water_test=row.cold_water_test if row else "",
    )


def _past_boil(
    wanted_c: float,
    row: Stage | None,
    water_c: float,
    rule_shift: float,
    thermometer: Thermometer | None,
    pressure_pa: float,
) -> Target:
    exact = Estimate.exact(wanted_c)
    return Target(
        label=row.label if row else f"{degrees(wanted_c)}, {stage_near(wanted_c)}",
        solids_share=None,
        sea_level_c=wanted_c,
        true_c=exact,
        stage_low_c=row.low_c if row else wanted_c,
        stage_high_c=row.high_c if row else wanted_c,
        reading_c=_reading(exact, thermometer, pressure_pa),
        water_boils_c=water_c,
        rule_c=wanted_c - rule_shift,
        rule_difference_c=-rule_shift,
        cold_water_test=row.cold_water_test if row else "",
    )


def _reading(true: Estimate, thermometer: Thermometer | None, pressure_pa: float) -> Estimate:
    # The thermometer's doubt alone: the target's own doubt is told with the true temperature.
    return reading_at(true.value, thermometer or Thermometer(), pressure_pa)


def _boiled_out(start: Mix, pressure_pa: float) -> float:
    """Solids at which the last water that can be reckoned with has left. [1]"""
    try:
        return solids_at(start, 150.0, pressure_pa)
    except OutOfRange:
        return highest_share(start)


def plan_syrup(
    lines: Sequence[Line],
    *,
    altitude_m: float,
    stage_key: str = "",
    solids_share: float | None = None,
    sea_level_c: float | None = None,
    thermometer: Thermometer | None = None,
    pan: Pan | None = None,
    burner: Burner | None = None,
    start_c: float = 20.0,
    room_c: float = 20.0,
    pressure_pa: float | None = None,
    acid: bool = False,
    name: str = "syrup",
) -> SyrupPlan:
    """
    Plan one pot: target on this kitchen's thermometer, water to boil off, yield, time, graininess and cautions.

    Parameters
    ----------
    lines
        Start weights. [g]
    altitude_m
        Height of the kitchen. [m], -500 to 6000
    stage_key, solids_share, sea_level_c
        One wish, as in ``find_target``. [-], [1], [C]
    thermometer, pan, burner
        The kitchen's own; defaults are listed among the assumptions.
    start_c, room_c
        Temperatures of the start and of the room. [C]
    pressure_pa
        Measured air pressure in place of the standard day's. [Pa]
    acid
        Whether lemon juice or cream of tartar goes in.
    name
        Short name that goes into the keys of the figures.

    Returns
    -------
    plan
        Everything for one page. Past the boil ``cook`` runs until the last water has left; it is None only where there
        is nothing to boil off.

    Raises
    ------
    OutOfRange
        More water in the target than in the pot, or a wish that cannot be computed.
    """
    start = mix_of(lines)
    target = find_target(
        start,
        altitude_m=altitude_m,
        stage_key=stage_key,
        solids_share=solids_share,
        sea_level_c=sea_level_c,
        thermometer=thermometer,
        pressure_pa=pressure_pa,
    )
    here_pa = air_pressure_pa(altitude_m) if pressure_pa is None else pressure_pa
    wanted = target.solids_share
    if wanted is not None and wanted < start.solids_share:
        raise OutOfRange(
            "solids wanted (the pot already holds more; add water)", wanted, start.solids_share, 0.98, "of the solution"
        )
    # Past the boil the last of the water is counted off all the same; what follows is colour, not evaporation.
    end_share = wanted if wanted is not None else _boiled_out(start, here_pa)
    cook: Cook | None = None
    crystals: Crystals | None = None
    volume: float | None = None
    if end_share > start.solids_share:
        cook = boil_down(
            start,
            end_share,
            here_pa,
            pan=pan or Pan(),
            burner=burner or Burner(),
            start_c=start_c,
            room_c=room_c,
        )
    if wanted is not None:
        end = start.at_share(wanted)
        acid = acid or any(line.ingredient in ("cream-of-tartar", "lemon-juice") and line.grams > 0 for line in lines)
        crystals = crystal_risk(end, acid=acid)
        volume = (end.total_g - end.inert_g) / float(density_g_ml(end.solids_share, min(target.true_c.value, 160.0)))
        volume += end.inert_g / FAT_DENSITY_G_ML
    notes = syrup_notes(name, lines, start, target, cook, crystals, altitude_m, here_pa, thermometer, pan, burner)
    return SyrupPlan(
        name=name,
        start=start,
        target=target,
        cook=cook,
        crystals=crystals,
        volume_ml=volume,
        altitude_m=altitude_m,
        pressure_pa=here_pa,
        notes=notes,
    )
