"""How fast weeks are planned; run by hand. Times depend on the machine and on what else runs on it."""

from __future__ import annotations

import resource
import sys
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from time import perf_counter, process_time
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.week import classic
from tests.week.cases import four_orders, kitchen, random_jobs

from tierwright.brief import Kitchen
from tierwright.errors import Infeasible
from tierwright.week import Failed, Outcome, Problem, Schedule, Settings, Wishes, admit, check, replan, search
from tierwright.week.model import Proof
from tierwright.week.plan import clock_for
from tierwright.week.tasks import problem_of

Row = tuple[str, float, str]
SIZES = ((3, 2), (6, 3), (10, 5), (20, 9))
WEEKS = 200
PROOFS = 5
LONG_S = 300.0


def roomy(count: int, hands: int) -> Kitchen:
    return kitchen(
        hands=hands, shelves=2 + count // 4, ovens=1 + count // 8, mixers=1 + count // 5,
        fridge=(900, 700, min(3000, 900 + 200 * count)), freezer=(900, 700, min(3000, 800 + 150 * count)),
    )  # fmt: skip


def week(count: int, hands: int, seed: int) -> Problem:
    owned, jobs = roomy(count, hands), random_jobs(count, seed)
    return problem_of(jobs, owned, clock_for(jobs, owned), Wishes(vans=1 + count // 3))


def checked(count: int = WEEKS) -> tuple[int, int, int]:
    """Plan seeded random weeks of one to five commissions; return how many pass the checker, break it, have no plan."""
    passed = failed = without = 0
    for seed in range(count):
        size = 1 + seed % 5
        problem = week(size, 1 + size // 2, 1000 + seed)
        done = search(problem, Settings(seed=seed, effort=0.5, rounds=2, polish=0.0, wall_s=60.0))
        if done.plan is None:
            without += 1
        elif check(problem, done.plan):
            failed += 1
        else:
            passed += 1
    return passed, failed, without


def rows() -> list[Row]:
    return [*_sizes(), *_proofs(), *_admissions(), *_classics(), _memory("peak memory so far")]


def long_rows() -> list[Row]:
    """Measure what takes minutes: half a minute against five, memory with polishing, 200 weeks checked."""
    return [*_five_minutes(), *_polished(), *_random_weeks()]


def _sizes() -> Iterator[Row]:
    for count, hands in SIZES:
        problem = week(count, hands, 1)
        clock = Clock()
        first: list[tuple[float, float]] = []

        def seen(progress: Any, clock: Clock = clock, first: list[tuple[float, float]] = first) -> None:
            if progress.cost is not None and progress.placed == progress.of and not first:
                first.append(clock.read())

        settings = Settings(wall_s=600.0, rounds=8 if count < 20 else 2, effort=1.0, polish=3.0)
        done = search(problem, settings, report=seen)
        ended = clock.read()
        name = f"{count} commissions, {len(problem.tasks)} tasks"
        if done.plan is None:
            yield from _timed(f"{name}: no plan ({done.outcome.value})", ended)
            continue
        assert not check(problem, done.plan)
        yield from _timed(f"{name}: first plan", first[0] if first else ended)
        how = "proven optimal" if done.plan.proof is Proof.OPTIMAL else "search ended"
        yield from _timed(f"{name}: {how}", ended)
        gap = done.plan.gap
        yield f"{name}: proven gap", float("nan") if gap is None else gap * 100, "%"
        yield from _lost_bakes(name, problem, done.plan)


def _lost_bakes(name: str, problem: Problem, plan: Schedule) -> Iterator[Row]:
    """Lose each bake of a week in turn: how long a new plan takes, and what else moves for it."""
    took: list[tuple[float, float]] = []
    ahead, whole = [], []
    without = 0
    for lost in sorted((p for p in plan.placed if "/bake." in p.task), key=lambda p: p.start):
        clock = Clock()
        try:
            after = replan(problem, plan, lost.end + 4, failed=[Failed(task=lost.task)])
        except Infeasible:
            without += 1
            continue
        took.append(clock.read())
        again = {placed.task.partition("#")[0] for placed in after.schedule.placed if "#" in placed.task}
        ahead.append(100 * (1 - after.kept_share))
        moved = [one for one in after.moved if one.before is not None and one.task not in again]
        whole.append(100 * len(moved) / len(plan.placed))
    if not took:
        return
    count = f"{name}: {len(took)} bakes lost in turn"
    yield from _timed(f"{count}, median replan", (median(w for w, _ in took), median(c for _, c in took)))
    yield from _timed(f"{count}, slowest replan", (max(w for w, _ in took), max(c for _, c in took)))
    yield f"{count}, within 2 s of processor", 100 * sum(c < 2 for _, c in took) / len(took), "%"
    yield f"{count}, median of the week's tasks moved", median(whole), "%"
    yield f"{count}, that move at most 5 % of the week's tasks", 100 * sum(m <= 5 for m in whole) / len(whole), "%"
    yield f"{count}, that move at most 5 % of the tasks ahead", 100 * sum(m <= 5 for m in ahead) / len(ahead), "%"
    yield f"{name}: lost bakes for which the week has no room", float(without), "bakes"


def _proofs() -> Iterator[Row]:
    took = []
    for seed in range(1, PROOFS + 1):
        problem = week(3, 2, seed)
        clock = Clock()
        done = search(problem, Settings(polish=30.0, wall_s=600.0))
        took.append(clock.read())
        if done.outcome is not Outcome.OPTIMAL:
            yield (
                f"3 commissions, week {seed}: not proven, gap",
                100 * (done.plan.gap or 1.0) if done.plan else 100.0,
                "%",
            )
    yield from _timed(f"3 commissions: slowest of {PROOFS} proofs of the optimum", _slowest(took))


def _admissions() -> Iterator[Row]:
    took: dict[str, tuple[float, float]] = {}

    def ask(name: str, accepted: Any, asked: Any, owned: Kitchen, wishes: Wishes, settings: Settings | None) -> None:
        clock = Clock()
        answer = admit(accepted, asked, owned, wishes=wishes, settings=settings)
        took[f"{name}: {answer.answer.value}"] = clock.read()

    for count, hands in ((3, 2), (6, 3), (11, 5)):
        for seed in (1, 2, 3):
            jobs = random_jobs(count, seed)
            owned = roomy(count, hands)
            ask(f"{count - 1} and one more, week {seed}", jobs[:-1], jobs[-1], owned, Wishes(vans=1 + count // 3), None)
    four, small = four_orders()
    ask("four orders, one small oven", (), four, small, Wishes(), Settings(effort=0.1, rounds=0, polish=0.0))
    name, slowest = max(took.items(), key=lambda item: item[1][1])
    yield from _timed(f"slowest of {len(took)} admissions ({name})", slowest)


def _classics() -> Iterator[Row]:
    easy = [i for i in classic.instances() if i["kind"] != "RCPSP"]
    clock = Clock()
    for instance in easy:
        search(classic.problem_of(instance), Settings(polish=20.0))
    yield from _timed(f"{len(easy)} RCPSP/max instances of PSPLIB sm_j10", clock.read())


def _five_minutes() -> Iterator[Row]:
    """Search a week of ten until five minutes of the processor are over, seed after seed."""
    problem = week(10, 5, 1)
    clock = Clock()
    seen: list[tuple[float, int]] = []

    def watch(progress: Any) -> bool:
        if progress.cost is not None and progress.placed == progress.of and not progress.overtime:
            seen.append((clock.read()[1], progress.cost))
        return clock.read()[1] > LONG_S

    plan, seed = None, 0
    while clock.read()[1] < LONG_S:
        seed += 1
        done = search(problem, Settings(seed=seed, rounds=1000, polish=20.0, wall_s=1e5), report=watch, start=plan)
        plan = done.plan if plan is None or (done.plan and done.plan.cost < plan.cost) else plan
    assert plan is not None
    best = min(cost for _, cost in seen)
    for second in (5, 30, 60):
        early = min((cost for at, cost in seen if at <= second), default=0)
        name = f"10 commissions: cost after {second} s of processor over the best of {LONG_S:.0f} s"
        yield name, 100 * (early / best - 1) if early else float("nan"), "%"


def _polished() -> Iterator[Row]:
    problem = week(20, 9, 1)
    clock = Clock()
    search(problem, Settings(rounds=2, effort=1.0, polish=20.0, wall_s=1e5))
    yield from _timed("20 commissions, polished whole", clock.read())
    yield _memory("peak memory with polishing")


def _random_weeks() -> Iterator[Row]:
    clock = Clock()
    passed, failed, without = checked()
    yield f"{WEEKS} random weeks: plans that pass the checker", float(passed), "weeks"
    yield f"{WEEKS} random weeks: plans that break a limit", float(failed), "weeks"
    yield f"{WEEKS} random weeks: without a plan", float(without), "weeks"
    yield from _timed(f"{WEEKS} random weeks", clock.read())


class Clock:
    """Seconds by the wall and of this process since it was made: other work on the machine tells in the first alone."""

    def __init__(self) -> None:
        self.begin = (perf_counter(), process_time())

    def read(self) -> tuple[float, float]:
        return perf_counter() - self.begin[0], process_time() - self.begin[1]


def _timed(name: str, took: tuple[float, float]) -> Iterator[Row]:
    yield name, took[0], "s"
    yield f"{name}, of the processor", took[1], "s"


def _slowest(took: list[tuple[float, float]]) -> tuple[float, float]:
    return max(took, key=lambda one: one[1])


def _memory(name: str) -> Row:
    return name, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0, "MB"
