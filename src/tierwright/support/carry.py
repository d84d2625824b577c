"""How the cake goes to the venue: stacked, in part, or stacked there; and what would let it go stacked."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache, reduce
from itertools import combinations
from math import hypot
from typing import Final

import numpy as np

from tierwright.errors import Infeasible
from tierwright.support.loads import base_mass_g
from tierwright.support.model import (
    Anchor,
    Answer,
    BaseBoard,
    Carrying,
    Change,
    Check,
    FillingLayer,
    Level,
    Means,
    Piece,
    Road,
    Rod,
    StackedTier,
    Temper,
    TierLoad,
)
from tierwright.support.ring import least_width_mm, tipping_arm_mm
from tierwright.support.section import section_of
from tierwright.support.stack import MOST_G, Array, PieceCase, RodCase, piece_utilisations, tips_and_slides
from tierwright.support.tables import (
    FillingClass,
    bonds,
    drives,
    factor,
    find_crumb,
    find_filling,
    find_material,
    friction,
    support_stocks,
    surfaces,
)
from tierwright.working import Estimate

SPARE_ROD: Final = "wood-12"
"""Rod that is tried where the maker has none in the plan."""

CHANGES: Final = (
    ("mat", 1, "lay a non-slip mat under it"),
    ("wedge", 2, "stand it in a box that fits and wedge the box"),
    ("chill", 2, "chill it hard and load it cold"),
    ("bond", 3, "stick each board to the coat below with set chocolate or royal icing"),
    ("rod", 5, "fit a centre rod that is screwed into the base board"),
)
"""Changes in the order of their trouble: key, trouble, what to do."""


def floor_friction(means: Means) -> str:
    """Return the key of the friction between the lowest board and the floor of the vehicle."""
    return f"{'box' if means.box else 'base'}-{'mat' if means.mat else 'floor'}"


def joint_friction(level: Level, lower: StackedTier, means: Means) -> str:
    """Return the key of the friction between a board and what it stands on."""
    if level.count:
        return "board-support"
    if lower.finish == "bare":
        return "board-cake"
    if lower.finish in ("rolled", "brittle"):
        return "board-rolled"
    return "board-coat-chilled" if means.temper is Temper.CHILLED else "board-coat"


def temper_factor(filling: FillingClass, temper: Temper) -> float:
    """Return what the cold or the warmth makes of a filling's yield stress. [-]"""
    return {Temper.CHILLED: filling.chilled_factor, Temper.ROOM: 1.0, Temper.WARM: filling.warm_factor}[temper]


def filling_areas_mm2(tier: StackedTier, layer: FillingLayer) -> tuple[float, float]:
    """Return the areas of a filling and of the dam round it: a ring along the tier's rim. [mm2]"""
    whole = tier.outline.area_mm2
    if not layer.dam or layer.dam_mm <= 0:
        return whole, 0.0
    ring = min(whole, tier.outline.perimeter_mm * layer.dam_mm)
    return whole - ring, ring


def filling_force_n(tier: StackedTier, layer: FillingLayer, temper: Temper) -> float:
    """Return the shear force that a filling and its dam hold, by their yield stresses. [N]"""
    inner, ring = filling_areas_mm2(tier, layer)
    soft = find_filling(layer.filling)
    held = soft.yield_pa.value * temper_factor(soft, temper) * inner
    if ring:
        dam = find_filling(layer.dam)
        held += dam.yield_pa.value * temper_factor(dam, temper) * ring
    return held * 1e-6


def weakest_filling(tier: StackedTier, temper: Temper) -> FillingLayer | None:
    """Return the filling that shears first, or None without fillings."""
    return min(tier.fillings, key=lambda layer: filling_force_n(tier, layer, temper), default=None)


def peg_force_n(tier: StackedTier, level: Level | None, crush_kpa: float) -> float:
    """Shear that the supports through a tier carry past a filling, as pegs bearing on half a layer of crumb. [N]"""
    if level is None or not level.count:
        return 0.0
    layer = tier.height_mm / (len(tier.fillings) + 1)
    return level.count * level.stock.outer_mm * layer / 2 * crush_kpa * 1e-3


