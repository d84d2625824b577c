"""Quotations: sums, terms, the ladder, versions and acceptance."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.price.accounts import D, inputs

from tierwright.errors import BadInput, OutOfRange
from tierwright.price import (
    PaperLine,
    Quotation,
    TaxRate,
    Terms,
    accept,
    coin,
    difference,
    dues,
    ladder,
    question_on,
    quote,
    revise,
    sentences,
    sunk,
    work_out,
)

DAY = date(2027, 6, 26)
QUOTED = date(2027, 4, 2)
RATES = (TaxRate(key="full", name="tax", rate=D("0.2")),)
COST = work_out(inputs())  # 194.65: 50.00 three days before, the most of the rest the day before


def quotation(**changes: Any) -> Quotation:
    given: dict[str, Any] = {
        "number": "Q2027-0007", "title": "Centenary supper", "client": "The supper committee", "maker": "The kitchen",
        "quoted": QUOTED, "handover": DAY, "cost": COST, "rates": RATES, "inclusive": False,
        "lines": [PaperLine(text="A cake of two tiers", net=D("190.00"), tax="full"),
                  PaperLine(text="Delivery", net=D("60.00"), tax="full")],
        "included": ["boards"], "portion": "1 in × 2 in × 4 in", "allergens": "milk, egg, wheat",
        "terms": Terms(),
    }  # fmt: skip
    return quote(**{**given, **changes})


def test_sums_and_payments() -> None:
    offer = quotation()
    assert (offer.totals.net, offer.totals.tax, offer.totals.gross) == (D("250.00"), D("50.00"), D("300.00"))
    assert [(due.amount, due.on) for due in offer.dues] == [(D("90.00"), None), (D("210.00"), date(2027, 6, 12))]
    assert offer.valid_until == date(2027, 4, 16)


def test_ladder_keeps_what_is_sunk_by_then() -> None:
    rungs = {rung.days_before: rung for rung in ladder(COST, D("250.00"), D("300.00"), Terms(), DAY)}
    assert rungs[60].kept == 0
    # Two days before, the ingredients (50.00) are bought: 50 / 250 of 300.00.
    assert (rungs[2].sunk, rungs[2].kept, rungs[2].back) == (D("50.00"), D("60.00"), D("240.00"))
    assert rungs[0].sunk == COST.total.value
    assert rungs[7].until == date(2027, 6, 19)


@settings(max_examples=60, deadline=None)
@given(
    asked=st.integers(1, 100_000),
    lost=st.decimals(0, 1, places=2),
    step=st.sampled_from(["0", "1", "5"]),
)
def test_what_is_kept_never_falls_and_never_passes_the_price(asked: int, lost: Decimal, step: str) -> None:
    net = asked * coin("USD")
    gross = (net * D("1.2")).quantize(coin("USD"))
    rungs = ladder(COST, net, gross, Terms(lost_share=lost, step=D(step)), DAY)
    kept = [rung.kept for rung in rungs]
    assert kept == sorted(kept)
    assert all(0 <= one <= gross for one in kept)
    assert all(rung.kept + rung.back == gross for rung in rungs)
    assert all(rung.sunk == min(net, sunk(COST, rung.days_before)) for rung in rungs)


def test_a_retainer_above_what_is_sunk_is_asked_about() -> None:
    offer = quotation()
    assert question_on(offer.rungs, offer.dues[0].amount) is not None
    assert question_on(offer.rungs, D(0)) is None


@settings(max_examples=100)
@given(coins=st.integers(1, 10**7), share=st.decimals(0, 1, places=3), currency=st.sampled_from(["USD", "JPY", "KWD"]))
def test_payments_add_up_to_the_price(coins: int, share: Decimal, currency: str) -> None:
    gross = coins * coin(currency)
    parts = dues(gross, Terms(retainer=share), DAY, QUOTED, currency)
    assert sum(due.amount for due in parts) == gross


def test_a_change_is_told_in_words() -> None:
    old = quotation()
    changed = quotation(
        lines=[
            PaperLine(text="A cake of two tiers", net=D("190.00"), tax="full"),
            PaperLine(text="Twelve sugar flowers", net=D("80.00"), tax="full"),
            PaperLine(text="Delivery", net=D("65.00"), tax="full"),
        ],
        included=["boards", "a knife"],
        allergens="milk, egg, wheat, soy",
    )
    new = revise(old, changed)
    assert new.version == 2
    assert new.number == old.number
    assert new.changes == (
        "Added: Twelve sugar flowers, $80.00.",
        "Delivery: $65.00 instead of $60.00.",
        "Now included: a knife.",
        "The statement on allergens has changed: please read it again.",
        "Altogether $402.00, $102.00 more than before.",
    )
    assert revise(old, quotation()).changes == ("Nothing has changed.",)


def test_title_day_portion_and_terms_are_told_when_they_change() -> None:
    old = quotation()
    new = replace(
        old, title="Another cake", handover=old.handover + timedelta(days=1), portion="a finger", terms=("by the hour",)
    )
    said = difference(old, new)
    assert said[0] == f"The commission is now “Another cake”, before “{old.title}”."
    assert said[1].startswith("Handover on ")
    assert said[2] == f"A portion is now a finger; before, {old.portion}."
    assert said[3] == "The terms or the sums kept on cancellation have changed: please read them again."
    assert said[4].endswith(", as before.")
    assert len(said) == 5
    fewer = replace(old, included=(), rungs=old.rungs[1:])
    assert difference(old, fewer)[:-2] == tuple(f"No longer included: {text}." for text in old.included)
    assert difference(old, fewer)[-2] == said[3]


def test_an_offer_is_accepted_on_its_last_day_and_in_a_known_time_zone() -> None:
    offer = quotation()
    last = datetime.combine(offer.valid_until, datetime.min.time(), tzinfo=UTC)
    assert accept(offer, "A. Client", last).acceptance is not None
    with pytest.raises(BadInput, match="a day until"):
        accept(offer, "A. Client", last + timedelta(days=1))
    with pytest.raises(BadInput, match="with its zone"):
        accept(offer, "A. Client", last.replace(tzinfo=None))


def test_acceptance_keeps_name_time_and_the_exact_version() -> None:
    offer = quotation()
    when = datetime(2027, 4, 10, 20, 15, tzinfo=UTC)
    accepted = accept(offer, " A. Client ", when)
    assert accepted.acceptance is not None
    assert (accepted.acceptance.name, accepted.acceptance.version) == ("A. Client", 1)
    assert accepted.acceptance.mark == offer.mark == accepted.mark
    assert replace(offer, portion="other").mark != offer.mark
    with pytest.raises(BadInput):
        accept(accepted, "Someone else", when)
    with pytest.raises(BadInput):
        accept(offer, "Late", when + timedelta(days=20))
    with pytest.raises(BadInput):
        accept(offer, " ", when)


def test_a_quotation_of_nothing_is_refused() -> None:
    with pytest.raises(BadInput):
        quotation(lines=[])
    with pytest.raises(BadInput):
        quotation(handover=date(2027, 4, 1))


def test_where_nothing_would_have_been_earned_nothing_lost_is_kept() -> None:
    cost = COST.total.value
    for asked in (cost, cost - D("20.00")):
        rungs = ladder(COST, asked, asked, Terms(lost_share=D(1), lost_from_days=1000, rungs=(60, 2, 0)), DAY)
        # All of the share of no earnings: what is sunk by then, and no coin more.
        assert [rung.kept for rung in rungs] == [min(rung.sunk, asked) for rung in rungs]


def test_lost_earnings_count_from_their_own_day_on() -> None:
    asked = COST.total.value + D("100.00")
    terms = Terms(lost_share=D(1), lost_from_days=2, rungs=(3, 2), step=D("0.01"))
    sooner, on_the_day = ladder(COST, asked, asked, terms, DAY)
    assert sooner.kept == sooner.sunk
    assert on_the_day.kept == on_the_day.sunk + D("100.00")


def test_changes_are_welcome_until_so_many_days_before() -> None:
    # The handover is on 26 June 2027; fourteen days before it is the 12th.
    assert (DAY - date(2027, 6, 12)).days == 14
    assert "until 12 June 2027." in sentences(Terms(), DAY)[0]


def changed(name: str, days: int) -> dict[str, Any]:
    return {name: days}


@pytest.mark.parametrize("name", ["freeze_days", "balance_days", "lost_from_days", "valid_days"])
def test_terms_beyond_three_years_are_refused(name: str) -> None:
    for days in (0, 1000):
        assert getattr(replace(Terms(), **changed(name, days)), name) == days
    for days in (-1, 1001):
        with pytest.raises(OutOfRange):
            replace(Terms(), **changed(name, days))
