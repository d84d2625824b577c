"""What the money room says on every page of a commission: the accepted offer, on its line."""

from __future__ import annotations

from dataclasses import dataclass

from django import template
from django.utils.formats import date_format

from tierwright.web.access import zone_of
from tierwright.web.frame.desk import Desk, moments_of
from tierwright.web.frame.line import column_of
from tierwright.web.money.models import Acceptance

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
    if not desk.door.membership.owns:
        return None
    found = (
        Acceptance.objects.filter(offer__commission=desk.commission)
        .select_related("offer__version")
        .only("at", "offer__version__number", "offer__turn")
        .order_by("-offer__turn")
        .first()
    )
    if found is None:
        return None
    at = found.at.astimezone(zone_of(desk.door.kitchen))
    return Accepted(
        column=column_of(found.at, moments_of(desk.commission)), day=date_format(at, "j M"),
        version=found.offer.version.number,
    )  # fmt: skip
