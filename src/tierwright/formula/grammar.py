"""The grammar of one ingredient line: what is measured, by what, and what stands round it.

This module knows words and numbers only; what an ingredient is and weighs is settled in ``lines``.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from tierwright.formula.amounts import ABOUT, HEAPED, LESS, PLUS, SCANT, Amount, read_amount, read_leading, read_sum
from tierwright.formula.numerals import LONGEST_LINE, Unclear, clean, tokens_of
from tierwright.formula.spoken_units import Dimension, find_unit

SIZES = {
    "extra-large": "extra-large", "extra large": "extra-large", "very large": "extra-large", "xl": "extra-large",
    "jumbo": "jumbo", "large": "large", "lge": "large", "lg": "large", "medium": "medium", "med": "medium",
    "small": "small", "sm": "small", "peewee": "peewee",
}  # fmt: skip
STARTS = frozenset({"a", "an", "one", "two", "three", "four", "five", "six", "half", "quarter", "dozen"})
LINKS = frozenset({"of", "from", "and", "plus", "x", "or", "the", "about", "approx", "less", "minus", "to"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """
    A line taken apart.

    Attributes
    ----------
    amounts
        Amounts that are added up (or taken away).
    others
        The same quantity in other measures, from brackets or after a stroke; each is a sum of amounts.
    name
        Words that name the ingredient, ways of measuring taken out.
    way
        Way of measuring said before the name or beside it: ``spooned``, ``dipped``, ``sifted``, ``packed`` ...
    size
        Size of the pieces (eggs), as said.
    note
        Everything said about preparation.
    claims
        Words in brackets or after a comma that may say what the ingredient is, to be checked against the larder.
    aside
        Purpose outside the bowl, such as ``for greasing``; empty otherwise.
    """

    amounts: tuple[Amount, ...]
    others: tuple[tuple[Amount, ...], ...]
    name: str
    way: str
    size: str
    note: str
    claims: tuple[str, ...]
    aside: str


@dataclass(frozen=True, slots=True)
class Words:
    """The lists of ``words.toml``."""

    before: frozenset[str]
    before_if_liquid: frozenset[str]
    before_if_no_spice: frozenset[str]
    after: frozenset[str]
    outside_bowl: tuple[str, ...]
    no_amount: tuple[str, ...]
    ways: tuple[tuple[str, str], ...]


@cache
def words() -> Words:
    """Return the lists of words, loaded once."""
    table = tomllib.loads(files("tierwright.formula").joinpath("data/words.toml").read_text(encoding="utf-8"))
    ways = [(phrase, way) for way, phrases in table["ways"].items() for phrase in phrases]
    # The longest phrase first, so that "loosely packed" is not taken for "packed".
    ways.sort(key=lambda pair: -len(pair[0]))
    return Words(
        before=frozenset(table["before"]),
        before_if_liquid=frozenset(table["before_if_liquid"]),
        before_if_no_spice=frozenset(table["before_if_no_spice"]),
        after=frozenset(table["after"]),
        outside_bowl=tuple(table["outside_bowl"]),
        no_amount=tuple(table["no_amount"]),
        ways=tuple(ways),
    )


def is_heading(text: str) -> bool:
    """Whether a line is a title between ingredients, such as ``For the sponge:``."""
    return bool(re.fullmatch(r"(?i)\s*[^\d½⅓⅔¼¾⅛:]{1,60}:\s*|\s*for the [^\d,½⅓⅔¼¾⅛]{1,40}", text))


def read(text: str) -> Reading:
    """
    Take one ingredient line apart.

    Parameters
    ----------
    text
        The line as a person wrote it, at most 300 signs.

    Returns
    -------
    reading
        Amounts, name, way of measuring and notes.

    Raises
    ------
    Unclear
        The line can be read in no way, or in more than one; the choices are named where they are known.

    Examples
    --------
    >>> reading = read("2 1/4 cups spooned cake flour, plus 2 tbsp")
    >>> reading.name, reading.way, [amount.show() for amount in reading.amounts]
    ('cake flour', 'spooned', ['2.25 cup', '2 tbsp'])
    """
    if len(text) > LONGEST_LINE:
        raise Unclear(f"the line has {len(text)} signs; an ingredient line has at most {LONGEST_LINE}")
    line = clean(text).rstrip("*. ")
    if not line:
        raise Unclear("the line is empty")
    line, aside = _purpose(line)
    _refuse_unsaid(line)
    outer, groups = _brackets(line)
    outer, name = _amount_first(outer)
    tokens = tokens_of(outer)
    amounts, others, at = read_leading(tokens)
    notes: list[str] = []
    claims: list[str] = []
    if not amounts:
        part = _part_of(outer)
        if part is not None:
            amounts, name, at = part[0], part[1], len(tokens)
        elif not aside:
            raise Unclear("no amount is written")
    for group in groups:
        _bracketed(group, amounts, others, notes, claims)
    amounts = _sized_pack(amounts, others)
    rest = outer[tokens[at].start :] if at < len(tokens) else ""
    rest = re.sub(r"^(?:of\b|x\b)\s*(?:the\b)?", "", rest).strip()
    amounts, rest = _tail(amounts, rest, line)
    named, after = (name, rest.strip(" ,;-")) if name else _split(rest)
    for segment in filter(None, (segment.strip() for segment in re.split(r"[,;]| - ", after))):
        _after_comma(segment, others, notes, claims)
    if not named:
        raise Unclear("no ingredient is named")
    return _reading(named, amounts, others, notes, claims, aside, line)


def _purpose(line: str) -> tuple[str, str]:
    """Find a purpose outside the bowl; an extra amount for one ("plus more for dusting") is taken off the line."""
    for phrase in words().outside_bowl:
        found = re.search(rf"\b{phrase}\b", line.lower())
        if found:
            extra = re.search(rf"(?i)[,(]?\s*(?:\bplus|\+|\band)\b[^,()]*\b{phrase}\b[^,()]*\)?", line)
            if extra and extra.start() > 0:
                return line[: extra.start()] + line[extra.end() :], ""
            return line[: found.start()].strip(" ,("), phrase
    return re.sub(r"(?i),?\s*\(?\bplus (?:more|extra)\b(?: as needed| if needed)?\)?$", "", line), ""


def _refuse_unsaid(line: str) -> None:
    for phrase in words().no_amount:
        if re.search(rf"\b{phrase}\b", line.lower()):
            bare = re.sub(rf"(?i)[,(]?\s*\b{phrase}\b\)?", "", line).strip(" ,")
            raise Unclear(
                f"'{phrase}' is no amount", (bare if re.search(r"\d", bare) else f"2 g {bare}", "leave it out")
            )
    if re.search(r"(?i)\boptional(?:ly)?\b", line):
        bare = re.sub(r"(?i)[,(]?\s*\boptional(?:ly)?\b:?\s*\)?", "", line).strip(" ,")
        raise Unclear("it is called optional: does it go in?", (bare, "leave it out"))


def _brackets(line: str) -> tuple[str, list[str]]:
    """Take what stands in brackets out of a line."""
    groups = re.findall(r"\(([^()]*)\)|\[([^\[\]]*)\]", line)
    outer = re.sub(r"\s*(?:\([^()]*\)|\[[^\[\]]*\])\s*", " ", line)
    if re.search(r"[()\[\]]", outer):
        raise Unclear("a bracket is not closed, or stands inside another")
    outer = re.sub(r"\s+([,;])", r"\1", outer).strip()
    return outer, [(round_ or square).strip() for round_, square in groups if (round_ or square).strip()]


def _amount_first(line: str) -> tuple[str, str]:
    """Turn ``Eggs: 4``, ``Flour - 2 cups, sifted`` and ``Butter 225 g`` round: what follows the name, and the name."""
    start = r"(?:(?:~|about|approx[.]?|approximately|scant|heaped|level|a|an|one|two|three|four|half)\b\s*)?[\d.]?"
    match = re.fullmatch(rf"([^\d:;/]+?)\s*(?::|\s-\s|[.]{{2,}}|=)\s*({start}.*)", line)
    if match is None:
        match = re.fullmatch(r"([^\d:;/+&~][^\d:;/+&]*?),?\s+(\d.*)", line)
    if match is None or not _can_stand_first(match.group(1)):
        return line, ""
    return match.group(2).strip(), match.group(1).strip(" ,")


def _can_stand_first(name: str) -> bool:
    """Whether words before the first number name an ingredient; not the start of an amount, nor ``zest of`` 2."""
    listed = [word.rstrip(".,") for word in name.lower().split()]
    first, last = listed[0], listed[-1]
    starts = first in ABOUT or first in HEAPED or first in SCANT or first in STARTS or find_unit(first) is not None
    return not starts and last not in LINKS


def _part_of(line: str) -> tuple[tuple[Amount, ...], str, int] | None:
    """Read ``zest of 2 lemons``, ``juice of half a lemon``, ``yolks of 3 large eggs``."""
    match = re.fullmatch(
        r"(?i)(?:the\s+)?(?:finely\s+|freshly\s+)?(?:grated\s+|squeezed\s+|pared\s+)?"
        r"(zest|rind|peel|juice|yolks?|whites?|seeds)\s+(?:of|from)\s+(?:the\s+)?(.+)",
        line,
    )
    if match is None:
        if re.match(r"(?i)(?:\w+\s+)?(?:zest|rind|juice) (?:and|&) (?:zest|rind|juice)\b", line):
            raise Unclear("two ingredients stand on one line", ("write zest and juice on two lines",))
        return None
    part = {"rind": "zest", "peel": "zest", "yolk": "yolks", "white": "whites"}.get(
        match.group(1).lower(), match.group(1).lower()
    )
    inner = tokens_of(match.group(2))
    found = read_amount(inner, 0)
    if found is None or found[0].unit is not None:
        return None
    fruit = match.group(2)[inner[found[1]].start :] if found[1] < len(inner) else ""
    fruit = re.sub(r"^(?:of\s+)?(?:unwaxed|organic|ripe|fresh)\s+", "", fruit.split(",")[0].strip())
    return (found[0],), f"{_singular(fruit)} {part}", 0


def _singular(word: str) -> str:
    return re.sub(r"(?<=[^s])s$", "", word)


def _bracketed(
    group: str,
    amounts: tuple[Amount, ...],
    others: list[tuple[Amount, ...]],
    notes: list[str],
    claims: list[str],
) -> None:
    """Sort what stands in one pair of brackets: the same amount in other measures, a note, or a claim to check."""
    if not re.search(r"\d", group) and not re.match(r"(?i)(about|approx\w*[.]?)?\s*(a|an|one|two|three|half)\b", group):
        _after_comma(group, others, notes, claims)
        return
    if re.fullmatch(r"\d+\s*(?:-\s*\d+\s*)?%[\w\s-]*|[\w\s-]*\d+\s*%", group):
        claims.append(group)
        return
    each = bool(re.search(r"(?i)\beach\b", group))
    text = re.sub(
        r"(?i)\beach\b|\bper \w+\b|\bin total\b|\btotal\b|\bweight\b|\bdrained\b|\bor so\b", " ", group
    ).strip(" ,")
    tokens = tokens_of(text)
    at = 0
    found_any = False
    while at < len(tokens):
        if tokens[at].text in (",", ";", "/", "=") or tokens[at].low == "or":
            at += 1
            continue
        found = read_amount(tokens, at)
        if found is None:
            break
        other, at = read_sum(tokens, found)
        if other[0].unit is not None:
            others.append(other)
            found_any = True
        else:
            # "(about 3 medium)": pieces, for the shopper; the amount outside stands.
            while at < len(tokens) and tokens[at].kind == "word":
                at += 1
            notes.append(text)
            found_any = True
    if not found_any:
        _after_comma(group, others, notes, claims)
        return
    if at < len(tokens):
        if re.search(r"\d", text[tokens[at].start :]):
            raise Unclear(f"'({group})' cannot be read as the same amount in other measures")
        _after_comma(text[tokens[at].start :], others, notes, claims)
    packed = bool(amounts) and amounts[0].unit is not None and amounts[0].unit.dimension is Dimension.PACK
    if each and not packed and float(amounts[0].number.value) != 1:
        raise Unclear(f"'({group})' gives the weight of each; write the weight of all", ())


def _sized_pack(amounts: tuple[Amount, ...], others: list[tuple[Amount, ...]]) -> tuple[Amount, ...]:
    """Put the size from the brackets in place of a package: ``2 (8-oz) packages`` are 16 ounces."""
    if not amounts or amounts[0].unit is None or amounts[0].unit.dimension is not Dimension.PACK:
        return amounts
    sizes = [
        other for other in others if other[0].unit and other[0].unit.dimension in (Dimension.MASS, Dimension.VOLUME)
    ]
    if not sizes or len(amounts) > 1:
        return amounts
    times = float(amounts[0].number.value)
    scaled = [tuple(replace(amount, times=times) for amount in other) for other in sizes]
    others[:] = scaled[1:]
    return scaled[0]


def _tail(amounts: tuple[Amount, ...], rest: str, line: str) -> tuple[tuple[Amount, ...], str]:
    """Read what is added or taken away after the name: ``cake flour, plus 2 tbsp``; a second ingredient is refused."""
    tokens = tokens_of(rest)
    for at, token in enumerate(tokens):
        if token.low not in PLUS and token.low not in LESS:
            continue
        if at + 1 < len(tokens) and tokens[at + 1].low in ("a", "an", "half") and token.low == "and":
            continue
        found = read_amount(tokens, at + 1)
        if found is None:
            continue
        name = rest[: token.start].strip(" ,")
        more, end = read_sum(tokens, found)
        left = rest[tokens[end].start :].strip(" ,") if end < len(tokens) else ""
        left = re.sub(r"^of\s+", "", left)
        if more[0].unit is None or (left and left.lower() != name.lower()):
            split = re.split(rf"(?i),?\s*{re.escape(token.text)}\s+(?=\S*\s*\d|a\b|one\b)", line, maxsplit=1)
            raise Unclear("two ingredients stand on one line", tuple(part.strip() for part in split if part.strip()))
        signed = tuple(replace(amount, sign=-1 if token.low in LESS else 1) for amount in more)
        return amounts + signed, name
    return amounts, rest


def _split(rest: str) -> tuple[str, str]:
    """Part the name from what follows the first comma."""
    match = re.search(r"[,;]| - ", rest)
    if match is None:
        return rest.strip(), ""
    return rest[: match.start()].strip(), rest[match.end() :].strip(" ,;")


def _after_comma(segment: str, others: list[tuple[Amount, ...]], notes: list[str], claims: list[str]) -> None:
    """Sort one phrase after a comma: an amount, a preparation, or a claim to check."""
    bare = re.sub(r"(?i)\b\d+(?:[./-]\d+)*\s*-?\s*(?:cm|mm|in|inch|inches)\b|\b\d+\s*°?\s*[CF]\b", "", segment).strip()
    if re.search(r"\d", bare):
        tokens = tokens_of(bare)
        found = read_amount(tokens, 0)
        if found is not None and found[0].unit is not None:
            other, end = read_sum(tokens, found)
            if end == len(tokens):
                others.append(other)
                return
        if not re.fullmatch(r"[\w\s-]*\d+\s*%[\w\s-]*", bare):
            raise Unclear(f"'{segment}' holds a number that belongs to nothing")
    if re.search(r"(?i)\bor\b", bare):
        raise Unclear(f"'{segment}' leaves a choice open")
    unknown = [word for word in re.findall(r"[^\W\d_]+(?:[-'][^\W\d_]+)*", bare.lower()) if word not in words().after]
    (claims if unknown or "%" in bare else notes).append(segment)


def _part_after(named: str, amounts: tuple[Amount, ...], notes: list[str], claims: list[str]) -> str:
    """Read ``1 lemon, zested`` and ``2 oranges, juice only`` as zest and juice; both at once are two ingredients."""
    if not amounts or amounts[0].unit is not None:
        return named
    beside = " ".join((*notes, *claims)).lower()
    parts = [part for part in ("zest", "juice") if re.search(rf"\b{part}d?(?:ed)?\b", beside)]
    if "zest" in named.lower() or "juice" in named.lower() or not parts:
        return named
    if len(parts) > 1:
        shown = f"{amounts[0].show()} {named}"
        raise Unclear("two ingredients stand on one line", tuple(f"{part} of {shown}" for part in parts))
    claims[:] = [claim for claim in claims if parts[0] not in claim.lower()]
    return f"{_singular(named)} {parts[0]}"


def _reading(
    named: str,
    amounts: tuple[Amount, ...],
    others: list[tuple[Amount, ...]],
    notes: list[str],
    claims: list[str],
    aside: str,
    line: str,
) -> Reading:
    """Take ways of measuring and sizes out of the name and put the reading together."""
    choice = re.search(r"(?i)\s+(?:or|and/or)\s+", named)
    if choice:
        one, two = named[: choice.start()], named[choice.end() :]
        start = line[: line.find(named)] if named in line else ""
        raise Unclear("it leaves a choice open", (f"{start}{one}".strip(), f"{start}{two}".strip()))
    way = ""
    for phrase, meaning in words().ways:
        if re.search(rf"\b{phrase}\b", named.lower()):
            named = re.sub(rf"(?i)\b{phrase}\b", " ", named)
            way = meaning
            break
        beside = " ".join(notes).lower()
        # "flour, sifted" is sifted after it was measured; "sugar, packed" was packed as it was measured.
        if meaning != "sifted" and re.search(rf"\b{phrase}\b", beside):
            way = meaning
            break
    named = re.sub(r"\s+", " ", named).strip(" ,-")
    size = ""
    for word, meaning in SIZES.items():
        if re.search(rf"(?i)\b{word}\b", named):
            size = meaning
            named = re.sub(rf"(?i)\b{word}\b", " ", named)
            named = re.sub(r"\s+", " ", named).strip(" ,-")
            break
        if any(note.lower() in (word, f"size {word}") for note in (*notes, *claims)):
            size = meaning
            claims[:] = [claim for claim in claims if claim.lower() != word]
            break
    if re.search(r"\d(?!\d*\s*%)", named):
        raise Unclear(f"'{named}' holds a number that belongs to nothing")
    if not named:
        raise Unclear("no ingredient is named")
    named = _part_after(named, amounts, notes, claims)
    return Reading(
        amounts=amounts,
        others=tuple(others),
        name=named,
        way=way,
        size=size,
        note=", ".join(notes),
        claims=tuple(claims),
        aside=aside,
    )
