"""From the brief to what sizing needs."""

from __future__ import annotations

from dataclasses import replace

from tierwright.brief import Commission, Kitchen, OwnedPan
from tierwright.brief import FixedTier as WrittenTier
from tierwright.errors import MissingData
from tierwright.larder import pan, pans
from tierwright.shapes import Outline
from tierwright.sizing import (
    FixedTier,
    OvenSpace,
    PanChoice,
    PortionWish,
    RoughCosts,
    Sizing,
    SizingBrief,
    TierKind,
    size,
)

USUAL_FILLING_MM = 8.0
"""Depth of a filling when the brief says nothing. [mm] Common practice."""


def size_tiers(commission: Commission, kitchen: Kitchen) -> Sizing:
    """Run the sizing stage for a brief."""
    return size(sizing_brief(commission), pan_choices(commission, kitchen), oven_spaces(kitchen), rough_costs(kitchen))


def sizing_brief(commission: Commission) -> SizingBrief:
    """Translate what the client wants."""
    guests, portion, cake = commission.guests, commission.portion, commission.cake
    return SizingBrief(
        attending=guests.attending,
        invited=guests.invited,
        take_up=guests.eating_cake,
        other_dessert=guests.other_dessert,
        portion=PortionWish(
            width_mm=portion.width,
            depth_mm=portion.depth,
            height_mm=portion.height,
            pattern=portion.pattern,
            measure=portion.measured_at,
        ),
        cut_by=portion.cut_by,
        keepsake=cake.keepsake,
        risk=guests.shortage_risk,
        tiers=cake.tiers,
        shape=cake.shape,
        fixed=_settled(commission),
        flavours=len(cake.flavours),
        layers=cake.layers,
        filling_mm=USUAL_FILLING_MM if cake.filling_depth is None else cake.filling_depth,
        tier_height_mm=None,
    )


def _settled(commission: Commission) -> tuple[FixedTier, ...]:
    """What is settled about single tiers: by the maker, and by guests who can eat of one flavour only."""
    settled = {tier.number: _fixed(tier) for tier in commission.cake.fixed}
    flavours, tiers = commission.cake.flavours, commission.cake.tiers
    for position, flavour in enumerate(flavours):
        guests = sum(d.count for d in commission.diets if flavour.diet and d.diet.casefold() == flavour.diet.casefold())
        if guests == 0:
            continue
        is_last = position == len(flavours) - 1
        number = position + 1 if not is_last else tiers if tiers is not None else -1
        settled[number] = replace(settled.get(number, FixedTier(number=number)), flavour=position, diet_guests=guests)
    return tuple(settled.values())


def _fixed(tier: WrittenTier) -> FixedTier:
    return FixedTier(
        number=tier.number,
        outline=Outline(shape=tier.shape, width_mm=tier.width, length_mm=tier.length or 0.0),
        kind=TierKind(tier.kind),
    )


def pan_choices(commission: Commission, kitchen: Kitchen) -> tuple[PanChoice, ...]:
    """List the pans owned and, where the maker buys, those of the wished shape that may be bought."""
    owned: dict[str, PanChoice] = {}
    for number, entry in enumerate(kitchen.pans, start=1):
        choice = _owned(entry, number)
        if choice.key in owned:
            choice = replace(choice, owned=choice.owned + owned[choice.key].owned)
        owned[choice.key] = choice
    choices = list(owned.values())
    if kitchen.pan_price is not None:
        wished = [p for p in pans().values() if p.outline.shape is commission.cake.shape and p.key not in owned]
        choices += [
            PanChoice(key=p.key, outline=p.outline, depth_mm=p.depth_mm, owned=0, price=float(kitchen.pan_price))
            for p in wished
        ]
    return tuple(choices)


def _owned(entry: OwnedPan, number: int) -> PanChoice:
    if entry.pan is not None:
        known = pan(entry.pan)
        return PanChoice(key=known.key, outline=known.outline, depth_mm=known.depth_mm, owned=entry.count)
    if entry.shape is None or entry.width is None or entry.depth is None:
        raise MissingData("a key, or shape, width and depth", "a pan", f"kitchen.pans[{number}]")
    outline = Outline(shape=entry.shape, width_mm=entry.width, length_mm=entry.length or 0.0)
    return PanChoice(key=f"own_{number}", outline=outline, depth_mm=entry.depth, owned=entry.count)


def oven_spaces(kitchen: Kitchen) -> tuple[OvenSpace, ...]:
    """Translate the ovens."""
    return tuple(
        OvenSpace(key=oven.name, width_mm=oven.width, depth_mm=oven.depth, shelves=oven.shelves)
        for oven in kitchen.ovens
    )


BATTER_G_PER_LITRE = 850.0


def rough_costs(kitchen: Kitchen) -> RoughCosts:
    """Reckon batter at the mean price of what the price list holds: enough to rank stacks by, nothing more."""
    if not kitchen.prices:
        return RoughCosts()
    per_g = sum(float(entry.price) / entry.pack for entry in kitchen.prices) / len(kitchen.prices)
    return RoughCosts(batter_per_litre=per_g * BATTER_G_PER_LITRE)
