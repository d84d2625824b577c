"""Changes for a kitchen that lies high: proposals, one change at a time, never applied unasked."""

from __future__ import annotations

from typing import Final

from tierwright.errors import require_range
from tierwright.formula.model import Change, Formula, Kind, Line, Proposal
from tierwright.formula.percent import role_of
from tierwright.formula.tables import rows
from tierwright.larder import VOLUME_ML, Group, ingredient
from tierwright.water import SEA_LEVEL_PA, air_pressure_pa
from tierwright.working import Estimate

LOWEST_M: Final = 914.4  # 3000 ft: below it the source changes nothing
HIGHEST_M: Final = 2133.6  # 7000 ft: the source's last row
FEET_PER_M: Final = 1 / 0.3048

CHEMICAL: Final = (Kind.HIGH_RATIO, Kind.CREAMED, Kind.OIL, Kind.POUND)
SLOW_OR_ACID: Final = ("cream_of_tartar", "active_dry_yeast", "fresh_yeast")


def altitude_steps(altitude_m: float) -> dict[str, Estimate]:
    """
    Published changes at an altitude, straight lines drawn between the rows of the table.

    Parameters
    ----------
    altitude_m
        Of the kitchen. [m], 914.4 to 2133.6

    Returns
    -------
    steps
        ``powder`` less per teaspoon [tsp], ``sugar`` less and ``liquid`` more per cup [tbsp], ``oven`` hotter [degF].

    Raises
    ------
    OutOfRange
        Outside the table, 3000 to 7000 ft.

    Examples
    --------
    >>> steps = altitude_steps(1524.0)
    >>> steps["liquid"].low, steps["liquid"].high
    (2.0, 4.0)
    """
    require_range("altitude", altitude_m, LOWEST_M, HIGHEST_M, "m", "altitude table")
    table = rows("altitude.csv")
    after = next(row for row in table if float(row["altitude_m"]) >= altitude_m)
    before = table[max(0, table.index(after) - 1)]
    start, end = float(before["altitude_m"]), float(after["altitude_m"])
    share = 0.0 if end == start else (altitude_m - start) / (end - start)

    def between(column: str) -> float:
        one, two = float(before[column]), float(after[column])
        return one + share * (two - one)

    steps: dict[str, Estimate] = {}
    for name, unit in (("powder", "tsp"), ("sugar", "tbsp"), ("liquid", "tbsp"), ("oven", "f")):
        low, high = between(f"{name}_low_{unit}"), between(f"{name}_high_{unit}")
        steps[name] = Estimate(value=(low + high) / 2, low=low, high=high)
    return steps


def altitude_proposals(formula: Formula, altitude_m: float) -> tuple[Proposal, ...]:
    """
    Propose changes for a high kitchen, each to be tried alone and in this order.

    Parameters
    ----------
    formula
        A batter in grams, written for a kitchen near sea level.
    altitude_m
        Of the kitchen where it is baked. [m]

    Returns
    -------
    proposals
        More liquid, less sugar, less leavener, hotter oven; none below 3000 ft, for a batter that no leavener raises
        only the oven, and none at all for what is not baked.

    Raises
    ------
    OutOfRange
        Above 7000 ft, where the published table ends.
    """
    if not formula.text.kind.is_batter or altitude_m < LOWEST_M:
        return ()
    steps = altitude_steps(altitude_m)
    source = f"published: {rows('altitude.csv')[0]['source']}"
    feet = altitude_m * FEET_PER_M
    at = f"at {altitude_m:.0f} m ({feet:.0f} ft)"
    thin = 1 - air_pressure_pa(altitude_m) / SEA_LEVEL_PA
    proposals: list[Proposal] = []
    if formula.text.kind in CHEMICAL:
        liquid = _liquid(formula, steps["liquid"], at, source)
        sugar = _sugar(formula, steps["sugar"], at, source)
        powder = _powder(formula, steps["powder"], at, source, thin)
        proposals += [proposal for proposal in (liquid, sugar, powder) if proposal is not None]
    in_f = steps["oven"]
    in_k = in_f * (5 / 9)
    proposals.append(
        Proposal(
            key="altitude.oven",
            title=f"Oven {in_k.low:.0f} to {in_k.high:.0f} °C ({in_f.low:.0f} to {in_f.high:.0f} °F) hotter",
            reason=f"{at} the crumb sets later, because water boils cooler and leaves faster",
            changes=(),
            oven_c=in_k,
            span=f"{in_f.low:.0f} to {in_f.high:.0f} °F; one published account lowers it instead",
            source=source,
        )
    )
    return tuple(proposals)


def _cups(line: Line) -> float:
    """US cups that a line's weight fills; by water's density where the larder has no cup for it."""
    density = ingredient(line.ingredient).density_g_per_ml
    return line.grams.value / ((density.value if density else 1.0) * VOLUME_ML["cup"])


def _liquid(formula: Formula, step: Estimate, at: str, source: str) -> Proposal | None:
    liquids = [line for line in formula.parts if role_of(line.ingredient) == "liquid"]
    if not liquids:
        return None
    cups = sum(_cups(line) for line in liquids)
    main = max(liquids, key=lambda line: line.grams.value)
    density = main.grams.value / (_cups(main) * VOLUME_ML["cup"])
    more_g = cups * step.value * VOLUME_ML["tbsp"] * density
    return Proposal(
        key="altitude.liquid",
        title=f"{more_g:.0f} g more {main.label}",
        reason=f"{at} more water leaves in the oven; dry air takes some from the flour as well",
        changes=(_change(main, main.grams.value + more_g),),
        span=f"{step.low:.2g} to {step.high:.2g} tbsp more for each cup of liquid",
        source=source,
    )


def _sugar(formula: Formula, step: Estimate, at: str, source: str) -> Proposal | None:
    sugars = [line for line in formula.parts if ingredient(line.ingredient).group is Group.SUGAR]
    if not sugars or step.value <= 0:
        return None
    share = step.value * VOLUME_ML["tbsp"] / VOLUME_ML["cup"]
    less_g = sum(line.grams.value for line in sugars) * share
    return Proposal(
        key="altitude.sugar",
        title=f"{less_g:.0f} g less sugar",
        reason=f"{at} water lost in the oven leaves the sugar stronger, and strong sugar holds back setting",
        changes=tuple(_change(line, line.grams.value * (1 - share)) for line in sugars),
        span=f"{step.low:.2g} to {step.high:.2g} tbsp less for each cup of sugar",
        source=source,
    )


def _powder(formula: Formula, step: Estimate, at: str, source: str, thin: float) -> Proposal | None:
    powders = [line for line in formula.parts if ingredient(line.ingredient).group is Group.LEAVENER]
    powders = [
        line for line in powders if line.ingredient not in ("cream_of_tartar", "active_dry_yeast", "fresh_yeast")
    ]
    if not powders:
        return None
    names = " and ".join(line.label for line in powders)
    return Proposal(
        key="altitude.leavening",
        title=f"{100 * step.value:.0f} % less {names}",
        reason=f"{at} the same gas takes {100 * thin / (1 - thin):.0f} % more room: as an ideal gas {100 * thin:.0f} %"
        " less would do",
        changes=tuple(_change(line, line.grams.value * (1 - step.value)) for line in powders),
        span=f"{step.low:.3g} to {step.high:.3g} tsp less for each teaspoon",
        source=source,
    )


def _change(line: Line, after_g: float) -> Change:
    return Change(ingredient=line.ingredient, label=line.label, before_g=line.grams.value, after_g=after_g)
