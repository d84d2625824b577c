"""A program's way into one kitchen: a token that only its maker has seen, with the rights of the person who made it."""

from __future__ import annotations

import hashlib
import secrets
from datetime import timedelta
from typing import Final

from django.db.models import Q
from django.http import HttpRequest
from django.utils import timezone
from ninja.security import HttpBearer

from tierwright.web.access import Door
from tierwright.web.models import ApiToken, Membership

TOKEN_BYTES: Final = 32
DAYS: Final = 365
"""How long a token lasts; chosen by us. [d]"""
USED_EVERY: Final = timedelta(minutes=5)


def digest_of(token: str) -> str:
    """Return what is kept of a token."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def make_token(door: Door, name: str) -> tuple[ApiToken, str]:
    """Make a token for the kitchen; return it with its text, which is known only now."""
    text = secrets.token_urlsafe(TOKEN_BYTES)
    expires = timezone.now() + timedelta(days=DAYS)
    token = ApiToken.objects.create(
        kitchen=door.kitchen, user=door.user, name=name, digest=digest_of(text), expires_at=expires
    )
    return token, text


class KitchenToken(HttpBearer):
    """Let in the bearer of a token whose maker still owns the kitchen; a session in the browser lets nobody in."""

    def authenticate(self, request: HttpRequest, token: str) -> Door | None:  # noqa: ARG002 (the base class's signature)
        """Return the person and kitchen of a token, or None."""
        now = timezone.now()
        lasts = Q(expires_at=None) | Q(expires_at__gt=now)
        found = ApiToken.objects.filter(lasts, digest=digest_of(token), withdrawn_at=None).first()
        if found is None:
            return None
        membership = (
            Membership.objects.select_related("kitchen", "user")
            .filter(kitchen_id=found.kitchen_id, user_id=found.user_id, user__is_active=True)
            .first()
        )
        if membership is None or not membership.owns:
            return None
        stale = Q(last_used_at=None) | Q(last_used_at__lt=now - USED_EVERY)
        ApiToken.objects.filter(stale, pk=found.pk).update(last_used_at=now)
        return Door(membership=membership, user=membership.user)
