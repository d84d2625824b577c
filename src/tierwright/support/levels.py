"""The supports inside each tier: whether they are needed, how many, where, which, and how long."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from math import hypot
from typing import Final

from tierwright.errors import Infeasible, MissingData, UnknownName
from tierwright.shapes import Outline, Point
from tierwright.support.boards import (
    BoardCase,
    answer_board,
    flat_board,
    make_check,
    scaled_checks,
    solve_board,
    stiffness_of,
    worst_of,
)
from tierwright.support.column import Ends, Section, buckling_load_n, shortening_mm_per_n, wrinkling_load_n
from tierwright.support.loads import GRAMS_TO_NEWTONS
from tierwright.support.model import (
    BoardAnswer,
    Check,
    HandLayout,
    Level,
    Means,
    Road,
    StackedTier,
    TierLoad,
)
from tierwright.support.plate import (
    PatchForce,
    PlateSolution,
    PlateSupport,
    PointForce,
    Wanted,
    bend_plate,
    settle_plate,
)
from tierwright.support.ring import (
    centre_of_area,
    free_span_mm,
    ring_centre,
    ring_positions,
    stands_inside,
    tipping_arm_mm,
)
from tierwright.support.section import section_of
from tierwright.support.tables import (
    BoardStock,
    SupportStock,
    board_stocks,
    factor,
    find_crumb,
    find_material,
    surfaces,
)
from tierwright.working import Estimate

LARGE_BOARD_MM: Final = 150.0
MOST_SUPPORTS: Final = 9
FIRST_SHARE: Final = 0.68
SEARCH_DEGREE: Final = 10
RING_ALLOWANCE: Final = 0.95
"""Utilisation up to which a board is taken in the search, so that the final solution does not just miss. [-]"""
EDGE_ROOM_MM: Final = 15.0
"""Way from a support's rim to the rim of the board that it carries, so that it stays hidden. [mm]"""
ROD_ROOM_MM: Final = 8.0
SOFT_CRUMB: Final = frozenset({"foam"})
"""Classes of crumb too soft to hold a support upright at its top."""


@dataclass(frozen=True, slots=True)
class _Place:
    """One level while it is worked: the two tiers and everything that presses on the board between."""

    lower: StackedTier
    upper: StackedTier
    load: TierLoad
    patches: tuple[PatchForce, ...]
    points: tuple[PointForce, ...]
    feet: tuple[Section, float] | None
    jolt: float
    levels: int
    means: Means

    @property
    def weight_n(self) -> float:
        return sum(p.force_n for p in self.patches) + sum(p.force_n for p in self.points)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ring:
    """How a ring came about: its share of the outline, the stiffest share, set by hand or not, and the remark."""

    share: float
    stiffest: float
    by_hand: bool
    fewer: str


def cut_length_mm(tier: StackedTier) -> float:
    """
    Length to which supports of a tier are cut: from the top of its board to where the next tier stands.

    A tier that has not settled yet is taken lower by the share that soft fillings settle. The sheet tells the maker to
    measure the finished tier and cut to that.
    """
    board = tier.board.thickness_mm if tier.board else 0.0
    settle = 0.0 if tier.settled else factor("settle-share") * tier.seat_mm
    return tier.seat_mm - board - settle


def support_checks(
    stock: SupportStock, *, force_n: float, length_mm: float, crumb: str, jolt: float, key: str
) -> tuple[Check, ...]:
    """
    Check one support: crushing, buckling, and wrinkling of a tube's wall.

    Parameters
    ----------
    stock
        The support.
    force_n
        Greatest force on it at rest. [N]
    length_mm
        Cut length. [mm]
    crumb
        Class of the crumb round it: firm crumb keeps its top in place, soft crumb does not.
    jolt
        Vertical acceleration of the road over gravity. [-]
    key
        Start of the checks' keys.
    """
    material = find_material(stock.material)
    section = section_of(stock)
    # Inside a cake everything is damp.
    down = material.damp.value / factor(f"material-{material.family}")
    demand = force_n * factor("load") * (1 + jolt)
    ends = Ends.SWAY if crumb in SOFT_CRUMB else Ends.HELD
    found = [
        make_check(
            f"{key}.crushing",
            f"crushing of the {stock.name}",
            demand,
            section.area_mm2 * material.crush_mpa.low * down,
            "N",
        ),
        make_check(
            f"{key}.buckling",
            f"buckling of the {stock.name}, {ends.value}",
            demand,
            down
            * buckling_load_n(
                section,
                length_mm=length_mm,
                modulus_mpa=material.modulus_mpa.low,
                crush_mpa=material.crush_mpa.low,
                ends=ends,
            ),
            "N",
        ),
    ]
    if stock.wall_mm:
        found.append(
            make_check(
                f"{key}.wrinkling",
                f"wrinkling of the wall of the {stock.name}",
                demand,
                down * wrinkling_load_n(section, modulus_mpa=material.modulus_mpa.low),
                "N",
            )
        )
    return tuple(found)


