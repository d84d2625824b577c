"""What the money room says on every page of a commission: the accepted offer, on its line."""

from __future__ import annotations

from dataclasses import dataclass

from django import template

from tierwright.web.access import zone_of
from tierwright.web.dates import day_words
from tierwright.web.frame.desk import Desk, moments_of
from tierwright.web.frame.line import column_of

register = template.Library()


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """The latest acceptance: where it stands on the line, its day, and the version of the commission."""

    column: int
    day: str
    version: int


@register.simple_tag
def accepted_on_line(desk: Desk) -> Accepted | None:
    """Return where the line marks the accepted offer, or None while nothing is accepted."""
    found = desk.commission
    if not desk.door.membership.owns or found.accepted is None or found.accepted_at is None:
        return None
    at = found.accepted_at.astimezone(zone_of(desk.door.kitchen))
    column = column_of(found.accepted_at, moments_of(found))
    return Accepted(column=column, day=day_words(at, "j M"), version=found.accepted)
