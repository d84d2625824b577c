"""Every formula as the kitchen makes it: what is in it, and what has to stay out of it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from tierwright.brief import Commission
from tierwright.dossier.brief_stage import allergens_named
from tierwright.formula import FormulaWork
from tierwright.keeping import Make
from tierwright.larder import Allergen, ingredient

VEGAN_FREE: Final = frozenset({Allergen.MILK, Allergen.EGG})
_WITHOUT: Final = re.compile(r"(?P<before>.+?)[ -]free|(?:without|no|free (?:of|from)) (?P<after>.+)")
_BETWEEN: Final = re.compile(r"\s*(?:,|&|\band\b|\bor\b)\s*")


def makes_of(commission: Commission, works: Iterable[FormulaWork]) -> tuple[Make, ...]:
    """
    Return every formula as the kitchen makes it.

    Parameters
    ----------
    commission
        Its guests' allergies, and the wishes of its flavours such as ``vegan`` or ``gluten-free``.
    works
        The formulas, read.
    """
    guests = {one for allergy in commission.allergies for one in allergens_named(allergy.allergen)}
    wished: dict[str, set[Allergen]] = {}
    for flavour in commission.cake.flavours:
        for key in (flavour.cake, flavour.filling, flavour.coat, flavour.soak, flavour.rolled):
            if key is not None:
                wished.setdefault(key, set()).update(left_out(flavour.diet or ""))
    return tuple(_make(work, frozenset(guests | wished.get(work.formula.text.key, set()))) for work in works)


def left_out(diet: str) -> frozenset[Allergen]:
    """
    Return the allergens that a way of eating leaves out, as far as it names them.

    Examples
    --------
    >>> sorted(left_out("Vegan")), sorted(left_out("egg and milk free")), left_out("halal")
    ([<Allergen.EGG: 'egg'>, <Allergen.MILK: 'milk'>], [<Allergen.EGG: 'egg'>, <Allergen.MILK: 'milk'>], frozenset())
    """
    plain = " ".join(diet.casefold().split())
    if plain == "vegan":
        return VEGAN_FREE
    named = _WITHOUT.fullmatch(plain)
    words = _BETWEEN.split(named["before"] or named["after"]) if named else []
    return frozenset(one for word in words for one in allergens_named(word.removesuffix("-free").removesuffix(" free")))


def _make(work: FormulaWork, keep_free_of: frozenset[Allergen]) -> Make:
    known = [ingredient(line.ingredient) for line in work.formula.parts]
    contains = frozenset(one for part in known for one in part.contains)
    return Make(
        key=work.formula.text.key,
        name=work.formula.text.name,
        contains=contains,
        unknown=frozenset(one for part in known for one in part.ask_about) - contains,
        keep_free_of=keep_free_of,
    )