def crumb_load(tier: StackedTier, load_n: float, board: Outline) -> tuple[Estimate, Estimate]:
    """
    Pressure on a cake under a board without supports, and the strain that it makes.

    Parameters
    ----------
    tier
        The tier below.
    load_n
        Weight on the board. [N]
    board
        Outline of the board. [mm]

    Returns
    -------
    pressure_kpa, strain
        Strain by the modulus of its class of crumb; above about a fifth the crumb collapses. [kPa, -]
    """
    crumb = find_crumb(tier.crumb)
    pressure = load_n / board.area_mm2 * 1000
    strain = Estimate(
        value=pressure / crumb.modulus_kpa.value,
        low=pressure / crumb.modulus_kpa.high,
        high=pressure / crumb.modulus_kpa.low,
    )
    return Estimate.exact(pressure), strain


def plan_levels(
    tiers: tuple[StackedTier, ...], loads: tuple[TierLoad, ...], means: Means, road: Road
) -> tuple[Level, ...]:
    """
    Plan the supports of every tier that carries another, from the top down.

    Parameters
    ----------
    tiers, loads
        Bottom first.
    means, road
        What the maker has, and the way.

    Returns
    -------
    levels
        Bottom first; one fewer than the tiers.

    Raises
    ------
    MissingData
        No supports are owned.
    Infeasible
        A layout that cannot carry.
    """
    if len(tiers) < 2:
        return ()
    if not means.supports:
        raise MissingData("the supports that the maker owns", "the supports")
    for layout in means.layouts:
        if not 1 <= layout.tier < len(tiers):
            raise Infeasible(f"supports set by hand in tier {layout.tier}", "no tier stands on it")
    jolt = surfaces()[road.surface].value.value
    found: list[Level] = []
    points: tuple[PointForce, ...] = ()
    rests: tuple[PatchForce, ...] = ()
    feet: tuple[Section, float] | None = None
    for i in range(len(tiers) - 2, -1, -1):
        upper = tiers[i + 1]
        own = PatchForce(outline=upper.board_outline, force_n=loads[i + 1].mass_g.value * GRAMS_TO_NEWTONS)
        place = _Place(
            lower=tiers[i],
            upper=upper,
            load=loads[i],
            patches=(own, *rests),
            points=points,
            feet=feet,
            jolt=jolt,
            levels=len(tiers) - 1,
            means=means,
        )
        level = _plan(place)
        found.append(level)
        # What this level hands down to the board below it.
        if level.count:
            points = tuple(
                PointForce(x_mm=x, y_mm=y, force_n=force)
                for (x, y), force in zip(level.positions, level.reactions_n, strict=True)
            )
            rests, feet = (), (section_of(level.stock), max(level.reactions_n))
        else:
            x, y = upper.offset_mm
            rests = (PatchForce(outline=upper.board_outline, force_n=place.weight_n, x_mm=x, y_mm=y),)
            points, feet = (), None
    return tuple(reversed(found))


def _plan(place: _Place) -> Level:
    pressure, strain = crumb_load(place.lower, place.weight_n, place.upper.board_outline)
    crumb = find_crumb(place.lower.crumb)
    limit = factor("needed-strain")
    jolted = pressure.value * factor("load") * (1 + place.jolt)
    crushes = jolted > crumb.crush_kpa.low
    hand = next((h for h in place.means.layouts if h.tier == place.lower.number), None)
    needed = strain.value > limit or crushes
    if strain.value > limit:
        why = (
            f"without supports the {crumb.name} would give {100 * strain.value:.0f} % of its height "
            f"({100 * strain.low:.0f} to {100 * strain.high:.0f} %), more than {100 * limit:.0f} %"
        )
    elif crushes:
        why = f"on a jolt the {crumb.name} carries {jolted:.2f} kPa and may crush from {crumb.crush_kpa.low:.1f} kPa"
    else:
        why = (
            f"the {crumb.name} gives only {100 * strain.value:.1f} % under {pressure.value:.2f} kPa "
            "and carries the tier above by itself"
        )
    load = Estimate(value=place.load.above_g.value, low=place.load.above_g.low, high=place.load.above_g.high)
    if not needed and hand is None:
        return _bare(place, pressure, strain, why, load)
    boards = (place.upper.board,) if place.upper.board else place.means.boards or tuple(board_stocks().values())
    if hand is not None:
        stock, positions, board = _by_hand(place, hand, boards)
        fewer = ""
        share = stiffest = 0.0
    else:
        stock, count, board, fewer = _choose(place, boards)
        share, stiffest = _best_ring(place, stock, count, board)
        positions = ring_positions(place.upper.board_outline, count=count, share=share)
    ring = _Ring(share=share, stiffest=stiffest, by_hand=hand is not None, fewer=fewer)
    return _finish(place, stock, positions, board, ring, pressure, strain, needed, why, load)


