"""Is a batter's balance within what its class is known to carry?"""

from __future__ import annotations

from tierwright.formula.leavening import leavening
from tierwright.formula.model import Balance, Check, Formula, Verdict
from tierwright.formula.percent import masses, percents, role_percents
from tierwright.formula.tables import number, rows

COCOA_SUGAR_HIGH = 180.0
"""Sugar that a high-ratio layer with cocoa carries (Professional Baking, cake formula balance). [% of flour]"""


def balance(formula: Formula) -> Balance:
    """
    Hold a batter against the published ranges of its class.

    Parameters
    ----------
    formula
        In grams.

    Returns
    -------
    balance
        Baker's percentages by ingredient and by role, and one ``Check`` for every row of the class whose two sides are
        in the formula. A value outside is a finding, never a refusal: bakers balance one departure by another.
    """
    sums = masses(formula)
    sides = {name: mass.value for name, mass in sums.items()}
    flour_g = sides["flour"]
    sides["powder"] = leavening(formula).powder_equivalent_percent.value * flour_g / 100
    checks: list[Check] = []
    for row in rows("balance.csv"):
        if row["kind"] != formula.text.kind.value or sides[row["under"]] <= 0:
            continue
        low, high = number(row["low"]), number(row["high"])
        if row["key"] == "sugar_flour" and high is not None and sides["cocoa"] > 0 and low is not None and low >= 100:
            high = COCOA_SUGAR_HIGH
        value = 100 * sides[row["over"]] / sides[row["under"]]
        verdict = _verdict(value, low, high)
        effect = {Verdict.WITHIN: "", Verdict.BELOW: row["low_effect"], Verdict.ABOVE: row["high_effect"]}[verdict]
        checks.append(
            Check(
                key=row["key"],
                label=row["label"],
                value=value,
                low=low,
                high=high,
                unit="%",
                verdict=verdict,
                effect=effect,
                source=f"{row['basis']}: {row['source']}",
            )
        )
    return Balance(percents=percents(formula), groups=role_percents(formula), checks=tuple(checks))


def _verdict(value: float, low: float | None, high: float | None) -> Verdict:
    # A whisker of rounding in a formula written in whole grams is no finding.
    slack = 0.5
    if low is not None and value < low - slack:
        return Verdict.BELOW
    if high is not None and value > high + slack:
        return Verdict.ABOVE
    return Verdict.WITHIN


def specific_gravity(filled_g: float, cup_g: float, water_g: float) -> float:
    """
    Specific gravity of a batter from three weighings of one cup.

    Parameters
    ----------
    filled_g
        Cup full of batter. [g]
    cup_g
        Empty cup. [g]
    water_g
        Cup full of water. [g]

    Raises
    ------
    ValueError
        The empty cup is not the lightest of the three.

    Examples
    --------
    The worked example of the American Society of Baking, 80 g of batter where 100 g of water go:

    >>> specific_gravity(130.0, 50.0, 150.0)
    0.8
    """
    if not 0 <= cup_g < min(filled_g, water_g):
        raise ValueError("the empty cup must be the lightest of the three weighings")
    return (filled_g - cup_g) / (water_g - cup_g)
