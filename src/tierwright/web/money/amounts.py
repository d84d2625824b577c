"""What a person types for money, days and words: read whole, or refused with the reason beside the field."""

from __future__ import annotations

from datetime import date
from decimal import Decimal, InvalidOperation

from django.utils.translation import gettext as _

from tierwright.price import coin

MOST = Decimal(10_000_000)


def read_amount(text: str, currency: str, *, least: Decimal | None = None) -> tuple[Decimal | None, str]:
    """
    Read an amount of money.

    Parameters
    ----------
    text
        As typed; a decimal comma is as good as a point where it cannot be taken for thousands.
    currency
        Whose coins it has to be in.
    least
        The least that it may be; None asks for more than nought.

    Returns
    -------
    amount, wrong
        The amount, or None and why.
    """
    plain = text.strip().replace("\N{NO-BREAK SPACE}", "").replace(" ", "")
    if plain.count(",") == 1 and "." not in plain and len(plain.partition(",")[2]) != 3:
        plain = plain.replace(",", ".")
    try:
        amount = Decimal(plain)
    except InvalidOperation:
        return None, _("Found %(found)s; expected an amount such as 120.00.") % {"found": text[:40] or _("nothing")}
    step = coin(currency)
    low = least if least is not None else step
    if not amount.is_finite() or not low <= amount <= MOST:
        return None, _("Found %(found)s; expected an amount from %(low)s on.") % {"found": text[:40], "low": low}
    if amount % step != 0:
        return None, _("Found %(found)s; expected whole coins of %(currency)s, such as %(step)s.") % {
            "found": text[:40], "currency": currency, "step": amount.quantize(step),
        }  # fmt: skip
    return amount.quantize(step), ""


def read_day(text: str) -> tuple[date | None, str]:
    """Read a day such as 2027-06-12; nothing typed is no day and nothing wrong."""
    if not text.strip():
        return None, ""
    try:
        return date.fromisoformat(text.strip()), ""
    except ValueError:
        return None, _("Found %(found)s; expected a day such as 2027-06-12.") % {"found": text[:40]}
