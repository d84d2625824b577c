"""The ledger: entries in a row that nobody can change, corrected only by a further entry."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import Final

from tierwright.errors import BadInput, Problem
from tierwright.price.currency import coin

FIRST_SEAL: Final = "0" * 64
LONGEST_TEXT: Final = 400


class EntryKind(StrEnum):
    """What an entry says."""

    INVOICE = "invoice"
    PAYMENT = "payment"
    REFUND = "refund"
    CORRECTION = "correction"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """
    One entry.

    Attributes
    ----------
    number
        Place in the ledger, from 1, without a gap. [-]
    at
        When it was made, with its zone.
    kind
        What it says.
    commission
        Whose.
    document
        Running number of the invoice or receipt that goes with it.
    amount
        In whole coins: of an invoice, payment or refund above nought; of a correction whatever takes the corrected
        entry back, so its amount with the other sign.
    tax
        Tax in the amount of an invoice.
    currency
        ISO 4217.
    text
        What it is for.
    corrects
        Number of the entry that it takes back; 0 for none. [-]
    seal
        SHA-256 over the seal before and this entry, so that a change anywhere shows.
    """

    number: int
    at: datetime
    kind: EntryKind
    commission: str
    document: str
    amount: Decimal
    tax: Decimal
    currency: str
    text: str
    corrects: int
    seal: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """Entries in their order. Adding to one gives another; nothing in it is ever changed or taken out."""

    currency: str
    entries: tuple[Entry, ...] = ()

    def add(
        self,
        kind: EntryKind,
        *,
        at: datetime,
        commission: str,
        amount: Decimal,
        text: str,
        tax: Decimal = Decimal(0),
    ) -> Ledger:
        """
        Return the ledger with one more invoice, payment or refund.

        Raises
        ------
        BadInput
            The amount is not above nought or not in whole coins, the time has no zone or lies before the last
            entry, or more is paid back than was paid.
        """
        if kind is EntryKind.CORRECTION:
            raise BadInput([_problem("kind", kind.value, "an invoice, a payment or a refund; corrections name theirs")])
        return self._with(kind, at, commission, amount, tax, text, 0)

    def correct(self, number: int, *, at: datetime, text: str) -> Ledger:
        """
        Return the ledger with an entry taken back by a further entry.

        Raises
        ------
        BadInput
            No such entry stands: it is not there, is itself a correction, or has been corrected already.
        """
        wrong = next((entry for entry in self.entries if entry.number == number), None)
        if wrong is None or wrong.kind is EntryKind.CORRECTION or number in self.corrected:
            raise BadInput([_problem("entry", str(number), "an entry that stands and is no correction")])
        return self._with(EntryKind.CORRECTION, at, wrong.commission, -wrong.amount, -wrong.tax, text, number)

    @property
    def corrected(self) -> frozenset[int]:
        """Numbers of the entries that a later one has taken back."""
        return frozenset(entry.corrects for entry in self.entries if entry.corrects)

    @property
    def standing(self) -> tuple[Entry, ...]:
        """Entries that count: neither corrected nor corrections."""
        gone = self.corrected
        return tuple(e for e in self.entries if e.number not in gone and e.kind is not EntryKind.CORRECTION)

    def balance(self, commission: str) -> Balance:
        """Return what a commission has been asked for, what was paid, and what is open."""
        return balance_of([entry for entry in self.standing if entry.commission == commission])

    def _with(
        self,
        kind: EntryKind,
        at: datetime,
        commission: str,
        amount: Decimal,
        tax: Decimal,
        text: str,
        corrects: int,
    ) -> Ledger:
        stem = paper_stem(kind, at)
        place = Place(
            currency=self.currency,
            last=self.entries[-1] if self.entries else None,
            papers=sum(1 for entry in self.entries if entry.document.startswith(stem)),
            standing=tuple(entry for entry in self.standing if entry.commission == commission),
        )
        entry = next_entry(
            place, kind, at=at, commission=commission, amount=amount, tax=tax, text=text, corrects=corrects
        )
        return Ledger(currency=self.currency, entries=(*self.entries, entry))


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """
    Where a ledger's next entry goes: all that has to be known of what came before.

    Attributes
    ----------
    currency
        That the ledger is kept in.
    last
        The entry before; None for the first.
    papers
        How many papers of its kind and year have been numbered. [-]
    standing
        Entries of the same commission that count.
    """

    currency: str
    last: Entry | None
    papers: int
    standing: tuple[Entry, ...]


def paper_stem(kind: EntryKind, at: datetime) -> str:
    """Return how the running numbers of one kind of paper begin in one year, such as ``I2027-``."""
    letter = {"invoice": "I", "payment": "R", "refund": "B", "correction": "C"}[kind.value]
    return f"{letter}{at.year}-"


def next_entry(
    place: Place,
    kind: EntryKind,
    *,
    at: datetime,
    commission: str,
    amount: Decimal,
    text: str,
    tax: Decimal = Decimal(0),
    corrects: int = 0,
) -> Entry:
    """
    Return the next entry of a ledger, numbered and sealed.

    Parameters
    ----------
    place
        What came before.
    kind, at, commission, amount, text, tax, corrects
        See ``Entry``.

    Raises
    ------
    BadInput
        It cannot stand: see ``Ledger.add`` and ``Ledger.correct``.
    """
    last = place.last
    entry = Entry(
        number=last.number + 1 if last is not None else 1,
        at=at,
        kind=kind,
        commission=commission,
        document=f"{paper_stem(kind, at)}{place.papers + 1:04}",
        amount=_whole(amount, place.currency),
        tax=_whole(tax, place.currency),
        currency=place.currency,
        text=text,
        corrects=corrects,
        seal="",
    )
    problems = list(_problems(entry, last))
    if kind is EntryKind.REFUND and not problems:
        paid = balance_of(place.standing)
        if amount > paid.paid - paid.refunded:
            problems.append(_problem("refund", str(amount), f"at most {paid.paid - paid.refunded}, what was paid"))
    if corrects and not problems:
        rest = balance_of(one for one in place.standing if one.number != corrects)
        if rest.refunded > rest.paid:
            problems.append(_problem("entry", str(corrects), "a payment that has not been paid back since"))
    if problems:
        raise BadInput(problems)
    return _sealed(entry, last.seal if last is not None else FIRST_SEAL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Invoiced, paid, paid back, and what is still to pay (below nought where too much was paid)."""

    invoiced: Decimal
    paid: Decimal
    refunded: Decimal

    @property
    def open(self) -> Decimal:
        """What is still to pay."""
        return self.invoiced - self.paid + self.refunded


