"""From the brief to tiers: the demand, the stacks that meet it, and the one to work with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil, floor

from tierwright.errors import BadInput, Problem, require_range
from tierwright.shapes import Outline
from tierwright.sizing import rules
from tierwright.sizing.candidates import Candidate, choose, describe
from tierwright.sizing.cutting import cut
from tierwright.sizing.demand import CUT_YIELD, demand, shortage_risk, turnout
from tierwright.sizing.model import (
    Cutting,
    Demand,
    KitchenCake,
    OvenSpace,
    PanChoice,
    RoughCosts,
    Sizing,
    SizingBrief,
    Stack,
    Tier,
    TierKind,
)
from tierwright.sizing.notes import notes_on
from tierwright.sizing.propose import Search, explain, fixed_tiers, pattern_for
from tierwright.working import Estimate

BATTER_SHARE = Estimate(value=0.62, low=0.52, high=0.75)
"""Batter over levelled layer, by volume: pans half to two thirds full rise to the rim and lose a tenth to levelling.

Common practice. [-]
"""

NO_COSTS = RoughCosts()


def size(
    brief: SizingBrief, pans: Sequence[PanChoice], ovens: Sequence[OvenSpace], costs: RoughCosts = NO_COSTS
) -> Sizing:
    """
    Propose tiers for a commission.

    Parameters
    ----------
    brief
        What the commission asks for.
    pans
        Pans owned, and those that may be bought at a price.
    ovens
        The kitchen's ovens; none means that every pan fits, one at a time.
    costs
        Rough costs for the ranking.

    Returns
    -------
    sizing
        Up to five stacks, best first, all within the maker's risk, with every slice cut; the first is chosen.

    Raises
    ------
    BadInput
        Tiers settled twice over or beyond the number wished for.
    MissingData
        Neither the number attending nor the number invited is known.
    OutOfRange
        A measure, share or count outside its span.
    Infeasible
        No stack of these pans meets the brief; the error names the cheapest change that would.
    """
    _check(brief)
    came = turnout(
        attending=brief.attending,
        invited=brief.invited,
        take_up=brief.take_up,
        other_dessert=brief.other_dessert,
    )
    wanted = demand(
        attending=came.attending,
        take_up=came.take_up,
        risk=brief.risk,
        extra_portions=brief.extra_portions,
        invited=brief.invited,
    )
    needed = ceil(wanted.wanted / CUT_YIELD[brief.cut_by] - 1e-9)
    search = Search(brief, pans, ovens, costs)
    candidates = search.candidates(needed)
    if not candidates:
        raise explain(search, needed)
    chosen = choose(candidates)
    stacks = tuple(_stack(candidate, brief, wanted, needed) for candidate in chosen)
    baked_mm3 = sum(
        place.size.outline.area_mm2 * place.size.layer_height_mm * place.size.layers
        for place in chosen[0].places
        if not place.dummy
    ) + sum(cake.count * cake.outline.area_mm2 * cake.layer_height_mm * cake.layers for cake in stacks[0].kitchen_cakes)
    batter = BATTER_SHARE * (baked_mm3 / 1000)
    return Sizing(
        demand=wanted,
        stacks=stacks,
        chosen=0,
        batter_volume_ml=batter,
        notes=notes_on(
            brief=brief,
            came=came,
            wanted=wanted,
            needed=needed,
            stacks=stacks,
            to_buy=_to_buy(chosen[0]),
            without=_without_kitchen_cakes(search, candidates, needed) if stacks[0].kitchen_cakes else "",
            depths={pan.key: pan.depth_mm for pan in pans},
            batter=batter,
            batter_share=BATTER_SHARE,
            ovens=len(ovens),
        ),
    )


def cut_as(outline: Outline, brief: SizingBrief, *, kitchen: bool = False) -> Cutting:
    """Return the cutting of a tier or kitchen cake of this outline, as the brief says."""
    wish = brief.portion
    return cut(
        outline,
        pattern=pattern_for(outline, wish.pattern, kitchen=kitchen),
        measure=wish.measure,
        width_mm=wish.width_mm,
        depth_mm=wish.depth_mm,
        least_share=wish.least_share,
    )


def _check(brief: SizingBrief) -> None:
    require_range("portion height", brief.portion.height_mm, 20.0, 300.0, "mm")
    require_range("filling depth", brief.filling_mm, 0.0, 40.0, "mm")
    require_range("flavours", brief.flavours, 1, 20, "flavours")
    if brief.tiers is not None:
        require_range("tiers", brief.tiers, 1, 8, "tiers")
    if brief.layers is not None:
        require_range("layers", brief.layers, 1, rules.MOST_LAYERS, "layers")
    if brief.tier_height_mm is not None:
        require_range("tier height", brief.tier_height_mm, 20.0, 400.0, "mm")
    if brief.invited is not None:
        require_range("people invited", brief.invited, 0, 5000, "people")
    problems = []
    for wish in brief.fixed:
        most = brief.tiers or rules.MOST_TIERS
        if wish.number == 0 or not -most <= wish.number <= most:
            problems.append(
                Problem(
                    place="fixed tier",
                    found=f"number {wish.number}",
                    expected=f"1 to {most} from the bottom, or -1 to -{most} from the top",
                    nearest=str(max(1, min(most, abs(wish.number)))),
                )
            )
        if wish.kind is TierKind.DUMMY and (wish.keepsake or wish.diet_guests):
            problems.append(
                Problem(
                    place=f"fixed tier {wish.number}",
                    found="a dummy that is to be eaten or kept",
                    expected="a cake, or a dummy without keepsake and diet guests",
                )
            )
    if problems:
        raise BadInput(problems)


def _stack(candidate: Candidate, brief: SizingBrief, wanted: Demand, needed: int) -> Stack:
    fixed = fixed_tiers(brief, len(candidate.places)) or []
    tiers = []
    flavour = 0
    for number, (place, wish) in enumerate(zip(candidate.places, fixed, strict=True), start=1):
        size_of = place.size
        if place.dummy:
            own = -1
        else:
            own = wish.flavour if wish.flavour is not None else flavour % brief.flavours
            flavour += 1
        tiers.append(
            Tier(
                number=number,
                name=tier_name(number, len(candidate.places)),
                kind=TierKind.DUMMY if place.dummy else TierKind.CAKE,
                outline=size_of.outline,
                pan="" if place.dummy or size_of.pan is None else size_of.pan.key,
                layers=0 if place.dummy else size_of.layers,
                layer_height_mm=0.0 if place.dummy else size_of.layer_height_mm,
                filling_mm=0.0 if place.dummy else brief.filling_mm,
                height_mm=size_of.height_mm,
                keepsake=place.keepsake,
                flavour=own,
                cutting=None if place.dummy else cut_as(size_of.outline, brief),
            )
        )
    cakes: tuple[KitchenCake, ...] = ()
    if candidate.kitchen is not None and candidate.kitchen.size.pan is not None:
        choice = candidate.kitchen
        cakes = (
            KitchenCake(
                outline=choice.size.outline,
                pan=choice.size.pan.key if choice.size.pan else "",
                count=choice.count,
                layers=choice.size.layers,
                layer_height_mm=choice.size.layer_height_mm,
                filling_mm=brief.filling_mm,
                height_mm=choice.size.height_mm,
                flavour=next((tier.flavour for tier in tiers if tier.flavour >= 0), 0),
                cutting=cut_as(choice.size.outline, brief, kitchen=True),
            ),
        )
    served = floor(candidate.portions * CUT_YIELD[brief.cut_by] + 1e-9)
    return Stack(
        tiers=tuple(tiers),
        kitchen_cakes=cakes,
        portions=candidate.portions,
        shortage_risk=shortage_risk(wanted, served),
        surplus=candidate.portions - wanted.mean,
        oven_loads=candidate.loads,
        cost=candidate.cost,
        remarks=candidate.remarks,
        score=candidate.weight + candidate.portions - needed,
    )


def tier_name(number: int, count: int) -> str:
    """Return what a tier is called in a stack of so many."""
    if count == 1:
        return "single"
    if number == 1:
        return "bottom"
    if number == count:
        return "top"
    if count == 3:
        return "middle"
    return ("second", "third", "fourth", "fifth", "sixth", "seventh")[number - 2]


def _without_kitchen_cakes(search: Search, candidates: Sequence[Candidate], needed: int) -> str:
    """Return the best stack that needs no kitchen cake, in words, with sizes left free if those settled give none."""
    bare = next((candidate for candidate in candidates if candidate.kitchen is None), None)
    if bare is None:
        free = tuple(replace(tier, outline=None) for tier in search.brief.fixed)
        brief = replace(search.brief, fixed=free, kitchen_cakes=False)
        bare = next(iter(Search(brief, search.pans, search.ovens, search.costs).candidates(needed)), None)
    return f"{describe(bare)}, {bare.portions} portions" if bare else ""


def _to_buy(candidate: Candidate) -> tuple[PanChoice, ...]:
    pans = [place.size.pan for place in candidate.places if not place.dummy]
    if candidate.kitchen is not None:
        pans.append(candidate.kitchen.size.pan)
    return tuple({pan.key: pan for pan in pans if pan is not None and pan.owned == 0}.values())
