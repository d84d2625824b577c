"""From the stages so far to what a commission costs, what is asked for it, and the offer to the client."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Final

from tierwright.brief import Commission, Kitchen
from tierwright.coating import CoatedTier, Coating
from tierwright.dossier.finish_stage import FinishWork, decor_words
from tierwright.dossier.purchase_stage import (
    FREE,
    avoided,
    book_of,
    purchase_stage,
    shopping_list,
    uses_of,
)
from tierwright.formula import Formulas
from tierwright.larder import FINISH_FACTORS, OwnTimes, ingredient, norm, norms
from tierwright.price import (
    ALL,
    CostGroup,
    CostInputs,
    Energy,
    Failure,
    Material,
    PaperLine,
    PolicyKind,
    Priced,
    PricePolicy,
    Quotation,
    TaxRate,
    Terms,
    Work,
    as_decimal,
    by_use,
    price_commission,
    quote,
    stage_days,
)
from tierwright.purchase import Offer, PurchasePlan, splits
from tierwright.sizing import Sizing, TierKind
from tierwright.units import show_plain
from tierwright.working import Assumption, Basis, Estimate, Notes, Question, Severity, Source

__all__ = [
    "avoided",
    "book_of",
    "cost_inputs",
    "price_stage",
    "purchase_stage",
    "quotation_stage",
    "shopping_list",
    "times_of",
    "uses_of",
]

Shares = dict[str, dict[str, float]]
"""For each formula, what share of it each line of the brief asks for. [-], summing to 1"""

DUTY: Final = Estimate(value=0.45, low=0.3, high=0.6)
"""Share of its rated power that an oven draws on average while it bakes. [-] From memory."""
BAKE_H: Final = 0.75
"""Hours of one load with its share of heating up, where the loads have not been planned. [h] Common practice."""
MIXING_H: Final = 0.25
REDO_H: Final = 0.5
"""Hours of hands to make one layer again. [h] Common practice."""
PRICE_SPREAD: Final = 0.08
"""Half-range of a grocery price till the day it is bought. [-] From memory."""
BOUGHT_DAYS: Final = 3
EARLY_WORK: Final = frozenset({"weigh", "mix", "line", "mind_oven", "turn_out", "trim", "curd", "jam", "syrup"})
EARLY_DAYS: Final = 2
"""Work that is done a day before the rest of the kitchen's. [days] Common practice."""
LETTERS: Final = 3
"""Rounds of letters and calls: the enquiry, the quotation, the last details. [-] Common practice."""
SUGAR_FLOWERS: Final = re.compile(
    r"\b(sugar|gum.?paste|petal.?paste|wafer)\b.*\b(flower|rose|peon|bloom|petal)", re.IGNORECASE
)
PROPER: Final = ("Swiss", "Italian", "French", "German")
CENTS: Final = Decimal("0.0001")


def price_stage(
    commission: Commission,
    kitchen: Kitchen,
    sizing: Sizing,
    formulas: Formulas,
    coating: Coating,
    plan: PurchasePlan,
    *,
    oven_kwh: float | None = None,
    bakes: int | None = None,
    finish: FinishWork | None = None,
    own_times: Mapping[str, OwnTimes] | None = None,
) -> Priced:
    """
    Work out what a commission costs and what the maker's policy asks.

    Parameters
    ----------
    commission, kitchen, sizing, formulas, coating
        The stages so far.
    plan
        The shopping list: what packs really cost.
    oven_kwh, bakes
        Energy and number of the oven loads, where they have been planned. [kWh], [-]
    finish
        What the finished cake wears, for the hands' time.
    own_times
        What the maker has timed, by task; None takes the kitchen's own book.
    """
    book = own_times if own_times is not None else times_of(kitchen)
    inputs, notes = cost_inputs(
        commission,
        kitchen,
        sizing,
        formulas,
        coating,
        plan,
        oven_kwh=oven_kwh,
        bakes=bakes,
        finish=finish,
        own_times=book,
    )
    words = {f"tier.{tier.number}": f"the {tier.name} tier" for tier in sizing.stack.tiers}
    words |= {f"kitchen.{n}": f"kitchen cake {n}" for n, _ in enumerate(sizing.stack.kitchen_cakes, start=1)}
    words |= {"decoration": "the decoration", "distance": "the way, loading and the set-up"}
    priced = price_commission(inputs, _policy(kitchen), max(1, sizing.stack.portions), words)
    if commission.budget is not None and commission.budget < priced.asked:
        over = Question(
            key="price.budget",
            severity=Severity.ASK,
            sheet="price",
            text="What may be left out to meet the budget?",
            reason="What is asked is more than the client has named.",
            figure=f"{priced.asked} {inputs.currency} asked, {commission.budget} {inputs.currency} named",
            change=_cheapest_way(priced),
        )
        notes += Notes(questions=(over,))
    return replace(priced, notes=priced.notes + notes)


