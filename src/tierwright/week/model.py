"""The shapes of a week: what has to be done, what limits it, and the plan that answers."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property

Z80 = 1.2815515655446004
"""Standard normal deviate that four fifths lie within on both sides together. [-]"""

STEP_MIN = 5
"""Length of one step of the planner's grid. [min]"""


class ResourceKind(StrEnum):
    """What limits the work; the rows of the chart."""

    HANDS = "hands"
    OVEN = "oven"
    MIXER = "mixer"
    FRIDGE = "fridge"
    FREEZER = "freezer"
    RACK = "cooling racks"
    BENCH = "cool bench"
    VAN = "vehicle"
    OTHER = "other"


class TaskKind(StrEnum):
    """What is done in a task."""

    WEIGH = "weigh"
    MIX = "mix"
    HEAT = "heat the oven"
    BAKE = "bake"
    TURN_OUT = "turn out"
    COOL = "cool"
    TRIM = "level and wrap"
    THAW = "thaw"
    COOK = "make filling or cream"
    FILL = "fill and crumb coat"
    COAT = "final coat"
    FLOWERS = "flowers"
    DECORATE = "decorate"
    SUPPORTS = "cut supports"
    BOX = "box"
    LOAD = "load"
    DRIVE = "drive"
    SET_UP = "set up"
    RETURN = "drive back"
    HAND_OVER = "hand over"
    COLLECT = "collect hire pieces"
    CLEAN = "clean"
    CLEAN_DOWN = "allergen clean-down"
    SHOP = "shop"
    WRITE = "letters"
    BREAK = "break"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """
    A time without work, from ``start`` to ``end`` at least if nobody works over.

    Attributes
    ----------
    start, end
        On the grid. [step]
    late, early
        How far work may reach into it from either side. [step]
    least
        What must be left of it. [step]
    """

    start: int
    end: int
    late: int = 0
    early: int = 0
    least: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Resource:
    """
    Something of which there is only so much.

    Attributes
    ----------
    key, label, kind
        Its name, what the chart calls it, and what it is.
    capacity
        People alike, shelves, bowls, decilitres, vehicles. [-]
    rests
        Times at which none of it can be used, in order.
    gap
        What it takes to pass from one state to another, such as another set point. [step]
    names
        For hands, the people.
    skills
        For hands, what they can do; empty for everything.
    """

    key: str
    label: str
    kind: ResourceKind
    capacity: int
    rests: tuple[Rest, ...] = ()
    gap: int = 0
    names: tuple[str, ...] = ()
    skills: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One of several resources that would do, with how much of it; a task takes exactly one of ``options``."""

    options: tuple[tuple[str, int], ...]
    state: int | None = None  # users of one resource at one time share one state, such as a set point


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """
    One piece of work.

    Attributes
    ----------
    key, job, label, kind
        Its name, whose commission it is for (empty for none), and what it is.
    steps
        How long it takes. [step]
    low_steps, high_steps
        Likely span of that, about four times in five. [step]
    needs
        What it occupies all the while.
    earliest, latest
        When it may begin, and by when it must be over; None for no limit. [step]
    when
        Literal of a choice under which it is done (``choice`` or ``!choice``); empty for always.
    part
        Which tier or mix it is for, in words.
    note
        What the hand should mind.
    """

    key: str
    job: str
    label: str
    kind: TaskKind
    steps: int
    low_steps: float = 0.0
    high_steps: float = 0.0
    needs: tuple[Need, ...] = ()
    earliest: int = 0
    latest: int | None = None
    when: str = ""
    part: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lag:
    """
    ``least <= start(after) - end(before) <= most``, or from the start of ``before`` if ``from_start``. [step]

    ``reason`` says in words what goes wrong otherwise.
    """

    before: str
    after: str
    least: int = 0
    most: int | None = None
    from_start: bool = False
    when: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """Something that waits in ``resource`` from the end of one task to the start of another, taking ``amount``."""

    before: str
    after: str
    resource: str
    amount: int
    when: str = ""
    what: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """
    A stretch that outsiders must keep clear of: while an allergen is open, until the clean-down is over.

    Attributes
    ----------
    key
        Its name.
    inside
        Tasks that open it.
    last
        The clean-down that ends it.
    outside
        Tasks that must lie wholly before or wholly after it.
    what
        The allergen.
    """

    key: str
    inside: tuple[str, ...]
    last: str
    outside: tuple[str, ...]
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A cost of ``weight`` for every step from the end (or start) of ``before`` on to the start of ``after``."""

    before: str
    after: str
    weight: int = 1
    from_start: bool = False
    when: str = ""
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Buffer:
    """A cost of ``weight`` for every step by which the pause between two tasks falls short of ``wanted``. [step]"""

    before: str
    after: str
    wanted: int
    weight: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Reserve:
    """
    A cost of ``weight`` for every step by which a task is over later than ``by``. [step]

    ``wanted`` is what it would take between a likely and a late end; a short window leaves less.
    """

    task: str
    by: int
    weight: int = 1
    wanted: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Anchor:
    """A cost of ``weight`` if a task does not begin where it stood before. [step]"""

    task: str
    start: int
    weight: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Something that may be done one way or the other, with the cost of doing it and whether the maker allows it."""

    key: str
    job: str
    label: str
    cost: int = 0
    allowed: bool = True


@dataclass(frozen=True, slots=False, kw_only=True)
class Problem:
    """
    A week to plan, whole.

    Attributes
    ----------
    horizon
        Number of steps. [step]
    tasks, resources, lags, holds, blocks, choices
        What has to be done and what limits it.
    spans, buffers, reserves, anchors
        What is to be kept small, what pauses and what reserves before a window's end are wished for, and where tasks
        stood before.
    jobs
        Keys of the commissions, in order of acceptance.
    labels
        Their titles, in the same order.
    """

    horizon: int
    tasks: tuple[Task, ...]
    resources: tuple[Resource, ...] = ()
    lags: tuple[Lag, ...] = ()
    holds: tuple[Hold, ...] = ()
    blocks: tuple[Block, ...] = ()
    choices: tuple[Choice, ...] = ()
    spans: tuple[Span, ...] = ()
    buffers: tuple[Buffer, ...] = ()
    reserves: tuple[Reserve, ...] = ()
    anchors: tuple[Anchor, ...] = ()
    jobs: tuple[str, ...] = ()
    labels: tuple[str, ...] = ()

    @cached_property
    def task(self) -> dict[str, Task]:
        """Tasks by key."""
        return {task.key: task for task in self.tasks}

    @cached_property
    def resource(self) -> dict[str, Resource]:
        """Resources by key."""
        return {resource.key: resource for resource in self.resources}

    def label_of(self, job: str) -> str:
        """Return the title of a commission."""
        return dict(zip(self.jobs, self.labels, strict=False)).get(job, job)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """One task in a plan: when, and which resource meets each of its needs. [step]"""

    task: str
    start: int
    end: int
    picks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenRest:
    """The rest that one unit of a resource really takes: which rest, which unit, from when to when. [step]"""

    resource: str
    number: int
    unit: int
    start: int
    end: int


class Proof(StrEnum):
    """What is known of a plan."""

    OPTIMAL = "nothing better exists"
    FOUND = "feasible; the best found so far"


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """
    An answer on the grid.

    Attributes
    ----------
    placed
        Every task that is done, in the order of the problem.
    rests
        The rests that are taken, where a resource has any.
    chosen
        Choices that are taken.
    overtime
        Work beyond normal hours, over all people. [step]
    cost
        What the wishes cost it; lower is better.
    bound
        No plan can cost less, as far as proved; None where nothing is proved.
    overtime_bound
        The same for overtime. [step]
    proof
        Optimal or found.
    """

    placed: tuple[Placed, ...]
    rests: tuple[TakenRest, ...] = ()
    chosen: tuple[str, ...] = ()
    overtime: int = 0
    cost: int = 0
    bound: int | None = None
    overtime_bound: int | None = None
    proof: Proof = Proof.FOUND

    def starts(self) -> dict[str, int]:
        """Return the start of every task that is done. [step]"""
        return {item.task: item.start for item in self.placed}

    @property
    def gap(self) -> float | None:
        """Share by which the cost may still be above the best, 0 to 1; None where nothing is proved."""
        if self.bound is None:
            return None
        return 0.0 if self.cost <= self.bound else (self.cost - self.bound) / max(1, abs(self.cost))


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """
    How long and how to search.

    Attributes
    ----------
    seed
        The same seed and input give the same plan.
    effort
        Deterministic time of one step of the search; one of it takes a processor four to eight seconds. [-]
    rounds
        Improving rounds over a few commissions at a time.
    polish
        Deterministic time of the last search over everything. [-]
    wall_s
        A guard; a search that hits it is no longer sure to be repeatable. [s]
    """

    seed: int = 1
    effort: float = 2.0
    rounds: int = 30
    polish: float = 4.0
    wall_s: float = 120.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A task held where it is: at a start [step], and on the resources picked for it if those are given."""

    task: str
    start: int
    picks: tuple[str, ...] = field(default=())
