"""The kitchen: what the maker has, as a person writes it down."""

from __future__ import annotations

import re
from enum import StrEnum
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from tierwright.brief.colours import ColourBook
from tierwright.brief.fields import (
    Altitude,
    Clock,
    Form,
    Key,
    Length,
    LongText,
    Mass,
    Money,
    Power,
    TableKey,
    Temperature,
    TemperatureOffset,
    Text,
    TimeZoneName,
    Volume,
)
from tierwright.brief.money import Accounts, Price
from tierwright.brief.packets import LabelBook
from tierwright.shapes import LARGEST_MM, SMALLEST_MM, Shape
from tierwright.units import Display, English, LengthUnit, MassUnit, TemperatureUnit

Inner = Annotated[Length, Field(ge=100, le=3000)]


class UnitChoice(Form):
    """What everything is printed in."""

    mass: MassUnit = MassUnit.METRIC
    length: LengthUnit = LengthUnit.CM
    temperature: TemperatureUnit = TemperatureUnit.C
    english: English = English.US

    def display(self) -> Display:
        """Return the choice as the printing functions take it."""
        return Display(mass=self.mass, length=self.length, temperature=self.temperature, english=self.english)


class Licence(StrEnum):
    """What kind of kitchen it is to the food authority."""

    HOME = "home"
    LICENSED = "licensed"


class OvenMode(StrEnum):
    """How the oven moves its air."""

    CONVENTIONAL = "conventional"
    CONVECTION = "convection"


class Oven(Form):
    """
    One oven: its cavity, its shelves, and how it is known to differ.

    ``offset`` is the true temperature less what the dial says; ``factor``, ``factor_sd`` and ``bakes_learnt`` are what
    was learnt from its own bakes.
    """

    name: Text
    width: Inner
    depth: Inner
    height: Inner
    shelves: int = Field(ge=1, le=12)
    mode: OvenMode = OvenMode.CONVENTIONAL
    offset: TemperatureOffset | None = Field(default=None, ge=-80, le=80)
    factor: float | None = Field(default=None, ge=0.4, le=2.2)
    factor_sd: float = Field(default=0.109, gt=0, le=0.5)
    bakes_learnt: int = Field(default=0, ge=0, le=10_000)
    hottest: Temperature = Field(default=260.0, ge=100, le=400)
    power: Power | None = Field(default=None, ge=300, le=40_000)


class OwnedPan(Form):
    """A pan that is owned: one of the table's, by its key, or one of its own measures."""

    pan: TableKey | None = None
    shape: Shape | None = None
    width: Annotated[Length, Field(ge=SMALLEST_MM, le=LARGEST_MM)] | None = None
    length: Annotated[Length, Field(ge=SMALLEST_MM, le=LARGEST_MM)] | None = None
    depth: Annotated[Length, Field(ge=15, le=200)] | None = None
    material: TableKey | None = None
    count: int = Field(default=1, ge=1, le=50)


class Mixer(Form):
    """A mixer and the volume of its bowl."""

    name: Text
    bowl: Volume = Field(ge=300, le=200_000)
    power: Power | None = Field(default=None, ge=50, le=20_000)


class ColdPlace(Form):
    """A fridge or freezer space by its inner measures."""

    name: Text
    kind: Literal["fridge", "freezer"]
    width: Inner
    depth: Inner
    height: Inner
    temperature: Temperature = Field(default=4.0, ge=-40, le=15)


