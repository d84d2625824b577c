"""Find a plan by placing one commission after another, freeing neighbours where one does not fit, then improving.

The only module that runs the solver; it is imported when a plan is asked for, never before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import ceil
from random import Random
from time import monotonic
from typing import Any

from tierwright.week.check import check, cost_of
from tierwright.week.cp_model import Built, build, read_back
from tierwright.week.model import Pin, Problem, Proof, Schedule, Settings
from tierwright.week.narrow import narrow
from tierwright.week.precheck import due
from tierwright.week.unlimited import unlimited


class Outcome(StrEnum):
    """How one search ended."""

    FOUND = "found"
    OPTIMAL = "optimal"
    IMPOSSIBLE = "impossible"
    UNKNOWN = "unknown"


SOLVED = (Outcome.FOUND, Outcome.OPTIMAL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """The end of a search: how, the plan if there is one, what is proved of overtime and cost, and what was tried."""

    outcome: Outcome
    plan: Schedule | None = None
    tried: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """One moment of a search: what is being done, commissions placed, and the best plan's overtime, cost and bound."""

    stage: str
    placed: int
    of: int
    overtime: int | None = None
    cost: int | None = None
    bound: int | None = None


Report = Callable[[Progress], bool | None]
"""Told of every step; returning True stops the search, and the best plan so far is the answer."""


POLISHING = "polishing"
SMALL = 4
"""Up to so many commissions a week is searched whole. [-]"""

ROUND_SHARE = 0.1
"""Share of a search's effort that one improving round may take: many short looks find more than few long ones. [-]"""

GUIDE_SHARE = 0.5
"""Share of a search's effort that the week without queues may take, and that following it may take. [-]"""

FLOOR_SHARE = 0.2
"""Share of a search's effort that the floor of one commission may take, for each way of its choice. [-]"""

LISTED_SHARE = 0.5
"""Share of a search's effort that the list schedule may take before the solver looks as it likes. [-]"""


def _late_first(built: Built) -> None:
    """Tell the solver the order to decide in where it follows one: the latest start first, as late as it goes."""
    from ortools.sat.python import cp_model

    movable = [start for start in built.starts.values() if hasattr(start, "index")]
    built.model.add_decision_strategy(movable, cp_model.CHOOSE_HIGHEST_MAX, cp_model.SELECT_MAX_VALUE)


def _solver(
    settings: Settings, effort: float, deadline: float, *, seed: int = 0, bounds: bool = False, listed: bool = False
) -> Any:
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers = 1
    parameters.random_seed = settings.seed + seed
    parameters.max_deterministic_time = effort
    parameters.max_time_in_seconds = max(0.05, deadline - monotonic())
    parameters.symmetry_level = 0
    if bounds:  # the full linear relaxation proves far more of a cost, and is of no use to a bare yes or no
        parameters.linearization_level = 2
    if listed:
        parameters.search_branching = cp_model.FIXED_SEARCH
    return solver


def _outcome(status: Any) -> Outcome:
    from ortools.sat.python import cp_model

    if status == cp_model.MODEL_INVALID:
        raise AssertionError("the model of this week is not sound")
    known = {
        cp_model.OPTIMAL: Outcome.OPTIMAL,
        cp_model.FEASIBLE: Outcome.FOUND,
        cp_model.INFEASIBLE: Outcome.IMPOSSIBLE,
    }
    return known.get(status, Outcome.UNKNOWN)


def _hint(built: Built, problem: Problem, plan: Schedule) -> None:
    """Tell the solver the old plan, whole: a partial hint is worth little."""
    starts = plan.starts()
    picks = {item.task: item.picks for item in plan.placed}
    rests = {(r.resource, r.number, r.unit): r for r in plan.rests}
    pairs: list[tuple[Any, int]] = [(variable, starts[key]) for key, variable in built.starts.items() if key in starts]
    pairs += [(literal, int(key in plan.chosen)) for key, literal in built.choices.items()]
    for (key, number, name), literal in built.picks.items():
        if len(problem.task[key].needs[number].options) > 1 and key in picks:
            pairs.append((literal, int(picks[key][number] == name)))
    for rest_key, (begin, over) in built.rests.items():
        if rest_key in rests:
            pairs += [(begin, rests[rest_key].start), (over, rests[rest_key].end)]
    told: set[int] = set()
    for variable, value in pairs:
        # Equal constants are one variable to the solver, and a variable hinted twice makes the model invalid.
        if variable.index not in told:
            told.add(variable.index)
            built.model.add_hint(variable, value)


