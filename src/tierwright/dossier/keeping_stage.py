"""From the brief, the formulas and the coated tiers to what keeping needs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from functools import lru_cache
from math import ceil
from typing import Final

from tierwright.brief import Commission, Flavour, FormulaSheet, Kitchen
from tierwright.brief.decor import FlowerGroup, FlowerState
from tierwright.coating import CoatedTier, Coating, Part, kind
from tierwright.dossier.coating_stage import BAKE_LOSS, BOUGHT_FONDANT, spread_of
from tierwright.dossier.finish_stage import decor_words
from tierwright.dossier.keeping_records import Measured, doubts, recorded
from tierwright.dossier.making import makes_of
from tierwright.dossier.sugar_stage import SugarWork
from tierwright.errors import MissingData, OutOfRange, TierwrightError, UnknownName
from tierwright.formula import Formulas
from tierwright.keeping import (
    FOAM_KEY,
    Component,
    Keeping,
    KeepingPlan,
    Layer,
    Place,
    Start,
    Stay,
    TierToKeep,
    component_kind,
    keep,
    layer_times,
)
from tierwright.larder import Allergen, Composition, blend, find, ingredient
from tierwright.sizing import KitchenCake, Sizing, Tier, TierKind
from tierwright.sugar import HeatVerdict
from tierwright.words import FormulaKind
from tierwright.working import COMMON_PRACTICE, Assumption, Basis, Estimate, Notes, Question, Severity, Source

SET_UP_MIN: Final = 45.0
LOADING_MIN: Final = 10.0
PUT_TOGETHER_H: Final = 2.0
COLD_PARTS_C: Final = 8.0
USUAL_HUMIDITY: Final = 0.6
AFTER_CUTTING_H: Final = 1.5
BAKED_BEFORE_H: Final = 22.0
LONGEST_ON_RACK_H: Final = 12.0
"""Common practice, each listed among what was assumed."""
JAM_SOLIDS: Final = 0.65
"""Soluble solids of a finished jam; 21 CFR 150.160. [-]"""
ALREADY_TREATED: Final = frozenset(
    {"pasteurised_egg_white", "pasteurised_egg_yolk", "pasteurised_whole_egg", "dried_egg_white"}
)
COOKED: Final = frozenset({FormulaKind.CURD, FormulaKind.OTHER_FILLING, FormulaKind.FLOUR_BUTTERCREAM})


def keep_tiers(
    commission: Commission,
    kitchen: Kitchen,
    sizing: Sizing,
    formulas: Formulas,
    coating: Coating,
    *,
    losses: Mapping[str, Estimate] | None = None,
    sugar: tuple[SugarWork, ...] = (),
) -> tuple[Keeping | None, Notes]:
    """
    Run the keeping stage.

    Parameters
    ----------
    commission, kitchen
        What the client wants; what the maker has.
    sizing, formulas, coating
        The answers of the stages before.
    losses
        Share of its mass that each batter loses in the oven, by formula; the usual share where it is not there. [-]
    sugar
        What the sugar room says of the foams.

    Returns
    -------
    keeping, notes
        None with a question where something that it needs is not known.
    """
    try:
        plan, assumed = keeping_plan(commission, kitchen, sizing, formulas, coating, losses=losses or {}, sugar=sugar)
        keeping = _kept(plan)
    except (MissingData, OutOfRange, UnknownName) as error:
        return None, Notes(questions=(_refused(error),))
    return keeping, keeping.notes + Notes(questions=tuple(doubts(commission)), assumptions=assumed)


def keeping_plan(
    commission: Commission,
    kitchen: Kitchen,
    sizing: Sizing,
    formulas: Formulas,
    coating: Coating,
    *,
    losses: Mapping[str, Estimate],
    sugar: tuple[SugarWork, ...],
) -> tuple[KeepingPlan, tuple[Assumption, ...]]:
    """Translate a commission into a plan of keeping, with what was assumed on the way."""
    components: dict[str, Component] = {}
    treated = _treated(commission, formulas, sugar)
    measured = recorded(commission)
    stacked = (
        _tier(
            commission, formulas, tier, coated, components, losses, treated, measured, top=i == len(coating.tiers) - 1
        )
        for i, (tier, coated) in enumerate(zip(sizing.stack.tiers, coating.tiers, strict=True))
    )
    # Foam without a coat has nothing on it that could spoil or give way.
    tiers = tuple(tier for tier in stacked if tier.coat or any(layer.component != FOAM_KEY for layer in tier.layers))
    aside = tuple(
        replace(
            _tier(commission, formulas, cake, coated, components, losses, treated, measured, top=True),
            number=len(coating.tiers) + number,
            name="kitchen cake" if len(coating.kitchen_cakes) == 1 else f"kitchen cake {number}",
            on_tier=False,
        )
        for number, (cake, coated) in enumerate(
            zip(sizing.stack.kitchen_cakes, coating.kitchen_cakes, strict=True), start=1
        )
    )
    fridge_c = min((place.temperature for place in kitchen.cold if place.kind == "fridge"), default=None)
    freezer_c = min((place.temperature for place in kitchen.cold if place.kind == "freezer"), default=None)
    stays, assumed = _stays(commission, kitchen, fridge_c)
    access = commission.venue.access
    closes = commission.cutting_at - timedelta(minutes=30)
    if access is not None:
        end = commission.handover_at.replace(hour=access.closes.hour, minute=access.closes.minute)
        closes = min(closes, end) if end > stays[-1].begins else closes
    cold = COLD_PARTS_C if fridge_c is not None else kitchen.room
    made = _made(tiers, components, kitchen, fridge_c, freezer_c, stays[0].begins)
    plan = KeepingPlan(
        jurisdiction=commission.jurisdiction.value,
        licence=kitchen.licence.value,
        tiers=tiers,
        components=tuple(components.values()),
        kitchen=stays[:-2],
        travel=stays[-2],
        venue=stays[-1],
        start=Start(sponge_c=cold, filling_c=cold, coat_c=kitchen.room),
        cutting_at=commission.cutting_at,
        closes_at=closes,
        room_c=kitchen.room,
        fridge_c=fridge_c,
        freezer_c=freezer_c,
        decorations=(
            *commission.cake.decoration,
            *([commission.cake.look] if commission.cake.look else []),
            # Flowers go by name below; one made of sugar is none, and fears only damp.
            *decor_words(commission.decor.model_copy(update={"flowers": ()})),
            *(["sugar flowers"] if any(_is_sugar(group) for group in commission.decor.flowers) else []),
        ),
        flowers=tuple(dict.fromkeys(group.species for group in commission.decor.flowers if not _is_sugar(group))),
        makes=makes_of(commission, formulas.works),
        made=made,
        display=kitchen.units.display(),
        aside=aside,
        aside_venue=replace(
            stays[-1], name="waiting, boxed", place=Place.VENUE, light="none", cover="card_box", air_speed_m_s=None
        )
        if aside
        else None,
    )
    baked = Assumption(
        key="keeping.baked",
        text="Layers leave the oven, and go cold once they have cooled on the rack",
        value=f"{made[0].begins:%a %H:%M}, {made[0].ends:%a %H:%M}",
        source=COMMON_PRACTICE,
    )
    parts = Assumption(
        key="keeping.parts_c",
        text="Fillings go into the tiers at, and coats on at",
        value=f"{cold:.0f} C and {kitchen.room:.0f} C",
        source=COMMON_PRACTICE,
    )
    jams = [one.name for one in components.values() if one.kind == "jam" and commission.formula(one.key) is not None]
    boiled = tuple(
        Assumption(
            key=f"keeping.boiled.{name}",
            text=f"{name} is boiled down to a dry matter of",
            value=f"{JAM_SOLIDS:.0%}",
            source=Source(basis=Basis.PUBLISHED, text="21 CFR 150.160: soluble solids of a finished jam"),
        )
        for name in jams
    )
    return plan, (*assumed, baked, parts, *boiled)


def _stays(
    commission: Commission, kitchen: Kitchen, fridge_c: float | None
) -> tuple[tuple[Stay, ...], tuple[Assumption, ...]]:
    venue, travel = commission.venue, commission.travel
    arrives = commission.handover_at - timedelta(minutes=SET_UP_MIN)
    if venue.access is not None:
        opens = commission.handover_at.replace(hour=venue.access.opens.hour, minute=venue.access.opens.minute)
        if arrives < opens < commission.handover_at:
            arrives = opens
    leaves = arrives - timedelta(minutes=max(travel.minutes, 1.0) + LOADING_MIN)
    together = (leaves - timedelta(days=1)).replace(hour=14, minute=0, second=0, microsecond=0)
    cold = together + timedelta(hours=PUT_TOGETHER_H)
    humidity = USUAL_HUMIDITY if venue.humidity is None else venue.humidity.high
    last = _last_slice(commission)
    stays = (
        Stay(
            place=Place.BENCH, name="put together", begins=together, ends=cold, air_c=kitchen.room,
            altitude_m=kitchen.altitude,
        ),
        Stay(
            place=Place.STORE if fridge_c is None else Place.FRIDGE,
            name="cool store" if fridge_c is None else "fridge",
            begins=cold, ends=leaves, air_c=kitchen.room if fridge_c is None else fridge_c,
            humidity=0.5 if fridge_c is None else 0.8, altitude_m=kitchen.altitude,
        ),
        Stay(
            place=Place.VAN, name="road", begins=leaves, ends=arrives,
            air_c=24.0 if travel.cabin is None else travel.cabin.high, altitude_m=venue.altitude,
        ),
        Stay(
            place=Place.OUTDOORS if venue.outdoors else Place.VENUE, name="venue", begins=arrives, ends=last,
            air_c=venue.temperature.high, humidity=humidity, light=venue.sun.value, altitude_m=venue.altitude,
        ),
    )  # fmt: skip
    assumed = [
        Assumption(
            key="keeping.set_up", text="Set-up before the handover, loading before the way",
            value=f"{SET_UP_MIN:.0f} min, {LOADING_MIN:.0f} min", source=COMMON_PRACTICE,
        )
    ]  # fmt: skip
    if venue.humidity is None:
        assumed.append(
            Assumption(
                key="keeping.humidity",
                text="Humidity at the venue",
                value=f"{USUAL_HUMIDITY:.0%}",
                source=COMMON_PRACTICE,
            )
        )
    if travel.cabin is None:
        assumed.append(
            Assumption(key="keeping.cabin", text="Cabin on the way", value="24 C", source=COMMON_PRACTICE),
        )
    return stays, tuple(assumed)


def _is_sugar(group: FlowerGroup) -> bool:
    return group.state is FlowerState.SUGAR_MADE


def _made(
    tiers: tuple[TierToKeep, ...],
    components: dict[str, Component],
    kitchen: Kitchen,
    fridge_c: float | None,
    freezer_c: float | None,
    together: datetime,
) -> tuple[Stay, ...]:
    """Return where the layers are before they are put together: on the rack until all have cooled, then wrapped."""
    # The same question as the room asks itself, and so answered once.
    times = [
        layer_times(
            tier, components, room_c=kitchen.room, fridge_c=fridge_c, freezer_c=freezer_c, altitude_m=kitchen.altitude
        )
        for tier in tiers
    ]
    hours = max((one.to_fill_h or LONGEST_ON_RACK_H for one in times if one is not None), default=LONGEST_ON_RACK_H)
    out = together - timedelta(hours=BAKED_BEFORE_H)
    wrapped = out + timedelta(minutes=15 * ceil(4.0 * hours))
    return (
        Stay(
            place=Place.RACK, name="rack", begins=out, ends=wrapped, air_c=kitchen.room, altitude_m=kitchen.altitude,
        ),
        Stay(
            place=Place.STORE if fridge_c is None else Place.FRIDGE,
            name="wrapped" if fridge_c is None else "wrapped, fridge",
            begins=wrapped, ends=together, air_c=kitchen.room if fridge_c is None else fridge_c,
            humidity=0.5 if fridge_c is None else 0.8, cover="wrap", altitude_m=kitchen.altitude,
        ),
    )  # fmt: skip


def _last_slice(commission: Commission) -> datetime:
    cutting = commission.cutting_at
    clock = commission.day.last_slice
    if clock is None:
        return cutting + timedelta(hours=AFTER_CUTTING_H)
    last = cutting.replace(hour=clock.hour, minute=clock.minute, second=0)
    return last if last > cutting else last + timedelta(days=1)


def _tier(
    commission: Commission,
    formulas: Formulas,
    tier: Tier | KitchenCake,
    coated: CoatedTier,
    components: dict[str, Component],
    losses: Mapping[str, Estimate],
    treated: Mapping[str, bool],
    measured: Measured,
    *,
    top: bool,
) -> TierToKeep:
    shown = tier if isinstance(tier, Tier) else None
    dummy = shown is not None and shown.kind is TierKind.DUMMY
    flavour = commission.cake.flavours[max(tier.flavour, 0)]

    def component(part: Part, formula: str) -> str:
        key = formula or BOUGHT_FONDANT
        if key not in components:
            components[key] = _component(
                commission, formulas, flavour, coated, part, key, losses, treated.get(key, True), measured
            )
        return key

    layers: list[Layer] = []
    for band in coated.bands:
        thick = band.top_mm - band.bottom_mm
        match band.material:
            case Part.BOARD.value:
                continue
            case Part.FOAM.value:
                key = FOAM_KEY
            case _:
                key = component(Part(band.material), band.formula)
        if layers and layers[-1].component == key and band.material != Part.SPONGE.value:
            layers[-1] = replace(layers[-1], thickness_mm=layers[-1].thickness_mm + thick)
        elif thick >= 0.1:
            layers.append(Layer(component=key, thickness_mm=thick))
    coats = [part for part in coated.parts if part.part in (Part.CRUMB_COAT, Part.COAT, Part.ROLLED, Part.MARZIPAN)]
    side_mm = (coated.finished_outline.width_mm - tier.outline.width_mm) / 2.0
    chief = max(coats, key=lambda part: part.thickness_mm.value, default=None)
    area = coated.finished_outline.area_mm2
    return TierToKeep(
        number=0 if shown is None else shown.number,
        name="" if shown is None else shown.name,
        outline=tier.outline,
        layers=tuple(layers),
        coat="" if chief is None or side_mm <= 0.1 else component(chief.part, chief.formula),
        coat_mm=max(side_mm, 0.0) if chief is not None else 0.0,
        open_top=1.0 if top else max(0.05, min(1.0, coated.top_mm2 / area)),
        on_tier=shown is not None and shown.number > 1,
        load_g=0.0 if dummy else coated.mass_g.value * max(tier.layers - 1, 0) / max(tier.layers, 1),
        is_dummy=dummy,
        is_kept=shown is not None and shown.keepsake,
    )


def _component(
    commission: Commission,
    formulas: Formulas,
    flavour: Flavour,
    coated: CoatedTier,
    part: Part,
    key: str,
    losses: Mapping[str, Estimate],
    treated: bool,
    measured: Measured,
) -> Component:
    sheet = commission.formula(key)
    composition, name, keys = _made_of(formulas, sheet, key)
    if part is Part.SPONGE:
        composition = _soaked(baked(composition, losses.get(key, BAKE_LOSS).value), formulas, flavour, coated, key)
        what = "sponge"
    else:
        what = _kind_of(commission, key)
        if sheet is not None and sheet.kind is FormulaKind.JAM:
            composition = boiled_down(composition, JAM_SOLIDS)
    pieces = [one for one in coated.parts if one.formula in (key, "") and one.part is part]
    grams, volume = sum(one.on_cake_g.value for one in pieces), sum(one.volume_ml.value for one in pieces)
    fallback = 0.5 if what == "sponge" else kind(what).density_g_per_ml.value
    aw, ph = measured.get(key, (None, None))
    return Component(
        key=key,
        name=name,
        kind=what,
        composition=_with_sugars(composition),
        density_g_per_ml=grams / volume if volume > 0 else fallback,
        measured_aw=aw,
        measured_ph=ph,
        contains_egg=any(Allergen.EGG in ingredient(one).contains for one in keys),
        egg_is_treated=treated,
        fat="none" if what == "sponge" else kind(what).fat,
    )


def _kind_of(commission: Commission, key: str) -> str:
    for flavour in commission.cake.flavours:
        for part in ("filling", "coat", "rolled", "soak"):
            if getattr(flavour, part) is not None:
                spread = spread_of(commission, flavour, part)
                if spread is not None and spread.formula == key:
                    return component_kind(spread.kind).kind
    return "marzipan" if "marzipan" in key else "rolled_fondant"


def _made_of(formulas: Formulas, sheet: FormulaSheet | None, key: str) -> tuple[Composition, str, tuple[str, ...]]:
    """Return what a formula or bought ingredient is made of, its name, and the ingredients in it."""
    if sheet is None:
        found = (
            ingredient(key)
            if find(key.replace("_", " ")).ingredient is None
            else find(key.replace("_", " ")).ingredient
        )
        assert found is not None
        return found.composition, found.name_us, (found.key,)
    work = formulas.of(key)
    if work.composition is None:
        raise MissingData(f"the composition of {sheet.name}", "its water activity and its temperature line")
    return work.composition, sheet.name, tuple(line.ingredient for line in work.formula.parts)


def baked(composition: Composition, loss: float) -> Composition:
    """
    Return the composition of crumb from that of its batter.

    Parameters
    ----------
    composition
        Of 100 g of batter.
    loss
        Share of the batter's mass that left as steam. [-]

    Returns
    -------
    composition
        Of 100 g of crumb; only water left, and a twentieth of the water always stays. [g/100 g]
    """
    steam = min(100.0 * loss, 0.95 * composition.water_g)
    dry = replace(composition, water_g=composition.water_g - steam)
    return blend([(_scaled(dry, 100.0 / (100.0 - steam)), 1.0)])


def boiled_down(composition: Composition, solids: float) -> Composition:
    """
    Return the composition of a mix boiled until its dry matter is this share of it; unchanged if it is drier already.

    Parameters
    ----------
    composition
        Of 100 g as weighed out.
    solids
        Share of dry matter at the end. [-]
    """
    dry = composition.total_g - composition.water_g - composition.alcohol_g
    water = dry * (1.0 - solids) / solids
    if composition.water_g <= water:
        return composition
    left = replace(composition, water_g=water, alcohol_g=0.0)
    return _scaled(left, 100.0 / (dry + water))


def _scaled(composition: Composition, factor: float) -> Composition:
    values = {
        name: None if (value := getattr(composition, name)) is None else value * factor
        for name in composition.__dataclass_fields__
    }
    return Composition(**values)  # type: ignore[arg-type]


def _soaked(
    composition: Composition, formulas: Formulas, flavour: Flavour, coated: CoatedTier, sponge: str
) -> Composition:
    soak = sum(one.on_cake_g.value for one in coated.parts if one.part is Part.SOAK)
    crumb = sum(one.on_cake_g.value for one in coated.parts if one.part is Part.SPONGE and one.formula == sponge)
    if soak <= 0 or crumb <= 0 or flavour.soak is None:
        return composition
    work = next((one for one in formulas.works if one.formula.text.key == flavour.soak), None)
    if work is None or work.composition is None:
        return composition
    return blend([(composition, crumb), (work.composition, soak)])


def _with_sugars(composition: Composition) -> Composition:
    """Return the composition with a sum of sugars; where it is not known, only what is known counts, which is safe."""
    if composition.sugars_g is not None:
        return composition
    names = ("sucrose_g", "glucose_g", "fructose_g", "lactose_g", "maltose_g")
    return replace(composition, sugars_g=sum(getattr(composition, name) or 0.0 for name in names))


def _treated(commission: Commission, formulas: Formulas, sugar: tuple[SugarWork, ...]) -> dict[str, bool]:
    """Say for every formula whether the egg in it may be relied on as heated."""
    plans = {work.formula: work for work in sugar}
    found: dict[str, bool] = {}
    for sheet in commission.formulas:
        work = formulas.of(sheet.key)
        eggs = [line.ingredient for line in work.formula.parts if Allergen.EGG in ingredient(line.ingredient).contains]
        raw = [key for key in eggs if key not in ALREADY_TREATED]
        meringue = plans[sheet.key].meringue if sheet.key in plans else None
        heated = meringue is not None and meringue.verdict in (HeatVerdict.PASTEURISED, HeatVerdict.IF_MEASURED)
        found[sheet.key] = not raw or sheet.kind.is_batter or sheet.kind in COOKED or heated
    return found


@lru_cache(maxsize=256)
def _kept(plan: KeepingPlan) -> Keeping:
    """Keep a cake; another version of a commission that keeps alike is not computed again."""
    return keep(plan)


def _refused(error: TierwrightError) -> Question:
    return Question(
        key="keeping.unknown",
        severity=Severity.STOP,
        sheet="keeping",
        text="How is this cake kept? Its temperature line cannot be computed.",
        reason=str(error),
        change="fill in what is missing, and keep everything chilled until then",
    )
