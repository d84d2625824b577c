"""The chance that something fails, and what to be careful about: a seeded run over everything uncertain."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import exp, log, pi, sqrt
from typing import Final

import numpy as np
import numpy.typing as npt

from tierwright.errors import require_range
from tierwright.support.boards import carried_by
from tierwright.support.carry import (
    filling_areas_mm2,
    floor_friction,
    joint_friction,
    peg_force_n,
    piece_case,
    temper_factor,
    weakest_filling,
)
from tierwright.support.column import EFFECTIVE_LENGTH, Ends
from tierwright.support.levels import SOFT_CRUMB
from tierwright.support.model import (
    BaseBoard,
    Chance,
    Level,
    Means,
    Piece,
    Road,
    Sensitivity,
    StackedTier,
    TierLoad,
    Trials,
)
from tierwright.support.plate import PlateSupport, reaction_shifts
from tierwright.support.section import section_of
from tierwright.support.stack import PieceCase, piece_utilisations
from tierwright.support.tables import (
    bonds,
    drives,
    factor,
    find_crumb,
    find_filling,
    find_material,
    friction,
    surfaces,
)
from tierwright.working import Estimate

Array = npt.NDArray[np.float64]

TENTH: Final = 1.2815515655446004
"""Standard deviations from the middle to the ninth tenth of a normal distribution. [-]"""
SKEWED: Final = 2.5
"""Ratio of high to low from which a quantity is drawn on a logarithmic scale. [-]"""


def draw(rng: np.random.Generator, estimate: Estimate, shape: int | tuple[int, ...]) -> Array:
    """
    Draw a quantity from its estimate: low and high are the first and ninth tenths.

    Parameters
    ----------
    rng
        Source of random numbers.
    estimate
        Value and range; not negative.
    shape
        How many.

    Returns
    -------
    drawn
        Normal about the value; lognormal where high is more than 2.5 times low, since such a quantity is known by its
        order of magnitude. Never below a thousandth of the value.
    """
    spread = (estimate.high - estimate.low) / (2 * TENTH)
    if estimate.low > 0 and estimate.high / estimate.low > SKEWED:
        sigma = log(estimate.high / estimate.low) / (2 * TENTH)
        return np.asarray(estimate.value * np.exp(sigma * rng.standard_normal(shape)))
    drawn = estimate.value + spread * rng.standard_normal(shape)
    return np.asarray(np.maximum(drawn, 1e-3 * estimate.value))


def hard_stop_chance(minutes: float) -> float:
    """Chance of at least one hard stop on a drive, from its usual rate: ``1 - exp(-t / T)``. [min, -]"""
    require_range("driving time", minutes, 0.0, 2880.0, "min")
    return 1 - exp(-minutes / 60 / factor("hard-stop-hours"))


@dataclass(frozen=True, slots=True)
class _Drawn:
    """Everything drawn, by name, and the same for the ranking of sensitivities."""

    inputs: dict[str, tuple[str, Array]]

    def add(self, key: str, label: str, values: Array) -> Array:
        self.inputs[key] = (label, values)
        return values


def run_trials(
    tiers: tuple[StackedTier, ...],
    loads: tuple[TierLoad, ...],
    levels: tuple[Level, ...],
    base: BaseBoard,
    means: Means,
    road: Road,
    pieces: tuple[Piece, ...],
    *,
    trials: int,
    seed: int,
) -> Trials:
    """
    Find the chance of each failure, carried in the given pieces.

    Parameters
    ----------
    tiers, loads, levels
        Bottom first.
    base, means, road
        The base board, what the maker has, and the way.
    pieces
        How it is carried.
    trials
        Number of trials, 100 to 1,000,000.
    seed
        Seed; the same seed gives the same answer.

    Returns
    -------
    trials
        Chances with their standard errors, the chance of any failure, and rank correlations for the likeliest.

    Raises
    ------
    OutOfRange
        Too few or too many trials.

    Notes
    -----
    No partial factors here: strengths and loads are drawn as they are. Each maker's errors (cutting, setting down) are
    normal about none. The drive is the quiet one, with a hard stop in the share of trips that its length makes likely.
    """
    require_range("trials", trials, 100, 1_000_000, "")
    rng = np.random.default_rng(seed)
    drawn = _Drawn({})
    mass = np.stack(
        [drawn.add(f"mass.{t.number}", f"mass of {t.name}", draw(rng, load.mass_g, trials) / 1000)
         for t, load in zip(tiers, loads, strict=True)]
    )  # fmt: skip
    balance = np.stack([draw(rng, load.cg_mm, trials) for load in loads])
    failures: dict[str, tuple[str, Array]] = {}
    tilts = np.zeros((len(tiers), 2, trials))
    jolt = _jolt(rng, road, trials)
    for i, level in enumerate(levels):
        if level.count:
            tilts[i + 1] = _level_failures(
                rng, drawn, failures, tiers[i], tiers[i + 1], level, means, mass[i + 1 :].sum(axis=0), loads[i], jolt
            )
    forward, side = _drive(rng, drawn, road, trials)
    light = factor("load-road") * jolt
    floor = drawn.add(
        "friction.floor", "friction on the vehicle's floor", draw(rng, friction()[floor_friction(means)].value, trials)
    )
    placing = means.placement_error_mm * rng.standard_normal((len(tiers), 2, trials))
    placing[0] = 0.0
    for i in range(1, len(tiers)):
        drawn.add(f"placing.{tiers[i].number}", f"setting {tiers[i].name} down off the middle", np.abs(placing[i, 0]))
    rubs = {}
    for i, level in enumerate(levels):
        kind = joint_friction(level, tiers[i], means)
        if kind not in rubs:
            rubs[kind] = drawn.add(
                f"friction.{kind}", f"friction: {friction()[kind].name}", draw(rng, friction()[kind].value, trials)
            )
    sticks = draw(rng, bonds()[means.bond].value, trials) if means.bond != "none" else np.zeros(trials)
    if means.bond != "none":
        drawn.add("bond", f"grip of {bonds()[means.bond].name}", sticks)
    shears, crumbs = _fillings(rng, drawn, tiers, means, trials)
    for piece in pieces:
        first = next(i for i, t in enumerate(tiers) if t.number == piece.tiers[0])
        last = first + len(piece.tiers) - 1
        middle = piece_case(tiers, loads, levels, base, means, first, last)
        case = _drawn_case(
            middle,
            tiers,
            levels,
            means,
            first,
            last,
            mass,
            balance,
            tilts,
            placing,
            floor,
            rubs,
            sticks,
            shears,
            crumbs,
            rng,
        )
        found = piece_utilisations(case, forward_g=forward, side_g=side, lightened_g=light)
        for check in piece.checks:
            name = check.key.removeprefix("road.")
            failures[check.key] = (check.label, found[name])
    return _summary(drawn, failures, trials, seed)


def _jolt(rng: np.random.Generator, road: Road, trials: int) -> Array:
    """Vertical acceleration over gravity: about the surface's value, give or take a third."""
    return draw(rng, Estimate.within(surfaces()[road.surface].value.value, 0.33), trials)


