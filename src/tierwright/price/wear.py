"""What equipment costs by the year and by the use, and markup against margin."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from tierwright.errors import require_range

CENT = Decimal("0.01")


def straight_line(cost: Decimal, residual: Decimal, years: int) -> tuple[Decimal, ...]:
    """
    Return what a thing loses each year, in equal parts.

    Parameters
    ----------
    cost, residual
        Price, and what it is worth at the end.
    years
        Years of use. [-]

    Returns
    -------
    yearly
        To the hundredth; the last year takes the rounding, so that all add up to cost less residual.
    """
    _check(cost, residual, years)
    each = ((cost - residual) / years).quantize(CENT, ROUND_HALF_UP)
    return (*([each] * (years - 1)), cost - residual - each * (years - 1))


def declining_balance(cost: Decimal, residual: Decimal, years: int, rate: Decimal = Decimal(2)) -> tuple[Decimal, ...]:
    """
    Return what a thing loses each year, most at first.

    Parameters
    ----------
    cost, residual, years
        As for ``straight_line``.
    rate
        Multiple of the straight-line rate; 2 is the double-declining balance. [-]

    Returns
    -------
    yearly
        Book value × rate / years each year, and never below the residual; the last year goes down to it.
    """
    _check(cost, residual, years)
    book = cost
    lost: list[Decimal] = []
    for year in range(1, years + 1):
        loss = (book * rate / years).quantize(CENT, ROUND_HALF_UP) if year < years else book - residual
        loss = max(Decimal(0), min(loss, book - residual))
        lost.append(loss)
        book -= loss
    return tuple(lost)


def by_use(cost: Decimal, residual: Decimal, uses: int) -> Decimal:
    """Return what one use of a thing costs, over the uses that it lasts. [money/use]"""
    _check(cost, residual, uses)
    return (cost - residual) / uses


def annuity(present: Decimal, rate: Decimal, periods: int) -> Decimal:
    """
    Return the equal payment at the end of each period that pays a sum off with interest.

    Parameters
    ----------
    present
        Sum today.
    rate
        Interest of a period. [-], 0.08 for eight per cent
    periods
        Number of payments. [-]

    Notes
    -----
    A = P i (1 + i)^n / ((1 + i)^n - 1), the capital recovery formula [1]_; P / n without interest.

    References
    ----------
    .. [1] Newnan, Eschenbach and Lavelle, Engineering Economic Analysis, eq. 4-6 and Example 4-3.
    """
    require_range("interest", float(rate), 0.0, 5.0, "a period", "annuity")
    require_range("periods", periods, 1, 1200, "periods", "annuity")
    if rate == 0:
        return present / periods
    growth = (1 + rate) ** periods
    return present * rate * growth / (growth - 1)


def margin_of_markup(markup: Decimal) -> Decimal:
    """Return the share of the price that a markup on cost leaves: m / (1 + m). [-]"""
    require_range("markup", float(markup), 0.0, 100.0, "share", "markup")
    return markup / (1 + markup)


def markup_of_margin(margin: Decimal) -> Decimal:
    """Return the markup on cost that leaves a margin on the price: r / (1 - r). [-]"""
    require_range("margin", float(margin), 0.0, 0.99, "share", "margin")
    return margin / (1 - margin)


def _check(cost: Decimal, residual: Decimal, periods: int) -> None:
    require_range("years or uses", periods, 1, 10_000_000, "times", "wear")
    require_range("cost", float(cost), 0.0, 1e7, "in money", "wear")
    require_range("residual value", float(residual), 0.0, float(cost), "in money", "wear")
