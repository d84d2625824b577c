"""One pan answered: when to look, when it is done, how it ends, and what would bake it better."""

from __future__ import annotations

from math import exp, sqrt
from typing import Final

from tierwright.bake.model import Aids, Bake, BakingPan, Batter, Option, OvenSetting, Trial
from tierwright.bake.notes import bake_notes
from tierwright.bake.trial import run_trial
from tierwright.heat import Solver
from tierwright.working import Estimate

MODEL_SD: Final = 0.03
"""Standard deviation of ln(time) that stays between pans in a known oven: batter, lining, judgement. [-]"""

FACTOR_POWER: Final = 1.05  # time goes as factor^-1.05 over 0.8 to 1.2, from the model itself
OFFSET_RATE: Final = 0.015  # relative change of time for one kelvin of oven temperature, from the model itself
EIGHTY: Final = 1.2816  # normal quantile: four times in five
LOWER_BY_C: Final = 14.0  # 25 degF, common practice for large and deep pans
LONG_WAIT_MIN: Final = 20.0  # side done this long before the middle: dry edges; a judgement
LARGE_MM: Final = 254.0
DEEP_MM: Final = 30.0
WORTH_MIN: Final = 4.0  # an aid that spares the side less than this is not worth its trouble; a judgement
WORTH_DOME_MM: Final = 2.0  # a flatter top spares trimming; a judgement
WORTH_BROWNING: Final = 0.15  # less browning than this cannot be seen; a judgement


def time_sd(setting: OvenSetting) -> float:
    """Standard deviation of the logarithm of a bake time in this oven. [-]"""
    return sqrt(
        (FACTOR_POWER * setting.factor_sd) ** 2 + (OFFSET_RATE * setting.offset_sd_c) ** 2 + MODEL_SD * MODEL_SD
    )


def time_range(done_min: float, setting: OvenSetting) -> Estimate:
    """Return the range that holds the time four times in five. [min]"""
    spread = exp(EIGHTY * time_sd(setting))
    return Estimate(value=done_min, low=done_min / spread, high=done_min * spread)


def bake(
    pan: BakingPan,
    batter: Batter,
    setting: OvenSetting,
    aids: Aids | None = None,
    *,
    probe: tuple[float, float] = (0.0, 0.5),
    advise: bool = True,
    solver: Solver = Solver.AUTO,
) -> Bake:
    """
    Answer one pan.

    Parameters
    ----------
    pan, batter, setting, aids
        What goes in, where, and with what help.
    probe
        Where the tip of a probe is: share of the radius, share of the height. [-]
    advise
        Try lower set point, strip, core, water and less depth where the pan is large or deep.
    solver
        How the heat is computed.

    Returns
    -------
    answer
        Times, curves, heights, options and notes. A time is None when the oven is too cool for the core ever to be
        done.

    Raises
    ------
    OutOfRange
        A value outside its span.

    Notes
    -----
    The range holds four bakes in five: without a record of this oven about 15 % either way, 6 % after one done-time,
    5 % after three or one good probe log.
    """
    help_ = aids or Aids()
    trial = run_trial(pan, batter, setting, help_, probe=probe, solver=solver)
    done = None if trial.done_min is None else time_range(trial.done_min, setting)
    overflow = max(trial.centre_height_mm, batter.rise * trial.depth_mm) > pan.height_mm and (
        trial.edge_height_mm > pan.height_mm
    )
    options = _options(pan, batter, setting, help_, trial, solver) if advise and _asks_for_help(pan, trial) else ()
    notes = bake_notes(pan, batter, setting, help_, trial, done, overflow, options)
    return Bake(
        pan=pan,
        batter=batter,
        setting=setting,
        aids=help_,
        trial=trial,
        first_look_min=None if done is None else float(int(done.low)),
        done_min=done,
        overflow=overflow,
        options=options,
        notes=notes,
    )


