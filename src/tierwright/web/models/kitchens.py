"""Kitchens, the people in them, and what their books hold."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

if TYPE_CHECKING:
    from tierwright import brief


class Kitchen(models.Model):
    """One kitchen; the unit of isolation. ``data`` is its file as a person writes it."""

    name = models.CharField(max_length=400)
    data = models.JSONField()
    language = models.CharField(max_length=10, default="en")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.name

    def parsed(self) -> brief.Kitchen:
        """Return the kitchen as the rooms take it."""
        from tierwright.brief import parse_kitchen

        return parse_kitchen(self.data, "kitchen")


class Role(models.TextChoices):
    """What a person may do in a kitchen."""

    OWNER = "owner", _("owner")
    HELPER = "helper", _("helper")


class Membership(models.Model):
    """A person in a kitchen. Prices and clients' health data are shown to a helper only where the owner allows it."""

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="memberships")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=10, choices=Role.choices, default=Role.HELPER)
    sees_prices = models.BooleanField(default=False)
    sees_health = models.BooleanField(default=False)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("kitchen", "user"), name="one_role_a_person_and_kitchen"),)

    def __str__(self) -> str:
        return f"{self.user_id} in {self.kitchen_id}: {self.role}"

    @property
    def owns(self) -> bool:
        """Whether this person owns the kitchen."""
        return self.role == Role.OWNER

    @property
    def may_see_prices(self) -> bool:
        """Whether prices are shown."""
        return self.owns or self.sees_prices

    @property
    def may_see_health(self) -> bool:
        """Whether clients' health data are shown."""
        return self.owns or self.sees_health


class BookFormula(models.Model):
    """A formula in the kitchen's own book: ``sheet`` is a formula sheet of the brief, as a person writes it."""

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="formulas")
    key = models.SlugField(max_length=60)
    name = models.CharField(max_length=400)
    kind = models.CharField(max_length=60)
    sheet = models.JSONField()
    note = models.TextField(blank=True, max_length=4000)
    changed_at = models.DateTimeField(auto_now=True)
    put_away_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("name",)
        constraints = (models.UniqueConstraint(fields=("kitchen", "key"), name="one_formula_a_key"),)

    def __str__(self) -> str:
        return self.name


class Client(models.Model):
    """A client of the kitchen. ``health`` holds allergies and the like: shown only where allowed, and erasable."""

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="clients")
    name = models.CharField(max_length=400)
    contact = models.TextField(blank=True, max_length=4000)
    health = models.TextField(blank=True, max_length=4000)
    note = models.TextField(blank=True, max_length=4000)
    made_at = models.DateTimeField(auto_now_add=True)
    health_erased_at = models.DateTimeField(null=True, blank=True)
    put_away_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("name", "pk")

    def __str__(self) -> str:
        return self.name
