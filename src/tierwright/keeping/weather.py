"""Hourly weather, as numbers or as the text of a CSV file."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from tierwright.errors import BadInput, Problem
from tierwright.keeping.model import Hour

COLUMNS = ("time", "air_c", "humidity")


def read_weather(text: str, *, zone: str, place: str = "weather") -> tuple[Hour, ...]:
    """
    Read hourly weather.

    Parameters
    ----------
    text
        CSV with a head: ``time`` (ISO 8601), ``air_c`` [C], ``humidity`` (0 to 1, or per cent with a sign), and
        ``sun_w_m2`` [W/m2] and ``wind_m_s`` [m/s] where they are known.
    zone
        Time zone of times that name none.
    place
        Where it stands, for what is wrong.

    Returns
    -------
    hours
        In the order of time.

    Raises
    ------
    BadInput
        Everything that is wrong with it, at once.
    """
    reader = csv.DictReader(text.strip().splitlines(), skipinitialspace=True)
    problems: list[Problem] = []
    found: list[Hour] = []
    try:
        names = [name.strip() for name in reader.fieldnames or []]
        reader.fieldnames = names
        rows = list(reader)
    except csv.Error as error:
        raise BadInput([Problem(place=place, found=str(error), expected="a CSV text")]) from None
    missing = [name for name in COLUMNS if name not in names]
    if missing:
        raise BadInput([Problem(place=place, found=", ".join(names), expected=f"columns {', '.join(COLUMNS)}")])
    for number, one in enumerate(rows, start=2):
        if None in one.values():
            found_text = ", ".join(value for value in one.values() if isinstance(value, str))
            expected = f"{len(names)} values"
            problems.append(Problem(place=f"{place}: line {number}", found=found_text[:80], expected=expected))
            continue
        try:
            at = datetime.fromisoformat((one["time"] or "").strip())
            hour = Hour(
                at=at if at.tzinfo else at.replace(tzinfo=ZoneInfo(zone)),
                air_c=_number(one["air_c"], -35.0, 50.0),
                humidity=_share(one["humidity"]),
                sun_w_m2=_number(one.get("sun_w_m2") or "0", 0.0, 1400.0),
                wind_m_s=_number(one["wind_m_s"], 0.0, 30.0) if one.get("wind_m_s") else None,
            )
        except (ValueError, TypeError) as error:
            problems.append(
                Problem(place=f"{place}: line {number}", found=str(dict(one))[:80], expected=str(error)[:120])
            )
            continue
        found.append(hour)
    if not found and not problems:
        problems.append(Problem(place=place, found="no hours", expected="a line for every hour"))
    if problems:
        raise BadInput(problems)
    return tuple(sorted(found, key=lambda hour: hour.at))


def _number(text: str, low: float, high: float) -> float:
    value = float(text)
    if not low <= value <= high:
        raise ValueError(f"a number from {low:g} to {high:g}")
    return value


def _share(text: str) -> float:
    plain = text.strip()
    return _number(plain[:-1], 0.0, 100.0) / 100.0 if plain.endswith("%") else _number(plain, 0.0, 1.0)


def hours_since(hours: Sequence[Hour], begins: datetime) -> NDArray[np.float64]:
    """Return weather as a table for the walk: time from a moment on [s], air [C], humidity, sun [W/m2], wind [m/s]."""
    rows = [
        (
            (hour.at - begins).total_seconds(),
            hour.air_c,
            hour.humidity,
            hour.sun_w_m2,
            np.nan if hour.wind_m_s is None else hour.wind_m_s,
        )
        for hour in hours
    ]
    return np.array(rows, dtype=np.float64).reshape(-1, 5)
