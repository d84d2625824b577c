"""Coins: every way of adding up comes to the same sum."""

from __future__ import annotations

import random
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import BadInput, OutOfRange, UnknownName
from tierwright.price import PaperLine, TaxRate, add_up, coin, net_of, rounded_up, shared, show_money, to_coins

D = Decimal
CURRENCIES = ("USD", "EUR", "GBP", "JPY", "KWD")  # two, two, two, no and three decimals (ISO 4217)
RATES = (
    TaxRate(key="full", name="full rate", rate=D("0.2")),
    TaxRate(key="low", name="lower rate", rate=D("0.055")),
    TaxRate(key="odd", name="odd rate", rate=D("0.08875")),
)


@pytest.mark.parametrize(("currency", "step"), [("USD", "0.01"), ("JPY", "1"), ("KWD", "0.001")])
def test_coins_follow_iso_4217(currency: str, step: str) -> None:
    assert coin(currency) == D(step)


def test_10_000_random_papers_add_up_to_the_coin() -> None:
    draw = random.Random(11)
    for number in range(10_000):
        currency = CURRENCIES[number % len(CURRENCIES)]
        step = coin(currency)
        lines = [
            PaperLine(text="x", net=draw.randint(0, 200_000) * step, tax=draw.choice(["full", "low", "odd", ""]))
            for _ in range(draw.randint(1, 9))
        ]
        before, with_tax = (add_up(lines, RATES, currency, inclusive=way) for way in (False, True))
        assert sum(before.shown) == before.net == sum(line.net for line in lines)
        assert sum(with_tax.shown) == with_tax.gross == before.gross == before.net + before.tax
        assert sum(one.gross for one in with_tax.rates) == with_tax.gross
        assert all(amount % step == 0 for amount in (*with_tax.shown, with_tax.tax))
        # A line shown with tax is never further than a coin from its own.
        table = {rate.key: rate.rate for rate in RATES} | {"": D(0)}
        for line, shown in zip(lines, with_tax.shown, strict=True):
            assert abs(shown - line.net * (1 + table[line.tax])) < 2 * step


@settings(max_examples=300)
@given(
    coins=st.integers(0, 10_000_000),
    rate=st.decimals(min_value=0, max_value=1, places=5),
    currency=st.sampled_from(CURRENCIES),
)
def test_inclusive_and_exclusive_agree(coins: int, rate: Decimal, currency: str) -> None:
    net = coins * coin(currency)
    gross = net + to_coins(net * rate, currency)
    assert net_of(gross, rate, currency) == net


@settings(max_examples=200)
@given(
    coins=st.integers(0, 10**9),
    weights=st.lists(st.decimals(min_value=0, max_value=10**6, places=4), min_size=1, max_size=12),
    currency=st.sampled_from(CURRENCIES),
)
def test_sharing_loses_no_coin_and_stays_within_one(coins: int, weights: list[Decimal], currency: str) -> None:
    total = coins * coin(currency)
    parts = shared(total, weights, currency)
    assert sum(parts) == total
    if sum(weights) > 0:
        for part, weight in zip(parts, weights, strict=True):
            assert abs(part - total * weight / sum(weights)) <= coin(currency)


def test_a_discount_line_takes_its_tax_off_again() -> None:
    lines = [PaperLine(text="cake", net=D("100.00"), tax="full"), PaperLine(text="less", net=D("-10.00"), tax="full")]
    totals = add_up(lines, RATES, "GBP", inclusive=True)
    assert totals.shown == (D("120.00"), D("-12.00"))
    assert totals.gross == D("108.00")


def test_rounding_up_to_a_step() -> None:
    assert rounded_up(D("243.3125"), D(0), "USD") == D("243.32")
    assert rounded_up(D("240.00"), D(5), "USD") == D("240.00")
    assert rounded_up(D("240.01"), D(5), "USD") == D("245.00")
    assert rounded_up(D("240.01"), D("0.05"), "JPY") == D(241)


def test_amounts_are_written_as_people_of_the_place_write_them() -> None:
    # Unicode CLDR: a thin or plain no-break space may stand before the euro sign.
    assert show_money(D("1150"), "USD") == "$1,150.00"
    assert show_money(D("1150"), "EUR", "de_DE").replace("\xa0", " ") == "1.150,00 €"
    assert show_money(D("1150"), "JPY", "en_US") == "¥1,150"


def test_a_rate_that_nobody_entered_is_refused() -> None:
    with pytest.raises(UnknownName):
        add_up([PaperLine(text="x", net=D(1), tax="fulll")], RATES, "USD")


@pytest.mark.parametrize(
    ("total", "weights"),
    [("1.00", []), ("-0.01", ["1"]), ("1.005", ["1"]), ("1.00", ["2", "-0.01"])],
)
def test_what_cannot_be_shared_is_refused(total: str, weights: list[str]) -> None:
    with pytest.raises(BadInput):
        shared(D(total), [D(weight) for weight in weights], "USD")


def test_nothing_among_nobody_is_nothing_and_no_weight_shares_evenly() -> None:
    assert shared(D(0), [], "USD") == ()
    assert shared(D("0.05"), [D(0)] * 3, "USD") == (D("0.02"), D("0.02"), D("0.01")), "of equals the earlier gets more"
    assert shared(D("0.10"), [D("0.5"), D("0.25"), D("0.25")], "USD") == (D("0.05"), D("0.03"), D("0.02"))


@pytest.mark.parametrize("rate", ["-0.01", "1.01"])
def test_a_rate_that_is_no_share_is_refused(rate: str) -> None:
    with pytest.raises(OutOfRange, match="tax rate"):
        net_of(D(100), D(rate), "USD")
    assert net_of(D(200), D(1), "USD") == 100
    assert net_of(D(100), D(0), "USD") == 100


def test_half_a_coin_of_tax_goes_up() -> None:
    # 0.10 at 5 % is half a cent; 0.09 is less than that.
    half = TaxRate(key="half", name="half", rate=D("0.05"))
    for net, tax in (("0.10", "0.01"), ("0.09", "0.00"), ("0.30", "0.02")):
        assert add_up([PaperLine(text="x", net=D(net), tax="half")], (half,), "USD").tax == D(tax)


def test_a_line_of_nought_leaves_the_others_their_share() -> None:
    # 6.67 % of 0.30 is two cents over three equal lines: the earlier bear one each, the line of nought none.
    rate = TaxRate(key="r", name="r", rate=D("0.0667"))
    lines = [PaperLine(text="x", net=D(net), tax="r") for net in ("0.00", "0.10", "0.10", "0.10")]
    assert add_up(lines, (rate,), "USD", inclusive=True).shown == (D("0.00"), D("0.11"), D("0.11"), D("0.10"))


def test_lines_below_one_share_the_coins_by_the_largest_remainder() -> None:
    # Two cents of tax over three equal lines of a tenth: 2/3 cent each; of equal remainders the earlier gets the coin.
    rate = TaxRate(key="r", name="r", rate=D("0.0667"))
    lines = [PaperLine(text="x", net=D("0.10"), tax="r")] * 3
    assert add_up(lines, (rate,), "USD", inclusive=True).shown == (D("0.11"), D("0.11"), D("0.10"))