class Engine:
    """One search over one week."""

    def __init__(
        self, problem: Problem, settings: Settings, pins: Iterable[Pin] = (), report: Report | None = None
    ) -> None:
        self.problem = problem
        self.settings = settings
        self.pins = tuple(pins)
        self.narrowed = narrow(problem)
        self.deadline = monotonic() + settings.wall_s
        self.report = report
        self.stopped = False
        self.tried: list[str] = []
        self.order = sorted(problem.jobs, key=lambda job: (due(problem, job), job))

    def _tell(self, stage: str, plan: Schedule | None, placed: int) -> None:
        if self.report is None:
            return
        progress = Progress(
            stage=stage, placed=placed, of=len(self.problem.jobs), overtime=plan.overtime if plan else None,
            cost=plan.cost if plan else None, bound=plan.bound if plan else None,
        )  # fmt: skip
        if self.report(progress):
            self.stopped = True

    def _over(self) -> bool:
        return self.stopped or monotonic() > self.deadline

    def feasible(self, jobs: frozenset[str] | None, held: Schedule | None, effort: float, seed: int = 0) -> Search:
        """
        Look for any plan of these jobs, the rest of ``held`` staying.

        First every task is laid as late as it goes, the last of all first, with every limit followed through at each:
        that is a list schedule backwards from the handovers, and the freshest that a single pass can make. Where it
        runs into a corner, the solver looks as it likes.
        """
        built = build(self.problem, jobs, held, self.pins, self.narrowed)
        _late_first(built)
        outcome = Outcome.UNKNOWN
        for share, listed in ((LISTED_SHARE, True), (1.0, False)):
            solver = _solver(self.settings, effort * share, self.deadline, seed=seed, listed=listed)
            outcome = _outcome(solver.solve(built.model))
            if outcome in SOLVED:
                return Search(outcome=Outcome.FOUND, plan=self._read(built, solver))
            if outcome is Outcome.IMPOSSIBLE or self._over():
                break
        return Search(outcome=outcome)

    def _watched(self, solver: Any, built: Built, best: Schedule | None) -> Any:
        """Solve while every better plan and every better bound is told, and end at once when asked to stop."""
        if self.report is None:
            return solver.solve(built.model)
        from ortools.sat.python import cp_model

        cost = best.cost if best else None
        bound: int | None = None

        def tell() -> None:
            assert self.report is not None
            count = len(self.problem.jobs)
            overtime = best.overtime if best else None
            if self.report(
                Progress(stage=POLISHING, placed=count, of=count, overtime=overtime, cost=cost, bound=bound)
            ):
                self.stopped = True
                solver.stop_search()

        class Watch(cp_model.CpSolverSolutionCallback):
            def on_solution_callback(self) -> None:
                nonlocal cost
                found = round(self.objective_value)
                cost = found if cost is None else min(cost, found)
                tell()

        def better_bound(value: float) -> None:
            nonlocal bound
            if value > 0 and (bound is None or round(value) > bound):
                bound = round(value)
                tell()

        solver.best_bound_callback = better_bound
        return solver.solve(built.model, Watch())

    def _read(self, built: Built, solver: Any) -> Schedule:
        plan = read_back(self.problem, built, lambda item: item if isinstance(item, int) else int(solver.value(item)))
        return replace(plan, cost=cost_of(self.problem, plan))

    def improve(
        self,
        jobs: frozenset[str] | None,
        held: Schedule | None,
        known: Schedule | None,
        effort: float,
        pins: Iterable[Pin] = (),
    ) -> Search:
        """
        Find the least overtime of these jobs, then the least cost at that overtime; never worse than ``known``.

        ``pins`` hold more of their tasks than are held anyway.
        """
        built = build(self.problem, jobs, held, (*pins, *self.pins), self.narrowed)  # the last of two pins holds
        best = known
        overtime_bound: int | None = 0
        if built.rests:
            if best is not None:
                _hint(built, self.problem, best)
            built.model.minimize(built.overtime)
            if best is None or best.overtime > 0:
                solver = _solver(self.settings, effort, self.deadline)
                outcome = _outcome(solver.solve(built.model))
                if outcome is Outcome.IMPOSSIBLE:
                    return Search(outcome=outcome)
                if outcome in SOLVED:
                    found = self._read(built, solver)
                    if best is None or (found.overtime, found.cost) < (best.overtime, best.cost):
                        best = found
                overtime_bound = round(solver.best_objective_bound)
                if best is None:
                    return Search(outcome=Outcome.UNKNOWN)
            built.model.clear_hints()
            built.model.add(built.overtime <= best.overtime)
        if best is not None:
            _hint(built, self.problem, best)
        whole = jobs is None
        if isinstance(built.cost, int):  # nothing is wished for
            if best is None:
                return self.feasible(jobs, held, effort)
            return Search(outcome=Outcome.OPTIMAL, plan=replace(best, bound=best.cost if whole else None))
        if whole and 1 < len(self.problem.jobs) <= SMALL:
            self._floor(built, best.overtime if best else 0)
        built.model.minimize(built.cost)
        solver = _solver(self.settings, effort, self.deadline, bounds=bool(self.problem.jobs))
        outcome = _outcome(self._watched(solver, built, best) if whole else solver.solve(built.model))
        if outcome is Outcome.IMPOSSIBLE and best is None:
            return Search(outcome=outcome)
        if outcome in SOLVED:
            found = self._read(built, solver)
            if best is None or (found.overtime, found.cost) < (best.overtime, best.cost):
                best = found
        if best is None:
            return Search(outcome=Outcome.UNKNOWN)
        if whole and outcome in (*SOLVED, Outcome.UNKNOWN):
            bound = round(solver.best_objective_bound) if outcome is not Outcome.UNKNOWN else None
            optimal = outcome is Outcome.OPTIMAL and best.overtime == (overtime_bound or 0)
            best = replace(
                best,
                bound=min(bound, best.cost) if bound is not None else None,
                overtime_bound=overtime_bound,
                proof=Proof.OPTIMAL if optimal else Proof.FOUND,
            )
        return Search(outcome=outcome if outcome is Outcome.OPTIMAL else Outcome.FOUND, plan=best)

    def _floor(self, built: Built, overtime: int) -> None:
        """
        Say what each commission costs at least, were it alone in the week, under each way of its choice.

        Nobody else in the way is a part of every week with others, so the least that is proved of it holds here, too;
        what is left to prove is what the commissions cost one another.
        """
        for job in self.problem.jobs:
            if isinstance(built.costs.get(job, 0), int):
                continue  # nothing is wished for of it
            own = [choice.key for choice in self.problem.choices if choice.job == job]
            least: Any = 0
            for way in (own[0], f"!{own[0]}") if len(own) == 1 else ("",):
                alone = build(self.problem, frozenset({job}), None, self.pins, self.narrowed)
                if alone.rests:
                    alone.model.add(alone.overtime <= overtime)
                if way:
                    alone.model.add(alone.literal(way) == 1)
                alone.model.minimize(alone.costs[job])
                solver = _solver(self.settings, self.settings.effort * FLOOR_SHARE, self.deadline, bounds=True)
                outcome = _outcome(solver.solve(alone.model))
                chosen = built.literal(way) if way else 1
                if outcome is Outcome.IMPOSSIBLE and way:
                    built.model.add(chosen == 0)
                elif outcome in SOLVED:
                    least += max(0, ceil(solver.best_objective_bound - 1e-6)) * chosen
            built.model.add(built.costs[job] >= least)

    def insert(self, plan: Schedule | None, job: str, placed: Sequence[str]) -> Search:
        """Place one more commission: the rest frozen, else its 2, 4 or 7 nearest neighbours freed, else all."""
        own = frozenset({job, ""}) if not placed else frozenset({job})
        found = self.improve(own, plan, None, self.settings.effort)
        if found.plan is not None:
            return found
        self.tried.append(f"{self.problem.label_of(job)}: no place with the rest as it is")
        near = sorted(placed, key=lambda other: (abs(due(self.problem, other) - due(self.problem, job)), other))
        for count in (2, 4, 7):
            if count >= len(near) + 2 or self._over():
                break
            group = frozenset(near[:count]) | {job, ""}
            found = self.feasible(group, plan, self.settings.effort * 2)
            if found.plan is not None:
                self.tried.append(f"{self.problem.label_of(job)}: placed by moving {min(count, len(near))} others")
                return found
            if count >= len(near):
                return found
        if not placed:
            return found
        self.tried.append(f"{self.problem.label_of(job)}: tried again with everything free")
        return self.feasible(frozenset(placed) | {job, ""}, plan, self.settings.effort * 6)

    def run(self, start: Schedule | None = None) -> Search:
        """Plan the whole week."""
        if start is not None:  # an old plan is built on only where it still works
            start = self.feasible(frozenset({""}), start, self.settings.effort).plan
        plan = start
        placed: list[str] = [job for job in self.order if start and any(self._of(start, job))]
        outcome = Outcome.FOUND
        if not self.order:
            search = self.improve(None, None, None, self.settings.polish)
            return replace(search, tried=tuple(self.tried))
        if plan is None and self.order:
            # Most weeks are laid whole by the list schedule, and an impossible one is refuted at once.
            search = self.feasible(None, None, self.settings.effort * 3)
            if search.outcome is Outcome.IMPOSSIBLE:
                return replace(search, tried=tuple(self.tried))
            if search.plan is not None:
                plan, placed = search.plan, list(self.order)
                self._tell("a first plan", plan, len(placed))
        for job in self.order:
            if job in placed:
                continue
            search = self.insert(plan, job, placed)
            if search.plan is None:
                outcome = search.outcome
                # Only a refutation with everything free says anything about the week.
                if outcome is Outcome.IMPOSSIBLE and len(placed) > 0 and self._over():
                    outcome = Outcome.UNKNOWN
                return Search(outcome=outcome, tried=tuple(self.tried))
            plan = search.plan
            placed.append(job)
            self._tell("placing", plan, len(placed))
        if plan is None:
            return Search(outcome=Outcome.UNKNOWN, tried=tuple(self.tried))
        bound = None
        if start is None and self.settings.rounds and len(self.order) > SMALL and not self._over():
            plan, bound = self._guided(plan)
            self._tell("improving", plan, len(placed))
        plan = self._rounds(plan)
        if not self._over() and self.settings.polish > 0:
            final = self.improve(None, None, plan, self.settings.polish)
            plan = final.plan or plan
            self._tell(POLISHING, plan, len(placed))
        if bound is not None:
            plan = replace(plan, bound=min(plan.cost, max(bound, plan.bound or bound)))
        broken = check(self.problem, plan, self.pins)
        if broken:  # never hand out a plan that cannot be followed, whatever the solver says
            raise AssertionError(f"the plan found breaks {broken[0]}")
        outcome = Outcome.OPTIMAL if plan.proof is Proof.OPTIMAL else Outcome.FOUND
        return Search(outcome=outcome, plan=plan, tried=tuple(self.tried))

    def _of(self, plan: Schedule, job: str) -> Iterable[str]:
        return (item.task for item in plan.placed if self.problem.task[item.task].job == job)

    def _guided(self, plan: Schedule) -> tuple[Schedule, int | None]:
        """
        Follow the best plan of the week without queues as near as it can be followed; return its bound as well.

        How the commissions lie to one another, and which are frozen ahead, is decided there with the whole week in
        view; rounds over a few commissions at a time cannot change it afterwards.
        """
        effort = self.settings.effort * GUIDE_SHARE
        eased = Engine(unlimited(self.problem), self.settings, self.pins)
        eased.deadline = self.deadline
        first = eased.feasible(None, None, effort).plan
        ideal = eased.improve(None, None, first, effort).plan
        if ideal is None:
            return plan, None
        built = build(self.problem, None, None, self.pins, self.narrowed)
        _hint(built, self.problem, ideal)
        solver = _solver(self.settings, effort, self.deadline)
        if _outcome(solver.solve(built.model)) in SOLVED:
            found = self._read(built, solver)
            if (found.overtime, found.cost) < (plan.overtime, plan.cost):
                plan = found
        return plan, ideal.bound

    def _rounds(self, plan: Schedule) -> Schedule:
        """Free two or three commissions at a time, near in time as a rule, and keep what is better."""
        random = Random(self.settings.seed)
        if len(self.order) <= SMALL:  # proved whole instead
            return plan
        idle = 0
        for _ in range(self.settings.rounds):
            if self._over() or idle > 2 * len(self.order):
                break
            count = min(len(self.order), random.choice((2, 2, 3)))
            at = random.randrange(len(self.order) - count + 1)
            group = frozenset(self.order[at : at + count]) | {""}
            if random.random() < 0.3:
                group = frozenset(random.sample(self.order, count)) | {""}
            found = self.improve(group, plan, plan, self.settings.effort * ROUND_SHARE)
            idle += 1
            if found.plan is not None and (found.plan.overtime, found.plan.cost) < (plan.overtime, plan.cost):
                plan, idle = replace(found.plan, bound=None, proof=Proof.FOUND), 0
            self._tell("improving", plan, len(self.order))
        return plan


def search(
    problem: Problem,
    settings: Settings | None = None,
    pins: Iterable[Pin] = (),
    report: Report | None = None,
    start: Schedule | None = None,
) -> Search:
    """
    Search for a plan.

    Parameters
    ----------
    problem, settings
        The week, and how long to look.
    pins
        Tasks that stay where they are.
    report
        Told of every step; stops the search by returning True.
    start
        A plan of some of the commissions, to which the others are added.

    Returns
    -------
    search
        Its outcome is ``IMPOSSIBLE`` only where the solver refuted the week with everything free.
    """
    return Engine(problem, settings or Settings(), pins, report).run(start)
