"""A client's way to a page: an address that nobody can guess, that ends by itself and can be withdrawn."""

from __future__ import annotations

import hashlib
import secrets
from datetime import timedelta
from typing import Final

from django.db.models import F, Q
from django.utils import timezone

from tierwright.web.models import ClientLink, Commission

TOKEN_BYTES: Final = 32
"""256 bits: guessing is hopeless without any limit on tries."""
DAYS: Final = (7, 30, 90)
"""How long a link may last; chosen by us. [d]"""
SEEN_EVERY: Final = timedelta(minutes=5)


def digest_of(token: str) -> str:
    """Return what is kept of a token; a long random token needs no slow hash."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def make_link(commission: Commission, days: int) -> tuple[ClientLink, str]:
    """Make a link that lasts some days; return it with its token, which is known only now."""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    expires = timezone.now() + timedelta(days=days)
    link = ClientLink.objects.create(commission=commission, digest=digest_of(token), expires_at=expires)
    return link, token


def link_of(token: str) -> ClientLink | None:
    """Return the link of a token, or None where there is none that still opens; write down that it was used."""
    now = timezone.now()
    link = (
        ClientLink.objects.select_related("commission__kitchen")
        .filter(digest=digest_of(token), expires_at__gt=now, withdrawn_at=None, commission__put_away_at=None)
        .first()
    )
    if link is not None:
        stale = Q(last_seen_at=None) | Q(last_seen_at__lt=now - SEEN_EVERY)
        ClientLink.objects.filter(stale, pk=link.pk).update(last_seen_at=now)
    return link


def open_questions(commission: Commission) -> list[str]:
    """Return the keys of the dossier's questions that already stand before the client."""
    found = commission.client_questions.filter(withdrawn_at=None).exclude(key="").annotate(name=F("key"))
    return [question.key for question in found]
