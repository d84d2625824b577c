"""The question answered: the temperature line of a commission, and what is read from it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from tierwright.errors import MissingData
from tierwright.keeping.allergens import Make, WorkStep, order_of_work
from tierwright.keeping.bodies import FOAM_KEY
from tierwright.keeping.clocks import ClockReading, CoolingReading, discard_h, read_cooling
from tierwright.keeping.decorations import DustAdvice, FlowerAdvice, dusts_in, flower_advice, flowers_in
from tierwright.keeping.display import (
    LONGEST_SHOW_H,
    Change,
    Show,
    Stage,
    Window,
    fit_to_eat_h,
    set_up_window,
    try_changes,
    warmest_of,
)
from tierwright.keeping.keepsake import Keepsake, keepsake
from tierwright.keeping.layers import LayerLine, LayerTimes, layer_line, layer_times, tier_times
from tierwright.keeping.line import Start, Walker, check_order
from tierwright.keeping.model import Component, Curve, Safety, Stay, TierLine, TierToKeep
from tierwright.keeping.safety import assess
from tierwright.keeping.softness import Softness
from tierwright.keeping.sweat import Sweat, sweat
from tierwright.keeping.tables import clocks, component_kind, cooling_rules, cover
from tierwright.keeping.wording import PLAIN, keeping_in_measures
from tierwright.units import Display
from tierwright.working import Notes

MOST_POINTS = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepingPlan:
    """
    What is to be kept, where, and until when.

    Attributes
    ----------
    jurisdiction, licence
        Whose food code; ``home`` or ``licensed``.
    tiers, components
        Bottom first; every material once.
    kitchen
        From the moment the tiers are put together to the departure, the last one cold.
    travel, venue
        The way, and the display until the last slice.
    start
        How warm the parts are when they are put together.
    cutting_at, closes_at
        When it is cut; after this nobody may set up.
    room_c, fridge_c, freezer_c
        Of the kitchen. [C]; None where there is none
    decorations
        As the brief says them; flowers that it names on the way are looked up too.
    flowers
        Real flowers that were asked for by name, known here or not; none that is made of sugar.
    makes
        Components as the kitchen makes them, with their allergens.
    made
        Where the layers are from the oven until they are put together, rack first; empty where that is not followed,
        and ``start`` then says how warm they are.
    display
        Degrees that the sentences are written in.
    aside, aside_venue
        Cakes that are cut out of sight: they share the kitchen and the way, and wait in a place of their own.
    """

    jurisdiction: str
    licence: str
    tiers: tuple[TierToKeep, ...]
    components: tuple[Component, ...]
    kitchen: tuple[Stay, ...]
    travel: Stay
    venue: Stay
    start: Start
    cutting_at: datetime
    closes_at: datetime
    room_c: float = 21.0
    fridge_c: float | None = 4.0
    freezer_c: float | None = None
    decorations: tuple[str, ...] = ()
    flowers: tuple[str, ...] = ()
    makes: tuple[Make, ...] = ()
    made: tuple[Stay, ...] = ()
    display: Display = PLAIN
    aside: tuple[TierToKeep, ...] = ()
    aside_venue: Stay | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TierClock:
    """The clocks of one component in one tier, and when it is thrown away; None if never within the line."""

    tier: str
    component: str
    readings: tuple[ClockReading, ...]
    discard_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Aside:
    """A cake that is cut out of sight: its line, when it gives way, and its clocks."""

    line: TierLine
    softness: Softness
    clocks: tuple[TierClock, ...]

    @property
    def discard_at(self) -> datetime | None:
        """When the first of its clocks ends; None if none does within its line."""
        return min((one.discard_at for one in self.clocks if one.discard_at is not None), default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class TierCooling:
    """How one component of one tier cools after the making, by one rule."""

    tier: str
    component: str
    reading: CoolingReading


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """One step: its first and last safe moment (None where nothing bounds it), and why."""

    step: str
    first: datetime | None
    last: datetime | None
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """
    What client and venue are told.

    Attributes
    ----------
    as_planned
        Whether the times are those of the plan; False where the set-up had to move.
    only_if
        The change without which these times do not hold; empty where none is needed.
    out_of_cold_at, set_up_at, cut_at
        When it leaves the cold, is set up, is cut.
    eat_by
        Last moment to eat it.
    throw_away_by
        Last moment before everything that needs control is thrown away; None where nothing does.
    after
        What happens to what is left.
    """

    as_planned: bool
    only_if: str
    out_of_cold_at: datetime
    set_up_at: datetime
    cut_at: datetime
    eat_by: datetime
    throw_away_by: datetime | None
    after: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Keeping:
    """
    What keeping answers.

    Attributes
    ----------
    begins
        Hour 0 of every line.
    made, layer_lines
        Where the layers are before that, and the temperature of the thickest of every tier on the way; empty where it
        was not followed, and None for a dummy.
    stays
        The whole life from then on, for the plot.
    lines
        Temperature line of every tier, as planned.
    layers
        How long layers take to cool, chill, freeze and thaw.
    safety
        What each component asks for.
    clocks, cooling
        By tier and component that needs control.
    softness, sweat
        By tier.
    window
        When it may be set up.
    changes, best_change
        What was tried if the plan does not pass, and the cheapest that does.
    moments
        First and last safe moment of every step.
    card
        For client and venue.
    flowers, dusts
        What to do with every decoration that was named.
    order_of_work, makes
        For the week: what to make in which order, with its clean-downs, and what has to stay out of what.
    keepsakes
        For tiers that are kept.
    notes
        Figures, questions, cautions, assumptions.
    aside
        Cakes that are cut out of sight.
    """

    begins: datetime
    stays: tuple[Stay, ...]
    lines: tuple[TierLine, ...]
    layers: tuple[LayerTimes, ...]
    safety: tuple[Safety, ...]
    clocks: tuple[TierClock, ...]
    cooling: tuple[TierCooling, ...]
    softness: tuple[Softness, ...]
    sweat: tuple[Sweat, ...]
    window: Window
    changes: tuple[Change, ...]
    best_change: Change | None
    moments: tuple[Moment, ...]
    card: Card
    flowers: tuple[FlowerAdvice, ...]
    dusts: tuple[DustAdvice, ...]
    order_of_work: tuple[WorkStep, ...]
    keepsakes: tuple[Keepsake, ...]
    notes: Notes
    made: tuple[Stay, ...] = ()
    layer_lines: tuple[LayerLine | None, ...] = ()
    makes: tuple[Make, ...] = ()
    aside: tuple[Aside, ...] = ()

    @property
    def is_refused(self) -> bool:
        """Whether the display as planned is refused."""
        return not self.window.plan_passes

    def at(self, hours: float) -> datetime:
        """Return the moment of an hour of the line. [h]"""
        return self.begins + timedelta(hours=hours)


def keep(plan: KeepingPlan) -> Keeping:
    """
    Work out the keeping of a commission.

    Parameters
    ----------
    plan
        What is kept, where, until when.

    Returns
    -------
    keeping
        Lines, limits and what follows from them.

    Raises
    ------
    MissingData
        A tier names a component that is not there.
    OutOfRange
        A size, temperature or composition outside what can be computed.
    ValueError
        Stays that do not follow one another.
    """
    from tierwright.keeping.notes import note  # notes read the answer, and so come after it

    components = _checked(plan)
    safety = {key: assess(one) for key, one in components.items()}
    made = tuple(layer_line(tier, components, plan.made) for tier in plan.tiers) if plan.made else ()
    stage = Stage(
        plan.tiers,
        components,
        safety,
        kitchen=plan.kitchen,
        starts=tuple(
            plan.start if one is None else replace(plan.start, sponge_c=one.mean_c[-1])
            for one in (made or (None,) * len(plan.tiers))
        ),
        jurisdiction=plan.jurisdiction,
    )
    travel, venue = plan.travel, plan.venue
    course = stage.walked((travel, venue))
    planned = [walker.copy() for walker in course]
    shows = stage.read(planned, travel.begins)
    for walker in course:
        walker.walk(replace(venue, begins=venue.ends, ends=_as_long_as_needed(plan)), venue.hours * 3600.0)
    long = stage.read(course, travel.begins)
    window = set_up_window(stage, travel, venue, long, cutting=plan.cutting_at, closes=plan.closes_at)
    changes = () if window.plan_passes else try_changes(stage, travel, venue, planned, window, cutting=plan.cutting_at)
    told = _told(plan, stage, window, course, long)
    leaves_h = stage.hour(plan.travel.begins)
    opened = tuple(x for x in (plan.travel, plan.venue) if not cover(x.cover_key).is_sealed)
    altitude_m = plan.kitchen[0].altitude_m
    layers = [
        layer_times(
            tier,
            components,
            room_c=plan.room_c,
            fridge_c=plan.fridge_c,
            freezer_c=plan.freezer_c,
            altitude_m=altitude_m,
        )
        for tier in plan.tiers
    ]
    keeping = Keeping(
        begins=stage.begins,
        made=plan.made,
        layer_lines=made,
        aside=_aside(plan, components, safety, leaves_h),
        stays=(*plan.kitchen, plan.travel, plan.venue),
        lines=tuple(thinned(show.line, leaves_h) for show in shows),
        layers=tuple(times for times in layers if times is not None),
        safety=tuple(safety.values()),
        clocks=tuple(clock for show in shows for clock in _clocks_of(show, stage.begins)),
        cooling=_cooling(plan, components, safety, shows),
        softness=tuple(show.softness for show in shows),
        sweat=tuple(sweat(show.line, opened, from_h=leaves_h) for show in shows),
        window=window,
        changes=changes,
        best_change=next((change for change in changes if change.passes), None),
        moments=_moments(plan, stage, told, window),
        card=_card(plan, stage, told, window, changes),
        flowers=_flowers(plan),
        dusts=dusts_in(plan.decorations),
        order_of_work=order_of_work(plan.makes),
        makes=plan.makes,
        keepsakes=_keepsakes(plan, components, safety),
        notes=Notes(),
    )
    return keeping_in_measures(replace(keeping, notes=note(plan, keeping)), plan.display)


def _flowers(plan: KeepingPlan) -> tuple[FlowerAdvice, ...]:
    """Look every flower up once: what was asked for by name first, and there also what nobody knows."""
    found: dict[str, FlowerAdvice] = {}
    for name in (*plan.flowers, *flowers_in(plan.decorations)):
        advice = flower_advice(name)
        found.setdefault(advice.botanical or name.casefold(), advice)
    return tuple(found.values())


def _clocks_of(show: Show, begins: datetime) -> tuple[TierClock, ...]:
    return tuple(
        TierClock(
            tier=show.line.name,
            component=component,
            readings=readings,
            discard_at=None if (at := discard_h(readings)) is None else begins + timedelta(hours=at),
        )
        for component, readings in show.clocks
    )


def _aside(
    plan: KeepingPlan, components: dict[str, Component], safety: dict[str, Safety], leaves_h: float
) -> tuple[Aside, ...]:
    if not plan.aside or plan.aside_venue is None:
        return ()
    made = [layer_line(tier, components, plan.made) if plan.made else None for tier in plan.aside]
    stage = Stage(
        plan.aside,
        components,
        safety,
        kitchen=plan.kitchen,
        starts=tuple(plan.start if one is None else replace(plan.start, sponge_c=one.mean_c[-1]) for one in made),
        jurisdiction=plan.jurisdiction,
    )
    return tuple(
        Aside(line=thinned(show.line, leaves_h), softness=show.softness, clocks=_clocks_of(show, stage.begins))
        for show in stage.show((plan.travel, plan.aside_venue))
    )


def _checked(plan: KeepingPlan) -> dict[str, Component]:
    check_order((*plan.made, *plan.kitchen, plan.travel, plan.venue))
    components = {one.key: one for one in plan.components}
    if plan.aside_venue is not None:
        check_order((plan.travel, plan.aside_venue))
    for tier in (*plan.tiers, *plan.aside):
        for key in (*(layer.component for layer in tier.layers), tier.coat):
            if key and key != FOAM_KEY and key not in components:
                raise MissingData(f"the component {key!r}", "its temperature line", f"tier {tier.number}")
    return components


def thinned(line: TierLine, from_h: float) -> TierLine:
    """Return a line with fewer points: all from an hour on, and as few before as keep it within 120."""
    late = [i for i, h in enumerate(line.hours) if h >= from_h - 1e-9]
    early = [i for i, h in enumerate(line.hours) if h < from_h - 1e-9]
    step = max(1, -(-len(early) // max(MOST_POINTS - len(late), 20)))
    kept = early[::step] + late

    def picked(values: tuple[float, ...], digits: int = 2) -> tuple[float, ...]:
        rounded: list[float] = np.round([values[i] for i in kept], digits).tolist()
        return tuple(rounded)

    def curve(one: Curve) -> Curve:
        return replace(one, celsius=picked(one.celsius))

    return TierLine(
        tier=line.tier,
        name=line.name,
        hours=picked(line.hours, 4),
        centre=curve(line.centre),
        fillings=tuple(curve(one) for one in line.fillings),
        coat_side=curve(line.coat_side),
        coat_top=curve(line.coat_top),
        coat_facing=curve(line.coat_facing),
        coldest=curve(line.coldest),
        warmest=curve(line.warmest),
        filling_warmest=curve(line.filling_warmest),
        mean=curve(line.mean),
        water_side_g_m2=picked(line.water_side_g_m2),
        water_top_g_m2=picked(line.water_top_g_m2),
    )


def _cooling(
    plan: KeepingPlan, components: dict[str, Component], safety: dict[str, Safety], shows: list[Show]
) -> tuple[TierCooling, ...]:
    found: list[TierCooling] = []
    for tier, show in zip(plan.tiers, shows, strict=True):
        for key in dict.fromkeys([one.component for one in tier.layers if one.component != FOAM_KEY]):
            if not safety[key].is_controlled or tier.is_dummy:
                continue
            curve = warmest_of(key, tier, show.line)
            for rule in cooling_rules(plan.jurisdiction):
                if rule.applies_to == "cooked" and component_kind(components[key].kind).cooked != "cooked":
                    continue
                reading = read_cooling(rule, show.line.hours, curve)
                if reading is not None:
                    found.append(TierCooling(tier=tier.name, component=key, reading=reading))
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """The course that people are told: as planned, or moved to where it holds, far enough for every clock to end."""

    as_planned: bool
    travel: Stay
    venue: Stay
    shows: list[Show]

    @property
    def discard_h(self) -> float | None:
        """When the first clock ends. [h]"""
        return min((show.discard_h for show in self.shows if show.discard_h is not None), default=None)


def _as_long_as_needed(plan: KeepingPlan) -> datetime:
    """Return when every clock has ended and every display is long enough."""
    clock = timedelta(hours=max(one.hours for one in clocks(plan.jurisdiction)) + 1.0)
    longest = plan.venue.begins + timedelta(hours=LONGEST_SHOW_H)
    return max(longest, plan.venue.ends + timedelta(minutes=1), plan.cutting_at, plan.travel.begins + clock)


def _told(plan: KeepingPlan, stage: Stage, window: Window, course: list[Walker], long: list[Show]) -> _Told:
    travel, venue = plan.travel, plan.venue
    if window.plan_passes or window.not_before is None or window.not_before > window.not_after:
        return _Told(as_planned=True, travel=travel, venue=venue, shows=long)
    shift = window.not_before - venue.begins
    travel = replace(travel, begins=travel.begins + shift, ends=travel.ends + shift)
    venue = replace(venue, begins=venue.begins + shift, ends=_as_long_as_needed(plan) + max(shift, timedelta()))
    if shift >= timedelta() and travel.begins >= stage.leaves_at and not venue.weather and not travel.weather:
        shows = stage.read(stage.later(course, shift), travel.begins)
    else:
        shows = stage.show((travel, venue))
    return _Told(as_planned=False, travel=travel, venue=venue, shows=shows)


def _moments(plan: KeepingPlan, stage: Stage, told: _Told, window: Window) -> tuple[Moment, ...]:
    begins, shows = stage.begins, told.shows
    chilled = [
        next((h for h, t in zip(s.line.hours, s.line.warmest.celsius, strict=True) if h > 0 and t <= 5.0), None)
        for s in shows
    ]
    through = None if any(h is None for h in chilled) else begins + timedelta(hours=max(h or 0.0 for h in chilled))
    way = plan.travel.ends - plan.travel.begins
    warm = [fit_to_eat_h(s.line, stage.hour(told.travel.begins)) for s in shows]
    eaten = None if any(h is None for h in warm) else begins + timedelta(hours=max(h or 0.0 for h in warm))
    discard = None if told.discard_h is None else begins + timedelta(hours=told.discard_h)
    not_before, why = window.not_before, f"before that {window.because}"
    if not_before is not None and not_before > window.not_after:
        # First after last would only confuse the hand that reads it.
        why = f"no set-up on the day holds until the cutting: {window.because}"
        not_before = None
    return (
        Moment(step="load", first=through, last=None, why="the warmest place of every tier is at 5 C"),
        Moment(
            step="leave the cold",
            first=None if not_before is None else not_before - way,
            last=window.not_after - way,
            why="the set-up less the way",
        ),
        Moment(step="set up", first=not_before, last=window.not_after, why=why),
        Moment(step="cut, for soft slices", first=eaten, last=discard, why="every tier is at 16 C in the mean"),
        Moment(step="last slice", first=None, last=discard, why="the first clock out of the cold ends"),
    )


def _card(plan: KeepingPlan, stage: Stage, told: _Told, window: Window, changes: tuple[Change, ...]) -> Card:
    controlled = any(show.clocks for show in told.shows)
    needed = ""
    if told.as_planned and not window.plan_passes:
        needed = next((change.title for change in changes if change.passes), "another plan is found")
    throw = None if told.discard_h is None else stage.begins + timedelta(hours=told.discard_h)
    if throw is None and controlled:
        # No clock ends within the hours computed; what needs control still goes with the last slice.
        throw = max(plan.venue.ends, plan.cutting_at)
    return Card(
        as_planned=told.as_planned and window.plan_passes,
        only_if=needed,
        out_of_cold_at=told.travel.begins,
        set_up_at=told.venue.begins,
        cut_at=plan.cutting_at,
        eat_by=plan.venue.ends if throw is None else min(plan.venue.ends, throw),
        throw_away_by=throw,
        after="Throw away what is left; do not chill it again to keep it."
        if controlled
        else "Wrap what is left and keep it in the fridge.",
    )


def _keepsakes(plan: KeepingPlan, components: dict[str, Component], safety: dict[str, Safety]) -> tuple[Keepsake, ...]:
    found: list[Keepsake] = []
    for tier in plan.tiers:
        if not tier.is_kept or tier.is_dummy:
            continue
        keys = [*(one.component for one in tier.layers), *([tier.coat] if tier.coat else [])]
        parts = tuple(safety[key] for key in dict.fromkeys(keys))
        times = tier_times(
            tier, components, room_c=plan.room_c, fridge_c=plan.fridge_c or 4.0, altitude_m=plan.kitchen[0].altitude_m
        )
        hours = min(one.hours for one in clocks(plan.jurisdiction))
        found.append(keepsake(tier.name, parts, times, hours))
    return tuple(found)
