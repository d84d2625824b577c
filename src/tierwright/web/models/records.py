"""What happened: at the bench, behind a client's link, and in the kitchen's account."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models

from tierwright.web.models.commissions import Commission
from tierwright.web.models.kitchens import Kitchen


class Audit(models.Model):
    """Who did what, and when. Only ever added to."""

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, null=True, related_name="audit")
    commission = models.ForeignKey(Commission, on_delete=models.SET_NULL, null=True, related_name="audit")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True, db_index=True)
    deed = models.CharField(max_length=40)
    words = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ("-at", "-pk")

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.deed} {self.words}"


class ClientLink(models.Model):
    """A client's way to a read-only page; only a digest of its token is kept."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="client_links")
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    last_seen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-made_at",)

    def __str__(self) -> str:
        return f"client link of {self.commission_id} until {self.expires_at:%Y-%m-%d}"


class BenchEntry(models.Model):
    """
    One thing done or measured at the bench.

    The browser makes the key, so that an entry sent twice over a poor network arrives once; ``order`` counts per
    device.
    """

    key = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="bench_entries")
    version = models.PositiveIntegerField()
    sheet = models.CharField(max_length=40)
    step = models.CharField(max_length=120)
    what = models.CharField(max_length=40)
    value = models.JSONField(default=dict)
    device = models.CharField(max_length=60)
    order = models.PositiveBigIntegerField()
    done_at = models.DateTimeField()
    arrived_at = models.DateTimeField(auto_now_add=True)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ("done_at", "device", "order")
        constraints = (
            models.UniqueConstraint(fields=("commission", "device", "order"), name="one_entry_a_place_in_order"),
        )

    def __str__(self) -> str:
        return f"{self.sheet} {self.step}: {self.what}"


class ApiToken(models.Model):
    """A program's way in, for one kitchen; only a digest is kept."""

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="tokens")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="tokens")
    name = models.CharField(max_length=100)
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-made_at",)

    def __str__(self) -> str:
        return self.name
