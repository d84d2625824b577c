"""Quotations in versions: written from the commission as it stands, kept to the last word, accepted once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import lru_cache
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone
from pydantic import TypeAdapter

from tierwright.dossier.money_stage import quotation_stage
from tierwright.errors import BadInput, Problem
from tierwright.price import Quotation, accept, revise
from tierwright.web.access import Door, language_of, zone_of
from tierwright.web.frame.desk import dossier_of
from tierwright.web.models import ClientLink, Commission, Kitchen, Version
from tierwright.web.money.models import Acceptance, Offer, Withdrawal

LOCALES = {"en": "en_US", "en-gb": "en_GB", "es": "es"}


def locale_of(kitchen: Kitchen) -> str:
    """Return how amounts are written on a kitchen's papers."""
    return LOCALES.get(language_of(kitchen), "en_US")


@lru_cache(maxsize=1)
def _adapter() -> TypeAdapter[Quotation]:
    return TypeAdapter(Quotation)


def quotation_of(offer: Offer) -> Quotation:
    """Return what an offer says."""
    return _adapter().validate_python(offer.content)


def content_of(quotation: Quotation) -> dict[str, Any]:
    """Return a quotation as an offer keeps it."""
    plain: dict[str, Any] = _adapter().dump_python(quotation, mode="json")
    return plain


class Standing(StrEnum):
    """How an offer stands."""

    OPEN = "open"
    ACCEPTED = "accepted"
    WITHDRAWN = "withdrawn"
    ENDED = "ended"
    OVERTAKEN = "overtaken"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stood:
    """An offer with how it stands on a day."""

    offer: Offer
    standing: Standing

    @property
    def accepted(self) -> Acceptance | None:
        """Who has accepted it, or None."""
        return getattr(self.offer, "acceptance", None)


def today_of(kitchen: Kitchen) -> date:
    """Return the day on the kitchen's clock."""
    return timezone.now().astimezone(zone_of(kitchen)).date()


def offers_of(commission: Commission) -> list[Stood]:
    """Return every version of a commission's quotation, the latest first, each with how it stands."""
    found = list(
        Offer.objects.filter(commission=commission)
        .select_related("acceptance", "withdrawal", "version")
        .order_by("-turn")
    )
    today = today_of(commission.kitchen)
    newest = found[0].turn if found else 0
    return [Stood(offer=offer, standing=_standing(offer, newest, today)) for offer in found]


def _standing(offer: Offer, newest: int, today: date) -> Standing:
    if getattr(offer, "acceptance", None) is not None:
        return Standing.ACCEPTED
    if getattr(offer, "withdrawal", None) is not None:
        return Standing.WITHDRAWN
    if offer.turn < newest:
        return Standing.OVERTAKEN
    return Standing.ENDED if offer.valid_until < today else Standing.OPEN


def propose(commission: Commission, version: Version) -> Quotation:
    """
    Write the next version of a commission's quotation, without keeping it.

    Raises
    ------
    BadInput
        There is nothing to offer, or the handover has passed.
    """
    kitchen = commission.kitchen
    dossier = dossier_of(version)
    last = Offer.objects.filter(commission=commission).order_by("-turn").first()
    today = today_of(kitchen)
    written = quotation_stage(
        dossier.commission,
        dossier.kitchen,
        dossier.sizing,
        dossier.formulas,
        dossier.price,
        number=last.number if last is not None else _next_number(kitchen, today),
        quoted=today,
    )
    return revise(quotation_of(last), written, locale_of(kitchen)) if last is not None else written


def _next_number(kitchen: Kitchen, day: date) -> str:
    stem = f"Q{day.year}-"
    count = Offer.objects.filter(kitchen=kitchen, turn=1, number__startswith=stem).count()
    return f"{stem}{count + 1:04}"