def _asks_for_help(pan: BakingPan, trial: Trial) -> bool:
    return (
        trial.done_min is None
        or pan.outline.largest_mm >= LARGE_MM
        or trial.depth_mm >= DEEP_MM
        or trial.rim_wait_min >= LONG_WAIT_MIN
    )


def _options(
    pan: BakingPan, batter: Batter, setting: OvenSetting, aids: Aids, base: Trial, solver: Solver
) -> tuple[Option, ...]:
    found: list[Option] = []

    def offer(key: str, label: str, trial: Trial) -> None:
        found.append(_option(key, label, base, trial))

    def again(*, other: OvenSetting = setting, help_: Aids = aids, fill: Batter = batter) -> Trial:
        return run_trial(pan, fill, other, help_, curves=False, solver=solver)

    if setting.set_point_c - LOWER_BY_C >= 90.0:
        lower = _with_set_point(setting, setting.set_point_c - LOWER_BY_C)
        offer("lower", f"set the oven {LOWER_BY_C:.0f} degC (25 degF) lower", again(other=lower))
    if not aids.strip:
        offer(
            "strip", "insulating strip round the side", again(help_=Aids(strip=True, core=aids.core, water=aids.water))
        )
    if not aids.core and pan.outline.largest_mm >= 150.0:
        offer("core", "heating core in the middle", again(help_=Aids(strip=aids.strip, core=True, water=aids.water)))
    if not aids.water:
        offer("water", "tray of water in the oven", again(help_=Aids(strip=aids.strip, core=aids.core, water=True)))
    if base.depth_mm >= 12.0:
        less = Batter(
            batter_g=batter.batter_g * 2.0 / 3.0,
            specific_gravity=batter.specific_gravity,
            composition=batter.composition,
            rise=batter.rise,
            start_c=batter.start_c,
            leavening=batter.leavening,
        )
        offer("depth", "a third less batter in the pan, baked in three layers for two", again(fill=less))
    return tuple(found)


def _with_set_point(setting: OvenSetting, set_point_c: float) -> OvenSetting:
    return OvenSetting(
        set_point_c=set_point_c,
        mode=setting.mode,
        altitude_m=setting.altitude_m,
        factor=setting.factor,
        factor_sd=setting.factor_sd,
        offset_c=setting.offset_c,
        offset_sd_c=setting.offset_sd_c,
        calibrated=setting.calibrated,
        vapour_pa=setting.vapour_pa,
    )


def _option(key: str, label: str, base: Trial, trial: Trial) -> Option:
    change = None
    if base.done_min is not None and trial.done_min is not None:
        change = trial.done_min / base.done_min - 1.0
    spared = base.rim_wait_min - trial.rim_wait_min
    paler = None if change is None else trial.side_browning / base.side_browning - 1.0
    if trial.done_min is None:
        advised, reason = False, "the middle is then never done"
    elif base.done_min is None:
        advised, reason = True, "the middle is then done at all"
    elif base.rim_wait_min < LONG_WAIT_MIN:
        advised, reason = False, f"the side waits only {base.rim_wait_min:.0f} min for the middle as it is"
    elif spared >= WORTH_MIN:
        advised, reason = True, f"the side waits {spared:.0f} min less for the middle"
    elif base.dome_mm - trial.dome_mm >= WORTH_DOME_MM and key == "lower":
        advised, reason = True, f"the dome is {base.dome_mm - trial.dome_mm:.0f} mm lower; the side waits no less"
    elif paler is not None and paler <= -WORTH_BROWNING:
        lower_mm = base.dome_mm - trial.dome_mm
        advised, reason = True, f"the side browns {-100 * paler:.0f} % less and the dome is {lower_mm:.0f} mm lower"
    else:
        advised, reason = False, f"it spares the side only {max(spared, 0.0):.0f} min"
    return Option(
        key=key,
        label=label,
        done_min=trial.done_min,
        time_change=change,
        rim_wait_min=trial.rim_wait_min,
        browning_change=paler,
        dome_mm=trial.dome_mm,
        weight_loss=trial.weight_loss,
        advised=advised,
        reason=reason,
    )
