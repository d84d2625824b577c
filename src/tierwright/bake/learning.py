"""Learn an oven from what was seen of it: one factor for each oven, rack and mode, and its spread."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import exp, log, sqrt
from typing import Final

import numpy as np

from tierwright.bake.answer import FACTOR_POWER
from tierwright.bake.evidence import (
    DoneTime,
    OvenCalibration,
    OvenRecord,
    ProbeRecord,
    ThermometerReading,
    Verdict,
)
from tierwright.bake.logs import log_doubts
from tierwright.bake.model import OvenMode, OvenSetting, Trial
from tierwright.bake.trial import batter_depth_mm, run_trial
from tierwright.heat import Solver
from tierwright.water import air_pressure_pa, boiling_point_c
from tierwright.working import Basis, Estimate, Figure, Given, Notes, Question, Severity, Source

PRIOR_SD: Final = 0.109
"""Spread of ln(factor) over ovens nobody has measured, so that an unknown oven's range is 15 % either way. [-]"""

DONE_SD: Final = 0.017  # one bowl and pan of the same formula against another
LOG_SD: Final = 0.032  # a formula known only roughly bends the whole curve of a log

FACTOR_LOW: Final = 0.5
FACTOR_HIGH: Final = 1.8
"""No oven gives half or nearly twice the heat of the usual one; outside, the record is wrong. [-]"""

MISFIT_C: Final = 4.0  # a log that no factor brings closer than this is of something else
NOISE_C: Final = 1.0  # what the model and a probe differ by, sample by sample
INDEPENDENT: Final = 4.0  # a smooth log says little more than a few readings would
LATE_BELOW_K: Final = 5.0
LATE_SD: Final = 0.01  # how well a noisy log fixes that moment, as a share of it
WINDOW_K: Final = 4.0
RESAMPLE_MIN: Final = 0.5
OFFSET_PRIOR_SD_C: Final = 15.0  # ovens are commonly 14 degC (25 degF) off their dial
OFFSET_KEPT_SD_C: Final = 3.0  # an offset known worse than this is not told apart from the factor
SURPRISE: Final = 2.5
SOURCE: Final = Source(basis=Basis.MAKER_RECORD, text="least squares on this oven's own bakes")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    """ln(factor) that one record asks for, with its spread."""

    key: str
    mean: float
    sd: float


def calibrate(record: OvenRecord, *, solver: Solver = Solver.AUTO) -> OvenCalibration:
    """
    Work out an oven from all that was seen of it.

    Parameters
    ----------
    record
        Evidence on one oven, rack and mode.
    solver
        How the heat is computed.

    Returns
    -------
    calibration
        Factor, offset and their spreads; a verdict on each piece of evidence, and what is doubtful.

    Notes
    -----
    Every bake asks for the ``ln(factor)`` with which the model repeats it; these are averaged by their precision with
    what ovens are like in general. Done-times carry the time between looks; logs the probe's bias, fitted with the
    spread that is given for it. Factor and offset move a bake time in almost the same way (their errors in one log
    are correlated by -0.99), so an offset is taken only from a thermometer, or from the logs of two different pans
    if they fix it to 3 K. Records that scatter more than they should widen the result.

    References
    ----------
    .. [1] Birge R T (1932), Phys Rev 40:207: widening by the scatter of the records.
    """
    offset, offset_sd, offset_verdicts = _offset_from_thermometers(record)
    logs = [one for one in record.evidence if isinstance(one, ProbeRecord) and not _impossible(one)]
    if not offset_verdicts and _differ(logs):
        offset, offset_sd = _offset_from_logs(record.mode, logs, solver)
    pieces: list[_Piece] = []
    verdicts: list[Verdict] = []
    for one in record.evidence:
        if isinstance(one, DoneTime):
            piece, verdict = _from_done_time(one, record.mode, offset, solver)
        elif isinstance(one, ProbeRecord):
            piece, verdict = _from_log(one, record.mode, offset, solver)
        else:
            verdicts.append(offset_verdicts[one.key])
            continue
        verdicts.append(verdict)
        if piece is not None:
            pieces.append(piece)
    mean, sd = _combine(pieces)
    odd = _odd_ones(pieces)
    verdicts = [replace(one, remarks=(*one.remarks, odd[one.key])) if one.key in odd else one for one in verdicts]
    return OvenCalibration(
        oven=record.oven,
        rack=record.rack,
        mode=record.mode,
        factor=exp(mean),
        factor_sd=sd,
        offset_c=offset,
        offset_sd_c=offset_sd,
        bakes=len(pieces),
        verdicts=tuple(verdicts),
        notes=_notes(record, exp(mean), sd, offset, offset_sd, tuple(verdicts)),
    )


