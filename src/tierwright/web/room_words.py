"""
What the rooms say, in the language of the page.

The rooms make whole English sentences with the figures in them, and a dossier keeps those. Here a sentence is
recognised by the words that stand round its figures, and said again in the other language: all of it, or not at all.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from html import unescape
from pathlib import Path
from typing import Final

from babel.messages.mofile import read_mo
from django.utils.html import escape, format_html
from django.utils.safestring import SafeString
from django.utils.translation import get_language

from tierwright.web.room_dates import dates_in

CATALOGUES: Final = Path(__file__).parent / "locale"
PLACE: Final = re.compile(r"\{(\d+)\}")
END: Final = re.compile(r"(?<=[.?!;:])\s+|(?<=,) (?=and |or )")
WORD: Final = re.compile(r"[^\W\d_]{3,}")
UNITED: Final = re.compile(r"(\{\d+\}) (?:C|mm|cm|g|kg)\b")
QUANTITY: Final = re.compile(r"(?<![\w{.])\d+(?:\.\d+)? (?:C|mm|cm|g|kg)\b")
"""Measures in a sentence: the pages write them in the maker's own units before they are read here."""
JOINING: Final = frozenset(
    ["a", "an", "and", "at", "by", "for", "from", "in", "of", "on", "or", "per", "the", "to", "with"]
)
"""Words by which alone no sentence is recognised: a name of the maker's own may have them."""
SHORT: Final = 10
"""Letters up to which a phrase is short. [-]"""
NAME: Final = 7
"""Most words before a colon that may be a name of the maker's own. [-]"""
RUN_TOGETHER: Final = {"es": (re.compile(r"\b([Dd]e|[Aa]) el\b"), {"de": "del", "De": "Del", "a": "al", "A": "Al"})}
"""Words that a language writes as one where a value brings the second."""
JOINED: Final = {"es": {", ": ", ", " and ": " y ", " or ": " o "}}
LONGEST: Final = 2000
"""Longer texts stay as they are. [characters]"""
DEEPEST: Final = 3
"""How far values inside values are looked into."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sentence:
    """One sentence of the rooms: how it is recognised, and its words in the other language."""

    shape: re.Pattern[str]
    order: tuple[str, ...]
    mark: str
    weight: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Catalogue:
    """Sentences without a place for values by their words, the others by their first word, or under an empty one."""

    plain: dict[str, str]
    shaped: dict[str, tuple[_Sentence, ...]]


def _plain(words: str) -> str:
    return words.replace("{{", "{").replace("}}", "}")


def _loosened(words: str, translated: str) -> tuple[str, str]:
    """Return a sentence and its words with every measure made a place for a value, where both have it."""
    for pattern in (UNITED, QUANTITY):
        for number, measure in enumerate(dict.fromkeys(found.group() for found in pattern.finditer(words)), start=900):
            if words.count(measure) == 1 and translated.count(measure) == 1:
                place = measure.split(" ")[0] if pattern is UNITED else f"{{{number}}}"
                words, translated = words.replace(measure, place), translated.replace(measure, place)
    return words, translated


def _sentence(words: str, translated: str) -> _Sentence:
    parts = PLACE.split(words)
    literal = [_plain(part) for part in parts[::2]]
    shape = "".join(re.escape(_plain(part)) if number % 2 == 0 else "(.+?)" for number, part in enumerate(parts))
    return _Sentence(
        shape=re.compile(shape, re.DOTALL), order=tuple(parts[1::2]), mark=max(literal, key=len),
        weight=sum(map(len, literal)), words=translated,
    )  # fmt: skip


def _tells(words: str) -> bool:
    """Whether a sentence has a word of its own beside its values."""
    return any(len(word) > 2 and word not in JOINING for word in re.findall(r"[a-z]+", PLACE.sub(" ", words).lower()))


def _first_word(literal: str) -> str:
    word = re.match(r"\w+(?=\W)", literal)
    return word.group() if word else ""


@lru_cache(maxsize=4)
def _catalogue(language: str) -> _Catalogue | None:
    path = CATALOGUES / language / "LC_MESSAGES" / "rooms.mo"
    if not path.is_file():
        return None
    with path.open("rb") as file:
        entries = [(str(entry.id), str(entry.string)) for entry in read_mo(file) if entry.id and entry.string]
    shaped: dict[str, list[_Sentence]] = {}
    plain = {}
    for words, translated in entries:
        if not PLACE.search(words):
            plain[_plain(words)] = _plain(translated)
        loose, said = _loosened(words, translated)
        if PLACE.search(loose) and _tells(loose):
            shaped.setdefault(_first_word(_plain(PLACE.split(loose)[0])), []).append(_sentence(loose, said))
    by_weight = {word: tuple(sorted(some, key=lambda one: -one.weight)) for word, some in shaped.items()}
    return _Catalogue(plain=plain, shaped=by_weight)


@lru_cache(maxsize=8192)
def in_language(text: str, language: str, depth: int = 0) -> str | None:
    """
    Return a sentence of the rooms in another language, or None where it is not known there.

    Parameters
    ----------
    text
        What a room says, in English.
    language
        Language of the page, such as ``es``.
    depth
        How many values deep the sentence was found; values are looked into as well.
    """
    catalogue = _catalogue(language)
    if catalogue is None or not text.strip() or len(text) > LONGEST:
        return None
    return (
        _whole(catalogue, text, language, depth)
        or (_listed(catalogue, text, language) if depth else None)
        or _in_pieces(catalogue, text, language, depth)
        or _before_its_source(text, language, depth)
        or _led(catalogue, text, language, depth)
    )


def _led(catalogue: _Catalogue, text: str, language: str, depth: int) -> str | None:
    """Return a text that begins with words that lead to something, such as ``Supports in`` and the name of a tier."""
    words = text.split(" ")
    for count in range(len(words) - 1, 1, -1):
        if words[count - 1] in JOINING and (lead := catalogue.plain.get(" ".join(words[:count]))) is not None:
            rest = " ".join(words[count:])
            return _run_together(f"{lead} {in_language(rest, language, depth + 1) or rest}", language)
    return None


def _before_its_source(text: str, language: str, depth: int) -> str | None:
    """Return a text with brackets behind it; what stands in them stays, such as a source, where it is not known."""
    found = re.fullmatch(r"(.+?) \(([^()]+)\)", text, re.DOTALL) or re.fullmatch(r"(.+) \((.+)\)", text, re.DOTALL)
    said = in_language(found.group(1), language, depth) if found else None
    if found is None or said is None:
        return None
    return f"{said} ({in_language(found.group(2), language, depth + 1) or found.group(2)})"


def _listed(catalogue: _Catalogue, text: str, language: str) -> str | None:
    """Return a list (a, b and c): with commas what is known of it, without them only where both names are known."""
    parts = re.split(r"(, | and | or )", text)
    if len(parts) < 3 or language not in JOINED:
        return None
    said = [
        catalogue.plain.get(part) if number % 2 == 0 else JOINED[language][part] for number, part in enumerate(parts)
    ]
    if None in said and (", " not in parts or not any(said[::2])):
        return None
    return "".join(one or part for one, part in zip(said, parts, strict=True))


def _whole(catalogue: _Catalogue, text: str, language: str, depth: int) -> str | None:
    found = _as_it_stands(catalogue, text, language, depth)
    if found is None and text[:1].isupper():
        found = _as_it_stands(catalogue, text[0].lower() + text[1:], language, depth)
        found = found and found[:1].upper() + found[1:]
    return found


def _as_it_stands(catalogue: _Catalogue, text: str, language: str, depth: int) -> str | None:
    if (found := catalogue.plain.get(text)) is not None:
        return found
    bare = text.rstrip(".")
    if bare != text and (found := catalogue.plain.get(bare)) is not None:
        return found + text[len(bare) :]
    word = _first_word(text)
    for some in (catalogue.shaped.get(word, ()) if word else (), catalogue.shaped.get("", ())):
        for one in some:
            if one.mark in text and (match := one.shape.fullmatch(text)) and _may_be_values(one, match.groups()):
                values = dict(zip(one.order, match.groups(), strict=True))
                return _filled(one.words, values, language, depth)
    return None


def _may_be_values(sentence: _Sentence, values: tuple[str, ...]) -> bool:
    """Whether what stands in the places may be values: no sentences, no half brackets, no lists in a short phrase."""
    return not any(
        ". " in value or value.count("(") != value.count(")") or (sentence.weight < SHORT and ", " in value)
        for value in values
    )


def _filled(words: str, values: dict[str, str], language: str, depth: int) -> str:
    def value(place: re.Match[str]) -> str:
        held = values.get(place.group(1), "")
        return (in_language(held, language, depth + 1) if depth < DEEPEST else None) or dates_in(held, language)

    return _run_together(_plain(PLACE.sub(value, words)), language)


def _run_together(said: str, language: str) -> str:
    if (rule := RUN_TOGETHER.get(language)) is None:
        return said
    pair, one = rule
    return pair.sub(lambda found: one[found.group(1)], said)


def _in_pieces(catalogue: _Catalogue, text: str, language: str, depth: int) -> str | None:
    """Return a text of several sentences, each known by itself or with those after it; None if one is not."""
    cuts = [0, *(gap.end() for gap in END.finditer(text)), len(text)]
    if len(cuts) < 3 or len(cuts) > 14:
        return None
    said: list[str] = []
    start = 0
    while start < len(cuts) - 1:
        for end in range(len(cuts) - 1, start, -1):
            piece = text[cuts[start] : cuts[end]]
            bare = piece.rstrip()
            tail = piece[len(bare) :]
            found = _whole(catalogue, bare, language, depth)
            if found is None and bare[-1:] in ",;:.":
                inner = _whole(catalogue, bare[:-1], language, depth)
                found = None if inner is None else inner + bare[-1]
            if found is not None:
                said.append(found + tail)
                start = end
                break
        else:
            piece = text[cuts[start] : cuts[start + 1]]
            if not piece.rstrip().endswith(":") or len(piece.split()) > NAME:
                return None
            said.append(piece)
            start += 1
    whole = "".join(said)
    return whole if whole != text else None


def told(text: object) -> SafeString | str:
    """
    Return what a room says in the page's language; where there is only English for it, marked as English.

    References
    ----------
    WCAG 2.2, success criterion 3.1.2, Language of Parts.
    """
    words = str(text)
    language = (get_language() or "en").split("-")[0]
    if language == "en" or not words.strip():
        return words
    found = in_language(words, language)
    if found is None and len(WORD.findall(words)) < 2:
        return words
    return format_html('<span lang="en">{}</span>', words) if found is None else found


TAG: Final = re.compile(r"(<[^>]*>)")
AS_WRITTEN: Final = frozenset({"script", "style", "svg", "textarea", "option"})
"""Elements whose words are left alone, as are those whose language is marked."""
NO_END: Final = frozenset({"br", "hr", "img", "input", "link", "meta", "wbr", "path", "circle", "line", "rect"})


def told_in(markup: str) -> str:
    """
    Return markup with what the rooms say in it put into the page's language; words of the maker's own stay.

    Parameters
    ----------
    markup
        A sheet of work, rendered and escaped.
    """
    language = (get_language() or "en").split("-")[0]
    if _catalogue(language) is None:
        return markup
    said: list[str] = []
    left_alone: list[str] = []
    for part in TAG.split(markup):
        if part.startswith("<"):
            _step(part, left_alone)
            said.append(part)
        else:
            said.append(part if left_alone or not WORD.search(part) else _node(part, language))
    return "".join(said)


def _step(tag: str, left_alone: list[str]) -> None:
    """Go into or out of an element whose words are left alone."""
    name = (re.match(r"</?(\w+)", tag) or [""] * 2)[1].lower()
    if tag.startswith("</"):
        if left_alone and left_alone[-1] == name:
            left_alone.pop()
    elif name not in NO_END and not tag.endswith("/>") and (left_alone or name in AS_WRITTEN or " lang=" in tag):
        left_alone.append(name)


def _node(text: str, language: str) -> str:
    start, words, end = re.fullmatch(r"(\W*)(.*?)(\s*)", unescape(text), re.DOTALL).groups()  # type: ignore[union-attr]
    found = in_language(" ".join(words.split()), language)
    return text if found is None else escape(start) + escape(found) + end
