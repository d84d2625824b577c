"""Ingredient lines to grams: each line becomes an ingredient with a weight and its range, or a question."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from tierwright import larder
from tierwright.errors import UnknownName
from tierwright.formula.amounts import Amount
from tierwright.formula.grammar import Reading, is_heading, read
from tierwright.formula.identify import identify, renamed
from tierwright.formula.model import Formula, FormulaText, Line, Measures, Status
from tierwright.formula.numerals import Unclear
from tierwright.formula.spoken_units import HEAPS, MASS_G, PINCH_TSP, STICK_G, Dimension, volume_ml
from tierwright.larder import VOLUME_ML, Group, Ingredient, Measure
from tierwright.working import Estimate

ABOUT_SHARE: Final = 0.05  # "about 200 g": common practice
SAME_SHARE: Final = 0.13  # 4 oz is printed as 100, 110, 113 and 125 g beside one another: common practice
LARGEST_G: Final = 100_000.0
SPREAD_TO_ASK: Final = 0.08  # a cup whose filling is not said is remarked on when its weight may be off by more
WIDE: Final = 0.2  # for a way of measuring that the table does not hold: common practice

CITRUS: Final = ("lemon", "lime", "orange")
EGG_PARTS: Final = ("whole_egg", "egg_white", "egg_yolk")
EGG_SIZES: Final = {
    "US": {"small": "us_small", "medium": "us_medium", "large": "us_large", "extra-large": "us_extra_large",
           "jumbo": "us_jumbo", "peewee": "us_peewee"},
    "EU": {"small": "eu_s", "medium": "eu_m", "large": "eu_l", "extra-large": "eu_xl"},
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class _Weighed:
    """One way of weighing a line; ``rank`` says how well that kind of measure is known, and the highest is used."""

    grams: Estimate
    way: str
    working: str
    rank: int
    remarks: tuple[str, ...] = ()
    count: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Setting:
    """What a line means beyond its words: the food that was found, whose measures, which eggs."""

    reading: Reading
    found: Ingredient
    measures: Measures
    egg_size: str


@lru_cache(maxsize=512)
def read_formula(text: FormulaText) -> Formula:
    """
    Read every line of a formula.

    Parameters
    ----------
    text
        The formula as written.

    Returns
    -------
    formula
        With one ``Line`` for each written line: read, aside, or to ask.
    """
    lines = tuple(
        read_line(line, number=number, measures=text.measures, egg_size=text.egg_size)
        for number, line in enumerate(text.lines, start=1)
    )
    return Formula(text=text, lines=lines)


def read_line(text: str, *, number: int = 1, measures: Measures = Measures.US, egg_size: str = "us_large") -> Line:
    """
    Read one ingredient line.

    Parameters
    ----------
    text
        As a person writes it.
    number
        Its place in the formula.
    measures
        Whose cups and spoons it means.
    egg_size
        Key of the grade meant by an egg whose size is not said.

    Returns
    -------
    line
        Read with its weight and range [g]; aside, if it never enters the bowl; or to ask, with the reason and choices.

    Examples
    --------
    >>> line = read_line("1 stick unsalted butter, soft")
    >>> line.ingredient, round(line.grams.value), line.note
    ('unsalted_butter', 113, 'soft')
    >>> read_line("1,200 g cake flour").choices
    ('1200 g cake flour', '1.2 g cake flour')
    """
    shown = text.strip()[:300]
    if is_heading(text):
        return Line(number=number, text=shown, status=Status.ASIDE, note="a heading")
    try:
        reading = read(text)
        if reading.aside:
            return Line(number=number, text=shown, status=Status.ASIDE, label=reading.name, note=reading.aside)
        found = identify(reading)
        weighed = _weigh(_Setting(reading=reading, found=found, measures=measures, egg_size=egg_size))
    except Unclear as unclear:
        choices = tuple(_as_line(choice, shown) for choice in unclear.choices)
        return Line(number=number, text=shown, status=Status.ASK, reason=unclear.reason, choices=choices)
    return Line(
        number=number,
        text=shown,
        status=Status.READ,
        ingredient=found.key,
        label=found.name_us,
        grams=weighed.grams,
        way=weighed.way,
        working=weighed.working,
        count=weighed.count,
        note=reading.note,
        remarks=weighed.remarks,
    )


def _as_line(choice: str, line: str) -> str:
    """Put an amount that stands alone back before the ingredient, so that a choice can replace the line."""
    if re.fullmatch(r"[\d./x ]+(?: [a-z]{1,3})?", choice):
        rest = re.sub(r"^[^A-Za-z]*(?:(?:kg|g|ml|l|oz|lb)\b[. ]*)?", "", line)
        return f"{choice} {rest}".strip()
    return choice


def _weigh(setting: _Setting) -> _Weighed:
    """Weigh the amounts of a reading, and hold them against the same in other measures."""
    readings: list[_Weighed] = []
    trouble: Unclear | None = None
    for amounts in (setting.reading.amounts, *setting.reading.others):
        try:
            readings.append(_sum(amounts, setting))
        except Unclear as unclear:
            trouble = trouble or unclear
    if not readings:
        raise trouble or Unclear("no amount is written")
    best = max(readings, key=lambda weighed: weighed.rank)
    name = setting.found.name_us
    for weighed in readings:
        if not _agree(best.grams, weighed.grams):
            choices = tuple(f"{round_grams(one.grams.value)} g {name}" for one in readings)
            raise Unclear("the amounts beside one another do not agree", choices)
    if not 0 < best.grams.value <= LARGEST_G:
        raise Unclear("nothing, or more than 100 kg, is no amount for a bowl")
    remarks = best.remarks
    if len(readings) > 1:
        shown = ", ".join(f"{round_grams(one.grams.value)} g ({one.way})" for one in readings if one is not best)
        remarks = (*remarks, f"written in more than one measure: {best.way} is used; the other gives {shown}")
    return replace(best, count=max(weighed.count for weighed in readings), remarks=remarks)


def round_grams(grams: float) -> str:
    """Print a mass with the digits a kitchen scale has. [g]"""
    return f"{grams:.0f}" if grams >= 10 else f"{grams:.2g}"


def _agree(one: Estimate, two: Estimate) -> bool:
    return one.low * (1 - SAME_SHARE) <= two.high and two.low * (1 - SAME_SHARE) <= one.high


def _sum(amounts: tuple[Amount, ...], setting: _Setting) -> _Weighed:
    """Add up amounts, and take away those with a minus."""
    parts = [(amount.sign, _one(amount, setting)) for amount in amounts]
    value = sum(sign * part.grams.value for sign, part in parts)
    low = sum(part.grams.low if sign > 0 else -part.grams.high for sign, part in parts)
    high = sum(part.grams.high if sign > 0 else -part.grams.low for sign, part in parts)
    if low < 0 or value <= 0:
        raise Unclear("nothing is left of the amount")
    working = " ".join(f"{'-' if sign < 0 else '+'} {part.working}" for sign, part in parts)
    remarks = list(dict.fromkeys(remark for _, part in parts for remark in part.remarks))
    if any(amount.number.low != amount.number.high for amount in amounts):
        remarks.append("a range is written: its middle is used")
    return _Weighed(
        grams=Estimate(value=value, low=min(low, value), high=max(high, value)),
        way=" + ".join(dict.fromkeys(part.way for _, part in parts)),
        working=working.removeprefix("+ "),
        rank=min(part.rank for _, part in parts),
        remarks=tuple(remarks),
        count=sum(sign * part.count for sign, part in parts),
    )


def _one(amount: Amount, setting: _Setting) -> _Weighed:
    """Weigh one amount."""
    number = Estimate(value=float(amount.number.value), low=float(amount.number.low), high=float(amount.number.high))
    number = number * amount.times
    if number.value <= 0:
        raise Unclear("nothing is no amount for a bowl")
    if amount.about:
        number = Estimate(value=number.value, low=number.low * (1 - ABOUT_SHARE), high=number.high * (1 + ABOUT_SHARE))
    unit = amount.unit.name if amount.unit else ""
    dimension = amount.unit.dimension if amount.unit else Dimension.PIECE
    if amount.heap and dimension not in (Dimension.VOLUME, Dimension.PINCH):
        raise Unclear(f"'{amount.heap}' says nothing about a {unit or 'piece'}")
    match dimension:
        case Dimension.MASS:
            return _by_mass(amount, unit, number, setting)
        case Dimension.VOLUME:
            return _by_volume(amount, unit, number, setting)
        case Dimension.PINCH:
            return _by_pinch(amount, unit, number, setting.found)
        case Dimension.STICK:
            return _by_stick(amount, number, setting.found)
        case Dimension.PACK:
            weighed = _by_piece_of("packet", amount, number, setting)
            if weighed is None:
                raise Unclear("a package has no size without its weight beside it")
            return weighed
        case _:
            return _by_piece(amount, unit, number, setting)


def _by_mass(amount: Amount, unit: str, number: Estimate, setting: _Setting) -> _Weighed:
    found = setting.found
    grams = number * MASS_G[unit]
    density = found.density_g_per_ml
    if unit == "oz" and found.liquid and density is not None:
        # An ounce of water is about an ounce by weight; of anything heavier or lighter, and in Britain, it is not.
        volume = number.value * volume_ml("fl oz", setting.measures) * density.value
        if abs(volume / grams.value - 1) > 0.02 and not setting.reading.others:
            raise Unclear(
                f"an ounce of {found.name_us} may be weighed or measured",
                (f"{round_grams(grams.value)} g {found.name_us}", f"{number.value:g} fl oz {found.name_us}"),
            )
    return _Weighed(grams=grams, way="weighed", working=amount.show(), rank=8 if unit in ("g", "kg", "mg") else 7)


def _by_stick(amount: Amount, number: Estimate, found: Ingredient) -> _Weighed:
    if "stick" in {measure.unit for measure in found.measures}:
        one = found.measure("stick").grams
    elif found.group in (Group.BUTTER, Group.FAT) and not found.liquid:
        one = Estimate.exact(STICK_G)
    else:
        raise Unclear(f"a stick of {found.name_us} has no agreed size")
    working = f"{amount.show()} x {one.value:.4g} g"
    return _Weighed(grams=_product(number, one), way="by the stick", working=working, rank=6)


def _by_pinch(amount: Amount, unit: str, number: Estimate, found: Ingredient) -> _Weighed:
    own = [measure.grams for measure in found.measures if measure.unit == unit]
    if own:
        one = own[0]
    else:
        spoon, _ = _measure_for(5.0, found, "")
        per_tsp = spoon.grams * (VOLUME_ML["tsp"] / VOLUME_ML[spoon.unit])
        one = _product(PINCH_TSP[unit], per_tsp)
    working = f"{amount.show()} x {one.value:.2g} g"
    return _Weighed(grams=_product(number, one), way=f"by the {unit}", working=working, rank=1)


def _product(one: Estimate, two: Estimate) -> Estimate:
    return Estimate(value=one.value * two.value, low=one.low * two.low, high=one.high * two.high)


def _ways(measure: Measure) -> list[str]:
    return measure.way.replace("_", " ").split()


def _measure_for(ml: float, found: Ingredient, way: str) -> tuple[Measure, tuple[Measure, ...]]:
    """
    Return the household weight nearest to a volume, and every other way to fill that measure.

    Raises
    ------
    Unclear
        No volume weight is known.
    """
    by_size = sorted(VOLUME_ML, key=lambda unit: VOLUME_ML[unit], reverse=True)
    wanted = [unit for unit in by_size if VOLUME_ML[unit] <= ml * 4.5] or by_size[-1:]
    for unit in (*wanted, *reversed([unit for unit in by_size if unit not in wanted])):
        fitting = tuple(measure for measure in found.measures if measure.unit == unit)
        if fitting:
            said = [measure for measure in fitting if way and way in _ways(measure)]
            return (said or fitting)[0], fitting
    raise Unclear(f"no weight of a cup or spoon of {found.name_us} is known: weigh it")


def _by_volume(amount: Amount, unit: str, number: Estimate, setting: _Setting) -> _Weighed:
    found, reading = setting.found, setting.reading
    heap = HEAPS[amount.heap or "level"]
    if heap.high > 1 and (found.group is Group.LEAVENER or found.key.endswith("salt")):
        level = replace(amount, heap="level").show()
        raise Unclear(f"{found.name_us} is too strong for a {amount.heap} measure", (f"{level} {found.name_us}",))
    ml = volume_ml(unit, setting.measures)
    way = reading.way or _said_way(reading, found)
    measure, fitting = _measure_for(number.value * ml, found, way)
    per_ml = measure.grams * (1 / VOLUME_ML[measure.unit])
    remarks: list[str] = []
    matched = bool(way) and way in _ways(measure)
    if not way and len(fitting) > 1 and not (found.liquid or found.group is Group.DAIRY):
        low, high = min(other.grams.low for other in fitting), max(other.grams.high for other in fitting)
        per_ml = Estimate(value=measure.grams.value, low=low, high=high) * (1 / VOLUME_ML[measure.unit])
        if (high - low) / 2 > SPREAD_TO_ASK * measure.grams.value:
            ways = ", ".join(other.way.replace("_", " ") for other in fitting if other.way)
            used = measure.way.replace("_", " ")
            remarks.append(f"how the {unit} is filled is not said: '{used}' is used, and the range covers {ways}")
    elif way and not matched and not found.liquid and {"level"} != {word for m in fitting for word in _ways(m)}:
        per_ml = Estimate(value=per_ml.value, low=per_ml.low * (1 - WIDE), high=per_ml.high * (1 + WIDE))
        remarks.append(f"no weight for '{way}' is known: the usual way is used with a wide range")
    if heap.low != heap.high:
        remarks.append(f"'{amount.heap}' is taken as {heap.value:g} of a level measure, {heap.low:g} to {heap.high:g}")
    filled = measure.way.replace("_", " ")
    return _Weighed(
        grams=_product(_product(number * ml, per_ml), heap),
        way=f"volume, {filled}" if filled else "volume",
        working=f"{amount.show()} x {ml:.4g} ml x {per_ml.value:.3g} g/ml",
        remarks=tuple(remarks),
        rank=5 if unit in ("ml", "l", "cl", "dl") and found.liquid else 4,
    )


def _said_way(reading: Reading, found: Ingredient) -> str:
    """Return a way of the larder (``chopped``, ``halves``) that the name or the note says."""
    said = set(re.findall(r"[a-z]+", f"{reading.name} {reading.note} {' '.join(reading.claims)}".lower()))
    for measure in found.measures:
        if measure.unit not in VOLUME_ML:
            continue
        for word in _ways(measure):
            # "flour, sifted" is sifted after measuring; every spoon is level.
            if word in said and word not in ("sifted", "level", "each"):
                return word
    return ""


def _by_piece(amount: Amount, unit: str, number: Estimate, setting: _Setting) -> _Weighed:
    found = setting.found
    if found.key in EGG_PARTS and not unit:
        return _by_egg(amount, number, setting)
    if found.key in CITRUS and not unit:
        shown, name = amount.show(), found.name_us
        raise Unclear(
            f"which part of a {name}: its zest, its juice or the whole?",
            (f"zest of {shown} {name}", f"juice of {shown} {name}"),
        )
    for name in (unit,) if unit else ("each", "fruit"):
        weighed = _by_piece_of(name, amount, number, setting)
        if weighed is not None:
            return weighed
    one = f"{unit} of {found.name_us}" if unit else found.name_us
    raise Unclear(f"the weight of one {one} is not known: weigh it")


def _by_piece_of(unit: str, amount: Amount, number: Estimate, setting: _Setting) -> _Weighed | None:
    fitting = [measure for measure in setting.found.measures if measure.unit == unit]
    if not fitting:
        return None
    size = setting.reading.size.replace("-", "_")
    said = [measure for measure in fitting if size and measure.way == size]
    if size and not said and len(fitting) > 1:
        raise Unclear(f"no weight of a {setting.reading.size} {setting.found.name_us} is known: weigh it")
    measure = (said or fitting)[0]
    grams = _product(number, measure.grams)
    if len(fitting) > 1 and not said:
        low, high = min(other.grams.low for other in fitting), max(other.grams.high for other in fitting)
        grams = _product(number, Estimate(value=measure.grams.value, low=low, high=high))
    working = f"{amount.show()} x {measure.grams.value:.3g} g"
    return _Weighed(grams=grams, way="counted", working=working, count=number.value, rank=3)


def _by_egg(amount: Amount, number: Estimate, setting: _Setting) -> _Weighed:
    usual = larder.egg_grade(setting.egg_size.replace("-", "_"))
    size = setting.reading.size
    try:
        key = EGG_SIZES[usual.jurisdiction][size] if size else usual.key
        grade = larder.egg_grade(key)
    except (KeyError, UnknownName) as unknown:
        raise Unclear(f"no weight of a {size} egg is known") from unknown
    one = {"whole_egg": grade.edible_g, "egg_white": grade.white_g, "egg_yolk": grade.yolk_g}[setting.found.key]
    called = f"{grade.jurisdiction} {grade.name}"
    remarks = () if size else (f"eggs are taken as {called}",)
    return _Weighed(
        grams=_product(number, one),
        way="counted",
        working=f"{amount.show()} x {one.value:.3g} g ({called})",
        remarks=remarks,
        count=number.value,
        rank=3,
    )


__all__ = ["read_formula", "read_line", "renamed", "round_grams"]
