"""An oven as a space and as a stove: shelves, doors, what it burns, and how fast it comes back."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp
from typing import Final

from tierwright.bake.model import OvenMode
from tierwright.errors import require_range

ROOM_C: Final = 22.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Oven:
    """
    One oven.

    Attributes
    ----------
    key
        Its name in the kitchen.
    width_mm, depth_mm, height_mm
        Inside. [mm]
    rack_heights_mm
        Heights of the rack positions over the floor, lowest first. [mm]
    racks_at_once
        How many racks the maker bakes on at the same time.
    mode
        Static or fan.
    wall_gap_mm, pan_gap_mm, head_gap_mm
        Air to the walls, between pans, and over a finished cake. [mm]
    loss_w_k
        Heat that the warm oven loses, for each kelvin over the room. [W/K]
    heat_j_k
        Heat that its walls take up, for each kelvin. [J/K]
    power_w
        Of its heater. [W]
    door_share
        Share of the way from oven to room temperature that the air and the walls facing the pans fall while the door
        is open for ``door_open_s``, as an even drop. [-]
    door_open_s
        How long the door is open to take out or put in one pan. [s]
    recovery_s
        Time constant of the return to the set point. [s]
    """

    key: str
    width_mm: float
    depth_mm: float
    height_mm: float
    rack_heights_mm: tuple[float, ...]
    racks_at_once: int = 1
    mode: OvenMode = OvenMode.STATIC
    wall_gap_mm: float = 25.0
    pan_gap_mm: float = 25.0
    head_gap_mm: float = 40.0
    loss_w_k: float = 3.5
    heat_j_k: float = 12_000.0
    power_w: float = 2500.0
    door_share: float = 0.20
    door_open_s: float = 20.0
    recovery_s: float = 180.0

    def __post_init__(self) -> None:
        for name in ("width_mm", "depth_mm", "height_mm"):
            require_range(name.removesuffix("_mm"), getattr(self, name), 150.0, 2000.0, "mm", self.key)
        if not self.rack_heights_mm or list(self.rack_heights_mm) != sorted(set(self.rack_heights_mm)):
            raise ValueError("an oven needs at least one rack position, lowest first")
        require_range("racks at once", self.racks_at_once, 1, len(self.rack_heights_mm), "racks", self.key)

    @property
    def shelf_mm(self) -> tuple[float, float]:
        """Width and depth that pans may take, air to the walls left out. [mm]"""
        return self.width_mm - 2.0 * self.wall_gap_mm, self.depth_mm - 2.0 * self.wall_gap_mm


def door_drop_c(oven: Oven, oven_c: float) -> float:
    """How far the oven falls when its door is opened once for ``door_open_s``. [degC]"""
    return oven.door_share * (oven_c - ROOM_C)


def door_delay_min(oven: Oven, oven_c: float, openings: int = 1) -> float:
    """
    Time that opening the door adds for the pans that stay in.

    Notes
    -----
    The missing heat is the drop times the recovery time; a cake takes up heat in proportion to oven less skin
    temperature, the skin near 95 degC when doors are opened. Kelvin-minutes over kelvin give minutes. [min]
    """
    if oven_c <= 100.0:
        return 0.0
    return openings * door_drop_c(oven, oven_c) * oven.recovery_s / 60.0 / (oven_c - 95.0)


def door_profile(
    oven: Oven, oven_c: float, openings_min: tuple[float, ...], minutes: float
) -> tuple[tuple[float, float], ...]:
    """
    Oven temperature over time with the door opened now and then.

    Parameters
    ----------
    oven
        The oven.
    oven_c
        True mean temperature when closed. [degC]
    openings_min
        When the door is opened. [min]
    minutes
        How long the profile runs. [min]

    Returns
    -------
    profile
        ``(seconds, degC)`` every 10 s; drops add up and fade with the oven's recovery time.
    """
    drop = door_drop_c(oven, oven_c)
    points = []
    for i in range(int(minutes * 6) + 1):
        second = 10.0 * i
        low = sum(drop * exp(-(second - 60.0 * at) / oven.recovery_s) for at in openings_min if second >= 60.0 * at)
        points.append((second, max(oven_c - low, ROOM_C)))
    return tuple(points)


def warm_up_min(oven: Oven, from_c: float, to_c: float) -> float:
    """Time to bring the oven from one temperature to another; cooling goes by its losses alone. [min]"""
    middle = (from_c + to_c) / 2.0 - ROOM_C
    if to_c >= from_c:
        spare = max(oven.power_w - oven.loss_w_k * middle, 0.1 * oven.power_w)
        return oven.heat_j_k * (to_c - from_c) / spare / 60.0
    # An open door empties it about three times as fast as its walls leak.
    return oven.heat_j_k * (from_c - to_c) / (3.0 * oven.loss_w_k * max(middle, 20.0)) / 60.0


def standing_kwh(oven: Oven, oven_c: float, minutes: float) -> float:
    """Energy that the walls lose while the oven is held at a temperature. [kWh]"""
    return oven.loss_w_k * (oven_c - ROOM_C) * minutes * 60.0 / 3.6e6


def heating_kwh(oven: Oven, from_c: float, to_c: float) -> float:
    """Energy that the walls take up on the way to a temperature; nothing comes back on the way down. [kWh]"""
    return oven.heat_j_k * max(to_c - from_c, 0.0) / 3.6e6