def _case(
    place: _Place, positions: tuple[Point, ...], stock: SupportStock, lengths_off: tuple[float, ...] = ()
) -> BoardCase:
    length = cut_length_mm(place.lower)
    flexibility = shortening_mm_per_n(
        section_of(stock), length_mm=length, modulus_mpa=find_material(stock.material).modulus_mpa.value
    )
    off = lengths_off or (0.0,) * len(positions)
    return BoardCase(
        outline=place.upper.board_outline,
        patches=place.patches,
        points=place.points,
        stands_on=tuple(
            PlateSupport(x_mm=x, y_mm=y, low_by_mm=low, flexibility_mm_per_n=flexibility)
            for (x, y), low in zip(positions, off, strict=True)
        ),
        foot=section_of(stock),
        feet_above=place.feet,
        finish=place.upper.finish,
        span_mm=free_span_mm(place.upper.board_outline, positions),
        jolt=place.jolt,
        damp=place.means.damp,
    )


def most_share(outline: Outline, stock: SupportStock) -> float:
    """Largest ring that keeps supports hidden under a board, as a share of its outline. [-]"""
    return max(0.3, 1 - (EDGE_ROOM_MM + stock.outer_mm / 2) / (min(outline.extent_mm) / 2))


def _choose(place: _Place, boards: tuple[BoardStock, ...]) -> tuple[SupportStock, int, BoardStock, str]:
    """
    Take the fewest supports with which a support and a board that the maker owns pass every check.

    With them comes a remark where another board of the maker's would do with fewer.
    """
    outline = place.upper.board_outline
    length = cut_length_mm(place.lower)
    reach = [stock for stock in place.means.supports if stock.longest_mm >= length]
    if not reach:
        raise Infeasible(
            f"supports of {length:.0f} mm in tier {place.lower.number}",
            "no support that the maker owns is that long",
            "buy longer ones",
        )
    fewest = 3 if outline.largest_mm < LARGE_BOARD_MM else 4
    best: tuple[float, SupportStock, int, BoardStock] | None = None
    others = tuple(board for board in _boards(place.means) if board not in boards)
    fewer = ""
    key = f"supports.{place.lower.number}"
    for count in range(fewest, MOST_SUPPORTS + 1):
        share = min(FIRST_SHARE, most_share(outline, reach[0]))
        positions = ring_positions(outline, count=count, share=share)
        solution = solve_board(_case(place, positions, reach[0]), boards[0], Wanted.MOMENT)
        force = max(solution.reactions_n)
        for stock in reach:
            case = _case(place, positions, stock)
            column = worst_of(
                support_checks(
                    stock, force_n=force, length_mm=length, crumb=place.lower.crumb, jolt=place.jolt, key=key
                )
            )
            for board in boards:
                worst = max(column, worst_of(scaled_checks(case, board, boards[0], solution, force, key)))
                if worst <= RING_ALLOWANCE:
                    return stock, count, board, fewer
                if best is None or worst < 0.98 * best[0]:
                    best = (worst, stock, count, board)
            if column <= RING_ALLOWANCE and not fewer:
                fits = (
                    board
                    for board in others
                    if worst_of(scaled_checks(case, board, boards[0], solution, force, key)) <= RING_ALLOWANCE
                )
                other = next(fits, None)
                if other is not None:
                    fewer = f"with {other.name} under {place.upper.name}, {count} of {stock.name} would do"
    assert best is not None
    return best[1], best[2], best[3], fewer


