"""From the words on a recipe line to an ingredient, or to the choices; never a silent guess."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from functools import cache, lru_cache
from types import MappingProxyType

from tierwright.larder.model import Ingredient
from tierwright.larder.shelves import ingredients
from tierwright.larder.tables import rows, split

# Words that say in what state, size or mood an ingredient comes, and never which ingredient it is.
STATES = frozenset(
    {
        "a", "additional", "approximately", "at", "barely", "beaten", "best", "boiled", "boiling", "broken",
        "bruised", "canned", "chilled", "chopped", "chunk", "chunks", "coarsely", "cold", "cool", "cooled",
        "crumbled", "crushed", "cubed", "deseeded", "diced", "divided", "drained", "each", "extra", "fairly",
        "fine", "finely", "firmly", "flaked", "fresh", "freshly", "frozen", "gently", "good", "grated",
        "ground", "halved", "heaped", "heaping", "homemade", "hot", "hulled", "juicy", "just", "large", "level",
        "lightly", "little", "loosely", "lukewarm", "mashed", "medium", "melted", "more", "nice", "optional",
        "organic", "packed", "peeled", "pitted", "pure", "quality", "quartered", "range", "really", "rinsed",
        "ripe", "roasted", "room", "roughly", "rounded", "scant", "separated", "shelled", "shredded", "sieved",
        "sifted", "sized", "skinless", "sliced", "slightly", "slivered", "small", "soft", "softened", "spooned",
        "stirred", "stoned", "strained", "temperature", "thawed", "thick", "thickly", "thin", "thinly",
        "tightly", "toasted", "uncooked", "unpacked", "unsalted", "unsprayed", "unsulphured", "untreated",
        "unwaxed", "very", "warm", "warmed", "washed", "well", "whisked", "your", "zested",
    }
)  # fmt: skip

# Words that change what an ingredient is: one that a name does not account for leaves the line unsettled.
CHANGING = frozenset(
    {
        "or", "vegan", "free", "plant", "vegetarian", "nondairy", "alternative", "substitute", "replacement",
        "imitation", "eggless", "lactose", "reduced", "low", "light", "diet", "sweetened", "salted", "smoked", "mix",
    }
)  # fmt: skip

# Cocoa solids up to which a dark chocolate counts as one of the larder's. [%]
DARK_CHOCOLATES = ((59, "dark_chocolate_50"), (69, "dark_chocolate_60"), (99, "dark_chocolate_70"))
LEAST_DARK = 40
MILK_CHOCOLATES = ((35, "milk_chocolate"), (50, "milk_chocolate_40"))
LEAST_MILK = 20

IRREGULAR = {
    "leaves": "leaf",
    "halves": "half",
    "cookies": "cookie",
    "brownies": "brownie",
    "molasses": "molasses",
    "yoghurt": "yogurt",
    "yoghurts": "yogurt",
    "colour": "color",
    "colours": "color",
    "colouring": "coloring",
    "flavour": "flavor",
    "flavouring": "flavoring",
    "flavoured": "flavored",
    "pasteurised": "pasteurized",
    "alkalised": "alkalized",
    "sulphured": "sulfured",
    "doz": "dozen",
    "swiss": "swiss",
    "couscous": "couscous",
}


class How(StrEnum):
    """How far the words of a line settled the ingredient."""

    EXACT = "exact"  # a name or alias, as it stands
    TRIMMED = "trimmed"  # a name or alias once words of state (soft, chopped, large) are left out
    AMBIGUOUS = "ambiguous"  # words that mean several ingredients
    NEAR = "near"  # no name; the nearest are offered
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """
    What the larder makes of a few words.

    Attributes
    ----------
    text
        The words as given.
    how
        How far they settled it.
    ingredient
        The ingredient, only if they settled it.
    candidates
        The choices otherwise, the likeliest first.
    dropped
        Words of state that were left out on the way, such as ``soft``.
    reason
        Why it is not settled, in one sentence; empty if it is.
    """

    text: str
    how: How
    ingredient: Ingredient | None
    candidates: tuple[Ingredient, ...] = ()
    dropped: tuple[str, ...] = ()
    reason: str = ""


@lru_cache(maxsize=4096)
def normalise(text: str) -> str:
    """Return words in one form: no accents, case, hyphens or plurals; British and American spelling made one."""
    plain = unicodedata.normalize("NFKD", text.casefold().replace("æ", "ae").replace("œ", "oe"))
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    plain = re.sub(r"['’`´]", "", plain)
    plain = re.sub(r"free[- ]range", " ", plain)
    plain = re.sub(r"(?<=\d)\s*(%|percent|per cent)", "%", plain)
    words = re.findall(r"[a-z0-9][a-z0-9.]*%?", plain)
    return " ".join(_singular(word.rstrip(".")) for word in words)


def _singular(word: str) -> str:
    if word in IRREGULAR:
        return IRREGULAR[word]
    if len(word) <= 3 or word.endswith(("ss", "us", "is")) or not word.endswith("s"):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("oes", "ches", "shes", "xes", "sses")):
        return word[:-2]
    return word[:-1]


@cache
def names() -> Mapping[str, Ingredient]:
    """
    Return every name and alias, normalised, with its ingredient.

    Raises
    ------
    ValueError
        Two ingredients claim one name; the tests walk every row.
    """
    found: dict[str, Ingredient] = {}
    for item in ingredients().values():
        for name in (item.key.replace("_", " "), item.name_us, item.name_uk, *item.aliases):
            plain = normalise(name)
            if found.setdefault(plain, item) is not item:
                raise ValueError(f"{name!r} names both {found[plain].key} and {item.key}")
    return MappingProxyType(found)


@cache
def ambiguous() -> Mapping[str, tuple[tuple[str, ...], str]]:
    """Return the words that mean several ingredients: their keys, the likeliest first, and what to ask."""
    table = {normalise(row["words"]): (split(row["candidates"]), row["ask"]) for row in rows("ambiguous.csv")}
    return MappingProxyType(table)


@lru_cache(maxsize=2048)
def find(text: str) -> Match:
    """
    Return what the larder makes of the words of a recipe line.

    Parameters
    ----------
    text
        The ingredient's words, without amount and unit, such as ``soft unsalted butter``.

    Returns
    -------
    match
        The ingredient if the words name one, as they stand or without words of state (soft, chopped, large); else
        the choices. Words that mean several ingredients (flour, sugar, cream) give choices, and so do a name that is
        only near and a line with words that change what the name means (vegan, or): nothing is ever guessed.
    """
    # What stands in brackets or after a comma describes more often than it names; first the whole, then without it.
    bare = re.sub(r"\([^)]*\)", " ", text)
    for wording in dict.fromkeys((text, bare, bare.split(",")[0])):
        match = _chocolate(text, wording) or _exact(text, wording)
        if match is None:
            continue
        unsaid = [
            word for word in normalise(text).split() if word in CHANGING and word not in normalise(wording).split()
        ]
        if not unsaid:
            return match
        offered = (match.ingredient,) if match.ingredient else match.candidates
        near = _near(text, normalise(text)).candidates
        return Match(
            text=text,
            how=How.AMBIGUOUS,
            ingredient=None,
            candidates=tuple(dict.fromkeys((*near, *offered))),
            reason=f"the line also says {' and '.join(repr(word) for word in unsaid)}, which changes what it is",
        )
    return _near(text, normalise(bare.split(",")[0]))


def _chocolate(text: str, wording: str) -> Match | None:
    """Return the chocolate whose cocoa solids a wording names, such as ``dark chocolate, 64 % cocoa solids``."""
    plain = re.sub(r"% (minimum |min )?(cocoa|cacao)( solid)?", "%", normalise(wording))
    words = {word for word in plain.split() if word not in STATES}
    shares = [word for word in words if re.fullmatch(r"\d{2}%", word)]
    if len(shares) != 1:
        return None
    share, kind = int(shares[0][:-1]), words - set(shares)
    bands: tuple[tuple[int, str], ...] = ()
    if kind in ({"dark", "chocolate"}, {"plain", "chocolate"}, {"bittersweet", "chocolate"}) and share >= LEAST_DARK:
        bands = DARK_CHOCOLATES
    elif kind == {"milk", "chocolate"} and share >= LEAST_MILK:
        bands = MILK_CHOCOLATES
    for highest, key in bands:
        if share <= highest:
            return Match(text=text, how=How.EXACT, ingredient=ingredients()[key])
    return None


def _exact(text: str, wording: str) -> Match | None:
    plain = normalise(wording)
    words = plain.split()
    kept = [word for word in words if word not in STATES]
    # Left to right the whole, then every way to leave out states at the edges, then all of them: "ground almonds" and
    # "dried apricots" are names, though "ground" and "dry" are states.
    trials = [words]
    for start in range(len(words)):
        if any(word not in STATES for word in words[:start]):
            break
        for end in range(len(words), start, -1):
            if any(word not in STATES for word in words[end:]):
                break
            trials.append(words[start:end])
    trials.append(kept)
    for trial in trials:
        name = " ".join(trial)
        dropped = tuple(word for word in words if word not in trial)
        # Words that mean several things come first: a name of one of them does not settle it.
        if name in ambiguous():
            keys, ask = ambiguous()[name]
            candidates = tuple(ingredients()[key] for key in keys)
            return Match(
                text=text, how=How.AMBIGUOUS, ingredient=None, candidates=candidates, dropped=dropped, reason=ask
            )
        if name in names():
            how = How.EXACT if name == plain else How.TRIMMED
            return Match(text=text, how=how, ingredient=names()[name], dropped=dropped)
    return None


@lru_cache(maxsize=512)
def _near(text: str, plain: str) -> Match:
    # A name that is not in the larder is asked for again with every change of a commission.
    words = [word for word in plain.split() if word not in STATES]
    scored: dict[str, float] = {}
    asked = set(words)
    if asked:
        for name, item in names().items():
            shared = asked & set(name.split())
            if shared:
                score = len(shared) / len(asked | set(name.split()))
                scored[item.key] = max(score, scored.get(item.key, 0.0))
    ranked = sorted(scored, key=lambda key: -scored[key])[:6]
    for name in get_close_matches(" ".join(words), tuple(names()), n=3, cutoff=0.8):
        key = names()[name].key
        ranked = [key, *(other for other in ranked if other != key)]
    if not ranked:
        return Match(text=text, how=How.NONE, ingredient=None, reason="no ingredient of the larder has a name like it")
    return Match(
        text=text,
        how=How.NEAR,
        ingredient=None,
        candidates=tuple(ingredients()[key] for key in ranked[:6]),
        reason="no ingredient has this name; these are the nearest",
    )
