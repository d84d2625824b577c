"""Commissions, their versions, and what has been typed but not kept."""

from __future__ import annotations

from typing import Any, Self

from django.conf import settings
from django.db import models

from tierwright.web.models.kitchens import Client, Kitchen


class CommissionQuerySet(models.QuerySet["Commission"]):
    """Questions asked of many commissions."""

    def on_the_board(self) -> Self:
        """Return those that have not been put away, the next to be cut first."""
        return self.filter(put_away_at=None).order_by("last_slice_at", "pk")


class Commission(models.Model):
    """
    One commission as the list shows it; what it says stands in its versions.

    The columns are copied from the latest version when that is kept, so that a list reads one row each; ``accepted`` is
    the version that the client last accepted, as its offer has it.
    """

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="commissions")
    client = models.ForeignKey(Client, on_delete=models.SET_NULL, null=True, blank=True, related_name="commissions")
    title = models.CharField(max_length=400)
    enquired_at = models.DateTimeField()
    handover_at = models.DateTimeField()
    cutting_at = models.DateTimeField()
    last_slice_at = models.DateTimeField()
    timezone = models.CharField(max_length=60)
    head = models.PositiveIntegerField(default=0)
    quoted = models.PositiveIntegerField(null=True, blank=True)
    accepted = models.PositiveIntegerField(null=True, blank=True)
    accepted_at = models.DateTimeField(null=True, blank=True)
    portions = models.PositiveIntegerField(default=0)
    questions = models.PositiveIntegerField(default=0)
    gravest = models.PositiveSmallIntegerField(default=0)
    put_away_at = models.DateTimeField(null=True, blank=True)

    objects = CommissionQuerySet.as_manager()

    class Meta:
        indexes = (models.Index(fields=("kitchen", "put_away_at", "last_slice_at"), name="commission_by_date"),)

    def __str__(self) -> str:
        return self.title


class Version(models.Model):
    """
    One kept state of a commission: the brief and kitchen it was worked from, and the dossier. Never changed.

    ``brief`` and ``kitchen`` are as a person writes them; ``dossier`` is compressed JSON.
    """

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="versions")
    number = models.PositiveIntegerField()
    brief = models.JSONField()
    kitchen = models.JSONField()
    dossier = models.BinaryField()
    words = models.CharField(max_length=400, blank=True)
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ("-number",)
        constraints = (models.UniqueConstraint(fields=("commission", "number"), name="one_version_a_number"),)

    def __str__(self) -> str:
        return f"{self.commission_id}.{self.number}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write a new version; an old one is never written again."""
        if not self._state.adding:
            raise ValueError("a kept version is not changed; keep a new one")
        super().save(*args, **kwargs)


class Draft(models.Model):
    """
    What somebody has typed into one form and not yet kept.

    ``base`` is the version they began from; ``revision`` grows with every write, so that a second tab sees that the
    first has typed since. A first enquiry has no commission yet.
    """

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="drafts")
    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, null=True, related_name="drafts")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="drafts")
    part = models.CharField(max_length=120)
    base = models.PositiveIntegerField(default=0)
    typed = models.JSONField()
    revision = models.PositiveIntegerField(default=1)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("commission", "user", "part"),
                name="one_draft_a_form",
                condition=models.Q(commission__isnull=False),
            ),
            models.UniqueConstraint(
                fields=("kitchen", "user", "part"),
                name="one_draft_an_enquiry",
                condition=models.Q(commission__isnull=True),
            ),
        )

    def __str__(self) -> str:
        return f"{self.part} of {self.commission_id}, revision {self.revision}"
