"""Does a food need time and temperature control? The interaction tables of water activity and acidity."""

from __future__ import annotations

from enum import StrEnum
from functools import cache

from tierwright.errors import require_range
from tierwright.keeping.tables import rows


class Table(StrEnum):
    """Which table: by what the heat has done and whether the food was packed after it."""

    PACKED = "A"  # heated to destroy vegetative cells, then packaged
    OPEN = "B"  # not heated, or heated and not packaged: the usual one for a cake


class Category(StrEnum):
    """What a table says."""

    NON_TCS = "non-TCS"
    ASSESS = "PA"  # product assessment required: to be treated as TCS until it is made


@cache
def _cells(
    table: Table,
) -> tuple[tuple[tuple[float, bool, float, bool], tuple[float, bool, float, bool], Category], ...]:
    return tuple(
        (
            (float(one["aw_low"]), one["aw_low_in"] == "yes", float(one["aw_high"]), one["aw_high_in"] == "yes"),
            (float(one["ph_low"]), one["ph_low_in"] == "yes", float(one["ph_high"]), one["ph_high_in"] == "yes"),
            Category(one["category"]),
        )
        for one in rows("tcs")
        if one["table"] == table.value
    )


def _within(value: float, span: tuple[float, bool, float, bool]) -> bool:
    low, low_in, high, high_in = span
    return (value > low or (low_in and value == low)) and (value < high or (high_in and value == high))


def category(table: Table, water_activity: float, ph: float) -> Category:
    """
    Look a food up in an interaction table.

    Parameters
    ----------
    table
        Which table.
    water_activity
        [-], 0 to 1
    ph
        Acidity at equilibrium. [-], 0 to 14

    Returns
    -------
    category
        Non-TCS, or product assessment required.

    Raises
    ------
    OutOfRange
        Outside these spans.

    References
    ----------
    .. [1] FDA Food Code 2022, 1-201.10(B), time/temperature control for safety food, Tables A and B.

    Examples
    --------
    >>> category(Table.OPEN, 0.93, 4.4).value
    'PA'
    """
    require_range("water activity", water_activity, 0.0, 1.0, "")
    require_range("pH", ph, 0.0, 14.0, "")
    for activity_span, acid_span, answer in _cells(table):
        if _within(water_activity, activity_span) and _within(ph, acid_span):
            return answer
    raise AssertionError("the table's cells leave a gap")


def category_from(table: Table, water_activity: float | None, ph: float | None) -> Category:
    """
    Look up with only what has been measured: what was not is taken at its worst (aw 1, pH 14).

    Parameters
    ----------
    table
        Which table.
    water_activity, ph
        Measured values, or None. [-]
    """
    return category(table, 1.0 if water_activity is None else water_activity, 14.0 if ph is None else ph)
