"""Whites left by yolks and yolks left by whites, and which other formula of the commission can use them."""

from __future__ import annotations

from typing import Final

from tierwright import larder
from tierwright.formula.model import Batch, ByProduct, Formula
from tierwright.formula.percent import composition_of
from tierwright.larder import ingredient

OTHER_HALF: Final = {"egg_white": "egg_yolk", "egg_yolk": "egg_white"}


def left_over(formula: Formula, batch: Batch) -> tuple[ByProduct, ...]:
    """
    Return the halves of the eggs that a batch separates and does not use itself.

    Parameters
    ----------
    formula
        In grams.
    batch
        What is made of it.

    Returns
    -------
    by_products
        Yolks, where it takes more whites than yolks; whites, where it takes more yolks. [g], [pieces]
    """
    grade = larder.egg_grade(formula.text.egg_size.replace("-", "_"))
    one_g = {"egg_white": grade.white_g.value, "egg_yolk": grade.yolk_g.value}
    used = dict.fromkeys(OTHER_HALF, 0.0)
    for mix in batch.mixes:
        for part in mix.parts:
            if part.ingredient in used:
                used[part.ingredient] += part.grams / one_g[part.ingredient]
    more, less = sorted(used, key=lambda key: -used[key])
    count = used[more] - used[less]
    if composition_of(formula.parts) is None or count < 0.5:
        return ()
    return (
        ByProduct(
            formula=formula.text.key,
            ingredient=less,
            label=ingredient(less).name_us,
            grams=count * one_g[less],
            count=count,
        ),
    )


def matched(made: tuple[tuple[Formula, Batch], ...]) -> tuple[ByProduct, ...]:
    """
    Find a use within the commission for what each formula leaves.

    Parameters
    ----------
    made
        Every formula with its batch.

    Returns
    -------
    by_products
        What is left and by whom, split by who takes it; what nobody takes stays with an empty ``used_by``. A formula
        that takes another's yolks separates no eggs for them, and so leaves fewer whites itself.
    """
    left = [one for formula, batch in made for one in left_over(formula, batch)]
    left.sort(key=lambda one: -one.count)
    rest_g = {one.formula: one.grams for one in left}
    wants = _wants(made, {one.formula: one.ingredient for one in left})
    result: list[ByProduct] = []
    for one in left:
        for taker, want_g in list(wants.get(one.ingredient, {}).items()):
            taken_g = min(rest_g[one.formula], want_g)
            if taker == one.formula or taken_g <= 0:
                continue
            wants[one.ingredient][taker] -= taken_g
            rest_g[one.formula] -= taken_g
            # What the taker need not separate leaves no other half behind either.
            theirs = next((other for other in left if other.formula == taker), None)
            if theirs is not None:
                halves = taken_g / one.grams * one.count
                rest_g[taker] = max(0.0, rest_g[taker] - halves * theirs.grams / theirs.count)
            result.append(_share(one, taken_g, used_by=taker))
    result += [_share(one, rest_g[one.formula], used_by="") for one in left if rest_g[one.formula] > 0.5]
    return tuple(result)


def _wants(made: tuple[tuple[Formula, Batch], ...], leaves: dict[str, str]) -> dict[str, dict[str, float]]:
    """Mass of whites and of yolks that each formula takes, less what it separates for itself. [g]"""
    wants: dict[str, dict[str, float]] = {}
    for formula, batch in made:
        key = formula.text.key
        for mix in batch.mixes:
            for part in mix.parts:
                if part.ingredient in OTHER_HALF and leaves.get(key) != part.ingredient:
                    taken = wants.setdefault(part.ingredient, {})
                    taken[key] = taken.get(key, 0.0) + part.grams
    return wants


def _share(one: ByProduct, grams: float, *, used_by: str) -> ByProduct:
    return ByProduct(
        formula=one.formula,
        ingredient=one.ingredient,
        label=one.label,
        grams=grams,
        count=one.count * grams / one.grams,
        used_by=used_by,
        used_g=grams if used_by else 0.0,
    )
