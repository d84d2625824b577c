"""How much is a serving, by law and by the knife."""

from __future__ import annotations

from functools import cache
from itertools import count

from tierwright.errors import UnknownName, require_range
from tierwright.label.rules import rows
from tierwright.units import INCH_MM

ML_PER_CUBIC_INCH = INCH_MM**3 / 1000.0
"""Cubic inch in millilitres, exact. [ml]"""


@cache
def reference_amount(key: str) -> float:
    """Return the reference amount of a class of cake: ``heavy``, ``medium`` or ``light``. [g]"""
    table = {row["key"]: float(row["grams"]) for row in rows("racc.csv")}
    if key not in table:
        raise UnknownName("class of cake", key, sorted(table))
    return table[key]


@cache
def _limit(key: str) -> float:
    return next(float(row["value"]) for row in rows("racc_limits.csv") if row["key"] == key)


def cake_class(*, leavened: bool, coated: bool, fruit_share: float, g_per_ml: float | None = None) -> str:
    """
    Return the class of a cake for its reference amount: ``heavy``, ``medium`` or ``light``.

    Parameters
    ----------
    leavened
        Whether a chemical leavener raises it.
    coated
        Whether it has icing or filling.
    fruit_share
        Fruit, nuts and vegetables over the finished mass. [-], 0 to 1
    g_per_ml
        Density of the crumb, where it is known. [g/ml]

    References
    ----------
    21 CFR 101.12(b), table 2, and its footnotes on density.
    """
    require_range("fruit share", fruit_share, 0.0, 1.0, "share", "label")
    per_inch = None if g_per_ml is None else g_per_ml * ML_PER_CUBIC_INCH
    if fruit_share >= _limit("heavy_fruit_share") or (per_inch is not None and per_inch >= _limit("heavy_density")):
        return "heavy"
    if leavened or coated:
        return "medium"
    return "light" if per_inch is None or per_inch < _limit("light_density") else "medium"


@cache
def lawful_slices(most: int) -> tuple[int, ...]:
    """
    Return the numbers of slices in which a serving may be told, up to ``most``.

    A half, third, quarter, fifth or sixth, or these divided on by two or three: 21 CFR 101.9(b)(2)(ii).
    """
    found = {1}
    for start in (1, 5):
        for twos in count():
            if start * 2**twos > most:
                break
            for threes in count():
                slices = start * 2**twos * 3**threes
                if slices > most:
                    break
                found.add(slices)
    return tuple(sorted(found))


def slices_for(mass_g: float, reference_g: float) -> int:
    """
    Return the lawful number of slices that brings one nearest to the reference amount; the larger slice on a tie.

    A cake of less than twice the reference amount is one serving: 21 CFR 101.9(b)(6).

    Examples
    --------
    >>> slices_for(960.0, 80.0), slices_for(560.0, 80.0), slices_for(120.0, 80.0)
    (12, 8, 1)
    """
    require_range("mass", mass_g, 1e-6, 1e6, "g", "label")
    if mass_g < 2 * reference_g:
        return 1
    choices = lawful_slices(int(mass_g / reference_g * 2) + 2)
    return min(choices, key=lambda slices: (abs(mass_g / slices - reference_g), slices))
