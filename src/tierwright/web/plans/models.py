"""Plans that a kitchen keeps, what a hand holds fast in them, and who is away."""

from __future__ import annotations

import zlib
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models

from tierwright.web.jobs.models import Job
from tierwright.web.models import Kitchen

if TYPE_CHECKING:
    from tierwright.week import WeekPlan


class KeptWeek(models.Model):
    """
    One plan of one week. Never changed: a newer row takes its place, and says what moved.

    ``monday`` names the week by the day of its handovers; ``whose`` lists the commissions planned, with the version of
    each; ``plan`` is compressed JSON; ``moved`` and ``safe`` are what replanning and simulation said.
    """

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="weeks")
    monday = models.DateField()
    whose = models.JSONField()
    wishes = models.JSONField(default=dict)
    plan = models.BinaryField()
    moved = models.JSONField(default=list)
    safe = models.JSONField(default=dict)
    words = models.CharField(max_length=400, blank=True)
    job = models.OneToOneField(Job, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ("-pk",)
        indexes = (models.Index(fields=("kitchen", "monday"), name="kept_week_by_monday"),)

    def __str__(self) -> str:
        return f"{self.monday} of {self.kitchen_id}"

    def read(self) -> WeekPlan:
        """Return the plan."""
        from tierwright.week import from_json

        return from_json(zlib.decompress(self.plan))

    @staticmethod
    def packed(plan: WeekPlan) -> bytes:
        """Return a plan as a row keeps it."""
        from tierwright.week import to_json

        return zlib.compress(to_json(plan), 6)


class HeldTask(models.Model):
    """A task that a hand has put somewhere and that stays there until it is let go."""

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="held_tasks")
    monday = models.DateField()
    task = models.CharField(max_length=200)
    label = models.CharField(max_length=400)
    begins = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ("begins", "pk")
        constraints = (models.UniqueConstraint(fields=("kitchen", "monday", "task"), name="one_hold_a_task"),)

    def __str__(self) -> str:
        return f"{self.task} at {self.begins}"


class AwayDay(models.Model):
    """A day on which somebody does not come: ill, off, or on another duty."""

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="away_days")
    hand = models.CharField(max_length=200)
    day = models.DateField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ("day", "hand")
        constraints = (models.UniqueConstraint(fields=("kitchen", "hand", "day"), name="away_once_a_day"),)

    def __str__(self) -> str:
        return f"{self.hand} on {self.day}"