def _best_ring(place: _Place, stock: SupportStock, count: int, board: BoardStock) -> tuple[float, float]:
    """
    Find the share of the outline for the ring: the widest on which the board passes, and that with the least sag.

    Wide rings keep tiers from tipping; narrow ones keep boards flat. Where no wider ring passes, the flattest is taken.
    """
    outline = place.upper.board_outline
    top = most_share(outline, stock)
    stiffness = stiffness_of(board)
    poisson = find_material(board.material).poisson
    key = f"supports.board.{place.upper.number}"

    def bent(share: float, wanted: Wanted) -> PlateSolution:
        solution = bend_plate(
            outline,
            stiffness_nmm=stiffness,
            poisson=poisson,
            supports=_firm_ring(outline, count, share),
            patches=place.patches,
            points=place.points,
            thickness_mm=board.thickness_mm,
            contact_mm=stock.outer_mm / 2,
            degree=SEARCH_DEGREE,
            wanted=wanted,
        )
        return settle_plate(solution)

    def passes(share: float) -> bool:
        case = _case(place, ring_positions(outline, count=count, share=share), stock)
        # What most rings fail on is the sag, and that asks for less than the moments do.
        for wanted in (Wanted.SAG, Wanted.MOMENT):
            solution = bent(share, wanted)
            force = max(solution.reactions_n)
            if worst_of(scaled_checks(case, board, board, solution, force, key)) > RING_ALLOWANCE:
                return False
        return True

    whole = place.weight_n
    stiffest = _flattest_share(
        outline,
        poisson,
        count,
        top,
        tuple(replace(patch, force_n=patch.force_n / whole) for patch in place.patches),
        tuple(replace(point, force_n=point.force_n / whole) for point in place.points),
    )
    wide, step = top, 0.03
    while wide > stiffest:
        if passes(wide):
            return wide, stiffest
        wide -= step
    return stiffest, stiffest


def _firm_ring(outline: Outline, count: int, share: float) -> tuple[PlateSupport, ...]:
    """Return a ring of supports of one length that do not give."""
    return tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in ring_positions(outline, count=count, share=share))


@lru_cache(maxsize=256)
def _flattest_share(
    outline: Outline,
    poisson: float,
    count: int,
    top: float,
    patches: tuple[PatchForce, ...],
    points: tuple[PointForce, ...],
) -> float:
    """
    Find the share of the outline on which a ring lets a board sag least, under forces that come to 1 N.

    How heavy the cake is and how stiff the board makes all rings sag alike, so a heavier cake is not searched anew.
    """

    def sag(share: float) -> float:
        solution = bend_plate(
            outline,
            # Sags of about a millimetre, which are kept to a nanometre.
            stiffness_nmm=outline.largest_mm**2 / 100.0,
            poisson=poisson,
            supports=_firm_ring(outline, count, share),
            patches=patches,
            points=points,
            degree=SEARCH_DEGREE,
            wanted=Wanted.SAG,
        )
        return settle_plate(solution).sag_mm

    return least_sag_share(sag, low=min(0.4, 0.7 * top), high=top)


def placing_order(count: int) -> tuple[int, ...]:
    """Return the order in which to press supports in: each as far across from those before as the ring allows."""
    order: list[int] = []
    left = list(range(count))
    while left:
        if not order:
            pick = left[0]
        else:
            # Farthest from the last one round the ring, then farthest from all.
            pick = max(
                left,
                key=lambda i: (
                    min((i - order[-1]) % count, (order[-1] - i) % count),
                    min(min((i - o) % count, (o - i) % count) for o in order),
                    -i,
                ),
            )
        order.append(pick)
        left.remove(pick)
    return tuple(order)


def _mean_way(positions: tuple[Point, ...], centre: Point) -> float:
    return sum(hypot(x - centre[0], y - centre[1]) for x, y in positions) / len(positions)


def least_sag_share(sag: Callable[[float], float], *, low: float, high: float, steps: int = 9) -> float:
    """Golden-section search for the share with the least sag, to about one per cent of the span."""
    golden = 0.6180339887498949
    a, b = low, high
    c, d = b - golden * (b - a), a + golden * (b - a)
    at_c, at_d = sag(c), sag(d)
    for _ in range(steps - 2):
        if at_c < at_d:
            b, d, at_d = d, c, at_c
            c = b - golden * (b - a)
            at_c = sag(c)
        else:
            a, c, at_c = c, d, at_d
            d = a + golden * (b - a)
            at_d = sag(d)
    return c if at_c < at_d else d


def _by_hand(
    place: _Place, hand: HandLayout, boards: tuple[BoardStock, ...]
) -> tuple[SupportStock, tuple[Point, ...], BoardStock]:
    stock = next((s for s in place.means.supports if s.key == hand.stock), None)
    if stock is None:
        raise UnknownName("support of the maker's", hand.stock, tuple(s.key for s in place.means.supports))
    dx, dy = place.upper.offset_mm
    positions = tuple((x - dx, y - dy) for x, y in hand.positions)
    for x, y in positions:
        if not stands_inside(place.upper.board_outline, (x, y), stock.outer_mm / 2):
            raise Infeasible(
                f"a support at ({x + dx:.0f}, {y + dy:.0f}) mm in tier {place.lower.number}",
                f"it does not stand wholly under the board of tier {place.upper.number}",
                "move it in",
            )
    case = _case(place, positions, stock)
    solution = solve_board(case, boards[0], Wanted.MOMENT)
    force = max(solution.reactions_n)
    for board in boards:
        if worst_of(scaled_checks(case, board, boards[0], solution, force, "hand")) <= 1:
            return stock, positions, board
    return stock, positions, boards[-1]