def cost_inputs(
    commission: Commission,
    kitchen: Kitchen,
    sizing: Sizing,
    formulas: Formulas,
    coating: Coating,
    plan: PurchasePlan,
    *,
    oven_kwh: float | None = None,
    bakes: int | None = None,
    finish: FinishWork | None = None,
    own_times: Mapping[str, OwnTimes] | None = None,
) -> tuple[CostInputs, Notes]:
    """Translate a commission into what it costs, each part under the line of the brief that asks for it."""
    accounts, rates = kitchen.accounts, kitchen.rates
    shares = _shares(formulas, coating)
    layers = _layers(sizing)
    loads = bakes if bakes is not None else sizing.stack.oven_loads
    materials = _materials(kitchen, formulas, coating, plan, shares, finish)
    rate = next((hand.rate for hand in kitchen.hands if hand.rate is not None), Decimal(0))
    by_tier: dict[str, Decimal] = defaultdict(Decimal)
    for one in materials:
        by_tier[one.of] += one.used
    travel, collected = commission.travel, commission.travel.collected_by_client
    away = None if collected or travel.distance is None else Estimate.exact(2 * travel.distance)
    energies, assumed = _energies(kitchen, layers, loads, oven_kwh, formulas)
    inputs = CostInputs(
        currency=kitchen.currency,
        materials=materials,
        works=_works(commission, sizing, formulas, coating, plan, shares, layers, loads, rate, own_times or {}, finish),
        energies=energies,
        failures=tuple(
            Failure(
                label=f"a layer of the {_tier_name(of, sizing)}",
                count=count,
                chance=accounts.layer_failure,
                cost=(by_tier[of] / count if count else Decimal(0)) + rate * as_decimal(REDO_H),
                of=of,
            )
            for of, count in layers.items()
        ),
        overhead_per_hour=rates.overhead_per_hour or Decimal(0),
        overhead_per_month=accounts.overhead_per_month or Decimal(0),
        commissions_per_month=accounts.commissions_per_month,
        travel_km=away,
        travel_per_km=rates.travel_per_km or Decimal(0),
        wear=tuple(
            (one.name, by_use(one.price, one.residual or Decimal(0), one.commissions)) for one in accounts.equipment
        ),
        cleaning_share=accounts.cleaning,
        cleaning_rate=rate,
    )
    unpriced = sorted({one.name for one in plan.unmet})
    questions = (
        (
            Question(
                key="price.unpriced",
                severity=Severity.ASK,
                sheet="price",
                text="Is the floor to stand without what has no price?",
                reason="It is too low by whatever these cost.",
                figure=f"{len(unpriced)} items of the shopping list have no price",
                change="enter their prices in the kitchen",
            ),
        )
        if unpriced
        else ()
    )
    priced_keys = {offer.item for offer in book_of(kitchen).offers}
    free = sorted({one.name for one in plan.from_stock if one.item not in priced_keys})
    if free:
        assumed += (
            Assumption(
                key="price.owned",
                text="What is owned and has no price in the book costs nothing",
                value=", ".join(free),
                source=Source(basis=Basis.MAKER_RECORD, text="the kitchen's own shelf"),
            ),
        )
    return inputs, Notes(questions=questions, assumptions=assumed)


