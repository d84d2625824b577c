"""Whole numbers as they come in: from a form, an address, or a draft."""

from __future__ import annotations


def whole(text: str | None, digits: int = 8) -> int | None:
    """
    Read a whole number of plain digits.

    Parameters
    ----------
    text
        What came in.
    digits
        The most that are read: no key or count of ours is longer, and thousands of them are refused by Python itself.

    Returns
    -------
    number
        0 or more; None for anything else, such as a sign, another script's digits, or nothing.

    Examples
    --------
    >>> whole("12"), whole("\\u00b2"), whole("9" * 5000), whole("")
    (12, None, None, None)
    """
    return int(text) if text and len(text) <= digits and text.isascii() and text.isdigit() else None
