"""Less leavening for a wide pan: a proposal for chemically raised butter cakes, and for no others."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from tierwright.errors import require_range
from tierwright.formula.model import Change, Formula, Kind, Proposal
from tierwright.formula.tables import rows
from tierwright.larder import Group, ingredient
from tierwright.units import INCH_MM

BUTTER_CAKES: Final = (Kind.HIGH_RATIO, Kind.CREAMED)
UNTOUCHED_MM: Final = 254.0  # 10 in: below it the change is smaller than a spoon can measure


def wide_pan_factor(width_mm: float) -> float:
    """
    Leavening of a wide pan over that of a 9 in pan. [-]

    Parameters
    ----------
    width_mm
        Diameter of a round pan, or side of a square one. [mm], 228.6 to 355.6 (9 to 14 in)

    Raises
    ------
    OutOfRange
        Wider or narrower than the published factors go.

    Examples
    --------
    >>> wide_pan_factor(12 * 25.4)
    0.84
    """
    table = [(float(row["width_mm"]), float(row["factor"])) for row in rows("wide_pans.csv")]
    require_range("pan width", width_mm, table[0][0], table[-1][0], "mm", "wide-pan leavening")
    for (start, one), (end, two) in pairwise(table):
        if width_mm <= end:
            return round(one + (two - one) * (width_mm - start) / (end - start), 6)
    return table[-1][1]


def wide_pan_proposal(formula: Formula, width_mm: float) -> Proposal | None:
    """
    Propose less leavening for a wide pan.

    Parameters
    ----------
    formula
        In grams.
    width_mm
        Of the pan. [mm]

    Returns
    -------
    proposal
        None for a pan under 10 in, and for a formula that is no chemically raised butter cake.

    Raises
    ------
    OutOfRange
        A pan wider than 14 in, where the published factors end.
    """
    if formula.text.kind not in BUTTER_CAKES or width_mm < UNTOUCHED_MM:
        return None
    factor = wide_pan_factor(width_mm)
    powders = [
        line
        for line in formula.parts
        if ingredient(line.ingredient).group is Group.LEAVENER and line.ingredient != "cream_of_tartar"
    ]
    if not powders:
        return None
    inches = width_mm / INCH_MM
    return Proposal(
        key=f"wide_pan.{round(inches)}_in",
        title=f"{100 * (1 - factor):.0f} % less leavening for the {inches:.0f} in pan",
        reason="the middle of a wide layer sets last: with the gas of a small pan it rises, then sinks before it sets",
        changes=tuple(
            Change(
                ingredient=line.ingredient,
                label=line.label,
                before_g=line.grams.value,
                after_g=line.grams.value * factor,
            )
            for line in powders
        ),
        span="0.84 at 12 in and 0.75 at 14 in of what a 9 in pan takes",
        source=f"{rows('wide_pans.csv')[0]['basis']}: {rows('wide_pans.csv')[0]['source']}",
    )