def _setting(one: DoneTime | ProbeRecord, mode: OvenMode, ln_factor: float, offset: float) -> OvenSetting:
    return OvenSetting(
        set_point_c=one.set_point_c,
        mode=mode,
        altitude_m=one.altitude_m,
        factor=min(max(exp(ln_factor), 0.41), 2.19),
        offset_c=offset,
    )


def _offset_from_thermometers(record: OvenRecord) -> tuple[float, float, dict[str, Verdict]]:
    readings = [one for one in record.evidence if isinstance(one, ThermometerReading)]
    verdicts: dict[str, Verdict] = {}
    total = weights = 0.0
    for one in readings:
        difference = one.mean_c - one.set_point_c
        usable = abs(difference) <= 60.0
        remarks = () if usable else (f"{difference:+.0f} degC off the dial: a unit or the thermometer is wrong",)
        if usable and abs(difference) > 28.0:
            remarks = (f"{difference:+.0f} degC off the dial is more than ovens are serviced to; read it once more",)
        verdicts[one.key] = Verdict(
            key=one.key, used=usable, factor=None, factor_sd=None, misfit_c=None, bias_c=None, remarks=remarks
        )
        if usable:
            weights += 1.0 / one.sd_c**2
            total += difference / one.sd_c**2
    if weights == 0.0:
        return 0.0, 0.0, verdicts
    return total / weights, sqrt(1.0 / weights), verdicts


def _impossible(one: ProbeRecord) -> tuple[str, ...]:
    return log_doubts(one.minutes, one.celsius, boiling_point_c(air_pressure_pa(one.altitude_m)))


def _differ(logs: list[ProbeRecord]) -> bool:
    sizes = [(one.pan.outline.area_mm2, batter_depth_mm(one.pan, one.batter)) for one in logs]
    return any(
        abs(log(a[0] / b[0])) > 0.3 or abs(log(a[1] / b[1])) > 0.2 for i, a in enumerate(sizes) for b in sizes[:i]
    )


def _from_done_time(one: DoneTime, mode: OvenMode, offset: float, solver: Solver) -> tuple[_Piece | None, Verdict]:
    def time(ln_factor: float) -> float | None:
        setting = _setting(one, mode, ln_factor, offset)
        return run_trial(one.pan, one.batter, setting, one.aids, minutes=4.0 * one.done_min, solver=solver).done_min

    guess = 0.0
    for _ in range(5):
        minutes = time(guess)
        if minutes is None:
            guess += 0.5
        else:
            step = log(minutes / one.done_min) / FACTOR_POWER
            guess += step
            if abs(step) < 5e-4:
                break
        if abs(guess) > 1.2:
            break
    if not log(FACTOR_LOW) <= guess <= log(FACTOR_HIGH):
        remark = (
            f"{one.done_min:.0f} min would need {exp(guess):.1f} times the heat of a usual oven: check pan, batter "
            "mass, set point and time"
        )
        return None, _verdict(one.key, used=False, remarks=(remark,))
    seen = one.within_min / sqrt(3.0) / one.done_min
    sd = sqrt(DONE_SD**2 + seen**2) / FACTOR_POWER
    return _Piece(key=one.key, mean=guess, sd=sd), _verdict(one.key, used=True, factor=exp(guess), factor_sd=sd)


def _verdict(
    key: str,
    *,
    used: bool,
    factor: float | None = None,
    factor_sd: float | None = None,
    misfit_c: float | None = None,
    bias_c: float | None = None,
    remarks: tuple[str, ...] = (),
) -> Verdict:
    return Verdict(
        key=key,
        used=used,
        factor=factor,
        factor_sd=factor_sd,
        misfit_c=misfit_c,
        bias_c=bias_c,
        remarks=remarks,
    )


def _resampled(one: ProbeRecord) -> tuple[np.ndarray, np.ndarray]:
    """Even spacing, so that uneven sampling gives no stretch more weight; nothing is made up inside gaps."""
    times, values = np.asarray(one.minutes), np.asarray(one.celsius) - one.bias_c
    grid = np.arange(max(times[0], 0.0), times[-1] + 1e-9, RESAMPLE_MIN)
    after = np.clip(np.searchsorted(times, grid), 1, times.size - 1)
    width = times[after] - times[after - 1]
    near = width <= max(5.0 * float(np.median(np.diff(times))), 1.0)
    return grid[near], np.interp(grid[near], times, values)


def _crossing(minutes: np.ndarray, celsius: np.ndarray, level_c: float) -> float | None:
    """When a curve passes a level, from a straight line through its readings about it. [min]"""
    near = np.abs(celsius - level_c) <= WINDOW_K
    if np.count_nonzero(near) < 3 or float(celsius[near].max()) < level_c:
        return None
    t, c = minutes[near], celsius[near]
    rate = float(np.polyfit(t - t.mean(), c, 1)[0])
    return float(t.mean() + (level_c - c.mean()) / rate) if rate > 0.05 else None