def _finish(
    place: _Place,
    stock: SupportStock,
    positions: tuple[Point, ...],
    board: BoardStock,
    ring: _Ring,
    pressure: Estimate,
    strain: Estimate,
    needed: bool,
    why: str,
    load: Estimate,
) -> Level:
    outline = place.upper.board_outline
    length = cut_length_mm(place.lower)
    arm = tipping_arm_mm(positions, centre_of_area(outline))
    span = 2 * max(arm, 1.0)
    tolerance = min(factor("tolerance-most"), factor("tilt-limit") * span / place.levels)
    case = _case(place, positions, stock)
    solution = solve_board(case, board)
    worst = max(solution.reactions_n)
    # One support short by the tolerance: its neighbours take its share.
    loaded = solution.reactions_n.index(worst)
    short = (loaded + 1) % len(positions)
    off = tuple(tolerance if i == short else 0.0 for i in range(len(positions)))
    uneven = solve_board(_case(place, positions, stock, off), board, Wanted.FORCES)
    force = max(worst, *uneven.reactions_n)
    dx, dy = place.upper.offset_mm
    placed = tuple((x + dx, y + dy) for x, y in positions)
    cx, cy = ring_centre(outline)
    key = f"supports.{place.lower.number}"
    checks = support_checks(stock, force_n=force, length_mm=length, crumb=place.lower.crumb, jolt=place.jolt, key=key)
    outside = [p for p in placed if not stands_inside(place.lower.outline, p, stock.outer_mm / 2 + 5)]
    if outside:
        raise Infeasible(
            f"tier {place.upper.number} set {hypot(dx, dy):.0f} mm off the middle of tier {place.lower.number}",
            f"{len(outside)} of its supports would stand outside the tier below",
            "move it in",
        )
    return Level(
        tier=place.lower.number,
        carries=place.upper.number,
        load_g=load,
        crumb_pressure_kpa=pressure,
        crumb_strain=strain,
        needed=needed,
        why=why,
        stock=stock,
        count=len(positions),
        ring_mm=_mean_way(positions, (cx, cy)),
        ring_share=ring.share,
        stiffest_ring_mm=_mean_way(ring_positions(outline, count=len(positions), share=ring.stiffest), (cx, cy))
        if ring.stiffest
        else 0.0,
        positions=placed,
        order=placing_order(len(placed)),
        by_hand=ring.by_hand,
        fewer=ring.fewer,
        cut_mm=length,
        tolerance_mm=tolerance,
        tilt=tolerance / span,
        reactions_n=solution.reactions_n,
        jolt=place.jolt,
        checks=checks,
        board=answer_board(
            case, board, solution, foot_force_n=force, tier=place.upper.number, owned=_boards(place.means)
        ),
    )


def _boards(means: Means) -> tuple[BoardStock, ...]:
    return means.boards or tuple(board_stocks().values())


def _bare(place: _Place, pressure: Estimate, strain: Estimate, why: str, load: Estimate) -> Level:
    """Return the level of a tier that stands on cake: nothing inside, the board lies flat."""
    board = place.upper.board or _boards(place.means)[0]
    return Level(
        tier=place.lower.number,
        carries=place.upper.number,
        load_g=load,
        crumb_pressure_kpa=pressure,
        crumb_strain=strain,
        needed=False,
        why=why,
        stock=place.means.supports[0],
        count=0,
        ring_mm=0.0,
        ring_share=0.0,
        stiffest_ring_mm=0.0,
        positions=(),
        order=(),
        by_hand=False,
        fewer="",
        cut_mm=0.0,
        tolerance_mm=0.0,
        tilt=0.0,
        reactions_n=(),
        jolt=place.jolt,
        checks=(),
        board=BoardAnswer(
            tier=place.upper.number,
            board=board.key,
            material=board.material,
            thickness_mm=board.thickness_mm,
            sag_mm=0.0,
            limit_mm=place.upper.board_outline.largest_mm,
            span_mm=0.0,
            checks=(),
            needed="",
            deflected=flat_board(place.upper.board_outline),
        ),
    )
