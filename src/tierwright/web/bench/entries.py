"""Entries from the bench: read strictly, kept once, in the order in which they were made."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any, Final

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from tierwright.units import fahrenheit_to_celsius
from tierwright.web.access import Door
from tierwright.web.arriving import (
    Fate,
    Outcome,
    Unreadable,
    fate_before,
    moment_of,
    order_of,
    read_all,
    text_of,
    whole_of,
)
from tierwright.web.models import BenchEntry, Commission

MOST_AT_ONCE: Final = 200
OUNCE_G: Final = 28.349523125
"""International avoirdupois ounce (NIST Handbook 44, appendix C). [g]"""
LIMITS: Final[dict[str, tuple[str, float, float]]] = {
    "weight": ("g", 0.0, 100_000.0),
    "temperature": ("C", -40.0, 350.0),
    "minutes": ("min", 0.0, 6000.0),
}
"""What is measured, in which unit it is kept, and between which values. Chosen by us: no scale, probe or clock of a
kitchen shows more."""


class Done(StrEnum):
    """What an entry says."""

    TICK = "tick"
    UNTICK = "untick"
    WEIGHT = "weight"
    TEMPERATURE = "temperature"
    MINUTES = "minutes"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """One entry as a tablet sends it."""

    key: uuid.UUID
    version: int
    sheet: str
    step: str
    what: Done
    value: dict[str, Any]
    device: str
    order: int
    done_at: datetime


def read(raw: Any, head: int, now: datetime) -> Sent:
    """
    Read one entry.

    Parameters
    ----------
    raw
        What was sent.
    head
        The latest version of the commission.
    now
        The present moment.

    Raises
    ------
    Unreadable
        Anything is missing, of the wrong kind or beyond what can be.
    """
    if not isinstance(raw, dict):
        raise Unreadable(_("An entry is a table of names and values."))
    try:
        key = uuid.UUID(text_of(raw, "key", 40))
        what = Done(text_of(raw, "what", 40))
    except ValueError:
        raise Unreadable(_("The key or the kind of the entry is not known.")) from None
    version = whole_of(raw.get("version"), 1, head, _("There is no such version of the commission."))
    order = order_of(raw)
    at = moment_of(
        text_of(raw, "done_at", 40),
        now,
        unread=_("The moment is not a date and time with its zone."),
        wrong=_("The tablet's clock is wrong: set its date, then enter this again."),
    )
    return Sent(
        key=key,
        version=version,
        sheet=text_of(raw, "sheet", 40),
        step=text_of(raw, "step", 120),
        what=what,
        value=_value(what, raw.get("value")),
        device=text_of(raw, "device", 60),
        order=order,
        done_at=at,
    )


def _value(what: Done, raw: Any) -> dict[str, Any]:
    """Return a measured value in the program's own unit beside what was typed."""
    if what in (Done.TICK, Done.UNTICK):
        return {}
    if not isinstance(raw, dict):
        raise Unreadable(_("A measured value is a number with its unit."))
    number, unit = raw.get("number"), raw.get("unit")
    if not isinstance(number, int | float) or isinstance(number, bool) or not isinstance(unit, str):
        raise Unreadable(_("A measured value is a number with its unit."))
    kept, low, high = LIMITS[what.value]
    own = _in_own_unit(float(number), unit, kept)
    if not low <= own <= high:
        raise Unreadable(
            _("%(number)g %(unit)s cannot be: expected %(low)g to %(high)g %(kept)s.")
            % {"number": number, "unit": unit, "low": low, "high": high, "kept": kept}
        )
    return {"number": number, "unit": unit, kept.lower(): round(own, 3)}


def _in_own_unit(number: float, unit: str, kept: str) -> float:
    if unit == kept:
        return number
    if (unit, kept) == ("oz", "g"):
        return number * OUNCE_G
    if (unit, kept) == ("F", "C"):
        return fahrenheit_to_celsius(number)
    raise Unreadable(_("%(unit)s is not a unit of this value.") % {"unit": unit})


def take(door: Door, commission: Commission, raws: Sequence[Any]) -> list[Outcome]:
    """
    Keep what a tablet sends: each entry once, the earliest first.

    An entry that is sent again is answered as had, so that a tablet that lost the answer may safely ask again.
    """
    now = timezone.now()
    read_ones, outcomes = read_all(raws, lambda raw: read(raw, commission.head, now))
    with transaction.atomic():
        # One tablet after another: what is compared below stays as it was until this is written.
        Commission.objects.select_for_update().get(pk=commission.pk)
        known = BenchEntry.objects.in_bulk([sent.key for _place, sent in read_ones])
        taken = set(
            BenchEntry.objects.filter(
                commission=commission, device__in={sent.device for _place, sent in read_ones}
            ).values_list("device", "order")
        )
        for place, sent in read_ones:
            outcomes[place] = _take_one(door, commission, sent, known, taken)
    return [outcomes[place] for place in sorted(outcomes)]


def _take_one(
    door: Door,
    commission: Commission,
    sent: Sent,
    known: dict[Any, BenchEntry],
    taken: set[tuple[str, int]],
) -> Outcome:
    old = known.get(sent.key)
    mine = old is not None and old.commission_id == commission.pk
    stop = fate_before(sent, had=mine, elsewhere=old is not None, taken=(sent.device, sent.order) in taken)
    if stop is not None:
        return stop
    entry = BenchEntry.objects.create(
        key=sent.key,
        commission=commission,
        version=sent.version,
        sheet=sent.sheet,
        step=sent.step,
        what=sent.what.value,
        value=sent.value,
        device=sent.device,
        order=sent.order,
        done_at=sent.done_at,
        user=door.user,
    )
    known[sent.key] = entry
    taken.add((sent.device, sent.order))
    return Outcome(key=str(sent.key), fate=Fate.KEPT)


def standing(entries: Iterable[BenchEntry]) -> dict[str, dict[str, Any]]:
    """Return how each step stands after all its entries, in their order: ticked or not, and what was measured last."""
    found: dict[str, dict[str, Any]] = {}
    for entry in entries:
        step = found.setdefault(entry.step, {"ticked": False, "measured": {}})
        if entry.what in (Done.TICK, Done.UNTICK):
            step["ticked"] = entry.what == Done.TICK
        else:
            step["measured"][entry.what] = {"number": entry.value.get("number"), "unit": entry.value.get("unit")}
    return found