def _drive(rng: np.random.Generator, drawn: _Drawn, road: Road, trials: int) -> tuple[Array, Array]:
    quiet, hard = drives()["careful"], drives()[road.drive]
    stops = rng.random(trials) < hard_stop_chance(road.minutes)
    forward = np.where(stops, draw(rng, hard.forward_g, trials), draw(rng, quiet.forward_g, trials)) + road.grade
    side = np.where(stops, draw(rng, hard.side_g, trials), draw(rng, quiet.side_g, trials))
    drawn.add("braking", "hardest braking", forward)
    drawn.add("cornering", "sharpest bend", side)
    return forward, side


def _fillings(
    rng: np.random.Generator, drawn: _Drawn, tiers: tuple[StackedTier, ...], means: Means, trials: int
) -> tuple[list[Array], list[Array]]:
    shears, crumbs = [], []
    for tier in tiers:
        layer = weakest_filling(tier, means.temper)
        if layer is None:
            shears.append(np.full(trials, np.inf))
        else:
            force = np.zeros(trials)
            for key, area in zip((layer.filling, layer.dam), filling_areas_mm2(tier, layer), strict=True):
                if area > 0:
                    kind = find_filling(key)
                    force += draw(rng, kind.yield_pa * temper_factor(kind, means.temper), trials) * 1e-6 * area
            shears.append(drawn.add(f"filling.{tier.number}", f"stiffness of the filling in {tier.name}", force))
        crumbs.append(draw(rng, find_crumb(tier.crumb).crush_kpa, trials))
    return shears, crumbs