def balance_of(entries: Iterable[Entry]) -> Balance:
    """Add up entries that stand."""
    sums = dict.fromkeys(EntryKind, Decimal(0))
    for entry in entries:
        sums[entry.kind] += entry.amount
    return Balance(invoiced=sums[EntryKind.INVOICE], paid=sums[EntryKind.PAYMENT], refunded=sums[EntryKind.REFUND])


def to_line(entry: Entry) -> bytes:
    """Return an entry as one line of JSON (RFC 8259), its end of line included."""
    return (json.dumps(_plain(entry), ensure_ascii=False, sort_keys=True) + "\n").encode()


def from_lines(data: bytes, currency: str) -> Ledger:
    """
    Read a ledger back and check every seal.

    Parameters
    ----------
    data
        Lines of JSON. A last line without its end is an entry whose writing was cut off: it never was one.
    currency
        That the ledger is kept in.

    Raises
    ------
    BadInput
        A line is no entry, or a seal does not fit: somebody has changed, left out or put in something.
    """
    entries: list[Entry] = []
    for number, line in enumerate(data[: data.rfind(b"\n") + 1].split(b"\n")[:-1], start=1):
        place = f"ledger line {number}"
        try:
            raw = json.loads(line)
            entry = Entry(
                number=raw["number"],
                at=datetime.fromisoformat(raw["at"]),
                kind=EntryKind(raw["kind"]),
                commission=raw["commission"],
                document=raw["document"],
                amount=Decimal(raw["amount"]),
                tax=Decimal(raw["tax"]),
                currency=raw["currency"],
                text=raw["text"],
                corrects=raw["corrects"],
                seal=raw["seal"],
            )
        except (ValueError, KeyError, TypeError, InvalidOperation):
            raise BadInput([Problem(place=place, found=repr(line[:40]), expected="an entry of the ledger")]) from None
        entries.append(entry)
    check_seals(entries, currency)
    return Ledger(currency=currency, entries=tuple(entries))


