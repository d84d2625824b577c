"""The shapes that keeping takes and gives."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

import numpy as np

from tierwright.errors import require_range
from tierwright.keeping.tables import row
from tierwright.larder import Composition
from tierwright.shapes import Outline
from tierwright.working import Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """
    A value that the maker has had measured and recorded.

    Attributes
    ----------
    value
        Water activity or pH. [-]
    method
        Meter and laboratory.
    on
        Day, as written; a new formula needs a new one.
    by
        Who measured; empty where that was not written down.
    """

    value: float
    method: str
    on: str
    by: str = ""

    @property
    def words(self) -> str:
        """The record in one line: value, method, day and hand."""
        return f"{self.value:g} by {self.method}, {self.on}{', ' + self.by if self.by else ''}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """
    One material of the cake.

    Attributes
    ----------
    key, name
        Formula or ingredient, and what it is called.
    kind
        ``sponge``, or a kind of the coating tables.
    composition
        Of 100 g as it stands on the cake: after the bake's loss, with its soak. [g/100 g]
    density_g_per_ml
        As it stands, air included. [g/ml]
    measured_aw, measured_ph
        What the maker recorded, or None.
    contains_egg, egg_is_treated
        Whether egg is in it, and whether that has been pasteurised or heated enough.
    fat
        Fat whose solid part stiffens it: ``milk``, ``cocoa``, ``plant`` or ``none``.
    """

    key: str
    name: str
    kind: str
    composition: Composition
    density_g_per_ml: float
    measured_aw: Measurement | None = None
    measured_ph: Measurement | None = None
    contains_egg: bool = False
    egg_is_treated: bool = True
    fat: str = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer of a tier from its board up: the component it is of, and its thickness. [mm]"""

    component: str
    thickness_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TierToKeep:
    """
    One tier as it stands through its life.

    Attributes
    ----------
    number, name
        1 at the bottom; what it is called.
    outline
        Of the bare cake. [mm]
    layers
        Sponge and fillings bottom up, and the coat on top last.
    coat, coat_mm
        Component round the side and its thickness. [mm]; empty for a naked tier
    open_top
        Share of the top that nothing stands on. [-], 0 to 1
    on_tier
        Whether it stands on another tier.
    load_g
        What rests on its lowest filling without supports: its own upper layers and coat. [g]
    is_dummy
        Foam under the coat: it is not food and softens only outside.
    is_kept
        The client keeps this tier.
    """

    number: int
    name: str
    outline: Outline
    layers: tuple[Layer, ...]
    coat: str = ""
    coat_mm: float = 0.0
    open_top: float = 1.0
    on_tier: bool = False
    load_g: float = 0.0
    is_dummy: bool = False
    is_kept: bool = False


class Place(StrEnum):
    """Where a cake is for a stretch of its life."""

    RACK = "rack"
    BENCH = "bench"
    FRIDGE = "fridge"
    FREEZER = "freezer"
    STORE = "store"
    VAN = "van"
    VENUE = "venue"
    OUTDOORS = "outdoors"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hour:
    """One hour of weather: when it begins, air [C], relative humidity [-], sun on the flat [W/m2], wind [m/s]."""

    at: datetime
    air_c: float
    humidity: float
    sun_w_m2: float = 0.0
    wind_m_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """
    One stretch of the cake's life.

    Attributes
    ----------
    place
        What kind of place.
    name
        In a maker's words.
    begins, ends
        Zone-aware moments.
    air_c, humidity
        Of the place. [C], [-]; the weather takes their place where it is given
    light
        ``none``, ``shade`` or ``full``.
    cover, base
        Keys of what is round and under it; empty for what is usual there.
    air_speed_m_s
        None for what is usual there. [m/s]
    weather
        Hours that cover the stay, or empty.
    altitude_m
        Above the sea. [m]
    """

    place: Place
    name: str
    begins: datetime
    ends: datetime
    air_c: float
    humidity: float = 0.5
    light: str = "none"
    cover: str = ""
    base: str = ""
    air_speed_m_s: float | None = None
    weather: tuple[Hour, ...] = ()
    altitude_m: float = 0.0

    def __post_init__(self) -> None:
        require_range("air temperature", self.air_c, -35.0, 50.0, "C", self.name)
        require_range("relative humidity", self.humidity, 0.0, 1.0, "", self.name)
        if self.ends <= self.begins:
            raise ValueError(f"{self.name}: it must end after it begins")

    @property
    def hours(self) -> float:
        """How long it lasts. [h]"""
        return (self.ends - self.begins) / timedelta(hours=1)

    @property
    def cover_key(self) -> str:
        """Key of what is round the cake."""
        return self.cover or row("places", "place", self.place.value)["cover"]

    @property
    def base_key(self) -> str:
        """Key of what is under the cake."""
        return self.base or row("places", "place", self.place.value)["base"]

    @property
    def speed_m_s(self) -> float:
        """Speed of the air. [m/s]"""
        usual = float(row("places", "place", self.place.value)["air_speed_m_s"])
        return usual if self.air_speed_m_s is None else self.air_speed_m_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """One temperature over the line's hours: where it is, of which component (empty for the centre). [C]"""

    place: str
    component: str
    celsius: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TierLine:
    """
    The temperature line of one tier.

    Attributes
    ----------
    tier, name
        Which tier.
    hours
        Time of every record from the line's start. [h]
    centre
        The point that changes last.
    fillings
        Middle of every filling on the axis, bottom up.
    coat_side, coat_top
        Mean of the coat's outermost cells.
    coat_facing
        The side that faces the sun.
    coldest, warmest
        Over everything that is eaten.
    filling_warmest
        Warmest place of any filling; of the sponge where there is none.
    mean
        Mean of everything that is eaten, by solids.
    water_side_g_m2, water_top_g_m2
        Water standing on the coat. [g/m2]
    """

    tier: int
    name: str
    hours: tuple[float, ...]
    centre: Curve
    fillings: tuple[Curve, ...]
    coat_side: Curve
    coat_top: Curve
    coat_facing: Curve
    coldest: Curve
    warmest: Curve
    filling_warmest: Curve
    mean: Curve
    water_side_g_m2: tuple[float, ...]
    water_top_g_m2: tuple[float, ...]

    def at(self, hour: float, curve: Curve) -> float:
        """Return a curve of this line at an hour, straight between records and steady beyond its ends. [C]"""
        return float(np.interp(hour, self.hours, curve.celsius))


class Standing(StrEnum):
    """How a component stands to time and temperature control."""

    PROVED = "measured: needs no time or temperature control"
    CUSTOM = "usually kept without control; not proved"
    CONTROLLED = "treat as needing time and temperature control"


@dataclass(frozen=True, slots=True, kw_only=True)
class Safety:
    """
    What keeping says of one component.

    Attributes
    ----------
    component, name, kind
        Which.
    standing
        How it stands.
    water_activity, ph
        Measured or estimated. [-]
    aw_is_measured, ph_is_measured
        Whether the maker recorded them.
    reason
        Why it stands so.
    room_days, fridge_days, freezer_days
        How long it keeps at its best. [d]; None where it is not kept so
    freezes, thaw_note
        How it takes freezing.
    """

    component: str
    name: str
    kind: str
    standing: Standing
    water_activity: Estimate
    ph: Estimate
    aw_is_measured: bool
    ph_is_measured: bool
    reason: str
    room_days: float | None
    fridge_days: float | None
    freezer_days: float | None
    freezes: str
    thaw_note: str

    @property
    def is_controlled(self) -> bool:
        """Whether time and temperature have to be kept."""
        return self.standing is Standing.CONTROLLED
