"""The ledger in the database: one entry after another, each in a transaction that is kept whole or not at all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Count, Q, QuerySet, Sum
from django.db.models.functions import ExtractMonth
from django.utils import timezone
from django.utils.translation import gettext as _

from tierwright.brief.money import SalesCap
from tierwright.errors import BadInput, Problem
from tierwright.price import (
    Balance,
    Cap,
    CapReading,
    Counts,
    Entry,
    EntryKind,
    Place,
    Sums,
    YearTotal,
    against_cap,
    balance_of,
    coin,
    next_entry,
    paper_stem,
    year_of_sums,
)
from tierwright.web.access import Door, zone_of
from tierwright.web.models import Commission, Kitchen
from tierwright.web.money.models import LedgerEntry, Offer

STANDING = Q(corrected_by=None) & ~Q(kind=EntryKind.CORRECTION.value)
"""Entries that count: neither corrected nor corrections."""


def currency_of(kitchen: Kitchen) -> str:
    """Return the currency that a kitchen's ledger is kept in: that of its first entry, else the kitchen's own."""
    first = LedgerEntry.objects.filter(kitchen=kitchen).values_list("currency", flat=True).first()
    return str(first or kitchen.data.get("currency") or "USD")


def entry_of(row: LedgerEntry) -> Entry:
    """Return a row as the price room has it."""
    step = coin(row.currency)
    return Entry(
        number=row.number,
        at=datetime.fromisoformat(row.clock),
        kind=EntryKind(row.kind),
        commission=row.whose,
        document=row.document,
        amount=row.coins * step,
        tax=row.tax_coins * step,
        currency=row.currency,
        text=row.text,
        corrects=row.corrects.number if row.corrects is not None else 0,
        seal=row.seal,
    )


def entries_of(kitchen: Kitchen) -> Iterable[Entry]:
    """Yield a kitchen's entries in their order, without holding all of them."""
    rows = LedgerEntry.objects.filter(kitchen=kitchen).select_related("corrects").order_by("number")
    for row in rows.iterator(chunk_size=500):
        yield entry_of(row)


def _mine(commission: Commission) -> QuerySet[LedgerEntry]:
    return LedgerEntry.objects.filter(commission=commission).select_related("corrects")


def enter(
    door: Door,
    commission: Commission,
    kind: EntryKind,
    amount: Decimal,
    text: str,
    *,
    tax: Decimal = Decimal(0),
    paper: Mapping[str, Any] | None = None,
    corrects: LedgerEntry | None = None,
) -> LedgerEntry:
    """
    Write the next entry.

    Parameters
    ----------
    door, commission
        Who enters it, and whose it is.
    kind, amount, text, tax
        See ``Entry``.
    paper
        What the paper that goes with it says, beyond the entry itself.
    corrects
        The entry that it takes back.

    Raises
    ------
    BadInput
        It cannot stand, with every reason; nothing is written.
    """
    with transaction.atomic():
        # One writer after another in a kitchen: the running numbers have no gap and no twin.
        kitchen = Kitchen.objects.select_for_update().get(pk=door.kitchen.pk)
        at = timezone.now().astimezone(zone_of(kitchen))
        before = LedgerEntry.objects.filter(kitchen=kitchen).select_related("corrects").last()
        last = entry_of(before) if before is not None else None
        if last is not None and at < last.at:
            # A clock that was set back must not stop the till: the entry stands at the moment of the one before.
            at = last.at
        mine = list(_mine(commission).filter(STANDING))
        first = _mine(commission).first()
        place = Place(
            currency=currency_of(kitchen),
            last=last,
            papers=LedgerEntry.objects.filter(kitchen=kitchen, document__startswith=paper_stem(kind, at)).count(),
            standing=tuple(entry_of(row) for row in mine),
        )
        entry = next_entry(
            place,
            kind,
            at=at,
            commission=first.whose if first is not None else f"{commission.title[:400]} ({commission.pk})",
            amount=amount,
            text=text,
            tax=tax,
            corrects=corrects.number if corrects is not None else 0,
        )
        step = coin(entry.currency)
        row = LedgerEntry(
            kitchen=kitchen,
            commission=commission,
            number=entry.number,
            clock=entry.at.isoformat(),
            day=entry.at.date(),
            kind=entry.kind.value,
            whose=entry.commission,
            document=entry.document,
            coins=int(entry.amount / step),
            tax_coins=int(entry.tax / step),
            currency=entry.currency,
            text=entry.text,
            corrects=corrects,
            seal=entry.seal,
            paper=dict(paper or {}),
            made_by=door.user.get_username(),
        )
        row.save()
        door.note(f"{kind.value} entered", f"{entry.document}, {entry.amount} {entry.currency}", commission)
    return row