def _whole(amount: Decimal, currency: str) -> Decimal:
    """Return an amount of whole coins written in one way, 4 and -0 as 4.00 and 0.00: a seal is over what is written."""
    step = coin(currency)
    if not amount.is_finite() or amount % step != 0:
        return amount
    return int(amount / step) * step


def check_seals(entries: Iterable[Entry], currency: str) -> int:
    """
    Check that entries follow one another without a gap, each with its own seal.

    Returns
    -------
    count
        How many there are. [-]

    Raises
    ------
    BadInput
        Somebody has changed, left out or put in something.
    """
    before, number = FIRST_SEAL, 0
    for number, entry in enumerate(entries, start=1):
        if entry.number != number or entry.currency != currency or _sealed(entry, before).seal != entry.seal:
            raise BadInput(
                [
                    Problem(
                        place=f"ledger line {number}",
                        found=f"entry {entry.number}",
                        expected=f"entry {number} with its own seal",
                    )
                ]
            )
        before = entry.seal
    return number


def whole_bytes(data: bytes) -> int:
    """Return how many bytes of a ledger's file hold whole entries; what follows was cut off while writing. [bytes]"""
    return data.rfind(b"\n") + 1


def _plain(entry: Entry) -> dict[str, str | int]:
    plain: dict[str, str | int] = {}
    for field in fields(entry):
        value = getattr(entry, field.name)
        if isinstance(value, datetime):
            value = value.isoformat()
        elif isinstance(value, Decimal):
            value = f"{value:f}"
        elif isinstance(value, EntryKind):
            value = value.value
        plain[field.name] = value
    return plain


def _sealed(entry: Entry, before: str) -> Entry:
    plain = _plain(entry)
    plain["seal"] = before
    text = json.dumps(plain, ensure_ascii=False, sort_keys=True)
    values = {field.name: getattr(entry, field.name) for field in fields(entry)}
    return Entry(**{**values, "seal": hashlib.sha256(text.encode()).hexdigest()})


def _problems(entry: Entry, last: Entry | None) -> Sequence[Problem]:
    problems: list[Problem] = []
    step = coin(entry.currency)
    for name, amount in (("amount", entry.amount), ("tax", entry.tax)):
        if not amount.is_finite() or amount % step != 0:
            problems.append(_problem(name, str(amount), f"whole coins of {entry.currency}"))
    if not problems and entry.kind is not EntryKind.CORRECTION and (entry.amount <= 0 or entry.tax < 0):
        problems.append(_problem("amount", str(entry.amount), "an amount above nought"))
    if not problems and abs(entry.tax) > abs(entry.amount):
        problems.append(_problem("tax", str(entry.tax), "no more than the amount"))
    if entry.at.utcoffset() is None:
        problems.append(_problem("time", entry.at.isoformat(), "a time with its zone"))
    elif last is not None and entry.at < last.at:
        problems.append(
            _problem("time", entry.at.isoformat(), f"no earlier than the last entry, {last.at.isoformat()}")
        )
    if not entry.commission or not entry.text.strip() or len(entry.text) > LONGEST_TEXT:
        problems.append(_problem("text", repr(entry.text[:40]), f"what it is for, in 1 to {LONGEST_TEXT} signs"))
    return problems


def _problem(place: str, found: str, expected: str) -> Problem:
    return Problem(place=f"ledger: {place}", found=found, expected=expected)