def _probe(trial: Trial, at: np.ndarray) -> np.ndarray:
    minutes, celsius = zip(*trial.probe_c, strict=True)
    curve: np.ndarray = np.interp(at, minutes, celsius)
    return curve


def _from_log(one: ProbeRecord, mode: OvenMode, offset: float, solver: Solver) -> tuple[_Piece | None, Verdict]:
    doubts = _impossible(one)
    if doubts:
        return None, _verdict(one.key, used=False, remarks=doubts)
    at, seen = _resampled(one)
    weight = sqrt(INDEPENDENT / seen.size) / NOISE_C

    def model(ln_factor: float) -> np.ndarray:
        return _probe(_log_trial(one, mode, ln_factor, offset, solver), at)

    # The whole curve says how fast it warms; when it comes near its end, what was asked for in the first place.
    boiling = boiling_point_c(air_pressure_pa(one.altitude_m))
    level = min(boiling - LATE_BELOW_K, float(seen.max()) - 1.0)
    late = _crossing(at, seen, level) if level > boiling - 20.0 else None

    guess, bias, width = 0.0, 0.0, 0.0
    here = model(guess)
    for _ in range(6):
        shifted = model(guess + 0.03)
        slope = (shifted - here) / 0.03
        # Unknowns: ln(factor), with the spread of all ovens, and the probe's bias, with the spread given for it.
        readings = np.column_stack((slope, np.ones_like(slope))) * weight
        rows = np.vstack((readings, np.diag((1.0 / 0.5, 1.0 / one.bias_sd_c))))
        right = np.concatenate(((seen - here - bias) * weight, (-guess / 0.5, -bias / one.bias_sd_c)))
        now, then = _crossing(at, here + bias, level), _crossing(at, shifted + bias, level)
        if late is not None and now is not None and then is not None:
            rows = np.vstack((rows, ((log(then / now) / 0.03) / LATE_SD, 0.0)))
            right = np.append(right, log(late / now) / LATE_SD)
        step = np.linalg.lstsq(rows, right, rcond=None)[0]
        guess += float(np.clip(step[0], -0.4, 0.4))
        bias += float(step[1])
        width = float(np.sqrt(np.linalg.inv(rows.T @ rows)[0, 0]))
        if abs(guess) > 1.2:
            break
        here = model(guess)
        if abs(step[0]) < 1e-3:
            break
    misfit = float(np.sqrt(np.mean((seen - here - bias) ** 2)))
    if not log(FACTOR_LOW) <= guess <= log(FACTOR_HIGH):
        remark = (
            f"it would need {exp(guess):.1f} times the heat of a usual oven: wrong pan, wrong batter mass, wrong set "
            "point, or wrong units of time"
        )
        return None, _verdict(one.key, used=False, misfit_c=misfit, remarks=(remark,))
    if misfit > MISFIT_C:
        remark = f"no oven makes this curve (it stays {misfit:.1f} K off): the probe moved, or it is another pan"
        return None, _verdict(one.key, used=False, misfit_c=misfit, bias_c=bias, remarks=(remark,))
    remarks: tuple[str, ...] = ()
    if abs(bias) > 2.0 * one.bias_sd_c:
        remarks = (f"it fits best if the probe reads {bias:+.1f} K; check it in boiling water",)
    sd = sqrt(width**2 + (LOG_SD / FACTOR_POWER) ** 2)
    return _Piece(key=one.key, mean=guess, sd=sd), _verdict(
        one.key, used=True, factor=exp(guess), factor_sd=sd, misfit_c=misfit, bias_c=bias, remarks=remarks
    )


def _log_trial(one: ProbeRecord, mode: OvenMode, ln_factor: float, offset: float, solver: Solver) -> Trial:
    return run_trial(
        one.pan,
        one.batter,
        _setting(one, mode, ln_factor, offset),
        one.aids,
        probe=(one.radius_share, one.height_share),
        minutes=max(one.minutes[-1], 2.0),
        to_the_end=True,
        solver=solver,
    )


