"""From a dossier to what its commission asks of the kitchen."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from math import ceil

from tierwright.bake import wait_limits
from tierwright.coating import CoatedTier, Part
from tierwright.dossier import Dossier, allergens_named
from tierwright.formula import FormulaWork, Mix
from tierwright.larder import FINISH_FACTORS, ingredient, norms
from tierwright.week.norms import ages, limits
from tierwright.week.work import AheadWork, CreamWork, JobWork, LoadWork, MixWork, TierWork
from tierwright.words import FormulaKind

USES_NO_BOWL = (FormulaKind.CURD, FormulaKind.JAM, FormulaKind.SYRUP, FormulaKind.GANACHE)
DRYING = ("sugar", "model", "water")
"""Jobs of flowers that dry or drink, by the start of their key."""
PRESSED = ("press",)
"""Jobs of flowers that are begun weeks ahead."""
MOST_DRYING_H = 96.0
"""What dries for longer is done before any week of work begins. [h]"""
SUGAR_FLOWERS = re.compile(
    r"\b(sugar|gum.?paste|petal.?paste|wafer)\b.*\b(flower|rose|peon|bloom|petal)", re.IGNORECASE
)


def key_of(title: str, number: int) -> str:
    """Return a short key for a commission, unlike every other of the week by its number."""
    slug = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:24].strip("-") or "commission"
    return f"{number}-{slug}"


def read_jobs(dossiers: Sequence[Dossier]) -> tuple[JobWork, ...]:
    """Read what every commission asks of the kitchen, in the order given."""
    return tuple(read_job(dossier, key_of(dossier.commission.title, n)) for n, dossier in enumerate(dossiers, start=1))


def read_job(dossier: Dossier, key: str) -> JobWork:
    """
    Read what one commission asks of the kitchen.

    Parameters
    ----------
    dossier
        Worked through as far as it is.
    key
        What the week calls it.
    """
    commission = dossier.commission
    batters = [w for w in dossier.formulas.works if w.batch is not None and w.batch.fills]
    mixes, of_pan = _mixes(batters, dossier)
    loads = _loads(dossier, of_pan)
    creams = tuple(
        CreamWork(
            key=work.formula.text.key,
            name=work.formula.text.name,
            formula=work.formula.text.key,
            kind=work.formula.text.kind.value if work.formula.text.kind.value in ages() else "other filling",
            grams=work.batch.make_g,
            bowl="" if work.formula.text.kind in USES_NO_BOWL else _largest(work.batch.mixes),
            litres=sum(mix.volume_ml for mix in work.batch.mixes) / 1000.0,
        )
        for work in dossier.formulas.works
        if work.batch is not None and not work.batch.fills
    )
    made = {cream.key for cream in creams}
    tiers = [
        _timed(
            _tier(coated, f"tier.{tier.number}", f"{tier.name} tier", tier.layers, 1, loads, of_pan, made),
            dossier,
            tier.number,
        )
        for tier, coated in zip(dossier.sizing.stack.tiers, dossier.coating.tiers, strict=True)
    ]
    tiers += [
        _tier(coated, f"kitchen.{n}", f"kitchen cake {n}", cake.layers, cake.count, loads, of_pan, made)
        for n, (cake, coated) in enumerate(
            zip(dossier.sizing.stack.kitchen_cakes, dossier.coating.kitchen_cakes, strict=True), start=1
        )
    ]
    handover = commission.handover_at
    table = limits()
    if commission.travel.collected_by_client:
        opens, closes = handover, handover + timedelta(minutes=table["collect_window"].value)
    else:
        opens, closes = handover - timedelta(hours=table["set_up_before"].value), handover
        access = commission.venue.access
        if access is not None:
            opened = handover.replace(hour=access.opens.hour, minute=access.opens.minute)
            closed = handover.replace(hour=access.closes.hour, minute=access.closes.minute)
            opens, closes = max(opens, opened) if opened < handover else opens, min(closes, closed)
            if closes <= opens:
                opens, closes = opened, closed
    return JobWork(
        key=key,
        title=commission.title,
        mixes=mixes,
        loads=tuple(load for load, _ in loads),
        creams=creams,
        tiers=tuple(tiers),
        opens=opens,
        closes=closes,
        collected=commission.travel.collected_by_client,
        travel_min=0.0 if commission.travel.collected_by_client else commission.travel.minutes,
        wishes=len(commission.cake.decoration),
        flowers=sum(bool(SUGAR_FLOWERS.search(text)) for text in commission.cake.decoration),
        finish_min=0.0 if dossier.finish is None else dossier.finish.minutes.value,
        ahead=_ahead(dossier, DRYING),
        long_ahead=_ahead(dossier, PRESSED),
        contains=tuple((w.formula.text.key, _allergens(w)) for w in dossier.formulas.works),
        perhaps=tuple((w.formula.text.key, _unsure(w)) for w in dossier.formulas.works),
        order=() if dossier.keeping is None else tuple(step.key for step in dossier.keeping.order_of_work),
        free=_free(dossier),
        avoids=tuple(sorted({name for allergy in commission.allergies for name in _avoided(allergy.allergen)})),
    )


def _timed(tier: TierWork, dossier: Dossier, number: int) -> TierWork:
    """Return a tier with how long its thickest layer cools, freezes and thaws, as far as that has been worked out."""
    for times in () if dossier.keeping is None else dossier.keeping.layers:
        if times.tier == number:
            return replace(
                tier,
                to_fill_min=60 * (times.to_fill_h or 0.0),
                to_freeze_min=60 * (times.to_freeze_h or 0.0),
                to_thaw_min=60 * (times.to_thaw_h or 0.0),
            )
    return tier


def _ahead(dossier: Dossier, kinds: tuple[str, ...]) -> tuple[AheadWork, ...]:
    """List flowers of some kinds that are made or made ready ahead; drying beyond the week counts as pressing."""
    order = None if dossier.finish is None else dossier.finish.flowers.order
    found = []
    for step in () if order is None else order.steps:
        kind = step.key.split(".")[0]
        if kind not in DRYING + PRESSED:
            continue
        if (kind in PRESSED or step.wait_h.value > MOST_DRYING_H) != (kinds == PRESSED):
            continue
        most = 24.0 if kind == "water" else limits()["flower_dry_most"].value
        found.append(
            AheadWork(
                key=step.key, label=step.text[:1].upper() + step.text[1:], hands_min=step.hands_min.value,
                dry_min=60 * step.wait_h.value, most_min=60 * max(most, step.wait_h.value),
            )
        )  # fmt: skip
    return tuple(found)


def _free(dossier: Dossier) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """List what must stay out of each formula; what is or may be in it already, no order of work keeps out."""
    makes = () if dossier.keeping is None else dossier.keeping.makes
    found = ((make.key, make.keep_free_of - make.contains - make.unknown) for make in makes)
    return tuple((key, tuple(sorted(one.value for one in free))) for key, free in found if free)


def _avoided(text: str) -> tuple[str, ...]:
    """Name the allergens that a guest's word means; one that no list has stands as it was written."""
    return tuple(one.value for one in allergens_named(text)) or (text,)


