"""Flowers on the cake: what each group comes to, where every one of them lies, and what has to be had and made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import cos, hypot, pi, sin
from typing import Final

from shapely.geometry import Polygon

from tierwright.brief.decor import Arrangement, FlowerGroup, FlowerPlace, FlowerState
from tierwright.errors import Infeasible, OutOfRange
from tierwright.finish import flowers as sorts_of
from tierwright.finish.flowers import FlowerSort, compose, pieces_of
from tierwright.finish.flowers_order import FlowerOrder, order_flowers
from tierwright.finish.model import SHEET, Placed, Point3, Surface, Ware
from tierwright.finish.paths import Path
from tierwright.finish.placement import (
    Bed,
    Ground,
    KeepOff,
    Laid,
    arc_curve,
    cascade_curve,
    curve_bed,
    lay,
    ring_bed,
    surface_mm2,
)
from tierwright.finish.tables import amount
from tierwright.larder import find_flower
from tierwright.shapes import Point
from tierwright.working import ARITHMETIC, NOTHING, Assumption, Estimate, Figure, Given, Notes, Question, Severity

GAP_MM: Final = 1.0
EDGE_MM: Final = 1.0
CUT_MM: Final = 1.5
"""How far flowers stay from a cut: half a knife and a crumb. [mm] Common practice."""
STRAY_MM: Final = 0.2
THICK: Final = {"fresh": 0.4, "pressed": 0.03, "sugared": 0.4, "sugar-made": 0.45}
"""Height of a flower over its diameter, for drawing. [-] From memory."""
COLOURS: Final = {
    FlowerState.FRESH: "#b9a0d6",
    FlowerState.PRESSED: "#8f7bb5",
    FlowerState.SUGARED: "#d9cdea",
    FlowerState.SUGAR_MADE: "#f2d9dd",
}
"""Colour of flowers of which nobody has said one, for drawing alone. From memory."""
BED_BREADTH: Final = 2.4
"""Breadth of a crescent or cascade over its largest flower. [-] Common practice: two flowers and what fills between."""
LOOSELY: Final = 0.5
"""Share of a bed that a given number of flowers fills, so that they lie loosely. [-] Common practice."""
Cut = tuple[Point, Point]


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidFlower:
    """One flower where it lies: its group by number, middle, which way it faces, size, turn, hue. [mm], [deg]"""

    group: int
    tier: int
    at_mm: Point3
    out: Point3
    along: Point3
    diameter_mm: float
    turn_deg: float
    colour: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidGroup:
    """
    One group of the brief, laid.

    Attributes
    ----------
    number
        Its place in the brief, from 1.
    sort
        Which flowers, and whether they are food.
    count
        How many lie on the cake.
    asked, coverage
        Share of its ground or bed that was asked for (0 for a number) and that all that was laid there covers. [-]
    area_mm2
        The ground or bed. [mm2]
    gap_mm
        Least clear distance between any two that were laid together; None for one alone. [mm]
    """

    number: int
    sort: FlowerSort
    count: int
    asked: float
    coverage: float
    area_mm2: float
    gap_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Flowers:
    """
    All flowers of a cake.

    Attributes
    ----------
    groups
        As the brief lists them, without what finds no room.
    places
        Every flower.
    order
        What to have, with spares, what carries them, what comes off, and the jobs with their waiting; None without
        flowers.
    refused
        What finds no room, with the reason.
    """

    groups: tuple[LaidGroup, ...] = ()
    places: tuple[LaidFlower, ...] = ()
    order: FlowerOrder | None = None
    refused: tuple[Question, ...] = ()

    @property
    def on_sides(self) -> tuple[LaidFlower, ...]:
        """The flowers that face outward."""
        return tuple(one for one in self.places if abs(one.out[2]) < 0.9)

    @property
    def wares(self) -> tuple[Ware, ...]:
        """What is bought: flowers with their spares, and picks. Flowers of sugar are made."""
        if self.order is None:
            return ()
        bought: list[Ware] = []
        for line in self.order.lines:
            sort = line.sort
            if sort.state.value == FlowerState.SUGAR_MADE.value:
                continue
            wait = next((step.wait_h.high for step in self.order.steps if step.count == line.have), 0.0)
            bought.append(
                Ware(
                    key=f"flower_{_slug(sort.species)}_{sort.diameter_mm:.0f}_mm",
                    name=f"{sort.species}, {sort.diameter_mm:.0f} mm, grown and sold as food"
                    if sort.is_food
                    else f"{sort.species}, {sort.diameter_mm:.0f} mm, not food",
                    count=line.have,
                    grams=NOTHING,
                    tier=sort.tier,
                    is_food=sort.is_food,
                    days_before=1 + int(wait // 24),
                )
            )
        if self.order.picks:
            bought.append(
                Ware(
                    key="flower_pick", name="food-grade pick", count=self.order.picks, grams=NOTHING, tier=0,
                    is_food=False, days_before=2,
                )
            )  # fmt: skip
        return tuple(bought)

    @property
    def decoration_g(self) -> dict[int, Estimate]:
        """What they weigh, by tier. [g]"""
        grams: dict[int, Estimate] = {}
        for group in self.groups:
            sort = group.sort
            each = amount(f"{sort.state.value.replace('-', '_')}_g_per_cm2").value * (sort.area_mm2 / 100.0)
            grams[sort.tier] = grams.get(sort.tier, NOTHING) + each * group.count
        return grams

    @property
    def laying_min(self) -> Estimate:
        """Hands' time on the day: cutting stems, sealing, laying. [min]"""
        return self._minutes(ahead=False)

    @property
    def ahead_min(self) -> Estimate:
        """Hands' time days before: pressing, sugaring, modelling. [min]"""
        return self._minutes(ahead=True)

    def _minutes(self, *, ahead: bool) -> Estimate:
        result = NOTHING
        for step in () if self.order is None else self.order.steps:
            if (step.key.split(".")[0] in ("press", "sugar", "model")) is ahead:
                result = result + step.hands_min
        return result


