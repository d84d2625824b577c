"""The ledger cannot be edited, only added to; a crash leaves whole entries; a year adds up."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.cli.ledger_file import append, read_ledger
from tierwright.errors import BadInput
from tierwright.price import (
    Cap,
    Counts,
    EntryKind,
    Ledger,
    against_cap,
    from_lines,
    ledger_csv,
    to_line,
    whole_bytes,
    year_csv,
    year_total,
)

D = Decimal
START = datetime(2027, 1, 4, 9, tzinfo=UTC)
KINDS = (EntryKind.INVOICE, EntryKind.PAYMENT, EntryKind.REFUND)


def at(days: int) -> datetime:
    return START + timedelta(days=days)


def filled() -> Ledger:
    ledger = Ledger(currency="USD")
    ledger = ledger.add(EntryKind.INVOICE, at=at(0), commission="a", amount=D("240.00"), tax=D("40.00"), text="A cake")
    ledger = ledger.add(EntryKind.PAYMENT, at=at(1), commission="a", amount=D("72.00"), text="retainer")
    ledger = ledger.add(EntryKind.PAYMENT, at=at(2), commission="a", amount=D("186.00"), text="balance, keyed wrong")
    ledger = ledger.correct(3, at=at(3), text="it was 168.00")
    return ledger.add(EntryKind.PAYMENT, at=at(3), commission="a", amount=D("168.00"), text="balance")


def test_balance_and_running_numbers() -> None:
    ledger = filled()
    balance = ledger.balance("a")
    assert (balance.invoiced, balance.paid, balance.open) == (D("240.00"), D("240.00"), D("0.00"))
    assert [entry.document for entry in ledger.entries] == [
        "I2027-0001", "R2027-0001", "R2027-0002", "C2027-0001", "R2027-0003",
    ]  # fmt: skip
    assert [entry.number for entry in ledger.entries] == [1, 2, 3, 4, 5]


def test_all_that_was_paid_can_be_paid_back() -> None:
    back = filled().add(EntryKind.REFUND, at=at(9), commission="a", amount=D("240.00"), text="called off")
    assert back.balance("a").refunded == back.balance("a").paid == D("240.00")


@pytest.mark.parametrize(
    "wrong",
    [
        lambda e: e.add(EntryKind.PAYMENT, at=at(9), commission="a", amount=D("0"), text="nothing"),
        lambda e: e.add(EntryKind.PAYMENT, at=at(9), commission="a", amount=D("1.005"), text="half a cent"),
        lambda e: e.add(EntryKind.PAYMENT, at=at(9).replace(tzinfo=None), commission="a", amount=D(1), text="no zone"),
        lambda e: e.add(EntryKind.PAYMENT, at=at(1), commission="a", amount=D(1), text="back in time"),
        lambda e: e.add(EntryKind.REFUND, at=at(9), commission="a", amount=D("240.01"), text="more than was paid"),
        lambda e: e.add(EntryKind.PAYMENT, at=at(9), commission="a", amount=D(1), text=" "),
        lambda e: e.add(EntryKind.CORRECTION, at=at(9), commission="a", amount=D(1), text="by hand"),
        lambda e: e.correct(3, at=at(9), text="again"),
        lambda e: e.correct(4, at=at(9), text="a correction"),
        lambda e: e.correct(9, at=at(9), text="not there"),
    ],
)
def test_what_a_ledger_refuses(wrong: Callable[[Ledger], Ledger]) -> None:
    ledger = filled()
    with pytest.raises(BadInput):
        wrong(ledger)


def test_a_payment_that_was_paid_back_cannot_be_taken_away() -> None:
    ledger = filled().add(EntryKind.REFUND, at=at(4), commission="a", amount=D("200.00"), text="cancelled")
    with pytest.raises(BadInput):
        ledger.correct(5, at=at(5), text="would leave more paid back than paid")


def random_ledger(seed: int, steps: int) -> Ledger:
    draw = random.Random(seed)
    ledger = Ledger(currency=draw.choice(["USD", "JPY", "KWD"]))
    for step in range(steps):
        try:
            if draw.random() < 0.2:
                ledger = ledger.correct(draw.randint(1, steps), at=at(step), text="wrong")
            else:
                ledger = ledger.add(
                    draw.choice(KINDS), at=at(step), commission=draw.choice("abc"), amount=D(draw.randint(1, 90)),
                    text="x",
                )  # fmt: skip
        except BadInput:
            continue
    return ledger


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10_000), steps=st.integers(0, 40))
def test_invariants_under_random_sequences(seed: int, steps: int) -> None:
    ledger = random_ledger(seed, steps)
    assert [entry.number for entry in ledger.entries] == list(range(1, len(ledger.entries) + 1))
    # The standing entries and plain sums over all, corrections by their sign, come to the same.
    sign = {EntryKind.INVOICE: 1, EntryKind.PAYMENT: -1, EntryKind.REFUND: 1}
    for commission in "abc":
        mine = [entry for entry in ledger.entries if entry.commission == commission]
        plain = D(0)
        for entry in mine:
            kind = ledger.entries[entry.corrects - 1].kind if entry.corrects else entry.kind
            plain += sign[kind] * entry.amount
        balance = ledger.balance(commission)
        assert balance.open == plain
        assert balance.refunded <= balance.paid
    assert len({entry.document for entry in ledger.entries}) == len(ledger.entries)
    data = b"".join(to_line(entry) for entry in ledger.entries)
    assert from_lines(data, ledger.currency) == ledger


@settings(max_examples=80, deadline=None)
@given(seed=st.integers(0, 10_000), cut=st.floats(0, 1))
def test_a_crash_while_writing_leaves_whole_entries_only(seed: int, cut: float) -> None:
    ledger = random_ledger(seed, 12)
    data = b"".join(to_line(entry) for entry in ledger.entries)
    torn = data[: int(len(data) * cut)]
    read = from_lines(torn, ledger.currency)
    assert read.entries == ledger.entries[: len(read.entries)]
    # What follows goes on from the last whole entry.
    go_on = read.add(EntryKind.PAYMENT, at=at(99), commission="a", amount=D(1), text="after the crash")
    again = from_lines(torn[: whole_bytes(torn)] + to_line(go_on.entries[-1]), ledger.currency)
    assert again == go_on


def test_the_file_goes_on_after_a_torn_line(tmp_path: Path) -> None:
    path = tmp_path / "ledger.jsonl"
    ledger = filled()
    append(path, Ledger(currency="USD"), ledger)
    with path.open("ab") as torn:
        torn.write(to_line(ledger.entries[0])[:37])
    assert read_ledger(path, "USD") == ledger
    more = ledger.add(EntryKind.REFUND, at=at(6), commission="a", amount=D("5.00"), text="a broken topper")
    append(path, ledger, more)
    assert read_ledger(path, "USD") == more
    # Two who write at once: the second is told, and nothing is lost.
    other = ledger.add(EntryKind.REFUND, at=at(7), commission="a", amount=D("6.00"), text="from another desk")
    with pytest.raises(BadInput):
        append(path, ledger, other)
    assert read_ledger(path, "USD") == more


@pytest.mark.parametrize("change", ["amount", "leave out", "swap"])
def test_a_changed_file_is_refused(change: str) -> None:
    lines = [to_line(entry) for entry in filled().entries]
    if change == "amount":
        raw = json.loads(lines[1])
        lines[1] = (json.dumps({**raw, "amount": "7.00"}, sort_keys=True) + "\n").encode()
    elif change == "leave out":
        del lines[2]
    else:
        lines[1], lines[2] = lines[2], lines[1]
    with pytest.raises(BadInput):
        from_lines(b"".join(lines), "USD")


def test_a_year_by_hand() -> None:
    ledger = filled().add(EntryKind.REFUND, at=at(40), commission="a", amount=D("12.00"), text="two portions short")
    ledger = ledger.add(EntryKind.INVOICE, at=at(41), commission="b", amount=D("100.00"), text="B")
    # 1 January 2028, 03:00 in London is still New Year's Eve in Denver.
    night = datetime(2028, 1, 1, 3, tzinfo=UTC)
    ledger = ledger.add(EntryKind.PAYMENT, at=night, commission="b", amount=D("60.00"), text="B, part")
    denver, london = (year_total(ledger, 2027, ZoneInfo(z)) for z in ("America/Denver", "Europe/London"))
    assert (denver.invoiced, denver.tax, denver.refunded) == (D("340.00"), D("40.00"), D("12.00"))
    assert (denver.received, london.received) == (D("300.00"), D("240.00"))
    assert denver.outstanding == D("52.00")
    assert denver.months[0].received == D("240.00")
    assert (denver.commissions, denver.months[11].received) == (2, D("60.00"))


def test_an_amount_is_sealed_as_coins_however_it_was_written() -> None:
    def sealed(amount: str) -> tuple[str, str]:
        ledger = Ledger(currency="USD").add(EntryKind.INVOICE, at=at(0), commission="a", amount=D(amount), text="x")
        return str(ledger.entries[0].amount), ledger.entries[0].seal

    assert sealed("4") == sealed("4.00") == sealed("4.000") == sealed("0.4E+1")
    assert sealed("4")[0] == "4.00"
    assert sealed("4.01") != sealed("4")
    with pytest.raises(BadInput):
        sealed("4.005")


def test_a_year_as_rows_holds_every_month_and_the_whole() -> None:
    ledger = filled().add(EntryKind.REFUND, at=at(40), commission="a", amount=D("12.00"), text="two portions short")
    rows = [line.split(",") for line in year_csv(year_total(ledger, 2027, UTC)).splitlines()]
    assert len(rows) == 14
    assert [row[0] for row in rows[1:13]] == [f"2027-{month:02}" for month in range(1, 13)]
    assert rows[13] == ["2027", "240.00", "40.00", "228.00", "USD"]
    for column in (1, 2, 3):
        assert sum(D(row[column]) for row in rows[1:13]) == D(rows[13][column])


def test_a_cap_is_told_before_it_is_passed() -> None:
    total = year_total(filled(), 2027, UTC)  # 240.00 received
    assert against_cap(total, Cap(amount=D(1000))).question is None
    near = against_cap(total, Cap(amount=D(1000)), coming=D(560))
    assert near.question is not None
    assert near.question.severity.name == "NOTE"
    assert (near.counted, near.room) == (D("240.00"), D("760.00"))
    over = against_cap(total, Cap(amount=D(1000), counts=Counts.INVOICED, law="as entered"), coming=D("760.01"))
    assert over.question is not None
    assert over.question.severity.name == "STOP"
    # One step either side of the cap itself.
    assert against_cap(total, Cap(amount=D(1000)), coming=D("760.00")).question != over.question


def test_csv_holds_every_entry_and_no_formula() -> None:
    ledger = filled().add(EntryKind.REFUND, at=at(9), commission="a", amount=D(1), text="=1+1")
    text = ledger_csv(ledger.entries)
    assert text.count("\r\n") == 1 + 6
    assert ",'=1+1," in text
    assert "-186.00" in text
