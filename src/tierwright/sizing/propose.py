"""All stacks that the pans allow, ranked.

Ranking adds up, in portions, what a stack costs in surplus, oven loads, kitchen cakes, dummies, pans to buy and
broken proportion rules. Only stacks that keep the maker's risk are ranked, and nothing but the surplus depends on how
many portions are needed. So the best stack for more guests never serves fewer: either the old one still does and
stays the best, or every stack that does is larger.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from math import ceil

from tierwright.errors import Infeasible
from tierwright.shapes import Outline, Shape
from tierwright.sizing import rules
from tierwright.sizing.candidates import Candidate, KitchenChoice, Place, Size, describe, proportions, step_mm
from tierwright.sizing.cutting import portions_in
from tierwright.sizing.model import (
    CutPattern,
    FixedTier,
    OvenSpace,
    PanChoice,
    RoughCosts,
    SizingBrief,
    TierKind,
)
from tierwright.sizing.oven import best_oven, oven_loads

SAME_SIZE_MM = 2.0
LITRE_MM3 = 1e6


class Search:
    """The candidates for one brief, with what they share worked once."""

    def __init__(
        self, brief: SizingBrief, pans: Sequence[PanChoice], ovens: Sequence[OvenSpace], costs: RoughCosts
    ) -> None:
        self.brief = brief
        self.pans = pans
        self.ovens = ovens
        self.costs = costs
        self.refused: list[str] = []
        self._kitchen: dict[int, list[KitchenChoice]] = {}

    def candidates(self, needed: int) -> list[Candidate]:
        """Return every stack that serves at least ``needed`` portions, best first."""
        found = []
        for places in self._all_stacks:
            shown = sum(place.size.portions for place in places if not place.dummy and not place.keepsake)
            if shown >= needed:
                found.append(self._weighed(places, shown))
            elif self.brief.kitchen_cakes:
                choices = self._kitchen_for(needed - shown)
                if choices:
                    bare = self._weighed(places, shown)
                    found += [_with_kitchen(bare, choice) for choice in choices]
        return sorted(found, key=lambda candidate: candidate.rank)

    def most_portions(self) -> int:
        """Return the most portions that any stack in the search serves, kitchen cakes included; 0 if there is none."""
        shown = max(
            (sum(p.size.portions for p in places if not p.dummy and not p.keepsake) for places in self._all_stacks),
            default=0,
        )
        extra = max((size.portions for size in self.kitchen_sizes), default=0) if self.brief.kitchen_cakes else 0
        return shown + rules.MOST_KITCHEN_CAKES * extra if shown else 0

    # Sizes

    def size_of(self, outline: Outline, pan: PanChoice | None, *, kitchen: bool = False) -> Size | None:
        """Return the tier that this pan makes, or None where its layers do not come out of it; no pan makes foam."""
        layered = self._layered(pan.depth_mm if pan is not None else float("inf"))
        if layered is None:
            return None
        layers, layer = layered
        return Size(
            outline=outline,
            pan=pan,
            layers=layers,
            layer_height_mm=layer,
            height_mm=self._height_mm,
            portions=portions_of(outline, self.brief, kitchen=kitchen) if pan is not None else 0,
            litres=outline.area_mm2 * layer * layers / LITRE_MM3,
            loads=oven_loads([(pan, layers)], self.ovens) if pan is not None else 0,
            extent_mm=outline.extent_mm,
        )

    @property
    def _height_mm(self) -> float:
        brief = self.brief
        return brief.tier_height_mm if brief.tier_height_mm is not None else brief.portion.height_mm

    def _layered(self, depth_mm: float) -> tuple[int, float] | None:
        """Number of layers, and height of each, that fill a tier and come out of a pan so deep."""
        brief = self.brief
        most = brief.layers if brief.layers is not None else rules.MOST_LAYERS
        for layers in range(brief.layers or rules.USUAL_LAYERS, most + 1):
            layer = (self._height_mm - (layers - 1) * brief.filling_mm) / layers
            if layer < rules.LEAST_LAYER_MM:
                return None
            if layer <= depth_mm:
                return layers, layer
        return None

    @cached_property
    def _usable(self) -> list[PanChoice]:
        """Pans that are owned or for sale and go into an oven, one for each outline: owned before bought."""
        best: dict[tuple[Shape, int, int], PanChoice] = {}
        for pan in sorted(self.pans, key=lambda p: (p.owned == 0, -p.owned, p.price or 0.0, -p.depth_mm, p.key)):
            name = pan.outline.describe()
            if pan.owned == 0 and pan.price is None:
                self.refused.append(f"no {name} pan is owned or has a price")
            elif best_oven(pan.outline, self.ovens) < 1:
                self.refused.append(f"a {name} pan does not go into the oven")
            elif self._layered(pan.depth_mm) is None:
                self.refused.append(f"a {name} pan {pan.depth_mm:.0f} mm deep does not give the layers wanted")
            else:
                key = (pan.outline.shape, round(pan.outline.width_mm), round(pan.outline.length_mm))
                best.setdefault(key, pan)
        return list(best.values())

    @cached_property
    def _worth_having(self) -> list[PanChoice]:
        """Usable pans, but those to buy only where none much like them is there already: the cheapest first."""
        kept: list[PanChoice] = []
        for pan in sorted(self._usable, key=lambda p: (p.owned == 0, p.price or 0.0, p.outline.area_mm2, p.key)):
            like = (other for other in kept if other.outline.shape is pan.outline.shape)
            if pan.owned or all(_unlike(pan.outline, other.outline) for other in like):
                kept.append(pan)
        return kept

    @cached_property
    def cake_sizes(self) -> list[Size]:
        """Tiers of the shape wished for, small to large."""
        sizes = [self.size_of(p.outline, p) for p in self._worth_having if p.outline.shape is self.brief.shape]
        return sorted((size for size in sizes if size), key=lambda size: size.outline.area_mm2)

    @cached_property
    def foam_sizes(self) -> list[Size]:
        """Outlines in which a dummy may stand: those of the pans listed in the shape wished for, like ones once."""
        kept: list[Size] = []
        for outline in sorted({pan.outline for pan in self.pans}, key=lambda o: (o.area_mm2, o.width_mm)):
            size = self.size_of(outline, None) if outline.shape is self.brief.shape else None
            if size and all(_unlike(outline, other.outline) for other in kept):
                kept.append(size)
        return kept

    @cached_property
    def kitchen_sizes(self) -> list[Size]:
        """Kitchen cakes that give at least one portion."""
        sizes = (self.size_of(pan.outline, pan, kitchen=True) for pan in self._worth_having)
        return [size for size in sizes if size and size.portions]

    # Stacks

    @cached_property
    def _all_stacks(self) -> list[tuple[Place, ...]]:
        brief = self.brief
        lowest = max((tier.number for tier in brief.fixed if tier.number > 0), default=1)
        numbers = [brief.tiers] if brief.tiers is not None else list(range(max(2, lowest), rules.MOST_TIERS + 1))
        if brief.tiers is None and lowest == 1:
            numbers.append(1)
        stacks: list[tuple[Place, ...]] = []
        for count in numbers:
            fixed = fixed_tiers(brief, count)
            if fixed is not None:
                stacks.extend(self._built(fixed, ()))
        return stacks

    def _built(self, fixed: Sequence[FixedTier], below: tuple[Place, ...]) -> Iterator[tuple[Place, ...]]:
        number = len(below)
        if number == len(fixed):
            if any(not place.dummy for place in below):
                yield below
            return
        wish = fixed[number]
        top = number == len(fixed) - 1
        for place in self._options(wish, top=top):
            if below and not self._steps_in(below[-1], fixed[number - 1], place, wish):
                continue
            # Foam of our own choosing lifts the whole cake from below, or stands in for one tier.
            if place.dummy and wish.kind is None and any(p.dummy for p in below) and not all(p.dummy for p in below):
                continue
            yield from self._built(fixed, (*below, place))

    def _options(self, wish: FixedTier, *, top: bool) -> list[Place]:
        if wish.outline is not None:
            cakes = [size for size in [self._fixed_size(wish.outline)] if size]
            foams = [size for size in [self.size_of(wish.outline, None)] if size]
        else:
            cakes, foams = self.cake_sizes, self.foam_sizes
        places = []
        if wish.kind is not TierKind.DUMMY:
            least = ceil(wish.diet_guests * rules.DIET_MARGIN - 1e-9)
            places += [
                Place(size=size, dummy=False, keepsake=wish.keepsake) for size in cakes if size.portions >= least
            ]
        # Foam makes up a number of tiers; where the number is free, fewer tiers do as well.
        free = wish.kind is None and self.brief.dummies and self.brief.tiers is not None
        free = free and not top and not wish.diet_guests and not wish.keepsake
        if wish.kind is TierKind.DUMMY or (free and wish.outline is None):
            places += [Place(size=size, dummy=True, keepsake=False) for size in foams]
        return places

    def _fixed_size(self, outline: Outline) -> Size | None:
        for pan in self._usable:
            if pan.outline.shape is outline.shape and all(
                abs(a - b) <= SAME_SIZE_MM for a, b in zip(pan.outline.extent_mm, outline.extent_mm, strict=True)
            ):
                return self.size_of(pan.outline, pan)
        self.refused.append(f"no {outline.describe()} pan is owned or has a price")
        return None

    @staticmethod
    def _steps_in(below: Place, below_wish: FixedTier, above: Place, above_wish: FixedTier) -> bool:
        step = step_mm(below.size, above.size)
        if below_wish.outline is not None and above_wish.outline is not None:
            return step > 0
        if below_wish.outline is not None or above_wish.outline is not None:
            return step >= rules.LEAST_STEP_MM
        return rules.LEAST_STEP_MM <= step <= rules.WIDEST_STEP_MM

    # Weights

    def _weighed(self, places: tuple[Place, ...], shown: int) -> Candidate:
        # Tiers grow smaller upward, so no two share a pan and their loads add up.
        loads = 0
        litres = foam = 0.0
        bought: dict[str, float] = {}
        dummies = 0
        for place in places:
            size = place.size
            if place.dummy:
                dummies += 1
                foam += size.outline.area_mm2 * size.height_mm / LITRE_MM3
                continue
            loads += size.loads
            litres += size.litres
            if size.pan is not None and size.pan.owned == 0:
                bought[size.pan.key] = size.pan.price or 0.0
        cost = self._cost(bought, litres) + foam * self.costs.foam_per_litre
        weight = (
            rules.WEIGHT_LOAD * loads
            + rules.WEIGHT_DUMMY * dummies
            + proportions(places)[1]
            + self._money(cost, len(bought))
            + (rules.WEIGHT_TIER_OFF_USUAL * abs(len(places) - rules.USUAL_TIERS) if self.brief.tiers is None else 0.0)
        )
        return Candidate(places=places, kitchen=None, portions=shown, loads=loads, cost=cost, weight=weight)

    def _kitchen_for(self, missing: int) -> list[KitchenChoice]:
        """Return the three best ways to make up so many portions by kitchen cakes that are all alike."""
        if missing not in self._kitchen:
            choices = []
            for size in self.kitchen_sizes:
                count = ceil(missing / size.portions)
                if count <= rules.MOST_KITCHEN_CAKES:
                    choices.append(self._kitchen_choice(size, count))
            choices.sort(key=lambda c: (round(c.weight + c.portions, 9), c.count, c.size.pan.key if c.size.pan else ""))
            self._kitchen[missing] = choices[:3]
        return self._kitchen[missing]

    def _kitchen_choice(self, size: Size, count: int) -> KitchenChoice:
        assert size.pan is not None
        loads = oven_loads([(size.pan, size.layers * count)], self.ovens)
        bought = {size.pan.key: size.pan.price or 0.0} if size.pan.owned == 0 else {}
        cost = self._cost(bought, size.litres * count)
        weight = rules.WEIGHT_LOAD * loads + rules.WEIGHT_KITCHEN_CAKE * count + self._money(cost, len(bought))
        return KitchenChoice(
            size=size, count=count, portions=count * size.portions, loads=loads, cost=cost, weight=weight
        )

    def _cost(self, bought: dict[str, float], litres: float) -> float:
        return sum(bought.values()) + litres * self.costs.batter_per_litre

    def _money(self, cost: float, pans_to_buy: int) -> float:
        if self.costs.portion is not None and self.costs.portion > 0:
            return cost / self.costs.portion
        return rules.WEIGHT_PAN_TO_BUY * pans_to_buy


def _unlike(a: Outline, b: Outline) -> bool:
    """Whether two outlines of a shape differ enough to be worth having both."""
    return any(abs(p - q) >= rules.ALIKE_MM for p, q in zip(a.extent_mm, b.extent_mm, strict=True))


def _with_kitchen(bare: Candidate, choice: KitchenChoice) -> Candidate:
    return Candidate(
        places=bare.places,
        kitchen=choice,
        portions=bare.portions + choice.portions,
        loads=bare.loads + choice.loads,
        cost=bare.cost + choice.cost,
        weight=bare.weight + choice.weight,
    )


def portions_of(outline: Outline, brief: SizingBrief, *, kitchen: bool = False) -> int:
    """Return the portions that a cake of this outline gives, cut as the brief says."""
    wish = brief.portion
    return portions_in(
        outline,
        pattern=pattern_for(outline, wish.pattern, kitchen=kitchen),
        measure=wish.measure,
        width_mm=wish.width_mm,
        depth_mm=wish.depth_mm,
        least_share=wish.least_share,
    )


def pattern_for(outline: Outline, pattern: CutPattern, *, kitchen: bool) -> CutPattern:
    """Return how a cake is cut: straight-sided kitchen cakes as sheets, everything else as the brief says."""
    return CutPattern.SHEET if kitchen and outline.shape in (Shape.SQUARE, Shape.RECTANGLE) else pattern


def fixed_tiers(brief: SizingBrief, count: int) -> list[FixedTier] | None:
    """Return what is settled for each of ``count`` tiers, or None where something is settled about a tier beyond."""
    tiers = [FixedTier(number=number) for number in range(1, count + 1)]
    for wish in brief.fixed:
        index = wish.number - 1 if wish.number > 0 else count + wish.number
        if wish.number == 0 or not 0 <= index < count:
            return None
        old = tiers[index]
        tiers[index] = FixedTier(
            number=index + 1,
            outline=wish.outline or old.outline,
            kind=wish.kind or old.kind,
            keepsake=wish.keepsake or old.keepsake,
            flavour=wish.flavour if wish.flavour is not None else old.flavour,
            diet_guests=max(wish.diet_guests, old.diet_guests),
        )
    if brief.keepsake and not any(tier.keepsake for tier in tiers):
        tiers[-1] = replace(tiers[-1], keepsake=True)
    return tiers


def explain(search: Search, needed: int) -> Infeasible:
    """Return the refusal for a brief that no stack meets, with the cheapest change that some stack would meet."""
    brief = search.brief
    wish = f"{needed} portions"
    if brief.tiers is not None:
        wish += f" in {brief.tiers} {'tier' if brief.tiers == 1 else 'tiers'}"
    if not search.cake_sizes and not brief.fixed:
        reason = f"no {brief.shape.value} pan can be used"
    elif not search.most_portions():
        reason = "the pans make no such stack"
    else:
        reason = f"the most that the pans can serve is {search.most_portions()}"
    refused = list(dict.fromkeys(search.refused))
    if refused:
        reason += " (" + "; ".join(refused[:3]) + ")"
    anyone = [replace(pan, price=0.0) if pan.owned == 0 and pan.price is None else pan for pan in search.pans]
    changes: list[tuple[str, SizingBrief, Sequence[PanChoice]]] = []
    if not brief.kitchen_cakes:
        changes.append(("allow kitchen cakes", replace(brief, kitchen_cakes=True), search.pans))
    if not brief.dummies:
        changes.append(("allow foam tiers", replace(brief, dummies=True), search.pans))
    if brief.tiers is not None:
        for tiers in (brief.tiers - 1, brief.tiers + 1):
            if tiers >= 1:
                word = "tier" if tiers == 1 else "tiers"
                changes.append((f"make {tiers} {word}", replace(brief, tiers=tiers), search.pans))
    changes.append(("buy a pan", brief, anyone))
    if brief.fixed:
        free = tuple(replace(tier, outline=None) for tier in brief.fixed)
        changes.append(("leave the sizes of the tiers free", replace(brief, fixed=free), search.pans))
    changes.extend(
        (f"make it {shape.value}", replace(brief, shape=shape), search.pans)
        for shape in Shape
        if shape is not brief.shape and any(pan.outline.shape is shape for pan in search.pans)
    )
    for words, changed, pans in changes:
        found = Search(changed, pans, search.ovens, search.costs).candidates(needed)
        if found:
            return Infeasible(wish, reason, f"{words}: {describe(found[0])}, {found[0].portions} portions")
    most = search.most_portions()
    return Infeasible(wish, reason, f"serve no more than {most} portions" if most else "list more pans")
