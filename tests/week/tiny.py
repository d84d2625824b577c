"""Tiny random kitchens, and a search through every plan of one that shares nothing with the engine."""

from __future__ import annotations

from itertools import product
from random import Random

from tierwright.week.check import check, cost_of
from tierwright.week.model import (
    Block,
    Buffer,
    Choice,
    Hold,
    Lag,
    Need,
    Placed,
    Problem,
    Reserve,
    Resource,
    ResourceKind,
    Rest,
    Schedule,
    Span,
    TakenRest,
    Task,
    TaskKind,
)


def tiny(seed: int) -> Problem:
    """Three or four tasks on a coarse grid, every kind of limit now and then."""
    random = Random(seed)
    horizon = random.choice((6, 7, 8))
    count = random.choice((3, 3, 4))
    keys = [f"t{n}" for n in range(count)]
    hands = random.choice((1, 1, 2))
    resources = [
        Resource(
            key="crew", label="Hands", kind=ResourceKind.HANDS, capacity=hands,
            rests=(Rest(start=2, end=4, late=random.choice((0, 1)), least=1),) if random.random() < 0.4 else (),
        ),
        Resource(key="oven", label="Oven", kind=ResourceKind.OVEN, capacity=2, gap=random.choice((0, 1))),
        Resource(key="oven2", label="Oven 2", kind=ResourceKind.OVEN, capacity=1, gap=1),
        Resource(key="fridge", label="Fridge", kind=ResourceKind.FRIDGE, capacity=3),
    ]  # fmt: skip
    choices = (Choice(key="freeze", job="", label="freeze", cost=2),) if random.random() < 0.4 else ()
    tasks = []
    for number, key in enumerate(keys):
        needs: tuple[Need, ...]
        kind = random.choice(("hand", "hand", "bake", "either", "none"))
        if kind == "hand":
            needs = (Need(options=(("crew", 1),)),)
        elif kind == "bake":
            needs = (Need(options=(("oven", random.choice((1, 2))),), state=random.choice((160, 180))),)
        elif kind == "either":
            needs = (Need(options=(("oven", 1), ("oven2", 1)), state=random.choice((160, 180))),)
        else:
            needs = ()
        when = "" if not choices or number == 0 else random.choice(("", "", "freeze", "!freeze"))
        latest = horizon - 1 if random.random() < 0.3 else None
        tasks.append(
            Task(
                key=key, job="", label=key, kind=TaskKind.OTHER, steps=random.choice((1, 1, 2)), needs=needs, when=when,
                earliest=random.choice((0, 0, 1)), latest=latest,
            )
        )  # fmt: skip
    lags = []
    for a in range(count):
        for b in range(a + 1, count):
            if random.random() < 0.4:
                least = random.choice((0, 0, 1))
                most = random.choice((None, least, least + 1))
                lags.append(
                    Lag(
                        before=keys[a], after=keys[b], least=least, most=most, from_start=random.random() < 0.2,
                        when=random.choice(("", "", "freeze", "!freeze")) if choices else "",
                    )
                )  # fmt: skip
    holds = []
    if random.random() < 0.5:
        holds.append(Hold(before=keys[0], after=keys[-1], resource="fridge", amount=2))
        holds.append(Hold(before=keys[0], after=keys[1], resource="fridge", amount=2))
    blocks: tuple[Block, ...] = ()
    if count == 4 and random.random() < 0.3:
        blocks = (Block(key="nuts", inside=(keys[0],), last=keys[1], outside=(keys[3],), what="nuts"),)
        lags.append(Lag(before=keys[0], after=keys[1]))
    spans = (Span(before=keys[0], after=keys[-1], weight=random.choice((1, 2)), from_start=random.random() < 0.5),)
    buffers = (Buffer(before=keys[0], after=keys[1], wanted=2),) if random.random() < 0.4 else ()
    reserves = (Reserve(task=keys[-1], by=horizon // 2, weight=3),) if random.random() < 0.3 else ()
    if not any(lag.before == keys[0] and lag.after == keys[-1] for lag in lags):
        lags.append(Lag(before=keys[0], after=keys[-1]))
    return Problem(
        horizon=horizon, tasks=tuple(tasks), resources=tuple(resources), lags=tuple(lags), holds=tuple(holds),
        blocks=blocks, choices=choices, spans=spans, buffers=buffers, reserves=reserves,
    )  # fmt: skip


def best_by_enumeration(problem: Problem) -> tuple[int, int] | None:
    """Try every choice, start, pick and rest; return the least (overtime, cost), or None if nothing works."""
    best: tuple[int, int] | None = None
    crew = problem.resource["crew"]
    rest_ends = [
        tuple(TakenRest(resource="crew", number=0, unit=u, start=rest.start + late[u], end=rest.end)
              for u in range(crew.capacity))
        for rest in crew.rests
        for late in product(range(rest.late + 1), repeat=crew.capacity)
    ] or [()]  # fmt: skip
    for chosen in [(), ("freeze",)] if problem.choices else [()]:
        done = [
            t for t in problem.tasks
            if not t.when or (t.when.startswith("!") != ("freeze" in chosen))
        ]  # fmt: skip
        ranges = [range(t.earliest, (t.latest or problem.horizon) - t.steps + 1) for t in done]
        picks = [list(product(*[[name for name, _ in need.options] for need in t.needs])) for t in done]
        for starts in product(*ranges):
            when = {t.key: s for t, s in zip(done, starts, strict=True)}
            if any(  # the cheapest test first, to be quick
                lag.before in when and lag.after in when and not lag.when
                and when[lag.after] - when[lag.before] - (0 if lag.from_start else problem.task[lag.before].steps)
                < lag.least
                for lag in problem.lags
            ):  # fmt: skip
                continue
            for pick in product(*picks):
                for rests in rest_ends:
                    late = sum(r.start - crew.rests[0].start for r in rests)
                    plan = Schedule(
                        placed=tuple(
                            Placed(task=t.key, start=s, end=s + t.steps, picks=p)
                            for t, s, p in zip(done, starts, pick, strict=True)
                        ),
                        rests=rests, chosen=chosen, overtime=late,
                    )  # fmt: skip
                    value = (late, cost_of(problem, plan))
                    if (best is None or value < best) and not check(problem, plan):
                        best = value
    return best
