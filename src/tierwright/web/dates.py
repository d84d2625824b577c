"""Days and moments in words, as the language of the page writes them."""

from __future__ import annotations

from datetime import date
from functools import lru_cache
from typing import Final

from django.utils.formats import date_format
from django.utils.translation import get_language

_AS_WRITTEN: Final = {"es": (("M", "b"), ("j F", r"j \d\e F"))}
"""
What stands in the place of what in a format. Django gives every short month a capital; Spanish writes months and days
of the week without one (RAE and ASALE, Diccionario panhispánico de dudas, under "mayúsculas"), and puts "de" before a
month that is written out.
"""


@lru_cache(maxsize=64)
def as_written(form: str, language: str) -> str:
    """Return a format of Django's as a language has it; names such as ``DATE_FORMAT`` are every language's own."""
    if form.isupper() and "_" in form:
        return form
    for ours, theirs in _AS_WRITTEN.get(language.partition("-")[0], ()):
        form = form.replace(ours, theirs)
    return form


def day_words(moment: date, form: str) -> str:
    """Return a day or a moment in words, such as ``Sat 26 Jun 2027``, in the language of the page."""
    return date_format(moment, as_written(form, get_language() or ""))
