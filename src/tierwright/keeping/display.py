"""How long the cake may stand on show, when it may be set up, and what would make a plan pass."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import lru_cache

from tierwright.keeping.clocks import ClockReading, discard_h, first_below, read_clock
from tierwright.keeping.line import Start, Walker
from tierwright.keeping.model import Component, Place, Safety, Stay, TierLine, TierToKeep
from tierwright.keeping.softness import Softness, Yielding, soften
from tierwright.keeping.tables import clocks, cold_holding, rows, threshold

LONGEST_SHOW_H = 10.0
SEARCH_BACK_H = 8.0
INDOORS_C = 22.0
UNBOXED_H = 0.5
STEP_MIN = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Show:
    """
    What the way to the venue and the display do to one tier.

    Attributes
    ----------
    line, softness
        Its line to the end, and when it gives way.
    clocks
        Component by component that needs control: its key and the clocks on its own curve.
    discard_h
        When the first of them is thrown away. [h]; None if none is within the line
    """

    line: TierLine
    softness: Softness
    clocks: tuple[tuple[str, tuple[ClockReading, ...]], ...]
    discard_h: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """
    One change that was tried.

    Attributes
    ----------
    key, title
        Which; its place in the row is its cost.
    passes
        Whether nothing gives way and no clock runs out before the cutting.
    detail
        What came out, in words.
    """

    key: str
    title: str
    passes: bool
    detail: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """
    When the cake may be set up.

    Attributes
    ----------
    not_before, not_after
        First and last moment; the first is None where no set-up on the day passes.
    longest_h
        How long it may stand before it gives way or its clock ends, from the planned set-up's conditions. [h]; None if
        longer than is computed
    governs
        Name of the tier that decides.
    because
        What gives way first there, in words.
    plan_passes
        Whether the planned set-up is inside.
    """

    not_before: datetime | None
    not_after: datetime
    longest_h: float | None
    governs: str
    because: str
    plan_passes: bool


class Stage:
    """The tiers, ready and cold, from which every display is tried."""

    def __init__(
        self,
        tiers: tuple[TierToKeep, ...],
        components: dict[str, Component],
        safety: dict[str, Safety],
        *,
        kitchen: tuple[Stay, ...],
        starts: tuple[Start, ...],
        jurisdiction: str,
    ) -> None:
        self.tiers = tiers
        self.components = components
        self.safety = safety
        self.jurisdiction = jurisdiction
        self.begins = kitchen[0].begins
        last = kitchen[-1]
        self.ready_at = last.ends - timedelta(hours=min(SEARCH_BACK_H, 0.25 * last.hours))
        self.leaves_at = last.ends
        self.ready: list[Walker] = []
        self.cold: list[Walker] = []
        for tier, start in zip(tiers, starts, strict=True):
            used = dict.fromkeys([*(layer.component for layer in tier.layers), tier.coat])
            parts = tuple(components[key] for key in used if key in components)
            ready, cold = _in_the_kitchen(tier, parts, kitchen, start, self.ready_at)
            self.ready.append(ready)
            self.cold.append(cold)
        self._after_first: dict[Stay, list[Walker]] = {}

    def hour(self, moment: datetime) -> float:
        """Return a moment as hours of the line. [h]"""
        return (moment - self.begins) / timedelta(hours=1)

    def show(self, stays: Sequence[Stay]) -> list[Show]:
        """Take every tier from the cold through travel and display, and read what that does."""
        return self.read(self.walked(stays), stays[0].begins)

    def walked(self, stays: Sequence[Stay]) -> list[Walker]:
        """Take every tier from the cold through stays; what follows the same first stay shares it."""
        first = stays[0]
        if first not in self._after_first:
            self._after_first[first] = [self._out(number, first) for number in range(len(self.tiers))]
        walkers = [walker.copy() for walker in self._after_first[first]]
        for walker in walkers:
            for stay in stays[1:]:
                walker.walk(stay)
        return walkers

    def _out(self, number: int, first: Stay) -> Walker:
        is_late = first.begins >= self.leaves_at
        walker = (self.cold if is_late else self.ready)[number].copy()
        walker.wait((first.begins - (self.leaves_at if is_late else self.ready_at)).total_seconds())
        walker.walk(first)
        return walker

    def later(self, walkers: Sequence[Walker], shift: timedelta) -> list[Walker]:
        """Return the same course begun later, in surroundings that do not change with the clock."""
        return [
            walker.later(len(cold.records), shift.total_seconds())
            for walker, cold in zip(walkers, self.cold, strict=True)
        ]

    def read(self, walkers: Sequence[Walker], leaves: datetime) -> list[Show]:
        """Read what a course does to every tier, which left the cold at a moment."""
        at = self.hour(leaves)
        return [self._read(tier, walker.line(), at) for tier, walker in zip(self.tiers, walkers, strict=True)]

    def _read(self, tier: TierToKeep, line: TierLine, leaves_h: float) -> Show:
        return Show(
            line=line,
            softness=soften(tier, line, self.components, from_h=leaves_h),
            clocks=(read := self._clocks(tier, line)),
            discard_h=min((at for _, each in read if (at := discard_h(each)) is not None), default=None),
        )

    def _clocks(self, tier: TierToKeep, line: TierLine) -> tuple[tuple[str, tuple[ClockReading, ...]], ...]:
        """Read the clocks of every component of a tier that needs control, each on its own warmest curve."""
        cold_c, _ = cold_holding(self.jurisdiction)
        keys = [] if tier.is_dummy else [one.component for one in tier.layers if one.component in self.safety]
        keys += [tier.coat] if tier.coat and not tier.is_dummy else []
        found: list[tuple[str, tuple[ClockReading, ...]]] = []
        for key in dict.fromkeys(keys):
            if not self.safety[key].is_controlled:
                continue
            curve = warmest_of(key, tier, line)
            under_control = first_below(line.hours, curve, cold_c)
            from_h = 0.0 if under_control is None else under_control + 1e-6
            readings = tuple(read_clock(one, line.hours, curve, from_h) for one in clocks(self.jurisdiction))
            found.append((key, readings))
        return tuple(found)


def warmest_of(component: str, tier: TierToKeep, line: TierLine) -> tuple[float, ...]:
    """Return the warmest curve of a component in a tier. [C]"""
    if component == tier.coat and all(curve.component != component for curve in line.fillings):
        coats = (line.coat_side.celsius, line.coat_top.celsius, line.coat_facing.celsius)
        return tuple(map(max, *coats))
    if component == tier.coat:
        coats = (line.filling_warmest.celsius, line.coat_top.celsius, line.coat_facing.celsius)
        return tuple(map(max, *coats))
    if any(curve.component == component for curve in line.fillings):
        return line.filling_warmest.celsius
    return line.warmest.celsius


@dataclass(frozen=True, slots=True, kw_only=True)
class First:
    """What ends a display first: when [h], in which tier, and why."""

    at_h: float
    tier: str
    why: str


def first_end(shows: Sequence[Show], names: dict[str, str]) -> First | None:
    """Return what ends a display first among tiers; None if nothing does."""
    ends: list[First] = []
    for show in shows:
        ends += [
            First(at_h=limit.could_h, tier=show.softness.name, why=limit.what.value)
            for limit in show.softness.limits
            if limit.could_h is not None and limit.what is not Yielding.ROAD
        ]
        for component, readings in show.clocks:
            at = discard_h(readings)
            if at is not None:
                name = names.get(component, component)
                ends.append(First(at_h=at, tier=show.softness.name, why=f"the time of {name} out of the cold runs out"))
    return min(ends, key=lambda end: end.at_h) if ends else None


@lru_cache(maxsize=256)
def _in_the_kitchen(
    tier: TierToKeep, components: tuple[Component, ...], kitchen: tuple[Stay, ...], start: Start, ready_at: datetime
) -> tuple[Walker, Walker]:
    """
    Take a tier through its kitchen, to when it is ready and to when it leaves; neither is walked on itself.

    Another venue, another set of guests or another light leaves the kitchen as it was.
    """
    walker = Walker(tier, {one.key: one for one in components})
    walker.begin(start)
    for stay in kitchen[:-1]:
        walker.walk(stay)
    last = kitchen[-1]
    walker.walk(replace(last, ends=ready_at))
    ready = walker.copy()
    walker.walk(replace(last, begins=ready_at), (ready_at - last.begins).total_seconds())
    return ready, walker


def set_up_window(
    stage: Stage, travel: Stay, venue: Stay, long: Sequence[Show], *, cutting: datetime, closes: datetime
) -> Window:
    """
    When the cake may be set up so that nothing gives way, and no clock ends, before it is cut.

    Parameters
    ----------
    stage
        The tiers, ready and cold.
    travel, venue
        As planned; moved together.
    long
        What travel and a display that goes on for hours do, as planned.
    cutting
        When it is cut.
    closes
        After this nobody may set up.

    Returns
    -------
    window
        To five minutes.
    """
    names = {key: one.name for key, one in stage.components.items()}
    end = first_end(long, names)
    planned_h, cutting_h = stage.hour(venue.begins), stage.hour(cutting)
    longest = None if end is None else end.at_h - planned_h
    passes = end is None or end.at_h >= cutting_h
    earliest_departure = stage.ready_at
    first = earliest_departure + (travel.ends - travel.begins)
    not_before: datetime | None
    if end is None and not venue.weather:
        not_before = min(first, venue.begins)
    elif venue.weather:
        not_before = _search(stage, travel, venue, cutting, first, names)
    else:
        # Steady surroundings: a later start moves the whole course along the clock.
        assert end is not None
        at = venue.begins + timedelta(hours=max(cutting_h - end.at_h, -SEARCH_BACK_H))
        not_before = None if longest is not None and longest <= 0.0 else max(_rounded_up(at), first)
        if not_before is not None and not_before > cutting - timedelta(minutes=15):
            not_before = None
    return Window(
        not_before=not_before,
        not_after=min(closes, cutting - timedelta(minutes=30)),
        longest_h=longest,
        governs=end.tier if end is not None else "",
        because=end.why if end is not None else "nothing gives way in the hours computed",
        plan_passes=passes,
    )


def _rounded_up(at: datetime) -> datetime:
    step = STEP_MIN * 60.0
    over = (at.minute * 60 + at.second + at.microsecond / 1e6) % step
    return at if over == 0.0 else at + timedelta(seconds=step - over)


def _search(
    stage: Stage, travel: Stay, venue: Stay, cutting: datetime, first: datetime, names: dict[str, str]
) -> datetime | None:
    """Halve between the first and the last possible set-up until five minutes are left."""

    def passes(at: datetime) -> bool:
        shift = at - venue.begins
        moved = (
            replace(travel, begins=travel.begins + shift, ends=at),
            replace(venue, begins=at, ends=max(cutting, at + timedelta(minutes=5))),
        )
        end = first_end(stage.show(moved), names)
        return end is None or end.at_h >= stage.hour(cutting)

    low, high = first, cutting - timedelta(minutes=15)
    if high <= low or not passes(high):
        return None
    if passes(low):
        return low
    while high - low > timedelta(minutes=STEP_MIN):
        middle = low + (high - low) / 2
        low, high = (low, middle) if passes(middle) else (middle, high)
    return _rounded_up(high)


def try_changes(
    stage: Stage, travel: Stay, venue: Stay, planned: Sequence[Walker], window: Window, *, cutting: datetime
) -> tuple[Change, ...]:
    """
    Try every change on its own, the cheapest first.

    Parameters
    ----------
    stage, travel, venue, planned, window
        The tiers, the plan and its course, and when they may be set up.
    cutting
        When the cake is cut.

    Returns
    -------
    changes
        Those that make sense here, with what came out.
    """
    names = {key: one.name for key, one in stage.components.items()}
    cut_h = stage.hour(cutting)
    found: list[Change] = []

    def tried(key: str, title: str, shows: Sequence[Show]) -> None:
        end = first_end(shows, names)
        fine = end is None or end.at_h >= cut_h
        if end is None:
            detail = "nothing gives way before the last slice"
        else:
            at = stage.begins + timedelta(hours=end.at_h)
            detail = f"the {end.tier} tier at {at:%H:%M}: {end.why}"
        found.append(Change(key=key, title=title, passes=fine, detail=detail))

    for one in sorted(rows("changes"), key=lambda item: int(item["rank"])):
        key, title = one["key"], one["title"]
        match key:
            case "later":
                at = window.not_before
                latest = window.not_after
                fine = at is not None and at <= latest
                words = "no set-up on the day passes" if at is None else f"not before {at:%H:%M}"
                found.append(Change(key=key, title=title, passes=fine, detail=words))
            case "shade" if venue.light == "full":
                tried(key, title, stage.show((travel, replace(venue, light="shade"))))
            case "box" if venue.cover_key == "none":
                opened = max(cutting - timedelta(hours=UNBOXED_H), venue.begins + timedelta(minutes=1))
                boxed = replace(venue, ends=opened, cover="card_box")
                tried(key, title, stage.show((travel, boxed, replace(venue, begins=opened))))
            case "indoors" if venue.place is Place.OUTDOORS:
                inside = replace(
                    venue, place=Place.VENUE, air_c=INDOORS_C, light="none", weather=(), air_speed_m_s=None
                )
                tried(key, title, stage.show((travel, inside)))
            case "fat":
                if any(_is_butter_coat(stage, tier) for tier in stage.tiers):
                    tried(key, title, _with_plant_fat(stage).read(planned, travel.begins))
            case "dummy":
                found.append(
                    Change(key=key, title=title, passes=True, detail="the cake stays in the cold until it is cut")
                )
            case _:
                pass
    return tuple(found)


def _is_butter_coat(stage: Stage, tier: TierToKeep) -> bool:
    return bool(tier.coat) and stage.components[tier.coat].fat == "milk"


def _with_plant_fat(stage: Stage) -> Stage:
    """Return the same cold tiers with butter coats judged as plant-fat ones; their clocks stay as they are."""
    other = object.__new__(Stage)
    other.__dict__.update(stage.__dict__)
    coats = {tier.coat for tier in stage.tiers if _is_butter_coat(stage, tier)}
    other.components = {
        key: replace(one, fat="plant", kind="plant_buttercream") if key in coats else one
        for key, one in stage.components.items()
    }
    return other


def fit_to_eat_h(line: TierLine, from_h: float) -> float | None:
    """Return when the mean of a tier is warm enough to eat, from a time on. [h]"""
    eat = threshold("eat_c")
    return next((h for h, t in zip(line.hours, line.mean.celsius, strict=True) if h >= from_h and t >= eat), None)
