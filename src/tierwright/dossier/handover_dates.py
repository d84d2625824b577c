"""Every date of a commission that is known: agreed, bought, worked, served, given back."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from tierwright.brief import Commission, Kitchen
from tierwright.dossier.bake_stage import Bakes
from tierwright.handover import Dated
from tierwright.keeping import Keeping
from tierwright.purchase import PurchasePlan

AFTER_CUTTING_H: Final = 1.5
"""The last slice after the cutting, where nobody has said. [h] Common practice."""
MOST_NAMED: Final = 12
"""Names of things to buy in one note; the shopping list has them all. Chosen by us."""
ANY_SHOP: Final = "any"


def dates_of(
    commission: Commission,
    kitchen: Kitchen,
    bakes: Bakes,
    keeping: Keeping | None,
    purchase: PurchasePlan,
    set_up: datetime,
) -> tuple[Dated, ...]:
    """Return every date of a commission that is known, in no order; none of them says a price."""
    return (
        *_agreed(commission, kitchen),
        *_bought(purchase),
        *_worked(commission, kitchen, bakes, keeping, set_up),
        *_served(commission, keeping, set_up),
        *_going_back(commission),
    )


def _agreed(commission: Commission, kitchen: Kitchen) -> Iterable[Dated]:
    tasting, terms, day = commission.handing_over.tasting, kitchen.accounts.terms, commission.day.day
    title = commission.title
    if tasting is not None:
        zone = tasting.timezone or kitchen.timezone
        begins = datetime.combine(tasting.day, tasting.at, tzinfo=ZoneInfo(zone))
        # Minutes are counted on the world's clock: a change of clocks neither adds nor takes any.
        ends = begins.astimezone(ZoneInfo("UTC")) + timedelta(minutes=tasting.minutes)
        yield Dated(
            key="tasting", title=f"Tasting: {title}", begins=begins, ends=ends.astimezone(ZoneInfo(zone)),
            begin_zone=zone, where=tasting.where, busy=True,
        )  # fmt: skip
    yield Dated(
        key="freeze", title=f"Last day for changes: {title}", first_day=day - timedelta(days=terms.freeze_days),
        note="After that the design, the flavours and the number of portions stand.",
    )  # fmt: skip
    yield Dated(
        key="balance", title=f"Balance is due: {title}", first_day=day - timedelta(days=terms.balance_days),
    )  # fmt: skip


def _bought(purchase: PurchasePlan) -> Iterable[Dated]:
    by: dict[tuple[str, bool, str], list[str]] = {}
    for line in purchase.lines:
        ordered = line.order_by < line.buy_on
        by.setdefault((line.order_by.isoformat(), ordered, line.shop), []).append(line.name)
    for item in purchase.unmet:
        by.setdefault((item.buy_by.isoformat(), False, ANY_SHOP), []).append(item.name)
    for (day, ordered, shop), items in sorted(by.items()):
        names = list(dict.fromkeys(items))
        more = f", and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
        where = "" if shop == ANY_SHOP else f" {'from' if ordered else 'at'} {shop}"
        yield Dated(
            key=f"{'order' if ordered else 'buy'}.{shop}.{day}",
            title=f"Last day to {'order' if ordered else 'buy'}{where}",
            first_day=datetime.fromisoformat(day).date(),
            note=", ".join(names[:MOST_NAMED]) + more,
        )


def _worked(
    commission: Commission, kitchen: Kitchen, bakes: Bakes, keeping: Keeping | None, set_up: datetime
) -> Iterable[Dated]:
    zone, title = kitchen.timezone, commission.title
    if keeping is None:
        return
    together = keeping.stays[0]
    cool_h = max((layer.to_fill_h or 0.0 for layer in keeping.layers), default=0.0)
    oven_min = 0.0 if bakes.loads is None else bakes.loads.oven_minutes
    last = together.begins - timedelta(hours=cool_h, minutes=oven_min)
    keeps = [part.fridge_days or part.room_days for part in keeping.safety if part.kind == "sponge"]
    days = min((one for one in keeps if one), default=None)
    if days is not None:
        first = (together.begins - timedelta(days=days)).astimezone(ZoneInfo(zone)).date()
        yield Dated(
            key="bake", title=f"Bake the layers: {title}", first_day=min(first, last.astimezone(ZoneInfo(zone)).date()),
            last_day=last.astimezone(ZoneInfo(zone)).date(),
            note=f"The first load goes in by {last.astimezone(ZoneInfo(zone)):%a %H:%M} at the latest: "
            f"{oven_min:.0f} min of oven and {cool_h:.1f} h of cooling before the tiers are put together. "
            "Earlier where the layers are frozen.",
        )  # fmt: skip
    yield Dated(
        key="together", title=f"Put the tiers together: {title}", begins=together.begins, ends=together.ends,
        begin_zone=zone, busy=True,
    )  # fmt: skip
    leaves = keeping.card.out_of_cold_at
    if commission.travel.collected_by_client:
        yield Dated(
            key="collection", title=f"The client collects: {title}", begins=leaves, begin_zone=zone,
            where=kitchen.name, note="Out of the cold only when the car stands at the door.", busy=True,
        )  # fmt: skip
    else:
        yield Dated(
            key="delivery", title=f"On the road: {title}", begins=leaves, ends=set_up, begin_zone=zone,
            end_zone=commission.day.timezone, where=commission.venue.name, busy=True,
        )  # fmt: skip


def _served(commission: Commission, keeping: Keeping | None, set_up: datetime) -> Iterable[Dated]:
    zone, title, where = commission.day.timezone, commission.title, commission.venue.name
    last = None if keeping is None else keeping.window.not_after.astimezone(ZoneInfo(zone))
    if not commission.travel.collected_by_client:
        yield Dated(
            key="set_up", title=f"Set-up: {title}", begins=set_up, ends=max(set_up, commission.handover_at),
            begin_zone=zone, where=where, note="" if last is None else f"At the latest at {last:%H:%M}.", busy=True,
        )  # fmt: skip
    yield Dated(
        key="handover", title=f"Handover: {title}", begins=commission.handover_at, begin_zone=zone, where=where,
        busy=True,
    )  # fmt: skip
    yield Dated(
        key="cutting", title=f"Cutting: {title}", begins=commission.cutting_at, ends=last_slice(commission),
        begin_zone=zone, where=where,
    )  # fmt: skip
    if keeping is not None:
        card = keeping.card
        yield Dated(key="eat_by", title=f"Eat by: {title}", begins=_full(card.eat_by), begin_zone=zone)
        if card.throw_away_by is not None:
            yield Dated(
                key="throw_away",
                title=f"Throw away what is left: {title}",
                begins=_full(card.throw_away_by),
                begin_zone=zone,
            )


def _full(at: datetime) -> datetime:
    """Return a limit at the full minute before it, as it is printed."""
    return at.replace(second=0, microsecond=0)


def _going_back(commission: Commission) -> Iterable[Dated]:
    zone = commission.day.timezone
    for number, one in enumerate(commission.handing_over.hired, start=1):
        if one.back_on is None:
            continue
        title = f"Give back: {one.count} × {one.what}" if one.count > 1 else f"Give back: {one.what}"
        key = f"back.{number}"
        if one.back_by is None:
            yield Dated(key=key, title=title, first_day=one.back_on, where=one.back_to)
        else:
            at = datetime.combine(one.back_on, one.back_by, tzinfo=ZoneInfo(zone))
            yield Dated(key=key, title=title, begins=at, begin_zone=zone, where=one.back_to)


def last_slice(commission: Commission) -> datetime:
    """Return the moment of the last slice, after midnight where its time of day comes before the cutting's."""
    cutting, clock = commission.cutting_at, commission.day.last_slice
    if clock is None:
        return (cutting.astimezone(ZoneInfo("UTC")) + timedelta(hours=AFTER_CUTTING_H)).astimezone(cutting.tzinfo)
    last = datetime.combine(cutting.date(), clock, tzinfo=cutting.tzinfo)
    return last if last > cutting else datetime.combine(cutting.date() + timedelta(days=1), clock, cutting.tzinfo)