def _slug(name: str) -> str:
    return "_".join("".join(sign if sign.isalnum() else " " for sign in name.casefold()).split())[:30]


def lay_flowers(
    groups: Sequence[FlowerGroup],
    surfaces: Sequence[Surface],
    *,
    cuts: Mapping[int, Sequence[Cut]] | None = None,
    rims_mm: Mapping[tuple[int, FlowerPlace], float] | None = None,
    hues: Mapping[str, str] | None = None,
    kept: Mapping[tuple[int, str], Sequence[KeepOff]] | None = None,
    humidity_share: float = 0.5,
    room_c: float = 21.0,
) -> Flowers:
    """
    Lay every group of flowers.

    Parameters
    ----------
    groups
        What is asked for.
    surfaces
        The coated tiers.
    cuts
        Cuts through each tier seen from above, from corner to corner. [mm]
    rims_mm
        Breadth of the row piped at the foot (``base``) or on the top edge (``top``) of a tier. [mm]
    hues
        Colours of the brief by its words, ``#rrggbb``.
    kept
        Where nothing may lie, by tier and ground: the top of tier 0 is the base board.
    humidity_share, room_c
        Air in which sugared flowers dry. [-], [C]

    Returns
    -------
    flowers
        Groups of one place and arrangement are laid together; later ones keep off those laid before. What finds no room
        is refused by name.
    """
    tiers = {surface.tier: surface for surface in surfaces}
    refused: list[Question] = []
    laid: list[LaidGroup] = []
    places: list[LaidFlower] = []
    taken: dict[tuple[int, str], list[KeepOff]] = {key: list(zones) for key, zones in (kept or {}).items()}
    numbered = [(i, group) for i, group in enumerate(groups) if _stands(i, group, tiers, refused)]

    def together(item: tuple[int, FlowerGroup]) -> tuple[int, str, str, bool]:
        group = item[1]
        return (group.tier, group.where.value, group.arrangement.value, group.keep_off_cuts)

    for _, items in groupby(sorted(numbered, key=together), key=together):
        some = list(items)
        first = some[0][1]
        surface = tiers[first.tier]
        key = _ground_key(first)
        try:
            made, found = _lay_some(some, surface, cuts or {}, rims_mm or {}, taken.get(key, []), hues or {})
        except (Infeasible, OutOfRange) as error:
            refused += [_no_room(i, group, surface, error) for i, group in some]
            continue
        laid += made
        zones = taken.setdefault(key, [])
        for flower, point in found:
            places.append(flower)
            zones.append(KeepOff(name="flower", points_mm=(point,), clearance_mm=flower.diameter_mm / 2 + GAP_MM))
    laid.sort(key=lambda group: group.number)
    if not laid:
        return Flowers(refused=tuple(refused))
    order = order_flowers(
        [group.sort for group in laid],
        [group.count for group in laid],
        humidity_share=humidity_share,
        room_c=room_c,
    )
    return Flowers(groups=tuple(laid), places=tuple(places), order=order, refused=tuple(refused))


