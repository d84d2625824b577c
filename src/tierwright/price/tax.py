"""Sums with tax: inclusive and exclusive, so that both say the same to the coin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from tierwright.errors import UnknownName, require_range
from tierwright.price.currency import shared, to_coins


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxRate:
    """A rate of tax as the maker has entered it: its key, its name on paper, and the rate. [-], 0.2 for 20 %"""

    key: str
    name: str
    rate: Decimal

    def __post_init__(self) -> None:
        require_range("tax rate", float(self.rate), 0.0, 1.0, "share", self.key)


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperLine:
    """One line of a quotation or invoice: words, amount before tax in whole coins, and the key of its rate."""

    text: str
    net: Decimal
    tax: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxSum:
    """The lines of one rate together: before tax, tax, and with tax."""

    key: str
    name: str
    rate: Decimal
    net: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        """With tax."""
        return self.net + self.tax


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """
    A paper added up.

    Attributes
    ----------
    net, tax, gross
        Before tax, tax, and to pay.
    rates
        By rate.
    shown
        For each line the amount that is printed: before tax, or with it where prices are shown inclusive. They add up
        to ``net`` or to ``gross``.
    inclusive
        Which.
    """

    net: Decimal
    tax: Decimal
    gross: Decimal
    rates: tuple[TaxSum, ...]
    shown: tuple[Decimal, ...]
    inclusive: bool


def add_up(lines: Sequence[PaperLine], rates: Sequence[TaxRate], currency: str, *, inclusive: bool = False) -> Totals:
    """
    Add lines up.

    Parameters
    ----------
    lines
        With amounts before tax, whole coins.
    rates
        The maker's table.
    currency
        Of every amount.
    inclusive
        Whether lines are shown with their tax.

    Raises
    ------
    UnknownName
        A line names a rate that the table does not have.

    Notes
    -----
    Tax is worked on the sum of each rate and rounded once, halves up; inclusive amounts of lines are shared out of
    that rate's gross sum by largest remainder, so that no coin is won or lost by the way of showing.
    """
    table = {rate.key: rate for rate in rates}
    table.setdefault("", TaxRate(key="", name="no tax", rate=Decimal(0)))
    for line in lines:
        if line.tax not in table:
            raise UnknownName("tax rate", line.tax, list(table))
    sums: list[TaxSum] = []
    shown = [line.net for line in lines]
    for key in dict.fromkeys(line.tax for line in lines):
        rate = table[key]
        places = [n for n, line in enumerate(lines) if line.tax == key]
        net = sum((lines[n].net for n in places), Decimal(0))
        tax = to_coins(net * rate.rate, currency)
        sums.append(TaxSum(key=key, name=rate.name, rate=rate.rate, net=net, tax=tax))
        if inclusive and tax:
            # Only the tax is shared out, so that a line of nought (or a discount) stays what it is.
            parts = _tax_parts(tax, [lines[n].net for n in places], currency)
            for place, part in zip(places, parts, strict=True):
                shown[place] += part
    net = sum((one.net for one in sums), Decimal(0))
    tax = sum((one.tax for one in sums), Decimal(0))
    return Totals(net=net, tax=tax, gross=net + tax, rates=tuple(sums), shown=tuple(shown), inclusive=inclusive)


def net_of(gross: Decimal, rate: Decimal, currency: str) -> Decimal:
    """
    Return what a price with tax is before it.

    Notes
    -----
    gross / (1 + rate), rounded to a coin. For any net in whole coins, ``net_of(net + tax(net)) == net``: the rounded
    tax is off by half a coin at most, and less than that after the division.
    """
    require_range("tax rate", float(rate), 0.0, 1.0, "share", "tax")
    return to_coins(gross / (1 + rate), currency)


def _tax_parts(tax: Decimal, nets: Sequence[Decimal], currency: str) -> tuple[Decimal, ...]:
    """Share tax out over lines; discounts (negative lines) take their part off again."""
    if min(nets) >= 0:
        return shared(tax, nets, currency)
    exact = [tax * net / sum(nets) for net in nets]
    parts = [to_coins(one, currency) for one in exact]
    # Whatever rounding left over goes to the greatest line, where it shows least.
    greatest = max(range(len(nets)), key=lambda n: nets[n])
    parts[greatest] += tax - sum(parts)
    return tuple(parts)
