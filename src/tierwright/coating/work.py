"""Coat a whole commission: every tier from the top down, and what has to be made of each formula."""

from __future__ import annotations

from collections.abc import Sequence

from tierwright.coating.figures import ganache_notes, need_figures, tier_figures
from tierwright.coating.ganache import Season
from tierwright.coating.model import Coating, Need, Part, RolledSheet
from tierwright.coating.notes import assumptions, cautions, tier_questions
from tierwright.coating.order import TierToCoat
from tierwright.coating.parts import ROLLED_PARTS, dam_spread
from tierwright.coating.rolled import paste_needed_g
from tierwright.coating.strength import COLDEST_C, HOTTEST_C
from tierwright.coating.tables import amount
from tierwright.coating.tier import WorkedTier, work_tier
from tierwright.errors import require_range
from tierwright.sizing.model import KitchenCake, Tier
from tierwright.working import NOTHING, Estimate, Given, Notes

LEAST_BRAKING = 0.05
MOST_BRAKING = 1.0


def coat(
    tiers: Sequence[TierToCoat],
    kitchen_cakes: Sequence[TierToCoat] = (),
    *,
    expected_c: float | None = None,
    road_c: float | None = None,
    braking_share: float | None = None,
    season: Season = Season.COOL,
    base_board: str = "",
) -> Coating:
    """
    Fill and coat every tier and kitchen cake.

    Parameters
    ----------
    tiers
        The stack, bottom first; each hides part of the top of the one below it.
    kitchen_cakes
        Plain cakes beside it; each order stands for as many as its kitchen cake counts.
    expected_c
        Warmest that the cake is expected to get between fridge and cutting, for the warnings; the usual room if None.
        [C], -5 to 45
    road_c
        Temperature of the cake on the road; the usual if None. [C], -5 to 45
    braking_share
        Braking that it has to stand, over gravity; the usual if None. [-], 0.05 to 1
    season
        Which ganache ratios to use.
    base_board
        Key of the board or drum under everything, passed on.

    Returns
    -------
    coating
        Tiers bottom first; the mass of each is the sum of its parts.

    Raises
    ------
    OutOfRange
        A measure, temperature or braking outside its range, or layers that do not add up to the sized height.
    MissingData
        No density for the baked layers of a cake.
    UnknownName
        A kind that the table does not hold.
    ValueError
        A kitchen cake among the tiers or a tier among the kitchen cakes.
    """
    warm_c = amount("expected_c").value.value if expected_c is None else expected_c
    drive_c = amount("road_c").value.value if road_c is None else road_c
    braking = amount("braking_share").value.value if braking_share is None else braking_share
    require_range("expected temperature", warm_c, COLDEST_C, HOTTEST_C, "C", "coating")
    require_range("temperature on the road", drive_c, COLDEST_C, HOTTEST_C, "C", "coating")
    require_range("braking", braking, LEAST_BRAKING, MOST_BRAKING, "of gravity", "coating")

    stack = _stack(tiers)
    beside = [_kitchen(order, place) for place, order in enumerate(kitchen_cakes, start=1)]
    worked = [*stack, *beside]
    counts = [1] * len(stack) + [_count(order) for order in kitchen_cakes]
    needs, details, kind_of = _needs(worked, counts)

    stack_g = sum(one.coated.mass_g.value for one in stack)
    split_figures, split_assumptions = ganache_notes(needs, kind_of, season)
    notes = Notes(
        figures=(
            *(figure for one in worked for figure in tier_figures(one, warm_c, drive_c)),
            *need_figures(needs, details),
            *split_figures,
        ),
        questions=tuple(question for one in worked for question in tier_questions(one, warm_c, drive_c, braking)),
        cautions=cautions(worked, stack_g),
        assumptions=(
            *assumptions(
                worked,
                given_c=expected_c is not None,
                given_road_c=road_c is not None,
                given_road=braking_share is not None,
            ),
            *split_assumptions,
        ),
    )
    return Coating(
        tiers=tuple(one.coated for one in stack),
        kitchen_cakes=tuple(one.coated for one in beside),
        needs=needs,
        base_board=base_board,
        notes=notes,
    )


def _stack(tiers: Sequence[TierToCoat]) -> list[WorkedTier]:
    """From the top down, since a tier's top shows only where nothing stands on it."""
    worked: list[WorkedTier] = []
    above: WorkedTier | None = None
    above_g = 0.0
    for order in reversed(tiers):
        if not isinstance(order.cake, Tier):
            raise ValueError("a kitchen cake stands among the tiers")
        above = work_tier(order, f"tier.{order.number}", f"the {order.cake.name} tier", above, above_g)
        above_g += above.coated.mass_g.value
        worked.append(above)
    worked.reverse()
    return worked


def _kitchen(order: TierToCoat, place: int) -> WorkedTier:
    if not isinstance(order.cake, KitchenCake):
        raise ValueError("a tier stands among the kitchen cakes")
    return work_tier(order, f"kitchen.{place}", f"kitchen cake {place}", None, 0.0)


def _count(order: TierToCoat) -> int:
    return order.cake.count if isinstance(order.cake, KitchenCake) else 1


def _needs(
    worked: Sequence[WorkedTier], counts: Sequence[int]
) -> tuple[tuple[Need, ...], dict[str, tuple[Given, ...]], dict[str, str]]:
    """
    Gather what has to be made, by formula, in the order in which formulas come up from the bottom.

    Cake is left out: it is weighed as batter. Parts of no named formula are left out too, and asked about.
    """
    spread: dict[str, Estimate] = {}
    sheets: dict[str, list[RolledSheet]] = {}
    by_part: dict[str, dict[Part, float]] = {}
    details: dict[str, list[Given]] = {}
    for one, count in zip(worked, counts, strict=True):
        rolled = iter(one.rollings)
        for part in one.coated.parts:
            rolling = next(rolled) if part.part in ROLLED_PARTS else None
            if part.part in (Part.SPONGE, Part.FOAM, Part.BOARD) or not part.formula:
                continue
            if rolling is None:
                spread[part.formula] = spread.get(part.formula, NOTHING) + part.to_make_g * count
            else:
                sheets.setdefault(part.formula, []).extend(list(rolling.sheets) * count)
            of = by_part.setdefault(part.formula, {})
            of[part.part] = of.get(part.part, 0.0) + part.to_make_g.value * count
            times = f" x {count}" if count > 1 else ""
            details.setdefault(part.formula, []).append(
                Given(name=f"{one.name}, {part.part.value}{times}", value=part.to_make_g.value * count, unit="g")
            )
    needs = tuple(
        Need(
            formula=formula,
            part=max(of, key=lambda part: of[part]),
            grams=spread.get(formula, NOTHING) + paste_needed_g(sheets.get(formula, ())),
        )
        for formula, of in by_part.items()
    )
    return needs, {formula: tuple(given) for formula, given in details.items()}, _kinds(worked)


def _kinds(worked: Sequence[WorkedTier]) -> dict[str, str]:
    """Kind of each formula."""
    return {
        spread.formula: spread.kind
        for one in worked
        for spread in (
            one.order.filling,
            one.order.coat,
            one.order.undercoat,
            one.order.marzipan,
            one.order.soak,
            dam_spread(one.order),
        )
        if spread is not None and spread.formula
    }
