"""The words of a label in French, for a country that asks for both languages."""

from __future__ import annotations

import re
from functools import cache, lru_cache

from tierwright.label.rules import rows
from tierwright.larder import Allergen


@cache
def _texts() -> dict[str, str]:
    return {row["ingredient"]: row["text"] for row in rows("french.csv")}


@cache
def _words() -> dict[str, str]:
    return {row["key"]: row["french"] for row in rows("french_words.csv")}


@cache
def _allergens() -> dict[Allergen, dict[str, str]]:
    return {Allergen(row["allergen"]): row for row in rows("french_allergens.csv")}


def french_name(key: str) -> str:
    """Return what a French ingredient list calls an ingredient of the larder when no packet was read."""
    return _texts()[key]


def french_word(key: str, otherwise: str = "") -> str:
    """Return a word of the label in French, or another where the table does not hold it."""
    return _words().get(key, otherwise)


def french_allergen(allergen: Allergen) -> str:
    """Return the name of an allergen within a French list."""
    return _allergens()[allergen]["word"]


def french_statement(allergen: Allergen) -> str:
    """Return the name of an allergen in a French statement."""
    return _allergens()[allergen]["statement"]


@lru_cache(maxsize=64)
def _finder(allergen: Allergen) -> re.Pattern[str]:
    names = sorted(_allergens()[allergen]["words"].split(";"), key=len, reverse=True)
    return re.compile(rf"(?<![\w-])(?:{'|'.join(re.escape(name) for name in names)})(?![\w-])", re.IGNORECASE)


def names_french(text: str, allergen: Allergen) -> bool:
    """Whether a French list entry names an allergen."""
    return _finder(allergen).search(text) is not None


def french_packet(key: str, declaration: str) -> str:
    """Return a packet's own French list under the French name of its ingredient."""
    words = re.sub(r"^ingrédients?\s*:\s*", "", " ".join(declaration.split()), flags=re.IGNORECASE).rstrip(". ")
    name, _, _ = french_name(key).partition(" (")
    return words if "," not in words or words.casefold().startswith(name.casefold()) else f"{name} ({words})"