class WorkingHours(Form):
    """One stretch of work on one day of the week; it may also be written ``Mon 07:00 to 15:00``."""

    day: Literal["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
    begin: Clock = Field(alias="from")
    end: Clock = Field(alias="to")

    @model_validator(mode="before")
    @classmethod
    def _in_one_line(cls, given: Any) -> Any:
        if not isinstance(given, str):
            return given
        found = re.fullmatch(r"\s*([A-Za-z]{3})\w*\s+(\S+)\s*(?:\bto\b|-|\N{EN DASH})\s*(\S+)\s*", given)
        if found is None:
            raise ValueError("a day and two times; nearest: Mon 07:00 to 15:00")
        return {"day": found[1].capitalize(), "from": found[2], "to": found[3]}


class Hand(Form):
    """A person who works in the kitchen."""

    name: Text
    hours: tuple[WorkingHours, ...] = Field(default=(), max_length=40)
    rate: Money | None = None
    skills: tuple[Key, ...] = Field(default=(), max_length=30)


class Rates(Form):
    """What running the kitchen costs."""

    electricity_per_kwh: Money | None = None
    overhead_per_hour: Money | None = None
    travel_per_km: Money | None = None


class OwnedBoard(Form):
    """A board that is owned or usually bought, by its key in the table."""

    board: TableKey
    count: int = Field(default=1, ge=0, le=500)


class OwnedSupport(Form):
    """Supports that are owned or usually bought, by their key in the table."""

    support: TableKey
    count: int = Field(default=12, ge=0, le=5000)


class Bond(StrEnum):
    """What sticks each board to the tier below it."""

    NONE = "none"
    BUTTERCREAM = "buttercream"
    ROYAL_ICING = "royal-icing"
    CHOCOLATE = "chocolate"


class RodUse(StrEnum):
    """Whether a centre rod is used, and how its foot is held."""

    NONE = "none"
    LOOSE = "loose"
    ANCHORED = "anchored"


class Leaves(StrEnum):
    """How cold the cake is when it leaves the kitchen."""

    CHILLED = "chilled"
    ROOM = "room"


class Drive(StrEnum):
    """What the cake must stand on the road: unhurried stops, one hard stop, or a cargo-securing rule."""

    CAREFUL = "careful"
    HARD = "hard"
    CARGO_US = "cargo-us"
    CARGO_EN = "cargo-en"


class Carrying(Form):
    """
    How the maker stacks a cake and carries it to the venue; what is left out is assumed, and listed.

    ``wedged`` is whether the box or base is wedged so that it cannot slide; ``boards_damp`` whether boards get wet
    (cut edges under moist cake, a damp fridge); ``cutting_error`` the usual difference between supports that should be
    equal.
    """

    box: bool | None = None
    mat: bool | None = None
    wedged: bool | None = None
    bond: Bond | None = None
    centre_rod: RodUse | None = None
    leaves: Leaves | None = None
    drive: Drive | None = None
    boards_damp: bool | None = None
    cutting_error: Length | None = Field(default=None, ge=0, le=5)


class Kitchen(Form):
    """One kitchen, home or licensed."""

    format: Literal[1]
    name: Text
    timezone: TimeZoneName
    altitude: Altitude = Field(ge=-430, le=5000)
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    licence: Licence
    units: UnitChoice = UnitChoice()
    room: Temperature = Field(default=21.0, ge=5, le=45)
    ovens: tuple[Oven, ...] = Field(min_length=1, max_length=10)
    pans: tuple[OwnedPan, ...] = Field(min_length=1, max_length=200)
    mixers: tuple[Mixer, ...] = Field(min_length=1, max_length=20)
    cold: tuple[ColdPlace, ...] = Field(default=(), max_length=30)
    hands: tuple[Hand, ...] = Field(min_length=1, max_length=30)
    rates: Rates = Rates()
    prices: tuple[Price, ...] = Field(default=(), max_length=1000)
    boards: tuple[OwnedBoard, ...] = Field(default=(), max_length=200)
    supports: tuple[OwnedSupport, ...] = Field(default=(), max_length=50)
    carrying: Carrying = Carrying()
    accounts: Accounts = Accounts()
    colours: ColourBook = ColourBook()
    labelling: LabelBook = LabelBook()
    scale_step: Mass = Field(default=1.0, ge=0.01, le=50)
    pan_price: Money | None = None
    note: LongText = ""
