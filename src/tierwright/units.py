"""Read and print quantities; everything between is SI-based floats with the unit in the name.

Factors are exact by definition unless their comment says otherwise (NIST SP 811, 2008, appendix B; NIST Handbook 44,
appendix C).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Final

from tierwright.working import Estimate

INCH_MM: Final = 25.4
FOOT_M: Final = 0.3048
MILE_M: Final = 1609.344
OUNCE_G: Final = 28.349523125
POUND_G: Final = 453.59237
CUBIC_INCH_ML: Final = 16.387064
US_GALLON_ML: Final = 231 * CUBIC_INCH_ML
STANDARD_GRAVITY: Final = 9.80665  # m/s2
ZERO_CELSIUS_K: Final = 273.15


class Measures(StrEnum):
    """Whose cups and spoons a recipe was written with."""

    US = "us"
    METRIC = "metric"  # 250 ml cup, 15 ml tablespoon
    IMPERIAL = "imperial"  # 10 fl oz cup; British spoons are metric
    AU = "au"  # 250 ml cup, 20 ml tablespoon


CUP_ML: Final[dict[Measures, float]] = {
    Measures.US: US_GALLON_ML / 16,
    Measures.METRIC: 250.0,
    Measures.IMPERIAL: 284.130625,  # half an imperial pint, UK Weights and Measures Act 1985
    Measures.AU: 250.0,  # AS 1325
}
TABLESPOON_ML: Final[dict[Measures, float]] = {
    Measures.US: US_GALLON_ML / 256,
    Measures.METRIC: 15.0,
    Measures.IMPERIAL: 15.0,  # BS 1348
    Measures.AU: 20.0,  # AS 1325
}
TEASPOON_ML: Final[dict[Measures, float]] = {
    Measures.US: US_GALLON_ML / 768,
    Measures.METRIC: 5.0,
    Measures.IMPERIAL: 5.0,
    Measures.AU: 5.0,
}
FLUID_OUNCE_ML: Final[dict[Measures, float]] = {
    Measures.US: US_GALLON_ML / 128,
    Measures.METRIC: US_GALLON_ML / 128,
    Measures.IMPERIAL: 28.4130625,
    Measures.AU: 28.4130625,
}
PINT_ML: Final[dict[Measures, float]] = {
    Measures.US: US_GALLON_ML / 8,
    Measures.METRIC: US_GALLON_ML / 8,
    Measures.IMPERIAL: 568.26125,
    Measures.AU: 568.26125,
}

# 21 CFR 101.9(b)(5)(viii): household measures as a US label must round them; never used in the kitchen.
LABEL_CUP_ML: Final = 240.0
LABEL_TABLESPOON_ML: Final = 15.0
LABEL_TEASPOON_ML: Final = 5.0
LABEL_FLUID_OUNCE_ML: Final = 30.0
LABEL_OUNCE_G: Final = 28.0


class Kind(StrEnum):
    """What a written quantity measures, and in which unit the house keeps it."""

    LENGTH = "mm"
    ALTITUDE = "m"
    DISTANCE = "km"
    MASS = "g"
    VOLUME = "ml"
    TEMPERATURE = "C"
    TIME = "min"
    SPEED = "m/s"
    POWER = "W"
    SHARE = "1"


EXAMPLES: Final[dict[Kind, str]] = {
    Kind.LENGTH: "'9 in' or '23 cm'",
    Kind.ALTITUDE: "'1420 m' or '4660 ft'",
    Kind.DISTANCE: "'40 km' or '25 mi'",
    Kind.MASS: "'250 g' or '2 lb'",
    Kind.VOLUME: "'4.8 l' or '5 qt'",
    Kind.TEMPERATURE: "'180 C' or '350 F'",
    Kind.TIME: "'50 min' or '1 h 20 min'",
    Kind.SPEED: "'2 m/s'",
    Kind.POWER: "'2.4 kW'",
    Kind.SHARE: "'85 %' or 0.85",
}

_FACTORS: Final[dict[Kind, dict[str, float]]] = {
    Kind.LENGTH: {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": INCH_MM, "inch": INCH_MM, "inches": INCH_MM, '"': INCH_MM},
    Kind.ALTITUDE: {"m": 1.0, "km": 1000.0, "ft": FOOT_M, "feet": FOOT_M},
    Kind.DISTANCE: {"km": 1.0, "m": 0.001, "mi": MILE_M / 1000, "miles": MILE_M / 1000},
    Kind.MASS: {"g": 1.0, "kg": 1000.0, "mg": 0.001, "oz": OUNCE_G, "lb": POUND_G, "lbs": POUND_G},
    Kind.VOLUME: {
        "ml": 1.0,
        "cl": 10.0,
        "dl": 100.0,
        "l": 1000.0,
        "qt": US_GALLON_ML / 4,
        "pt": US_GALLON_ML / 8,
        "fl oz": US_GALLON_ML / 128,
        "in3": CUBIC_INCH_ML,
    },
    Kind.TIME: {"s": 1 / 60, "min": 1.0, "h": 60.0, "hr": 60.0, "hours": 60.0, "d": 1440.0, "days": 1440.0},
    Kind.SPEED: {"m/s": 1.0, "km/h": 1 / 3.6, "mph": MILE_M / 3600},
    Kind.POWER: {"w": 1.0, "kw": 1000.0},
    Kind.SHARE: {"%": 0.01, "": 1.0},
}  # fmt: skip

VULGAR: Final[dict[str, Fraction]] = {
    "½": Fraction(1, 2), "⅓": Fraction(1, 3), "⅔": Fraction(2, 3), "¼": Fraction(1, 4), "¾": Fraction(3, 4),
    "⅕": Fraction(1, 5), "⅖": Fraction(2, 5), "⅗": Fraction(3, 5), "⅘": Fraction(4, 5), "⅙": Fraction(1, 6),
    "⅚": Fraction(5, 6), "⅛": Fraction(1, 8), "⅜": Fraction(3, 8), "⅝": Fraction(5, 8), "⅞": Fraction(7, 8),
}  # fmt: skip

_NUMBER = r"(?:\d+\s+\d+/\d+|\d+/\d+|\d*\.\d+|\d+)"
_QUANTITY = re.compile(rf"\s*(-?{_NUMBER})\s*°?\s*([a-zA-Z\"%][a-zA-Z0-9/ ]*|)\s*", re.ASCII)
_RANGE = re.compile(r"^(.*?\S)\s*(?:\bto\b|–|(?<=[\w%°])\s*-\s*(?=\d))\s*(\S.*)$")


def parse_number(text: str) -> Fraction:
    """
    Read a plain or vulgar number: ``2``, ``1.5``, ``3/4``, ``1 1/2``, ``1½``.

    Raises
    ------
    ValueError
        Anything else, digits grouped by commas included: they read differently on two sides of an ocean.
    """
    cleaned = text.strip()
    for sign, value in VULGAR.items():
        cleaned = cleaned.replace(sign, f" {value.numerator}/{value.denominator} ")
    negative = cleaned.startswith("-")
    words = cleaned.lstrip("-").split()
    if not 1 <= len(words) <= 2 or (len(words) == 2 and ("/" not in words[1] or not words[0].isdigit())):
        raise ValueError(f"{text!r} is not a number")
    total = Fraction(0)
    for word in words:
        if len(word) > 30 or not re.fullmatch(r"\d+/\d+|\d*\.\d+|\d+", word, re.ASCII):
            raise ValueError(f"{text!r} is not a number")
        try:
            total += Fraction(word)
        except ZeroDivisionError:
            raise ValueError(f"{text!r} divides by zero") from None
    return -total if negative else total


def parse_quantity(text: str, kind: Kind) -> float:
    """
    Read a quantity with its unit, such as ``9 in``, ``1 1/2 in``, ``350 F``, ``1 h 20 min`` or ``85 %``.

    Parameters
    ----------
    text
        The quantity as a person writes it; the unit must be there (a bare number is taken only for a share).
    kind
        What it measures.

    Returns
    -------
    value
        In the house's unit of that kind. [``kind.value``]

    Raises
    ------
    ValueError
        No such quantity, with an example of one that would work.
    """
    expected = f"a quantity such as {EXAMPLES[kind]}"
    if len(text) > 60:
        raise ValueError(expected)
    for sign, fraction in VULGAR.items():
        text = text.replace(sign, f" {fraction.numerator}/{fraction.denominator}")
    total = 0.0
    position = 0
    parts = 0
    while position < len(text):
        match = _QUANTITY.match(text, position)
        if match is None or match.end() == position:
            raise ValueError(expected)
        number, unit = match.group(1), match.group(2).strip()
        # "1 h 20 min": what was read as the unit may run on into the next number.
        split = re.match(r"([a-zA-Z\"%]+(?:/[a-zA-Z]+)?(?: oz)?|in3)\s+(?=\d)", unit, re.ASCII)
        end = match.end()
        if split:
            unit = split.group(1)
            end = match.start(2) + split.end()
        total += _in_house_unit(float(parse_number(number)), unit, kind, expected)
        position = end
        parts += 1
    if parts == 0 or (parts > 1 and kind is not Kind.TIME):
        raise ValueError(expected)
    return total


def _in_house_unit(number: float, unit: str, kind: Kind, expected: str) -> float:
    if kind is Kind.TEMPERATURE:
        match unit.upper():
            case "C" | "DEGC":
                return number
            case "F" | "DEGF":
                return fahrenheit_to_celsius(number)
            case _:
                raise ValueError(expected)
    factors = _FACTORS[kind]
    factor = factors.get(unit, factors.get(unit.lower()))
    if factor is None:
        raise ValueError(expected)
    return number * factor


def parse_estimate(text: str, kind: Kind) -> Estimate:
    """
    Read a quantity or a range of one, such as ``24 to 29 C``; the value of a range is its middle.

    Raises
    ------
    ValueError
        Neither can be read, or the range runs downward.
    """
    match = _RANGE.match(text)
    if match is None:
        return Estimate.exact(parse_quantity(text, kind))
    first, last = match.groups()
    high = parse_quantity(last, kind)
    unit = re.sub(r"^[\s\d./½⅓⅔¼¾⅛⅜⅝⅞]+", "", last)
    low = parse_quantity(first if re.search(r"[a-zA-Z%\"]", first) else f"{first} {unit}", kind)
    if low > high:
        raise ValueError("a range that runs upward, such as '24 to 29 C'")
    return Estimate(value=(low + high) / 2, low=low, high=high)


def fahrenheit_to_celsius(fahrenheit: float) -> float:
    """Convert a temperature. [degF] to [degC]"""
    return (fahrenheit - 32) / 1.8


def celsius_to_fahrenheit(celsius: float) -> float:
    """Convert a temperature. [degC] to [degF]"""
    return celsius * 1.8 + 32


class MassUnit(StrEnum):
    """How masses are printed."""

    METRIC = "g"
    US = "oz"
    BOTH = "both"


class LengthUnit(StrEnum):
    """How lengths are printed."""

    MM = "mm"
    CM = "cm"
    INCH = "in"


class TemperatureUnit(StrEnum):
    """How temperatures are printed."""

    C = "C"
    F = "F"
    BOTH = "both"


class English(StrEnum):
    """Whose words are used: pan or tin, frosting or icing."""

    US = "us"
    UK = "uk"


@dataclass(frozen=True, slots=True, kw_only=True)
class Display:
    """The maker's choice of units and words for everything printed."""

    mass: MassUnit = MassUnit.METRIC
    length: LengthUnit = LengthUnit.CM
    temperature: TemperatureUnit = TemperatureUnit.C
    english: English = English.US

    def show_mass(self, grams: float) -> str:
        """Print a mass: whole grams above 10 g, tenths below; kilograms from 10 kg. [g]"""
        match self.mass:
            case MassUnit.METRIC:
                return _metric_mass(grams)
            case MassUnit.US:
                return _us_mass(grams)
            case MassUnit.BOTH:
                return f"{_metric_mass(grams)} ({_us_mass(grams)})"

    def show_length(self, mm: float) -> str:
        """Print a length: whole millimetres, tenths of a centimetre, or eighths of an inch. [mm]"""
        match self.length:
            case LengthUnit.MM:
                return f"{mm:.0f} mm"
            case LengthUnit.CM:
                return f"{mm / 10:.1f} cm"
            case LengthUnit.INCH:
                return f"{vulgar(mm / INCH_MM, 8)} in"

    def show_temperature(self, celsius: float) -> str:
        """Print a temperature in whole degrees. [degC]"""
        c, f = f"{round(celsius)} °C", f"{round(celsius_to_fahrenheit(celsius))} °F"
        match self.temperature:
            case TemperatureUnit.C:
                return c
            case TemperatureUnit.F:
                return f
            case TemperatureUnit.BOTH:
                return f"{c} ({f})"

    def show_volume(self, ml: float) -> str:
        """Print a volume: millilitres or litres, or US cups and spoons. [ml]"""
        metric = f"{ml / 1000:.2f} l" if ml >= 1000 else f"{ml:.0f} ml"
        match self.mass:
            case MassUnit.METRIC:
                return metric
            case MassUnit.US:
                return show_household(ml)
            case MassUnit.BOTH:
                return f"{metric} ({show_household(ml)})"

    def show(self, value: float, unit: str) -> str:
        """Print a value kept in one of the house's units; any other unit is printed as it stands."""
        match unit:
            case "g":
                return self.show_mass(value)
            case "mm":
                return self.show_length(value)
            case "ml":
                return self.show_volume(value)
            case "C":
                return self.show_temperature(value)
            case "min":
                return show_minutes(value)
            case "1" | "":
                return show_plain(value)
            case "%":
                return f"{show_plain(value)} %"
            case _:
                return f"{show_plain(value)} {unit}"


