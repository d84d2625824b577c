"""The keeping of a dossier tried with another set-up, light, air or cover, and nothing else worked through anew."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from tierwright.dossier.bake_stage import bake_losses
from tierwright.dossier.keeping_stage import keeping_plan
from tierwright.dossier.model import Dossier
from tierwright.errors import OutOfRange
from tierwright.keeping import Hour, KeepingPlan

COLD_FIRST: Final = timedelta(hours=2)
"""A tier is this long in the cold before it can leave. Common practice."""
LAST_BEFORE: Final = timedelta(minutes=15)
"""Nobody sets a cake up later than this before it is cut. Common practice."""


def plan_of(dossier: Dossier) -> KeepingPlan:
    """
    Return the plan by which a dossier's cake is kept.

    Raises
    ------
    MissingData
        Something that the line needs is not known.
    """
    plan, _ = keeping_plan(
        dossier.commission,
        dossier.kitchen,
        dossier.sizing,
        dossier.formulas,
        dossier.coating,
        losses=bake_losses(dossier.bakes),
        sugar=dossier.sugar,
    )
    return plan


def set_up_span(plan: KeepingPlan) -> tuple[datetime, datetime]:
    """Return the first and the last moment for which another set-up can be tried."""
    way = plan.travel.ends - plan.travel.begins
    return plan.kitchen[-1].begins + COLD_FIRST + way, plan.cutting_at - LAST_BEFORE


def tried(
    plan: KeepingPlan,
    *,
    set_up_at: datetime | None = None,
    light: str | None = None,
    air_c: float | None = None,
    cover: str | None = None,
    weather: tuple[Hour, ...] = (),
) -> KeepingPlan:
    """
    Return a plan with something about the set-up changed; what is None stays as it is.

    Parameters
    ----------
    plan
        As the commission has it.
    set_up_at
        When the cake stands on its table; it leaves the cold as much earlier or later.
    light, air_c, cover
        At the venue. [C]
    weather
        Hours that take the place of one air.

    Raises
    ------
    OutOfRange
        A set-up before the tiers are cold or when the cake is cut already.
    """
    venue = replace(
        plan.venue,
        light=plan.venue.light if light is None else light,
        air_c=plan.venue.air_c if air_c is None else air_c,
        cover=plan.venue.cover if cover is None else cover,
        weather=weather or plan.venue.weather,
    )
    aside = plan.aside_venue
    if aside is not None:
        # What is cut out of sight waits boxed and in the shade, in the same air.
        aside = replace(aside, air_c=venue.air_c, weather=venue.weather)
    plan = replace(plan, venue=venue, aside_venue=aside)
    if set_up_at is None:
        return plan
    first, last = set_up_span(plan)
    if not first <= set_up_at <= last:
        hours = [(at - plan.cutting_at) / timedelta(hours=1) for at in (set_up_at, first, last)]
        raise OutOfRange("set-up after the cutting", hours[0], hours[1], hours[2], "h", "set-up")
    leaves = plan.travel.begins + (set_up_at - plan.venue.begins)
    return replace(
        plan,
        kitchen=(*plan.kitchen[:-1], replace(plan.kitchen[-1], ends=leaves)),
        travel=replace(plan.travel, begins=leaves, ends=set_up_at),
        venue=replace(plan.venue, begins=set_up_at),
        aside_venue=None if aside is None else replace(aside, begins=set_up_at),
    )