def quotation_stage(
    commission: Commission,
    kitchen: Kitchen,
    sizing: Sizing,
    formulas: Formulas,
    priced: Priced,
    *,
    number: str,
    quoted: date,
) -> Quotation:
    """
    Write the offer to the client.

    Parameters
    ----------
    commission, kitchen, sizing, formulas
        The stages so far.
    priced
        What is asked.
    number
        Running number of the quotation.
    quoted
        Day on which it is written.

    Notes
    -----
    Its lines add up to the asked price: the decoration and the way are asked at what they add to the price, the cake
    at the rest.
    """
    accounts = kitchen.accounts
    tax = accounts.tax
    added = {one.of: max(Decimal(0), one.price) for one in priced.marginals}
    rest = priced.asked - added.get("decoration", Decimal(0)) - added.get("distance", Decimal(0))
    lines = [PaperLine(text=_cake_words(sizing), net=rest, tax=tax.cake or "")]
    if added.get("decoration"):
        worn = decor_words(commission.decor)
        text = f"Decoration: {'; '.join((*commission.cake.decoration, *worn))}"
        lines.append(PaperLine(text=text, net=added["decoration"], tax=tax.cake or ""))
    if added.get("distance"):
        km = commission.travel.distance
        way = f", {show_plain(round(km))} km away" if km is not None else ""
        lines.append(
            PaperLine(
                text=f"Delivery to {commission.venue.name}{way}, and set-up",
                net=added["distance"],
                tax=tax.delivery or tax.cake or "",
            )
        )
    return quote(
        number=number,
        title=commission.title,
        client=commission.client,
        maker=kitchen.name,
        quoted=quoted,
        handover=commission.day.day,
        cost=priced.cost,
        lines=lines,
        rates=[TaxRate(key=one.key, name=one.name, rate=as_decimal(one.rate).normalize()) for one in tax.rates],
        inclusive=tax.shown == "inclusive",
        included=_included(commission, kitchen, sizing),
        portion=_portion(commission, kitchen, sizing),
        allergens=allergen_statement(commission, formulas),
        terms=terms_of(kitchen),
    )


def terms_of(kitchen: Kitchen) -> Terms:
    """Return the maker's terms."""
    written = kitchen.accounts.terms
    return Terms(
        retainer=as_decimal(written.retainer),
        freeze_days=written.freeze_days,
        balance_days=written.balance_days,
        rungs=written.cancellation_days,
        lost_share=as_decimal(written.lost_share),
        lost_from_days=written.lost_from_days,
        step=written.round_to or Decimal(0),
        valid_days=written.valid_days,
        weather=written.weather,
        illness=written.illness,
        set_up=written.set_up,
        allergens=written.allergens,
    )


def allergen_statement(commission: Commission, formulas: Formulas) -> str:
    """Say what is in the cake and what only labels settle; never that anything is free from an allergen."""
    there: Counter[str] = Counter()
    ask: set[str] = set()
    for work in formulas.works:
        for part in work.formula.parts:
            known = ingredient(part.ingredient)
            there.update(allergen.value for allergen in known.contains)
            ask |= {allergen.value for allergen in known.ask_about}
    text = f"The cake holds {_listed(sorted(there))}. " if there else ""
    unknown = sorted(ask - set(there))
    if unknown:
        text += f"Traces of {_listed(unknown, 'or')} cannot be ruled out until every label has been read. "
    text += "It is made in one kitchen with one set of tools: no part of it is promised to be free from any allergen."
    for one in commission.allergies:
        text += f" The allergy to {one.allergen} ({one.count} guest{'s' if one.count > 1 else ''}) has been noted; "
        text += "please speak with us before that guest eats of this cake."
    return text


def times_of(kitchen: Kitchen) -> dict[str, OwnTimes]:
    """Return the kitchen's own book of norms."""
    return {one.task: OwnTimes(task=one.task, paces=one.paces) for one in kitchen.accounts.times}


def _policy(kitchen: Kitchen) -> PricePolicy:
    pricing = kitchen.accounts.pricing
    kinds = {
        "portion": PolicyKind.PER_PORTION,
        "markup": PolicyKind.COST_PLUS,
        "margin": PolicyKind.MARGIN,
        "hour": PolicyKind.HOURLY,
    }
    return PricePolicy(
        kind=kinds[pricing.by],
        per_portion=pricing.per_portion or Decimal(0),
        markup=as_decimal(pricing.markup or 0.0),
        margin=as_decimal(pricing.margin or 0.0),
        hourly=pricing.hourly or Decimal(0),
        minimum=pricing.minimum or Decimal(0),
        step=pricing.round_to or Decimal(0),
    )


def _shares(formulas: Formulas, coating: Coating) -> Shares:
    shares: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for work in formulas.works:
        if work.batch is not None:
            for fill in work.batch.fills:
                shares[work.formula.text.key][fill.job] += fill.batter_g.value
    batters = set(shares)
    tagged = [(f"tier.{tier.number}", tier) for tier in coating.tiers]
    tagged += [(f"kitchen.{n}", cake) for n, cake in enumerate(coating.kitchen_cakes, start=1)]
    for of, tier in tagged:
        for part in tier.parts:
            if part.formula and part.formula not in batters:
                shares[part.formula][of] += part.to_make_g.value
    return {
        key: {of: grams / sum(parts.values()) for of, grams in parts.items()}
        for key, parts in shares.items()
        if sum(parts.values()) > 0
    }


