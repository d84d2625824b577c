"""What the maker has recorded of each formula, as keeping takes it, and what is asked of old records."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from typing import Final

from tierwright.brief import Commission
from tierwright.brief.records import MeasuredAcidity, MeasuredActivity
from tierwright.keeping import Measurement
from tierwright.working import Question, Severity

Measured = Mapping[str, tuple[Measurement | None, Measurement | None]]
"""Water activity and pH that the maker has recorded, by formula."""
GOOD_FOR: Final = timedelta(days=365)
"""After so long a record is asked about. Common practice: once a year, and with every change of the formula."""


def recorded(commission: Commission) -> dict[str, tuple[Measurement | None, Measurement | None]]:
    """Return the water activity and pH recorded with each formula of a commission."""
    return {
        sheet.key: (_of(sheet.measured.water_activity), _of(sheet.measured.ph))
        for sheet in commission.formulas
        if sheet.measured is not None
    }


def _of(one: MeasuredActivity | MeasuredAcidity | None) -> Measurement | None:
    return None if one is None else Measurement(value=one.value, method=one.method, on=one.on.isoformat(), by=one.by)


def doubts(commission: Commission) -> Iterator[Question]:
    """Yield a question for every record that is older than a year on the day, or dated after it."""
    for sheet in commission.formulas:
        if sheet.measured is None:
            continue
        for what, one in (("water activity", sheet.measured.water_activity), ("pH", sheet.measured.ph)):
            if one is None or _is_fresh(one.on, commission.day.day):
                continue
            yield Question(
                key=f"keeping.record.{sheet.key}.{what.replace(' ', '_').lower()}",
                severity=Severity.ASK,
                sheet="keeping",
                text=f"The {what} of {sheet.name} was measured on {one.on:%d %B %Y}. Does that still hold?",
                reason="A record holds for one formula, its suppliers and its cooking, as they were that day.",
                figure=f"{one.value:g} by {one.method}, {one.by}",
                change="measure it again, or take the record out until it is",
            )


def _is_fresh(on: date, day: date) -> bool:
    return day - GOOD_FOR <= on <= day