def _ground_key(group: FlowerGroup) -> tuple[int, str]:
    """Name the ground: what shows round the foot of a tier is the top of the one below."""
    if group.where is FlowerPlace.BASE:
        return (group.tier - 1, FlowerPlace.TOP.value)
    return (group.tier, group.where.value)


def _stands(i: int, group: FlowerGroup, tiers: Mapping[int, Surface], refused: list[Question]) -> bool:
    surface = tiers.get(group.tier)
    if surface is None:
        refused.append(
            _stop(i, f"Which tier are the {group.species}s for?", f"The cake has no tier {group.tier}.", "another tier")
        )
        return False
    if group.where is FlowerPlace.BASE and surface.ground is None:
        refused.append(
            _stop(i, f"What do the {group.species}s lie on?", "No board reaches under the whole cake.", "a base board")
        )
        return False
    return True


def sort_of(group: FlowerGroup) -> FlowerSort:
    """Describe the flowers of a group: food only where the table says so of the species, or where they are of sugar."""
    known = find_flower(group.species)
    of_sugar = group.state is FlowerState.SUGAR_MADE
    return FlowerSort(
        species=group.species,
        state=sorts_of.FlowerState(group.state.value),
        diameter_mm=group.diameter,
        is_food=of_sugar or (known is not None and known.may_touch_food),
        wired=group.wired,
        tier=group.tier,
        where={"top": "top", "side": "side", "base": "round the foot"}[group.where.value],
    )


def _lay_some(
    some: Sequence[tuple[int, FlowerGroup]],
    surface: Surface,
    cuts: Mapping[int, Sequence[Cut]],
    rims_mm: Mapping[tuple[int, FlowerPlace], float],
    taken: Sequence[KeepOff],
    hues: Mapping[str, str],
) -> tuple[list[LaidGroup], list[tuple[LaidFlower, Point]]]:
    first = some[0][1]
    ground = _ground(surface, first.where, rims_mm)
    largest = max(group.diameter for _, group in some)
    smallest = min(group.diameter for _, group in some)
    needed = sum(pi * group.diameter**2 / 4 * (group.count or 0) for _, group in some) / LOOSELY
    bed = _bed(ground, surface, first, largest, smallest, needed)
    area = surface_mm2(ground, bed)
    sorts = [sort_of(group) for _, group in some]
    counts = [
        group.count if group.count is not None else compose(area, group.coverage or 0.0, [sort]).counts[0]
        for (_, group), sort in zip(some, sorts, strict=True)
    ]
    zones = [*taken, *(_cut_zones(surface, first, cuts) if first.keep_off_cuts else ())]
    pieces = pieces_of(sorts, counts)
    done = lay(ground, pieces, seed=first.seed, bed=bed, keep_off=zones, gap_mm=GAP_MM, edge_mm=EDGE_MM)
    groups = [
        LaidGroup(
            number=i + 1, sort=sort, count=count, asked=group.coverage or 0.0,
            coverage=count * sort.area_mm2 / area, area_mm2=area, gap_mm=done.gap_mm,
        )
        for (i, group), sort, count in zip(some, sorts, counts, strict=True)
    ]  # fmt: skip
    return groups, list(_where(done, some, surface, first.where, hues))


def _ground(surface: Surface, where: FlowerPlace, rims_mm: Mapping[tuple[int, FlowerPlace], float]) -> Ground:
    if where is FlowerPlace.SIDE:
        return Ground.side(surface.top.path.length_mm, surface.height_mm)
    if where is FlowerPlace.TOP:
        edge = _shrunk(surface.top.path, rims_mm.get((surface.tier, FlowerPlace.TOP), 0.0))
        standing = () if surface.above is None else surface.above.path.polygon(STRAY_MM)
        beside = rims_mm.get((surface.tier + 1, FlowerPlace.BASE), 0.0)
        return Ground.top(edge, _grown(standing, beside))
    assert surface.ground is not None
    edge = _shrunk(surface.ground.path, rims_mm.get((surface.tier - 1, FlowerPlace.TOP), 0.0))
    return Ground.top(
        edge, _grown(surface.foot.path.polygon(STRAY_MM), rims_mm.get((surface.tier, FlowerPlace.BASE), 0.0))
    )