def piece_case(
    tiers: tuple[StackedTier, ...],
    loads: tuple[TierLoad, ...],
    levels: tuple[Level, ...],
    base: BaseBoard,
    means: Means,
    first: int,
    last: int,
) -> PieceCase:
    """
    Put together one piece, from tier index ``first`` to ``last``, with middle values.

    Parameters
    ----------
    tiers, loads, levels
        Of the whole cake, bottom first.
    base, means
        The base board and what the maker has.
    first, last
        Indices of its lowest and highest tier.
    """
    chosen = range(first, last + 1)
    floor = base.board.thickness_mm if first == 0 else 0.0
    lift = loads[first].bottom_mm - floor
    ahead = [0.0]
    aside = [0.0]
    tilts = [0.0]
    for i in range(first + 1, last + 1):
        level = levels[i - 1]
        dx, dy = tiers[i].offset_mm
        # A lean below carries what is above it along; taken as leaning forwards.
        tilts.append(tilts[-1] + level.tilt)
        ahead.append(ahead[-1] + hypot(dx, dy) + tilts[-1] * tiers[i - 1].height_mm)
        aside.append(aside[-1] + hypot(dx, dy))
    arms = [least_width_mm(base.outline if first == 0 else tiers[first].board_outline) / 2]
    seats_ahead, seats_aside = [0.0], [0.0]
    rims = [arms[0]]
    for i in range(first + 1, last + 1):
        level = levels[i - 1]
        upper = tiers[i]
        if level.count:
            arms.append(max(1e-3, tipping_arm_mm(level.positions, upper.offset_mm)))
        else:
            arms.append(least_width_mm(upper.board_outline) / 2)
        seats_ahead.append(ahead[i - first])
        seats_aside.append(aside[i - first])
        rims.append(least_width_mm(upper.board_outline) / 2)
    pegs, crumb = [], []
    for i in chosen:
        crush = find_crumb(tiers[i].crumb).crush_kpa.value
        pegs.append(peg_force_n(tiers[i], levels[i] if i < last else None, crush))
        crumb.append(crush * 1e-3)
    rod = None
    if means.rod is not None and means.rod.anchor is not Anchor.NONE and len(chosen) > 1:
        material = find_material(means.rod.stock.material)
        strength = material.bend_mpa.low / factor(f"material-{material.family}")
        rod = RodCase(
            section=section_of(means.rod.stock),
            strength_mpa=np.array([strength]),
            # A rod is screwed into the base board; a piece above it has none.
            anchored=means.rod.anchor is Anchor.ANCHORED and first == 0,
        )
    pulls = _pulls(tiers, means.bond, first, last)
    return PieceCase(
        numbers=tuple(tiers[i].number for i in chosen),
        mass_kg=_column([loads[i].mass_g.value / 1000 for i in chosen]),
        balance_mm=_column([loads[i].cg_mm.value for i in chosen]),
        bottom_mm=_column([loads[i].bottom_mm - lift for i in chosen]),
        tall_mm=_column([tiers[i].height_mm for i in chosen]),
        ahead_mm=_column([a + t * loads[i].cg_mm.value for a, t, i in zip(ahead, tilts, chosen, strict=True)]),
        aside_mm=_column(aside),
        seat_ahead_mm=_column(seats_ahead),
        seat_aside_mm=_column(seats_aside),
        arm_mm=_column(arms),
        friction=_rubs(tiers, levels, means, first, last),
        bond_n=_glue(tiers, pulls, first, last),
        filling_n=_shears(tiers, means.temper, first, last),
        peg_n=_column(pegs),
        crumb_mpa=_column(crumb),
        rim_mm=_column(rims),
        bond_mpa=pulls,
        base_kg=base_mass_g(base).value / 1000 if first == 0 else 0.0,
        wedged=means.wedged,
        rod=rod,
    )


def _column(values: list[float]) -> Array:
    """One case: tiers down, the case across."""
    return np.array(values, dtype=np.float64)[:, None]


def _rubs(tiers: tuple[StackedTier, ...], levels: tuple[Level, ...], means: Means, first: int, last: int) -> Array:
    """Friction under each tier of a piece. [-]"""
    joints = (joint_friction(levels[i - 1], tiers[i - 1], means) for i in range(first + 1, last + 1))
    return _column([friction()[key].value.value for key in (floor_friction(means), *joints)])


def _pulls(tiers: tuple[StackedTier, ...], bond: str, first: int, last: int) -> Array:
    """Pull that the glue under each tier of a piece holds: no better than the crumb that it hangs on. [MPa]"""
    holds = bonds()[bond].value.value
    under = (find_crumb(tiers[i - 1].crumb).crush_kpa.value for i in range(first + 1, last + 1))
    return _column([0.0, *(min(holds, crush) * 1e-3 for crush in under)])


