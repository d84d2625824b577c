"""Which pans go into the oven together, in what order, and what each load costs in minutes and energy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache, lru_cache
from itertools import combinations, product
from typing import Final

from tierwright.bake.apart import apart_notes, free_first, may_share, threatened
from tierwright.bake.load_model import Load, LoadPlan, PanToBake, PlacedPan, Shelf, wait_limits
from tierwright.bake.model import Bake
from tierwright.bake.notes import HOT_CAUTIONS
from tierwright.bake.oven import ROOM_C as ROOM
from tierwright.bake.oven import Oven, door_delay_min, heating_kwh, standing_kwh, warm_up_min
from tierwright.bake.packing import Piece, Spot, pack, piece_of
from tierwright.bake.pans import finish
from tierwright.errors import Infeasible, MissingData
from tierwright.larder import Allergen
from tierwright.working import (
    COMMON_PRACTICE,
    Assumption,
    Basis,
    Estimate,
    Figure,
    Given,
    Notes,
    Question,
    Severity,
    Source,
)

CHANGE_MIN: Final = 5.0  # to take a load out, put the next in and let the oven come back
MOST_PANS: Final = 24
RIM_MM: Final = 4.0  # rolled rim of a pan, on every side; common practice
SHEET: Final = "bakes"


def pan_to_bake(answer: Bake, *, key: str = "", mix: str = "") -> PanToBake:
    """
    Return the filled pan of an answered bake, ready for a load.

    Parameters
    ----------
    answer
        One pan, answered.
    key
        Name of this very pan; empty takes the pan's own.
    mix
        Which batter it is filled from.

    Raises
    ------
    Infeasible
        The bake is never done.
    """
    if answer.done_min is None:
        raise Infeasible(f"a load with {answer.pan.key}", "its middle is never done at this set point", "a hotter oven")
    return PanToBake(
        key=key or answer.pan.key,
        outline=answer.pan.outline.grown(finish(answer.pan.finish).thickness_mm + RIM_MM),
        height_mm=max(answer.pan.height_mm, answer.trial.centre_height_mm),
        set_point_c=answer.setting.set_point_c,
        done_min=answer.done_min,
        heat_kj=answer.trial.heat_kj,
        leavening=answer.batter.leavening,
        mix=mix,
    )


def plan_loads(oven: Oven, pans: Sequence[PanToBake], *, start_c: float = ROOM, together: bool = False) -> LoadPlan:
    """
    Put pans into as few oven minutes as possible.

    Parameters
    ----------
    oven
        Its space, racks and doors.
    pans
        What has to be baked.
    start_c
        Temperature of the oven when the day starts. [degC]
    together
        Whether pans may share a load whatever must stay out of them, because the maker says so.

    Returns
    -------
    plan
        Loads in the order of baking.

    Raises
    ------
    Infeasible
        A pan that does not go into this oven at all.
    MissingData
        No pans.

    Notes
    -----
    Pans share a load only at the same set point, and only where none brings an allergen that must stay out of another.
    Over all ways of splitting the pans of one set point into loads, the
    one with the least oven minutes is found exactly (by like pans, smallest sets first); whether a set goes in is
    decided by packing each rack. Loads that must stay free of something go before those that bring it, and otherwise in
    the order in which their batters spoil, cooler ovens first.
    """
    if not pans:
        raise MissingData("at least one filled pan", "the oven loads")
    if len(pans) > MOST_PANS:
        raise Infeasible("the oven loads", f"{len(pans)} pans are more than one plan holds", "plan one day at a time")
    for pan in pans:
        if _shelves(oven, [pan]) is None:
            raise Infeasible(
                f"{pan.key} in {oven.key}",
                f"{pan.outline.describe()}, {pan.height_mm:.0f} mm high, does not go in with air all round",
                "a smaller pan, or another oven",
            )
    groups = [
        _split(oven, [pan for pan in pans if pan.set_point_c == set_point], together=together)
        for set_point in sorted({pan.set_point_c for pan in pans})
    ]
    limits = wait_limits()

    def spoils(load: list[PanToBake]) -> tuple[float, float]:
        return (min(limits[pan.leavening].minutes for pan in load), _load_minutes(oven, load))

    groups.sort(key=lambda loads: (min(spoils(load)[0] for load in loads), loads[0][0].set_point_c))
    ordered = [load for loads in groups for load in sorted(loads, key=spoils)]
    if not together:
        ordered = free_first(ordered)
    loads = _in_order(oven, ordered, start_c)
    total = loads[-1].starts_min + loads[-1].oven_min.value
    alone = sum(pan.done_min.value for pan in pans) + CHANGE_MIN * (len(pans) - 1)
    return LoadPlan(
        oven=oven.key,
        loads=tuple(loads),
        oven_minutes=total,
        energy_kwh=sum(load.energy_kwh for load in loads),
        by_minutes=tuple(load.number for load in sorted(loads, key=lambda load: -load.oven_min.value)),
        one_by_one_minutes=alone,
        notes=_notes(oven, pans, loads, total, alone)
        + apart_notes(f"oven_loads.{oven.key}", loads, pans, together=together),
    )


def _clear_height(oven: Oven, racks: tuple[int, ...], index: int) -> float:
    """Room over a rack up to the next one in use, or to the roof. [mm]"""
    heights = oven.rack_heights_mm
    above = heights[racks[index + 1]] if index + 1 < len(racks) else oven.height_mm
    return above - heights[racks[index]] - oven.head_gap_mm


def _shelves(oven: Oven, pans: Sequence[PanToBake]) -> list[tuple[int, list[tuple[PanToBake, Spot]]]] | None:
    """Lay pans on as few racks as they need; None if they do not go in."""
    width, depth = oven.shelf_mm
    gap = oven.pan_gap_mm
    # Every piece carries half its gap, so the shelf grows by as much.
    size = (width + gap, depth + gap)
    ordered = sorted(pans, key=lambda pan: -piece_of(pan.outline, gap).area_mm2)
    for count in range(1, oven.racks_at_once + 1):
        for racks in _rack_sets(oven, count):
            rooms = [_clear_height(oven, racks, i) for i in range(count)]
            found = _assign(ordered, rooms, size, gap)
            if found is not None:
                return [
                    (rack, list(zip(on_it, spots, strict=True)))
                    for rack, (on_it, spots) in zip(racks, found, strict=True)
                ]
    return None


def _rack_sets(oven: Oven, count: int) -> list[tuple[int, ...]]:
    """Rack positions to try: one rack near the middle first, more of them spread evenly first."""
    every = list(combinations(range(len(oven.rack_heights_mm)), count))
    middle = oven.height_mm * 0.4

    def evenness(racks: tuple[int, ...]) -> tuple[float, float]:
        rooms = [_clear_height(oven, racks, i) for i in range(count)]
        centre = sum(oven.rack_heights_mm[rack] for rack in racks) / count
        return (-min(rooms) if count > 1 else 0.0, abs(centre - middle))

    return sorted(every, key=evenness)


def _assign(
    pans: list[PanToBake], rooms: list[float], size: tuple[float, float], gap: float
) -> list[tuple[list[PanToBake], tuple[Spot, ...]]] | None:
    pieces = tuple(piece_of(pan.outline, gap) for pan in pans)
    goes = tuple(tuple(pan.height_mm <= room for room in rooms) for pan in pans)
    found = _laid(pieces, goes, size)
    return None if found is None else [([pans[i] for i in on_it], spots) for on_it, spots in found]


@lru_cache(maxsize=4096)
def _laid(
    pieces: tuple[Piece, ...], goes: tuple[tuple[bool, ...], ...], size: tuple[float, float]
) -> tuple[tuple[tuple[int, ...], tuple[Spot, ...]], ...] | None:
    """
    Lay pieces on shelves on which they go by their height: by shelf the numbers of its pieces, and where they lie.

    What a bake changes are times and heights; the same pans on the same shelves are not laid out again.
    """
    count = len(goes[0])
    shelves: list[list[int]] = [[] for _ in range(count)]

    def place(i: int) -> bool:
        if i == len(pieces):
            return True
        tried: set[tuple[object, ...]] = set()
        for number in range(count):
            # Shelves are alike that hold alike pieces and take the same ones.
            state = (
                tuple((pieces[k], goes[k]) for k in shelves[number]),
                tuple(each[number] for each in goes),
            )
            if not goes[i][number] or state in tried:
                continue
            tried.add(state)
            if pack([pieces[k] for k in (*shelves[number], i)], *size) is not None:
                shelves[number].append(i)
                if place(i + 1):
                    return True
                shelves[number].pop()
        return False

    if not place(0):
        return None
    result = []
    for on_it in shelves:
        spots = pack([pieces[k] for k in on_it], *size)
        if spots is None:  # pragma: no cover - the same call has just succeeded
            return None
        result.append((tuple(on_it), spots))
    return tuple(result)


_Kind = tuple[Piece, float, float, str, frozenset[Allergen], frozenset[Allergen], frozenset[Allergen]]


def _kind(pan: PanToBake) -> _Kind:
    inside = (pan.contains, pan.unknown, pan.keep_free_of)
    return (piece_of(pan.outline), pan.height_mm, pan.done_min.value, pan.leavening.value, *inside)


def _load_minutes(oven: Oven, load: Sequence[PanToBake]) -> float:
    """Oven minutes of a load: the slowest pan, and the door opened for every earlier one."""
    slowest = max(load, key=lambda pan: pan.done_min.value)
    return slowest.done_min.value + door_delay_min(oven, slowest.set_point_c, len(_outs(load)) - 1)


def _outs(load: Sequence[PanToBake]) -> list[float]:
    """Moments when the door is opened: pans done within two minutes of each other come out together."""
    moments: list[float] = []
    for value in sorted(pan.done_min.value for pan in load):
        if not moments or value - moments[-1] > 2.0:
            moments.append(value)
    return moments


def _split(oven: Oven, pans: list[PanToBake], *, together: bool) -> list[list[PanToBake]]:
    """Split pans of one set point into loads with the least oven minutes."""
    kinds: dict[_Kind, list[PanToBake]] = {}
    for pan in pans:
        kinds.setdefault(_kind(pan), []).append(pan)
    groups = list(kinds.values())
    counts = tuple(len(group) for group in groups)
    fits: dict[tuple[int, ...], bool] = {}

    def sample(picked: tuple[int, ...]) -> list[PanToBake]:
        return [pan for group, n in zip(groups, picked, strict=True) for pan in group[:n]]

    def is_a_load(pans: list[PanToBake]) -> bool:
        apart = not together and not all(may_share(one, other) for one, other in combinations(pans, 2))
        return not apart and _shelves(oven, pans) is not None

    def goes_in(picked: tuple[int, ...]) -> bool:
        if picked not in fits:
            # What does not go in as a part does not go in as a whole.
            parts = ((*picked[:i], n - 1, *picked[i + 1 :]) for i, n in enumerate(picked) if n > 0)
            fits[picked] = (sum(picked) == 1 or all(map(goes_in, parts))) and is_a_load(sample(picked))
        return fits[picked]

    @cache
    def minutes_of(picked: tuple[int, ...]) -> float:
        return _load_minutes(oven, sample(picked)) + CHANGE_MIN

    best: dict[tuple[int, ...], tuple[float, tuple[int, ...]]] = {tuple(0 for _ in counts): (0.0, ())}

    def solve(left: tuple[int, ...]) -> float:
        if left in best:
            return best[left][0]
        first = next(i for i, n in enumerate(left) if n > 0)
        answer: tuple[float, tuple[int, ...]] | None = None
        for picked in product(*(range(n + 1) for n in left)):
            # Some load holds the first pan that is left; it may as well be this one.
            if picked[first] == 0 or not goes_in(picked):
                continue
            rest = tuple(a - b for a, b in zip(left, picked, strict=True))
            minutes = minutes_of(picked) + solve(rest)
            if answer is None or minutes < answer[0] - 1e-9:
                answer = (minutes, picked)
        assert answer is not None  # every pan goes in alone
        best[left] = answer
        return answer[0]

    solve(counts)
    loads: list[list[PanToBake]] = []
    left = counts
    while any(left):
        picked = best[left][1]
        loads.append(sample(picked))
        for group, n in zip(groups, picked, strict=True):
            del group[:n]
        left = tuple(a - b for a, b in zip(left, picked, strict=True))
    return loads


def _in_order(oven: Oven, ordered: list[list[PanToBake]], start_c: float) -> list[Load]:
    limits = wait_limits()
    mixed_at: dict[str, float] = {}
    loads: list[Load] = []
    now, oven_c = 0.0, start_c
    for number, pans in enumerate(ordered, start=1):
        set_point = pans[0].set_point_c
        before = warm_up_min(oven, oven_c, set_point)
        if number > 1:
            before = max(before, CHANGE_MIN)
            now += before
        again = []
        for pan in pans:
            name = pan.mix or pan.key
            if name in mixed_at and now - mixed_at[name] > limits[pan.leavening].minutes:
                again.append(name)
                mixed_at[name] = now
            mixed_at.setdefault(name, now)
        placed = _shelves(oven, pans)
        assert placed is not None  # the split only holds loads that go in
        moments = _outs(pans)
        shelves = tuple(
            Shelf(
                rack=rack + 1,
                height_mm=oven.rack_heights_mm[rack],
                pans=tuple(_placed(oven, pan, spot, moments) for pan, spot in on_it),
            )
            for rack, on_it in placed
        )
        slowest = max(pans, key=lambda pan: pan.done_min.value)
        delay = door_delay_min(oven, set_point, len(moments) - 1)
        lasts = replace(slowest.done_min) + Estimate.exact(delay)
        energy = (
            standing_kwh(oven, set_point, lasts.value + (before if number > 1 else 0.0))
            + sum(pan.heat_kj for pan in pans) / 3600.0
            + heating_kwh(oven, oven_c, set_point)
        )
        mixes = tuple(dict.fromkeys(pan.mix or pan.key for pan in pans))
        others = [pan for load in ordered if load is not pans for pan in load]
        loads.append(
            Load(
                number=number,
                set_point_c=set_point,
                shelves=shelves,
                oven_min=lasts,
                starts_min=now,
                before_min=before,
                door_openings=len(moments) - 1,
                energy_kwh=energy,
                mixes=mixes,
                mix_again=tuple(dict.fromkeys(again)),
                keep_out=tuple(sorted(threatened(pans, others))),
                brings=tuple(sorted(threatened(others, pans))),
            )
        )
        now += lasts.value
        oven_c = set_point
    return loads


def _placed(oven: Oven, pan: PanToBake, spot: Spot, moments: list[float]) -> PlacedPan:
    earlier = sum(1 for moment in moments if moment < pan.done_min.value - 2.0)
    shift = oven.wall_gap_mm - oven.pan_gap_mm / 2.0
    return PlacedPan(
        key=pan.key,
        x_mm=spot.x_mm + shift,
        y_mm=spot.y_mm + shift,
        turned=spot.turned,
        out_min=pan.done_min + Estimate.exact(door_delay_min(oven, pan.set_point_c, earlier)),
    )


def _notes(oven: Oven, pans: Sequence[PanToBake], loads: list[Load], total: float, alone: float) -> Notes:
    place = f"oven_loads.{oven.key}"
    figures = (
        Figure(
            key=f"{place}.oven_min",
            label="oven minutes",
            value=round(total, 1),
            unit="min",
            equation="sum over loads of the slowest pan, door openings and changes; the split with the least of it",
            inputs=(
                Given(name="pans", value=len(pans)),
                Given(name="loads", value=len(loads)),
                Given(name="one at a time", value=round(alone, 1), unit="min"),
            ),
            source=Source(basis=Basis.EXACT, text="search over all splits; packing of every rack"),
            sheet=SHEET,
        ),
        Figure(
            key=f"{place}.energy_kwh",
            label="energy for the loads",
            value=round(sum(load.energy_kwh for load in loads), 2),
            unit="kWh",
            low=round(0.7 * sum(load.energy_kwh for load in loads), 2),
            high=round(1.3 * sum(load.energy_kwh for load in loads), 2),
            equation="losses of the warm oven + heat into pans, cakes and walls",
            inputs=(
                Given(name="loss", value=oven.loss_w_k, unit="W/K"),
                Given(name="walls", value=oven.heat_j_k, unit="J/K"),
            ),
            source=Source(basis=Basis.FROM_MEMORY, text="household ovens use about 0.8 to 1 kWh an hour at 180 degC"),
            sheet=SHEET,
        ),
    )
    limits = wait_limits()
    by_mix = {pan.mix or pan.key: pan for pan in pans}
    questions = tuple(
        Question(
            key=f"{place}.load_{load.number}.{mix}",
            severity=Severity.ASK,
            sheet=SHEET,
            text=f"The batter {mix!r} cannot wait for load {load.number}. Mix it afresh then?",
            reason=f"{by_mix[mix].leavening.value}: {limits[by_mix[mix].leavening].reason}.",
            figure=f"{limits[by_mix[mix].leavening].minutes:.0f} min",
            change="mix it in two batches, or bake in a larger oven",
        )
        for load in loads
        for mix in load.mix_again
    )
    return Notes(
        figures=figures,
        questions=questions,
        cautions=HOT_CAUTIONS[:1],
        assumptions=(
            Assumption(
                key=f"{place}.gaps",
                text="air to the walls, between pans, and over a finished cake",
                value=f"{oven.wall_gap_mm:.0f}, {oven.pan_gap_mm:.0f}, {oven.head_gap_mm:.0f} mm",
                source=COMMON_PRACTICE,
            ),
            Assumption(
                key=f"{place}.door",
                text="one opening: drop of the oven, and time constant of its return",
                value=f"{100 * oven.door_share:.0f} % of the way to the room, {oven.recovery_s:.0f} s",
                source=Source(basis=Basis.FROM_MEMORY, text="measure it with an oven thermometer"),
            ),
        ),
    )
