"""What must come out of the cake before anybody eats of it, and the order in which it is taken apart."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import atan2, degrees
from typing import Final

from tierwright.handover.model import Counted, FirstCut, Kind, TierToHand
from tierwright.shapes import Point
from tierwright.support import Inedible
from tierwright.words import Cutter

WHOLE_CAKE: Final = "whole cake"
ORDER: Final = tuple(Kind)
FIRST_OFF: Final = (Kind.WIRE, Kind.PICK, Kind.OTHER)
"""What stands in or on a tier from outside, and so comes off first."""


def count_in(
    inedibles: Iterable[Inedible],
    *,
    names: dict[int, str],
    stocks: Iterable[str],
    picked: Iterable[Counted] = (),
) -> tuple[Counted, ...]:
    """
    Return the count of everything that is not food.

    Parameters
    ----------
    inedibles
        The parts list of the supports.
    names
        Names of the tiers by number.
    stocks
        Names of the supports that carry, so that they are told from picks.
    picked
        Picks, wires and the like that the parts list does not hold.

    Returns
    -------
    counted
        Top tier first, what lies under the whole cake last; lines that say the same are added up.
    """
    known = frozenset(stocks)
    lines = [
        Counted(
            tier=thing.tier,
            tier_name=names.get(thing.tier, WHOLE_CAKE),
            kind=_kind(thing, known),
            what=thing.what.removeprefix("board: ").removeprefix("centre rod: "),
            where=thing.where,
            count=thing.count,
            comes_back=thing.reusable,
        )
        for thing in inedibles
    ]
    merged: dict[tuple[int, Kind, str, str], Counted] = {}
    for line in (*lines, *picked):
        if line.count <= 0:
            continue
        key = (line.tier, line.kind, line.what, line.where)
        before = merged.get(key)
        count = line.count + (before.count if before is not None else 0)
        merged[key] = Counted(
            tier=line.tier,
            tier_name=line.tier_name,
            kind=line.kind,
            what=line.what,
            where=line.where,
            count=count,
            comes_back=line.comes_back,
        )
    return tuple(sorted(merged.values(), key=lambda line: (-line.tier, -ORDER.index(line.kind), line.what)))


def _kind(thing: Inedible, stocks: frozenset[str]) -> Kind:
    if thing.what.startswith("centre rod"):
        return Kind.ROD
    if thing.what.startswith("board: "):
        return Kind.BOARD
    if thing.what in stocks:
        return Kind.SUPPORT
    if thing.tier == 0:
        return Kind.BASE
    return kind_of(thing.what)


def kind_of(what: str) -> Kind:
    """Return the kind of something that holds a flower or ornament, by its name."""
    words = what.casefold()
    return Kind.WIRE if "wire" in words else Kind.PICK if "pick" in words else Kind.OTHER


def dismantling(tiers: Sequence[TierToHand], counted: Sequence[Counted]) -> tuple[str, ...]:
    """
    Return the steps of taking a stacked cake apart: what sticks in it first, then tier by tier from the top.

    Supports of a tier only come out once the tier on them has been lifted off.

    Parameters
    ----------
    tiers
        Bottom first.
    counted
        What is counted out.
    """

    def of(tier: int, *kinds: Kind) -> int:
        return sum(line.count for line in counted if line.tier == tier and line.kind in kinds)

    steps: list[str] = []
    loose = sum(of(tier.number, *FIRST_OFF) for tier in tiers)
    if loose:
        each = ", ".join(f"{tier.name} {count}" for tier in reversed(tiers) if (count := of(tier.number, *FIRST_OFF)))
        steps.append(f"Take off every flower, ornament and ribbon with its pick or wire, and count them: {each}.")
    if of(0, Kind.ROD):
        steps.append("Draw the centre rod straight up and out, before any tier is moved.")
    for upper, lower in zip(reversed(tiers[1:]), reversed(tiers[:-1]), strict=True):
        if not upper.is_cake:
            use = "set it aside: it is foam, not cake"
        elif upper.is_kept:
            use = "set it aside whole, in its box: it is kept"
        else:
            use = "set it down to be cut"
        hands = "two people, " if upper.mass_g.high > 6000.0 else ""
        steps.append(
            f"Lift the {upper.name} tier off on its own board ({hands}blade under the board, "
            f"{upper.mass_g.high / 1000:.1f} kg), and {use}."
        )
        supports = of(lower.number, Kind.SUPPORT)
        if supports:
            them = f"the {supports} supports that now show" if supports > 1 else "the one support that now shows"
            steps.append(f"Draw {them} out of the {lower.name} tier and count them.")
    if len(tiers) > 1:
        steps.append(f"Cut the {tiers[0].name} tier last, where it stands on the base board.")
    boards = sum(line.count for line in counted if line.kind in (Kind.BOARD, Kind.BASE))
    if boards:
        steps.append(f"When the last slice is off, count the {boards} boards." if boards > 1 else "Keep the board.")
    return tuple(steps)


def first_cut(tier: TierToHand, places: Sequence[Point], *, depth_mm: float, two_tiers: bool) -> FirstCut:
    """
    Find where the first cut goes: into the widest gap between the supports of the tier, the nearest to the front.

    Parameters
    ----------
    tier
        The tier that is cut while the cake still stands, the bottom one.
    places
        Middles of its supports from its middle, y away from the guests. [mm]
    depth_mm
        Depth of a portion. [mm]
    two_tiers
        Whether another tier stands on it.

    Notes
    -----
    With supports at the angles a1 to an round the middle the knife goes along the middle of the widest gap; of gaps
    within one degree of it the one whose middle is nearest to the front (270 degrees from x to the right, y away).
    """
    if not places:
        words = f"The first cut: anywhere in the {tier.name} tier, straight down to the board; no support stands in it."
        return FirstCut(tier=tier.name, degrees=0.0, clear_degrees=360.0, depth_mm=depth_mm, words=words)
    # Clockwise from the front, as the guests see the cake: the front is -y.
    # Supports that stand one behind the other, seen from the middle, bound no gap between them.
    at = sorted({round(degrees(atan2(-x, -y)), 6) % 360.0 for x, y in places})
    gaps = [(at[(i + 1) % len(at)] - angle) % 360.0 or 360.0 for i, angle in enumerate(at)]
    widest = max(gaps)
    middles = [(angle + gap / 2) % 360.0 for angle, gap in zip(at, gaps, strict=True) if gap >= widest - 1.0]
    # Of two that lie alike on both sides, the one on the guests' left: rounding must not decide.
    best = min(middles, key=lambda angle: (round(min(angle, 360.0 - angle), 6), angle))
    inner = min((x * x + y * y) ** 0.5 for x, y in places)
    half = min(tier.outline.extent_mm) / 2
    hour = (6 + round(best / 30.0)) % 12 or 12
    clock = {6: "straight at the front", 12: "at the back"}.get(hour, f"at {hour} o'clock, the front being 6")
    deep = "" if half - depth_mm > inner else ", in the gap between the supports"
    stays = "; the tiers above stay on for it" if two_tiers else ""
    words = (
        f"The first cut: in the {tier.name} tier, {clock}{deep}, two cuts a portion apart, as deep as one portion, "
        f"straight down{stays}."
    )
    return FirstCut(tier=tier.name, degrees=best, clear_degrees=widest, depth_mm=depth_mm, words=words)


KNIFE: Final[dict[Cutter, tuple[str, ...]]] = {
    Cutter.MAKER: ("Long thin smooth blade, jug of hot water, two damp cloths; wipe the blade after every cut.",),
    Cutter.CATERER: (
        "Long thin smooth blade and a cake server, a jug of hot water, two damp cloths: dip, dry, cut straight down, "
        "draw out towards you, wipe. Wipe after every cut.",
        "Cut by the numbers of the guide; a plate is a portion, whatever its shape.",
    ),
    Cutter.CLIENT: (
        "Use a long smooth knife, not a bread knife: it tears. Have a jug of hot water and two damp cloths: dip the "
        "blade, dry it, press straight down without sawing, pull it out towards you, wipe it.",
        "Cut one tier at a time, on a firm table and at a good height. Let somebody else put the slices on plates.",
        "Follow the numbers of the guide: slices cut by eye come out a third too large, and the cake runs short.",
    ),
}
"""Lines on knife and cloth for each hand that may cut. Common practice."""
