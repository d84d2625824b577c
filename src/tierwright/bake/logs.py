"""Probe logs as they come: text with a time and a temperature on every line, in whatever shape the logger writes."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from statistics import median
from typing import Final

from tierwright.errors import BadInput, Problem

HOTTEST_CRUMB_C: Final = 112.0  # crumb stays near boiling; sugar lifts it by a few kelvin
FEWEST: Final = 6  # readings at different times: fewer say nothing of how a cake warms
GAP_STEPS: Final = 5.0
JUMP_K_MIN: Final = 20.0  # no crumb warms or cools faster than this


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadLog:
    """
    A log, read.

    Attributes
    ----------
    minutes
        Since the first record. [min]
    celsius
        At the probe's tip. [degC]
    unit, unit_sure
        ``degC`` or ``degF`` as the file has it, and whether the file says so or it was guessed from the values.
    time_unit, time_sure
        ``s``, ``min`` or ``clock``, and whether the file says so.
    gaps
        Stretches without records, ``(from, to)``. [min]
    remarks
        What was skipped, guessed or odd, in words.
    """

    minutes: tuple[float, ...]
    celsius: tuple[float, ...]
    unit: str
    unit_sure: bool
    time_unit: str
    time_sure: bool
    gaps: tuple[tuple[float, float], ...]
    remarks: tuple[str, ...]


def read_log(text: str, *, unit: str = "", time_unit: str = "", column: int = 0, place: str = "log") -> ReadLog:
    """
    Read a probe log.

    Parameters
    ----------
    text
        Lines of two or more columns, split by comma, semicolon, tab or blanks; a decimal comma where semicolon, tab or
        blanks split; lines without a number are headings.
    unit
        ``degC`` or ``degF`` once the maker has confirmed it; empty guesses.
    time_unit
        ``s`` or ``min``; empty guesses. Clock times (``14:03:20``, ``2024-05-01T14:03:20``) need neither.
    column
        Column of the temperature, counted from 1 after the time; 0 takes the first.
    place
        What the file is called in messages.

    Returns
    -------
    log
        Minutes and degrees Celsius, with what was guessed.

    Raises
    ------
    BadInput
        Fewer than six readable lines or different times, times that run backwards, or temperatures that no cake has;
        every problem at once.
    """
    headings, rows, skipped = _rows(text, column)
    problems: list[Problem] = []
    remarks: list[str] = []
    if len(rows) < FEWEST:
        problems.append(
            Problem(
                place=place,
                found=f"{len(rows)} lines with a time and a temperature",
                expected=f"at least {FEWEST}, such as '0.5, 23.1' or '14:03:20;23,1'",
            )
        )
        raise BadInput(problems)
    if skipped:
        remarks.append(f"{skipped} lines without a reading were skipped")
    times = [row[0] for row in rows]
    clock = rows[0][2]
    kind, time_sure = _time_kind(headings, times, clock, time_unit)
    scale = {"s": 1 / 60.0, "min": 1.0, "clock": 1 / 60.0}[kind]
    minutes = [(t - times[0]) * scale for t in times]
    backward = [i for i in range(1, len(minutes)) if minutes[i] < minutes[i - 1]]
    if backward:
        problems.append(
            Problem(
                place=f"{place}, reading {backward[0] + 1}",
                found=f"a time {minutes[backward[0] - 1] - minutes[backward[0]]:.1f} min before the one above it",
                expected="times that only grow",
                nearest="one bake to a file",
            )
        )
    elif (moments := len(set(minutes))) < FEWEST:
        problems.append(
            Problem(
                place=place,
                found=f"readings at {moments} different times",
                expected=f"at least {FEWEST}",
                nearest="the column of the times first",
            )
        )
    values = [row[1] for row in rows]
    found_unit, unit_sure = _unit(headings, values, unit)
    celsius = [(v - 32.0) / 1.8 if found_unit == "degF" else v for v in values]
    if not min(celsius) >= -5.0 or max(celsius) > 300.0:
        problems.append(
            Problem(
                place=place,
                found=f"readings from {min(values):g} to {max(values):g}",
                expected="degrees Celsius or Fahrenheit inside a cake",
            )
        )
    if problems:
        raise BadInput(problems)
    if not unit_sure:
        remarks.append(f"the temperatures were taken for {found_unit}; confirm it")
    if not time_sure:
        remarks.append(f"the times were taken for {'minutes' if kind == 'min' else 'seconds'}; confirm it")
    clean_t, clean_c = _without_repeats(minutes, celsius)
    steps = [b - a for a, b in pairwise(clean_t)]
    usual = median(steps)
    gaps = tuple((a, b) for a, b in pairwise(clean_t) if b - a > max(GAP_STEPS * usual, 1.0))
    if gaps:
        remarks.append(f"{len(gaps)} gaps, the longest {max(b - a for a, b in gaps):.1f} min, were left out")
    return ReadLog(
        minutes=tuple(clean_t),
        celsius=tuple(clean_c),
        unit=found_unit,
        unit_sure=unit_sure,
        time_unit=kind,
        time_sure=time_sure,
        gaps=gaps,
        remarks=tuple(remarks),
    )


def log_doubts(minutes: tuple[float, ...], celsius: tuple[float, ...], boiling_c: float) -> tuple[str, ...]:
    """
    Say what shows, without any model, that a log can't be that of a baking cake.

    Parameters
    ----------
    minutes, celsius
        The log. [min], [degC]
    boiling_c
        Boiling point of water in this kitchen. [degC]

    Returns
    -------
    doubts
        In words; empty when nothing stands against it.
    """
    doubts: list[str] = []
    if celsius[0] > 45.0:
        doubts.append(
            f"it starts at {celsius[0]:.0f} degC, which no batter has: the unit is wrong or it starts in mid-bake"
        )
    limit = boiling_c + HOTTEST_CRUMB_C - 100.0
    if max(celsius) > limit:
        doubts.append(
            f"it reaches {max(celsius):.0f} degC, above what crumb can in this kitchen: the unit is wrong, or the tip "
            "touched the pan or was out of the cake"
        )
    if max(celsius) < 50.0:
        doubts.append(f"it never passes {max(celsius):.0f} degC: the unit is wrong or the cake was not baked")
    for a, b, t, u in zip(celsius[:-1], celsius[1:], minutes[:-1], minutes[1:], strict=True):
        if u > t and abs(b - a) > 6.0 and abs(b - a) / (u - t) > JUMP_K_MIN:
            doubts.append(f"it jumps from {a:.0f} to {b:.0f} degC at {u:.1f} min: the probe moved")
            break
    peak = celsius[0]
    for value, t in zip(celsius, minutes, strict=True):
        peak = max(peak, value)
        if value < peak - 8.0:
            doubts.append(f"it has fallen {peak - value:.0f} K by {t:.1f} min: the probe moved or the oven was off")
            break
    return tuple(doubts)


_CLOCK = re.compile(r"^(?:(\d{1,2}):)?(\d{1,2}):(\d{2}(?:\.\d+)?)$")


def _rows(text: str, column: int) -> tuple[list[str], list[tuple[float, float, bool]], int]:
    headings: list[str] = []
    rows: list[tuple[float, float, bool]] = []
    skipped = 0
    for line in text.lstrip("\ufeff").splitlines():
        if not line.strip():
            continue
        parts, decimal_comma = _split(line.strip())
        time = _time(parts[0], decimal_comma) if parts else None
        values = [value for value in (_number(part, decimal_comma) for part in parts[1:]) if value is not None]
        wanted = max(column, 1)
        if time is not None and len(values) >= wanted:
            rows.append((time[0], values[wanted - 1], time[1]))
        elif rows:
            skipped += 1
        else:
            headings.append(line.strip())
    return headings, rows, skipped


def _split(line: str) -> tuple[list[str], bool]:
    if ";" in line:
        return [part.strip() for part in line.split(";")], True
    if "\t" in line:
        return [part.strip() for part in line.split("\t")], True
    if "," in line:
        return [part.strip() for part in line.split(",")], False
    parts = line.split()
    if len(parts) >= 3 and re.match(r"^\d{4}-\d{2}-\d{2}$", parts[0]):
        return [f"{parts[0]}T{parts[1]}", *parts[2:]], True
    return parts, True


def _number(text: str, decimal_comma: bool) -> float | None:
    cleaned = re.sub(r"\s*(?:deg|°)?\s*[CF]?$", "", text.strip().strip('"'))
    if decimal_comma:
        cleaned = cleaned.replace(",", ".")
    try:
        value = float(cleaned)
    except ValueError:
        return None
    return value if abs(value) < 1e6 else None


def _time(text: str, decimal_comma: bool) -> tuple[float, bool] | None:
    text = text.strip().strip('"')
    clock = _CLOCK.match(text)
    if clock:
        hours, minutes, seconds = clock.groups()
        # Two fields are minutes and seconds since the start; a log of hours and minutes alone is too coarse to use.
        return float(hours or 0) * 3600.0 + float(minutes) * 60.0 + float(seconds), True
    if re.match(r"^\d{4}-\d{2}-\d{2}[T ]", text):
        try:
            return datetime.fromisoformat(text).timestamp(), True
        except ValueError:
            return None
    value = _number(text, decimal_comma)
    return None if value is None else (value, False)


def _time_kind(headings: list[str], times: list[float], clock: bool, given: str) -> tuple[str, bool]:
    if clock:
        return "clock", True
    if given:
        return given, True
    first = re.split(r"[,;\t]", headings[-1])[0].lower() if headings else ""
    if re.search(r"\bmin", first):
        return "min", True
    if re.search(r"\b(s|sec\w*)\b", first):
        return "s", True
    # A bake takes ten minutes to four hours: 600 to 14,400 s.
    return ("s" if times[-1] - times[0] > 300.0 else "min"), False


def _unit(headings: list[str], values: list[float], given: str) -> tuple[str, bool]:
    if given:
        return given, True
    words = " ".join(headings).lower()
    fahrenheit = re.search(r"(deg|°)\s*f\b|fahrenheit|\[f\]|\(f\)|temp\w*[ _]f\b", words)
    celsius = re.search(r"(deg|°)\s*c\b|celsius|\[c\]|\(c\)|temp\w*[ _]c\b", words)
    if bool(fahrenheit) != bool(celsius):
        return ("degF" if fahrenheit else "degC"), True
    return ("degF" if max(values) > HOTTEST_CRUMB_C or values[0] > 45.0 else "degC"), False


def _without_repeats(minutes: list[float], celsius: list[float]) -> tuple[list[float], list[float]]:
    kept_t: list[float] = []
    kept_c: list[list[float]] = []
    for t, c in zip(minutes, celsius, strict=True):
        if kept_t and t - kept_t[-1] < 1e-9:
            kept_c[-1].append(c)
        else:
            kept_t.append(t)
            kept_c.append([c])
    return kept_t, [sum(group) / len(group) for group in kept_c]