def make(door: Door, commission: Commission, version: Version, seen: str) -> Offer:
    """
    Keep the next version of a quotation and put it before the client.

    Parameters
    ----------
    door, commission, version
        Who offers, and what.
    seen
        Mark of the content that the maker has seen.

    Raises
    ------
    BadInput
        It would say something else than what the maker has seen.
    """
    with transaction.atomic():
        Kitchen.objects.select_for_update().get(pk=door.kitchen.pk)
        row = Commission.objects.select_for_update().get(pk=commission.pk)
        written = propose(row, version)
        if written.mark != seen or row.head != version.number:
            raise BadInput([Problem(place="quotation", found="another content", expected="what you have seen")])
        offer = Offer(
            kitchen=door.kitchen,
            commission=row,
            version=version,
            number=written.number,
            turn=written.version,
            content=content_of(written),
            mark=written.mark,
            valid_until=written.valid_until,
            made_by=door.user.get_username(),
        )
        offer.save()
        row.quoted = version.number
        row.save(update_fields=["quoted"])
        door.note("offered", f"{offer}, mark {offer.mark}", row)
    return offer


def withdraw(door: Door, offer: Offer) -> None:
    """
    Take an offer back.

    Raises
    ------
    BadInput
        It has been accepted already.
    """
    with transaction.atomic():
        Commission.objects.select_for_update().get(pk=offer.commission_id)
        if Acceptance.objects.filter(offer=offer).exists():
            raise BadInput([Problem(place="quotation", found="accepted already", expected="one that nobody accepted")])
        made, fresh = Withdrawal.objects.get_or_create(offer=offer, defaults={"made_by": door.user.get_username()})
        if fresh:
            door.note("offer withdrawn", f"{made.offer}", offer.commission)


class Answer(StrEnum):
    """What became of a client's acceptance."""

    ACCEPTED = "accepted"
    HAD = "had"  # the same person sent it twice
    TAKEN = "taken"  # it had been accepted before, by somebody else's name
    CHANGED = "changed"  # another version stands by now
    CLOSED = "closed"  # withdrawn or no longer valid


def accept_offer(commission: Commission, link: ClientLink | None, turn: int, mark: str, name: str) -> Answer:
    """
    Accept the version that the client has read: once, with name, time and its mark.

    Parameters
    ----------
    commission, link
        Whose, and through which link.
    turn, mark
        The version that the client has read.
    name
        Of whoever accepts.

    Raises
    ------
    BadInput
        There is no name.
    """
    with transaction.atomic():
        Commission.objects.select_for_update().get(pk=commission.pk)
        stood = offers_of(commission)
        newest = stood[0] if stood else None
        if newest is None or newest.offer.turn != turn or newest.offer.mark != mark:
            return Answer.CHANGED
        if newest.accepted is not None:
            return Answer.HAD if newest.accepted.name == name.strip() else Answer.TAKEN
        if newest.standing is not Standing.OPEN:
            return Answer.CLOSED
        now = timezone.now().astimezone(zone_of(commission.kitchen))
        done = accept(quotation_of(newest.offer), name, now)
        kept = done.acceptance
        assert kept is not None
        try:
            with transaction.atomic():
                Acceptance(
                    offer=newest.offer, name=kept.name, at=kept.at, clock=kept.at.isoformat(), mark=newest.offer.mark,
                    link=link,
                ).save()  # fmt: skip
        except IntegrityError:
            return Answer.TAKEN
        Commission.objects.filter(pk=commission.pk).update(accepted=newest.offer.version.number, accepted_at=kept.at)
    return Answer.ACCEPTED


def accepted_of(offer: Offer) -> Quotation:
    """Return an offer as a quotation that carries its acceptance, where it has one."""
    from dataclasses import replace
    from datetime import datetime

    from tierwright.price import Acceptance as Kept

    quotation = quotation_of(offer)
    kept = getattr(offer, "acceptance", None)
    if kept is None:
        return quotation
    acceptance = Kept(name=kept.name, at=datetime.fromisoformat(kept.clock), version=offer.turn, mark=kept.mark)
    return replace(quotation, acceptance=acceptance)


def offer_standing(commission: Commission) -> str:
    """Return how the latest offer of a commission stands, or an empty string where nothing was offered."""
    stood = offers_of(commission)
    return stood[0].standing.value if stood else ""