def _drawn_case(
    middle: PieceCase,
    tiers: tuple[StackedTier, ...],
    levels: tuple[Level, ...],
    means: Means,
    first: int,
    last: int,
    mass: Array,
    balance: Array,
    tilts: Array,
    placing: Array,
    floor: Array,
    rubs: dict[str, Array],
    sticks: Array,
    shears: list[Array],
    crumbs: list[Array],
    rng: np.random.Generator,
) -> PieceCase:
    """Put the drawn values in the place of the middle ones."""
    span = slice(first, last + 1)
    trials = mass.shape[1]
    count = last - first + 1
    ahead, aside = np.zeros((count, trials)), np.zeros((count, trials))
    seat_ahead, seat_aside = np.zeros((count, trials)), np.zeros((count, trials))
    lean = np.zeros((2, trials))
    at = np.zeros((2, trials))
    for k in range(count):
        i = first + k
        if k:
            # A leaning tier carries the seat of the next along; then that one is set down a little off.
            at = at + lean * tiers[i - 1].seat_mm + np.array(tiers[i].offset_mm)[:, None]
            seat_ahead[k], seat_aside[k] = at
            lean = lean + tilts[i]
            at = at + placing[i]
        ahead[k], aside[k] = at + lean * balance[i]
    friction_rows = [floor]
    bond_rows = [np.zeros(trials)]
    pull_rows = [np.zeros(trials)]
    for i in range(first + 1, last + 1):
        friction_rows.append(rubs[joint_friction(levels[i - 1], tiers[i - 1], means)])
        grip = np.minimum(sticks, crumbs[i - 1]) * 1e-3
        pull_rows.append(grip)
        bond_rows.append(grip * tiers[i].board_outline.area_mm2)
    pegs = [
        np.full(trials, peg_force_n(tiers[i], levels[i] if i < last else None, 1.0)) * crumbs[i]
        for i in range(first, last + 1)
    ]
    rod = middle.rod
    if rod is not None and means.rod is not None:
        rod = replace(rod, strength_mpa=draw(rng, find_material(means.rod.stock.material).bend_mpa, trials))
    return replace(
        middle,
        mass_kg=mass[span],
        balance_mm=balance[span],
        ahead_mm=ahead,
        aside_mm=aside,
        seat_ahead_mm=seat_ahead,
        seat_aside_mm=seat_aside,
        friction=np.stack(friction_rows),
        bond_n=np.stack(bond_rows),
        filling_n=np.stack(shears[span]),
        peg_n=np.stack(pegs),
        crumb_mpa=np.stack(crumbs[span]) * 1e-3,
        bond_mpa=np.stack(pull_rows),
        rod=rod,
    )


def _level_failures(
    rng: np.random.Generator,
    drawn: _Drawn,
    failures: dict[str, tuple[str, Array]],
    lower: StackedTier,
    upper: StackedTier,
    level: Level,
    means: Means,
    above_kg: Array,
    load: TierLoad,
    jolt: Array,
) -> Array:
    """Work the failures of one level's supports and board; return the tilt that uneven lengths give (2 x trials)."""
    trials = len(above_kg)
    share = above_kg * 1000 / load.above_g.value
    stock, board = find_material(level.stock.material), find_material(level.board.material)
    section = section_of(level.stock)
    dx, dy = upper.offset_mm
    places = np.array([(x - dx, y - dy) for x, y in level.positions])
    errors = means.cutting_error_mm * rng.standard_normal((level.count, trials))
    number = lower.number
    drawn.add(f"cutting.{number}", f"unequal supports in {lower.name}", errors.max(axis=0) - errors.min(axis=0))
    modulus = drawn.add(
        f"support.modulus.{number}", f"stiffness of the supports in {lower.name}", draw(rng, stock.modulus_mpa, trials)
    )
    crush = drawn.add(
        f"support.strength.{number}", f"strength of the supports in {lower.name}", draw(rng, stock.crush_mpa, trials)
    )
    stiff = drawn.add(
        f"board.stiffness.{upper.number}",
        f"stiffness of the board under {upper.name}",
        draw(rng, board.modulus_mpa, trials),
    )
    left = draw(rng, board.damp, trials) if means.damp else np.ones(trials)
    shifts = np.array(
        reaction_shifts(
            upper.board_outline,
            stiffness_nmm=board.modulus_mpa.value * level.board.thickness_mm**3 / (12 * (1 - board.poisson**2)),
            poisson=board.poisson,
            supports=tuple(
                PlateSupport(
                    x_mm=float(x),
                    y_mm=float(y),
                    flexibility_mm_per_n=level.cut_mm / (stock.modulus_mpa.value * section.area_mm2),
                )
                for x, y in places
            ),
        )
    ).round(5)  # to the digits on which every processor and number of threads agrees
    rest = np.array(level.reactions_n)[:, None] * share
    forces = carried_by(rest, shifts @ errors * (stiff * left / board.modulus_mpa.value))
    worst = forces.max(axis=0) * (1 + jolt)
    # Euler or Johnson, as in the column's own file, over all trials at once.
    ends = Ends.SWAY if lower.crumb in SOFT_CRUMB else Ends.HELD
    slender = EFFECTIVE_LENGTH[ends] * level.cut_mm / section.gyration_mm
    euler = pi**2 * modulus / slender**2
    johnson = crush * (1 - crush * slender**2 / (4 * pi**2 * modulus))
    stress = np.where(slender > np.sqrt(2 * pi**2 * modulus / crush), euler, johnson)
    wet = draw(rng, stock.damp, trials)
    key = f"supports.{number}"
    failures[f"{key}.column"] = (
        f"crushing or buckling of the {level.stock.name} in {lower.name}",
        worst / (stress * wet * section.area_mm2),
    )
    outer = section.outer_mm + level.board.thickness_mm
    inner = max(0.0, section.inner_mm - level.board.thickness_mm)
    bearing = drawn.add(
        f"board.bearing.{upper.number}",
        f"hardness of the board under {upper.name}",
        draw(rng, board.bearing_mpa, trials),
    )
    failures[f"supports.board.{upper.number}.bearing"] = (
        f"supports pressing through the board under {upper.name}",
        worst / (pi / 4 * (outer**2 - inner**2)) / (bearing * left),
    )
    by_key = {check.key.rsplit(".", 1)[1]: check for check in level.board.checks}
    at_rest = by_key["sag"].demand * (board.damp.value if means.damp else 1.0)
    failures[f"supports.board.{upper.number}.sag"] = (
        f"sag of the board under {upper.name} beyond what its coat stands",
        at_rest * share * board.modulus_mpa.value / (stiff * left) / by_key["sag"].capacity,
    )
    factors = factor("load") * (1 + level.jolt)
    strength = draw(rng, board.bend_mpa, trials)
    failures[f"supports.board.{upper.number}.bending"] = (
        f"breaking of the board under {upper.name}",
        by_key["bending"].demand / factors * share * (1 + jolt) / (strength * left),
    )
    # The plane that fits uneven tops best: slope = sum(e x) / sum(x^2), each way.
    middle = places - places.mean(axis=0)
    return np.stack([(middle[:, a] @ errors) / (middle[:, a] ** 2).sum() for a in range(2)])