def _glue(tiers: tuple[StackedTier, ...], pulls: Array, first: int, last: int) -> Array:
    """Force that the glue under each tier of a piece holds. [N]"""
    return pulls * _column([0.0, *(tiers[i].board_outline.area_mm2 for i in range(first + 1, last + 1))])


def _shears(tiers: tuple[StackedTier, ...], temper: Temper, first: int, last: int) -> Array:
    """Shear force that the weakest filling of each tier of a piece holds; infinite without fillings. [N]"""
    held = []
    for tier in tiers[first : last + 1]:
        filling = weakest_filling(tier, temper)
        held.append(filling_force_n(tier, filling, temper) if filling else np.inf)
    return _column(held)


def design_push(road: Road) -> tuple[float, float, float]:
    """
    Push forwards and sideways that a piece must stand, and the weight that a jolt takes off meanwhile. [g]

    The drive's middle values with its margin; the steepest grade adds to braking; half of the surface's jolt.
    """
    drive = drives()[road.drive]
    forward = (drive.forward_g.value + road.grade) * drive.margin
    side = drive.side_g.value * drive.margin
    return forward, side, factor("load-road") * surfaces()[road.surface].value.value


def check_piece(
    tiers: tuple[StackedTier, ...],
    loads: tuple[TierLoad, ...],
    levels: tuple[Level, ...],
    base: BaseBoard,
    means: Means,
    road: Road,
    first: int,
    last: int,
) -> Piece:
    """Check one piece, from tier index ``first`` to ``last``, against the road."""
    case = piece_case(tiers, loads, levels, base, means, first, last)
    forward, side, light = design_push(road)
    # Beside the road's push one of a whole g on the level, which tells at what push it tips and slides.
    found = piece_utilisations(
        case, forward_g=np.array([forward, 1.0]), side_g=np.array([side, 1.0]), lightened_g=np.array([light, 0.0])
    )
    push = max(forward, side)
    checks = tuple(
        sorted(
            (
                Check(
                    key=f"road.{name}",
                    label=_label(name, tiers, first, means),
                    demand=push,
                    capacity=push / max(used, push / MOST_G),
                    unit="g",
                    utilisation=used,
                )
                for name, used in ((name, float(value[0])) for name, value in found.items())
            ),
            key=lambda check: (-round(check.utilisation, 9), check.key),
        )
    )
    mass = Estimate(value=0.0, low=0.0, high=0.0)
    for i in range(first, last + 1):
        mass = mass + loads[i].mass_g
    if first == 0:
        mass = mass + base_mass_g(base)
    tips, slides = tips_and_slides(found, 1)
    outline = base.outline if first == 0 else tiers[first].outline
    total = case.mass_kg[:, 0].sum()
    return Piece(
        tiers=case.numbers,
        mass_g=mass,
        height_mm=float(case.bottom_mm[-1, 0] + case.tall_mm[-1, 0]),
        width_mm=outline.largest_mm,
        cg_mm=float((case.mass_kg[:, 0] * (case.bottom_mm[:, 0] + case.balance_mm[:, 0])).sum() / total),
        tips_at_g=tips,
        slides_at_g=slides,
        checks=checks,
    )


def _label(name: str, tiers: tuple[StackedTier, ...], first: int, means: Means) -> str:
    kind, _, number = name.partition(".")
    if kind == "rod":
        return "bending of the centre rod at its foot"
    tier = next(t for t in tiers if str(t.number) == number)
    lowest = tier.number == tiers[first].number
    if kind == "tip":
        return (
            f"tipping of {tier.name} and up, on the vehicle's floor"
            if lowest
            else f"tipping of {tier.name} and up on its supports"
        )
    if kind == "slide":
        if lowest:
            return f"sliding of the {'box' if means.box else 'board'} under {tier.name} on the vehicle's floor"
        return f"sliding of {tier.name} on what it stands on"
    return f"shear of the softest filling in {tier.name}"


