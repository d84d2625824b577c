"""Names of days and months inside what the rooms say, in the language of the page."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from babel.dates import get_day_names, get_month_names

OF: Final = {"es": " de "}
"""What stands between day, month and year where they are written out; a space in other languages."""
ENGLISH: Final = "en_US"


@lru_cache(maxsize=8)
def _names(language: str) -> tuple[dict[str, str], dict[str, str]]:
    """Return the English names of days and of months, long and short, with those of a language."""
    days: dict[str, str] = {}
    months: dict[str, str] = {}
    for width in ("abbreviated", "wide"):
        for named, get in ((days, get_day_names), (months, get_month_names)):
            there = get(width, locale=language)
            named |= {name: there[key] for key, name in get(width, locale=ENGLISH).items()}
    return days, months


@lru_cache(maxsize=8)
def _shape(language: str) -> re.Pattern[str]:
    days, months = ("|".join(sorted(names, key=len, reverse=True)) for names in _names(language))
    time = r"\d{1,2}:\d\d"
    return re.compile(
        rf"\b(?:(?P<weekday>{days})(?P<gap>,? ))?(?P<day>\d{{1,2}}) (?P<month>{months})\b(?: (?P<year>\d{{4}})\b)?"
        rf"|\b(?P<alone>{days})(?=,? {time}\b)|\b(?P<of>{months}) (?P<in>\d{{4}})\b"
    )


def dates_in(text: str, language: str) -> str:
    """
    Return a value with its dates in another language, such as ``12 de septiembre de 2026``.

    A name counts where a day, a year or a time stands beside it; a day of the week also by itself. Other words stay:
    somebody may be called May.
    """
    days, months = _names(language)
    of = OF.get(language, " ")
    if len(text) > 3 and text in days:
        return days[text]

    def said(found: re.Match[str]) -> str:
        if found["alone"]:
            return days[found["alone"]]
        joined = of if len(found["month"] or found["of"]) > 3 or "May" in (found["month"], found["of"]) else " "
        if found["of"]:
            return f"{months[found['of']]}{joined}{found['in']}"
        weekday = f"{days[found['weekday']]}{found['gap']}" if found["weekday"] else ""
        return weekday + joined.join(part for part in (found["day"], months[found["month"]], found["year"]) if part)

    return _shape(language).sub(said, text)
