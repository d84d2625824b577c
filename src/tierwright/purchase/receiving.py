"""Ticking off in the shop: the real price and lot go into the book."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from tierwright.errors import BadInput, Problem, UnknownName, require_range
from tierwright.larder import Allergen
from tierwright.purchase.model import AllergenStatus, Book, Lot


@dataclass(frozen=True, slots=True, kw_only=True)
class Receipt:
    """
    One line that was really bought.

    Attributes
    ----------
    offer
        Row of the price book.
    times
        How often the offer was taken. [-]
    paid
        Paid for all of it.
    day
        When.
    lot
        Lot number or date mark on the packet, as the maker writes it.
    best_before
        Its date mark; None where it carries none.
    status, contains, may_contain
        Whether the label was read, and what it says.
    """

    offer: str
    times: int
    paid: Decimal
    day: date
    lot: str
    best_before: date | None = None
    status: AllergenStatus = AllergenStatus.UNREAD
    contains: tuple[Allergen, ...] = ()
    may_contain: tuple[Allergen, ...] = ()

    def __post_init__(self) -> None:
        require_range("times bought", self.times, 1, 10_000, "times", self.offer)
        require_range("paid", float(self.paid), 0.0, 1e7, "in money", self.offer)


def receive(book: Book, receipt: Receipt) -> Book:
    """
    Return the book after a purchase: the offer at its real price, and the lot in the pantry.

    Raises
    ------
    UnknownName
        No row of the price book is called so.
    BadInput
        A lot of this name is in the pantry already, or the packet's date mark has passed on the day it is bought.

    Notes
    -----
    What the label says is kept with the lot and, once read, with the offer. A price is kept to four decimals.
    """
    known = {offer.key: offer for offer in book.offers}
    if receipt.offer not in known:
        raise UnknownName("row of the price book", receipt.offer, list(known))
    if any(lot.key == receipt.lot for lot in book.stock):
        raise BadInput([Problem(place="lot", found=receipt.lot, expected="a name that no other lot has")])
    if receipt.best_before is not None and receipt.best_before < receipt.day:
        raise BadInput(
            [Problem(place="best before", found=f"{receipt.best_before}", expected=f"a day from {receipt.day} on")]
        )
    offer = known[receipt.offer]
    priced = replace(offer, price=(receipt.paid / receipt.times).quantize(Decimal("0.0001")))
    if receipt.status is AllergenStatus.READ:
        priced = replace(priced, status=receipt.status, contains=receipt.contains, may_contain=receipt.may_contain)
    lot = Lot(
        key=receipt.lot,
        item=offer.item,
        amount=offer.amount * receipt.times,
        best_before=receipt.best_before,
        from_day=receipt.day,
        status=receipt.status,
        contains=receipt.contains,
        may_contain=receipt.may_contain,
    )
    return replace(
        book,
        offers=tuple(priced if one.key == offer.key else one for one in book.offers),
        stock=(*book.stock, lot),
    )