def take_back(door: Door, row: LedgerEntry, text: str) -> LedgerEntry:
    """
    Correct an entry by a further one.

    Raises
    ------
    BadInput
        It has been corrected already, is itself a correction, or a payment that was paid back since.
    """
    with transaction.atomic():
        Kitchen.objects.select_for_update().get(pk=door.kitchen.pk)
        gone = row.kind == EntryKind.CORRECTION or LedgerEntry.objects.filter(corrects=row).exists()
        if gone:
            raise BadInput(
                [
                    Problem(
                        place="ledger: entry", found=row.document, expected="an entry that stands and is no correction"
                    )
                ]
            )
        entry = entry_of(row)
        paper = {key: row.paper[key] for key in ("client", "title", "maker") if key in row.paper}
        return enter(
            door, row.commission, EntryKind.CORRECTION, -entry.amount, text, tax=-entry.tax, paper=paper, corrects=row
        )


def balance(commission: Commission) -> Balance:
    """Return what a commission has been asked for, what was paid, and what is open."""
    return balance_of(entry_of(row) for row in _mine(commission).filter(STANDING))


def year_total(kitchen: Kitchen, year: int) -> YearTotal:
    """Add up one calendar year on the kitchen's clock, in the database: three queries, however many entries."""
    currency = currency_of(kitchen)
    step = coin(currency)
    standing = LedgerEntry.objects.filter(STANDING, kitchen=kitchen)
    inside = standing.filter(day__gte=date(year, 1, 1), day__lte=date(year, 12, 31))
    found = (
        inside.annotate(month=ExtractMonth("day"))
        .values("kind", "month")
        .annotate(coins=Sum("coins"), taxes=Sum("tax_coins"))
        .order_by("kind", "month")
    )
    sums = {
        (EntryKind(one["kind"]), one["month"]): Sums(amount=one["coins"] * step, tax=one["taxes"] * step)
        for one in found
    }
    whole = standing.aggregate(
        asked=Sum("coins", filter=Q(kind="invoice"), default=0),
        paid=Sum("coins", filter=Q(kind="payment"), default=0),
        back=Sum("coins", filter=Q(kind="refund"), default=0),
        invoiced=Count(
            "commission", filter=Q(kind="invoice", day__gte=date(year, 1, 1), day__lte=date(year, 12, 31)),
            distinct=True,
        ),
    )  # fmt: skip
    outstanding = (whole["asked"] - whole["paid"] + whole["back"]) * step
    return year_of_sums(year, currency, sums, commissions=whole["invoiced"], outstanding=outstanding)


def cap_of(kitchen: Kitchen) -> Cap | None:
    """Return the cap on a year's sales, as the maker has entered it."""
    raw = (kitchen.data.get("accounts") or {}).get("cap")
    if not raw:
        return None
    written = SalesCap.model_validate(raw)
    return Cap(amount=written.amount, counts=Counts(written.counts.value), law=written.law)


def cap_reading(kitchen: Kitchen, year: int, coming: Decimal = Decimal(0)) -> CapReading | None:
    """
    Hold a year against the cap.

    Parameters
    ----------
    kitchen, year
        Whose, and which.
    coming
        What is about to be added: a quotation that is made or accepted.
    """
    cap = cap_of(kitchen)
    if cap is None:
        return None
    return against_cap(year_total(kitchen, year), cap, coming)


def promised(kitchen: Kitchen, year: int, but: Commission | None = None) -> Decimal:
    """Return what accepted offers of a year's handovers will still bring beyond what counts towards the cap already."""
    cap = cap_of(kitchen)
    kind = EntryKind.INVOICE if cap is not None and cap.counts is Counts.INVOICED else EntryKind.PAYMENT
    offers = Offer.objects.filter(
        kitchen=kitchen, commission__handover_at__year=year, commission__put_away_at=None
    ).exclude(acceptance=None)
    latest = {
        offer["commission_id"]: Decimal(offer["content"]["totals"]["gross"])
        for offer in offers.order_by("turn").values("commission_id", "content")
    }
    if but is not None:
        latest.pop(but.pk, None)
    currency = currency_of(kitchen)
    counted = (
        LedgerEntry.objects.filter(STANDING, kitchen=kitchen, kind=kind.value, commission_id__in=latest)
        .values("commission_id")
        .annotate(coins=Sum("coins"))
        .order_by("commission_id")
    )
    step = coin(currency)
    for one in counted:
        latest[one["commission_id"]] -= one["coins"] * step
    return sum((max(Decimal(0), rest) for rest in latest.values()), Decimal(0))


def kind_words(kind: str) -> str:
    """Return what an entry is called."""
    return {
        "invoice": _("invoice"),
        "payment": _("payment"),
        "refund": _("refund"),
        "correction": _("correction"),
    }[kind]
