"""How fast weeks are planned; run by hand. Times depend on the machine and on what else runs on it."""

from __future__ import annotations

import resource
import sys
from pathlib import Path
from time import perf_counter
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.week import classic
from tests.week.cases import kitchen, random_jobs

from tierwright.week import Failed, Settings, Wishes, check, replan, search
from tierwright.week.model import Proof
from tierwright.week.plan import clock_for
from tierwright.week.tasks import problem_of

SIZES = ((3, 2), (6, 3), (10, 5), (20, 9))
WEEKS = 200


def week(count: int, hands: int, seed: int) -> Any:
    owned = kitchen(
        hands=hands, shelves=2 + count // 4, ovens=1 + count // 8, mixers=1 + count // 5,
        fridge=(900, 700, min(3000, 900 + 200 * count)), freezer=(900, 700, min(3000, 800 + 150 * count)),
    )  # fmt: skip
    jobs = random_jobs(count, seed)
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


def rows() -> list[tuple[str, float, str]]:
    found: list[tuple[str, float, str]] = []
    for count, hands in SIZES:
        problem = week(count, hands, 1)
        begin = perf_counter()
        first: list[float] = []

        def seen(progress: Any, begin: float = begin, first: list[float] = first) -> None:
            if progress.cost is not None and progress.placed == progress.of and not first:
                first.append(perf_counter() - begin)

        settings = Settings(wall_s=60.0, rounds=8 if count < 20 else 2, effort=1.0, polish=3.0)
        done = search(problem, settings, report=seen)
        took = perf_counter() - begin
        name = f"{count} commissions, {len(problem.tasks)} tasks"
        if done.plan is None:
            found.append((f"{name}: no plan ({done.outcome.value})", took, "s"))
            continue
        assert not check(problem, done.plan)
        found.append((f"{name}: first plan", first[0] if first else took, "s"))
        found.append((f"{name}: {'proven optimal' if done.plan.proof is Proof.OPTIMAL else 'search ended'}", took, "s"))
        gap = done.plan.gap
        found.append((f"{name}: proven gap", float("nan") if gap is None else gap * 100, "%"))
        lost = min((p for p in done.plan.placed if "/bake." in p.task), key=lambda p: p.start)
        begin = perf_counter()
        after = replan(problem, done.plan, lost.end + 4, failed=[Failed(task=lost.task)])
        found.append((f"{name}: replan after a lost bake", perf_counter() - begin, "s"))
        found.append((f"{name}: tasks moved by it", (1 - after.kept_share) * 100, "%"))
    easy = [i for i in classic.instances() if i["kind"] != "RCPSP"]
    begin = perf_counter()
    for instance in easy:
        search(classic.problem_of(instance), Settings(polish=20.0))
    found.append((f"{len(easy)} RCPSP/max instances of PSPLIB sm_j10", perf_counter() - begin, "s"))
    found.append(("peak memory", resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0, "MB"))
    return found


if __name__ == "__main__":
    begin = perf_counter()
    passed, failed, without = checked()
    took = perf_counter() - begin
    print(f"{passed} pass the checker, {failed} break a limit, {without} have no plan ({took:.0f} s)")
