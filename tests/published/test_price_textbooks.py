"""Depreciation, annuity, markup and robust mean against textbooks."""

from __future__ import annotations

from decimal import Decimal
from statistics import fmean, stdev

import pytest

from tierwright.larder import robust
from tierwright.price import (
    annuity,
    by_use,
    declining_balance,
    margin_of_markup,
    markup_of_margin,
    straight_line,
)

D = Decimal


def test_straight_line_and_units_of_use() -> None:
    # OpenStax, Principles of Accounting 1 (2019), section 11.3: a press of 58,000 with a salvage value of 10,000 over
    # five years loses 9,600 a year; over 480,000 prints 0.10 each.
    assert straight_line(D(58_000), D(10_000), 5) == (D("9600.00"),) * 5
    assert by_use(D(58_000), D(10_000), 480_000) == D("0.1")


def test_double_declining_balance() -> None:
    # The same press: 23,200, 13,920, 8,352, then 2,528 down to the salvage value, and nothing in the fifth year.
    assert declining_balance(D(58_000), D(10_000), 5) == (D(23_200), D(13_920), D(8_352), D(2_528), D(0))


def test_capital_recovery() -> None:
    # Newnan, Eschenbach and Lavelle, Engineering Economic Analysis, Example 4-3: 5,000 at 8 % over five years is
    # repaid by 1,252 a year (printed to whole dollars).
    assert annuity(D(5000), D("0.08"), 5) == pytest.approx(D(1252), abs=D("0.5"))


def test_annuity_pays_itself_off() -> None:
    payment = annuity(D(5000), D("0.08"), 5)
    owed = D(5000)
    for _ in range(5):
        owed = owed * D("1.08") - payment
    assert abs(owed) < D("1e-15")


@pytest.mark.parametrize(
    ("markup", "margin"),
    # Pairs printed in every table of retail mathematics: 25 % on cost is 20 % of the price, and so on.
    [("0.25", "0.2"), ("0.5", "0.3333"), ("1", "0.5"), ("0.1111", "0.1"), ("3", "0.75")],
)
def test_markup_and_margin(markup: str, margin: str) -> None:
    assert margin_of_markup(D(markup)) == pytest.approx(D(margin), abs=D("0.0001"))
    assert markup_of_margin(D(margin)) == pytest.approx(D(markup), abs=D("0.0003"))


SEVEN = [4.5, 4.9, 5.6, 4.2, 6.2, 5.2, 9.9]


def test_robust_mean_of_the_technical_brief() -> None:
    # Analytical Methods Committee, AMC Technical Brief 6 (2001): mean 5.79 and standard deviation 1.90, but robust
    # mean 5.36 and spread 1.15. Its figures from memory; the brief stops its iteration by hand, which is worth a few
    # hundredths in the mean.
    centre, spread = robust(SEVEN)
    assert spread == pytest.approx(1.15, abs=0.005)
    assert centre == pytest.approx(5.36, abs=0.04)


def test_robust_mean_stands_where_it_says() -> None:
    # The defining equations of H15 (AMC, Analyst 114 (1989) 1693): mean and 1.134 times the standard deviation of the
    # values pulled in to 1.5 spreads give centre and spread back.
    centre, spread = robust(SEVEN)
    pulled = [min(max(x, centre - 1.5 * spread), centre + 1.5 * spread) for x in SEVEN]
    assert fmean(pulled) == pytest.approx(centre, abs=1e-8)
    assert 1.134 * stdev(pulled) == pytest.approx(spread, abs=1e-8)
    moved = robust([10 * x + 3 for x in SEVEN])
    assert moved == pytest.approx((10 * centre + 3, 10 * spread), abs=1e-6)
