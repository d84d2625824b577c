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
        What is left and by whom, split by who takes it; what nobody takes stays with an empty ``used_by``. Whole grams
        are conserved: taken and left over add up to what was left.
    """
    left = [one for formula, batch in made for one in left_over(formula, batch)]
    wants: dict[tuple[str, str], float] = {}
    for formula, batch in made:
        own = {one.ingredient for one in left_over(formula, batch)}
        for mix in batch.mixes:
            for part in mix.parts:
                if part.ingredient in OTHER_HALF and part.ingredient not in own:
                    key = (formula.text.key, part.ingredient)
                    wants[key] = wants.get(key, 0.0) + part.grams
    result: list[ByProduct] = []
    for one in left:
        rest_g = one.grams
        for (formula_key, wanted), want_g in list(wants.items()):
            if wanted != one.ingredient or formula_key == one.formula or rest_g <= 0 or want_g <= 0:
                continue
            taken_g = min(rest_g, want_g)
            wants[formula_key, wanted] = want_g - taken_g
            rest_g -= taken_g
            result.append(_share(one, taken_g, used_by=formula_key))
        if rest_g > 1e-9:
            result.append(_share(one, rest_g, used_by=""))
    return tuple(result)


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
