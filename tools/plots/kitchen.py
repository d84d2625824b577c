"""The maker's oven, its loads, the order of work, the week, and the clocks of a handover."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import permutations

import numpy as np
from tests.bake import test_learning as learning
from tests.bake.test_loads import OVEN, pan
from tests.handover import test_calendar as clocks
from tests.keeping.test_rest import EGG, HAZEL, MILK, made
from tests.keeping.test_rest import clean_downs as count_clean_downs
from tests.published.test_bake_packing import EQUAL_DISCS, SIDE
from tests.week import classic
from tools.plots.drawing import Plot, Points

from tierwright.bake import OvenRecord, PanToBake, Piece, calibrate, pack, plan_loads, run_trial, time_range
from tierwright.bake.oven import door_delay_min
from tierwright.keeping.allergens import order_of_work
from tierwright.week import Settings, search
from tierwright.week.precheck import windows


def own_oven() -> Plot:
    record = OvenRecord(oven="o", evidence=(learning.log_of(203.0, 25.0, 177.0),))
    ignorant, taught = calibrate(OvenRecord(oven="o")), calibrate(record)
    before, after, ranges = [], [], []
    for case in (*learning.OTHERS, (178.0, 35.0, 177.0), (280.0, 26.0, 171.0), (203.0, 40.0, 163.0)):
        real = learning.truth(*case).done_min
        guesses = [
            run_trial(*learning.filled(*case[:2]), known.setting(case[2])).done_min for known in (ignorant, taught)
        ]
        assert real is not None
        assert guesses[0] is not None
        assert guesses[1] is not None
        stretch = time_range(guesses[1], taught.setting(case[2]))
        before.append((real, guesses[0] / real))
        after.append((real, guesses[1] / real))
        ranges.append((real, stretch.low / real, stretch.high / real))
    return Plot(
        key="own-oven", title="Seven other pans, foretold after one probe log of one pan",
        across="done after, in an oven that the model does not share [min]", up="foretold over true",
        x=(20, 90, 10), y=(0.85, 1.15, 0.05), lines=(("true", [(20, 1), (90, 1)]),),
        spans=(("range told after the log", ranges),),
        marks=(("knowing nothing of the oven", before), ("after the log", after)),
    )  # fmt: skip


def _rows(count: int) -> float:
    """Width of equal pans set in straight rows on the rack. [mm]"""
    return max(SIDE / max(along, -(-count // along)) for along in range(1, count + 1))


def pans_on_a_rack() -> Plot:
    def laid(count: int, best_mm: float) -> float:
        return next(
            share * best_mm for share in (1.001, 0.999, 0.995, 0.99, 0.98, 0.95)
            if pack([Piece(width_mm=share * best_mm)] * count, SIDE, SIDE) is not None
        )  # fmt: skip

    known = {count: 2 * radius * SIDE for count, radius in EQUAL_DISCS.items()}
    return Plot(
        key="pans-on-a-rack", title="The widest round pans, so many at once, on a rack of 400 × 400 mm",
        across="pans", up="width of each, air included [mm]", x=(2, 10, 1), y=(100, 260, 20),
        lines=(
            ("widest that is laid", [(count, laid(count, best)) for count, best in known.items()]),
            ("straight rows", [(count, _rows(count)) for count in range(2, 11)]),
        ),
        marks=(("best known (Graham and Lubachevsky 1996)", list(known.items())),),
    )  # fmt: skip


def _splits(pans: list[PanToBake]) -> Iterator[list[list[PanToBake]]]:
    """Every way to share pans out among loads of four at most."""
    if not pans:
        yield []
        return
    first, *rest = pans
    for split in _splits(rest):
        yield [[first], *split]
        for place, load in enumerate(split):
            if len(load) < 4:
                yield [*split[:place], [first, *load], *split[place + 1 :]]


def oven_minutes() -> Plot:
    # Four pans of 150 mm go on the rack, five do not (by hand in the test); no two are done within two minutes.
    minutes = (34.0, 22.0, 31.0, 25.0, 37.0, 28.0, 40.0)
    pans = [pan(f"p{place}", 150.0, one) for place, one in enumerate(minutes)]
    door = door_delay_min(OVEN, 177.0)

    def least(some: list[PanToBake]) -> float:
        return min(
            sum(max(one.done_min.value for one in load) + door * (len(load) - 1) for load in split)
            + 5.0 * (len(split) - 1)
            for split in _splits(some)
        )

    counts = range(1, len(pans) + 1)
    plans = [plan_loads(OVEN, pans[:count]) for count in counts]
    return Plot(
        key="oven-minutes", title="Minutes in the oven for pans of 150 mm, four to a rack",
        across="pans", up="minutes", x=(1, 7, 1), y=(0, 300, 50),
        lines=(
            ("loads as planned", [(n, plan.oven_minutes) for n, plan in zip(counts, plans, strict=True)]),
            ("one pan at a time", [(n, plan.one_by_one_minutes) for n, plan in zip(counts, plans, strict=True)]),
        ),
        marks=(("least of every split, by enumeration", [(n, least(pans[:n])) for n in counts]),),
    )  # fmt: skip


def clean_downs() -> Plot:
    dice = np.random.default_rng(7)
    sizes = range(2, 7)
    planned, listed, least = [], [], []
    for size in sizes:
        kitchens = []
        for _ in range(40):
            has = dice.random((size, 3)) < 0.45
            free = ~has & (dice.random((size, 3)) < 0.45)
            nuts = np.array([MILK, EGG, HAZEL])
            kitchens.append(tuple(made(str(i), *nuts[has[i]], free=tuple(nuts[free[i]])) for i in range(size)))
        planned.append((size, float(np.mean([sum(bool(s.clean_before) for s in order_of_work(k)) for k in kitchens]))))
        listed.append((size, float(np.mean([count_clean_downs(k) for k in kitchens]))))
        least.append((size, float(np.mean([min(map(count_clean_downs, permutations(k))) for k in kitchens]))))
    return Plot(
        key="clean-downs", title="Clean-downs that an order of work needs, over 40 drawn kitchens each",
        across="components", up="clean-downs on average", x=(2, 6, 1), y=(0, 3, 0.5),
        lines=(("in the order found", planned), ("in the order of the brief", listed)),
        marks=(("least of all orders, each tried", least),),
    )  # fmt: skip


def week() -> Plot:
    known, found, bare = [], [], []
    for instance in classic.instances():
        best = instance["published_makespan"]
        # All that have pauses, and the first of those without: the others take longer to prove.
        if best == "unsat" or not (instance["name"].startswith("sm_j10") or instance["name"] == "j301_1"):
            continue
        problem = classic.problem_of(instance)
        plan = search(problem, Settings(polish=60.0)).plan
        assert plan is not None
        known.append((best, best))
        found.append((best, plan.cost))
        bare.append((best, windows(problem).earliest[problem.tasks[-1].key]))
    return Plot(
        key="week", title="Published problems of scheduling: how long the whole takes",
        across="published optimum [steps]", up="steps", x=(20, 60, 5), y=(10, 60, 10),
        lines=(
            ("plan found, and proved", sorted(found)),
        ),
        marks=(("PSPLIB (Kolisch and Sprecher 1996)", known), ("by the longest path alone, without a search", bare)),
    )  # fmt: skip


def clock_changes() -> Plot:
    begin = datetime(2027, 1, 1, tzinfo=UTC)

    def told(zone: str) -> Points:
        """Local time less UTC, read out of a calendar file by a reader that knows no zone by name."""
        instants = [begin + timedelta(days=2 * n) for n in range(183)]
        content = clocks.written(*(clocks.moment(at, zone, key=str(n)) for n, at in enumerate(instants)))
        read = clocks.read_by_its_own_rules(content)
        hours = [(at.replace(tzinfo=UTC) - at.astimezone(UTC)).total_seconds() / 3600 for at, _ in read]
        days = [2.0 * n for n in range(len(hours))]
        jumps = [n for n in range(1, len(hours)) if hours[n] != hours[n - 1]]
        kept = sorted({0, len(hours) - 1, *jumps, *(n - 1 for n in jumps)})
        return [(days[n], hours[n]) for n in kept]

    lines = {zone: told(zone) for zone in dict.fromkeys(zone for zone, _, _ in clocks.CHANGES)}
    marks = []
    for zone, at, by in clocks.CHANGES:
        day = (at - begin) / timedelta(days=1)
        after = min(lines[zone], key=lambda point: (point[0] < day, point[0]))[1]
        marks.append((day, after - by / timedelta(hours=1) / 2))
    return Plot(
        key="clock-changes", title="Changes of the clock in a calendar file, read without any table of zones",
        across="day of 2027", up="local time less UTC [h]", x=(0, 365, 30), y=(-8, 12, 2),
        lines=tuple((zone.replace("_", " "), line) for zone, line in lines.items()),
        marks=(("the law of each place", marks),),
    )  # fmt: skip
