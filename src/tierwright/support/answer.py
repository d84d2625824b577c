"""The whole answer: loads, supports, boards, road, air, hands, parts and chances."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from tierwright.errors import BadInput, Problem, require_range
from tierwright.support.air import trapped_air
from tierwright.support.boards import BoardCase, answer_board, carried_at_edges, solve_board
from tierwright.support.carry import carrying
from tierwright.support.hands import plan_lifts
from tierwright.support.levels import plan_levels
from tierwright.support.loading import plan_loading
from tierwright.support.loads import GRAMS_TO_NEWTONS, base_mass_g, tier_loads
from tierwright.support.model import Ask, BaseBoard, BoardAnswer, Level, Means, StackedTier, Support, TierLoad
from tierwright.support.notes import collect_notes
from tierwright.support.parts import list_inedibles
from tierwright.support.plate import PatchForce, PointForce
from tierwright.support.ring import shrunk_to_fit
from tierwright.support.section import section_of
from tierwright.support.tables import (
    BoardStock,
    board_stocks,
    bonds,
    crumb_classes,
    drives,
    filling_classes,
    finish_limits,
    materials,
    surfaces,
)
from tierwright.support.trials import run_trials


def support(ask: Ask) -> Support:
    """
    Work out whether the cake stands and survives the road, and what it takes.

    Parameters
    ----------
    ask
        Tiers, base board, what the maker has, and the way.

    Returns
    -------
    support
        Loads, supports and boards by level, how to carry it, air, lifts, inedible parts, chances and notes.

    Raises
    ------
    BadInput
        Unknown keys or impossible values, all of them at once.
    MissingData
        No tiers, a tier without mass, or no supports owned.
    Infeasible
        A layout that cannot carry, or supports too short.
    OutOfRange
        A measure outside the span that can be computed.
    """
    check_ask(ask)
    # A first pass with the boards as given finds the boards that the maker's choice leaves open.
    loads = tier_loads(ask.tiers, ask.base)
    levels = plan_levels(ask.tiers, loads, ask.means, ask.road)
    tiers = _with_boards(ask.tiers, levels, ask.means)
    if tiers != ask.tiers:
        loads = tier_loads(tiers, ask.base)
        levels = plan_levels(tiers, loads, ask.means, ask.road)
    base = base_board(tiers, loads, levels, ask.base, ask.means)
    road = carrying(tiers, loads, levels, ask.base, ask.means, ask.road)
    air = trapped_air(
        from_m=ask.road.from_m,
        to_m=ask.road.to_m,
        cold_c=ask.road.cold_c,
        warm_c=ask.road.warm_c,
        sealed=ask.road.sealed,
    )
    lifts = plan_lifts(road.pieces, road.whole, boxed=ask.means.box)
    trials = None
    if ask.trials:
        trials = run_trials(
            tiers,
            loads,
            levels,
            ask.base,
            ask.means,
            ask.road,
            road.pieces,
            trials=ask.trials,
            seed=ask.seed,
        )
    lean = sum(level.tilt for level in levels)
    return Support(
        loads=loads,
        levels=levels,
        base=base,
        carrying=road,
        air=air,
        lifts=lifts,
        loading=plan_loading(road.pieces, lifts, ask.means),
        inedibles=list_inedibles(tiers, levels, ask.base, ask.means, ask.picks),
        trials=trials,
        lean=lean,
        notes=collect_notes(replace(ask, tiers=tiers), loads, levels, base, road, air, lifts, trials, lean),
    )


def base_board(
    tiers: tuple[StackedTier, ...],
    loads: tuple[TierLoad, ...],
    levels: tuple[Level, ...],
    base: BaseBoard,
    means: Means,
) -> BoardAnswer:
    """Work out what the base board does while two hands, or two people, carry the whole stack by its edges."""
    lowest = tiers[0]
    outline = base.outline
    under = shrunk_to_fit(lowest.board_outline, outline)
    own = (loads[0].mass_g.value) * GRAMS_TO_NEWTONS
    patches = [PatchForce(outline=under, force_n=own)]
    points: tuple[PointForce, ...] = ()
    feet = None
    if levels and levels[0].count:
        points = tuple(
            PointForce(x_mm=x, y_mm=y, force_n=force)
            for (x, y), force in zip(levels[0].positions, levels[0].reactions_n, strict=True)
        )
        feet = (section_of(levels[0].stock), max(levels[0].reactions_n))
    elif loads[0].above_g.value > 0:
        patches.append(PatchForce(outline=under, force_n=loads[0].above_g.value * GRAMS_TO_NEWTONS))
    patches.append(PatchForce(outline=outline, force_n=base_mass_g(base).value * GRAMS_TO_NEWTONS))
    case = BoardCase(
        outline=outline,
        patches=tuple(patches),
        points=points,
        stands_on=carried_at_edges(outline),
        foot=None,
        feet_above=feet,
        finish=lowest.finish,
        span_mm=outline.extent_mm[0],
        # A step taken at walking pace; the road's jolts find the base lying on the vehicle's floor.
        jolt=0.2,
        damp=means.damp,
    )
    return answer_board(
        case,
        base.board,
        solve_board(case, base.board),
        foot_force_n=0.0,
        tier=0,
        owned=means.boards or tuple(board_stocks().values()),
        brief=True,
    )


def _with_boards(tiers: tuple[StackedTier, ...], levels: tuple[Level, ...], means: Means) -> tuple[StackedTier, ...]:
    """Return the tiers with the boards that were chosen for them."""
    known: dict[str, BoardStock] = {**board_stocks(), **{board.key: board for board in means.boards}}
    chosen = {level.carries: known[level.board.board] for level in levels if level.board.board in known}
    return tuple(
        tier if tier.board is not None or tier.number not in chosen else replace(tier, board=chosen[tier.number])
        for tier in tiers
    )


def check_ask(ask: Ask) -> None:
    """Raise ``BadInput`` with every unknown key and impossible number in an ask."""
    problems: list[Problem] = []

    def known(place: str, found: str, table: Iterable[str]) -> None:
        keys = tuple(table)
        if found not in keys:
            problems.append(Problem(place=place, found=found, expected="one of " + ", ".join(keys)))

    for tier in ask.tiers:
        place = f"tier {tier.number}"
        known(f"{place}: crumb", tier.crumb, crumb_classes())
        known(f"{place}: finish", tier.finish, finish_limits())
        for layer in tier.fillings:
            known(f"{place}: filling", layer.filling, filling_classes())
            if layer.dam:
                known(f"{place}: dam", layer.dam, filling_classes())
        if tier.board is not None:
            known(f"{place}: board material", tier.board.material, materials())
    known("base board material", ask.base.board.material, materials())
    for stock in ask.means.supports:
        known(f"support {stock.key}: material", stock.material, materials())
    for board in ask.means.boards:
        known(f"board {board.key}: material", board.material, materials())
    known("bond", ask.means.bond, bonds())
    known("road surface", ask.road.surface, surfaces())
    known("drive", ask.road.drive, drives())
    numbers = [tier.number for tier in ask.tiers]
    if numbers != list(range(1, len(numbers) + 1)):
        problems.append(
            Problem(place="tiers", found=str(numbers), expected="numbers from 1 at the bottom, one after another")
        )
    if problems:
        raise BadInput(problems)
    require_range("grade", ask.road.grade, 0.0, 0.4, "")
    require_range("driving time", ask.road.minutes, 0.0, 2880.0, "min")
    require_range("cutting error", ask.means.cutting_error_mm, 0.0, 5.0, "mm")
    require_range("placement error", ask.means.placement_error_mm, 0.0, 20.0, "mm")
    require_range("trials", ask.trials, 0, 1_000_000, "")
