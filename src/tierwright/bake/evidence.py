"""What a maker has seen of an oven, kept as it was seen, so that it can be added to and taken back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from tierwright.bake.model import Aids, BakingPan, Batter, OvenMode, OvenSetting
from tierwright.errors import UnknownName, require_range
from tierwright.working import Notes

NO_AIDS: Final = Aids()


@dataclass(frozen=True, slots=True, kw_only=True)
class DoneTime:
    """
    One bake with the time at which it was done.

    Attributes
    ----------
    key
        Name of the record, such as its date and pan.
    pan, batter, aids
        What was baked.
    set_point_c, altitude_m
        As the oven was set, and where. [degC], [m]
    done_min
        When it was found done. [min]
    within_min
        Half the time between the looks: it may have been done that much earlier or later. [min]
    """

    key: str
    pan: BakingPan
    batter: Batter
    set_point_c: float
    altitude_m: float = 0.0
    done_min: float
    within_min: float = 1.5
    aids: Aids = NO_AIDS

    def __post_init__(self) -> None:
        require_range("time in the oven", self.done_min, 3.0, 600.0, "min", self.key)
        require_range("time between looks", self.within_min, 0.1, 60.0, "min", self.key)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeRecord:
    """
    One bake with a probe in it.

    Attributes
    ----------
    key
        Name of the record.
    pan, batter, aids
        What was baked.
    set_point_c, altitude_m
        As the oven was set, and where. [degC], [m]
    minutes, celsius
        The log from the moment the pan went in. [min], [degC]
    radius_share, height_share
        Where the tip was: 0 on the axis to 1 at the rim, 0 on the floor to 1 at the top.
    bias_c, bias_sd_c
        What the probe reads too high, and how well that is known. [degC]
    """

    key: str
    pan: BakingPan
    batter: Batter
    set_point_c: float
    altitude_m: float = 0.0
    minutes: tuple[float, ...]
    celsius: tuple[float, ...]
    radius_share: float = 0.0
    height_share: float = 0.5
    bias_c: float = 0.0
    bias_sd_c: float = 0.7
    aids: Aids = NO_AIDS

    def __post_init__(self) -> None:
        require_range("tip over the radius", self.radius_share, 0.0, 1.0, "", self.key)
        require_range("tip over the height", self.height_share, 0.05, 0.95, "", self.key)
        if len(self.minutes) != len(self.celsius) or len(self.minutes) < 6:
            raise ValueError("a log needs as many times as temperatures, and at least six")


@dataclass(frozen=True, slots=True, kw_only=True)
class ThermometerReading:
    """
    What a thermometer in the empty, warmed-up oven says.

    Attributes
    ----------
    key
        Name of the record.
    set_point_c
        What the dial said. [degC]
    mean_c, sd_c
        Mean over at least one cycle of the heater, and how well it is known. [degC]
    """

    key: str
    set_point_c: float
    mean_c: float
    sd_c: float = 3.0


Evidence = DoneTime | ProbeRecord | ThermometerReading


@dataclass(frozen=True, slots=True, kw_only=True)
class OvenRecord:
    """
    Everything seen of one oven on one rack in one mode.

    Attributes
    ----------
    oven, rack, mode
        Which one.
    evidence
        In the order in which it was added; the estimate is always worked afresh from it.
    """

    oven: str
    rack: str = "middle"
    mode: OvenMode = OvenMode.STATIC
    evidence: tuple[Evidence, ...] = ()

    def with_evidence(self, *more: Evidence) -> OvenRecord:
        """Return the record with more evidence; a key that is there already is replaced."""
        keys = {one.key for one in more}
        kept = tuple(one for one in self.evidence if one.key not in keys)
        return replace(self, evidence=kept + more)

    def without(self, key: str) -> OvenRecord:
        """
        Return the record with one piece of evidence taken back.

        Raises
        ------
        UnknownName
            No evidence has this key.
        """
        if all(one.key != key for one in self.evidence):
            raise UnknownName("record of this oven", key, [one.key for one in self.evidence])
        return replace(self, evidence=tuple(one for one in self.evidence if one.key != key))


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """
    What one piece of evidence says.

    Attributes
    ----------
    key
        Of the evidence.
    used
        Whether it went into the estimate.
    factor, factor_sd
        The factor that it alone asks for, and the standard deviation of its logarithm; None if it asks for none. [-]
    misfit_c
        Root mean square difference between a log and the model at its best. [degC]
    bias_c
        Probe bias that fits best. [degC]
    remarks
        In words: why it was left out, what is odd about it.
    """

    key: str
    used: bool
    factor: float | None
    factor_sd: float | None
    misfit_c: float | None
    bias_c: float | None
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OvenCalibration:
    """
    What is known of one oven on one rack in one mode.

    Attributes
    ----------
    oven, rack, mode
        Which one.
    factor, factor_sd
        Factor on all heat that reaches a pan, and the standard deviation of its logarithm. [-]
    offset_c, offset_sd_c
        True mean temperature less set point, and its standard deviation. [degC]
    bakes
        How many bakes stand behind it.
    verdicts
        One for each piece of evidence.
    notes
        Figures, questions, assumptions.
    """

    oven: str
    rack: str
    mode: OvenMode
    factor: float
    factor_sd: float
    offset_c: float
    offset_sd_c: float
    bakes: int
    verdicts: tuple[Verdict, ...]
    notes: Notes

    def setting(self, set_point_c: float, altitude_m: float = 0.0) -> OvenSetting:
        """Return this oven set to a temperature, ready to bake. [degC], [m]"""
        return OvenSetting(
            set_point_c=set_point_c,
            mode=self.mode,
            altitude_m=altitude_m,
            factor=self.factor,
            factor_sd=self.factor_sd,
            offset_c=self.offset_c,
            offset_sd_c=self.offset_sd_c,
            calibrated=self.bakes,
        )

    def dial_c(self, wanted_c: float) -> float:
        """Return what to set on the dial so that the oven really has a temperature. [degC]"""
        return wanted_c - self.offset_c