def carrying(
    tiers: tuple[StackedTier, ...],
    loads: tuple[TierLoad, ...],
    levels: tuple[Level, ...],
    base: BaseBoard,
    means: Means,
    road: Road,
) -> Carrying:
    """
    Decide how the cake is carried.

    Parameters
    ----------
    tiers, loads, levels
        Bottom first.
    base, means, road
        The base board, what the maker has, and the way.

    Returns
    -------
    carrying
        The fewest pieces that pass every check (where some piece fails even alone, each tier by itself), the check
        that governs the whole stack, and the cheapest change that would let it go stacked.

    Raises
    ------
    Infeasible
        No tiers.
    """
    count = len(tiers)
    if not count:
        raise Infeasible("carrying the cake", "there are no tiers")
    known: dict[tuple[int, int], Piece] = {}

    def piece(first: int, last: int) -> Piece:
        if (first, last) not in known:
            known[first, last] = check_piece(tiers, loads, levels, base, means, road, first, last)
        return known[first, last]

    def used(one: Piece) -> float:
        return max((check.utilisation for check in one.checks), default=0.0)

    whole = piece(0, count - 1)
    governing = whole.checks[0]
    spans: tuple[tuple[int, int], ...] = tuple((i, i) for i in range(count))
    wish = road.wish_stacked
    if wish is not False:
        for cuts in range(count):
            options = [
                tuple((a, b - 1) for a, b in zip((0, *at), (*at, count), strict=True))
                for at in combinations(range(1, count), cuts)
            ]
            passing = [option for option in options if all(used(piece(*span)) <= 1 for span in option)]
            if passing:
                spans = min(passing, key=lambda option: max(used(piece(*span)) for span in option))
                break
    best = tuple(piece(*span) for span in spans)
    answer = Answer.STACKED if len(best) == 1 else Answer.ON_SITE if len(best) == count else Answer.PART
    if count == 1:
        answer = Answer.STACKED

    def tried(spans: tuple[tuple[int, int], ...]) -> Change | None:
        return _cheapest(tiers, loads, levels, base, means, road, spans)

    change = tried(((0, count - 1),)) if used(whole) > 1 else None
    piece_change = tried(spans) if any(used(one) > 1 for one in best) else None
    return Carrying(
        answer=answer,
        pieces=best,
        whole=whole,
        governing=governing,
        change=change,
        piece_change=piece_change,
        rod_helps=_rod_words(tiers, loads, levels, base, means, road),
        words=_words(answer, best, governing, (change, piece_change), wish, used(whole)),
    )


def changed(means: Means, key: str) -> Means:
    """Return the means with one of the changes made."""
    match key:
        case "mat":
            return replace(means, mat=True)
        case "wedge":
            return replace(means, box=True, wedged=True)
        case "chill":
            return replace(means, temper=Temper.CHILLED)
        case "bond":
            return replace(means, bond="chocolate")
        case "rod":
            stock = means.rod.stock if means.rod else support_stocks()[SPARE_ROD]
            return replace(means, rod=Rod(stock=stock, anchor=Anchor.ANCHORED))
    raise ValueError(f"no change is called {key!r}")


def _cheapest(
    tiers: tuple[StackedTier, ...],
    loads: tuple[TierLoad, ...],
    levels: tuple[Level, ...],
    base: BaseBoard,
    means: Means,
    road: Road,
    spans: tuple[tuple[int, int], ...],
) -> Change | None:
    """Take the first set of changes, in the order of their trouble, with which every piece passes."""
    picks, made = _picks(), _made(means)
    worst = np.max([_worst_used(tiers, loads, levels, base, made, road, *span) for span in spans], axis=0)
    for pick, used in zip(picks, worst.tolist(), strict=True):
        if used <= 1:
            return Change(do=" and ".join(do for _, _, do in pick), utilisation=used)
    return None


@lru_cache(maxsize=1)
def _picks() -> tuple[tuple[tuple[str, int, str], ...], ...]:
    """Every set of changes, in the order of their trouble."""
    picks = [pick for size in range(1, len(CHANGES) + 1) for pick in combinations(CHANGES, size)]
    return tuple(sorted(picks, key=lambda pick: (sum(trouble for _, trouble, _ in pick), len(pick))))


@lru_cache(maxsize=16)
def _made(means: Means) -> tuple[Means, ...]:
    """Return the means with each of the sets of changes made."""
    made = []
    for pick in _picks():
        after = means
        for key, _, _ in pick:
            after = changed(after, key)
        made.append(after)
    return tuple(made)


