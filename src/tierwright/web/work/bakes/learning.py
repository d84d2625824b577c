"""From what a maker saw of an oven to what the kitchen says of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.utils.translation import gettext as _
from pydantic import TypeAdapter

from tierwright.bake import (
    DoneTime,
    Evidence,
    OvenCalibration,
    OvenMode,
    OvenRecord,
    ProbeRecord,
    ThermometerReading,
    calibrate,
    read_log,
)
from tierwright.brief.kitchen import Oven
from tierwright.brief.kitchen import OvenMode as WrittenMode
from tierwright.dossier import Dossier, PanBake
from tierwright.errors import BadInput, Problem
from tierwright.units import Kind, TemperatureUnit, parse_quantity
from tierwright.web.models import OvenEvidence

PIECE: Final[TypeAdapter[Evidence]] = TypeAdapter(Evidence)
LEARNT: Final = ("factor", "factor_sd", "bakes_learnt", "offset")
"""What the kitchen says of an oven and evidence changes."""
BY_HAND_C: Final = 180.0
"""An offset that was written down without its dial is taken at a usual one. [C]"""
KINDS: Final = ("done", "thermometer", "log")


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """What an oven comes to: its calibration, and the kitchen with it."""

    found: OvenCalibration
    kitchen: dict[str, Any]


def oven_of(dossier: Dossier) -> Oven:
    """Return the oven that a dossier bakes in: the roomiest, as the bake stage chooses it."""
    return max(dossier.kitchen.ovens, key=lambda one: one.width * one.depth * one.shelves)


def mode_of(oven: Oven) -> OvenMode:
    """Return an oven's way of moving its air as the bake room says it."""
    return OvenMode.FAN if oven.mode is WrittenMode.CONVECTION else OvenMode.STATIC


def read_piece(dossier: Dossier, kind: str, typed: Mapping[str, str], log: str, key: str) -> Evidence:
    """
    Read one piece of evidence as it was typed.

    Raises
    ------
    BadInput
        With every field that could not be read, by its name.
    OutOfRange
        A value beyond what can be believed.
    """
    problems: list[Problem] = []

    def measured(name: str, what: Kind, otherwise: float | None = None) -> float:
        text = typed.get(name, "").strip()
        if not text and otherwise is not None:
            return otherwise
        try:
            return parse_quantity(text, what)
        except ValueError as error:
            problems.append(Problem(place=name, found=text or _("nothing"), expected=str(error)))
            return 0.0

    dial = measured("dial", Kind.TEMPERATURE)
    if kind == "thermometer":
        mean = measured("mean", Kind.TEMPERATURE)
        if problems:
            raise BadInput(problems)
        return ThermometerReading(key=key, set_point_c=dial, mean_c=mean)
    one = pan_bake(dossier, typed.get("pan", ""))
    if one is None:
        raise BadInput([Problem(place="pan", found=typed.get("pan", ""), expected=_("one of the pans of this cake"))])
    pan, batter, altitude = one.answer.pan, one.answer.batter, dossier.kitchen.altitude
    if kind == "log":
        height = measured("height", Kind.SHARE, 0.5)
        if problems:
            raise BadInput(problems)
        unit = typed.get("unit", "")
        read = read_log(log, unit=f"deg{unit}" if unit in ("C", "F") else "", place="log")
        if not unit and not read.unit_sure:
            # A guess is shown and confirmed, never taken in silence: 90 C and 90 F are both a cake's.
            guess = _("its unit chosen; the numbers look like %(unit)s") % {"unit": read.unit.replace("deg", "°")}
            raise BadInput([Problem(place="unit", found=_("a log that does not say it"), expected=guess)])
        return ProbeRecord(
            key=key,
            pan=pan,
            batter=batter,
            set_point_c=dial,
            altitude_m=altitude,
            minutes=read.minutes,
            celsius=read.celsius,
            height_share=height,
        )
    done = measured("done", Kind.TIME)
    apart = measured("apart", Kind.TIME, 3.0)
    if problems:
        raise BadInput(problems)
    return DoneTime(
        key=key, pan=pan, batter=batter, set_point_c=dial, altitude_m=altitude, done_min=done, within_min=apart / 2
    )


def pan_bake(dossier: Dossier, job: str) -> PanBake | None:
    """Return how a pan job of the dossier bakes, or None."""
    return next((one for one in dossier.bakes.pans if job and job in one.jobs), None)


def as_kept(piece: Evidence) -> Any:
    """Return a piece of evidence as the database keeps it."""
    return PIECE.dump_python(piece, mode="json")


def learn(
    oven: Oven, before: Mapping[str, Any], rows: Sequence[OvenEvidence], more: Sequence[Evidence] = ()
) -> OvenCalibration:
    """Work out an oven from the pieces on record and some more; an offset written by hand before is a reading, too."""
    evidence = [PIECE.validate_python(row.evidence) for row in rows]
    offset = offset_c(before)
    by_hand: tuple[Evidence, ...] = ()
    if offset is not None:
        by_hand = (
            ThermometerReading(key=_("offset as written down"), set_point_c=BY_HAND_C, mean_c=BY_HAND_C + offset),
        )
    return calibrate(OvenRecord(oven=oven.name, mode=mode_of(oven), evidence=(*by_hand, *evidence, *more)))


def offset_c(said: Mapping[str, Any]) -> float | None:
    """Return the offset that a kitchen's file says of an oven, or None. [K]"""
    text = str(said.get("offset") or "").strip().lstrip("+")
    if not text:
        return None
    celsius = parse_quantity(text, Kind.TEMPERATURE)
    # 18 F of difference are 10 C.
    return celsius - parse_quantity("0 F", Kind.TEMPERATURE) if text.upper().endswith("F") else celsius


def raw_oven(kitchen: Mapping[str, Any], name: str) -> dict[str, Any]:
    """Return what a kitchen's file says of an oven and evidence changes."""
    entry: Mapping[str, Any] = next((one for one in kitchen.get("ovens", []) if one.get("name") == name), {})
    return {field: entry[field] for field in LEARNT if field in entry}


def with_oven(kitchen: Mapping[str, Any], name: str, said: Mapping[str, Any]) -> dict[str, Any]:
    """Return a kitchen's file in which one oven is said to be otherwise."""
    ovens = []
    for one in kitchen.get("ovens", []):
        if one.get("name") == name:
            one = {field: value for field, value in one.items() if field not in LEARNT} | dict(said)
        ovens.append(one)
    return {**kitchen, "ovens": ovens}


def as_written(found: OvenCalibration, before: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a calibration comes to in a kitchen's file; an offset that nothing has moved stays as written."""
    said: dict[str, Any] = {}
    if found.bakes:
        said = {"factor": round(found.factor, 4), "factor_sd": round(found.factor_sd, 4), "bakes_learnt": found.bakes}
    was = offset_c(before)
    if was is not None and abs(was - found.offset_c) < 0.05:
        said["offset"] = before["offset"]
    elif abs(found.offset_c) >= 0.05:
        said["offset"] = f"{found.offset_c:.2f} C"
    return said


def difference(celsius: float, unit: TemperatureUnit) -> str:
    """Return a difference of temperatures in the maker's degrees."""
    minus = "\N{MINUS SIGN}"
    if unit is TemperatureUnit.C:
        return f"{celsius:+.0f} °C".replace("-", minus)
    return f"{1.8 * celsius:+.0f} °F".replace("-", minus)
