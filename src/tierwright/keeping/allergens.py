"""Which component may touch which, in what order to work, and what is in every slice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Annotated

from pydantic import PlainSerializer

from tierwright.errors import require_range
from tierwright.larder import Allergen, ingredient

MOST_MAKES = 14

Allergens = Annotated[frozenset[Allergen], PlainSerializer(sorted, return_type=list[Allergen])]
"""Allergens of no order; written in one that every process shares."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """
    One ingredient on its way into a slice.

    Attributes
    ----------
    path
        From the formula down to the sub-ingredient.
    contains
        Allergens that are certainly in it.
    unknown
        Allergens that only its label rules in or out; an ingredient that must be asked about counts too.
    must_ask
        Whether the label of the very packet has to be read.
    """

    path: tuple[str, ...]
    contains: tuple[Allergen, ...]
    unknown: tuple[Allergen, ...]
    must_ask: bool


def trace(formula: str, parts: Sequence[str], *, uk: bool = False) -> tuple[Trace, ...]:
    """
    Trace a formula to every sub-ingredient of the larder.

    Parameters
    ----------
    formula
        Its name.
    parts
        Keys of its ingredients.
    uk
        Call them as they are called in the United Kingdom.

    Returns
    -------
    traces
        One for each ingredient and for each part of a compound one, to the bottom.

    Raises
    ------
    UnknownName
        An ingredient that the larder does not hold.
    """
    found: list[Trace] = []

    def walk(key: str, path: tuple[str, ...], above: frozenset[str], asked: bool) -> None:
        known = ingredient(key)
        here = (*path, known.name_uk if uk else known.name_us)
        # What only may be there is unknown, with all that it would bring.
        found.append(
            Trace(
                path=here,
                contains=() if asked else known.contains,
                unknown=tuple(dict.fromkeys((*known.ask_about, *(known.contains if asked else ())))),
                must_ask=known.ask_supplier or asked,
            )
        )
        for part in known.components:
            if part.key not in above and part.key != key:
                walk(part.key, here, above | {key}, asked or part.ask)

    for key in parts:
        walk(key, (formula,), frozenset(), False)
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Make:
    """
    One component as the kitchen makes it.

    Attributes
    ----------
    key, name
        Which.
    contains, unknown
        Allergens in it, and those that may be in it.
    keep_free_of
        Allergens that must not get into it: because of a guest, or a claim.
    """

    key: str
    name: str
    contains: Allergens
    unknown: Allergens = frozenset()
    keep_free_of: Allergens = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkStep:
    """
    One step of the order of work.

    Attributes
    ----------
    key, name
        What is made; both empty for a clean-down.
    clean_before
        Allergens to be cleaned away before it: surfaces, tools, hands, cloths, mixer; empty where nothing is.
    box_before
        Whether everything made so far is boxed first.
    warns
        Allergens that must be kept out of it and are, or may be, in it itself: no order of work helps.
    """

    key: str
    name: str
    clean_before: tuple[Allergen, ...]
    box_before: bool
    warns: tuple[Allergen, ...]


def may_follow(before: Make, after: Make) -> bool:
    """Return whether a component may be made after another without a clean-down; unknown counts as there."""
    return not ((before.contains | before.unknown) & after.keep_free_of)


def order_of_work(makes: Sequence[Make]) -> tuple[WorkStep, ...]:
    """
    Order of work with the fewest clean-downs; among equals the order given, free-from first.

    Parameters
    ----------
    makes
        At most 14 components.

    Returns
    -------
    steps
        Every component once, with the clean-down that it needs before it.

    Raises
    ------
    OutOfRange
        More components than can be ordered exactly.

    Notes
    -----
    What the kitchen carries is everything used since the last clean-down. Exact by dynamic programming over subsets.
    """
    return _ordered(tuple(makes))


@lru_cache(maxsize=64)
def _ordered(makes: tuple[Make, ...]) -> tuple[WorkStep, ...]:
    """Order components; another size or depth of a cake leaves them as they were."""
    n = len(makes)
    require_range("components in one order of work", float(n), 0.0, float(MOST_MAKES), "")
    carries = [make.contains | make.unknown for make in makes]
    # As bits, and only what something has to be kept free of: nothing else ever asks for a clean-down.
    minded = sorted(frozenset().union(*(make.keep_free_of for make in makes)))
    bits = {allergen: 1 << i for i, allergen in enumerate(minded)}
    carried = [sum(bits.get(one, 0) for one in carry) for carry in carries]
    barred = [sum(bits[one] for one in make.keep_free_of) for make in makes]

    @cache
    def best(done: int, dirty: int) -> tuple[int, tuple[int, ...]]:
        if done == (1 << n) - 1:
            return 0, ()
        options: list[tuple[int, tuple[int, ...]]] = []
        for i in range(n):
            if done >> i & 1:
                continue
            clean = bool(dirty & barred[i])
            left = carried[i] if clean else dirty | carried[i]
            cost, rest = best(done | 1 << i, left)
            options.append((cost + clean, (i, *rest)))
        return min(options)

    order: Sequence[int] = (best(0, 0)[1] if n else ()) if minded else range(n)
    steps: list[WorkStep] = []
    dirty: frozenset[Allergen] = frozenset()
    opened: set[Allergen] = set()
    for i in order:
        make = makes[i]
        wrong = dirty & make.keep_free_of
        fresh = carries[i] - opened
        threatens = any(carries[i] & makes[j].keep_free_of for j in order if j != i)
        steps.append(
            WorkStep(
                key=make.key,
                name=make.name,
                clean_before=tuple(sorted(wrong)),
                box_before=bool(steps) and bool(fresh) and threatens,
                warns=tuple(sorted(make.keep_free_of & carries[i])),
            )
        )
        dirty = carries[i] if wrong else dirty | carries[i]
        opened |= carries[i]
    return tuple(steps)
