"""One commission as a network of tasks: what is done, in what order, with what pauses, and where things wait."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from math import ceil, pi, sqrt
from statistics import NormalDist

from tierwright.brief import Kitchen
from tierwright.larder import OwnTimes
from tierwright.larder import norm as norm_of
from tierwright.week.calendar import Grid
from tierwright.week.model import (
    STEP_MIN,
    Z80,
    Anchor,
    Block,
    Buffer,
    Choice,
    Hold,
    Lag,
    Need,
    Problem,
    Reserve,
    Resource,
    ResourceKind,
    Span,
    Task,
    TaskKind,
)
from tierwright.week.norms import ages, limits
from tierwright.week.places import BENCH, DECILITRE, FREEZER, FRIDGE, RACKS, VAN, Wishes, breaks, places
from tierwright.week.work import CreamWork, JobWork, TierWork
from tierwright.working import Estimate

LARGE_MM = 250.0
PIECE_MIN = 90.0
"""Longest piece of work without a pause; longer work is cut into pieces that follow one another. [min]"""

FREEZING_COST = 72
"""What freezing ahead costs a cake, as steps of age: each tier counts like six hours more. Common practice. [step]"""

BOXED_WEIGHT = 8.0
"""How much more a pause counts before leaving than one between trimming and filling: after it nothing can be made up
for. Common practice. [-]"""

BAKING = (TaskKind.WEIGH, TaskKind.MIX, TaskKind.TURN_OUT, TaskKind.TRIM)
FINISHING = (TaskKind.COOK, TaskKind.FILL, TaskKind.COAT, TaskKind.DECORATE, TaskKind.BOX)


def steps_of(minutes: float) -> int:
    """Return minutes as steps, rounded up."""
    return ceil(minutes / STEP_MIN - 1e-9)


@dataclass(slots=True)
class _Network:
    """What grows while a commission is put into tasks."""

    job: JobWork
    kitchen: Kitchen
    clock: Grid
    wishes: Wishes
    resources: tuple[Resource, ...]
    tasks: list[Task] = field(default_factory=list)
    lags: list[Lag] = field(default_factory=list)
    holds: list[Hold] = field(default_factory=list)
    spans: list[Span] = field(default_factory=list)
    buffers: list[Buffer] = field(default_factory=list)
    reserves: list[Reserve] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    choices: list[Choice] = field(default_factory=list)

    def key(self, name: str) -> str:
        return f"{self.job.key}/{name}"

    def hands(self, skill: str) -> Need:
        able = [r for r in self.resources if r.kind is ResourceKind.HANDS and (not r.skills or skill in r.skills)]
        if not able:  # nobody is named for it, so anybody does it
            able = [r for r in self.resources if r.kind is ResourceKind.HANDS]
        return Need(options=tuple((r.key, 1) for r in able))

    def bowls(self, bowl: str) -> Need:
        """Every bowl at least as large as the one that the mix was worked for."""
        size = {m.name: m.bowl for m in self.kitchen.mixers}
        least = size.get(bowl, 0.0)
        able = [f"mixer.{n}" for n, m in enumerate(self.kitchen.mixers, start=1) if m.bowl >= least]
        return Need(options=tuple((key, 1) for key in able))

    def minutes(self, norm: str, count: float, share: float = 1.0) -> Estimate:
        own = {one.task: OwnTimes(task=one.task, paces=one.paces) for one in self.kitchen.accounts.times}
        return norm_of(norm, own).minutes(count, dict(self.wishes.paces).get(norm, 1.0) * share)

    def add(
        self, name: str, label: str, kind: TaskKind, time: Estimate, *, needs: tuple[Need, ...] = (), when: str = "",
        part: str = "", earliest: int = 0, latest: int | None = None, note: str = "",
    ) -> str:  # fmt: skip
        key = self.key(name)
        self.tasks.append(
            Task(
                key=key, job=self.job.key, label=label, kind=kind, steps=max(1, steps_of(time.value)),
                low_steps=time.low / STEP_MIN, high_steps=time.high / STEP_MIN, needs=needs, when=when, part=part,
                earliest=earliest, latest=latest, note=note,
            )
        )  # fmt: skip
        return key

    def pieces(
        self, name: str, label: str, kind: TaskKind, time: Estimate, skill: str, *, part: str, most_h: float = 24.0
    ) -> tuple[str, str]:
        """Add work in pieces of no more than ``PIECE_MIN``; return the keys of the first and the last."""
        count = max(1, ceil(time.value / PIECE_MIN))
        share = time * (1.0 / count)
        keys = []
        for number in range(count):
            shown = label if count == 1 else f"{label} ({number + 1} of {count})"
            suffix = "" if count == 1 else f".{number + 1}"
            keys.append(self.add(f"{name}{suffix}", shown, kind, share, needs=(self.hands(skill),), part=part))
        for before, after in itertools.pairwise(keys):
            self.lag(before, after, most_h=most_h, reason="pieces of one job follow one another")
        return keys[0], keys[-1]

    def lag(
        self, before: str, after: str, least_min: float = 0.0, *, most_h: float | None = None, when: str = "",
        reason: str = "", from_start: bool = False,
    ) -> None:  # fmt: skip
        most = None if most_h is None else int(most_h * 60 // STEP_MIN)
        self.lags.append(
            Lag(
                before=before, after=after, least=steps_of(least_min), most=most, when=when, reason=reason,
                from_start=from_start,
            )
        )  # fmt: skip

    def note(self, keys: Sequence[str], text: str) -> None:
        """Write on tasks what the hand should mind."""
        for number, task in enumerate(self.tasks):
            if task.key in keys and text not in task.note:
                self.tasks[number] = replace(task, note="; ".join(part for part in (task.note, text) if part))

    def hold(self, before: str, after: str, place: str, amount: int, what: str, when: str = "") -> None:
        if amount > 0:
            self.holds.append(Hold(before=before, after=after, resource=place, amount=amount, when=when, what=what))


def boxed_dl(width_mm: float, height_mm: float) -> int:
    """Room that a boxed tier takes. [dl]"""
    side, top = limits()["box_air"].value, limits()["box_head"].value
    return ceil((width_mm + side) ** 2 * (height_mm + top) / 1e6 * DECILITRE)


def _bake(net: _Network) -> tuple[dict[str, str], dict[str, str]]:
    """Weigh, mix, bake and turn out; return the bake and the turning out of every load."""
    job, table = net.job, limits()
    mixed: dict[str, str] = {}
    for formula in dict.fromkeys(mix.formula for mix in job.mixes):
        mixes = [mix for mix in job.mixes if mix.formula == formula]
        weigh = net.add(
            f"weigh.{formula}", f"Weigh {mixes[0].name}", TaskKind.WEIGH,
            net.minutes("weigh", sum(mix.ingredients for mix in mixes)), needs=(net.hands("baking"),),
            part=mixes[0].name,
        )  # fmt: skip
        for mix in mixes:
            mixed[mix.key] = net.add(
                f"mix.{mix.key}", f"Mix {mix.name}", TaskKind.MIX, net.minutes("mix", mix.pans),
                needs=(net.hands("baking"), net.bowls(mix.bowl)), part=mix.name,
            )  # fmt: skip
            net.lag(weigh, mixed[mix.key], most_h=table["weigh_most"].value, reason="weighed ingredients dry out")
    baked: dict[str, str] = {}
    out: dict[str, str] = {}
    for load in job.loads:
        ovens = tuple(
            (f"oven.{n}", load.shelves) for n, oven in enumerate(net.kitchen.ovens, start=1)
            if load.largest_mm <= min(oven.width, oven.depth) and load.set_c <= oven.hottest
        ) or (("oven.1", load.shelves),)  # fmt: skip
        bake = net.add(
            f"bake.{load.key}", f"Bake load {load.key}", TaskKind.BAKE, load.minutes,
            needs=(Need(options=ovens, state=load.set_c),), part=f"{load.pans} layers at {load.set_c} °C",
        )  # fmt: skip
        if load.before_min:
            heat = net.add(
                f"heat.{load.key}", f"Heat the oven for load {load.key}", TaskKind.HEAT,
                Estimate.exact(load.before_min), needs=(Need(options=ovens, state=load.set_c),),
                part=f"{load.set_c} °C",
            )  # fmt: skip
            net.lag(heat, bake, most_h=0.0, reason="the oven is hot when the pans go in")
        turn = net.add(
            f"turn.{load.key}", f"Turn out load {load.key}", TaskKind.TURN_OUT, net.minutes("turn_out", load.pans),
            needs=(net.hands("baking"),), part=f"{load.pans} layers",
        )  # fmt: skip
        net.lag(
            bake, turn, table["in_pan"].value, most_h=table["in_pan_most"].minutes / 60,
            reason="turned out too soon it breaks, too late it sticks",
        )  # fmt: skip
        for mix in job.mixes:
            if mix.key in load.mixes:
                net.lag(mixed[mix.key], bake, most_h=mix.wait_min / 60.0, reason="batter that waits loses its gas")
        baked[load.key], out[load.key] = bake, turn
    for a, b in zip(job.loads, job.loads[1:], strict=False):
        if (a.mixes, a.pans, a.set_c) == (b.mixes, b.pans, b.set_c):
            net.lag(baked[a.key], baked[b.key], from_start=True, reason="like loads, in their order")
    for load, other in itertools.permutations(job.loads, 2):
        if kept_out := sorted(set(load.keep_out) & set(other.brings)):
            # On two shelves, or in two ovens with one pair of gloves: never at the same time.
            bake = baked[load.key]
            net.blocks.append(
                Block(key=bake, inside=(bake,), last=bake, outside=(baked[other.key],), what=", ".join(kept_out))
            )
    for load in job.loads:
        if load.keep_out:
            net.note((baked[load.key], out[load.key]), f"keep out {', '.join(load.keep_out)}: clean racks and gloves")
    return baked, out


def _creams(net: _Network) -> dict[str, str]:
    made = {}
    for cream in net.job.creams:
        needs = (net.hands("finishing"), *((net.bowls(cream.bowl),) if cream.bowl else ()))
        made[cream.key] = net.add(
            f"make.{cream.key}", f"Make {cream.name}", TaskKind.COOK, net.minutes(cream.kind, cream.grams / 1000.0),
            needs=needs, part=cream.name,
        )  # fmt: skip
    return made


def _keeps(net: _Network, cream: CreamWork, made: str, user: str, share: float) -> None:
    age = ages()[cream.kind]
    net.lag(
        made, user, age.rest_h * 60.0, most_h=age.keep_h,
        reason=f"{cream.name} rests {age.rest_h:g} h and keeps {age.keep_h:g} h",
    )  # fmt: skip
    cold = age.cold and net.job.key not in net.wishes.stable
    net.hold(made, user, FRIDGE if cold else BENCH, ceil(cream.litres * share * DECILITRE), cream.name)


def _tier(
    net: _Network, tier: TierWork, baked: dict[str, str], out: dict[str, str], made: dict[str, str], freeze: str
) -> tuple[str, str]:
    """Build one tier; return the keys of its filling (or coating, for a dummy) and of its boxing."""
    table = limits()
    creams = {cream.key: cream for cream in net.job.creams}
    stable = net.job.key in net.wishes.stable
    cold = not stable and any(ages()[creams[key].kind].cold for key in (*tier.fillings, *tier.coats))
    place = FRIDGE if cold else BENCH
    room = boxed_dl(tier.width_mm, tier.height_mm) * tier.count
    hand = (net.hands("finishing"),)
    fill = ""
    users = {key: sum(key in other.fillings or key in other.coats for other in net.job.tiers) for key in creams}
    if tier.loads:
        layers = tier.layers * tier.count
        layer_dl = ceil(tier.width_mm**2 * (tier.height_mm / tier.layers) / 1e6 * DECILITRE) * layers
        trim = net.add(
            f"trim.{tier.key}", f"Level and wrap {tier.name}", TaskKind.TRIM, net.minutes("trim", layers),
            needs=(net.hands("baking"),), part=tier.name,
        )  # fmt: skip
        for key in tier.loads:
            load = next(load for load in net.job.loads if load.key == key)
            sharing = sum(key in other.loads for other in net.job.tiers)
            cool = table["cool_large" if load.largest_mm > LARGE_MM else "cool"].value
            if tier.to_fill_min:
                net.lag(baked[key], trim, tier.to_fill_min, reason="cools through, then is wrapped")
                cool = 0.0
            net.lag(out[key], trim, cool, most_h=table["wrap_most"].value, reason="cools through, then is wrapped")
            net.hold(out[key], trim, RACKS, ceil(load.pans / sharing), f"layers of {tier.name}")
        thaw = net.add(
            f"thaw.{tier.key}", f"Thaw {tier.name}", TaskKind.THAW,
            Estimate.exact(tier.to_thaw_min if tier.to_thaw_min and not net.wishes.thaw_in_room
                           else table["thaw"].minutes),
            needs=(Need(options=((BENCH if net.wishes.thaw_in_room else FRIDGE, layer_dl),)),), when=freeze,
            part=tier.name,
        )  # fmt: skip
        net.lag(
            trim, thaw, tier.to_freeze_min or table["freeze_least"].minutes, when=freeze,
            reason="frozen hard right through",
        )  # fmt: skip
        net.hold(trim, thaw, FREEZER, layer_dl, f"layers of {tier.name}", when=freeze)
        fill = net.add(
            f"fill.{tier.key}", f"Fill and crumb-coat {tier.name}", TaskKind.FILL, net.minutes("fill", layers),
            needs=hand, part=tier.name,
        )  # fmt: skip
        net.lag(trim, fill, reason="levelled first")
        net.buffers.append(
            Buffer(
                before=trim, after=fill, wanted=steps_of(net.wishes.buffer_min), weight=max(0, round(net.wishes.pauses))
            )
        )
        net.lag(thaw, fill, most_h=table["thaw_age"].value, when=freeze, reason="thawed layers dry out")
        net.hold(trim, fill, BENCH, layer_dl, f"layers of {tier.name}", when=f"!{freeze}")
        for key in tier.fillings:
            _keeps(net, creams[key], made[key], fill, 1.0 / users[key])
    coat, coated = net.pieces(
        f"coat.{tier.key}", f"Coat {tier.name}", TaskKind.COAT,
        net.minutes("coat", tier.coat_dm2 * tier.count, tier.coat_factor), "finishing", part=tier.name, most_h=4.0,
    )  # fmt: skip
    if fill:
        net.lag(
            fill, coat, table["settle"].minutes, most_h=table["settle_most"].value,
            reason="a filled tier settles before its last coat",
        )  # fmt: skip
        net.hold(fill, coat, place, room, tier.name)
    for key in tier.coats:
        if key not in tier.fillings:
            _keeps(net, creams[key], made[key], coat, 1.0 / users[key])
        elif fill:
            net.lag(
                made[key], coat, most_h=ages()[creams[key].kind].keep_h, reason=f"{creams[key].name} keeps no longer"
            )
    box = net.add(
        f"box.{tier.key}", f"Box {tier.name}", TaskKind.BOX, net.minutes("box", tier.count), needs=hand, part=tier.name
    )
    net.lag(coated, box, table["set_coat"].value, reason="the coat sets before it is boxed")
    net.hold(coated, box, place, room, tier.name)
    return fill or coat, box


def network(job: JobWork, kitchen: Kitchen, clock: Grid, wishes: Wishes, resources: tuple[Resource, ...]) -> _Network:
    """Put one commission into tasks."""
    table = limits()
    net = _Network(job=job, kitchen=kitchen, clock=clock, wishes=wishes, resources=resources)
    freeze = net.key("freeze")
    net.choices.append(
        Choice(
            key=freeze,
            job=job.key,
            label=f"Freeze the layers of {job.title} ahead",
            cost=round(FREEZING_COST * wishes.freshness * len(job.tiers)),
            allowed=job.key not in wishes.no_freezing,
        )
    )
    baked, out = _bake(net)
    made = _creams(net)
    built = {tier.key: _tier(net, tier, baked, out, made, freeze) for tier in job.tiers}
    end = _handover(net, [tier.name for tier in job.tiers if tier.loads])
    cakes = [tier for tier in job.tiers if tier.loads]
    creams = {cream.key: cream for cream in job.creams}
    decorate = ""
    if (job.wishes or job.finish_min) and cakes:
        time = net.minutes("finish", job.finish_min)
        if job.wishes:
            time = time + net.minutes("decorate", job.wishes)
        first, last = net.pieces(
            "decorate", "Decorate", TaskKind.DECORATE, time, "finishing",
            part=job.title, most_h=12.0,
        )  # fmt: skip
        decorate = last
        for tier in job.tiers:
            coats = [task for task in net.tasks if task.kind is TaskKind.COAT and task.part == tier.name]
            net.lag(coats[-1].key, first, table["set_coat"].value, reason="the coat sets first")
            net.lag(last, built[tier.key][1], reason="decorated before it is boxed")
    if job.flowers and decorate:
        _, dried = net.pieces(
            "flowers", "Make sugar flowers", TaskKind.FLOWERS, net.minutes("flowers", job.flowers), "flowers",
            part=job.title, most_h=72.0,
        )  # fmt: skip
        start = next(task.key for task in net.tasks if task.kind is TaskKind.DECORATE)
        net.lag(
            dried, start, table["flower_dry"].minutes, most_h=table["flower_dry_most"].value,
            reason="sugar flowers dry before they are placed",
        )  # fmt: skip
    for early in job.ahead if decorate else ():
        _, dried = net.pieces(
            early.key, early.label, TaskKind.FLOWERS, Estimate.within(early.hands_min, 0.3), "flowers",
            part=job.title, most_h=72.0,
        )  # fmt: skip
        start = next(task.key for task in net.tasks if task.kind is TaskKind.DECORATE)
        net.lag(
            dried, start, early.dry_min, most_h=early.most_min / 60, reason="flowers are ready before they are placed"
        )
    supports = ""
    if len(cakes) > 1:
        supports = net.add(
            "supports", "Cut supports and boards", TaskKind.SUPPORTS, net.minutes("supports", len(job.tiers)),
            needs=(net.hands("finishing"),), part=job.title,
        )  # fmt: skip
    for tier in job.tiers:
        first, box = built[tier.key]
        if supports:
            net.lag(supports, box, reason="supports go in before it is boxed")
        cold = job.key not in wishes.stable and any(
            ages()[creams[key].kind].cold for key in (*tier.fillings, *tier.coats)
        )
        room = boxed_dl(tier.width_mm, tier.height_mm) * tier.count
        net.lag(box, end, table["box_wait"].value, reason="boxed before it leaves")
        net.hold(box, end, FRIDGE if cold else BENCH, room, f"{tier.name}, boxed")
        net.buffers.append(
            Buffer(
                before=box, after=end, wanted=steps_of(wishes.buffer_min),
                weight=max(0, round(BOXED_WEIGHT * wishes.pauses)),
            )
        )  # fmt: skip
        if tier.loads:
            net.lag(first, end, most_h=table["filled_age"].value, reason="filled no longer ago than it keeps fresh")
            thaw = net.key(f"thaw.{tier.key}")
            net.lag(thaw, end, most_h=table["sponge_age"].value, when=freeze, reason="thawed cake goes stale")
            weight = max(0, round(wishes.freshness))
            last_load = tier.loads[-1]
            for key in tier.loads:
                net.lag(
                    baked[key], end, most_h=table["sponge_age"].value, when=f"!{freeze}",
                    reason="cake that is not frozen goes stale",
                )  # fmt: skip
            net.spans.append(
                Span(before=baked[last_load], after=end, weight=weight, when=f"!{freeze}", label=f"age of {tier.name}")
            )
            net.spans.append(Span(before=first, after=end, weight=weight, when=freeze, label=f"age of {tier.name}"))
    _own_order(net)
    _cleaning(net, list(out.values()))
    if wishes.shopping:
        shop = net.add("shop", "Buy and put away", TaskKind.SHOP, net.minutes("shop", 1), needs=(net.hands("buying"),))
        for task in [t for t in net.tasks if t.kind in (TaskKind.WEIGH, TaskKind.COOK)]:
            net.lag(shop, task.key, reason="bought first")
    if wishes.letters:
        net.add(
            "letters", "Letters and papers", TaskKind.WRITE, net.minutes("letters", 1), needs=(net.hands("office"),)
        )
    return net


def _handover(net: _Network, names: list[str]) -> str:
    """Load, drive, set up and come back, or hand over at the door; return the key of its first task."""
    job, clock = net.job, net.clock
    opens, closes = clock.step(job.opens, up=True), clock.step(job.closes)
    hand = net.hands("driving")
    weight = max(0, round(net.wishes.in_time))
    if job.collected:
        over = net.add(
            "hand-over", "Hand over to the client", TaskKind.HAND_OVER, net.minutes("hand_over", 0),
            needs=(net.hands("finishing"),), earliest=opens, latest=closes, part=job.title,
        )  # fmt: skip
        # The client may come when the window opens.
        net.reserves.append(Reserve(task=over, by=opens + net.tasks[-1].steps, weight=weight))
        return over
    van = Need(options=((VAN, 1),))
    tiers = max(1, len(names))
    drive = net.minutes("drive", job.travel_min)
    load = net.add("load", "Load", TaskKind.LOAD, net.minutes("load", tiers), needs=(hand, van), part=job.title)
    chain = [load]
    if job.travel_min:
        chain.append(net.add("drive", "Drive to the venue", TaskKind.DRIVE, drive, needs=(hand, van), part=job.title))
    set_up = net.add(
        "set-up", "Set up at the venue", TaskKind.SET_UP, net.minutes("set_up", tiers), needs=(hand, van),
        earliest=opens, latest=closes, part=job.title,
    )  # fmt: skip
    chain.append(set_up)
    away = [task for task in net.tasks if task.key in chain]
    reserve = reserve_of(away, net.wishes.late_share)
    net.reserves.append(
        Reserve(task=set_up, by=max(opens + away[-1].steps, closes - reserve), weight=weight, wanted=reserve)
    )
    if job.travel_min:
        chain.append(net.add("return", "Drive back", TaskKind.RETURN, drive, needs=(hand, van), part=job.title))
    for before, after in itertools.pairwise(chain):
        net.lag(before, after, most_h=0.0, reason="one trip")
    if job.hire:
        back = net.add(
            "collect", "Collect hire pieces", TaskKind.COLLECT, drive * 2.0 + net.minutes("collect", 0),
            needs=(hand, van), part=job.title,
        )  # fmt: skip
        net.lag(set_up, back, 12 * 60.0, reason="after the party")
    return load


def reserve_of(tasks: Sequence[Task], share: float) -> int:
    """
    How much later than planned work that follows without a pause is over in all but a share of cases. [step]

    Each duration is a two-piece normal round its median, as in the simulation; their sum is taken as normal with its
    mean and variance (central limit theorem).
    """
    shift, variance = 0.0, 0.0
    for task in tasks:
        low = max(0.0, task.steps - task.low_steps) / Z80
        high = max(0.0, task.high_steps - task.steps) / Z80
        mean = (high - low) / sqrt(2 * pi)
        shift += mean
        variance += (high**2 + low**2) / 2 - mean**2
    return max(0, ceil(shift + NormalDist().inv_cdf(1 - share) * sqrt(variance)))


def _own_order(net: _Network) -> None:
    """
    Keep apart in the making what must stay out of a formula of the same commission.

    Fillings among themselves, and batters that share no oven load, are made in the order of work with the fewest
    clean-downs. Between a batter and a filling either may come first, with a clean-down after the batter. Batters of
    one load are open at the same time whatever the order is: a note says so where the hand is.
    """
    job, free = net.job, dict(net.job.free)
    tasks = {task.key for task in net.tasks}
    batters = {mix.formula for mix in job.mixes}
    mixes = {f: [net.key(f"mix.{mix.key}") for mix in job.mixes if mix.formula == f] for f in batters}
    together = {
        frozenset((mix.formula, other.formula))
        for load in job.loads for mix in job.mixes for other in job.mixes
        if mix.key in load.mixes and other.key in load.mixes
    }  # fmt: skip

    def steps(formula: str) -> list[str]:
        first = net.key(f"weigh.{formula}" if formula in batters else f"make.{formula}")
        return [key for key in (first, *mixes.get(formula, ())) if key in tasks]

    order = [formula for formula in job.order if steps(formula)]
    for before, after in itertools.combinations(order, 2):
        if (before in batters) != (after in batters):
            continue
        dirty = frozenset(free.get(after, ())) & job.carries(before)
        threat = frozenset(free.get(before, ())) & job.carries(after)
        if not (dirty or threat):
            continue
        if frozenset((before, after)) in together:
            for formula, kept_out in ((after, dirty), (before, threat)):
                if kept_out:
                    net.note(mixes[formula], f"keep out {', '.join(sorted(kept_out))}: clean bowl and tools first")
            continue
        if dirty:
            clean = net.key(f"clean-down.before.{after}")
            if clean not in tasks:
                net.add(
                    f"clean-down.before.{after}", f"Clean down after {', '.join(sorted(dirty))}", TaskKind.CLEAN_DOWN,
                    net.minutes("clean_down", 0), needs=(net.hands("cleaning"),), part=job.title,
                )  # fmt: skip
                tasks.add(clean)
            for key in steps(before):
                net.lag(key, clean, reason="after the last open use")
            net.lag(clean, steps(after)[0], reason="made with clean tools")
        else:
            for key in steps(before):
                net.lag(key, steps(after)[0], reason="what must stay free is made first")
    _clean_after_baking(net, order, batters, steps)


def _clean_after_baking(net: _Network, order: list[str], batters: set[str], steps: Callable[[str], list[str]]) -> None:
    """Clean down after the batters where a filling must stay free of what is in them, and keep it out of between."""
    job, free = net.job, dict(net.job.free)
    carried = {f: job.carries(f) for f in order if f in batters}
    kept_out: set[str] = set()
    open_, outside = [], []
    for formula, allergens in carried.items():
        for other in order:
            threat = allergens & frozenset(free.get(other, ())) if other not in batters else frozenset()
            if threat:
                kept_out |= threat
                open_ += steps(formula)
                outside += steps(other)
    if not open_:
        return
    last = net.add(
        "clean-down.batters", f"Clean down after {', '.join(sorted(kept_out))}", TaskKind.CLEAN_DOWN,
        net.minutes("clean_down", 0), needs=(net.hands("cleaning"),), part=job.title,
    )  # fmt: skip
    inside = tuple(dict.fromkeys(open_))
    for key in inside:
        net.lag(key, last, reason="after the last open use")
    net.spans.append(Span(before=inside[-1], after=last, weight=1, label="cleaning down"))
    net.blocks.append(
        Block(
            key=last, inside=inside, last=last, outside=tuple(dict.fromkeys(outside)), what=", ".join(sorted(kept_out))
        )
    )


def _cleaning(net: _Network, turned: list[str]) -> None:
    hand = (net.hands("cleaning"),)
    most = limits()["clean_after"].value
    if turned:
        clean = net.add("clean.bake", "Clean after baking", TaskKind.CLEAN, net.minutes("clean", 0), needs=hand)
        for key in turned:
            net.lag(key, clean, reason="after the last load")
        net.spans.append(Span(before=turned[-1], after=clean, weight=0, label="cleaning"))
    boxes = [task.key for task in net.tasks if task.kind is TaskKind.BOX]
    if boxes:
        clean = net.add("clean.finish", "Clean after finishing", TaskKind.CLEAN, net.minutes("clean", 0), needs=hand)
        for key in boxes:
            net.lag(key, clean, most_h=most if len(boxes) == 1 else None, reason="after the last box")


def _blocks(nets: list[_Network], wishes: Wishes) -> list[Block]:
    """
    Keep cakes without an allergen clear of the stretches in which another commission has it open.

    Nuts, peanuts and sesame are kept apart always, other allergens where a guest of some commission reacts to them;
    for such a guest an allergen that nobody has said is absent is kept apart as if it were there.
    """
    found: list[Block] = []
    avoided = {allergen for net in nets for allergen in net.job.avoids}
    for net in nets:
        for phase, kinds in (("baking", BAKING), ("finishing", FINISHING)):
            guarded: dict[frozenset[str], list[str]] = {}
            for allergen in sorted(net.job.all_allergens() | (net.job.unsure_allergens() & avoided)):
                if allergen not in avoided and allergen not in wishes.separate:
                    continue
                others = frozenset(
                    other.job.key for other in nets
                    if other is not net and allergen not in other.job.all_allergens()
                    and (allergen in other.job.avoids or allergen in wishes.separate)
                )  # fmt: skip
                if others:
                    guarded.setdefault(others, []).append(allergen)
            for number, (others, allergens) in enumerate(guarded.items()):
                keys = _opening(net, set(allergens), kinds, phase)
                if not keys:
                    continue
                last = net.add(
                    f"clean-down.{phase}.{number}", f"Clean down after {', '.join(allergens)}", TaskKind.CLEAN_DOWN,
                    net.minutes("clean_down", 0), needs=(net.hands("cleaning"),), part=net.job.title,
                )  # fmt: skip
                for key in keys:
                    net.lag(key, last, reason="after the last open use")
                outside = tuple(
                    task.key for other in nets if other.job.key in others for task in other.tasks
                    if task.kind in BAKING + FINISHING
                )  # fmt: skip
                found.append(Block(key=last, inside=tuple(keys), last=last, outside=outside, what=", ".join(allergens)))
    return found


def _opening(net: _Network, allergens: set[str], kinds: tuple[TaskKind, ...], phase: str) -> list[str]:
    """Tasks of a commission at which an allergen lies open."""
    formulas = {formula for formula, has in (*net.job.contains, *net.job.perhaps) if allergens & set(has)}
    creams = {cream.key for cream in net.job.creams if cream.formula in formulas}
    loads = {
        load.key for load in net.job.loads for mix in net.job.mixes if mix.key in load.mixes and mix.formula in formulas
    }
    wanted: set[str] = set()
    if phase == "baking":
        wanted |= {net.key(f"weigh.{formula}") for formula in formulas}
        wanted |= {net.key(f"mix.{mix.key}") for mix in net.job.mixes if mix.formula in formulas}
        wanted |= {net.key(f"turn.{key}") for key in loads}
        wanted |= {net.key(f"trim.{tier.key}") for tier in net.job.tiers if set(tier.loads) & loads}
    else:
        wanted |= {net.key(f"make.{key}") for key in creams}
        parts = {
            tier.name for tier in net.job.tiers
            if set(tier.loads) & loads or creams & {*tier.fillings, *tier.coats}
        }  # fmt: skip
        wanted |= {
            t.key for t in net.tasks if t.kind in (TaskKind.FILL, TaskKind.COAT, TaskKind.BOX) and t.part in parts
        }
        if parts:
            wanted |= {t.key for t in net.tasks if t.kind is TaskKind.DECORATE}
    return [task.key for task in net.tasks if task.key in wanted and task.kind in kinds]


def problem_of(jobs: tuple[JobWork, ...], kitchen: Kitchen, clock: Grid, wishes: Wishes | None = None) -> Problem:
    """
    Put a week together from the commissions in it.

    Parameters
    ----------
    jobs
        Commissions in the order of acceptance.
    kitchen, clock, wishes
        What there is, when, and how the maker wants it.
    """
    wishes = wishes or Wishes()
    resources = places(kitchen, clock, wishes)
    people = tuple(r for r in resources if r.kind is ResourceKind.HANDS)
    nets = [network(job, kitchen, clock, wishes, resources) for job in jobs]
    blocks = _blocks(nets, wishes)
    return Problem(
        horizon=clock.horizon,
        tasks=tuple(task for net in nets for task in net.tasks) + breaks(people),
        resources=resources,
        lags=tuple(lag for net in nets for lag in net.lags),
        holds=tuple(hold for net in nets for hold in net.holds),
        blocks=tuple(block for net in nets for block in net.blocks) + tuple(blocks),
        choices=tuple(choice for net in nets for choice in net.choices),
        spans=tuple(span for net in nets for span in net.spans if span.weight),
        buffers=tuple(buffer for net in nets for buffer in net.buffers if buffer.weight),
        reserves=tuple(reserve for net in nets for reserve in net.reserves if reserve.weight),
        jobs=tuple(job.key for job in jobs),
        labels=tuple(job.title for job in jobs),
    )


def with_anchors(problem: Problem, starts: dict[str, int], weight: int) -> Problem:
    """Return the week with a price on every task that leaves the place it had."""
    anchors = tuple(
        Anchor(task=task.key, start=starts[task.key], weight=weight) for task in problem.tasks if task.key in starts
    )
    return replace(problem, anchors=anchors)