def _layers(sizing: Sizing) -> dict[str, int]:
    layers = {f"tier.{tier.number}": tier.layers for tier in sizing.stack.tiers if tier.kind is TierKind.CAKE}
    for number, cake in enumerate(sizing.stack.kitchen_cakes, start=1):
        layers[f"kitchen.{number}"] = cake.layers * cake.count
    return layers


def _materials(
    kitchen: Kitchen,
    formulas: Formulas,
    coating: Coating,
    plan: PurchasePlan,
    shares: Shares,
    finish: FinishWork | None,
) -> tuple[Material, ...]:
    """Price what is used at what its packs really cost, tier by tier."""
    each = _unit_prices(kitchen, plan)
    paid: dict[str, Decimal] = defaultdict(Decimal)
    for line in plan.lines:
        paid[line.item] += line.price
    used: dict[tuple[str, str], float] = defaultdict(float)
    for work in formulas.works:
        if work.batch is None:
            continue
        for of, share in shares.get(work.formula.text.key, {ALL: 1.0}).items():
            for mix in work.batch.mixes:
                for part in mix.parts:
                    if part.ingredient not in FREE:
                        used[(part.ingredient, of)] += part.grams * share
    own = {work.formula.text.key for work in formulas.works}
    for need in coating.needs:
        if need.formula not in own:
            for of, share in shares.get(need.formula, {ALL: 1.0}).items():
                used[(need.formula.replace("-", "_"), of)] += need.grams.value * share
    used = _whole_eggs(used, plan)
    totals: dict[str, float] = defaultdict(float)
    for (key, _), grams in used.items():
        totals[key] += grams
    materials = [
        Material(
            key=key,
            label=_name(key),
            used=(each[key] * as_decimal(grams)).quantize(CENTS),
            bought=(paid[key] * as_decimal(grams) / as_decimal(totals[key])).quantize(CENTS),
            spread=PRICE_SPREAD,
            of=of,
            days_before=BOUGHT_DAYS,
        )
        for (key, of), grams in sorted(used.items())
        if key in each and totals[key] > 0
    ]
    wares = {line.item for line in plan.lines if line.unit.value != "g"}
    wares |= {one.item for one in plan.from_stock if one.unit.value != "g"}
    for key in sorted(wares):
        count = sum(a.amount for line in plan.lines if line.item == key for a in line.for_whom)
        count += sum(a.amount for one in plan.from_stock if one.item == key for a in one.for_whom)
        if key in each:
            # What the cake wears is asked for by the decoration; boards, supports and boxes by the whole.
            worn = finish is not None and any(ware.key == key for ware in finish.wares)
            materials.append(
                Material(
                    key=key,
                    label=key.replace("_", " "),
                    group=CostGroup.WARES,
                    of="decoration" if worn else ALL,
                    used=(each[key] * as_decimal(count)).quantize(CENTS),
                    bought=paid[key],
                    spread=PRICE_SPREAD,
                    days_before=BOUGHT_DAYS,
                )
            )
    return tuple(materials)


def _unit_prices(kitchen: Kitchen, plan: PurchasePlan) -> dict[str, Decimal]:
    """Return what one unit of an item costs: what the list pays for it, else the book's cheapest. [money/g or piece]"""
    offers: dict[str, list[Offer]] = defaultdict(list)
    for offer in book_of(kitchen).offers:
        offers[offer.item].append(offer)
    each = {key: min(offer.price / as_decimal(offer.amount) for offer in listed) for key, listed in offers.items()}
    amounts: dict[str, Decimal] = defaultdict(Decimal)
    prices: dict[str, Decimal] = defaultdict(Decimal)
    for line in plan.lines:
        amounts[line.item] += as_decimal(line.content * line.packs)
        prices[line.item] += line.price
    return each | {key: prices[key] / amounts[key] for key in prices}


