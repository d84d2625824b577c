"""A week as a constraint model: one translation for kitchens and for published scheduling problems alike."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tierwright.week.model import Hold, Pin, Placed, Problem, Proof, Schedule, Span, TakenRest, Task
from tierwright.week.narrow import Branch, Narrowed, narrow


@dataclass(slots=True)
class Built:
    """A model with its variables, by the names of the problem."""

    model: Any
    starts: dict[str, Any] = field(default_factory=dict)
    present: dict[str, Any] = field(default_factory=dict)
    picks: dict[tuple[str, int, str], Any] = field(default_factory=dict)
    choices: dict[str, Any] = field(default_factory=dict)
    rests: dict[tuple[str, int, int], tuple[Any, Any]] = field(default_factory=dict)
    overtime: Any = 0
    cost: Any = 0
    costs: dict[str, Any] = field(default_factory=dict)
    """What each commission adds to the cost."""

    def literal(self, way: str) -> Any:
        """Return what says that a choice is taken (``choice``), or that it is not (``!choice``)."""
        return self.choices[way[1:]].negated() if way.startswith("!") else self.choices[way]


class _Builder:
    """Builds the model of some jobs, with the tasks of others held where a plan has them."""

    def __init__(
        self, problem: Problem, jobs: frozenset[str] | None, held: Schedule | None, pins: Mapping[str, Pin],
        narrowed: Narrowed,
    ) -> None:  # fmt: skip
        from ortools.sat.python import cp_model

        self.problem = problem
        self.narrowed = narrowed
        self.domain = cp_model.Domain
        self.held = {item.task: item for item in held.placed} if held else {}
        self.held_chosen = frozenset(held.chosen) if held else frozenset()
        # A job takes part if it is to be placed now or is held already.
        held_jobs = {problem.task[key].job for key in self.held if key in problem.task}
        self.free_jobs = frozenset(problem.jobs) | {""} if jobs is None else jobs
        self.frozen_jobs = held_jobs - self.free_jobs
        self.jobs = self.free_jobs | self.frozen_jobs
        self.pins = pins
        self.model = cp_model.CpModel()
        self.built = Built(model=self.model)
        self.true = self.model.new_constant(1)
        self.uses: dict[str, list[tuple[Any, int]]] = defaultdict(list)
        self.stateful: dict[str, list[tuple[Task, int, Any, bool]]] = defaultdict(list)

    def build(self) -> Built:
        for choice in self.problem.choices:
            if choice.job in self.frozen_jobs:
                literal = self.model.new_constant(int(choice.key in self.held_chosen))
            else:
                literal = self.model.new_bool_var(choice.key)
                if not choice.allowed:
                    self.model.add(literal == 0)
                for way, value in ((choice.key, 0), (f"!{choice.key}", 1)):
                    if self.narrowed.branches.get(way, 0) is None:  # leads nowhere
                        self.model.add(literal == value)
            self.built.choices[choice.key] = literal
        tasks = [task for task in self.problem.tasks if task.job in self.jobs]
        for task in tasks:
            self._task(task)
        for lag in self.problem.lags:
            self._lag(lag.before, lag.after, lag.least, lag.most, lag.from_start, lag.when)
        for hold in self.problem.holds:
            self._hold(hold)
        self._blocks()
        self._states()
        self._resources()
        self._costs()
        return self.built

    def _literal(self, name: str) -> Any:
        return self.built.literal(name) if name else self.true

    def _frozen(self, key: str) -> bool:
        return self.problem.task[key].job in self.frozen_jobs

    def _known(self, key: str) -> bool:
        return key in self.built.starts

    def _task(self, task: Task) -> None:
        model, key = self.model, task.key
        if task.job in self.frozen_jobs:
            item = self.held.get(key)
            if item is None:
                return  # not done under the choices that are held
            self.built.starts[key] = model.new_constant(item.start)
            self.built.present[key] = self.true
            for number, (pick, need) in enumerate(zip(item.picks, task.needs, strict=True)):
                amount = dict(need.options)[pick]
                self.built.picks[key, number, pick] = self.true
                if task.steps and amount:
                    self.uses[pick].append((model.new_fixed_size_interval_var(item.start, task.steps, key), amount))
                if need.state is not None:
                    self.stateful[pick].append((task, need.state, self.true, True))
            return
        pin, here = self.pins.get(key), self._literal(task.when)
        spells = self.narrowed.starts[key]
        if pin:
            start = model.new_constant(pin.start)
            if task.when:  # what is held is done, and with it the choice that it hangs on is taken
                model.add(here == 1)
        elif spells:
            start = model.new_int_var_from_domain(self.domain.from_intervals([list(spell) for spell in spells]), key)
        else:
            start = model.new_int_var(0, self.problem.horizon, key)
            model.add(here == 0)
        self.built.starts[key] = start
        self.built.present[key] = here
        for number, need in enumerate(task.needs):
            literals = []
            for name, amount in need.options:
                literal = here if len(need.options) == 1 else model.new_bool_var(f"{key}/{number}/{name}")
                literals.append(literal)
                self.built.picks[key, number, name] = literal
                if task.steps and amount:
                    interval = model.new_optional_fixed_size_interval_var(start, task.steps, literal, f"{key}@{name}")
                    self.uses[name].append((interval, amount))
                if need.state is not None:
                    self.stateful[name].append((task, need.state, literal, False))
            if len(literals) > 1:
                model.add(sum(literals) == here)
                if pin and pin.picks:
                    model.add(self.built.picks[key, number, pin.picks[number]] == here)

    def _guards(self, *names: str, when: str = "") -> list[Any]:
        """Literals under which something binds: the tasks are done, and the choice is taken."""
        guards = [self.built.present[name] for name in names] + ([self._literal(when)] if when else [])
        return [g for g in guards if g is not self.true]

    def _lag(self, before: str, after: str, least: int, most: int | None, from_start: bool, when: str) -> None:
        if not (self._known(before) and self._known(after)) or (self._frozen(before) and self._frozen(after)):
            return
        offset = 0 if from_start else self.problem.task[before].steps
        pause = self.built.starts[after] - self.built.starts[before] - offset
        guards = self._guards(before, after, when=when)
        bounds = [self.model.add(pause >= least)] + ([self.model.add(pause <= most)] if most is not None else [])
        for constraint in bounds:
            if guards:
                constraint.only_enforce_if(guards)

    def _hold(self, hold: Hold) -> None:
        if not (self._known(hold.before) and self._known(hold.after)):
            return
        if self._frozen(hold.before) and self._frozen(hold.after):
            start = self.held[hold.before].end
            size = self.held[hold.after].start - start
            taken = not hold.when or (hold.when.lstrip("!") in self.held_chosen) != hold.when.startswith("!")
            if size > 0 and taken:
                interval = self.model.new_fixed_size_interval_var(start, size, "hold")
                self.uses[hold.resource].append((interval, hold.amount))
            return
        guards = self._guards(hold.before, hold.after, when=hold.when)
        begin = self.built.starts[hold.before] + self.problem.task[hold.before].steps
        end = self.built.starts[hold.after]
        length = self.model.new_int_var(0, self.problem.horizon, "")
        if not guards:
            interval = self.model.new_interval_var(begin, length, end, "")
        else:
            both = guards[0]
            if len(guards) > 1:
                both = self.model.new_bool_var("")
                self.model.add_bool_and(guards).only_enforce_if(both)
                self.model.add_bool_or([both] + [g.negated() for g in guards])
            interval = self.model.new_optional_interval_var(begin, length, end, both, "")
        self.uses[hold.resource].append((interval, hold.amount))

    def _blocks(self) -> None:
        for block in self.problem.blocks:
            inside = [key for key in block.inside if self._known(key)]
            if not inside or not self._known(block.last):
                continue
            first = self.model.new_int_var(0, self.problem.horizon, "")
            for key in inside:
                constraint = self.model.add(first <= self.built.starts[key])
                if guards := self._guards(key):
                    constraint.only_enforce_if(guards)
            over = self.built.starts[block.last] + self.problem.task[block.last].steps
            for key in block.outside:
                if not self._known(key):
                    continue
                before = self.model.new_bool_var("")
                guards = self._guards(key, block.last)
                end = self.built.starts[key] + self.problem.task[key].steps
                self.model.add(end <= first).only_enforce_if([before, *guards])
                self.model.add(self.built.starts[key] >= over).only_enforce_if([before.negated(), *guards])

    def _states(self) -> None:
        """Two users of different states on one resource: one after the other, with the gap between."""
        orders: dict[tuple[str, str], tuple[Any, Any]] = {}
        for name, users in self.stateful.items():
            gap = self.problem.resource[name].gap
            for i, (task, state, literal, frozen) in enumerate(users):
                for task2, state2, literal2, frozen2 in users[i + 1 :]:
                    if state == state2 or (frozen and frozen2) or not (task.steps and task2.steps):
                        continue
                    pair = (task.key, task2.key)
                    if pair not in orders:
                        # One pair of order literals for all ovens: far fewer variables than one per oven.
                        a, b = self.model.new_bool_var(""), self.model.new_bool_var("")
                        start, start2 = self.built.starts[task.key], self.built.starts[task2.key]
                        self.model.add(start2 >= start + task.steps + gap).only_enforce_if(a)
                        self.model.add(start >= start2 + task2.steps + gap).only_enforce_if(b)
                        orders[pair] = (a, b)
                    a, b = orders[pair]
                    both = [g.negated() for g in (literal, literal2) if g is not self.true]
                    self.model.add_bool_or([a, b, *both])

    def _resources(self) -> None:
        model = self.model
        for resource in self.problem.resources:
            used = self.uses.get(resource.key, [])
            extra: list[tuple[Any, int]] = []
            for number, rest in enumerate(resource.rests):
                if rest.end <= rest.start:
                    continue
                if not (rest.late or rest.early):
                    block = model.new_fixed_size_interval_var(rest.start, rest.end - rest.start, "")
                    extra.append((block, resource.capacity))
                    continue
                for unit in range(resource.capacity):
                    begin = model.new_int_var(rest.start, rest.start + rest.late, "")
                    over = model.new_int_var(rest.end - rest.early, rest.end, "")
                    size = model.new_int_var(max(rest.least, 0), rest.end - rest.start, "")
                    extra.append((model.new_interval_var(begin, size, over, ""), 1))
                    self.built.rests[resource.key, number, unit] = (begin, over)
                    self.built.overtime += (begin - rest.start) + (rest.end - over)
            if not used:
                continue
            everything = used + extra
            if resource.capacity == 1 and all(amount == 1 for _, amount in everything):
                model.add_no_overlap([interval for interval, _ in everything])
            else:
                model.add_cumulative([i for i, _ in everything], [a for _, a in everything], resource.capacity)

    def _costs(self) -> None:
        costs: dict[str, Any] = defaultdict(int)
        for choice in self.problem.choices:
            if choice.cost and choice.job in self.free_jobs:
                costs[choice.job] += choice.cost * self.built.choices[choice.key]
        for span in self.problem.spans:
            if not (self._known(span.before) and self._known(span.after)) or self._frozen(span.after):
                continue
            offset = 0 if span.from_start else self.problem.task[span.before].steps
            length = self.built.starts[span.after] - self.built.starts[span.before] - offset
            guards = self._guards(span.before, span.after, when=span.when)
            paid = self.model.new_int_var(0, self.problem.horizon, "")
            constraint = self.model.add(paid >= length)
            if guards:
                constraint.only_enforce_if(guards)
            self._at_least(span, paid, offset)
            costs[self.problem.task[span.after].job] += span.weight * paid
        for buffer in self.problem.buffers:
            if not (self._known(buffer.before) and self._known(buffer.after)) or self._frozen(buffer.after):
                continue
            short = self.model.new_int_var(0, buffer.wanted + 2 * self.problem.horizon, "")
            pause = (
                self.built.starts[buffer.after]
                - self.built.starts[buffer.before]
                - self.problem.task[buffer.before].steps
            )
            constraint = self.model.add(short >= buffer.wanted - pause)
            if guards := self._guards(buffer.before, buffer.after):
                constraint.only_enforce_if(guards)
            costs[self.problem.task[buffer.after].job] += buffer.weight * short
        for reserve in self.problem.reserves:
            if not self._known(reserve.task) or self._frozen(reserve.task):
                continue
            near = self.model.new_int_var(0, self.problem.horizon, "")
            over = self.built.starts[reserve.task] + self.problem.task[reserve.task].steps
            constraint = self.model.add(near >= over - reserve.by)
            if guards := self._guards(reserve.task):
                constraint.only_enforce_if(guards)
            costs[self.problem.task[reserve.task].job] += reserve.weight * near
        for anchor in self.problem.anchors:
            if not self._known(anchor.task) or self._frozen(anchor.task):
                continue
            moved = self.model.new_bool_var("")
            start = self.built.starts[anchor.task]
            self.model.add(start == anchor.start).only_enforce_if([moved.negated(), *self._guards(anchor.task)])
            costs[self.problem.task[anchor.task].job] += anchor.weight * moved
        self.built.costs = dict(costs)
        self.built.cost = sum(costs.values())

    def _at_least(self, span: Span, paid: Any, offset: int) -> None:
        """
        Say plainly what a distance costs at least under each way of a choice.

        It follows from the rest, but a linear relaxation does not see it through the literals.
        """
        job = self.problem.task[span.after].job
        for choice in self.problem.choices:
            if choice.job != job:
                continue
            # Both ways in one row: at half a choice the relaxation then sees half of each, and not the larger half.
            least: Any = 0
            for way in (choice.key, f"!{choice.key}"):
                branch: Branch | None = self.narrowed.branches.get(way)
                if branch is None or (span.when and span.when != way):
                    continue
                steps = branch.least.get((span.before, span.after), 0) - offset
                if steps > 0:
                    least += steps * self._literal(way)
            if not isinstance(least, int):
                self.model.add(paid >= least)


def build(
    problem: Problem,
    jobs: frozenset[str] | None = None,
    held: Schedule | None = None,
    pins: Iterable[Pin] = (),
    narrowed: Narrowed | None = None,
) -> Built:
    """
    Translate a week, or the part of it that ``jobs`` names with the rest of ``held`` frozen.

    Parameters
    ----------
    problem
        The week.
    jobs
        Commissions to place (the empty name for work that is nobody's); None for all.
    held
        A plan whose other commissions stay as they are.
    pins
        Tasks that stay where they are.
    narrowed
        What is left of every start, where that has been worked out before.
    """
    return _Builder(problem, jobs, held, {pin.task: pin for pin in pins}, narrowed or narrow(problem)).build()


def read_back(problem: Problem, built: Built, value: Any) -> Schedule:
    """Read a plan out of a solved model; ``value`` gives the value of a variable."""
    placed: list[Placed] = []
    for task in problem.tasks:
        if task.key not in built.starts or not value(built.present[task.key]):
            continue
        start = value(built.starts[task.key])
        picks = tuple(
            next(name for name, _ in need.options if (task.key, number, name) in built.picks
                 and value(built.picks[task.key, number, name]))
            for number, need in enumerate(task.needs)
        )  # fmt: skip
        placed.append(Placed(task=task.key, start=start, end=start + task.steps, picks=picks))
    rests = tuple(
        TakenRest(resource=name, number=number, unit=unit, start=value(begin), end=value(over))
        for (name, number, unit), (begin, over) in built.rests.items()
    )
    return Schedule(
        placed=tuple(placed),
        rests=rests,
        chosen=tuple(key for key, literal in built.choices.items() if value(literal)),
        overtime=sum(
            (r.start - problem.resource[r.resource].rests[r.number].start)
            + (problem.resource[r.resource].rests[r.number].end - r.end)
            for r in rests
        ),
        proof=Proof.FOUND,
    )
