"""Butter into a foam: where the bowl will land, and which butter would land it right."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from scipy.optimize import brentq

from tierwright.errors import MissingData, require_range
from tierwright.sugar.cream_model import CreamKind, CreamLine, CreamPlan
from tierwright.sugar.creams import cream_parts, plan_cream
from tierwright.sugar.mixing import Mixed, Portion, mix_portions
from tierwright.sugar.pouring import Bowl
from tierwright.sugar.rescue import BUTTERCREAMS, Look, Rescue, rescue, working_span_c

COLDEST_BUTTER_C: Final = 4.0
SOFTEST_BUTTER_C: Final = 26.0
"""Butter that can still be added in pieces. [C]"""
SET_FATS: Final = ("butterfat", "shortening", "coconut", "cocoa-butter")


@dataclass(frozen=True, slots=True, kw_only=True)
class Landing:
    """
    Where a bowl lands.

    Attributes
    ----------
    plan
        The coating.
    mixed
        Temperature and heat account.
    span_c
        Temperatures between which it is beaten. [C]
    lands_right
        Whether it lands between them.
    butter_wanted_c
        Butter that would land it in the middle; None if no butter from the fridge to the softest would. [C]
    foam_wanted_c
        Foam that would land it in the middle with the butter as it is; None if none from 10 to 50 C would. [C]
    correction
        What to do with the bowl as it lands; None if nothing.
    """

    plan: CreamPlan
    mixed: Mixed
    span_c: tuple[float, float]
    lands_right: bool
    butter_wanted_c: float | None
    foam_wanted_c: float | None
    correction: Rescue | None


def land(
    kind: CreamKind,
    *,
    foam_c: float,
    butter_c: float,
    lines: Sequence[CreamLine] | None = None,
    scale_to_g: float | None = None,
    bowl: Bowl | None = None,
    beaten_min: float = 0.0,
) -> Landing:
    """
    Say where butter and foam land together, and what would land them right.

    Parameters
    ----------
    kind
        A buttercream or the cream-cheese frosting.
    foam_c, butter_c
        Temperatures of the meringue (or paste, or yolk foam) and of the butter. [C], 4 to 50 and 4 to 35
    lines, scale_to_g
        Its ingredients, or only its mass; a usual formula if neither is given. [g]
    bowl
        The bowl, which is at the foam's temperature if None.
    beaten_min
        Beating until judged; it warms the bowl by the whisk's 30 W. [min]

    Returns
    -------
    landing
        Temperature, the butter or the foam that would land it right, and the correction otherwise.

    Raises
    ------
    OutOfRange
        Temperatures outside their spans.
    MissingData
        A kind that is not made by beating butter into something; no butter among the ingredients, or nothing else.
    """
    if kind not in BUTTERCREAMS and kind is not CreamKind.CREAM_CHEESE:
        raise MissingData("a buttercream or cream-cheese frosting", f"beating butter in ({kind.value} is none)")
    require_range("temperature of the foam", foam_c, 4.0, 50.0, "C")
    require_range("temperature of the butter", butter_c, 4.0, 35.0, "C")
    plan = plan_cream(kind, lines, scale_to_g=scale_to_g)
    table = cream_parts()
    butter = tuple(line for line in plan.lines if table[line.part].fat > 0.6 and table[line.part].fat_kind in SET_FATS)
    foam = tuple(line for line in plan.lines if line not in butter)
    if not butter or not foam:
        raise MissingData("both a butter and something to beat it into", "the temperature of the mixture")

    def at(foam_at_c: float, butter_at_c: float) -> Mixed:
        own = bowl or Bowl(start_c=foam_at_c)
        portions = (Portion(lines=foam, at_c=foam_at_c), Portion(lines=butter, at_c=butter_at_c))
        return mix_portions(portions, bowl=own, beaten_min=beaten_min)

    mixed = at(foam_c, butter_c)
    low, high = working_span_c(plan)
    middle = (low + high) / 2
    right = low <= mixed.at_c <= high
    correction: Rescue | None = None
    if not right:
        look = Look.SOUPY if mixed.at_c > high else Look.CURDLED
        correction = rescue(kind, look, min(max(mixed.at_c, 2.0), 50.0), beaten_min, lines=plan.lines, bowl=bowl)
    return Landing(
        plan=plan,
        mixed=mixed,
        span_c=(low, high),
        lands_right=right,
        butter_wanted_c=_solve(lambda c: at(foam_c, c).at_c - middle, COLDEST_BUTTER_C, SOFTEST_BUTTER_C),
        foam_wanted_c=_solve(lambda c: at(c, butter_c).at_c - middle, 10.0, 50.0),
        correction=correction,
    )


def _solve(miss: Callable[[float], float], low: float, high: float) -> float | None:
    """Root between two ends, or None if there is none."""
    if miss(low) > 0 or miss(high) < 0:
        return None
    return float(brentq(miss, low, high, xtol=1e-4))
