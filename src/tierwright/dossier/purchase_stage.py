"""From weighed formulas and coated tiers to what has to be bought."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal
from math import ceil
from typing import Final

from tierwright.brief import Commission, Kitchen
from tierwright.brief.money import Label
from tierwright.coating import Coating
from tierwright.errors import UnknownName
from tierwright.finish import Ware
from tierwright.formula import Formulas
from tierwright.larder import Allergen, Ingredient, board, find, ingredient, support
from tierwright.purchase import (
    AllergenStatus,
    Book,
    Item,
    Lot,
    Offer,
    Policy,
    PurchasePlan,
    Shop,
    Unit,
    Use,
    buying_rule,
    plan_purchase,
    splits,
)
from tierwright.sizing import Sizing
from tierwright.units import English
from tierwright.words import FormulaKind

ANY_SHOP: Final = "any"
DAYS_BEFORE: Final = {"batter": 2, "filling": 2, "coat": 1}
"""Days before the handover on which things are made where no plan says better. [days] Common practice."""
FILLINGS: Final = frozenset(
    {
        FormulaKind.CURD,
        FormulaKind.JAM,
        FormulaKind.SYRUP,
    }
)
BOX_STEP_MM: Final = 50.0
BOX_MARGIN_MM: Final = 20.0
"""A box is this much wider than its board and comes in steps of this. [mm] Common practice."""
FREE: Final = frozenset({"water"})
"""What comes from the tap."""


def avoided(commission: Commission) -> tuple[Allergen, ...]:
    """Return the allergens that the commission has to be kept clear of, as far as their names are known."""
    names = {one.allergen.strip().casefold().replace("_", " ").removesuffix("s") for one in commission.allergies}
    return tuple(allergen for allergen in Allergen if allergen.value.removesuffix("s") in names)


def uses_of(
    commission: Commission,
    kitchen: Kitchen,
    formulas: Formulas,
    coating: Coating,
    sizing: Sizing,
    supports: Mapping[str, int] | None = None,
    wares: Sequence[Ware] = (),
) -> tuple[tuple[Item, ...], tuple[Use, ...]]:
    """
    List what one commission uses.

    Parameters
    ----------
    commission, kitchen, formulas, coating, sizing
        The stages so far.
    supports
        Pieces of each support by key, where supports have been planned.
    wares
        What the finish buys by the piece.

    Returns
    -------
    items, uses
        Every ingredient, board, support and box, with its amount and the day on which it is used.
    """
    english = kitchen.units.english
    avoid = avoided(commission)
    amounts: dict[tuple[str, int], float] = defaultdict(float)
    for work in formulas.works:
        if work.batch is None:
            continue
        kind = work.formula.text.kind
        before = DAYS_BEFORE["batter" if kind.is_batter else "filling" if kind in FILLINGS else "coat"]
        for mix in work.batch.mixes:
            for part in mix.parts:
                amounts[(part.ingredient, before)] += part.grams
    own = {work.formula.text.key for work in formulas.works}
    for need in coating.needs:
        if need.formula not in own and _ingredient(need.formula) is not None:
            amounts[(need.formula.replace("-", "_"), DAYS_BEFORE["coat"])] += need.grams.value
    title, handover = commission.title, commission.day.day
    items: dict[str, Item] = {}
    uses: list[Use] = []
    for (key, before), grams in amounts.items():
        known = _ingredient(key)
        if known is None or key in FREE or grams <= 0:
            continue
        items[key] = item_of(known, english)
        waste = buying_rule(known.group.value).waste
        day = handover - timedelta(days=before)
        uses.append(Use(item=key, commission=title, amount=grams, day=day, waste=waste, avoid=avoid))
    for split in splits():
        if any(part in items for part, _ in split.parts) or split.whole in items:
            for key in (split.whole, *(part for part, _ in split.parts)):
                items.setdefault(key, item_of(ingredient(key), english))
    for key, (item, count) in _wares(coating, sizing, supports or {}, english).items():
        items[key] = item
        uses.append(Use(item=key, commission=title, amount=float(count), day=handover - timedelta(days=1)))
    for ware in wares:
        items[ware.key] = _piece(ware.key, ware.name, "finish")
        day = handover - timedelta(days=ware.days_before)
        uses.append(Use(item=ware.key, commission=title, amount=float(ware.count), day=day))
    return tuple(items.values()), tuple(uses)


def item_of(known: Ingredient, english: English) -> Item:
    """Describe an ingredient of the larder as a thing to buy; what only its label settles is asked about."""
    rule = buying_rule(known.group.value)
    ask = tuple(a for a in Allergen if a not in known.contains) if known.ask_supplier else known.ask_about
    return Item(
        key=known.key,
        name=known.name_uk if english is English.UK else known.name_us,
        aisle=known.group.value,
        contains=known.contains,
        ask_about=ask,
        keeps_days=max(int(known.keeping.unopened_days.low), rule.buy_before_days),
        buy_before_days=rule.buy_before_days,
    )


def _wares(
    coating: Coating, sizing: Sizing, supports: Mapping[str, int], english: English
) -> dict[str, tuple[Item, int]]:
    wares: dict[str, tuple[Item, int]] = {}
    coated = [(tier, 1) for tier in coating.tiers]
    coated += [(k, s.count) for k, s in zip(coating.kitchen_cakes, sizing.stack.kitchen_cakes, strict=True)]
    counted: Counter[str] = Counter()
    for tier, times in coated:
        if tier.board:
            counted[tier.board] += times
    counted.update([coating.base_board] if coating.base_board else [])
    for key, count in sorted(counted.items()):
        try:
            known = board(key)
        except UnknownName:
            continue
        wares[key] = (
            _piece(key, f"{known.kind.replace('_', ' ')}, {_size(known.outline.width_mm, english)}", "board"),
            count,
        )
    for key, count in sorted(supports.items()):
        wares[key] = (_piece(key, f"{support(key).kind}, {support(key).outer_mm:.0f} mm", "support"), count)
    boxes: Counter[int] = Counter()
    for tier, times in coated:
        width = max(tier.finished_outline.width_mm, tier.finished_outline.length_mm)
        boxes[ceil((width + BOX_MARGIN_MM) / BOX_STEP_MM) * int(BOX_STEP_MM / 10)] += times
    for width_cm, count in sorted(boxes.items()):
        key = f"box_{width_cm}_cm"
        wares[key] = (_piece(key, f"cake box, {_size(width_cm * 10.0, english)} inside", "packing"), count)
    return wares


def _size(width_mm: float, english: English) -> str:
    return f"{width_mm / 25.4:.0f} in" if english is English.US else f"{width_mm / 10:.0f} cm"


def _piece(key: str, name: str, group: str) -> Item:
    return Item(
        key=key, name=name, aisle=group, unit=Unit.PIECE, keeps_days=3650,
        buy_before_days=buying_rule(group).buy_before_days,
    )  # fmt: skip


def book_of(kitchen: Kitchen) -> Book:
    """Return the kitchen's price book and pantry; boards and supports that are owned stand in the pantry."""
    accounts = kitchen.accounts
    shops = [
        Shop(
            key=shop.key,
            name=shop.name,
            lead_days=shop.lead_days,
            minimum=shop.minimum or Decimal(0),
            fee=shop.fee or Decimal(0),
            aisles=shop.aisles,
        )
        for shop in accounts.shops
    ]
    shops.append(Shop(key=ANY_SHOP, name="any shop"))
    offers: list[Offer] = []
    for number, price in enumerate(kitchen.prices, start=1):
        known = find(price.ingredient).ingredient
        if known is None:
            continue
        status, contains, may_contain = _label(price)
        offers.append(
            Offer(
                key=f"{number:03}.{known.key}",
                item=known.key,
                shop=price.shop or ANY_SHOP,
                name=f"{price.ingredient}, {price.brand}" if price.brand else price.ingredient,
                content=price.pack,
                price=price.price,
                packs=price.packs,
                most=price.most,
                status=status,
                contains=contains,
                may_contain=may_contain,
            )
        )
    for number, ware in enumerate(accounts.wares, start=1):
        offers.append(
            Offer(
                key=f"ware.{number:03}.{ware.ware}",
                item=ware.ware,
                shop=ware.shop or ANY_SHOP,
                name=ware.ware.replace("_", " "),
                content=float(ware.pieces),
                price=ware.price,
            )
        )
    return Book(shops=tuple(shops), offers=tuple(offers), stock=_stock(kitchen), splits=splits())