def _whole_eggs(used: Mapping[tuple[str, str], float], plan: PurchasePlan) -> dict[tuple[str, str], float]:
    """Charge eggs and lemons that are taken apart to whoever takes their parts, in the ratio of the grams."""
    result = dict(used)
    pieces: Counter[str] = Counter()
    for done in plan.splits:
        pieces[done.whole] += done.pieces
    for split in splits():
        if not pieces[split.whole]:
            continue
        parts = {part for part, _ in split.parts}
        # A part that is also bought as such stays priced as such.
        parts -= {line.item for line in plan.lines}
        takers = {key: grams for key, grams in result.items() if key[0] in parts}
        whole = sum(takers.values())
        for (part, of), grams in takers.items():
            del result[(part, of)]
            place = (split.whole, of)
            result[place] = result.get(place, 0.0) + pieces[split.whole] * split.piece * grams / whole
    return result


def _works(
    commission: Commission,
    sizing: Sizing,
    formulas: Formulas,
    coating: Coating,
    plan: PurchasePlan,
    shares: Shares,
    layers: Mapping[str, int],
    loads: int,
    rate: Decimal,
    own_times: Mapping[str, OwnTimes],
    finish: FinishWork | None,
) -> tuple[Work, ...]:
    works: list[Work] = []

    def do(task: str, count: float, of: str = ALL, *, jobs: float = 1.0, factor: float = 1.0) -> None:
        known = norm(task, own_times)
        if known.minutes(count, factor, jobs=jobs).value > 0:
            days = EARLY_DAYS if task in EARLY_WORK else stage_days(known.stage)
            works.append(Work(norm=known, count=count, rate=rate, of=of, days_before=days, jobs=jobs, factor=factor))

    do("letters", LETTERS)
    do("design", 0)
    do("shop", max(1, len({(line.shop, line.buy_on) for line in plan.lines})))
    for work in formulas.works:
        if work.batch is None:
            continue
        kind, mixes = work.formula.text.kind.value, work.batch.mixes
        for of, share in shares.get(work.formula.text.key, {ALL: 1.0}).items():
            if work.batch.fills:
                do("weigh", share * sum(len(mix.parts) for mix in mixes), of, jobs=share)
                do("mix", share * len(work.batch.fills), of, jobs=share * len(mixes))
            else:
                task = kind if kind in norms() else "other filling"
                do(task, share * work.batch.make_g / 1000.0, of, jobs=share)
    total = sum(layers.values())
    for of, count in layers.items():
        do("line", count, of)
        do("mind_oven", loads * count / total, of)
        do("turn_out", count, of, jobs=loads * count / total)
    tiers = sizing.stack.tiers
    for tier, coated in zip(tiers, coating.tiers, strict=True):
        of = f"tier.{tier.number}"
        if tier.kind is TierKind.CAKE:
            do("trim", layers[of], of)
            do("fill", layers[of], of)
        do("coat", _coat_dm2(coated), of, factor=FINISH_FACTORS[coated.style])
        do("box", 1, of)
        if len(tiers) > 1:
            do("supports", 1, of, jobs=1 / len(tiers))
        if tier.number > 1:
            do("stack", 1, of)
    wishes = len(commission.cake.decoration)
    if wishes:
        do("decorate", wishes, "decoration")
    if finish is not None:
        do("finish", finish.minutes.value, "decoration")
    sugar = sum(bool(SUGAR_FLOWERS.search(text)) for text in commission.cake.decoration)
    if sugar:
        do("flowers", sugar, "decoration")
    for number, (cake, coated) in enumerate(
        zip(sizing.stack.kitchen_cakes, coating.kitchen_cakes, strict=True), start=1
    ):
        of = f"kitchen.{number}"
        do("trim", layers[of], of)
        do("fill", layers[of], of)
        do("coat", _coat_dm2(coated) * cake.count, of, factor=FINISH_FACTORS[coated.style])
        do("box", cake.count, of)
    if commission.travel.collected_by_client:
        do("hand_over", 0)
    else:
        do("load", len(tiers), "distance")
        do("drive", 2 * commission.travel.minutes, "distance")
        do("set_up", len(tiers), "distance")
    do("books", 0)
    return tuple(works)


def _coat_dm2(tier: CoatedTier) -> float:
    return (tier.side_mm2 + tier.top_mm2) / 1e4


