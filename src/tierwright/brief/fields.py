"""Field types of the brief: quantities that a person writes with their unit and the program keeps in its own."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, time
from decimal import Decimal, InvalidOperation
from difflib import get_close_matches
from functools import lru_cache
from typing import Annotated, Any
from zoneinfo import ZoneInfo, available_timezones

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, PlainSerializer, WithJsonSchema

from tierwright.units import EXAMPLES, Kind, parse_estimate, parse_quantity
from tierwright.working import Estimate


class Form(BaseModel):
    """
    Anything a person fills in: strict about names, frozen once read.

    Names in a file are written with hyphens or underscores alike (``other-dessert``, ``other_dessert``).
    """

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        populate_by_name=True,
        allow_inf_nan=False,
        str_max_length=20_000,
        use_enum_values=False,
    )


def _plain(value: float) -> str:
    """Write a float so that reading it gives the same float, without an exponent."""
    return f"{Decimal(repr(float(value))):f}"


def _reads(kind: Kind) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        if isinstance(value, str):
            return parse_quantity(value, kind)
        if kind is Kind.SHARE and isinstance(value, int | float) and not isinstance(value, bool):
            return float(value)
        raise ValueError(f"a quantity with its unit, such as {EXAMPLES[kind]}")

    return read


def _reads_estimate(kind: Kind) -> Callable[[Any], Estimate]:
    single = _reads(kind)

    def read(value: Any) -> Estimate:
        if isinstance(value, Estimate):
            return value
        return parse_estimate(value, kind) if isinstance(value, str) else Estimate.exact(single(value))

    return read


def _unit(kind: Kind) -> str:
    return "" if kind is Kind.SHARE else f" {kind.value}"


def _writes(kind: Kind) -> PlainSerializer:
    return PlainSerializer(lambda value: f"{_plain(value)}{_unit(kind)}", return_type=str)


def _writes_estimate(kind: Kind) -> PlainSerializer:
    def write(value: Estimate) -> str:
        if value.low == value.high:
            return f"{_plain(value.value)}{_unit(kind)}"
        return f"{_plain(value.low)}{_unit(kind)} to {_plain(value.high)}{_unit(kind)}"

    return PlainSerializer(write, return_type=str)


def _schema(kind: Kind, ranged: bool = False) -> WithJsonSchema:
    text = f"A quantity with its unit, such as {EXAMPLES[kind]}"
    return WithJsonSchema({"type": "string", "description": text + (", or a range of two." if ranged else ".")})


Length = Annotated[float, BeforeValidator(_reads(Kind.LENGTH)), _writes(Kind.LENGTH), _schema(Kind.LENGTH)]
Altitude = Annotated[float, BeforeValidator(_reads(Kind.ALTITUDE)), _writes(Kind.ALTITUDE), _schema(Kind.ALTITUDE)]
Distance = Annotated[float, BeforeValidator(_reads(Kind.DISTANCE)), _writes(Kind.DISTANCE), _schema(Kind.DISTANCE)]
Mass = Annotated[float, BeforeValidator(_reads(Kind.MASS)), _writes(Kind.MASS), _schema(Kind.MASS)]
Volume = Annotated[float, BeforeValidator(_reads(Kind.VOLUME)), _writes(Kind.VOLUME), _schema(Kind.VOLUME)]
Temperature = Annotated[
    float, BeforeValidator(_reads(Kind.TEMPERATURE)), _writes(Kind.TEMPERATURE), _schema(Kind.TEMPERATURE)
]
Minutes = Annotated[float, BeforeValidator(_reads(Kind.TIME)), _writes(Kind.TIME), _schema(Kind.TIME)]
Power = Annotated[float, BeforeValidator(_reads(Kind.POWER)), _writes(Kind.POWER), _schema(Kind.POWER)]
Share = Annotated[float, BeforeValidator(_reads(Kind.SHARE)), _writes(Kind.SHARE), _schema(Kind.SHARE)]
ShareRange = Annotated[
    Estimate,
    BeforeValidator(_reads_estimate(Kind.SHARE)),
    _writes_estimate(Kind.SHARE),
    _schema(Kind.SHARE, ranged=True),
]
TemperatureRange = Annotated[
    Estimate,
    BeforeValidator(_reads_estimate(Kind.TEMPERATURE)),
    _writes_estimate(Kind.TEMPERATURE),
    _schema(Kind.TEMPERATURE, ranged=True),
]


def _read_offset(value: Any) -> float:
    """Read a difference of temperatures: 18 F of difference are 10 C."""
    if not isinstance(value, str):
        raise ValueError("a difference with its unit, such as '15 F' or '-8 C'")
    text = value.strip().lstrip("+")
    celsius = parse_quantity(text, Kind.TEMPERATURE)
    return celsius - parse_quantity("0 F", Kind.TEMPERATURE) if text.rstrip().upper().endswith("F") else celsius


TemperatureOffset = Annotated[
    float,
    BeforeValidator(_read_offset),
    _writes(Kind.TEMPERATURE),
    WithJsonSchema({"type": "string", "description": "A difference of temperatures, such as '15 F' or '-8 C'."}),
]


def _read_count_range(value: Any) -> Estimate:
    if isinstance(value, Estimate):
        return value
    if isinstance(value, bool) or not isinstance(value, int | str):
        raise ValueError("a whole number or a range such as '104 to 116'")
    if isinstance(value, int):
        return Estimate.exact(float(value))
    words = value.replace("–", " to ").replace("-", " to ").split()
    numbers = [word for word in words if word != "to"]
    if not 1 <= len(numbers) <= 2 or not all(word.isascii() and word.isdigit() and len(word) < 10 for word in numbers):
        raise ValueError("a whole number or a range such as '104 to 116'")
    low, high = float(numbers[0]), float(numbers[-1])
    if low > high:
        raise ValueError("a range that runs upward, such as '104 to 116'")
    return Estimate(value=(low + high) / 2, low=low, high=high)


def _write_count_range(value: Estimate) -> str:
    return f"{value.low:.0f}" if value.low == value.high else f"{value.low:.0f} to {value.high:.0f}"


CountRange = Annotated[
    Estimate,
    BeforeValidator(_read_count_range),
    PlainSerializer(_write_count_range, return_type=str),
    WithJsonSchema(
        {"anyOf": [{"type": "integer"}, {"type": "string"}], "description": "A whole number, or such as '104 to 116'."}
    ),
]


def _read_money(value: Any) -> Decimal:
    if isinstance(value, bool) or not isinstance(value, str | int | float | Decimal):
        raise ValueError("an amount such as '12.50'")
    try:
        amount = Decimal(str(value).strip())
    except InvalidOperation:
        raise ValueError("an amount such as '12.50', without a currency sign") from None
    exponent = amount.as_tuple().exponent
    if not amount.is_finite() or not isinstance(exponent, int) or exponent < -4:
        raise ValueError("an amount such as '12.50'")
    return amount


Money = Annotated[
    Decimal,
    BeforeValidator(_read_money),
    PlainSerializer(lambda value: f"{value:f}", return_type=str),
    WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "number"}], "description": "An amount such as '12.50'."}),
    Field(ge=0, le=10_000_000),
]


@lru_cache(maxsize=1)
def _zones() -> frozenset[str]:
    return frozenset(available_timezones())


def _known_zone(name: str) -> str:
    if name not in _zones():
        close = get_close_matches(name, sorted(_zones()), n=1, cutoff=0.4)
        nearest = f"; nearest: {close[0]}" if close else ""
        raise ValueError(f"a time zone such as 'America/Denver' or 'Europe/London'{nearest}")
    return name


TimeZoneName = Annotated[
    str,
    AfterValidator(_known_zone),
    Field(max_length=60),
    WithJsonSchema({"type": "string", "description": "A time zone of the IANA database, such as 'Europe/London'."}),
]


def _read_clock(value: Any) -> time:
    if isinstance(value, time):
        clock = value
    elif isinstance(value, str):
        try:
            clock = time.fromisoformat(value.strip() if len(value.strip()) != 4 else f"0{value.strip()}")
        except ValueError:
            raise ValueError("a time of day such as '16:30'") from None
    else:
        raise ValueError("a time of day such as '16:30'")
    if clock.tzinfo is not None:
        raise ValueError("a time of day without a zone, such as '16:30'")
    return clock


Clock = Annotated[
    time,
    BeforeValidator(_read_clock),
    PlainSerializer(lambda value: value.isoformat(timespec="minutes"), return_type=str),
    WithJsonSchema({"type": "string", "description": "A time of day such as '16:30'."}),
]

Key = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,59}$")]
"""A short name that other places use: small letters, digits and hyphens."""

TableKey = Annotated[
    str,
    BeforeValidator(lambda value: value.replace("-", "_") if isinstance(value, str) else value),
    Field(pattern=r"^[a-z0-9][a-z0-9_]{0,59}$"),
]
"""A key in one of the larder's tables, such as ``round_9x2_in``; hyphens do as well."""

Text = Annotated[str, Field(min_length=1, max_length=400)]
LongText = Annotated[str, Field(max_length=4000)]


def at(day: datetime, zone: str) -> datetime:
    """Set a wall-clock moment in its zone."""
    return day.replace(tzinfo=ZoneInfo(zone))