def _stock(kitchen: Kitchen) -> tuple[Lot, ...]:
    lots: list[Lot] = []
    for entry in kitchen.accounts.pantry:
        known = find(entry.ingredient).ingredient
        if known is not None:
            status, contains, may_contain = _label(entry)
            lots.append(
                Lot(
                    key=entry.lot,
                    item=known.key,
                    amount=entry.amount,
                    best_before=entry.best_before,
                    status=status,
                    contains=contains,
                    may_contain=may_contain,
                    by_product=entry.left_by_a_job,
                )
            )
    owned: Counter[str] = Counter()
    for one in kitchen.boards:
        owned[one.board] += one.count
    for rod in kitchen.supports:
        owned[rod.support] += rod.count
    lots += [
        Lot(key=f"owned {key.replace('_', ' ')}", item=key, amount=float(count))
        for key, count in sorted(owned.items())
        if count
    ]
    return tuple(lots)


def _label(entry: Label) -> tuple[AllergenStatus, tuple[Allergen, ...], tuple[Allergen, ...]]:
    status = AllergenStatus.READ if entry.label_read else AllergenStatus.UNREAD
    return status, entry.contains, entry.may_contain


def _ingredient(key: str) -> Ingredient | None:
    try:
        return ingredient(key.replace("-", "_"))
    except UnknownName:
        return None


def purchase_stage(
    commission: Commission,
    kitchen: Kitchen,
    formulas: Formulas,
    coating: Coating,
    sizing: Sizing,
    *,
    supports: Mapping[str, int] | None = None,
    wares: Sequence[Ware] = (),
    today: date | None = None,
) -> PurchasePlan:
    """Work out the shopping list of one commission; see ``shopping_list`` for several."""
    asked = uses_of(commission, kitchen, formulas, coating, sizing, supports, wares)
    return shopping_list([asked], kitchen, today=today)


def shopping_list(
    commissions: Sequence[tuple[tuple[Item, ...], tuple[Use, ...]]], kitchen: Kitchen, *, today: date | None = None
) -> PurchasePlan:
    """
    Work out one shopping list for any set of commissions.

    Parameters
    ----------
    commissions
        Items and uses of each, from ``uses_of``.
    kitchen
        Its price book and pantry.
    today
        First day on which anything can be bought; None for no limit.
    """
    items = {item.key: item for listed, _ in commissions for item in listed}
    uses = [use for _, listed in commissions for use in listed]
    return plan_purchase(
        items.values(),
        uses,
        book_of(kitchen),
        Policy(near_equal=kitchen.accounts.near_equal),
        today=today,
    )
