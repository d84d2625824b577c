"""The commission: what the client wants, as a person writes it down."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import Annotated, Any, Literal
from zoneinfo import ZoneInfo

from pydantic import BeforeValidator, Field

from tierwright.brief.decor import Decor
from tierwright.brief.fields import (
    Altitude,
    Clock,
    CountRange,
    Distance,
    Form,
    Key,
    Length,
    LongText,
    Minutes,
    Money,
    Share,
    ShareRange,
    TableKey,
    Temperature,
    TemperatureRange,
    Text,
    TimeZoneName,
)
from tierwright.brief.packets import LabelWish
from tierwright.brief.records import Measured
from tierwright.brief.venue_file import HandingOver, VenueFile
from tierwright.shapes import LARGEST_MM, SMALLEST_MM, Shape
from tierwright.units import INCH_MM, Measures
from tierwright.words import CoatStyle, CutPattern, Cutter, Finish, FormulaKind, OtherDessert, RingMeasure

Offset = Annotated[Length, Field(ge=-LARGEST_MM, le=LARGEST_MM)]
Outer = Annotated[Length, Field(ge=SMALLEST_MM, le=LARGEST_MM)]


def _pair(value: Any) -> Any:
    """Take a place apart that was written in one line, such as ``60 mm, -35 mm``."""
    return tuple(re.split(r"\s*;\s*|,\s+", value.strip())) if isinstance(value, str) else value


Place = Annotated[tuple[Offset, Offset], BeforeValidator(_pair)]


class Jurisdiction(StrEnum):
    """Whose label and food law applies."""

    US = "US"
    EU = "EU"
    UK = "UK"
    CANADA = "CA"
    AUSTRALIA_NEW_ZEALAND = "AU-NZ"


class Day(Form):
    """When it happens, on the venue's clock."""

    timezone: TimeZoneName
    day: date = Field(alias="date")
    handover: Clock
    cutting: Clock
    last_slice: Clock | None = None


class Guests(Form):
    """Who comes, and how many of them will want cake."""

    invited: int = Field(ge=1, le=5000)
    attending: CountRange | None = None
    eating_cake: ShareRange | None = None
    other_dessert: OtherDessert = OtherDessert.NONE
    shortage_risk: Share = Field(default=0.05, ge=0.001, le=0.5)


class Portion(Form):
    """What counts as one portion, seen as a block of cake."""

    width: Length = Field(default=INCH_MM, ge=10, le=120)
    depth: Length = Field(default=2 * INCH_MM, ge=10, le=200)
    height: Length = Field(default=4 * INCH_MM, ge=20, le=300)
    pattern: CutPattern = CutPattern.RINGS
    measured_at: RingMeasure = RingMeasure.MIDDLE
    cut_by: Cutter = Cutter.CATERER


class Flavour(Form):
    """One flavour: the formulas (or bought ingredients) that make it, by their keys."""

    name: Text
    cake: Key
    filling: Key | None = None
    coat: Key | None = None
    soak: Key | None = None
    rolled: Key | None = None
    coating: CoatStyle | None = None
    finish: Finish | None = None
    diet: Text | None = None


class FixedTier(Form):
    """A tier that the maker or client has settled; 1 is the bottom."""

    number: int = Field(ge=1, le=8)
    shape: Shape = Shape.ROUND
    width: Outer
    length: Outer | None = None
    kind: Literal["cake", "dummy"] = "cake"


class SetSupports(Form):
    """
    Supports that the maker has set by hand in one tier.

    ``places`` are their middles from the middle of the tier: to the right, and away from the maker; each a pair, or a
    line such as ``60 mm, -35 mm``.
    """

    tier: int = Field(ge=1, le=7)
    support: TableKey
    places: tuple[Place, ...] = Field(min_length=3, max_length=24)


class Cake(Form):
    """
    What the cake is to be.

    ``shared_oven`` says that layers which something must stay out of may bake beside batters that hold it.
    """

    shape: Shape = Shape.ROUND
    tiers: int | None = Field(default=None, ge=1, le=8)
    layers: int = Field(default=3, ge=1, le=6)
    filling_depth: Length | None = Field(default=None, ge=0, le=40)
    keepsake: bool = False
    shared_oven: bool = False
    coating: CoatStyle = CoatStyle.FULL
    finish: Finish = Finish.SMOOTH
    coat_thickness: Length | None = Field(default=None, ge=0.5, le=30)
    flavours: tuple[Flavour, ...] = Field(min_length=1, max_length=8)
    fixed: tuple[FixedTier, ...] = Field(default=(), max_length=8)
    supports: tuple[SetSupports, ...] = Field(default=(), max_length=7)
    decoration: tuple[Text, ...] = Field(default=(), max_length=30)
    look: LongText = ""


