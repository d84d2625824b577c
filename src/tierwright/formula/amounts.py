"""The amounts of an ingredient line: numbers with their units, packs, sums and differences."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from tierwright.formula.numerals import WORDS, Number, Token, Unclear, read_number
from tierwright.formula.spoken_units import Dimension, Unit, find_unit

ABOUT = frozenset({"about", "approx", "approximately", "roughly", "around", "circa", "ca", "~"})
HEAPED = {"heaped": "heaped", "heaping": "heaped", "heap": "heaped", "rounded": "rounded", "generous": "generous"}
SCANT = {"scant": "scant", "barely": "scant", "level": "level", "levelled": "level", "leveled": "level"}
PLUS = frozenset({"plus", "+", "and", "&"})
LESS = frozenset({"less", "minus"})
_ONE = Fraction(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """
    One amount as written: a number (or range) of a unit.

    Attributes
    ----------
    number
        How many.
    unit
        Of what; None for pieces.
    heap
        ``level``, ``scant``, ``heaped`` and so on; empty if nothing is said.
    about
        Whether the line calls it approximate.
    times
        Number of packs of this size. [-]
    sign
        1, or -1 for what is taken away ("less 1 tbsp").
    """

    number: Number
    unit: Unit | None
    heap: str = ""
    about: bool = False
    times: float = 1.0
    sign: int = 1

    def show(self) -> str:
        """Return the amount in words, ranges with ``to``."""
        low, high = _plain(float(self.number.low)), _plain(float(self.number.high))
        count = low if low == high else f"{low} to {high}"
        unit = f" {self.unit.name}" if self.unit else ""
        packs = f"{_plain(self.times)} x " if self.times != 1 else ""
        return f"{packs}{self.heap + ' ' if self.heap else ''}{count}{unit}"


def _plain(value: float) -> str:
    return f"{value:.4g}"


def read_amount(tokens: tuple[Token, ...], at: int) -> tuple[Amount, int] | None:
    """Read one amount from one place: ``about 2 heaped tbsp``, ``2 x 250 g packs``, ``1 8-ounce package``, ``3``."""
    about = False
    while at < len(tokens) and tokens[at].low in ABOUT:
        about, at = True, at + 1
    heap, at = _heap(tokens, at)
    pack = _pack(tokens, at)
    if pack is not None:
        return pack
    number = read_number(tokens, at)
    if number is None:
        unit, after = _unit(tokens, at)
        if unit is not None and (unit.dimension is Dimension.PINCH or (heap and unit.dimension is Dimension.VOLUME)):
            # "pinch of salt", "heaped tablespoon": one is meant.
            return Amount(number=Number(low=_ONE, high=_ONE, next=after), unit=unit, heap=heap, about=about), after
        return None
    at = number.next
    if at < len(tokens) and tokens[at].low in HEAPED | SCANT and not heap:
        heap, at = _heap(tokens, at)
    if at + 1 < len(tokens) and tokens[at].low in ("small", "big", "large") and find_unit(tokens[at + 1].text):
        # "a small pinch", "a large cup": no two cooks agree by how much.
        if find_unit(tokens[at + 1].text).dimension is Dimension.PINCH:  # type: ignore[union-attr]
            at += 1
        else:
            raise Unclear(f"'{tokens[at].low} {tokens[at + 1].low}' has no agreed size")
    joined = at + 1 if at < len(tokens) and tokens[at].text == "-" else at
    unit, after = _unit(tokens, joined)
    if unit is None:
        return Amount(number=number, unit=None, heap=heap, about=about), at
    if unit.dimension is Dimension.VAGUE:
        raise Unclear(f"a {tokens[joined].low} has no agreed size")
    if unit.dimension in (Dimension.MASS, Dimension.VOLUME):
        # "a 400 g tin", "12-oz bag": one pack of that size.
        pack_at = after + 1 if after < len(tokens) and tokens[after].text == "-" else after
        packed, end = _unit(tokens, pack_at)
        if packed is not None and packed.dimension is Dimension.PACK:
            after = end
    return Amount(number=number, unit=unit, heap=heap, about=about), after


def _heap(tokens: tuple[Token, ...], at: int) -> tuple[str, int]:
    if at < len(tokens):
        word = tokens[at].low
        if word in HEAPED or word in SCANT:
            return HEAPED.get(word) or SCANT[word], at + 1
    return "", at


def _unit(tokens: tuple[Token, ...], at: int) -> tuple[Unit | None, int]:
    """Read a unit of one or two words."""
    if at >= len(tokens) or tokens[at].kind != "word":
        return None, at
    if at + 1 < len(tokens) and tokens[at + 1].kind == "word":
        double = find_unit(f"{tokens[at].low} {tokens[at + 1].low}")
        if double is not None:
            return double, at + 2
    unit = find_unit(tokens[at].text)
    return unit, at + 1 if unit else at


def _pack(tokens: tuple[Token, ...], at: int) -> tuple[Amount, int] | None:
    """Read ``1 8-ounce package``, ``2 x 250 g packs`` or ``2 400 g tins``."""
    if at >= len(tokens):
        return None
    word = tokens[at]
    if word.kind == "number" and word.text.isdigit():
        times = float(word.text)
    elif word.low in ("a", "an", "one", "two", "three", "four"):
        times = float(WORDS[word.low])
    else:
        return None
    by = at + 1 < len(tokens) and tokens[at + 1].low == "x"
    start = at + 2 if by else at + 1
    if (
        start >= len(tokens)
        or tokens[start].kind != "number"
        or (not by and tokens[start - 1].end == tokens[start].start)
    ):
        return None
    try:
        number = read_number(tokens, start)
    except Unclear:
        if by:
            raise
        return None
    if number is None:
        return None
    inner = number.next + 1 if number.next < len(tokens) and tokens[number.next].text == "-" else number.next
    unit, after = _unit(tokens, inner)
    if unit is None or unit.dimension not in (Dimension.MASS, Dimension.VOLUME):
        return None
    outer_at = after + 1 if after < len(tokens) and tokens[after].text == "-" else after
    outer, end = _unit(tokens, outer_at)
    if outer is not None and outer.dimension is Dimension.PACK:
        return Amount(number=number, unit=unit, times=times), end
    return (Amount(number=number, unit=unit, times=times), after) if by else None


def read_leading(tokens: tuple[Token, ...]) -> tuple[tuple[Amount, ...], list[tuple[Amount, ...]], int]:
    """Read the amounts at the head of a line: sums, differences, and the same in other measures after a stroke."""
    others: list[tuple[Amount, ...]] = []
    first = read_amount(tokens, 0)
    if first is None:
        return (), others, 0
    amounts, at = read_sum(tokens, first)
    while at < len(tokens) and tokens[at].low in ("/", "or", "="):
        found = read_amount(tokens, at + 1)
        if found is None or found[0].unit is None:
            break
        other, at = read_sum(tokens, found)
        others.append(other)
    return amounts, others, at


def read_sum(tokens: tuple[Token, ...], first: tuple[Amount, int]) -> tuple[tuple[Amount, ...], int]:
    """Read what follows an amount and is added to it or taken away: ``plus 2 tbsp``, ``less 1 tbsp``, ``4 oz``."""
    amounts, at = [first[0]], first[1]
    while at < len(tokens):
        word = tokens[at].low
        if word in PLUS or word in LESS:
            found = read_amount(tokens, at + 1)
        elif _follows_on(amounts[-1], tokens, at):
            found = read_amount(tokens, at)
        else:
            break
        if found is None or found[0].unit is None or amounts[0].unit is None:
            break
        amounts.append(replace(found[0], sign=-1 if word in LESS else 1))
        at = found[1]
    return tuple(amounts), at


def _follows_on(last: Amount, tokens: tuple[Token, ...], at: int) -> bool:
    """Whether an ounce follows a pound, or a gram a kilogram, with nothing between: ``1 lb 4 oz``."""
    if last.unit is None or tokens[at].kind != "number":
        return False
    found = read_amount(tokens, at)
    smaller = {"lb": "oz", "kg": "g"}.get(last.unit.name)
    return found is not None and found[0].unit is not None and found[0].unit.name == smaller