def _grown(corners: tuple[Point, ...], by_mm: float) -> tuple[Point, ...]:
    if not corners or by_mm == 0:
        return corners
    return tuple((x, y) for x, y in Polygon(corners).buffer(by_mm).exterior.coords[:-1])


def _shrunk(path: Path, by_mm: float) -> tuple[Point, ...]:
    corners = path.polygon(STRAY_MM)
    return corners if by_mm == 0 else _grown(corners, -by_mm)


def _bed(
    ground: Ground, surface: Surface, group: FlowerGroup, largest_mm: float, smallest_mm: float, needed_mm2: float
) -> Bed | None:
    """Return the part of a ground that an arrangement fills, as broad as its number of flowers asks for."""
    broad, tip = largest_mm * BED_BREADTH, smallest_mm * 1.1
    side = group.where is FlowerPlace.SIDE
    match group.arrangement:
        case Arrangement.SCATTER:
            return None
        case Arrangement.RING if side:
            return ring_bed(ground, inset_mm=EDGE_MM, breadth_mm=min(surface.height_mm - 2, largest_mm * 1.2))
        case Arrangement.RING:
            if ground.covered_mm:
                # Round what stands there, where it hides the joint.
                inner = Polygon(ground.covered_mm)
                return Bed(polygon=inner.buffer(largest_mm * 1.3).difference(inner))
            return ring_bed(ground, inset_mm=EDGE_MM, breadth_mm=largest_mm * 1.3)
        case Arrangement.CASCADE if side:
            front = ground.around_mm / 2
            sway = 0.25 * surface.height_mm
            # A bed that narrows evenly: half the sum of its breadths, times its length.
            broad = min(max(broad, 2 * needed_mm2 / surface.height_mm - tip), ground.around_mm / 2)
            return curve_bed(cascade_curve(ground, at_mm=front, sway_mm=sway), breadth_mm=broad, tip_mm=tip)
        case _ if side:
            front, high = ground.around_mm / 2, surface.height_mm
            reach = min(ground.around_mm / 5, 2.5 * high)
            curve = [(front + reach * (t / 12), high * (0.3 + 0.45 * (t / 12) ** 2)) for t in range(-12, 13)]
            broad = max(broad, 1.5 * needed_mm2 / (2 * reach))
            return curve_bed(curve, breadth_mm=max(tip, min(broad, 0.6 * high)), tip_mm=tip, crescent=True)
        case _:
            outer = max(hypot(x, y) for x, y in ground.outline_mm)
            inner_mm = max((hypot(x, y) for x, y in ground.covered_mm), default=0.25 * outer)
            # At the front, a little to the right, as a hand lays it.
            bow = arc_curve((0.0, 0.0), (outer + inner_mm) / 2, 215.0, 345.0)
            return curve_bed(bow, breadth_mm=max(tip, min(broad, outer - inner_mm)), tip_mm=tip, crescent=True)


def _cut_zones(surface: Surface, group: FlowerGroup, cuts: Mapping[int, Sequence[Cut]]) -> Iterable[KeepOff]:
    """Cuts that run through the ground: seen from above on a top, upright where they leave through the side."""
    if group.where is FlowerPlace.TOP:
        for a, b in cuts.get(surface.tier, ()):
            yield KeepOff(name="cut", points_mm=(a, b), clearance_mm=CUT_MM)
    elif group.where is FlowerPlace.BASE:
        for a, b in cuts.get(surface.tier - 1, ()):
            yield KeepOff(name="cut", points_mm=(a, b), clearance_mm=CUT_MM)
    else:
        path = surface.top.path
        for s in sorted(set(_leaving(path, surface, cuts.get(surface.tier, ())))):
            yield KeepOff(name="cut", points_mm=((s, 0.0), (s, surface.height_mm)), clearance_mm=CUT_MM)


def _leaving(path: Path, surface: Surface, cuts: Sequence[Cut]) -> Iterable[float]:
    """Return where cuts reach the side, along its top edge. [mm]"""
    stops = path.stops(STRAY_MM)[:-1]
    spots = [path.spot(s).at_mm for s in stops]
    edge = surface.foot.by_mm + 1.0
    for a, b in cuts:
        for x, y in (a, b):
            i = min(range(len(spots)), key=lambda k: hypot(spots[k][0] - x, spots[k][1] - y))
            if hypot(spots[i][0] - x, spots[i][1] - y) <= edge + 2.0 and hypot(a[0] - b[0], a[1] - b[1]) > 10.0:
                # The bare cake's edge lies under the coat: the nearest place of the coat, by its direction.
                yield round(stops[i], 1)


