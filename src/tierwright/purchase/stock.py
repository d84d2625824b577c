"""What the pantry gives before anything is bought: by-products first, then whatever expires first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from tierwright.purchase.allergens import forbidden, unread
from tierwright.purchase.model import Allocation, FromStock, Item, Lot, Use

LEAST = 1e-9


@dataclass(slots=True)
class Taken:
    """A lot while it is being shared out."""

    lot: Lot
    left: float
    whom: list[Allocation] = field(default_factory=list)
    unread: set[str] = field(default_factory=set)


def take_stock(
    items: Mapping[str, Item], uses: Sequence[Use], stock: Sequence[Lot]
) -> tuple[tuple[Use, ...], tuple[FromStock, ...]]:
    """
    Share the pantry out.

    Parameters
    ----------
    items
        Items by key.
    uses
        What is needed, without waste to come (see ``trips.merged``).
    stock
        Lots; those of other items are left alone.

    Returns
    -------
    remaining, from_stock
        What has still to be bought, and what comes from which lot.

    Notes
    -----
    Uses are served in the order of their days, each by-product first and then from the lot that expires first among
    those in date, there in time, and fit for the commission's allergens. For lots of one kind this also uses up as much
    of the stock as any order could.
    """
    taken = [Taken(lot=lot, left=lot.amount) for lot in sorted(stock, key=_first)]
    remaining: list[Use] = []
    for use in sorted(uses, key=lambda u: (u.day, u.commission, u.item)):
        want = use.amount
        for one in taken:
            lot = one.lot
            if lot.item != use.item or one.left <= LEAST or want <= LEAST or not _there(lot, use.day):
                continue
            if forbidden(lot, items[use.item], use.avoid):
                continue
            give = min(one.left, want)
            one.left -= give
            want -= give
            one.whom.append(Allocation(commission=use.commission, day=use.day, amount=give))
            one.unread |= set(unread(lot, items[use.item], use.avoid))
        if want > LEAST:
            remaining.append(replace(use, amount=want))
    return tuple(remaining), tuple(
        FromStock(
            lot=one.lot.key,
            item=one.lot.item,
            name=items[one.lot.item].name,
            unit=items[one.lot.item].unit,
            for_whom=tuple(one.whom),
            left=max(0.0, one.left),
            best_before=one.lot.best_before,
            by_product=one.lot.by_product,
            label_unread=tuple(sorted(a for a in items[one.lot.item].ask_about if a in one.unread)),
        )
        for one in taken
        if one.whom
    )


def _there(lot: Lot, day: date) -> bool:
    return (lot.from_day is None or lot.from_day <= day) and (lot.best_before is None or day <= lot.best_before)


def _first(lot: Lot) -> tuple[bool, date, str]:
    return (not lot.by_product, lot.best_before or date.max, lot.key)