class DietReason(StrEnum):
    """Why somebody does not eat something; it decides what must be promised."""

    ETHICS = "ethics"
    ALLERGY = "allergy"
    RELIGION = "religion"
    TASTE = "taste"
    HEALTH = "health"


class Diet(Form):
    """A way of eating that some guests keep."""

    diet: Text
    count: int = Field(ge=1, le=5000)
    reason: DietReason
    note: LongText = ""


class AllergySeverity(StrEnum):
    """How an allergic guest reacts, as the client reports it."""

    SEVERE = "severe"
    MILD = "mild"
    UNKNOWN = "unknown"


class Allergy(Form):
    """An allergy that some guests have, which is never the same as a diet."""

    allergen: Text
    count: int = Field(ge=1, le=5000)
    severity: AllergySeverity = AllergySeverity.UNKNOWN
    note: LongText = ""


class Sun(StrEnum):
    """What the sun does where the cake stands."""

    NONE = "none"
    SHADE = "shade"
    FULL = "full"


class AccessWindow(Form):
    """When the venue lets the maker in."""

    opens: Clock
    closes: Clock


class Venue(Form):
    """Where it is eaten."""

    name: Text
    altitude: Altitude = Field(ge=-430, le=5000)
    outdoors: bool = False
    temperature: TemperatureRange
    humidity: ShareRange | None = None
    sun: Sun = Sun.NONE
    table: LongText = ""
    stairs: int = Field(default=0, ge=0, le=1000)
    access: AccessWindow | None = None
    contact: LongText = ""
    file: VenueFile = VenueFile()


class Surface(StrEnum):
    """The worst surface on the way."""

    SMOOTH = "smooth"
    PATCHED = "patched"
    GRAVEL = "gravel"


class CarryWish(StrEnum):
    """How the maker would like to carry it."""

    STACKED = "stacked"
    SEPARATE = "separate"
    UNDECIDED = "undecided"


class Travel(Form):
    """The way from the kitchen to the venue."""

    minutes: Minutes = Field(alias="time", ge=0, le=2880)
    distance: Distance | None = Field(default=None, ge=0, le=3000)
    grade: Share = Field(default=0.0, ge=0, le=0.4)
    surface: Surface = Surface.SMOOTH
    cabin: TemperatureRange | None = None
    highest: Altitude | None = Field(default=None, ge=-430, le=5900)
    carry: CarryWish = CarryWish.UNDECIDED
    collected_by_client: bool = False


class FormulaSheet(Form):
    """
    A formula as a person writes it.

    Its lines are free text. ``page`` holds a saved recipe page or recipe JSON instead of lines.
    """

    key: Key
    name: Text
    kind: FormulaKind
    lines: tuple[Annotated[str, Field(min_length=1, max_length=300)], ...] = Field(default=(), max_length=80)
    method: tuple[Annotated[str, Field(min_length=1, max_length=1000)], ...] = Field(default=(), max_length=60)
    page: str = Field(default="", max_length=2_000_000)
    made_for: Annotated[str, Field(max_length=200)] = ""
    measures: Measures = Measures.US
    egg_size: TableKey = "us_large"
    specific_gravity: float | None = Field(default=None, ge=0.15, le=1.4)
    density: float | None = Field(default=None, ge=0.15, le=1.6)
    spread: TableKey | None = None
    bake_at: Temperature | None = Field(default=None, ge=90, le=260)
    heated_to: Temperature | None = Field(default=None, ge=20, le=125)
    measured: Measured | None = None


class Commission(Form):
    """One commission: one cake, one date, one venue, no second try."""

    format: Literal[1]
    title: Text
    client: LongText = ""
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    budget: Money | None = None
    jurisdiction: Jurisdiction
    day: Day
    guests: Guests
    portion: Portion = Portion()
    cake: Cake
    diets: tuple[Diet, ...] = Field(default=(), max_length=30)
    allergies: tuple[Allergy, ...] = Field(default=(), max_length=30)
    venue: Venue
    travel: Travel
    handing_over: HandingOver = HandingOver()
    decor: Decor = Decor()
    formulas: tuple[FormulaSheet, ...] = Field(min_length=1, max_length=40)
    labelling: LabelWish = LabelWish()

    @property
    def handover_at(self) -> datetime:
        """The moment of handover."""
        return self._moment(self.day.handover)

    @property
    def cutting_at(self) -> datetime:
        """The moment of cutting; after midnight if it is earlier by the clock than the handover."""
        cutting = self._moment(self.day.cutting)
        return cutting if cutting >= self.handover_at else self._moment(self.day.cutting, days=1)

    def formula(self, key: str) -> FormulaSheet | None:
        """Return the formula with this key, or None where it is none of the commission's."""
        return next((sheet for sheet in self.formulas if sheet.key == key), None)

    def _moment(self, clock: time, days: int = 0) -> datetime:
        return datetime.combine(self.day.day + timedelta(days=days), clock, tzinfo=ZoneInfo(self.day.timezone))