def _offset_from_logs(mode: OvenMode, logs: list[ProbeRecord], solver: Solver) -> tuple[float, float]:
    """Fit factor, offset and each probe's bias to all logs at once; keep the offset only if they fix it."""
    sampled = [_resampled(one) for one in logs]
    count = len(logs)
    unknown = np.zeros(2 + count)

    def curves(values: np.ndarray) -> list[np.ndarray]:
        return [
            _probe(_log_trial(one, mode, float(values[0]), float(values[1]), solver), at)
            for one, (at, _) in zip(logs, sampled, strict=True)
        ]

    covariance = np.eye(2 + count)
    for _ in range(5):
        here = curves(unknown)
        by_factor = curves(unknown + np.eye(2 + count)[0] * 0.03)
        by_offset = curves(unknown + np.eye(2 + count)[1] * 2.0)
        rows, right = [], []
        for i, (_, seen) in enumerate(sampled):
            weight = sqrt(INDEPENDENT / seen.size) / NOISE_C
            block = np.zeros((seen.size, 2 + count))
            block[:, 0] = (by_factor[i] - here[i]) / 0.03
            block[:, 1] = (by_offset[i] - here[i]) / 2.0
            block[:, 2 + i] = 1.0
            rows.append(block * weight)
            right.append((seen - here[i] - unknown[2 + i]) * weight)
        spreads = np.array([0.5, OFFSET_PRIOR_SD_C, *(one.bias_sd_c for one in logs)])
        matrix = np.vstack((*rows, np.diag(1.0 / spreads)))
        step = np.linalg.lstsq(matrix, np.concatenate((*right, -unknown / spreads)), rcond=None)[0]
        unknown = unknown + np.clip(step, -0.5 * spreads, 0.5 * spreads)
        unknown[0] = np.clip(unknown[0], -0.8, 0.7)
        unknown[1] = np.clip(unknown[1], -50.0, 50.0)
        covariance = np.linalg.inv(matrix.T @ matrix)
        if abs(step[0]) < 2e-3 and abs(step[1]) < 0.1:
            break
    sd = float(np.sqrt(covariance[1, 1]))
    return (float(unknown[1]), sd) if sd <= OFFSET_KEPT_SD_C else (0.0, 0.0)


def _combine(pieces: list[_Piece]) -> tuple[float, float]:
    """Average by precision, with ovens at large; widen where the records scatter more than they should."""
    if not pieces:
        return 0.0, PRIOR_SD
    weights = sum(1.0 / one.sd**2 for one in pieces)
    own = sum(one.mean / one.sd**2 for one in pieces) / weights
    # An oven that is plainly not like others is not pulled towards them as hard.
    prior_sd = PRIOR_SD * max(1.0, abs(own) / (2.0 * PRIOR_SD))
    total = weights + 1.0 / prior_sd**2
    sd = sqrt(1.0 / total)
    if len(pieces) > 1:
        scatter = sum(((one.mean - own) / one.sd) ** 2 for one in pieces) / (len(pieces) - 1)
        sd *= sqrt(max(1.0, scatter))
    return own * weights / total, sd


def _odd_ones(pieces: list[_Piece]) -> dict[str, str]:
    found: dict[str, str] = {}
    if len(pieces) < 2:
        return found
    for one in pieces:
        others, spread = _combine([other for other in pieces if other.key != one.key])
        apart = (one.mean - others) / sqrt(one.sd**2 + spread**2)
        if abs(apart) > SURPRISE:
            found[one.key] = (
                f"it asks for a factor of {exp(one.mean):.2f} where the other records ask for {exp(others):.2f}: "
                "check pan, rack, mode and unit, or take it back"
            )
    return found


def _notes(
    record: OvenRecord, factor: float, sd: float, offset: float, offset_sd: float, verdicts: tuple[Verdict, ...]
) -> Notes:
    place = f"oven.{record.oven}.{record.rack}.{record.mode.value}"
    spread = exp(1.2816 * sd)
    figures = [
        Figure.of(
            Estimate(value=factor, low=factor / spread, high=factor * spread),
            key=f"{place}.factor",
            label="oven factor",
            unit="",
            equation="precision-weighted mean of ln(factor) over this oven's bakes and ovens at large",
            inputs=tuple(
                Given(name=one.key, value=round(one.factor, 3)) for one in verdicts if one.used and one.factor
            ),
            source=SOURCE,
            sheet="bakes",
        )
    ]
    if offset_sd > 0.0:
        figures.append(
            Figure.of(
                Estimate(value=offset, low=offset - 1.2816 * offset_sd, high=offset + 1.2816 * offset_sd),
                key=f"{place}.offset_c",
                label="true oven temperature less the dial",
                unit="degC",
                equation="thermometer, or logs of different pans together",
                source=SOURCE,
                sheet="bakes",
            )
        )
    questions = tuple(
        Question(
            key=f"{place}.{one.key}",
            severity=Severity.NOTE if one.used else Severity.ASK,
            sheet="bakes",
            text=f"Is the record {one.key!r} right? It was {'used' if one.used else 'left out'}.",
            reason=remark,
            change="correct it or take it back",
        )
        for one in verdicts
        for remark in one.remarks
    )
    return Notes(figures=tuple(figures), questions=questions)
