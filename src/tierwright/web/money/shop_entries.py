"""What a phone sends from the shop: ticks, and what was bought, which goes into the price book and the pantry."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any, Final

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from tierwright.brief import parse_kitchen
from tierwright.errors import BadInput, UnknownName
from tierwright.larder import Allergen, find, ingredient
from tierwright.purchase import PurchaseLine, PurchasePlan, Unit
from tierwright.web.access import Door
from tierwright.web.arriving import Fate, Outcome, Unreadable, fate_before, moment_of, order_of, read_all, text_of
from tierwright.web.models import Kitchen
from tierwright.web.money.amounts import read_amount
from tierwright.web.money.models import ShopEntry, ShoppingList
from tierwright.web.whole import whole

MOST_AT_ONCE: Final = 100
LONGEST: Final = 120


class Done(StrEnum):
    """What an entry says."""

    TICK = "tick"
    UNTICK = "untick"
    BOUGHT = "bought"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """One entry as a phone sends it."""

    key: uuid.UUID
    line: str
    what: Done
    value: dict[str, Any]
    device: str
    order: int
    done_at: datetime


def read(raw: Any, plan: PurchasePlan, currency: str, now: datetime) -> Sent:
    """
    Read one entry.

    Raises
    ------
    Unreadable
        Anything is missing, of the wrong kind or beyond what can be.
    """
    if not isinstance(raw, dict):
        raise Unreadable(_("An entry is a table of names and values."))
    try:
        key, what = uuid.UUID(text_of(raw, "key", 40)), Done(text_of(raw, "what", 10))
    except ValueError:
        raise Unreadable(_("The key or the kind of the entry is not known.")) from None
    line = text_of(raw, "line", 40)
    if line not in _keys(plan):
        raise Unreadable(_("The list has no such line."))
    order = order_of(raw)
    wrong = _("The phone's clock is wrong: set its date, then enter this again.")
    at = moment_of(text_of(raw, "done_at", 40), now, unread=wrong, wrong=wrong)
    value: dict[str, Any] = {}
    if what is Done.BOUGHT:
        if not line.startswith("line."):
            raise Unreadable(_("Only a line with a pack from the price book can be received."))
        value = _bought(raw.get("value"), currency)
    return Sent(key=key, line=line, what=what, value=value, device=text_of(raw, "device", 60), order=order, done_at=at)


def _keys(plan: PurchasePlan) -> set[str]:
    return {
        *(f"line.{n}" for n in range(len(plan.lines))),
        *(f"unmet.{n}" for n in range(len(plan.unmet))),
        *(f"stock.{n}" for n in range(len(plan.from_stock))),
    }


def _bought(raw: Any, currency: str) -> dict[str, Any]:
    if not isinstance(raw, dict):
        raise Unreadable(_("What was bought is a table of names and values."))
    packs = raw.get("packs")
    if not isinstance(packs, int) or isinstance(packs, bool) or not 1 <= packs <= 1000:
        raise Unreadable(_("How many packs: expected a whole number from 1 to 1,000."))
    paid, wrong = read_amount(str(raw.get("paid", "")), currency, least=Decimal(0))
    if paid is None:
        raise Unreadable(wrong)
    lot = str(raw.get("lot", "")).strip()[:LONGEST]
    text = str(raw.get("best_before", "")).strip()
    try:
        before = date.fromisoformat(text) if text else None
    except ValueError:
        raise Unreadable(_("Best before: expected a day such as 2027-06-12.")) from None
    known = {allergen.value for allergen in Allergen}
    said: dict[str, list[str]] = {}
    for name in ("contains", "may_contain"):
        listed = raw.get(name, [])
        if not isinstance(listed, list) or not {str(one) for one in listed} <= known:
            raise Unreadable(_("An allergen on the label is not known."))
        said[name] = sorted({str(one) for one in listed})
    return {
        "packs": packs,
        "paid": f"{paid:f}",
        "lot": lot,
        "best_before": before.isoformat() if before else "",
        "label_read": raw.get("label_read") is True,
        **said,
    }


def take(door: Door, shopping: ShoppingList, plan: PurchasePlan, raws: Sequence[Any]) -> list[Outcome]:
    """
    Keep what a phone sends: each entry once, the earliest first.

    What was bought goes into the price book and the pantry in the same stroke, or not at all.
    """
    now = timezone.now()
    currency = str(door.kitchen.data.get("currency", "USD"))
    good, outcomes = read_all(raws, lambda raw: read(raw, plan, currency, now))
    with transaction.atomic():
        kitchen = Kitchen.objects.select_for_update().get(pk=door.kitchen.pk)
        known = ShopEntry.objects.in_bulk([sent.key for _place, sent in good])
        taken = set(
            ShopEntry.objects.filter(shopping=shopping, device__in={sent.device for _p, sent in good}).values_list(
                "device", "order"
            )
        )
        received = set(
            ShopEntry.objects.filter(shopping=shopping, what=Done.BOUGHT.value).values_list("line", flat=True)
        )
        for place, sent in good:
            outcomes[place] = _one(door, kitchen, shopping, plan, sent, known, taken, received)
    return [outcomes[place] for place in sorted(outcomes)]


def _one(
    door: Door,
    kitchen: Kitchen,
    shopping: ShoppingList,
    plan: PurchasePlan,
    sent: Sent,
    known: dict[Any, ShopEntry],
    taken: set[tuple[str, int]],
    received: set[str],
) -> Outcome:
    key = str(sent.key)
    old = known.get(sent.key)
    mine = old is not None and old.shopping_id == shopping.pk
    stop = fate_before(sent, had=mine, elsewhere=old is not None, taken=(sent.device, sent.order) in taken)
    if stop is not None:
        return stop
    if sent.what is Done.BOUGHT:
        if sent.line in received:
            why = _("It has been received already; put a mistake right in the price book and the pantry.")
            return Outcome(key=key, fate=Fate.REFUSED, why=why)
        line = plan.lines[int(sent.line.partition(".")[2])]
        try:
            data = received_into(kitchen.data, line, sent.value, shopping, sent.done_at.date())
            parse_kitchen(data, "kitchen")
        except BadInput as error:
            problem = error.problems[0]
            why = _("Found %(found)s; expected %(expected)s.") % {"found": problem.found, "expected": problem.expected}
            return Outcome(key=key, fate=Fate.REFUSED, why=why)
        kitchen.data = data
        kitchen.save(update_fields=["data"])
        received.add(sent.line)
        door.note("received", f"{line.name}, {sent.value['packs']} packs")
    entry = ShopEntry.objects.create(
        key=sent.key, shopping=shopping, line=sent.line, what=sent.what.value, value=sent.value, device=sent.device,
        order=sent.order, done_at=sent.done_at, user=door.user,
    )  # fmt: skip
    known[sent.key] = entry
    taken.add((sent.device, sent.order))
    return Outcome(key=key, fate=Fate.KEPT)


def received_into(
    data: Mapping[str, Any], line: PurchaseLine, bought: Mapping[str, Any], shopping: ShoppingList, day: date
) -> dict[str, Any]:
    """
    Lay what was bought into a kitchen's file: the real price into its row of the book, the lot into the pantry.

    Parameters
    ----------
    data
        The kitchen as a person writes it.
    line
        The line of the list.
    bought
        Packs, what was paid, lot, date mark, and what the label says.
    shopping, day
        The list, and the day of the purchase.

    Notes
    -----
    A row of the book is found again by what it is and holds; where it has been taken out since, only the pantry
    changes. Boards and supports go to those that are owned.
    """
    filled = deepcopy(dict(data))
    accounts = filled.setdefault("accounts", {})
    if line.unit is Unit.PIECE:
        _price_row(accounts.get("wares", []), line, bought)
        pieces = round(line.content * bought["packs"])
        for name, kind in (("boards", "board"), ("supports", "support")):
            if _owned(kind, line.item):
                rows = filled.setdefault(name, [])
                mine = next((row for row in rows if row.get(kind) == line.item), None)
                if mine is None:
                    rows.append({kind: line.item, "count": pieces})
                else:
                    mine["count"] = int(mine.get("count", 1)) + pieces
        return filled
    _price_row(filled.get("prices", []), line, bought)
    pantry = accounts.setdefault("pantry", [])
    taken = {str(lot.get("lot")) for lot in pantry}
    name = bought["lot"] or f"{line.name}, {day.isoformat()}"
    lot, number = name, 1
    while lot in taken:
        number += 1
        lot = f"{name} ({number})"
    row: dict[str, Any] = {
        "lot": lot[:400],
        "ingredient": ingredient(line.item).name_us,
        "amount": f"{line.content * bought['packs']:g} g",
        "label_read": bought["label_read"],
    }
    if find(row["ingredient"]).ingredient is None:
        row["ingredient"] = line.item
    if bought["best_before"]:
        row["best_before"] = bought["best_before"]
    if bought["label_read"]:
        row |= {key: bought[key] for key in ("contains", "may_contain") if bought[key]}
    pantry.append(row)
    return filled


def _owned(kind: str, key: str) -> bool:
    from tierwright.larder import board, support

    try:
        (board if kind == "board" else support)(key)
    except UnknownName:
        return False
    return True


def _price_row(rows: Any, line: PurchaseLine, bought: Mapping[str, Any]) -> None:
    """Set the real price in the row of the book that a line was bought by."""
    stem, _dot, key = line.offer.removeprefix("ware.").partition(".")
    place = (whole(stem) or 0) - 1
    order = [place, *(n for n in range(len(rows)) if n != place)]
    for number in order:
        if not 0 <= number < len(rows) or not _same(rows[number], line, key):
            continue
        packs = int(rows[number].get("packs", 1))
        price = Decimal(bought["paid"]) * packs / bought["packs"]
        rows[number]["price"] = f"{price.quantize(Decimal('0.0001')).normalize():f}"
        if bought["label_read"]:
            rows[number]["label_read"] = True
            for name in ("contains", "may_contain"):
                rows[number][name] = bought[name]
        return


def _same(row: Mapping[str, Any], line: PurchaseLine, key: str) -> bool:
    from tierwright.brief.money import Price, WarePrice

    try:
        if "ware" in row:
            ware = WarePrice.model_validate(row)
            return (ware.ware, float(ware.pieces), ware.shop or "any") == (key, line.content, line.shop)
        price = Price.model_validate(row)
    except ValueError:
        return False
    known = find(price.ingredient).ingredient
    name = f"{price.ingredient}, {price.brand}" if price.brand else price.ingredient
    return (known is not None and known.key, price.pack, price.shop or "any", name) == (
        line.item, line.content, line.shop, line.name,
    )  # fmt: skip


def standing(found: Iterable[ShopEntry]) -> dict[str, dict[str, Any]]:
    """Return how each line stands after all its entries, in their order: ticked or not, and what was bought."""
    stands: dict[str, dict[str, Any]] = {}
    for entry in found:
        stand = stands.setdefault(entry.line, {"ticked": False, "bought": None})
        if entry.what == Done.BOUGHT:
            stand["ticked"], stand["bought"] = True, entry.value
        else:
            stand["ticked"] = entry.what == Done.TICK
    return stands