def _metric_mass(grams: float) -> str:
    if grams >= 10_000:
        return f"{grams / 1000:.2f} kg"
    return f"{grams:.0f} g" if grams >= 10 else f"{grams:.1f} g"


def _us_mass(grams: float) -> str:
    ounces = grams / OUNCE_G
    if ounces < 1:
        return f"{ounces:.2f} oz"
    pounds, rest = divmod(round(ounces * 4), 64)
    rest_text = vulgar(rest / 4, 4)
    if pounds == 0:
        return f"{rest_text} oz"
    return f"{pounds} lb" if rest == 0 else f"{pounds} lb {rest_text} oz"


def vulgar(value: float, parts: int) -> str:
    """Print a number to the nearest half, quarter, eighth ... as a whole and a vulgar fraction, such as ``4 1/2``."""
    whole, rest = divmod(round(value * parts), parts)
    if rest == 0:
        return str(whole)
    fraction = Fraction(rest, parts)
    text = f"{fraction.numerator}/{fraction.denominator}"
    return text if whole == 0 else f"{whole} {text}"


def show_household(ml: float) -> str:
    """
    Print a volume in US cups, tablespoons and teaspoons, to the nearest eighth of a teaspoon below a cup. [ml]

    Examples
    --------
    Five teaspoons are one tablespoon and two teaspoons (common practice):

    >>> show_household(5 * TEASPOON_ML[Measures.US])
    '1 Tbsp + 2 tsp'
    """
    teaspoon, tablespoon, cup = (table[Measures.US] for table in (TEASPOON_ML, TABLESPOON_ML, CUP_ML))
    if ml >= 4 * cup:
        return f"{vulgar(ml / cup, 4)} cups"
    eighths = round(ml / teaspoon * 8) if ml < cup else round(ml / teaspoon) * 8
    quarter_cups, eighths = divmod(eighths, round(cup / teaspoon) * 2)
    spoons, eighths = divmod(eighths, round(tablespoon / teaspoon) * 8)
    words = []
    if quarter_cups:
        words.append(f"{vulgar(quarter_cups / 4, 4)} cup" + ("s" if quarter_cups > 4 else ""))
    if spoons:
        words.append(f"{spoons} Tbsp")
    if eighths or not words:
        words.append(f"{vulgar(eighths / 8, 8)} tsp")
    return " + ".join(words)


def show_minutes(minutes: float) -> str:
    """Print a time in the words people use: seconds, minutes, hours and minutes, days and hours. [min]"""
    if minutes < 2:
        return f"{round(minutes * 60)} s"
    whole = round(minutes)
    if whole < 60:
        return f"{whole} min"
    if whole < 2880:
        hours, rest = divmod(whole, 60)
        return f"{hours} h" if rest == 0 else f"{hours} h {rest} min"
    days, rest = divmod(round(minutes / 60), 24)
    return f"{days} days" if rest == 0 else f"{days} days {rest} h"


def show_plain(value: float) -> str:
    """Print a bare number with the digits that matter."""
    if value == round(value) and abs(value) < 1e6:
        return f"{value:.0f}"
    size = abs(value)
    if size >= 1000:
        return f"{value:.0f}"
    if size >= 100:
        return f"{value:.1f}"
    return f"{value:.2f}" if size >= 1 else f"{value:.3g}"
