"""The shapes that baking takes and gives."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tierwright.errors import require_range
from tierwright.larder import Composition
from tierwright.shapes import Outline
from tierwright.working import Estimate, Notes

Curve = tuple[tuple[float, float], ...]


class OvenMode(StrEnum):
    """How the oven moves its air."""

    STATIC = "static"
    FAN = "fan"


class Leavening(StrEnum):
    """What lifts a batter; it says how long the batter may wait."""

    DOUBLE_ACTING = "double-acting powder"
    SINGLE_ACTING = "single-acting powder or soda"
    FOAM = "egg foam"
    YEAST = "yeast"
    NONE = "creamed air only"


@dataclass(frozen=True, slots=True, kw_only=True)
class BakingPan:
    """
    A pan as the oven sees it.

    Attributes
    ----------
    key
        Name of the pan in the maker's list.
    outline
        Inside outline. [mm]
    height_mm
        Inside height. [mm], 10 to 200
    finish
        Key of ``data/pan_finishes.csv``.
    """

    key: str
    outline: Outline
    height_mm: float
    finish: str = "dull"

    def __post_init__(self) -> None:
        require_range("pan height", self.height_mm, 10.0, 200.0, "mm", self.key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Batter:
    """
    The batter in one pan.

    Attributes
    ----------
    batter_g
        Mass in the pan. [g]
    specific_gravity
        Mass over that of as much water. [-], 0.25 to 1.20
    composition
        Of the batter.
    rise
        Finished height over batter depth. [-], 1 to 3
    start_c
        As it goes in. [degC], 0 to 40
    leavening
        What lifts it.
    """

    batter_g: float
    specific_gravity: float
    composition: Composition
    rise: float = 1.75
    start_c: float = 22.0
    leavening: Leavening = Leavening.DOUBLE_ACTING

    def __post_init__(self) -> None:
        require_range("batter", self.batter_g, 5.0, 30_000.0, "g", "batter")
        require_range("specific gravity", self.specific_gravity, 0.25, 1.20, "", "batter")
        require_range("rise", self.rise, 1.0, 3.0, "times", "batter")
        require_range("batter temperature", self.start_c, 0.0, 40.0, "degC", "batter")


@dataclass(frozen=True, slots=True, kw_only=True)
class OvenSetting:
    """
    The oven as it is set.

    Attributes
    ----------
    set_point_c
        What the dial says. [degC], 90 to 260
    mode
        Static or fan.
    altitude_m
        Of the kitchen. [m], -500 to 4500
    factor
        The oven's own factor on all heat that reaches the pan, one for each oven, rack and mode. [-]
    factor_sd
        Standard deviation of its logarithm. [-]
    offset_c, offset_sd_c
        True mean temperature less set point, and its standard deviation. [degC]
    calibrated
        How many of the maker's own bakes and logs stand behind the factor.
    vapour_pa
        Water vapour in the oven's air. [Pa]
    """

    set_point_c: float
    mode: OvenMode = OvenMode.STATIC
    altitude_m: float = 0.0
    factor: float = 1.0
    factor_sd: float = 0.109
    offset_c: float = 0.0
    offset_sd_c: float = 0.0
    calibrated: int = 0
    vapour_pa: float = 5000.0

    def __post_init__(self) -> None:
        require_range("set point", self.set_point_c, 90.0, 260.0, "degC", "oven")
        require_range("altitude", self.altitude_m, -500.0, 4500.0, "m", "oven")
        require_range("oven factor", self.factor, 0.4, 2.2, "", "oven")
        require_range("oven offset", self.offset_c, -60.0, 60.0, "degC", "oven")

    @property
    def oven_c(self) -> float:
        """True mean temperature of the oven. [degC]"""
        return self.set_point_c + self.offset_c


@dataclass(frozen=True, slots=True, kw_only=True)
class Aids:
    """
    Things that change how a pan bakes.

    Attributes
    ----------
    strip
        A damp or padded insulating strip round the side.
    core
        A heating core or a flower nail in the middle.
    water
        A tray of water in the oven.
    """

    strip: bool = False
    core: bool = False
    water: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """
    One bake as the solver gives it, without a range.

    Attributes
    ----------
    depth_mm
        Batter depth. [mm]
    target_c
        Core temperature at which it is done here. [degC]
    done_min
        When the core gets there; None if it never does. [min]
    core_c, probe_c, rim_c
        Curves of ``(minutes, degC)``: coldest core, tip of a probe, side at half height. [degC]
    weight_loss
        Water lost over batter mass. [-]
    heat_kj
        Heat that pan and cake take up, that of evaporation included. [kJ]
    edge_height_mm, centre_height_mm
        Finished height at the rim and in the middle over the pan's floor. [mm]
    rim_wait_min
        How long the side is done before the core. [min]
    side_browning
        Browning dose of crust against the pan's side, to compare one way of baking this pan with another; it says
        nothing about colour by itself. [-]
    heat_error, water_error
        Relative errors of the two balances. [-]
    """

    depth_mm: float
    target_c: float
    done_min: float | None
    core_c: Curve
    probe_c: Curve
    rim_c: Curve
    weight_loss: float
    heat_kj: float
    edge_height_mm: float
    centre_height_mm: float
    rim_wait_min: float
    side_browning: float
    heat_error: float
    water_error: float

    @property
    def mean_height_mm(self) -> float:
        """Mean finished height, a parabolic dome over the edge. [mm]"""
        return (self.edge_height_mm + self.centre_height_mm) / 2.0

    @property
    def dome_mm(self) -> float:
        """How far the middle stands over the edge. [mm]"""
        return self.centre_height_mm - self.edge_height_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """
    Another way to bake the same pan, and what it gains.

    Attributes
    ----------
    key
        lower, strip, core, water or depth.
    label
        In a maker's words.
    done_min
        When it is then done; None if never. [min]
    time_change
        Relative change of the time. [-]
    rim_wait_min
        How long the side then waits for the middle. [min]
    browning_change
        Relative change of the browning dose at the side; None where it cannot be compared. [-]
    dome_mm
        Dome that is then left to trim. [mm]
    weight_loss
        Water lost over batter mass. [-]
    advised
        Whether it is worth doing.
    reason
        Why, or why not.
    """

    key: str
    label: str
    done_min: float | None
    time_change: float | None
    rim_wait_min: float
    browning_change: float | None
    dome_mm: float
    weight_loss: float
    advised: bool
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bake:
    """
    What baking answers for one pan.

    Attributes
    ----------
    pan, batter, setting, aids
        What was asked.
    trial
        The bake itself.
    first_look_min
        When to look first; None if it is never done. [min]
    done_min
        When it is done, with the range that holds four times in five; None if never. [min]
    overflow
        Whether the cake rises over the rim.
    options
        Other ways to bake it, where the pan is large or deep.
    notes
        Figures, questions, cautions, assumptions.
    """

    pan: BakingPan
    batter: Batter
    setting: OvenSetting
    aids: Aids
    trial: Trial
    first_look_min: float | None
    done_min: Estimate | None
    overflow: bool
    options: tuple[Option, ...]
    notes: Notes
