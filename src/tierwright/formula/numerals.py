"""Numbers as ingredient lines write them: vulgar fractions, words, dozens, ranges, and commas that mean two things."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from tierwright.units import VULGAR

LONGEST_LINE: Final = 300

WORDS: Final[dict[str, Fraction]] = {
    "a": Fraction(1), "an": Fraction(1), "one": Fraction(1), "two": Fraction(2), "three": Fraction(3),
    "four": Fraction(4), "five": Fraction(5), "six": Fraction(6), "seven": Fraction(7), "eight": Fraction(8),
    "nine": Fraction(9), "ten": Fraction(10), "eleven": Fraction(11), "twelve": Fraction(12),
    "half": Fraction(1, 2), "quarter": Fraction(1, 4), "third": Fraction(1, 3), "eighth": Fraction(1, 8),
}  # fmt: skip
PARTS_OF_ONE: Final[dict[str, Fraction]] = {
    "half": Fraction(1, 2), "halves": Fraction(1, 2), "quarter": Fraction(1, 4), "quarters": Fraction(1, 4),
    "third": Fraction(1, 3), "thirds": Fraction(1, 3), "eighth": Fraction(1, 8), "eighths": Fraction(1, 8),
}  # fmt: skip

_TOKEN = re.compile(
    r"(?P<number>\d+(?:[.,]\d+)*|[.]\d+)"
    r"|(?P<word>[^\W\d_]+(?:[-'][^\W\d_]+)*[.]?)"
    r"|(?P<mark>[()\[\]/,;:+&%~#=*-])"
)
_PLAIN_SIGNS: Final = {
    0x2044: "/", 0x2215: "/", 0xD7: "x", 0x2019: "'", 0x2018: "'", 0x2212: "-", 0x2010: "-", 0x2011: "-",
}  # fmt: skip
_BULLETS = re.compile(r"^\s*(?:\[[ xX]?\]|[•‣◦▢□☐✓·*–—-](?=\s))\s*")


class Unclear(Exception):
    """
    A line, or a part of it, that cannot be read in one way only.

    Attributes
    ----------
    reason
        Why, in one sentence.
    choices
        Amounts or lines that it may mean.
    """

    def __init__(self, reason: str, choices: tuple[str, ...] = ()) -> None:
        self.reason = reason
        self.choices = choices
        super().__init__(reason)


@dataclass(frozen=True, slots=True, kw_only=True)
class Token:
    """One token of a line: ``kind`` is number, word or mark; ``start`` and ``end`` place it in the cleaned text."""

    kind: str
    text: str
    start: int
    end: int

    @property
    def low(self) -> str:
        """The token in small letters, without a closing full stop."""
        return self.text.lower().rstrip(".") or self.text


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """A number or a range as it was written, and the token that follows it."""

    low: Fraction
    high: Fraction
    next: int

    @property
    def value(self) -> Fraction:
        """Middle of the range."""
        return (self.low + self.high) / 2


def clean(text: str) -> str:
    """Return a line with its bullet off, its fractions plain, its dashes and quotes of one kind, its spaces single."""
    for sign, fraction in VULGAR.items():
        text = re.sub(rf"(?<=\d)\s?{sign}", f" {fraction.numerator}/{fraction.denominator}", text)
        text = text.replace(sign, f" {fraction.numerator}/{fraction.denominator}")
    text = text.translate(
        {0x2044: "/", 0x2215: "/", 0xD7: "x", 0x2019: "'", 0x2018: "'", 0x2212: "-", 0x2010: "-", 0x2011: "-"}
    )
    text = _BULLETS.sub("", text)
    text = text.replace("–", "-").replace("—", " - ")
    text = re.sub(r"(?<=\d)\s*/\s*(?=\d)", "/", text)
    return re.sub(r"\s+", " ", text).strip()


def tokens_of(text: str) -> tuple[Token, ...]:
    """
    Split a cleaned line into numbers, words and marks.

    Raises
    ------
    Unclear
        A sign that no ingredient line uses.
    """
    tokens: list[Token] = []
    position = 0
    while position < len(text):
        if text[position] == " ":
            position += 1
            continue
        match = _TOKEN.match(text, position)
        if match is None:
            raise Unclear(f"the sign {text[position]!r} has no meaning in an ingredient line")
        kind = match.lastgroup or ""
        word = match.group()
        # "2x" and "x2": a times sign glued to a number.
        tokens.append(Token(kind=kind, text=word, start=position, end=match.end()))
        position = match.end()
    return tuple(tokens)


def plain_number(text: str, unit: str = "") -> Fraction:
    """
    Value of a run of digits with its points and commas.

    Raises
    ------
    Unclear
        A comma (or a point, before a gram) with exactly three digits after it: a thousand in one country, a fraction in
        another.

    Examples
    --------
    >>> plain_number("1,5")
    Fraction(3, 2)
    >>> plain_number("1,200.5")
    Fraction(2401, 2)
    """
    if len(text) > 12:
        raise Unclear(f"the number {text} is too long for a kitchen")
    if re.fullmatch(r"\d+|\d*[.]\d+", text):
        if unit in ("g", "ml") and re.fullmatch(r"\d{1,3}[.]\d{3}", text) and not text.startswith("0"):
            whole, part = text.split(".")
            choices = (f"{whole}{part} {unit}", f"{float(text):g} {unit}")
            raise Unclear(f"the point in {text} may part thousands or be a decimal point", choices)
        return Fraction(text)
    if re.fullmatch(r"\d{1,3}(,\d{3})+[.]\d+", text):
        return Fraction(text.replace(",", ""))
    if re.fullmatch(r"\d{1,3}([.]\d{3})+,\d+", text):
        return Fraction(text.replace(".", "").replace(",", "."))
    if re.fullmatch(r"\d+,\d{3}", text):
        whole, part = text.split(",")
        unit = f" {unit}" if unit else ""
        raise Unclear(
            f"the comma in {text} may part thousands or be a decimal comma",
            (f"{whole}{part}{unit}", f"{float(f'{whole}.{part}'):g}{unit}"),
        )
    if re.fullmatch(r"\d+,\d{1,2}", text):
        return Fraction(text.replace(",", "."))
    if re.fullmatch(r"\d{1,3}(,\d{3}){2,}", text):
        return Fraction(text.replace(",", ""))
    raise Unclear(f"{text} is not a number that can be read in one way")


def _unit_after(tokens: tuple[Token, ...], at: int) -> str:
    return tokens[at].low if at < len(tokens) and tokens[at].kind == "word" else ""


def _digits(tokens: tuple[Token, ...], at: int) -> tuple[Fraction, int] | None:
    """``2``, ``1/2``, ``1 1/2``, ``1-1/2``, ``1 and 1/2``, from one place."""
    if at >= len(tokens) or tokens[at].kind != "number":
        return None
    first = tokens[at]
    over = _fraction(tokens, at)
    if over is not None:
        return over
    follow = at + 1
    if follow < len(tokens) and first.text.isdigit():
        joined = follow + 1 if tokens[follow].low in ("-", "and", "&") else follow
        glued = tokens[follow].text == "-"
        part = _fraction(tokens, joined)
        # Only a proper fraction can be the tail of a mixed number; "1-1/2" would be a range that runs downward.
        if part is not None and part[0] < 1:
            spaced = glued and tokens[follow].start > first.end
            if spaced and int(first.text) > 0:
                raise Unclear(
                    f"'{first.text} - {part[0]}' may be a mixed number or two amounts",
                    (f"{first.text} {part[0]}", str(part[0])),
                )
            return Fraction(int(first.text)) + part[0], part[1]
        if joined == follow and tokens[follow].kind == "number" and re.fullmatch(r"\d{3}", tokens[follow].text):
            # "1 000 g", but not "1 400 g tin", which the caller takes as a pack before it asks for a number.
            unit = _unit_after(tokens, follow + 1)
            one, two = f"{first.text}{tokens[follow].text}", f"{first.text} x {tokens[follow].text}"
            raise Unclear(
                f"'{first.text} {tokens[follow].text}' may be one number or two", (f"{one} {unit}", f"{two} {unit}")
            )
    return plain_number(first.text, _unit_after(tokens, at + 1)), at + 1


def _fraction(tokens: tuple[Token, ...], at: int) -> tuple[Fraction, int] | None:
    if (
        at + 2 < len(tokens)
        and tokens[at].kind == "number"
        and tokens[at + 1].text == "/"
        and tokens[at + 2].kind == "number"
    ):
        over, under = tokens[at].text, tokens[at + 2].text
        if over.isdigit() and under.isdigit() and 0 < int(under) <= 64 and tokens[at].end == tokens[at + 1].start:
            return Fraction(int(over), int(under)), at + 3
    return None


def _worded(tokens: tuple[Token, ...], at: int) -> tuple[Fraction, int] | None:
    """``two``, ``a dozen``, ``half a``, ``half a dozen``, ``two thirds of a``, ``one and a half``."""
    if at >= len(tokens) or tokens[at].kind != "word":
        return None
    word = tokens[at].low
    if word == "dozen":
        return Fraction(12), at + 1
    if word not in WORDS:
        return None
    value = WORDS[word]
    at += 1
    after = tokens[at].low if at < len(tokens) else ""
    if word not in PARTS_OF_ONE and after in PARTS_OF_ONE:
        # "a half", "three quarters", "two thirds"
        value, at = value * PARTS_OF_ONE[after], at + 1
        word = after
        after = tokens[at].low if at < len(tokens) else ""
    if word in PARTS_OF_ONE and after == "of" and at + 1 < len(tokens) and tokens[at + 1].low in ("a", "an", "one"):
        at += 2
    elif word in PARTS_OF_ONE and after in ("a", "an"):
        at += 1
    elif (
        after == "and"
        and at + 2 < len(tokens)
        and tokens[at + 1].low in ("a", "one")
        and tokens[at + 2].low in PARTS_OF_ONE
    ):
        value, at = value + PARTS_OF_ONE[tokens[at + 2].low], at + 3
    if at < len(tokens) and tokens[at].low == "dozen":
        value, at = value * 12, at + 1
    return value, at


def _one_number(tokens: tuple[Token, ...], at: int) -> tuple[Fraction, int] | None:
    found = _digits(tokens, at)
    if found is None:
        return _worded(tokens, at)
    value, at = found
    if at < len(tokens) and tokens[at].low == "dozen":
        return value * 12, at + 1
    if at < len(tokens) and tokens[at].low in ("a", "an") and value < 1:
        return value, at + 1
    return value, at


def read_number(tokens: tuple[Token, ...], at: int) -> Number | None:
    """
    Read a number or an upward range from one place in a line; None where there is none.

    Raises
    ------
    Unclear
        Digits that two readers would read differently, or a range that runs downward.
    """
    found = _one_number(tokens, at)
    if found is None:
        return None
    low, after = found
    if after + 1 < len(tokens) and tokens[after].low in ("-", "to", "or"):
        second = _one_number(tokens, after + 1)
        is_article = tokens[after + 1].low in ("a", "an")
        if second is not None and not is_article:
            high, end = second
            # "1 8-ounce package" never comes here: its hyphen stands after the 8.
            if high < low:
                raise Unclear(f"the range from {low} to {high} runs downward")
            if tokens[after].low == "or" and high > 3 * low:
                raise Unclear(f"{low} or {high} are too far apart to be a range")
            return Number(low=low, high=high, next=end)
    return Number(low=low, high=low, next=after)