def _energies(
    kitchen: Kitchen, layers: Mapping[str, int], loads: int, oven_kwh: float | None, formulas: Formulas
) -> tuple[tuple[Energy, ...], tuple[Assumption, ...]]:
    price = kitchen.rates.electricity_per_kwh or Decimal(0)
    assumed: tuple[Assumption, ...] = ()
    if oven_kwh is not None:
        baking = Estimate.within(oven_kwh, 0.2)
    else:
        oven = max(kitchen.ovens, key=lambda one: one.width * one.depth * one.shelves)
        if oven.power is None:
            return (), ()
        baking = DUTY * (loads * BAKE_H * oven.power / 1000)
        assumed = (
            Assumption(
                key="price.oven_duty",
                text="Share of its power that the oven draws while it bakes",
                value=f"{DUTY.low:.0%} to {DUTY.high:.0%}, {BAKE_H:g} h a load",
                source=Source(basis=Basis.FROM_MEMORY),
            ),
        )
    total = sum(layers.values())
    energies = [
        Energy(label="baking", energy_kwh=baking * (count / total), price=price, of=of) for of, count in layers.items()
    ]
    mixer = next((one.power for one in kitchen.mixers if one.power is not None), None)
    mixes = sum(len(work.batch.mixes) for work in formulas.works if work.batch is not None)
    if mixer is not None and mixes:
        energies.append(
            Energy(label="mixing", energy_kwh=Estimate.within(mixes * MIXING_H * mixer / 1000, 0.4), price=price)
        )
    return tuple(energies), assumed


def _cheapest_way(priced: Priced) -> str:
    dearest = max(priced.marginals, key=lambda one: one.price, default=None)
    return f"{dearest.label} adds {dearest.price} {priced.cost.currency}" if dearest is not None else ""


def _tier_name(of: str, sizing: Sizing) -> str:
    kind, _, number = of.partition(".")
    if kind == "kitchen":
        return f"kitchen cake {number}"
    return f"{next(tier.name for tier in sizing.stack.tiers if str(tier.number) == number)} tier"


def _cake_words(sizing: Sizing) -> str:
    stack = sizing.stack
    extra = sum(cake.count for cake in stack.kitchen_cakes)
    text = f"A cake of {len(stack.tiers)} tier{'s' if len(stack.tiers) > 1 else ''}"
    if extra:
        text += f" and {extra} kitchen cake{'s' if extra > 1 else ''} cut out of sight"
    return f"{text}, {stack.portions} portions"


def _included(commission: Commission, kitchen: Kitchen, sizing: Sizing) -> list[str]:
    display = kitchen.units.display()
    flavours = commission.cake.flavours
    names = {formula.key: formula.name for formula in commission.formulas}
    said: list[str] = []
    for tier in reversed(sizing.stack.tiers):
        size = display.show_length(tier.outline.width_mm)
        if tier.kind is TierKind.DUMMY:
            said.append(f"{tier.name} tier, {tier.outline.shape.value} {size}: a dummy, for show")
            continue
        flavour = flavours[tier.flavour]
        inside = [_uncapped(names.get(key, key.replace("-", " "))) for key in (flavour.filling, flavour.coat) if key]
        kept = ", to be kept" if tier.keepsake else ""
        diet = f", made {flavour.diet}" if flavour.diet else ""
        said.append(
            f"{tier.name} tier, {tier.outline.shape.value} {size}: {flavour.name.lower()}"
            + (f" with {_listed(inside)}" if inside else "")
            + diet
            + kept
        )
    for cake in sizing.stack.kitchen_cakes:
        size = display.show_length(cake.outline.width_mm)
        shape, name = cake.outline.shape.value, flavours[cake.flavour].name.lower()
        said.append(f"{cake.count} × kitchen cake, {shape} {size}: {name}")
    if commission.cake.look:
        said.append(f"the look: {commission.cake.look.rstrip('.')}")
    said.append("boards, supports and boxes; a drawing of the cuts for whoever serves it")
    return said


def _portion(commission: Commission, kitchen: Kitchen, sizing: Sizing) -> str:
    display, portion = kitchen.units.display(), commission.portion
    size = " × ".join(display.show_length(side) for side in (portion.width, portion.depth, portion.height))
    guests = commission.guests
    coming = f"{guests.attending.low:.0f} to {guests.attending.high:.0f}" if guests.attending else f"{guests.invited}"
    return (
        f"a block of {size}, cut in {portion.pattern.value}; {sizing.stack.portions} of them for {coming} people, "
        "since not everybody eats cake"
    )


def _uncapped(name: str) -> str:
    """Return a name as it stands within a sentence; Swiss and Italian keep their capital."""
    return name if name.startswith(PROPER) else name[:1].lower() + name[1:]


def _name(key: str) -> str:
    return ingredient(key).name_us


def _listed(names: Sequence[str], last: str = "and") -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}"