def _allergens(work: FormulaWork) -> tuple[str, ...]:
    """Everything that a formula certainly contains."""
    found: set[str] = set()
    for line in work.formula.parts:
        item = ingredient(line.ingredient)
        found |= {allergen.value for allergen in item.contains}
    return tuple(sorted(found))


def _unsure(work: FormulaWork) -> tuple[str, ...]:
    """Everything that a formula may contain until a supplier or a label says otherwise."""
    found: set[str] = set()
    for line in work.formula.parts:
        found |= {allergen.value for allergen in ingredient(line.ingredient).ask_about}
    return tuple(sorted(found - set(_allergens(work))))


def _largest(mixes: Sequence[Mix]) -> str:
    return max(mixes, key=lambda mix: mix.volume_ml).bowl if mixes else ""


def _mixes(works: list[FormulaWork], dossier: Dossier) -> tuple[tuple[MixWork, ...], dict[str, str]]:
    """
    List every bowl of batter, and which of them fills each pan.

    A mix that cannot wait for one of its loads is made in parts, one for each stretch of loads that it can reach.
    """
    found: list[MixWork] = []
    of_pan: dict[str, str] = {}
    waits = {bake.formula: wait_limits()[bake.answer.batter.leavening].minutes for bake in dossier.bakes.pans}
    loads = dossier.bakes.loads.loads if dossier.bakes.loads is not None else ()
    for work in works:
        if work.batch is None:
            continue
        text = work.formula.text
        for mix in work.batch.mixes:
            pans = [f"{fill.job}.{fill.number}" for fill in work.batch.fills if fill.mix == mix.number]
            wait = waits.get(text.key, limits()["batter_wait"].value)
            parts: list[list[str]] = [[]]
            since = 0.0
            for load in loads:
                here = [pan for pan in pans if pan in load.pans]
                if not here:
                    continue
                if parts[-1] and load.starts_min - since > wait:
                    parts.append([])
                if not parts[-1]:
                    # The first bowl of a load waits while the others of that load are mixed.
                    since = load.starts_min - (len(load.mixes) - 1) * norms()["mix"].minutes(3).value
                parts[-1] += here
            for number, own in enumerate(parts, start=1):
                name = text.name if len(work.batch.mixes) == 1 else f"{text.name}, mix {mix.number}"
                key = f"{text.key}.{mix.number}" + (f".{number}" if len(parts) > 1 else "")
                found.append(
                    MixWork(
                        key=key, name=name if len(parts) == 1 else f"{name}, part {number}", formula=text.key,
                        ingredients=len(mix.parts), pans=len(own) or len(pans), bowl=mix.bowl,
                        volume_ml=mix.volume_ml * (len(own) / max(1, len(pans)) if len(parts) > 1 else 1.0),
                        wait_min=wait,
                    )
                )  # fmt: skip
                of_pan.update(dict.fromkeys(own, key))
    return tuple(found), of_pan


