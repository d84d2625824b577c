"""From the name on a line to one ingredient of the larder, or to the choices."""

from __future__ import annotations

import re

from tierwright import larder
from tierwright.formula.grammar import Reading, words
from tierwright.formula.numerals import Unclear
from tierwright.larder import Group, How, Ingredient

MOST_WORDS = 12
STRENGTH = re.compile(r"[\w\s-]*\d+(?:\s*-\s*\d+)?\s*%[\w\s-]*")


def identify(reading: Reading) -> Ingredient:
    """
    Find the ingredient that a reading names.

    A word after a comma or in brackets that makes a name of another food with it ("cherries, dried", "dark chocolate
    (70%)") is put before the name first; words that only describe are then taken away, and no others.

    Raises
    ------
    Unclear
        Nothing, or more than one thing, goes by that name.
    """
    name = reading.name.lower()
    if len(name.split()) > MOST_WORDS:
        raise Unclear("too many words for one ingredient")
    nearest: tuple[Ingredient, ...] = ()
    why = ""
    single = [note.strip().lower() for note in reading.note.split(",") if note.strip() and " " not in note.strip()]
    for added in (*(claim.lower() for claim in reading.claims), *single):
        match = larder.find(f"{added} {name}")
        if match.ingredient is not None and match.how is How.EXACT:
            _check_claims(reading, match.ingredient, used=added)
            return match.ingredient
    for candidate in (name, *_barer(name)):
        match = larder.find(candidate)
        if match.ingredient is not None:
            dropped = [word for word in re.findall(r"[^\W\d_]+", name) if word not in candidate]
            if _may_drop((*match.dropped, *dropped), match.ingredient):
                _check_claims(reading, match.ingredient, used="")
                return match.ingredient
            nearest = nearest or (match.ingredient,)
        elif match.how is How.AMBIGUOUS and not why:
            nearest, why = match.candidates, match.reason
        nearest = nearest or match.candidates
    choices = tuple(renamed(reading, ingredient.name_us) for ingredient in nearest[:5])
    raise Unclear(why or f"no ingredient is called '{reading.name}'", choices)


def renamed(reading: Reading, name: str) -> str:
    """Return the line that the reading would be with another name."""
    amounts = ""
    for amount in reading.amounts:
        amounts += ("" if not amounts else " less " if amount.sign < 0 else " plus ") + amount.show()
    size = f"{reading.size} " if reading.size else ""
    way = f"{reading.way} " if reading.way else ""
    return re.sub(r"\s+", " ", f"{amounts} {size}{way}{name}").strip()


def _barer(name: str) -> list[str]:
    """Return the name with describing words off its front, fewest off first, then off everywhere."""
    lists = words()
    known = lists.before | lists.before_if_liquid | lists.before_if_no_spice
    parts = name.split()
    tries: list[str] = []
    start = 0
    while start < len(parts) - 1 and parts[start].rstrip(",") in known:
        start += 1
        tries.append(" ".join(parts[start:]))
    inner = [part for part in parts if part not in known]
    if inner and len(inner) < len(parts):
        tries.append(" ".join(inner))
    return tries


def _may_drop(dropped: tuple[str, ...], found: Ingredient) -> bool:
    """Whether these words may stand before the name of this food without making it another."""
    lists = words()
    pours = found.liquid or found.group in (Group.BUTTER, Group.FAT, Group.EGG, Group.DAIRY)
    spice = found.group in (Group.SPICE, Group.LEAVENER, Group.DRIED_FRUIT, Group.PRESERVE)
    ways = {word for measure in found.measures for word in measure.way.replace("_", " ").split()}
    described = {part for word in lists.before for part in word.split("-")}
    for word in dropped:
        if word in described or word in ways:
            continue
        if word in lists.before_if_no_spice and not spice:
            continue
        if word in lists.before_if_liquid and pours:
            continue
        return False
    return True


def _check_claims(reading: Reading, found: Ingredient, *, used: str) -> None:
    """Refuse what brackets or a comma add to a name unless it says the same thing, or a strength."""
    ways = {word for measure in found.measures for word in measure.way.replace("_", " ").split()}
    for claim in reading.claims:
        if used == claim.lower() or claim.lower() in ways or STRENGTH.fullmatch(claim):
            continue
        match = larder.find(claim)
        if match.ingredient is not None and match.ingredient.key == found.key:
            continue
        raise Unclear(f"'{claim}' may change what '{reading.name}' is", (renamed(reading, found.name_us),))