def _worst_used(
    tiers: tuple[StackedTier, ...],
    loads: tuple[TierLoad, ...],
    levels: tuple[Level, ...],
    base: BaseBoard,
    made: tuple[Means, ...],
    road: Road,
    first: int,
    last: int,
) -> Array:
    """Greatest utilisation of one piece with each of several means."""
    forward, side, light = design_push(road)
    pulls = {bond: _pulls(tiers, bond, first, last) for bond in {means.bond for means in made}}
    glue = {bond: _glue(tiers, pull, first, last) for bond, pull in pulls.items()}
    shears = {temper: _shears(tiers, temper, first, last) for temper in {means.temper for means in made}}
    worst = np.zeros(len(made))
    # Wedges and rods change what can fail at all; everything else stands side by side in one working.
    kinds = [(means.wedged, means.rod) for means in made]
    for kind in dict.fromkeys(kinds):
        which = [i for i, other in enumerate(kinds) if other == kind]
        alike = [made[i] for i in which]
        case = replace(
            piece_case(tiers, loads, levels, base, alike[0], first, last),
            friction=np.hstack([_rubs(tiers, levels, means, first, last) for means in alike]),
            bond_n=np.hstack([glue[means.bond] for means in alike]),
            bond_mpa=np.hstack([pulls[means.bond] for means in alike]),
            filling_n=np.hstack([shears[means.temper] for means in alike]),
        )
        found = piece_utilisations(
            case, forward_g=np.array([forward]), side_g=np.array([side]), lightened_g=np.array([light])
        )
        worst[which] = reduce(np.maximum, found.values())
    return worst


def _rod_words(
    tiers: tuple[StackedTier, ...],
    loads: tuple[TierLoad, ...],
    levels: tuple[Level, ...],
    base: BaseBoard,
    means: Means,
    road: Road,
) -> str:
    if len(tiers) == 1:
        return "A single tier needs no centre rod."
    last = len(tiers) - 1
    rod = means.rod.stock if means.rod else support_stocks()[SPARE_ROD]

    def tried(anchor: Anchor) -> dict[str, Check]:
        after = replace(means, rod=Rod(stock=rod, anchor=anchor))
        return {c.key: c for c in check_piece(tiers, loads, levels, base, after, road, 0, last).checks}

    bare = tried(Anchor.NONE)
    fails = [key for key, check in bare.items() if not check.passes]
    if not fails:
        return "No centre rod is needed: the stack passes every check without one."
    held, loose = tried(Anchor.ANCHORED), tried(Anchor.LOOSE)
    mended = [key for key in fails if held[key].passes]
    left = sorted((held[key] for key in held if not held[key].passes), key=lambda check: -check.utilisation)
    if not mended:
        worst = max((bare[key] for key in fails), key=lambda check: check.utilisation)
        return f"A centre rod does not help: what gives is {worst.label}, and a rod does nothing against it."
    loosely = sum(loose[key].passes for key in mended)
    against = "; ".join(bare[key].label for key in mended[:2]) + (" and the like" if len(mended) > 2 else "")
    words = f"A {rod.name} screwed or glued into the base stops {against}; "
    words += (
        "pushed through without a foot it stops none of it"
        if loosely == 0
        else f"pushed through without a foot it stops {loosely} of {len(mended)}"
    )
    if left:
        words += f". It does nothing against {left[0].label}"
    return words + "."


def _words(
    answer: Answer,
    pieces: tuple[Piece, ...],
    governing: Check,
    changes: tuple[Change | None, Change | None],
    wish: bool | None,
    used: float,
) -> str:
    state = f"{governing.label} governs the whole stack at {used:.2f} of what it stands"
    parts = "; ".join("tiers " + " and ".join(str(n) for n in piece.tiers) for piece in pieces)
    worst = max((piece.checks[0] for piece in pieces), key=lambda check: check.utilisation)
    change, mend = changes
    alone = ""
    if worst.utilisation > 1:
        alone = f" Even so, {worst.label} stands at {worst.utilisation:.2f}"
        alone += f": {mend.do} (then {mend.utilisation:.2f})." if mend else ": no change that is known here mends it."
    cheapest = f" To carry it stacked: {change.do} (then {change.utilisation:.2f})." if change else ""
    if answer is Answer.STACKED:
        return f"Carry it stacked: {state}.{alone}"
    if wish is False and used <= 1:
        return f"Stack it on site, as you wish; it could go stacked: {state}."
    if answer is Answer.PART:
        return f"Carry it in {len(pieces)} pieces ({parts}): {state}.{alone}{cheapest}"
    return f"Stack it on site: {state}.{alone}{cheapest}"