def _where(
    done: Laid,
    some: Sequence[tuple[int, FlowerGroup]],
    surface: Surface,
    where: FlowerPlace,
    hues: Mapping[str, str],
) -> Iterable[tuple[LaidFlower, Point]]:
    factor = surface.foot.path.length_mm / surface.top.path.length_mm
    for piece in done.pieces:
        number, group = some[int(piece.key)]
        turn = piece.turn_deg * pi / 180
        if where is FlowerPlace.SIDE:
            at, out = surface.at(piece.x_mm * factor, piece.y_mm)
            spot = surface.foot.path.spot(piece.x_mm * factor)
            along: Point3 = (spot.along[0], spot.along[1], 0.0)
        else:
            level = surface.top_mm if where is FlowerPlace.TOP else surface.foot_mm
            at, out, along = (piece.x_mm, piece.y_mm, level), (0.0, 0.0, 1.0), (cos(turn), sin(turn), 0.0)
        yield (
            LaidFlower(
                group=number + 1, tier=surface.tier, at_mm=at, out=out, along=along, diameter_mm=piece.diameter_mm,
                turn_deg=piece.turn_deg, colour=hues.get(group.colour or "", COLOURS[group.state]),
            ),
            (piece.x_mm, piece.y_mm),
        )  # fmt: skip


def flower_parts(flowers: Flowers) -> tuple[Placed, ...]:
    """Return every flower as a placed thing; ``detail`` is its state and species."""
    sorts = {group.number: group.sort for group in flowers.groups}
    return tuple(
        Placed(
            what="flower",
            tier=one.tier,
            at_mm=one.at_mm,
            out=one.out,
            along=one.along,
            size_mm=(one.diameter_mm, one.diameter_mm, one.diameter_mm * THICK[sorts[one.group].state.value]),
            colour=one.colour,
            detail=f"{sorts[one.group].state.value} {sorts[one.group].species}",
        )
        for one in flowers.places
    )


def flower_notes(flowers: Flowers) -> Notes:
    """Return what the flowers have to say: coverage reached, what is not food, and the order's own notes."""
    figures = [
        Figure(
            key=f"tier.{group.sort.tier}.finish.flowers.{group.number}.coverage",
            label=f"Covered by {group.sort.describe()} on tier {group.sort.tier}, {group.sort.where}",
            value=100 * group.coverage,
            unit="%",
            equation="flowers x pi d^2 / 4 / area",
            inputs=(
                Given(name="flowers", value=float(group.count)),
                Given(name="area", value=group.area_mm2, unit="mm2"),
                Given(name="asked for", value=100 * group.asked, unit="%"),
            ),
            source=ARITHMETIC,
            sheet=SHEET,
        )
        for group in flowers.groups
    ]
    order = Notes() if flowers.order is None else flowers.order.notes
    states = dict.fromkeys(group.sort.state.value.replace("-", "_") for group in flowers.groups)
    assumed = tuple(
        Assumption(
            key=f"finish.{state}_g_per_cm2",
            text=amount(f"{state}_g_per_cm2").name[:1].upper() + amount(f"{state}_g_per_cm2").name[1:],
            value=f"{amount(f'{state}_g_per_cm2').value.value:g} g/cm2",
            source=amount(f"{state}_g_per_cm2").source,
        )
        for state in states
    )
    return order + Notes(figures=tuple(figures), questions=flowers.refused, assumptions=assumed)


def _stop(i: int, text: str, reason: str, change: str, figure: str = "") -> Question:
    return Question(
        key=f"finish.flowers.{i + 1}", severity=Severity.STOP, sheet=SHEET, text=text, reason=reason, figure=figure,
        change=change,
    )  # fmt: skip


def _no_room(i: int, group: FlowerGroup, surface: Surface, error: Infeasible | OutOfRange) -> Question:
    change = error.cheapest_change if isinstance(error, Infeasible) else "smaller flowers"
    text = f"Where do the {group.species}s on the {surface.name} tier find room?"
    return _stop(i, text, f"{error}.".replace("..", "."), change or "fewer or smaller flowers")
