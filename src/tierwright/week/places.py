"""The kitchen as resources: crews of people alike, ovens, bowls, cold places, racks, a cool bench, vehicles."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from tierwright.brief import Kitchen
from tierwright.brief.kitchen import Hand
from tierwright.week.calendar import Away, Grid, openings, rests
from tierwright.week.model import STEP_MIN, Need, Resource, ResourceKind, Task, TaskKind
from tierwright.week.norms import limits

RACKS = "racks"
BENCH = "bench"
FRIDGE = "fridge"
FREEZER = "freezer"
VAN = "van"
DECILITRE = 10  # cold room is counted in tenths of a litre


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """
    How the maker wants the week, and what may be changed about it.

    Attributes
    ----------
    overtime_min
        How long anybody may work on after hours. [min]
    freshness, pauses
        Weight of an hour of age, and of an hour missing between boxing and leaving. [-]
    buffer_min
        Pause wished for between boxing and leaving. [min]
    late_share
        Share of trips that may be late because of the road and the setting up; the trip leaves early enough for it
        where it can. 0 to 0.5
    in_time
        Weight of an hour by which a handover comes later than that, or than the client may come. [-]
    vans
        Vehicles.
    fridge_l, freezer_l, bench_l
        Extra room. [l]
    extra_hands
        People to take on besides those of the kitchen, with the same hours as its first.
    extra_shelves
        Oven shelves to add.
    away
        When somebody is not there.
    paces
        The maker's own time over the table's, by norm.
    separate
        Allergens that are kept apart from every cake without them.
    no_freezing
        Commissions that may not be frozen ahead.
    stable
        Commissions whose fillings and coats keep without cold.
    thaw_in_room
        Whether layers thaw at room temperature instead of in the fridge.
    shopping, letters
        Whether buying and correspondence are planned too.
    """

    overtime_min: float = 0.0
    freshness: float = 1.0
    pauses: float = 2.0
    buffer_min: float = 180.0
    late_share: float = 0.02
    in_time: float = 60.0
    vans: int = 1
    fridge_l: float = 0.0
    freezer_l: float = 0.0
    bench_l: float = 0.0
    extra_hands: int = 0
    extra_shelves: int = 0
    away: tuple[Away, ...] = ()
    paces: tuple[tuple[str, float], ...] = ()
    separate: tuple[str, ...] = (
        "peanut", "almond", "hazelnut", "walnut", "cashew", "pecan", "brazil nut", "pistachio", "macadamia", "sesame",
    )  # fmt: skip
    no_freezing: tuple[str, ...] = ()
    stable: tuple[str, ...] = ()
    thaw_in_room: bool = False
    shopping: bool = False
    letters: bool = False


def crews(kitchen: Kitchen, clock: Grid, wishes: Wishes) -> tuple[Resource, ...]:
    """
    Group people who are alike in skills and hours.

    A crew of n is as exact as n named people, because intervals of which no more than n overlap can always be
    shared out among n (interval graphs are perfect), and much quicker to plan.
    """
    hands: list[Hand] = list(kitchen.hands)
    hands += [
        kitchen.hands[0].model_copy(update={"name": f"Extra hand {number + 1}"}) for number in range(wishes.extra_hands)
    ]
    groups: dict[tuple[object, ...], list[Hand]] = {}
    for hand in hands:
        groups.setdefault((openings(hand, clock, wishes.away), tuple(sorted(hand.skills))), []).append(hand)
    found = []
    for number, ((spells, skills), members) in enumerate(groups.items(), start=1):
        found.append(
            Resource(
                key=f"crew.{number}",
                label=", ".join(member.name for member in members),
                kind=ResourceKind.HANDS,
                capacity=len(members),
                rests=rests(spells, clock.horizon, wishes.overtime_min),  # type: ignore[arg-type]
                names=tuple(member.name for member in members),
                skills=skills,  # type: ignore[arg-type]
            )
        )
    return tuple(found)


def breaks(people: tuple[Resource, ...]) -> tuple[Task, ...]:
    """One break for every person in every stretch of work that is long enough, in its middle third."""
    long = int(limits()["break_after"].minutes // STEP_MIN)
    steps = int(limits()["break"].minutes // STEP_MIN)
    found: list[Task] = []
    for crew in people:
        edges = sorted((r.start, r.end) for r in crew.rests)
        for number, (before, after) in enumerate(itertools.pairwise(edges)):
            begin, end = before[1], after[0]
            if end - begin < long:
                continue
            found += [
                    Task(
                        key=f"break.{crew.key}.{number}.{unit}", job="", label="Break", kind=TaskKind.BREAK,
                        steps=steps, needs=(Need(options=((crew.key, 1),)),),
                        earliest=begin + (end - begin) // 3, latest=begin + (end - begin) * 3 // 4 + steps,
                    )
                    for unit in range(crew.capacity)
            ]  # fmt: skip
    return tuple(found)


def places(kitchen: Kitchen, clock: Grid, wishes: Wishes) -> tuple[Resource, ...]:
    """Return everything that limits the week."""
    table = limits()
    gap = int(table["preheat_change"].value // STEP_MIN)

    def litres(kind: str, extra_l: float, share: float) -> int:
        inside = sum(c.width * c.depth * c.height for c in kitchen.cold if c.kind == kind) / 1e6
        return int((inside * share + extra_l) * DECILITRE)

    ovens = tuple(
        Resource(
            key=f"oven.{number}", label=oven.name, kind=ResourceKind.OVEN,
            capacity=oven.shelves + (wishes.extra_shelves if number == 1 else 0), gap=gap,
        )
        for number, oven in enumerate(kitchen.ovens, start=1)
    )  # fmt: skip
    mixers = tuple(
        Resource(key=f"mixer.{number}", label=mixer.name, kind=ResourceKind.MIXER, capacity=1)
        for number, mixer in enumerate(kitchen.mixers, start=1)
    )
    fridge = litres("fridge", wishes.fridge_l, table["fridge_share"].value)
    freezer = litres("freezer", wishes.freezer_l, table["freezer_share"].value)
    bench = int((table["bench"].value + wishes.bench_l) * DECILITRE)
    rest = (
        Resource(key=FRIDGE, label="Fridge", kind=ResourceKind.FRIDGE, capacity=fridge),
        Resource(key=FREEZER, label="Freezer", kind=ResourceKind.FREEZER, capacity=freezer),
        Resource(key=RACKS, label="Cooling racks", kind=ResourceKind.RACK, capacity=int(table["racks"].value)),
        Resource(key=BENCH, label="Cool bench", kind=ResourceKind.BENCH, capacity=bench),
        Resource(key=VAN, label="Vehicle", kind=ResourceKind.VAN, capacity=wishes.vans),
    )
    return crews(kitchen, clock, wishes) + ovens + mixers + rest
