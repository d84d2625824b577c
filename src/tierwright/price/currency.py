"""Money: amounts in whole coins of a currency, shared out without losing one, and as a person reads them."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from functools import cache

from tierwright.errors import BadInput, Problem

CURRENCY_SHAPE = 3


@cache
def coin(currency: str) -> Decimal:
    """
    Return the smallest step of a currency, such as 0.01 for USD, 1 for JPY, 0.001 for KWD.

    Raises
    ------
    BadInput
        No currency of ISO 4217 is called so.

    References
    ----------
    .. [1] ISO 4217, minor units, as Unicode CLDR carries them.
    """
    from babel import Locale
    from babel.numbers import get_currency_precision

    if len(currency) != CURRENCY_SHAPE or currency not in Locale("en").currencies:
        raise BadInput([Problem(place="currency", found=repr(currency), expected="a code of ISO 4217, such as EUR")])
    return Decimal(1).scaleb(-get_currency_precision(currency))


def to_coins(amount: Decimal, currency: str) -> Decimal:
    """Round an amount to whole coins, halves away from nought."""
    return amount.quantize(coin(currency), rounding=ROUND_HALF_UP)


def rounded_up(amount: Decimal, step: Decimal, currency: str) -> Decimal:
    """Round an amount up to a whole number of steps, such as to the next five; a step of nought is one coin."""
    step = max(step, coin(currency))
    return to_coins((amount / step).to_integral_value(rounding=ROUND_CEILING) * step, currency)


def shared(total: Decimal, weights: Sequence[Decimal], currency: str) -> tuple[Decimal, ...]:
    """
    Share a total out in whole coins so that the parts add up to it exactly.

    Parameters
    ----------
    total
        A whole number of coins, not negative.
    weights
        What each part weighs, not negative; all nought shares evenly.
    currency
        Whose coins.

    Notes
    -----
    The method of the largest remainder: whole coins first, then one more to those that were cut most; of equal
    remainders the earlier gets it.
    """
    if not weights:
        if total:
            raise BadInput([Problem(place="shares", found="none", expected="at least one to bear the total")])
        return ()
    step = coin(currency)
    coins = int((total / step).to_integral_value())
    if coins * step != total or total < 0 or min(weights) < 0:
        raise BadInput([Problem(place="shares", found=f"{total}", expected="whole coins and weights from nought up")])
    heavy = [*weights] if sum(weights) > 0 else [Decimal(1)] * len(weights)
    # In whole numbers, so that no rounding of a quotient can lose a coin.
    scale = max(0, *(-_exponent(weight) for weight in heavy))
    parts = [int(weight.scaleb(scale)) for weight in heavy]
    total_parts = sum(parts)
    floors = [coins * part // total_parts for part in parts]
    rest = [coins * part % total_parts for part in parts]
    for place in sorted(range(len(parts)), key=lambda n: (-rest[n], n))[: coins - sum(floors)]:
        floors[place] += 1
    return tuple(floor * step for floor in floors)


def _exponent(amount: Decimal) -> int:
    exponent = amount.as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0


def show_money(amount: Decimal, currency: str, locale: str = "en_US") -> str:
    """Return an amount as people of a locale (CLDR) write it, such as ``$1,150.00``."""
    from babel.numbers import format_currency

    return format_currency(to_coins(amount, currency), currency, locale=locale)
