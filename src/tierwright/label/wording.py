"""The words of an ingredient list: brackets, spelling, stress."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from tierwright.brief.commission import Jurisdiction
from tierwright.label.french import french_allergen, names_french
from tierwright.label.model import Run
from tierwright.label.rules import Marked, allergen_list, allergen_words, declared_text, marked_ingredients
from tierwright.larder import Allergen, ingredient
from tierwright.units import English

STRESSED: Final = frozenset({Jurisdiction.EU, Jurisdiction.UK, Jurisdiction.AUSTRALIA_NEW_ZEALAND})
"""Places whose lists stress allergens by their type."""
_OPENING, _CLOSING = "([", ")]"
_ADDITIVE: Final = re.compile(r"\bE(\d{3,4}[a-z]?)\b")
_SPELLINGS: Final = (
    ("color", "colour"), ("flavor", "flavour"), ("sulfite", "sulphite"), ("sulfate", "sulphate"),
)  # fmt: skip
"""American spellings and what Canada writes."""


def split_list(text: str, separators: str = ",;") -> list[str]:
    """
    Split an ingredient list at its own commas, not at those in brackets.

    Examples
    --------
    >>> split_list("dark chocolate (cocoa mass, sugar), salt")
    ['dark chocolate (cocoa mass, sugar)', 'salt']
    """
    parts: list[str] = []
    depth, start = 0, 0
    for place, sign in enumerate(text):
        if sign in _OPENING:
            depth += 1
        elif sign in _CLOSING:
            depth = max(depth - 1, 0)
        elif sign in separators and depth == 0:
            parts.append(text[start:place])
            start = place + 1
    parts.append(text[start:])
    return [part.strip() for part in parts if part.strip()]


def has_brackets(text: str) -> bool:
    """Whether a list entry carries its own list in brackets."""
    return "(" in text


def without_brackets(text: str) -> str:
    """Return a list entry without the list in its brackets."""
    head, _, _ = text.partition("(")
    return head.strip()


@lru_cache(maxsize=4096)
def listed_name(key: str, place: Jurisdiction, english: English) -> str:
    """
    Return what an ingredient list calls an ingredient when no packet was read.

    An ingredient whose table holds a bare list of parts is put under its own name, with the parts in brackets.
    """
    known = ingredient(key)
    text = declared_text(place, key)
    if not text:
        american = place in (Jurisdiction.US, Jurisdiction.CANADA)
        text = known.label_us if american else known.label_eu
    if len(split_list(text)) > 1:
        text = f"{known.name_uk if english is English.UK else known.name_us} ({text})"
    return spelt(text, place)


def packet_name(key: str, product: str, declaration: str, place: Jurisdiction, english: English) -> str:
    """Return what an ingredient list calls an ingredient whose packet was read: its name, and its own list."""
    known = ingredient(key)
    name = product or (known.name_uk if english is English.UK else known.name_us)
    words = " ".join(declaration.split()).rstrip(".").strip()
    if not words:
        return spelt(product, place) if product else listed_name(key, place, english)
    head = re.compile(r"^ingredients?\s*:\s*", re.IGNORECASE)
    words = head.sub("", words)
    if words.casefold() == name.casefold() or (len(split_list(words)) == 1 and not product):
        return spelt(words, place)
    return spelt(f"{name} ({words})", place)


def spelt(text: str, place: Jurisdiction) -> str:
    """Return list words as a place writes them: Canada's spelling, additive numbers without their E down under."""
    if place is Jurisdiction.CANADA:
        for ours, theirs in _SPELLINGS:
            text = re.sub(rf"\b{ours}", theirs, text)
    if place is Jurisdiction.AUSTRALIA_NEW_ZEALAND:
        text = _ADDITIVE.sub(r"\1", text)
    return text


@lru_cache(maxsize=512)
def _finder(allergen: Allergen) -> re.Pattern[str]:
    words = "|".join(re.escape(word) for word in allergen_words()[allergen])
    return re.compile(rf"(?<![\w-])(?:{words})(?![\w-])", re.IGNORECASE)


def names_allergen(text: str, allergen: Allergen) -> bool:
    """Whether a list entry names an allergen by a word that the list of its place would accept."""
    return _finder(allergen).search(text) is not None


@lru_cache(maxsize=2048)
def marked_in(text: str, place: Jurisdiction) -> tuple[tuple[Marked, str], ...]:
    """Return what a list entry holds that its place wants marked or forbids, with the words that told it."""
    found: list[tuple[Marked, str]] = []
    for entry in marked_ingredients(place):
        words = "|".join(re.escape(word) for word in entry.words)
        met = re.findall(rf"(?<![\w-])(?:{words})(?![\w-])", text, re.IGNORECASE)
        if met:
            found.append((entry, ", ".join(dict.fromkeys(met))))
    return tuple(found)


@lru_cache(maxsize=8192)
def stress(
    text: str,
    allergens: tuple[Allergen, ...],
    place: Jurisdiction,
    *,
    in_list: bool = False,
    french: bool = False,
) -> tuple[Run, ...]:
    """
    Return a list entry in runs, its allergens named and, where the place wants it, strong.

    An allergen that the words do not name is added in brackets, so that ``quark`` becomes ``quark (milk)``; where the
    place has a statement for it, only if it is declared in the list (``in_list``) instead.
    """
    listed = allergen_list(place)
    wanted = [allergen for allergen in allergens if allergen in listed]
    if place not in STRESSED:
        named = names_french if french else names_allergen
        unnamed = [a for a in wanted if (in_list or not listed[a].in_statement) and not named(text, a)]
        added = ", ".join(french_allergen(a) if french else listed[a].word for a in unnamed)
        return (Run(text=f"{text} ({added})" if added else text),)
    unnamed_words = list(dict.fromkeys(listed[a].word for a in wanted if not names_allergen(text, a)))
    if unnamed_words:
        # Only the words added here are bracketed on; the entry's own brackets stay as they are.
        text = f"{text} ({', '.join(unnamed_words)})"
    spans = _spans(text, wanted, unnamed_words)
    runs: list[Run] = []
    at = 0
    for begin, end in spans:
        if begin > at:
            runs.append(Run(text=text[at:begin]))
        runs.append(Run(text=text[begin:end], strong=True))
        at = end
    if at < len(text):
        runs.append(Run(text=text[at:]))
    return tuple(runs)


def _spans(text: str, wanted: Iterable[Allergen], added: list[str]) -> list[tuple[int, int]]:
    found = [match.span() for allergen in wanted for match in _finder(allergen).finditer(text)]
    for word in added:
        place = text.rfind(word)
        found.append((place, place + len(word)))
    spans: list[tuple[int, int]] = []
    for begin, end in sorted(found):
        if spans and begin <= spans[-1][1]:
            spans[-1] = (spans[-1][0], max(end, spans[-1][1]))
        else:
            spans.append((begin, end))
    return spans