def _loads(dossier: Dossier, of_pan: dict[str, str]) -> list[tuple[LoadWork, tuple[str, ...]]]:
    """
    List the oven loads with the pans in them.

    Where the bake room has planned them, its loads stand; its mixes that cannot wait are mixed in time anyway,
    because the wait is a limit of the week.
    """
    plan = dossier.bakes.loads
    found: list[tuple[LoadWork, tuple[str, ...]]] = []
    if plan is None:
        return found
    widths = {
        f"{fill.job}.{fill.number}": fill.outline.largest_mm
        for work in dossier.formulas.works
        if work.batch is not None
        for fill in work.batch.fills
    }
    for load in plan.loads:
        pans = load.pans
        found.append(
            (
                LoadWork(
                    key=str(load.number),
                    mixes=tuple(dict.fromkeys(of_pan[pan] for pan in pans if pan in of_pan)),
                    pans=len(pans),
                    shelves=len(load.shelves),
                    set_c=round(load.set_point_c),
                    minutes=load.oven_min,
                    before_min=ceil(load.before_min),
                    largest_mm=max((widths.get(pan, 200.0) for pan in pans), default=200.0),
                    keep_out=tuple(one.value for one in load.keep_out),
                    brings=tuple(one.value for one in load.brings),
                ),
                pans,
            )
        )
    return found


def _tier(
    coated: CoatedTier,
    key: str,
    name: str,
    layers: int,
    count: int,
    loads: list[tuple[LoadWork, tuple[str, ...]]],
    of_pan: dict[str, str],
    made: set[str],
) -> TierWork:
    own = tuple(load.key for load, pans in loads if any(pan.startswith(f"{key}.") and pan in of_pan for pan in pans))

    def used(*parts: Part) -> tuple[str, ...]:
        keys = dict.fromkeys(part.formula for part in coated.parts if part.part in parts and part.formula in made)
        return tuple(keys)

    return TierWork(
        key=key, name=name, width_mm=coated.finished_outline.largest_mm, height_mm=coated.finished_height_mm,
        layers=max(1, layers), count=count, loads=own,
        fillings=used(Part.FILLING, Part.DAM, Part.SOAK, Part.CRUMB_COAT) if own else (),
        coats=used(Part.COAT, Part.ROLLED, Part.MARZIPAN), coat_dm2=(coated.side_mm2 + coated.top_mm2) / 1e4,
        coat_factor=FINISH_FACTORS[coated.style],
    )  # fmt: skip