def _summary(drawn: _Drawn, failures: dict[str, tuple[str, Array]], trials: int, seed: int) -> Trials:
    chances = []
    any_failed = np.zeros(trials, dtype=bool)
    for key, (label, used) in failures.items():
        failed = used > 1
        any_failed |= failed
        chance = float(failed.mean())
        chances.append(
            Chance(key=key, label=label, chance=chance, error=sqrt(max(chance * (1 - chance), 0.0) / trials))
        )
    # Likeliest first; among those that never failed, the one that came nearest.
    near = dict(zip(failures, np.quantile([used for _, used in failures.values()], 0.95, axis=1).tolist(), strict=True))
    chances.sort(key=lambda c: (-c.chance, -near[c.key]))
    likeliest = failures[chances[0].key][1]
    found = []
    if np.ptp(likeliest) > 0:
        ranks = np.empty(min(trials, RANKED))
        ranks[_order(likeliest)] = np.arange(len(ranks))
        for key, (label, values) in drawn.inputs.items():
            if np.ptp(values) > 0:
                correlation = _rank_correlation(ranks[_order(values)])
                found.append(Sensitivity(key=key, label=label, correlation=correlation))
    found.sort(key=lambda s: -abs(s.correlation))
    return Trials(
        trials=trials,
        seed=seed,
        chances=tuple(chances),
        any_failure=float(any_failed.mean()),
        sensitivities=tuple(found[:6]),
    )


RANKED: Final = 5000
"""Trials that the sensitivities are ranked over; more would not change the order. [-]"""


def _order(values: Array) -> npt.NDArray[np.intp]:
    """Order of the ranked trials from the least to the greatest; of equal ones the earlier first."""
    ranked = values[:RANKED]
    order = np.argsort(ranked)
    climbing = ranked[order]
    # The quick way leaves open in what order equals come, the slow way does not.
    return np.argsort(ranked, kind="stable") if (climbing[1:] == climbing[:-1]).any() else order


def _rank_correlation(ranks: Array) -> float:
    """
    Spearman's rank correlation. [-]

    Parameters
    ----------
    ranks
        Ranks from 0 by one quantity, in the order of the other.
    """
    count = len(ranks)
    middle = (count - 1) / 2
    return float(12 * (np.arange(count) - middle) @ (ranks - middle) / (count * (count**2 - 1)))
